//! Who does a step, how many they are, and how long they take.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::terms::Stated;

/// Time and people.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Takes {
    /// The time.
    pub time: Stated,
    /// At least one.
    pub people: u32,
    /// Both in words: `10 min, 2 people`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
}

/// People, of a step that states no time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Team {
    /// At least one.
    pub people: u32,
    /// In words: `2 people`.
    pub words: String,
}

/// Work that codes keep for those whom they permit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Qualified {
    /// Which work: `Electrical work`.
    pub work: Vec<String>,
    /// What an app shows: which work, and who decides about it.
    pub words: String,
}

/// Who does not do a check.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct AnotherPerson {
    /// The steps of which whoever does the check has done none and has helped in none.
    pub not_of: Vec<String>,
    /// What an app shows: `Another person, who did none of steps 2.1 to 2.4`.
    pub words: String,
}
