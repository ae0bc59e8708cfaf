//! Whether numbers exist that satisfy linear comparisons: exact, with strictness, and on a grid where one is read.
//!
//! Variables are eliminated one after another (Fourier–Motzkin: from `x >= a` and `x <= b` follows `a <= b`), the one
//! that leaves the fewest comparisons first, and of comparisons that differ only in their bound the tightest is kept;
//! where nothing contradicts, values are chosen backwards. Where a reading has no multiple of its step in the interval
//! that is left, the interval is split around it. All is bounded; beyond it the answer is [`Outcome::Unknown`].

use std::collections::BTreeMap;

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Signed, Zero};

use super::cells::{Cell, round_within};
use super::linear::{AtMost, Outcome, Read};
use crate::quantity::Exact;

/// The most comparisons that elimination may come to, and the most splits.
const MOST_COMPARISONS: usize = 2_000;
const MOST_SPLITS: usize = 200;
/// Values of the variables `0..reads.len()` that satisfy all comparisons.
pub(super) fn eliminate(comparisons: &[AtMost], reads: &[Read]) -> Outcome {
    let mut open = vec![comparisons.to_vec()];
    let mut splits = 0;
    while let Some(mut given) = open.pop() {
        match attempt(&given, reads) {
            None => return Outcome::Unknown,
            Some(Attempt::Nothing) => {}
            Some(Attempt::Values(values)) => return Outcome::Values(values),
            Some(Attempt::Between { variable, below, above }) => {
                splits += 1;
                if splits > MOST_SPLITS {
                    return Outcome::Unknown;
                }
                let one = Exact::from_integer(1);
                let mut upper = given.clone();
                upper.push(AtMost { terms: vec![(variable, -one)], bound: -above, strict: false });
                given.push(AtMost { terms: vec![(variable, one)], bound: below, strict: false });
                open.push(upper);
                open.push(given);
            }
        }
    }
    Outcome::Nothing
}

enum Attempt {
    Values(Vec<Exact>),
    Nothing,
    /// No reading lies strictly between these two, and the variable was left there.
    Between {
        variable: usize,
        below: Exact,
        above: Exact,
    },
}

/// One elimination and the choice of values. `None`: beyond the bounds.
fn attempt(comparisons: &[AtMost], reads: &[Read]) -> Option<Attempt> {
    let mut current = tightest(comparisons.to_vec())?;
    let mut left: Vec<usize> = (0..reads.len()).collect();
    let mut kept: Vec<(usize, Vec<AtMost>)> = Vec::with_capacity(reads.len());
    while let Some(next) = cheapest(&left, &current) {
        let variable = left.remove(next);
        let (with, without): (Vec<_>, Vec<_>) =
            current.into_iter().partition(|c| c.terms.iter().any(|(v, _)| *v == variable));
        current = without;
        let (upper, lower): (Vec<_>, Vec<_>) = with.iter().partition(|c| factor_of(c, variable).is_positive());
        for high in &upper {
            for low in &lower {
                current.push(joined(high, low, variable)?);
            }
        }
        current = tightest(current)?;
        if current.len() > MOST_COMPARISONS {
            return None;
        }
        kept.push((variable, with));
    }
    let contradicted = current.iter().any(|c| c.bound.is_negative() || (c.strict && c.bound.is_zero()));
    if contradicted {
        return Some(Attempt::Nothing);
    }
    let mut values: Vec<Exact> = reads.iter().map(|read| read.usual).collect();
    for (variable, about) in kept.into_iter().rev() {
        let read = reads.get(variable)?;
        let cell = interval_of(&about, variable, &values)?;
        if cell.contains(read.usual) {
            continue;
        }
        let value = round_within(&cell, read.grid, read.unit);
        match read.grid {
            Some(grid) if !(cell.contains(value) && grid.has(value)) => {
                let below = grid.at_or_below(cell.low)?;
                let above = below.checked_add(&grid.step)?;
                match [below, above].into_iter().find(|value| cell.contains(*value)) {
                    Some(value) => *values.get_mut(variable)? = value,
                    None => return Some(Attempt::Between { variable, below, above }),
                }
            }
            _ => *values.get_mut(variable)? = value,
        }
    }
    Some(Attempt::Values(values))
}

