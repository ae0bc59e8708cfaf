//! FW09, the part of the paths: the source is connected last and disconnected first, unless it is isolated.
//!
//! What is live follows from what is connected; nobody declares it. A circuit is *isolated* while a state that its
//! declaration names has the value named there.

use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding};
use crate::model::{Circuit, CircuitId, IdMap, PointId, Procedure};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

/// What is true of a circuit, in which runs.
struct Course {
    exists: Formula,
    /// Each point is connected.
    connected: IdMap<PointId, Formula>,
    /// It was connected at some time.
    ever: IdMap<PointId, Formula>,
    poisoned: Formula,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut courses = procedure.circuits.map(|_, circuit| {
        let at_first = if circuit.on_vehicle { Formula::ALWAYS } else { Formula::NEVER };
        Course {
            exists: Formula::ALWAYS,
            connected: circuit.points.each(at_first),
            ever: circuit.points.each(at_first),
            poisoned: Formula::NEVER,
        }
    });
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Judged { role: Role::Circuit(circuit), holds, .. } => courses[circuit].exists = holds,
            Effect::Connect { circuit, point } => {
                let isolated = proof.isolated(event.id, circuit);
                connect(proof, event, circuit, point, isolated, &mut courses[circuit]);
            }
            Effect::Disconnect { circuit, point } => {
                let isolated = proof.isolated(event.id, circuit);
                disconnect(proof, event, circuit, point, isolated, &mut courses[circuit]);
            }
            Effect::Handover(_) => {
                for (circuit, course) in courses.iter_mut() {
                    left(proof, event, circuit, course);
                }
            }
            _ => {}
        }
    }
}

/// FW0904 and FW0901.
fn connect<'p>(
    proof: &mut Proof<'p>,
    event: &Event<'p>,
    circuit: CircuitId,
    point: PointId,
    isolated: Formula,
    course: &mut Course,
) {
    let row = &proof.procedure.circuits[circuit];
    let here = course.connected[point];
    twice(proof, event, circuit, point, here, course, true);
    let out_of_turn = if row.is_source(point) {
        let others = course.connected.iter().filter(|(other, _)| !row.is_source(*other));
        !proof.space.all(others.map(|(_, connected)| *connected))
    } else {
        source_on(proof, row, course)
    };
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, !here, out_of_turn, !isolated, course.exists, !course.poisoned]);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let span = event.place.span;
    proof.oblige((Code::FW0901, span, Subject::Circuit(circuit)), event.id, broken, move |proof| {
        out_of_order(proof.procedure, circuit, point, span, true)
    });
    for so_far in [&mut course.connected[point], &mut course.ever[point]] {
        *so_far = proof.space.either(*so_far, event.guard);
    }
}

/// In which runs the source is connected.
fn source_on(proof: &mut Proof<'_>, row: &Circuit, course: &Course) -> Formula {
    let source = course.connected.iter().filter(|(point, _)| row.is_source(*point));
    proof.space.any(source.map(|(_, connected)| *connected))
}

/// FW0904 and FW0902.
fn disconnect<'p>(
    proof: &mut Proof<'p>,
    event: &Event<'p>,
    circuit: CircuitId,
    point: PointId,
    isolated: Formula,
    course: &mut Course,
) {
    let (row, here) = (&proof.procedure.circuits[circuit], course.connected[point]);
    twice(proof, event, circuit, point, !here, course, false);
    let out_of_turn = if row.is_source(point) { Formula::NEVER } else { source_on(proof, row, course) };
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, here, out_of_turn, !isolated, course.exists, !course.poisoned]);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let span = event.place.span;
    proof.oblige((Code::FW0902, span, Subject::Circuit(circuit)), event.id, broken, move |proof| {
        out_of_order(proof.procedure, circuit, point, span, false)
    });
    course.connected[point] = proof.space.both(here, !event.guard);
}

