//! Why a checklist, a line of a record or a record as a whole can't be read, as data. Each prints as the end of a sentence
//! that begins with what was to be read: "the checklist cannot be used: …".

use std::error::Error;
use std::fmt;

/// A JSON value that has not the form of its type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FormFault {
    /// A member is missing: its name, in backquotes.
    Missing(String),
    /// A word that stands for nothing here, in backquotes.
    Word(String),
    /// Anything else, as the reader of JSON says it.
    Other(String),
}

impl FormFault {
    /// What the reader of JSON says, without its own terms.
    pub(super) fn of(error: &serde_json::Error) -> FormFault {
        let error = error.to_string();
        if let Some(name) = error.strip_prefix("missing field ") {
            return FormFault::Missing(name.to_owned());
        }
        match error.strip_prefix("unknown variant ").and_then(|rest| rest.split(',').next()) {
            Some(name) => FormFault::Word(name.to_owned()),
            None => FormFault::Other(error),
        }
    }
}

impl fmt::Display for FormFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FormFault::Missing(name) => write!(f, "it has no {name}"),
            FormFault::Word(name) => write!(f, "{name} is no word of this format"),
            FormFault::Other(error) => {
                write!(f, "one of its members has another form than the format asks for ({error})")
            }
        }
    }
}

impl Error for FormFault {}

/// Why a record can't be judged by a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChecklistFault {
    /// More than [`CHECKLIST_BYTES`](super::bounds::CHECKLIST_BYTES).
    TooLarge,
    /// No JSON: what its reader says.
    NotJson(String),
    /// JSON that does not begin as a checklist.
    NoChecklist,
    /// A file of another format, by its name.
    OtherFormat(String),
    /// A major version that is not known.
    OtherVersion(String),
    /// It asks for a feature that is not known.
    Feature(String),
    /// A member that is missing or of another form.
    Form(FormFault),
    /// A unit, by its code, whose factor or offset is no number.
    Unit(String),
    /// An amount that is no number in one of the file's units.
    Amount {
        /// The number as written.
        value: String,
        /// The unit's code as written.
        unit: String,
    },
    /// A text that should be a number.
    Number(String),
    /// The range of an input has ends that are no amounts.
    Range {
        /// The input's id.
        input: String,
    },
    /// An input is declared twice: its id.
    InputTwice(String),
    /// An id that stands twice.
    Twice {
        /// What has it: `steps`, `lines`, `stops or limits`.
        what: &'static str,
        /// The id.
        id: String,
    },
    /// An input is named that the file does not declare.
    UnknownInput(String),
    /// A joint is named that the file does not declare.
    UnknownJoint(String),
    /// A joint has more fastenings than a reader takes on.
    Fastenings {
        /// The joint's id.
        joint: String,
        /// How many it may have.
        most: u32,
    },
}

impl fmt::Display for ChecklistFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ChecklistFault::TooLarge => f.write_str("the file is larger than 32 MiB"),
            ChecklistFault::NotJson(error) => write!(f, "it is not JSON: {error}"),
            ChecklistFault::NoChecklist => f.write_str("it is not a checklist: it does not begin as one"),
            ChecklistFault::OtherFormat(name) => write!(f, "it is of the format `{name}`, not a checklist"),
            ChecklistFault::OtherVersion(version) => {
                write!(f, "its format has version {version}, and this program reads version 1")
            }
            ChecklistFault::Feature(feature) => {
                write!(f, "it asks for `{feature}`, which this program does not know")
            }
            ChecklistFault::Form(fault) => fault.fmt(f),
            ChecklistFault::Unit(code) => write!(f, "its unit `{code}` has no factor that can be read"),
            ChecklistFault::Amount { value, unit } => write!(f, "`{value} {unit}` is no amount in one of its units"),
            ChecklistFault::Number(value) => write!(f, "`{value}` is no number"),
            ChecklistFault::Range { input } => write!(f, "the range of the input `{input}` can't be read"),
            ChecklistFault::InputTwice(id) => write!(f, "it declares the input `{id}` twice"),
            ChecklistFault::Twice { what, id } => write!(f, "it has two {what} with the id `{id}`"),
            ChecklistFault::UnknownInput(id) => {
                write!(f, "it names the input `{id}`, which it does not declare")
            }
            ChecklistFault::UnknownJoint(id) => {
                write!(f, "it names the joint `{id}`, which it does not declare")
            }
            ChecklistFault::Fastenings { joint, most } => {
                write!(f, "the joint `{joint}` has more than {most} fastenings")
            }
        }
    }
}

