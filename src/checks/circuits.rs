//! FW09, the part of the paths: the source is connected last and disconnected first, unless it is isolated.
//!
//! What is live follows from what is connected; nobody declares it. A circuit is *isolated* while a state that its
//! declaration names has the value named there.

use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding};
use crate::model::{CircuitId, Procedure, StateId};
use crate::source::Span;
use crate::space::{Effect, Event, EventId, Formula, Role};

/// What is true of a circuit, in which runs.
struct Course {
    exists: Formula,
    connected: Vec<Formula>,
    /// It was connected at some time.
    ever: Vec<Formula>,
    /// Its isolation was brought about and ended again.
    ended: Formula,
    poisoned: Formula,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut courses = procedure.circuits.map(|_, circuit| Course {
        exists: Formula::ALWAYS,
        connected: vec![Formula::NEVER; circuit.points.len()],
        ever: vec![Formula::NEVER; circuit.points.len()],
        ended: Formula::NEVER,
        poisoned: Formula::NEVER,
    });
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Judged { role: Role::Circuit(circuit), holds, .. } => courses[circuit].exists = holds,
            Effect::Connect { circuit, point } => {
                let isolated = isolated(proof, event.id, circuit);
                connect(proof, event, circuit, point, isolated, &mut courses[circuit]);
            }
            Effect::Disconnect { circuit, point } => {
                let isolated = isolated(proof, event.id, circuit);
                disconnect(proof, event, circuit, point, isolated, &mut courses[circuit]);
            }
            Effect::Make { state, value } => {
                for (circuit, course) in courses.iter_mut() {
                    made(proof, event, circuit, (state, value), course);
                }
            }
            // A vehicle that is turned away before the first step is as it came.
            Effect::Stop(_) if event.place.section.is_some() => {
                for (circuit, course) in courses.iter() {
                    stopped(proof, event, circuit, course);
                }
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

/// In which runs a circuit is isolated right before an event.
fn isolated(proof: &mut Proof<'_>, at: EventId, circuit: CircuitId) -> Formula {
    let needs = &proof.procedure.circuits[circuit].isolated_by;
    let holds: Vec<Formula> = needs.iter().map(|need| proof.space.state_is(at, need.state, need.value)).collect();
    proof.space.any(holds)
}

/// In which runs the source is on and another point off.
fn loose_end(proof: &mut Proof<'_>, course: &Course) -> Formula {
    let Some((source, others)) = course.connected.split_first() else { return Formula::NEVER };
    let others = proof.space.all(others.iter().copied());
    proof.space.all([*source, !others, course.exists, !course.poisoned])
}

/// FW0901 where a state ends the isolation while an end is loose; and what is known of the isolation from then on.
fn made<'p>(
    proof: &mut Proof<'p>,
    event: &Event<'p>,
    circuit: CircuitId,
    (state, value): (StateId, usize),
    course: &mut Course,
) {
    let needs = &proof.procedure.circuits[circuit].isolated_by;
    if !needs.iter().any(|need| need.state == state) {
        return;
    }
    let before = isolated(proof, event.id, circuit);
    let mut after = Formula::NEVER;
    for need in needs {
        let holds = match need.state == state {
            true if need.value == value => Formula::ALWAYS,
            true => Formula::NEVER,
            false => proof.space.state_is(event.id, need.state, need.value),
        };
        after = proof.space.either(after, holds);
    }
    let ends = proof.space.all([event.guard, before, !after]);
    let loose = loose_end(proof, course);
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, ends, loose]);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let again = proof.space.both(event.guard, after);
    let kept = proof.space.both(course.ended, !again);
    course.ended = proof.space.either(kept, ends);
    let off = first_off(course);
    let span = event.place.span;
    proof.oblige((Code::FW0901, span, Subject::Circuit(circuit)), event.id, broken, move |proof| {
        let row = &proof.procedure.circuits[circuit];
        let id = |point: usize| row.points.get(point).map_or("", |point| point.id.as_str());
        Finding::new(
            Code::FW0901,
            format!("`{}` becomes live here while `{}` need not be connected", row.name.id, id(off)),
            span,
            "the isolation ends here",
        )
        .also(row.points.first().map_or(row.name.span, |point| point.span), "its source is connected")
        .because("A loose end of a live wire burns, sparks at the battery, or starts a fire.")
        .repair(format!(
            "Connect all points of `{0}` before this line, or take its source off first: `disconnect {0} at {1}`.",
            row.name.id,
            id(0)
        ))
    });
}

