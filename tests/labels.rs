//! One set of words: what the job page and the templates name is in the catalogue, nothing there is unused, no text stands
//! there twice, no label of a line is written anew elsewhere, and templates and the outputs' code hold no English of their own.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use fitwright::labels::ENGLISH;
use serde_json::Value;

/// Texts that two labels share, because they are two things that English calls alike.
const SHARED: &[(&str, &str)] = &[
    ("Order", "the order in which fastenings are tightened, and the order of a customer"),
    ("torque", "an entry of a record, and what is not judged of a joint"),
    ("{n} step", "what was judged, and what a lane of the map holds"),
    ("{n} steps", "what was judged, and what a lane of the map holds"),
];

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

/// The files below a folder that end so, with what stands in them; of a file, that file.
fn files(folder: &str, ending: &str) -> Vec<(String, String)> {
    let mut folders = vec![top(folder)];
    let mut found = Vec::new();
    if folder.ends_with(&format!(".{ending}")) {
        let path = top(folder);
        return vec![(path.display().to_string(), fs::read_to_string(&path).expect("a file"))];
    }
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

/// What a template may hold, and why.
const OWN_TEXTS: &[(&str, &str)] = &[("manual.html", "the name of a file")];

/// What whoever reads or hears a page gets of a template: text between tags, and the attributes that are read out.
fn words_of(template: &str) -> Vec<String> {
    let mut text = template.to_owned();
    for (from, to) in [("{#", "#}"), ("{%", "%}"), ("{{", "}}"), ("<!--", "-->")] {
        text = without(&text, from, to);
    }
    let mut read = without(&text, "<", ">");
    for attribute in ["aria-label=\"", "alt=\"", "title=\"", "placeholder=\"", "data-of=\""] {
        for value in text.split(attribute).skip(1) {
            read.push(' ');
            read.push_str(value.split('"').next().unwrap_or_default());
        }
    }
    // Defaults of macros and lists of a loop are English inside a tag of the engine.
    for inside in template.split("{%").skip(1).chain(template.split("{{").skip(1)) {
        let inside = inside.split(['%', '}']).next().unwrap_or_default();
        let quoted = inside
            .split('"')
            .skip(1)
            .step_by(2)
            .filter(|text| text.contains(' ') || text.starts_with(char::is_uppercase));
        quoted.for_each(|text| read.push_str(&format!(" {text}")));
    }
    read.split(|c: char| !c.is_alphabetic()).filter(|word| word.chars().count() > 1).map(str::to_owned).collect()
}

fn without(text: &str, from: &str, to: &str) -> String {
    let mut pieces = text.split(from);
    let first = pieces.next().unwrap_or_default().to_owned();
    pieces.fold(first, |all, piece| all + " " + piece.split_once(to).map_or("", |(_, rest)| rest))
}

#[test]
fn templates_hold_no_words_of_their_own() {
    assert_eq!(
        words_of("<p aria-label=\"To read\">{{ x }} Words{% if a == \"Two b\" %}{# no #}</p>"),
        ["Words", "To", "read", "Two"]
    );
    let mut breaches = Vec::new();
    for (path, text) in files("site/templates", "html") {
        let text = OWN_TEXTS.iter().fold(text, |text, (own, _)| text.replace(own, ""));
        breaches.extend(words_of(&text).into_iter().map(|word| format!("{path}: {word}")));
    }
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
}

#[test]
fn each_label_is_used() {
    let mut sources = String::new();
    for (folder, ending) in [("src", "rs"), ("site/templates", "html"), ("site/job", "js")] {
        for (path, text) in files(folder, ending) {
            if !path.contains("src/labels") {
                sources.extend(text.chars().filter(|c| !c.is_whitespace()));
            }
        }
    }
    let dead: Vec<String> = catalogue().into_keys().filter(|name| !is_used(name, &sources)).collect();
    assert!(dead.is_empty(), "nothing uses {}", dead.join(", "));
}

/// Whether a label is named by its group, or its whole group is looked up by what a record or a checklist says.
fn is_used(name: &str, sources: &str) -> bool {
    let (group, label) = name.split_once('.').expect("a group");
    // The page's own are held by a test of theirs.
    if group == "page" || ["row", "outcomes", "events", "typed", "handover", "term"].contains(&group) {
        return true;
    }
    // Values that may be unknown are looked up by their words; a test of theirs holds that each is found.
    if group == "unjudged"
        && [
            "colour",
            "condition",
            "count",
            "chassis",
            "distance",
            "into",
            "onto",
            "lever",
            "fastenerThread",
            "fastenerDrive",
        ]
        .contains(&label)
    {
        return true;
    }
    let snake: String = label
        .chars()
        .flat_map(|c| if c.is_uppercase() { vec!['_', c.to_ascii_lowercase()] } else { vec![c] })
        .collect();
    let upper = group.to_uppercase();
    let groups = [format!("labels.{group}.{label}"), format!("WORDS.{group}.{label}")];
    let code = [
        format!("spoken().{group}.{snake}"),
        format!("{upper}.{snake}"),
        format!("labels.{snake}"),
        format!("{group}.{snake}"),
    ];
    groups.iter().chain(&code).any(|one| sources.contains(one.as_str()))
}

/// What words something that gets on outputs, besides `src/emit`: folders, and files.
const WORDING: &[&str] = &[
    "src/emit",
    "src/record/summary",
    "src/record/criteria.rs",
    "src/quantity/display.rs",
    "src/tailor/left_out.rs",
    "src/tailor/mentions.rs",
];

/// Files whose literals are no words of ours, and why.
const OTHER_TEXT: &[(&str, &str)] = &[("src/emit/face/mod.rs", "names of faces, their licence, and styles")];

/// Lines that hold text for whoever runs the compiler, styles, types of linked data, or symbols and spellings of units.
const OTHER_LINES: &[&str] = &[
    "EmitError::",
    "Error::new(",
    "@page",
    "@top-left",
    "@bottom",
    "font:",
    "HowTo",
    "#[",
    "include_",
    "reason =",
    "{gap}min",
    "(Kind::",
];

/// String literals of a line of code outside comments.
fn literals(line: &str) -> Vec<String> {
    let code = line.split("// ").next().unwrap_or_default();
    let code = if code.trim_start().starts_with("//") { "" } else { code };
    code.replace("'\"'", "").replace("\\\"", "'").split('"').skip(1).step_by(2).map(str::to_owned).collect()
}

/// The classes that drawings give to what they draw.
fn drawn_as() -> BTreeSet<String> {
    let styles = fs::read_to_string(top("site/styles/drawing.css")).expect("the styles of drawings");
    // A way through a branch and a dimension line have no style of their own: they are marked so that tests find them.
    named(&styles, "\n.drawing .").into_iter().chain(["way".to_owned(), "dim".to_owned()]).collect()
}

/// Whether a literal is English: a word beside a blank, one that begins as a sentence does, or one that joins a list. Places,
/// markup with its attributes, and the classes of a drawing are none.
fn is_english(literal: &str, classes: &BTreeSet<String>) -> bool {
    let bare = without(&without(&literal.replace("\\u{", ""), "{", "}"), "<", ">");
    let letters = |(a, b): (char, char)| a.is_ascii_alphabetic() && b.is_ascii_alphabetic();
    let word = |piece: &str| piece.chars().zip(piece.chars().skip(1)).any(letters) && !piece.contains("='");
    let is_style = literal.split(' ').all(|piece| classes.contains(piece));
    let spaced = literal.contains(' ') && !is_style && bare.split(' ').any(word) || ["and", "or"].contains(&literal);
    let mut letters = literal.chars();
    let capital = letters.next().is_some_and(|c| c.is_ascii_uppercase())
        && letters.next().is_some_and(|c| c.is_ascii_lowercase());
    spaced || capital
}

#[test]
fn the_code_of_the_outputs_writes_no_english() {
    let classes = drawn_as();
    for (literal, english) in [
        ("Bag", true),
        ("stud {stud}", true),
        (" or ", true),
        ("step-{}", false),
        ("{} × {}", false),
        ("strong", false),
        ("or", true),
        ("paper part", false),
        ("paper parts", true),
        ("M{} {}l-3.2 -1.3v2.6z", false),
        (" text-anchor='middle'", false),
    ] {
        assert_eq!(is_english(literal, &classes), english, "{literal}");
    }
    let mut breaches = Vec::new();
    let (mut seen, mut drawn) = (0, 0);
    for (path, text) in WORDING.iter().flat_map(|of| files(of, "rs")) {
        if OTHER_TEXT.iter().any(|(other, _)| path.contains(other)) {
            continue;
        }
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        for line in code.lines().filter(|line| !OTHER_LINES.iter().any(|other| line.contains(other))) {
            let literals = literals(line);
            seen += literals.len();
            drawn += if path.contains("src/emit/drawing/") { literals.len() } else { 0 };
            breaches.extend(
                literals.into_iter().filter(|one| is_english(one, &classes)).map(|one| format!("{path}: {one}")),
            );
        }
    }
    assert!(seen > 200 && drawn > 100, "the search finds nothing");
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
}

/// Words that the judge's messages leave to others, and the label's word that they take.
const OTHER_WORDS: &[(&str, &str)] = &[
    ("gives the job up", "broken off"),
    ("given up", "broken off"),
    ("not met", "failed"),
    ("acknowledge", "read"),
    ("picture", "photograph"),
    ("snug", "finger-tight"),
    ("went over to", "carry on under"),
];

#[test]
fn the_judges_messages_call_things_as_the_labels_do() {
    let texts = catalogue().into_values().map(|text| text.to_lowercase()).collect::<Vec<_>>().join("\n");
    for (_, ours) in OTHER_WORDS {
        assert!(texts.contains(ours), "no label says {ours}");
    }
    let code = ["src/record/words", "src/record/does.rs", "src/cli/record.rs"].map(|place| files(place, "rs"));
    let code = code.into_iter().flatten();
    let told = code.map(|(path, text)| (path, text.lines().flat_map(literals).collect::<Vec<_>>().join("\n")));
    let pages = files("site/findings", "md").into_iter().filter(|(path, _)| path.contains("FW14"));
    let prose = |line: &&str| !line.starts_with(['{', '`']);
    let pages = pages.map(|(path, text)| (path, text.lines().filter(prose).collect::<Vec<_>>().join("\n")));
    let all: Vec<(String, String)> = told.chain(pages).collect();
    assert!(all.iter().any(|(_, text)| text.contains("breaks the job off")), "the search finds nothing");
    for (path, text) in all {
        for (other, ours) in OTHER_WORDS {
            assert!(!text.to_lowercase().contains(other), "{path} says “{other}”; the labels say “{ours}”");
        }
    }
}
