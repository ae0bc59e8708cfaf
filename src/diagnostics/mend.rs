//! What a rule says of a repair that a machine can make. A rule has places and no text, so it says what is to be done with
//! the statement at a place; the edits that do it, lines and indentation included, are worked out from the text afterwards.

use super::Confidence;
use crate::source::{FileId, Span};

/// Of several likely repairs, so many are offered.
pub const MOST_OFFERED: usize = 4;

/// One way to mend a finding, before its edits are worked out.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Mend {
    /// What it does, as an order.
    pub title: String,
    /// How sure it is.
    pub confidence: Confidence,
    /// All or none of these.
    pub changes: Vec<Change>,
}

/// One change of the text. Where it speaks of *the statement*, the innermost one at the place is meant, with its block.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Change {
    /// This text in the place of just that one; put in, where the place is empty.
    Write(Span, String),
    /// The first word of this name in the place, written as the second.
    Word(Span, String, String),
    /// The first such words in the statement and its block, written as the second; put in at its end where it has none.
    InBlock(Span, String, String),
    /// The list after `at` taken out, or with this entry first.
    At(Span, String),
    /// This text after the words of the statement.
    Append(Span, String),
    /// The words from the place on as a prose line of their own, which begins with these.
    Sentence(Span, String),
    /// The prose line, where it says just this, as a `note` or an `expect`.
    Note(Span, &'static str),
    /// A line that accepts something of the statement; the second one where that is one thing of a list.
    Accept(Span, String, String),
    /// The place taken out, with its line where it fills one.
    Cut(Span),
    /// The words of the statement written so, where it says one thing.
    Line(Span, String),
    /// The statement taken out, with its lines and what is accepted of it.
    Drop(Span),
    /// An entry of a list taken out, with its comma; the statement where it has no other.
    DropEntry(Span),
    /// A line before the statement.
    Before(Span, String),
    /// A line after the statement.
    After(Span, String),
    /// A line at the end of the statement's block; the block too, where it has none.
    Inside(Span, String),
    /// A line in the file, among others that begin with the same word, else below all declarations.
    Declare(FileId, String),
    /// A line at the end of the last step, before this place, that every path to it takes.
    InStepBefore(Span, String),
    /// The first statement moved to before the second.
    Move(Span, Span),
    /// The second statement written again after the first.
    CopyAfter(Span, Span),
    /// The second text, a condition, after the words of the step that holds the first place.
    Under(Span, Span),
    /// The condition at this place taken away, with its `when`.
    DropCondition(Span),
}

impl Change {
    /// The file that it changes; of two places, that of the first.
    pub fn file(&self) -> Option<FileId> {
        self.clone().files().first().map(|file| **file)
    }

    fn files(&mut self) -> Vec<&mut FileId> {
        match self {
            Change::Write(span, _)
            | Change::Word(span, ..)
            | Change::InBlock(span, ..)
            | Change::At(span, _)
            | Change::Append(span, _)
            | Change::Sentence(span, _)
            | Change::Note(span, _)
            | Change::Accept(span, ..)
            | Change::Drop(span)
            | Change::Cut(span)
            | Change::Line(span, _)
            | Change::DropEntry(span)
            | Change::Before(span, _)
            | Change::After(span, _)
            | Change::Inside(span, _)
            | Change::InStepBefore(span, _)
            | Change::DropCondition(span) => vec![&mut span.file],
            Change::Move(one, other) | Change::CopyAfter(one, other) | Change::Under(one, other) => {
                vec![&mut one.file, &mut other.file]
            }
            Change::Declare(file, _) => vec![file],
        }
    }

    /// The text that it brings, if it brings one.
    pub fn text_mut(&mut self) -> Option<&mut String> {
        match self {
            Change::Write(_, text)
            | Change::Word(_, _, text)
            | Change::InBlock(_, _, text)
            | Change::Before(_, text)
            | Change::After(_, text)
            | Change::At(_, text)
            | Change::Append(_, text)
            | Change::Sentence(_, text)
            | Change::Inside(_, text)
            | Change::Line(_, text)
            | Change::Declare(_, text)
            | Change::InStepBefore(_, text) => Some(text),
            _ => None,
        }
    }
}

impl Mend {
    /// A mend that may be right and that somebody looks at.
    pub fn look(title: impl Into<String>, change: Change) -> Mend {
        Mend { title: title.into(), confidence: Confidence::Look, changes: vec![change] }
    }

    /// A mend that is what was meant, and changes nothing else.
    pub fn safe(title: impl Into<String>, change: Change) -> Mend {
        Mend { confidence: Confidence::Safe, ..Mend::look(title, change) }
    }

    /// A mend that leaves `…` to be filled in.
    pub fn blanks(title: impl Into<String>, change: Change) -> Mend {
        Mend { confidence: Confidence::Blanks, ..Mend::look(title, change) }
    }

    /// Another word in the place of one: `Write `spanner-19``.
    pub fn write(confidence: Confidence, at: Span, text: impl Into<String>) -> Mend {
        let text = text.into();
        Mend { confidence, ..Mend::look(format!("Write `{text}`"), Change::Write(at, text)) }
    }

    /// The statement at a place taken out.
    pub fn drop(at: Span) -> Mend {
        Mend::look("Take it out", Change::Drop(at))
    }

    /// A line before the statement at a place.
    pub fn before(at: Span, line: impl Into<String>) -> Mend {
        let line = line.into();
        Mend::look(format!("Write `{line}` before it"), Change::Before(at, line))
    }

    /// A line after the statement at a place.
    pub fn after(at: Span, line: impl Into<String>) -> Mend {
        let line = line.into();
        Mend::look(format!("Write `{line}` after it"), Change::After(at, line))
    }

    /// A line at the end of the block of the statement at a place.
    pub fn inside(at: Span, line: impl Into<String>) -> Mend {
        let line = line.into();
        Mend::look(format!("Add `{line}`"), Change::Inside(at, line))
    }

    /// A line in the last step before a place.
    pub fn in_step_before(at: Span, line: impl Into<String>) -> Mend {
        let line = line.into();
        Mend::look(format!("Write `{line}` in the step before"), Change::InStepBefore(at, line))
    }

    /// The same with one change more.
    #[must_use]
    pub fn and(mut self, change: Change) -> Mend {
        self.changes.push(change);
        self
    }

    /// The same with its files under other numbers.
    pub(super) fn renumber(&mut self, number: &mut dyn FnMut(FileId) -> FileId) {
        self.changes.iter_mut().flat_map(Change::files).for_each(|file| *file = number(*file));
    }
}

impl IntoIterator for Mend {
    type Item = Mend;
    type IntoIter = std::iter::Once<Mend>;

    fn into_iter(self) -> Self::IntoIter {
        std::iter::once(self)
    }
}
