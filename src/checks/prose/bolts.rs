//! FW0740 and FW0741: holes that the words drill or widen while their bolt is in, and holes that are more or fewer than the bolts.
//!
//! Told only where the words tie the holes to a joint: they name it, or its bolt, after `for`; or the step that drills puts one
//! joint in place; or one joint alone has as many bolts, and of a size that suits. Its words are read in tokens (`text`).

use std::collections::BTreeMap;
use std::ops::Range;

use super::super::proof::{Proof, Subject};
use super::super::tight;
use super::Words;
use super::classes::{HOLES, WIDENS};
use super::holes::{Holed, how_many};
use super::sentences::opening_verb;
use super::text::{Sort, Text, stands_in};
use crate::diagnostics::{Code, Finding};
use crate::model::{JointId, LineKind, MentionTarget, Procedure, StepId};
use crate::source::Span;
use crate::space::Effect;

/// Words with which a sentence drills something else: another part of the holes, or holes for all of many.
const OF_SOME: &[&str] = &[
    "first",
    "second",
    "other",
    "others",
    "remaining",
    "rest",
    "each",
    "every",
    "per",
    "pilot",
    "out",
    "more",
    "spare",
    "extra",
];
/// How many words may stand between `for` and the joint or bolt: `for the four [foot-bolt]`.
const BETWEEN: usize = 3;

/// A sentence that drills or widens holes.
pub(super) struct Drills {
    pub step: StepId,
    pub place: Span,
    pub widens: bool,
    /// Whether it says of which size.
    pub is_sized: bool,
    /// How many, where it says so.
    count: Option<u32>,
    /// The joints that the words name; empty where they name none.
    named: Vec<JointId>,
    /// The only joint that holes of that size suit.
    suits: Option<JointId>,
    /// Whether it says what they are for.
    pub says_for: bool,
    /// Whether it speaks of some of the holes only.
    of_some: bool,
}

/// FW0741.
pub(super) fn counts(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english {
        return;
    }
    let procedure = words.procedure;
    let all = drills(procedure, texts);
    // What several sentences drill for a joint counts together.
    let mut sums: BTreeMap<JointId, (u32, bool)> = BTreeMap::new();
    for one in all.iter().filter(|one| !one.widens) {
        for joint in tied(procedure, one) {
            let sum = sums.entry(joint).or_default();
            sum.0 = sum.0.saturating_add(one.count.unwrap_or_default());
            sum.1 |= one.of_some || one.count.is_none_or(|count| count < 2);
        }
    }
    for one in all.iter().filter(|one| !one.widens && !one.of_some) {
        let joints = tied(procedure, one);
        let Some(count) = one.count.filter(|count| *count > 1) else { continue };
        if joints.iter().any(|joint| procedure.joints[*joint].count.is_none()) {
            continue;
        }
        let bolts = |joint: &JointId| procedure.joints[*joint].at_least().max(1);
        let together: u32 = joints.iter().map(bolts).fold(0, u32::saturating_add);
        let suits = |joint: &JointId| {
            let (sum, unsure) = sums.get(joint).copied().unwrap_or_default();
            unsure || count % bolts(joint) == 0 || sum % bolts(joint) == 0
        };
        let Some(first) = joints.first().copied() else { continue };
        if !joints.iter().any(suits) && count % together != 0 {
            let name = &procedure.joints[first].name;
            let finding = Finding::new(
                Code::FW0741,
                format!("the words drill {count} holes, and `{}` has {} fastenings", name.id, bolts(&first)),
                one.place,
                "drilled for it",
            );
            words.tell(
                finding
                    .also(name.span, format!("its count is {}", bolts(&first)))
                    .because("A hole too many stays open to the weather; a hole too few is drilled by eye, with the part in place.")
                    .repair("Let both say the same number. Where some of the holes are for something else, drill them in a sentence of their own that says for what."),
            );
        }
    }
}

/// FW0740.
pub(super) fn late<'p>(proof: &mut Proof<'p>, texts: &[Text<'p>]) {
    let procedure = proof.procedure;
    if !procedure.is_english() {
        return;
    }
    let all = drills(procedure, texts);
    if all.is_empty() {
        return;
    }
    let mut by_step: BTreeMap<StepId, Vec<&Drills>> = BTreeMap::new();
    for one in &all {
        by_step.entry(one.step).or_default().push(one);
    }
    let alike = alike(&all);
    let mut joints = tight::at_first(procedure);
    let events = proof.events.clone();
    for event in events.iter() {
        if let (Effect::Prose(_), Some(step)) = (&event.effect, event.place.step) {
            for one in by_step.get(&step).into_iter().flatten().filter(|one| stands_in(one.place, event.place.span)) {
                let meant = meant(procedure, &alike, one);
                let Some(first) = meant.first().copied() else { continue };
                let held = meant
                    .iter()
                    .map(|joint| proof.space.both(joints[*joint].exists, joints[*joint].in_place))
                    .collect::<Vec<_>>();
                let sure = proof.sure(event);
                let held = proof.space.all(held);
                let broken = proof.space.both(sure, held);
                let (place, widens) = (one.place, one.widens);
                proof.oblige((Code::FW0740, place, Subject::Joint(first)), event.id, broken, move |proof| {
                    too_late(proof.procedure, first, place, widens)
                });
            }
        }
        tight::after(proof, event, &mut joints);
    }
}

