//! FW10: limits, over all configurations.

use super::proof::{Proof, Subject, not_decided};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{ChoiceKind, Cond, CondKind, Limit, LimitId, NumberId, NumberKind, Procedure};
use crate::source::Span;
use crate::space::{Answer, Effect, Event, EventId, Formula, Input, Role};

/// When a limit holds and when it breaks.
#[derive(Clone)]
struct Outcome {
    holds: Formula,
    breaks: Formula,
    /// As `breaks`, in doubt too.
    may_break: Formula,
    moments: Vec<(EventId, Formula)>,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let never =
        Outcome { holds: Formula::NEVER, breaks: Formula::NEVER, may_break: Formula::NEVER, moments: Vec::new() };
    let mut outcomes = procedure.limits.each(never);
    let mut decided = procedure.limits.each(Formula::NEVER);
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Judged { role: Role::Limit(limit), .. } | Effect::Limit { limit, .. } => {
                decided[limit] = proof.space.either(decided[limit], event.guard);
            }
            Effect::Handover(_) => {
                for (limit, decided) in decided.iter_mut() {
                    read_again(proof, event, limit, *decided);
                    left_open(proof, event, limit, decided);
                }
            }
            _ => {}
        }
        let Effect::Limit { limit, holds } = event.effect else { continue };
        let outcome = &mut outcomes[limit];
        let sure = proof.sure(event);
        let (kept, broken) = (proof.space.both(event.guard, holds), proof.space.both(sure, !holds));
        outcome.holds = proof.space.either(outcome.holds, kept);
        let may_break = proof.space.both(event.guard, !holds);
        outcome.may_break = proof.space.either(outcome.may_break, may_break);
        outcome.breaks = proof.space.either(outcome.breaks, broken);
        outcome.moments.push((event.id, broken));
    }
    for (limit, outcome) in outcomes.iter() {
        decide(proof, limit, outcome);
    }
}

/// FW1004: the job ends well and nothing has decided the limit, though it applies. Where nothing tells whether it applies,
/// it may not, unless no job ever decides it.
fn left_open<'p>(proof: &mut Proof<'p>, event: &Event<'p>, id: LimitId, decided: &mut Formula) {
    let limit = &proof.procedure.limits[id];
    let applies = match &limit.when {
        Some(when) if *decided != Formula::NEVER => proof.space.told(event.id, when).0,
        Some(when) => !proof.space.told(event.id, when).1,
        None => Formula::ALWAYS,
    };
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, applies, !*decided]);
    let mut missing: Vec<NumberId> = Vec::new();
    for side in [&limit.holds.left, &limit.holds.right] {
        side.each_number(&mut |number, _| {
            if !missing.contains(&number) {
                missing.push(number);
            }
        });
    }
    missing.retain(|number| proof.space.is_known(event.id, Input::Number(*number)) != Formula::ALWAYS);
    let end = event.place.span;
    *decided = proof.space.either(*decided, broken);
    proof.oblige((Code::FW1004, limit.span, Subject::Limit(id)), event.id, broken, move |proof| {
        undecided(proof.procedure, id, &missing, end)
    });
}

/// FW1006: the limit was decided and held; what was read last breaks it, and nobody looked again.
fn read_again<'p>(proof: &mut Proof<'p>, event: &Event<'p>, id: LimitId, decided: Formula) {
    let limit = &proof.procedure.limits[id];
    if decided == Formula::NEVER || limit.otherwise.is_none() {
        return;
    }
    let applies = limit.when.as_ref().map_or(Formula::ALWAYS, |when| proof.space.told(event.id, when).0);
    let now = Cond { kind: CondKind::Compares(limit.holds.clone()), span: limit.holds.span };
    let (_, fails) = proof.space.told(event.id, &now);
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, decided, applies, fails]);
    let end = event.place.span;
    proof.oblige((Code::FW1006, limit.span, Subject::Limit(id)), event.id, broken, move |proof| {
        let limit = &proof.procedure.limits[id];
        Finding::new(
            Code::FW1006,
            format!("what is read last can break the limit `{}`, and nobody looks", limit.name.id),
            limit.holds.span,
            "decided once, by the first readings",
        )
        .also(end, "handed over here")
        .because("A limit is decided as soon as its numbers are known. A later reading of the same thing is not held against it, and the vehicle leaves beyond it.")
        .repair("Let the check that reads again expect it too, or measure the second time under another name with a limit of its own.")
    });
}

fn undecided(procedure: &Procedure, id: LimitId, missing: &[NumberId], end: Span) -> Finding {
    let limit = &procedure.limits[id];
    let names: Vec<String> = missing.iter().map(|number| format!("`{}`", procedure.numbers[*number].name.id)).collect();
    let names = if names.is_empty() { "what it asks for".to_owned() } else { names.join(" and ") };
    let is_read = |number: &&NumberId| procedure.numbers[**number].kind == NumberKind::Measure;
    let read: Vec<&NumberId> = missing.iter().filter(is_read).collect();
    let asked_only = missing.iter().filter_map(|number| procedure.numbers[*number].when.as_ref()).next();
    let (label, repair) = match asked_only {
        Some(_) if read.is_empty() => (
            format!("{names} need not be asked for"),
            format!(
                "Say that the limit applies where {names} is asked for: `limit {} \"…\" when … {{ … }}`.",
                limit.name.id
            ),
        ),
        _ => (
            format!("{names} need not have been read"),
            format!(
                "Read {names} in a step that every path takes, or say when the limit applies: `limit {} \"…\" when … {{ … }}`.",
                limit.name.id
            ),
        ),
    };
    let finding = Finding::new(
        Code::FW1004,
        format!("a job can end well without the limit `{}` being decided", limit.name.id),
        limit.holds.span,
        label,
    )
    .also(end, "handed over here");
    let finding = match asked_only {
        Some(when) => finding.also(when.span, "it is asked for only where this holds"),
        None => finding,
    };
    finding
        .because("The record looks complete, and nobody ever held the vehicle against this limit.")
        .mend(
            read.into_iter()
                .map(|number| Mend::in_step_before(end, format!("read {}", procedure.numbers[*number].name.id))),
        )
        .repair(repair)
}

