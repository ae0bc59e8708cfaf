//! The table of circuits: what is stated of each, and what follows from it.

use serde::Serialize;

use super::super::drawing::{self, Drawing};
use super::super::words::{Words, own_unit};
use crate::model::{Circuit, Point, Return};
use crate::working::circuit::{CircuitWorking, amperes, share, working};

/// A circuit.
#[derive(Serialize)]
pub(super) struct CircuitView {
    title: String,
    anchor: String,
    when: Option<String>,
    schematic: Option<Drawing>,
    rows: Vec<CircuitRow>,
}

#[derive(Serialize)]
struct CircuitRow {
    title: &'static str,
    value: String,
}

/// Every circuit with all that is stated of it, and the drop and the current that follow.
pub(super) fn circuits(words: Words<'_>) -> Vec<CircuitView> {
    let there = |circuit: &&Circuit| !circuit.when.as_ref().is_some_and(Words::is_never);
    words.procedure.circuits.rows().iter().filter(there).map(|circuit| circuit_view(words, circuit)).collect()
}

fn circuit_view(words: Words<'_>, circuit: &Circuit) -> CircuitView {
    let schematic = drawing::circuit(words, circuit);
    let mut rows = Vec::new();
    let mut add = |title, value: Option<String>| rows.extend(value.map(|value| CircuitRow { title, value }));
    let quantity = |quantity: &Option<crate::quantity::Quantity>| quantity.as_ref().map(|q| words.quantity(q));
    add("Source", quantity(&circuit.source));
    add("Load", quantity(&circuit.load));
    add("Run, one way", quantity(&circuit.run));
    add("Return", chassis_words(words, circuit));
    add("Wire", wire_words(circuit));
    add("Insulation rating", quantity(&circuit.insulation));
    add("Warmest place", quantity(&circuit.ambient));
    add("Bundle", circuit.bundle.map(|count| format!("{count} wires that carry current")));
    if let Some(protection) = &circuit.protection {
        let rating = words.quantity(&protection.rating);
        let at = protection.at.as_ref().map(|at| format!(", {} along the wire from the source", words.quantity(at)));
        add(if protection.fuse { "Fuse" } else { "Breaker" }, Some(rating + &at.unwrap_or_default()));
    }
    let made = working(words.procedure, circuit);
    add("Voltage drop", drop_words(words, circuit, &made));
    add("Wire carries here", carries_words(&made));
    let points: Vec<String> = circuit.points.iter().map(|point| point_words(words, point)).collect();
    // The schematic has them, each on a line of its own.
    add("Points from the source", Some(points.join(" → ")).filter(|_| schematic.is_none()));
    let isolated: Vec<String> = circuit.isolated_by.iter().map(|need| words.state(need.state, need.value)).collect();
    add("Isolated when", (!isolated.is_empty()).then(|| isolated.join(" or ")));
    CircuitView {
        title: circuit.name.title.clone(),
        when: circuit.when.as_ref().map(|when| words.cond(when)),
        anchor: format!("about-circuit-{}", circuit.name.id),
        schematic,
        rows,
    }
}

/// `8 AWG copper`
pub(in super::super) fn wire_words(circuit: &Circuit) -> Option<String> {
    circuit.wire.as_ref().map(|wire| format!("{} {}", own_unit(wire), circuit.metal))
}

/// `Through the chassis, 5 mΩ`; `None` where a wire leads back.
pub(in super::super) fn chassis_words(words: Words<'_>, circuit: &Circuit) -> Option<String> {
    match &circuit.returns {
        Return::Wire => None,
        Return::Chassis(None) => Some("Through the chassis".to_owned()),
        Return::Chassis(Some(stated)) => Some(format!("Through the chassis, {}", words.quantity(stated))),
    }
}

/// `74.4 A, by a table for boats`
pub(in super::super) fn carries_words(made: &CircuitWorking) -> Option<String> {
    made.ampacity_a.map(|carries| format!("{}, by a table for boats", amperes(carries)))
}

/// `4.39 %, at most 5 %`
pub(in super::super) fn drop_words(words: Words<'_>, circuit: &Circuit, made: &CircuitWorking) -> Option<String> {
    let worked_out = made.drop.as_ref().map(|drop| share(drop.share));
    let allowed = circuit.drop.as_ref().map(|allowed| words.measure(allowed));
    let both: Vec<String> = worked_out.into_iter().chain(allowed).collect();
    (!both.is_empty()).then(|| both.join(", "))
}

/// `Ring, red, M8; stud M8`: what is at a point; empty where nothing is stated.
pub(in super::super) fn point_detail(words: Words<'_>, point: &Point) -> String {
    let terminal = point.terminal.map(|part| words.part(part));
    let stud = point.stud.as_ref().map(|stud| format!("stud {stud}"));
    terminal.into_iter().chain(stud).collect::<Vec<_>>().join("; ")
}

/// `Battery positive post (Ring, red, M8; stud M8)`
pub(super) fn point_words(words: Words<'_>, point: &Point) -> String {
    let detail = point_detail(words, point);
    if detail.is_empty() { point.title.clone() } else { format!("{} ({detail})", point.title) }
}
