//! What is said of the conductors of a circuit: row by row for a wire list, and end by end where a point is connected.

use super::super::words::{Words, own_unit};
use super::circuit::point_detail;
use crate::labels::{fill, spoken, term};
use crate::model::{Circuit, Coloured, Conductor, PointId, WireEnd};

/// A conductor, in words. What is not stated is empty.
pub(in crate::emit) struct WireRow {
    /// Its number in its circuit, from 1.
    pub number: usize,
    pub title: String,
    /// `red/white`
    pub colour: String,
    /// `RDWH`
    pub code: String,
    pub carries: String,
    pub from: EndCells,
    pub to: EndCells,
    pub size: String,
    pub length: String,
    pub label: String,
}

/// An end of a conductor, in words.
pub(in crate::emit) struct EndCells {
    /// The title of the point.
    pub point: String,
    pub pin: String,
    /// What is crimped on it, and on which stud it goes.
    pub terminal: String,
}

/// Every conductor of a circuit.
pub(in crate::emit) fn rows(words: Words<'_>, circuit: &Circuit) -> Vec<WireRow> {
    let row = |(number, conductor): (usize, &Conductor)| WireRow {
        number,
        title: conductor.title.clone().unwrap_or_default(),
        colour: colour_words(conductor),
        code: conductor.colour.map(Coloured::code).unwrap_or_default(),
        carries: term(words.procedure.carried_by(conductor).unwrap_or_default()).to_owned(),
        from: end_cells(words, circuit, &conductor.from),
        to: end_cells(words, circuit, &conductor.to),
        size: circuit.size_of(conductor).map(own_unit).unwrap_or_default(),
        length: circuit.length_of(conductor).map(|length| words.quantity(length)).unwrap_or_default(),
        label: conductor.label.clone().unwrap_or_default(),
    };
    (1..).zip(&circuit.conductors).map(row).collect()
}

fn end_cells(words: Words<'_>, circuit: &Circuit, end: &WireEnd) -> EndCells {
    let point = &circuit.points[end.point];
    EndCells {
        point: point.title.clone(),
        pin: end.pin.map(|pin| pin.to_string()).unwrap_or_default(),
        terminal: point_detail(words, circuit, point),
    }
}

/// `red`, `red/white`, or that nobody says.
pub(in crate::emit) fn colour_words(conductor: &Conductor) -> String {
    conductor.colour_word().map_or_else(|| spoken().wires.no_colour.to_owned(), |word| in_words(&word))
}

fn in_words(colour: &str) -> String {
    colour.split('/').map(term).collect::<Vec<_>>().join("/")
}

/// `wire 1 red, pin 2, marked F1`: an end of a conductor, for whoever connects it.
pub(in crate::emit) fn end_words(number: usize, conductor: &Conductor, end: &WireEnd) -> String {
    let labels = &spoken().wires;
    let number = number.to_string();
    let colour = conductor.colour_word().map(|word| in_words(&word)).unwrap_or_default();
    let wire = fill(labels.end, &[("n", &number), ("colour", &colour)]);
    let mut pieces = vec![wire.trim_end().to_owned()];
    pieces.extend(end.pin.map(|pin| fill(labels.at_pin, &[("n", &pin.to_string())])));
    pieces.extend(conductor.label.as_ref().map(|label| fill(labels.marked, &[("label", label)])));
    pieces.join(", ")
}

/// `wire 1 red, pin 1; wire 2 black, pin 2`: what ends at a point; `None` where no conductor does.
pub(in crate::emit) fn ends_at(circuit: &Circuit, point: PointId) -> Option<String> {
    let mut ends = Vec::new();
    for (number, conductor) in (1..).zip(&circuit.conductors) {
        let here = conductor.ends().into_iter().filter(|end| end.point == point);
        ends.extend(here.map(|end| end_words(number, conductor, end)));
    }
    (!ends.is_empty()).then(|| ends.join("; "))
}