fn decide(proof: &mut Proof<'_>, id: LimitId, outcome: &Outcome) {
    let limit = &proof.procedure.limits[id];
    let everywhere = match proof.space.ask(outcome.holds) {
        Answer::Impossible => true,
        Answer::Possible(_) => false,
        Answer::Undecided => {
            proof.findings.push(not_decided(Code::FW1001, &broken_everywhere(proof.procedure, id)));
            return;
        }
    };
    if !everywhere && names_an_input(limit) {
        match proof.space.ask(outcome.may_break) {
            Answer::Possible(_) => {}
            Answer::Impossible => {
                proof.findings.push(never_broken(limit));
                return;
            }
            Answer::Undecided => proof.findings.push(not_decided(Code::FW1005, &never_broken(limit))),
        }
    }
    let code = match (everywhere, &limit.otherwise) {
        (true, _) => Code::FW1001,
        (false, Some(_)) => return,
        (false, None) if waits_for_the_job(proof.procedure, id) => Code::FW1003,
        (false, None) => Code::FW1002,
    };
    if code == Code::FW1001 && matches!(proof.space.ask(outcome.breaks), Answer::Possible(_)) {
        proof.broken_limits.push(id);
    }
    for (at, broken) in &outcome.moments {
        proof.oblige((code, limit.span, Subject::Limit(id)), *at, *broken, move |proof| match code {
            Code::FW1001 => broken_everywhere(proof.procedure, id),
            _ => nothing_to_do(proof.procedure, id, code),
        });
    }
}

/// Whether it depends on anything; one of facts alone states that the writer's own numbers agree.
fn names_an_input(limit: &Limit) -> bool {
    let mut names = false;
    for side in [&limit.holds.left, &limit.holds.right] {
        side.each_number(&mut |_, _| names = true);
    }
    names
}

/// FW1005
fn never_broken(limit: &Limit) -> Finding {
    Finding::new(
        Code::FW1005,
        format!("nothing can break the limit `{}`", limit.name.id),
        limit.holds.span,
        "holds for every value that can be given or read",
    )
    .because("Whoever wrote it meant to turn some vehicles away, and none is.")
    .repair("Compare its bound with the ranges, and which side of the comparison each number stands on; mend it, or remove it.")
}

/// Whether only the job decides the limit: it names a reading, or something that is decided on the job.
fn waits_for_the_job(procedure: &Procedure, id: LimitId) -> bool {
    let limit = &procedure.limits[id];
    let mut waits = limit.when.as_ref().is_some_and(|when| cond_waits(procedure, when));
    for side in [&limit.holds.left, &limit.holds.right] {
        side.each_number(&mut |number, _| waits |= procedure.numbers[number].kind == NumberKind::Measure);
    }
    waits
}

fn cond_waits(procedure: &Procedure, cond: &Cond) -> bool {
    match &cond.kind {
        CondKind::Any(parts) | CondKind::All(parts) => parts.iter().any(|part| cond_waits(procedure, part)),
        CondKind::Not(inner) => cond_waits(procedure, inner),
        CondKind::Is(choice, _) => procedure.choices[*choice].kind != ChoiceKind::Option,
        CondKind::In(number, _) => procedure.numbers[*number].kind == NumberKind::Measure,
        CondKind::Compares(comparison) => {
            let mut waits = false;
            for side in [&comparison.left, &comparison.right] {
                side.each_number(&mut |number, _| waits |= procedure.numbers[number].kind == NumberKind::Measure);
            }
            waits
        }
    }
}

fn broken_everywhere(procedure: &Procedure, id: LimitId) -> Finding {
    let limit = &procedure.limits[id];
    Finding::new(
        Code::FW1001,
        format!("the limit `{}` is broken in every configuration", limit.name.id),
        limit.holds.span,
        "never holds",
    )
    .because("Every vehicle would be turned away.")
    .repair("Check the numbers, their units, and which side of the comparison each stands on.")
}

fn nothing_to_do(procedure: &Procedure, id: LimitId, code: Code) -> Finding {
    let limit = &procedure.limits[id];
    let (when, repair) = if code == Code::FW1003 {
        let repair = "Add what then, in the block of the limit: `else stop \"Call the maker.\"`.";
        ("what is read on the job decides", repair)
    } else {
        let repair =
            "Add what then: `else stop \"Do not fit the rack to this van.\"`. Or rule the case out with `require`.";
        ("some configurations break it", repair)
    };
    let mend = Mend::blanks("Say what then", Change::Inside(limit.name.span, "else stop \"…\"".to_owned()));
    Finding::new(
        code,
        format!("the limit `{}` can be broken, and nothing is said for that case", limit.name.id),
        limit.holds.span,
        when,
    )
    .because("The technician would find the limit broken and go on.")
    .repair(repair)
    .mend(mend)
}
