//! The checklist: what an app needs to walk a technician through the job, offline.
//!
//! The types here are the file format. They are plain data of their own, never derived from the model, so that a change
//! of the model changes no file by accident. What they mean to a reader stands in `site/checklist-format.md`. Their
//! documentation becomes that of the JSON Schemas, which are kept in `site/schema/`: write them anew with
//! `FITWRIGHT_WRITE_SCHEMA=1 cargo test --test all published_schemas`.
//!
//! # Versions
//! A new optional member raises the minor version; readers ignore members that they do not know. What a reader must know
//! raises the major version, and the schema's file name with it, or stands in `features_required`.

pub mod at_place;
mod fill;
pub mod flow;
pub mod inputs;
pub mod joined;
pub mod people;
pub mod terms;
pub mod things;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::EmitError;
use crate::plan::Plan;
use crate::schema::{self, For};

/// The name of the format.
pub const FORMAT_NAME: &str = "fitwright-checklist";
/// Its version.
pub const FORMAT_VERSION: &str = "1.5.0";
/// The address of its schema for writers.
pub const SCHEMA_ID: &str = "urn:fitwright:checklist:1";
/// The address of its schema for readers.
pub const READER_SCHEMA_ID: &str = "urn:fitwright:checklist:1:reader";

/// A procedure for an app.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[schemars(title = "Fitwright checklist")]
pub struct Checklist {
    /// Name and version of the format.
    pub format: Format,
    /// What a reader must be able to do beyond version 1.0; a reader refuses the file where it knows one of them not.
    pub features_required: Vec<String>,
    /// What wrote the file.
    pub compiler: Compiler,
    /// SHA-256 over the list of the source files: for each a line with its SHA-256, two blanks, its name.
    #[schemars(extend("pattern" = "^[0-9a-f]{64}$"))]
    pub source_digest: String,
    /// Which procedure.
    pub procedure: About,
    /// The options and givens that were settled when the file was made; missing for the full procedure. Nothing in the
    /// file asks for them any more, and what other values lead to is not in it. A record carries them on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub effectivity: Vec<inputs::Chosen>,
    /// What a tailored file leaves out of the full procedure, in words: `section 4`, `steps 2.3 to 2.5`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<String>,
    /// The limits that are decided by the effectivity, and hold.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub met: Vec<MetLimit>,
    /// Every unit that occurs.
    pub units: Vec<things::UnitInfo>,
    /// Inputs and results, in order of declaration: choices, then numbers.
    pub inputs: Vec<inputs::Input>,
    /// Constants.
    pub facts: Vec<inputs::Fact>,
    /// Which inputs may go together.
    pub rules: Vec<inputs::Rule>,
    /// Limits.
    pub limits: Vec<inputs::Limit>,
    /// Parts.
    pub parts: Vec<things::Part>,
    /// What is supplied.
    pub kit: Vec<things::KitGroup>,
    /// Loose parts that are on the vehicle before the job.
    pub vehicle: Vec<things::Counted>,
    /// Tools.
    pub tools: Vec<things::Tool>,
    /// How many of which tool are laid out before the job.
    pub lay_out: Vec<things::LaidOut>,
    /// What of the protective equipment is laid out before the job: first what is worn throughout.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub wear: Vec<things::WornIn>,
    /// Protective equipment.
    pub protection: Vec<things::Protection>,
    /// Hazards.
    pub hazards: Vec<things::Hazard>,
    /// Named actions.
    pub actions: Vec<things::Action>,
    /// Joints.
    pub joints: Vec<joined::Joint>,
    /// Circuits.
    pub circuits: Vec<joined::Circuit>,
    /// States of the vehicle.
    pub states: Vec<things::State>,
    /// Pictures.
    pub assets: Vec<Asset>,
    /// The flow: sections in order.
    pub flow: Vec<flow::Section>,
}

/// Name and version of the format.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Format {
    /// `fitwright-checklist`
    #[schemars(extend("const" = FORMAT_NAME))]
    pub name: String,
    /// Semantic version.
    #[schemars(extend("pattern" = r"^1\.[0-9]+\.[0-9]+$"))]
    pub version: String,
}

/// What wrote the file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Compiler {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
}

/// Which procedure, and what a person must know of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct About {
    /// Stable name.
    pub id: String,
    /// Title.
    pub title: String,
    /// The language of its texts, a tag of RFC 5646 such as `de`; missing where the file names none. Words of ours are in it where the checklist was built in it, else English.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub language: Option<String>,
    /// Its revision.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub revision: Option<Revision>,
    /// What it is for.
    pub text: Vec<flow::Prose>,
    /// What it fits.
    pub fits: Vec<String>,
    /// Who may do it.
    pub skill: Vec<String>,
    /// Where local codes or licensed practice decide.
    pub licence: Vec<String>,
    /// The sentence that stands below these on every manual; an app shows it with them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub local_codes: Option<String>,
    /// How long the job takes and how many people it needs; missing where no step states a time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub time: Option<JobTime>,
}

/// How long the job takes, in words as the manual prints them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JobTime {
    /// `1 h 10 min to 2 h 5 min`
    pub total: String,
    /// The longest time without repairs, an ISO 8601 duration in whole minutes: `PT125M`.
    #[schemars(extend("pattern" = "^PT[0-9]+M$"))]
    pub longest: String,
    /// The time with each value of the option that decides most about it.
    pub cases: Vec<TimeCase>,
    /// What repairs can add, and which steps are not counted.
    pub remarks: Vec<String>,
    /// `2 people`
    pub people: String,
    /// In which steps more than one are needed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub people_remark: Option<String>,
}

/// The time with one value of an option.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct TimeCase {
    /// The value in words.
    pub when_words: String,
    /// The time.
    pub time: String,
}

/// A limit that holds whatever is still open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct MetLimit {
    /// Name of the limit in the full procedure.
    pub id: String,
    /// Title.
    pub title: String,
    /// The condition under which it applies, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when_words: Option<String>,
    /// It in words.
    pub words: String,
    /// What its sides come to: `98 kg ≤ 150 kg`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub numbers: Option<String>,
}

/// A revision.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Revision {
    /// `C`
    pub mark: String,
    /// ISO 8601 date.
    #[schemars(extend("format" = "date"))]
    pub date: String,
}

/// A picture.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Asset {
    /// Its path in the project, which names it.
    pub path: String,
    /// `image/png`, …
    pub media_type: String,
    /// Of its bytes.
    #[schemars(extend("pattern" = "^[0-9a-f]{64}$"))]
    pub sha256: String,
    /// Its bytes in base64 (RFC 4648).
    #[schemars(extend("contentEncoding" = "base64"))]
    pub data: String,
}

/// The checklist of a procedure, as data.
///
/// # Errors
/// Where a picture is missing or no picture.
pub fn checklist(
    plan: &Plan,
    source_digest: &str,
    figures: &dyn Fn(&str) -> Option<Vec<u8>>,
) -> Result<Checklist, EmitError> {
    fill::checklist(plan, source_digest, figures)
}

/// The JSON Schema (2020-12) of the format, as it is published for writers or for readers.
pub fn schema(whom: For) -> String {
    schema::text::<Checklist>(if whom == For::Writers { SCHEMA_ID } else { READER_SCHEMA_ID }, whom)
}
