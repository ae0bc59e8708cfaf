//! What a sentence does after another was done to the same thing, on some path of the job.

use std::collections::BTreeMap;

use super::super::proof::{Proof, Subject};
use super::said::Said;
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

/// A sentence, or a line that works on a joint or state, that a rule looks for, and the things that it does it to: none where it may be any.
#[derive(Clone)]
pub(super) struct Act {
    pub step: StepId,
    pub place: Span,
    pub things: Vec<Thing>,
    pub does: Does,
}

impl Act {
    /// Whether both are about the same thing, or one about any.
    pub fn meets(&self, other: &Act) -> bool {
        let near = self.step == other.step;
        let same = |one: &Thing| other.things.iter().any(|thing| one.is(thing, near));
        self.things.is_empty() || other.things.is_empty() || self.things.iter().any(same)
    }
}

/// What a sentence does for a rule, and the things that must be the same.
pub(super) type Role = Option<(Does, Vec<Thing>)>;

/// A rule: what its sentences do, and its words.
pub(super) struct Rule {
    pub code: Code,
    pub role: fn(&Said<'_, '_>) -> Role,
    /// Where what comes late stands before as well, nothing is told.
    pub once: bool,
    /// The message, its label, the label of the place before, why, and the repair.
    pub said: [&'static str; 5],
}

impl Rule {
    /// What sentences do for it.
    pub fn acts(&self, all: &[Said<'_, '_>]) -> Vec<Act> {
        let act = |one: &Said<'_, '_>| {
            let (does, things) = (self.role)(one)?;
            Some(Act { step: one.step, place: one.place, things, does })
        };
        all.iter().filter(|one| one.is_now).filter_map(act).collect()
    }

    /// What is told of the place before and of the late one.
    pub fn finding(&self, before: Span, place: Span) -> Finding {
        let [message, label, first, why, repair] = self.said;
        Finding::new(self.code, message, place, label).also(before, first).because(why).repair(repair)
    }
}

/// Tells each sentence that comes too late, with the words that `finding` has for the place before and its own.
pub(super) fn check(
    proof: &mut Proof<'_>,
    code: Code,
    acts: &[Act],
    finding: impl Fn(Span, Span) -> Finding + Clone + 'static,
) {
    let has = |does: Does| acts.iter().any(|act| act.does == does);
    if !has(Does::Begins) || !has(Does::Late) {
        return;
    }
    let mut by_step: BTreeMap<StepId, Vec<&Act>> = BTreeMap::new();
    for act in acts {
        by_step.entry(act.step).or_default().push(act);
    }
    let mut open: Vec<(&Act, Formula)> = Vec::new();
    let events = proof.events.clone();
    for event in events.iter() {
        let asked = matches!(
            event.effect,
            Effect::Prose(_)
                | Effect::Note(_)
                | Effect::Tighten(_)
                | Effect::Loosen(_)
                | Effect::RemoveJoint(_)
                | Effect::Make { .. }
        );
        let own = event.place.step.filter(|_| asked).and_then(|step| by_step.get(&step));
        for act in own.into_iter().flatten().filter(|act| stands_in(act.place, event.place.span)) {
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
                    let (place, finding) = (act.place, finding.clone());
                    proof.oblige((code, place, Subject::Place), event.id, broken, move |_| finding(begun, place));
                }
            }
        }
    }
}
