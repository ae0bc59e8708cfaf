//! FW0744: words that put on a thread what its joint does not state.
//!
//! A torque clamps by the friction of its thread: on oil it stretches the bolt far more than dry. Told where a sentence oils, greases
//! or locks a thread in a step that works on one joint alone, and that joint states another condition.

use std::ops::Range;

use super::Words;
use super::classes::{FASTENERS, GREASES, LOCKING, SLIPPERY, SPREADS};
use super::text::{Sort, Text};
use crate::diagnostics::{Code, Finding};
use crate::model::{Joint, JointId, LineKind, MentionTarget, Procedure, StepId, ThreadCondition, Tightness};

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    let (Some(step), true) = (text.step.filter(|_| text.sort == Sort::Instruction), words.english) else { return };
    let procedure = words.procedure;
    let Some(joint) = only_joint(procedure, step) else { return };
    for sentence in text.sentences().to_vec() {
        let Some(place) = text.place(&sentence) else { continue };
        let Some(put) = put_on(procedure, text, &sentence) else { continue };
        let Some(stated) = joint.thread else { continue };
        let agrees = match put {
            ThreadCondition::ThreadLocker => stated == ThreadCondition::ThreadLocker,
            _ => !matches!(stated, ThreadCondition::Dry | ThreadCondition::Plated | ThreadCondition::ThreadLocker),
        };
        let what = if put == ThreadCondition::ThreadLocker { "thread lock" } else { "oil or grease" };
        if !agrees {
            words.tell(
                Finding::new(
                    Code::FW0744,
                    format!("the words put {what} on the thread of `{}`, which states another condition", joint.name.id),
                    place,
                    "put on here",
                )
                .also(joint.name.span, "its `thread` line says otherwise")
                .because("A torque clamps by the friction of its thread: on oil or grease the same torque stretches the bolt far more, and may break it.")
                .repair("Let the joint say what is on its thread, with the torque for that; or leave the thread as it is stated."),
            );
        }
    }
}

/// The joint with a torque on which a step works, where it is one alone.
fn only_joint(procedure: &Procedure, step: StepId) -> Option<&Joint> {
    let mut joints: Vec<JointId> = procedure.steps[step]
        .lines
        .iter()
        .filter_map(|line| match line.kind {
            LineKind::Place(joint) | LineKind::Snug(joint, _) | LineKind::Tighten(joint, _) => Some(joint),
            _ => None,
        })
        .collect();
    joints.sort_unstable();
    joints.dedup();
    let [only] = joints.as_slice() else { return None };
    Some(&procedure.joints[*only]).filter(|joint| matches!(joint.tightness, Tightness::Torque(..)))
}

/// `each thread`, `the threads of the bolts`; not `you thread the cable in`, nor the threads of something else.
fn speaks_of_its_thread(text: &Text<'_>, sentence: &Range<usize>) -> bool {
    const BEFORE: &[&str] = &["the", "each", "every", "all", "both", "its", "their", "bolt"];
    const OTHERWISE: &[&str] = &["before", "when", "while", "after", "until", "in", "into"];
    let thread = (sentence.start + 1..sentence.end).find(|at| matches!(text.lower(*at), "thread" | "threads"));
    let Some(thread) = thread.filter(|at| BEFORE.contains(&text.lower(at - 1))) else { return false };
    let says = |list: &[&str]| (thread + 1..sentence.end).any(|at| list.contains(&text.lower(at)));
    let names_one = (thread + 1..sentence.end).any(|at| text.mention(at).is_some());
    let is_of = text.lower(thread + 1) == "of";
    !says(OTHERWISE) && (!is_of || names_one || says(FASTENERS))
}

/// What a sentence puts on a thread.
fn put_on(procedure: &Procedure, text: &Text<'_>, sentence: &Range<usize>) -> Option<ThreadCondition> {
    let verb = text.lower(sentence.start);
    let mut said: Vec<String> = sentence.clone().map(|at| text.lower(at).to_owned()).collect();
    for mention in sentence.clone().filter_map(|at| text.mention(at)) {
        if let MentionTarget::Part(part) = mention.target {
            let title = procedure.parts[part].name.title.to_lowercase();
            if procedure.parts[part].fastener.is_none() {
                said.extend(
                    title
                        .replace("thread lock", "threadlock")
                        .split(|c: char| !(c.is_alphanumeric() || c == '-'))
                        .map(str::to_owned),
                );
            }
        }
    }
    let says = |list: &[&str]| said.iter().any(|word| list.contains(&word.as_str()));
    let is_put = [SPREADS, GREASES, &["rub"]].iter().any(|list| list.contains(&verb));
    if !is_put || !speaks_of_its_thread(text, sentence) || says(&["not", "never", "no", "off", "hole", "head"]) {
        return None;
    }
    match (says(LOCKING), says(SLIPPERY) || says(&["oiled", "greased"])) {
        (true, _) => Some(ThreadCondition::ThreadLocker),
        (_, true) => Some(ThreadCondition::Oiled),
        _ => None,
    }
}
