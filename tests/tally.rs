//! Many records counted together: figures worked by hand for jobs of the worked example of `site/checklist-format.md`, what is left
//! out, and that no order, no name and no hostile text changes what comes out. `tests/oracles/tally.py` holds the figures against numpy,
//! scipy and pandas.

use std::collections::BTreeMap;

use fitwright::canonical;
use fitwright::emit;
use fitwright::record::{self, Beside, Definition};
use fitwright::tally::{LeftOut, Line, Lists, ListsFault, One, Reading, Refused, Side, Step, Tally, Topic, Torque};
use serde_json::{Value, json};

fn checklist() -> String {
    let page = include_str!("../site/checklist-format.md");
    let start = page.find("\n```json\n").expect("the checklist") + 9;
    page[start..start + page[start..].find("```").expect("its end")].to_owned()
}

fn definition(text: &str) -> Definition {
    record::read_checklist(text).expect("a checklist")
}

/// The content digest of each step.
fn contents(value: &Value, found: &mut BTreeMap<String, Value>) {
    if let (Some(id), Some(content)) = (value.get("id").and_then(Value::as_str), value.get("content_digest")) {
        found.insert(id.to_owned(), content.clone());
    }
    match value {
        Value::Array(all) => all.iter().for_each(|one| contents(one, found)),
        Value::Object(members) => members.values().for_each(|one| contents(one, found)),
        _ => {}
    }
}

/// A record that is being written.
struct Record {
    lines: Vec<String>,
    prev: String,
    /// Seconds since eight o'clock, in thousandths.
    clock: u64,
    by: &'static str,
    contents: BTreeMap<String, Value>,
}

impl Record {
    fn of(checklist: &str, by: &'static str) -> Record {
        let list: Value = serde_json::from_str(checklist).expect("JSON");
        let mut found = BTreeMap::new();
        contents(&list["flow"], &mut found);
        let mut record = Record { lines: Vec::new(), prev: "0".repeat(64), clock: 0, by, contents: found };
        let named = json!({"id": "lamp-bracket", "revision": list["procedure"]["revision"]["mark"], "digest": canonical::digest(&list)});
        let format = json!({"name": "fitwright-record", "version": "1.1.0"});
        record.write(0, json!({"type": "open", "format": format, "checklist": named, "job": "Mower 3"}));
        record.write(1000, json!({"type": "answer", "input": "side", "choice": "left"}));
        record
    }

    fn write(&mut self, after: u64, mut event: Value) -> u64 {
        self.clock += after;
        let seconds = self.clock / 1000;
        let (hour, minute, second) = (8 + seconds / 3600, seconds / 60 % 60, seconds % 60);
        event["at"] = json!(format!("2026-11-27T{hour:02}:{minute:02}:{second:02}.{:03}Z", self.clock % 1000));
        event["seq"] = json!(self.lines.len() + 1);
        event["by"] = json!(self.by);
        event["prev"] = json!(self.prev);
        self.prev = canonical::digest(&event);
        event["digest"] = json!(self.prev);
        self.lines.push(canonical::canonical(&event));
        self.lines.len() as u64
    }

    fn begin(&mut self, step: &str, occasion: u32) {
        let content = self.contents[step].clone();
        self.write(0, json!({"type": "begin", "step": step, "occasion": occasion, "content": content}));
    }

    fn done(&mut self, after: u64, step: &str) {
        self.write(after, json!({"type": "done", "step": step}));
    }

    /// Puts the lamp on, and reads the gap: once for each value, with the repair between two.
    fn up_to_torques(mut self, gaps: &[&str]) -> Record {
        self.begin("place", 1);
        self.write(500, json!({"type": "acknowledge", "line": "place.message.hot"}));
        self.done(60_000, "place");
        for (at, gap) in gaps.iter().enumerate() {
            let occasion = at as u32 + 1;
            self.begin("clear", occasion);
            let amount = json!({"value": gap, "unit": "mm"});
            self.write(5000, json!({"type": "reading", "line": "clear.read.gap", "input": "gap", "amount": amount}));
            self.done(1000, "clear");
            if at + 1 < gaps.len() {
                self.begin("shift", occasion);
                self.done(120_000, "shift");
            }
        }
        self
    }

