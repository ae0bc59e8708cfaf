//! FW09, the part of the fuses that are parts of the job: put in when every point is connected, and in at the end.
//!
//! Nothing is freed by a fuse that is not in yet: from the source up to it the wire is live all the same, so the order of
//! connection is what it would be without.

use super::proof::{Proof, Subject};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{CircuitId, IdMap, PartId, PointId, Procedure};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

/// A circuit whose fuse is a part.
struct Course {
    circuit: CircuitId,
    part: PartId,
    said: Span,
    exists: Formula,
    connected: IdMap<PointId, Formula>,
    /// The fuse is in.
    put_in: Formula,
    /// It was taken at some time.
    ever: Formula,
    poisoned: Formula,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let mut courses = courses(proof.procedure);
    if courses.is_empty() {
        return;
    }
    let events = proof.events.clone();
    for event in events.iter() {
        for course in &mut courses {
            happens(proof, event, course);
        }
    }
}

fn courses(procedure: &Procedure) -> Vec<Course> {
    let named = |(id, circuit): (CircuitId, &crate::model::Circuit)| {
        let (part, said) = circuit.protection.as_ref()?.part?;
        let there = circuit.on_vehicle || procedure.on_vehicle().any(|entry| entry.what == part);
        let at_first = |is: bool| if is { Formula::ALWAYS } else { Formula::NEVER };
        Some(Course {
            circuit: id,
            part,
            said,
            exists: Formula::ALWAYS,
            connected: circuit.points.map(|point, _| at_first(circuit.connected_before(point))),
            put_in: at_first(there),
            ever: at_first(there),
            poisoned: Formula::NEVER,
        })
    };
    procedure.circuits.iter().filter_map(named).collect()
}

fn happens<'p>(proof: &mut Proof<'p>, event: &Event<'p>, course: &mut Course) {
    match event.effect {
        Effect::Judged { role: Role::Circuit(circuit), holds, .. } if circuit == course.circuit => {
            course.exists = holds
        }
        Effect::Connect { circuit, point } if circuit == course.circuit => {
            course.connected[point] = proof.space.either(course.connected[point], event.guard);
        }
        Effect::Disconnect { circuit, point } if circuit == course.circuit => {
            course.connected[point] = proof.space.both(course.connected[point], !event.guard);
        }
        Effect::Take { part, .. } | Effect::Refit { part, .. } if part == course.part => {
            too_early(proof, event, course);
            course.put_in = proof.space.either(course.put_in, event.guard);
            course.ever = proof.space.either(course.ever, event.guard);
        }
        Effect::Remove { part, .. }
        | Effect::Discard { part, .. }
        | Effect::KeepParts { part, of_the_kit: false, .. }
            if part == course.part =>
        {
            course.put_in = proof.space.both(course.put_in, !event.guard);
        }
        Effect::Handover(_) => left_out(proof, event, course),
        _ => {}
    }
}

/// FW0937
fn too_early<'p>(proof: &mut Proof<'p>, event: &Event<'p>, course: &mut Course) {
    let isolated = proof.isolated(event.id, course.circuit);
    let all: Vec<Formula> = course.connected.iter().map(|(_, connected)| *connected).collect();
    let whole = proof.space.all(all);
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, course.exists, !whole, !isolated, !course.poisoned]);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let (span, circuit, part, said) = (event.place.span, course.circuit, course.part, course.said);
    let points: Vec<(PointId, Formula)> = course.connected.iter().map(|(point, here)| (point, *here)).collect();
    for (open, broken) in proof.first_not(&points, broken) {
        proof.oblige((Code::FW0937, span, Subject::Point(circuit, open)), event.id, broken, move |proof| {
            let row = &proof.procedure.circuits[circuit];
            let (name, point) = (&proof.procedure.parts[part].name.id, &row.points[open].id);
            let message = format!("`{name}` is put in while `{point}` of `{}` need not be connected", row.name.id);
            Finding::new(Code::FW0937, message, span, "the wire behind it gets its current here")
                .also(said, "protects this circuit")
                .because(
                    "What is connected after the fuse is in is connected live, and a loose end burns what it touches.",
                )
                .repair(format!("Take `{name}` in a step after the last `connect {}`.", row.name.id))
        });
    }
}

/// Takes the fuse in the last step; into the kit with it, where nothing supplies it.
fn put_in(procedure: &Procedure, part: PartId, end: Span) -> Mend {
    let name = &procedure.parts[part].name.id;
    let mend = Mend::in_step_before(end, format!("take 1 {name}"));
    if procedure.kit.iter().flat_map(|group| &group.entries).any(|entry| entry.what == part) {
        return mend;
    }
    mend.and(Change::Declare(end.file, format!("kit {{ box {{ 1 {name} }} }}")))
}

/// FW0938
fn left_out<'p>(proof: &mut Proof<'p>, event: &Event<'p>, course: &mut Course) {
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, course.exists, !course.put_in, !course.poisoned]);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let (end, circuit, part, said) = (event.place.span, course.circuit, course.part, course.said);
    let ever = course.ever != Formula::NEVER;
    proof.oblige((Code::FW0938, said, Subject::Circuit(circuit)), event.id, broken, move |proof| {
        let row = &proof.procedure.circuits[circuit];
        let name = &proof.procedure.parts[part].name.id;
        let how = if ever { "can be handed over without its" } else { "is handed over without its" };
        let message = format!("`{}` {how} `{name}`", row.name.id);
        let label = if ever { "not in at the end of some path" } else { "no step takes it" };
        Finding::new(Code::FW0938, message, said, label)
            .also(end, "handed over here")
            .because("What the circuit feeds does not work; whoever finds out puts in a fuse that is at hand.")
            .mend(put_in(proof.procedure, part, end))
            .repair(format!(
                "Write `take 1 {name}` in the step that puts it in, after the last `connect {}`.",
                row.name.id
            ))
    });
}
