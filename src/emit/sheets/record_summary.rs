//! The sheet about a finished job. What it says comes from outside, as data; `record` makes it.

use serde::Serialize;

use crate::emit::templates::{SHEET_STYLE, SUMMARY_STYLE, sheet};
use crate::emit::{COMPILER_VERSION, EmitError};

#[derive(Serialize)]
struct SummaryView<'a, V> {
    page: &'a V,
    style: String,
    compiler: &'static str,
}

/// The page, as HTML. `page` has the members that `site/templates/record-summary.html` names.
///
/// # Errors
/// Where the template and the data do not fit.
pub fn record_summary<V: Serialize>(page: &V) -> Result<Vec<u8>, EmitError> {
    let style = format!("{SHEET_STYLE}\n{SUMMARY_STYLE}");
    sheet("record-summary.html", &SummaryView { page, style, compiler: COMPILER_VERSION })
}
