//! Sets of numbers as unions of intervals, exact, each end with or without itself.

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub};

use crate::model::{CompareOp, Interval};
use crate::quantity::Exact;

/// An end: its value in base units, and whether it belongs to the interval.
pub type Bound = (Exact, bool);

/// One interval; an end that is missing is unbounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Range {
    /// Lower end.
    pub low: Option<Bound>,
    /// Upper end.
    pub high: Option<Bound>,
}

impl Range {
    const ALL: Range = Range { low: None, high: None };

    fn is_empty(&self) -> bool {
        match (self.low, self.high) {
            (Some((low, a)), Some((high, b))) => low > high || (low == high && !(a && b)),
            _ => false,
        }
    }

    fn and(&self, other: &Range) -> Range {
        Range { low: tighter(self.low, other.low, false), high: tighter(self.high, other.high, true) }
    }
}

/// Of two ends the one that lets less through.
fn tighter(one: Option<Bound>, other: Option<Bound>, upper: bool) -> Option<Bound> {
    match (one, other) {
        (None, end) | (end, None) => end,
        (Some(a), Some(b)) if a.0 == b.0 => Some((a.0, a.1 && b.1)),
        (Some(a), Some(b)) => Some(if (a.0 < b.0) == upper { a } else { b }),
    }
}

/// Multiples of a step, counted from the zero of a scale: what can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grid {
    /// The step, above zero.
    pub step: Exact,
    /// Zero of the scale in base units.
    pub zero: Exact,
}

impl Grid {
    fn steps(self, value: Exact) -> Option<Exact> {
        value.checked_sub(&self.zero)?.checked_div(&self.step)
    }

    fn at(self, steps: Exact) -> Option<Exact> {
        self.step.checked_mul(&steps)?.checked_add(&self.zero)
    }

    /// The lowest reading above an end, or at it.
    fn above(self, (value, included): Bound) -> Option<Bound> {
        let steps = self.steps(value)?;
        let up = if steps.is_integer() && !included { steps + Exact::from_integer(1) } else { steps.ceil() };
        Some((self.at(up)?, true))
    }

    /// The highest reading below an end, or at it.
    fn below(self, (value, included): Bound) -> Option<Bound> {
        let steps = self.steps(value)?;
        let down = if steps.is_integer() && !included { steps - Exact::from_integer(1) } else { steps.floor() };
        Some((self.at(down)?, true))
    }
}

/// A set of numbers: intervals that do not meet, ascending.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Set(Vec<Range>);

impl Set {
    /// No number.
    pub fn none() -> Set {
        Set(Vec::new())
    }

    /// Every number.
    pub fn all() -> Set {
        Set(vec![Range::ALL])
    }

    /// One interval.
    pub fn range(low: Option<Bound>, high: Option<Bound>) -> Set {
        let range = Range { low, high };
        Set(if range.is_empty() { Vec::new() } else { vec![range] })
    }

    /// From one number to another, both of them in it.
    pub fn closed(low: Exact, high: Exact) -> Set {
        Set::range(Some((low, true)), Some((high, true)))
    }

    /// An interval of the language.
    pub fn interval(interval: &Interval) -> Set {
        let end = |end: &crate::model::End| (end.base, end.included);
        Set::range(interval.low.as_ref().map(end), interval.high.as_ref().map(end))
    }

    /// The numbers that compare so with a bound.
    pub fn compared(op: CompareOp, bound: Exact) -> Set {
        match op {
            CompareOp::AtMost => Set::range(None, Some((bound, true))),
            CompareOp::Below => Set::range(None, Some((bound, false))),
            CompareOp::AtLeast => Set::range(Some((bound, true)), None),
            CompareOp::Over => Set::range(Some((bound, false)), None),
            CompareOp::Equal => Set::closed(bound, bound),
        }
    }

    /// What is in both.
    #[must_use]
    pub fn and(&self, other: &Set) -> Set {
        let pairs = self.0.iter().flat_map(|one| other.0.iter().map(|two| one.and(two)));
        Set(pairs.filter(|range| !range.is_empty()).collect())
    }

    /// What is not in it.
    #[must_use]
    pub fn not(&self) -> Set {
        let mut gaps = Vec::with_capacity(self.0.len() + 1);
        let mut low: Option<Bound> = None;
        for range in &self.0 {
            if let Some((end, included)) = range.low {
                gaps.push(Range { low, high: Some((end, !included)) });
            }
            match range.high {
                Some((end, included)) => low = Some((end, !included)),
                None => return Set(gaps.into_iter().filter(|gap| !gap.is_empty()).collect()),
            }
        }
        gaps.push(Range { low, high: None });
        Set(gaps.into_iter().filter(|gap| !gap.is_empty()).collect())
    }

    /// What is in one of them or in both.
    #[must_use]
    pub fn or(&self, other: &Set) -> Set {
        self.not().and(&other.not()).not()
    }

    /// Only what can be read: each interval from its first reading to its last. Ends that are too large to be moved stay.
    #[must_use]
    pub fn on_grid(&self, grid: Option<Grid>) -> Set {
        let Some(grid) = grid else { return self.clone() };
        let snapped = self.0.iter().map(|range| Range {
            low: range.low.map(|end| grid.above(end).unwrap_or(end)),
            high: range.high.map(|end| grid.below(end).unwrap_or(end)),
        });
        Set(snapped.filter(|range| !range.is_empty()).collect())
    }

    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Its intervals, ascending.
    pub fn ranges(&self) -> &[Range] {
        &self.0
    }

    /// The least interval around it; `None` where it is empty or has no end on a side.
    pub fn hull(&self) -> Option<(Bound, Bound)> {
        Some((self.0.first()?.low?, self.0.last()?.high?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn whole(n: i128) -> Exact {
        Exact::from_integer(n)
    }

    fn has(set: &Set, value: Exact) -> bool {
        set.0.iter().any(|range| {
            range.low.is_none_or(|(end, included)| value > end || (included && value == end))
                && range.high.is_none_or(|(end, included)| value < end || (included && value == end))
        })
    }

    fn sets() -> impl Strategy<Value = Set> {
        let range = (prop::option::of((0i128..12, any::<bool>())), prop::option::of((0i128..12, any::<bool>())));
        prop::collection::vec(range, 0..4).prop_map(|ranges| {
            ranges.into_iter().fold(Set::none(), |set, (low, high)| {
                let end = |(value, included)| (whole(value), included);
                set.or(&Set::range(low.map(end), high.map(end)))
            })
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// Membership number by number is the oracle; quarters see every open end.
        #[test]
        fn operations_are_those_of_sets(a in sets(), b in sets()) {
            for quarter in -4i128..60 {
                let value = Exact::new(quarter, 4);
                prop_assert_eq!(has(&a.and(&b), value), has(&a, value) && has(&b, value));
                prop_assert_eq!(has(&a.or(&b), value), has(&a, value) || has(&b, value));
                prop_assert_eq!(has(&a.not(), value), !has(&a, value));
            }
            let grid = Grid { step: Exact::new(3, 4), zero: Exact::new(1, 2) };
            for steps in -2i128..20 {
                let value = Exact::new(3, 4) * whole(steps) + Exact::new(1, 2);
                prop_assert_eq!(has(&a.on_grid(Some(grid)), value), has(&a, value));
            }
        }
    }
}
