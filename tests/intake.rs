//! `intake`: a text comes out as a draft that can be read, with every word of it.

use fitwright::compile;
use fitwright::diagnostics::{Code, Family};
use fitwright::format::format;
use fitwright::intake::{Refusal, Taken, take_in};
use fitwright::world::Memory;
use proptest::prelude::*;
use std::collections::BTreeMap;

/// The day of every draft here.
const DAY: &str = "2026-01-01";

const RAIL: &str = include_str!("data/intake/rail.md");
const PLAIN: &str = include_str!("data/intake/plain.txt");
const SHELF: &str = include_str!("data/intake/shelf.md");

/// The words of a text, each as often as it is there. A list's numbers are no words, nor are its ticks, nor is the mark by which a text calls a link.
fn words(text: &str) -> BTreeMap<String, usize> {
    let mut words = BTreeMap::new();
    for line in text.lines() {
        let head = line.trim_start();
        let number = head.find(|c: char| !c.is_ascii_digit()).unwrap_or(0);
        let is_list =
            head[number..].starts_with(['.', ')']) && (head.len() == number + 1 || head[number + 1..].starts_with(" "));
        let rest = if number > 0 && is_list { &head[number + 1..] } else { head };
        let rest = rest.strip_prefix("- [x] ").unwrap_or(rest);
        let rest = rest.strip_prefix('[').and_then(|rest| rest.split_once("]:")).map_or(rest, |(_, rest)| rest);
        for word in rest.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()) {
            *words.entry(word.to_lowercase()).or_insert(0) += 1;
        }
    }
    words
}

#[track_caller]
fn nothing_is_lost(text: &str, taken: &Taken) {
    let there = words(&taken.text);
    let lost: Vec<_> = words(text)
        .into_iter()
        .filter(|(word, count)| there.get(word).copied().unwrap_or(0) < *count)
        .map(|(word, count)| format!("{word} ({count}, {} there)", there.get(&word).copied().unwrap_or(0)))
        .collect();
    assert!(lost.is_empty(), "lost: {lost:?}\n{}", taken.text);
}

/// What is said of a draft.
fn codes(taken: &Taken) -> Vec<Code> {
    let compiled = compile::check("draft.fitw", &Memory::default().with("draft.fitw", taken.text.as_str()));
    compiled.findings().iter().map(|finding| finding.code).collect()
}

#[track_caller]
fn taken(text: &str) -> Taken {
    let taken = take_in("draft", "Draft", DAY, text).unwrap_or_else(|refusal| panic!("{refusal}: {text}"));
    assert_eq!(format(&taken.text).as_ref(), Ok(&taken.text), "a draft has its form");
    taken
}

#[test]
fn a_manual_becomes_a_draft_with_all_its_words() {
    for text in [RAIL, PLAIN, SHELF] {
        let taken = taken(text);
        nothing_is_lost(text, &taken);
        // Nothing is wrong with the text of the draft, its names or its quantities: what is told is what is missing.
        let wrong: Vec<Code> = codes(&taken)
            .into_iter()
            .filter(|code| matches!(code.family(), Family::Text | Family::Names | Family::Quantities | Family::Flow))
            .collect();
        assert_eq!(wrong, [], "{}", taken.text);
    }
}

#[test]
fn a_draft_looks_as_it_is_shown() {
    insta::assert_snapshot!(taken(RAIL).text);
}

/// Tables as GitHub Flavored Markdown has them (section 4.10).
#[test]
fn a_table_of_parts_or_tools_is_read_row_by_row() {
    let text = "# Lamp\n\n## Tools\n\n| Tool | Note |\n|---|---|\n| Ratchet | 3/8 in |\n| Spanner 13 mm | |\n\n## Parts\n\n| No. | Part | Qty |\n|-:|---|:-:|\n| 7 | Bolt M8 x 30 | 4 |\n| 8 | Foot | **2** |\n| 9 | Grease | a little |\n\n## Fit\n\n1. Set the feet.\n\n| Joint | Torque |\n|---|---|\n| Feet | 20 Nm |\n";
    let taken = taken(text);
    nothing_is_lost(text, &taken);
    let lines: Vec<String> =
        taken.text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect();
    for line in [
        "# Tool, Note",
        "\"Ratchet\" # std/hand-tools has `ratchet-1-4-drive`, `ratchet-3-8-drive`, `ratchet-1-2-drive`",
        "; Note 3/8 in",
        "# No., Part, Qty",
        "part bolt-m8-x-30 \"Bolt M8 x 30\" # No. 7",
        "part grease \"Grease\" # No. 9",
        "4 bolt-m8-x-30",
        "2 foot",
        "unknown grease \"The text says: a little.\"",
    ] {
        let found = lines.iter().any(|other| other.trim_end_matches([',', '}', ' ']) == line || other.contains(line));
        assert!(found, "{line}:\n{}", taken.text);
    }
    assert!(taken.text.contains("> Feet, [20 Nm]"), "{}", taken.text);
    for odd in [
        "| a | b |\n|---|---|\nWARNING: Hot. It can burn. Wear gloves.\n",
        "| a |\n|---|\n",
        "| a | b |\n|---|---|\n| | |\n",
        "| | |\n|---|---|\n| x | y | z |\n",
    ] {
        if let Ok(taken) = take_in("draft", "Draft", DAY, odd) {
            nothing_is_lost(&odd.replace("| z |", "|"), &taken);
        }
    }
}

