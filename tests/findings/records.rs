//! The examples of the pages about records. They are the events of one job (`coat-hook.fitw`), without what only an app
//! can add; that is added here, as an app adds it. The words after `jsonl bad` say what is done to the file afterwards:
//! `line=5 from=… to=…` changes that line, `drop=6` takes it out, `pictures` puts a picture beside the record,
//! `head=…` is what the paper says, `two-roles` has the customer sign too. `json … checklist` holds members that replace those of the checklist.

use std::collections::BTreeMap;

use fitwright::canonical;
use fitwright::compile;
use fitwright::diagnostics::Finding;
use fitwright::record::{self, Beside};
use fitwright::source::Sources;
use fitwright::world::Memory;
use serde_json::{Value, json};

const JOB: &str = include_str!("coat-hook.fitw");
const PICTURE: &[u8] = b"a picture";

/// What the judge says to an example.
pub fn judged(language: &str, words: &[String], text: &str) -> (Vec<Finding>, Sources) {
    let mut checklist = checklist();
    let mut events = text.to_owned();
    if language == "json" {
        let members: Value = serde_json::from_str(text).expect("JSON");
        checklist.as_object_mut().expect("an object").extend(members.as_object().cloned().expect("members"));
        events = "{\"type\":\"open\",\"job\":\"Locker 4\"}\n".to_owned();
    }
    let options: BTreeMap<&str, &str> =
        words.iter().map(|word| word.split_once('=').unwrap_or((word.as_str(), ""))).collect();
    let known = ["line", "from", "to", "drop", "pictures", "head", "checklist", "two-roles"];
    assert!(options.keys().all(|name| known.contains(name)), "{words:?}");

    if options.contains_key("two-roles") {
        let body = checklist["flow"][0]["body"].as_array_mut().expect("a body");
        let handover = body.iter_mut().find(|node| node["kind"] == "handover").expect("a handover");
        handover["lines"][0]["who"].as_array_mut().expect("roles").push(json!("Customer"));
    }

    let mut lines = sealed(&checklist, &events);
    if let Some(line) = options.get("line") {
        let line = &mut lines[line.parse::<usize>().expect("a line") - 1];
        assert!(line.contains(options["from"]));
        *line = line.replace(options["from"], options["to"]);
    }
    if let Some(line) = options.get("drop") {
        lines.remove(line.parse::<usize>().expect("a line") - 1);
    }
    let pictures = |name: &str| (name == "hook.jpg").then(|| PICTURE.to_vec());
    let beside =
        Beside { pictures: options.contains_key("pictures").then_some(&pictures), head: options.get("head").copied() };
    let (checklist, record) = (checklist.to_string(), lines.concat());
    let mut sources = Sources::default();
    let (first, second) =
        (sources.add("checklist.json", checklist.as_str()), sources.add("job.jsonl", record.as_str()));
    let mut findings = record::words::findings(&record::judge(&checklist, &record, beside), &sources, first, second);
    if language == "json" {
        // The example shows a checklist only; that its job is not finished is not what the page is about.
        findings.retain(|finding| finding.code != fitwright::diagnostics::Code::FW1410);
    }
    (findings, sources)
}

/// Made once, since every example needs it.
fn checklist() -> Value {
    static MADE: std::sync::OnceLock<Value> = std::sync::OnceLock::new();
    MADE.get_or_init(made).clone()
}

fn made() -> Value {
    let compiled = compile::check("coat-hook.fitw", &Memory::default().with("coat-hook.fitw", JOB));
    let outputs = compile::build(&compiled).expect("a clean procedure").expect("outputs");
    let (_, bytes) = outputs.files.iter().find(|(name, _)| name == "checklist.json").expect("a checklist");
    serde_json::from_slice(bytes).expect("JSON")
}

/// The lines of a record, with what an app adds.
fn sealed(checklist: &Value, events: &str) -> Vec<String> {
    let mut prev = "0".repeat(64);
    let mut begun: BTreeMap<String, u32> = BTreeMap::new();
    let mut lines = Vec::new();
    for (at, text) in events.lines().enumerate() {
        let mut event: Value = serde_json::from_str(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        let also = added(checklist, &event, &mut begun);
        let members = event.as_object_mut().expect("an object");
        for (name, value) in also.as_object().cloned().unwrap_or_default() {
            members.entry(name).or_insert(value);
        }
        members.entry("at").or_insert(json!(format!("2026-11-25T09:{at:02}:00Z")));
        members.insert("by".to_owned(), json!("A. Fitter"));
        members.insert("seq".to_owned(), json!(at + 1));
        members.insert("prev".to_owned(), json!(prev));
        prev = canonical::digest(&event);
        event["digest"] = json!(prev);
        lines.push(canonical::canonical(&event) + "\n");
    }
    lines
}

/// Members of an event that an app knows by itself.
fn added(checklist: &Value, event: &Value, begun: &mut BTreeMap<String, u32>) -> Value {
    let name = json!({"id": "coat-hook", "revision": "A", "digest": canonical::digest(checklist)});
    match event["type"].as_str().expect("a type") {
        "open" => json!({"format": {"name": "fitwright-record", "version": "1.0.0"}, "checklist": name}),
        "revise" => json!({"checklist": name}),
        "begin" => {
            let step = event["step"].as_str().expect("a step");
            let occasion = begun.entry(step.to_owned()).or_insert(0);
            *occasion += 1;
            let steps = checklist["flow"][0]["body"].as_array().expect("a body");
            let found = steps.iter().map(|node| node.get("step").unwrap_or(node)).find(|node| node["id"] == step);
            json!({"occasion": *occasion, "content": found.expect("the step")["content_digest"]})
        }
        "photo" => json!({"media_type": "image/jpeg", "bytes": PICTURE.len(), "sha256": canonical::sha256(PICTURE)}),
        "sign" => json!({"name": "A. Fitter"}),
        _ => json!({}),
    }
}
