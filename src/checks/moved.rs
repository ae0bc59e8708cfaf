//! FW0726: a repair that moves something, and tightens again a joint that nothing has loosened.
//!
//! That a joint is tightened twice is right where its torque is checked. In a repair something has to become another: where its
//! words move a thing, push it or clean below it, and the joint after them is tight all the while, either the joint was to be
//! loosened first, or what it holds is not what moves. Which verbs move a thing is from memory; a word that is missing makes
//! the rule silent.

use super::proof::{Proof, Subject};
use super::tight::{self, Held};
use crate::diagnostics::{Code, Finding};
use crate::model::{JointId, LineKind, Procedure, StepId};
use crate::source::Span;
use crate::space::{Effect, Event};

/// Verbs that move a thing.
const MOVES: &[&str] = &["slide", "shift", "move", "push", "pull", "tap", "knock", "lift", "lower", "raise"];
/// Verbs that reach what lies under another only where a word of place says so.
const CLEANS: &[&str] = &["brush", "clean", "wipe", "scrape", "sand", "grease"];
const BELOW: &[&str] = &["under", "behind", "between", "beneath", "below"];
/// What is moved to turn the joint itself, or is none of its parts.
const TOOLS: &[&str] = &["wrench", "spanner", "ratchet", "lever", "handle", "switch", "button", "lead", "clamp", "key"];

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    if !procedure.is_english() {
        return;
    }
    let mut joints = tight::at_first(procedure);
    let events = proof.events.clone();
    for event in events.iter() {
        if let Effect::Tighten(joint) = event.effect {
            again(proof, event, joint, joints[joint]);
        }
        tight::after(proof, event, &mut joints);
    }
}

fn again(proof: &mut Proof<'_>, event: &Event<'_>, joint: JointId, held: Held) {
    // A step that stands in a repair, and is no check of its own.
    let in_repair = |step: &StepId| event.place.round > 0 && !proof.procedure.steps[*step].is_check;
    let Some(step) = event.place.step.filter(in_repair) else { return };
    let span = event.place.span;
    let Some((moved, said)) = moved_before(proof.procedure, step, span) else { return };
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, held.tight, held.exists]);
    proof.oblige((Code::FW0726, span, Subject::Joint(joint)), event.id, broken, move |proof| {
        let name = &proof.procedure.joints[joint].name;
        Finding::new(
            Code::FW0726,
            format!("`{}` is tight while this repair says `{said}`, and is tightened again after it", name.id),
            span,
            "nothing has loosened it",
        )
        .also(moved, "moved while it is tight")
        .also(name.span, "the joint")
        .because("What a tight joint holds does not move, and what was looked at before stays as it was.")
        .repair(format!(
            "Write `loosen {} with …` before it. Where the joint does not hold what moves, put its line before that sentence, or accept this.",
            name.id
        ))
    });
}

/// The last action before a line of a step that moves a thing, with its first word.
fn moved_before(procedure: &Procedure, step: StepId, line: Span) -> Option<(Span, String)> {
    let before = procedure.steps[step].lines.iter().take_while(|other| other.span != line);
    let moves = before.filter_map(|other| match &other.kind {
        LineKind::Prose(prose) if !prose.sure => Some((other.span, moving(&prose.markdown)?)),
        _ => None,
    });
    moves.last()
}

/// The word by which an action moves something.
fn moving(action: &str) -> Option<String> {
    let words: Vec<String> = action
        .split(|c: char| !c.is_alphanumeric() && c != '-')
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    let says = |list: &[&str]| words.iter().any(|word| list.contains(&word.as_str()));
    let verb = words.first()?;
    let moves = MOVES.contains(&verb.as_str()) || (CLEANS.contains(&verb.as_str()) && says(BELOW));
    (moves && !says(TOOLS)).then(|| verb.clone())
}
