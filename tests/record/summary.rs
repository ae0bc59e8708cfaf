//! The page that a customer signs: what was asked for, what was found, and where the two don't agree.

use fitwright::compile;
use fitwright::record::{self, Beside, Verdict};
use fitwright::source::Sources;
use fitwright::world::Memory;
use serde_json::{Value, json};

use super::sealed_anew;

const FRAME: &str = r#"procedure frame "Frame"
revision B 2026-11-26
use std/fasteners
use std/hand-tools
option side "Loading side" { kerb "Kerb side"  road "Road side" }
given load "Load" { range 10 kg to 60 kg }
measure diagonals "Difference of the diagonals" { range 0 mm to 60 mm  reads 1 mm  with steel-rule }
measure width "Width of the rails" { range 0 mm to 300 mm  reads 1 mm  with steel-rule }
observe level "Is it level?" { yes  no }
result plates "Plates" { short "Short plates"  long "Long plates" }
limit bears "The frame bears the load" { load <= 50 kg  else stop "Too much." }
part bolt-8 bolt M8 x 30 mm, class 8.8, hex head
part nut-8 nut M8, class 8
kit { shop { 2 bolt-8, 2 nut-8 } }
joint rail "Rail" { each bolt-8, nut-8  count 2  torque 22 N.m +- 2 N.m  thread plated  grip 14 mm }
section work "Work" {
  check square "Square" {
    read diagonals, level
    expect diagonals is at most 5 mm
    expect level is yes
    repair at most 2 times {
      step shift "Shift it" {
        > Shift it.
      }
    }
    else stop "Not square."
  }
  step tight "Tighten" {
    place rail
    tighten rail with torque-wrench-3-8-drive, socket-13, hold with spanner-13
    record rail torque
  }
  step rails "Rails" { read width }
  choose width {
    0 mm to 100 mm { set plates short }
    over 100 mm { set plates long }
  }
  step lay "Lay" when plates is short {
    > Lay the short plates.
  }
  handover { sign installer }
}
"#;

fn list(source: &str, fitting: &[(&str, &str)]) -> (String, Value) {
    let compiled = compile::check("frame.fitw", &Memory::default().with("frame.fitw", source));
    let outputs = if fitting.is_empty() {
        compile::build(&compiled).unwrap_or_else(|| panic!("{:?}", said(&compiled))).expect("outputs")
    } else {
        let wishes: Vec<_> = fitting
            .iter()
            .map(|(name, value)| fitwright::tailor::Wish { name: (*name).to_owned(), value: (*value).to_owned() })
            .collect();
        let build = compile::build_tailored(&compiled, &wishes);
        let build = build.unwrap_or_else(|| panic!("{:?}", said(&compiled))).expect("allowed");
        build.outputs.expect("outputs")
    };
    let (_, bytes) = outputs.files.iter().find(|(name, _)| name == "checklist.json").expect("a checklist");
    let text = String::from_utf8(bytes.clone()).expect("text");
    let value = serde_json::from_str(&text).expect("JSON");
    (text, value)
}

fn said(compiled: &compile::Compiled) -> Vec<&str> {
    compiled.findings().iter().map(|finding| finding.message.as_str()).collect()
}

fn content(value: &Value, step: &str) -> Option<String> {
    match value {
        Value::Object(members) => {
            if members.get("id").and_then(Value::as_str) == Some(step)
                && let Some(digest) = members.get("content_digest")
            {
                return digest.as_str().map(str::to_owned);
            }
            members.values().find_map(|one| content(one, step))
        }
        Value::Array(all) => all.iter().find_map(|one| content(one, step)),
        _ => None,
    }
}

