//! What the flow refers to: inputs, limits, parts, tools, joints, circuits, states.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::at_place::AtPlace;
use super::inputs::Value;
use super::terms::{Amount, Condition, Number, QuantityKind, StateIs, Stated};

/// A unit that occurs in the checklist. `base = value * factor + offset`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct UnitInfo {
    /// UCUM code.
    pub code: String,
    /// As a document prints it.
    pub symbol: String,
    /// What it measures.
    pub quantity: QuantityKind,
    /// UCUM code of the base unit of that quantity.
    pub base: String,
    /// Base units in one of this unit, exact.
    pub factor: Number,
    /// Where this unit's scale has its zero, in base units; not 0 for temperatures only.
    pub offset: Number,
}

/// A part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Part {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// Its standard form.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fastener: Option<Fastener>,
    /// What it fits, for terminals.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terminal: Option<Terminal>,
    /// Its mass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass: Option<Stated>,
    /// The maker's number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<String>,
    /// Used up without a count.
    pub consumable: bool,
    /// May not be fitted twice.
    pub single_use: bool,
    /// Hazards that handling it brings.
    pub brings: Vec<String>,
    /// What its title does not say, in words: standard form, what a terminal fits, `use once`, `as needed`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub detail: Option<String>,
}

/// The standard form of a fastener.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Fastener {
    /// `bolt`, `screw`, `stud`, `nut`, `washer`
    pub kind: FastenerKind,
    /// `M8`, `1/2-13`
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thread: Option<String>,
    /// `ST4.2`, `no-8`: a self-tapping thread.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tapping: Option<String>,
    /// Where it has no machine thread.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diameter: Option<Amount>,
    /// Its length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Amount>,
    /// `8.8`, `5`
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
    /// How it is turned.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head: Option<Drive>,
    /// Further words: `nylon insert`.
    pub words: Vec<String>,
}

/// What a fastener is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the words of the trade")]
pub enum FastenerKind {
    Bolt,
    Screw,
    Stud,
    Nut,
    Washer,
}

/// What a tool grips.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Drive {
    /// Its form.
    pub kind: DriveKind,
    /// Sizes that fit, or may be met; of a tool that is set to sizes, the least.
    pub sizes: Vec<Amount>,
    /// The largest size to which a tool is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up_to: Option<Amount>,
    /// The mark of a recess: `PH2`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mark: Option<String>,
}

/// The forms of drive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the words of the trade")]
pub enum DriveKind {
    Hex,
    HexSocket,
    CrossRecess,
    Slot,
    Hexalobular,
}

/// What a terminal fits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Terminal {
    /// Sizes of wire.
    pub wires: Vec<Stated>,
    /// Threads of studs.
    pub studs: Vec<String>,
}

/// A number of a part.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Counted {
    /// Which part.
    pub part: String,
    /// Parts of which one may be there in its place; the same ones wherever one of them stands.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub or: Vec<String>,
    /// How many; the least of a range. Missing for what is used up without a count, for an amount, and where nobody knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// The most of a range of counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up_to: Option<u32>,
    /// A length, volume or mass, of what comes by that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount: Option<Amount>,
    /// In words, where it is no plain count: `2 to 4`, `1.2 m`, `number unknown`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub much: Option<String>,
    /// Why nobody knows how many there are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unknown: Option<String>,
    /// Where it comes from, in words: `bag A`, `bag A or the box`. Where parts are taken from the kit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// The same groups of the kit by their `id`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kit: Vec<String>,
    /// Of what is on the vehicle: only where this holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Condition>,
    /// The condition in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
}

/// A bag, a box, or the workshop's stock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct KitGroup {
    /// Stable name, made of its sort and its name: `bag-A`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// `bag`, `box`, `shop`
    pub kind: KitKind,
    /// `A` of `bag A`
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// As documents print it.
    pub title: String,
    /// As a sentence names it: `bag A`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub called: Option<String>,
    /// Under which condition it is supplied.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Condition>,
    /// The condition in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
    /// What is in it.
    pub entries: Vec<Counted>,
}

/// What sort of group.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum KitKind {
    /// A marked bag.
    Bag,
    /// The box.
    Box,
    /// The workshop's own stock.
    Shop,
}

/// A tool.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Tool {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// What it turns or holds.
    pub turns: Vec<Drive>,
    /// The range of a torque wrench.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torque: Option<Stated>,
    /// The range of an instrument.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measures: Option<Stated>,
    /// The smallest reading of an instrument.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reads: Option<Stated>,
    /// How many the workshop has laid out, where the procedure says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// Hazards that using it brings.
    pub brings: Vec<String>,
    /// What it turns, its range and its smallest reading, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub detail: Option<String>,
}

/// A row of the pick-list: so many of a tool, or of any of its alternatives, are laid out before the job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LaidOut {
    /// Any one of these does.
    pub any_of: Vec<String>,
    /// As many as are needed at once.
    pub count: u32,
    /// Whether the work can be done without.
    pub optional: bool,
    /// The condition in words; missing where it is always needed. The same text as `when_words`, which has its name in every
    /// other place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// The condition in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
    /// The condition: where it is false, nobody needs the tool; while it is undecided, somebody may.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub needed_if: Option<Condition>,
    /// The titles of its tools, with `or` between them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// Sizes, ranges and smallest readings in words, also the size of older heads and nuts that another tool fits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub detail: Option<String>,
    /// What an optional tool is good for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub benefit: Option<String>,
    /// The steps that use it, in order of the text.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<String>,
}

/// A row of the protective equipment that is laid out before the job.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct WornIn {
    /// Which.
    pub protection: String,
    /// Worn for the whole job.
    pub throughout: bool,
    /// The steps that ask for it, in order of the text; empty where it is worn throughout.
    pub steps: Vec<String>,
    /// The condition in words; missing where it is always needed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
    /// The condition: where it is false, nobody needs it; while it is undecided, somebody may.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub needed_if: Option<Condition>,
}

/// Protective equipment.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Protection {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// Worn for the whole job.
    pub throughout: bool,
}

/// A hazard.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Hazard {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// The least signal word that answers it.
    pub signal: Signal,
    /// The kinds of line that bring it.
    pub from: Vec<String>,
    /// Protective equipment that answers it where it is worn; any one of these.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub answered_by: Vec<String>,
    /// The licensed work that brings it, in words: `Electrical work`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub licensed: Option<String>,
}

/// The signal words of ANSI Z535.6.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Signal {
    /// Not about injury.
    Notice,
    /// Minor or moderate injury could result.
    Caution,
    /// Death or serious injury could result.
    Warning,
    /// Death or serious injury will result.
    Danger,
}

/// A named action.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Action {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// What must be so wherever it is done.
    pub needs: Vec<StateIs>,
    /// Hazards that it brings.
    pub brings: Vec<String>,
}

/// A state of the vehicle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct State {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// Where it is, of a thing that the source says once for several places.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<AtPlace>,
    /// At least two.
    pub values: Vec<Value>,
    /// Its value before the job.
    pub starts: String,
    /// The value with which the vehicle must leave.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ends: Option<String>,
    /// Under which condition there is such a state.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Condition>,
    /// It in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
}

/// How many of a part are taken, where the job shows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Taken {
    /// Ids of the part, or of parts that stand for one another.
    pub parts: Vec<String>,
    /// The least that it may be.
    pub least: u32,
    /// The most.
    pub most: u32,
}
