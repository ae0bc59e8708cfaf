//! A line of an answer as JSON: one object a line.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::schema::{self, For};

/// The version of the format.
pub const VERSION: &str = "1.0";

/// What is said of one row with one choice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(rename = "FitLine")]
pub struct FitLine {
    /// The version of this format, major and minor.
    pub fit: String,
    /// The line of the table on which the row begins, from 1. Of a table without a head, of what was read.
    pub line: u64,
    /// `fits`; `no`, it does not; `depends`, on what `depends` lists; `unread`, something in the row can't be read.
    pub verdict: String,
    /// The row as it came, by the heads of its columns.
    pub row: BTreeMap<String, String>,
    /// The value of every option, by its name. Empty where the row is unread.
    pub choice: BTreeMap<String, String>,
    /// By how much each limit that applies, or may apply, is kept.
    pub margins: Vec<Margin>,
    /// By what it does not fit.
    pub by: Vec<By>,
    /// On what it depends.
    pub depends: Vec<DependsOn>,
    /// The arms of the branches over options and givens that are taken, in words.
    pub arms: Vec<String>,
    /// What of the kit is laid out.
    pub kit: Vec<Group>,
    /// Readings and results for which stops of the flow still wait; they are not part of the verdict, and neither are checks.
    pub on_the_job: Vec<String>,
    /// The build for it; left out where it does not fit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub build: Option<Build>,
    /// What can't be read in the row.
    pub messages: Vec<Message>,
}

/// By how much a limit is kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Margin {
    /// The limit.
    pub limit: String,
    /// The unit, as the language spells it.
    pub unit: String,
    /// At least so much is left, rounded down to a thousandth; below zero where the limit is broken.
    pub least: f64,
    /// At most so much is left, rounded down to a thousandth.
    pub most: f64,
    /// The same as `least`, exact: a decimal, or a fraction in lowest terms.
    pub exact: String,
    /// The least margin in per cent of the right side of the limit, rounded down to a tenth; left out where that side is open or
    /// nothing, or a point on a scale.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub percent: Option<f64>,
}

/// By what it does not fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct By {
    /// `limit`, `rule`, `stop`, or `finding`, a fault of the procedure itself with this choice; more words may come.
    pub what: String,
    /// The name of the limit, the code of the finding; left out where it has no name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What the procedure says for the case.
    pub says: String,
}

/// On what it depends.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DependsOn {
    /// The given, reading or observation.
    pub on: String,
    /// The unit of the ranges, as the language spells it; left out where it is not a number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Here it fits whatever the other open ones come to, as far as those can fit.
    pub fits: Vec<Within>,
    /// Outside of these it does not fit, whatever the others come to.
    pub may: Vec<Within>,
}

/// A range: exact numbers, as decimals or fractions. An end that is missing is unbounded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Within {
    /// The lower end, which belongs to it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_least: Option<String>,
    /// The lower end, which does not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over: Option<String>,
    /// The upper end, which belongs to it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_most: Option<String>,
    /// The upper end, which does not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub below: Option<String>,
}

/// A group of the kit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Group {
    /// What it is called.
    pub group: String,
    /// Whether it is laid out for sure; false where that depends.
    pub sure: bool,
}

/// A build for one fitting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Build {
    /// The folder that it gets.
    pub folder: String,
    /// What `fitwright build` takes behind `--with`, one by one.
    pub with: Vec<String>,
}

/// What can't be read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Message {
    /// The line of the table, from 1.
    pub line: u64,
    /// The column, from 1.
    pub column: u64,
    /// The head of the column; left out where it has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What is wrong.
    pub says: String,
}

/// The schema of a line.
pub fn schema(whom: For) -> String {
    let id = if whom == For::Writers { "urn:fitwright:fit:1" } else { "urn:fitwright:fit:1:reader" };
    schema::text::<FitLine>(id, whom)
}