/// A job: the diagonals first wrong, then right.
fn job(checklist: &Value, asked: bool, diagonals: &[&str]) -> String {
    let mut events: Vec<Value> = Vec::new();
    events.push(json!({"type": "open", "format": {"name": "fitwright-record", "version": "1.0.0"}, "job": "Van 12",
        "checklist": {"id": "frame", "revision": "B", "digest": fitwright::canonical::digest(checklist)}}));
    if asked {
        events.push(json!({"type": "answer", "input": "side", "choice": "kerb"}));
        events.push(json!({"type": "answer", "input": "load", "amount": {"value": "40", "unit": "kg"}}));
    }
    let begin = |step: &str, occasion: usize| json!({"type": "begin", "step": step, "occasion": occasion, "content": content(checklist, step).expect("the step")});
    for (at, value) in diagonals.iter().enumerate() {
        events.push(begin("square", at + 1));
        let line = "square.read.diagonals+level";
        events.push(json!({"type": "reading", "line": line, "input": "diagonals",
            "amount": {"value": value, "unit": "mm"}, "tool": "steel-rule", "instrument": "SR-7"}));
        events.push(json!({"type": "reading", "line": line, "input": "level", "choice": "yes"}));
        events.push(json!({"type": "done", "step": "square"}));
        if at + 1 < diagonals.len() {
            events.push(begin("shift", at + 1));
            events.push(json!({"type": "done", "step": "shift"}));
        }
    }
    events.push(begin("tight", 1));
    for fastening in 1..=2 {
        events.push(json!({"type": "torque", "line": "tight.record.rail", "fastening": fastening,
            "amount": {"value": "22", "unit": "N.m"}, "tool": "torque-wrench-3-8-drive", "instrument": "TW-03"}));
    }
    events.push(json!({"type": "done", "step": "tight"}));
    events.push(begin("rails", 1));
    events.push(json!({"type": "reading", "line": "rails.read.width", "input": "width", "amount": {"value": "90", "unit": "mm"}}));
    events.push(json!({"type": "done", "step": "rails"}));
    events.push(begin("lay", 1));
    events.push(json!({"type": "done", "step": "lay"}));
    events.push(json!({"type": "sign", "handover": "work.handover", "role": "Installer", "name": "A. Fitter"}));
    events.push(json!({"type": "close", "outcome": "handed-over"}));
    for event in &mut events {
        event["at"] = json!("2026-11-26T08:00:00Z");
        event["by"] = json!("A. Fitter");
    }
    let lines: Vec<String> = events.iter().map(Value::to_string).collect();
    super::record(&sealed_anew(&lines))
}

/// The page as a person reads it, its rows one a line with bars between the cells.
fn page(checklist: &str, record: &str) -> String {
    let judged = record::judge(checklist, record, Beside::default());
    assert_eq!(judged.verdicts(), [Verdict::Complete], "{:?}", judged.said);
    let view = record::view(&judged, &[], &Sources::default()).expect("a page");
    let html = String::from_utf8(fitwright::emit::record_summary(&view).expect("a page")).expect("text");
    let body = html.split_once("</style>").map_or(html.as_str(), |(_, body)| body);
    let body = body.replace("</td>", " | </td>").replace("</th>", " | </th>").replace("<tr", "\n<tr");
    let mut text = String::new();
    let mut inside = false;
    for c in body.replace('\n', " \n").chars() {
        match c {
            '<' => inside = true,
            '>' if inside => inside = false,
            c if !inside => text.push(if c == '\u{a0}' { ' ' } else { c }),
            _ => {}
        }
    }
    let lines = text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "));
    lines.filter(|line| !line.is_empty()).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_failed_reading_stands_beside_what_was_asked_for_and_is_marked() {
    let (text, value) = list(FRAME, &[]);
    let page = page(&text, &job(&value, true, &["8", "3"]));
    for row in [
        "1.1 first | Difference of the diagonals | 8 mm Read with SR-7 | at most 5 mm | ✗ failed |",
        "1.1 first | Is it level? | yes | yes | ✓ passed |",
        "1.1 after repair 1 | Difference of the diagonals | 3 mm Read with SR-7 | at most 5 mm | ✓ passed |",
        "1.2 | Rail | 22, 22 N·m Read with TW-03 | 22 N·m ± 2 N·m | ✓ passed |",
        "1.3 | Width of the rails | 90 mm | 0 to 100 mm | – |",
    ] {
        assert!(page.contains(row), "{row} is not in\n{page}");
    }
    // What may be typed is nobody's criterion.
    for range in ["0 to 60 mm", "0 to 300 mm", "10 to 60 kg"] {
        assert!(!page.contains(range), "{range} is in\n{page}");
    }
    assert!(page.contains("The frame bears the load | Load ≤ 50 kg | ✓ passed |"), "{page}");
    assert!(page.contains("Loading side | Kerb side |"), "{page}");
}

#[test]
fn the_page_says_which_fitting_it_was() {
    let (text, value) = list(FRAME, &[("side", "kerb"), ("load", "40 kg")]);
    let page = page(&text, &job(&value, false, &["5"]));
    for said in ["Loading side", "Kerb side", "40 kg"] {
        assert!(page.contains(said), "{said} is not in\n{page}");
    }
    // At the edge: at most 5 mm holds 5 mm.
    assert!(
        page.contains("1.1 | Difference of the diagonals | 5 mm Read with SR-7 | at most 5 mm | ✓ passed |"),
        "{page}"
    );
}

/// What is due again is worked out once, for the handover; the signed page and the judgement have the same words, of the joints that
/// this job has.
#[test]
fn what_is_due_again_is_signed_for() {
    let post = |name: &str, when: &str| {
        format!(
            "joint {name} \"Post, {name}\"{when} {{ each bolt-8, nut-8  torque 22 N.m +- 2 N.m  thread plated  grip 14 mm
            on vehicle  again after 50 km to 100 km or 10 h of running }}
"
        )
    };
    let joints = [
        "again after 7 d\n}\n",
        &post("kerb-post", " when side is kerb").replace("50 km to 100 km", "60 km"),
        &post("road-post", " when side is road"),
    ];
    let source = FRAME.replace("grip 14 mm }\n", &format!("grip 14 mm  {}", joints.concat()));
    assert_ne!(source, FRAME);
    let (text, value) = list(&source, &[]);
    let record = job(&value, true, &["3"]);
    let judged = record::judge(&text, &record, Beside::default());
    let view = record::view(&judged, &[], &Sources::default()).expect("a page");
    assert_eq!(judged.due, view.due);
    let plain = |text: &String| text.replace('\u{a0}', " ");
    assert_eq!(
        view.due.iter().map(plain).collect::<Vec<_>>(),
        [
            "Tighten again: Rail, 2 ×: to 22 N·m ± 2 N·m, after 7 d.",
            "Tighten again: Post, kerb-post (Loading side: kerb side): to 22 N·m ± 2 N·m, after 60 km or 10 h of running, whichever comes first.",
        ]
    );
    // So does the handover tell it, and that of the other side as well.
    let lines =
        value.pointer("/flow/0/body").and_then(Value::as_array).and_then(|body| body.last()).expect("a handover");
    let told: Vec<&str> =
        lines["lines"].as_array().expect("lines").iter().filter_map(|line| line["prose"]["text"].as_str()).collect();
    assert_eq!(told.len(), 3);
    assert!(view.due.iter().all(|due| told.contains(&due.as_str())), "{told:?}");
    let page = page(&text, &record);
    assert!(page.contains("Due after the job"), "{page}");
    assert!(page.contains("Rail, 2 ×: to 22 N·m ± 2 N·m, after 7 d."), "{page}");
    assert!(!page.contains("road-post"), "{page}");
    // A job that is broken off before its handover, or has nothing due, says nothing of it.
    let half: Vec<String> = record.lines().take(4).map(str::to_owned).collect();
    assert!(record::judge(&text, &super::record(&half), Beside::default()).due.is_empty());
    let (text, value) = list(FRAME, &[]);
    assert!(!self::page(&text, &job(&value, true, &["3"])).contains("Due after the job"));
}

