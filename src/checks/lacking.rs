//! FW0420: joints, circuits and states that exist under a condition only, and steps that need them without it.
//!
//! The other families look at such a thing only where it exists, so this is the one message of such a run.

use super::carried::mentions;
use super::proof::{Proof, Subject};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{MentionTarget, Naming, Need, Record};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

/// A joint, circuit or state, in which runs.
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
    /// Where a text speaks of it, rather than a line work on it.
    told: Option<Span>,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let there = Thing { exists: Formula::ALWAYS, told: Formula::NEVER };
    let mut joints = procedure.joints.each(there.clone());
    let mut circuits = procedure.circuits.each(there.clone());
    let mut states = procedure.states.each(there);
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Judged { role: Role::Joint(joint), holds, .. } => joints[joint].exists = holds,
            Effect::Judged { role: Role::Circuit(circuit), holds, .. } => circuits[circuit].exists = holds,
            Effect::Judged { role: Role::State(state), holds, .. } => states[state].exists = holds,
            Effect::Need { need: &Need { state, .. }, .. } | Effect::Make { state, .. } => {
                let row = &procedure.states[state];
                let when = row.when.as_ref().map(|when| when.span);
                let worked =
                    Worked { subject: Subject::State(state), sort: "state", name: &row.name, when, told: None };
                acted_on(proof, event, &mut states[state], worked);
            }
            Effect::Place(joint)
            | Effect::Snug(joint)
            | Effect::Tighten(joint)
            | Effect::Loosen(joint)
            | Effect::RemoveJoint(joint)
            | Effect::RefitJoint(joint)
            | Effect::Record(&Record::Torque(joint)) => {
                let row = &procedure.joints[joint];
                let when = row.when.as_ref().map(|when| when.span);
                let worked =
                    Worked { subject: Subject::Joint(joint), sort: "joint", name: &row.name, when, told: None };
                acted_on(proof, event, &mut joints[joint], worked);
            }
            Effect::Connect { circuit, .. } | Effect::Disconnect { circuit, .. } => {
                let row = &procedure.circuits[circuit];
                let when = row.when.as_ref().map(|when| when.span);
                let worked =
                    Worked { subject: Subject::Circuit(circuit), sort: "circuit", name: &row.name, when, told: None };
                acted_on(proof, event, &mut circuits[circuit], worked);
            }
            _ => {
                for mention in mentions(procedure, event) {
                    let (subject, sort, name, when, thing) = match mention.target {
                        MentionTarget::Joint(id) => {
                            let row = &procedure.joints[id];
                            (Subject::Joint(id), "joint", &row.name, &row.when, &mut joints[id])
                        }
                        MentionTarget::Circuit(id) => {
                            let row = &procedure.circuits[id];
                            (Subject::Circuit(id), "circuit", &row.name, &row.when, &mut circuits[id])
                        }
                        MentionTarget::State(id) => {
                            let row = &procedure.states[id];
                            (Subject::State(id), "state", &row.name, &row.when, &mut states[id])
                        }
                        _ => continue,
                    };
                    let when = when.as_ref().map(|when| when.span);
                    acted_on(proof, event, thing, Worked { subject, sort, name, when, told: Some(mention.span) });
                }
            }
        }
    }
}

fn acted_on<'p>(proof: &mut Proof<'p>, event: &Event<'p>, thing: &mut Thing, worked: Worked<'p>) {
    let Some(when) = worked.when else { return };
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, !thing.exists, !thing.told]);
    thing.told = proof.space.either(thing.told, broken);
    let span = worked.told.unwrap_or(event.place.span);
    proof.oblige((Code::FW0420, span, worked.subject), event.id, broken, move |_| {
        let Worked { subject, sort, name, told, .. } = worked;
        let is_state = matches!(subject, Subject::State(_));
        let done = match (told, is_state) {
            (Some(_), _) => "spoken of",
            (None, true) => "asked for or changed",
            (None, false) => "worked on",
        };
        Finding::new(
            Code::FW0420,
            format!("`{}` is {done} in a fitting that does not have it", name.id),
            span,
            format!("this {sort} need not be there"),
        )
        .also(when, format!("there is such a {sort} only where this holds"))
        .because("The technician is sent to something that is not on the vehicle, and can neither do the line nor tick it off.")
        .mend(Mend::look("Put the step under that condition", Change::Under(span, when)))
        .repair(format!(
            "Put this line under the condition of the {sort}, with `when … {{ … }}` or in a step that has it; or take the condition away from `{}`.",
            name.id
        ))
    });
}
