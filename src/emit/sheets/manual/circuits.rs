//! The table of circuits: what is stated of each, and what follows from it.

use serde::Serialize;

use crate::emit::drawing::{self, Drawing};
use crate::emit::phrase::circuit::{
    carries_words, chassis_words, drop_words, isolated_words, later_words, point_words, points_later_words, protector,
    wire_words,
};
use crate::emit::phrase::conductors::{self, EndCells, WireRow};
use crate::emit::words::Words;
use crate::labels::{fill, spoken};
use crate::model::unknown::unknown;
use crate::model::{Circuit, CircuitId, UnknownValue};
use crate::plan::Plan;
use crate::working::circuit::CircuitWorking;

/// A circuit.
#[derive(Serialize)]
pub(super) struct CircuitView {
    title: String,
    anchor: String,
    when: Option<String>,
    schematic: Option<Drawing>,
    rows: Vec<CircuitRow>,
    /// That nobody states its protection, for beneath a schematic without one.
    unstated: Option<CircuitRow>,
    /// What is left for later, for beneath a schematic.
    later: Vec<CircuitRow>,
    wires: Vec<WireView>,
    /// Which columns of the wire list say something.
    columns: Columns,
}

/// A conductor.
#[derive(Serialize)]
struct WireView {
    number: usize,
    /// `red (RD), positive`
    colour: String,
    from: String,
    to: String,
    size: String,
    length: String,
    label: String,
}

#[derive(Serialize)]
struct Columns {
    size: bool,
    length: bool,
    label: bool,
}

#[derive(Serialize)]
struct CircuitRow {
    title: &'static str,
    value: String,
}

/// Every circuit with all that is stated of it, and the drop and the current that follow.
pub(super) fn circuits(plan: &Plan) -> Vec<CircuitView> {
    let words = Words::new(plan.procedure());
    let there = |(_, circuit): &(CircuitId, &Circuit)| !circuit.when.as_ref().is_some_and(Words::is_never);
    words
        .procedure
        .circuits
        .iter()
        .filter(there)
        .map(|(id, circuit)| circuit_view(words, circuit, plan.circuit(id)))
        .collect()
}

fn circuit_view(words: Words<'_>, circuit: &Circuit, made: &CircuitWorking) -> CircuitView {
    let schematic = drawing::circuit(words, circuit, made);
    let labels = &spoken().circuit;
    let mut rows = Vec::new();
    let mut add = |title, value: Option<String>| rows.extend(value.map(|value| CircuitRow { title, value }));
    let quantity = |quantity: &Option<crate::quantity::Quantity>| quantity.as_ref().map(|q| words.quantity(q));
    add(labels.source, quantity(&circuit.source));
    add(labels.load, quantity(&circuit.load));
    add(labels.run, quantity(&circuit.run));
    add(labels.way_back, chassis_words(words, circuit));
    add(labels.wire, wire_words(circuit));
    add(labels.insulation, quantity(&circuit.insulation));
    add(labels.ambient, quantity(&circuit.ambient));
    add(labels.bundle, circuit.bundle.map(|count| fill(labels.wires, &[("n", &count.to_string())])));
    if let Some(protection) = &circuit.protection {
        let rating = words.quantity(&protection.rating);
        let at = protection.at.as_ref().map(|at| words.quantity(at));
        let at = at.map(|at| fill(labels.protected_at, &[("rating", &rating), ("distance", &at)]));
        let unstated = unknown(&circuit.unknown, UnknownValue::Distance).map(|one| one.why.trim_end_matches('.'));
        let unstated = unstated.map(|why| fill(labels.protected_unknown, &[("rating", &rating), ("why", why)]));
        add(protector(protection.sort), at.or(unstated).or(Some(rating)));
    }
    // What nobody states must not look as if nothing were needed.
    let unstated = unknown(&circuit.unknown, UnknownValue::Protection).filter(|_| !circuit.signals_only);
    let unstated = unstated.map(|one| fill(labels.not_stated, &[("why", one.why.trim_end_matches('.'))]));
    add(labels.protection, unstated.clone());
    add(labels.drop, drop_words(words, circuit, made));
    add(labels.carries, carries_words(made));
    let points: Vec<String> = circuit.points.iter().map(|(_, point)| point_words(words, circuit, point)).collect();
    // The schematic has them, each on a line of its own.
    add(labels.points, Some(points.join(" → ")).filter(|_| schematic.is_none()));
    add(labels.isolated, isolated_words(words, circuit));
    let later = later_rows(circuit);
    let shown = later.iter().filter(|_| schematic.is_none());
    rows.extend(shown.map(|(title, value)| CircuitRow { title, value: value.clone() }));
    let wires: Vec<WireView> = conductors::rows(words, circuit).into_iter().map(wire_view).collect();
    let columns = Columns {
        size: wires.iter().any(|wire| !wire.size.is_empty()),
        length: wires.iter().any(|wire| !wire.length.is_empty()),
        label: wires.iter().any(|wire| !wire.label.is_empty()),
    };
    CircuitView {
        unstated: unstated.map(|value| CircuitRow { title: labels.protection, value }),
        later: later.into_iter().map(|(title, value)| CircuitRow { title, value }).collect(),
        wires,
        columns,
        title: circuit.name.title.clone(),
        when: circuit.when.as_ref().map(|when| words.cond(when)),
        anchor: format!("about-circuit-{}", circuit.name.id),
        schematic,
        rows,
    }
}

/// Who feeds it later, and who connects which points.
fn later_rows(circuit: &Circuit) -> Vec<(&'static str, String)> {
    let labels = &spoken().circuit;
    let fed = circuit.fed_later.as_ref().map(|left| (labels.fed_later, later_words(left)));
    let connected = points_later_words(circuit).map(|value| (labels.connected_later, value));
    fed.into_iter().chain(connected).collect()
}

/// A conductor in the cells of the table. What is crimped on it stands with its points.
fn wire_view(row: WireRow) -> WireView {
    let end = |end: &EndCells| {
        let pin = (!end.pin.is_empty()).then(|| fill(spoken().wires.at_pin, &[("n", &end.pin)]));
        [Some(end.point.clone()), pin].into_iter().flatten().collect::<Vec<_>>().join(", ")
    };
    let coded = match row.code.as_str() {
        "" => row.colour,
        code => fill(spoken().wires.coded, &[("colour", &row.colour), ("code", code)]),
    };
    let said = [coded, row.carries, row.title];
    WireView {
        number: row.number,
        colour: said.into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join(", "),
        from: end(&row.from),
        to: end(&row.to),
        size: row.size,
        length: row.length,
        label: row.label,
    }
}
