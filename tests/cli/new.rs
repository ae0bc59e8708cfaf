//! `fitwright new --from`: a manual that exists becomes a file that is checked.

use super::Scratch;
use std::fs;

#[test]
fn a_manual_is_taken_in_and_nothing_is_written_over() {
    let scratch = Scratch::new().with("old.md", include_str!("../data/intake/rail.md"));
    let ran = scratch.run(&["new", "wall-rail", "--from", "old.md"]).expect(0);
    assert!(
        ran.out.starts_with("Wrote wall-rail.fitw: 5 sections, 5 steps, 3 safety messages, 6 tools and parts. Nothing"),
        "{}",
        ran.out
    );
    let text = fs::read_to_string(scratch.0.join("wall-rail.fitw")).expect("written");
    assert!(text.starts_with("procedure wall-rail \"Wall rail for the Finch workshop\"\n"), "{text}");
    scratch.run(&["format", "--check", "wall-rail.fitw"]).expect(0);
    let checked = scratch.run(&["check", "--format", "json", "wall-rail.fitw"]).expect(1);
    assert!(checked.codes().contains(&"FW1103".to_owned()), "{}", checked.out);
    let again = scratch.run(&["new", "wall-rail", "--from", "old.md"]).expect(2);
    assert!(again.err.contains("exists already"), "{}", again.err);
}

#[test]
fn what_is_no_text_is_refused_and_nothing_written() {
    let scratch = Scratch::new().with("empty.md", "\n").with("large.md", &"a ".repeat(600_000));
    fs::write(scratch.0.join("latin.md"), b"# H\xfcgel\n").expect("written");
    fs::write(scratch.0.join("marked.txt"), "\u{feff}Bolt it.\u{200b}\r\n").expect("written");
    for (file, words) in [
        ("empty.md", "there are no words in it"),
        ("large.md", "too large for one procedure"),
        ("latin.md", "not text in UTF-8"),
        ("nowhere.md", "there is no such file"),
        (".", "is not a file"),
    ] {
        let ran = scratch.run(&["new", "draft", "--from", file]).expect(2);
        assert!(ran.err.contains(words), "{file}: {}", ran.err);
        assert!(!scratch.0.join("draft.fitw").exists(), "{file}");
    }
    let ran = scratch.run(&["new", "draft", "--from", "marked.txt"]).expect(0);
    assert!(ran.out.contains("1 sign that cannot be seen is left out"), "{}", ran.out);
}

#[test]
fn a_draft_has_the_day_on_which_it_was_made() {
    let today = || {
        let asked = std::process::Command::new("date").args(["-u", "+%F"]).output().expect("the system's date");
        String::from_utf8_lossy(&asked.stdout).trim().to_owned()
    };
    let scratch = Scratch::new().with("old.md", "# Lamp\n\n1. Set the foot.\n");
    let before = today();
    scratch.run(&["new", "lamp", "--from", "old.md"]).expect(0);
    let draft = std::fs::read_to_string(scratch.0.join("lamp.fitw")).expect("written");
    let has = |day: &str| draft.contains(&format!("revision A {day} "));
    assert!(has(&before) || has(&today()), "{draft}");
}
