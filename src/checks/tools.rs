//! FW05: the tools of each step do what the step asks of them.
//!
//! A *grip* is what a tool turns or holds (`model::grips`). A *place* is one entry of a list of tools, with its
//! alternatives.

use super::heads::{does_not_fit, nothing_fits, place_fits, sizes_in_words, usual_tool};
use super::matching::matching;
use super::proof::Proof;
use super::words::{shown, shown_range};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{Grip, IdMap, Joint, Line, LineKind, NumberInput, Procedure, Tool, ToolId, ToolUse};
use crate::quantity::Measure;
use crate::source::Span;
use num_traits::{CheckedDiv, Zero};
use std::cmp::Ordering;

/// Checks every line that names tools, and every instrument.
pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut findings = Vec::new();
    for step in procedure.steps.rows() {
        for line in &step.lines {
            check_line(procedure, line, &mut findings);
        }
    }
    for number in procedure.numbers.rows() {
        findings.extend(instrument(procedure, number));
    }
    proof.findings.extend(findings);
}

fn check_line(procedure: &Procedure, line: &Line, findings: &mut Vec<Finding>) {
    let (joint, tools, turned) = match &line.kind {
        LineKind::Tighten(joint, tools)
        | LineKind::Loosen(joint, tools)
        | LineKind::RemoveJoint(joint, tools)
        | LineKind::Snug(joint, tools) => (Some(*joint), tools, !line.by_hand),
        LineKind::Use { tools, .. } => (None, tools, false),
        LineKind::Remove(_, tools) | LineKind::Connect(_, _, tools) | LineKind::Disconnect(_, _, tools) => {
            (None, tools, false)
        }
        _ => return,
    };
    findings.extend(enough(procedure, tools));
    let Some(joint) = joint.map(|joint| &procedure.joints[joint]) else { return };
    if turned {
        fits(procedure, joint, tools, line.span, findings);
    }
}

/// FW0504 and FW0505.
fn fits(procedure: &Procedure, joint: &Joint, tools: &[ToolUse], line: Span, findings: &mut Vec<Finding>) {
    let grips = procedure.grips(joint);
    if grips.is_empty() {
        return;
    }
    let mut misfit = false;
    for place in tools {
        for tool in place.any_of.iter().map(|tool| &procedure.tools[*tool]) {
            let turns_something = !tool.turns.is_empty();
            if !turns_something || grips.iter().any(|grip| tool.fits(grip.head)) {
                continue;
            }
            let another =
                grips.iter().find(|grip| place_fits(procedure, place, grip.head) && tool.nearly_fits(grip.head));
            if let Some(grip) = another {
                findings.push(near(joint, grip, tool, place.span));
                continue;
            }
            findings.push(does_not_fit(procedure, &joint.name, &grips, tool, place.span));
            misfit = true;
        }
    }
    if misfit {
        return;
    }
    let fitting = |grip: &Grip<'_>| tools.iter().filter(|place| place_fits(procedure, place, grip.head)).count();
    if let Some(grip) = grips.iter().find(|grip| fitting(grip) == 0) {
        let held = grips.iter().any(|grip| fitting(grip) > 0);
        findings.push(if held { nothing_holds(joint, grip, line) } else { nothing_fits(&joint.name, grip, line) });
        return;
    }
    if grips.len() >= 2
        && !covers_all(procedure, &grips, tools)
        && let Some(grip) = grips.last()
    {
        findings.push(nothing_holds(joint, grip, line));
    }
}

