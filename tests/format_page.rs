//! `site/checklist-format.md` is true to the code: it names every member and every word of a closed list of the schema, and its
//! worked example is what the compiler makes and what the judge calls complete.
//!
//! `FITWRIGHT_WRITE_EXAMPLE=1 cargo test --test all format_page::` writes the checklist and the seals of the example anew, from the
//! procedure and the events that stand in the page.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use fitwright::emit::checklist::{self, Checklist};
use fitwright::record::{self, Beside, Verdict};
use fitwright::schema::For;
use fitwright::world::Memory;
use fitwright::{canonical, compile};
use serde_json::{Value, json};

fn path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("site/checklist-format.md")
}

fn page() -> String {
    std::fs::read_to_string(path()).expect("the page")
}

/// Where the only block of a language stands in the page.
fn block(page: &str, language: &str) -> std::ops::Range<usize> {
    let opening = format!("\n```{language}\n");
    assert_eq!(page.matches(&opening).count(), 1, "one block of {language}");
    let start = page.find(&opening).expect("a block") + opening.len();
    start..start + page[start..].find("```").expect("its end")
}

/// The checklist that the compiler makes of the page's procedure.
fn made(page: &str) -> String {
    let world = Memory::default().with("lamp-bracket.fitw", &page[block(page, "fitw")]);
    let compiled = compile::check("lamp-bracket.fitw", &world);
    assert!(compiled.findings().is_empty(), "{:?}", compiled.findings());
    let outputs = compile::build(&compiled).expect("no error").expect("outputs");
    let (_, bytes) = outputs.files.iter().find(|(name, _)| name == "checklist.json").expect("a checklist");
    String::from_utf8(bytes.clone()).expect("UTF-8")
}

#[test]
fn the_worked_example_is_what_the_compiler_makes_and_its_record_is_complete() {
    let mut page = page();
    let made = made(&page);
    if std::env::var_os("FITWRIGHT_WRITE_EXAMPLE").is_some() {
        page = anew(page, &made);
        std::fs::write(path(), &page).expect("written");
    }
    let shown = &page[block(&page, "json")];
    // Any change of the program or its standard library gives other marks of the build; the example need not follow those.
    let value = |text: &str| {
        let mut value: Value = serde_json::from_str(text).expect("JSON");
        (value["compiler"], value["source_digest"]) = (Value::Null, Value::Null);
        value
    };
    let stale =
        "is stale: run `FITWRIGHT_WRITE_EXAMPLE=1 cargo test --test all format_page::` and look at the difference";
    assert!(value(shown) == value(&made), "the example's checklist {stale}");
    serde_json::from_str::<Checklist>(shown).expect("a checklist");
    let judged = record::judge(shown, &page[block(&page, "jsonl")], Beside::default());
    assert_eq!(judged.verdicts(), [Verdict::Complete], "the example's record {stale}\n{:?}", judged.said);
    let path: Vec<(String, u32)> = judged.path.iter().map(|one| (one.step.clone(), one.occasion)).collect();
    let wanted = [("place", 1), ("clear", 1), ("shift", 1), ("clear", 2), ("torque", 1)];
    assert_eq!(path, wanted.map(|(step, occasion)| (step.to_owned(), occasion)));
}

/// A record that says anything else than the example's is not complete: the example is judged, not waved through.
#[test]
fn the_worked_example_spoilt_is_not_complete() {
    let page = page();
    let (list, record) = (&page[block(&page, "json")], &page[block(&page, "jsonl")]);
    for (from, to) in [("\"8\"", "\"4\""), ("\"9\"", "\"11\""), ("A. Fitter", "B. Fitter"), ("handed-over", "stopped")]
    {
        let judged = record::judge(list, &record.replace(from, to), Beside::default());
        assert!(!judged.verdicts().contains(&Verdict::Complete), "{from} to {to}");
    }
}

