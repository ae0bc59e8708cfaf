//! The pick-list: what to lay out before the work, for the bench (HTML) and for the store (CSV).
//!
//! # The CSV file
//! UTF-8 with a byte order mark, RFC 4180, one header row. Columns: `kind` (`tool`, `protection`, `part`), `group` (the
//! bag or box), `name` (the name in the source), `title`, `count` (a whole number; empty where nothing is counted),
//! `detail`, `number` (the maker's), `mass`, `needed` (`yes`, or `optional`), `when` (the condition in words; empty where
//! the row is always needed). `count` holds only digits, so a spreadsheet may read it as a number; all other columns
//! are text and are made safe against formulas.

use serde::Serialize;

use super::EmitError;
use super::kit::{self, GroupRow};
use super::lay_out::{self, ToolRow, WearRow};
use super::sheet::Sheet;
use super::templates::{PICK_LIST_STYLE, sheet};
use super::text::csv_text;
use super::words::Words;
use crate::model::{ChoiceKind, Procedure};

/// The columns, in order.
pub const COLUMNS: [&str; 10] =
    ["kind", "group", "name", "title", "count", "detail", "number", "mass", "needed", "when"];

/// The whole page.
#[derive(Serialize)]
struct PickListView {
    #[serde(flatten)]
    sheet: Sheet,
    options: Vec<OptionView>,
    wear: Vec<WearRow>,
    tools_needed: Vec<ToolRow>,
    kit_groups: Vec<GroupRow>,
}

#[derive(Serialize)]
struct OptionView {
    title: String,
    values: Vec<String>,
}

/// `pick-list.html`.
pub(super) fn html(procedure: &Procedure, digest: &str) -> Result<Vec<u8>, EmitError> {
    let words = Words::new(procedure);
    let options = procedure.choices.rows().iter().filter(|choice| choice.kind == ChoiceKind::Option);
    let view = PickListView {
        sheet: Sheet::of(procedure, digest, &[PICK_LIST_STYLE]),
        options: options
            .map(|choice| OptionView {
                title: choice.name.title.clone(),
                values: choice.values.iter().map(|value| value.label.clone()).collect(),
            })
            .collect(),
        wear: lay_out::protection(words),
        tools_needed: lay_out::tools(words),
        kit_groups: kit::groups(words),
    };
    sheet("pick-list.html", &view)
}

/// `pick-list.csv`.
pub(super) fn csv(procedure: &Procedure) -> Vec<u8> {
    let words = Words::new(procedure);
    let mut csv = String::from("\u{feff}");
    line(&mut csv, COLUMNS.map(str::to_owned));
    for row in lay_out::tools(words) {
        let needed = if row.optional { "optional" } else { "yes" };
        let count = row.count.to_string();
        let name = row.names.join(" or ");
        let cells = ["tool", "", &name, &row.title, &count, &row.detail, "", "", needed, or_empty(&row.when)];
        line(&mut csv, cells.map(csv_text));
    }
    for row in lay_out::protection(words) {
        let cells =
            ["protection", "", &row.name, &row.title, "", or_empty(&row.remark), "", "", "yes", or_empty(&row.when)];
        line(&mut csv, cells.map(csv_text));
    }
    for group in kit::groups(words) {
        for row in &group.rows {
            let count = row.count.map_or_else(String::new, |count| count.to_string());
            let cells = [
                "part",
                &group.title,
                &row.name,
                &row.title,
                &count,
                or_empty(&row.detail),
                or_empty(&row.number),
                or_empty(&row.mass),
                "yes",
                or_empty(&group.when),
            ];
            line(&mut csv, cells.map(csv_text));
        }
    }
    csv.into_bytes()
}

pub(super) fn or_empty(text: &Option<String>) -> &str {
    text.as_deref().unwrap_or("")
}

/// RFC 4180: commas between cells, CRLF after each row.
pub(super) fn line<const N: usize>(csv: &mut String, cells: [String; N]) {
    csv.push_str(&cells.join(","));
    csv.push_str("\r\n");
}
