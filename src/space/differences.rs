//! Comparisons that bound one number, or the difference of two: decided exactly by shortest paths.
//!
//! `x - y <= b` is taken for a way from `y` to `x` of length `b`, `x <= b` for one from nought to `x`. Numbers exist exactly
//! where no round trip is shorter than nothing, and the comparisons of such a trip are a smallest set that can't hold
//! together (Bellman 1958, Ford 1956; "Difference constraints and shortest paths" in Cormen, Leiserson, Rivest, Stein,
//! *Introduction to Algorithms*). Readings of one step are counted in whole steps, so that no splitting is needed; `<` between
//! numbers of any size is a length with a trifle less.

use num_integer::Integer;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, One, Signed, ToPrimitive, Zero};

use super::linear::{AtMost, Read};
use crate::quantity::Exact;

/// What came out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Decided {
    /// These values satisfy all comparisons.
    Values(Vec<Exact>),
    /// These comparisons, by their place in the list, cannot hold together.
    Nothing(Vec<usize>),
}

/// Decides the comparisons of variables `0..reads.len()`. `None` where some are of another form, or the readings have steps
/// that differ, and those that are of this form do not contradict one another already; also beyond the size of numbers.
pub(super) fn decide(comparisons: &[AtMost], reads: &[Read]) -> Option<Decided> {
    let scale = Scale::of(comparisons, reads)?;
    let nought = reads.len();
    let ways: Vec<Option<Way>> = comparisons.iter().map(|one| scale.way(one, reads)).collect();
    let complete = scale.complete && ways.iter().all(Option::is_some);
    let ways: Vec<(usize, Way)> = ways.into_iter().enumerate().filter_map(|(at, way)| Some((at, way?))).collect();
    let mut start = reads.iter().map(|read| Some((scale.counted(read, read.usual)?, 0))).collect::<Option<Vec<_>>>()?;
    start.push((0, 0));
    match shortest(&ways, start)? {
        Trip::Below(cycle) => Some(Decided::Nothing(cycle)),
        Trip::Lengths(lengths) if complete => {
            let from = *lengths.get(nought)?;
            let trifle = trifle(&ways, &lengths)?;
            let values = reads.iter().zip(lengths.iter().copied()).map(|(read, (whole, less))| {
                let less = Exact::from_integer(less.checked_sub(from.1)?).checked_mul(&trifle)?;
                let whole = Exact::from_integer(whole.checked_sub(from.0)?).checked_add(&less)?;
                scale.value(read, whole)
            });
            let values: Vec<Exact> = values.collect::<Option<_>>()?;
            let right = comparisons.iter().all(|comparison| comparison.holds(&values) == Some(true));
            right.then_some(Decided::Values(values))
        }
        Trip::Lengths(_) => None,
    }
}

/// A length in units of the scale, and how many trifles it has beyond that.
type Length = (i128, i128);

/// One comparison.
#[derive(Debug, Clone, Copy)]
struct Way {
    from: usize,
    to: usize,
    length: Length,
}

/// In what the numbers are counted.
struct Scale {
    /// How much one is.
    one: Exact,
    /// Whether they are counted in steps of their readings, each from the zero of its unit.
    steps: bool,
    /// Whether all that can be counted can be read.
    complete: bool,
}

impl Scale {
    fn of(comparisons: &[AtMost], reads: &[Read]) -> Option<Scale> {
        let step = |read: &Read| read.grid.map(|grid| grid.step);
        let first = reads.first().and_then(step);
        if let Some(one) = first.filter(|_| reads.iter().all(|read| step(read) == first)) {
            return Some(Scale { one, steps: true, complete: true });
        }
        // Small enough that all bounds are whole.
        let bounds = comparisons.iter().filter_map(|one| bound_of(one).map(|(.., bound)| bound));
        let mut common: i128 = 1;
        for number in bounds.chain(reads.iter().map(|read| read.usual)) {
            let more = number.denom() / common.gcd(number.denom());
            common = common.checked_mul(more)?;
        }
        let complete = reads.iter().all(|read| read.grid.is_none());
        Some(Scale { one: Exact::new(1, common), steps: false, complete })
    }

    fn zero(&self, read: Option<&Read>) -> Exact {
        read.and_then(|read| read.grid).filter(|_| self.steps).map_or_else(Exact::zero, |grid| grid.zero)
    }

    /// How many of the scale a number is, rounded down.
    fn counted(&self, read: &Read, value: Exact) -> Option<i128> {
        value.checked_sub(&self.zero(Some(read)))?.checked_div(&self.one)?.floor().to_integer().to_i128()
    }

