//! FW05: what a torque wrench can be trusted with.
//!
//! ISO 6789 tests a hand torque tool at 20, 60 and 100 % of its largest value, and allows it to be off by 4 % above
//! 10 N.m and by 6 % up to that (public pages; the standard was not read). That a wrench is used from 20 % up only is
//! common practice, which follows from those points.

use super::proof::Proof;
use super::words::{shown, shown_range};
use crate::diagnostics::{Code, Finding};
use crate::model::{Joint, Line, LineKind, Procedure, Tool, ToolUse};
use crate::quantity::{Exact, Measure, Quantity};
use crate::source::Span;
use crate::working::joint::least_stage_torques;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub};
use std::cmp::Ordering;

/// The least share of its largest value at which a torque wrench is tested.
const LEAST_SHARE: Exact = Exact::new_raw(1, 5);

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    // Once a joint: whoever writes no tolerance writes none for all stages.
    let first = |joint: &Joint| joint.torques().into_iter().find_map(|(torque, said)| too_fine(joint, torque, said));
    let mut findings: Vec<Finding> = procedure.joints.rows().iter().filter_map(first).collect();
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Tighten(joint, tools) = &line.kind else { continue };
        let joint = &procedure.joints[*joint];
        reaches(procedure, joint, tools, line, &mut findings);
        wrenches(procedure, joint, tools, &mut findings);
    }
    proof.findings.extend(findings);
}

/// The ends of the torques to which a wrench may be set. `at most` and `at least` bound one side only; the wrench is set
/// to the value named.
fn ends(torque: &Measure) -> Option<(Quantity, Quantity)> {
    let low = torque.low().or_else(|| torque.high())?;
    Some((low, torque.high().unwrap_or(low)))
}

/// A torque of a joint, with its place.
#[derive(Clone, Copy)]
struct Asked<'p> {
    torque: &'p Measure,
    said: Span,
    low: Quantity,
    high: Quantity,
}

/// Each torque to which a wrench is set for a joint.
fn asked(joint: &Joint) -> Vec<Asked<'_>> {
    let torques = joint.torques().into_iter();
    torques.filter_map(|(torque, said)| ends(torque).map(|(low, high)| Asked { torque, said, low, high })).collect()
}

impl Asked<'_> {
    fn is(left: &Quantity, right: &Quantity, order: Ordering) -> bool {
        left.compare(right) == Some(order)
    }

    /// Whether a wrench can be set to all of it.
    fn is_within(&self, (from, to): (Quantity, Quantity)) -> bool {
        !Self::is(&self.high, &to, Ordering::Greater) && !Self::is(&self.low, &from, Ordering::Less)
    }

    /// The part of it to which a wrench can be set; `None` where that is nothing.
    fn part_within(&self, (from, to): (Quantity, Quantity)) -> Option<(Quantity, Quantity)> {
        if Self::is(&self.high, &from, Ordering::Less) || Self::is(&self.low, &to, Ordering::Greater) {
            return None;
        }
        let low = if Self::is(&self.low, &from, Ordering::Less) { from } else { self.low };
        Some((low, if Self::is(&self.high, &to, Ordering::Greater) { to } else { self.high }))
    }
}

/// FW0507, FW0506 and FW0520: whether the wrenches of a line can be set to the torque; where a joint has several, each
/// wrench to one of them, and to each of them one of the wrenches.
fn reaches(procedure: &Procedure, joint: &Joint, tools: &[ToolUse], line: &Line, findings: &mut Vec<Finding>) {
    let asked = asked(joint);
    let Some(first) = asked.first() else { return };
    let named = tools.iter().flat_map(|place| place.any_of.iter().map(move |tool| (place, &procedure.tools[*tool])));
    let ranged = named.clone().filter_map(|(place, tool)| Some((place, tool, tool.torque?)));
    let before = findings.len();
    for (place, tool, range) in ranged.clone() {
        if asked.iter().any(|asked| asked.is_within(range)) {
            continue;
        }
        // Of several torques that which it reaches at least in part.
        let nearest = asked.iter().find(|asked| asked.part_within(range).is_some()).unwrap_or(first);
        findings.push(match nearest.part_within(range) {
            Some(part) => part_only(procedure, joint, tool, place.span, nearest.said, part),
            None => out_of_reach(procedure, joint, tool, place.span, nearest),
        });
    }
    if findings.len() > before {
        return;
    }
    if ranged.clone().next().is_none() {
        let unranged = named.map(|(_, tool)| tool).find(|tool| is_called_torque(tool));
        findings.push(no_wrench(procedure, joint, unranged, line, first.said));
        return;
    }
    let serves = |place: &ToolUse, asked: &Asked<'_>| {
        place.any_of.iter().all(|tool| procedure.tools[*tool].torque.is_some_and(|range| asked.is_within(range)))
    };
    for asked in asked.iter().filter(|asked| !tools.iter().any(|place| serves(place, asked))) {
        let short = ranged.clone().find(|(.., range)| !asked.is_within(*range));
        findings.extend(short.map(|(place, tool, _)| out_of_reach(procedure, joint, tool, place.span, asked)));
    }
}

/// Whether a tool without a range is called a torque tool all the same.
fn is_called_torque(tool: &Tool) -> bool {
    tool.name.id.contains("torque") || tool.name.title.to_lowercase().contains("torque")
}

