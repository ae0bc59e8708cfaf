//! Names that stand for something else of the same sort, and what a safety message is called.

use fitwright::parse::tree::{CircuitLine, Decl};

use super::Edits;
use crate::bred::text::Text;

/// The names of a text, by what they name.
struct Names {
    sorts: Vec<(&'static str, Vec<String>)>,
}

impl Names {
    fn of(text: &Text) -> Names {
        let mut sorts: Vec<(&'static str, Vec<String>)> =
            ["a part", "a joint", "a circuit", "a point", "a reading", "an action", "a tool", "a hazard"]
                .map(|sort| (sort, Vec::new()))
                .into();
        let mut add = |sort: &str, name: &str| {
            if let Some((_, names)) = sorts.iter_mut().find(|(other, _)| *other == sort)
                && !names.iter().any(|other| other == name)
            {
                names.push(name.to_owned());
            }
        };
        for item in &text.tree.items {
            match &item.node {
                Decl::Part(part) => add("a part", &part.name.text),
                Decl::Joint(joint) => add("a joint", &joint.name.text),
                Decl::Circuit(circuit) => {
                    add("a circuit", &circuit.name.text);
                    for line in &circuit.lines {
                        if let CircuitLine::Point { name, .. } = &line.node {
                            add("a point", &name.text);
                        }
                    }
                }
                Decl::Measure(input) => add("a reading", &input.name.text),
                Decl::Observe(choice) => add("a reading", &choice.name.text),
                Decl::Action(action) => add("an action", &action.name.text),
                _ => {}
            }
        }
        for statement in &text.statements {
            let words = text.head(statement);
            match statement.word.as_str() {
                "use" if statement.home == "step" => {
                    words[1..].iter().filter(|word| word.text.contains('-')).for_each(|word| add("a tool", &word.text))
                }
                "warning" | "danger" | "caution" | "notice" => {
                    words.get(1).iter().for_each(|word| add("a hazard", &word.text))
                }
                _ => {}
            }
        }
        Names { sorts }
    }

    /// The next one of the same sort.
    fn other(&self, name: &str) -> Option<(&'static str, &str)> {
        self.sorts.iter().find_map(|(sort, names)| {
            let at = names.iter().position(|other| other == name)?;
            (names.len() > 1).then(|| (*sort, names[(at + 1) % names.len()].as_str()))
        })
    }
}

pub fn put(edits: &mut Edits) {
    let text = edits.text;
    let names = Names::of(text);
    for statement in &text.statements {
        let is_used =
            !matches!(statement.home, "file") || matches!(statement.word.as_str(), "limit" | "require" | "vehicle");
        if !is_used || statement.word == "accept" {
            continue;
        }
        let words = if statement.home == "file" { text.words(statement) } else { text.head_or_list(statement) };
        for (at, word) in words.iter().enumerate().skip(1) {
            if statement.word == "point" && at == 1 {
                continue;
            }
            if let Some((sort, other)) = names.other(&word.text) {
                edits.word(("names", &format!("{sort} for another")), statement, word, other);
            }
        }
        if statement.word == ">" {
            mentions(edits, statement, &names);
        }
        let weaker = match statement.word.as_str() {
            "danger" => "warning",
            "warning" => "caution",
            "caution" => "notice",
            _ => continue,
        };
        edits.word(("safety", "a weaker signal word"), statement, &words[0], weaker);
    }
    bags(edits);
}

/// A mention in a sentence.
fn mentions(edits: &mut Edits, statement: &crate::bred::text::Statement, names: &Names) {
    let text = edits.text;
    let said = &text.text[statement.own.clone()];
    for (open, _) in said.match_indices('[') {
        let Some(length) = said[open..].find(']') else { continue };
        let inside = &said[open + 1..open + length];
        let at = statement.own.start + open + 1..statement.own.start + open + length;
        let number = inside.split(' ').find_map(|word| word.parse::<f64>().ok());
        let mut of = statement.clone();
        of.own = at.clone();
        if let Some((sort, other)) = names.other(inside) {
            edits.put(
                ("names", &format!("{sort} for another in a sentence")),
                &of,
                &format!(" | → {other}"),
                vec![(at, other.to_owned())],
            );
        } else if let Some(number) = number {
            let other = inside.replacen(&format!("{number}"), &format!("{}", number * 2.0), 1);
            if other != inside {
                edits.put(
                    ("units", "a number in a sentence doubled"),
                    &of,
                    &format!(" | → {other}"),
                    vec![(at, other)],
                );
            }
        }
    }
}

/// An entry of the kit in the next bag.
fn bags(edits: &mut Edits) {
    let text = edits.text;
    for list in text.lists() {
        let groups: Vec<_> = list.iter().filter(|one| one.home == "kit").collect();
        for pair in groups.windows(2) {
            let [one, next] = pair else { continue };
            let words = text.words(one);
            let Some(brace) = words.iter().position(|word| word.text == "{") else { continue };
            let inside = &words[brace + 1..words.len() - 1];
            let into = text.words(next);
            let (Some(last), Some(into)) = (
                inside.iter().rposition(|word| word.text == ","),
                into.len().checked_sub(2).map(|at| into[at].clone()),
            ) else {
                continue;
            };
            let entry = &inside[last + 1..];
            let Some((first, end)) = entry.first().zip(entry.last()) else { continue };
            let moved = text.text[first.at.start..end.at.end].to_owned();
            let changes = vec![
                (inside[last].at.start..end.at.end, String::new()),
                (into.at.end..into.at.end, format!(", {moved}")),
            ];
            edits.put(
                ("names", "a part in another bag"),
                one,
                &format!(" | {moved} → {}", super::short(&text.said(next))),
                changes,
            );
        }
    }
}
