//! FW0729: pressure comes back while a joint is open that was opened under its release.
//!
//! A step that opens a union says `need pressure released`. Where the state that is called by its pressure then gets another
//! value, what was opened while it was needed is tight again; else it blows off. States of other sorts come back with things open for
//! good reasons, as a battery that is on for a trial while a trim is off.

use super::proof::{Proof, Subject};
use super::tight;
use crate::diagnostics::{Code, Finding};
use crate::model::{IdMap, JointId, LineKind, Procedure, StateId, StepId};
use crate::source::Span;
use crate::space::{Effect, Event, EventId, Formula};

/// What was opened of a joint.
struct Opened {
    /// In which runs it is open that was tight before.
    open: Formula,
    /// Where, and under which values of states.
    under: Vec<(Span, StateId, usize)>,
}

/// Pressure that comes back while a joint is open.
struct Back {
    joint: JointId,
    state: StateId,
    /// Where, and where the joint was opened.
    span: Span,
    opened: Span,
    at: EventId,
    broken: Formula,
}

/// Words of titles of states that are about what presses.
const PRESSES: &[&str] = &["pressure", "hydraulic", "pneumatic", "compressed", "steam", "refrigerant", "vacuum"];

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let pressed: IdMap<StateId, bool> = procedure.states.map(|_, state| {
        let title = state.name.title.to_lowercase();
        title.split(|c: char| !c.is_alphanumeric()).any(|word| PRESSES.contains(&word))
    });
    if !procedure.is_english() || pressed.iter().all(|(_, pressed)| !pressed) {
        return;
    }
    let mut joints = tight::at_first(procedure);
    let mut all = procedure.joints.map(|_, _| Opened { open: Formula::NEVER, under: Vec::new() });
    let mut left = procedure.joints.each(Formula::NEVER);
    let mut back: Vec<Back> = Vec::new();
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Tighten(joint) => all[joint].open = proof.space.both(all[joint].open, !event.guard),
            Effect::Loosen(joint) | Effect::RemoveJoint(joint) => {
                let row = &mut all[joint];
                let opened = proof.space.both(event.guard, joints[joint].tight);
                row.open = proof.space.either(row.open, opened);
                let needed = event.place.step.map(|step| needs(procedure, step)).unwrap_or_default();
                let of_pressure = needed.into_iter().filter(|(state, _)| pressed[*state]);
                row.under.extend(of_pressure.map(|(state, value)| (event.place.span, state, value)));
            }
            Effect::Make { state, value } if pressed[state] => {
                let open = procedure
                    .joints
                    .ids()
                    .filter_map(|joint| returned(proof, event, joint, (state, value), &all[joint]));
                back.extend(open);
            }
            // What is loose at the end is told there, once.
            Effect::Handover(_) => {
                for (joint, row) in all.iter() {
                    let here = proof.space.all([event.guard, row.open, joints[joint].in_place]);
                    left[joint] = proof.space.either(left[joint], here);
                }
            }
            _ => {}
        }
        tight::after(proof, event, &mut joints);
    }
    for one in back {
        let broken = proof.space.both(one.broken, !left[one.joint]);
        tell(proof, &one, broken);
    }
}

/// What a step needs of states.
fn needs(procedure: &Procedure, step: StepId) -> Vec<(StateId, usize)> {
    let lines = procedure.steps[step].lines.iter();
    let need = lines.filter_map(|line| match &line.kind {
        LineKind::Need(need) => Some((need.state, need.value)),
        _ => None,
    });
    need.collect()
}

fn returned(
    proof: &mut Proof<'_>,
    event: &Event<'_>,
    joint: JointId,
    (state, value): (StateId, usize),
    row: &Opened,
) -> Option<Back> {
    let (opened, ..) = row.under.iter().find(|(_, other, needed)| *other == state && *needed != value)?;
    let sure = proof.sure(event);
    let broken = proof.space.both(sure, row.open);
    Some(Back { joint, state, span: event.place.span, opened: *opened, at: event.id, broken })
}

fn tell(proof: &mut Proof<'_>, back: &Back, broken: Formula) {
    let Back { joint, state, span, opened, at, .. } = *back;
    proof.oblige((Code::FW0729, span, Subject::Joint(joint)), at, broken, move |proof| {
        let (name, state) = (&proof.procedure.joints[joint].name, &proof.procedure.states[state].name);
        Finding::new(
            Code::FW0729,
            format!("`{}` changes here while `{}`, which was opened under it, is not tight", state.id, name.id),
            span,
            "it presses again",
        )
        .also(opened, "opened here")
        .also(state.span, "the state")
        .because("What is open under pressure blows off: oil goes through skin, and a hose end strikes.")
        .repair(format!("Write `refit {0}` and `tighten {0} with …` on every path before this line.", name.id))
    });
}
