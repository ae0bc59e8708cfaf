//! The lines of a tally, as they are written: one JSON object each.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::record::Verdict;

/// The name of the format.
pub const FORMAT_NAME: &str = "fitwright-tally";
/// Its version.
pub const FORMAT_VERSION: &str = "1.0.0";

/// One line of a tally. The first is `tally`; then what to look at first; then the figures, in the order of the procedure; then what
/// is listed one by one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[schemars(title = "A line of a Fitwright tally")]
pub enum Line {
    /// What was counted.
    Tally(Head),
    /// A checklist, and the records that name it.
    Revision(Revision),
    /// Something to look at first.
    LookFirst(Look),
    /// The answers or readings of an input.
    Reading(Reading),
    /// An arm of a branch.
    Arm(Arm),
    /// The torques of a joint: of all wrenches where `wrench` is missing, else of one.
    Torque(Torque),
    /// A step.
    Step(Step),
    /// A stop or limit at which jobs ended.
    Stop(Stop),
    /// Entries that look made up.
    MadeUp(MadeUp),
    /// A person, where people are asked for.
    Person(Person),
    /// A record that is left out.
    LeftOut(LeftOut),
}

/// What was counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Head {
    /// `fitwright-tally`
    pub format: String,
    /// Semantic version of the format.
    #[schemars(extend("pattern" = r"^1\.[0-9]+\.[0-9]+$"))]
    pub version: String,
    /// Id of the procedure.
    pub procedure: String,
    /// Its title.
    pub title: String,
    /// How many records there were.
    pub records: u64,
    /// How many count.
    pub counted: u64,
    /// How many were altered, and are left out.
    pub altered: u64,
    /// How many can't be read, and are left out.
    pub unreadable: u64,
    /// How many are by none of the checklists, and are left out.
    pub other_revision: u64,
}

/// A checklist, and the records that name it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Revision {
    /// What it is called in the other lines: the mark of its revision, with the start of its digest where two have that mark.
    pub revision: String,
    /// Its digest.
    #[schemars(extend("pattern" = "^[0-9a-f]{64}$"))]
    pub digest: String,
    /// For what fitting it was made, in words; missing where for all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fitting: Option<String>,
    /// How many records count.
    pub counted: u64,
    /// The day of the first of them; missing where there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first: Option<String>,
    /// The day of the last.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last: Option<String>,
    /// How many ended with their handover.
    pub handed_over: u64,
    /// How many ended at a stop or a limit.
    pub stopped: u64,
    /// How many were broken off.
    pub broken_off: u64,
    /// How many have no end.
    pub open: u64,
    /// How many have nothing wrong.
    pub complete: u64,
    /// How many miss something.
    pub missing: u64,
    /// How many have an event that did not fit when it was written.
    pub out_of_order: u64,
    /// How many have a value that the checklist does not accept.
    pub out_of_tolerance: u64,
}

/// What something to look at first is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Topic {
    /// Readings that crowd an edge: `count` of `of` in the last strip before it.
    CrowdedEdge,
    /// An arm that no job took, though `of` came to its branch.
    ArmNeverTaken,
    /// Torques whose Cpk is `figure`, of `count`.
    LowCapability,
    /// A check that was repaired `count` times in `of` doings.
    Repairs,
    /// A step with `count` corrections and withdrawals in `of` doings.
    Corrections,
    /// A step that took longer than it takes `count` times of `of`, by `figure` seconds together.
    OverTime,
    /// Runs of equal entries, `count` of them.
    MadeUp,
}

/// Something to look at first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Look {
    /// What it is.
    pub topic: Topic,
    /// Of which checklist.
    pub revision: String,
    /// Id of the input, the joint or the step.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Number of the step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<String>,
    /// Which end of what is asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// Which edge, arm or wrench.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
    /// How many.
    pub count: u64,
    /// Of how many.
    pub of: u64,
    /// Cpk; seconds; where the edge is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub figure: Option<f64>,
}

