//! The flow of a generated procedure: its bodies, and the steps (*slots*) to which stories bring their lines.

use super::conditions::{RESULT, Scope, Subject, about, cond, patterns, pick, readings, subjects};
use super::sketch::{Course, Decides, NodeSketch, Sketch};

/// A step or check that lines can go to.
#[derive(Debug, Clone, Default)]
pub struct Slot {
    /// The body that it stands in; slots of one body happen together unless they have conditions of their own.
    pub body: usize,
    pub section: usize,
    /// Whether it has a condition of its own.
    pub conditional: bool,
    /// Safety messages, as hazard numbers.
    pub messages: Vec<usize>,
    /// Safety messages that come too late.
    pub late: Vec<usize>,
    /// Protective equipment is put on before the lines, and after them.
    pub worn: (bool, bool),
    pub lines: Vec<SlotLine>,
}

/// A line with the hazards that it brings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SlotLine {
    pub text: String,
    pub brings: Vec<usize>,
}

/// A statement that is laid out.
#[derive(Debug, Clone)]
pub enum Laid {
    Step { slot: usize, when: Option<String> },
    When { cond: String, then: Vec<Laid>, otherwise: Vec<Laid> },
    Choose { subject: &'static str, arms: Vec<(String, Vec<Laid>)> },
    Check { slot: usize, expect: String, repair: Option<(u8, Vec<Laid>)>, goes_on: bool },
    Set { value: &'static str },
    Stop { number: usize },
}

/// A section that is laid out.
#[derive(Debug, Clone)]
pub struct LaidSection {
    pub when: Option<String>,
    pub body: Vec<Laid>,
}

/// The whole flow.
#[derive(Debug, Clone, Default)]
pub struct Plan {
    pub slots: Vec<Slot>,
    pub sections: Vec<LaidSection>,
    bodies: usize,
    stops: usize,
}

impl Plan {
    /// Lays out a sketch's flow; the first step of all stands without a condition.
    pub fn new(sketch: &Sketch) -> Self {
        let mut plan = Plan::default();
        for (index, section) in sketch.sections.iter().enumerate() {
            let body = plan.new_body();
            let mut laid = Vec::new();
            if index == 0 {
                laid.push(Laid::Step { slot: plan.slot(index, body, false), when: None });
                laid.extend(sketch.result.and_then(|decides| decided(sketch, decides)));
            }
            laid.extend(plan.body(sketch, index, body, &section.body));
            let when = section.when.as_ref().filter(|_| index > 0).and_then(|when| cond(sketch, Scope::Job, when));
            plan.sections.push(LaidSection { when, body: laid });
        }
        plan.take_readings(sketch);
        plan
    }

    fn new_body(&mut self) -> usize {
        self.bodies += 1;
        self.bodies
    }

    fn slot(&mut self, section: usize, body: usize, conditional: bool) -> usize {
        self.slots.push(Slot { body, section, conditional, ..Slot::default() });
        self.slots.len() - 1
    }

    fn body(&mut self, sketch: &Sketch, section: usize, body: usize, nodes: &[NodeSketch]) -> Vec<Laid> {
        let mut laid: Vec<Laid> = nodes.iter().filter_map(|node| self.node(sketch, section, body, node)).collect();
        if laid.is_empty() {
            laid.push(Laid::Step { slot: self.slot(section, body, false), when: None });
        }
        laid
    }

    fn inner(&mut self, sketch: &Sketch, section: usize, nodes: &[NodeSketch]) -> Vec<Laid> {
        let body = self.new_body();
        self.body(sketch, section, body, nodes)
    }

    fn node(&mut self, sketch: &Sketch, section: usize, body: usize, node: &NodeSketch) -> Option<Laid> {
        Some(match node {
            NodeSketch::Step { when } => {
                let when = when.as_ref().and_then(|when| cond(sketch, Scope::Job, when));
                Laid::Step { slot: self.slot(section, body, when.is_some()), when }
            }
            NodeSketch::When { cond: said, then, otherwise } => {
                let cond = cond(sketch, Scope::Job, said)?;
                let then = self.inner(sketch, section, then);
                let otherwise = if otherwise.is_empty() { Vec::new() } else { self.inner(sketch, section, otherwise) };
                Laid::When { cond, then, otherwise }
            }
            NodeSketch::Choose { subject, cuts, arms } => {
                let subject = *pick(&subjects(sketch, Scope::Job), *subject)?;
                let patterns = patterns(subject, *cuts).into_iter().zip(arms.iter().cycle());
                let arms = patterns.map(|(pattern, arm)| (pattern, self.inner(sketch, section, arm))).collect();
                Laid::Choose { subject: name_of(subject), arms }
            }
            NodeSketch::Check { expect, rereads, repair, goes_on } => {
                let subject = *pick(&readings(sketch), expect.subject)?;
                let slot = self.slot(section, body, false);
                if *rereads {
                    self.read(slot, name_of(subject));
                }
                let repair = repair.as_ref().map(|(times, body)| (*times, self.inner(sketch, section, body)));
                Laid::Check { slot, expect: about(subject, *expect), repair, goes_on: *goes_on }
            }
            NodeSketch::Set { value } => {
                sketch.result?;
                Laid::Set { value: RESULT.2[usize::from(value % 3)] }
            }
            NodeSketch::Stop => {
                self.stops += 1;
                Laid::Stop { number: self.stops }
            }
        })
    }

    fn read(&mut self, slot: usize, name: &str) {
        if let Some(slot) = self.slots.get_mut(slot) {
            slot.lines.push(SlotLine { text: format!("read {name}"), brings: Vec::new() });
        }
    }

    /// Each reading is taken once, mostly in the first step.
    fn take_readings(&mut self, sketch: &Sketch) {
        for (subject, at) in readings(sketch).into_iter().zip(&sketch.reads) {
            let slot = usize::from(*at) % self.slots.len();
            self.read(slot, name_of(subject));
        }
        let told = subjects(sketch, Scope::Job).into_iter().filter(|s| sketch.tells_all && name_of(*s) != RESULT.0);
        for subject in told {
            self.bring(0, format!("> Write [{}] on the door card.", name_of(subject)), Vec::new());
        }
    }

    /// The slots of a story's events.
    pub fn course(&self, course: &Course, events: usize) -> Vec<usize> {
        let count = self.slots.len();
        let at = |event: usize| usize::from(course.at.get(event).copied().unwrap_or(0));
        let mut slots: Vec<usize> = match course.order {
            0..=5 => {
                let first = at(0) % count;
                let mut last = first;
                let together: Vec<usize> = (0..count)
                    .filter(|slot| self.slots[*slot].body == self.slots[first].body && !self.slots[*slot].conditional)
                    .collect();
                let later =
                    |last: usize| together.iter().copied().filter(move |slot| *slot >= last).collect::<Vec<_>>();
                if self.slots[first].conditional {
                    vec![first; events]
                } else {
                    (0..events)
                        .map(|event| {
                            let free = later(last);
                            last = if event == 0 { first } else { free[at(event) % free.len()] };
                            last
                        })
                        .collect()
                }
            }
            _ => (0..events).map(|event| at(event) % count).collect(),
        };
        if course.order < 9 {
            slots.sort_unstable();
        }
        slots
    }

    /// Brings one line to a slot.
    pub fn bring(&mut self, slot: usize, text: String, brings: Vec<usize>) {
        if let Some(slot) = self.slots.get_mut(slot) {
            slot.lines.push(SlotLine { text, brings });
        }
    }
}

/// The name of a subject.
pub fn name_of(subject: Subject) -> &'static str {
    match subject {
        Subject::Choice(name, _, _) | Subject::Number(name, _) => name,
    }
}

/// A `choose` that sets the result in each arm, or forgets one.
fn decided(sketch: &Sketch, decides: Decides) -> Option<Laid> {
    let all: Vec<Subject> = subjects(sketch, Scope::Job).into_iter().filter(|s| name_of(*s) != RESULT.0).collect();
    let subject = *pick(&all, decides.subject)?;
    let patterns = patterns(subject, decides.cuts);
    let arms = patterns.into_iter().enumerate().map(|(at, pattern)| {
        let forgets = at == usize::from(decides.forgets);
        let body = if forgets { Vec::new() } else { vec![Laid::Set { value: RESULT.2[at % 3] }] };
        (pattern, body)
    });
    Some(Laid::Choose { subject: name_of(subject), arms: arms.collect() })
}
