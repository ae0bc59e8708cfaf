//! FW05: what a torque wrench can be trusted with.
//!
//! ISO 6789 tests a hand torque tool at 20, 60 and 100 % of its largest value, and allows it to be off by 4 % above
//! 10 N.m and by 6 % up to that (public pages; the standard was not read). That a wrench is used from 20 % up only is
//! common practice, which follows from those points.

use super::proof::Proof;
use super::words::{shown, shown_range};
use crate::diagnostics::{Code, Finding};
use crate::model::{Joint, Line, LineKind, Procedure, Tool, ToolId, ToolUse};
use crate::quantity::{Exact, Measure, Quantity};
use crate::source::Span;
use crate::working::joint::{Setting, least_stage_torques, settings};
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
        findings.extend(loosens(procedure, line));
        let LineKind::Tighten(joint, tools) = &line.kind else { continue };
        let joint = &procedure.joints[*joint];
        let settings = settings(procedure, tools);
        findings.extend(levers(procedure, joint, line, &settings, tools));
        let reaches = reaches(procedure, tools, &settings);
        within_reach(procedure, joint, &reaches, line, &mut findings);
        wrenches(joint, &reaches, &mut findings);
    }
    proof.findings.extend(findings);
}

/// FW0745: a torque wrench that loosens. Not to be used so is what every maker's sheet says (common practice, from memory).
fn loosens(procedure: &Procedure, line: &Line) -> Option<Finding> {
    let (LineKind::Loosen(joint, tools) | LineKind::RemoveJoint(joint, tools)) = &line.kind else { return None };
    let wrench = |id: &ToolId| procedure.tools[*id].torque.is_some();
    let (used, tool) = tools.iter().find_map(|used| Some((used, used.any_of.iter().find(|id| wrench(id))?)))?;
    let (name, joint) = (&procedure.tools[*tool].name.id, &procedure.joints[*joint].name.id);
    Some(
        Finding::new(
            Code::FW0745,
            format!("`{joint}` is loosened with the torque wrench `{name}`"),
            used.span,
            "a torque wrench",
        )
        .because("What is stuck takes far more than it was torqued to, and the wrench is off from then on without a sign of it.")
        .repair("Name a ratchet, a breaker bar or a spanner in its place."),
    )
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

/// A torque wrench of a line, and to which torques it brings the fastening.
struct Reach<'p> {
    place: &'p ToolUse,
    tool: &'p Tool,
    /// At the fastening; `None` where that rests on the length of the wrench, which nobody states.
    range: Option<(Quantity, Quantity)>,
    /// The adapters through which it turns.
    setting: Option<&'p Setting>,
}

/// Each torque wrench of a line, with each choice of adapters that make its lever longer.
fn reaches<'p>(procedure: &'p Procedure, tools: &'p [ToolUse], settings: &'p [Setting]) -> Vec<Reach<'p>> {
    let mut found = Vec::new();
    for (place, id) in tools.iter().flat_map(|place| place.any_of.iter().map(move |tool| (place, *tool))) {
        let tool = &procedure.tools[id];
        let Some((from, to)) = tool.torque else { continue };
        let before = found.len();
        for setting in settings.iter().filter(|setting| setting.wrench == id && !place.hold) {
            let range = setting.at_fastening(&from).zip(setting.at_fastening(&to));
            found.push(Reach { place, tool, range, setting: Some(setting) });
        }
        if found.len() == before {
            found.push(Reach { place, tool, range: Some((from, to)), setting: None });
        }
    }
    found
}

impl Reach<'_> {
    /// `its range is 8 N.m to 40 N.m`, and what that is at the fastening where an adapter makes its lever longer.
    fn words(&self, procedure: &Procedure) -> String {
        let shown = |range: Option<(Quantity, Quantity)>| {
            range.map(|(from, to)| shown_range(procedure, from, to)).unwrap_or_default()
        };
        let own = shown(self.tool.torque);
        match self.setting.filter(|setting| setting.extension.is_some()) {
            Some(setting) => {
                let through = named(procedure, setting);
                format!("its range is {own}; through {through} that is {} at the fastening", shown(self.range))
            }
            None => format!("its range is {own}"),
        }
    }
}

/// `crowfoot-13`, in backticks; of several each.
fn named(procedure: &Procedure, setting: &Setting) -> String {
    let names = setting.through.iter().map(|tool| format!("`{}`", procedure.tools[*tool].name.id));
    names.collect::<Vec<_>>().join(" and ")
}

