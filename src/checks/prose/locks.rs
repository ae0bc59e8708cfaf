//! FW0763: thread lock that is put on when the joint is tight already.
//!
//! The sentence names the joint or its bolt, or its step works on one joint alone. Kinds that creep into a tight thread are left
//! alone, and so is a step that undoes the joint in words or lines.

use std::collections::BTreeMap;
use std::ops::Range;

use super::super::proof::{Proof, Subject};
use super::super::tight;
use super::classes::{LOCKING, LOOSENS, SPREADS, says};
use super::fastened::{only_joint, works_on};
use super::sentences::opening_verb;
use super::text::{Text, instructions, stands_in};
use crate::diagnostics::{Code, Finding};
use crate::model::{JointId, LineKind, MentionTarget, Procedure, StepId};
use crate::source::Span;
use crate::space::Effect;

/// Another kind, other threads, or another time.
const OTHERWISE: &[&str] = &[
    "not",
    "never",
    "wicking",
    "penetrating",
    "capillary",
    "hole",
    "holes",
    "new",
    "spare",
    "next",
    "other",
    "before",
    "when",
    "if",
    "after",
];
/// Verbs by which a step takes the bolts out first, beside those that loosen them.
const TAKES_OUT: &[&str] = &["remove", "take", "back", "withdraw"];

/// A sentence that puts thread lock on, and the joints that it may mean.
struct Locks {
    place: Span,
    joints: Vec<JointId>,
}

pub(super) fn check<'p>(proof: &mut Proof<'p>, texts: &[Text<'p>]) {
    let procedure = proof.procedure;
    if !procedure.is_english() {
        return;
    }
    let by_step = locks(procedure, texts);
    if by_step.is_empty() {
        return;
    }
    let mut joints = tight::at_first(procedure);
    let events = proof.events.clone();
    for event in events.iter() {
        if let (Effect::Prose(_), Some(step)) = (&event.effect, event.place.step) {
            for one in by_step.get(&step).into_iter().flatten().filter(|one| stands_in(one.place, event.place.span)) {
                let Some(first) = one.joints.first().copied() else { continue };
                let held: Vec<_> = one.joints.iter().flat_map(|id| [joints[*id].exists, joints[*id].tight]).collect();
                let (sure, held) = (proof.sure(event), proof.space.all(held));
                let broken = proof.space.both(sure, held);
                let place = one.place;
                proof.oblige((Code::FW0763, place, Subject::Joint(first)), event.id, broken, move |proof| {
                    finding(proof.procedure, first, place)
                });
            }
        }
        tight::after(proof, event, &mut joints);
    }
}

fn locks(procedure: &Procedure, texts: &[Text<'_>]) -> BTreeMap<StepId, Vec<Locks>> {
    let mut by_step: BTreeMap<StepId, Vec<Locks>> = BTreeMap::new();
    for (step, own) in instructions(texts) {
        let undoes = |text: &&Text<'_>| {
            let opens = |run: &Range<usize>| opening_verb(text, run.start, run.end).unwrap_or(run.start);
            let is_one = |verb: &str| LOOSENS.contains(&verb) || TAKES_OUT.contains(&verb);
            text.sentences().iter().any(|run| is_one(text.lower(opens(run))))
        };
        if own.iter().any(undoes) {
            continue;
        }
        for text in own {
            for sentence in text.sentences() {
                let Some(place) = text.place(sentence).filter(|_| is_told(procedure, text, sentence)) else { continue };
                let joints = meant(procedure, text, sentence, step);
                if !joints.is_empty() && joints.iter().all(|joint| !is_undone(procedure, step, *joint, place)) {
                    by_step.entry(step).or_default().push(Locks { place, joints });
                }
            }
        }
    }
    by_step
}

fn is_told(procedure: &Procedure, text: &Text<'_>, sentence: &Range<usize>) -> bool {
    let verb = opening_verb(text, sentence.start, sentence.end).unwrap_or(sentence.start);
    let names_one = |at: usize| match text.mention(at).map(|mention| &mention.target) {
        Some(MentionTarget::Part(part)) if procedure.parts[*part].fastener.is_none() => {
            let title = procedure.parts[*part].name.title.to_lowercase();
            title.contains("thread") && title.contains("lock") && !OTHERWISE.iter().any(|word| title.contains(word))
        }
        _ => false,
    };
    // `thread lock`, `locking compound`; `lock` alone may be a lock washer or a key.
    let spelt = |at: usize| match text.lower(at) {
        "lock" | "locker" => text.lower(at - 1) == "thread",
        "locking" => matches!(text.lower(at + 1), "compound" | "fluid" | "liquid" | "adhesive"),
        word => LOCKING.contains(&word),
    };
    let after = sentence.start + 1..sentence.end;
    SPREADS.contains(&text.lower(verb))
        && !says(text, sentence.clone(), OTHERWISE)
        && after.into_iter().any(|at| spelt(at) || names_one(at))
}

/// The joints that a sentence names, itself or by a bolt that they have; else the only one of its step.
fn meant(procedure: &Procedure, text: &Text<'_>, sentence: &Range<usize>, step: StepId) -> Vec<JointId> {
    let named = sentence.clone().find_map(|at| match text.mention(at).map(|mention| &mention.target) {
        Some(MentionTarget::Joint(joint)) => Some(vec![*joint]),
        Some(MentionTarget::Part(part)) if procedure.parts[*part].fastener.is_some() => {
            let holds = |joint: &JointId| procedure.joints[*joint].each.iter().any(|entry| entry.what == *part);
            Some(procedure.joints.ids().filter(holds).collect())
        }
        _ => None,
    });
    named.unwrap_or_else(|| only_joint(procedure, step).into_iter().collect())
}

/// Whether a line below a place of the step takes the joint apart, or puts it together.
fn is_undone(procedure: &Procedure, step: StepId, joint: JointId, place: Span) -> bool {
    procedure.steps[step].lines.iter().filter(|line| line.span.start > place.start).any(|line| {
        let is_tightened = matches!(line.kind, LineKind::Tighten(..));
        works_on(&line.kind) == Some(joint) && !is_tightened
    })
}

fn finding(procedure: &Procedure, joint: JointId, place: Span) -> Finding {
    let name = &procedure.joints[joint].name;
    Finding::new(
        Code::FW0763,
        format!("thread lock goes on `{}` when it can be tight already", name.id),
        place,
        "the threads are closed by now",
    )
    .also(name.span, "the joint")
    .because("What is put on a tight thread stays outside it and locks nothing. Nobody sees that afterwards.")
    .repair(format!(
        "Put the sentence before `place {0}`, or take the bolts out before it. A kind that creeps into a tight thread is called so: `wicking thread lock`.",
        name.id
    ))
}
