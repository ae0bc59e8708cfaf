//! What a checklist asks for and what a record answers, as data: for those who put many records together. Nothing is replayed
//! here; all of it is what [`judge_among`](super::judge_among) found.

use std::collections::BTreeMap;

use num_traits::Zero;

use super::conditions::{Condition, Expression, Interval};
use super::content::{BoundText, InputText, Relation};
use super::definition::Definition;
use super::event::{Value, What};
use super::job::{Slot, State};
use super::judge::Judgement;
use super::numbers::{self, Unit};
use super::program::Asks;
use super::time::{self, Moment};
use super::walk::Turn;
use crate::quantity::Exact;

/// An end of an interval in base units, and whether it belongs to it.
pub type End = Option<(Exact, bool)>;

/// What a checklist asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// The inputs, in their order.
    pub inputs: Vec<Input>,
    /// The arms of all branches, in the order of the flow.
    pub arms: Vec<Arm>,
    /// Each line that writes down torques.
    pub torques: Vec<TorqueLine>,
    /// The steps, in the order of the flow.
    pub steps: Vec<Step>,
    /// What is told at each stop and broken limit, by its id.
    pub stops: BTreeMap<String, String>,
}

/// An input.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Id and label of each value; none of a number.
    pub values: Vec<(String, String)>,
    /// The scale of a number.
    pub scale: Option<Scale>,
    /// Intervals of the scale that an arm or a check asks for.
    pub criteria: Vec<Criterion>,
    /// Whether the flow sets it: nobody answers it.
    pub is_result: bool,
}

/// The scale of a number.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// UCUM code of the unit in which it is shown.
    pub code: String,
    /// That unit.
    pub unit: Unit,
    /// Its lower end, in base units.
    pub low: Exact,
    /// Its upper end, in base units.
    pub high: Exact,
    /// The smallest reading, in base units, and more than zero.
    pub reads: Option<Exact>,
}

/// What an arm or a check asks of one number.
#[derive(Debug, Clone, PartialEq)]
pub struct Criterion {
    /// In words: `46 to 70 mm`.
    pub words: String,
    /// Id of the branch, or of the check's step.
    pub of: String,
    /// Whether it is an arm's.
    pub is_arm: bool,
    /// Lower end.
    pub low: End,
    /// Upper end.
    pub high: End,
}

/// An arm of a branch.
#[derive(Debug, Clone, PartialEq)]
pub struct Arm {
    /// Id of the branch.
    pub choose: String,
    /// Place of the input that decides.
    pub input: usize,
    /// What it covers; empty where the file does not say so.
    pub words: String,
    /// Whether it takes what no other does.
    pub is_rest: bool,
}

/// A line that writes down the torques of a joint.
#[derive(Debug, Clone, PartialEq)]
pub struct TorqueLine {
    /// Its id.
    pub line: String,
    /// Place of the step.
    pub step: usize,
    /// Id of the joint.
    pub joint: String,
    /// Its title.
    pub title: String,
    /// The torque in print.
    pub shown: String,
    /// Lower limit.
    pub low: End,
    /// Upper limit.
    pub high: End,
    /// UCUM code and unit in which it is shown; none where the joint states no limit.
    pub unit: Option<(String, Unit)>,
}

/// A step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Its id.
    pub id: String,
    /// Its number.
    pub number: String,
    /// Its title.
    pub title: String,
    /// How long it takes at least, in seconds.
    pub takes_low: Option<Exact>,
    /// How long at most.
    pub takes_high: Option<Exact>,
}

/// What a record says, of what counts in it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Facts {
    /// When it was opened, as written.
    pub opened: String,
    /// Answers and readings, in order.
    pub readings: Vec<Reading>,
    /// Torques, in order.
    pub torques: Vec<Torque>,
    /// Steps that were begun, in order.
    pub doings: Vec<Doing>,
    /// The arms that were taken, by their places; more than once where the walk came by more than once.
    pub arms: Vec<usize>,
    /// The steps of checks whose repairs were done, once for each.
    pub repairs: Vec<usize>,
    /// The steps of checks that were passed over though they failed.
    pub went_on: Vec<usize>,
    /// The stop or limit at which the job ended, and the step before it.
    pub stop: Option<(String, Option<usize>)>,
    /// Corrections and withdrawals.
    pub changes: Vec<Change>,
}

/// When, by whom and in which line an entry was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The line of the record, from 1.
    pub line: u32,
    /// When, in thousandths of a second since the beginning of 1970 in UTC.
    pub at: i64,
    /// By whom.
    pub by: String,
    /// Which of the record's doings it belongs to.
    pub doing: Option<usize>,
}

/// The value of an answer or reading.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Given {
    /// Id of a value.
    Choice(String),
    /// A number in base units.
    Number(Exact),
}

/// An answer or a reading with the value in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reading {
    /// Place of the input.
    pub input: usize,
    /// Its value.
    pub value: Given,
    /// When and where.
    pub written: Written,
}