/// FW0507, FW0506 and FW0520: whether the wrenches of a line can be set to the torque; where a joint has several, each
/// wrench to one of them, and to each of them one of the wrenches.
fn within_reach(procedure: &Procedure, joint: &Joint, all: &[Reach<'_>], line: &Line, findings: &mut Vec<Finding>) {
    let asked = asked(joint);
    let Some(first) = asked.first() else { return };
    if all.is_empty() {
        let LineKind::Tighten(_, tools) = &line.kind else { return };
        let named = tools.iter().flat_map(|place| &place.any_of).map(|tool| &procedure.tools[*tool]);
        let unranged = named.into_iter().find(|tool| is_called_torque(tool));
        findings.push(no_wrench(procedure, joint, unranged, line, first.said));
        return;
    }
    let before = findings.len();
    let ranged = all.iter().filter_map(|reach| Some((reach, reach.range?)));
    for (reach, range) in ranged.clone() {
        if asked.iter().any(|asked| asked.is_within(range)) {
            continue;
        }
        // Of several torques that which it reaches at least in part.
        let nearest = asked.iter().find(|asked| asked.part_within(range).is_some()).unwrap_or(first);
        findings.push(match nearest.part_within(range) {
            Some(part) => part_only(procedure, joint, reach, nearest.said, part),
            None => out_of_reach(procedure, joint, reach, nearest),
        });
    }
    if findings.len() > before || all.iter().any(|reach| reach.range.is_none()) {
        return;
    }
    // Each alternative of an entry may be the one that is laid out.
    let serves = |place: &ToolUse, asked: &Asked<'_>| {
        let is_here = |reach: &&Reach<'_>| std::ptr::eq(reach.place, place);
        place.any_of.iter().all(|tool| procedure.tools[*tool].torque.is_some())
            && all.iter().filter(is_here).all(|reach| reach.range.is_some_and(|range| asked.is_within(range)))
    };
    for asked in asked.iter().filter(|asked| !all.iter().any(|reach| serves(reach.place, asked))) {
        let short = ranged.clone().find(|(_, range)| !asked.is_within(*range));
        findings.extend(short.map(|(reach, _)| out_of_reach(procedure, joint, reach, asked)));
    }
}

/// FW0736, FW0737 and FW0738: whether it is known, and can be set, what the wrench shows where an adapter makes its lever longer.
fn levers(procedure: &Procedure, joint: &Joint, line: &Line, settings: &[Setting], tools: &[ToolUse]) -> Vec<Finding> {
    let Some((torque, said)) = joint.greatest_torque() else { return Vec::new() };
    let mut findings = Vec::new();
    let mut told: Vec<&str> = Vec::new();
    for setting in settings {
        let wrench = &procedure.tools[setting.wrench];
        let is_told = told.contains(&wrench.name.id.as_str());
        if setting.share.is_none() && wrench.lever.is_none() && wrench.unknown.is_empty() && !is_told {
            told.push(&wrench.name.id);
            findings.push(no_lever(procedure, joint, line, setting));
        }
        if setting.extension.is_some() && setting.keeps(torque, wrench) == Some(false) {
            findings.extend(coarse(procedure, joint, line, setting, (torque, said)));
        }
    }
    findings.extend(unsaid(procedure, joint, tools));
    findings
}

/// FW0736
fn no_lever(procedure: &Procedure, joint: &Joint, line: &Line, setting: &Setting) -> Finding {
    let (wrench, through) = (&procedure.tools[setting.wrench], named(procedure, setting));
    Finding::new(
        Code::FW0736,
        format!("`{}` turns `{}` through {through}, and nobody says how long the wrench is", wrench.name.id, joint.name.id),
        line.span,
        "what is it set to?",
    )
    .also(wrench.name.span, "the wrench")
    .because(
        "The adapter makes the lever longer, so that the fastening gets more than the wrench shows: torque = setting × \
         (L + E) / L.",
    )
    .repair(format!(
        "Write in `{0}` its length from the middle of the grip to the square, `lever 280 mm`, or `lever unknown \"WHY\"`; \
         or hold the adapter across the handle: `at 90 deg` behind its name.",
        wrench.name.id
    ))
}

/// FW0737
fn coarse(
    procedure: &Procedure,
    joint: &Joint,
    line: &Line,
    setting: &Setting,
    (torque, said): (&Measure, Span),
) -> Option<Finding> {
    let wrench = &procedure.tools[setting.wrench];
    let set = setting.on_wrench(torque, wrench)?;
    let back = setting.at_fastening(set.stated())?;
    Some(
        Finding::new(
            Code::FW0737,
            format!(
                "the scale of `{}` has no setting that keeps `{}` within its torque",
                wrench.name.id, joint.name.id
            ),
            line.span,
            format!("through {} the nearest is {}", named(procedure, setting), shown(procedure, &set)),
        )
        .also(said, format!("the torque is {}", shown(procedure, torque)))
        .because(format!("Set so, the fastening gets {}.", shown_range(procedure, back, back)))
        .repair("Name a wrench with finer steps, or hold the adapter across the handle: `at 90 deg` behind its name.")
        .holding(torque.source_form()),
    )
}

