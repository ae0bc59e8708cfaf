//! Hostile texts: no panic, bounded output, linear time.

use super::read;
use fitwright::diagnostics::Code;
use fitwright::parse::{self, limits};
use fitwright::source::{FileId, Span};
use proptest::prelude::*;
use std::time::{Duration, Instant};

const SAMPLE: &str = include_str!("sample.fitw");
const MORE: &str = include_str!("more.fitw");

/// Parses, checks that what is said fits the text, and gives how many things were said and how long it took.
fn survive(text: &str) -> (usize, Duration) {
    let start = Instant::now();
    let (_, findings, _) = read(text);
    let took = start.elapsed();
    assert!(findings.len() <= limits::FINDINGS + 1);
    for finding in &findings {
        for label in &finding.labels {
            assert!(text.get(label.span.range()).is_some(), "{finding:?}");
        }
    }
    (findings.len(), took)
}

#[test]
fn a_million_braces() {
    // Deep nesting ends the reading at once; the other two are read to their end.
    for (text, most) in [
        ("{".repeat(1_000_000), 5),
        ("a {\n".repeat(250_000), 5),
        ("}".repeat(1_000_000), 60),
        ("{}".repeat(100_000), 60),
    ] {
        let (said, took) = survive(&text);
        assert!(said > 0);
        assert!(took < Duration::from_secs(most), "{took:?}");
    }
}

#[test]
fn a_million_brackets_in_a_condition() {
    let open = format!("procedure p \"P\"\nrequire {} \"x\"\n", "(".repeat(1_000_000));
    let not = format!("procedure p \"P\"\nrequire {} a is b \"x\"\n", "not ".repeat(250_000));
    let sum = format!("procedure p \"P\"\nrequire a {} <= b \"x\"\n", "+ a ".repeat(250_000));
    for text in [open, not, sum] {
        let (said, took) = survive(&text);
        assert_eq!(said, 1);
        assert!(took < Duration::from_secs(60), "{took:?}");
    }
}

#[test]
fn brackets_deeper_than_they_may_be() {
    let nested = |deep: usize| {
        let (open, close) = ("(".repeat(deep), ")".repeat(deep));
        format!("procedure p \"P\"\noption a \"A\" {{ b  c }}\nrequire {open}a is b{close} \"x\"\n")
    };
    assert_eq!(survive(&nested(30)).0, 0);
    let text = nested(limits::BRACKETS + 1);
    let (_, findings, _) = read(&text);
    let [finding] = findings.as_slice() else { panic!("{findings:?}") };
    assert_eq!(finding.code, Code::FW0108);
    assert_eq!(finding.span().map(|at| at.start as usize), text.rfind('('));
    // An inch that looks like an open quote does not hide them.
    assert_eq!(survive(&format!("procedure p \"P\"\nrequire 5\" {} \"x\"\n", "(".repeat(1_000_000))).0, 1);
}

#[test]
fn else_when_a_thousand_times() {
    let chain = "else when a is b { set c d } ".repeat(1_000);
    let (said, _) = survive(&format!("procedure p \"P\"\nsection s \"S\" {{ when a is b {{ set c d }} {chain} }}\n"));
    assert!(said > 0);
}

#[test]
fn deep_indentation_without_braces() {
    let lines: String = (0..2_000).map(|n| format!("{}when a is b\n", " ".repeat(n))).collect();
    survive(&format!("procedure p \"P\"\nsection s \"S\" {{\n{lines}}}\n"));
}

#[test]
fn a_hundred_thousand_faults_are_counted() {
    let (_, findings, _) = read(&format!("procedure p \"P\"\n{}", "frobnicate x\n".repeat(100_000)));
    assert_eq!(findings.len(), limits::FINDINGS + 1);
    assert!(findings.last().is_some_and(|last| last.message.contains("99900 more")), "{:?}", findings.last());
}

#[test]
fn too_large_is_said_before_reading() {
    let (_, findings, _) = read(&" ".repeat(limits::FILE_BYTES + 1));
    assert_eq!(findings.len(), 1);
    let decoded = parse::decode(FileId::new(0), &vec![b' '; limits::FILE_BYTES + 1]);
    assert!(decoded.is_err());
}

#[test]
fn bytes_that_are_no_text() {
    let told = |bytes: &[u8]| parse::decode(FileId::new(0), bytes).map_err(|finding| finding.message);
    assert_eq!(told(b"\xef\xbb\xbfprocedure"), Ok("procedure".into()));
    assert_eq!(told(b"ab\xffc"), Err("the file is not UTF-8: byte 3 cannot be read".into()));
    assert_eq!(told(b"\xff\xfep\0"), Err("the file is saved as UTF-16, and a procedure is saved as UTF-8".into()));
}