    fn value(&self, read: &Read, counted: Exact) -> Option<Exact> {
        counted.checked_mul(&self.one)?.checked_add(&self.zero(Some(read)))
    }

    /// A comparison as a way; `None` where it is of another form.
    fn way(&self, comparison: &AtMost, reads: &[Read]) -> Option<Way> {
        let (upper, lower, bound) = bound_of(comparison)?;
        let zero_of = |variable: Option<usize>| self.zero(variable.and_then(|at| reads.get(at)));
        let length = bound.checked_sub(&zero_of(upper))?.checked_add(&zero_of(lower))?.checked_div(&self.one)?;
        let whole = length.floor();
        let length = match (self.steps, comparison.strict) {
            (true, true) if whole == length => (whole.to_integer().checked_sub(1)?, 0),
            (false, true) => (whole.to_integer(), -1),
            _ => (whole.to_integer(), 0),
        };
        let nought = reads.len();
        Some(Way { from: lower.unwrap_or(nought), to: upper.unwrap_or(nought), length })
    }
}

/// `upper - lower <= bound`, where a missing one is nought.
fn bound_of(comparison: &AtMost) -> Option<(Option<usize>, Option<usize>, Exact)> {
    let (one, other, size) = match comparison.terms[..] {
        [(variable, factor)] if factor.is_positive() => (Some(variable), None, factor),
        [(variable, factor)] if factor.is_negative() => (None, Some(variable), -factor),
        [(upper, factor), (lower, minus)] if factor.is_positive() && minus == -factor => {
            (Some(upper), Some(lower), factor)
        }
        [(lower, minus), (upper, factor)] if factor.is_positive() && minus == -factor => {
            (Some(upper), Some(lower), factor)
        }
        _ => return None,
    };
    Some((one, other, comparison.bound.checked_div(&size)?))
}

enum Trip {
    Lengths(Vec<Length>),
    /// The comparisons of a round trip that is shorter than nothing.
    Below(Vec<usize>),
}

/// The greatest numbers, none above its start, that keep all ways.
fn shortest(ways: &[(usize, Way)], start: Vec<Length>) -> Option<Trip> {
    let mut lengths = start;
    let mut came: Vec<Option<usize>> = vec![None; lengths.len()];
    let mut last = None;
    for _ in 0..=lengths.len() {
        last = None;
        for (at, (_, way)) in ways.iter().enumerate() {
            let before = *lengths.get(way.from)?;
            let there = (before.0.checked_add(way.length.0)?, before.1.checked_add(way.length.1)?);
            let slot = lengths.get_mut(way.to)?;
            if there < *slot {
                *slot = there;
                *came.get_mut(way.to)? = Some(at);
                last = Some(way.to);
            }
        }
        if last.is_none() {
            return Some(Trip::Lengths(lengths));
        }
    }
    // So many ways back lie on the round trip for certain.
    let back = |at: usize| ways.get((*came.get(at)?)?).map(|(comparison, way)| (*comparison, way.from));
    let mut at = last?;
    for _ in 0..lengths.len() {
        at = back(at)?.1;
    }
    let (mut cycle, end) = (Vec::new(), at);
    loop {
        let (comparison, from) = back(at)?;
        cycle.push(comparison);
        at = from;
        if at == end || cycle.len() > lengths.len() {
            break;
        }
    }
    cycle.sort_unstable();
    Some(Trip::Below(cycle))
}

/// How large a trifle may be, in units of the scale, so that no way becomes too long by it.
fn trifle(ways: &[(usize, Way)], lengths: &[Length]) -> Option<Exact> {
    let mut most = Exact::one();
    for (_, way) in ways {
        let (from, to) = (lengths.get(way.from)?, lengths.get(way.to)?);
        let room = way.length.0.checked_sub(to.0.checked_sub(from.0)?)?;
        let more = to.1.checked_sub(from.1)?.checked_sub(way.length.1)?;
        if room > 0 && more > 0 {
            most = most.min(Exact::new(room, more));
        }
    }
    Some(most)
}

#[cfg(test)]
mod tests {
    use super::super::cells::Grid;
    use super::super::elimination::eliminate;
    use super::super::linear::Outcome;
    use super::*;
    use crate::quantity::Unit;
    use proptest::prelude::*;

    fn whole(n: i128) -> Exact {
        Exact::from_integer(n)
    }

