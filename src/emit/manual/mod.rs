//! The manual: a sheet that a person follows with tools in hand.

mod circuits;
mod flow;
mod joints;
mod opening;
mod rows;

use serde::Serialize;

use super::templates::{DRAWING_STYLE, MANUAL_STYLE, SHEET_STYLE, render};
use super::text::{css_string, json_in_html};
use super::words::Words;
use super::{COMPILER_VERSION, EmitError, linked_data, tailored, time};
use crate::model::Procedure;

pub(super) use joints::{metal_words, order, thread_words};
pub(super) use opening::decided_after;

/// How many characters of a digest stand on paper.
const SHORT_DIGEST: usize = 12;

/// The whole page.
#[derive(Serialize)]
struct ManualView {
    title: String,
    id: String,
    revision: Option<RevisionView>,
    digest: String,
    compiler: &'static str,
    fitted_for: Option<tailored::ForView>,
    style: String,
    linked_data: String,
    #[serde(flatten)]
    opening: opening::Opening,
    flow: Vec<flow::Block>,
    joints: Vec<joints::JointRow>,
    circuits: Vec<circuits::CircuitView>,
}

/// `C` and its date.
#[derive(Serialize)]
pub(super) struct RevisionView {
    pub(super) mark: String,
    pub(super) date: String,
}

/// `manual.html`.
pub(super) fn manual(
    procedure: &Procedure,
    digest: &str,
    figures: &dyn Fn(&str) -> Option<Vec<u8>>,
) -> Result<Vec<u8>, EmitError> {
    let words = Words::new(procedure);
    let time = time::time(procedure);
    let linked = linked_data::how_to(words, time.as_ref())?;
    let branches = flow::Branches::of(procedure);
    let writer = rows::RowWriter { words, branches: &branches, figures };
    let view = ManualView {
        title: procedure.name.title.clone(),
        id: procedure.name.id.clone(),
        revision: revision(procedure),
        digest: short(digest),
        compiler: COMPILER_VERSION,
        fitted_for: tailored::block(procedure),
        style: format!("{SHEET_STYLE}\n{DRAWING_STYLE}\n{MANUAL_STYLE}\n{}", page_style(procedure, digest)),
        linked_data: json_in_html(&linked),
        opening: opening::opening(&writer, time),
        flow: flow::blocks(&writer)?,
        joints: joints::joints(words),
        circuits: circuits::circuits(words),
    };
    render("manual.html", &view)
}

/// The revision for a view.
pub(super) fn revision(procedure: &Procedure) -> Option<RevisionView> {
    procedure
        .revision
        .as_ref()
        .map(|revision| RevisionView { mark: revision.mark.clone(), date: revision.date.clone() })
}

/// The start of a digest, for paper.
pub(super) fn short(digest: &str) -> String {
    digest.chars().take(SHORT_DIGEST).collect()
}

/// How many characters of whom a sheet is for stand in its running header.
const SHORT_LINE: usize = 90;

/// Cut where a word ends, with a mark that says so.
fn shortened(line: &str) -> String {
    if line.chars().count() <= SHORT_LINE {
        return line.to_owned();
    }
    let start: String = line.chars().take(SHORT_LINE).collect();
    let whole_words = start.rsplit_once(' ').map_or(start.as_str(), |(words, _)| words);
    format!("{} …", whole_words.trim_end_matches([';', ',']))
}

/// The running header and footer: every sheet of paper says what it belongs to. Browsers without page margin boxes
/// leave them out; nothing stands only there.
pub(super) fn page_style(procedure: &Procedure, digest: &str) -> String {
    let revision = procedure.revision.as_ref();
    let mark = revision.map_or_else(String::new, |r| format!("Revision {}, {}", r.mark, r.date));
    let foot = format!("{}, source {}", procedure.name.id, short(digest));
    let for_whom = tailored::line(procedure).map_or_else(String::new, |line| format!(". {}", shortened(&line)));
    let title = css_string(&format!("{}{for_whom}", procedure.name.title));
    let (mark, foot) = (css_string(&mark), css_string(&foot));
    let font = "font: 8pt \"Segoe UI\", \"Helvetica Neue\", Helvetica, \"Liberation Sans\", Arial, sans-serif; color: #525c64;";
    format!(
        "@page {{\n  @top-left {{ content: {title}; {font} width: 70%; }}\n  @top-right {{ content: {mark}; {font} }}\n  \
         @bottom-left {{ content: {foot}; {font} width: 70%; }}\n  \
         @bottom-right {{ content: \"Page \" counter(page) \" of \" counter(pages); {font} }}\n}}\n\
         @page :first {{ @top-left {{ content: none; }} @top-right {{ content: none; }} }}\n"
    )
}