#[test]
fn line_ends_and_marks_change_nothing() {
    let plain = read(MORE).0;
    let windows = MORE.replace('\n', "\r\n");
    let (tree, findings, sources) = read(&windows);
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(tree.items.len(), plain.items.len());
    assert_eq!(names(&format!("{tree:?}")), names(&format!("{plain:?}")));
    assert!(sources.iter().count() == 1);
    let (marked, findings, _) = read(&format!("\u{feff}{MORE}"));
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(marked.items.len(), plain.items.len());
    assert!(read(MORE.trim_end()).1.is_empty(), "no final line end");
}

/// The texts of all names in a printed tree.
fn names(printed: &str) -> Vec<&str> {
    printed.split("text: \"").skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn the_time_is_linear() {
    let body =
        SAMPLE.split_once("section brackets").map(|(_, rest)| format!("section brackets{rest}")).expect("sections");
    let text = |kilobytes: usize| format!("procedure p \"P\"\n{}", body.repeat(kilobytes * 1_024 / body.len()));
    let fastest = |text: &str| (0..3).map(|_| survive(text).1).min().expect("three runs");
    let (one, four) = (text(64), text(256));
    let (short, long) = (fastest(&one), fastest(&four));
    let speed = four.len() as f64 / long.as_secs_f64() / 1e6;
    println!(
        "parse: {speed:.1} MB/s on {:.1} MB, {:.1} times as long as for a quarter",
        four.len() as f64 / 1e6,
        long.as_secs_f64() / short.as_secs_f64()
    );
    assert!(long < short * 8, "{short:?} for 64 kB, {long:?} for 256 kB");
}

#[test]
fn one_very_long_line() {
    let (_, took) = survive(&format!("procedure p \"P\"\nuse {}\n", "a, ".repeat(1_000_000)));
    assert!(took < Duration::from_secs(20), "{took:?}");
    survive(&format!("procedure p \"{}\"\n", "x".repeat(3_000_000)));
    survive(&format!("procedure p {}\n", "\"".repeat(1_000_000)));
    survive(&format!("procedure p {}\n", "5\"".repeat(500_000)));
    survive(&format!("procedure p {}\n", "\u{430}".repeat(100_000)));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_characters(text in "\\PC{0,400}") {
        survive(&text);
    }

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        if let Ok(text) = parse::decode(FileId::new(0), &bytes) {
            survive(&text);
        }
        survive(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn signs_and_words_in_any_order(
        pieces in proptest::collection::vec(
            prop::sample::select(vec![
                "{", "}", "\"", "#", ">", "\n", " ", "  ", ",", "(", ")", "step a \"A\"", "section s \"S\"", "when", "else", "is",
                "choose x", "22 N.m", "+-", "to", "with", "use", "take 4 bolt", "accept FW0502 \"x\"", "> prose [x]", "é", "“", "–",
                "tighten j with", "hold with", "or", "and", "not", "range", "1/2-13", "3 1/2\"", "#10-24", "<=", "\\", "kit", "bag A",
            ]),
            0..60,
        )
    ) {
        survive(&pieces.concat());
        survive(&pieces.join(" "));
        survive(&format!("procedure p \"P\"\n{}", pieces.join("\n")));
    }

    #[test]
    fn the_sample_with_a_piece_cut_out(start in 0..SAMPLE.len(), length in 0_usize..80) {
        let end = (start + length).min(SAMPLE.len());
        survive(&format!("{}{}", &SAMPLE[..start], &SAMPLE[end..]));
    }

    #[test]
    fn a_quantity_alone(text in "[0-9 ./,+\\-a-zA-Z%\"(]{0,30}") {
        let at = Span::new(FileId::new(0), 100, 100 + text.len());
        if let Some(measure) = parse::measure(&text, at) {
            prop_assert!(at.contains(measure.span));
        }
    }
}

/// Signs that look like nothing, alone in a text, and signs that are none (Unicode 15, 23.7).
#[test]
fn a_text_that_shows_nothing_is_told() {
    let codes = |text: &str| read(text).1.iter().map(|finding| finding.code.to_string()).collect::<Vec<_>>();
    for empty in ["", " ", "\u{fe0f}", "\u{200d}", "\t"] {
        assert_eq!(codes(&format!("procedure p \"{empty}\"\n")), ["FW0114"], "{empty:?}");
    }
    for odd in ["\u{3164}", "\u{2800}", "\u{ffff}", "\u{fdd0}", "\u{1fffe}"] {
        assert_eq!(codes(&format!("procedure p \"{odd}\"\n")), ["FW0105"], "{odd:?}");
    }
    assert_eq!(codes("procedure p \"\u{26a0}\u{fe0f}\"\n"), [] as [&str; 0], "a sign with its selector");
}
