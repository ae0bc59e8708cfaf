//! How often each value came. Counts are exact, and no sum depends on the order in which values came.

use std::collections::BTreeMap;

use crate::quantity::Exact;

/// So many different values are told apart. Where there are more, all are counted in bins.
pub const MOST_VALUES: usize = 4096;
/// So many bins of equal width lie between the ends of a grid. What lies outside is counted in one more bin at each end.
pub const BINS: i32 = 1000;

/// Counts by value. Which values there are decides whether they are binned, not their order: the bins of a grid stand before the
/// first value comes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Counts {
    low: Exact,
    high: Exact,
    values: BTreeMap<Exact, u64>,
    binned: bool,
}

impl Counts {
    /// Without a value. The grid of the bins reaches from `low` to `high`.
    pub fn on(low: Exact, high: Exact) -> Counts {
        Counts { low, high, values: BTreeMap::new(), binned: false }
    }

    pub fn add(&mut self, value: Exact, count: u64) {
        let key = if self.binned { self.bin(value) } else { value };
        *self.values.entry(key).or_default() += count;
        if self.values.len() > MOST_VALUES && !self.binned {
            self.binned = true;
            for (value, count) in std::mem::take(&mut self.values) {
                *self.values.entry(self.bin(value)).or_default() += count;
            }
        }
    }

    /// All of another.
    pub fn add_all(&mut self, other: &Counts) {
        // Values that were binned elsewhere are values no more.
        if other.binned && !self.binned {
            self.binned = true;
            for (value, count) in std::mem::take(&mut self.values) {
                *self.values.entry(self.bin(value)).or_default() += count;
            }
        }
        other.values.iter().for_each(|(value, count)| self.add(*value, *count));
    }

    /// The middle of the bin that a value falls into.
    fn bin(&self, value: Exact) -> Exact {
        let (low, high) = (float(self.low), float(self.high));
        let width = (high - low) / f64::from(BINS);
        let which = ((float(value) - low) / width).floor();
        let which = if which.is_nan() { 0.0 } else { which.clamp(-1.0, f64::from(BINS)) };
        // Halves of a bin from the lower end; kept to billionths of the base unit.
        let middle = low + width * (which + 0.5);
        Exact::new((middle * 1e9).round().clamp(-1e36, 1e36) as i128, 1_000_000_000)
    }

    pub fn is_binned(&self) -> bool {
        self.binned
    }

    pub fn count(&self) -> u64 {
        self.values.values().sum()
    }

    /// Each value with its count, ascending.
    pub fn iter(&self) -> impl Iterator<Item = (Exact, u64)> {
        self.values.iter().map(|(value, count)| (*value, *count))
    }
}

/// What counts come to, in a unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Statistics {
    pub mean: f64,
    /// The sample standard deviation (n − 1); none of one value.
    pub deviation: Option<f64>,
    pub quartiles: [f64; 3],
}

/// The figures of counts; `number` gives a value in the unit that they are wanted in, and must keep the order of values. `None` without
/// any value.
pub(super) fn statistics(counts: &Counts, number: impl Fn(Exact) -> f64) -> Option<Statistics> {
    let values: Vec<(f64, u64)> = counts.iter().map(|(value, count)| (number(value), count)).collect();
    let n = counts.count();
    if n == 0 {
        return None;
    }
    let all = n as f64;
    let mean = values.iter().map(|(value, count)| value * *count as f64).sum::<f64>() / all;
    // Two passes: what is left over of the first mean is taken off again.
    let squares: f64 = values.iter().map(|(value, count)| (value - mean).powi(2) * *count as f64).sum();
    let rest: f64 = values.iter().map(|(value, count)| (value - mean) * *count as f64).sum();
    let deviation = (n > 1).then(|| ((squares - rest * rest / all) / (all - 1.0)).max(0.0).sqrt());
    let only = values.len() == 1;
    let quartiles = quartiles(&values)?;
    Some(Statistics { mean, deviation: if only && n > 1 { Some(0.0) } else { deviation }, quartiles })
}

/// The quartiles of values that stand in ascending order with their counts; `None` without any.
pub(super) fn quartiles(values: &[(f64, u64)]) -> Option<[f64; 3]> {
    let n: u64 = values.iter().map(|(_, count)| count).sum();
    (n > 0).then(|| [0.25, 0.5, 0.75].map(|share| quantile(values, n, share)))
}

/// Between the two values beside the place (n − 1) × share, by the distance from each: R. J. Hyndman and Y. Fan, Sample Quantiles in
/// Statistical Packages, 1996, definition 7, which numpy takes as well.
fn quantile(values: &[(f64, u64)], n: u64, share: f64) -> f64 {
    let place = (n - 1) as f64 * share;
    let (below, part) = (place.floor() as u64, place - place.floor());
    let at = |wanted: u64| {
        let mut before = 0;
        let found = values.iter().find(|(_, count)| {
            before += count;
            wanted < before
        });
        found.or(values.last()).map_or(0.0, |(value, _)| *value)
    };
    let (lower, upper) = (at(below), at((below + 1).min(n - 1)));
    lower + (upper - lower) * part
}

/// A number in floating point.
pub(super) fn float(exact: Exact) -> f64 {
    *exact.numer() as f64 / *exact.denom() as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whole(number: i128) -> Exact {
        Exact::from_integer(number)
    }

    /// The numbers 1 to 4, and 2 2 4 4: worked by hand.
    #[test]
    fn figures_by_hand() {
        let mut counts = Counts::on(whole(0), whole(10));
        (1..=4).for_each(|value| counts.add(whole(value), 1));
        let found = statistics(&counts, float).expect("figures");
        assert_eq!(found.mean, 2.5);
        assert!((found.deviation.expect("a spread") - (5.0_f64 / 3.0).sqrt()).abs() < 1e-12);
        assert_eq!(found.quartiles, [1.75, 2.5, 3.25]);
        let mut pairs = Counts::on(whole(0), whole(10));
        pairs.add(whole(4), 2);
        pairs.add(whole(2), 2);
        assert_eq!(statistics(&pairs, float).expect("figures").quartiles, [2.0, 3.0, 4.0]);
        assert_eq!(statistics(&Counts::on(whole(0), whole(1)), float), None);
    }

    /// More different values than are told apart come to the same bins in whatever order, and however they are put together.
    #[test]
    fn order_changes_nothing() {
        let values: Vec<Exact> = (0..3 * MOST_VALUES as i128).map(|at| Exact::new(at * 7919 % 12_289, 1_000)).collect();
        let mut forth = Counts::on(whole(0), whole(10));
        values.iter().for_each(|value| forth.add(*value, 1));
        let mut back = Counts::on(whole(0), whole(10));
        values.iter().rev().for_each(|value| back.add(*value, 1));
        let (mut one, mut other) = (Counts::on(whole(0), whole(10)), Counts::on(whole(0), whole(10)));
        for (at, value) in values.iter().enumerate() {
            if at < 9 { one.add(*value, 1) } else { other.add(*value, 1) }
        }
        one.add_all(&other);
        assert!(forth.is_binned() && forth == back && forth == one);
        assert_eq!(forth.count(), values.len() as u64);
        // Above the grid is one bin.
        let above = values.iter().filter(|value| **value >= whole(10)).count() as u64;
        assert_eq!(forth.iter().last(), Some((Exact::new(10_005_000, 1_000_000), above)));
    }
}
