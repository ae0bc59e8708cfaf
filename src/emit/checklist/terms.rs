//! What conditions and amounts are made of.
//!
//! Exact numbers travel as text: a reader of JSON may turn a number into a binary fraction, and 24.95 would not be
//! 24.95 any more.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// An exact number: a decimal, or, where its decimals never end, a fraction.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
#[schemars(extend("pattern" = r"^-?[0-9]+(\.[0-9]+|/[1-9][0-9]*)?$"))]
pub struct Number(pub String);

/// A value in a unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Amount {
    /// The value in that unit.
    pub value: Number,
    /// UCUM code; `units` says how to convert it.
    pub unit: String,
}

/// What sort of thing is measured. UCUM does not tell torque from energy; this does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the words of physics; `share` is a part of a whole")]
pub enum QuantityKind {
    Length,
    Mass,
    Force,
    Torque,
    Energy,
    Pressure,
    Area,
    Volume,
    Voltage,
    Current,
    Resistance,
    Power,
    Charge,
    Time,
    Temperature,
    TemperatureDifference,
    Angle,
    Speed,
    Share,
    WireGauge,
    PerLength,
}

/// One end of an interval.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Bound {
    /// The value in that unit.
    pub value: Number,
    /// UCUM code.
    pub unit: String,
    /// Whether the value itself belongs to the interval.
    pub included: bool,
}

/// A stated amount. Whether a reading fits is decided by `low` and `high` alone; a missing end is open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Stated {
    /// How it is stated.
    pub form: Form,
    /// The stated value, for `exact` and `tolerance`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<Amount>,
    /// Half the width, for `tolerance`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plus_minus: Option<Amount>,
    /// Lower end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low: Option<Bound>,
    /// Upper end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<Bound>,
    /// As the manual prints it, in the procedure's unit systems.
    pub shown: String,
}

/// The ways to state an amount.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// One value. `low` and `high` are both that value.
    Exact,
    /// A value, more or less.
    Tolerance,
    /// From one value to another.
    Range,
    /// That or more.
    AtLeast,
    /// That or less.
    AtMost,
    /// More.
    Over,
    /// Less.
    Below,
}

/// A condition over inputs. An input without an answer, or one in a part of the flow that was not passed, leaves its
/// condition undecided. Parts are read from left to right: of `all` the first that is false or undecided is the result, of
/// `any` the first that is true or undecided; `not` of undecided is undecided. Nothing undecided may be passed. Numbers
/// compare in base units (see `units`).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "op", rename_all = "kebab-case")]
pub enum Condition {
    /// The choice has this value.
    Is {
        /// Which choice.
        input: String,
        /// Which value.
        value: String,
    },
    /// The number lies in the interval.
    In {
        /// Which number.
        input: String,
        /// Lower end; open where it is missing.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        low: Option<Bound>,
        /// Upper end; open where it is missing.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        high: Option<Bound>,
    },
    /// All hold.
    All {
        /// Which.
        of: Vec<Condition>,
    },
    /// At least one holds.
    Any {
        /// Which.
        of: Vec<Condition>,
    },
    /// It does not hold.
    Not {
        /// Which.
        of: Box<Condition>,
    },
    /// Two values compare so.
    Compare {
        /// Left side.
        left: Expression,
        /// How.
        relation: Relation,
        /// Right side.
        right: Expression,
    },
}

/// How two values compare.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Relation {
    /// Left is not more than right.
    AtMost,
    /// Left is less than right.
    Below,
    /// Left is not less than right.
    AtLeast,
    /// Left is more than right.
    Over,
    /// Both are the same.
    Equal,
}

/// Arithmetic over facts, inputs and amounts, in base units. Exact: with fractions, not with binary floating point.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "op", rename_all = "kebab-case")]
pub enum Expression {
    /// A constant.
    Fact {
        /// Which.
        fact: String,
        /// Its value in base units.
        amount: Amount,
    },
    /// The answer to an input.
    Input {
        /// Which.
        input: String,
    },
    /// A written amount.
    Amount {
        /// The amount.
        amount: Amount,
    },
    /// A bare number.
    Number {
        /// The number.
        value: Number,
    },
    /// left + right
    Add {
        /// Left side.
        left: Box<Expression>,
        /// Right side.
        right: Box<Expression>,
    },
    /// left - right
    Subtract {
        /// Left side.
        left: Box<Expression>,
        /// Right side.
        right: Box<Expression>,
    },
    /// left * right
    Multiply {
        /// Left side.
        left: Box<Expression>,
        /// Right side.
        right: Box<Expression>,
    },
    /// The least of them.
    Least {
        /// Two or more, of one kind.
        of: Vec<Expression>,
    },
    /// The greatest of them.
    Greatest {
        /// Two or more, of one kind.
        of: Vec<Expression>,
    },
    /// left / right; undecided where right is zero.
    Divide {
        /// Left side.
        left: Box<Expression>,
        /// Right side.
        right: Box<Expression>,
    },
}

/// A state and a value of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StateIs {
    /// Which state.
    pub state: String,
    /// Which value.
    pub value: String,
    /// Both in words: `Engine: stopped`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
}
