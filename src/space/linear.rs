//! Linear comparisons of numbers, what a number can be, and what comes out when they are decided.

use num_traits::{CheckedAdd, CheckedMul, Zero};

use super::cells::Grid;
use crate::quantity::{Exact, Unit};

/// `sum of factor * variable <= bound`, or `<` where strict.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct AtMost {
    /// Factors by variable, ascending, none zero.
    pub terms: Vec<(usize, Exact)>,
    /// The right side.
    pub bound: Exact,
    /// Whether equality is excluded.
    pub strict: bool,
}

impl AtMost {
    /// Whether it holds for these values; `None` where that is too large to be worked out.
    pub fn holds(&self, values: &[Exact]) -> Option<bool> {
        let sum = self.terms.iter().try_fold(Exact::zero(), |sum, (variable, factor)| {
            sum.checked_add(&values.get(*variable)?.checked_mul(factor)?)
        })?;
        Some(if self.strict { sum < self.bound } else { sum <= self.bound })
    }
}

/// What a variable can be, beyond the comparisons.
#[derive(Debug, Clone)]
pub(super) struct Read {
    /// The readings, where not every number can be read.
    pub grid: Option<Grid>,
    /// The unit in which a person reads it.
    pub unit: Unit,
    /// The value to take where it fits.
    pub usual: Exact,
}

/// What came out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Outcome {
    /// These values satisfy all.
    Values(Vec<Exact>),
    /// None do.
    Nothing,
    /// Not decided within the bounds.
    Unknown,
}