/// What the compiler and the seals of the page's events come to, in the page.
fn anew(mut page: String, made: &str) -> String {
    page.replace_range(block(&page, "json"), &narrow(made));
    let list: Value = serde_json::from_str(made).expect("JSON");
    let mut contents = BTreeMap::new();
    steps(&list["flow"], &mut contents);
    let (mut prev, mut lines) = ("0".repeat(64), String::new());
    for line in page[block(&page, "jsonl")].lines() {
        let mut event: Value = serde_json::from_str(line).expect("an event");
        event.as_object_mut().expect("an object").remove("digest");
        if event["type"] == "open" {
            event["checklist"]["digest"] = json!(canonical::digest(&list));
        }
        if event["type"] == "begin" {
            event["content"] = contents[event["step"].as_str().expect("a step")].clone();
        }
        event["prev"] = json!(prev);
        prev = canonical::digest(&event);
        event["digest"] = json!(prev);
        lines.push_str(&canonical::canonical(&event));
        lines.push('\n');
    }
    page.replace_range(block(&page, "jsonl"), &lines);
    page
}

fn steps(value: &Value, found: &mut BTreeMap<String, Value>) {
    if let (Some(id), Some(content)) = (value.get("id").and_then(Value::as_str), value.get("content_digest")) {
        found.insert(id.to_owned(), content.clone());
    }
    match value {
        Value::Object(members) => members.values().for_each(|value| steps(value, found)),
        Value::Array(values) => values.iter().for_each(|value| steps(value, found)),
        _ => {}
    }
}

/// Widest line of the example's checklist, where a line can be shorter.
const WIDE: usize = 190;

/// Pretty JSON in fewer lines: what fits on one stands on one. The order of members stays.
fn narrow(pretty: &str) -> String {
    let lines: Vec<&str> = pretty.lines().collect();
    let mut out = String::new();
    let mut at = 0;
    while at < lines.len() {
        let line = lines[at];
        let indent = line.len() - line.trim_start().len();
        let closes = |other: &&str| other.len() - other.trim_start().len() == indent;
        let end = if line.ends_with(['{', '[']) {
            at + 1 + lines[at + 1..].iter().position(closes).expect("an end")
        } else {
            at
        };
        let inner = lines[at..=end].iter().map(|part| part.trim());
        let one = inner.fold(String::new(), |text, part| {
            let gap = if text.ends_with(',') { " " } else { "" };
            text + gap + part
        });
        if indent + one.chars().count() <= WIDE && end < lines.len() - 1 {
            out.push_str(&" ".repeat(indent));
            out.push_str(&one);
            at = end;
        } else {
            out.push_str(line);
        }
        out.push('\n');
        at += 1;
    }
    out
}

/// Whatever stands between backticks in the page, in words: `{id, title}` names two members.
fn named(page: &str) -> BTreeSet<String> {
    let code = page.split('`').skip(1).step_by(2);
    let words =
        code.flat_map(|code| code.split(|letter: char| !letter.is_ascii_alphanumeric() && !"_-".contains(letter)));
    words.map(str::to_owned).collect()
}

#[test]
fn the_page_names_every_member_and_every_word_of_the_schemas() {
    // Without the example, which names members without saying what they are.
    let page = page();
    let page = page.split("## 4. A worked example").next().expect("the text");
    let named = named(&page.replace("```", ""));
    let mut missing = Vec::new();
    for schema in [checklist::schema(For::Writers), record::schema(For::Writers)] {
        let schema: Value = serde_json::from_str(&schema).expect("JSON");
        let mut members = BTreeSet::new();
        let mut words = BTreeSet::new();
        collect(&schema, &mut members, &mut words);
        assert!(members.len() > 30, "{members:?}");
        missing.extend(members.union(&words).filter(|name| !named.contains(*name)).cloned());
    }
    assert!(missing.is_empty(), "site/checklist-format.md does not name {missing:?}");
}

/// Names of members, and the words that a member may hold.
fn collect(schema: &Value, members: &mut BTreeSet<String>, words: &mut BTreeSet<String>) {
    match schema {
        Value::Object(object) => {
            for (name, value) in object {
                match (name.as_str(), value) {
                    ("properties", Value::Object(properties)) => members.extend(properties.keys().cloned()),
                    ("const", Value::String(word)) => words.extend([word.clone()]),
                    ("enum", Value::Array(all)) => {
                        words.extend(all.iter().filter_map(Value::as_str).map(str::to_owned))
                    }
                    _ => {}
                }
                collect(value, members, words);
            }
        }
        Value::Array(values) => values.iter().for_each(|value| collect(value, members, words)),
        _ => {}
    }
}
