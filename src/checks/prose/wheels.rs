//! FW0779 and FW0780: wheel nuts that are first loosened, or finally tightened, while a jack holds the wheel in the air.
//!
//! Sentences and lines alike. Common practice, from memory: cracked loose on the ground, tightened to their torque on the ground. Where
//! an impact wrench or somebody at the brake pedal holds against it, nothing is told.

use super::super::proof::Proof;
use super::orders;
use super::said::Said;
use super::sequel::{self, Act, Does};
use crate::diagnostics::{Code, Finding};
use crate::model::{JointId, Line, LineKind, Procedure, StepId};
use crate::source::Span;

/// What works against a wheel that is free.
const HELD: &[&str] = &["impact", "pedal", "brake", "brakes", "braked", "assistant", "helper", "pneumatic"];
const HOLDS: &[&str] = &["nut", "bolt", "stud"];

pub(super) fn check(proof: &mut Proof<'_>, all: &[Said<'_, '_>]) {
    if !all.iter().any(orders::raises) {
        return;
    }
    let mut acts = lines(proof.procedure);
    acts.extend(all.iter().filter(|one| one.is_now).filter_map(sentence));
    acts.sort_by_key(|(act, _)| (act.step, act.place.start));
    let of = |code: Code| -> Vec<Act> {
        let meant = acts.iter().filter(|(act, own)| act.does != Does::Late || *own == code);
        meant.map(|(act, _)| act.clone()).collect()
    };
    let loosened = of(Code::FW0779);
    // Cracked loose before it is raised, at this wheel or another.
    if !orders::is_done_before(&loosened) {
        sequel::check(proof, Code::FW0779, &loosened, loosened_late);
    }
    sequel::check(proof, Code::FW0780, &of(Code::FW0780), tightened_late);
}

/// What a sentence does, and which rule minds.
fn sentence(one: &Said<'_, '_>) -> Option<(Act, Code)> {
    let act = |does, code| Some((Act { step: one.step, place: one.place, things: Vec::new(), does }, code));
    if orders::raises(one) {
        return act(Does::Begins, Code::FW0779);
    }
    if one.does(&["lower", "drop", "let"]) || one.says(&["lowered", "ground"]) {
        return act(Does::Ends, Code::FW0779);
    }
    let of_wheel = one.object().is_some_and(|thing| {
        thing.is_a(HOLDS) && thing.has(&["wheel", "lug"]) && !thing.has(&["steering", "spare", "carrier"])
    });
    if !of_wheel || one.says(HELD) || one.lays_out(HELD) {
        return None;
    }
    if one.does(&["loosen", "slacken", "crack", "undo", "unscrew", "remove", "break", "unbolt"]) {
        return act(Does::Late, Code::FW0779);
    }
    let is_final = one.verb == "torque" || one.says(&["torque"]) || one.lays_out(&["torque"]);
    if one.does(&["tighten", "torque", "retighten", "retorque"]) && is_final {
        act(Does::Late, Code::FW0780)
    } else {
        None
    }
}

fn lines(procedure: &Procedure) -> Vec<(Act, Code)> {
    let wheels: Vec<JointId> = procedure.joints.ids().filter(|joint| holds_a_wheel(procedure, *joint)).collect();
    let mut found = Vec::new();
    for (step, row) in procedure.steps.iter().filter(|_| !wheels.is_empty()) {
        found.extend(row.lines.iter().filter_map(|line| of_line(procedure, &wheels, step, line)));
    }
    found
}

fn of_line(procedure: &Procedure, wheels: &[JointId], step: StepId, line: &Line) -> Option<(Act, Code)> {
    let (joint, code) = match line.kind {
        LineKind::Loosen(joint, _) | LineKind::RemoveJoint(joint, _) => (joint, Code::FW0779),
        LineKind::Tighten(joint, _) => (joint, Code::FW0780),
        _ => return None,
    };
    let is_held = line.kind.worked_with().iter().flat_map(|place| &place.any_of).any(|tool| {
        let title = procedure.tools[*tool].name.title.to_lowercase();
        HELD.iter().any(|word| title.contains(word))
    });
    let act = Act { step, place: line.span, things: Vec::new(), does: Does::Late };
    (wheels.contains(&joint) && !is_held).then_some((act, code))
}

/// `Wheel nuts`, or a joint `Front wheel`; no wheel that is steered with or carried along.
fn holds_a_wheel(procedure: &Procedure, joint: JointId) -> bool {
    let name = &procedure.joints[joint].name;
    let title = name.title.to_lowercase();
    let words: Vec<&str> = title.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let is_wheel = |word: &&str| matches!(*word, "wheel" | "wheels");
    let by_nuts = words
        .windows(2)
        .any(|two| matches!(two, [wheel, nut] if is_wheel(wheel) && HOLDS.contains(&nut.trim_end_matches('s'))));
    let other = ["steering", "spare", "carrier", "hand", "jockey", "fifth", "support", "castor"];
    (by_nuts || words.last().is_some_and(is_wheel)) && !words.iter().any(|word| other.contains(word))
}

fn loosened_late(raised: Span, place: Span) -> Finding {
    Finding::new(Code::FW0779, "wheel nuts are first loosened when the wheel is in the air", place, "it turns with them here")
        .also(raised, "raised here")
        .because("The wheel turns with the nuts; whoever pulls at a long bar pulls the vehicle off its jack.")
        .repair("Have them loosened by half a turn while the wheel stands on the ground, before the vehicle is raised: `Loosen the wheel nuts by [0.5 turn].`")
}

fn tightened_late(raised: Span, place: Span) -> Finding {
    Finding::new(Code::FW0780, "wheel nuts are tightened to their torque while the wheel is in the air", place, "nothing holds it here")
        .also(raised, "raised here, and not lowered")
        .because("The wheel turns before the torque is reached, and the pull at the wrench moves the vehicle on its jack.")
        .repair("Have them run on by hand in the air, the vehicle lowered, and then tightened to their torque: `Lower the vehicle onto its wheels.` before this. Where somebody holds the wheel by the brake, say so.")
}
