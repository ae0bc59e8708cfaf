//! The table of obligations: a row for every statement that does something, and for every rule that a row names a text in
//! which that rule finds that statement. The texts are those of the pages of findings, of the faulty procedures and of
//! `tests/silence`, and those that `tests/obligations.txt` makes for the cells.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use fitwright::compile;
use fitwright::diagnostics::{Code, Finding};
use fitwright::obligations::{Cell, Obligation, TABLE, page};
use fitwright::parse::forms::{Block, FORMS};
use fitwright::source::FileId;
use fitwright::world::Memory;

use super::silence;

/// Statements outside blocks that do nothing in a job: what a file is, and rows of libraries.
const NO_ROW: &[&str] = &[
    "procedure",
    "library",
    "revision",
    "units",
    "language",
    "use",
    "about",
    "reference",
    "thread",
    "grade",
    "wire",
    "washer",
    "insert-nut",
    "screw",
    "terminal",
    "fuse",
    "breaker",
];

/// A library that the texts can bring sections in from.
const LIBRARY: &str = "library family \"Family\"\nsection fit \"Fit\" expects part clasp, circuit feed {\n  step fit-clasp \"Fit\" {\n    > Fit the [clasp] beside the [feed].\n  }\n}\n";

/// A later job, to which the texts can leave a circuit.
const LATER: &str = "procedure later-job \"Later job\"\ncircuit box-feed \"Feed\" {\n  source 12 V\n  load 4 A\n  run 1 m\n  wire 16 AWG copper\n}\nsection work \"Work\" {\n  step feed-box \"Feed the box\" { connect box-feed }\n  handover { sign installer }\n}\n";

/// Rules of a row that no text shows at such a statement yet, as `word CODE`. The list may only shrink.
const NOT_SHOWN: &[&str] = &[
    // No text shows it: what is unsafe is in the picture, which the page of the finding makes.
    "figure FW1304",
];

/// A picture of 100 × 100 pixels.
const COARSE: &[u8] = b"\x89PNG\x0d\x0a\x1a\x0a\x00\x00\x00\x0dIHDR\x00\x00\x00d\x00\x00\x00d\x01\x00\x00\x00\x00X\x99\xa8\xf9\x00\x00\x00\x14IDATx\xdac`\x18\x05\xa3`\x14\x8c\x82Q@O\x00\x00\x05x\x00\x01\xd8)\xa2\xb8\x00\x00\x00\x00IEND\xaeB`\x82";

fn top() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

#[test]
fn each_statement_has_its_row() {
    let owes = |home: Block, word: &str| match home {
        Block::File => !NO_ROW.contains(&word),
        Block::Step | Block::Check | Block::Flow | Block::Handover => true,
        _ => false,
    };
    // The four signal words are one statement, and what a handover notes is noted as in a step.
    let one_of = |home: Block, word: &'static str| match word {
        "danger" | "caution" | "notice" => (home, "warning"),
        "note" => (Block::Step, "note"),
        _ => (home, word),
    };
    let forms = FORMS.iter().filter(|form| form.word != "accept" && owes(form.home, form.word));
    let mut wanted: Vec<(Block, &str)> = forms.map(|form| one_of(form.home, form.word)).collect();
    let mut rows: Vec<(Block, &str)> = TABLE.iter().map(|row| (row.home, row.word)).collect();
    for list in [&mut wanted, &mut rows] {
        list.sort_unstable();
    }
    wanted.dedup();
    assert_eq!(rows, wanted, "rows of src/obligations.rs, and statements of the language");
}

#[test]
fn the_page_is_in_date() {
    let path = top().join("grammar/obligations.md");
    if std::env::var_os("FITWRIGHT_WRITE_OBLIGATIONS").is_some() {
        fs::write(&path, page()).expect("the page is written");
    }
    let shown = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        shown == page(),
        "run `FITWRIGHT_WRITE_OBLIGATIONS=1 cargo test --test all obligations::`, and read what has changed"
    );
}