    fn torque(&mut self, after: u64, fastening: u32, value: &str, more: Value) -> u64 {
        let amount = json!({"value": value, "unit": "N.m"});
        let mut event =
            json!({"type": "torque", "line": "torque.record.lamp-joint", "fastening": fastening, "amount": amount});
        more.as_object().expect("members").iter().for_each(|(name, value)| event[name] = value.clone());
        self.write(after, event)
    }

    fn hand_over(mut self) -> String {
        self.done(1000, "torque");
        let by = self.by;
        self.write(10, json!({"type": "sign", "handover": "fit.handover", "role": "Installer", "name": by}));
        self.write(10, json!({"type": "close", "outcome": "handed-over"}));
        self.text()
    }

    fn text(&self) -> String {
        self.lines.iter().map(|line| format!("{line}\n")).collect()
    }
}

/// A whole job: the gaps that were read, and two torques.
fn job(checklist: &str, gaps: &[&str], torques: [&str; 2], wrench: &str) -> String {
    let mut record = Record::of(checklist, "A. Fitter").up_to_torques(gaps);
    record.begin("torque", 1);
    for (at, value) in torques.into_iter().enumerate() {
        record.torque(20_000, at as u32 + 1, value, json!({"tool": "wrench", "instrument": wrench}));
    }
    record.hand_over()
}

fn tallied(lists: &Lists, records: &[(String, String)], people: bool) -> Vec<Line> {
    let mut tally = Tally::new(lists, people);
    for (name, text) in records {
        match lists.judge(name, text, Beside::default()) {
            One::Counts(one) => tally.add(lists, name, &one),
            One::LeftOut { why, finding, sources } => {
                let at = finding.span().and_then(|span| Some(sources.get(span.file)?.position(span.start)));
                tally.leave_out(LeftOut {
                    record: name.clone(),
                    verdict: why,
                    line: at.map(|at| at.line),
                    column: at.map(|at| at.column),
                    message: finding.message.clone(),
                });
            }
        }
    }
    tally.lines(lists)
}

fn named(records: Vec<String>) -> Vec<(String, String)> {
    records.into_iter().enumerate().map(|(at, text)| (format!("{at}.jsonl"), text)).collect()
}

fn reading<'l>(lines: &'l [Line], id: &str) -> &'l Reading {
    let found = lines
        .iter()
        .find_map(|line| if let Line::Reading(one) = line { Some(one).filter(|one| one.id == id) } else { None });
    found.expect("the reading")
}

fn torques(lines: &[Line]) -> Vec<&Torque> {
    lines.iter().filter_map(|line| if let Line::Torque(one) = line { Some(one) } else { None }).collect()
}

fn step<'l>(lines: &'l [Line], id: &str) -> &'l Step {
    let found = lines
        .iter()
        .find_map(|line| if let Line::Step(one) = line { Some(one).filter(|one| one.step == id) } else { None });
    found.expect("the step")
}

fn topics(lines: &[Line]) -> Vec<Topic> {
    lines.iter().filter_map(|line| if let Line::LookFirst(one) = line { Some(one.topic) } else { None }).collect()
}

