//! The annex: what the engineer wants and the technician does not. It stands beside the manual, and its numbers of steps lead there.

use serde::Serialize;

use super::{circuits, index, joints};
use crate::emit::EmitError;
use crate::emit::drawing::{self, Drawing};
use crate::emit::phrase::lay_out;
use crate::emit::sheets::frame::Sheet;
use crate::emit::templates::{ANNEX_STYLE, DRAWING_STYLE, sheet};
use crate::emit::words::Words;
use crate::plan::Plan;

/// The members that `site/templates/annex.html` names.
#[derive(Serialize)]
struct AnnexView {
    #[serde(flatten)]
    sheet: Sheet,
    joints: Vec<joints::JointView>,
    circuits: Vec<circuits::CircuitView>,
    /// What is laid out, drawn at its true size.
    bench: Vec<Drawing>,
    /// The way of the work, drawn.
    maps: Vec<Drawing>,
    index: index::Index,
    full_digest: String,
}

/// `annex.html`.
pub(in crate::emit::sheets) fn annex(plan: &Plan, digest: &str) -> Result<Vec<u8>, EmitError> {
    let procedure = plan.procedure();
    let words = Words::new(procedure);
    let view = AnnexView {
        sheet: Sheet::of(procedure, digest, &[DRAWING_STYLE, ANNEX_STYLE]),
        joints: joints::joints(plan),
        circuits: circuits::circuits(plan),
        bench: drawing::bench(words, &lay_out::tools(plan)),
        maps: drawing::flow_maps(words),
        index: index::index(words),
        full_digest: digest.to_owned(),
    };
    sheet("annex.html", &view)
}
