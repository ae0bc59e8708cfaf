//! A repair that a machine can make: edits of the text, all or none of them, with how sure they are.

use crate::source::{FileId, Span};

/// One way to mend what a finding tells.
///
/// After it the file still parses; after one that leaves no blanks, the finding is gone. None changes what a torque, a limit, a
/// unit or a safety message says: that is for a person.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fix {
    /// What it does, as an order: `Write rail-bolt`.
    pub title: String,
    /// How sure it is.
    pub confidence: Confidence,
    /// Edits of files of the project, in order of the text, none over another.
    pub edits: Vec<Edit>,
}

/// How sure a fix is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Confidence {
    /// It is what was meant, and nothing else changes: `check --fix` makes it.
    Safe,
    /// It is likely; somebody has to look.
    Look,
    /// It leaves a place that somebody has to fill in.
    Blanks,
}

/// A text in the place of another.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Edit {
    /// What is replaced; nothing, where something is put in.
    pub span: Span,
    /// What stands there afterwards.
    pub text: String,
}

impl Confidence {
    /// One word: `safe`, `look`, `blanks`.
    pub fn word(self) -> &'static str {
        match self {
            Confidence::Safe => "safe",
            Confidence::Look => "look",
            Confidence::Blanks => "blanks",
        }
    }
}

/// The text with edits made, whatever file their spans name.
///
/// # Errors
/// Where an edit lies outside the text or inside a character, or over another one. Then nothing is made of it.
pub fn apply(text: &str, edits: &[Edit]) -> Result<String, EditFault> {
    let mut sorted: Vec<&Edit> = edits.iter().collect();
    // What is put in stands before what is replaced at the same place; of two put in, the first stays first.
    sorted.sort_by_key(|edit| (edit.span.start, edit.span.end));
    let mut out = String::with_capacity(text.len());
    let mut done = 0;
    for edit in sorted {
        let range = edit.span.range();
        if range.start < done {
            return Err(EditFault::Overlap);
        }
        out.push_str(text.get(done..range.start).ok_or(EditFault::Outside)?);
        text.get(range.clone()).ok_or(EditFault::Outside)?;
        out.push_str(&edit.text);
        done = range.end;
    }
    out.push_str(text.get(done..).ok_or(EditFault::Outside)?);
    Ok(out)
}

/// Why edits can't be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EditFault {
    /// One lies outside the text, or begins or ends inside a character.
    Outside,
    /// One lies over another.
    Overlap,
}

impl std::fmt::Display for EditFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            EditFault::Outside => "an edit lies outside the text",
            EditFault::Overlap => "an edit lies over another",
        })
    }
}

impl std::error::Error for EditFault {}

impl Fix {
    /// A fix of one edit.
    pub fn replace(title: impl Into<String>, confidence: Confidence, span: Span, text: impl Into<String>) -> Fix {
        Fix { title: title.into(), confidence, edits: vec![Edit { span, text: text.into() }] }
    }

    /// The same with another edit.
    #[must_use]
    pub fn and(mut self, span: Span, text: impl Into<String>) -> Fix {
        self.edits.push(Edit { span, text: text.into() });
        self.edits.sort();
        self
    }

    /// The same fix with its files under other numbers.
    pub(super) fn renumber(&mut self, mut number: impl FnMut(FileId) -> FileId) {
        self.edits.iter_mut().for_each(|edit| edit.span.file = number(edit.span.file));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edit(start: usize, end: usize, text: &str) -> Edit {
        Edit { span: Span::new(FileId::new(0), start, end), text: text.into() }
    }

    #[test]
    fn edits_are_made_in_order_of_the_text_all_or_none() {
        let made = apply("take 2 cros-beam\n", &[edit(7, 16, "cross-beam"), edit(0, 0, "  ")]);
        assert_eq!(made.as_deref(), Ok("  take 2 cross-beam\n"));
        assert_eq!(apply("abc", &[edit(0, 2, ""), edit(1, 3, "")]), Err(EditFault::Overlap));
        assert_eq!(apply("abc", &[edit(2, 4, "")]), Err(EditFault::Outside));
        assert_eq!(apply("µ", &[edit(1, 2, "")]), Err(EditFault::Outside));
        assert_eq!(apply("abc", &[edit(1, 1, "x"), edit(1, 1, "y")]).as_deref(), Ok("axybc"));
    }
}