/// Three jobs, counted by hand.
#[test]
fn three_jobs_by_hand() {
    let text = checklist();
    let lists = Lists::new(vec![definition(&text)]).expect("one checklist");
    let records = named(vec![
        job(&text, &["3", "8"], ["9", "9.2"], "TW-7"),
        job(&text, &["10"], ["8.8", "9"], "TW-7"),
        job(&text, &["6"], ["8", "10"], "TW-8"),
    ]);
    let lines = tallied(&lists, &records, false);
    let Line::Tally(head) = &lines[0] else { panic!("the head") };
    assert_eq!((head.records, head.counted, head.altered), (3, 3, 0));

    // 3, 8, 10 and 6: mean 6.75, and s² = (14.0625 + 1.5625 + 10.5625 + 0.5625) / 3.
    let gap = reading(&lines, "gap");
    let values: Vec<(&str, u64)> = gap.values.iter().map(|one| (one.value.as_str(), one.count)).collect();
    assert_eq!(values, [("3", 1), ("6", 1), ("8", 1), ("10", 1)]);
    assert_eq!((gap.count, gap.mean, gap.median), (4, Some(6.75), Some(7.0)));
    assert!((gap.deviation.expect("a spread") - (26.75_f64 / 3.0).sqrt()).abs() < 1e-12);
    // The check asks for 5 mm or more: nothing from 5 to 6 but the 6.
    let [edge] = gap.edges.as_slice() else { panic!("one edge: {:?}", gap.edges) };
    assert_eq!((edge.of.as_str(), edge.side, edge.at, edge.included), ("clear", Side::Lower, 5.0, true));
    assert_eq!((edge.strip, edge.near, edge.next, edge.outside, edge.inside), (2.0, 1, 1, 1, 3));
    assert!(!edge.crowded);
    let side = reading(&lines, "side");
    assert_eq!(side.values.iter().map(|one| one.count).collect::<Vec<_>>(), [3, 0]);

    let all = torques(&lines);
    assert_eq!(all.len(), 3, "all wrenches, and two");
    assert_eq!((all[0].count, all[0].mean, all[0].outside), (6, Some(9.0), 0));
    assert_eq!((all[0].low, all[0].high, all[0].few), (Some(8.0), Some(10.0), true));
    // 8, 8.8, 9, 9, 9.2 and 10 about 9: s² = 2.08 / 5, and Cp = Cpk = 2 / 6s, since the mean is in the middle.
    let index = 2.0 / (6.0 * (2.08_f64 / 5.0).sqrt());
    assert!((all[0].cp.expect("Cp") - index).abs() < 1e-12 && (all[0].cpk.expect("Cpk") - index).abs() < 1e-12);
    let marks: Vec<Option<&str>> = all.iter().map(|one| one.wrench.as_ref()?.instrument.as_deref()).collect();
    assert_eq!(marks, [None, Some("TW-7"), Some("TW-8")]);

    let clear = step(&lines, "clear");
    assert_eq!((clear.done, clear.repairs, clear.stops, clear.median), (4, 1, 0, Some(6.0)));
    assert_eq!((step(&lines, "shift").done, step(&lines, "torque").done), (1, 3));
    assert_eq!(topics(&lines), [Topic::Repairs]);
}

#[test]
fn a_stop_belongs_to_its_step() {
    let text = checklist();
    let lists = Lists::new(vec![definition(&text)]).expect("one checklist");
    let mut record = Record::of(&text, "A. Fitter").up_to_torques(&["3", "4"]);
    record.write(10, json!({"type": "close", "outcome": "stopped", "at_stop": "clear.stop"}));
    let lines = tallied(&lists, &named(vec![record.text()]), false);
    let stop = lines.iter().find_map(|line| if let Line::Stop(one) = line { Some(one) } else { None }).expect("a stop");
    assert_eq!(
        (stop.id.as_str(), stop.count, stop.text.as_str()),
        ("clear.stop", 1, "The bracket is bent. Fit a new one.")
    );
    assert_eq!(stop.step.as_deref(), Some(step(&lines, "clear").number.as_str()));
    assert_eq!((step(&lines, "clear").stops, step(&lines, "clear").repairs), (1, 1));
}

/// What was corrected has its new value, what was withdrawn is gone, and both stand at their step. A torque that was done again and one
/// that a wrench was set to are told apart from the rest.
#[test]
fn corrections_remedies_and_clicks() {
    let text = checklist();
    let lists = Lists::new(vec![definition(&text)]).expect("one checklist");
    let mut record = Record::of(&text, "A. Fitter").up_to_torques(&["7"]);
    record.begin("torque", 1);
    record.torque(9000, 1, "12", json!({"remedy": "a new bolt"}));
    let wrong = record.torque(9000, 1, "8.1", json!({}));
    record.write(
        2000,
        json!({"type": "correct", "event": wrong, "amount": {"value": "9.1", "unit": "N.m"}, "reason": "typed wrong"}),
    );
    let gone = record.torque(9000, 2, "9.9", json!({}));
    record.write(2000, json!({"type": "withdraw", "event": gone, "reason": "the wrong bolt"}));
    record.torque(9000, 2, "9", json!({"clicked": true}));
    let lines = tallied(&lists, &named(vec![record.hand_over()]), false);
    let all = torques(&lines)[0];
    let values: Vec<&str> = all.values.iter().map(|one| one.value.as_str()).collect();
    assert_eq!(values, ["9.1", "12"]);
    assert_eq!((all.count, all.clicked, all.outside, all.remedied), (2, 1, 1, 1));
    assert_eq!((step(&lines, "torque").corrections, step(&lines, "torque").withdrawals), (1, 1));
    assert_eq!(topics(&lines), [Topic::Corrections]);
}

