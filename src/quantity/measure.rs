//! What a stated quantity allows: its bounds, and whether a value lies within them.

use num_integer::Integer;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub};

use super::{Exact, Kind, Measure, Quantity, Written};

impl Measure {
    /// A value with its tolerance, which may be in another unit of the kind, in per cent of the value, or, for a
    /// temperature, a temperature rise. `None` where the two don't go together or the arithmetic overflows.
    pub fn with_tolerance(value: Quantity, plus_minus: Quantity) -> Option<Measure> {
        let (unit, theirs) = (value.unit, plus_minus.unit);
        let ratio = theirs.factor().checked_div(&unit.factor())?;
        let rise = unit.kind() == Kind::Temperature && theirs.kind() == Kind::TemperatureDifference;
        let (half, written) = if theirs == unit {
            (plus_minus.value, plus_minus.written)
        } else if theirs.kind() == unit.kind() || rise {
            // On a temperature scale a tolerance is a difference: only the size of the degrees counts.
            (plus_minus.value.checked_mul(&ratio)?, plus_minus.written)
        } else if theirs.kind() == Kind::Share && unit.kind().has_arithmetic() {
            (value.value.checked_mul(&plus_minus.value.checked_mul(&theirs.factor())?)?, value.written)
        } else {
            return None;
        };
        Some(Measure::Tolerance { value, plus_minus: Quantity { value: half, unit, written } })
    }

    /// What it measures.
    pub fn kind(&self) -> Kind {
        self.stated().kind()
    }

    /// The value that stands first in it: the middle of a tolerance, the lower end of a range, the bound.
    pub fn stated(&self) -> &Quantity {
        match self {
            Measure::Tolerance { value, .. } => value,
            Measure::Range { low, .. } => low,
            Measure::Exact(q) | Measure::AtLeast(q) | Measure::AtMost(q) | Measure::Over(q) | Measure::Below(q) => q,
        }
    }

    /// The value aimed at: the value itself, with a tolerance or without; `None` for ranges and bounds.
    pub fn nominal(&self) -> Option<Quantity> {
        match self {
            Measure::Exact(value) | Measure::Tolerance { value, .. } => Some(*value),
            _ => None,
        }
    }

    /// The lower bound, in the writer's unit. It belongs to what is allowed, save in `over`. `None`: no bound (or
    /// an overflow, which twelve digits can't reach).
    pub fn low(&self) -> Option<Quantity> {
        match self {
            Measure::Tolerance { value, plus_minus } => shifted(value, plus_minus, Exact::checked_sub),
            Measure::Exact(q) | Measure::Range { low: q, .. } | Measure::AtLeast(q) | Measure::Over(q) => Some(*q),
            Measure::AtMost(_) | Measure::Below(_) => None,
        }
    }

    /// The upper bound, in the writer's unit. It belongs to what is allowed, save in `below`. `None`: no bound (or
    /// an overflow, which twelve digits can't reach).
    pub fn high(&self) -> Option<Quantity> {
        match self {
            Measure::Tolerance { value, plus_minus } => shifted(value, plus_minus, Exact::checked_add),
            Measure::Exact(q) | Measure::Range { high: q, .. } | Measure::AtMost(q) | Measure::Below(q) => Some(*q),
            Measure::AtLeast(_) | Measure::Over(_) => None,
        }
    }

    /// Whether the bounds themselves are allowed: not in `over` and `below`.
    pub fn includes_bounds(&self) -> bool {
        !matches!(self, Measure::Over(_) | Measure::Below(_))
    }

    /// Whether a value in base units is allowed. A bound that can't be worked out allows nothing.
    pub fn contains(&self, base: Exact) -> bool {
        let bound = |q: Option<Quantity>| q.and_then(|q| q.base());
        let (has_low, has_high) = match self {
            Measure::AtLeast(_) | Measure::Over(_) => (true, false),
            Measure::AtMost(_) | Measure::Below(_) => (false, true),
            Measure::Exact(_) | Measure::Tolerance { .. } | Measure::Range { .. } => (true, true),
        };
        let edge = self.includes_bounds();
        let above = !has_low || bound(self.low()).is_some_and(|low| base > low || (edge && base == low));
        let below = !has_high || bound(self.high()).is_some_and(|high| base < high || (edge && base == high));
        above && below
    }

    /// As the source writes it: `22 N.m +- 2 N.m`, `20 to 24 N.m`, `at least 150 mm`.
    pub fn source_form(&self) -> String {
        match self {
            Measure::Exact(q) => q.to_string(),
            Measure::Tolerance { value, plus_minus } => format!("{value} +- {plus_minus}"),
            Measure::Range { low, high } if low.unit == high.unit => format!("{} to {high}", low.number()),
            Measure::Range { low, high } => format!("{low} to {high}"),
            Measure::AtLeast(q) => format!("at least {q}"),
            Measure::AtMost(q) => format!("at most {q}"),
            Measure::Over(q) => format!("over {q}"),
            Measure::Below(q) => format!("below {q}"),
        }
    }
}

/// The value moved by its tolerance.
fn shifted(value: &Quantity, by: &Quantity, how: fn(&Exact, &Exact) -> Option<Exact>) -> Option<Quantity> {
    let ratio = by.unit.factor().checked_div(&value.unit.factor())?;
    let moved = how(&value.value, &by.value.checked_mul(&ratio)?)?;
    Some(Quantity { value: moved, unit: value.unit, written: finer(value.written, by.written) })
}

/// A way to write that holds what either can: more decimals, or a common denominator.
fn finer(left: Written, right: Written) -> Written {
    match (left, right) {
        (Written::Decimals(a), Written::Decimals(b)) => Written::Decimals(a.max(b)),
        (Written::Fraction(a), Written::Fraction(b)) => {
            let both = u32::from(a).lcm(&u32::from(b));
            u16::try_from(both).map_or(left, Written::Fraction)
        }
        (fraction @ Written::Fraction(_), Written::Decimals(0))
        | (Written::Decimals(0), fraction @ Written::Fraction(_)) => fraction,
        (decimals @ Written::Decimals(_), _) | (_, decimals) => decimals,
    }
}
