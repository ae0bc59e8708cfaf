//! Jobs that a driver makes up for the demo procedures: their records are complete, and any change of one shows.

mod driver;
mod summary;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use driver::{Chance, End, Job, drive};
use fitwright::compile;
use fitwright::record::{self, Beside, Judgement, Outcome, Verdict};
use fitwright::world::{ReadFault, World};
use proptest::prelude::*;
use serde_json::Value;

struct Project(PathBuf);

impl World for Project {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        std::fs::read(self.0.join(path)).map_err(|_| ReadFault::Missing)
    }
}

/// The checklists of the demo procedures.
fn checklists() -> &'static [(String, String, Value)] {
    static ALL: std::sync::OnceLock<Vec<(String, String, Value)>> = std::sync::OnceLock::new();
    ALL.get_or_init(|| {
        let top = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut all = Vec::new();
        let entries = std::fs::read_dir(top.join("procedures")).expect("the demos");
        let mut names: Vec<String> =
            entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
        names.retain(|name| name.ends_with(".fitw"));
        names.sort();
        for file in names {
            let compiled = compile::check(&file, &Project(top.join("procedures")));
            let outputs = compile::build(&compiled).unwrap_or_else(|| panic!("{file} has errors")).expect("outputs");
            let (_, bytes) = outputs.files.iter().find(|(name, _)| name == "checklist.json").expect("a checklist");
            let text = String::from_utf8(bytes.clone()).expect("text");
            let value = serde_json::from_str(&text).expect("JSON");
            all.push((file, text, value));
        }
        all
    })
}

fn record(lines: &[String]) -> String {
    lines.iter().map(|line| format!("{line}\n")).collect()
}

fn judge(checklist: &str, record: &str) -> Judgement {
    record::judge(checklist, record, Beside::default())
}

fn a_job(which: usize, seed: u64) -> (&'static str, Job) {
    let (_, text, value) = &checklists()[which % checklists().len()];
    (text, drive(value, seed))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_job_by_the_book_is_complete(which in any::<usize>(), seed in any::<u64>()) {
        let (checklist, job) = a_job(which, seed);
        let judged = judge(checklist, &record(&job.lines));
        prop_assert_eq!(judged.verdicts(), vec![Verdict::Complete], "{:?}", judged.said);
        let outcome = if job.end == End::HandedOver { Outcome::HandedOver } else { Outcome::Stopped };
        prop_assert_eq!(judged.outcome, outcome);
        let steps: Vec<&String> = judged.path.iter().map(|one| &one.step).collect();
        prop_assert_eq!(steps, job.steps.iter().collect::<Vec<_>>());
    }

    #[test]
    fn a_byte_changed_is_altered(which in any::<usize>(), seed in any::<u64>(), at in any::<u64>(), to in any::<u8>()) {
        let (checklist, job) = a_job(which, seed);
        let mut bytes = record(&job.lines).into_bytes();
        let at = (at % bytes.len() as u64) as usize;
        prop_assume!(bytes[at] != to);
        bytes[at] = to;
        // What is not UTF-8 any more is refused before it is judged.
        if let Ok(text) = String::from_utf8(bytes) {
            prop_assert!(judge(checklist, &text).verdicts().contains(&Verdict::Altered));
        }
    }

    /// The chain shows it; and where somebody makes a new chain, what is missing shows, unless the event was a remark,
    /// the correction of a value that was good before, or an answer to a job that stopped: nothing that was done may rest on it.
    #[test]
    fn an_event_dropped_is_said(which in any::<usize>(), seed in any::<u64>(), at in any::<u64>()) {
        let (checklist, job) = a_job(which, seed);
        let mut lines = job.lines.clone();
        let at = (at % lines.len() as u64) as usize;
        let dropped: Value = serde_json::from_str(&lines.remove(at)).expect("JSON");
        prop_assert!(!judge(checklist, &record(&lines)).verdicts().contains(&Verdict::Complete));
        let judged = judge(checklist, &record(&sealed_anew(&lines)));
        let harmless = ["note", "correct", "withdraw"].contains(&dropped["type"].as_str().expect("a type"))
            || (dropped["type"] == "answer" && job.end != End::HandedOver);
        let twice = twice(&job.lines, &dropped);
        prop_assert!(harmless || twice || !judged.verdicts().contains(&Verdict::Complete), "{}", dropped);
    }

    #[test]
    fn two_lines_swapped_are_altered(which in any::<usize>(), seed in any::<u64>(), at in any::<u64>()) {
        let (checklist, job) = a_job(which, seed);
        let mut lines = job.lines;
        let at = (at % (lines.len() as u64 - 1)) as usize;
        lines.swap(at, at + 1);
        prop_assert!(judge(checklist, &record(&lines)).verdicts().contains(&Verdict::Altered));
    }

    /// Whatever stands in the files, there is an answer.
    #[test]
    fn no_input_ends_the_program(which in any::<usize>(), seed in any::<u64>(), cuts in prop::collection::vec((any::<u64>(), ".{0,8}"), 1..6)) {
        let (checklist, job) = a_job(which, seed);
        let (mut text, mut list) = (record(&job.lines), checklist.to_owned());
        for (at, put) in cuts {
            for (file, at) in [(&mut text, at), (&mut list, at / 7)] {
                let mut from = (at % file.len().max(1) as u64) as usize;
                while !file.is_char_boundary(from) {
                    from -= 1;
                }
                file.insert_str(from, &put);
            }
        }
        judge(checklist, &text);
        judge(&list, &record(&job.lines));
    }
}

