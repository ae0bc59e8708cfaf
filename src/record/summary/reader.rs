//! Goes through the events of a record, and puts each where it stands on the page.

use std::collections::{BTreeMap, BTreeSet};

use super::super::content::InputText;
use super::super::definition::Definition;
use super::super::event::{Value, What};
use super::super::job::{Slot, State};
use super::super::known::Answer;
use super::super::program::Asks;
use super::super::walk::Walk;
use super::text::{clock, sentence};
use super::{Drawn, Row, View};
use crate::labels::{fill, spoken};
use crate::quantity::Exact;

/// A torque that was written down.
pub(super) struct Torque {
    pub(super) line: String,
    pub(super) said: String,
    pub(super) base: Option<Exact>,
    pub(super) instrument: String,
    /// The wrench, where the event says which.
    pub(super) tool: Option<String>,
    /// The wrench was set to it and clicked; nobody read it.
    pub(super) clicked: bool,
    /// What was done about it, where it was not good and the fastening was tightened again.
    pub(super) remedy: Option<String>,
}

pub(super) struct Reader<'a> {
    pub(super) definition: &'a Definition,
    pub(super) page: &'a mut View,
    /// The job so far, to know what was known when.
    pub(super) walk: Walk,
    /// How often each step was done, by its id.
    times: BTreeMap<&'a str, u32>,
    /// The limits that are decided.
    pub(super) decided: BTreeSet<usize>,
    /// The torques of the line that is being read.
    pub(super) torques: Vec<Torque>,
    /// The readings of the begun step: the place of the row, and the input.
    pub(super) readings: Vec<(usize, String)>,
    /// The begun step: its place, and how its rows are headed.
    pub(super) begun: Option<usize>,
    pub(super) step: String,
}

impl<'a> Reader<'a> {
    pub(super) fn new(definition: &'a Definition, page: &'a mut View, slots: &'a [Slot]) -> Self {
        let mut times: BTreeMap<&str, u32> = BTreeMap::new();
        for slot in slots.iter().filter(|slot| slot.state == State::Counts) {
            if let What::Begin { step, .. } = &slot.event.what {
                *times.entry(step).or_default() += 1;
            }
        }
        Reader {
            definition,
            page,
            walk: Walk::new(definition),
            times,
            decided: BTreeSet::new(),
            torques: Vec::new(),
            readings: Vec::new(),
            begun: None,
            step: String::new(),
        }
    }

    pub(super) fn read(&mut self, slot: &Slot) {
        self.read_people(slot);
        let what = &slot.event.what;
        match what {
            What::Correct { event, reason, .. } if slot.state == State::Counts => {
                self.page.remarks.push(told(spoken().record.corrected, *event, reason));
            }
            What::Withdraw { event, reason } if slot.state == State::Counts => {
                self.page.remarks.push(told(spoken().record.withdrawn, *event, reason));
            }
            What::Note { text } => self.page.remarks.push(format!("{}: {}", spoken().report.remark, sentence(text))),
            _ if slot.state == State::Counts => self.read_counting(slot),
            _ => {}
        }
    }

    fn read_people(&mut self, slot: &Slot) {
        let others = match &slot.event.what {
            What::Done { with, .. } => with.as_slice(),
            _ => &[],
        };
        for name in std::iter::once(&slot.event.by).chain(others) {
            if !self.page.workers.contains(name) {
                self.page.workers.push(name.clone());
            }
        }
    }

