//! A comparison as JSON.

use schemars::JsonSchema;
use serde::Serialize;

use super::{Change, Comparison, Edition, Follows, Said};
use crate::schema::{self, For};
use crate::uses::StepUsing;

/// The version of the format.
const VERSION: &str = "1.0.0";

/// What changed between two editions of a procedure.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Comparison")]
struct ComparisonOut<'a> {
    /// Name and version of this format.
    format: FormatOut,
    /// The old edition.
    old: EditionOut<'a>,
    /// The new edition.
    new: EditionOut<'a>,
    /// Whether nothing but words, names and units changed.
    words_only: bool,
    /// The gravest topic first; within a topic in the order of the new text.
    changes: Vec<ChangeOut<'a>>,
    /// What follows from the changes though nobody wrote it; null where one of the editions has errors.
    follows: Option<Vec<FollowsOut<'a>>>,
}

#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Format")]
struct FormatOut {
    /// `fitwright-comparison`
    name: &'static str,
    /// By semantic versioning.
    version: &'static str,
}

/// One edition.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Edition")]
struct EditionOut<'a> {
    /// Its file, as its project names it.
    file: &'a str,
    /// Its title.
    title: &'a str,
    /// Its mark, or null.
    revision: Option<&'a str>,
    /// Its date (ISO 8601), or null.
    date: Option<&'a str>,
}

/// One change.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Change")]
struct ChangeOut<'a> {
    /// What it is about: `torque`, `limit`, `order`, `wording`; more words may come.
    topic: &'static str,
    /// `added`, `removed`, `changed`, `moved` or `renamed`.
    what: &'static str,
    /// Whether somebody has to look at it for safety's sake.
    safety: bool,
    /// What it belongs to, from the outside in, in the words of the text.
    subject: &'a [String],
    /// As it was; null of what is new.
    old: Option<SaidOut<'a>>,
    /// As it is; null of what is gone.
    new: Option<SaidOut<'a>>,
    /// The steps that it touches: of the new edition, of the old one where it is gone.
    steps: Vec<StepOut<'a>>,
    /// In which fittings these are done, in words; null where in every one.
    fittings: Option<&'a str>,
}

/// What stands in a text, and where.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Said")]
struct SaidOut<'a> {
    /// The file, as its project names it.
    file: &'a str,
    /// The line, from 1.
    line: u32,
    /// The statement in one line, without its block.
    text: &'a str,
}

/// A step.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Step")]
struct StepOut<'a> {
    /// `2.3`
    number: &'a str,
    /// Its name in the text.
    name: &'a str,
    /// Its title.
    title: &'a str,
}

/// Something that comes out differently.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Follows")]
struct FollowsOut<'a> {
    /// What it is of: a joint, a circuit, the tools, the kit.
    of: &'a str,
    /// What it is.
    what: &'a str,
    /// What it was; null where it was not there.
    old: Option<&'a str>,
    /// What it is; null where it is there no more.
    new: Option<&'a str>,
}

/// The schema of the format, strict for writers or tolerant for readers.
pub fn schema(whom: For) -> String {
    let id = if whom == For::Writers { "urn:fitwright:comparison:1" } else { "urn:fitwright:comparison:1:reader" };
    schema::text::<ComparisonOut<'static>>(id, whom)
}

impl Comparison {
    /// As one JSON object, pretty, with a line end.
    pub fn json(&self) -> String {
        let out = ComparisonOut {
            format: FormatOut { name: "fitwright-comparison", version: VERSION },
            old: edition(&self.old),
            new: edition(&self.new),
            words_only: self.is_of_words(),
            changes: self.changes.iter().map(change).collect(),
            follows: self.follows.as_ref().map(|all| all.iter().map(follows).collect()),
        };
        // Strings, numbers and lists: there is nothing in it that serde could refuse.
        serde_json::to_string_pretty(&out).unwrap_or_default() + "\n"
    }
}

fn edition(edition: &Edition) -> EditionOut<'_> {
    EditionOut {
        file: &edition.file,
        title: &edition.title,
        revision: edition.revision.as_deref(),
        date: edition.date.as_deref(),
    }
}

fn change(change: &Change) -> ChangeOut<'_> {
    ChangeOut {
        topic: change.topic.key(),
        what: change.what.word(),
        safety: change.topic.is_of_safety(),
        subject: &change.subject,
        old: change.old.as_ref().map(said),
        new: change.new.as_ref().map(said),
        steps: change.steps.iter().map(step).collect(),
        fittings: change.fittings.as_deref(),
    }
}

fn said(said: &Said) -> SaidOut<'_> {
    SaidOut { file: &said.file, line: said.line, text: &said.text }
}

fn step(step: &StepUsing) -> StepOut<'_> {
    StepOut { number: &step.number, name: &step.name, title: &step.title }
}

fn follows(one: &Follows) -> FollowsOut<'_> {
    FollowsOut { of: &one.of, what: &one.what, old: one.old.as_deref(), new: one.new.as_deref() }
}
