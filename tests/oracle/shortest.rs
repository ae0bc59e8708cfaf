//! Whether a case is as short as its fault allows: see [`lengths`].
//!
//! The measure is the printed case and nothing else. A run *fits* it where each input that it names has its value on the
//! occasion that it names, if the run takes the reading on that occasion at all.

use std::collections::BTreeSet;

use fitwright::diagnostics::{Case, Code};
use fitwright::model::{Id, NumberId, PartId, Procedure, Reading, StepId};
use fitwright::quantity::{Exact, Unit};
use fitwright::source::Span;
use num_traits::{Signed, Zero};

use super::answers::Answers;
use super::replay::{Named, Value, every_completion, read_case, touches};
use super::trace::{Fault, Subject, Walk};

/// Numbers of at most so many digits are tried in place of a longer one.
const DIGITS_TRIED: u32 = 2;

/// By what a walk shows the fault of a finding.
#[derive(Debug, Clone, Copy)]
pub struct Shown<'a> {
    pub codes: &'a [Code],
    pub places: &'a [Span],
    /// Whether it shows only where it happens, and not at what else a fault is about.
    pub there_only: bool,
    /// What it speaks of: at one stop, a part that is off and a joint that is loose are two faults. Empty where any will do.
    pub subjects: &'a [Subject],
    /// A part, and how many of it the finding says are taken and short.
    pub short: Option<Short>,
}

/// What a finding says of a part that runs out.
///
/// **Decision.** A case of a count tells how many are taken and how many supplied. An input without which as many are short, but
/// by other numbers, plays a part: without it what is told would not be so.
#[derive(Debug, Clone, Copy)]
pub struct Short {
    pub part: PartId,
    pub short: i64,
    /// How many are taken, where that is said of the whole job.
    pub taken: Option<i64>,
}

/// Where in a walk a fault shows: after so many steps and so many repairs.
type Moment = (usize, usize);

impl Shown<'_> {
    fn is(&self, fault: &Fault) -> bool {
        let there = |span: &Span| self.places.iter().any(|place| touches(*place, *span));
        let mut subjects = std::iter::once(&fault.subject).chain(&fault.or);
        let same = self.subjects.is_empty() || subjects.any(|subject| self.subjects.contains(subject));
        let also = !self.there_only && fault.also.iter().any(there);
        same && self.codes.contains(&fault.code) && (there(&fault.at) || also)
    }

    /// The moments at which it shows; where `certain`, those beyond doubt.
    fn moments(&self, walk: &Walk, certain: bool) -> Vec<Moment> {
        if let Some(Short { part, short, taken }) = self.short {
            let row = walk.parts[part.index()];
            let (over, all, or) = match certain {
                true => (row.over_certain(), row.taken_certain, row.taken_or_certain),
                false => (row.over(), row.taken, row.taken_or),
            };
            // Of parts that stand for one another, what names this one alone may count.
            let as_many = |told: i64| i64::from(all) == told || i64::from(all - or) == told;
            let is_short = over >= short && taken.is_none_or(as_many);
            let repairs = walk.repairs_when_short(part.index(), short, certain);
            return is_short.then_some((walk.steps.len(), repairs)).into_iter().collect();
        }
        let shown = walk.faults.iter().filter(|fault: &&Fault| self.is(fault));
        let shown = shown.filter(|fault| fault.certain || !certain);
        shown.map(|fault| (fault.after_steps, fault.after_repairs)).collect()
    }

    /// The fewest repairs after which any job shows it.
    fn fewest_repairs(&self, answers: &Answers) -> Option<usize> {
        if let Some(Short { part, short, .. }) = self.short {
            let balance = answers.part(part);
            return (balance.worst_certain == short).then_some(balance.worst_after);
        }
        let seen = answers.faults.values().filter(|seen| self.is(&seen.fault));
        seen.filter_map(|seen| seen.fewest_repairs).min()
    }
}

/// A step passed, how often it had been before, and how many repairs had begun.
type Passed = (StepId, usize, usize);

/// What all runs that fit a case have in common.
struct Common {
    /// Steps that all pass, after as many repairs, before the fault shows for the first time; and those that all pass,
    /// whatever the repairs, before it shows for the last.
    first: Option<BTreeSet<Passed>>,
    last: Option<BTreeSet<Passed>>,
    repairs: Option<usize>,
}

impl Common {
    fn add(&mut self, walk: &Walk, moments: &[Moment]) {
        let until = |moment: Option<&Moment>| -> BTreeSet<Passed> {
            let count = moment.map_or(0, |(steps, _)| *steps);
            let passed = walk.steps.iter().zip(&walk.repairs_before).enumerate().take(count);
            let time = |at: usize, step: StepId| walk.steps.iter().take(at).filter(|other| **other == step).count();
            passed.map(|(at, (step, repairs))| (*step, time(at, *step), *repairs)).collect()
        };
        let last = until(moments.iter().max()).into_iter().map(|(step, time, _)| (step, time, 0)).collect();
        for (common, steps) in [(&mut self.first, until(moments.iter().min())), (&mut self.last, last)] {
            *common = Some(match common.take() {
                None => steps,
                Some(before) => &before & &steps,
            });
        }
        let repairs = moments.iter().map(|(_, repairs)| *repairs).min();
        self.repairs = [self.repairs, repairs].into_iter().flatten().min();
    }
}

