//! The wire list, for whoever makes the harness: a row for each conductor (CSV).
//!
//! # The CSV file
//! UTF-8 with a byte order mark, RFC 4180, one header row. Columns: `circuit` (its name in the source), `circuit_title`, `number`
//! (of the conductor in its circuit, from 1), `title`, `colour` (base, then stripe), `code` (of IEC 60757), `carries`, `from`, `from_pin`,
//! `from_terminal`, `to`, `to_pin`, `to_terminal`, `size`, `length`, `label`, `when` (the condition of the circuit in words), and
//! what every row belongs to, as in the pick-list. What is not stated is empty. Text is made safe against formulas.

use super::store_table::Origin;
use crate::emit::phrase::conductors::rows;
use crate::emit::words::Words;
use crate::model::Procedure;

/// The columns, in order.
pub const COLUMNS: [&str; 17] = [
    "circuit",
    "circuit_title",
    "number",
    "title",
    "colour",
    "code",
    "carries",
    "from",
    "from_pin",
    "from_terminal",
    "to",
    "to_pin",
    "to_terminal",
    "size",
    "length",
    "label",
    "when",
];

/// `wire-list.csv`; `None` where no circuit lists conductors.
pub(super) fn csv(procedure: &Procedure, digest: &str) -> Option<Vec<u8>> {
    let words = Words::new(procedure);
    let there = |when: &Option<_>| !when.as_ref().is_some_and(Words::is_never);
    let circuits = procedure.circuits.rows().iter().filter(|circuit| there(&circuit.when));
    let mut csv = String::from("\u{feff}");
    let origin = Origin::of(procedure, digest);
    origin.head(&mut csv, &COLUMNS);
    let mut is_empty = true;
    for circuit in circuits {
        let when = circuit.when.as_ref().map(|when| words.cond(when)).unwrap_or_default();
        for row in rows(words, circuit) {
            is_empty = false;
            let number = row.number.to_string();
            let (from, to) = (&row.from, &row.to);
            let cells = [
                &circuit.name.id,
                &circuit.name.title,
                &number,
                &row.title,
                &row.colour,
                &row.code,
                &row.carries,
                &from.point,
                &from.pin,
                &from.terminal,
                &to.point,
                &to.pin,
                &to.terminal,
                &row.size,
                &row.length,
                &row.label,
                &when,
            ];
            origin.line(&mut csv, &cells.map(String::as_str));
        }
    }
    (!is_empty).then(|| csv.into_bytes())
}
