//! What is said of a circuit.

use super::super::words::{Words, or_between, own_unit};
use crate::labels::{fill, spoken, term};
use crate::model::{Circuit, Gender, LeftTo, Point, Protector, Return, Who};
use crate::working::circuit::{CircuitWorking, amperes, share};

/// `Battery isolator: off and locked`: the states in which a circuit is isolated; `None` where none is stated.
pub(in crate::emit) fn isolated_words(words: Words<'_>, circuit: &Circuit) -> Option<String> {
    let states: Vec<String> = circuit.isolated_by.iter().map(|need| words.state(need.state, need.value)).collect();
    (!states.is_empty()).then(|| states.join(&or_between()))
}

/// `The driver plugs the box in before the trip`, `in Heron box on the trailer`: who does what is left for later.
pub(in crate::emit) fn later_words(left: &LeftTo) -> String {
    match &left.who {
        Who::Somebody(text) => text.trim_end_matches('.').to_owned(),
        Who::Procedure(title) => fill(spoken().circuit.by_procedure, &[("title", title)]),
    }
}

/// `Lamp: in Heron box on the trailer`: the points that are connected later; `None` where none is.
pub(in crate::emit) fn points_later_words(circuit: &Circuit) -> Option<String> {
    let said = |point: &Point| {
        let who = later_words(point.left.as_ref()?);
        Some(fill(spoken().circuit.point_later, &[("point", &point.title), ("who", &who)]))
    };
    let all: Vec<String> = circuit.points.rows().iter().filter_map(said).collect();
    (!all.is_empty()).then(|| all.join("; "))
}

/// What the handover says of circuits that are left for later, with the names of circuit and point.
pub(in crate::emit) fn left_for_later(words: Words<'_>) -> Vec<(String, String)> {
    let labels = &spoken().handover;
    let mut all = Vec::new();
    for circuit in words.procedure.circuits.rows() {
        if circuit.when.as_ref().is_some_and(Words::is_never) {
            continue;
        }
        let title = match &circuit.when {
            Some(when) => format!("{} ({})", circuit.name.title, words.cond(when)),
            None => circuit.name.title.clone(),
        };
        if let Some(left) = &circuit.fed_later {
            let told = fill(labels.feed_later, &[("circuit", &title), ("who", &later_words(left))]);
            all.push((circuit.name.id.clone(), told));
        }
        for point in circuit.points.rows() {
            let Some(left) = &point.left else { continue };
            let values = [("circuit", title.as_str()), ("point", &point.title), ("who", &later_words(left))];
            all.push((format!("{}.{}", circuit.name.id, point.id), fill(labels.connect_later, &values)));
        }
    }
    all
}

/// `Breaker`: what protects a wire.
pub(in crate::emit) fn protector(sort: Protector) -> &'static str {
    match sort {
        Protector::Fuse => spoken().circuit.fuse,
        Protector::Breaker => spoken().circuit.breaker,
        Protector::Upstream => spoken().circuit.upstream,
    }
}

/// `8 AWG copper`
pub(in crate::emit) fn wire_words(circuit: &Circuit) -> Option<String> {
    circuit.wire.as_ref().map(|wire| format!("{} {}", own_unit(wire), term(&circuit.metal)))
}

/// `Through the chassis, 5 mΩ`; `None` where a wire leads back.
pub(in crate::emit) fn chassis_words(words: Words<'_>, circuit: &Circuit) -> Option<String> {
    match &circuit.returns {
        Return::Wire => None,
        Return::Chassis(None) => Some(spoken().circuit.chassis.to_owned()),
        Return::Chassis(Some(stated)) => {
            Some(fill(spoken().circuit.chassis_of, &[("resistance", &words.quantity(stated))]))
        }
    }
}

/// `74.4 A, by a table for boats`
pub(in crate::emit) fn carries_words(made: &CircuitWorking) -> Option<String> {
    made.ampacity_a.map(|carries| fill(spoken().circuit.by_table, &[("current", &amperes(carries))]))
}

/// `4.39 %, at most 5 %`
pub(in crate::emit) fn drop_words(words: Words<'_>, circuit: &Circuit, made: &CircuitWorking) -> Option<String> {
    let worked_out = made.drop.as_ref().map(|drop| share(drop.share));
    let allowed = circuit.drop.as_ref().map(|allowed| words.measure(allowed));
    let both: Vec<String> = worked_out.into_iter().chain(allowed).collect();
    (!both.is_empty()).then(|| both.join(", "))
}

/// `4 pins, female; Ring, red, M8; stud M8`: what is at a point; empty where nothing is stated.
pub(in crate::emit) fn point_detail(words: Words<'_>, circuit: &Circuit, point: &Point) -> String {
    let connector = connector_words(circuit, point);
    let terminal = point.terminal.map(|part| words.part(part));
    let stud = point.stud.as_ref().map(|stud| fill(spoken().kit.stud, &[("size", stud)]));
    connector.into_iter().chain(terminal).chain(stud).collect::<Vec<_>>().join("; ")
}

/// `Battery positive post (Ring, red, M8; stud M8)`
pub(in crate::emit) fn point_words(words: Words<'_>, circuit: &Circuit, point: &Point) -> String {
    let detail = point_detail(words, circuit, point);
    if detail.is_empty() { point.title.clone() } else { format!("{} ({detail})", point.title) }
}

/// `4 pins, female, goes into Lamp lead`: what is stated of a connector; `None` where nothing is.
fn connector_words(circuit: &Circuit, point: &Point) -> Option<String> {
    let labels = &spoken().wires;
    let connector = &point.connector;
    let mut pieces = Vec::new();
    pieces.extend(connector.pins.map(|pins| match pins {
        1 => labels.one_pin.to_owned(),
        pins => fill(labels.pins, &[("n", &pins.to_string())]),
    }));
    pieces.extend(connector.gender.map(|gender| match gender {
        Gender::Male => labels.male.to_owned(),
        Gender::Female => labels.female.to_owned(),
    }));
    let mate = connector.mates.as_ref().map(|(mate, _)| &circuit.points[*mate]);
    pieces.extend(mate.map(|mate| fill(labels.mates, &[("point", &mate.title)])));
    (!pieces.is_empty()).then(|| pieces.join(", "))
}
