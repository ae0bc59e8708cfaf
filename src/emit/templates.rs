//! The templates, built into the binary. The only file that names minijinja.

use std::fmt::Write as _;
use std::sync::LazyLock;

use minijinja::value::{Kwargs, Serde, Value};
use minijinja::{AutoEscape, Environment, Error, ErrorKind, HtmlEscape, UndefinedBehavior};
use serde::Serialize;

use super::{EmitError, face};
use crate::labels::{Piece, language, pieces, spoken};

/// Name and text of every template and of every piece that they include.
const TEMPLATES: [(&str, &str); 19] = [
    ("manual.html", include_str!("../../site/templates/manual.html")),
    ("annex.html", include_str!("../../site/templates/annex.html")),
    ("pick-list.html", include_str!("../../site/templates/pick-list.html")),
    ("packing-list.html", include_str!("../../site/templates/packing-list.html")),
    ("record-summary.html", include_str!("../../site/templates/record-summary.html")),
    ("tally.html", include_str!("../../site/templates/tally.html")),
    ("fit.html", include_str!("../../site/templates/fit.html")),
    ("job.html", include_str!("../../site/templates/job.html")),
    ("parts/sheet.html", include_str!("../../site/templates/parts/sheet.html")),
    ("parts/macros.html", include_str!("../../site/templates/parts/macros.html")),
    ("parts/contents.html", include_str!("../../site/templates/parts/contents.html")),
    ("parts/opening.html", include_str!("../../site/templates/parts/opening.html")),
    ("parts/since.html", include_str!("../../site/templates/parts/since.html")),
    ("parts/flow.html", include_str!("../../site/templates/parts/flow.html")),
    ("parts/joints.html", include_str!("../../site/templates/parts/joints.html")),
    ("parts/cards.html", include_str!("../../site/templates/parts/cards.html")),
    ("parts/index.html", include_str!("../../site/templates/parts/index.html")),
    ("parts/account.html", include_str!("../../site/templates/parts/account.html")),
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
/// That of a tally of records.
pub(super) const TALLY_STYLE: &str = include_str!("../../site/styles/tally.css");

/// The language of our words, as templates know it.
#[derive(Serialize)]
struct Spoken {
    tag: &'static str,
    direction: &'static str,
}

/// That of the page about a table of vehicles.
pub(super) const FIT_STYLE: &str = include_str!("../../site/styles/fit.css");

/// All templates, compiled once; of the language of a build they know nothing.
static COMPILED: LazyLock<Result<Environment<'static>, Error>> = LazyLock::new(|| {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.add_filter("fill", filled);
    environment.add_filter("bar", bar);
    for (name, text) in TEMPLATES {
        environment.add_template(name, text)?;
    }
    Ok(environment)
});

/// Fills a template, which has the catalogue as `labels`. All text is escaped as HTML unless the template says `safe`; a name that the view lacks is a
/// fault, never an empty place on paper.
pub(super) fn render(name: &'static str, view: &impl Serialize) -> Result<String, EmitError> {
    let fault = |error: &Error| EmitError::Template { name, fault: format!("{error:#}") };
    let mut environment = COMPILED.as_ref().map_err(fault)?.clone();
    environment.add_global("labels", Value::from(Serde(spoken())));
    // That of our words; the writer's texts have their own.
    environment
        .add_global("spoken", Value::from(Serde(Spoken { tag: language().tag, direction: language().direction() })));
    let template = environment.get_template(name).map_err(|error| fault(&error))?;
    let mut page = template.render(Value::from(Serde(view))).map_err(|error| fault(&error))?;
    page.push('\n');
    Ok(page)
}

/// The filter `bar`: the attribute that draws a bar in the margin of what differs from an older edition. The view says which by the
/// member `changed`, or another that is named.
fn bar(row: &Value, mark: Option<&str>) -> Value {
    let differs = row.get_attr(mark.unwrap_or("changed")).is_ok_and(|mark| mark.is_true());
    Value::from_safe_string(if differs { [" ", "data-changed"].concat() } else { String::new() })
}

/// The filter `fill`: a label with its places filled, `labels.word.step|fill(number=step.number)`. Values are escaped as anywhere, unless
/// they are markup of a template's own. A place without a value, and a value without a place, are faults.
fn filled(label: &str, values: Kwargs) -> Result<Value, Error> {
    let mut html = String::new();
    for piece in pieces(label) {
        match piece {
            Piece::Text(text) => drop(write!(html, "{}", HtmlEscape(text))),
            Piece::Place(name) => {
                let value: Value = values.get(name)?;
                if value.is_undefined() || value.is_none() {
                    return Err(Error::new(ErrorKind::UndefinedError, format!("`{label}` has nothing for `{name}`")));
                }
                match value.as_str() {
                    Some(text) if value.is_safe() => html.push_str(text),
                    _ => drop(write!(html, "{}", HtmlEscape(&value.to_string()))),
                }
            }
        }
    }
    values.assert_all_used()?;
    Ok(Value::from_safe_string(html))
}

/// Fills the template of a page that is made for paper, and gives the page the face that it is set in.
pub(super) fn sheet(name: &'static str, view: &impl Serialize) -> Result<Vec<u8>, EmitError> {
    Ok(face::embedded(&render(name, view)?).into_bytes())
}