/// Eleven jobs that read just enough, and none that reads less: somebody reads what is asked for.
#[test]
fn readings_that_crowd_an_edge() {
    let text = checklist();
    let lists = Lists::new(vec![definition(&text)]).expect("one checklist");
    let gaps = ["5", "5", "6", "5", "6", "5", "5", "9", "12", "17", "23"];
    let records = named(gaps.iter().map(|gap| job(&text, &[gap], ["9", "9.1"], "TW-7")).collect());
    let lines = tallied(&lists, &records, false);
    let edge = &reading(&lines, "gap").edges[0];
    assert_eq!((edge.near, edge.inside, edge.crowded), (7, 11, true));
    assert_eq!(topics(&lines)[0], Topic::CrowdedEdge);
    // Spread evenly they crowd nowhere.
    let even = named((5..40).map(|gap| job(&text, &[&gap.to_string()], ["9", "9.1"], "TW-7")).collect());
    assert!(!reading(&tallied(&lists, &even, false), "gap").edges[0].crowded);
}

/// A Cpk is looked at where fifty torques say so, and not where forty-eight do.
#[test]
fn capability_needs_a_sample() {
    let text = checklist();
    let lists = Lists::new(vec![definition(&text)]).expect("one checklist");
    let jobs = |count: usize| {
        named((0..count).map(|at| job(&text, &["9"], [["8.2", "8.9"][at % 2], "9.7"], "TW-7")).collect())
    };
    let few = tallied(&lists, &jobs(24), false);
    assert!(torques(&few)[0].few && torques(&few)[0].cpk.is_some() && !topics(&few).contains(&Topic::LowCapability));
    let enough = tallied(&lists, &jobs(25), false);
    assert!(!torques(&enough)[0].few && topics(&enough).contains(&Topic::LowCapability));
}

#[test]
fn entries_that_look_made_up() {
    let text = checklist();
    let mut list: Value = serde_json::from_str(&text).expect("JSON");
    let place = "/flow/0/body/2/lines/1/does/count";
    *list.pointer_mut(place).expect("the count of torques") = json!(8);
    let text = list.to_string();
    let lists = Lists::new(vec![definition(&text)]).expect("one checklist");
    let job = |pause: u64| {
        let mut record = Record::of(&text, "A. Fitter").up_to_torques(&["7"]);
        record.begin("torque", 1);
        for fastening in 1..=8 {
            record.torque(pause, fastening, "9", json!({}));
        }
        record.hand_over()
    };
    let lines = tallied(&lists, &named(vec![job(500), job(5000)]), false);
    let runs: Vec<_> =
        lines.iter().filter_map(|line| if let Line::MadeUp(one) = line { Some(one) } else { None }).collect();
    assert_eq!(runs.len(), 1);
    assert_eq!(
        (runs[0].record.as_str(), runs[0].entries, runs[0].value.as_str(), runs[0].seconds),
        ("0.jsonl", 8, "9", 3.5)
    );
    assert_eq!((runs[0].last_line - runs[0].line, runs[0].by.as_deref()), (7, None));
    assert_eq!(step(&lines, "torque").made_up, 1);
}

