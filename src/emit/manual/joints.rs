//! The table of joints: what each must be tightened to.

use serde::Serialize;

use super::super::words::Words;
use crate::model::{Joint, JointId, LineKind, TappedMetal, ThreadCondition, Tightness};
use crate::quantity::{Measure, display};
use crate::working::joint;

/// A joint.
#[derive(Serialize)]
pub(super) struct JointRow {
    title: String,
    remark: Option<String>,
    when: Option<String>,
    count: u32,
    each: String,
    torque: Option<Parts>,
    seen: Option<String>,
    steps: String,
}

/// A measure whose bracketed part is printed apart: `22 N·m ± 2 N·m` and `(16.2 lbf·ft ± 1.4 lbf·ft)`.
#[derive(Serialize)]
pub(super) struct Parts {
    pub(super) text: String,
    pub(super) brackets: Option<String>,
}

/// A torque in its two parts.
pub(super) fn parts(words: Words<'_>, measure: &Measure) -> Parts {
    let printed = display::printed(measure, words.procedure.units);
    Parts { text: printed.text, brackets: printed.brackets.map(|text| format!("({text})")) }
}

/// Every joint with what it must come to.
pub(super) fn joints(words: Words<'_>) -> Vec<JointRow> {
    words.procedure.joints.iter().map(|(id, joint)| joint_row(words, id, joint)).collect()
}

fn joint_row(words: Words<'_>, id: JointId, joint: &Joint) -> JointRow {
    let (torque, seen) = match &joint.tightness {
        Tightness::Torque(measure, _) => (Some(parts(words, measure)), None),
        Tightness::Seen(criterion, _) => (None, Some(criterion.clone())),
    };
    let mut remarks: Vec<String> = Vec::new();
    remarks.extend(joint.thread.map(|thread| format!("thread {}", thread_words(thread))));
    remarks.extend(joint.grip.as_ref().map(|grip| format!("grip {}", words.quantity(grip))));
    remarks.extend(
        joint
            .into
            .as_ref()
            .map(|hole| format!("into {}, {} of thread", metal_words(hole.metal), words.quantity(&hole.depth))),
    );
    remarks.extend(joint.onto.as_ref().map(|stud| format!("onto stud {}", stud.thread.id)));
    remarks.extend(order(words, joint));
    remarks.extend(clamping(words, joint));
    if joint.on_vehicle {
        remarks.push("on the vehicle, tight, before the job".to_owned());
    }
    JointRow {
        title: joint.name.title.clone(),
        remark: (!remarks.is_empty()).then(|| remarks.join("; ")),
        when: joint.when.as_ref().map(|when| words.cond(when)),
        count: joint.count,
        each: words.each(&joint.each),
        torque,
        seen,
        steps: tightened_in(words, id),
    }
}

/// `crosswise in 2 stages, first to 11 N·m (8 lbf·ft)`: how several fastenings are tightened.
pub(in super::super) fn order(words: Words<'_>, joint: &Joint) -> Option<String> {
    let pattern = joint.pattern.as_ref()?;
    let order = joint::order_words(pattern.order);
    let early: Vec<String> = joint::stage_torques(joint).iter().map(|torque| words.quantity(torque)).collect();
    Some(match (pattern.stages, early.as_slice()) {
        (1, _) => order.to_owned(),
        (stages, []) => format!("{order} in {stages} stages"),
        (stages, early) => format!("{order} in {stages} stages, first to {}", early.join(", then to ")),
    })
}

/// What the torque comes to, for whoever judges the joint.
fn clamping(words: Words<'_>, joint: &Joint) -> Option<String> {
    let figures = joint::working(words.procedure, joint).figures?;
    let share = (figures.usual() * 100.0).round();
    Some(format!("clamps with about {}, {share} % of what the bolt bears", words.quantity(&figures.clamps?)))
}

/// A metal in words.
pub(in super::super) fn metal_words(metal: TappedMetal) -> &'static str {
    match metal {
        TappedMetal::Steel => "steel",
        TappedMetal::CastIron => "cast iron",
        TappedMetal::Aluminium => "aluminium",
    }
}

fn tightened_in(words: Words<'_>, joint: JointId) -> String {
    let tightens = |line: &crate::model::Line| matches!(&line.kind, LineKind::Tighten(id, _) if *id == joint);
    let steps = words.procedure.steps.rows().iter().filter(|step| step.lines.iter().any(tightens));
    let numbers: Vec<&str> = steps.map(|step| step.number.as_str()).collect();
    if numbers.is_empty() { "–".to_owned() } else { numbers.join(", ") }
}

/// The condition of a thread in words.
pub(in super::super) fn thread_words(thread: ThreadCondition) -> &'static str {
    match thread {
        ThreadCondition::Dry => "dry",
        ThreadCondition::Plated => "zinc plated",
        ThreadCondition::Oiled => "oiled",
        ThreadCondition::Waxed => "waxed",
        ThreadCondition::AntiSeize => "with anti-seize paste",
        ThreadCondition::ThreadLocker => "with thread locker",
    }
}
