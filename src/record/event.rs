//! One event of a record, as it is written.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::numbers::{self, AmountText};
use super::{FORMAT_NAME, drawing, time};

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
        /// The torque that was read, or that the wrench was set to.
        amount: AmountText,
        /// Whether the wrench clicks: then `amount` is what it was set to, since such a wrench is not read.
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
    /// It was given up.
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

impl Event {
    /// Reads an event.
    ///
    /// # Errors
    /// One sentence on why the line is none of this format.
    pub fn read(value: &serde_json::Value) -> Result<Event, String> {
        let event = Event::deserialize(value).map_err(|error| words(&error.to_string()))?;
        if time::moment(&event.at).is_none() {
            return Err("its `at` is no moment such as 2026-11-25T09:30:00+01:00".to_owned());
        }
        check_text("by", &event.by, 200)?;
        event.what.check()?;
        Ok(event)
    }
}

/// What the JSON reader says, without its own terms.
pub(super) fn words(error: &str) -> String {
    if let Some(rest) = error.strip_prefix("missing field ") {
        return format!("it has no {rest}");
    }
    if let Some(name) = error.strip_prefix("unknown variant ").and_then(|rest| rest.split(',').next()) {
        return format!("{name} is no word of this format");
    }
    format!("one of its members has another form than the format asks for ({error})")
}

fn check_text(name: &str, text: &str, most: usize) -> Result<(), String> {
    match text.chars().count() {
        0 => Err(format!("its `{name}` is empty")),
        count if count > most => Err(format!("its `{name}` has more than {most} characters")),
        _ => Ok(()),
    }
}

fn check_digest(name: &str, text: &str) -> Result<(), String> {
    let hex = text.len() == 64 && text.bytes().all(|byte| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte));
    hex.then_some(()).ok_or_else(|| format!("its `{name}` is not 64 hex digits"))
}

fn check_amount(amount: &AmountText) -> Result<(), String> {
    let short = amount.value.len() <= numbers::MOST_CHARACTERS;
    let good = short && numbers::parse(&amount.value).is_some();
    good.then_some(()).ok_or_else(|| format!("`{}` is no number of this format", amount.value))
}

impl What {
    /// What the types alone do not say.
    fn check(&self) -> Result<(), String> {
        match self {
            What::Open { format, checklist, job, .. } => {
                if format.name != FORMAT_NAME || format.version.split('.').next() != Some("1") {
                    let FormatText { name, version } = format;
                    return Err(format!("it is of the format `{name}` {version}, and this program reads version 1"));
                }
                check_digest("digest", &checklist.digest)?;
                check_text("job", job, 4000)
            }
            What::Answer { choice, amount, .. } => one_of(&[choice.is_some(), amount.is_some()], amount.as_ref()),
            What::Reading { choice, amount, typed, .. } => {
                typed.as_ref().map_or(Ok(()), check_amount)?;
                one_of(&[choice.is_some(), amount.is_some()], amount.as_ref())
            }
            What::Torque { amount, remedy, .. } => {
                remedy.as_ref().map_or(Ok(()), |text| check_text("remedy", text, 4000))?;
                check_amount(amount)
            }
            What::Correct { choice, amount, text, reason, .. } => {
                check_text("reason", reason, 4000)?;
                text.as_ref().map_or(Ok(()), |text| check_text("text", text, 4000))?;
                one_of(&[choice.is_some(), amount.is_some(), text.is_some()], amount.as_ref())
            }
            What::Text { text, .. } | What::Note { text } => check_text("text", text, 4000),
            What::LeaveOut { reason, .. } | What::Withdraw { reason, .. } => check_text("reason", reason, 4000),
            What::Revise { checklist, reason } => {
                check_digest("digest", &checklist.digest)?;
                check_text("reason", reason, 4000)
            }
            What::Begin { content, .. } => check_digest("content", content),
            What::Photo { file, media_type, sha256, .. } => {
                if !is_plain_name(file) {
                    return Err("its `file` is no plain name".to_owned());
                }
                if !media_type.starts_with("image/") {
                    return Err("its `media_type` is not that of a picture".to_owned());
                }
                check_digest("sha256", sha256)
            }
            What::Done { with, .. } => with.iter().try_for_each(|name| check_text("with", name, 200)),
            What::Sign { name, drawing, reason, .. } => {
                check_text("name", name, 200)?;
                reason.as_ref().map_or(Ok(()), |reason| check_text("reason", reason, 4000))?;
                match drawing {
                    Some(path) if !drawing::is_one(path) => {
                        Err("its `drawing` is no signature of this format".to_owned())
                    }
                    _ => Ok(()),
                }
            }
            What::Close { outcome, at_stop, reason } => match outcome {
                CloseOutcome::Stopped if at_stop.is_none() => Err("it says `stopped` without `at_stop`".to_owned()),
                CloseOutcome::BrokenOff if reason.is_none() => Err("it says `broken-off` without `reason`".to_owned()),
                _ => reason.as_ref().map_or(Ok(()), |reason| check_text("reason", reason, 4000)),
            },
            What::Acknowledge { .. } => Ok(()),
        }
    }
}

/// Whether a text may name a picture: no path, nothing hidden.
pub(super) fn is_plain_name(text: &str) -> bool {
    let letters = text.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"._-".contains(&byte));
    letters && !text.starts_with('.') && (1..=100).contains(&text.len())
}

/// Exactly one of several members is there.
fn one_of(there: &[bool], amount: Option<&AmountText>) -> Result<(), String> {
    if there.iter().filter(|one| **one).count() != 1 {
        return Err("it must have exactly one value".to_owned());
    }
    amount.map_or(Ok(()), check_amount)
}
