//! Quantities: units, kinds, exact values, ranges, tolerances, and how they are printed.
//!
//! Values are exact rationals in the unit that the writer chose; nothing here is floating point. A *kind* is finer
//! than a dimension: torque and energy share their dimension and are different kinds, and mass is not force although
//! both are called pounds.

pub mod display;
mod kind;
mod measure;
pub mod number;
mod rounding;
mod table;
mod text;
pub mod unit;
mod value;

pub use unit::{Dimension, Kind, System, Unit};

/// An exact number. Arithmetic goes through the checked operations (`checked_add`, …): overflow is a finding.
pub type Exact = num_rational::Ratio<i128>;

/// How a number was written, which limits how finely it may be printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Written {
    /// With this many decimals: `6.4` has one, `22` none.
    Decimals(u8),
    /// As a fraction or mixed number with this denominator: `3 1/2` has 2.
    Fraction(u16),
}

/// A value in a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Quantity {
    /// In `unit`.
    pub value: Exact,
    /// The writer's unit.
    pub unit: Unit,
    /// How it was written.
    pub written: Written,
}

/// Any way to state a quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Measure {
    /// `22 N.m`
    Exact(Quantity),
    /// `22 N.m +- 2 N.m` (percent already worked out; both in the unit of the value)
    Tolerance {
        /// The middle.
        value: Quantity,
        /// Half the width.
        plus_minus: Quantity,
    },
    /// `20 to 24 N.m`, both ends included
    Range {
        /// Lower end.
        low: Quantity,
        /// Upper end, in the same kind.
        high: Quantity,
    },
    /// `at least 150 mm`
    AtLeast(Quantity),
    /// `at most 5 %`
    AtMost(Quantity),
    /// `over 70 mm`
    Over(Quantity),
    /// `below 20 mm`
    Below(Quantity),
}

/// Which unit systems a document prints: the first in the text, the second in brackets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct UnitPreference {
    /// In the text.
    pub first: System,
    /// In brackets, if any.
    pub second: Option<System>,
}

impl UnitPreference {
    /// The same without brackets.
    #[must_use]
    pub fn alone(self) -> UnitPreference {
        UnitPreference { second: None, ..self }
    }
}