/// Task lists are those of GitHub Flavored Markdown (section 5.3); fields before a text are those of YAML 1.2, as static site
/// generators read them. The rest is common practice in Markdown manuals.
#[test]
fn pictures_boxes_fields_and_tables_are_what_they_are() {
    let text = "---\ntitle: \"Work lamp\"\nauthor: Workshop\ntags:\n  - lamp\n---\n\nHow to mount it.\n\n## Delivered with the lamp\n\n\
        | Item | Description | Quantity |\n|---|---|---|\n| A | Lamp | 1 |\n| B | Bracket | 2 |\n\n## Fit\n\n\
        ![The rail](img/rail.png)\n\n- [ ] Hold the lamp to the rail.\n- ![Where it hangs](./hang.jpg \"From the left\")\n\n\
        ```\no--o\n```\n\n1. Turn it.\n\n   ![](turn.svg)\n\n| Joint | Quantity | Torque |\n|---|---|---|\n| Feet | 4 | 20 Nm |\n\n\
        See ![it](it.png) there.\n\n![Far](https://example.org/far.png)\n";
    let taken = taken(text);
    nothing_is_lost(text, &taken);
    let plain: Vec<String> =
        taken.text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect();
    for line in [
        "procedure draft \"Work lamp\"",
        "# author: Workshop",
        "# - lamp",
        "# Delivered with the lamp",
        "part bracket \"Bracket\" # Item B",
        "2 bracket",
        "step hold-the-lamp-to-the \"Hold the lamp to the rail\" {",
        "figure \"img/rail.png\" \"The rail\"",
        "step where-it-hangs-from-the \"Where it hangs From the left\" {",
        "figure \"./hang.jpg\" \"Where it hangs From the left\"",
        "figure \"turn.svg\" \"Turn it\"",
        "> Feet, 4, [20 Nm]",
        "> See it (it.png) there.",
    ] {
        assert!(plain.iter().any(|other| other.trim_end_matches([',', '}', ' ']) == line), "{line}:\n{}", taken.text);
    }
    // A heading that has become that of a list is no section; a rule is no field; a picture that stands elsewhere stays words.
    assert!(!taken.text.contains("section delivered") && !taken.text.contains("figure \"https"), "{}", taken.text);
    let rule = "---\nHold it: with both hands: so.\n\n---\n\nTurn it.\n";
    nothing_is_lost(rule, &self::taken(rule));
}

