//! FW0426: a step that says it takes less time than is waited in it.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding, Mend};
use crate::model::{LineKind, Step, Wait};
use crate::quantity::Exact;
use num_traits::CheckedAdd;

pub(super) fn check(proof: &mut Proof<'_>) {
    let found: Vec<Finding> = proof.procedure.steps.rows().iter().filter_map(too_short).collect();
    proof.findings.extend(found);
}

fn too_short(step: &Step) -> Option<Finding> {
    let takes = step.takes.as_ref()?;
    let time = takes.time.as_ref()?;
    let most = time.high().or_else(|| time.low())?.base()?;
    let times = step.waits().filter_map(Wait::least);
    let least = times.into_iter().try_fold(Exact::from_integer(0), |sum, time| sum.checked_add(&time.base()?))?;
    let line = step.lines.iter().find(|line| matches!(line.kind, LineKind::Wait(_)))?;
    let stated = time.source_form();
    (least > most).then(|| {
        let message = format!("step {} takes {stated}, and more than that is waited in it", step.number);
        Finding::new(Code::FW0426, message, takes.span, "too short")
            .also(line.span, "waited here")
            .because("Whoever plans by this time takes the vehicle away too early.")
            .repair("Let `takes` hold the waiting too, or leave it out: the wait counts by itself then.")
            .mend(Mend::drop(takes.span))
    })
}
