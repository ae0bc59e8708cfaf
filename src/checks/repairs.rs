//! FW0423: a check whose repair changes nothing that the check expects.
//!
//! An expectation that failed is looked at again after the repair. Where it then never holds, in whatever run, the repair is
//! done for nothing: what it asks for is not read again.

use std::collections::BTreeMap;

use super::proof::{Proof, not_decided};
use crate::diagnostics::{Code, Finding};
use crate::model::Cond;
use crate::source::Span;
use crate::space::{Answer, Effect, Formula, Role};

/// An expectation over all rounds.
struct Hope<'p> {
    condition: &'p Cond,
    check: Span,
    /// The last round that was looked at, and in which runs it held then.
    last: (u32, Formula),
    /// It had failed when it was looked at again.
    again: Formula,
    /// And it held.
    mended: Formula,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let mut hopes: BTreeMap<Span, Hope<'_>> = BTreeMap::new();
    let events = proof.events.clone();
    for event in events.iter() {
        let Effect::Judged { condition, role: Role::Expect(step), holds, .. } = &event.effect else { continue };
        let (round, check) = (event.place.round, proof.procedure.steps[*step].name.span);
        let first = || Hope { condition, check, last: (round, *holds), again: Formula::NEVER, mended: Formula::NEVER };
        let hope = hopes.entry(condition.span).or_insert_with(first);
        if round > 0 && hope.last.0 + 1 == round {
            let sure = proof.sure(event);
            let failed = proof.space.both(sure, !hope.last.1);
            let mended = proof.space.both(failed, *holds);
            hope.again = proof.space.either(hope.again, failed);
            hope.mended = proof.space.either(hope.mended, mended);
        }
        hope.last = (round, *holds);
    }
    // All at once: each question by itself would begin with a solver that knows nothing.
    let again: Vec<Formula> = hopes.values().map(|hope| hope.again).collect();
    let failing = proof.space.ask_each(&again);
    let hopes: Vec<&Hope<'_>> = hopes
        .values()
        .zip(failing)
        .filter(|(_, again)| matches!(again, Answer::Possible(_)))
        .map(|(hope, _)| hope)
        .collect();
    let mended: Vec<Formula> = hopes.iter().map(|hope| hope.mended).collect();
    for (hope, answer) in hopes.into_iter().zip(proof.space.ask_each(&mended)) {
        match answer {
            Answer::Possible(_) => {}
            Answer::Impossible => proof.findings.push(finding(hope)),
            Answer::Undecided => proof.findings.push(not_decided(Code::FW0423, &finding(hope))),
        }
    }
}

fn finding(hope: &Hope<'_>) -> Finding {
    Finding::new(
        Code::FW0423,
        "no repair can make this hold",
        hope.condition.span,
        "once it failed, it fails every time",
    )
    .also(hope.check, "the check")
    .because("The technician repairs as often as the text says, and the check looks at the old reading each time.")
    .repair("Read again, in the lines of the check, what it expects; or take the repair away.")
}
