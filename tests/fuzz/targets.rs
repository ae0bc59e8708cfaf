//! What hostile bytes are given to, and what must hold whatever they are. Each function takes any bytes, and panics where the
//! program does or where something that must hold does not. `fuzz_targets` has a fuzzer of each; `tests/fuzzed.rs` gives each its
//! seeds.

use std::sync::OnceLock;

use fitwright::compare;
use fitwright::compile::{self, Compiled};
use fitwright::desk::Desk;
use fitwright::diagnostics::render::{Style, human};
use fitwright::diagnostics::{Finding, apply};
use fitwright::fit::{Fit, Judge, Records, csv_lines, json_lines, text_lines};
use fitwright::labels::language_of;
use fitwright::record::{self, Beside};
use fitwright::source::Sources;
use fitwright::world::Memory;
use fitwright::{audit, format, intake, po, xliff};

/// What takes any bytes.
pub type Target = fn(&[u8]);

/// By name, so that the fuzzers and the test of the seeds have the same.
pub const ALL: [(&str, Target); 11] = [
    ("format", formatted),
    ("compile", compiled),
    ("library", library),
    ("desk", desk),
    ("draft", draft),
    ("compare", compared),
    ("words", words),
    ("table", table),
    ("checklist", checklist),
    ("record", judged),
    ("archive", archive),
];

const KESTREL: &str = include_str!("../../procedures/kestrel-rack.fitw");
const RAIL: &[u8] = include_bytes!("../../procedures/figures/kestrel-rail.svg");
const CHECKLIST: &str = include_str!("../../procedures/records/checklist.json");

fn world(bytes: &[u8]) -> Memory {
    Memory::default()
        .with("a.fitw", bytes)
        .with("figures/kestrel-rail.svg", RAIL)
        .with("lib/rails.fitw", include_str!("../../procedures/family/lib/rails.fitw"))
        .with("lib/wiring.fitw", include_str!("../../procedures/family/lib/wiring.fitw"))
}

fn kestrel() -> &'static Compiled {
    static KESTREL_READ: OnceLock<Compiled> = OnceLock::new();
    KESTREL_READ.get_or_init(|| {
        let world = Memory::default().with("k.fitw", KESTREL).with("figures/kestrel-rail.svg", RAIL);
        compile::check("k.fitw", &world)
    })
}

/// Findings can be shown, lie inside their files, and their edits can be made.
fn can_be_told(findings: &[Finding], sources: &Sources) {
    for finding in findings {
        for label in &finding.labels {
            let file = sources.get(label.span.file).expect("a file that was read");
            assert!(label.span.start <= label.span.end && label.span.end as usize <= file.text.len());
            assert!(file.text.is_char_boundary(label.span.start as usize));
            assert!(file.text.is_char_boundary(label.span.end as usize));
        }
        assert!(!finding.message.is_empty());
        for one in &finding.fixes {
            for edit in &one.edits {
                let file = sources.get(edit.span.file).expect("a file that was read");
                apply(&file.text, std::slice::from_ref(edit)).expect("an edit that can be made");
            }
        }
    }
    assert!(findings.is_empty() == human(findings, sources, Style::default()).is_empty());
}

/// What can be formatted is as it was when it is formatted again, and says the same.
pub fn formatted(bytes: &[u8]) {
    let Ok(once) = format::format_bytes(bytes) else { return };
    assert_eq!(format::format(&once).expect("what was formatted can be read"), once);
}

/// Whatever is read is told, and what is clean can be built.
pub fn compiled(bytes: &[u8]) {
    let compiled = compile::check("a.fitw", &world(bytes));
    can_be_told(compiled.findings(), compiled.sources());
    assert!(compiled.clean().is_none() || !compiled.has_errors());
    if let Some(built) = compile::build(&compiled) {
        let outputs = built.expect("what is clean can be built");
        let checklist = std::str::from_utf8(outputs.file("checklist.json").expect("a checklist")).expect("UTF-8");
        record::read_checklist(checklist).expect("our own reader takes our own checklist");
    }
}

/// The page of a library.
pub fn library(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    audit::faults(text);
    audit::page("A library", [("a", text)].into_iter());
}

