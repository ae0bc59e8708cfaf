//! What a tired writer does to a procedure: kinds of edit, each at every place where it applies.

mod conditions;
mod forms;
mod left_out;
mod names;
mod numbers;
mod order;

use std::ops::Range;

use super::text::{Statement, Text, Word};

/// One edit of a text.
#[derive(Debug, Clone)]
pub struct Edit {
    /// What sort of slip it is; kinds of one family stand together in the table.
    pub family: &'static str,
    /// The name of its kind.
    pub kind: String,
    /// Where it is done and what it does, without numbers of lines: its words hold when the text around it changes.
    pub what: String,
    /// Places of the text with what stands there instead; they don't meet.
    pub changes: Vec<(Range<usize>, String)>,
    /// Whether it changes nothing but the order of what is done, or how a condition is written: then what the interpreter
    /// sees is all that there is.
    pub is_walked: bool,
}

impl Edit {
    /// The text with the edit in it.
    pub fn apply(&self, text: &str) -> String {
        let mut changes = self.changes.clone();
        changes.sort_by_key(|(at, _)| at.start);
        let mut edited = String::with_capacity(text.len() + 64);
        let mut from = 0;
        for (at, instead) in &changes {
            assert!(from <= at.start, "{} {}: changes meet", self.kind, self.what);
            edited.push_str(&text[from..at.start]);
            edited.push_str(instead);
            from = at.end;
        }
        edited.push_str(&text[from..]);
        edited
    }
}

/// The edits of one text.
pub struct Edits<'t> {
    /// The text.
    pub text: &'t Text,
    edits: Vec<Edit>,
}

impl<'t> Edits<'t> {
    fn new(text: &'t Text) -> Self {
        Edits { text, edits: Vec::new() }
    }

    /// One more: `said` is what it makes of the statement.
    fn put(
        &mut self,
        (family, kind): (&'static str, &str),
        of: &Statement,
        said: &str,
        changes: Vec<(Range<usize>, String)>,
    ) {
        let what = format!("{} | {}{said}", of.place, short(&self.text.said(of)));
        self.edits.push(Edit { family, kind: kind.to_owned(), what, changes, is_walked: false });
    }

    /// One word for another.
    fn word(&mut self, kind: (&'static str, &str), of: &Statement, word: &Word, instead: &str) {
        let said = format!(" | {} → {instead}", word.text);
        self.put(kind, of, &said, vec![(word.at.clone(), instead.to_owned())]);
    }

    /// The interpreter sees all of the last one.
    fn walked(&mut self) {
        if let Some(edit) = self.edits.last_mut() {
            edit.is_walked = true;
        }
    }
}

fn short(said: &str) -> String {
    said.chars().take(90).collect()
}

/// Every edit of a text, in a fixed order. Two that say the same are numbered.
pub fn all(text: &Text) -> Vec<Edit> {
    let mut edits = Edits::new(text);
    left_out::put(&mut edits);
    order::put(&mut edits);
    numbers::put(&mut edits);
    conditions::put(&mut edits);
    names::put(&mut edits);
    forms::put(&mut edits);
    let mut seen = std::collections::BTreeMap::new();
    for edit in &mut edits.edits {
        let times: &mut usize = seen.entry((edit.kind.clone(), edit.what.clone())).or_default();
        *times += 1;
        if *times > 1 {
            edit.what.push_str(&format!(" | {times}"));
        }
    }
    edits.edits
}
