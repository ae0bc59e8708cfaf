//! FW05: the tools of each step do what the step asks of them.
//!
//! A *grip* is what a tool turns or holds (`model::grips`). A *place* is one entry of a list of tools, with its
//! alternatives.

use super::matching::matching;
use super::proof::Proof;
use super::words::{shown, shown_range};
use crate::diagnostics::{Code, Finding};
use crate::model::{
    Grip, Head, IdMap, Joint, Line, LineKind, NumberInput, Procedure, Tightness, Tool, ToolId, ToolUse,
};
use crate::quantity::{Measure, Quantity};
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
        LineKind::Tighten(joint, tools) => (Some(*joint), tools, true),
        LineKind::Loosen(joint, tools) | LineKind::RemoveJoint(joint, tools) => (Some(*joint), tools, true),
        // A joint may be run up by fingers alone.
        LineKind::Snug(joint, tools) => (Some(*joint), tools, !tools.is_empty()),
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
    if let (LineKind::Tighten(..), Tightness::Torque(torque, said)) = (&line.kind, &joint.tightness) {
        torque_wrench(procedure, joint, torque, *said, tools, line.span, findings);
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
            if turns_something && !grips.iter().any(|grip| tool.fits(grip.head)) {
                findings.push(does_not_fit(procedure, joint, &grips, tool, place.span));
                misfit = true;
            }
        }
    }
    if misfit {
        return;
    }
    let fitting = |grip: &Grip<'_>| tools.iter().filter(|place| place_fits(procedure, place, grip.head)).count();
    if let Some(grip) = grips.iter().find(|grip| fitting(grip) == 0) {
        let held = grips.iter().any(|grip| fitting(grip) > 0);
        findings.push(if held { nothing_holds(joint, grip, line) } else { nothing_fits(joint, grip, line) });
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

fn place_fits(procedure: &Procedure, place: &ToolUse, head: &Head) -> bool {
    place.any_of.iter().any(|tool| procedure.tools[*tool].fits(head))
}

fn sizes_in_words(head: &Head) -> String {
    use crate::model::Drive;
    let drive = match head.drive {
        Drive::Hex => "hex",
        Drive::HexSocket => "hex socket",
        Drive::CrossRecess => "cross recess",
        Drive::Slot => "slot",
        Drive::Hexalobular => "hexalobular",
    };
    let mut sizes: Vec<String> = head.sizes.iter().map(Quantity::to_string).collect();
    sizes.extend(head.mark.clone());
    sizes.dedup();
    match sizes.as_slice() {
        [] => drive.to_owned(),
        [size] => format!("{drive} {size}"),
        [size, older, ..] => format!("{drive} {size} (older standard {older})"),
    }
}

fn does_not_fit(procedure: &Procedure, joint: &Joint, grips: &[Grip<'_>], tool: &Tool, at: Span) -> Finding {
    let wanted: Vec<String> =
        grips.iter().map(|grip| format!("{} is {}", grip.what(), sizes_in_words(grip.head))).collect();
    let finding = Finding::new(
        Code::FW0504,
        format!("`{}` fits nothing in `{}`", tool.name.id, joint.name.id),
        at,
        format!("here the {}", wanted.join(", the ")),
    )
    .also(joint.name.span, "the joint")
    .because("The technician stands under the vehicle with a tool that does not go on.");
    let fitting = grips.iter().find_map(|grip| same_sort(procedure, tool, grip.head));
    match (fitting, grips.first().and_then(|grip| usual_tool(&sort_of(tool), grip.head))) {
        (Some(name), _) => finding.repair(format!("Use `{name}`.")),
        (None, Some(usual)) => finding.repair(format!("Name a tool of that size, such as `{usual}`.")),
        (None, None) => {
            finding.repair("Name a tool of that size; the standard library `std/hand-tools` has the usual ones.")
        }
    }
}

/// The first word of a tool's name says what sort of tool it is.
fn sort_of(tool: &Tool) -> String {
    tool.name.id.split('-').next().unwrap_or_default().to_owned()
}

/// The name that `std/hand-tools` gives to a tool of a sort for a head: `socket-13`, `spanner-9-16-inch`, `hex-key-6`.
fn usual_tool(sort: &str, head: &Head) -> Option<String> {
    use crate::model::Drive;
    let sort = match (head.drive, sort) {
        (Drive::Hex, "socket") => "socket",
        (Drive::Hex, _) => "spanner",
        (Drive::HexSocket, _) => "hex-key",
        _ => return None,
    };
    let size = head.sizes.first()?.to_string();
    let (number, unit) = size.rsplit_once(' ')?;
    let number = number.replace(['.', ' ', '/'], "-");
    match unit {
        "mm" => Some(format!("{sort}-{number}")),
        "in" => Some(format!("{sort}-{number}-inch")),
        _ => None,
    }
}

/// A tool of the procedure that fits; the name's first word decides what sort it is (socket for socket).
fn same_sort<'p>(procedure: &'p Procedure, tool: &Tool, head: &Head) -> Option<&'p str> {
    let mut fitting = procedure.tools.rows().iter().filter(|known| known.fits(head));
    fitting.find(|known| sort_of(known) == sort_of(tool)).map(|known| known.name.id.as_str())
}