/// Each comparison with its first factor made 1 or -1; of those that then differ only in their bound, the tightest.
fn tightest(comparisons: Vec<AtMost>) -> Option<Vec<AtMost>> {
    let mut found: BTreeMap<Vec<(usize, Exact)>, (Exact, bool)> = BTreeMap::new();
    for mut comparison in comparisons {
        comparison.terms.sort_unstable();
        let size = comparison.terms.first().map_or_else(|| Exact::from_integer(1), |(_, factor)| factor.abs());
        let mut terms = Vec::with_capacity(comparison.terms.len());
        for (variable, factor) in comparison.terms {
            terms.push((variable, factor.checked_div(&size)?));
        }
        let (bound, strict) = (comparison.bound.checked_div(&size)?, comparison.strict);
        let slot = found.entry(terms).or_insert((bound, strict));
        if bound < slot.0 || (bound == slot.0 && strict) {
            *slot = (bound, strict);
        }
    }
    Some(found.into_iter().map(|(terms, (bound, strict))| AtMost { terms, bound, strict }).collect())
}

/// Which of the variables to eliminate next.
fn cheapest(left: &[usize], comparisons: &[AtMost]) -> Option<usize> {
    (0..left.len()).min_by_key(|at| left.get(*at).map(|variable| cost(comparisons, *variable)))
}

/// How many comparisons more the elimination of a variable leaves.
fn cost(comparisons: &[AtMost], variable: usize) -> isize {
    let factors = comparisons.iter().map(|c| factor_of(c, variable));
    let (mut upper, mut lower) = (0isize, 0isize);
    for factor in factors {
        upper += isize::from(factor.is_positive());
        lower += isize::from(factor.is_negative());
    }
    upper * lower - upper - lower
}

fn factor_of(comparison: &AtMost, variable: usize) -> Exact {
    comparison.terms.iter().find(|(v, _)| *v == variable).map_or_else(Exact::zero, |(_, factor)| *factor)
}

/// What follows from an upper and a lower bound of the variable.
fn joined(high: &AtMost, low: &AtMost, variable: usize) -> Option<AtMost> {
    let (up, down) = (factor_of(high, variable), -factor_of(low, variable));
    let mut terms: Vec<(usize, Exact)> = Vec::new();
    let parts = high.terms.iter().map(|t| (t, down)).chain(low.terms.iter().map(|t| (t, up)));
    for ((other, factor), times) in parts {
        if *other == variable {
            continue;
        }
        let factor = factor.checked_mul(&times)?;
        match terms.iter_mut().find(|(v, _)| v == other) {
            Some((_, sum)) => *sum = sum.checked_add(&factor)?,
            None => terms.push((*other, factor)),
        }
    }
    terms.retain(|(_, factor)| !factor.is_zero());
    let bound = high.bound.checked_mul(&down)?.checked_add(&low.bound.checked_mul(&up)?)?;
    Some(AtMost { terms, bound, strict: high.strict || low.strict })
}

/// The interval that the comparisons leave to a variable, the earlier ones having these values. An end that nothing
/// bounds is set far out, beyond any reading.
fn interval_of(comparisons: &[AtMost], variable: usize, values: &[Exact]) -> Option<Cell> {
    let far = Exact::from_integer(1_000_000_000_000);
    let mut cell = Cell { low: -far, low_included: true, high: far, high_included: true };
    for comparison in comparisons {
        let mut rest = comparison.bound;
        let mut factor = Exact::zero();
        for (other, times) in &comparison.terms {
            if *other == variable {
                factor = *times;
            } else {
                rest = rest.checked_sub(&values.get(*other)?.checked_mul(times)?)?;
            }
        }
        let end = rest.checked_div(&factor)?;
        if factor.is_positive() {
            if end < cell.high || (end == cell.high && comparison.strict) {
                cell.high = end;
                cell.high_included = !comparison.strict;
            }
        } else if end > cell.low || (end == cell.low && comparison.strict) {
            cell.low = end;
            cell.low_included = !comparison.strict;
        }
    }
    Some(cell)
}

#[cfg(test)]
mod tests {
    use super::super::cells::Grid;
    use super::*;
    use crate::quantity::Unit;
    use proptest::prelude::*;