/// FW0738: called a crowfoot wrench, and nothing says how far it makes the lever longer. The word is read in English.
fn unsaid(procedure: &Procedure, joint: &Joint, tools: &[ToolUse]) -> Vec<Finding> {
    let turning = tools.iter().filter(|place| !place.hold && !place.across);
    let all = turning.flat_map(|place| place.any_of.iter().map(move |tool| (place, &procedure.tools[*tool])));
    let unsaid = all.filter(|(_, tool)| tool.extends.is_none() && is_called_crowfoot(tool));
    unsaid
        .map(|(place, tool)| {
            Finding::new(
                Code::FW0738,
                format!("`{}` does not say by how much it makes the wrench longer", tool.name.id),
                place.span,
                "how far beyond the square?",
            )
            .also(tool.name.span, "declared here")
            .also(joint.name.span, "the joint has a torque")
            .because("Along the handle it makes the lever longer, and the fastening gets more than the wrench shows.")
            .repair(format!(
                "Write in `{}` how far its middle lies from the square, `extends 35 mm`; or hold it across the handle: `at 90 \
                 deg` behind its name.",
                tool.name.id
            ))
        })
        .collect()
}

fn is_called_crowfoot(tool: &Tool) -> bool {
    let letters = |text: &str| text.to_lowercase().replace(['-', ' ', '\'', '’'], "");
    let is_so = |text: &str| ["crowfoot", "crowsfoot"].iter().any(|word| letters(text).contains(word));
    is_so(&tool.name.id) || is_so(&tool.name.title)
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
fn out_of_reach(procedure: &Procedure, joint: &Joint, reach: &Reach<'_>, asked: &Asked<'_>) -> Finding {
    let too_high = reach.range.is_some_and(|(_, to)| Asked::is(&asked.low, &to, Ordering::Greater));
    let side = if too_high { "stronger" } else { "finer" };
    let holds = shown_range(procedure, asked.low, asked.high);
    let repair = if joint.stages.is_empty() {
        format!("Name a {side} torque wrench, one whose range holds {holds}.")
    } else {
        format!("Name a {side} torque wrench for this stage, or one more: its range must hold {holds}.")
    };
    Finding::new(
        Code::FW0506,
        format!("`{}` can't be set to the torque of `{}`", reach.tool.name.id, joint.name.id),
        reach.place.span,
        reach.words(procedure),
    )
    .also(asked.said, format!("the torque is {}", shown(procedure, asked.torque)))
    .because("Outside its range a torque wrench is not accurate, and may not click at all.")
    .repair(repair)
}

/// FW0520
fn part_only(
    procedure: &Procedure,
    joint: &Joint,
    reach: &Reach<'_>,
    said: Span,
    (low, high): (Quantity, Quantity),
) -> Finding {
    let part = shown_range(procedure, low, high);
    Finding::new(
        Code::FW0520,
        format!("`{}` can be set to {part} of the torque of `{}` only", reach.tool.name.id, joint.name.id),
        reach.place.span,
        reach.words(procedure),
    )
    .also(said, "the torque")
    .because("Set to the other part, it is not accurate, and may not click at all.")
    .repair(match reach.setting {
        None => format!("Tell the technician to set it to {part}, or name a wrench that reaches all of the torque."),
        Some(_) => {
            format!("Name a wrench that reaches all of the torque, or see that the fastening gets {part}.")
        }
    })
}

/// FW0510: each torque wrench of a line. Of several torques each is set with that of the wrenches which suits it best.
fn wrenches(joint: &Joint, all: &[Reach<'_>], findings: &mut Vec<Finding>) {
    for asked in asked(joint) {
        let mut doubts = Vec::new();
        let mut suits = false;
        for Reach { place, tool, range, .. } in all {
            let Some((from, to)) = range else { continue };
            // Outside its range is FW0506's and FW0520's.
            if Asked::is(&asked.low, from, Ordering::Less) {
                continue;
            }
            let before = doubts.len();
            doubts.extend(below_a_fifth(tool, place.span, &asked.low, to, asked.said));
            suits |= doubts.len() == before;
            doubts.extend(first_stage(joint, tool, place.span, from, asked.said));
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
        .repair(format!(
            "Write at least `+- {per_cent} %` if that is allowed. Where the source states no tolerance, invent none: accept this with that reason."
        ))
        .holding(torque.source_form()),
    )
}
