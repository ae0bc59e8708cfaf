//! The manual: a sheet that a person follows with tools in hand.

mod chapters;
mod circuits;
mod flow;
mod index;
mod joints;
mod opening;
mod rows;

use serde::Serialize;

use super::sheet::Sheet;
use super::templates::{DRAWING_STYLE, MANUAL_STYLE, render};
use super::text::json_in_html;
use super::words::Words;
use super::{EmitError, linked_data, time};
use crate::model::Procedure;

pub(super) use circuits::{carries_words, chassis_words, drop_words, point_detail, wire_words};
pub(super) use flow::{made_by_step, span_of_steps, takes_words};
pub(super) use joints::{clamping, metal_words, order, thread_words};
pub(super) use opening::{decided_after, rule_words};
pub(super) use rows::times;

/// The whole page.
#[derive(Serialize)]
struct ManualView {
    #[serde(flatten)]
    sheet: Sheet,
    linked_data: String,
    #[serde(flatten)]
    opening: opening::Opening,
    flow: Vec<flow::Block>,
    joints: Vec<joints::JointView>,
    circuits: Vec<circuits::CircuitView>,
    index: index::Index,
    full_digest: String,
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
    let mut flow = flow::blocks(&writer)?;
    let chapters = chapters::chapters(&mut flow);
    let view = ManualView {
        sheet: Sheet::of(procedure, digest, &[DRAWING_STYLE, MANUAL_STYLE], &chapters),
        linked_data: json_in_html(&linked),
        opening: opening::opening(&writer, time),
        flow,
        joints: joints::joints(words),
        circuits: circuits::circuits(words),
        index: index::index(words),
        full_digest: digest.to_owned(),
    };
    render("manual.html", &view)
}
