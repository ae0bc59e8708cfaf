//! FW0420: joints and circuits that exist under a condition only, and steps that work on them without it.
//!
//! The other families look at a joint or circuit only where it exists, so this is the one message of such a run.

use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding};
use crate::model::{Naming, Record};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

/// A joint or circuit, in which runs.
#[derive(Clone)]
struct Thing {
    exists: Formula,
    /// It was already said.
    told: Formula,
}

/// What a line works on, for its message.
struct Worked<'p> {
    subject: Subject,
    sort: &'static str,
    name: &'p Naming,
    /// The condition under which there is one.
    when: Option<Span>,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let there = Thing { exists: Formula::ALWAYS, told: Formula::NEVER };
    let mut joints = procedure.joints.each(there.clone());
    let mut circuits = procedure.circuits.each(there);
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Judged { role: Role::Joint(joint), holds, .. } => joints[joint].exists = holds,
            Effect::Judged { role: Role::Circuit(circuit), holds, .. } => circuits[circuit].exists = holds,
            Effect::Place(joint)
            | Effect::Snug(joint)
            | Effect::Tighten(joint)
            | Effect::Loosen(joint)
            | Effect::RemoveJoint(joint)
            | Effect::RefitJoint(joint)
            | Effect::Record(&Record::Torque(joint)) => {
                let row = &procedure.joints[joint];
                let when = row.when.as_ref().map(|when| when.span);
                let worked = Worked { subject: Subject::Joint(joint), sort: "joint", name: &row.name, when };
                worked_on(proof, event, &mut joints[joint], worked);
            }
            Effect::Connect { circuit, .. } | Effect::Disconnect { circuit, .. } => {
                let row = &procedure.circuits[circuit];
                let when = row.when.as_ref().map(|when| when.span);
                let worked = Worked { subject: Subject::Circuit(circuit), sort: "circuit", name: &row.name, when };
                worked_on(proof, event, &mut circuits[circuit], worked);
            }
            _ => {}
        }
    }
}

fn worked_on<'p>(proof: &mut Proof<'p>, event: &Event<'p>, thing: &mut Thing, worked: Worked<'p>) {
    let Some(when) = worked.when else { return };
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, !thing.exists, !thing.told]);
    thing.told = proof.space.either(thing.told, broken);
    let span = event.place.span;
    proof.oblige((Code::FW0420, span, worked.subject), event.id, broken, move |_| {
        let Worked { sort, name, .. } = worked;
        Finding::new(
            Code::FW0420,
            format!("`{}` is worked on in a fitting that does not have it", name.id),
            span,
            format!("this {sort} need not be there"),
        )
        .also(when, format!("there is such a {sort} only where this holds"))
        .because("The technician is sent to something that is not on the vehicle, and can neither do the line nor tick it off.")
        .repair(format!(
            "Put this line under the condition of the {sort}, with `when … {{ … }}` or in a step that has it; or take the condition away from `{}`.",
            name.id
        ))
    });
}
