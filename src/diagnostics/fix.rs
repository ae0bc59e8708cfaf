//! A repair that a machine can make: edits of the text, all or none of them, with how sure they are.

use crate::source::{FileId, Span};

/// One way to mend what a finding tells.
///
/// After a [`Confidence::Safe`] one the file still parses and the finding is gone. None touches a torque, a limit, a unit or a
/// message about safety: that is for a person.
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