fn nothing_fits(joint: &Joint, grip: &Grip<'_>, line: Span) -> Finding {
    Finding::new(
        Code::FW0504,
        format!("no tool in this line fits the {} of `{}`", grip.what(), joint.name.id),
        line,
        format!("needs a tool for {}", sizes_in_words(grip.head)),
    )
    .also(joint.name.span, "the joint")
    .because("A tool that no line names is not laid out.")
    .repair(match usual_tool("", grip.head) {
        Some(usual) => format!("Add the tool after `with`, such as `{usual}`."),
        None => "Add the tool after `with`.".to_owned(),
    })
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
    .repair(match usual_tool("", grip.head) {
        Some(usual) => format!("Add a second tool: `hold with {usual}`."),
        None => format!("Add a second tool for {} after `hold with`.", sizes_in_words(grip.head)),
    })
}

/// FW0507 and FW0506.
fn torque_wrench(
    procedure: &Procedure,
    joint: &Joint,
    torque: &Measure,
    said: Span,
    tools: &[ToolUse],
    line: Span,
    findings: &mut Vec<Finding>,
) {
    let wrenches: Vec<(&ToolUse, &Tool, Quantity, Quantity)> = tools
        .iter()
        .flat_map(|place| place.any_of.iter().map(move |tool| (place, &procedure.tools[*tool])))
        .filter_map(|(place, tool)| tool.torque.map(|(low, high)| (place, tool, low, high)))
        .collect();
    // `at most` and `at least` bound one side only; the wrench is set to the value named.
    let low = torque.low().or_else(|| torque.high());
    let high = torque.high().or_else(|| torque.low());
    if wrenches.is_empty() {
        findings.push(
            Finding::new(
                Code::FW0507,
                format!("`{}` has a torque, and no torque wrench is named", joint.name.id),
                line,
                "no torque wrench here",
            )
            .also(said, "the torque")
            .because("A torque that nobody can measure is a guess.")
            .repair(format!(
                "Name a torque wrench after `with`, one whose range holds {}.",
                span_in_words(procedure, low, high)
            )),
        );
        return;
    }
    for (place, tool, from, to) in wrenches {
        let too_low = low.is_some_and(|low| low.compare(&from) == Some(Ordering::Less));
        let too_high = high.is_some_and(|high| high.compare(&to) == Some(Ordering::Greater));
        if too_low || too_high {
            let side = if too_high { "stronger" } else { "finer" };
            findings.push(
                Finding::new(
                    Code::FW0506,
                    format!("`{}` can't be set to the torque of `{}`", tool.name.id, joint.name.id),
                    place.span,
                    format!("its range is {}", shown_range(procedure, from, to)),
                )
                .also(said, format!("the torque is {}", shown(procedure, torque)))
                .because("Outside its range a torque wrench is not accurate, and may not click at all.")
                .repair(format!(
                    "Name a {side} torque wrench, one whose range holds {}.",
                    span_in_words(procedure, low, high)
                )),
            );
        }
    }
}

/// `65 N.m to 75 N.m`; one value where both are the same.
fn span_in_words(procedure: &Procedure, low: Option<Quantity>, high: Option<Quantity>) -> String {
    match (low, high) {
        (Some(low), Some(high)) => shown_range(procedure, low, high),
        (Some(only), _) | (None, Some(only)) => shown(procedure, &Measure::Exact(only)),
        (None, None) => "the torque".to_owned(),
    }
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
        .repair(format!("Write `count {needed}` in the tool, or name an alternative with `or`.")),
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
