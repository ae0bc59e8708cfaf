//! How far the job has come in the flow, and what it waits for.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::conditions;
use super::content::InputText;
use super::definition::Definition;
use super::known::{Answer, Known};
use super::program::{Asks, Handover, Instruction, Program};

/// One doing of one step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Occasion {
    /// Id of the step.
    pub step: String,
    /// From 1.
    pub occasion: u32,
    /// Whether it was finished.
    pub done: bool,
}

/// How the job ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// It has not.
    Open,
    /// With its handover.
    HandedOver,
    /// At a stop or a broken limit.
    Stopped,
    /// It was broken off.
    BrokenOff,
}

/// What the walk waits for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "waits", rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the members are those of the specification, section 3")]
pub enum Now {
    /// The record is closed, or was never opened.
    Nothing,
    /// The job has stopped; the record waits for its end.
    Close { at_stop: String },
    /// Options and givens without an answer.
    Answer { inputs: Vec<String> },
    /// A step is begun; these lines still ask for something.
    Lines { step: String, occasion: u32, lines: Vec<String> },
    /// A step is to be begun.
    Begin { step: String, occasion: u32 },
    /// These still have to sign; without any, the record waits for its end.
    Sign { handover: String, roles: Vec<String> },
    /// The walk is stuck: what decides how it goes on has no answer.
    Decision { at: Option<String> },
}

/// A way that the walk took where another was open too.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Turn {
    /// Into an arm, by its place.
    Arm(usize),
    /// Into the repair of a check, by the id of its step.
    Repair(String),
    /// Past a check that failed, by the place of its step.
    WentOn(usize),
}

/// The walk.
#[derive(Debug, Clone)]
pub struct Walk {
    at: usize,
    counters: Vec<u32>,
    pub known: Known,
    /// Limits that are decided.
    settled: Vec<bool>,
    pub begun: Option<Begun>,
    /// Place of the step, occasion, whether it is done.
    pub path: Vec<(usize, u32, bool)>,
    /// How often each step was begun.
    occasions: Vec<u32>,
    /// The stop or limit that the walk came to.
    stop: Option<String>,
    /// Where it is stuck.
    stuck: Option<Option<String>>,
    pub signed: BTreeSet<String>,
    pub opened: bool,
    pub closed: Option<Outcome>,
    /// Checks that were passed over, in order: places of their steps, with what was told.
    pub went_on: Vec<(usize, String)>,
    /// Which ways it took, in order.
    pub turns: Vec<Turn>,
    /// Who did each step or helped in it, by its id; names as they are compared.
    hands: BTreeMap<String, BTreeSet<String>>,
}

/// A step that is begun.
#[derive(Debug, Clone)]
pub struct Begun {
    pub step: usize,
    pub occasion: u32,
    /// Place of the line, and which input or fastening of it.
    pub given: BTreeSet<(usize, u32)>,
}

/// Where the walk stands, apart from answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    Step(usize),
    Handover(usize),
    Nowhere,
}

/// A name as names are compared: without case and white space.
pub fn plain_name(name: &str) -> String {
    name.to_lowercase().chars().filter(|c| !c.is_whitespace()).collect()
}

impl Walk {
    pub fn new(definition: &Definition) -> Walk {
        let program = &definition.program;
        Walk {
            at: 0,
            counters: vec![0; program.counters],
            known: Known::nothing(definition.inputs.len()),
            settled: vec![false; program.limits.len()],
            begun: None,
            path: Vec::new(),
            occasions: vec![0; program.steps.len()],
            stop: None,
            stuck: None,
            signed: BTreeSet::new(),
            opened: false,
            closed: None,
            went_on: Vec::new(),
            turns: Vec::new(),
            hands: BTreeMap::new(),
        }
    }

    /// What the walk has come to. A stop comes before everything else, and nothing follows the end.
    pub fn place(&self, program: &Program) -> Place {
        if !self.opened || self.closed.is_some() || self.stop.is_some() || self.stuck.is_some() {
            return Place::Nowhere;
        }
        match program.instructions.get(self.at) {
            Some(Instruction::Step(step)) => Place::Step(*step),
            Some(Instruction::Handover(handover)) => Place::Handover(*handover),
            _ => Place::Nowhere,
        }
    }

