//! The page about a table of vehicles. What it says comes from outside, as data; `fit` makes it.

use serde::Serialize;

use super::frame::Sheet;
use crate::emit::EmitError;
use crate::emit::drawing::{self, Drawing, MarginStrip};
use crate::emit::templates::{DRAWING_STYLE, FIT_STYLE, sheet};
use crate::emit::text::policy_digest;
use crate::model::Procedure;

/// What the page filters with, where a browser runs it.
const SCRIPT: &str = include_str!("../../../site/scripts/fit.js");

#[derive(Serialize)]
struct FitPageView<'a, V> {
    #[serde(flatten)]
    sheet: Sheet,
    page: &'a V,
    strips: Vec<Drawing>,
    script: &'static str,
    /// Lets this script run, and no other.
    script_digest: String,
}

/// The page, as HTML. `page` has the members that `site/templates/fit.html` names; each strip has its title.
pub(in crate::emit) fn html<'a, V: Serialize>(
    procedure: &Procedure,
    digest: &str,
    page: &V,
    strips: impl Iterator<Item = (String, &'a MarginStrip)>,
) -> Result<Vec<u8>, EmitError> {
    let strips = strips.enumerate().filter_map(|(at, (title, strip))| drawing::strip(at + 1, &title, strip));
    let view = FitPageView {
        sheet: Sheet::of(procedure, digest, &[DRAWING_STYLE, FIT_STYLE]),
        page,
        strips: strips.collect(),
        script: SCRIPT,
        script_digest: policy_digest(SCRIPT),
    };
    sheet("fit.html", &view)
}
