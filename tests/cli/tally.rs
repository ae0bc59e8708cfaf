//! `tally`: files and folders of records, what is left out, and what is written.

use std::fs;
use std::process::Command;

use super::{Scratch, top};

/// A checklist and records of the conformance vectors: some good, some not.
fn records() -> Scratch {
    let vector = |name: &str, file: &str| {
        fs::read_to_string(top().join("tests/conformance").join(name).join(file)).expect("a vector")
    };
    let good = vector("02-every-kind", "record.jsonl");
    Scratch::new()
        .with("checklist.json", &vector("02-every-kind", "checklist.json"))
        .with("records/a.jsonl", &good)
        .with("records/2026/b.jsonl", &good)
        .with("records/2026/notes.txt", "no record")
        .with("records/c.jsonl", &good.replacen("\"by\":\"", "\"by\":\"X", 1))
}

#[test]
fn a_folder_is_counted_and_what_is_altered_is_named() {
    let scratch = records();
    let ran = scratch.run(&["tally", "checklist.json", "records"]).expect(1);
    assert!(ran.out.starts_with("records/c.jsonl:1:1: left out, altered: "), "{}", ran.out);
    assert!(ran.out.contains(": 3 records, 2 counted; left out: 1 altered.\n"), "{}", ran.out);
    assert_eq!(ran.err, "", "nobody watches: no progress");
    scratch.run(&["tally", "checklist.json", "records/a.jsonl", "records/2026"]).expect(0);
}

#[test]
fn the_files_of_a_tally() {
    let scratch = records();
    scratch.run(&["tally", "--out", "told/here", "checklist.json", "records/a.jsonl"]).expect(0);
    let files = scratch.files("told");
    assert_eq!(
        files.keys().collect::<Vec<_>>(),
        ["told/here/tally.csv", "told/here/tally.html", "told/here/tally.jsonl"]
    );
    let printed = scratch.run(&["tally", "--format", "json", "checklist.json", "records/a.jsonl"]).expect(0);
    assert_eq!(printed.out.as_bytes(), files["told/here/tally.jsonl"]);
    let first: serde_json::Value = serde_json::from_str(printed.out.lines().next().expect("a line")).expect("JSON");
    assert_eq!((&first["kind"], &first["format"]), (&"tally".into(), &"fitwright-tally".into()));
    // One thread or several: the same.
    let alone = scratch.run(&["tally", "--jobs", "1", "--format", "json", "checklist.json", "records"]).expect(1);
    let several = scratch.run(&["tally", "--jobs", "3", "--format", "json", "checklist.json", "records"]).expect(1);
    assert_eq!(alone.out, several.out);
}

#[test]
fn bad_files_have_their_place_and_the_rest_goes_on() {
    let scratch = records();
    fs::write(scratch.0.join("records/d.jsonl"), b"{}\n{\"a\": \xff}\n").expect("written");
    fs::write(scratch.0.join("records/e.zip"), b"PK\x03\x04 no archive").expect("written");
    let ran = scratch.run(&["tally", "checklist.json", "records"]).expect(1);
    assert!(ran.out.contains("records/d.jsonl:2:7: left out, unreadable: it is not text (UTF-8)\n"), "{}", ran.out);
    assert!(ran.out.contains("records/e.zip: left out, unreadable: the archive cannot be used: "), "{}", ran.out);
    assert!(ran.out.contains(": 5 records, 2 counted;"), "{}", ran.out);
}

#[test]
fn checklists_of_a_folder() {
    let scratch = records();
    fs::create_dir_all(scratch.0.join("lists/build")).expect("made");
    fs::copy(scratch.0.join("checklist.json"), scratch.0.join("lists/build/checklist.json")).expect("copied");
    fs::write(scratch.0.join("lists/other.json"), "{\"a\": 1}").expect("written");
    scratch.run(&["tally", "lists", "records/a.jsonl"]).expect(0);
    scratch.run(&["tally", "checklist.json", "--checklist", "lists", "records/a.jsonl"]).expect(0);
    fs::remove_file(scratch.0.join("lists/build/checklist.json")).expect("removed");
    let ran = scratch.run(&["tally", "lists", "records/a.jsonl"]).expect(2);
    assert!(ran.err.contains("lists holds no checklist"), "{}", ran.err);
}

#[test]
fn what_cannot_run_says_why() {
    let scratch = records().with("empty/x.txt", "").with("bad.json", "{");
    for (arguments, said) in [
        (["tally", "none.json", "records"], "none.json cannot be read"),
        (["tally", "bad.json", "records"], "the checklist bad.json cannot be used: it is not JSON"),
        (["tally", "checklist.json", "none"], "none cannot be read"),
        (["tally", "checklist.json", "empty"], "there is no record"),
    ] {
        let ran = scratch.run(&arguments).expect(2);
        assert!(ran.err.contains(said), "{}", ran.err);
    }
}

/// A record that has the name of what is to be written stays.
#[test]
fn no_record_is_written_over() {
    let scratch = records();
    let good = fs::read(scratch.0.join("records/a.jsonl")).expect("a record");
    fs::write(scratch.0.join("records/tally.jsonl"), &good).expect("written");
    let ran = scratch.run(&["tally", "--out", "records", "checklist.json", "records"]).expect(2);
    assert!(ran.err.contains("records/tally.jsonl is not written"), "{}", ran.err);
    assert_eq!(fs::read(scratch.0.join("records/tally.jsonl")).expect("the record"), good);
}

/// A link to the folder above is not followed round and round.
#[cfg(unix)]
#[test]
fn links_to_folders_are_not_followed() {
    let scratch = records();
    std::os::unix::fs::symlink(&scratch.0, scratch.0.join("records/up")).expect("a link");
    let ran = Command::new(env!("CARGO_BIN_EXE_fitwright"))
        .args(["tally", "checklist.json", "records"])
        .current_dir(&scratch.0)
        .output()
        .expect("the program starts");
    assert!(String::from_utf8_lossy(&ran.stdout).contains(": 3 records, 2 counted;"));
}
