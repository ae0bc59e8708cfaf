//! What is bolted and what is wired: joints and circuits, with their numbers.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::at_place::AtPlace;
use super::terms::StateIs;
use super::terms::{Condition, Stated};
use super::things::Counted;

/// A joint. Either `torque` or `tight` is there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Joint {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// Where it is, of a thing that the source says once for several places.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<AtPlace>,
    /// Under which condition it exists.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Condition>,
    /// The condition in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
    /// The parts of one fastening.
    pub each: Vec<Counted>,
    /// How many fastenings; one where nobody knows how many there are.
    pub count: u32,
    /// Why nobody knows how many there are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uncounted: Option<String>,
    /// What each fastening is tightened to; a torque outside `low` to `high` is refused.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torque: Option<Stated>,
    /// What a person sees when it is tight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tight: Option<String>,
    /// The thread's condition in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thread: Option<String>,
    /// What the bolt clamps.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grip: Option<Stated>,
    /// The tapped hole that the bolt goes into.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub into: Option<TappedHole>,
    /// The stud that is there already and takes the nut.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub onto: Option<Stud>,
    /// In which order the fastenings are tightened, and in how many stages.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pattern: Option<Pattern>,
    /// When it is tightened again after the job; the handover tells it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub again: Option<Again>,
    /// In which order the fastenings are loosened, and in how many stages.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loosened: Option<Loosened>,
    /// What is done one after the other until it is tight; left out where it is one torque. `torque` has the last of its
    /// torques, and all of it in words; where there is none, `tight` has the words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stages: Vec<Stage>,
    /// Made and tight before the job.
    pub on_vehicle: bool,
    /// What the torque clamps with and which share of what the bolt bears that is, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clamps_with: Option<String>,
}

/// A tapped hole.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct TappedHole {
    /// Its metal in words: `cast iron`.
    pub metal: String,
    /// Depth of its full thread.
    pub depth: Stated,
}

/// A stud that is part of the vehicle or of a component.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Stud {
    /// `M8`
    pub thread: String,
    /// Its class or grade, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<String>,
}

/// What is done in one go as a fastening is tightened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Stage {
    /// What is done. (A member `kind` would be a closed list, of which older readers refuse a new word.)
    pub what: StageKind,
    /// To which torque, or by which angle; none where it is loosened, or goes by what is seen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount: Option<Stated>,
    /// What is seen at its end, where that says how far: `the seal touches`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<String>,
    /// What goes on while it is done: `the hub is turned`.
    #[serde(default, rename = "while", skip_serializing_if = "Option::is_none")]
    pub meanwhile: Option<String>,
}

/// What a stage does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StageKind {
    /// Until something can be seen.
    Seen,
    /// On to a torque.
    Torque,
    /// On by an angle.
    Angle,
    /// Loosened again.
    Loosen,
    /// Back by an angle, and left so.
    BackOff,
}

/// How several fastenings are tightened together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Pattern {
    /// The order within a stage.
    pub order: PatternOrder,
    /// How many times all fastenings are gone over; the last time to the torque itself.
    pub stages: u32,
    /// What the wrench is set to in the stages before the last.
    pub early: Vec<Stated>,
    /// All of it in words: `crosswise in 2 stages, first to 11 N·m`.
    pub words: String,
}

/// When a joint is tightened again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Again {
    /// What counts, whichever comes first.
    pub after: Vec<Due>,
    /// All of it in words, behind `after`: `50 km (31 mi) or 10 h of running, whichever comes first`.
    pub words: String,
}

/// A distance or time after which something is due.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Due {
    /// How far or how long.
    pub after: Stated,
    /// Whether only the time counts in which it runs; missing where it does not.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub running: bool,
}

/// How several fastenings are loosened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Loosened {
    /// The order within a stage: `cross`, `outside-in` or `in-turn`.
    pub order: String,
    /// How many times all fastenings are gone over; missing where that is left to the technician.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stages: Option<u32>,
    /// By how much each is turned back in a stage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Stated>,
    /// All of it in words: `from the outside inwards in 3 stages, each time by 1/4 turn`.
    pub words: String,
}

/// The order within a stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PatternOrder {
    /// Across from each other.
    Cross,
    /// From the middle outwards.
    CentreOut,
    /// One after another.
    InTurn,
}

