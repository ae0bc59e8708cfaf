//! Places at which things are that the source says once for all of them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One place of a group. The titles of what is there name the place already; this is for those who show a block once with
/// its places, or lead through them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct AtPlace {
    /// The name that the things of all places have in the source: the same of all copies.
    pub of: String,
    /// The title without the place.
    pub title: String,
    /// Stable name of the group: `corner`.
    pub among: String,
    /// Its title.
    pub among_title: String,
    /// Stable name of the place: `front-left`.
    pub place: String,
    /// The place in words.
    pub label: String,
}