/// A torque with the value in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Torque {
    /// Place among [`Asked::torques`].
    pub of: usize,
    /// In base units.
    pub value: Exact,
    /// Whether it lies within the limits.
    pub within: bool,
    /// Whether the wrench clicked: then it is what it was set to.
    pub clicked: bool,
    /// Whether it was kept with its remedy, and done anew.
    pub remedied: bool,
    /// Id of the tool.
    pub tool: Option<String>,
    /// The tool's number or calibration mark.
    pub instrument: Option<String>,
    /// When and where.
    pub written: Written,
}

/// One doing of one step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doing {
    /// Place of the step.
    pub step: usize,
    /// The line of its begin, from 1.
    pub line: u32,
    /// When it was begun, in thousandths of a second as above.
    pub begun: i64,
    /// When it was done.
    pub done: Option<i64>,
    /// By whom it was done, or begun where it was not.
    pub by: String,
}

/// A correction or a withdrawal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The step to which the changed event belongs; none before the job and at the handover.
    pub step: Option<usize>,
    /// Whether the event was taken back rather than given another value.
    pub withdrawn: bool,
    /// By whom.
    pub by: String,
}

/// What a checklist asks for.
pub fn asked(definition: &Definition) -> Asked {
    let program = &definition.program;
    let step = |step: &super::program::Step| Step {
        id: step.id.clone(),
        number: step.number.clone(),
        title: step.title.clone(),
        takes_low: step.takes.low.map(|(end, _)| end),
        takes_high: step.takes.high.map(|(end, _)| end),
    };
    let arm = |arm: &super::program::Arm| Arm {
        choose: arm.choose.clone(),
        input: arm.input,
        words: arm.words.clone(),
        is_rest: arm.gate.is_none(),
    };
    Asked {
        inputs: definition.inputs.iter().enumerate().map(|(at, input)| self::input(definition, at, input)).collect(),
        arms: program.arms.iter().map(arm).collect(),
        torques: torque_lines(definition),
        steps: program.steps.iter().map(step).collect(),
        stops: program.stops.clone(),
    }
}

fn input(definition: &Definition, at: usize, text: &InputText) -> Input {
    let (values, scale) = match text {
        InputText::Option(choice) | InputText::Observe(choice) | InputText::Result(choice) => {
            (choice.values.iter().map(|one| (one.id.clone(), one.label.clone())).collect(), None)
        }
        InputText::Given(number) | InputText::Measure(number) => {
            let unit = definition.units.get(&number.low.unit);
            let reads = number.reads.as_ref().and_then(|reads| {
                definition
                    .units
                    .get(&reads.unit)?
                    .span(numbers::parse(&reads.value)?)
                    .filter(|step| *step > Exact::zero())
            });
            let ends = definition.base(&number.low).zip(definition.base(&number.high));
            let scale = unit.zip(ends).map(|(unit, (low, high))| Scale {
                code: number.low.unit.clone(),
                unit: unit.clone(),
                low,
                high,
                reads,
            });
            (Vec::new(), scale)
        }
    };
    Input {
        id: text.id().to_owned(),
        title: text.title().to_owned(),
        values,
        scale,
        criteria: criteria(definition, at),
        is_result: matches!(text, InputText::Result(_)),
    }
}

/// The intervals of one number's scale that arms and checks ask for.
fn criteria(definition: &Definition, input: usize) -> Vec<Criterion> {
    let program = &definition.program;
    let mut found = Vec::new();
    for arm in program.arms.iter().filter(|arm| arm.input == input) {
        let gate = arm.gate.and_then(|gate| program.instructions.get(gate));
        if let Some(super::program::Instruction::Unless { condition, .. }) = gate {
            for (low, high) in intervals(condition, input) {
                let (words, of) = (arm.words.clone(), arm.choose.clone());
                found.push(Criterion { words, of, is_arm: true, low, high });
            }
        }
    }
    for (step, expects) in &definition.criteria.checks {
        for one in expects {
            for (low, high) in intervals(&one.condition, input) {
                found.push(Criterion { words: one.short.clone(), of: step.clone(), is_arm: false, low, high });
            }
        }
    }
    found
}

/// The intervals that a condition asks for of one input. What stands in a `not`, or beside other inputs, asks for none.
fn intervals(condition: &Condition, input: usize) -> Vec<(End, End)> {
    match condition {
        Condition::In(of, Interval { low, high }) if *of == input => vec![(*low, *high)],
        Condition::All(parts) | Condition::Any(parts) => parts.iter().flat_map(|part| intervals(part, input)).collect(),
        Condition::Compare(Expression::Input(of), relation, Expression::Constant(end)) if *of == input => {
            vec![match relation {
                Relation::AtMost => (None, Some((*end, true))),
                Relation::Below => (None, Some((*end, false))),
                Relation::AtLeast => (Some((*end, true)), None),
                Relation::Over => (Some((*end, false)), None),
                Relation::Equal => (Some((*end, true)), Some((*end, true))),
            }]
        }
        _ => Vec::new(),
    }
}

