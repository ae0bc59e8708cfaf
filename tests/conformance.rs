//! The judge of records against the conformance vectors in `tests/conformance/`, which were written by hand from
//! `site/checklist-format.md`; and against records of jobs that a driver of its own makes up.

use std::fs;
use std::path::{Path, PathBuf};

use fitwright::canonical;
use fitwright::record::{self, Beside};
use serde_json::Value;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/conformance")
}

/// The folders that hold a file, in order.
fn vectors(with: &str) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder()).expect("the vectors");
    let mut found: Vec<PathBuf> = entries.map(|entry| entry.expect("an entry").path()).collect();
    found.retain(|path| path.join(with).is_file());
    found.sort();
    found
}

fn text(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn json(path: &Path) -> Value {
    serde_json::from_str(&text(path)).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

#[test]
fn every_vector_comes_out_as_it_must() {
    let mut wrong = Vec::new();
    let vectors = vectors("record.jsonl");
    for vector in &vectors {
        let photos = vector.join("photos");
        let pictures = |name: &str| fs::read(photos.join(name)).ok();
        let beside = Beside { pictures: photos.is_dir().then_some(&pictures), head: None };
        let judged = record::judge(&text(&vector.join("checklist.json")), &text(&vector.join("record.jsonl")), beside);
        let (state, expected) = (judged.state(), json(&vector.join("expected.json")));
        for (name, value) in expected.as_object().expect("an object") {
            if state.get(name) != Some(value) {
                wrong.push(format!("{}: {name}\n  is     {}\n  not    {value}", vector.display(), state[name]));
            }
        }
        assert_eq!(state.as_object().map(|all| all.len()), expected.as_object().map(|all| all.len()));
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    assert!(vectors.len() > 100, "{} vectors", vectors.len());
}

#[test]
fn every_condition_results_in_what_it_must() {
    let mut cases = 0;
    for vector in vectors("conditions.json") {
        let definition = record::read_checklist(&text(&vector.join("checklist.json"))).expect("a checklist");
        for case in json(&vector.join("conditions.json")).as_array().expect("cases") {
            let result = definition.evaluate(&case["condition"], &case["known"]).expect("a condition");
            assert_eq!(result, case["result"].as_bool(), "{}: {}", vector.display(), case["about"]);
            cases += 1;
        }
    }
    assert!(cases > 80, "{cases} cases");
}

#[test]
fn every_group_has_its_vectors() {
    let names: Vec<String> = fs::read_dir(folder())
        .expect("the vectors")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    for group in 1..=17 {
        assert!(names.iter().any(|name| name.starts_with(&format!("{group:02}-"))), "group {group} has no vector");
    }
}

/// A file that is written by a program has one form, so that a difference is a difference in content. One checklist has
/// blanks and its members in another order: its digest is that of its canonical form all the same.
#[test]
fn every_json_file_is_one_canonical_line() {
    let mut files = vec![folder().join("canonical.json")];
    for name in ["checklist.json", "expected.json", "conditions.json"] {
        files.extend(vectors(name).into_iter().map(|vector| vector.join(name)));
    }
    let other = |path: &PathBuf| text(path) != format!("{}\n", canonical::canonical(&json(path)));
    let others: Vec<PathBuf> = files.iter().filter(|path| other(path)).cloned().collect();
    assert_eq!(others, [folder().join("14-two-thousand/checklist.json")]);
    assert!(files.len() > 300, "{} files", files.len());
}

#[test]
fn the_canonical_form_is_that_of_the_other_programs() {
    let rows = json(&folder().join("canonical.json"));
    for row in rows.as_array().expect("rows") {
        let value: Value = serde_json::from_str(row["json"].as_str().expect("text")).expect("JSON");
        assert_eq!(Some(canonical::canonical(&value).as_str()), row["canonical"].as_str());
        assert_eq!(Some(canonical::digest(&value).as_str()), row["sha256"].as_str());
    }
}
