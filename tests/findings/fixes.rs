//! The fixes of the bad examples: what they leave behind is a file that parses, without the finding, with no new error; and
//! none changes what is for a person.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use fitwright::diagnostics::{Code, Confidence, Family, Fix, Severity, apply};
use fitwright::source::FileId;

use super::{Example, MAIN, Shows, compiled, examples, said};

/// At least so many codes that a text can raise have a fix in one of their examples; raise it, never lower it. An acceptance is
/// none here.
const CODES_WITH_A_FIX: usize = 101;

/// What the page of a code does not show, and a fix mends: a whole procedure.
const MORE: &[(Code, &str)] = &[
    (
        Code::FW0101,
        "procedure oil-jaw \"Oil the jaw\"\nsection oil \"Oil it\" {\n  stp wipe \"Wipe the jaw\" {\n    > Wipe the jaw.\n  }\n  handover { sign installer }\n}\n",
    ),
    (
        Code::FW0101,
        "procedure oil-jaw \"Oil the jaw\"\noption top \"Top\" { steel  wood }\nsection oil \"Oil it\" {\n  when top == wood {\n    step wipe \"Wipe the top\" {\n      > Wipe the top.\n    }\n  }\n  handover { sign installer }\n}\n",
    ),
    (
        Code::FW0101,
        "procedure oil-jaw \"Oil the jaw\"\nsection oil \"Oil it\" {\n  step wipe \"Wipe the jaw\" {\n    > Wipe the jaw.\n    takes 5 min two people\n  }\n  handover { sign installer }\n}\n",
    ),
    (
        Code::FW0101,
        "procedure oil-jaw \"Oil the jaw\"\nsection oil \"Oil it\" {\n  step wipe \"Wipe the jaw\" {\n    > Wipe the jaw.\n    takes 5 min;\n  }\n  handover { sign installer }\n}\n",
    ),
    (
        Code::FW0101,
        "procedure oil-jaw \"Oil the jaw\"\nsection oil \"Oil it\" {\n  step wipe \"Wipe the jaw\" {\n    Wipe the jaw with a clean rag.\n  }\n  handover { sign installer }\n}\n",
    ),
    (
        Code::FW0110,
        "procedure oil-jaw \"Oil the jaw\"\n> The jaw is of steel.\nsection oil \"Oil it\" {\n  step wipe \"Wipe the jaw\" {\n    > Wipe the jaw.\n  }\n  handover { sign installer }\n}\n",
    ),
    (
        Code::FW0404,
        "procedure oil-jaw \"Oil the jaw\"\noption top \"Top\" { steel  wood }\nsection oil \"Oil it\" {\n  when top is steel {\n    choose top {\n      steel {\n        step wipe \"Wipe the top\" {\n          > Wipe the top.\n        }\n      }\n      wood { stop \"Ask the maker.\" }\n    }\n  }\n  handover { sign installer }\n}\n",
    ),
    (
        Code::FW0406,
        "procedure oil-jaw \"Oil the jaw\"\nobserve dry \"Is the jaw dry?\" { yes  no }\nsection oil \"Oil it\" {\n  step wipe \"Wipe the jaw\" {\n    > Wipe the jaw.\n  }\n  when dry is yes {\n    step drip \"Oil the jaw\" {\n      > Oil the jaw.\n    }\n  }\n  handover { sign installer }\n}\n",
    ),
    (
        Code::FW0411,
        "procedure oil-jaw \"Oil the jaw\"\nresult way \"How it is oiled\" { brush  spray }\nsection oil \"Oil it\" {\n  step wipe \"Wipe the jaw\" {\n    > Wipe the jaw.\n  }\n  when way is brush {\n    step drip \"Oil the jaw\" {\n      > Oil the jaw.\n    }\n  }\n  handover { sign installer }\n}\n",
    ),
];

/// A fix that asks a person what is so, and the error that is right where it is so.
const TELLS: &[(Code, &str, Code)] = &[
    (Code::FW0718, "Write `blind`", Code::FW0719),
    (Code::FW0411, "Write `set way spray` in the step before", Code::FW0404),
];

fn bad_examples(code: Code) -> Vec<Example> {
    let more = MORE.iter().filter(|(of, _)| *of == code).map(|(_, text)| Example {
        shows: Shows::Bad,
        files: vec![(MAIN.to_owned(), text.as_bytes().to_vec())],
        record: None,
    });
    let mut found = examples(code);
    found.extend(more);
    // A file of a megabyte is no place for edits.
    found.retain(|one| one.shows == Shows::Bad && one.record.is_none() && one.files[0].1.len() < 100_000);
    found
}

fn of_a_text() -> impl Iterator<Item = Code> {
    Code::ALL.iter().copied().filter(|code| code.family() != Family::Records)
}