/// Whether the places can be dealt out so that each grip has a tool of its own.
fn covers_all(procedure: &Procedure, grips: &[Grip<'_>], tools: &[ToolUse]) -> bool {
    // A place that asks for two of a tool stands for two places.
    let places: Vec<&ToolUse> =
        tools.iter().flat_map(|place| std::iter::repeat_n(place, place.count.min(4) as usize)).take(16).collect();
    let edges: Vec<Vec<usize>> = grips
        .iter()
        .map(|grip| {
            (0..places.len())
                .filter(|at| places.get(*at).is_some_and(|place| place_fits(procedure, place, grip.head)))
                .collect()
        })
        .collect();
    matching(&edges, places.len()) == grips.len()
}

/// FW0521
fn near(joint: &Joint, grip: &Grip<'_>, tool: &Tool, at: Span) -> Finding {
    Finding::new(
        Code::FW0521,
        format!("`{}` is of a near size only for the {} of `{}`", tool.name.id, grip.what(), joint.name.id),
        at,
        format!("the {} is {}", grip.what(), sizes_in_words(grip.head)),
    )
    .also(joint.name.span, "the joint")
    .because(
        "A tool of a near size goes on tightly, or with play, and then it rounds the corners under load. Workshops do use \
         some pairs; that the head allows it is yours to say.",
    )
    .repair("Take it out of the alternatives, or accept this with the reason.")
    .mend([format!(" or {}", tool.name.id), format!("{} or ", tool.name.id)].map(|words| {
        Mend::look("Take it out of the alternatives", Change::Word(at, words, String::new()))
    }))
}

fn nothing_holds(joint: &Joint, grip: &Grip<'_>, line: Span) -> Finding {
    Finding::new(
        Code::FW0505,
        format!("nothing holds the {} of `{}`", grip.what(), joint.name.id),
        line,
        format!("the {} ({}) turns with it", grip.what(), sizes_in_words(grip.head)),
    )
    .also(joint.name.span, "bolt and nut both turn")
    .because("Bolt and nut spin together, and the torque is never reached.")
    .mend(usual_tool("", grip.head).map(|usual| {
        let end = Span { start: line.end, ..line };
        Mend::look(format!("Add `hold with {usual}`"), Change::Write(end, format!(", hold with {usual}")))
    }))
    .repair(match usual_tool("", grip.head) {
        Some(usual) => format!("Add a second tool: `hold with {usual}`."),
        None => format!("Add a second tool for {} after `hold with`.", sizes_in_words(grip.head)),
    })
}

/// FW0508: more of a tool in one line than are laid out.
fn enough(procedure: &Procedure, tools: &[ToolUse]) -> Option<Finding> {
    // Each piece needed is a node on the left, each piece laid out one on the right; a tool without a count never lacks.
    let mut pieces: Vec<ToolId> = Vec::new();
    let mut start_of: IdMap<ToolId, Option<(usize, usize)>> = procedure.tools.each(None);
    for tool in tools.iter().flat_map(|place| &place.any_of) {
        if let (None, Some(count)) = (start_of[*tool], procedure.tools[*tool].count) {
            let count = count.min(64) as usize;
            start_of[*tool] = Some((pieces.len(), count));
            pieces.extend(std::iter::repeat_n(*tool, count));
        }
    }
    let mut edges = Vec::new();
    let mut owners: Vec<&ToolUse> = Vec::new();
    for place in tools {
        let limited = place.any_of.iter().all(|tool| procedure.tools[*tool].count.is_some());
        if !limited {
            continue;
        }
        let fitting: Vec<usize> = place
            .any_of
            .iter()
            .filter_map(|tool| start_of[*tool])
            .flat_map(|(start, count)| start..start + count)
            .collect();
        for _ in 0..place.count.min(64) {
            edges.push(fitting.clone());
            owners.push(place);
        }
    }
    if matching(&edges, pieces.len()) == edges.len() {
        return None;
    }
    let place = owners.last()?;
    let tool = &procedure.tools[*place.any_of.first()?];
    let needed: u32 = tools.iter().filter(|other| other.any_of == place.any_of).map(|other| other.count).sum();
    let have = tool.count.unwrap_or_default();
    Some(
        Finding::new(
            Code::FW0508,
            format!("{needed} of `{}` are needed at once, and {have} laid out", tool.name.id),
            place.span,
            "needed at the same time",
        )
        .also(tool.name.span, format!("count {have}"))
        .because("One person holds while another turns; one tool can't be in both hands.")
        .repair(format!("Write `count {needed}` in the tool, or name an alternative with `or`."))
        .mend(Mend::look(
            format!("Write `count {needed}`"),
            Change::InBlock(tool.name.span, format!("count {have}"), format!("count {needed}")),
        )),
    )
}

/// FW0509: the instrument reads the range, and finely enough.
fn instrument(procedure: &Procedure, number: &NumberInput) -> Option<Finding> {
    let tool = &procedure.tools[number.with?];
    let wrong = |message: String, repair: String| {
        Finding::new(Code::FW0509, message, number.name.span, format!("read with `{}`", tool.name.id))
            .also(tool.name.span, "the instrument")
            .because("The reading would be a guess between two marks.")
            .repair(repair)
    };
    let Some((low, high)) = tool.measures else {
        return Some(wrong(
            format!("`{}` is no instrument; it can't read `{}`", tool.name.id, number.name.id),
            format!(
                "Name an instrument, or say what it reads: `tool {} \"…\" {{ measures 0 mm to 300 mm }}`.",
                tool.name.id
            ),
        ));
    };
    let outside = number.low.compare(&low).is_none_or(|order| order == Ordering::Less)
        || number.high.compare(&high).is_none_or(|order| order == Ordering::Greater);
    if outside {
        return Some(wrong(
            format!(
                "`{}` reads {}; `{}` can be {}",
                tool.name.id,
                shown_range(procedure, low, high),
                number.name.id,
                shown_range(procedure, number.low, number.high)
            ),
            "Name an instrument whose range holds all readings.".to_owned(),
        ));
    }
    let (step, finest) = (number.reads?, tool.reads?);
    let ratio = step.step_base()?.checked_div(&finest.step_base().filter(|base| !base.is_zero())?)?;
    if ratio.is_integer() {
        return None;
    }
    Some(wrong(
        format!(
            "`{}` reads in steps of {}; `{}` is read in steps of {}",
            tool.name.id,
            shown(procedure, &Measure::Exact(finest)),
            number.name.id,
            shown(procedure, &Measure::Exact(step))
        ),
        format!("Write `reads {finest}`, or name a finer instrument."),
    ))
}