/// The compiler writes the words of its conditions into the checklist, for pages; the judge words the conditions themselves.
#[test]
fn what_was_asked_for_is_worded_as_the_manual_words_it() {
    let more = "    expect level is yes
    expect not diagonals is over 40 mm
    expect not diagonals is at least 55 mm
    expect not (diagonals is over 45 mm or level is no)
    expect not diagonals is 50 mm to 60 mm
    expect diagonals is at most 12 mm or (level is yes and load is at least 20 kg)
    expect (diagonals is below 6 mm or load is over 45 kg) and (level is yes or side is road)
";
    let source = FRAME.replace("    expect level is yes\n", more);
    let (text, value) = list(&source, &[]);
    let page = page(&text, &job(&value, true, &["3"]));
    // Only the compiler knows which labels are names and keep their capital within a sentence.
    let small = page.to_lowercase();
    let check = value.pointer("/flow/0/body/0/expects_words").and_then(Value::as_array).expect("the check's words");
    assert_eq!(check.len(), 8);
    for words in check {
        let words = words.as_str().expect("words").replace('\u{a0}', " ");
        // Beside the one reading that it is about, its name is not said again.
        let short = ["Difference of the diagonals: ", "Is it level? "];
        let short =
            short.iter().filter(|name| words.matches(*name).count() == 1).find_map(|name| words.strip_prefix(name));
        let about_several = words.contains(" and ") || words.contains(" or ");
        let said = if about_several { words.as_str() } else { short.unwrap_or(&words) };
        let cell = |before: &str| small.contains(&format!("{before} {}", said.to_lowercase()));
        assert!(cell("|") || cell(";"), "{said} is not in\n{page}");
    }
    for said in ["at most 40 mm", "below 55 mm", "not 50 to 60 mm", " or (Is it level? yes and Load: at least 20 kg)"] {
        assert!(page.contains(said), "{said} is not in\n{page}");
    }
}
