//! The record of a job, judged against its checklist.
//!
//! `site/checklist-format.md` is the specification; this module is one reader of it. It reads the two files as a stranger
//! would: it shares no type with the compiler or with what writes the checklist, so that each holds the other to the
//! page. An *event* is a line of the record. It *counts* while it has its effect, and is *set aside* where it does not
//! fit. The *walk* is how far the job has come in the flow.
//!
//! [`judge`] does all the work; [`words`] says it to people, [`facts`] to those who put many records together.

pub mod archive;
mod conditions;
mod content;
mod criteria;
mod definition;
mod does;
mod drawing;
mod event;
pub mod facts;
mod fault;
mod job;
mod judge;
mod known;
mod lines;
mod numbers;
mod program;
mod replay;
mod summary;
mod time;
mod unreadable;
mod walk;
pub mod words;

pub use definition::{Definition, read as read_checklist};
pub use event::Event;
pub use fault::{Fault, Note, NoteKind, Said, Verdict};
pub use judge::{Beside, Judgement, Pictures, judge, judge_among};
pub use known::Answered;
pub use numbers::{AmountText, Unit};
pub use summary::{View, view};
pub use unreadable::{ChecklistFault, EvaluateFault, EventFault, FormFault, TooLarge};
pub use walk::{Now, Occasion, Outcome};

use crate::schema::{self, For};

/// The name of the record's format.
pub const FORMAT_NAME: &str = "fitwright-record";
/// Its version.
pub const FORMAT_VERSION: &str = "1.1.0";

/// What a reader takes on: files beyond are refused, so that a hostile one costs little.
pub mod bounds {
    /// Bytes of a checklist.
    pub const CHECKLIST_BYTES: usize = 32 << 20;
    /// Bytes of a record.
    pub const RECORD_BYTES: usize = 64 << 20;
    /// Lines of a record.
    pub const LINES: usize = 50_000;
    /// Bytes of a line.
    pub const LINE_BYTES: usize = 64 << 10;
    /// `correct`, `withdraw` and `revise` in one record, since each replays all that came before.
    pub const REPLAYS: usize = 500;
    /// Bytes of an archive.
    pub const ARCHIVE_BYTES: usize = 512 << 20;
    /// Entries of an archive.
    pub const ARCHIVE_ENTRIES: u64 = 2000;
    /// Bytes of a photograph in an archive.
    pub const PHOTO_BYTES: u64 = 64 << 20;
}

/// The JSON Schema (2020-12) of one event, for writers or for readers.
pub fn schema(whom: For) -> String {
    schema::text::<Event>(
        if whom == For::Writers { "urn:fitwright:record:1" } else { "urn:fitwright:record:1:reader" },
        whom,
    )
}
