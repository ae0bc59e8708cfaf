//! One cause, one message; several causes, several messages in one run.

use super::{brief, read};

const SAMPLE: &str = include_str!("sample.fitw");

/// The sample with one place replaced.
fn with(text: &str, old: &str, new: &str) -> String {
    assert!(text.contains(old), "the sample has `{old}`");
    text.replacen(old, new, 1)
}

#[test]
fn the_sample_is_in_order() {
    assert_eq!(brief(SAMPLE), Vec::<String>::new());
}

#[test]
fn five_faults_five_messages() {
    let text = with(SAMPLE, "units metric, inch", "units metric inch");
    let text =
        with(&text, "joint bracket-joint \"Rail bracket to roof rail\" {", "joint bracket-joint \"Rail bracket {");
    let text = with(&text, "take  4 rail-bracket", "tkae  4 rail-bracket");
    let text = with(
        &text,
        "tighten bracket-joint with torque-wrench-40, socket-13, spanner-13\n    record",
        "tighten bracket-joint torque-wrench-40\n    record",
    );
    let text = with(&text, "repair at most 2 times", "repair 2 times");
    let said = brief(&text);
    assert_eq!(said.len(), 5, "{said:#?}");
}

#[test]
fn a_lost_brace_beside_other_faults_hides_none() {
    let text = with(SAMPLE, "    takes 10 min, two people\n  }", "    takes 10 min, two people\n");
    let text = with(&text, "fact rack-mass = 38 kg", "fact rack-mass 38 kg");
    let text = with(&text, "sign installer, customer", "sing installer, customer");
    let said = brief(&text);
    assert_eq!(said.len(), 3, "{said:#?}");
    assert!(said[1].contains("`step place-brackets` has no closing brace"), "{said:#?}");
}

/// The sample without one character.
fn without(at: usize) -> String {
    let mut text = SAMPLE.to_string();
    text.remove(at);
    text
}

#[test]
fn each_lost_brace_that_ends_a_line_gives_one_message_at_its_block() {
    let mut tried = 0;
    for (at, _) in SAMPLE.match_indices("}\n") {
        let line = SAMPLE[..at].rsplit('\n').next().unwrap_or("");
        if !line.trim().is_empty() {
            continue;
        }
        tried += 1;
        let said = brief(&without(at));
        assert_eq!(said.len(), 1, "without the brace at byte {at}: {said:#?}");
        assert!(said[0].starts_with("FW0102"), "{said:#?}");
    }
    assert!(tried > 25, "{tried} braces stand alone on their line");
}

#[test]
fn each_lost_opening_brace_at_the_end_of_a_line_gives_one_message() {
    for (at, _) in SAMPLE.match_indices("{\n") {
        let said = brief(&without(at));
        assert_eq!(said.len(), 1, "without the brace at byte {at}: {said:#?}");
        assert!(said[0].starts_with("FW0103"), "{said:#?}");
    }
}

#[test]
fn each_lost_brace_within_a_line_gives_few_messages() {
    for (at, _) in SAMPLE.match_indices(['{', '}']) {
        let said = brief(&without(at));
        assert!((1..=3).contains(&said.len()), "without the brace at byte {at}: {said:#?}");
    }
}

#[test]
fn each_lost_quote_gives_one_message() {
    for (at, _) in SAMPLE.match_indices('"') {
        let said = brief(&without(at));
        assert_eq!(said.len(), 1, "without the quote at byte {at}: {said:#?}");
        assert!(said[0].starts_with("FW0104"), "{said:#?}");
    }
}

#[test]
fn each_extra_brace_on_a_line_of_its_own_gives_one_message() {
    let mut from = 0;
    for line in SAMPLE.split_inclusive('\n') {
        let indent: String = line.chars().take_while(|c| *c == ' ').collect();
        let text = format!("{}{indent}}}\n{}", &SAMPLE[..from], &SAMPLE[from..]);
        from += line.len();
        let said = brief(&text);
        assert!((1..=2).contains(&said.len()), "a brace before `{}`: {said:#?}", line.trim_end());
    }
}

#[test]
fn each_word_that_a_statement_begins_with_may_be_misspelt() {
    let mut from = 0;
    let mut tried = 0;
    for line in SAMPLE.split_inclusive('\n') {
        let word: String = line.trim_start().chars().take_while(char::is_ascii_lowercase).collect();
        let at = from + line.find(&word).unwrap_or(0);
        from += line.len();
        // A swap of two letters in the middle; shorter words would become others.
        if word.len() < 4 || line.contains("\"") && !line.contains('{') && word == "high" {
            continue;
        }
        let letters = word.as_bytes();
        if letters[1] == letters[2] {
            continue;
        }
        let mut text = SAMPLE.to_string();
        let swapped = format!("{}{}{}{}", &word[..1], &word[2..3], &word[1..2], &word[3..]);
        text.replace_range(at..at + word.len(), &swapped);
        let said = brief(&text);
        if said.is_empty() {
            // A name of the writer's: the value of an option, for one.
            continue;
        }
        tried += 1;
        assert_eq!(said.len(), 1, "`{swapped}`: {said:#?}");
    }
    assert!(tried > 60, "{tried}");
}

#[test]
fn every_line_may_be_lost_or_doubled() {
    let lines: Vec<&str> = SAMPLE.split_inclusive('\n').collect();
    for (at, line) in lines.iter().enumerate() {
        for copies in [0, 2] {
            let text: String = lines
                .iter()
                .enumerate()
                .flat_map(|(n, line)| std::iter::repeat_n(*line, if n == at { copies } else { 1 }))
                .collect();
            let said = brief(&text);
            assert!(said.len() <= 3, "{copies} of `{}`: {said:#?}", line.trim_end());
        }
    }
}

#[test]
fn every_beginning_of_the_sample_is_read() {
    // Within a word the outcome changes little, and the time much: every place beside one is tried.
    let bytes = SAMPLE.as_bytes();
    let beside =
        |at: &usize| !bytes[*at].is_ascii_alphanumeric() || *at == 0 || !bytes[*at - 1].is_ascii_alphanumeric();
    for end in (0..SAMPLE.len()).filter(beside) {
        let (tree, findings, _) = read(&SAMPLE[..end]);
        // At most the open blocks, an open quote, a half line, and what the open blocks lack.
        assert!(findings.len() <= 6, "up to byte {end}: {findings:#?}");
        assert!(end < 40 || tree.head.is_some());
    }
}

#[test]
fn what_was_not_read_is_listed_with_its_names() {
    let (tree, _, _) = read("procedure p \"P\"\nprat rail \"Rail\"\nfrobnicate beam { x }\npart (bolt\n");
    let names: Vec<&str> = tree.unread.iter().map(|name| name.text.as_str()).collect();
    assert_eq!(names, ["frobnicate", "beam", "x", "part", "bolt"]);
    assert_eq!(tree.items.len(), 1, "`prat` is read as `part`");
}
