//! The manual: a sheet that a person follows with tools in hand.

mod account;
mod annex;
mod branches;
mod circuits;
mod each;
mod figures;
mod flow;
mod index;
mod joints;
mod linked_data;
mod occasions;
mod opening;
mod rows;
mod since;
mod step;
mod sums;

use serde::Serialize;

use crate::account::Account;
use crate::emit::phrase::time;
use crate::emit::sheets::frame::Sheet;
use crate::emit::templates::{DRAWING_STYLE, MANUAL_STYLE, sheet};
use crate::emit::text::json_in_html;
use crate::emit::words::Words;
use crate::emit::{EmitError, Since};
use crate::plan::Plan;

pub(super) use annex::annex;

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
    account: account::AccountView,
    full_digest: String,
}

/// `manual.html`.
pub(super) fn manual(
    plan: &Plan,
    judged: &Account,
    digest: &str,
    figures: &dyn Fn(&str) -> Option<Vec<u8>>,
    since: Option<Since<'_>>,
) -> Result<Vec<u8>, EmitError> {
    let new = view(plan, judged, digest, figures)?;
    let Some(since) = since else { return sheet("manual.html", &new) };
    let data =
        |view: &ManualView| serde_json::to_value(view).map_err(|error| EmitError::Data { fault: error.to_string() });
    let mut new = data(&new)?;
    let mut old = data(&view(since.plan, judged, digest, since.figures)?)?;
    since::mark(&mut new, &mut old, plan, &since)?;
    sheet("manual.html", &new)
}

fn view(
    plan: &Plan,
    judged: &Account,
    digest: &str,
    figures: &dyn Fn(&str) -> Option<Vec<u8>>,
) -> Result<ManualView, EmitError> {
    let procedure = plan.procedure();
    let words = Words::new(procedure);
    let time = time::time(plan);
    let linked = linked_data::how_to(words, time.as_ref())?;
    let branches = branches::Branches::of(procedure);
    let writer = rows::RowWriter { plan, words, branches: &branches, figures };
    Ok(ManualView {
        sheet: Sheet::of(procedure, digest, &[DRAWING_STYLE, MANUAL_STYLE]),
        linked_data: json_in_html(&linked),
        opening: opening::opening(&writer, time),
        flow: flow::blocks(&writer)?,
        joints: joints::joints(plan),
        circuits: circuits::circuits(plan),
        account: account::account(judged),
        full_digest: digest.to_owned(),
    })
}
