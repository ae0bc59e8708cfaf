//! FW0766 and FW0767: washers, and numbers of bolts, of which the joint of a step has none or fewer.
//!
//! Told only in a step that works on one joint alone, and takes or names no other fasteners.

use std::ops::Range;

use super::Words;
use super::classes::says;
use super::holes::number;
use super::sentences::opening_verb;
use super::text::{Sort, Text, TokenKind};
use crate::diagnostics::{Code, Finding};
use crate::model::{FastenerKind, Joint, JointId, LineKind, MentionTarget, PartId, Procedure, StepId};
use crate::source::Span;

const PUTS: &[&str] = &["put", "place", "slide", "slip", "fit", "set", "lay", "push", "insert", "add", "use", "thread"];
/// A washer that is there already, or none.
const NO_NEW_WASHER: &[&str] = &[
    "not", "never", "no", "without", "old", "original", "existing", "captive", "factory", "back", "if", "same", "its",
    "rubber",
];
const FASTENS: &[&str] = &[
    "put", "place", "insert", "start", "fit", "turn", "run", "push", "install", "screw", "drive", "tighten", "torque",
    "snug", "thread", "fasten", "drop",
];
/// Other bolts than those of the joint, or a part of them.
const OF_OTHERS: &[&str] =
    &["more", "other", "others", "remaining", "spare", "old", "seat", "first", "last", "not", "never", "each", "per"];
/// After the bolts: whose they are.
const WHOSE: &[&str] = &["of", "on", "in", "at", "from", "for", "around", "round", "along", "that", "which", "per"];

/// The joint on which a line works.
pub(super) fn works_on(kind: &LineKind) -> Option<JointId> {
    match kind {
        LineKind::Record(_) => None,
        kind => kind.joint(),
    }
}

/// The joint on which a step works, where it is one alone.
pub(super) fn only_joint(procedure: &Procedure, step: StepId) -> Option<JointId> {
    let mut joints = procedure.steps[step].lines.iter().filter_map(|line| works_on(&line.kind));
    let first = joints.next()?;
    joints.all(|joint| joint == first).then_some(first)
}

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    let (Some(step), true) = (text.step.filter(|_| text.sort == Sort::Instruction), words.english) else { return };
    let procedure = words.procedure;
    let Some(id) = only_joint(procedure, step) else { return };
    let joint = &procedure.joints[id];
    if joint.on_vehicle || takes_others(procedure, step, joint) {
        return;
    }
    for sentence in text.sentences().to_vec() {
        let verb = opening_verb(text, sentence.start, sentence.end).unwrap_or(sentence.start);
        let verb = text.lower(verb);
        if names_others(procedure, text, &sentence, joint) {
            continue;
        }
        if PUTS.contains(&verb) {
            washer(words, text, &sentence, joint);
        }
        if FASTENS.contains(&verb) {
            bolts(words, text, &sentence, joint);
        }
    }
}

/// Whether a step takes fasteners, or washers by their title, that are none of the joint's.
fn takes_others(procedure: &Procedure, step: StepId, joint: &Joint) -> bool {
    procedure.steps[step].lines.iter().any(|line| match &line.kind {
        LineKind::Take(entries) => entries.iter().any(|entry| is_other(procedure, entry.what, joint)),
        LineKind::Refit(entries) => entries.iter().any(|entry| is_other(procedure, entry.what, joint)),
        LineKind::Reuse(entries) => entries.iter().any(|entry| is_other(procedure, entry.what, joint)),
        _ => false,
    })
}

fn names_others(procedure: &Procedure, text: &Text<'_>, sentence: &Range<usize>, joint: &Joint) -> bool {
    sentence.clone().filter_map(|at| text.mention(at)).any(|mention| match mention.target {
        MentionTarget::Part(part) => is_other(procedure, part, joint),
        _ => false,
    })
}

fn is_other(procedure: &Procedure, part: PartId, joint: &Joint) -> bool {
    const LIKE: &[&str] = &["washer", "bolt", "screw", "nut", "stud"];
    let row = &procedure.parts[part];
    let title = row.name.title.to_lowercase();
    let is_one = row.fastener.is_some() || LIKE.iter().any(|word| title.contains(word));
    is_one && joint.each.iter().all(|entry| entry.what != part)
}

