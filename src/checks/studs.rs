//! FW09, what holds a lug: a joint says whose it is, and its thread is the one of the stud there.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding, Mend};
use crate::model::{Circuit, CircuitId, FastenerKind, Joint, JointId, LineKind, PointId, Procedure};

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    for (id, joint) in procedure.joints.iter() {
        proof.findings.extend(other_thread(procedure, joint));
        if joint.at.is_empty() {
            proof.findings.extend(unsaid(procedure, id, joint));
        }
    }
}

/// The thread that goes onto a stud, or into what a stud is cut into: the bolt's, or else the nut's.
fn thread<'p>(procedure: &'p Procedure, joint: &'p Joint) -> Option<&'p str> {
    threads(procedure, joint, false).chain(threads(procedure, joint, true)).next()
}

/// The threads of its nuts, or of its bolts, screws and studs.
fn threads<'p>(procedure: &'p Procedure, joint: &'p Joint, nuts: bool) -> impl Iterator<Item = &'p str> {
    let fasteners = joint.each.iter().filter_map(|entry| procedure.parts[entry.what].fastener.as_ref());
    let of_kind = fasteners.filter(move |fastener| match fastener.kind {
        FastenerKind::Washer => false,
        kind => (kind == FastenerKind::Nut) == nuts,
    });
    of_kind.filter_map(|fastener| Some(fastener.thread.as_ref()?.id.as_str()))
}

/// FW0926
fn other_thread(procedure: &Procedure, joint: &Joint) -> Option<Finding> {
    let turned = thread(procedure, joint)?;
    let other = joint.at.iter().find_map(|at| {
        let point = &procedure.circuits[at.circuit].points[at.point];
        let stud = point.stud.as_deref().filter(|stud| *stud != turned)?;
        Some((at, point, stud))
    });
    let (at, point, stud) = other?;
    let message = format!("`{}` has the thread {turned}, and the stud at `{}` is {stud}", joint.name.id, point.id);
    let finding = Finding::new(Code::FW0926, message, at.span, format!("{turned} does not go on {stud}"));
    Some(
        finding
            .also(point.span, format!("on {stud}"))
            .because("The technician stands at the stud with a nut that does not go on it.")
            .repair(format!("Name a fastener of {stud} in `each`, or correct the stud of the point.")),
    )
}

/// FW0925: a nut without a bolt that fits a stud of which nobody says what holds its lug.
fn unsaid(procedure: &Procedure, id: JointId, joint: &Joint) -> Option<Finding> {
    if threads(procedure, joint, false).next().is_some() {
        return None;
    }
    let nut = threads(procedure, joint, true).next()?;
    let circuits = procedure.circuits.iter().filter(|(_, circuit)| !circuit.on_vehicle);
    let mut free = circuits.flat_map(|(at, circuit)| {
        let points = circuit.points.ids().filter(move |point| !is_held(procedure, (at, *point)));
        points.map(move |point| (circuit, point))
    });
    let fits = |circuit: &Circuit, point: PointId| {
        let row = &circuit.points[point];
        row.terminal.is_some() && row.stud.as_deref() == Some(nut)
    };
    let (circuit, point) = free.find(|(circuit, point)| fits(circuit, *point))?;
    let (row, name) = (&circuit.points[point], &procedure.joints[id].name);
    let message = format!(
        "`{}` fits the stud at `{}` of `{}`, and nothing says whose lug it holds",
        name.id, row.id, circuit.name.id
    );
    let finding = Finding::new(Code::FW0925, message, name.span, format!("a nut {nut}"));
    Some(
        finding
            .also(row.span, format!("a lug on {nut}"))
            .because("Whether it is turned while the stud is live, and tightened after the lug went on, is not judged.")
            .mend(Mend::inside(name.span, format!("at {} of {}", row.id, circuit.name.id)))
            .repair(format!(
                "Write `at {} of {}` in it. Where its studs are others, accept this with the reason.",
                row.id, circuit.name.id
            )),
    )
}

/// Whether a joint holds the lug at a point, or the line that connects it turns its nut.
fn is_held(procedure: &Procedure, point: (CircuitId, PointId)) -> bool {
    let tied = procedure.joints.rows().iter().flat_map(|joint| &joint.at);
    let mut lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    tied.into_iter().any(|at| (at.circuit, at.point) == point)
        || lines.any(|line| match &line.kind {
            LineKind::Connect(circuit, points, tools) => {
                (*circuit, points.contains(&point.1), tools.is_empty()) == (point.0, true, false)
            }
            _ => false,
        })
}
