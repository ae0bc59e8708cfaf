//! What a single value can do: convert, compare, show itself as the source does.

use std::cmp::Ordering;
use std::fmt;

use num_integer::Integer;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Zero};

use super::{Exact, Kind, Quantity, Unit, Written, text};

impl Quantity {
    /// A value in a unit.
    pub fn new(value: Exact, unit: Unit, written: Written) -> Quantity {
        Quantity { value, unit, written }
    }

    /// The value whose base-unit value is `base`, in `unit`; `None` on overflow.
    pub fn from_base(base: Exact, unit: Unit, written: Written) -> Option<Quantity> {
        let value = base.checked_sub(&unit.offset())?.checked_div(&unit.factor())?;
        Some(Quantity { value, unit, written })
    }

    /// What it measures.
    pub fn kind(&self) -> Kind {
        self.unit.kind()
    }

    /// In the base unit of its kind (metre, newton metre, pascal, kelvin, …; see [`Kind`]); `None` on overflow.
    pub fn base(&self) -> Option<Exact> {
        let scaled = product(self.value, self.unit.factor())?;
        // Scales of temperature alone have their zero elsewhere, and adding fractions is slow.
        let offset = self.unit.offset();
        if offset.is_zero() { Some(scaled) } else { scaled.checked_add(&offset) }
    }

    /// As a step between two values, in the base unit of its kind: 1 degC is a step of 1 K, though as a point it is
    /// 274.15 K. `None` on overflow.
    pub fn step_base(&self) -> Option<Exact> {
        product(self.value, self.unit.factor())
    }

    /// Whether this value is a whole number of steps from the zero of the step's scale; `None` on overflow, or for a step
    /// of nothing.
    pub fn is_on_steps(&self, step: &Quantity) -> Option<bool> {
        let size = step.step_base().filter(|size| *size != Exact::from_integer(0))?;
        Some(self.base()?.checked_sub(&step.unit.offset())?.checked_div(&size)?.is_integer())
    }

    /// The value in another unit of the same kind, exact; `None` for another kind or on overflow.
    pub fn in_unit(&self, unit: Unit) -> Option<Exact> {
        if unit.kind() != self.kind() {
            return None;
        }
        // The two factors are divided first: lbf.in to lbf.ft is then 1/12 and never grows large.
        let ratio = self.unit.factor().checked_div(&unit.factor())?;
        let shift = self.unit.offset().checked_sub(&unit.offset())?.checked_div(&unit.factor())?;
        self.value.checked_mul(&ratio)?.checked_add(&shift)
    }

    /// How it compares with a value of the same kind; `None` for another kind, or where another unit's value overflows.
    pub fn compare(&self, other: &Quantity) -> Option<Ordering> {
        // Within a unit the values compare as they are: every factor is above zero.
        if self.unit == other.unit {
            return Some(self.value.cmp(&other.value));
        }
        (self.kind() == other.kind()).then_some(())?;
        Some(self.base()?.cmp(&other.base()?))
    }

    /// The exact value in its own unit for data files: a decimal (`22`, `0.5625`, `-40`) where the decimals end,
    /// else a fraction in lowest terms (`1/3`). Always matches `-?[0-9]+(\.[0-9]+|/[1-9][0-9]*)?`.
    ///
    /// Pair it with [`Unit::ucum`].
    pub fn decimal(&self) -> String {
        text::decimal(self.value, 0).unwrap_or_else(|| format!("{}/{}", self.value.numer(), self.value.denom()))
    }

    /// The number alone, as written: `9/16`, `6.40`, `2/0` for a wire gauge.
    pub fn number(&self) -> String {
        let gauge = (self.kind() == Kind::WireGauge).then(|| text::gauge(self.value)).flatten();
        gauge.unwrap_or_else(|| text::written(self.value, self.written))
    }
}

/// The product of two numbers in lowest terms; `None` on overflow.
fn product(one: Exact, other: Exact) -> Option<Exact> {
    small_product(one, other).or_else(|| one.checked_mul(&other))
}

/// The same where no part of them is large, as in most procedures: divided in 64 bits it takes a tenth of the time.
fn small_product(one: Exact, other: Exact) -> Option<Exact> {
    let small = |part: &i128| i32::try_from(*part).ok().map(i64::from);
    let (top, bottom) = (small(one.numer())?, small(one.denom())?);
    let (other_top, other_bottom) = (small(other.numer())?, small(other.denom())?);
    let (across, down) = (top.gcd(&other_bottom), other_top.gcd(&bottom));
    let product = |a: i64, b: i64| i128::from(a) * i128::from(b);
    // Denominators are above zero, and so are their common divisors with any number.
    Some(Exact::new_raw(product(top / across, other_top / down), product(bottom / down, other_bottom / across)))
}

/// In the source's spelling: `22 N.m`, `9/16 in`.
impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.number(), self.unit.spelling())
    }
}