/// FW0766.
fn washer(words: &mut Words<'_>, text: &Text<'_>, sentence: &Range<usize>, joint: &Joint) {
    let procedure = words.procedure;
    let mut all = sentence.clone();
    let Some(at) = all.find(|at| matches!(text.lower(*at), "washer" | "washers")) else { return };
    let is_under = says(text, at..sentence.end, &["under", "below", "beneath", "behind"])
        && says(text, at..sentence.end, &["head", "heads", "nut", "nuts", "bolt", "bolts", "screw", "screws"]);
    let has_one = joint.each.iter().any(|entry| {
        let part = &procedure.parts[entry.what];
        let title = part.name.title.to_lowercase();
        let is_washer = part.fastener.as_ref().is_some_and(|fastener| fastener.kind == FastenerKind::Washer);
        is_washer || title.contains("washer") || part.fastener.is_none()
    });
    let before = at.checked_sub(1).map(|before| text.lower(before)).unwrap_or_default();
    let is_special = matches!(before, "sealing" | "lock" | "copper" | "fibre" | "tab");
    let Some(place) = text.place(&(at..at + 1)) else { return };
    if !is_under || has_one || is_special || joint.each.is_empty() || says(text, sentence.clone(), NO_NEW_WASHER) {
        return;
    }
    let name = &joint.name;
    words.tell(
        Finding::new(
            Code::FW0766,
            format!("the words put a washer into `{}`, and it states none", name.id),
            place,
            "in no list",
        )
        .also(name.span, "its `each` has no washer")
        .because("No list has it, so any washer at hand is taken, or none. The torque and the length of the bolt were judged without it.")
        .repair(format!("Declare the washer and write it into `each` of `{}`, or take it out of the words.", name.id)),
    );
}

/// FW0767.
fn bolts(words: &mut Words<'_>, text: &Text<'_>, sentence: &Range<usize>, joint: &Joint) {
    if says(text, sentence.clone(), OF_OTHERS) {
        return;
    }
    for at in sentence.start + 1..sentence.end {
        let Some(said) = number(text, at).filter(|said| *said > 1) else { continue };
        let Some((kind, has)) = has(words.procedure, text, at + 1, joint) else { continue };
        let is_all = at.checked_sub(1).is_some_and(|before| text.lower(before) == "all");
        // `Put the six bolts in.`: nothing follows of which they are.
        let follows = text.kind(at + 3).is_some_and(|kind| kind != TokenKind::Sign);
        let is_whose = follows && WHOSE.contains(&text.lower(at + 2));
        if said == has || (said < has && !is_all) || is_whose {
            continue;
        }
        let Some(place) = text.place(&(at..at + 2)) else { continue };
        words.tell(finding(joint, said, kind, has, place));
        return;
    }
}

/// Of what a word or mention says, how many a joint has.
fn has(procedure: &Procedure, text: &Text<'_>, at: usize, joint: &Joint) -> Option<(&'static str, u32)> {
    let mentioned = match text.mention(at).map(|mention| &mention.target) {
        Some(MentionTarget::Part(part)) => Some(*part),
        _ => None,
    };
    let word = text.lower(at);
    let kinds: &[FastenerKind] = match word {
        "bolts" => &[FastenerKind::Bolt],
        "screws" => &[FastenerKind::Screw],
        "nuts" => &[FastenerKind::Nut],
        _ => &[],
    };
    let own = joint.each.iter().filter(|entry| {
        let fastener = procedure.parts[entry.what].fastener.as_ref();
        mentioned == Some(entry.what) || fastener.is_some_and(|fastener| kinds.contains(&fastener.kind))
    });
    let count = joint.count?;
    let sum = own.map(|entry| entry.count.saturating_mul(count)).fold(0, u32::saturating_add);
    let called = match word {
        "bolts" => "bolts",
        "screws" => "screws",
        "nuts" => "nuts",
        _ => "of them",
    };
    (sum > 0).then_some((called, sum))
}

fn finding(joint: &Joint, said: u32, kind: &str, has: u32, place: Span) -> Finding {
    let name = &joint.name;
    let many = if kind == "of them" { String::new() } else { format!(" {kind}") };
    Finding::new(
        Code::FW0767,
        format!("the words speak of {said}{many}, and `{}` has {has}", name.id),
        place,
        "as many as these",
    )
    .also(name.span, "the joint of this step")
    .because("Whoever counts looks for one that is not there, or leaves one out that is.")
    .repair("Let both say the same number. Where other bolts are meant, say whose they are.")
}
