//! An event from its line, and what the types alone do not say of it.

use serde::Deserialize;

use super::super::numbers::{self, AmountText};
use super::super::unreadable::{EventFault, FormFault};
use super::super::{FORMAT_NAME, drawing, time};
use super::{CloseOutcome, Event, FormatText, What};

impl Event {
    /// Reads an event.
    ///
    /// # Errors
    /// Where the line is none of this format.
    pub fn read(value: &serde_json::Value) -> Result<Event, EventFault> {
        let event = Event::deserialize(value).map_err(|error| EventFault::Form(FormFault::of(&error)))?;
        if time::moment(&event.at).is_none() {
            return Err(EventFault::NoMoment);
        }
        check_text("by", &event.by, 200)?;
        event.what.check()?;
        Ok(event)
    }
}

fn check_text(member: &'static str, text: &str, most: usize) -> Result<(), EventFault> {
    match text.chars().count() {
        0 => Err(EventFault::Empty(member)),
        count if count > most => Err(EventFault::TooLong { member, most }),
        _ => Ok(()),
    }
}

fn check_digest(member: &'static str, text: &str) -> Result<(), EventFault> {
    let hex = text.len() == 64 && text.bytes().all(|byte| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte));
    hex.then_some(()).ok_or(EventFault::NoDigest(member))
}

fn check_amount(amount: &AmountText) -> Result<(), EventFault> {
    let short = amount.value.len() <= numbers::MOST_CHARACTERS;
    let good = short && numbers::parse(&amount.value).is_some();
    good.then_some(()).ok_or_else(|| EventFault::Number(amount.value.clone()))
}

impl What {
    /// What the types alone do not say.
    fn check(&self) -> Result<(), EventFault> {
        match self {
            What::Open { format, checklist, job, .. } => {
                if format.name != FORMAT_NAME || format.version.split('.').next() != Some("1") {
                    let FormatText { name, version } = format.clone();
                    return Err(EventFault::OtherFormat { name, version });
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
                    return Err(EventFault::NoPlainName);
                }
                if !media_type.starts_with("image/") {
                    return Err(EventFault::NoPicture);
                }
                check_digest("sha256", sha256)
            }
            What::Done { with, .. } => with.iter().try_for_each(|name| check_text("with", name, 200)),
            What::Sign { name, drawing, reason, .. } => {
                check_text("name", name, 200)?;
                reason.as_ref().map_or(Ok(()), |reason| check_text("reason", reason, 4000))?;
                match drawing {
                    Some(path) if !drawing::is_one(path) => Err(EventFault::NoSignature),
                    _ => Ok(()),
                }
            }
            What::Close { outcome, at_stop, reason } => match outcome {
                CloseOutcome::Stopped if at_stop.is_none() => Err(EventFault::StoppedNowhere),
                CloseOutcome::BrokenOff if reason.is_none() => Err(EventFault::BrokenOffUnsaid),
                _ => reason.as_ref().map_or(Ok(()), |reason| check_text("reason", reason, 4000)),
            },
            What::Acknowledge { .. } => Ok(()),
        }
    }
}

/// Whether a text may name a picture: no path, nothing hidden.
pub(in super::super) fn is_plain_name(text: &str) -> bool {
    let letters = text.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"._-".contains(&byte));
    letters && !text.starts_with('.') && (1..=100).contains(&text.len())
}

/// Exactly one of several members is there.
fn one_of(there: &[bool], amount: Option<&AmountText>) -> Result<(), EventFault> {
    if there.iter().filter(|one| **one).count() != 1 {
        return Err(EventFault::NotOneValue);
    }
    amount.map_or(Ok(()), check_amount)
}
