//! The templates, built into the binary. The only file that names minijinja.

use minijinja::value::{Serde, Value};
use minijinja::{AutoEscape, Environment, UndefinedBehavior};
use serde::Serialize;

use super::{EmitError, face};

/// Name and text of every template and of every piece that they include.
const TEMPLATES: [(&str, &str); 15] = [
    ("manual.html", include_str!("../../site/templates/manual.html")),
    ("annex.html", include_str!("../../site/templates/annex.html")),
    ("pick-list.html", include_str!("../../site/templates/pick-list.html")),
    ("packing-list.html", include_str!("../../site/templates/packing-list.html")),
    ("record-summary.html", include_str!("../../site/templates/record-summary.html")),
    ("job.html", include_str!("../../site/templates/job.html")),
    ("parts/sheet.html", include_str!("../../site/templates/parts/sheet.html")),
    ("parts/macros.html", include_str!("../../site/templates/parts/macros.html")),
    ("parts/contents.html", include_str!("../../site/templates/parts/contents.html")),
    ("parts/opening.html", include_str!("../../site/templates/parts/opening.html")),
    ("parts/flow.html", include_str!("../../site/templates/parts/flow.html")),
    ("parts/joints.html", include_str!("../../site/templates/parts/joints.html")),
    ("parts/cards.html", include_str!("../../site/templates/parts/cards.html")),
    ("parts/index.html", include_str!("../../site/templates/parts/index.html")),
    ("parts/circuits.html", include_str!("../../site/templates/parts/circuits.html")),
];

/// The style that all sheets share.
pub(super) const SHEET_STYLE: &str = include_str!("../../site/styles/sheet.css");
/// That of the drawings in it.
pub(super) const DRAWING_STYLE: &str = include_str!("../../site/styles/drawing.css");
/// The manual's own.
pub(super) const MANUAL_STYLE: &str = include_str!("../../site/styles/manual.css");
/// The annex's own.
pub(super) const ANNEX_STYLE: &str = include_str!("../../site/styles/annex.css");
/// The pick-list's own.
pub(super) const PICK_LIST_STYLE: &str = include_str!("../../site/styles/pick-list.css");
/// The packing list's own.
pub(super) const PACKING_LIST_STYLE: &str = include_str!("../../site/styles/packing-list.css");
/// That of the summary of a record.
pub(super) const SUMMARY_STYLE: &str = include_str!("../../site/styles/record-summary.css");

/// Fills a template. All text is escaped as HTML unless the template says `safe`; a name that the view lacks is a
/// fault, never an empty place on paper.
pub(super) fn render(name: &'static str, view: &impl Serialize) -> Result<String, EmitError> {
    let fault = |error: minijinja::Error| EmitError::Template { name, fault: format!("{error:#}") };
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    for (name, text) in TEMPLATES {
        environment.add_template(name, text).map_err(fault)?;
    }
    let template = environment.get_template(name).map_err(fault)?;
    let mut page = template.render(Value::from(Serde(view))).map_err(fault)?;
    page.push('\n');
    Ok(page)
}

/// Fills the template of a page that is made for paper, and gives the page the face that it is set in.
pub(super) fn sheet(name: &'static str, view: &impl Serialize) -> Result<Vec<u8>, EmitError> {
    Ok(face::embedded(&render(name, view)?).into_bytes())
}
