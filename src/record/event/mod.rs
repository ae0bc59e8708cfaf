//! One event of a record, as it is written. `read` takes it from its line.

mod read;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::numbers::AmountText;
use super::{FORMAT_NAME, drawing};

pub(super) use read::is_plain_name;

/// An event: one line of a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "An event of a Fitwright record")]
pub struct Event {
    /// The line's number, from 1.
    #[schemars(extend("minimum" = 1))]
    pub seq: u64,
    /// `digest` of the line before; 64 zeros in the first.
    #[schemars(extend("pattern" = "^[0-9a-f]{64}$"))]
    pub prev: String,
    /// When: RFC 3339 with offset.
    #[schemars(extend("format" = "date-time"))]
    pub at: String,
    /// Who does or writes it.
    #[schemars(extend("minLength" = 1, "maxLength" = 200))]
    pub by: String,
    /// SHA-256 of the canonical form (RFC 8785) of the event without this member.
    #[schemars(extend("pattern" = "^[0-9a-f]{64}$"))]
    pub digest: String,
    /// What happened.
    #[serde(flatten)]
    pub what: What,
}

/// What happened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub enum What {
    /// The record begins.
    Open {
        /// Name and version of the record's format.
        format: FormatText,
        /// The checklist that the job follows.
        checklist: ChecklistName,
        /// Which vehicle or order.
        #[schemars(extend("minLength" = 1, "maxLength" = 4000))]
        job: String,
        /// On which device.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        device: Option<String>,
    },
    /// An option or given is answered. Exactly one of `choice` and `amount` is there.
    Answer {
        /// Which input.
        input: String,
        /// Id of a value.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        choice: Option<String>,
        /// A number.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        amount: Option<AmountText>,
    },
    /// A step is begun.
    Begin {
        /// Which step.
        step: String,
        /// Which doing of it, from 1.
        #[schemars(extend("minimum" = 1))]
        occasion: u32,
        /// Its content digest.
        #[schemars(extend("pattern" = "^[0-9a-f]{64}$"))]
        content: String,
    },
    /// A safety message was read.
    Acknowledge {
        /// Which.
        line: String,
    },
    /// An observation or measure is read. Exactly one of `choice` and `amount` is there.
    Reading {
        /// The line that asks for it.
        line: String,
        /// Which input.
        input: String,
        /// Id of a value.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        choice: Option<String>,
        /// A number.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        amount: Option<AmountText>,
        /// As typed, where it was typed in another unit and turned into a multiple of the smallest reading.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        typed: Option<AmountText>,
        /// Id of the tool.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        tool: Option<String>,
        /// The tool's number or calibration mark.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        instrument: Option<String>,
    },
    /// The torque of one fastening.
    Torque {
        /// The line that asks for it.
        line: String,
        /// Which fastening, from 1.
        #[schemars(extend("minimum" = 1))]
        fastening: u32,
        /// The torque at the fastening: as it was read, or that for which the wrench was set.
        amount: AmountText,
        /// Whether the wrench clicks: then `amount` is the torque for which it was set, since such a wrench is not read.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        clicked: Option<bool>,
        /// What was done about a torque outside its tolerance. It is kept, and the fastening still asks for a good one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(extend("minLength" = 1, "maxLength" = 4000))]
        remedy: Option<String>,
        /// Id of the tool.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        tool: Option<String>,
        /// The tool's number or calibration mark.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        instrument: Option<String>,
    },
    /// Text is written down.
    Text {
        /// The line that asks for it.
        line: String,
        /// The text.
        #[schemars(extend("minLength" = 1, "maxLength" = 4000))]
        text: String,
    },
    /// A photograph was taken. It travels beside the record.
    Photo {
        /// The line that asks for it.
        line: String,
        /// Its plain name.
        #[schemars(extend("pattern" = "^[A-Za-z0-9_-][A-Za-z0-9._-]{0,99}$"))]
        file: String,
        /// `image/jpeg`, …
        #[schemars(extend("pattern" = "^image/[a-z0-9.+-]+$"))]
        media_type: String,
        /// Its size.
        bytes: u64,
        /// SHA-256 of its bytes.
        #[schemars(extend("pattern" = "^[0-9a-f]{64}$"))]
        sha256: String,
    },
    /// There is no photograph.
    LeaveOut {
        /// The line that asks for it.
        line: String,
        /// Why.
        #[schemars(extend("minLength" = 1, "maxLength" = 4000))]
        reason: String,
    },
    /// The begun step is done, as a whole.
    Done {
        /// Which step.
        step: String,
        /// The other people who took part.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        with: Vec<String>,
    },
    /// A person signs at the handover.
    Sign {
        /// Which handover.
        handover: String,
        /// As what.
        role: String,
        /// Who.
        #[schemars(extend("minLength" = 1, "maxLength" = 200))]
        name: String,
        /// The signature as it was drawn: strokes of whole numbers, 1000 wide and 300 high.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(extend("pattern" = drawing::PATTERN, "maxLength" = drawing::MOST))]
        drawing: Option<String>,
        /// Why the same person signs as something else too.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(extend("minLength" = 1, "maxLength" = 4000))]
        reason: Option<String>,
    },
    /// The record ends.
    Close {
        /// How.
        outcome: CloseOutcome,
        /// Id of the stop or limit, for `stopped`.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        at_stop: Option<String>,
        /// Why, for `broken-off`.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reason: Option<String>,
    },
    /// A remark.
    Note {
        /// What it says.
        #[schemars(extend("minLength" = 1, "maxLength" = 4000))]
        text: String,
    },
    /// An earlier event gets another value. Exactly one of `choice`, `amount` and `text` is there.
    Correct {
        /// Its `seq`.
        event: u64,
        /// Id of a value.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        choice: Option<String>,
        /// A number.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        amount: Option<AmountText>,
        /// A text.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        text: Option<String>,
        /// Why.
        #[schemars(extend("minLength" = 1, "maxLength" = 4000))]
        reason: String,
    },
    /// An earlier event no longer counts.
    Withdraw {
        /// Its `seq`.
        event: u64,
        /// Why.
        #[schemars(extend("minLength" = 1, "maxLength" = 4000))]
        reason: String,
    },
    /// From here on the job follows a new revision.
    Revise {
        /// Its checklist.
        checklist: ChecklistName,
        /// Why.
        #[schemars(extend("minLength" = 1, "maxLength" = 4000))]
        reason: String,
    },
}

