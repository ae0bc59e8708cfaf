//! What is said of a joint.

use super::super::words::Words;
use crate::labels::{fill, spoken};
use crate::model::{Joint, JointId, LooseningOrder, TappedHole, TappedMetal, ThreadCondition};
use crate::quantity::Measure;
use crate::working::joint::{self, JointWorking};

/// `crosswise in 2 stages, first to 11 N·m (8 lbf·ft)`: how several fastenings are tightened.
pub(in crate::emit) fn order(words: Words<'_>, joint: &Joint) -> Option<String> {
    let pattern = joint.pattern.as_ref()?;
    let order = joint::order_words(pattern.order);
    let early: Vec<String> = joint::stage_torques(joint)
        .iter()
        .map(|torque| words.torque(joint, &Measure::Exact(*torque)).to_string())
        .collect();
    let labels = &spoken().joint;
    Some(match (pattern.stages, early.as_slice()) {
        (1, _) if pattern.open => fill(labels.in_some_stages, &[("order", order)]),
        (1, _) => order.to_owned(),
        (stages, []) => fill(labels.in_stages, &[("order", order), ("n", &stages.to_string())]),
        (stages, [first, later @ ..]) => {
            let later = later.iter().map(|torque| fill(labels.then_to, &[("torque", torque)]));
            let torques = std::iter::once(first.clone()).chain(later).collect::<Vec<_>>().join(", ");
            fill(labels.in_stages_first, &[("order", order), ("n", &stages.to_string()), ("torques", &torques)])
        }
    })
}

/// `from the outside inwards in 3 stages, each time by 1/4 turn`: how several fastenings are loosened.
pub(in crate::emit) fn loosened(words: Words<'_>, joint: &Joint) -> Option<String> {
    let (loosened, labels) = (joint.loosened.as_ref()?, &spoken().joint);
    let order = match loosened.order {
        LooseningOrder::Cross => labels.crosswise,
        LooseningOrder::OutsideIn => labels.outside_inwards,
        LooseningOrder::InTurn => labels.one_after_another,
    };
    let staged = match loosened.stages {
        1 if loosened.open => fill(labels.in_some_stages, &[("order", order)]),
        1 => order.to_owned(),
        stages => fill(labels.in_stages, &[("order", order), ("n", &stages.to_string())]),
    };
    Some(match &loosened.by {
        Some(angle) => fill(labels.each_time, &[("order", &staged), ("angle", &words.measure(angle))]),
        None => staged,
    })
}

/// What follows on a joint that is loosened or taken off: the order, and what becomes of its parts.
pub(in crate::emit) fn opened(words: Words<'_>, joint: JointId, after: &str) -> String {
    let order = loosened(words, &words.procedure.joints[joint]);
    format!("{}. {after}", order.map_or_else(String::new, |order| format!(", {order}")))
}

/// To what it is tightened: `22 N·m ± 2 N·m (16.2 lbf·ft ± 1.5 lbf·ft)`, or each of its stages.
pub(in crate::emit) fn tightened_to(words: Words<'_>, joint: &Joint, torque: &Measure) -> String {
    stages(words, joint).unwrap_or_else(|| words.torque(joint, torque).to_string())
}

/// What is seen when it is tight, with what is done from there on; behind `until`.
pub(in crate::emit) fn seen(words: Words<'_>, joint: &Joint, seen: &str) -> String {
    joint::seen_words(joint, seen, &mut |measure| words.torque(joint, measure).to_string())
}

/// `it is tight. No torque is stated: the maker says only: tighten`, behind `until`
pub(in crate::emit) fn tight_without_torque(why: &str) -> String {
    fill(spoken().tell.tight_without, &[("untold", &no_torque(why))])
}

/// `No torque is stated: the maker says only: tighten`
pub(in crate::emit) fn no_torque(why: &str) -> String {
    fill(spoken().tell.no_torque, &[("why", why.trim_end_matches('.'))])
}

/// Stages that are written out; `None` where there is one torque.
pub(in crate::emit) fn stages(words: Words<'_>, joint: &Joint) -> Option<String> {
    joint::stages_words(joint, &mut |measure| words.torque(joint, measure).to_string())
}

/// What the torque comes to, for whoever judges the joint. Of one that is left otherwise than at its greatest torque nobody
/// knows.
pub(in crate::emit) fn clamping(words: Words<'_>, joint: &Joint, made: &JointWorking) -> Option<String> {
    if !joint.is_left_at_greatest() {
        return None;
    }
    let figures = made.figures.as_ref()?;
    let share = (figures.usual() * 100.0).round();
    let force = words.quantity(&figures.clamps?);
    Some(fill(spoken().joint.clamping, &[("force", &force), ("share", &share.to_string())]))
}

/// `aluminium, 12 mm of thread`
pub(in crate::emit) fn hole_words(words: Words<'_>, hole: &TappedHole) -> String {
    let depth = words.quantity(&hole.depth);
    fill(spoken().joint.hole, &[("metal", metal_words(hole.metal)), ("depth", &depth)])
}

/// A metal in words.
pub(in crate::emit) fn metal_words(metal: TappedMetal) -> &'static str {
    match metal {
        TappedMetal::Steel => spoken().metal.steel,
        TappedMetal::CastIron => spoken().metal.cast_iron,
        TappedMetal::Aluminium => spoken().metal.aluminium,
    }
}

/// The condition of a thread in words.
pub(in crate::emit) fn thread_words(thread: ThreadCondition) -> &'static str {
    match thread {
        ThreadCondition::Dry => spoken().metal.dry,
        ThreadCondition::Plated => spoken().metal.plated,
        ThreadCondition::Oiled => spoken().metal.oiled,
        ThreadCondition::Waxed => spoken().metal.waxed,
        ThreadCondition::AntiSeize => spoken().metal.anti_seize,
        ThreadCondition::ThreadLocker => spoken().metal.thread_locker,
    }
}

/// How many fastenings, before what each is: `8 ×`, or that nobody says how many.
pub(in crate::emit) fn times(joint: &Joint) -> String {
    joint.count.map_or_else(|| spoken().tell.as_many.to_owned(), |count| format!("{count}\u{a0}×"))
}
