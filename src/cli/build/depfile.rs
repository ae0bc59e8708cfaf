//! `--depfile`: which files each output was made from, as rules of make, for an engine that calls the build.
//!
//! The target of a rule is the folder's `build.json`, which is written with all else in it. What is built into the program is no
//! file. Names are written as compilers do: a blank, `#` and `$` are escaped as GNU make and ninja read them, a backslash
//! stands for itself but before a blank.

use std::fs;
use std::path::Path;

use super::outcome::Built;
use crate::cli::CannotRun;
use crate::cli::publish::{MANIFEST, real_path};

/// The rules of what was built.
///
/// # Errors
/// Where a name can't be said in such a file.
pub fn text(out: &Path, all: &[Built], project: Option<&Path>) -> Result<String, CannotRun> {
    let mut text = String::new();
    for one in all {
        let target = format!("{}/{}/{MANIFEST}", slashed(out)?, one.name);
        text.push_str(&escaped(target.trim_start_matches("./"))?);
        text.push(':');
        for need in &one.needs {
            let need = need.as_ref().ok_or_else(|| not_unicode(&one.file))?;
            text.push_str(&format!(" \\\n  {}", escaped(need)?));
        }
        if let Some(project) = project {
            text.push_str(&format!(" \\\n  {}", escaped(&slashed(project)?)?));
        }
        text.push('\n');
    }
    Ok(text)
}

fn not_unicode(path: &str) -> CannotRun {
    CannotRun(format!("--depfile can't be written: the path of {path} is not Unicode"))
}

fn slashed(path: &Path) -> Result<String, CannotRun> {
    let text = path.to_str().ok_or_else(|| not_unicode(&path.display().to_string()))?;
    Ok(if cfg!(windows) { text.replace('\\', "/") } else { text.to_owned() })
}

/// A name as make and ninja read it.
fn escaped(name: &str) -> Result<String, CannotRun> {
    let refuse = |what: &str| {
        Err(CannotRun(format!("--depfile can't name {name}: make and ninja do not read {what} alike; rename the file")))
    };
    let mut text = String::new();
    let mut backslashes = 0_usize;
    for c in name.chars() {
        match c {
            // Any number of backslashes before a blank has to be doubled; elsewhere they stand for themselves.
            ' ' => text.push_str(&("\\".repeat(backslashes + 1) + " ")),
            '#' if backslashes > 0 => return refuse("a backslash before `#`"),
            '#' => text.push_str("\\#"),
            '$' => text.push_str("$$"),
            c if c.is_control() => return refuse("a control character"),
            ':' | '%' | '*' | '?' | '[' | ']' | '|' | ';' | '=' | '&' => return refuse(&format!("`{c}`")),
            '~' if text.is_empty() => return refuse("`~` at the beginning"),
            c => text.push(c),
        }
        backslashes = if c == '\\' { backslashes + 1 } else { 0 };
    }
    if backslashes > 0 { refuse("a backslash at the end") } else { Ok(text) }
}

/// A dependency file that would be written over what the build reads or writes.
pub fn refuse_harm(file: &Path, out: &Path, all: &[Built]) -> Result<(), CannotRun> {
    let refuse = |why: &str| Err(CannotRun(format!("{} is not written: {why}; name another file", file.display())));
    let (real, out) = (real_path(file)?, real_path(out)?);
    for one in all {
        if one.inputs.iter().any(|input| fs::canonicalize(input).is_ok_and(|input| input == real)) {
            return refuse("the build reads it");
        }
        let folder = out.join(&one.name);
        if one.outputs.iter().any(|output| folder.join(output) == real) {
            return refuse("the build writes it");
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::escaped;

    #[test]
    fn names_are_escaped_as_make_reads_them() {
        for (name, wanted) in [
            ("a/b.fitw", "a/b.fitw"),
            ("a b.fitw", "a\\ b.fitw"),
            ("$a#1", "$$a\\#1"),
            ("a\\b", "a\\b"),
            ("a\\ b", "a\\\\\\ b"),
            ("größe~", "größe~"),
        ] {
            assert_eq!(escaped(name).expect("it can be said"), wanted, "{name}");
        }
        for name in ["a\nb", "a\tb", "a:b", "100%", "*", "~a", "a\\#b", "a\\"] {
            assert!(escaped(name).is_err(), "{name}");
        }
    }
}