impl Error for ChecklistFault {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            ChecklistFault::Form(fault) => Some(fault),
            _ => None,
        }
    }
}

/// Why a condition can't be evaluated alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EvaluateFault {
    /// The condition or an answer has not the form of one: what the reader of JSON says.
    Form(String),
    /// An answer that is no amount in one of the checklist's units: its number as written.
    Amount(String),
    /// It names what the checklist does not declare, or holds no number where one belongs.
    Condition(ChecklistFault),
}

impl fmt::Display for EvaluateFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EvaluateFault::Form(error) => f.write_str(error),
            EvaluateFault::Amount(value) => write!(f, "`{value}` is no amount"),
            EvaluateFault::Condition(fault) => fault.fmt(f),
        }
    }
}

impl Error for EvaluateFault {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            EvaluateFault::Condition(fault) => Some(fault),
            _ => None,
        }
    }
}

impl From<ChecklistFault> for EvaluateFault {
    fn from(fault: ChecklistFault) -> EvaluateFault {
        EvaluateFault::Condition(fault)
    }
}

/// Why a line is no event of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EventFault {
    /// A member that is missing or of another form.
    Form(FormFault),
    /// `at` is no moment of RFC 3339.
    NoMoment,
    /// A text without a character, by its member.
    Empty(&'static str),
    /// A text that is too long.
    TooLong {
        /// Its member.
        member: &'static str,
        /// How many characters it may have.
        most: usize,
    },
    /// A digest that is not 64 hex digits, by its member.
    NoDigest(&'static str),
    /// A text that should be a number.
    Number(String),
    /// A record of another format or major version.
    OtherFormat {
        /// The format's name as written.
        name: String,
        /// Its version as written.
        version: String,
    },
    /// `file` could be a path.
    NoPlainName,
    /// `media_type` is not that of a picture.
    NoPicture,
    /// `drawing` is no signature of the format.
    NoSignature,
    /// None, or several, of the members of which it must have exactly one.
    NotOneValue,
    /// A job that was stopped does not say at which stop.
    StoppedNowhere,
    /// A job that was broken off does not say why.
    BrokenOffUnsaid,
}

impl fmt::Display for EventFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EventFault::Form(fault) => fault.fmt(f),
            EventFault::NoMoment => f.write_str("its `at` is no moment such as 2026-11-25T09:30:00+01:00"),
            EventFault::Empty(member) => write!(f, "its `{member}` is empty"),
            EventFault::TooLong { member, most } => write!(f, "its `{member}` has more than {most} characters"),
            EventFault::NoDigest(member) => write!(f, "its `{member}` is not 64 hex digits"),
            EventFault::Number(value) => write!(f, "`{value}` is no number of this format"),
            EventFault::OtherFormat { name, version } => {
                write!(f, "it is of the format `{name}` {version}, and this program reads version 1")
            }
            EventFault::NoPlainName => f.write_str("its `file` is no plain name"),
            EventFault::NoPicture => f.write_str("its `media_type` is not that of a picture"),
            EventFault::NoSignature => f.write_str("its `drawing` is no signature of this format"),
            EventFault::NotOneValue => f.write_str("it must have exactly one value"),
            EventFault::StoppedNowhere => f.write_str("it says `stopped` without `at_stop`"),
            EventFault::BrokenOffUnsaid => f.write_str("it says `broken-off` without `reason`"),
        }
    }
}

impl Error for EventFault {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            EventFault::Form(fault) => Some(fault),
            _ => None,
        }
    }
}

/// How a record is larger than a reader takes on; [`bounds`](super::bounds) says where they end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TooLarge {
    /// The whole record.
    Record,
    /// One of its lines.
    Line,
    /// It has too many lines, or too many that replay what came before.
    Lines,
}

impl fmt::Display for TooLarge {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            TooLarge::Record => "it has more than 64 MiB",
            TooLarge::Line => "a line has more than 64 KiB",
            TooLarge::Lines => "it has more than 50,000 lines, or more than 500 corrections",
        })
    }
}

impl Error for TooLarge {}
