//! FW0504, FW0505 and FW0507, the part of `or`: each alternative by itself must do the job, because any of them may be the one
//! that the workshop lays out.

use super::matching::matching;
use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::{
    CircuitId, Counted, Drive, Grip, Head, Joint, LineKind, Naming, PartId, PointId, Procedure, Step, Tightness, Tool,
    ToolId, ToolUse,
};

const ONE_LAID_OUT: &str =
    "Any one of the alternatives may be the one that is laid out, and this one does not turn the fastening.";
const SAME_WORK: &str = "Name as alternatives only tools that do the same work; write what is used besides as an entry of its own, after a comma.";

/// Most ways to choose among the alternatives of a line that are looked at.
const MOST: usize = 4_096;

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    for (step, line) in procedure.steps.rows().iter().flat_map(|step| step.lines.iter().map(move |line| (step, line))) {
        match &line.kind {
            LineKind::Remove(parts, tools) => proof.findings.extend(of_parts(procedure, step, parts, tools)),
            LineKind::Connect(circuit, points, tools) | LineKind::Disconnect(circuit, points, tools) => {
                proof.findings.extend(of_points(procedure, *circuit, points, tools));
            }
            _ => {}
        }
        let (LineKind::Tighten(joint, tools)
        | LineKind::Loosen(joint, tools)
        | LineKind::RemoveJoint(joint, tools)
        | LineKind::Snug(joint, tools)) = &line.kind
        else {
            continue;
        };
        let joint = &procedure.joints[*joint];
        if !tools.iter().any(|place| place.any_of.len() > 1) {
            continue;
        }
        proof.findings.extend(no_grip(procedure, joint, tools));
        if matches!(line.kind, LineKind::Tighten(..)) {
            proof.findings.extend(no_wrench(procedure, joint, tools));
        }
    }
}

/// A tool for each place of a line.
type Choice = Vec<ToolId>;

/// All ways to choose, at most [`MOST`] of them.
fn choices(tools: &[ToolUse]) -> Vec<Choice> {
    let mut all: Vec<Choice> = vec![Vec::new()];
    for place in tools {
        let longer = |choice: &Choice| {
            place.any_of.iter().map(|tool| [choice.as_slice(), &[*tool]].concat()).collect::<Vec<_>>()
        };
        all = all.iter().flat_map(longer).take(MOST).collect();
    }
    all
}

/// Which grips have a tool of their own under a choice.
fn held(procedure: &Procedure, grips: &[Grip<'_>], tools: &[ToolUse], choice: &Choice) -> usize {
    let pieces =
        tools.iter().zip(choice).flat_map(|(place, tool)| std::iter::repeat_n(*tool, place.count.min(4) as usize));
    let pieces: Vec<ToolId> = pieces.take(16).collect();
    let fitting = |grip: &Grip<'_>| -> Vec<usize> {
        pieces
            .iter()
            .enumerate()
            .filter(|(_, tool)| procedure.tools[**tool].fits(grip.head))
            .map(|(at, _)| at)
            .collect()
    };
    matching(&grips.iter().map(fitting).collect::<Vec<_>>(), pieces.len())
}

/// FW0504 and FW0505. Where no choice serves, or a tool fits nothing at all though it turns something, that is told of the line.
fn no_grip(procedure: &Procedure, joint: &Joint, tools: &[ToolUse]) -> Option<Finding> {
    let grips = procedure.grips(joint);
    let idle = |tool: &Tool| !tool.turns.is_empty() && !grips.iter().any(|grip| tool.fits(grip.head));
    if grips.is_empty() || tools.iter().flat_map(|place| &place.any_of).any(|tool| idle(&procedure.tools[*tool])) {
        return None;
    }
    let all = choices(tools);
    let served = |choice: &Choice| held(procedure, &grips, tools, choice);
    if !all.iter().any(|choice| served(choice) == grips.len()) {
        return None;
    }
    let bad = all.iter().find(|choice| served(choice) < grips.len())?;
    let (first, named) = to_blame(procedure, tools, bad, |choice| served(choice) == grips.len());
    let (code, message, reason) = if served(bad) == 0 {
        (Code::FW0504, format!("with {named}, no tool in this line fits `{}`", joint.name.id), ONE_LAID_OUT)
    } else {
        (
            Code::FW0505,
            format!("with {named}, nothing holds the other side of `{}`", joint.name.id),
            "Any one of the alternatives may be the one that is laid out, and then bolt and nut spin together.",
        )
    };
    Some(
        Finding::new(code, message, first?.span, "each alternative must do the job by itself")
            .also(joint.name.span, "the joint")
            .because(reason)
            .repair(SAME_WORK),
    )
}

