//! How a step, an input, a line or an event is called in a sentence.

use super::super::definition::Definition;
use super::super::event::{CloseOutcome, What};
use super::super::program::{Asks, Step};
use super::super::walk::Now;
use super::Words;

impl Words<'_> {
    pub(super) fn step_named(&self, id: &str) -> String {
        match self.definition.and_then(|definition| definition.program.steps.iter().find(|step| step.id == id)) {
            Some(step) => step_words(step),
            None => format!("step `{id}`"),
        }
    }

    pub(super) fn titles(&self, inputs: &[String]) -> String {
        let title = |id: &String| {
            let found = self.definition.and_then(|definition| definition.inputs.iter().find(|input| input.id() == id));
            found.map_or_else(|| format!("`{id}`"), |input| format!("“{}”", input.title()))
        };
        inputs.iter().map(title).collect::<Vec<_>>().join(", ")
    }

    /// What lines ask for.
    pub(super) fn lines(&self, ids: &[String]) -> String {
        let words = |id: &String| {
            let definition = self.definition?;
            let (step, line) = definition.program.lines.get(id)?;
            let asks = &definition.program.steps.get(*step)?.lines.get(*line)?.asks;
            Some(match asks {
                Asks::Message { nature } => format!("the message “{nature}”"),
                Asks::Read { inputs } => {
                    let ids: Vec<String> = inputs
                        .iter()
                        .filter_map(|input| definition.inputs.get(*input).map(|input| input.id().to_owned()))
                        .collect();
                    format!("the reading of {}", self.titles(&ids))
                }
                Asks::Torque { joint, .. } => {
                    let title = definition.joints.iter().find(|one| one.id == *joint).map_or("", |one| &one.title);
                    format!("torques of “{title}”")
                }
                Asks::Text { what } => format!("the entry “{what}”"),
                Asks::Photo { what } => format!("the photograph “{what}”"),
            })
        };
        ids.iter().map(|id| words(id).unwrap_or_else(|| format!("`{id}`"))).collect::<Vec<_>>().join(", ")
    }

    /// What a job waits for, as the end of a sentence.
    pub(super) fn waits(&self, now: &Now) -> String {
        match now {
            Now::Nothing => "the record was closed before".to_owned(),
            Now::Close { at_stop } => {
                let told = self.definition.and_then(|definition| definition.program.stops.get(at_stop));
                format!("the job has stopped: {}", told.map_or(at_stop.as_str(), String::as_str))
            }
            Now::Answer { inputs } => format!("this has no answer yet: {}", self.titles(inputs)),
            Now::Lines { step, lines, .. } if lines.is_empty() => {
                format!("{} is begun and not yet said to be done", self.step_named(step))
            }
            Now::Lines { step, lines, .. } => {
                format!("{} is begun and lacks {}", self.step_named(step), self.lines(lines))
            }
            Now::Begin { step, occasion: 1 } => format!("{} is to be begun next", self.step_named(step)),
            Now::Begin { step, .. } => format!("{} is to be done again", self.step_named(step)),
            Now::Sign { roles, .. } if roles.is_empty() => "it is handed over and not yet closed".to_owned(),
            Now::Sign { roles, .. } => format!("the handover is next, to be signed by {}", roles.join(", ")),
            Now::Decision { at: Some(at) } => format!("nothing says how the job goes on at `{at}`"),
            Now::Decision { at: None } => "nothing says how the job goes on".to_owned(),
        }
    }
}

fn step_words(step: &Step) -> String {
    format!("step {} “{}”", step.number, step.title)
}

/// What an event does, as the middle of a sentence.
pub(in super::super) fn does(what: &What, definition: &Definition) -> String {
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
