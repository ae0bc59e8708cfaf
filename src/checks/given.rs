//! FW0406, the part of givens that are asked for under a condition only: what looks at one, or tells it, where there is none.

use super::proof::{Proof, Subject};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{Cond, Naming, NumberId, Procedure};
use crate::source::Span;
use crate::space::{Event, Formula, Input};

/// Rules. What the flow looks at is found where it does (`flow`), what a text tells in `told`, a limit that is not decided in `limits`.
pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    if procedure.numbers.rows().iter().all(|number| number.when.is_none()) {
        return;
    }
    // Givens are known from the first event on; whatever comes second may ask for them.
    let events = proof.events.clone();
    let second = events.get(1);
    let Some(event) = second else { return };
    for rule in &procedure.rules {
        let spared = rule.when.as_ref().map_or(Formula::NEVER, |when| proof.space.told(event.id, when).1);
        let (holds, fails) = proof.space.told(event.id, &rule.holds);
        let untold = proof.space.all([event.guard, !holds, !fails, !spared]);
        for (number, span) in rule.when.iter().chain([&rule.holds]).flat_map(numbers_of) {
            looked_at(proof, event, Input::Number(number), span, untold);
        }
    }
}

/// What a rule looks at that it can't be told without.
fn looked_at<'p>(proof: &mut Proof<'p>, event: &Event<'p>, input: Input, span: Span, untold: Formula) {
    let Some((name, when)) = under_condition(proof.procedure, input) else { return };
    let known = proof.space.is_known(event.id, input);
    let broken = proof.space.both(untold, !known);
    proof.oblige((Code::FW0406, span, Subject::Input(input)), event.id, broken, move |_| decides(name, when, span));
}

fn numbers_of(cond: &Cond) -> Vec<(NumberId, Span)> {
    use crate::model::CondKind;
    let mut found = Vec::new();
    match &cond.kind {
        CondKind::Any(parts) | CondKind::All(parts) => found.extend(parts.iter().flat_map(numbers_of)),
        CondKind::Not(inner) => found.extend(numbers_of(inner)),
        CondKind::Is(..) => {}
        CondKind::In(number, _) => found.push((*number, cond.span)),
        CondKind::Compares(comparison) => {
            for side in [&comparison.left, &comparison.right] {
                side.each_number(&mut |number, span| found.push((number, span)));
            }
        }
    }
    found
}

/// The finding where such a given decides; `None` for every other input.
pub(super) fn decides_without(procedure: &Procedure, input: Input, span: Span) -> Option<Finding> {
    under_condition(procedure, input).map(|(name, when)| decides(name, when, span))
}

fn decides(name: &Naming, when: Span, span: Span) -> Finding {
    let finding = not_there(span, &name.id, "decides")
        .because("The technician would have to guess a number that nobody was asked for.");
    with_place(finding, name, when, span)
}

/// The finding where such a given is told or written down; `None` for every other input.
pub(super) fn told_without(procedure: &Procedure, input: Input, span: Span, written: bool) -> Option<Finding> {
    let (name, when) = under_condition(procedure, input)?;
    let (what, reason) = match written {
        true => ("is written down", "The record asks for a number that nobody was asked for."),
        false => ("is told", "The technician reads of a number that nobody was asked for."),
    };
    Some(with_place(not_there(span, &name.id, what).because(reason), name, when, span))
}

fn under_condition(procedure: &Procedure, input: Input) -> Option<(&Naming, Span)> {
    let Input::Number(id) = input else { return None };
    let row = &procedure.numbers[id];
    Some((&row.name, row.when.as_ref()?.span))
}

fn not_there(span: Span, name: &str, what: &str) -> Finding {
    let message = format!("`{name}` {what} here in a fitting that is not asked for it");
    Finding::new(Code::FW0406, message, span, "not asked for in every fitting")
}

fn with_place(finding: Finding, name: &Naming, when: Span, span: Span) -> Finding {
    finding
        .also(when, "it is asked for only where this holds")
        .repair(format!(
            "Put this under the same condition, with `when …`, or take the condition away from `{}`.",
            name.id
        ))
        .mend(Mend::look("Put the step under that condition", Change::Under(span, when)))
}
