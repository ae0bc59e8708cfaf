//! What is tightened again after the job.

use super::super::words::Words;
use super::joint::{seen, stages};
use crate::labels::{fill, spoken};
use crate::model::{Joint, JointId, Tightness};
use crate::working::joint::due_words;

/// `50 km (31 mi) or 10 h of running, whichever comes first`; `None` where nothing is due.
pub(in crate::emit) fn due(words: Words<'_>, joint: &Joint) -> Option<String> {
    due_words(joint, &mut |measure| words.measure(measure))
}

/// What the handover tells to be tightened again, each with its joints: those that are alike are told together.
pub(in crate::emit) fn due_again(words: Words<'_>) -> Vec<(Vec<JointId>, String)> {
    let mut all: Vec<(String, Vec<JointId>, Vec<String>)> = Vec::new();
    let joints = words.procedure.joints.iter();
    for (id, joint) in joints.filter(|(_, joint)| !joint.when.as_ref().is_some_and(Words::is_never)) {
        let Some(when) = due(words, joint) else { continue };
        let (told, title) = (to_what(words, joint, &when), title(words, joint));
        match all.iter_mut().find(|(same, ..)| *same == told) {
            Some((_, ids, titles)) => {
                ids.push(id);
                titles.push(title);
            }
            None => all.push((told, vec![id], vec![title])),
        }
    }
    all.into_iter().map(|(told, ids, titles)| (ids, format!("{}: {told}", titles.join("; ")))).collect()
}

/// `Vise to bench, 4\u{a0}×`, with the condition under which it is there.
fn title(words: Words<'_>, joint: &Joint) -> String {
    let many = joint.count.filter(|count| *count > 1);
    let count = many.map_or_else(String::new, |count| format!(", {count}\u{a0}×"));
    let when = joint.when.as_ref().map_or_else(String::new, |when| format!(" ({})", words.cond(when)));
    format!("{}{count}{when}", joint.name.title)
}

fn to_what(words: Words<'_>, joint: &Joint, when: &str) -> String {
    let labels = &spoken().handover;
    match &joint.tightness {
        Tightness::Torque(torque, _) => {
            let torque = stages(words, joint).unwrap_or_else(|| words.torque(joint, torque).to_string());
            fill(labels.again_to, &[("torque", &torque), ("when", when)])
        }
        Tightness::Seen(criterion, _) => {
            fill(labels.again_until, &[("seen", &seen(words, joint, criterion)), ("when", when)])
        }
        Tightness::Unknown(..) => fill(labels.again_after, &[("when", when)]),
    }
}