/// Every text that is known to be wrong.
fn traps() -> Vec<String> {
    let mut texts = Vec::new();
    let files = |folder: &str, ending: &str| -> Vec<PathBuf> {
        let all = fs::read_dir(top().join(folder)).expect("the folder");
        let mut all: Vec<PathBuf> = all.filter_map(|entry| Some(entry.ok()?.path())).collect();
        all.retain(|path| path.extension().is_some_and(|of| of == ending));
        all.sort();
        all
    };
    let read = |path: &Path| fs::read_to_string(path).expect("a file that was listed");
    for path in files("site/findings", "md") {
        for fence in read(&path).split("\n```fitw bad\n").skip(1) {
            texts.push(fence.split("\n```").next().unwrap_or_default().to_owned());
        }
    }
    texts.extend(files("procedures/faulty", "fitw").iter().map(|path| read(path)));
    for path in files("tests/silence", "txt") {
        texts.extend(silence::cases(&read(&path)).into_iter().map(|case| case.text));
    }
    // Made for the cells: what all have in common, then one text after the other.
    let cells = read(&top().join("tests/obligations.txt"));
    let mut cells = cells.split("===\n");
    let common = cells.next().unwrap_or_default();
    for cell in cells {
        match cell.strip_prefix("LINES\n") {
            None if cell.starts_with("library ") || cell.starts_with("procedure ") => texts.push(cell.to_owned()),
            None => texts.push(format!("{common}{cell}")),
            // One line alone, in a step or at the handover.
            Some(lines) => texts.extend(lines.lines().map(|line| {
                let (step, handover) = match line.split(' ').next() {
                    Some("show" | "keep" | "dispose") => ("note \"Wait.\"", line),
                    _ => (line, ""),
                };
                format!(
                    "{common}section work \"Work\" {{\n  step one \"One\" {{\n    {step}\n  }}\n  handover {{\n    sign installer\n    {handover}\n  }}\n}}\n"
                )
            })),
        }
    }
    texts
}

/// The first words of the statement at a place and of those around it.
fn words_at(text: &str, at: usize) -> BTreeSet<String> {
    let first = |line: &str| line.split_whitespace().next().unwrap_or_default().to_owned();
    let before = &text[..at.min(text.len())];
    let line_start = before.rfind('\n').map_or(0, |end| end + 1);
    let line = text[line_start..].lines().next().unwrap_or_default();
    let mut words = BTreeSet::from([first(line)]);
    // On a line of several statements, that which begins last before the place.
    let within = &before[line_start..];
    let begins = within.rfind("  ").into_iter().chain(within.rfind("{ ")).max();
    words.extend(begins.map(|begins| first(&text[line_start + begins..].replacen('{', " ", 1))));
    let mut depth = 0;
    for line in before[..line_start].lines().rev() {
        for c in line.chars().rev() {
            match c {
                '}' => depth += 1,
                '{' if depth == 0 => {
                    words.insert(first(line));
                }
                '{' => depth -= 1,
                _ => {}
            }
        }
    }
    words
}

/// What rules find at which statements, as `word CODE`.
fn found() -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for text in traps() {
        let compiled = compile::check(
            "trap.fitw",
            &Memory::default()
                .with("trap.fitw", text.as_bytes())
                .with("lib/family.fitw", LIBRARY)
                .with("later-job.fitw", LATER)
                .with("rail.svg", silence::RAIL)
                .with("coarse.png", COARSE),
        );
        let name = |finding: &Finding| finding.code.text();
        for finding in compiled.findings() {
            for label in finding.labels.iter().filter(|label| label.span.file == FileId::new(0)) {
                let words = words_at(&text, label.span.start as usize);
                found.extend(words.iter().map(|word| format!("{word} {}", name(finding))));
            }
        }
    }
    found
}

#[test]
fn each_rule_of_a_cell_is_shown_by_a_trap() {
    let found = found();
    let told = |word: &str, code: Code| {
        let words: &[&str] = match word {
            "warning" => &["danger", "warning", "caution", "notice"],
            _ => &[],
        };
        std::iter::once(&word).chain(words).any(|word| found.contains(&format!("{word} {code}")))
    };
    let mut missing = Vec::new();
    let mut cells = 0;
    for row in TABLE {
        for (_, cell) in Obligation::ALL.iter().zip(&row.cells) {
            let Cell::Judged(codes) = cell else { continue };
            assert!(!codes.is_empty(), "{}: a cell without a rule", row.word);
            cells += 1;
            for code in codes.iter().filter(|code| !told(row.word, **code)) {
                missing.push(format!("{} {code}", row.word));
            }
        }
    }
    missing.sort();
    missing.dedup();
    println!("{cells} cells are judged");
    assert_eq!(missing, NOT_SHOWN, "rules that no text shows at such a statement");
}

#[test]
fn a_cell_says_why_it_owes_nothing() {
    for row in TABLE {
        for cell in &row.cells {
            if let Cell::Nothing(why) = cell {
                assert!(why.split_whitespace().count() >= 3, "{}: “{why}” is no reason", row.word);
            }
        }
    }
}
