//! FW0729: pressure comes back while a joint is open that was opened under its release.
//!
//! A step that opens a union says `need pressure released`. Where the state that is called by its pressure then gets another
//! value, what was opened while it was needed is tight again; else it blows off. States of other sorts come back with things open for
//! good reasons, as a battery that is on for a trial while a trim is off.

use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding};
use crate::model::{IdMap, JointId, LineKind, Procedure, StateId, StepId};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

/// What is true of a joint, in which runs.
struct Life {
    /// Tight at some time, and opened since: where, and under which values of states.
    open: Formula,
    tight: Formula,
    opened: Vec<(Span, StateId, usize)>,
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
    let mut lives = procedure.joints.map(|_, joint| Life {
        open: Formula::NEVER,
        tight: if joint.on_vehicle { Formula::ALWAYS } else { Formula::NEVER },
        opened: Vec::new(),
    });
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Judged { role: Role::Joint(joint), holds, .. } if procedure.joints[joint].on_vehicle => {
                lives[joint].tight = holds;
            }
            Effect::Tighten(joint) => {
                let life = &mut lives[joint];
                life.tight = proof.space.either(life.tight, event.guard);
                life.open = proof.space.both(life.open, !event.guard);
            }
            Effect::Loosen(joint) | Effect::RemoveJoint(joint) => {
                let life = &mut lives[joint];
                let opened = proof.space.both(event.guard, life.tight);
                life.open = proof.space.either(life.open, opened);
                life.tight = proof.space.both(life.tight, !event.guard);
                let needed = event.place.step.map(|step| needs(procedure, step)).unwrap_or_default();
                let of_pressure = needed.into_iter().filter(|(state, _)| pressed[*state]);
                life.opened.extend(of_pressure.map(|(state, value)| (event.place.span, state, value)));
            }
            Effect::Make { state, value } if pressed[state] => {
                for joint in procedure.joints.ids() {
                    returned(proof, event, joint, (state, value), &lives[joint]);
                }
            }
            _ => {}
        }
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

fn returned<'p>(
    proof: &mut Proof<'p>,
    event: &Event<'p>,
    joint: JointId,
    (state, value): (StateId, usize),
    life: &Life,
) {
    let opened = life.opened.iter().find(|(_, other, needed)| *other == state && *needed != value);
    let Some((opened, ..)) = opened.copied() else { return };
    let sure = proof.sure(event);
    let broken = proof.space.both(sure, life.open);
    let span = event.place.span;
    proof.oblige((Code::FW0729, span, Subject::Joint(joint)), event.id, broken, move |proof| {
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
