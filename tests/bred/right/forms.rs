//! The same thing in another form of the language, or in other words.

use super::{Variants, find};
use crate::bred::text::{Statement, Word};

/// Verbs that ask for the same where these demos use them.
const VERBS: &[(&str, &str)] = &[
    ("Press", "Push"),
    ("Push", "Press"),
    ("Lay", "Put"),
    ("Set", "Put"),
    ("Hold", "Keep"),
    ("Take", "Lift"),
    ("Run", "Lead"),
    ("Stick", "Glue"),
    ("Cut", "Snip"),
    ("Lower", "Let down"),
];

pub fn put(variants: &mut Variants) {
    let text = variants.text;
    for statement in &text.statements {
        let words = text.head_or_list(statement);
        conditions(variants, statement, &words);
        lists(variants, statement, &words);
        tools(variants, statement, &words);
        if statement.home == "choose" {
            otherwise(variants, statement);
        }
        if statement.word == ">" && statement.home == "step" {
            sentences(variants, statement, &text.words(statement));
        }
    }
    sections(variants);
}

/// `is at least 25 mm` and `>= 25 mm`; a value of two, and not the other; a condition that is negated twice.
fn conditions(variants: &mut Variants, statement: &Statement, words: &[Word]) {
    // `fuse … is PART` is no condition.
    if let Some(at) = find(words, "is").filter(|_| statement.word != "fuse") {
        let next = |by: usize| words.get(at + by).map_or("", |word| word.text.as_str());
        let sign = match (next(1), next(2)) {
            ("at", "least") => Some(">="),
            ("at", "most") => Some("<="),
            _ => None,
        };
        if let Some(sign) = sign.filter(|_| statement.word == "expect") {
            let range = words[at].at.start..words[at + 2].at.end;
            variants.statement("a comparison by its sign", statement, vec![(range, sign.to_owned())]);
        }
        let is_value = sign.is_none() && !next(1).starts_with(|c: char| c.is_ascii_digit()) && next(1) != "not";
        if is_value && (statement.home != "file" || matches!(statement.word.as_str(), "joint" | "circuit" | "section"))
        {
            let twice = format!("not ({} is not {})", words[at - 1].text, next(1));
            let range = words[at - 1].at.start..words[at + 1].at.end;
            variants.statement("a condition negated twice", statement, vec![(range, twice)]);
        }
    }
}

/// Entries in another order; one `read` as two; a count in two lines; one that is not said.
fn lists(variants: &mut Variants, statement: &Statement, words: &[Word]) {
    let is_step = statement.home == "step";
    let Some(comma) = find(words, ",") else {
        if is_step
            && statement.word == "take"
            && let [_, count, name] = words
            && let Ok(count) = count.text.parse::<u32>()
            && count > 1
        {
            let twice = format!("take 1 {}\n    take {} {}", name.text, count - 1, name.text);
            variants.statement("a count in two lines", statement, vec![(statement.own.clone(), twice)]);
        }
        return;
    };
    if is_step && statement.word == "read" {
        let changes = vec![(words[comma].at.clone(), "\n    read".to_owned())];
        variants.statement("one line as two", statement, changes);
    }
    let is_list = matches!(statement.word.as_str(), "take" | "read" | "wear" | "bag" | "box" | "joins" | "sign");
    if is_list {
        let from = find(words, "{").map_or(1, |brace| brace + 1);
        let to = words[comma + 1..]
            .iter()
            .position(|word| matches!(word.text.as_str(), "," | "}" | "with"))
            .map_or(words.len(), |at| comma + 1 + at);
        let text = &variants.text.text;
        let (one, other) =
            (words[from].at.start..words[comma - 1].at.end, words[comma + 1].at.start..words[to - 1].at.end);
        let changes = vec![(one.clone(), text[other.clone()].to_owned()), (other, text[one].to_owned())];
        variants.statement("entries in another order", statement, changes);
    }
    if matches!(statement.word.as_str(), "bag" | "box") || (is_step && statement.word == "take") {
        for one in words.iter().filter(|word| word.text == "1") {
            variants.statement("one that is not said", statement, vec![(one.at.start..one.at.end + 1, String::new())]);
        }
    }
}

/// Alternatives in another order, and one that fits as well.
fn tools(variants: &mut Variants, statement: &Statement, words: &[Word]) {
    if statement.home != "step" {
        return;
    }
    if let Some(or) = find(words, "or") {
        let (one, other) = (&words[or - 1], &words[or + 1]);
        let changes = vec![(one.at.clone(), other.text.clone()), (other.at.clone(), one.text.clone())];
        variants.statement("alternatives in another order", statement, changes);
    }
    let Some(hold) = find(words, "hold") else { return };
    let Some(tool) = words.get(hold + 2).filter(|_| words.len() == hold + 3) else { return };
    if let Some(size) = tool.text.strip_prefix("spanner-") {
        let changes = vec![(tool.at.end..tool.at.end, format!(" or socket-{size}"))];
        variants.statement("another tool that fits", statement, changes);
    }
}

/// The last arm takes what is left.
fn otherwise(variants: &mut Variants, statement: &Statement) {
    let text = variants.text;
    let last = text.statements.iter().rfind(|other| other.list == statement.list);
    let head = text.head(statement);
    let (Some(first), Some(end)) = (head.first(), head.last()) else { return };
    if last.is_some_and(|last| last.own == statement.own) {
        variants.statement("otherwise", statement, vec![(first.at.start..end.at.end, "otherwise".to_owned())]);
    }
}

/// Another verb.
fn sentences(variants: &mut Variants, statement: &Statement, lines: &[Word]) {
    for line in lines {
        let said = line.text.trim_start_matches('>').trim_start();
        for (verb, other) in VERBS.iter().filter(|(verb, _)| said.starts_with(&format!("{verb} "))) {
            let start = line.at.start + line.text.len() - said.len();
            variants.statement("another verb", statement, vec![(start..start + verb.len(), (*other).to_owned())]);
        }
    }
}

/// A section in two, before its first safety message: what a message answers ends with its section.
fn sections(variants: &mut Variants) {
    let text = variants.text;
    for section in text.statements.iter().filter(|one| one.home == "file" && one.word == "section") {
        let inside = |one: &&Statement| one.own.start > section.own.start && one.own.end < section.own.end;
        let steps: Vec<&Statement> = text.statements.iter().filter(inside).filter(|one| one.home == "flow").collect();
        let Some(list) = steps.first().map(|one| one.list) else { continue };
        let steps: Vec<&Statement> = steps.into_iter().filter(|one| one.list == list).collect();
        let head = text.head(section);
        let condition = find(&head, "when")
            .map_or(String::new(), |when| format!(" {}", &text.text[head[when].at.start..head[head.len() - 1].at.end]));
        for pair in steps.windows(2) {
            let before = &text.text[section.own.start..pair[0].own.end];
            if ["warning ", "caution ", "danger ", "notice "].iter().any(|word| before.contains(word)) {
                break;
            }
            // Of whom a check may not be goes by the steps before it in its section.
            if text.text[pair[1].own.clone()].contains("by another person") {
                continue;
            }
            let at = text.lines(&pair[1].at).start;
            let split = format!("}}\n\nsection more-{} \"More of it\"{condition} {{\n\n", head[1].text);
            variants.statement("a section in two", pair[1], vec![(at..at, split)]);
        }
    }
}