/// The example with a fix made.
fn mended(example: &Example, fix: &Fix, name_of: &BTreeMap<FileId, String>) -> Result<Example, String> {
    let mut files = example.files.clone();
    for (path, bytes) in &mut files {
        if !fix.edits.iter().any(|edit| name_of.get(&edit.span.file) == Some(path)) {
            continue;
        }
        let here = fix.edits.iter().filter(|edit| name_of.get(&edit.span.file) == Some(path)).cloned();
        let edits: Vec<_> = here.collect();
        let text = String::from_utf8(bytes.clone()).map_err(|error| error.to_string())?;
        *bytes = apply(&text, &edits).map_err(|error| error.to_string())?.into_bytes();
    }
    Ok(Example { shows: Shows::Good, files, record: None })
}

fn text_of(example: &Example) -> String {
    example.files.iter().map(|(path, bytes)| format!("--- {path}\n{}", String::from_utf8_lossy(bytes))).collect()
}

/// What is wrong with a fix of an example; empty where nothing is.
fn judge(code: Code, example: &Example, fix: &Fix) -> String {
    let before = compiled(example);
    let names = before.sources().iter().map(|(id, file)| (id, file.name.clone())).collect();
    let after_text = match mended(example, fix, &names) {
        Ok(example) => example,
        Err(why) => return format!("{code}: {}: {why}\n", fix.title),
    };
    let mut wrong = String::new();
    let mut say = |what: &str, more: &str| {
        let _ = writeln!(wrong, "{code}: `{}` {what}\n{more}\n{}", fix.title, text_of(&after_text));
    };
    let known: BTreeSet<Code> = before.findings().iter().map(|finding| finding.code).collect();
    let after = compiled(&after_text);
    let codes: Vec<Code> = after.findings().iter().map(|finding| finding.code).collect();
    if codes.iter().any(|code| code.family() == Family::Text && !known.contains(code) && *code != Code::FW0115) {
        say("leaves a file that does not parse", &said(&after));
    }
    if fix.confidence == Confidence::Blanks {
        if !fix.edits.iter().any(|edit| edit.text.contains('…')) {
            say("shows no blank", "");
        }
        return wrong;
    }
    if fix.edits.iter().any(|edit| edit.text.contains('…')) {
        say("leaves a blank that it does not tell of", "");
    }
    let count = |compiled: &fitwright::compile::Compiled| compiled.findings().iter().filter(|f| f.code == code).count();
    if count(&after) >= count(&before) {
        say("leaves the finding", &said(&after));
    }
    let told = |new: Code| TELLS.contains(&(code, fix.title.as_str(), new));
    let mut all = after.findings().iter();
    let new = all.find(|f| f.severity() == Severity::Error && !known.contains(&f.code) && !told(f.code));
    if new.is_some() {
        say("brings a new error", &said(&after));
    }
    // The style of a file: no blank at the end of a line, no two empty lines.
    for edit in &fix.edits {
        if edit.text.lines().any(|line| line.ends_with(' ')) && edit.text.contains('\n') {
            say("leaves blanks at the end of a line", "");
        }
    }
    if !text_of(example).contains("\n\n\n") && text_of(&after_text).contains("\n\n\n") {
        say("leaves two empty lines", "");
    }
    wrong
}

#[test]
fn a_fix_mends_the_example_and_breaks_nothing() {
    let mut wrong = String::new();
    let (mut fixed, mut accepted_only, mut without) = (Vec::new(), Vec::new(), Vec::new());
    for code in of_a_text() {
        let (mut any, mut real) = (false, false);
        for example in bad_examples(code) {
            for finding in compiled(&example).findings() {
                for fix in &finding.fixes {
                    wrong += &judge(code, &example, fix);
                    any = true;
                    real |= !fix.title.starts_with("Accept it");
                }
            }
        }
        let list = if real {
            &mut fixed
        } else if any {
            &mut accepted_only
        } else {
            &mut without
        };
        list.push(code.text());
    }
    let all = fixed.len() + accepted_only.len() + without.len();
    println!("{} of {all} codes have a fix, {} more only an acceptance to fill in", fixed.len(), accepted_only.len());
    println!("without: {}", without.join(" "));
    println!("acceptance only: {}", accepted_only.join(" "));
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(fixed.len() >= CODES_WITH_A_FIX, "{} codes have a fix", fixed.len());
}

