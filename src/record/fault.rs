//! What is wrong with a record, as data. [`super::words`] says it to people.

use serde::Serialize;

use super::unreadable::{ChecklistFault, EventFault, TooLarge};
use super::walk::Now;

/// The verdicts of the specification.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Changed after it was written.
    Altered,
    /// Nothing is wrong.
    Complete,
    /// Something that had to be recorded is not there.
    Missing,
    /// Something happened before it was its turn.
    OutOfOrder,
    /// A value that the checklist does not accept.
    OutOfTolerance,
    /// The record belongs to another checklist.
    OtherRevision,
    /// A file, or a line, that cannot be read by this version of the format.
    Unreadable,
}

impl Verdict {
    /// The word of the specification.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Altered => "altered",
            Verdict::Complete => "complete",
            Verdict::Missing => "missing",
            Verdict::OutOfOrder => "out-of-order",
            Verdict::OutOfTolerance => "out-of-tolerance",
            Verdict::OtherRevision => "other-revision",
            Verdict::Unreadable => "unreadable",
        }
    }
}

/// Something that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs, reason = "the words above each say what its members are")]
pub enum Fault {
    /// The checklist can't be used: why.
    Checklist(ChecklistFault),
    /// The record is larger than a reader takes on: how.
    TooLarge(TooLarge),
    /// The record has no line.
    Empty,
    /// A line is no event: why.
    NoEvent(EventFault),
    /// The first line is no `open`.
    NoOpen,
    /// A line is no JSON object.
    NotJson,
    /// A line is not in canonical form.
    NotCanonical,
    /// A line has another number than its place.
    Number { written: String },
    /// A line does not continue the one before it.
    Link,
    /// The digest of a line is not its own.
    Digest,
    /// The last line has no end.
    CutOff,
    /// The record follows another checklist: of which procedure and revision.
    OtherChecklist { id: String, revision: Option<String> },
    /// The event did not fit: what it does, and what the job waited for.
    Misfit { does: String, waits: Box<Now> },
    /// Like it, where the words say all.
    CannotApply { does: String, why: String },
    /// Written before all messages were acknowledged.
    BeforeMessages { does: String },
    /// A value that is not accepted.
    Value { of: String, value: String, accepted: String },
    /// A rule is broken: its reason.
    Rule(String),
    /// Begun while these have no answer.
    Unanswered(Vec<String>),
    /// Done while these lines still ask.
    Undone { step: String, lines: Vec<String> },
    /// Fewer people than the step needs.
    People { step: String, needed: u32, named: u32 },
    /// A check that another person does was done by one who did the work: in these steps.
    SameHands { step: String, name: String, did: Vec<String> },
    /// Closed without these signatures.
    Unsigned(Vec<String>),
    /// The job was broken off: why.
    BrokenOff(String),
    /// The record was never closed: what the job waits for.
    Unfinished(Box<Now>),
    /// The head is not the one that stands on paper.
    Head { wanted: String, found: String },
    /// A picture that is not the one recorded.
    Picture { file: String },
    /// A picture that is not there.
    NoPicture { file: String },
}

impl Fault {
    /// Its verdict.
    pub fn verdict(&self) -> Verdict {
        match self {
            Fault::Checklist(_) | Fault::TooLarge(_) | Fault::Empty | Fault::NoEvent(_) | Fault::NoOpen => {
                Verdict::Unreadable
            }
            Fault::NotJson
            | Fault::NotCanonical
            | Fault::Number { .. }
            | Fault::Link
            | Fault::Digest
            | Fault::CutOff
            | Fault::Head { .. }
            | Fault::Picture { .. } => Verdict::Altered,
            Fault::OtherChecklist { .. } => Verdict::OtherRevision,
            Fault::Misfit { .. } | Fault::CannotApply { .. } | Fault::BeforeMessages { .. } => Verdict::OutOfOrder,
            Fault::Value { .. } | Fault::Rule(_) => Verdict::OutOfTolerance,
            Fault::Unanswered(_)
            | Fault::Undone { .. }
            | Fault::People { .. }
            | Fault::SameHands { .. }
            | Fault::Unsigned(_)
            | Fault::BrokenOff(_)
            | Fault::Unfinished(_)
            | Fault::NoPicture { .. } => Verdict::Missing,
        }
    }
}

/// A fault and its line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// What is wrong.
    pub fault: Fault,
    /// The line of the record, from 1; none for the checklist, and for what is missing at the end.
    pub line: Option<u32>,
}

/// Something worth saying that changes no verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoteKind {
    /// The clock went backwards.
    ClockBackwards,
    /// The record follows a later revision from here on.
    EarlierRevision,
    /// A photograph was left out.
    LeftOut,
    /// A torque outside its tolerance was kept, with what was done about it.
    Remedied,
    /// One person signed as two.
    SamePerson,
    /// A check went on without what it expects.
    WentOn,
}

impl NoteKind {
    /// The word of the specification.
    pub fn word(self) -> &'static str {
        match self {
            NoteKind::ClockBackwards => "clock-backwards",
            NoteKind::EarlierRevision => "earlier-revision",
            NoteKind::LeftOut => "left-out",
            NoteKind::Remedied => "remedied",
            NoteKind::SamePerson => "same-person",
            NoteKind::WentOn => "went-on",
        }
    }
}

/// A note and its line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Note {
    /// What.
    pub note: NoteKind,
    /// The line of the record, from 1.
    pub line: u32,
    /// More words: the reason that was given, what the technician was told.
    pub text: String,
}
