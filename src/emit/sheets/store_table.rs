//! The files for the store (CSV): their columns of origin, and how a row is written.

use crate::emit::text::csv_text;
use crate::model::{ChosenValue, Procedure};

pub(super) fn or_empty(text: &Option<String>) -> &str {
    text.as_deref().unwrap_or("")
}

/// The columns that end every row of a file for the store: what it belongs to.
const ORIGIN: [&str; 4] = ["procedure", "revision", "digest", "fitting"];

/// What a file for the store belongs to, as the last cells of each row.
pub(super) struct Origin([String; ORIGIN.len()]);

impl Origin {
    pub(super) fn of(procedure: &Procedure, digest: &str) -> Origin {
        let revision = procedure.revision.as_ref().map(|revision| revision.mark.clone());
        Origin([procedure.name.id.clone(), revision.unwrap_or_default(), digest.to_owned(), fitting(procedure)])
    }

    /// The header row.
    pub(super) fn head(&self, csv: &mut String, columns: &[&str]) {
        line(csv, columns.iter().chain(&ORIGIN).map(|name| (*name).to_owned()));
    }

    /// A row, made safe.
    pub(super) fn line(&self, csv: &mut String, cells: &[&str]) {
        line(csv, cells.iter().copied().chain(self.0.iter().map(String::as_str)).map(csv_text));
    }
}

/// `side=kerb; roof-rating=150 kg`: what is settled, by the names of the source. Empty for the full procedure.
fn fitting(procedure: &Procedure) -> String {
    let chosen = procedure.tailored.iter().flat_map(|tailored| &tailored.chosen);
    let words: Vec<String> = chosen
        .map(|one| match &one.value {
            ChosenValue::Value(value) => format!("{}={}", one.name.id, value.id),
            ChosenValue::Amount(amount) => {
                format!("{}={} {}", one.name.id, amount.number(), amount.unit.spelling())
            }
        })
        .collect();
    words.join("; ")
}

/// RFC 4180: commas between cells, CRLF after each row.
fn line(csv: &mut String, cells: impl Iterator<Item = String>) {
    csv.push_str(&cells.collect::<Vec<_>>().join(","));
    csv.push_str("\r\n");
}
