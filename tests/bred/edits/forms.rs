//! Conductors, parts that are made of others, amounts, and what a check replaces or leaves to another person.

use super::Edits;
use super::numbers::times;
use crate::bred::text::{Statement, Word};

/// Units of amounts that are taken.
const AMOUNTS: &[&str] = &["mm", "m", "in", "ft", "ml", "l", "g", "kg"];

pub fn put(edits: &mut Edits) {
    let text = edits.text;
    for statement in &text.statements {
        match (statement.home, statement.word.as_str()) {
            ("circuit", "conductor") => conductor(edits, statement),
            ("step", "make") => made(edits, statement),
            ("check", "else") => replaced(edits, statement),
            _ => {}
        }
        let words = text.head_or_list(statement);
        if matches!(statement.home, "step" | "kit") {
            amounts(edits, statement, &words);
        }
    }
}

fn find(words: &[Word], word: &str) -> Option<usize> {
    words.iter().position(|other| other.text == word)
}

fn conductor(edits: &mut Edits, statement: &Statement) {
    let text = edits.text;
    let words = text.words(statement);
    for word in words.iter().skip(1).take(2) {
        let other = match word.text.as_str() {
            "red" => "black",
            "black" => "red",
            "positive" => "negative",
            "negative" => "positive",
            _ => continue,
        };
        let kind = if other.len() > 5 { "a conductor that carries something else" } else { "another colour" };
        edits.word(("wiring", kind), statement, word, other);
    }
    let (Some(from), Some(to)) = (find(&words, "from"), find(&words, "to")) else { return };
    let end = (to..words.len()).find(|at| words[*at].text == ",").unwrap_or(words.len());
    let said = |run: &[Word]| text.text[run[0].at.start..run[run.len() - 1].at.end].to_owned();
    if from + 1 < to && to + 1 < end {
        let (one, other) = (&words[from + 1..to], &words[to + 1..end]);
        let at = |run: &[Word]| run[0].at.start..run[run.len() - 1].at.end;
        let changes = vec![(at(one), said(other)), (at(other), said(one))];
        edits.put(("wiring", "a conductor the other way round"), statement, "", changes);
    }
    for at in 0..words.len().saturating_sub(1) {
        if words[at].text == "pin"
            && let Ok(pin) = words[at + 1].text.parse::<u32>()
        {
            edits.word(("wiring", "another pin"), statement, &words[at + 1], &format!("{}", pin + 1));
        }
    }
    if let Some(length) = words.get(end + 1) {
        for (kind, factor) in [("a conductor ten times as long", 10.0), ("a conductor a tenth as long", 0.1)] {
            if let Some(other) = times(&length.text, factor) {
                edits.word(("wiring", kind), statement, length, &other);
            }
        }
    }
}

/// `make 4 a from 1 b, 2 c with d, e`
fn made(edits: &mut Edits, statement: &Statement) {
    let words = edits.text.words(statement);
    let Some(from) = find(&words, "from") else { return };
    let with = find(&words, "with").unwrap_or(words.len());
    for (at, word) in words.iter().enumerate().take(with) {
        let Ok(count) = word.text.parse::<u32>() else { continue };
        if words.get(at + 1).is_some_and(|unit| AMOUNTS.contains(&unit.text.as_str())) {
            continue;
        }
        let what = if at < from { "what is made" } else { "what is used up" };
        edits.word(("counts", &format!("a count of {what}, one more")), statement, word, &format!("{}", count + 1));
        if count > 1 {
            edits.word(("counts", &format!("a count of {what}, one less")), statement, word, &format!("{}", count - 1));
        }
    }
    dropped(edits, statement, &words, from + 1..with, "a part that is used up dropped");
    if with < words.len() {
        dropped(edits, statement, &words, with + 1..words.len(), "a tool that makes it dropped");
        let at = words[with].at.start..words[words.len() - 1].at.end;
        edits.put(("tools", "made by hand"), statement, "", vec![(at, "by hand".to_owned())]);
    }
}

/// Each entry of a list but where it is the only one.
fn dropped(edits: &mut Edits, statement: &Statement, words: &[Word], list: std::ops::Range<usize>, kind: &str) {
    let entries: Vec<&[Word]> = words[list].split(|word| word.text == ",").filter(|entry| !entry.is_empty()).collect();
    if entries.len() < 2 {
        return;
    }
    for (at, entry) in entries.iter().enumerate() {
        let said: Vec<&str> = entry.iter().map(|word| word.text.as_str()).collect();
        // The first goes with the comma behind it, each other with the comma before.
        let cut = match at {
            0 => entry[0].at.start..entries[1][0].at.start,
            _ => {
                let before = entries[at - 1];
                before[before.len() - 1].at.end..entry[entry.len() - 1].at.end
            }
        };
        let family = "a line of the work left out";
        edits.put((family, kind), statement, &format!(" | without {}", said.join(" ")), vec![(cut, String::new())]);
    }
}

fn replaced(edits: &mut Edits, statement: &Statement) {
    let words = edits.text.head(statement);
    if words.get(1).is_none_or(|word| word.text != "replace") {
        return;
    }
    for word in &words {
        let Ok(count) = word.text.parse::<u32>() else { continue };
        edits.word(("counts", "a count of what is replaced, one more"), statement, word, &format!("{}", count + 1));
        if count > 1 {
            edits.word(("counts", "a count of what is replaced, one less"), statement, word, &format!("{}", count - 1));
        }
    }
    let whole = edits.text.words(statement);
    if let (Some(open), Some(close)) = (find(&whole, "{"), whole.last()) {
        let at = whole[1].at.start..close.at.end;
        edits.put(
            ("conditions", "a stop in the place of a replacement"),
            statement,
            "",
            vec![(at, "stop \"Call the maker.\"".to_owned())],
        );
        let lines = whole[open].at.end..close.at.start;
        edits.put(
            ("a line of the work left out", "a replacement without its lines"),
            statement,
            "",
            vec![(lines, " ".to_owned())],
        );
    }
}

/// A length, a volume or a mass that is taken or supplied.
fn amounts(edits: &mut Edits, statement: &Statement, words: &[Word]) {
    if !matches!(statement.word.as_str(), "take" | "make" | "bag" | "box" | "shop" | "kit") {
        return;
    }
    for pair in words.windows(2) {
        let [number, unit] = pair else { continue };
        if !AMOUNTS.contains(&unit.text.as_str()) {
            continue;
        }
        for (kind, factor) in [("an amount ten times as much", 10.0), ("half an amount", 0.5)] {
            if let Some(other) = times(&number.text, factor) {
                edits.word(("counts", kind), statement, number, &other);
            }
        }
    }
}
