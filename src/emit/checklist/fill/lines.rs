//! The lines of steps.

use super::Filler;
use super::things::{signal, value_name};
use crate::emit::checklist::flow::{self as to, Does, Line as ToLine, Prose, ToolPlace};
use crate::emit::checklist::joined::Setting;
use crate::emit::checklist::things;
use crate::emit::phrase::kit::how_much;
use crate::emit::phrase::much::Much;
use crate::emit::phrase::setting;
use crate::labels::{fill, spoken};
use crate::model::{Counted, JointId, Line, LineKind, PartId, PointId, Reading, Record, ToolId, ToolUse, Wait};
use crate::prose::literal;

impl Filler<'_> {
    /// A line under a name made of its step, what it does, and what it is about.
    pub(super) fn line(&mut self, step: &str, line: &Line) -> ToLine {
        let does = self.does(&line.kind);
        let (kind, about) = named(&does);
        let base = if about.is_empty() { format!("{step}.{kind}") } else { format!("{step}.{kind}.{about}") };
        let letter = line.letter().map(|letter| letter.to_string());
        ToLine { id: self.unique(base), by_hand: line.by_hand, letter, does }
    }

    fn does(&mut self, line: &LineKind) -> Does {
        let procedure = self.procedure;
        match line {
            LineKind::Prose(prose) => {
                Does::Text { prose: self.prose(prose), wait: None, parts: None, keep: Vec::new(), reuse: Vec::new() }
            }
            LineKind::Note(text) => Does::Note { text: self.words.said(text) },
            LineKind::Message(message) => Does::Message {
                signal: signal(message.signal),
                hazard: procedure.hazards[message.hazard].name.id.clone(),
                nature: self.words.said(&message.nature),
                consequence: self.words.said(&message.consequence),
                avoid: self.words.said(&message.avoid),
            },
            LineKind::Read(readings) => Does::Read { inputs: readings.iter().map(|r| self.reading(*r)).collect() },
            LineKind::Use { tools, optional, benefit } => {
                Does::Use { tools: self.places(tools), optional: *optional, benefit: benefit.clone() }
            }
            LineKind::Wear(worn) => {
                Does::Wear { protection: worn.iter().map(|id| procedure.protections[*id].name.id.clone()).collect() }
            }
            LineKind::Take(parts) if parts.iter().all(Counted::is_plain) => Does::Take { parts: self.supplied(parts) },
            LineKind::Take(parts) => self.parts_line(parts, &[], &[]),
            LineKind::MakeParts { made, from, tools } => self.parts_line(from, made, tools),
            LineKind::Remove(parts, tools) => Does::Remove { parts: self.counted(parts), tools: self.places(tools) },
            LineKind::Refit(parts) => Does::Refit { parts: self.counted(parts) },
            LineKind::Discard(parts) => Does::Discard { parts: self.counted(parts) },
            LineKind::KeepParts { parts, from_kit } => self.keep(parts, *from_kit),
            LineKind::Reuse(parts) => self.reuse(parts),
            LineKind::Place(joint) => Does::Place { joint: self.joint(*joint) },
            LineKind::Snug(joint, tools) => Does::Snug { joint: self.joint(*joint), tools: self.places(tools) },
            LineKind::Tighten(joint, tools) => {
                let settings = self.settings(*joint, tools);
                Does::Tighten { joint: self.joint(*joint), tools: self.places(tools), settings }
            }
            LineKind::Loosen(joint, tools) => Does::Loosen { joint: self.joint(*joint), tools: self.places(tools) },
            LineKind::RemoveJoint(joint, tools) => {
                Does::RemoveJoint { joint: self.joint(*joint), tools: self.places(tools) }
            }
            LineKind::RefitJoint(joint) => Does::RefitJoint { joint: self.joint(*joint) },
            LineKind::Connect(circuit, points, tools) => {
                let (circuit, points) = self.points(*circuit, points);
                Does::Connect { circuit, points, tools: self.places(tools) }
            }
            LineKind::Disconnect(circuit, points, tools) => {
                let (circuit, points) = self.points(*circuit, points);
                Does::Disconnect { circuit, points, tools: self.places(tools) }
            }
            LineKind::Need(need) => Does::Need { state: self.need(need) },
            LineKind::Make { state, value } => Does::Make { state: self.state_is(*state, *value) },
            LineKind::Set(set) => {
                let result = &procedure.choices[set.result];
                Does::Set { result: result.name.id.clone(), value: value_name(&result.values, set.value) }
            }
            LineKind::Do(action) => {
                let action = &procedure.actions[*action];
                let needs = action.needs.iter().map(|need| self.need(need)).collect();
                Does::Do { action: action.name.id.clone(), needs }
            }
            LineKind::Record(record) => self.record(record),
            LineKind::Wait(wait) => self.wait(wait),
            LineKind::Figure(shown) => self.figure(shown),
        }
    }

    /// As a text, so that an app which knows nothing of waiting shows it.
    fn wait(&mut self, wait: &Wait) -> Does {
        let until = self.words.until(wait);
        let time = wait.time.as_ref().map(|time| self.words.measure(time));
        let text = match (&time, &until) {
            (Some(time), Some(until)) => fill(spoken().tell.wait_until, &[("time", time), ("until", until)]),
            (Some(time), None) => fill(spoken().tell.wait, &[("time", time)]),
            (None, until) => fill(spoken().tell.wait, &[("time", until.as_deref().unwrap_or_default())]),
        };
        let wait = wait.time.as_ref().map(|time| to::Wait { time: self.stated(time), until });
        Does::Text { prose: said(text), wait, parts: None, keep: Vec::new(), reuse: Vec::new() }
    }

    /// As a text, so that an app which knows only counts shows how much is taken, and what is made of it.
    fn parts_line(&mut self, taken: &[Counted<PartId>], made: &[Counted<PartId>], tools: &[ToolUse]) -> Does {
        let line = to::PartsLine { take: self.supplied(taken), make: self.counted(made), tools: self.places(tools) };
        let parts = how_much(self.words, taken, true);
        let text = if made.is_empty() {
            fill(spoken().tell.take_parts, &[("parts", &parts)])
        } else {
            fill(spoken().tell.make_parts, &[("made", &how_much(self.words, made, false)), ("parts", &parts)])
        };
        let text = [Some(text), self.words.tools(tools)].into_iter().flatten().collect::<Vec<_>>().join(" ");
        Does::Text { prose: said(text), wait: None, parts: Some(line), keep: Vec::new(), reuse: Vec::new() }
    }

    /// As a text, so that an app which knows nothing of it neither throws them away nor fits them again.
    fn keep(&mut self, parts: &[Counted<PartId>], from_kit: bool) -> Does {
        let of_the_kit = self.procedure.are_spares(parts, from_kit);
        let text = fill(spoken().tell.put_aside, &[("parts", &how_much(self.words, parts, of_the_kit))]);
        let keep = if of_the_kit { self.supplied(parts) } else { self.counted(parts) };
        Does::Text { prose: said(text), wait: None, parts: None, keep, reuse: Vec::new() }
    }

    /// As a text too: an app which knows nothing of it says at least which parts serve.
    fn reuse(&mut self, parts: &[Counted<PartId>]) -> Does {
        let text = fill(spoken().tell.use_again, &[("parts", &how_much(self.words, parts, false))]);
        Does::Text { prose: said(text), wait: None, parts: None, keep: Vec::new(), reuse: self.counted(parts) }
    }

    fn record(&self, record: &Record) -> Does {
        match record {
            Record::Torque(joint) => {
                Does::RecordTorque { joint: self.joint(*joint), count: self.procedure.joints[*joint].at_least() }
            }
            Record::Reading(reading) => Does::RecordReading { input: self.reading(*reading) },
            Record::Text(what) => Does::RecordText { what: what.clone(), number: None },
            Record::Taken { parts, least, most } => Does::RecordText {
                what: Much::asked(self.words, parts),
                number: Some(things::Taken {
                    parts: parts.iter().map(|part| self.procedure.parts[*part].name.id.clone()).collect(),
                    least: *least,
                    most: *most,
                }),
            },
            Record::Photo(what) => Does::RecordPhoto { what: what.clone() },
        }
    }

    fn reading(&self, reading: Reading) -> String {
        match reading {
            Reading::Choice(choice) => self.procedure.choices[choice].name.id.clone(),
            Reading::Number(number) => self.procedure.numbers[number].name.id.clone(),
        }
    }

    pub(super) fn joint(&self, joint: JointId) -> String {
        self.procedure.joints[joint].name.id.clone()
    }

    fn points(&self, circuit: crate::model::CircuitId, points: &[PointId]) -> (String, Vec<String>) {
        let circuit = &self.procedure.circuits[circuit];
        let points = points.iter().map(|point| circuit.points[*point].id.clone()).collect();
        (circuit.name.id.clone(), points)
    }

    fn settings(&mut self, joint: JointId, tools: &[ToolUse]) -> Vec<Setting> {
        let name = |tool: &ToolId| self.procedure.tools[*tool].name.id.clone();
        let told = setting::settings(self.words, &self.procedure.joints[joint], tools);
        let named: Vec<(String, Vec<String>)> =
            told.iter().map(|told| (name(&told.wrench), told.through.iter().map(name).collect())).collect();
        let both = told.into_iter().zip(named);
        both.map(|(told, (wrench, adapters))| Setting {
            wrench,
            adapters,
            words: told.words,
            set: told.set,
            value: told.value.as_ref().map(|value| self.stated(value)),
        })
        .collect()
    }

    fn places(&self, tools: &[ToolUse]) -> Vec<ToolPlace> {
        let place = |tool: &ToolUse| ToolPlace {
            any_of: tool.any_of.iter().map(|id| self.procedure.tools[*id].name.id.clone()).collect(),
            count: tool.count.max(1),
            hold: tool.hold,
            words: Some(self.words.tool_use(tool)),
        };
        tools.iter().map(place).collect()
    }
}

