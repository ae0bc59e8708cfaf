//! FW05: tools of lines that turn no joint: parts that come off, points of circuits. And what drives what.

use super::heads::{does_not_fit, nothing_fits, place_fits};
use super::proof::Proof;
use super::words::listed_sizes;
use crate::diagnostics::{Code, Finding};
use crate::model::{
    CircuitId, Counted, Drive, FastenerKind, Grip, Head, Line, LineKind, PartId, PointId, Procedure, Step, Tool,
    ToolId, ToolUse,
};
use crate::quantity::Quantity;
use std::cmp::Ordering;

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut findings = Vec::new();
    for step in procedure.steps.rows() {
        for line in &step.lines {
            match &line.kind {
                LineKind::Remove(parts, tools) => removed(procedure, step, line, parts, tools, &mut findings),
                LineKind::Connect(circuit, points, tools) | LineKind::Disconnect(circuit, points, tools) => {
                    at_points(procedure, *circuit, points, tools, &mut findings);
                }
                _ => {}
            }
            squares(procedure, line, &mut findings);
        }
    }
    proof.findings.extend(findings);
}

/// FW0504: what turns the parts that come off. Tools that the step uses beside the line count too.
fn removed(
    procedure: &Procedure,
    step: &Step,
    line: &Line,
    parts: &[Counted<PartId>],
    tools: &[ToolUse],
    findings: &mut Vec<Finding>,
) {
    let grip_of = |part: PartId| procedure.grip(part).filter(|grip| grip.head.is_known());
    let grips: Vec<(PartId, Grip<'_>)> =
        parts.iter().filter_map(|entry| Some((entry.what, grip_of(entry.what)?))).collect();
    let Some((first, _)) = grips.first() else { return };
    let heads: Vec<Grip<'_>> = grips.iter().map(|(_, grip)| *grip).collect();
    // Where some part is no fastener, a tool may be for that one.
    if grips.len() == parts.len() {
        let misfits = each_tool(procedure, tools).filter(|(_, tool)| {
            !tool.turns.is_empty() && !heads.iter().any(|grip| tool.fits(grip.head) || tool.nearly_fits(grip.head))
        });
        let before = findings.len();
        let name = &procedure.parts[*first].name;
        findings.extend(misfits.map(|(place, tool)| does_not_fit(procedure, name, &heads, tool, place.span)));
        if findings.len() > before {
            return;
        }
    }
    if line.by_hand {
        return;
    }
    let beside = step.lines.iter().filter_map(|line| match &line.kind {
        LineKind::Use { tools, optional: false, .. } => Some(tools),
        _ => None,
    });
    let there: Vec<&ToolUse> = tools.iter().chain(beside.flatten()).collect();
    let missing = grips.iter().find(|(_, grip)| !there.iter().any(|place| place_fits(procedure, place, grip.head)));
    findings.extend(missing.map(|(part, grip)| nothing_fits(&procedure.parts[*part].name, grip, line.span)));
}

fn each_tool<'p>(procedure: &'p Procedure, tools: &'p [ToolUse]) -> impl Iterator<Item = (&'p ToolUse, &'p Tool)> {
    tools.iter().flat_map(move |place| place.any_of.iter().map(move |tool| (place, &procedure.tools[*tool])))
}

/// FW0504: a spanner that fits the nut of none of the points at which it works. A point that names no stud tells nothing.
fn at_points(
    procedure: &Procedure,
    circuit: CircuitId,
    points: &[PointId],
    tools: &[ToolUse],
    findings: &mut Vec<Finding>,
) {
    let row = &procedure.circuits[circuit];
    let named: Vec<_> = points.iter().map(|at| &row.points[*at]).collect();
    if named.iter().any(|point| point.stud_flats.is_empty()) {
        return;
    }
    let heads: Vec<Head> =
        named.iter().map(|point| Head { drive: Drive::Hex, sizes: point.stud_flats.clone(), mark: None }).collect();
    let grips: Vec<Grip<'_>> = heads.iter().map(|head| Grip { kind: FastenerKind::Nut, head }).collect();
    for (place, tool) in each_tool(procedure, tools) {
        let turns_hex = tool.turns.iter().any(|turns| turns.drive == Drive::Hex);
        if turns_hex && !heads.iter().any(|head| tool.fits(head) || tool.nearly_fits(head)) {
            findings.push(does_not_fit(procedure, &row.name, &grips, tool, place.span));
        }
    }
}