/// How often a value came.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Counted {
    /// Id of the value, or the number, exactly, in the unit of the line; the middle of a bin where it is binned.
    pub value: String,
    /// What the value is called.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// The number in floating point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<f64>,
    /// How often.
    pub count: u64,
}

/// The answers or readings of an input. All that count are counted, those before a repair too.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Reading {
    /// Of which checklist.
    pub revision: String,
    /// Id of the input.
    pub id: String,
    /// Its title.
    pub title: String,
    /// UCUM code of the unit of all numbers; missing for values that are chosen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// The unit in print.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub symbol: Option<String>,
    /// How many.
    pub count: u64,
    /// The lower end of the scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// Its upper end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
    /// The smallest reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reads: Option<f64>,
    /// The mean.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mean: Option<f64>,
    /// The sample standard deviation (n − 1).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub deviation: Option<f64>,
    /// The lower quartile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower_quartile: Option<f64>,
    /// The median.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub median: Option<f64>,
    /// The upper quartile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper_quartile: Option<f64>,
    /// Whether there were too many different values to be told apart.
    pub binned: bool,
    /// The values, ascending, or in the order of the checklist; those that nobody chose too.
    pub values: Vec<Counted>,
    /// The edges that arms and checks draw on the scale.
    pub edges: Vec<Edge>,
}

/// Which end of an interval.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Its lower end.
    Lower,
    /// Its upper end.
    Upper,
}

/// An end of what an arm or a check asks for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Edge {
    /// Id of the branch, or of the check's step.
    pub of: String,
    /// What is asked for, in words.
    pub words: String,
    /// Which end.
    pub side: Side,
    /// Where it is, in the unit of the line.
    pub at: f64,
    /// Whether the end belongs to the interval.
    pub included: bool,
    /// How wide the strip before it is.
    pub strip: f64,
    /// How many readings lie in the strip, inside the interval.
    pub near: u64,
    /// How many in a strip of that width that lies next to it, further inside.
    pub next: u64,
    /// How many in one outside, beyond the edge.
    pub outside: u64,
    /// How many lie in the interval.
    pub inside: u64,
    /// Which part of the interval the strip would hold where all readings came alike often; missing where that says nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub even: Option<f64>,
    /// Whether readings crowd there.
    pub crowded: bool,
}

/// An arm of a branch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Arm {
    /// Of which checklist.
    pub revision: String,
    /// Id of the branch.
    pub branch: String,
    /// Id of the input that decides.
    pub input: String,
    /// Its title.
    pub title: String,
    /// What the arm covers; missing for one that takes what no other does and does not say it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<String>,
    /// How often it was taken.
    pub count: u64,
    /// How often the branch was come to.
    pub of: u64,
}

/// A wrench.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Wrench {
    /// Id of the tool, where the record has it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool: Option<String>,
    /// Its number or calibration mark, where the record has it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// Whether it stands for all that came when there were too many to be told apart.
    pub others: bool,
}

/// The torques of a joint. Those that were out of tolerance and remedied count among those that were read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Torque {
    /// Of which checklist.
    pub revision: String,
    /// Id of the joint.
    pub joint: String,
    /// Its title.
    pub title: String,
    /// Numbers of the steps that write them down.
    pub steps: Vec<String>,
    /// By which wrench; missing where by all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wrench: Option<Wrench>,
    /// UCUM code of the unit of all numbers.
    pub unit: String,
    /// The unit in print.
    pub symbol: String,
    /// The torque in print.
    pub shown: String,
    /// Lower limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// Upper limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
    /// How many were read.
    pub count: u64,
    /// How many are what a wrench was set to that clicked: they are no readings, and no figure here has them.
    pub clicked: u64,
    /// How many lie outside the limits, set ones too.
    pub outside: u64,
    /// How many were done again.
    pub remedied: u64,
    /// The mean.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mean: Option<f64>,
    /// The sample standard deviation (n − 1).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub deviation: Option<f64>,
    /// Cp.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cp: Option<f64>,
    /// Cpk.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cpk: Option<f64>,
    /// Whether there are too few for a capability figure to say much.
    pub few: bool,
    /// Whether there were too many different values to be told apart.
    pub binned: bool,
    /// The values that were read, ascending.
    pub values: Vec<Counted>,
}