    fn whole(n: i128) -> Exact {
        Exact::from_integer(n)
    }

    fn metre() -> Unit {
        Unit::lookup("m").expect("in the table")
    }

    fn holds(comparison: &AtMost, values: &[Exact]) -> bool {
        let sum = comparison.terms.iter().fold(Exact::zero(), |sum, (v, f)| sum + values[*v] * f);
        if comparison.strict { sum < comparison.bound } else { sum <= comparison.bound }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// Brute force over a box of readings is the oracle: values are found exactly where some exist.
        #[test]
        fn readings_are_found_where_they_exist(
            rows in prop::collection::vec((prop::collection::vec(-3i128..4, 3), -9i128..10, any::<bool>()), 1..5)
        ) {
            let mut comparisons: Vec<AtMost> = rows.iter().map(|(factors, bound, strict)| AtMost {
                terms: factors.iter().enumerate().filter(|(_, f)| **f != 0).map(|(v, f)| (v, whole(*f))).collect(),
                bound: whole(*bound),
                strict: *strict,
            }).collect();
            for v in 0..3 {
                comparisons.push(AtMost { terms: vec![(v, whole(1))], bound: whole(4), strict: false });
                comparisons.push(AtMost { terms: vec![(v, whole(-1))], bound: whole(0), strict: false });
            }
            let grid = Grid { step: whole(1), zero: whole(0) };
            let read = Read { grid: Some(grid), unit: metre(), usual: whole(2) };
            let reads = vec![read; 3];
            let exists = (0..125).any(|n| {
                let values = [whole(n % 5), whole(n / 5 % 5), whole(n / 25)];
                comparisons.iter().all(|c| holds(c, &values))
            });
            match eliminate(&comparisons, &reads) {
                Outcome::Values(values) => {
                    prop_assert!(comparisons.iter().all(|c| holds(c, &values)), "{:?}", values);
                    prop_assert!(values.iter().all(|v| v.is_integer()));
                }
                Outcome::Nothing => prop_assert!(!exists),
                Outcome::Unknown => prop_assert!(false, "so small a box must be decided"),
            }
        }
    }

    /// Sums of many readings with many others: without leaving out what a tighter comparison says, elimination would
    /// come to millions.
    #[test]
    fn many_tied_readings_are_decided() {
        let grid = Grid { step: whole(1), zero: whole(0) };
        let reads = vec![Read { grid: Some(grid), unit: metre(), usual: whole(0) }; 14];
        let mut comparisons = Vec::new();
        for v in 0..14 {
            comparisons.push(AtMost { terms: vec![(v, whole(1))], bound: whole(3), strict: false });
            comparisons.push(AtMost { terms: vec![(v, whole(-1))], bound: whole(0), strict: false });
        }
        for a in 0..7 {
            for b in 7..14 {
                let sum = vec![(a, whole(1)), (b, whole(1))];
                let turned = vec![(a, whole(-1)), (b, whole(-1))];
                comparisons.push(AtMost { terms: sum, bound: whole(5), strict: false });
                comparisons.push(AtMost { terms: turned, bound: whole(-4), strict: true });
            }
        }
        let Outcome::Values(values) = eliminate(&comparisons, &reads) else { panic!("all 3 and 2, for example") };
        assert!(comparisons.iter().all(|c| holds(c, &values)));
        comparisons.push(AtMost { terms: vec![(0, whole(1))], bound: whole(1), strict: false });
        assert_eq!(eliminate(&comparisons, &reads), Outcome::Nothing);
    }

    #[test]
    fn strictness_decides_between_touching_bounds() {
        let x_at_most = |bound: i128, strict| AtMost { terms: vec![(0, whole(1))], bound: whole(bound), strict };
        let x_at_least = AtMost { terms: vec![(0, whole(-1))], bound: whole(-5), strict: false };
        let reads = [Read { grid: None, unit: metre(), usual: whole(0) }];
        assert_eq!(eliminate(&[x_at_most(5, false), x_at_least.clone()], &reads), Outcome::Values(vec![whole(5)]));
        assert_eq!(eliminate(&[x_at_most(5, true), x_at_least], &reads), Outcome::Nothing);
    }
}