/// FW0504 of parts that come off, one after the other. What the step uses beside the line serves in whatever choice.
fn of_parts(procedure: &Procedure, step: &Step, parts: &[Counted<PartId>], tools: &[ToolUse]) -> Option<Finding> {
    let beside = step.lines.iter().filter_map(|line| match &line.kind {
        LineKind::Use { tools, optional: false, .. } => Some(tools),
        _ => None,
    });
    let beside: Vec<&ToolUse> = beside.flatten().collect();
    parts.iter().find_map(|entry| {
        let head = procedure.grip(entry.what).map(|grip| grip.head).filter(|head| head.is_known())?;
        let served = beside.iter().any(|place| place.any_of.iter().all(|tool| procedure.tools[*tool].fits(head)));
        if served { None } else { no_turn(procedure, &procedure.parts[entry.what].name, head, tools) }
    })
}

/// FW0504 of the studs of points, where a tool of the line turns the nut there.
fn of_points(procedure: &Procedure, circuit: CircuitId, points: &[PointId], tools: &[ToolUse]) -> Option<Finding> {
    let row = &procedure.circuits[circuit];
    points.iter().find_map(|point| {
        let sizes = row.points[*point].stud_flats.clone();
        let head = Head { drive: Drive::Hex, sizes, mark: None };
        if head.sizes.is_empty() { None } else { no_turn(procedure, &row.name, &head, tools) }
    })
}

/// A choice of which no tool turns a head. Where no choice does, that is told of the line.
fn no_turn(procedure: &Procedure, name: &Naming, head: &Head, tools: &[ToolUse]) -> Option<Finding> {
    let turns = |choice: &Choice| choice.iter().any(|tool| procedure.tools[*tool].fits(head));
    // A near size as an alternative is told by itself (FW0521).
    let near = |choice: &Choice| choice.iter().any(|tool| procedure.tools[*tool].nearly_fits(head));
    let all = choices(tools);
    if !all.iter().any(turns) {
        return None;
    }
    let bad = all.iter().find(|choice| !turns(choice) && !near(choice))?;
    let (first, named) = to_blame(procedure, tools, bad, turns);
    Some(
        Finding::new(
            Code::FW0504,
            format!("with {named}, no tool in this line fits `{}`", name.id),
            first?.span,
            "each alternative must do the job by itself",
        )
        .also(name.span, "what it turns")
        .because(ONE_LAID_OUT)
        .repair(SAME_WORK),
    )
}

/// FW0507: a choice without a torque wrench. Where no choice has one, that is told of the line.
fn no_wrench(procedure: &Procedure, joint: &Joint, tools: &[ToolUse]) -> Option<Finding> {
    let Tightness::Torque(_, said) = &joint.tightness else { return None };
    let measures = |choice: &Choice| choice.iter().any(|tool| procedure.tools[*tool].torque.is_some());
    let all = choices(tools);
    if !all.iter().any(measures) {
        return None;
    }
    let bad = all.iter().find(|choice| !measures(choice))?;
    let (first, named) = to_blame(procedure, tools, bad, measures);
    Some(
        Finding::new(
            Code::FW0507,
            format!("with {named}, no torque wrench is in hand for `{}`", joint.name.id),
            first?.span,
            "an alternative that measures no torque",
        )
        .also(*said, "the torque")
        .because("Any one of the alternatives may be the one that is laid out, and a torque that nobody can measure is a guess.")
        .repair("Name as alternatives to a torque wrench only other torque wrenches; write what drives it as an entry of its own, after a comma."),
    )
}

/// The alternatives that matter in a bad choice: another one in their place would mend it. Gives the first place among them.
fn to_blame<'t>(
    procedure: &Procedure,
    tools: &'t [ToolUse],
    bad: &Choice,
    good: impl Fn(&Choice) -> bool,
) -> (Option<&'t ToolUse>, String) {
    let mends = |at: usize, place: &ToolUse| {
        place.any_of.iter().any(|tool| {
            let mut other = bad.clone();
            if let Some(slot) = other.get_mut(at) {
                *slot = *tool;
            }
            good(&other)
        })
    };
    let mut blamed: Vec<usize> =
        (0..tools.len()).filter(|at| tools.get(*at).is_some_and(|place| mends(*at, place))).collect();
    if blamed.is_empty() {
        blamed = (0..tools.len()).filter(|at| tools.get(*at).is_some_and(|place| place.any_of.len() > 1)).collect();
    }
    let names = blamed.iter().filter_map(|at| bad.get(*at)).map(|tool| format!("`{}`", procedure.tools[*tool].name.id));
    let named = names.collect::<Vec<_>>().join(" and ");
    (blamed.first().and_then(|at| tools.get(*at)), named)
}
