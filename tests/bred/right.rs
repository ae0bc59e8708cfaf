//! Edits that leave a procedure right: another name, another unit for the same quantity, another order where order is free,
//! another way to say the same condition, more of what is in order.

mod forms;
mod quantities;

use std::ops::Range;

use fitwright::parse::forms::FORMS;

use super::text::{Statement, Text, Word, words};

/// One edit after which a procedure is as right as before.
#[derive(Debug, Clone)]
pub struct Variant {
    /// Its kind.
    pub kind: &'static str,
    /// Where and what, for a person.
    pub what: String,
    /// The whole text.
    pub text: String,
}

/// A text's variants, in a fixed order.
pub fn all(text: &Text) -> Vec<Variant> {
    let mut variants = Variants { text, found: Vec::new() };
    renamed(&mut variants);
    reordered(&mut variants);
    quantities::put(&mut variants);
    forms::put(&mut variants);
    added(&mut variants);
    variants.found
}

struct Variants<'t> {
    text: &'t Text,
    found: Vec<Variant>,
}

impl Variants<'_> {
    fn put(&mut self, kind: &'static str, what: &str, changes: Vec<(Range<usize>, String)>) {
        let edit = super::edits::Edit {
            family: "right",
            kind: kind.to_owned(),
            what: what.to_owned(),
            changes,
            is_walked: false,
        };
        let text = edit.apply(&self.text.text);
        self.found.push(Variant { kind, what: what.to_owned(), text });
    }

    fn statement(&mut self, kind: &'static str, of: &Statement, changes: Vec<(Range<usize>, String)>) {
        let what = format!("{} | {}", of.place, self.text.said(of));
        self.put(kind, &what, changes);
    }

    fn swap(&mut self, kind: &'static str, one: &Statement, other: &Statement) {
        let text = &self.text.text;
        let changes = vec![
            (one.at.clone(), text[other.at.clone()].to_owned()),
            (other.at.clone(), text[one.at.clone()].to_owned()),
        ];
        self.statement(kind, one, changes);
    }
}

/// Each name that is declared, under another name wherever it is used.
fn renamed(variants: &mut Variants) {
    const DECLARED: &[&str] = &[
        "part", "joint", "circuit", "given", "measure", "observe", "option", "result", "fact", "limit", "state",
        "action", "tool", "section",
    ];
    let text = variants.text;
    let all = words(&text.text, 0..text.text.len());
    for statement in &text.statements {
        let is_declared = statement.home == "file" && DECLARED.contains(&statement.word.as_str());
        let is_step = statement.home == "flow" && matches!(statement.word.as_str(), "step" | "check");
        if !is_declared && !is_step {
            continue;
        }
        let Some(name) = text.head(statement).get(1).map(|word| word.text.clone()) else { continue };
        if FORMS.iter().any(|form| form.word == name) {
            continue;
        }
        let other = format!("my-{name}");
        let mut changes: Vec<(Range<usize>, String)> = Vec::new();
        for word in &all {
            if word.text == name {
                changes.push((word.at.clone(), other.clone()));
            } else if word.text.starts_with(['"', '>']) {
                // A thing, an action of a step, or a name that a part and a joint share.
                for (before, after) in [("[", ']'), ("[", '.'), ("[part ", ']'), ("[joint ", ']')] {
                    for (at, _) in word.text.match_indices(&format!("{before}{name}{after}")) {
                        let start = word.at.start + at + before.len();
                        changes.push((start..start + name.len(), other.clone()));
                    }
                }
            }
        }
        variants.statement("another name", statement, changes);
    }
}

/// Neighbours whose order means nothing.
fn reordered(variants: &mut Variants) {
    let text = variants.text;
    for list in text.lists() {
        for pair in list.windows(2) {
            let [one, other] = pair else { continue };
            let is_free = match one.home {
                "file" => ![one, other].iter().any(|line| matches!(line.word.as_str(), "section" | "revision")),
                "joint" | "part" | "action" | "tool" => true,
                "circuit" => ![one, other].iter().all(|line| line.word == "point"),
                "handover" | "about" => one.word != ">" && other.word != ">",
                "kit" => one.at == one.own && other.at == other.own,
                "choose" => true,
                // What is used, how long it takes and what is noted stand wherever they like.
                "step" => {
                    matches!(one.word.as_str(), "takes" | "use")
                        && matches!(other.word.as_str(), "note" | "use" | "takes")
                }
                _ => false,
            };
            if is_free {
                let kind = match one.home {
                    "file" => "declarations in another order",
                    "choose" => "arms in another order",
                    "step" => "lines in another order",
                    _ => "lines of a declaration in another order",
                };
                variants.swap(kind, one, other);
            }
        }
    }
}

/// What is added, and is in order.
fn added(variants: &mut Variants) {
    let text = variants.text;
    for statement in text.statements.iter().filter(|one| one.home == "flow" && one.word == "step") {
        let line = text.lines(&statement.own);
        let changes = vec![(line.start..line.start, "  # A remark for whoever writes on.\n\n".to_owned())];
        variants.statement("a comment more", statement, changes);
        let end = statement.own.end - 1;
        let note = "note \"The manual of the vehicle tells more.\"\n".to_owned();
        variants.statement("a note more", statement, vec![(end..end, note)]);
        let photo = "record photo \"The place after the work\"\n".to_owned();
        variants.statement("a photograph more", statement, vec![(end..end, photo)]);
    }
    let Some(section) = text.statements.iter().find(|one| one.home == "file" && one.word == "section") else { return };
    let Some(brace) = text.words(section).into_iter().find(|word| word.text == "{") else { return };
    let measure = "measure wheel-gap \"Gap at the wheel\" {\n  range 0 mm to 90 mm\n  reads 1 mm\n  with steel-rule\n}\n\
                   limit wheel-room \"The wheel turns freely\" {\n  wheel-gap >= 8 mm\n  else stop \"Have the wheel looked at first.\"\n}\n";
    let step = "\n  step wheel-look \"Look at the wheel\" {\n    > Measure the gap at the wheel.\n    read wheel-gap\n    record wheel-gap\n  }\n";
    let changes =
        vec![(section.at.start..section.at.start, measure.to_owned()), (brace.at.end..brace.at.end, step.to_owned())];
    // The rule by which it is read is one of the library.
    if text.text.contains("use std/hand-tools") {
        variants.statement("a reading more, with its limit", section, changes);
    }
    let option = "option colour \"Colour\" { grey  black }\n";
    let step = "\n  when colour is black {\n    step look-black \"Look at the paint\" {\n      > Look at the paint in daylight.\n    }\n  }\n";
    let changes =
        vec![(section.at.start..section.at.start, option.to_owned()), (brace.at.end..brace.at.end, step.to_owned())];
    variants.statement("an option more, with its step", section, changes);
}

/// The place of a word in a list of words.
fn find(words: &[Word], word: &str) -> Option<usize> {
    words.iter().position(|other| other.text == word)
}