/// FW0522: a socket or bit of a line that none of its handles drives, straight or by an adapter.
fn squares(procedure: &Procedure, line: &Line, findings: &mut Vec<Finding>) {
    // What holds the other side has a handle of its own, which need not be named.
    let places: Vec<&ToolUse> = line.kind.worked_with().iter().filter(|place| !place.hold).collect();
    let tools = |place: &&ToolUse| place.any_of.iter().map(|tool| &procedure.tools[*tool]).collect::<Vec<&Tool>>();
    let is_handle = |tool: &&Tool| !tool.drives.is_empty() && tool.driven_by.is_empty();
    let handles: Vec<Vec<&Tool>> = places.iter().map(&tools).filter(|any_of| any_of.iter().all(&is_handle)).collect();
    let adapters: Vec<&Tool> =
        places.iter().flat_map(&tools).filter(|tool| !tool.drives.is_empty() && !tool.driven_by.is_empty()).collect();
    // Several handles: which of them drives the socket is the technician's; one must.
    let starts: Vec<Vec<Quantity>> = match handles.as_slice() {
        [] => return,
        [only] => only.iter().map(|handle| handle.drives.clone()).collect(),
        several => vec![several.iter().flatten().flat_map(|handle| handle.drives.clone()).collect()],
    };
    for place in &places {
        for id in &place.any_of {
            let socket = &procedure.tools[*id];
            if socket.driven_by.is_empty() || !socket.drives.is_empty() || is_misfit(procedure, line, socket) {
                continue;
            }
            let bare = starts.iter().find(|start| !meets(&reached(start, &adapters), &socket.driven_by));
            findings.extend(bare.map(|start| not_driven(procedure, *id, place, start)));
        }
    }
}

/// Whether a socket fits nothing of the line's joint: FW0504 says so, and no adapter helps.
fn is_misfit(procedure: &Procedure, line: &Line, socket: &Tool) -> bool {
    let grips = line.kind.joint().map(|joint| procedure.grips(&procedure.joints[joint])).unwrap_or_default();
    !grips.is_empty() && !grips.iter().any(|grip| socket.fits(grip.head) || socket.nearly_fits(grip.head))
}

/// The squares at hand once adapters are put on.
fn reached(start: &[Quantity], adapters: &[&Tool]) -> Vec<Quantity> {
    let mut squares = start.to_vec();
    // Each round puts one more adapter on; there are no longer chains than adapters.
    for _ in adapters {
        for adapter in adapters {
            if meets(&squares, &adapter.driven_by) {
                squares
                    .extend(adapter.drives.iter().copied().filter(|new| !meets(&[*new], &squares)).collect::<Vec<_>>());
            }
        }
    }
    squares
}

fn meets(left: &[Quantity], right: &[Quantity]) -> bool {
    left.iter().any(|one| right.iter().any(|other| one.compare(other) == Some(Ordering::Equal)))
}

fn not_driven(procedure: &Procedure, socket: ToolId, place: &ToolUse, handle: &[Quantity]) -> Finding {
    let socket = &procedure.tools[socket];
    let (wants, has) = (listed_sizes(&socket.driven_by), listed_sizes(handle));
    Finding::new(
        Code::FW0522,
        format!("`{}` does not go onto the handle of this line", socket.name.id),
        place.span,
        format!("its square is {wants}; the handle has {has}"),
    )
    .also(socket.name.span, "declared here")
    .because("The technician stands before the bolt with a wrench and a socket that do not go together.")
    .repair(format!("Name a socket with a square of {has}, a handle of {wants}, or an adapter between them."))
}
