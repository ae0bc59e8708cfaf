//! Which readings no branch covers, and which two branches share: intervals on the instrument's steps.

use crate::model::{ArmPattern, Choose, ChooseSubject, End, Interval, NumberInput, Procedure};
use crate::quantity::{Exact, Quantity, Written};
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Zero};

/// A bound in base units, and whether it belongs to what it bounds.
type Bound = (Exact, bool);

/// Values from one bound to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Run {
    low: Bound,
    high: Bound,
}

/// The whole range of a number.
fn whole(row: &NumberInput) -> Option<Run> {
    Some(Run { low: (row.low.base()?, true), high: (row.high.base()?, true) })
}

/// The readings of an instrument: multiples of a step from the zero of its scale.
#[derive(Debug, Clone, Copy)]
struct Steps {
    step: Exact,
    zero: Exact,
}

fn step(row: &NumberInput) -> Option<Steps> {
    let step = row.reads.and_then(|reads| reads.step_base()).filter(|step| !step.is_zero())?;
    Some(Steps { step, zero: row.low.unit.offset() })
}

/// Cuts a run to what the instrument can show: on its steps both ends are included.
fn on_steps(run: Run, steps: Option<Steps>) -> Option<Run> {
    let Some(Steps { step, zero }) = steps else {
        let empty = run.low.0 > run.high.0 || (run.low.0 == run.high.0 && !(run.low.1 && run.high.1));
        return (!empty).then_some(run);
    };
    let first = run.low.0.checked_sub(&zero)?.checked_div(&step)?;
    let mut first = (first.ceil(), first.is_integer());
    if first.1 && !run.low.1 {
        first.0 = first.0.checked_add(&Exact::from_integer(1))?;
    }
    let last = run.high.0.checked_sub(&zero)?.checked_div(&step)?;
    let mut last = (last.floor(), last.is_integer());
    if last.1 && !run.high.1 {
        last.0 = last.0.checked_sub(&Exact::from_integer(1))?;
    }
    let reading = |steps: Exact| steps.checked_mul(&step)?.checked_add(&zero);
    let (low, high) = (reading(first.0)?, reading(last.0)?);
    (low <= high).then_some(Run { low: (low, true), high: (high, true) })
}

/// An interval within the range.
fn within(interval: &Interval, whole: Run) -> Run {
    let bound = |end: &Option<End>, own: Bound, inner: fn(Exact, Exact) -> bool| match end {
        Some(end) if inner(end.base, own.0) => (end.base, end.included),
        Some(end) if end.base == own.0 => (end.base, end.included && own.1),
        _ => own,
    };
    Run {
        low: bound(&interval.low, whole.low, |end, own| end > own),
        high: bound(&interval.high, whole.high, |end, own| end < own),
    }
}

/// Whether some value of the number lies in the interval.
pub(super) fn overlaps(row: &NumberInput, interval: &Interval) -> bool {
    whole(row).is_none_or(|whole| on_steps(within(interval, whole), step(row)).is_some())
}

/// What no branch covers, in words.
pub(super) fn missed(procedure: &Procedure, choose: &Choose) -> Vec<String> {
    match choose.subject {
        ChooseSubject::Choice(choice) => {
            let row = &procedure.choices[choice];
            let covered = |value: usize| {
                choose
                    .arms
                    .iter()
                    .any(|arm| matches!(&arm.pattern, ArmPattern::Values(values) if values.contains(&value)))
            };
            let missed = row.values.iter().enumerate().filter(|(value, _)| !covered(*value));
            missed.map(|(_, value)| format!("`{}`", value.id)).collect()
        }
        ChooseSubject::Number(number) => {
            let row = &procedure.numbers[number];
            let Some(whole) = whole(row) else { return Vec::new() };
            let mut arms: Vec<Run> = choose
                .arms
                .iter()
                .filter_map(|arm| match &arm.pattern {
                    ArmPattern::In(interval, _) => on_steps(within(interval, whole), step(row)),
                    _ => None,
                })
                .collect();
            arms.sort_by_key(|run| (run.low.0, !run.low.1));
            let mut gaps = Vec::new();
            // The bound from which on nothing is covered yet.
            let mut from = whole.low;
            for arm in arms {
                let gap = Run { low: from, high: (arm.low.0, !arm.low.1) };
                gaps.extend(on_steps(gap, step(row)));
                let after = (arm.high.0, !arm.high.1);
                if after.0 > from.0 || (after.0 == from.0 && !after.1) {
                    from = after;
                }
            }
            gaps.extend(on_steps(Run { low: from, high: whole.high }, step(row)));
            gaps.iter().map(|run| in_words(run, row)).collect()
        }
    }
}

/// What two patterns share, in words.
pub(super) fn common(procedure: &Procedure, choose: &Choose, a: &ArmPattern, b: &ArmPattern) -> String {
    match (choose.subject, a, b) {
        (ChooseSubject::Number(number), ArmPattern::In(first, _), ArmPattern::In(second, _)) => {
            let row = &procedure.numbers[number];
            let shared = whole(row).and_then(|whole| on_steps(within(second, within(first, whole)), step(row)));
            shared.map(|run| in_words(&run, row)).unwrap_or_default()
        }
        (ChooseSubject::Choice(choice), ArmPattern::Values(first), ArmPattern::Values(second)) => {
            let row = &procedure.choices[choice];
            let shared = first.iter().filter(|value| second.contains(value)).filter_map(|value| row.values.get(*value));
            list(&shared.map(|value| format!("`{}`", value.id)).collect::<Vec<_>>())
        }
        _ => "a value".to_owned(),
    }
}

fn in_words(run: &Run, row: &NumberInput) -> String {
    let unit = row.reads.map_or(row.low.unit, |reads| reads.unit);
    let shown = |base: Exact| {
        Quantity::from_base(base, unit, Written::Decimals(0)).map(|quantity| quantity.to_string()).unwrap_or_default()
    };
    let (low, high) = (shown(run.low.0), shown(run.high.0));
    match (run.low.1, run.high.1) {
        _ if low == high => low,
        (true, true) => format!("{low} to {high}"),
        (false, true) => format!("over {low} to {high}"),
        (true, false) => format!("{low} to below {high}"),
        (false, false) => format!("over {low} to below {high}"),
    }
}

/// `a`, `a and b`, `a, b and c`
pub(super) fn list(items: &[String]) -> String {
    match items {
        [] => "a value".to_owned(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}