/// A circuit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Circuit {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// Where it is, of a thing that the source says once for several places.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<AtPlace>,
    /// Under which condition it exists.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<Condition>,
    /// The condition in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
    /// What is stated of it, in order.
    pub facts: Vec<CircuitFact>,
    /// The metal of the conductor.
    pub metal: String,
    /// Points in order; the first is the source.
    pub points: Vec<Point>,
    /// While one of these holds, the source is isolated.
    pub isolated_by: Vec<StateIs>,
    /// Size and metal of the wire in words: `8 AWG copper`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wire_words: Option<String>,
    /// How the current flows back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub way_back: Option<WayBack>,
    /// How many wires that carry current lie together, its own included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bundle: Option<u32>,
    /// In a sheath or conduit from the source to the breaker or fuse; missing where it is not.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub sheathed: bool,
    /// From the battery to the starter motor: its load flows while the engine is cranked; missing where it does not.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub starter_cable: bool,
    /// The voltage drop that was worked out, and what is allowed, in words: `4.39 %, at most 5 %`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drop_words: Option<String>,
    /// What the wire carries at this insulation and temperature, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carries_words: Option<String>,
    /// The fuse or breaker that a step puts in: a part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protection_part: Option<String>,
    /// That nothing feeds it in this job, and who feeds it later, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fed_later: Option<String>,
    /// Its conductors, in the order of the wire list; missing where none are listed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conductors: Vec<Conductor>,
}

/// How the current of a circuit flows back to its source.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct WayBack {
    /// Through the chassis; else by a wire like the one there.
    pub chassis: bool,
    /// The resistance of the chassis, where it is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resistance: Option<Stated>,
    /// In words.
    pub words: String,
}

/// One amount of a circuit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CircuitFact {
    /// Which.
    pub what: CircuitFactKind,
    /// How much.
    pub amount: Stated,
}

/// The amounts of a circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CircuitFactKind {
    /// Source voltage.
    Source,
    /// Continuous load.
    Load,
    /// Length one way.
    Run,
    /// Gauge or area of the wire.
    Wire,
    /// What the insulation bears.
    Insulation,
    /// Warmest place on the run.
    Ambient,
    /// Rating of the breaker.
    Breaker,
    /// Rating of the fuse.
    Fuse,
    /// Rating of what protects the wire before its source.
    Upstream,
    /// Distance of breaker or fuse along the wire from the source.
    ProtectionAt,
    /// Largest voltage drop.
    Drop,
}

/// A point of a circuit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Point {
    /// Stable name, used once in its circuit.
    pub id: String,
    /// The words.
    pub title: String,
    /// The terminal: a part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terminal: Option<String>,
    /// The stud's thread.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stud: Option<String>,
    /// Its number: 1 for the point that is connected first. Schematic, manual and lines show it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub order: Option<u32>,
    /// Terminal and stud in words: `Lug, 8 AWG, M8; stud M8`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub detail: Option<String>,
    /// Which ends of conductors are here, in words: `1 red, pin 1; 2 black, pin 2`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ends: Option<String>,
    /// How many pins its connector has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pins: Option<u32>,
    /// The contacts of its connector: `male` or `female`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gender: Option<String>,
    /// The point of the same circuit whose connector goes into this one, pin 1 to pin 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mates: Option<String>,
    /// That this job does not connect it, and who does later, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub connected_later: Option<String>,
}

/// A conductor of a circuit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Conductor {
    /// Its number in its circuit, from 1.
    pub number: u32,
    /// Its colour, base before stripe: `red/white`.
    pub colour: String,
    /// The letter code of the colour by IEC 60757: `RDWH`.
    pub code: String,
    /// What it carries, in a word of the writer's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carries: Option<String>,
    /// Title.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// One end.
    pub from: WireEnd,
    /// The other end.
    pub to: WireEnd,
    /// Gauge or area: its own, or the one of the circuit's wire.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<Stated>,
    /// Length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Stated>,
    /// What is marked on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
}

/// An end of a conductor.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct WireEnd {
    /// A point of the circuit.
    pub point: String,
    /// The pin of the connector there, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pin: Option<u32>,
}

/// What a torque wrench is set to where it turns a joint through an adapter. The joint's own `torque` stays what is recorded.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Setting {
    /// The torque wrench.
    pub wrench: String,
    /// The adapters, one or more.
    pub adapters: Vec<String>,
    /// The setting, and why, in one sentence.
    pub words: String,
    /// The setting alone, in words; missing where nobody states how long the wrench is, and where it is the torque itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub set: Option<String>,
    /// The setting that belongs to the torque of the joint.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<Stated>,
}
