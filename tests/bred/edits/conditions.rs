//! Conditions, bounds and branches that are not the right ones.

use super::Edits;
use crate::bred::text::{Statement, Word};

/// Signs and words of a comparison, with those that a slip puts there.
const SIGNS: &[(&str, &[&str])] = &[("<=", &["<", ">="]), (">=", &[">", "<="]), ("<", &["<="]), (">", &[">="])];

pub fn put(edits: &mut Edits) {
    let text = edits.text;
    for statement in &text.statements {
        let words = match statement.home {
            "file" if matches!(statement.word.as_str(), "limit" | "require") => text.words(statement),
            "file" | "flow" | "kit" | "check" => text.head(statement),
            "choose" => text.head(statement),
            _ => continue,
        };
        comparisons(edits, statement, &words);
        negations(edits, statement, &words);
        if statement.home == "choose" {
            arms(edits, statement, &words);
        }
    }
    results(edits);
}

fn comparisons(edits: &mut Edits, statement: &Statement, words: &[Word]) {
    let compares = matches!(statement.word.as_str(), "limit" | "require" | "expect" | "when" | "else");
    if !compares {
        return;
    }
    for word in words {
        for other in SIGNS.iter().filter(|(sign, _)| *sign == word.text).flat_map(|(_, others)| *others) {
            edits.word(("conditions", "another sign"), statement, word, other);
            edits.walked();
        }
    }
    for pair in words.windows(2) {
        let [at, bound] = pair else { continue };
        let others: &[&str] = match (at.text.as_str(), bound.text.as_str()) {
            ("at", "least") => &["over", "at most"],
            ("at", "most") => &["below", "at least"],
            _ => continue,
        };
        for other in others {
            let said = format!(" | {} {} → {other}", at.text, bound.text);
            let changes = vec![(at.at.start..bound.at.end, (*other).to_owned())];
            edits.put(("conditions", "another sign"), statement, &said, changes);
            edits.walked();
        }
    }
    bounds(edits, statement, words, "a bound moved");
}

/// A number with its unit, a little more and a little less.
fn bounds(edits: &mut Edits, statement: &Statement, words: &[Word], kind: &str) {
    for word in words {
        let Ok(number) = word.text.parse::<f64>() else { continue };
        let step = if word.text.contains('.') { 0.1 } else { 1.0 };
        for other in [number + step, number - step] {
            if other >= 0.0 {
                let digits = usize::from(step < 1.0)
                    + usize::from(word.text.split('.').nth(1).is_some_and(|rest| rest.len() > 1));
                edits.word(("conditions", kind), statement, word, &format!("{other:.digits$}"));
            }
        }
    }
}

/// `is` and `is not`, yes and no, `and` and `or`.
fn negations(edits: &mut Edits, statement: &Statement, words: &[Word]) {
    for (at, word) in words.iter().enumerate() {
        let next = words.get(at + 1).map_or("", |word| word.text.as_str());
        if word.text == "is"
            && next != "not"
            && !matches!(next, "at" | "over" | "below")
            && !next.starts_with(|c: char| c.is_ascii_digit())
        {
            edits.word(("conditions", "a condition negated"), statement, word, "is not");
        }
        let other = match word.text.as_str() {
            "yes" if statement.home != "file" => "no",
            "no" if statement.home != "file" => "yes",
            "and" => "or",
            _ => continue,
        };
        edits.word(("conditions", "another answer"), statement, word, other);
    }
}

/// Arms of a `choose` that overlap, leave a gap, or have another name.
fn arms(edits: &mut Edits, statement: &Statement, words: &[Word]) {
    bounds(edits, statement, words, "a bound of an arm moved");
    let text = edits.text;
    let arms: Vec<&Statement> =
        text.statements.iter().filter(|other| other.home == "choose" && other.list == statement.list).collect();
    let other = arms.iter().find(|other| other.own != statement.own);
    if let Some((other, [word])) = other.zip(words.get(..1).filter(|_| words.len() == 1))
        && let [name] = &text.head(other)[..]
    {
        edits.word(("names", "another arm's name"), statement, word, &name.text);
        let changes = vec![(word.at.clone(), name.text.clone()), (name.at.clone(), word.text.clone())];
        edits.put(("names", "arms with each other's names"), statement, "", changes);
    }
}

/// Another value of a result, a state, or an end.
fn results(edits: &mut Edits) {
    use fitwright::parse::tree::Decl;
    let text = edits.text;
    let mut values: Vec<(String, Vec<String>)> = Vec::new();
    for item in &text.tree.items {
        let named =
            |values: &[fitwright::parse::tree::Value]| values.iter().map(|value| value.name.text.clone()).collect();
        match &item.node {
            Decl::Option(choice) | Decl::Observe(choice) | Decl::Result(choice) => {
                values.push((choice.name.text.clone(), named(&choice.values)));
            }
            Decl::State(state) => values.push((state.name.text.clone(), named(&state.values))),
            _ => {}
        }
    }
    for statement in &text.statements {
        let words = if statement.word == "state" { text.words(statement) } else { text.head(statement) };
        let kind = match statement.word.as_str() {
            "need" | "make" => "another value of a state",
            "set" => "another value of a result",
            "state" => "another begin or end of a state",
            "isolated" => "isolated by another value",
            "when" | "step" | "check" | "section" | "joint" | "circuit" | "limit" | "require" | "bag" | "box"
            | "shop" | "expect" => "another value in a condition",
            _ => continue,
        };
        for (at, word) in words.iter().enumerate() {
            let before = at.checked_sub(1).and_then(|at| words.get(at)).map_or("", |word| word.text.as_str());
            let subject = match statement.word.as_str() {
                "state" if matches!(before, "starts" | "ends") => words.get(1).map_or("", |word| word.text.as_str()),
                "need" | "make" | "set" | "isolated" => before,
                "state" => continue,
                _ if before == "is" => words[at - 2].text.as_str(),
                _ => continue,
            };
            let Some((_, values)) = values.iter().find(|(name, values)| name == subject && values.contains(&word.text))
            else {
                continue;
            };
            for other in values.iter().filter(|other| **other != word.text) {
                let family = if matches!(statement.word.as_str(), "need" | "make" | "state" | "isolated") {
                    "states"
                } else {
                    "conditions"
                };
                edits.word((family, kind), statement, word, other);
            }
        }
    }
}
