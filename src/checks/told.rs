//! FW0406 and FW0411, the part of what is told: a value that prose, a text or a record carries to somebody is known by then.
//!
//! Lines of the step itself serve: prose stands above what it speaks of.

use std::collections::BTreeMap;

use super::carried::carried;
use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding, Mend};
use crate::model::{ChoiceKind, LineKind, NumberKind, Procedure, StepId};
use crate::source::Span;
use crate::space::{Event, Formula, Input};

pub(super) fn check(proof: &mut Proof<'_>) {
    let mut told: BTreeMap<Input, Formula> = BTreeMap::new();
    let events = proof.events.clone();
    for event in events.iter() {
        for (input, span, written) in carried(proof.procedure, event) {
            if comes_before_the_job(proof.procedure, input)
                || event.place.step.is_some_and(|step| brings(proof.procedure, step, input))
            {
                continue;
            }
            unknown(proof, event, input, span, written, told.entry(input).or_insert(Formula::NEVER));
        }
    }
}

fn comes_before_the_job(procedure: &Procedure, input: Input) -> bool {
    match input {
        Input::Choice(id) => procedure.choices[id].kind == ChoiceKind::Option,
        Input::Number(id) => procedure.numbers[id].kind == NumberKind::Given && procedure.numbers[id].when.is_none(),
    }
}

/// Whether a line of the step reads or sets it.
fn brings(procedure: &Procedure, step: StepId, input: Input) -> bool {
    procedure.steps[step].lines.iter().any(|line| match &line.kind {
        LineKind::Read(readings) => readings.iter().any(|reading| Input::from(*reading) == input),
        LineKind::Set(set) => Input::Choice(set.result) == input,
        _ => false,
    })
}

fn unknown<'p>(proof: &mut Proof<'p>, event: &Event<'p>, input: Input, span: Span, written: bool, told: &mut Formula) {
    let known = proof.space.is_known(event.id, input);
    let sure = proof.sure(event);
    let shown = proof.space.both(sure, !known);
    let broken = proof.space.both(shown, !*told);
    *told = proof.space.either(*told, broken);
    let is_result = matches!(input, Input::Choice(id) if proof.procedure.choices[id].kind == ChoiceKind::Result);
    let code = if is_result { Code::FW0411 } else { Code::FW0406 };
    proof.oblige_shown((code, span, Subject::Input(input)), event.id, (broken, shown), move |proof| {
        if let Some(finding) = super::given::told_without(proof.procedure, input, span, written) {
            return finding;
        }
        let name = match input {
            Input::Choice(id) => &proof.procedure.choices[id].name,
            Input::Number(id) => &proof.procedure.numbers[id].name,
        };
        let done = if is_result { "set" } else { "read" };
        let (what, reason) = match (written, is_result) {
            (true, _) => ("written down", "The record asks for a value that nobody has."),
            (false, true) => ("told", "The technician reads of something that was not decided on this path."),
            (false, false) => ("told", "The technician reads of a value that nobody has taken on this path."),
        };
        let (declared, repair) = if is_result {
            ("the result", format!("Write `set {} …` in every branch before this place.", name.id))
        } else {
            ("the reading", format!("Write `read {}` in a step that every path takes before this place, or move the line to where it is read.", name.id))
        };
        Finding::new(
            code,
            format!("`{}` is {what} here and is not {done} on every path", name.id),
            span,
            format!("not {done} yet on some path"),
        )
        .also(name.span, declared)
        .because(reason)
        .repair(repair)
        .mend((!is_result).then(|| Mend::in_step_before(span, format!("read {}", name.id))))
    });
}
