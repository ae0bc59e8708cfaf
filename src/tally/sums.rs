//! What is added up, record by record.

use std::collections::BTreeMap;

use num_traits::{CheckedAdd, CheckedMul, CheckedSub};

use super::counts::Counts;
use super::lines::{LeftOut, Refused};
use super::lists::{Counting, Lists};
use super::made_up::{Of, Run};
use crate::quantity::Exact;
use crate::record::facts::{Asked, Doing, Given, Reading, TorqueLine};
use crate::record::{Outcome, Verdict};

/// A step that took longer, in seconds, was left lying: what it took is not counted. Our own rule.
pub const LONGEST: i64 = 4 * 3600;
/// A step done in less than this part of the least that it takes was too quick to have been done. Our own rule.
const QUICK: i64 = 10;
/// So many wrenches of a joint, and so many people, are told apart. What comes after counts with all others.
pub const MOST_WRENCHES: usize = 500;
/// So many runs, and so many records that are left out, are listed. The others are counted.
pub const MOST_LISTED: usize = 1000;

/// Records counted together.
#[derive(Debug)]
pub struct Tally {
    pub(super) lists: Vec<Sums>,
    pub(super) records: u64,
    pub(super) refused: BTreeMap<Refused, u64>,
    pub(super) left_out: Vec<LeftOut>,
    pub(super) runs: Vec<(usize, String, Run)>,
    /// By name, where it is asked for.
    pub(super) people: Option<BTreeMap<Option<String>, OfPerson>>,
}

/// The sums of one checklist.
#[derive(Debug)]
pub(super) struct Sums {
    pub records: u64,
    pub outcomes: BTreeMap<&'static str, u64>,
    pub verdicts: BTreeMap<Verdict, u64>,
    /// The days of the first and the last record, as they are written.
    pub days: Option<(String, String)>,
    /// By input.
    pub readings: Vec<OfInput>,
    /// By arm.
    pub arms: Vec<u64>,
    /// By joint.
    pub joints: BTreeMap<String, OfJoint>,
    /// By step.
    pub steps: Vec<OfStep>,
    /// By the id of the stop, with the step before it.
    pub stops: BTreeMap<(String, Option<usize>), u64>,
}

#[derive(Debug)]
pub(super) struct OfInput {
    pub numbers: Counts,
    pub choices: BTreeMap<String, u64>,
}

/// What a wrench is known by: the id of the tool and its own number.
pub(super) type WrenchName = (Option<String>, Option<String>);

#[derive(Debug)]
pub(super) struct OfJoint {
    /// Places of its lines.
    pub lines: Vec<usize>,
    /// By wrench; `None` is all that came when there were too many to be told apart.
    pub wrenches: BTreeMap<Option<WrenchName>, OfWrench>,
}

#[derive(Debug, Clone)]
pub(super) struct OfWrench {
    /// Torques that were read.
    pub read: Counts,
    /// Settings of a wrench that clicked.
    pub set: Counts,
    pub outside: u64,
    pub remedied: u64,
}

#[derive(Debug, Default, Clone)]
pub(super) struct OfStep {
    pub done: u64,
    pub repairs: u64,
    pub went_on: u64,
    pub stops: u64,
    pub corrections: u64,
    pub withdrawals: u64,
    pub runs: u64,
    pub seconds: BTreeMap<i64, u64>,
    /// Times that were not counted: left lying, or by a clock that went backwards.
    pub untimed: u64,
    pub over: u64,
    /// Thousandths of a second beyond what the step takes at most.
    pub over_by: i64,
    pub quick: u64,
}

#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub(super) struct OfPerson {
    pub records: u64,
    pub steps: u64,
    pub entries: u64,
    pub changes: u64,
    pub runs: u64,
}

impl Tally {
    /// Without a record. With `people`, by name too.
    pub fn new(lists: &Lists, people: bool) -> Tally {
        Tally {
            lists: lists.asked.iter().map(Sums::new).collect(),
            records: 0,
            refused: BTreeMap::new(),
            left_out: Vec::new(),
            runs: Vec::new(),
            people: people.then(BTreeMap::new),
        }
    }

    /// How many records are left out.
    pub fn left_out(&self) -> u64 {
        self.refused.values().sum()
    }

    /// How many records count.
    pub fn counted(&self) -> u64 {
        self.records - self.left_out()
    }

