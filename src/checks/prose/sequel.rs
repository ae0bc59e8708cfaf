//! What a sentence does after another was done to the same thing, on some path of the job.

use super::super::proof::{Proof, Subject};
use super::text::stands_in;
use super::things::Thing;
use crate::diagnostics::{Code, Finding};
use crate::model::StepId;
use crate::source::Span;
use crate::space::{Effect, Formula};

/// What a sentence does for a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Does {
    /// From here on the other comes too late.
    Begins,
    /// Makes it undone.
    Ends,
    /// Comes too late after what begins.
    Late,
}

/// A sentence that a rule looks for, and the things that it does it to: none where it may be any.
pub(super) struct Act {
    pub step: StepId,
    pub place: Span,
    pub things: Vec<Thing>,
    pub does: Does,
}

impl Act {
    fn meets(&self, other: &Act) -> bool {
        let near = self.step == other.step;
        let same = |one: &Thing| other.things.iter().any(|thing| one.is(thing, near));
        self.things.is_empty() || other.things.is_empty() || self.things.iter().any(same)
    }
}

/// Tells each sentence that comes too late, with the words that `finding` has for the place before and its own.
pub(super) fn check(proof: &mut Proof<'_>, code: Code, acts: &[Act], finding: fn(Span, Span) -> Finding) {
    let has = |does: Does| acts.iter().any(|act| act.does == does);
    if !has(Does::Begins) || !has(Does::Late) {
        return;
    }
    let mut open: Vec<(&Act, Formula)> = Vec::new();
    let events = proof.events.clone();
    for event in events.iter() {
        let (Effect::Prose(_) | Effect::Note(_), Some(step)) = (&event.effect, event.place.step) else { continue };
        for act in acts.iter().filter(|act| act.step == step && stands_in(act.place, event.place.span)) {
            match act.does {
                Does::Begins => open.push((act, event.guard)),
                Does::Ends => {
                    for (_, held) in open.iter_mut().filter(|(begun, _)| begun.meets(act)) {
                        *held = proof.space.both(*held, !event.guard);
                    }
                }
                Does::Late => {
                    let before = open.iter().rev().find(|(begun, held)| *held != Formula::NEVER && begun.meets(act));
                    let Some((begun, held)) = before.map(|(begun, held)| (begun.place, *held)) else { continue };
                    let sure = proof.sure(event);
                    let broken = proof.space.both(sure, held);
                    let place = act.place;
                    proof.oblige((code, place, Subject::Place), event.id, broken, move |_| finding(begun, place));
                }
            }
        }
    }
}
