//! FW0427: a check by another person before which nobody has done anything.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding, Mend};

pub(super) fn check(proof: &mut Proof<'_>) {
    for (id, step) in proof.procedure.steps.iter() {
        let Some(said) = step.another_person.filter(|_| proof.plan.looks_at(id).is_empty()) else { continue };
        let message = format!("check {} is for another person, and its section has no step before it", step.number);
        proof.findings.push(
            Finding::new(Code::FW0427, message, said, "another than who?")
                .because("Whoever looks must be another than whoever did the work, and that is the work of the same section.")
                .repair("Move the check into the section whose work it looks at, behind its last step; or leave `by another person` out.")
                .mend(Mend::drop(said)),
        );
    }
}