/// FW0507
fn no_wrench(procedure: &Procedure, joint: &Joint, unranged: Option<&Tool>, line: &Line, said: Span) -> Finding {
    let torque = torques_words(procedure, joint);
    let (message, label) = match unranged {
        Some(tool) => (
            format!(
                "`{}` has a torque, and `{}` does not say to which torques it can be set",
                joint.name.id, tool.name.id
            ),
            "its range is not known",
        ),
        None if line.by_hand => {
            (format!("`{}` has a torque, and is tightened by hand", joint.name.id), "no torque wrench here")
        }
        None => (format!("`{}` has a torque, and no torque wrench is named", joint.name.id), "no torque wrench here"),
    };
    let finding = Finding::new(Code::FW0507, message, line.span, label)
        .also(said, "the torque")
        .because("A torque that nobody can measure is a guess.");
    match unranged {
        Some(tool) => finding
            .also(tool.name.span, "declared here")
            .repair(format!("Write its range in the tool, `torque LOW to HIGH`; it must reach {torque}.")),
        None => finding.repair(format!("Name a torque wrench after `with`, one whose range holds {torque}.")),
    }
}

/// `20 N.m to 24 N.m`; of several stages each: `90 lbf.ft to 110 lbf.ft and 50 lbf.ft`.
fn torques_words(procedure: &Procedure, joint: &Joint) -> String {
    let each: Vec<String> = asked(joint).iter().map(|asked| shown_range(procedure, asked.low, asked.high)).collect();
    if each.is_empty() { "the torque".to_owned() } else { each.join(" and ") }
}

/// FW0506
fn out_of_reach(procedure: &Procedure, joint: &Joint, tool: &Tool, at: Span, asked: &Asked<'_>) -> Finding {
    let range = tool.torque.map(|(from, to)| shown_range(procedure, from, to)).unwrap_or_default();
    let too_high = tool.torque.is_some_and(|(_, to)| Asked::is(&asked.low, &to, Ordering::Greater));
    let side = if too_high { "stronger" } else { "finer" };
    let holds = shown_range(procedure, asked.low, asked.high);
    let repair = if joint.stages.is_empty() {
        format!("Name a {side} torque wrench, one whose range holds {holds}.")
    } else {
        format!("Name a {side} torque wrench for this stage, or one more: its range must hold {holds}.")
    };
    Finding::new(
        Code::FW0506,
        format!("`{}` can't be set to the torque of `{}`", tool.name.id, joint.name.id),
        at,
        format!("its range is {range}"),
    )
    .also(asked.said, format!("the torque is {}", shown(procedure, asked.torque)))
    .because("Outside its range a torque wrench is not accurate, and may not click at all.")
    .repair(repair)
}

/// FW0520
fn part_only(
    procedure: &Procedure,
    joint: &Joint,
    tool: &Tool,
    at: Span,
    said: Span,
    (low, high): (Quantity, Quantity),
) -> Finding {
    let part = shown_range(procedure, low, high);
    let range = tool.torque.map(|(from, to)| shown_range(procedure, from, to)).unwrap_or_default();
    Finding::new(
        Code::FW0520,
        format!("`{}` can be set to {part} of the torque of `{}` only", tool.name.id, joint.name.id),
        at,
        format!("its range is {range}"),
    )
    .also(said, "the torque")
    .because("Set to the other part, it is not accurate, and may not click at all.")
    .repair(format!("Tell the technician to set it to {part}, or name a wrench that reaches all of the torque."))
}

/// FW0510: each torque wrench of a line. Of several torques each is set with that of the wrenches which suits it best.
fn wrenches(procedure: &Procedure, joint: &Joint, tools: &[ToolUse], findings: &mut Vec<Finding>) {
    for asked in asked(joint) {
        let mut doubts = Vec::new();
        let mut suits = false;
        for (place, tool) in tools.iter().flat_map(|place| place.any_of.iter().map(move |tool| (place, tool))) {
            let tool = &procedure.tools[*tool];
            let Some((from, to)) = tool.torque else { continue };
            // Outside its range is FW0506's and FW0520's.
            if Asked::is(&asked.low, &from, Ordering::Less) {
                continue;
            }
            let before = doubts.len();
            doubts.extend(below_a_fifth(tool, place.span, &asked.low, &to, asked.said));
            suits |= doubts.len() == before;
            doubts.extend(first_stage(joint, tool, place.span, &from, asked.said));
        }
        if joint.stages.is_empty() || !suits {
            findings.extend(doubts.into_iter().map(|doubt| doubt.holding(asked.torque.source_form())));
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
    let first = least_stage_torques(joint).into_iter().find(|stage| stage.compare(from) == Some(Ordering::Less))?;
    let pattern = joint.pattern.as_ref()?;
    let stages = if pattern.open { "two".to_owned() } else { pattern.stages.to_string() };
    Some(
        Finding::new(
            Code::FW0510,
            format!("`{}` can't be set to {first}, the first of {stages} stages", tool.name.id),
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
fn too_fine(joint: &Joint, torque: &Measure, said: Span) -> Option<Finding> {
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
            said,
            if half == Exact::from_integer(0) {
                "it has no tolerance".to_owned()
            } else {
                format!("less than {per_cent} % either way")
            },
        )
        .also(joint.name.span, "the joint")
        .because(format!(
            "A hand torque wrench may itself be off by {per_cent} % at this torque (ISO 6789), so a fastening that clicks \
             may lie outside."
        ))
        .repair(format!("Write at least `+- {per_cent} %`, or say in the step how the torque is checked and accept this."))
        .holding(torque.source_form()),
    )
}
