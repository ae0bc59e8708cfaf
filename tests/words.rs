//! FW12, what the words say: exact on sentences of published instructions, traps that are found, and right neighbours that are not.
//!
//! `cargo test --test all words:: -- --nocapture` prints how exact each rule is, and where it differs from the judgement.

mod others;
mod traps;

use std::collections::BTreeMap;

use fitwright::compile;
use fitwright::diagnostics::Code;
use fitwright::diagnostics::render::{self, Style};
use fitwright::world::Memory;

const SENTENCES: &str = include_str!("data/instructions.txt");

/// The letters of the judgements, and the codes that say the same.
const RULES: &[(char, &[&str], &str)] = &[
    // A torque that belongs to no joint is told as that.
    ('U', &["FW1201", "FW1202"], "a number with its unit outside brackets"),
    ('V', &["FW1205", "FW1206"], "a word that nobody can check"),
    ('S', &["FW1207"], "a second instruction"),
    ('L', &["FW1208"], "too long"),
    ('N', &["FW1209"], "no instruction"),
    ('W', &["FW1211"], "wiring told in words alone"),
    ('T', &["FW1212"], "a tool that is not laid out"),
];

/// What is found in a procedure: each code with the line of its first place, from 1.
fn found(text: &str) -> Vec<(usize, Code)> {
    let world = Memory::default().with("example.fitw", text.to_owned().into_bytes());
    let compiled = compile::check("example.fitw", &world);
    let place = |finding: &fitwright::diagnostics::Finding| {
        let span = finding.span().expect("a place");
        let file = compiled.sources().get(span.file).expect("a file");
        file.position(span.start).line as usize
    };
    compiled.findings().iter().map(|finding| (place(finding), finding.code)).collect()
}

/// The codes that are told of a procedure, and all that is said.
fn told(text: &str) -> (Vec<Code>, String) {
    let figures = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures/figures");
    let mut world = Memory::default().with("example.fitw", text.to_owned().into_bytes());
    for entry in std::fs::read_dir(figures).expect("the demos' figures") {
        let path = entry.expect("a figure").path();
        let name = path.file_name().expect("its name").to_string_lossy().into_owned();
        world = world.with(format!("figures/{name}"), std::fs::read(&path).expect("its bytes"));
    }
    let compiled = compile::check("example.fitw", &world);
    let said = render::human(compiled.findings(), compiled.sources(), Style::default());
    (compiled.findings().iter().map(|finding| finding.code).collect(), said)
}

/// Sentences with the letters of their judgement: all, or those that were kept aside.
fn sentences(all: bool) -> Vec<(&'static str, &'static str)> {
    let (_, aside) = SENTENCES.split_once("\n# Kept aside").expect("some were kept aside");
    let lines = if all { SENTENCES } else { aside }.lines();
    let lines = lines.filter(|line| !line.starts_with('#') && line.contains('|'));
    lines
        .map(|line| line.rsplit_once('|').expect("a bar before the judgement"))
        .map(|(said, letters)| (said.trim(), letters.trim()))
        .collect()
}

/// The codes for each sentence, in the prose of a step of its own. Thirty at a time: of one file not more findings are kept than a
/// reader takes in.
fn judged(sentences: &[(&str, &str)]) -> Vec<Vec<String>> {
    let mut all = Vec::new();
    for some in sentences.chunks(30) {
        let mut text = "procedure words \"Words\"\nunits inch, metric\nsection work \"Work\" {\n".to_owned();
        for (at, (sentence, _)) in some.iter().enumerate() {
            text.push_str(&format!("step number-{at} \"Step\" {{\n> {sentence}\n}}\n"));
        }
        text.push_str("handover { sign installer }\n}\n");
        let found = found(&text);
        for at in 0..some.len() {
            let line = 5 + 3 * at;
            all.push(found.iter().filter(|(place, _)| *place == line).map(|(_, code)| code.to_string()).collect());
        }
    }
    all
}

#[test]
fn nineteen_of_twenty_that_are_told_of_published_instructions_are_right() {
    exact(&sentences(true), 200, 10);
    exact(&sentences(false), 100, 5);
}

