//! What stands in the wrong place: lines, steps and sections that changed places, or moved into a branch or out of it.

use super::Edits;
use crate::bred::text::Statement;

/// Lines of a step whose place in it means something.
const DONE: &[&str] = &[
    ">",
    "need",
    "read",
    "take",
    "place",
    "snug",
    "tighten",
    "loosen",
    "remove",
    "refit",
    "discard",
    "connect",
    "disconnect",
    "make",
    "set",
    "do",
    "warning",
    "danger",
    "caution",
    "notice",
    "record",
];

pub fn put(edits: &mut Edits) {
    let text = edits.text;
    for list in text.lists() {
        for pair in list.windows(2) {
            let [one, other] = pair else { continue };
            match one.home {
                "step" if DONE.contains(&one.word.as_str()) && DONE.contains(&other.word.as_str()) => {
                    swap(edits, "lines changed places", one, other);
                }
                "flow" if other.word != "handover" => swap(edits, "steps changed places", one, other),
                "file" if one.word == "section" && other.word == "section" => {
                    swap(edits, "sections changed places", one, other);
                }
                _ => {}
            }
        }
    }
    moves(edits);
    branches(edits);
}

fn swap(edits: &mut Edits, kind: &str, one: &Statement, other: &Statement) {
    let text = edits.text;
    let (a, b) = (one.at.clone(), other.at.clone());
    let said = format!(" ↔ {}", super::short(&text.said(other)));
    let changes = vec![(a.clone(), text.text[b.clone()].to_owned()), (b, text.text[a].to_owned())];
    edits.put(("order", kind), one, &said, changes);
    // What a sentence says of the order only a reader knows.
    let told = |statement: &Statement| text.text[statement.at.clone()].lines().any(|line| line.trim().starts_with('>'));
    if !told(one) && !told(other) {
        edits.walked();
    }
}

/// The last step of a section to the begin of the next, the first one to the end of the section before, and a line of a
/// step to the step before or after.
fn moves(edits: &mut Edits) {
    let text = edits.text;
    let sections: Vec<Vec<&Statement>> = text
        .lists()
        .into_iter()
        .filter(|list| list.first().is_some_and(|one| one.home == "flow" && !one.place.contains(' ')))
        .collect();
    for pair in sections.windows(2) {
        let [before, after] = pair else { continue };
        let (Some(last), Some(first)) = (before.last(), after.first()) else { continue };
        let piece = |statement: &Statement| format!("{}\n", &text.text[statement.at.clone()]);
        edits.put(
            ("order", "a step in the next section"),
            last,
            "",
            vec![(text.lines(&last.at), String::new()), (first.at.start..first.at.start, piece(last))],
        );
        edits.put(
            ("order", "a step in the section before"),
            first,
            "",
            vec![(text.lines(&first.at), String::new()), (last.at.end..last.at.end, format!("\n{}", piece(first)))],
        );
    }
    const MOVED: &[&str] = &["need", "take", "place", "tighten", "record", "read", "make", "use", "connect", "refit"];
    for list in text.lists() {
        let steps: Vec<&&Statement> = list.iter().filter(|one| one.home == "flow" && one.word == "step").collect();
        for pair in steps.windows(2) {
            let [one, next] = pair else { continue };
            let lines = text
                .statements
                .iter()
                .filter(|line| line.home == "step" && line.own.start > one.own.start && line.own.end < one.own.end);
            let Some(into) = text
                .statements
                .iter()
                .rfind(|line| line.home == "step" && line.own.start > next.own.start && line.own.end < next.own.end)
            else {
                continue;
            };
            let lines: Vec<&Statement> = lines.collect();
            for line in lines.iter().filter(|line| MOVED.contains(&line.word.as_str()) && lines.len() > 1) {
                let piece = format!("\n{}", &text.text[line.at.clone()]);
                edits.put(
                    ("order", "a line in the next step"),
                    line,
                    "",
                    vec![(text.lines(&line.at), String::new()), (into.at.end..into.at.end, piece)],
                );
            }
        }
    }
}

/// A step that slips into a branch, or out of one.
fn branches(edits: &mut Edits) {
    let text = edits.text;
    let options: Vec<(String, Vec<String>)> = text
        .tree
        .items
        .iter()
        .filter_map(|item| match &item.node {
            fitwright::parse::tree::Decl::Option(choice) => {
                Some((choice.name.text.clone(), choice.values.iter().map(|value| value.name.text.clone()).collect()))
            }
            _ => None,
        })
        .collect();
    for statement in &text.statements {
        let words = text.head(statement);
        let has_when = words.iter().any(|word| word.text == "when");
        let takes_when = match statement.home {
            "flow" => matches!(statement.word.as_str(), "step" | "check"),
            "kit" => true,
            "file" => matches!(statement.word.as_str(), "joint" | "circuit" | "limit"),
            _ => false,
        };
        if takes_when && !has_when {
            let Some(last) = words.last() else { continue };
            for (name, values) in &options {
                for value in values {
                    let when = format!(" when {name} is {value}");
                    edits.put(
                        ("conditions", "a condition too many"),
                        statement,
                        &format!(" | {}", when.trim()),
                        vec![(last.at.end..last.at.end, when)],
                    );
                }
            }
        }
        // The body of an arm or `when` without its branch.
        if statement.home == "choose" || (statement.home == "flow" && statement.word == "when") {
            let inside: Vec<&Statement> = text
                .statements
                .iter()
                .filter(|other| {
                    other.home == "flow" && other.own.start > statement.own.start && other.own.end < statement.own.end
                })
                .collect();
            for step in inside.iter().filter(|step| step.word == "step") {
                let outer = text.statements.iter().rfind(|other| {
                    other.home == "flow" && other.own.start <= statement.own.start && other.own.end >= statement.own.end
                });
                let Some(outer) = outer else { continue };
                edits.put(
                    ("order", "a step out of its branch"),
                    step,
                    "",
                    vec![
                        (text.lines(&step.at), String::new()),
                        (outer.at.end..outer.at.end, format!("\n{}", &text.text[step.at.clone()])),
                    ],
                );
            }
        }
    }
}
