//! What is left out: a line of each kind, an entry of a list, a word at the end of a line.

use super::Edits;
use crate::bred::text::{Statement, Word};

/// Statements whose loss a reader would not call a slip: what a file is, and lines that stand there by their neighbours' grace.
const STAYS: &[&str] = &["revision", "units", "use", "language", "procedure", "section", "accept", "result", "fact"];

pub fn put(edits: &mut Edits) {
    let text = edits.text;
    for statement in &text.statements {
        let is_declaration = statement.home == "file";
        if is_declaration && STAYS.contains(&statement.word.as_str()) {
            continue;
        }
        let family = match statement.home {
            "file" => "a declaration left out",
            "flow" | "choose" => "a step or branch left out",
            "step" | "check" | "handover" => "a line of the work left out",
            _ => "a line of a declaration left out",
        };
        let kind = match (statement.home, statement.word.as_str()) {
            (_, "danger" | "caution" | "notice") => "without a safety message".to_owned(),
            (_, "warning") => "without a safety message".to_owned(),
            ("choose", _) => "without an arm".to_owned(),
            (_, ">") => "without a sentence".to_owned(),
            ("step" | "check" | "handover" | "flow", word) => format!("without `{word}`"),
            (home, word) => format!("{home} without `{word}`"),
        };
        if statement.word == ">" {
            sentences(edits, statement, family);
            continue;
        }
        let whole = text.lines(&statement.at);
        edits.put((family, &kind), statement, "", vec![(whole, String::new())]);
    }
    for statement in &text.statements {
        entries(edits, statement);
        ends(edits, statement);
    }
}

/// Each line of prose by itself, where another is left.
fn sentences(edits: &mut Edits, statement: &Statement, family: &'static str) {
    let text = edits.text;
    if statement.home != "step" {
        return;
    }
    let words = text.words(statement);
    for word in words.iter().filter(|_| words.len() > 1) {
        let mut of = statement.clone();
        of.own = word.at.clone();
        edits.put((family, "without a sentence"), &of, "", vec![(text.lines(&word.at), String::new())]);
    }
}

/// An entry of a list in a line: `take 4 a, 2 b` without `2 b`.
fn entries(edits: &mut Edits, statement: &Statement) {
    const LISTS: &[&str] = &[
        "take",
        "read",
        "wear",
        "each",
        "at",
        "joins",
        "sign",
        "brings",
        "remove",
        "refit",
        "discard",
        "record",
        "snug",
        "tighten",
        "loosen",
        "connect",
        "disconnect",
        "use",
        "bag",
        "box",
        "shop",
        "vehicle",
    ];
    let text = edits.text;
    if !LISTS.contains(&statement.word.as_str()) || (statement.home == "file" && statement.word != "vehicle") {
        return;
    }
    let words = text.words(statement);
    let is_kit = words.iter().any(|word| word.text == "{");
    let list: Vec<&Word> = match words.iter().position(|word| word.text == "{") {
        Some(brace) => words[brace + 1..words.len() - 1].iter().collect(),
        None => words[1..].iter().collect(),
    };
    let commas: Vec<usize> = (0..list.len()).filter(|at| list[*at].text == ",").collect();
    if commas.is_empty() {
        return;
    }
    let family = if is_kit { "a line of a declaration left out" } else { "a line of the work left out" };
    let mut from = 0;
    for (at, end) in commas.iter().copied().chain([list.len()]).enumerate() {
        let entry = &list[from..end];
        from = end + 1;
        let Some((first, last)) = entry.first().zip(entry.last()) else { continue };
        let is_tool = entry.iter().any(|word| word.text == "with");
        let said: Vec<&str> = entry.iter().map(|word| word.text.as_str()).collect();
        let kind = match statement.word.as_str() {
            "snug" | "tighten" | "loosen" if said.contains(&"hold") => "nothing holds the other side",
            "snug" | "tighten" | "loosen" | "remove" | "use" => "a tool dropped from a list",
            "bag" | "box" | "shop" | "vehicle" => "an entry of the kit dropped",
            "each" => "a part of a fastening dropped",
            _ => "an entry of a line dropped",
        };
        // The first one goes with the comma behind it, each other with the comma before; what stands before `with` stays.
        let cut = if at == 0 {
            let start = if is_tool {
                entry.iter().position(|word| word.text == "with").map_or(*first, |at| entry[at + 1])
            } else {
                first
            };
            start.at.start..list[end].at.end
        } else {
            list[commas[at - 1]].at.start..last.at.end
        };
        edits.put((family, kind), statement, &format!(" | without {}", said.join(" ")), vec![(cut, String::new())]);
    }
}

/// What stands at the end of a line, or of a head: a condition, people, an alternative, a reserve of words.
fn ends(edits: &mut Edits, statement: &Statement) {
    let text = edits.text;
    let words = text.head(statement);
    let find = |word: &str| words.iter().position(|other| other.text == word);
    let mut cut = |kind: (&'static str, &str), from: usize, to: usize| {
        let said: Vec<&str> = words[from..to].iter().map(|word| word.text.as_str()).collect();
        let at = words[from].at.start..words[to - 1].at.end;
        edits.put(kind, statement, &format!(" | without {}", said.join(" ")), vec![(at, String::new())]);
    };
    if statement.word != "when"
        && let Some(when) = find("when")
    {
        let to = words[when..].iter().position(|word| word.text.starts_with('"')).map_or(words.len(), |at| when + at);
        cut(("conditions", "a condition dropped"), when, to);
    }
    if statement.word == "takes"
        && let Some(comma) = find(",")
    {
        cut(("safety", "people dropped"), comma, words.len());
    }
    if statement.word == "pattern"
        && let Some(stages) = find("in")
    {
        cut(("a line of a declaration left out", "stages dropped"), stages, words.len());
    }
    if matches!(statement.word.as_str(), "fuse" | "breaker")
        && statement.home == "circuit"
        && let Some(at) = find("at")
    {
        cut(("wiring", "the place of the fuse dropped"), at, words.len());
    }
    if statement.word == "point"
        && let Some(with) = find("with")
    {
        let on = find("on").unwrap_or(words.len());
        cut(("wiring", "a terminal dropped"), with, on);
        if on < words.len() {
            cut(("wiring", "a stud dropped"), on, words.len());
        }
    }
    if let Some(tolerance) = find("+-") {
        let to = (tolerance + 3).min(words.len());
        cut(("torques", "a tolerance dropped"), tolerance, to);
    }
    if statement.word == "torque" {
        let ends: Vec<usize> = (0..words.len()).filter(|at| words[*at].text == ",").chain([words.len()]).collect();
        for stage in ends.windows(2) {
            cut(("torques", "a stage dropped"), stage[0], stage[1]);
        }
    }
    if matches!(statement.word.as_str(), "connect" | "disconnect")
        && let Some(at) = find("at")
    {
        cut(("wiring", "the points dropped"), at, words.len());
    }
    for alternative in (0..words.len()).filter(|at| words[*at].text == "or" && statement.home == "step") {
        cut(("tools", "an alternative dropped"), alternative, alternative + 2);
        let from = alternative - 1;
        cut(("tools", "an alternative dropped"), from, alternative + 1);
    }
}
