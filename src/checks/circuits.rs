//! FW09, the part of the paths: the source is connected last and disconnected first, unless it is isolated.
//!
//! What is live follows from what is connected; nobody declares it. A circuit is *isolated* while a state that its
//! declaration names has the value named there.

use super::proof::{Proof, Subject};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{Circuit, CircuitId, IdMap, Point, PointId, Procedure, StateId};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

/// What is true of a circuit, in which runs.
struct Course {
    exists: Formula,
    /// Each point is connected.
    connected: IdMap<PointId, Formula>,
    /// It was connected at some time.
    ever: IdMap<PointId, Formula>,
    /// Its isolation was brought about and ended again.
    ended: Formula,
    poisoned: Formula,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut courses = procedure.circuits.map(|_, circuit| {
        let at_first =
            |point, _: &Point| if circuit.connected_before(point) { Formula::ALWAYS } else { Formula::NEVER };
        Course {
            exists: Formula::ALWAYS,
            connected: circuit.points.map(at_first),
            ever: circuit.points.map(at_first),
            ended: Formula::NEVER,
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

/// In which runs the source is on and another point off; never where that burns nobody.
fn loose_end(proof: &mut Proof<'_>, row: &Circuit, course: &Course) -> Formula {
    if row.is_harmless() {
        return Formula::NEVER;
    }
    let source = source_on(proof, row, course);
    let others = all_others(proof, row, course);
    proof.space.all([source, !others, course.exists, !course.poisoned])
}

/// In which runs every point but the source is connected.
fn all_others(proof: &mut Proof<'_>, row: &Circuit, course: &Course) -> Formula {
    let others = course.connected.iter().filter(|(point, _)| !row.is_source(*point));
    proof.space.all(others.map(|(_, connected)| *connected))
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
    if !needs.iter().any(|need| need.state == state) || proof.procedure.circuits[circuit].is_harmless() {
        return;
    }
    let before = proof.isolated(event.id, circuit);
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
    let loose = loose_end(proof, &proof.procedure.circuits[circuit], course);
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, ends, loose]);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let again = proof.space.both(event.guard, after);
    let kept = proof.space.both(course.ended, !again);
    course.ended = proof.space.either(kept, ends);
    let points: Vec<(PointId, Formula)> = course.connected.iter().map(|(point, here)| (point, *here)).collect();
    let span = event.place.span;
    for (off, broken) in proof.first_not(&points, broken) {
        proof.oblige((Code::FW0901, span, Subject::Point(circuit, off)), event.id, broken, move |proof| {
            let row = &proof.procedure.circuits[circuit];
            let source = row.points.rows().first();
            Finding::new(
                Code::FW0901,
                format!("`{}` becomes live here while `{}` need not be connected", row.name.id, row.points[off].id),
                span,
                "the isolation ends here",
            )
            .also(source.map_or(row.name.span, |point| point.span), "its source is connected")
            .because("A loose end of a live wire burns, sparks at the battery, or starts a fire.")
            .repair(format!(
                "Connect all points of `{0}` before this line, or take its source off first: `disconnect {0} at {1}`.",
                row.name.id,
                source.map_or("", |source| source.id.as_str())
            ))
        });
    }
}

/// FW0805: the job stops while the source is on and another point off.
fn stopped<'p>(proof: &mut Proof<'p>, event: &Event<'p>, circuit: CircuitId, course: &Course) {
    let loose = loose_end(proof, &proof.procedure.circuits[circuit], course);
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
        let source = row.points.rows().first();
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
    point: PointId,
    isolated: Formula,
    course: &mut Course,
) {
    let row = &proof.procedure.circuits[circuit];
    let here = course.connected[point];
    twice(proof, event, circuit, point, here, course, true);
    let out_of_turn =
        if row.is_source(point) { !all_others(proof, row, course) } else { source_on(proof, row, course) };
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, !here, out_of_turn, !isolated, course.exists, !course.poisoned]);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let span = event.place.span;
    proof.oblige((Code::FW0901, span, Subject::Circuit(circuit)), event.id, broken, move |proof| {
        out_of_order(proof.procedure, circuit, point, span, true)
    });
    if let Some(left) = &row.points[point].left {
        let broken = proof.space.all([sure, course.exists]);
        proof.oblige((Code::FW0944, span, Subject::Point(circuit, point)), event.id, broken, move |proof| {
            left_and_connected(proof.procedure, circuit, point, (span, left.span))
        });
    }
    if row.is_source(point) {
        too_late(proof, event, circuit, isolated, course);
    }
    for so_far in [&mut course.connected[point], &mut course.ever[point]] {
        *so_far = proof.space.either(*so_far, event.guard);
    }
}

/// FW0944: this line connects what the circuit leaves to somebody else.
fn left_and_connected(
    procedure: &Procedure,
    circuit: CircuitId,
    point: PointId,
    (span, left): (Span, Span),
) -> Finding {
    let row = &procedure.circuits[circuit];
    let (name, point) = (&row.name.id, &row.points[point].id);
    Finding::new(Code::FW0944, format!("`{point}` of `{name}` is left for later, and connected here"), span, "connected")
        .also(left, "left to somebody else")
        .because("Whoever comes next finds done what was left to them, or does it a second time.")
        .repair(format!("Take `{point}` out of this line, or out of the `leaves` line. `connect {name}` alone does all points that are not left."))
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
            .mend(Mend::drop(span))
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
        finding.mend(Mend::look("Connect all points in order", Change::At(span, String::new()))).repair(format!(
            "Connect the source last: `connect {}` does all points in that order. Or isolate it: `isolated by STATE VALUE` in the circuit. Where nothing feeds it in this job: `fed later by CIRCUIT of PROCEDURE`.",
            row.name.id
        ))
    } else {
        finding
            .mend(Mend::look("Disconnect the source first", Change::At(span, source.to_owned())))
            .repair(format!("Disconnect the source first: `disconnect {} at {source}`.", row.name.id))
    }
}

/// FW0903: at the handover every point of a circuit that exists is connected.
fn left<'p>(proof: &mut Proof<'p>, event: &Event<'p>, circuit: CircuitId, course: &mut Course) {
    let sure = proof.sure(event);
    let mut earlier = course.poisoned;
    // What is left for later is not this job's.
    let points = proof.procedure.circuits[circuit].points.iter();
    for (point, row) in points.filter(|(_, row)| row.left.is_none()) {
        let shown = proof.space.all([sure, course.exists, !course.connected[point]]);
        let broken = proof.space.both(shown, !earlier);
        earlier = proof.space.either(earlier, broken);
        let (span, end, ever) = (row.span, event.place.span, course.ever[point] != Formula::NEVER);
        proof.oblige_shown(
            (Code::FW0903, span, Subject::Point(circuit, point)),
            event.id,
            (broken, shown),
            move |proof| left_off(proof.procedure, circuit, point, ever, end),
        );
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
        .repair(format!("Write `connect {name}` or `connect {name} at {id}` on every path to the handover. What another job connects is left to it: `leaves {id} to PROCEDURE` in the circuit."))
        .mend(Mend::in_step_before(end, format!("connect {name} at {id}")))
}