/// What no machine writes: a character that nobody sees, a number, a name, a semicolon, each in a line that is for a person.
#[test]
fn no_fix_changes_what_is_for_a_person() {
    let step = |lines: &str| {
        format!(
            "procedure oil-jaw \"Oil the jaw\"\nuse std/hazards\nuse std/fasteners\nuse std/hand-tools\npart jaw-bolt bolt M8 x 30 mm, class 8.8, hex \
             head\n{lines}\n"
        )
    };
    let message = |avoid: &str| {
        step(&format!(
            "section oil \"Oil it\" {{\n  step wipe \"Wipe the jaw\" {{\n    warning falling-object {{\n      hazard \"The jaw can \
             fall.\"\n      consequence \"A foot can be crushed.\"\n      avoid {avoid}\n    }}\n    > Wipe the jaw.\n  }}\n  handover {{ sign \
             installer }}\n}}"
        ))
    };
    let hostile = [
        message("\"Hold\u{200b} it.\""),
        message("\"Hold it.\";"),
        message("\"Hold it."),
        step("joint jaw \"Jaw\" {\n  each jaw-bolt\n  torque .5 N.m +- 0.1 N.m\n}"),
        step("joint jaw \"Jaw\" {\n  each jaw-bolt\n  torque 1,000 N.m\n}"),
        step("joint jaw \"Jaw\" {\n  each jaw-bolt\n  torque 25 N.m to 20 N.m\n}"),
        step("joint jaw \"Jaw\" {\n  each jaw-bolt\n  torque 22\u{a0}N.m +- 2 N.m\n}"),
        step("joint jaw \"Jaw\" {\n  each jaw-bolt\n  torqe 22 N.m +- 2 N.m\n}"),
        message("\"Hold it.\"").replace("warning", "warnin"),
        message("\"Hold it.\"").replace("hazard ", "hazrd "),
        step("given load \"Load\" { range .5 kg to 9 kg }"),
        step("given load \"Load\" { range 1 kg to 9 kg }\nlimit heavy \"Load\" {\n  load <= .5 kg\n}"),
        step("given load \"Load\" { range 1 kg to 9 kg }\nlimit heavy \"Load\" {\n  laod <= 5 kg\n}"),
    ];
    for text in hostile {
        let example =
            Example { shows: Shows::Bad, files: vec![(MAIN.to_owned(), text.clone().into_bytes())], record: None };
        let compiled = compiled(&example);
        assert!(!compiled.findings().is_empty(), "{text}");
        for fix in compiled.findings().iter().flat_map(|finding| &finding.fixes) {
            for edit in &fix.edits {
                let line = text[..edit.span.start as usize].rsplit('\n').next().unwrap_or_default();
                let word = line.split_whitespace().next().unwrap_or_default();
                let is_kept = ["torque", "avoid", "load", "laod"].contains(&word) && edit.span.start < edit.span.end;
                // A misspelt word of one is put right by somebody who looks.
                let beside =
                    ["torqe", "warnin", "hazrd", "given"].contains(&word) && fix.confidence == Confidence::Safe;
                assert!(!is_kept && !beside, "`{}` in `{line}`\n{}", fix.title, said(&compiled));
            }
        }
    }
}

/// Of all examples, the safe fixes: none in a line that says a torque, a limit or a message.
#[test]
fn a_safe_fix_stays_away_from_torques_limits_and_messages() {
    let mut seen = 0;
    for code in of_a_text() {
        for example in bad_examples(code) {
            let compiled = compiled(&example);
            let fixes = compiled.findings().iter().flat_map(|finding| &finding.fixes);
            for fix in fixes.filter(|fix| fix.confidence == Confidence::Safe) {
                seen += 1;
                for edit in &fix.edits {
                    let file = compiled.sources().get(edit.span.file).expect("its file");
                    let (first, last) = (file.position(edit.span.start).line, file.position(edit.span.end).line);
                    for line in first..=last {
                        let text = file.line_text(line as usize - 1).trim_start();
                        let kept = ["torque", "limit", "danger", "warning", "caution", "notice"];
                        let is_whole = edit.span.end > edit.span.start && line == last && first != last;
                        assert!(is_whole || !kept.iter().any(|word| text.starts_with(word)), "{code}: {text}");
                    }
                }
            }
        }
    }
    assert!(seen >= 8, "{seen} safe fixes");
}

/// What is said once for several places is mended once, in the names of the text.
#[test]
fn a_fix_of_each_place_is_one_fix_in_the_writers_names() {
    let text = "procedure rack-feet \"Rack feet\"\nuse std/fasteners\nuse std/hand-tools\npart foot-bolt bolt M8 x 30 mm, class 8.8, hex \
                head\npart foot-nut nut M8, class 8\nkit { bag A { 2 foot-bolt, 2 foot-nut } }\neach corner \"Corner\" { left \"left\"  right \
                \"right\" }\njoint foot \"Foot\" for each corner {\n  each   foot-bolt, foot-nut\n  torque 22 N.m +- 2 N.m\n  thread plated\n  grip   \
                18 mm\n}\nsection fit \"Fit the feet\" {\n  for each corner {\n    step bolt-foot \"Bolt the foot\" {\n      tighten foot with \
                torque-wrench-3-8-drive, socket-13, hold with spanner-13\n    }\n  }\n  handover { sign installer }\n}\n";
    let example = Example { shows: Shows::Bad, files: vec![(MAIN.to_owned(), text.as_bytes().to_vec())], record: None };
    let compiled = compiled(&example);
    let found: Vec<_> = compiled.findings().iter().filter(|finding| finding.code == Code::FW0701).collect();
    let [finding] = found.as_slice() else { panic!("{}", said(&compiled)) };
    assert!(finding.message.contains("(at left and right)"), "{}", finding.message);
    let fix = finding.fixes.first().expect("a fix");
    assert_eq!(fix.title, "Write `place foot` before it");
    let made = apply(text, &fix.edits).expect("it fits");
    assert_eq!(made, text.replace("      tighten foot", "      place foot\n      tighten foot"));
    assert!(judge(Code::FW0701, &example, fix).is_empty());
}