/// Name and version of the record's format.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[schemars(rename = "Format")]
pub struct FormatText {
    /// `fitwright-record`
    #[schemars(extend("const" = FORMAT_NAME))]
    pub name: String,
    /// Semantic version.
    #[schemars(extend("pattern" = r"^1\.[0-9]+\.[0-9]+$"))]
    pub version: String,
}

/// Which checklist.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ChecklistName {
    /// Id of the procedure.
    pub id: String,
    /// Its revision mark.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub revision: Option<String>,
    /// SHA-256 of the canonical form of the checklist.
    #[schemars(extend("pattern" = "^[0-9a-f]{64}$"))]
    pub digest: String,
}

/// How a record ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CloseOutcome {
    /// The job came to its handover.
    HandedOver,
    /// It came to a stop or a broken limit.
    Stopped,
    /// It was broken off.
    BrokenOff,
}

/// A value of an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    Choice(String),
    Amount(AmountText),
    Text(String),
}

impl What {
    /// The value that a `correct` may replace, or that it brings.
    pub fn value(&self) -> Option<Value> {
        match self {
            What::Answer { choice, amount, .. } | What::Reading { choice, amount, .. } => {
                choice.clone().map(Value::Choice).or_else(|| amount.clone().map(Value::Amount))
            }
            What::Torque { amount, .. } => Some(Value::Amount(amount.clone())),
            What::Text { text, .. } => Some(Value::Text(text.clone())),
            What::Correct { choice, amount, text, .. } => (choice.clone().map(Value::Choice))
                .or_else(|| amount.clone().map(Value::Amount))
                .or_else(|| text.clone().map(Value::Text)),
            _ => None,
        }
    }

    /// Whether it is a torque that is kept with its remedy, and is not the fastening's own.
    pub fn is_remedied(&self) -> bool {
        matches!(self, What::Torque { remedy: Some(_), .. })
    }

    /// Whether a `withdraw` may name it.
    pub fn can_be_withdrawn(&self) -> bool {
        !matches!(
            self,
            What::Open { .. }
                | What::Close { .. }
                | What::Note { .. }
                | What::Correct { .. }
                | What::Withdraw { .. }
                | What::Revise { .. }
        )
    }
}

impl Value {
    /// Whether a correction by `other` keeps the kind of value.
    pub fn is_like(&self, other: &Value) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
    }
}
