//! FW0442: the one torque that nobody writes down, where the others are.
//!
//! Nothing has to be recorded, and a workshop may write down some torques only. So this is said only where most torques of the
//! kit's joints are written down, two at least: then the missing line is more likely forgotten than left out.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding, Mend};
use crate::model::{Joint, JointId, LineKind, Record, Tightness};
use crate::source::Span;

/// With so many written down, the others are looked for.
const LEAST: usize = 2;

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let lines = || procedure.steps.rows().iter().flat_map(|step| &step.lines);
    let is_written =
        |id: JointId| lines().any(|line| matches!(line.kind, LineKind::Record(Record::Torque(of)) if of == id));
    let tightened = |id: JointId| lines().find(|line| matches!(line.kind, LineKind::Tighten(of, _) if of == id));
    let joints = procedure.joints.iter().filter(|(_, joint)| is_asked(joint));
    let (written, missing): (Vec<_>, Vec<_>) = joints.partition(|(id, _)| is_written(*id));
    if written.len() < LEAST || written.len() <= missing.len() {
        return;
    }
    let findings: Vec<Finding> =
        missing.iter().filter_map(|(id, joint)| Some(forgotten(joint, tightened(*id)?.span, written.len()))).collect();
    proof.findings.extend(findings);
}

/// What this job puts together to a torque; what was on the vehicle before goes back as it was.
fn is_asked(joint: &Joint) -> bool {
    matches!(joint.tightness, Tightness::Torque(..)) && !joint.on_vehicle && !joint.ends_backed_off()
}

fn forgotten(joint: &Joint, place: Span, others: usize) -> Finding {
    let name = &joint.name.id;
    Finding::new(
        Code::FW0442,
        format!("the torque of `{name}` is not written down"),
        place,
        "no `record` of this torque",
    )
    .also(joint.span, "declared here")
    .because(format!(
        "The torques of {others} other joints are; in the record, this one looks as if it had not been done."
    ))
    .mend(Mend::after(place, format!("record {name} torque")))
    .repair(format!(
        "Write `record {name} torque` below the `tighten`; if it is left out on purpose, accept this with the reason."
    ))
}