fn too_late(procedure: &Procedure, joint: JointId, place: Span, widens: bool) -> Finding {
    let name = &procedure.joints[joint].name;
    let done = if widens { "made larger" } else { "drilled" };
    Finding::new(
        Code::FW0740,
        format!("the holes of `{}` are {done} while its bolts can be in them", name.id),
        place,
        "the bolts are in already",
    )
    .also(name.span, "the joint")
    .because("There is no hole to put the bolt into before; and a drill that meets a bolt breaks, or spoils thread and clamp.")
    .repair(format!(
        "Put this sentence before `place {0}`, or write `remove {0} with …` before it. Where other holes are meant, say for what they are.",
        name.id
    ))
}

/// How many sentences drill so many.
pub(super) fn alike(all: &[Drills]) -> BTreeMap<Option<u32>, usize> {
    let mut alike = BTreeMap::new();
    for one in all {
        *alike.entry(one.count).or_default() += usize::from(!one.widens);
    }
    alike
}

/// The joints for which a sentence drills: those that it names, or the only one that it suits.
pub(super) fn meant(procedure: &Procedure, alike: &BTreeMap<Option<u32>, usize>, one: &Drills) -> Vec<JointId> {
    if one.named.is_empty() { by_size(procedure, alike, one).into_iter().collect() } else { one.named.clone() }
}

/// The only joint that the holes suit in size and number, unless another sentence drills as many: then it is not sure which
/// of the two is meant for it.
fn by_size(procedure: &Procedure, alike: &BTreeMap<Option<u32>, usize>, one: &Drills) -> Option<JointId> {
    let is_sure = alike.get(&one.count) == Some(&1) && !one.says_for;
    one.suits.filter(|joint| is_sure && procedure.joints[*joint].count.is_some_and(|count| Some(count) == one.count))
}

/// The joints that a sentence drills for: those that it names, or the only one that its step puts in place, where the size suits.
fn tied(procedure: &Procedure, one: &Drills) -> Vec<JointId> {
    if !one.named.is_empty() {
        return one.named.clone();
    }
    let mut placed = procedure.steps[one.step].lines.iter().filter_map(|line| match line.kind {
        LineKind::Place(joint) => Some(joint),
        _ => None,
    });
    let only = placed.next().filter(|_| placed.next().is_none());
    only.filter(|joint| one.suits == Some(*joint)).into_iter().collect()
}

pub(super) fn drills(procedure: &Procedure, texts: &[Text<'_>]) -> Vec<Drills> {
    let holed = Holed::of(procedure);
    let mut found = Vec::new();
    for text in texts.iter().filter(|text| text.sort == Sort::Instruction) {
        let Some(step) = text.step else { continue };
        for sentence in text.sentences() {
            let verb = opening_verb(text, sentence.start, sentence.end).unwrap_or(sentence.start);
            let widens = WIDENS.contains(&text.lower(verb));
            let says = |list: &[&str]| sentence.clone().any(|at| list.contains(&text.lower(at)));
            if !(widens || text.lower(verb) == "drill") || !says(HOLES) || says(&["not", "never"]) {
                continue;
            }
            let Some(place) = text.place(sentence) else { continue };
            let (count, size) = how_many(procedure, text, sentence);
            let suits = size.and_then(|size| holed.only_joint(&size));
            let named = named(procedure, text, sentence);
            found.push(Drills {
                step,
                place,
                widens,
                is_sized: size.is_some(),
                count,
                named,
                suits,
                says_for: says(&["for"]),
                of_some: says(OF_SOME),
            });
        }
    }
    found
}

/// The joints that a sentence names after `for`, itself or by a bolt that only they have.
fn named(procedure: &Procedure, text: &Text<'_>, sentence: &Range<usize>) -> Vec<JointId> {
    let mentioned = sentence.clone().find_map(|at| {
        let before = at.saturating_sub(BETWEEN + 1).max(sentence.start)..at;
        let is_meant = before.clone().any(|at| matches!(text.lower(at), "for" | "of"));
        text.mention(at).filter(|_| is_meant)
    });
    match mentioned.map(|mention| &mention.target) {
        Some(MentionTarget::Joint(joint)) => vec![*joint],
        Some(MentionTarget::Part(part)) if procedure.parts[*part].fastener.is_some() => {
            let holds = |joint: &JointId| procedure.joints[*joint].each.iter().any(|entry| entry.what == *part);
            procedure.joints.ids().filter(holds).collect()
        }
        _ => Vec::new(),
    }
}
