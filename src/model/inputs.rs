//! What is known before the job, read on the job, or decided by the procedure.

use super::{Cond, Naming, ToolId};
use crate::quantity::{Measure, Quantity};
use crate::source::Span;

/// One of several values.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Name and title (or question).
    pub name: Naming,
    /// When it becomes known.
    pub kind: ChoiceKind,
    /// Made of what a check expects to be seen, so that the source gives it no name.
    pub seen: bool,
    /// At least one value.
    pub values: Vec<Value>,
}

/// When a choice becomes known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ChoiceKind {
    /// Before the job.
    Option,
    /// Read on the job, perhaps more than once.
    Observe,
    /// Set by the procedure.
    Result,
}

/// A value of a choice or of a state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Value {
    /// The name in the source.
    pub id: String,
    /// The words.
    pub label: String,
    /// Where.
    pub span: Span,
}

/// A number.
#[derive(Debug, Clone, PartialEq)]
pub struct NumberInput {
    /// Name and title.
    pub name: Naming,
    /// When it becomes known.
    pub kind: NumberKind,
    /// Under which condition on options a given is there; everywhere where there is none.
    pub when: Option<Cond>,
    /// Lowest possible value.
    pub low: Quantity,
    /// Highest possible value, of the same kind.
    pub high: Quantity,
    /// Where the range stands.
    pub range_span: Span,
    /// The smallest step of a reading. Readings are the multiples of it between `low` and `high`. A given without it can
    /// be any value in the range.
    pub reads: Option<Quantity>,
    /// The instrument.
    pub with: Option<ToolId>,
}

/// When a number becomes known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NumberKind {
    /// Before the job.
    Given,
    /// Read on the job, perhaps more than once.
    Measure,
}

/// A constant.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// Its name.
    pub name: Naming,
    /// Its value.
    pub value: Measure,
    /// Where the value stands.
    pub value_span: Span,
}

/// `require … when … "reason"`
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// What must hold.
    pub holds: Cond,
    /// Under which condition.
    pub when: Option<Cond>,
    /// Why.
    pub reason: String,
    /// The statement.
    pub span: Span,
}

/// A limit. It is decided as soon as all its inputs are known; a vehicle that breaks it is turned away.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Name and title.
    pub name: Naming,
    /// Under which condition it applies.
    pub when: Option<Cond>,
    /// What must hold.
    pub holds: super::Comparison,
    /// What the technician is told where it breaks.
    pub otherwise: Option<super::Said>,
    /// The statement.
    pub span: Span,
}
