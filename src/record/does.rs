//! What an event does, as the middle of a sentence.

use super::definition::Definition;
use super::event::{CloseOutcome, What};
use super::program::Step;

pub(super) fn step_words(step: &Step) -> String {
    format!("step {} “{}”", step.number, step.title)
}

/// What an event does, as the middle of a sentence.
pub(super) fn does(what: &What, definition: &Definition) -> String {
    let step = |id: &str| {
        let found = definition.program.steps.iter().find(|step| step.id == id);
        found.map_or_else(|| format!("step `{id}`, which the checklist does not have"), step_words)
    };
    let input = |id: &str| {
        let found = definition.inputs.iter().find(|input| input.id() == id);
        found.map_or_else(|| format!("`{id}`"), |input| format!("“{}”", input.title()))
    };
    match what {
        What::Open { .. } => "opens the record again".to_owned(),
        What::Answer { input: id, .. } => format!("answers {}", input(id)),
        What::Begin { step: id, occasion: 1, .. } => format!("begins {}", step(id)),
        What::Begin { step: id, occasion, .. } => format!("begins {}, for the {occasion}. time", step(id)),
        What::Acknowledge { .. } => "says that a message was read".to_owned(),
        What::Reading { input: id, .. } => format!("brings a reading of {}", input(id)),
        What::Torque { fastening, .. } => format!("brings the torque of fastening {fastening}"),
        What::Text { .. } => "brings an entry".to_owned(),
        What::Photo { .. } => "brings a photograph".to_owned(),
        What::LeaveOut { .. } => "leaves a photograph out".to_owned(),
        What::Done { step: id, .. } => format!("says that {} is done", step(id)),
        What::Sign { role, .. } => format!("brings the signature of the {role}"),
        What::Close { outcome, .. } => match outcome {
            CloseOutcome::HandedOver => "closes the record as handed over".to_owned(),
            CloseOutcome::Stopped => "closes the record as stopped".to_owned(),
            CloseOutcome::BrokenOff => "breaks the job off".to_owned(),
        },
        What::Note { .. } => "makes a remark".to_owned(),
        What::Correct { event, .. } => format!("corrects line {event}"),
        What::Withdraw { event, .. } => format!("withdraws line {event}"),
        What::Revise { checklist, .. } => match &checklist.revision {
            Some(mark) => format!("carries on under revision {mark}"),
            None => "carries on under another checklist".to_owned(),
        },
    }
}