/// What is longer in a printed case than the fault needs. Where there are too many runs to try, nothing is said.
///
/// 1. No run that shows the fault has fewer repairs before it than some run that fits the case.
/// 2. Each input plays a part: some allowed run that fits the others does not show the fault, or not beyond doubt. Where
///    an earlier fault leaves open how the job goes on, nobody can say what follows.
/// 3. Each step is passed in all runs that fit, and all such steps are told.
/// 4. No number with fewer digits, in the unit of its range, would do in the place of one of the numbers with as few repairs.
pub fn lengths(procedure: &Procedure, answers: &Answers, case: &Case, shown: &Shown<'_>) -> Vec<String> {
    let Ok(named) = read_case(procedure, case) else { return Vec::new() };
    let mut found = Vec::new();
    let mut common = Common { first: None, last: None, repairs: None };
    let all = every_completion(procedure, &named, &mut |walk| {
        let moments = shown.moments(walk, false);
        if moments.is_empty() {
            return true;
        }
        common.add(walk, &moments);
        false
    });
    // That it shows in all of them is what `replay` is for.
    if all == Some(true) {
        if let (Some(fewest), Some(repairs)) = (shown.fewest_repairs(answers), common.repairs)
            && repairs > fewest
        {
            found.push(format!("needless repairs: {repairs} for {fewest}"));
        }
        found.extend(steps(procedure, case, shown, &common));
    }
    // Which of the uses within a condition comes first is not told apart here.
    let told_apart = !shown.codes.iter().any(|code| matches!(code, Code::FW0406 | Code::FW0411));
    for key in named.keys().filter(|_| told_apart) {
        let mut fewer = named.clone();
        fewer.remove(key);
        if always_shows(procedure, &fewer, shown) {
            found.push(format!("needless input: {} ({})", name(procedure, key.0), key.1));
        }
    }
    found.extend(named.iter().filter_map(|(key, value)| match (key.0, value) {
        (Reading::Number(number), Value::Number(base)) => shorter_number(procedure, number, *base, &mut |tried| {
            let mut other: Named = named.clone();
            other.insert(*key, Value::Number(tried));
            // A shorter number that takes more repairs is no better: they come first.
            always_shows(procedure, &other, shown) && repairs_of(procedure, &other, shown) <= common.repairs
        }),
        _ => None,
    }));
    found
}

fn name(procedure: &Procedure, input: Reading) -> &str {
    match input {
        Reading::Choice(choice) => &procedure.choices[choice].name.id,
        Reading::Number(number) => &procedure.numbers[number].name.id,
    }
}

/// Whether the fault shows in every allowed run that fits, and there is one.
fn always_shows(procedure: &Procedure, named: &Named, shown: &Shown<'_>) -> bool {
    let mut any = false;
    let all = every_completion(procedure, named, &mut |walk| {
        any = true;
        shown.moments(walk, true).is_empty()
    });
    any && all == Some(true)
}

/// The fewest repairs after which a run that fits shows the fault.
fn repairs_of(procedure: &Procedure, named: &Named, shown: &Shown<'_>) -> Option<usize> {
    let mut fewest: Option<usize> = None;
    every_completion(procedure, named, &mut |walk| {
        let repairs = shown.moments(walk, false).into_iter().map(|(_, repairs)| repairs).min();
        fewest = [fewest, repairs].into_iter().flatten().min();
        false
    });
    fewest
}

fn steps(procedure: &Procedure, case: &Case, shown: &Shown<'_>, common: &Common) -> Vec<String> {
    let times = |steps: &BTreeSet<Passed>, name: &str| {
        steps.iter().filter(|(step, ..)| procedure.steps[*step].name.id == name).count()
    };
    let mut found = Vec::new();
    for row in procedure.steps.rows() {
        let name = row.name.id.as_str();
        let told = case.steps.iter().filter(|step| step.name == name).count();
        if common.last.as_ref().is_some_and(|steps| told > times(steps, name)) {
            found.push(format!("needless step: {name}"));
        }
        // Of what is short, the case ends where the supply does.
        let to_the_end = shown.short.is_none();
        if to_the_end && common.first.as_ref().is_some_and(|steps| told < times(steps, name)) {
            found.push(format!("missing step: {name}"));
        }
    }
    found
}

/// How many digits a number has from the first that is not 0 to the last; `None` where they never end.
pub fn digits(value: Exact) -> Option<u32> {
    let ten = Exact::from_integer(10);
    let mut whole = value.abs();
    for _ in 0..30 {
        if whole.is_integer() {
            let mut digits = whole.to_integer();
            while digits != 0 && digits % 10 == 0 {
                digits /= 10;
            }
            return Some(digits.to_string().len() as u32);
        }
        whole *= ten;
    }
    None
}

/// Says so where a number with fewer digits would do.
fn shorter_number(
    procedure: &Procedure,
    number: NumberId,
    base: Exact,
    does: &mut dyn FnMut(Exact) -> bool,
) -> Option<String> {
    let row = &procedure.numbers[number];
    let unit: Unit = row.low.unit;
    let value = base / unit.factor();
    let least = digits(value).unwrap_or(u32::MAX);
    let step = row.reads.as_ref().map(|reads| reads.value * reads.unit.factor());
    let (low, high) = (row.low.value, row.high.value * row.high.unit.factor() / unit.factor());
    for count in 1..least.min(DIGITS_TRIED + 1) {
        let mut size = Exact::new(1, 1_000);
        while size <= Exact::from_integer(1_000) {
            let mut tried = (low / size).ceil() * size;
            while tried <= high {
                let on_steps = step.is_none_or(|step| (tried * unit.factor() / step).is_integer());
                if on_steps && !tried.is_zero() && digits(tried) == Some(count) && does(tried * unit.factor()) {
                    return Some(format!("needless digits: {value} for {tried} of {}", row.name.id));
                }
                tried += size;
                // Numbers of so few digits are multiples of a size that is not far below them.
                if tried > size * Exact::from_integer(100) {
                    break;
                }
            }
            size *= Exact::from_integer(10);
        }
    }
    None
}
