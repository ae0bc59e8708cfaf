//! What is known before the job or read on it, and what must hold among it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::at_place::AtPlace;
use super::terms::{Amount, Condition, QuantityKind, StateIs, Stated};

/// An input, or a result that the flow decides. Its `id` is used once over all kinds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Input {
    /// One of several values, known before the job.
    Option(ChoiceInput),
    /// One of several values, seen on the job, perhaps more than once.
    Observe(ChoiceInput),
    /// One of several values, decided by `set`.
    Result(ChoiceInput),
    /// A number, known before the job.
    Given(NumberInput),
    /// A number, measured on the job, perhaps more than once.
    Measure(NumberInput),
}

/// One of several values.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ChoiceInput {
    /// Stable name.
    pub id: String,
    /// Title or question.
    pub title: String,
    /// Where it is, of a thing that the source says once for several places.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<AtPlace>,
    /// At least one.
    pub values: Vec<Value>,
}

/// A value with its words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Value {
    /// Stable name.
    pub id: String,
    /// The words.
    pub label: String,
}

/// A number between two ends, both included. An answer outside is refused.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct NumberInput {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// Where it is, of a thing that the source says once for several places.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<AtPlace>,
    /// What is measured.
    pub quantity: QuantityKind,
    /// Lowest answer.
    pub low: Amount,
    /// Highest answer.
    pub high: Amount,
    /// Smallest reading: answers are whole multiples of it. Any number where it is missing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reads: Option<Amount>,
    /// The instrument.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool: Option<String>,
    /// The range as the manual prints it.
    pub shown: String,
    /// `reads` as the manual prints it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reads_shown: Option<String>,
    /// Under which condition on options a given is asked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Condition>,
    /// It in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
}

/// A constant.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Fact {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// The value.
    pub value: Stated,
}

/// Which inputs may go together. Where `when` holds (or is missing), `holds` must.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Rule {
    /// Stable name, made of the inputs that it speaks of.
    pub id: String,
    /// What must hold.
    pub holds: Condition,
    /// Under which condition.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Condition>,
    /// Why.
    pub reason: String,
    /// The rule in words: `Arm: powered arm goes only with Loading side: kerb side.`
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
}

/// A limit. It is decided as soon as all its inputs are known; where it breaks, the job ends with `stop`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Limit {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// Under which condition it applies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Condition>,
    /// The condition in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
    /// What must hold.
    pub holds: Condition,
    /// It in words.
    pub words: String,
    /// The step after which it is decided; missing where all inputs are known before the job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after_step: Option<String>,
    /// What the technician is told where it breaks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stop: Option<String>,
    /// What must be so before the vehicle leaves, where the limit breaks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub leave_as: Vec<StateIs>,
}

/// An option or given that was settled when the file was made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Chosen {
    /// Name of the option or given in the full procedure.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Name of the value of an option; missing for a given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<String>,
    /// Value of a given; missing for an option.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount: Option<Amount>,
    /// The value in words.
    pub words: String,
    /// Whether nobody chose it: the rules leave nothing else.
    pub follows: bool,
}