/// The first point but the source that can be off.
fn first_off(course: &Course) -> usize {
    course.connected.iter().skip(1).position(|point| *point != Formula::ALWAYS).map_or(1, |at| at + 1)
}

/// FW0805: the job stops while the source is on and another point off.
fn stopped<'p>(proof: &mut Proof<'p>, event: &Event<'p>, circuit: CircuitId, course: &Course) {
    let loose = loose_end(proof, course);
    let sure = proof.sure(event);
    let broken = proof.space.both(sure, loose);
    let span = event.place.span;
    proof.oblige((Code::FW0805, span, Subject::Circuit(circuit)), event.id, broken, move |proof| {
        let row = &proof.procedure.circuits[circuit];
        Finding::new(
            Code::FW0805,
            format!("at this stop `{}` can be left with its source connected and an end loose", row.name.id),
            span,
            "the job stops here",
        )
        .also(row.name.span, "the circuit")
        .because("A loose end of a wire that is connected to the battery burns as soon as it touches the body.")
        .repair(format!(
            "Write `disconnect {0}` before the stop. Or say in the stop what must be taken off, and accept it: `accept FW0805 \"the stop says so\"`.",
            row.name.id
        ))
    });
}

/// FW0806: the source is connected after the isolation was ended: the one that isolates comes back on last.
fn too_late<'p>(proof: &mut Proof<'p>, event: &Event<'p>, circuit: CircuitId, isolated: Formula, course: &Course) {
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, course.ended, !isolated, course.exists, !course.poisoned]);
    let span = event.place.span;
    proof.oblige((Code::FW0806, span, Subject::Circuit(circuit)), event.id, broken, move |proof| {
        let row = &proof.procedure.circuits[circuit];
        let source = row.points.first();
        let finding = Finding::new(
            Code::FW0806,
            format!(
                "the source `{}` of `{}` is connected after its isolation was ended",
                source.map_or("", |point| &point.id),
                row.name.id
            ),
            span,
            "live under the spanner",
        );
        let finding = row.isolated_by.iter().fold(finding, |finding, need| finding.also(need.span, "isolated by this"));
        finding
            .because("What isolates goes back on last, as the negative lead of a battery does: a spanner that slips then meets nothing live.")
            .repair("Connect the source before the line that ends the isolation.")
    });
}

/// FW0904 and FW0901.
fn connect<'p>(
    proof: &mut Proof<'p>,
    event: &Event<'p>,
    circuit: CircuitId,
    point: usize,
    isolated: Formula,
    course: &mut Course,
) {
    let here = course.connected.get(point).copied().unwrap_or(Formula::NEVER);
    twice(proof, event, circuit, point, here, course, true);
    let others: Vec<Formula> = course.connected.iter().skip(1).copied().collect();
    let source_on = course.connected.first().copied().unwrap_or(Formula::NEVER);
    let out_of_turn = if point == 0 { !proof.space.all(others) } else { source_on };
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, !here, out_of_turn, !isolated, course.exists, !course.poisoned]);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let span = event.place.span;
    proof.oblige((Code::FW0901, span, Subject::Circuit(circuit)), event.id, broken, move |proof| {
        out_of_order(proof.procedure, circuit, point, span, true)
    });
    if point == 0 {
        too_late(proof, event, circuit, isolated, course);
    }
    for row in [&mut course.connected, &mut course.ever] {
        if let Some(slot) = row.get_mut(point) {
            *slot = proof.space.either(*slot, event.guard);
        }
    }
}