/// FW0904: connected while connected, or taken off while off.
fn twice<'p>(
    proof: &mut Proof<'p>,
    event: &Event<'p>,
    circuit: CircuitId,
    point: PointId,
    already: Formula,
    course: &mut Course,
    on: bool,
) {
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, already, course.exists, !course.poisoned]);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let span = event.place.span;
    proof.oblige((Code::FW0904, span, Subject::Circuit(circuit)), event.id, broken, move |proof| {
        let row = &proof.procedure.circuits[circuit];
        let title = &row.points[point].id;
        let (message, label) = if on {
            (format!("`{title}` of `{}` is connected while it is already connected", row.name.id), "connected again")
        } else {
            (
                format!("`{title}` of `{}` is disconnected while it is not connected", row.name.id),
                "nothing is connected there",
            )
        };
        Finding::new(Code::FW0904, message, span, label)
            .also(row.name.span, "the circuit")
            .because("The text and the wires no longer agree; whoever follows it can't tell which is right.")
            .repair("Remove one of the two lines, or put them on different branches.")
    });
}

fn out_of_order(procedure: &Procedure, circuit: CircuitId, point: PointId, span: Span, on: bool) -> Finding {
    let row = &procedure.circuits[circuit];
    let here = &row.points[point].id;
    let first = row.points.rows().first();
    let (source, declared) = first.map_or(("", row.name.span), |first| (first.id.as_str(), first.span));
    let (code, message, label) = if !on {
        (Code::FW0902, format!("`{here}` is disconnected while `{source}` of `{}` is live", row.name.id), "live here")
    } else if row.is_source(point) {
        (
            Code::FW0901,
            format!("the source `{source}` of `{}` is connected before the rest", row.name.id),
            "live from here on",
        )
    } else {
        (Code::FW0901, format!("`{here}` is connected while `{source}` of `{}` is live", row.name.id), "live here")
    };
    let finding = Finding::new(code, message, span, label).also(declared, "the source");
    let finding = finding.because("A loose end of a live wire burns, sparks at the battery, or starts a fire.");
    if on {
        finding.repair(format!(
            "Connect the source last: `connect {}` does all points in that order. Or isolate it: `isolated by STATE VALUE` in the circuit.",
            row.name.id
        ))
    } else {
        finding.repair(format!("Disconnect the source first: `disconnect {} at {source}`.", row.name.id))
    }
}

/// FW0903: at the handover every point of a circuit that exists is connected.
fn left<'p>(proof: &mut Proof<'p>, event: &Event<'p>, circuit: CircuitId, course: &mut Course) {
    let sure = proof.sure(event);
    let mut earlier = course.poisoned;
    for (point, row) in proof.procedure.circuits[circuit].points.iter() {
        let broken = proof.space.all([sure, course.exists, !course.connected[point], !earlier]);
        earlier = proof.space.either(earlier, broken);
        let (span, end, ever) = (row.span, event.place.span, course.ever[point] != Formula::NEVER);
        proof.oblige((Code::FW0903, span, Subject::Point(circuit, point)), event.id, broken, move |proof| {
            left_off(proof.procedure, circuit, point, ever, end)
        });
    }
    course.poisoned = earlier;
}

fn left_off(procedure: &Procedure, circuit: CircuitId, point: PointId, ever: bool, end: Span) -> Finding {
    let row = &procedure.circuits[circuit];
    let name = &row.name.id;
    let (id, span) = (&row.points[point].id, row.points[point].span);
    let (message, label) = if ever {
        (format!("`{id}` of `{name}` can be left unconnected"), "not connected at the end of some path")
    } else {
        (format!("`{id}` of `{name}` is never connected"), "no step connects it")
    };
    Finding::new(Code::FW0903, message, span, label)
        .also(end, "handed over here")
        .because("What it feeds will not work, and a loose end stays in the vehicle.")
        .repair(format!("Write `connect {name}` or `connect {name} at {id}` on every path to the handover."))
}
