//! The table of circuits: what is stated of each, and what follows from it.

use serde::Serialize;

use super::super::drawing::{self, Drawing};
use super::super::words::{Words, or_between, own_unit};
use crate::labels::{ENGLISH, fill};
use crate::model::{Circuit, CircuitId, Point, Return};
use crate::plan::Plan;
use crate::working::circuit::{CircuitWorking, amperes, share};

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
    let labels = &ENGLISH.circuit;
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
        add(if protection.fuse { labels.fuse } else { labels.breaker }, at.or(Some(rating)));
    }
    add(labels.drop, drop_words(words, circuit, made));
    add(labels.carries, carries_words(made));
    let points: Vec<String> = circuit.points.iter().map(|point| point_words(words, point)).collect();
    // The schematic has them, each on a line of its own.
    add(labels.points, Some(points.join(" → ")).filter(|_| schematic.is_none()));
    add(labels.isolated, isolated_words(words, circuit));
    CircuitView {
        title: circuit.name.title.clone(),
        when: circuit.when.as_ref().map(|when| words.cond(when)),
        anchor: format!("about-circuit-{}", circuit.name.id),
        schematic,
        rows,
    }
}

/// `Battery isolator: off and locked`: the states in which a circuit is isolated; `None` where none is stated.
pub(in super::super) fn isolated_words(words: Words<'_>, circuit: &Circuit) -> Option<String> {
    let states: Vec<String> = circuit.isolated_by.iter().map(|need| words.state(need.state, need.value)).collect();
    (!states.is_empty()).then(|| states.join(&or_between()))
}

/// `8 AWG copper`
pub(in super::super) fn wire_words(circuit: &Circuit) -> Option<String> {
    circuit.wire.as_ref().map(|wire| format!("{} {}", own_unit(wire), circuit.metal))
}

/// `Through the chassis, 5 mΩ`; `None` where a wire leads back.
pub(in super::super) fn chassis_words(words: Words<'_>, circuit: &Circuit) -> Option<String> {
    match &circuit.returns {
        Return::Wire => None,
        Return::Chassis(None) => Some(ENGLISH.circuit.chassis.to_owned()),
        Return::Chassis(Some(stated)) => {
            Some(fill(ENGLISH.circuit.chassis_of, &[("resistance", &words.quantity(stated))]))
        }
    }
}

/// `74.4 A, by a table for boats`
pub(in super::super) fn carries_words(made: &CircuitWorking) -> Option<String> {
    made.ampacity_a.map(|carries| fill(ENGLISH.circuit.by_table, &[("current", &amperes(carries))]))
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
    let stud = point.stud.as_ref().map(|stud| fill(ENGLISH.kit.stud, &[("size", stud)]));
    terminal.into_iter().chain(stud).collect::<Vec<_>>().join("; ")
}

/// `Battery positive post (Ring, red, M8; stud M8)`
pub(super) fn point_words(words: Words<'_>, point: &Point) -> String {
    let detail = point_detail(words, point);
    if detail.is_empty() { point.title.clone() } else { format!("{} ({detail})", point.title) }
}