    fn read_counting(&mut self, slot: &Slot) {
        let value = slot.value.as_ref();
        match &slot.event.what {
            What::Open { .. } => {
                self.walk.opened = true;
                self.walk.go_on(&self.definition.program);
            }
            What::Begin { step, occasion, .. } => self.begin(step, *occasion),
            What::Done { .. } => {
                self.finish_step();
                let step = self.begun.and_then(|at| self.definition.program.steps.get(at));
                if step.is_some_and(|step| !step.not_of.is_empty()) {
                    let (what, value) = (spoken().check.checked_by.to_owned(), slot.event.by.clone());
                    self.page.entries.push(Row { step: self.step.clone(), what, value, ..Row::default() });
                }
                self.walk.done(&self.definition.program, std::iter::once(&slot.event.by));
                self.decide_limits();
            }
            What::Answer { input, .. } => {
                let row = self.input_row(input, value);
                self.page.answers.push(Row { step: String::new(), ..row });
                self.learn(input, value);
                self.walk.go_on(&self.definition.program);
                self.decide_limits();
            }
            What::Reading { input, instrument, .. } => {
                let row = self.input_row(input, value);
                self.readings.push((self.page.measured.len(), input.clone()));
                self.page.measured.push(Row { instrument: instrument.clone().unwrap_or_default(), ..row });
                self.learn(input, value);
            }
            What::Torque { line, instrument, tool, clicked, remedy, .. } => {
                if self.torques.last().is_some_and(|before| before.line != *line) {
                    self.finish_torques();
                }
                let base = match value {
                    Some(Value::Amount(amount)) => self.definition.base(amount),
                    _ => None,
                };
                self.torques.push(Torque {
                    line: line.clone(),
                    said: self.said(value),
                    base,
                    instrument: instrument.clone().unwrap_or_default(),
                    tool: tool.clone(),
                    clicked: *clicked == Some(true),
                    remedy: remedy.clone(),
                });
            }
            What::Text { line, .. } => self.entry(line, self.said(value)),
            What::Photo { line, file, .. } => self.entry(line, fill(spoken().record.photo, &[("file", file)])),
            What::LeaveOut { line, reason } => self.entry(line, fill(spoken().report.left_out, &[("reason", reason)])),
            What::Sign { role, name, drawing, .. } => {
                let at = clock(&slot.event.at);
                let drawn =
                    drawing.iter().map(|path| Drawn { role: role.clone(), name: name.clone(), path: path.clone() });
                self.page.drawn.extend(drawn);
                let what = sentence(role).trim_end_matches('.').to_owned();
                self.page.signatures.push(Row { what, value: name.clone(), accepted: at, ..Row::default() });
            }
            What::Close { at_stop, reason, .. } => {
                self.page.closed = Some(clock(&slot.event.at));
                let told = at_stop.as_ref().and_then(|stop| self.definition.program.stops.get(stop));
                self.page.outcome_text = told.or(reason.as_ref()).cloned();
            }
            _ => {}
        }
    }

    fn begin(&mut self, step: &str, occasion: u32) {
        self.finish_step();
        let steps = &self.definition.program.steps;
        self.begun = steps.iter().position(|one| one.id == step);
        let number = self.begun.and_then(|at| steps.get(at)).map(|step| step.number.clone()).unwrap_or_default();
        let checked = self.definition.criteria.checks.contains_key(step);
        let several = self.times.get(step).is_some_and(|times| *times > 1);
        self.step = match (several, checked, occasion) {
            (false, ..) => number,
            (true, true, 0 | 1) => fill(spoken().record.step_first, &[("step", &number)]),
            (true, true, after) => {
                fill(spoken().record.step_after, &[("step", &number), ("n", &(after - 1).to_string())])
            }
            (true, false, time) => fill(spoken().record.step_again, &[("step", &number), ("n", &time.to_string())]),
        };
        if let Some(at) = self.begun {
            self.walk.begin(at);
        }
    }

    fn learn(&mut self, input: &str, value: Option<&Value>) {
        let Some(place) = self.definition.input(input) else { return };
        let answer = match value {
            Some(Value::Choice(choice)) => Some(Answer::Choice(choice.clone())),
            Some(Value::Amount(amount)) => {
                self.definition.base(amount).map(|base| Answer::Number(amount.clone(), base))
            }
            Some(Value::Text(_)) | None => None,
        };
        if let Some(answer) = answer {
            self.walk.known.answer(place, answer);
        }
    }

    fn input_row(&self, id: &str, value: Option<&Value>) -> Row {
        let input = self.definition.inputs.iter().find(|input| input.id() == id);
        let value = match (input, value) {
            (
                Some(InputText::Option(choice) | InputText::Observe(choice) | InputText::Result(choice)),
                Some(Value::Choice(id)),
            ) => {
                let label = choice.values.iter().find(|value| value.id == *id).map(|value| value.label.clone());
                label.unwrap_or_else(|| id.clone())
            }
            (_, value) => self.said(value),
        };
        let what = input.map_or_else(|| id.to_owned(), |input| input.title().to_owned());
        Row { step: self.step.clone(), what, value, ..Row::default() }
    }

    pub(super) fn said(&self, value: Option<&Value>) -> String {
        match value {
            Some(Value::Amount(amount)) => self.definition.printed(amount),
            Some(Value::Choice(text) | Value::Text(text)) => text.clone(),
            None => String::new(),
        }
    }

    pub(super) fn asks(&self, line: &str) -> Option<&Asks> {
        let (step, line) = self.definition.program.lines.get(line)?;
        Some(&self.definition.program.steps.get(*step)?.lines.get(*line)?.asks)
    }

    fn entry(&mut self, line: &str, value: String) {
        let what = match self.asks(line) {
            Some(Asks::Text { what, .. } | Asks::Photo { what }) => what.clone(),
            _ => line.to_owned(),
        };
        self.page.entries.push(Row { step: self.step.clone(), what, value, ..Row::default() });
    }
}

/// What became of a line, and why.
fn told(label: &str, event: u64, reason: &str) -> String {
    fill(label, &[("n", &event.to_string()), ("reason", &sentence(reason))])
}
