//! FW05: what a torque wrench can be trusted with.
//!
//! ISO 6789 tests a hand torque tool at 20, 60 and 100 % of its largest value, and allows it to be off by 4 % above
//! 10 N.m and by 6 % up to that (public pages; the standard was not read). That a wrench is used from 20 % up only is
//! common practice, which follows from those points.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::{Joint, LineKind, Procedure, Tightness, Tool, ToolUse};
use crate::quantity::{Exact, Measure, Quantity};
use crate::source::Span;
use crate::working::joint::stage_torques;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub};
use std::cmp::Ordering;

/// The least share of its largest value at which a torque wrench is tested.
const LEAST_SHARE: Exact = Exact::new_raw(1, 5);

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut findings: Vec<Finding> = procedure.joints.rows().iter().filter_map(too_fine).collect();
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Tighten(joint, tools) = &line.kind else { continue };
        wrenches(procedure, &procedure.joints[*joint], tools, &mut findings);
    }
    proof.findings.extend(findings);
}

/// FW0510: each torque wrench of a line.
fn wrenches(procedure: &Procedure, joint: &Joint, tools: &[ToolUse], findings: &mut Vec<Finding>) {
    let Tightness::Torque(torque, said) = &joint.tightness else { return };
    let Some(low) = torque.low().or_else(|| torque.high()) else { return };
    for place in tools {
        for tool in place.any_of.iter().map(|tool| &procedure.tools[*tool]) {
            let Some((from, to)) = tool.torque else { continue };
            // Outside its range is FW0506's.
            if low.compare(&from) == Some(Ordering::Less) {
                continue;
            }
            findings.extend(below_a_fifth(tool, place.span, &low, &to, *said));
            findings.extend(first_stage(joint, tool, place.span, &from, *said));
        }
    }
}

fn below_a_fifth(tool: &Tool, at: Span, low: &Quantity, to: &Quantity, said: Span) -> Option<Finding> {
    let fifth = Quantity { value: to.value.checked_mul(&LEAST_SHARE)?, ..*to };
    if low.compare(&fifth) != Some(Ordering::Less) {
        return None;
    }
    Some(
        Finding::new(
            Code::FW0510,
            format!("`{}` is too large a wrench for {low}", tool.name.id),
            at,
            format!("it goes up to {to}"),
        )
        .also(said, "the torque")
        .because(
            "Torque wrenches are tested from a fifth of their largest value up (ISO 6789); below it nobody knows how far \
             they are off.",
        )
        .repair(format!("Name a wrench whose largest value is at most five times {low}.")),
    )
}

/// A stage before the last that the wrench cannot be set to.
fn first_stage(joint: &Joint, tool: &Tool, at: Span, from: &Quantity, said: Span) -> Option<Finding> {
    let first = stage_torques(joint).into_iter().find(|stage| stage.compare(from) == Some(Ordering::Less))?;
    let pattern = joint.pattern.as_ref()?;
    Some(
        Finding::new(
            Code::FW0510,
            format!("`{}` can't be set to {first}, the first of {} stages", tool.name.id, pattern.stages),
            at,
            format!("it begins at {from}"),
        )
        .also(pattern.span, "the stages")
        .also(said, "the torque")
        .because("A wrench that is set below its range does not click, and the first stage becomes a guess.")
        .repair("Ask for fewer stages, or name a wrench that goes lower."),
    )
}

/// FW0511: a tolerance that a torque wrench cannot keep.
fn too_fine(joint: &Joint) -> Option<Finding> {
    let Tightness::Torque(torque, said) = &joint.tightness else { return None };
    if matches!(torque, Measure::Exact(_)) {
        return None;
    }
    let (low, high) = (torque.low()?.base()?, torque.high()?.base()?);
    let two = Exact::from_integer(2);
    let middle = low.checked_add(&high)?.checked_div(&two)?;
    let half = high.checked_sub(&low)?.checked_div(&two)?;
    let per_cent = if middle > Exact::from_integer(10) { 4 } else { 6 };
    if half >= middle.checked_mul(&Exact::new(per_cent, 100))? {
        return None;
    }
    Some(
        Finding::new(
            Code::FW0511,
            format!("the tolerance of `{}` is finer than a torque wrench holds", joint.name.id),
            *said,
            format!("less than {per_cent} % either way"),
        )
        .also(joint.name.span, "the joint")
        .because(format!(
            "A hand torque wrench may itself be off by {per_cent} % at this torque (ISO 6789), so a fastening that clicks \
             may lie outside."
        ))
        .repair(format!("Write at least `+- {per_cent} %`, or say in the step how the torque is checked and accept this.")),
    )
}
