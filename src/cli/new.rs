//! `new`: starts a procedure.

use std::path::Path;

use super::terminal::Stream;
use super::{CannotRun, Verdict, one_file};

/// A small procedure that is clean and shows the form; NAME and TITLE are put in.
const TEMPLATE: &str = include_str!("../../site/new.fitw");

pub fn run(name: &str) -> Result<Verdict, CannotRun> {
    let name = name.strip_suffix(".fitw").unwrap_or(name);
    if !is_plain(name) {
        let hint = plain_form(name).map(|form| format!("; try {form}")).unwrap_or_default();
        return Err(CannotRun(format!(
            "{name} cannot be the name of a procedure: it is words in lower case, digits and single hyphens, beginning \
             with a letter{hint}"
        )));
    }
    let file_name = format!("{name}.fitw");
    one_file::create(Path::new(&file_name), text(name).as_bytes())?;
    let mut output = Stream::output();
    output.say(&format!("Wrote {file_name}. Next:\n  fitwright check {file_name}\n  fitwright build {file_name}\n"));
    output.finish()?;
    Ok(Verdict::Clean)
}

/// The template for a name.
fn text(name: &str) -> String {
    TEMPLATE.replace("TITLE", &title_of(name)).replace("NAME", name)
}

/// `[a-z][a-z0-9]*(-[a-z0-9]+)*`, of a length that any disk takes.
fn is_plain(name: &str) -> bool {
    let word = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
    name.len() <= 100 && name.bytes().next().is_some_and(|b| b.is_ascii_lowercase()) && name.split('-').all(word)
}

/// The nearest name that can be.
fn plain_form(name: &str) -> Option<String> {
    let lower = name.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty()).collect();
    Some(words.join("-")).filter(|form| is_plain(form))
}

/// `bench-vise` is printed as `Bench vise`.
fn title_of(name: &str) -> String {
    let words = name.replace('-', " ");
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_checked_and_a_plain_form_is_offered() {
        for name in ["a", "bench-vise", "rack-2b"] {
            assert!(is_plain(name), "{name}");
        }
        for name in ["", "-a", "a-", "a--b", "A", "2a", "a b", "../a", "a/b", "é"] {
            assert!(!is_plain(name), "{name}");
        }
        assert_eq!(plain_form("My Bench_Vise").as_deref(), Some("my-bench-vise"));
        assert_eq!(plain_form("42"), None);
    }
}
