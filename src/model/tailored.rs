//! What a procedure was tailored to.

use super::{Limit, Naming, Value};
use crate::quantity::{Measure, Quantity};

/// What a tailored procedure was tailored to. All that it says is already worked into the rest of the procedure; this is
/// kept so that paper and data can say whom they are for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tailored {
    /// Options and givens that are settled, options first, each in order of declaration.
    pub chosen: Vec<Chosen>,
    /// Limits that hold whatever is still open, in order of declaration.
    pub met: Vec<MetLimit>,
    /// Sections and steps of the full procedure that are not here, in words: `section 4`, `steps 2.3 to 2.5`.
    pub left_out: Vec<String>,
}

/// An option or given that is settled.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// The option or given.
    pub name: Naming,
    /// Its value.
    pub value: ChosenValue,
    /// Whether nobody chose it: the rules leave nothing else.
    pub follows: bool,
}

/// The value of an option or given.
#[derive(Debug, Clone, PartialEq)]
pub enum ChosenValue {
    /// Of an option.
    Value(Value),
    /// Of a given, in the unit in which it was stated.
    Amount(Quantity),
}

/// A limit that holds whatever is still open.
#[derive(Debug, Clone, PartialEq)]
pub struct MetLimit {
    /// The limit.
    pub limit: Limit,
    /// What its left and its right side come to; `None` where that is no amount of one unit.
    pub sides: Option<(Measure, Measure)>,
}
