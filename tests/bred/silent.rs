//! The edits that are known to pass in silence, each with its reason: `silent.txt`.
//!
//! A group begins with `== ` and its reason; below it stands an edit a line, `DEMO | KIND | PLACE | STATEMENT | …`.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::PathBuf;

/// The reason that nobody has written yet.
pub const NO_REASON: &str = "?";

fn path() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/bred/silent.txt")
}

/// Each edit with its reason.
pub fn read() -> BTreeMap<String, String> {
    let text = std::fs::read_to_string(path()).unwrap_or_default();
    let mut listed = BTreeMap::new();
    let mut reason = NO_REASON.to_owned();
    for line in text.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
        match line.strip_prefix("== ") {
            Some(said) => reason = said.to_owned(),
            None => {
                let twice = listed.insert(line.to_owned(), reason.clone());
                assert!(twice.is_none(), "listed twice: {line}");
            }
        }
    }
    listed
}

/// Writes the list anew; what had no reason stands first, for somebody to find one.
pub fn write(listed: &BTreeMap<String, String>) {
    let mut text = String::from(
        "# Edits of the demos that nothing is said of, in groups with the reason. The list may only shrink: an edit that is found\n\
         # from now on, or is no edit any more, goes. `FITWRIGHT_SURVEY=1 FITWRIGHT_WRITE_SILENT=1 cargo test --test all bred::`\n\
         # writes it anew and keeps the reasons; what is new stands under `== ?`, and the test fails until somebody says why.\n",
    );
    let mut groups: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for (edit, reason) in listed {
        groups.entry(reason).or_default().push(edit);
    }
    for (reason, edits) in groups {
        let _ = write!(text, "\n== {reason}\n{}\n", edits.join("\n"));
    }
    std::fs::write(path(), text).expect("the list is written");
}