/// A step. Times are seconds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Step {
    /// Of which checklist.
    pub revision: String,
    /// Its id.
    pub step: String,
    /// Its number.
    pub number: String,
    /// Its title.
    pub title: String,
    /// How often it was done.
    pub done: u64,
    /// How often its repair was done.
    pub repairs: u64,
    /// How often the job went on though it failed.
    pub went_on: u64,
    /// How many jobs stopped after it.
    pub stops: u64,
    /// How many of its entries were corrected.
    pub corrections: u64,
    /// How many of its events were taken back.
    pub withdrawals: u64,
    /// How many runs of equal entries it has.
    pub made_up: u64,
    /// How often its time was counted.
    pub timed: u64,
    /// How often not: left lying for more than four hours, or by a clock that went backwards.
    pub untimed: u64,
    /// What it takes at least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub takes_low: Option<f64>,
    /// What it takes at most.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub takes_high: Option<f64>,
    /// The lower quartile of the time from its begin to its end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower_quartile: Option<f64>,
    /// The median.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub median: Option<f64>,
    /// The upper quartile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper_quartile: Option<f64>,
    /// How often it took longer than it takes at most.
    pub over: u64,
    /// By how much together.
    pub over_seconds: f64,
    /// How often it took less than a tenth of what it takes at least.
    pub quick: u64,
}

/// A stop or limit at which jobs ended.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Stop {
    /// Of which checklist.
    pub revision: String,
    /// Id of the stop or limit.
    pub id: String,
    /// Number of the step before it; missing where the job stopped before its first step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<String>,
    /// What is told there.
    pub text: String,
    /// How many jobs ended there.
    pub count: u64,
}

/// Entries that look made up: a run of equal numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MadeUp {
    /// Of which checklist.
    pub revision: String,
    /// The record.
    pub record: String,
    /// The line of the first of them.
    pub line: u32,
    /// The line of the last.
    pub last_line: u32,
    /// Number of the step.
    pub step: String,
    /// What was written down.
    pub title: String,
    /// How many.
    pub entries: u64,
    /// The number, exactly.
    pub value: String,
    /// The unit in print.
    pub symbol: String,
    /// Seconds from the first to the last.
    pub seconds: f64,
    /// By whom, where people are asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
}

/// A person, where people are asked for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Person {
    /// The name as written; missing for all that came when there were too many to be told apart.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// In how many records.
    pub records: u64,
    /// How many steps were done.
    pub steps: u64,
    /// How many answers, readings and torques were written.
    pub entries: u64,
    /// How many corrections and withdrawals.
    pub changes: u64,
    /// How many runs of equal entries.
    pub made_up: u64,
}

/// Why a record is left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Refused {
    /// Changed after it was written.
    Altered,
    /// It can't be read.
    Unreadable,
    /// It is by none of the checklists.
    OtherRevision,
}

impl Refused {
    /// The verdict that it comes from.
    pub fn verdict(self) -> Verdict {
        match self {
            Refused::Altered => Verdict::Altered,
            Refused::Unreadable => Verdict::Unreadable,
            Refused::OtherRevision => Verdict::OtherRevision,
        }
    }
}

/// A record that is left out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LeftOut {
    /// The record.
    pub record: String,
    /// Why.
    pub verdict: Refused,
    /// In which line of the record, from 1; missing where it is the file as a whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<u32>,
    /// In which column.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub column: Option<u32>,
    /// What is wrong, in a sentence.
    pub message: String,
}