    /// Names a record that is left out.
    pub fn leave_out(&mut self, one: LeftOut) {
        self.records += 1;
        *self.refused.entry(one.verdict).or_default() += 1;
        if self.left_out.len() < MOST_LISTED {
            self.left_out.push(one);
        }
    }

    /// Adds a record of that name.
    pub fn add(&mut self, lists: &Lists, name: &str, one: &Counting) {
        self.records += 1;
        let known = self.lists.get_mut(one.list).zip(lists.asked.get(one.list));
        let Some((sums, asked)) = known else { return };
        sums.add(asked, one);
        for run in &one.runs {
            if self.runs.len() < MOST_LISTED {
                self.runs.push((one.list, name.to_owned(), run.clone()));
            }
        }
        if let Some(people) = &mut self.people {
            by_person(people, one);
        }
    }
}

fn by_person(people: &mut BTreeMap<Option<String>, OfPerson>, one: &Counting) {
    let mut own: BTreeMap<&str, OfPerson> = BTreeMap::new();
    for doing in one.facts.doings.iter().filter(|doing| doing.done.is_some()) {
        own.entry(&doing.by).or_default().steps += 1;
    }
    let written =
        one.facts.readings.iter().map(|one| &one.written).chain(one.facts.torques.iter().map(|one| &one.written));
    written.for_each(|written| own.entry(&written.by).or_default().entries += 1);
    one.facts.changes.iter().for_each(|change| own.entry(&change.by).or_default().changes += 1);
    one.runs.iter().for_each(|run| own.entry(&run.by).or_default().runs += 1);
    for (name, of) in own {
        let key = Some(name.to_owned());
        let key = if people.len() < MOST_WRENCHES || people.contains_key(&key) { key } else { None };
        let all = people.entry(key).or_default();
        all.records += 1;
        all.steps += of.steps;
        all.entries += of.entries;
        all.changes += of.changes;
        all.runs += of.runs;
    }
}

impl Sums {
    fn new(asked: &Asked) -> Sums {
        let of_input = |input: &crate::record::facts::Input| {
            let one = Exact::from_integer(1);
            let (low, high) = input.scale.as_ref().map_or((one, one + one), |scale| (scale.low, scale.high));
            OfInput { numbers: Counts::on(low, high), choices: BTreeMap::new() }
        };
        let mut joints: BTreeMap<String, OfJoint> = BTreeMap::new();
        for (at, line) in asked.torques.iter().enumerate() {
            let joint = joints.entry(line.joint.clone());
            joint.or_insert_with(|| OfJoint { lines: Vec::new(), wrenches: BTreeMap::new() }).lines.push(at);
        }
        Sums {
            records: 0,
            outcomes: BTreeMap::new(),
            verdicts: BTreeMap::new(),
            days: None,
            readings: asked.inputs.iter().map(of_input).collect(),
            arms: vec![0; asked.arms.len()],
            joints,
            steps: vec![OfStep::default(); asked.steps.len()],
            stops: BTreeMap::new(),
        }
    }

    fn add(&mut self, asked: &Asked, one: &Counting) {
        let facts = &one.facts;
        self.records += 1;
        *self.outcomes.entry(outcome(one.outcome)).or_default() += 1;
        one.verdicts.iter().for_each(|verdict| *self.verdicts.entry(*verdict).or_default() += 1);
        self.day(facts.opened.get(..10).unwrap_or_default());
        facts.readings.iter().for_each(|reading| self.reading(reading));
        for arm in &facts.arms {
            self.arms.get_mut(*arm).into_iter().for_each(|count| *count += 1);
        }
        for torque in &facts.torques {
            let Some(line) = asked.torques.get(torque.of) else { continue };
            let name = (torque.tool.clone(), torque.instrument.as_ref().map(|mark| mark.trim().to_owned()));
            if let Some(wrench) = self.joints.get_mut(&line.joint).map(|joint| joint.wrench(name, line)) {
                if torque.clicked { &mut wrench.set } else { &mut wrench.read }.add(torque.value, 1);
                wrench.outside += u64::from(!torque.within);
                wrench.remedied += u64::from(torque.remedied);
            }
        }
        for doing in facts.doings.iter().filter(|doing| doing.done.is_some()) {
            if let Some((sums, step)) = self.steps.get_mut(doing.step).zip(asked.steps.get(doing.step)) {
                sums.time(step, doing);
            }
        }
        let steps = &mut self.steps;
        let mut each = |step: usize, what: fn(&mut OfStep) -> &mut u64| {
            steps.get_mut(step).into_iter().for_each(|step| *what(step) += 1);
        };
        facts.repairs.iter().for_each(|step| each(*step, |of| &mut of.repairs));
        facts.went_on.iter().for_each(|step| each(*step, |of| &mut of.went_on));
        one.runs.iter().for_each(|run| each(run.step, |of| &mut of.runs));
        for change in &facts.changes {
            let Some(step) = change.step else { continue };
            if change.withdrawn {
                each(step, |of| &mut of.withdrawals);
            } else {
                each(step, |of| &mut of.corrections);
            }
        }
        if let Some(stop) = facts.stop.clone().filter(|_| one.outcome == Outcome::Stopped) {
            stop.1.into_iter().for_each(|step| each(step, |of| &mut of.stops));
            *self.stops.entry(stop).or_default() += 1;
        }
    }