fn torque_lines(definition: &Definition) -> Vec<TorqueLine> {
    let mut found = Vec::new();
    for (step, of) in definition.program.steps.iter().enumerate() {
        for line in &of.lines {
            let Asks::Torque { joint, within, .. } = &line.asks else { continue };
            let text = definition.joints.iter().find(|one| one.id == *joint);
            let torque = text.and_then(|text| text.torque.as_ref());
            let code = torque.and_then(|torque| torque.low.as_ref().or(torque.high.as_ref()));
            let unit = |bound: &BoundText| Some((bound.unit.clone(), definition.units.get(&bound.unit)?.clone()));
            found.push(TorqueLine {
                line: line.id.clone(),
                step,
                joint: joint.clone(),
                title: text.map_or_else(|| joint.clone(), |text| text.title.clone()),
                shown: torque.map_or_else(String::new, |torque| torque.shown.clone()),
                low: within.low,
                high: within.high,
                unit: code.and_then(unit),
            });
        }
    }
    found
}

/// What a record says: of a judgement by that very checklist, of which `asked` was made.
pub fn facts(definition: &Definition, asked: &Asked, judgement: &Judgement) -> Facts {
    let mut facts = Facts::default();
    let program = &definition.program;
    let place = |id: &str| program.steps.iter().position(|step| step.id == id);
    facts.opened = judgement.slots.first().map_or_else(String::new, |slot| slot.event.at.clone());
    for (at, slot) in judgement.slots.iter().enumerate().filter(|(_, slot)| slot.state == State::Counts) {
        let line = super::replay::line_of(at);
        let moment = time::moment(&slot.event.at).map_or(0, thousandths);
        match &slot.event.what {
            What::Begin { step, .. } => {
                let Some(step) = place(step) else { continue };
                facts.doings.push(Doing { step, line, begun: moment, done: None, by: slot.event.by.clone() });
            }
            What::Done { .. } => {
                if let Some(doing) = facts.doings.last_mut() {
                    doing.done = Some(moment);
                    doing.by.clone_from(&slot.event.by);
                }
            }
            What::Correct { event, .. } => facts.changes.push(change(definition, judgement, slot, *event, false)),
            What::Withdraw { event, .. } => facts.changes.push(change(definition, judgement, slot, *event, true)),
            what => {
                let doing = match what {
                    What::Answer { .. } => None,
                    _ => facts.doings.len().checked_sub(1),
                };
                let written = Written { line, at: moment, by: slot.event.by.clone(), doing };
                entry(definition, asked, slot, written, &mut facts);
            }
        }
    }
    for turn in &judgement.turns {
        match turn {
            Turn::Arm(arm) => facts.arms.push(*arm),
            Turn::Repair(step) => facts.repairs.extend(place(step)),
            Turn::WentOn(step) => facts.went_on.push(*step),
        }
    }
    let last = facts.doings.last().map(|doing| doing.step);
    facts.stop = judgement.stop.clone().map(|stop| (stop, last));
    facts
}

fn thousandths((seconds, billionths): Moment) -> i64 {
    seconds.saturating_mul(1000).saturating_add(i64::from(billionths / 1_000_000))
}

/// An answer, a reading or a torque.
fn entry(definition: &Definition, asked: &Asked, slot: &Slot, written: Written, facts: &mut Facts) {
    match (&slot.event.what, &slot.value) {
        (What::Answer { input, .. } | What::Reading { input, .. }, Some(value)) => {
            let value = match value {
                Value::Choice(choice) => Some(Given::Choice(choice.clone())),
                Value::Amount(amount) => definition.base(amount).map(Given::Number),
                Value::Text(_) => None,
            };
            if let Some((input, value)) = definition.input(input).zip(value) {
                facts.readings.push(Reading { input, value, written });
            }
        }
        (What::Torque { line, clicked, remedy, tool, instrument, .. }, Some(Value::Amount(amount))) => {
            let of = asked.torques.iter().position(|one| one.line == *line);
            let Some((of, value)) = of.zip(definition.base(amount)) else { return };
            let limits = asked.torques.get(of).map(|of| Interval { low: of.low, high: of.high }).unwrap_or_default();
            facts.torques.push(Torque {
                of,
                value,
                within: limits.contains(value),
                clicked: *clicked == Some(true),
                remedied: remedy.is_some(),
                tool: tool.clone(),
                instrument: instrument.clone(),
                written,
            });
        }
        _ => {}
    }
}

fn change(definition: &Definition, judgement: &Judgement, slot: &Slot, event: u64, withdrawn: bool) -> Change {
    let program = &definition.program;
    let at = usize::try_from(event).ok().and_then(|event| event.checked_sub(1));
    let step = match at.and_then(|at| judgement.slots.get(at)).map(|slot| &slot.event.what) {
        Some(What::Begin { step, .. } | What::Done { step, .. }) => {
            program.steps.iter().position(|one| one.id == *step)
        }
        Some(
            What::Acknowledge { line }
            | What::Reading { line, .. }
            | What::Torque { line, .. }
            | What::Text { line, .. }
            | What::Photo { line, .. }
            | What::LeaveOut { line, .. },
        ) => program.lines.get(line).map(|(step, _)| *step),
        _ => None,
    };
    Change { step, withdrawn, by: slot.event.by.clone() }
}