/// An altered record and one that is no record are left out, each with its line, and the rest is counted.
#[test]
fn what_is_left_out_is_named() {
    let text = checklist();
    let lists = Lists::new(vec![definition(&text)]).expect("one checklist");
    let good = job(&text, &["8"], ["9", "9.2"], "TW-7");
    let altered = good.replacen("\"8\"", "\"9\"", 1);
    let other = job(&text.replace("Gap to the guard", "Gap to the shield"), &["8"], ["9", "9.2"], "TW-7");
    let broken = "{\"no record\"".to_owned();
    let records = named(vec![altered, good.clone(), other, broken, String::new()]);
    let lines = tallied(&lists, &records, false);
    let Line::Tally(head) = &lines[0] else { panic!("the head") };
    assert_eq!((head.records, head.counted, head.altered, head.unreadable, head.other_revision), (5, 1, 2, 1, 1));
    let out: Vec<(&str, Refused, Option<u32>)> = lines
        .iter()
        .filter_map(|line| {
            if let Line::LeftOut(one) = line { Some((one.record.as_str(), one.verdict, one.line)) } else { None }
        })
        .collect();
    let line = good.lines().position(|line| line.contains("\"8\"")).expect("the reading") as u32 + 1;
    assert_eq!(
        out,
        [
            ("0.jsonl", Refused::Altered, Some(line)),
            ("2.jsonl", Refused::OtherRevision, Some(1)),
            ("3.jsonl", Refused::Altered, Some(1)),
            ("4.jsonl", Refused::Unreadable, Some(1)),
        ]
    );
}

/// Each record goes to the checklist that its digest names, and two procedures are not counted together.
#[test]
fn revisions_side_by_side() {
    let old = checklist();
    let new = old.replace("\"mark\": \"A\"", "\"mark\": \"B\"");
    assert_ne!(old, new);
    let lists = Lists::new(vec![definition(&old), definition(&new), definition(&old)]).expect("one procedure");
    let records = named(vec![
        job(&old, &["8"], ["9", "9.2"], "TW-7"),
        job(&new, &["9"], ["9", "9.2"], "TW-7"),
        job(&new, &["9"], ["9", "9.2"], "TW-7"),
    ]);
    let lines = tallied(&lists, &records, false);
    let counted: Vec<(&str, u64)> = lines
        .iter()
        .filter_map(
            |line| if let Line::Revision(one) = line { Some((one.revision.as_str(), one.counted)) } else { None },
        )
        .collect();
    assert_eq!(counted, [("A", 1), ("B", 2)]);
    let gaps: Vec<(&str, u64)> = lines
        .iter()
        .filter_map(|line| match line {
            Line::Reading(one) if one.id == "gap" => Some((one.revision.as_str(), one.count)),
            _ => None,
        })
        .collect();
    assert_eq!(gaps, [("A", 1), ("B", 2)]);
    let page = String::from_utf8(emit::tally(&lines).expect("a page")).expect("text");
    assert!(page.contains("revision A") && page.contains("revision B"));
    let other = definition(&old.replace("\"id\": \"lamp-bracket\"", "\"id\": \"lamp-bar\""));
    assert!(matches!(Lists::new(vec![definition(&old), other]), Err(ListsFault::TwoProcedures(..))));
    assert!(matches!(Lists::new(Vec::new()), Err(ListsFault::None)));
}

#[test]
fn order_changes_nothing_but_lists() {
    let text = checklist();
    let lists = Lists::new(vec![definition(&text)]).expect("one checklist");
    let value = |at: usize| format!("{}.{}", 8 + at % 2, at * 7 % 10);
    let mut records: Vec<(String, String)> = named(
        (0..40)
            .map(|at| job(&text, &[&(5 + at % 30).to_string()], [&value(at), "9"], ["TW-7", "TW-8"][at % 2]))
            .collect(),
    );
    let forth = tallied(&lists, &records, false);
    records.reverse();
    assert_eq!(tallied(&lists, &records, false), forth);
}

/// No name of a person comes out unless it is asked for.
#[test]
fn people_are_named_only_where_they_are_asked_for() {
    let text = checklist();
    let lists = Lists::new(vec![definition(&text)]).expect("one checklist");
    let records = named(vec![job(&text, &["3", "8"], ["9", "9"], "TW-7")]);
    let all = |lines: &[Line]| {
        let json: Vec<String> = lines.iter().map(|line| serde_json::to_string(line).expect("JSON")).collect();
        let page = String::from_utf8(emit::tally(lines).expect("a page")).expect("text");
        [json.join("\n"), emit::tally_csv(lines), page]
    };
    for out in all(&tallied(&lists, &records, false)) {
        assert!(!out.contains("Fitter") && !out.contains("Mower"), "{out}");
    }
    for out in all(&tallied(&lists, &records, true)) {
        assert!(out.contains("A. Fitter"));
    }
}