/// A text of ours.
pub(super) fn said(text: String) -> Prose {
    Prose { markdown: literal(&text), text, mentions: Vec::new() }
}

/// The kind of a line and what it is about, for its name. Words of the writer are not in it: rewording changes no name.
fn named(does: &Does) -> (&'static str, String) {
    let parts = |all: &[crate::emit::checklist::things::Counted]| {
        all.iter().map(|counted| counted.part.as_str()).collect::<Vec<_>>().join("+")
    };
    match does {
        Does::Text { wait: Some(_), .. } => ("wait", String::new()),
        Does::Text { parts: Some(line), .. } if line.make.is_empty() => ("take", parts(&line.take)),
        Does::Text { parts: Some(line), .. } => ("make", parts(&line.make)),
        Does::Text { keep, .. } if !keep.is_empty() => ("keep", parts(keep)),
        Does::Text { reuse, .. } if !reuse.is_empty() => ("reuse", parts(reuse)),
        Does::Text { .. } => ("text", String::new()),
        Does::Note { .. } => ("note", String::new()),
        Does::Message { hazard, .. } => ("message", hazard.clone()),
        Does::Read { inputs } => ("read", inputs.join("+")),
        Does::Use { tools, .. } => {
            ("use", tools.iter().map(|place| place.any_of.join("/")).collect::<Vec<_>>().join("+"))
        }
        Does::Wear { protection } => ("wear", protection.join("+")),
        Does::Take { parts: all } => ("take", parts(all)),
        Does::Remove { parts: all, .. } => ("remove", parts(all)),
        Does::Refit { parts: all } => ("refit", parts(all)),
        Does::Discard { parts: all } => ("discard", parts(all)),
        Does::Place { joint } => ("place", joint.clone()),
        Does::Snug { joint, .. } => ("snug", joint.clone()),
        Does::Tighten { joint, .. } => ("tighten", joint.clone()),
        Does::Loosen { joint, .. } => ("loosen", joint.clone()),
        Does::RemoveJoint { joint, .. } => ("remove", joint.clone()),
        Does::RefitJoint { joint } => ("refit", joint.clone()),
        Does::Connect { circuit, points, .. } => ("connect", format!("{circuit}.{}", points.join("+"))),
        Does::Disconnect { circuit, points, .. } => ("disconnect", format!("{circuit}.{}", points.join("+"))),
        Does::Need { state } => ("need", state.state.clone()),
        Does::Make { state } => ("make", state.state.clone()),
        Does::Set { result, .. } => ("set", result.clone()),
        Does::Do { action, .. } => ("do", action.clone()),
        Does::RecordTorque { joint, .. } => ("record", joint.clone()),
        Does::RecordReading { input } => ("record", input.clone()),
        Does::RecordText { number: Some(taken), .. } => ("record", taken.parts.join("+")),
        Does::RecordText { .. } => ("record-text", String::new()),
        Does::RecordPhoto { .. } => ("record-photo", String::new()),
        Does::Figure { asset, figure, .. } => ("figure", figure.as_ref().unwrap_or(asset).clone()),
    }
}