/// FW0904 and FW0902.
fn disconnect<'p>(
    proof: &mut Proof<'p>,
    event: &Event<'p>,
    circuit: CircuitId,
    point: usize,
    isolated: Formula,
    course: &mut Course,
) {
    let here = course.connected.get(point).copied().unwrap_or(Formula::NEVER);
    twice(proof, event, circuit, point, !here, course, false);
    let source_on = course.connected.first().copied().unwrap_or(Formula::NEVER);
    let out_of_turn = if point == 0 { Formula::NEVER } else { source_on };
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, here, out_of_turn, !isolated, course.exists, !course.poisoned]);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let span = event.place.span;
    proof.oblige((Code::FW0902, span, Subject::Circuit(circuit)), event.id, broken, move |proof| {
        out_of_order(proof.procedure, circuit, point, span, false)
    });
    if let Some(slot) = course.connected.get_mut(point) {
        *slot = proof.space.both(*slot, !event.guard);
    }
}

/// FW0904: connected while connected, or taken off while off.
fn twice<'p>(
    proof: &mut Proof<'p>,
    event: &Event<'p>,
    circuit: CircuitId,
    point: usize,
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
        let title = row.points.get(point).map_or("", |point| point.id.as_str());
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

fn out_of_order(procedure: &Procedure, circuit: CircuitId, point: usize, span: Span, on: bool) -> Finding {
    let row = &procedure.circuits[circuit];
    let id = |point: usize| row.points.get(point).map_or("", |point| point.id.as_str());
    let (code, message, label) = if !on {
        (
            Code::FW0902,
            format!("`{}` is disconnected while `{}` of `{}` is live", id(point), id(0), row.name.id),
            "live here",
        )
    } else if point == 0 {
        (
            Code::FW0901,
            format!("the source `{}` of `{}` is connected before the rest", id(0), row.name.id),
            "live from here on",
        )
    } else {
        (
            Code::FW0901,
            format!("`{}` is connected while `{}` of `{}` is live", id(point), id(0), row.name.id),
            "live here",
        )
    };
    let source = row.points.first().map_or(row.name.span, |point| point.span);
    let finding = Finding::new(code, message, span, label).also(source, "the source");
    let finding = finding.because("A loose end of a live wire burns, sparks at the battery, or starts a fire.");
    if on {
        finding.repair(format!(
            "Connect the source last: `connect {}` does all points in that order. Or isolate it: `isolated by STATE VALUE` in the circuit.",
            row.name.id
        ))
    } else {
        finding.repair(format!("Disconnect the source first: `disconnect {} at {}`.", row.name.id, id(0)))
    }
}

/// FW0903: at the handover every point of a circuit that exists is connected.
fn left<'p>(proof: &mut Proof<'p>, event: &Event<'p>, circuit: CircuitId, course: &mut Course) {
    let sure = proof.sure(event);
    let mut earlier = course.poisoned;
    let points = proof.procedure.circuits[circuit].points.iter().enumerate();
    for ((point, row), (connected, ever)) in points.zip(course.connected.iter().zip(&course.ever)) {
        let broken = proof.space.all([sure, course.exists, !*connected, !earlier]);
        earlier = proof.space.either(earlier, broken);
        let (span, end, ever) = (row.span, event.place.span, *ever != Formula::NEVER);
        proof.oblige((Code::FW0903, span, Subject::Point(circuit, point)), event.id, broken, move |proof| {
            left_off(proof.procedure, circuit, point, ever, end)
        });
    }
    course.poisoned = earlier;
}

fn left_off(procedure: &Procedure, circuit: CircuitId, point: usize, ever: bool, end: Span) -> Finding {
    let row = &procedure.circuits[circuit];
    let name = &row.name.id;
    let (id, span) = row.points.get(point).map_or(("", row.name.span), |point| (point.id.as_str(), point.span));
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
