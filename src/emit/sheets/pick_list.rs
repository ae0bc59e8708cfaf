//! The pick-list: what to lay out before the work, for the bench (HTML) and for the store (CSV).
//!
//! # The CSV file
//! UTF-8 with a byte order mark, RFC 4180, one header row. Columns: `kind` (`tool`, `protection`, `part`), `group` (the
//! bag or box), `name` (the name in the source), `title`, `count` (a whole number; empty where there is no
//! plain count), `amount` (what stands in its place, in words: `1.2 m`, `2 to 4`), `detail`, `number` (the maker's), `mass_each_kg` (a decimal number, to the gram), `needed` (`yes`, or `optional`), `when`
//! (the condition in words; empty where the row is always needed), and on every row what the file belongs to:
//! `procedure`, `revision`, `digest` (of the sources), `fitting` (`NAME=VALUE; …`, empty for the full procedure). `count`
//! and the mass hold only digits and a point; all other columns are text and are made safe against formulas. Names of one
//! article stand in one row, ` + ` between them; so do parts of which one is supplied, ` or ` between them.

use serde::Serialize;

use super::frame::Sheet;
use super::store_table::{Origin, or_empty};
use crate::emit::EmitError;
use crate::emit::phrase::kit::{self, GroupRow};
use crate::emit::phrase::lay_out::{self, ToolRow, WearRow};
use crate::emit::templates::{PICK_LIST_STYLE, sheet};
use crate::emit::words::{Words, or_between};
use crate::model::ChoiceKind;
use crate::plan::Plan;

/// The columns, in order.
pub const COLUMNS: [&str; 11] =
    ["kind", "group", "name", "title", "count", "amount", "detail", "number", "mass_each_kg", "needed", "when"];

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
pub(super) fn html(plan: &Plan, digest: &str) -> Result<Vec<u8>, EmitError> {
    let procedure = plan.procedure();
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
        wear: lay_out::protection(plan),
        tools_needed: lay_out::tools(plan),
        kit_groups: kit::groups(words),
    };
    sheet("pick-list.html", &view)
}

/// `pick-list.csv`.
pub(super) fn csv(plan: &Plan, digest: &str) -> Vec<u8> {
    let procedure = plan.procedure();
    let words = Words::new(procedure);
    let mut csv = String::from("\u{feff}");
    let origin = Origin::of(procedure, digest);
    origin.head(&mut csv, &COLUMNS);
    for row in lay_out::tools(plan) {
        let needed = if row.optional { "optional" } else { "yes" };
        let count = row.count.to_string();
        let name = row.names.join(&or_between());
        let cells = ["tool", "", &name, &row.title, &count, "", &row.detail, "", "", needed, or_empty(&row.when)];
        origin.line(&mut csv, &cells);
    }
    for row in lay_out::protection(plan) {
        let cells = [
            "protection",
            "",
            &row.name,
            &row.title,
            "",
            "",
            or_empty(&row.remark),
            "",
            "",
            "yes",
            or_empty(&row.when),
        ];
        origin.line(&mut csv, &cells);
    }
    for group in kit::groups(words) {
        for row in &group.rows {
            let count = row.much.count().map_or_else(String::new, |count| count.to_string());
            let amount = row.much.other();
            let mass = row.kilograms_each(procedure);
            let cells = [
                "part",
                &group.title,
                &row.name,
                &row.title,
                &count,
                or_empty(&amount),
                or_empty(&row.detail),
                or_empty(&row.number),
                or_empty(&mass),
                "yes",
                or_empty(&group.when),
            ];
            origin.line(&mut csv, &cells);
        }
    }
    csv.into_bytes()
}