/// The forms in which published manuals of open hardware list things and warn.
#[test]
fn lists_and_warnings_are_known_in_the_forms_that_people_use() {
    let says = |text: &str, wanted: &[&str]| {
        let taken = taken(text);
        nothing_is_lost(text, &taken);
        let plain: Vec<String> =
            taken.text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect();
        for line in wanted {
            assert!(plain.iter().any(|other| other.contains(line)), "{line}:\n{}", taken.text);
        }
    };
    let steps = "\n\n## Work\n\n1. Set the feet.\n2. Look at them.\n";
    // *Item* is the name where its cells are words; what is noted is no name.
    let table = "# V\n\n## Parts\n\n| Item | Qty | Notes |\n|---|---|---|\n| Lens | 1 | For the 12V line |\n| PCB | 2 sheets | |\n| Tube | 1.2 m | black |";
    says(
        &format!("{table}{steps}"),
        &[
            "part lens \"Lens\" # Notes For the 12V line",
            "1 lens",
            "part pcb \"PCB\" # Qty 2 sheets",
            "2 pcb",
            "1.2 m tube",
        ],
    );
    let numbered = "# V\n\n## Parts\n\n| Item | Part | Qty |\n|---|---|---|\n| 7 | Shim | 4 |";
    says(&format!("{numbered}{steps}"), &["part shim \"Shim\" # Item 7", "4 shim"]);
    // A cell that is empty takes no column with it.
    let empty = "# V\n\n## Tools\n\n| Item | Ref | Qty | Image |\n|---|---|---|---|\n| Hacksaw | D4 | 1 | |";
    says(&format!("{empty}{steps}"), &["\"Hacksaw\" # std/hand-tools has `hacksaw`; 1 of it, Ref D4"]);
    // A table of parts below the tools; a heading within the list.
    let mixed = "# V\n\n## Tools\n\n### Mandatory\n\n- Vise\n\n| Part | Qty |\n|---|---|\n| Foot | 4 |";
    says(&format!("{mixed}{steps}"), &["tool vise \"Vise\"", "part foot \"Foot\"", "4 foot", "# Mandatory"]);
    // Lists that run in a sentence.
    let run_in = "# V\n\nYou need: a vise, a file (flat) and 2 clamps.\n\nIn the box: 1 lamp with cable, 4 feet.";
    says(
        &format!("{run_in}{steps}"),
        &[
            "# You need: a vise, a file (flat) and 2 clamps.",
            "tool vise",
            "tool file-flat \"file (flat)\"",
            "1 lamp-with-cable",
            "4 feet",
        ],
    );
    // Warnings.
    for (head, signal) in [
        ("> [!WARNING]\n> The battery is live. It can burn you. Take the lead off first.", "warning"),
        ("> **Caution** The battery is live. It can burn you. Take the lead off first.", "caution"),
        ("## Safety warnings\n\n- The battery is live. It can burn you. Take the lead off first.", "warning"),
    ] {
        says(
            &format!("# V\n\n{head}{steps}"),
            &[&format!("{signal} "), "hazard \"The battery is live.\"", "avoid \"Take the lead off first.\""],
        );
    }
    // Half of a range is no quantity; the whole of it is.
    says(
        "# V\n\n1. Set it to 3 to 4 mm.\n2. Cut 0.5 x 13.5 inch of it, for 5V/3.3V.\n",
        &["[3 to 4 mm]", "0.5 x 13.5 inch", "5V/3.3V"],
    );
}

#[test]
fn headings_lists_and_signal_words_are_what_they_are() {
    let text = taken(RAIL).text;
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    for line in [
        "procedure draft \"Wall rail for the Finch workshop\"",
        "section mounting-mark-the-holes \"Mounting: Mark the holes\" {",
        "step drill-each-hole-10-mm \"Drill each hole 10 mm wide and 90 mm deep\" {",
        "> Drill each hole [10 mm] wide and [90 mm] deep:",
        "> - use the hammer drill",
        "> Keep it level, at a height of [1.5 m ± 10 mm].",
        "note \"The marks may stay.\"",
        "consequence \"A drill that meets one can kill.\"",
        "avoid       \"Look behind the place first.\"",
        "4 m8-x-80-bolt",
        "unknown washers \"The text does not say how many.\"",
        "> \"Push\" the C:\\\\bolts \\[through\\] `x_1`, 2 in each end.",
    ] {
        assert!(lines.contains(&line), "{line} is not in\n{text}");
    }
    assert!(text.contains("# std/hand-tools has `socket-13`"), "{text}");
}

#[test]
fn what_is_missing_is_asked_for() {
    let codes = codes(&taken(RAIL));
    for code in [Code::FW1103, Code::FW0502, Code::FW0602, Code::FW1202] {
        assert!(codes.contains(&code), "{code} is not among {codes:?}");
    }
    // A message that says all three is whole.
    let whole = "# A\n\n## B\n\nWARNING: The edge is sharp. It can cut a hand. Wear gloves.\n\n1. Lift the plate.\n";
    assert!(!self::codes(&taken(whole)).contains(&Code::FW1103));
    assert!(taken(whole).text.contains("warning sharp-edge {"), "the library's hazard");
}

#[test]
fn a_text_without_headings_is_one_section() {
    let taken = taken("Some words first.\n\n1. Lift it.\n2. Turn it.\n");
    assert_eq!((taken.counts.sections, taken.counts.steps), (2, 2), "{}", taken.text);
    assert!(taken.text.contains("> Some words first."));
    assert_eq!(self::taken("Nothing else.").counts.steps, 0);
}

#[test]
fn what_cannot_be_seen_is_left_out_and_counted() {
    let taken = taken("# A\u{202e}B\u{0}\n\n- c\u{200b}d\n");
    assert_eq!(taken.counts.dropped, 2 + usize::from(!taken.text.contains('\u{fffd}')));
    assert!(taken.text.contains("\"AB"), "{}", taken.text);
}