/// Text of records and checklists stays text: on the page and in a spreadsheet.
#[test]
fn hostile_text_stays_text() {
    let text = checklist().replace("Gap between lamp and guard", "=HYPERLINK(1)<script>alert(1)</script>");
    let lists = Lists::new(vec![definition(&text)]).expect("one checklist");
    let mut record = Record::of(&text, "</script>").up_to_torques(&["7"]);
    record.begin("torque", 1);
    record.torque(9000, 1, "9", json!({"instrument": "@SUM(A1)"}));
    record.torque(9000, 2, "9", json!({"instrument": "<b>\u{202e}\u{0}"}));
    let lines = tallied(
        &lists,
        &[("=1+1.jsonl".to_owned(), record.hand_over()), ("+2.jsonl".to_owned(), "x".to_owned())],
        true,
    );
    let page = String::from_utf8(emit::tally(&lines).expect("a page")).expect("text");
    assert!(!page.contains("<script") && !page.contains("<b>") && page.contains("&lt;b&gt;"));
    for row in emit::tally_csv(&lines).lines() {
        for cell in row.split(',').map(|cell| cell.trim_start_matches('"')) {
            assert!(!cell.starts_with(['=', '+', '@']), "{row}");
        }
    }
}

/// Numbers that nothing exact can be worked out with, in the checklist and in a record: counted, or left out, and no arithmetic fails.
#[test]
fn numbers_at_the_end_of_what_can_be_held() {
    let record = |text: &str, gap: &str, torque: &str| {
        let mut record = Record::of(text, "A. Fitter").up_to_torques(&[gap]);
        record.begin("torque", 1);
        record.torque(1, 1, torque, json!({"remedy": "none"}));
        record.text()
    };
    let plain = checklist();
    let ends = [
        plain.clone(),
        plain.replace("\"value\": \"40\"", "\"value\": \"99999999999999999999999999999999999\""),
        plain
            .replace("\"reads\": {\"value\": \"1\"", "\"reads\": {\"value\": \"1/9999999999999999999999999999999999\""),
        plain.replace("\"factor\": \"0.001\"", "\"factor\": \"0.00000000000000000000000000000000001\""),
        plain.replace("\"value\": \"8\"", "\"value\": \"0.00000000000000000000000000000000003\""),
    ];
    assert!(ends.iter().skip(1).all(|text| *text != plain));
    for text in ends {
        let Ok(definition) = record::read_checklist(&text) else { continue };
        let lists = Lists::new(vec![definition]).expect("one checklist");
        let mut records = Vec::new();
        for value in
            ["99999999999999999999", "-9999999999999999999", "1/999999999999999999", "0.000000000000000001", "7"]
        {
            records.push(record(&text, value, value));
        }
        let lines = tallied(&lists, &named(records), true);
        let Line::Tally(head) = &lines[0] else { panic!("the head") };
        assert_eq!(head.records, 5);
        emit::tally(&lines).expect("a page");
        emit::tally_csv(&lines);
    }
}

/// The fifty records of the demo are counted, whatever today's compiler would make of the procedure: their checklist lies beside them.
#[test]
fn the_demo_is_counted() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures/records");
    let text = |name: &std::path::Path| std::fs::read_to_string(name).expect("a file of the demo");
    let lists = Lists::new(vec![definition(&text(&folder.join("checklist.json")))]).expect("one checklist");
    let mut records = Vec::new();
    for entry in std::fs::read_dir(&folder).expect("the demo") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|ending| ending == "jsonl") {
            records.push((path.display().to_string(), text(&path)));
        }
    }
    let lines = tallied(&lists, &records, false);
    let Line::Tally(head) = &lines[0] else { panic!("the head") };
    assert_eq!((head.records, head.counted), (50, 50));
    let found: std::collections::BTreeSet<Topic> = topics(&lines).into_iter().collect();
    assert_eq!(found.len(), 7, "each kind of thing to look at first is shown: {found:?}");
    for (name, text) in &records {
        for line in text.lines() {
            let event: Value = serde_json::from_str(line).expect("an event");
            assert!(event["by"].as_str().expect("a name").ends_with(" (invented)"), "{name}");
        }
    }
}