/// Prints how exact each rule is on some sentences, and where it differs; wants so many of them, and so many that are told rightly.
fn exact(sentences: &[(&str, &str)], least: usize, told: u32) {
    assert!(sentences.len() >= least, "{} sentences", sentences.len());
    let judged = judged(sentences);
    let mut table = format!("{} sentences\n", sentences.len());
    let mut differences = String::new();
    let mut precise = BTreeMap::new();
    for (letter, codes, rule) in RULES {
        let (mut right, mut wrong, mut missed) = (0, 0, 0);
        for ((sentence, letters), said) in sentences.iter().zip(&judged) {
            let is_told = said.iter().any(|code| codes.contains(&code.as_str()));
            match (is_told, letters.contains(*letter)) {
                (true, true) => right += 1,
                (true, false) => {
                    wrong += 1;
                    differences.push_str(&format!("{letter} told, not judged: {sentence}\n"));
                }
                (false, true) => {
                    missed += 1;
                    differences.push_str(&format!("{letter} judged, not told: {sentence}\n"));
                }
                (false, false) => {}
            }
        }
        let precision = f64::from(right) / f64::from((right + wrong).max(1));
        let recall = f64::from(right) / f64::from((right + missed).max(1));
        table.push_str(&format!(
            "{:<15} {rule:<40} right {right:>3}  wrong {wrong:>2}  missed {missed:>2}  precision {:>5.1} %  recall {:>5.1} %\n",
            codes.join("/"),
            100.0 * precision,
            100.0 * recall,
        ));
        precise.insert(*letter, (precision, recall, right, right + missed));
    }
    println!("{table}\n{differences}");
    for (letter, (precision, recall, right, judged)) in precise {
        assert!(precision >= 0.95, "{letter}: precision {precision}\n{table}\n{differences}");
        // Of what few sentences ask for, few can be told, and one that is missed says little.
        let few = judged < told;
        assert!(
            few || (recall >= 0.65 && right >= told),
            "{letter}: recall {recall}, {right} right\n{table}\n{differences}"
        );
    }
}

/// What depends on English words is asked of English only; numbers with units are numbers in every language.
#[test]
fn another_language_is_asked_what_needs_no_english() {
    let body = "section work \"Arbeit\" {\nstep set-it \"Aufsetzen\" {\n> Die Platte properly aufsetzen, then tighten the bolt and remove the \
                cap.\n> The bolts must be dry.\n> Den Rand auf 4 mm kürzen: 12 mm.\n}\nhandover { sign installer }\n}\n";
    let codes = |head: &str| told(&format!("procedure words \"Words\"\nunits metric, inch\n{head}{body}")).0;
    let english = codes("");
    assert!(
        english.contains(&Code::FW1206) && english.contains(&Code::FW1207) && english.contains(&Code::FW1209),
        "{english:?}"
    );
    assert_eq!(codes("language \"en-GB\"\n"), english);
    let german = codes("language \"de\"\n");
    assert_eq!(german, [Code::FW1201], "the number before a stop; `4 mm kürzen` may belong to what follows");
}

#[test]
fn a_language_is_a_tag() {
    let with = |tag: &str| {
        told(&format!("procedure a \"A\"\nlanguage \"{tag}\"\nsection b \"B\" {{\nstep c \"C\" {{\nnote \"D.\"\n}}\nhandover {{ sign installer }}\n}}\n")).0
    };
    for good in ["de", "en-GB", "pt-BR", "zh-Hant-TW", "fil"] {
        assert_eq!(with(good), [], "{good}");
    }
    assert_eq!(with(""), [Code::FW0114]);
    for bad in ["german", "d", "de_DE", "de-", "12"] {
        assert_eq!(with(bad), [Code::FW0208], "{bad}");
    }
}

/// What the file says of its language stands on its pages and in its checklist.
#[test]
fn a_language_comes_out_on_sheets_and_in_the_checklist() {
    let built = |head: &str| {
        let text = format!(
            "procedure a \"A\"\n{head}section b \"B\" {{\nstep c \"C\" {{\nnote \"D.\"\n}}\nhandover {{ sign installer }}\n}}\n"
        );
        let world = Memory::default().with("example.fitw", text.into_bytes());
        let outputs = compile::build(&compile::check("example.fitw", &world)).expect("no error").expect("outputs");
        let file = |name: &str| {
            let (_, bytes) = outputs.files.iter().find(|(own, _)| own == name).expect("the file");
            String::from_utf8(bytes.clone()).expect("UTF-8")
        };
        let checklist: serde_json::Value = serde_json::from_str(&file("checklist.json")).expect("JSON");
        (file("manual.html"), checklist["procedure"]["language"].clone())
    };
    let (manual, language) = built("language \"pt-BR\"\n");
    assert!(manual.contains("<html lang=\"pt-BR\">"));
    assert_eq!(language, "pt-BR");
    let (manual, language) = built("");
    assert!(manual.contains("<html lang=\"en\">"));
    assert!(language.is_null());
}