#[test]
fn nothing_and_too_much_are_refused() {
    for text in ["", " \n\n", "---\n", "\u{202e}"] {
        assert_eq!(take_in("draft", "Draft", DAY, text), Err(Refusal::Empty), "{text:?}");
    }
    assert_eq!(take_in("draft", "Draft", DAY, &"a ".repeat(600_000)), Err(Refusal::TooLarge));
}

#[test]
fn deep_and_many_come_out_too() {
    let lists: String = (0..400).map(|depth| format!("{}- a{depth}\n", " ".repeat(depth * 2))).collect();
    let quotes = format!("{}end", "> ".repeat(3_000));
    let brackets = format!("{}x{}", "[".repeat(3_000), "]".repeat(3_000));
    let stars = format!("{} a", "*".repeat(3_000));
    let alike = "# The same\n\n- again\n\n".repeat(1_000);
    let messages = "## A\n\nWARNING: Hot.\n\n".repeat(500);
    for text in [lists, quotes, brackets, stars, alike, messages] {
        nothing_is_lost(&text, &taken(&text));
    }
}

/// What stands between a heading and a table of parts belongs to the heading.
#[test]
fn what_stands_before_a_table_of_parts_stays_with_its_heading() {
    let text = "# Fit the box\n\nLift it.\n\n## The bags\n\n\tbag A\n\n| Part | Qty |\n|---|---|\n| Foot | 4 |\n";
    nothing_is_lost(text, &taken(text));
}

fn piece() -> impl Strategy<Value = String> {
    prop::sample::select(vec![
        "# Fit the box",
        "## Tools",
        "### Parts list",
        "- 4 × M8 bolt",
        "  - deeper",
        "1. Lift it. Turn it.",
        "2) 10 mm wide",
        "WARNING: Hot. It can burn. Wear gloves.",
        "NOTICE",
        "Note: keep it.",
        "> quoted words",
        "```sh\ncode [a] `b`\n```",
        "    indented",
        "| a | b |\n|---|---|",
        "*em* **strong** `code` _x_",
        "[words](https://example.org/a)",
        "[words](javascript:alert)",
        "![picture](a.png \"title\")",
        "[ref]: https://example.org/r",
        "[ref]",
        "[^1]",
        "<b>html</b> &amp; <!-- remark -->",
        "===",
        "---",
        "+ 5 N·m ± 1 N·m",
        "\\[x\\] \"quoted\" C:\\dir",
        "ALL CAPITALS",
        "# {} \"#\"",
        "<<<<<<< ours",
        "é ü ß 中文",
        "\t- tab",
        "",
        "",
        "***",
        "1.",
        "-",
        "#",
        "``` `` `",
        "step when else {",
        "> - a\n>   b",
        "---\ntitle: A lamp\nby: me\n---",
        "- [x] ticked",
        "![alone](b.png)",
        "- ![](c.jpg)\n- ![x](../d.svg)",
        "| Part | Qty |\n|---|---|\n| Foot | 4 |",
    ])
    .prop_map(str::to_string)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_mixture_comes_out_whole(pieces in prop::collection::vec(piece(), 0..25), crlf: bool) {
        let text = pieces.join(if crlf { "\r\n" } else { "\n" });
        match take_in("draft", "Draft", DAY, &text) {
            Ok(taken) => {
                prop_assert_eq!(format(&taken.text), Ok(taken.text.clone()));
                // What is written for a sign (`&amp;`) comes out as the sign.
                let shown = text.replace("&amp;", "&");
                let there = words(&taken.text);
                for (word, count) in words(&shown) {
                    prop_assert!(there.get(&word).copied().unwrap_or(0) >= count, "{} of\n{}\nin\n{}", word, text, taken.text);
                }
                let codes = codes(&taken);
                prop_assert!(!codes.iter().any(|code| code.family() == Family::Text && *code != Code::FW0117), "{:?} of\n{}\nin\n{}", codes, text, taken.text);
            }
            Err(refusal) => prop_assert_eq!(refusal, Refusal::Empty),
        }
    }

    #[test]
    fn any_signs_come_out_or_are_refused(text in "\\PC{0,200}|[ -~\n\t]{0,300}") {
        match take_in("draft", "Draft", DAY, &text) {
            Ok(taken) => prop_assert_eq!(format(&taken.text), Ok(taken.text.clone())),
            Err(refusal) => prop_assert_eq!(refusal, Refusal::Empty),
        }
    }
}