/// Everything that an editor asks of a text, at the place that the first two bytes say.
pub fn desk(bytes: &[u8]) {
    let Some((place, text)) = bytes.split_first_chunk::<2>() else { return };
    let Ok(text) = std::str::from_utf8(text) else { return };
    let (desk, _) = Desk::open("a.fitw", &world(text.as_bytes()));
    let mut at = usize::from(u16::from_le_bytes(*place)) % (text.len() + 1);
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    desk.completions(text, at);
    desk.hover(at, None);
    desk.hints();
    desk.colours(text);
    if let Some((_, thing)) = desk.thing_at(at) {
        desk.places_of(thing);
    }
    fitwright::desk::outline(text);
    fitwright::desk::folds(text);
    fitwright::desk::links(text);
}

/// A draft of any text can be read and formatted.
pub fn draft(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    match intake::take_in("a", "A", "2026-11-02", text) {
        Ok(taken) => assert_eq!(format::format(&taken.text).expect("a draft can be read"), taken.text),
        Err(refusal) => assert_ne!(refusal, intake::Refusal::Unreadable),
    }
}

/// Two texts, parted by a line of equals signs.
pub fn compared(bytes: &[u8]) {
    let at = bytes.windows(5).position(|five| five == b"\n===\n");
    let (old, new) = at.map_or((bytes, bytes), |at| (&bytes[..at + 1], &bytes[at + 5..]));
    let found = compare::compare(("a.fitw", &world(old)), ("a.fitw", &world(new)));
    if let (Ok(comparison), true) = (found, old == new) {
        assert!(comparison.is_of_words() && comparison.of_safety().next().is_none());
    }
}

/// A translation in either form. What was read is the same when it was written and read again.
pub fn words(bytes: &[u8]) {
    let read = if xliff::is_one(bytes) { xliff::read(bytes) } else { po::read(bytes) };
    let Ok(file) = read else { return };
    let again = po::read(po::write(&file).as_bytes()).expect("what we write can be read");
    assert_eq!(po::write(&again), po::write(&file));
    let german = language_of("de").expect("German");
    let procedure = kestrel().clean().expect("the demo is clean");
    let _ = fitwright::translate::translated(procedure, &file, german);
}

/// A table of vehicles for the demo.
pub fn table(bytes: &[u8]) {
    let procedure = kestrel().clean().expect("the demo is clean");
    let heads = ["maker", "roof-rating [kg]", "ladder-mass", "arm", "side"].map(str::to_owned);
    let fit = Fit::new(procedure, &heads, &[], None).expect("a head that can be used");
    let mut judge = Judge::of(&fit);
    let mut records = Records::default();
    let mut found = Vec::new();
    for line in bytes.split_inclusive(|byte| *byte == b'\n').take(64) {
        found.extend(records.line(line));
    }
    found.extend(records.end());
    for record in found {
        let answer = judge.row(record);
        let mut out = String::new();
        json_lines(&judge, &answer, &mut out);
        for line in out.lines() {
            serde_json::from_str::<serde_json::Value>(line).expect("a line of JSON");
        }
        csv_lines(&judge, &answer, &mut out);
        text_lines(&judge, &answer, &mut out);
    }
}

/// A checklist of anybody, with an empty record.
pub fn checklist(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let read = record::read_checklist(text);
    let judgement = record::judge(text, "", Beside::default());
    assert!(read.is_ok() || judgement.definition.is_none());
}

/// A record of anybody, by the checklist of the demo: judged, told, and summed up.
pub fn judged(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let judgement = record::judge(CHECKLIST, text, Beside::default());
    let mut sources = Sources::default();
    let (checklist, record) = (sources.add("c.json", CHECKLIST), sources.add("r.jsonl", text));
    let findings = record::words::findings(&judgement, &sources, checklist, record);
    can_be_told(&findings, &sources);
    assert!(!judgement.verdicts().is_empty());
    if let Some(page) = record::view(&judgement, &findings, &sources) {
        fitwright::emit::record_summary(&page).expect("a page");
    }
}

/// A record with its photographs.
pub fn archive(bytes: &[u8]) {
    if record::archive::is_one(bytes)
        && let Ok(parts) = record::archive::read(bytes)
    {
        judged(parts.record);
    }
}
