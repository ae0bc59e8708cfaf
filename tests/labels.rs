//! One set of words: what the job page and the templates name is in the catalogue, nothing there is unused, no text stands
//! there twice, and no label of a line is written anew elsewhere.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use fitwright::labels::ENGLISH;
use serde_json::Value;

/// Texts that two labels share, because they are two things that English calls alike.
const SHARED: &[(&str, &str)] = &[];

/// Labels of lines, checks, handover and ends of a job, which stand in the catalogue only.
const BANNED: &[&str] = &[
    "Put back",
    "Take off",
    "Throw away",
    "Run up",
    "Snug",
    "Snug up",
    "Right when",
    "Now make it so",
    "Given up",
    "Tools",
    "Wear",
    "Take",
    "Remove",
    "Refit",
    "Discard",
    "Fit",
    "Run on",
    "Tighten",
    "Loosen",
    "Connect",
    "Disconnect",
    "Only when",
    "Write down",
    "Photograph",
    "Decided",
    "Pass if",
    "If it fails:",
    "Check:",
    "Show",
    "Keep",
    "Dispose of",
    "Leave the vehicle with",
    "Qualified person",
    "Handed over",
    "Stopped",
    "Broken off",
    "Already on the vehicle",
];

fn top(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// The files below a folder that end so, with what stands in them.
fn files(folder: &str, ending: &str) -> Vec<(String, String)> {
    let mut folders = vec![top(folder)];
    let mut found = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|one| one == ending) {
                found.push((path.display().to_string(), fs::read_to_string(&path).expect("a file")));
            }
        }
    }
    found.sort();
    assert!(!found.is_empty(), "{folder} has no .{ending}");
    found
}

/// `row.place` and its text, for each label of the groups.
fn labels(groups: &Value) -> BTreeMap<String, String> {
    let groups = groups.as_object().expect("groups");
    let of = |(group, labels): (&String, &Value)| {
        let labels = labels.as_object().expect("labels").clone();
        let group = group.clone();
        labels
            .into_iter()
            .map(move |(label, text)| (format!("{group}.{label}"), text.as_str().expect("a text").to_owned()))
    };
    groups.iter().flat_map(of).collect()
}

fn catalogue() -> BTreeMap<String, String> {
    labels(&serde_json::to_value(ENGLISH).expect("the catalogue"))
}

/// The dotted names that stand behind a word in a text: `check.passIf` behind `WORDS.`.
fn named(text: &str, before: &str) -> BTreeSet<String> {
    let is_name = |c: char| c.is_alphanumeric() || c == '_' || c == '.';
    text.split(before)
        .skip(1)
        .map(|rest| rest.chars().take_while(|c| is_name(*c)).collect::<String>().trim_end_matches('.').to_owned())
        .collect()
}

#[test]
fn the_page_names_each_of_its_words_and_no_other() {
    let groups = serde_json::to_value(ENGLISH.for_job()).expect("the page's words");
    let known = labels(&groups);
    let named: BTreeSet<String> = files("site/job", "js").iter().flat_map(|(_, text)| named(text, "WORDS.")).collect();
    assert!(named.len() > 100, "the search finds nothing");
    for name in &named {
        // A group is named alone where the label is chosen by what the record or the checklist says.
        let name = name.trim_end_matches(".replace").trim_end_matches(".toUpperCase");
        let whole = groups.get(name).is_some();
        assert!(
            whole || known.contains_key(name) || known.contains_key(&format!("page.{name}")),
            "the page names {name}, which is no label"
        );
    }
    for label in known.keys().filter_map(|name| name.strip_prefix("page.")) {
        let used = named.iter().any(|name| name == label);
        assert!(used, "the page does not use page.{label}");
        assert!(groups.get(label).is_none(), "page.{label} hides the group of this name");
    }
}

#[test]
fn each_text_stands_once() {
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    for (name, text) in catalogue() {
        assert_eq!(text.trim_start_matches("\u{a0}"), text, "{name}");
        assert!(!text.is_empty(), "{name} has no text");
        if let Some(other) = seen.insert(text.clone(), name.clone()) {
            let may = SHARED.iter().any(|(shared, _)| *shared == text);
            assert!(may, "{other} and {name} are both “{text}”");
        }
    }
    for (shared, why) in SHARED {
        assert!(!why.is_empty() && catalogue().values().filter(|text| text == shared).count() > 1, "{shared}");
    }
}

#[test]
fn templates_and_writers_name_labels_and_write_none() {
    let known = catalogue();
    let mut breaches = Vec::new();
    let mut found = 0;
    for (path, text) in files("site/templates", "html") {
        for name in named(&text, "labels.") {
            found += 1;
            assert!(known.contains_key(&name), "{path} names {name}, which is no label");
        }
        for label in BANNED.iter().filter(|label| text.contains(&format!(">{label}<"))) {
            breaches.push(format!("{path}: {label}"));
        }
    }
    assert!(found > 5, "no template names a label");
    for (path, text) in files("src/emit", "rs").into_iter().chain(files("src/record", "rs")) {
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        for label in BANNED.iter().filter(|label| code.contains(&format!("\"{label}\""))) {
            breaches.push(format!("{path}: {label}"));
        }
    }
    for (path, text) in files("site/job", "js") {
        for label in BANNED.iter().filter(|label| text.contains(&format!("\"{label}\""))) {
            breaches.push(format!("{path}: {label}"));
        }
    }
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
}
