//! FW09, what holds a lug: a joint says whose it is, and its thread is the one of the stud there.

use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding, Mend};
use crate::model::{Circuit, CircuitId, FastenerKind, Joint, JointId, LineKind, PointId, Procedure};
use crate::space::{Effect, Formula, Role};

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    for (id, joint) in procedure.joints.iter() {
        if let Some(finding) = other_thread(procedure, joint) {
            // One cause, one message: it names the wrong points.
            proof.findings.push(finding);
        } else if joint.at.is_empty() {
            proof.findings.extend(unsaid(procedure, id, joint));
        } else {
            for bare in bare(procedure, joint) {
                partly(proof, id, joint, bare);
            }
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

/// The points that a joint of nuts without bolts fits, made with a lug of which nobody says what holds it; of each circuit the first.
fn bare<'p>(procedure: &'p Procedure, joint: &'p Joint) -> Vec<(CircuitId, PointId)> {
    let nut = threads(procedure, joint, true).next().filter(|_| threads(procedure, joint, false).next().is_none());
    let Some(nut) = nut else { return Vec::new() };
    let fits = |at: CircuitId, circuit: &Circuit, point: PointId| {
        let row = &circuit.points[point];
        row.terminal.is_some() && row.stud.as_deref() == Some(nut) && !is_held(procedure, (at, point))
    };
    let circuits = procedure.circuits.iter().filter(|(_, circuit)| !circuit.on_vehicle);
    let firsts = circuits.filter_map(|(at, circuit)| {
        let first = circuit.points.ids().find(|point| fits(at, circuit, *point))?;
        Some((at, first))
    });
    firsts.collect()
}

/// FW0925: no line says what holds any lug of the joint.
fn unsaid(procedure: &Procedure, id: JointId, joint: &Joint) -> Option<Finding> {
    let at = bare(procedure, joint).into_iter().next()?;
    let message = |joint: &str, point: &str, circuit: &str| {
        format!("`{joint}` fits the stud at `{point}` of `{circuit}`, and nothing says whose lug it holds")
    };
    Some(told(procedure, id, at, message))
}

/// FW0925: on some vehicle the joint has more nuts than points whose lugs it is said to hold, though each had a stud of its own.
fn partly<'p>(proof: &mut Proof<'p>, id: JointId, joint: &'p Joint, bare: (CircuitId, PointId)) {
    let procedure = proof.procedure;
    // Of joints that nobody counted it is not known that one is left.
    let count = usize::try_from(joint.at_least()).unwrap_or(usize::MAX);
    if joint.at.len() >= count && joint.at.iter().all(|at| procedure.circuits[at.circuit].when.is_none()) {
        return;
    }
    let name = joint.name.span;
    let finding = move |procedure: &Procedure| {
        told(procedure, id, bare, |joint, point, circuit| {
            format!(
                "`{joint}` has a nut left that fits the stud at `{point}` of `{circuit}`, and nothing says what holds its lug"
            )
        })
    };
    let concerns = |circuit: CircuitId| circuit == bare.0 || joint.at.iter().any(|at| at.circuit == circuit);
    // Where each was judged so far; what has no condition is there always.
    let mut exists = procedure.circuits.map(|_, circuit| circuit.when.is_none().then_some(Formula::ALWAYS));
    let mut there = joint.when.is_none().then_some(Formula::ALWAYS);
    let all = |exists: &crate::model::IdMap<CircuitId, Option<Formula>>, there: Option<Formula>| {
        there.is_some() && exists.iter().all(|(circuit, known)| known.is_some() || !concerns(circuit))
    };
    if all(&exists, there) {
        proof.findings.push(finding(procedure));
        return;
    }
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Judged { role: Role::Joint(joint), holds, .. } if joint == id => there = Some(holds),
            Effect::Judged { role: Role::Circuit(circuit), holds, .. } if concerns(circuit) => {
                exists[circuit] = Some(holds);
            }
            _ => continue,
        }
        if !all(&exists, there) {
            continue;
        }
        let is = |circuit: CircuitId| exists[circuit].unwrap_or(Formula::NEVER);
        let enough = enough(proof, joint, count, &is);
        let sure = proof.sure(event);
        let broken = proof.space.all([sure, there.unwrap_or(Formula::NEVER), is(bare.0), !enough]);
        let key = (Code::FW0925, name, Subject::Point(bare.0, bare.1));
        proof.oblige(key, event.id, broken, move |proof| finding(proof.procedure));
    }
}

/// The runs in which a joint is said to hold the lugs of at least so many points.
fn enough(proof: &mut Proof<'_>, joint: &Joint, count: usize, is: &dyn Fn(CircuitId) -> Formula) -> Formula {
    if joint.at.len() < count {
        return Formula::NEVER;
    }
    // `at_least[n]`: of the points looked at so far there are at least so many.
    let mut at_least = vec![Formula::NEVER; count + 1];
    at_least[0] = Formula::ALWAYS;
    for at in &joint.at {
        let here = is(at.circuit);
        for number in (0..count).rev() {
            let one_more = proof.space.both(at_least[number], here);
            at_least[number + 1] = proof.space.either(at_least[number + 1], one_more);
        }
    }
    at_least[count]
}

fn told(
    procedure: &Procedure,
    id: JointId,
    (circuit, point): (CircuitId, PointId),
    message: impl Fn(&str, &str, &str) -> String,
) -> Finding {
    let (joint, circuit) = (&procedure.joints[id], &procedure.circuits[circuit]);
    let (row, name) = (&circuit.points[point], &joint.name);
    let nut = threads(procedure, joint, true).next().unwrap_or_default();
    let message = message(&name.id, &row.id, &circuit.name.id);
    Finding::new(Code::FW0925, message, name.span, format!("a nut {nut}"))
        .also(row.span, format!("a lug on {nut}"))
        .because("Whether it is turned while the stud is live, and tightened after the lug went on, is not judged.")
        .mend(Mend::inside(name.span, format!("at {} of {}", row.id, circuit.name.id)))
        .repair(format!(
            "Write `at {} of {}` in it. Where its studs are others, accept this with the reason.",
            row.id, circuit.name.id
        ))
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
