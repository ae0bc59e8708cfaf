//! `new`: starts a procedure.

use std::fs;
use std::io::Read;
use std::path::Path;

use super::terminal::Stream;
use super::{CannotRun, Verdict, one_file};
use crate::diagnostics::render::counted;
use crate::intake;

/// A small procedure that is clean and shows the form; NAME and TITLE are put in.
const TEMPLATE: &str = include_str!("../../site/new.fitw");

pub fn run(name: &str, from: Option<&Path>) -> Result<Verdict, CannotRun> {
    let name = name.strip_suffix(".fitw").unwrap_or(name);
    if !is_plain(name) {
        let hint = plain_form(name).map(|form| format!("; try {form}")).unwrap_or_default();
        return Err(CannotRun(format!(
            "{name} cannot be the name of a procedure: it is words in lower case, digits and single hyphens, beginning \
             with a letter{hint}"
        )));
    }
    let file_name = format!("{name}.fitw");
    let mut output = Stream::output();
    match from {
        None => {
            one_file::create(Path::new(&file_name), text(name).as_bytes())?;
            output.say(&format!(
                "Wrote {file_name}. Next:\n  fitwright check {file_name}\n  fitwright build {file_name}\n"
            ));
        }
        Some(from) => {
            let manual = read(from)?;
            let taken = intake::take_in(name, &title_of(name), &today(), &manual)
                .map_err(|refusal| CannotRun(format!("{} is not taken in: {refusal}", from.display())))?;
            one_file::create(Path::new(&file_name), taken.text.as_bytes())?;
            output.say(&told(&file_name, taken.counts));
        }
    }
    output.finish()?;
    Ok(Verdict::Clean)
}

/// The text of a manual.
fn read(path: &Path) -> Result<String, CannotRun> {
    let cannot = |error: std::io::Error| CannotRun::reading(path, &error);
    // Asked before opening: to open a pipe is to wait for its other end.
    if !fs::metadata(path).map_err(cannot)?.is_file() {
        return Err(CannotRun(format!("{} is not a file", path.display())));
    }
    let mut bytes = Vec::new();
    // One byte more, so that it is known that there is too much.
    let most = intake::MOST_BYTES as u64 + 1;
    fs::File::open(path).map_err(cannot)?.take(most).read_to_end(&mut bytes).map_err(cannot)?;
    if bytes.len() > intake::MOST_BYTES {
        return Err(CannotRun(format!("{} is not taken in: {}", path.display(), intake::Refusal::TooLarge)));
    }
    let text = String::from_utf8(bytes).map_err(|_| {
        CannotRun(format!("{} is not text in UTF-8; save it as Markdown or plain text", path.display()))
    })?;
    Ok(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text))
}

/// The day in UTC, `2026-11-28`; 1970-01-01 where the clock stands before it.
fn today() -> String {
    let seconds = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).map_or(0, |since| since.as_secs());
    // Days into the Gregorian calendar of ISO 8601, counted from 1 March of the year 0, so that a leap day ends a year.
    let days = seconds / 86_400 + 719_468;
    let (era, of_era) = (days / 146_097, days % 146_097);
    let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * month + 2) / 5 + 1;
    let (month, next) = if month < 10 { (month + 3, 0) } else { (month - 9, 1) };
    format!("{:04}-{month:02}-{day:02}", era * 400 + year + next)
}

/// What was made of a manual.
fn told(file_name: &str, counts: intake::Counts) -> String {
    let things =
        if counts.things == 1 { "1 tool or part".to_owned() } else { format!("{} tools and parts", counts.things) };
    let left_out = match counts.dropped {
        0 => "Nothing of the text is left out.".to_owned(),
        1 => "1 sign that cannot be seen is left out, and nothing else.".to_owned(),
        many => format!("{many} signs that cannot be seen are left out, and nothing else."),
    };
    format!(
        "Wrote {file_name}: {}, {}, {}, {things}. {left_out}\nIt is a draft. What to write next:\n  fitwright check {file_name}\n\
         A small one that is whole, to look things up in:\n  fitwright new example\n",
        counted(counts.sections, "section"),
        counted(counts.steps, "step"),
        counted(counts.messages, "safety message"),
    )
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
