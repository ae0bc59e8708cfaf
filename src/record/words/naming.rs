//! How a step, an input or a line is called in a sentence.

use super::super::does::step_words;
use super::super::program::Asks;
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
                Asks::Text { what, .. } => format!("the entry “{what}”"),
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