    fn reads(grids: &[Option<(i128, i128)>]) -> Vec<Read> {
        let unit = Unit::lookup("m").expect("in the table");
        let grid = |(step, zero): (i128, i128)| Grid { step: Exact::new(step, 2), zero: Exact::new(zero, 3) };
        let usual = |grid: Grid| grid.zero + grid.step * whole(2);
        grids
            .iter()
            .map(|one| one.map(grid))
            .map(|grid| Read { grid, unit, usual: grid.map_or(whole(2), usual) })
            .collect()
    }

    fn comparison(upper: usize, lower: usize, bound: (i128, i128), strict: bool, size: i128) -> AtMost {
        let mut terms = vec![(upper, whole(size)), (lower, -whole(size))];
        terms.retain(|(variable, _)| *variable < 4);
        terms.sort_unstable();
        AtMost { terms, bound: Exact::new(bound.0, bound.1) * whole(size), strict }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// What elimination decides is the oracle: with and without steps, from zeros that differ, steps that differ.
        #[test]
        fn shortest_paths_decide_as_elimination_does(
            rows in prop::collection::vec((0usize..5, 0usize..5, (-6i128..7, 1i128..4), any::<bool>(), 1i128..4), 1..12),
            grids in prop::collection::vec(prop::option::weighted(0.8, (1i128..3, 0i128..3)), 4),
            alike in any::<bool>(),
        ) {
            let grids: Vec<_> = if alike { vec![grids[0]; 4] } else { grids };
            let reads = reads(&grids);
            let mut comparisons: Vec<AtMost> = rows.into_iter()
                .filter(|(upper, lower, ..)| upper.min(&4) != lower.min(&4))
                .map(|(upper, lower, bound, strict, size)| comparison(upper, lower, bound, strict, size)).collect();
            for variable in 0..4 {
                comparisons.push(comparison(variable, 4, (5, 1), false, 1));
                comparisons.push(comparison(4, variable, (0, 1), false, 1));
            }
            match (decide(&comparisons, &reads), eliminate(&comparisons, &reads)) {
                (Some(Decided::Values(values)), other) => {
                    prop_assert!(matches!(other, Outcome::Values(_)));
                    prop_assert!(comparisons.iter().all(|one| one.holds(&values) == Some(true)));
                    prop_assert!(reads.iter().zip(&values).all(|(read, value)| read.grid.is_none_or(|g| g.has(*value))));
                }
                (Some(Decided::Nothing(cycle)), other) => {
                    prop_assert_eq!(other, Outcome::Nothing);
                    let of = |kept: &[usize]| kept.iter().map(|at| comparisons[*at].clone()).collect::<Vec<_>>();
                    // Without ranges elimination may split steps for ever, and then cannot tell.
                    let alone = eliminate(&of(&cycle), &reads);
                    prop_assert!(!matches!(alone, Outcome::Values(_)), "the round trip alone contradicts: {:?}", alone);
                    if grids.iter().all(|grid| *grid == grids[0]) {
                        for at in 0..cycle.len() {
                            let mut fewer = cycle.clone();
                            fewer.remove(at);
                            prop_assert!(eliminate(&of(&fewer), &reads) != Outcome::Nothing, "none of it can be left out");
                        }
                    }
                }
                (None, _) => prop_assert!(!grids.iter().all(|grid| *grid == grids[0]), "steps that are alike are decided"),
            }
        }
    }

    /// A hundred readings, each below the next, all within ninety-eight steps, and then within ninety-nine.
    #[test]
    fn a_long_row_is_decided_by_the_last_step() {
        let of = |high: i128| {
            let unit = Unit::lookup("m").expect("in the table");
            let read = Read { grid: Some(Grid { step: whole(1), zero: whole(0) }), unit, usual: whole(0) };
            let mut comparisons: Vec<AtMost> = (0..99)
                .map(|at| AtMost { terms: vec![(at, whole(1)), (at + 1, whole(-1))], bound: whole(0), strict: true })
                .collect();
            for at in 0..100 {
                comparisons.push(AtMost { terms: vec![(at, whole(1))], bound: whole(high), strict: false });
                comparisons.push(AtMost { terms: vec![(at, whole(-1))], bound: whole(0), strict: false });
            }
            decide(&comparisons, &vec![read; 100])
        };
        assert_eq!(of(99), Some(Decided::Values((0..100).map(whole).collect())));
        assert!(matches!(of(98), Some(Decided::Nothing(cycle)) if cycle.len() == 101));
    }
}