/// Whether a value was written again after it had been withdrawn: then one of the two is one too many. So it is where a check was
/// read several times and a later correction led the job anew: the readings that are left may be a whole job without it.
fn twice(lines: &[String], event: &Value) -> bool {
    let same = |other: &Value| {
        ["type", "line", "input", "fastening"].iter().all(|name| event.get(name) == other.get(name))
            && event["type"] != "begin"
            && event["type"] != "done"
    };
    let withdrawn: BTreeSet<u64> = lines
        .iter()
        .filter_map(|line| serde_json::from_str::<Value>(line).ok())
        .filter(|other| other["type"] == "withdraw" || other["type"] == "correct")
        .filter_map(|other| other["event"].as_u64())
        .collect();
    let seq = event["seq"].as_u64().unwrap_or_default();
    let others = lines.iter().filter_map(|line| serde_json::from_str::<Value>(line).ok());
    let alike: Vec<u64> = others.filter(|other| same(other)).filter_map(|other| other["seq"].as_u64()).collect();
    let several = alike.len() > 1 && event["type"] == "reading";
    let led_anew = lines.iter().filter_map(|line| serde_json::from_str::<Value>(line).ok()).any(|other| {
        ["withdraw", "correct"].iter().any(|kind| other["type"] == *kind) && other["seq"].as_u64() > Some(seq)
    });
    withdrawn.contains(&seq) || alike.iter().any(|seq| withdrawn.contains(seq)) || (several && led_anew)
}

/// The same events with numbers and digests that fit; corrections name their events as before.
fn sealed_anew(lines: &[String]) -> Vec<String> {
    let mut prev = "0".repeat(64);
    let mut sealed = Vec::new();
    let mut places = std::collections::BTreeMap::new();
    for line in lines {
        let mut event: Value = serde_json::from_str(line).expect("JSON");
        let members = event.as_object_mut().expect("an object");
        members.remove("digest");
        let old = members.insert("seq".to_owned(), (sealed.len() + 1).into()).and_then(|seq| seq.as_u64());
        places.insert(old, sealed.len() as u64 + 1);
        if let Some(named) = members.get("event").and_then(Value::as_u64) {
            members.insert("event".to_owned(), places.get(&Some(named)).copied().unwrap_or(0).into());
        }
        members.insert("prev".to_owned(), prev.into());
        prev = fitwright::canonical::digest(&event);
        event["digest"] = prev.clone().into();
        sealed.push(fitwright::canonical::canonical(&event));
    }
    sealed
}

/// The driver comes to handovers, stops and repairs, so that the properties above are about all of them.
#[test]
fn the_driver_goes_everywhere() {
    let mut seen = BTreeSet::new();
    for which in 0..checklists().len() {
        for seed in 0..150 {
            let (_, job) = a_job(which, seed);
            seen.insert(format!("{which} {}", if job.end == End::HandedOver { "handed over" } else { "stopped" }));
            let again: BTreeSet<&String> = job.steps.iter().collect();
            if again.len() < job.steps.len() {
                seen.insert("repaired".to_owned());
            }
        }
    }
    assert_eq!(seen.len(), 2 * checklists().len() + 1, "{seen:?}");
    let mut chance = Chance::new(1);
    assert!((0..100).map(|_| chance.below(4)).collect::<BTreeSet<_>>().len() == 4);
}