    /// The handover that the job came to, closed or not.
    pub fn handover<'p>(&self, program: &'p Program) -> Option<&'p Handover> {
        match program.instructions.get(self.at) {
            Some(Instruction::Handover(at)) if self.opened && self.stop.is_none() && self.stuck.is_none() => {
                program.handovers.get(*at)
            }
            _ => None,
        }
    }

    /// The stop or limit that the job came to.
    pub fn stopped_at(&self) -> Option<&str> {
        self.stop.as_deref()
    }

    /// The occasion that a `begin` of this step has now.
    pub fn next_occasion(&self, step: usize) -> u32 {
        self.occasions.get(step).map_or(1, |count| count.saturating_add(1))
    }

    pub fn begin(&mut self, step: usize) {
        let occasion = self.next_occasion(step);
        if let Some(count) = self.occasions.get_mut(step) {
            *count = occasion;
        }
        self.begun = Some(Begun { step, occasion, given: BTreeSet::new() });
        self.path.push((step, occasion, false));
    }

    /// The begun step is done, by these people: its results are set, limits are decided, and the walk goes on.
    pub fn done<'n>(&mut self, program: &Program, by: impl Iterator<Item = &'n String>) {
        let Some(begun) = self.begun.take() else { return };
        if let Some(step) = program.steps.get(begun.step) {
            self.hands.entry(step.id.clone()).or_default().extend(by.map(|name| plain_name(name)));
        }
        if let Some((.., done)) = self.path.last_mut() {
            *done = true;
        }
        for (result, value) in program.steps.get(begun.step).map_or(&[][..], |step| &step.sets) {
            self.known.answer(*result, Answer::Choice(value.clone()));
        }
        self.at += 1;
        self.go_on(program);
    }

    /// Whether somebody of this name did a step, or helped in it.
    pub fn has_done(&self, name: &str, step: &str) -> bool {
        self.hands.get(step).is_some_and(|hands| hands.contains(&plain_name(name)))
    }

    /// Decides limits, then goes through the flow as far as it can.
    pub fn go_on(&mut self, program: &Program) {
        self.stuck = None;
        self.decide_limits(program);
        while self.stop.is_none() && self.begun.is_none() {
            let Some(instruction) = program.instructions.get(self.at) else { return };
            if !self.follow(instruction) {
                return;
            }
        }
    }

    fn decide_limits(&mut self, program: &Program) {
        for (limit, settled) in program.limits.iter().zip(&mut self.settled) {
            if *settled || self.stop.is_some() {
                continue;
            }
            let applies = limit.when.as_ref().map_or(Some(true), |when| when.holds(&self.known));
            match (applies, limit.holds.holds(&self.known)) {
                (Some(false), _) | (Some(true), Some(true)) => *settled = true,
                (Some(true), Some(false)) => self.stop = Some(limit.id.clone()),
                _ => {}
            }
        }
    }

    /// Follows one instruction; false where the walk waits there.
    fn follow(&mut self, instruction: &Instruction) -> bool {
        match instruction {
            Instruction::Unless { condition, target, at } => match condition.holds(&self.known) {
                Some(true) => self.at += 1,
                Some(false) => self.at = *target,
                None => return self.stick(Some(at.clone())),
            },
            Instruction::Ask { input, at } => {
                if !self.known.is_answered(*input) {
                    return self.stick(Some(at.clone()));
                }
                self.at += 1;
            }
            Instruction::Jump(target) => self.at = *target,
            Instruction::Reset(counter) => {
                if let Some(count) = self.counters.get_mut(*counter) {
                    *count = 0;
                }
                self.at += 1;
            }
            Instruction::Expect { .. } => return self.expect(instruction),
            Instruction::WentOn { step, text } => {
                self.went_on.push((*step, text.clone()));
                self.turns.push(Turn::WentOn(*step));
                self.at += 1;
            }
            Instruction::Arm(arm) => {
                self.turns.push(Turn::Arm(*arm));
                self.at += 1;
            }
            Instruction::Set { result, value } => {
                self.known.answer(*result, Answer::Choice(value.clone()));
                self.at += 1;
            }
            Instruction::Stop(id) => {
                self.stop = Some(id.clone());
                return false;
            }
            Instruction::NoArm(id) => return self.stick(Some(id.clone())),
            Instruction::End => return self.stick(None),
            Instruction::Step(_) | Instruction::Handover(_) => return false,
        }
        true
    }

    fn expect(&mut self, instruction: &Instruction) -> bool {
        let Instruction::Expect { at, expects, counter, repair, good, bad } = instruction else { return false };
        match conditions::all(expects, &self.known) {
            Some(true) => self.at = *good,
            Some(false) => {
                self.at = match (repair, self.counters.get_mut(*counter)) {
                    (Some((times, body)), Some(count)) if *count < *times => {
                        *count += 1;
                        self.turns.push(Turn::Repair(at.clone()));
                        *body
                    }
                    _ => *bad,
                };
            }
            None => return self.stick(Some(at.clone())),
        }
        true
    }

    fn stick(&mut self, at: Option<String>) -> bool {
        self.stuck = Some(at);
        false
    }

    /// Options and givens without an answer.
    pub fn unanswered(&self, definition: &Definition) -> Vec<String> {
        let asked = &definition.program.asked_when;
        // One that waits for an option is asked for when that is answered.
        let there = |at: usize| match asked.get(at) {
            Some(Some(when)) => when.holds(&self.known) == Some(true),
            _ => true,
        };
        let open =
            |(at, input): &(usize, &InputText)| input.before_the_job() && !self.known.is_answered(*at) && there(*at);
        definition.inputs.iter().enumerate().filter(open).map(|(_, input)| input.id().to_owned()).collect()
    }

    /// The lines of the begun step that still ask for something.
    pub fn open_lines(&self, program: &Program) -> Vec<String> {
        let Some(begun) = &self.begun else { return Vec::new() };
        let lines = program.steps.get(begun.step).map_or(&[][..], |step| &step.lines);
        let open = lines.iter().enumerate().filter(|(at, line)| {
            let wanted = match &line.asks {
                Asks::Read { inputs } => u32::try_from(inputs.len()).unwrap_or(u32::MAX),
                Asks::Torque { count, .. } => *count,
                _ => 1,
            };
            (0..wanted).any(|which| !begun.given.contains(&(*at, which)))
        });
        open.map(|(_, line)| line.id.clone()).collect()
    }

    /// Whether a message of the begun step was not acknowledged yet.
    pub fn message_open(&self, program: &Program) -> bool {
        let Some(begun) = &self.begun else { return false };
        let lines = program.steps.get(begun.step).map_or(&[][..], |step| &step.lines);
        let mut messages = lines.iter().enumerate().filter(|(_, line)| matches!(line.asks, Asks::Message { .. }));
        messages.any(|(at, _)| !begun.given.contains(&(at, 0)))
    }

    /// What the walk waits for.
    pub fn now(&self, definition: &Definition) -> Now {
        let program = &definition.program;
        if !self.opened || self.closed.is_some() {
            return Now::Nothing;
        }
        if let Some(stop) = &self.stop {
            return Now::Close { at_stop: stop.clone() };
        }
        let inputs = self.unanswered(definition);
        if !inputs.is_empty() {
            return Now::Answer { inputs };
        }
        let id = |step: usize| program.steps.get(step).map_or_else(String::new, |step| step.id.clone());
        if let Some(begun) = &self.begun {
            let lines = self.open_lines(program);
            return Now::Lines { step: id(begun.step), occasion: begun.occasion, lines };
        }
        if let Some(at) = &self.stuck {
            return Now::Decision { at: at.clone() };
        }
        match program.instructions.get(self.at) {
            Some(Instruction::Step(step)) => Now::Begin { step: id(*step), occasion: self.next_occasion(*step) },
            Some(Instruction::Handover(at)) => {
                let Some(handover) = program.handovers.get(*at) else { return Now::Decision { at: None } };
                let roles = handover.roles.iter().filter(|role| !self.signed.contains(*role)).cloned().collect();
                Now::Sign { handover: handover.id.clone(), roles }
            }
            _ => Now::Decision { at: None },
        }
    }
}