    fn day(&mut self, day: &str) {
        let (first, last) = self.days.get_or_insert_with(|| (day.to_owned(), day.to_owned()));
        if day < first.as_str() {
            *first = day.to_owned();
        }
        if day > last.as_str() {
            *last = day.to_owned();
        }
    }

    fn reading(&mut self, reading: &Reading) {
        let Some(of) = self.readings.get_mut(reading.input) else { return };
        match &reading.value {
            Given::Choice(choice) => *of.choices.entry(choice.clone()).or_default() += 1,
            Given::Number(number) => of.numbers.add(*number, 1),
        }
    }
}

fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Open => "open",
        Outcome::HandedOver => "handed-over",
        Outcome::Stopped => "stopped",
        Outcome::BrokenOff => "broken-off",
    }
}

impl OfJoint {
    fn wrench(&mut self, name: WrenchName, line: &TorqueLine) -> &mut OfWrench {
        let key = Some(name);
        let key = if self.wrenches.len() < MOST_WRENCHES || self.wrenches.contains_key(&key) { key } else { None };
        self.wrenches.entry(key).or_insert_with(|| OfWrench::of(line))
    }
}

impl OfWrench {
    pub fn of(line: &TorqueLine) -> OfWrench {
        // The grid of the bins is the tolerance, and as much on each side of it.
        let zero = Exact::from_integer(0);
        let (low, high) = match (line.low.map(|(end, _)| end), line.high.map(|(end, _)| end)) {
            (Some(low), Some(high)) if low < high => {
                let wide = high.checked_sub(&low);
                wide.and_then(|wide| low.checked_sub(&wide).zip(high.checked_add(&wide)))
            }
            (Some(end), _) | (None, Some(end)) if end > zero => end.checked_add(&end).map(|twice| (zero, twice)),
            _ => None,
        }
        .unwrap_or((zero, Exact::from_integer(1)));
        OfWrench { read: Counts::on(low, high), set: Counts::on(low, high), outside: 0, remedied: 0 }
    }

    pub fn add_all(&mut self, other: &OfWrench) {
        self.read.add_all(&other.read);
        self.set.add_all(&other.set);
        self.outside += other.outside;
        self.remedied += other.remedied;
    }
}

impl OfStep {
    fn time(&mut self, step: &crate::record::facts::Step, doing: &Doing) {
        self.done += 1;
        let took = doing.done.unwrap_or_default().saturating_sub(doing.begun);
        if !(0..=LONGEST * 1000).contains(&took) {
            self.untimed += 1;
            return;
        }
        *self.seconds.entry(took / 1000).or_default() += 1;
        let thousandths = |seconds: Exact| seconds.checked_mul(&Exact::from_integer(1000));
        let exact = Exact::from_integer(i128::from(took));
        if let Some(most) = step.takes_high.and_then(thousandths).filter(|most| exact > *most) {
            self.over += 1;
            let by = took.saturating_sub(i64::try_from(most.to_integer()).unwrap_or(took));
            self.over_by = self.over_by.saturating_add(by);
        }
        let least = step.takes_low.and_then(thousandths);
        let part = Exact::from_integer(i128::from(took.saturating_mul(QUICK)));
        self.quick += u64::from(least.is_some_and(|least| part < least));
    }
}

/// Of runs: what they are of, for those who print them.
pub(super) fn title_of(asked: &Asked, of: Of) -> &str {
    match of {
        Of::Input(at) => asked.inputs.get(at).map_or("", |input| &input.title),
        Of::Torques(at) => asked.torques.get(at).map_or("", |line| &line.title),
    }
}
