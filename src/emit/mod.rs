//! What comes out: the manual with its annex, the pick-list, the packing list, the checklist, the job page, the build record.
//!
//! [`emit`] turns a resolved procedure into files, and does nothing else: no reading, no clock, no order that depends on
//! the run. The same procedure and sources give the same bytes. It is called only for procedures without errors.
//!
//! A *sheet* is an HTML page made for paper. A *view* is the plain data that a template prints; it holds words, not ids.

mod build;
pub mod checklist;
mod compared;
mod drawing;
mod face;
mod fitted;
mod job;
mod phrase;
mod sheets;
mod templates;
mod text;
mod words;

pub(crate) use compared::{laid_out_otherwise, where_done};
pub(crate) use drawing::{MarginStrip, margin_bar};
pub(crate) use fitted::{arm_words, csv_cell, group_words, said_words};
pub use phrase::tally::looked_at;
pub use sheets::{record_summary, tally, tally_csv};

use std::fmt;

use crate::account::Account;
use crate::plan::Plan;
use crate::source::Sources;

/// The version of this compiler, as the outputs name it.
pub const COMPILER_VERSION: &str = env!("CARGO_PKG_VERSION");

/// Files beyond those of every build.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Extras {
    /// `annex.html`: what the engineer wants and the technician does not.
    pub annex: bool,
}

/// What the outputs are made of besides the procedure and its account.
#[derive(Clone, Copy, Default)]
pub struct Beside<'a> {
    /// What is made on demand.
    pub extras: Extras,
    /// An older edition, from which the manual tells its differences.
    pub since: Option<Since<'a>>,
    /// By what the texts were translated.
    pub translation: Option<&'a Translation>,
}

impl From<Extras> for Beside<'_> {
    fn from(extras: Extras) -> Self {
        Beside { extras, ..Beside::default() }
    }
}

/// By what the texts were translated, as `build.json` says it.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Translation {
    /// Bytes of the file.
    pub bytes: usize,
    /// Its digest.
    pub sha256: String,
    /// How many texts the procedure has.
    pub texts: usize,
    /// Names of those that have no translation and stand in the language of the source.
    pub missing: Vec<String>,
    /// Names of those whose translation is of an older text; they stand so too.
    pub outdated: Vec<String>,
}

impl Translation {
    /// By a file of these bytes.
    pub fn by(bytes: &[u8], texts: usize, missing: Vec<String>, outdated: Vec<String>) -> Translation {
        Translation { bytes: bytes.len(), sha256: text::sha256(bytes), texts, missing, outdated }
    }
}

/// An older edition, whose differences are marked in the manual.
#[derive(Clone, Copy)]
pub struct Since<'a> {
    /// The older procedure, tailored as the new one is.
    pub plan: &'a Plan,
    /// Its pictures by their paths.
    pub figures: &'a dyn Fn(&str) -> Option<Vec<u8>>,
    /// What changed of each step, by its name and in words.
    pub topics: &'a [(String, &'static str)],
    /// Steps that have another name now: the old one, the new one.
    pub renamed: &'a [(String, String)],
}

/// The files of one build.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outputs {
    /// Name (without a folder) and content, always in the same order: the sheets, `manual.html` first, then `checklist.json`,
    /// `job.html` and `build.json`.
    pub files: Vec<(String, Vec<u8>)>,
}

impl Outputs {
    /// The content of a file by its name; `None` for a name that the build does not have.
    pub fn file(&self, name: &str) -> Option<&[u8]> {
        self.files.iter().find(|(of, _)| of == name).map(|(_, bytes)| bytes.as_slice())
    }
}

/// Why nothing came out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EmitError {
    /// A template and its view do not fit: a fault of this program, not of the procedure.
    Template {
        /// The template.
        name: &'static str,
        /// What the template engine says.
        fault: String,
    },
    /// A picture could not be had, or is not one that a manual may hold (PNG, JPEG, GIF, WebP, SVG).
    Figure {
        /// Its path in the project.
        path: String,
    },
    /// A value cannot be written as JSON: a fault of this program.
    Data {
        /// What the writer says.
        fault: String,
    },
}

impl fmt::Display for EmitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EmitError::Template { name, fault } => write!(f, "the template `{name}` could not be filled: {fault}"),
            EmitError::Figure { path } => write!(f, "the picture `{path}` could not be read as a picture"),
            EmitError::Data { fault } => write!(f, "the checklist could not be written: {fault}"),
        }
    }
}

impl std::error::Error for EmitError {}

/// The page about a table of vehicles, as HTML. `page` has the members that `site/templates/fit.html` names; each strip has its
/// title.
pub(crate) fn fit_page<'a, V: serde::Serialize>(
    procedure: &crate::model::Procedure,
    sources: &Sources,
    page: &V,
    strips: impl Iterator<Item = (String, &'a MarginStrip)>,
) -> Result<Vec<u8>, EmitError> {
    sheets::fit_page::html(procedure, &build::source_digest(sources), page, strips)
}

/// Makes the files of every build. `figures` gives the bytes of a picture by its path in the project.
///
/// # Errors
/// Where a picture is missing or no picture, and where a template or a data type has a fault.
pub fn emit(
    plan: &Plan,
    account: &Account,
    sources: &Sources,
    figures: &dyn Fn(&str) -> Option<Vec<u8>>,
) -> Result<Outputs, EmitError> {
    emit_with(plan, account, sources, figures, Beside::default())
}

/// The same with files that are made on demand, and with marks where the manual differs from an older edition and a list of what
/// changed.
///
/// # Errors
/// As [`emit`], of the older edition too.
pub fn emit_with(
    plan: &Plan,
    account: &Account,
    sources: &Sources,
    figures: &dyn Fn(&str) -> Option<Vec<u8>>,
    beside: Beside<'_>,
) -> Result<Outputs, EmitError> {
    let digest = build::source_digest(sources);
    let checklist = checklist::checklist(plan, &digest, figures)?;
    let mut files = sheets::sheets(plan, account, &digest, figures, beside.extras, beside.since)?;
    files.push(("checklist.json".to_owned(), build::json(&checklist)?));
    files.push(("job.html".to_owned(), job::page(&checklist)?));
    let record = build::Made { account, sources, digest: &digest, figures, translation: beside.translation };
    let record = record.json(plan.procedure(), &checklist.effectivity, &files)?;
    files.push(("build.json".to_owned(), record));
    Ok(Outputs { files })
}