/// `FITWRIGHT_RECORDS=DIR cargo test --test all record::samples` writes records to look at.
#[test]
fn samples() {
    let Some(folder) = std::env::var_os("FITWRIGHT_RECORDS") else { return };
    let folder = PathBuf::from(folder);
    std::fs::create_dir_all(&folder).expect("a folder");
    for (which, (file, text, _)) in checklists().iter().enumerate() {
        let name = file.trim_end_matches(".fitw");
        std::fs::write(folder.join(format!("{name}.json")), text).expect("written");
        for seed in 0..4 {
            let (_, job) = a_job(which, seed);
            std::fs::write(folder.join(format!("{name}-{seed}.jsonl")), record(&job.lines)).expect("written");
        }
    }
}

/// A record of the smallest vector with more events between its first line and its second.
fn with_events(more: &[Value]) -> (String, String) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/conformance/15-good");
    let text = |file: &str| std::fs::read_to_string(folder.join(file)).expect("a vector");
    let mut lines: Vec<String> = text("record.jsonl").lines().map(str::to_owned).collect();
    let model: Value = serde_json::from_str(&lines[0]).expect("JSON");
    let also = more.iter().map(|event| {
        let mut event = event.clone();
        event["at"] = model["at"].clone();
        event["by"] = model["by"].clone();
        event.to_string()
    });
    let at = lines.len() - 1;
    lines.splice(at..at, also);
    (text("checklist.json"), record(&sealed_anew(&lines)))
}

#[test]
fn hostile_sizes_are_refused_before_they_cost_anything() {
    let note = |text: String| serde_json::json!({"type": "note", "text": text});
    let correct =
        serde_json::json!({"type": "correct", "event": 7, "amount": {"value": "46", "unit": "mm"}, "reason": "Again"});
    let refused = |more: &[Value]| {
        let (checklist, record) = with_events(more);
        judge(&checklist, &record).verdicts()
    };
    let unreadable = vec![Verdict::Unreadable];
    assert_eq!(refused(&[note("plain".to_owned())]), [Verdict::Complete]);
    assert_eq!(refused(&[note("x".repeat(4001))]), unreadable);
    assert_eq!(refused(&[note("x".repeat(70_000))]), unreadable);
    assert_eq!(refused(&vec![correct.clone(); 500]), [Verdict::Complete], "each of them corrects a reading");
    assert_eq!(refused(&vec![correct; 501]), unreadable);

    let (checklist, record) = with_events(&[]);
    let first = record.lines().next().expect("a line");
    let deep =
        first.replacen("\"job\":\"", &format!("\"x-deep\":{}{},\"job\":\"", "[".repeat(9000), "]".repeat(9000)), 1);
    assert_eq!(judge(&checklist, &format!("{deep}\n")).verdicts(), [Verdict::Altered]);
    let deep = checklist.replacen('{', &format!("{{\"x-deep\":{}{},", "[".repeat(9000), "]".repeat(9000)), 1);
    assert_eq!(judge(&deep, &record).verdicts(), unreadable);
}

/// Numbers that 128 bits cannot hold leave what depends on them undecided; they end nothing.
#[test]
fn numbers_beyond_all_measure_are_no_end() {
    let digits = "9".repeat(36);
    let checklist = with_events(&[]).0.replacen("\"value\":\"20\"", &format!("\"value\":\"{digits}\""), 1);
    assert!(checklist.contains(&digits), "the checklist has no such value any more");
    let judged = judge(&checklist, &with_events(&[]).1);
    assert!(!judged.verdicts().contains(&Verdict::Complete));
    let factor = checklist.replace("\"factor\":\"0.001\"", &format!("\"factor\":\"{digits}.5\""));
    assert!(factor.contains(&format!("{digits}.5")), "the checklist has no such factor any more");
    assert!(!judge(&factor, &with_events(&[]).1).verdicts().contains(&Verdict::Complete));
}
