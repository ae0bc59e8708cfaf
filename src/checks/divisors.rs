//! FW0312: a division whose divisor some allowed reading makes zero. Then nobody can say whether the comparison holds.
//!
//! A division is looked at where its comparison is, and only in the runs in which what stands before it in the condition has
//! not settled the matter.

use num_traits::Zero;

use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding};
use crate::model::{ArithmeticOp, CompareOp, Comparison, Cond, CondKind, Expr};
use crate::quantity::Exact;
use crate::source::Span;
use crate::space::{Effect, EventId, Formula, range_of};

pub(super) fn check(proof: &mut Proof<'_>) {
    rules(proof);
    let events = proof.events.clone();
    for event in events.iter() {
        match &event.effect {
            Effect::Judged { condition, .. } => {
                let here = proof.sure(event);
                in_condition(proof, event.id, condition, here);
            }
            Effect::Limit { limit, .. } => {
                // The doubt of a limit that can't be told is its own: it is looked at in all runs that come by.
                let holds = &proof.procedure.limits[*limit].holds;
                let here = proof.sure(event);
                in_comparison(proof, event.id, holds, here);
            }
            _ => {}
        }
    }
}

/// The divisors of an expression, inner ones first, each with its place.
fn divisors<'e>(expr: &'e Expr, found: &mut Vec<(&'e Expr, Span)>) {
    match expr {
        Expr::Binary(op, left, right) => {
            divisors(left, found);
            divisors(right, found);
            if *op == ArithmeticOp::Divide && right.constant().is_none() {
                found.extend(place(right).map(|span| (right.as_ref(), span)));
            }
        }
        Expr::Extreme(_, of) => of.iter().for_each(|one| divisors(one, found)),
        Expr::Fact(..) | Expr::Amount(..) | Expr::Number(..) => {}
    }
}

/// Where an expression begins.
fn place(expr: &Expr) -> Option<Span> {
    match expr {
        Expr::Fact(_, _, span) | Expr::Number(_, span) | Expr::Amount(_, _, span) => Some(*span),
        Expr::Binary(_, left, _) => place(left),
        Expr::Extreme(_, of) => of.first().and_then(place),
    }
}

fn is_zero(divisor: &Expr, span: Span) -> Comparison {
    let zero = Expr::Amount(Exact::zero(), None, span);
    Comparison { left: divisor.clone(), op: CompareOp::Equal, right: zero, span }
}

/// Parts are judged from left to right, each only where those before it did not settle the whole.
fn in_condition(proof: &mut Proof<'_>, at: EventId, cond: &Cond, here: Formula) {
    match &cond.kind {
        CondKind::Any(parts) | CondKind::All(parts) => {
            let goes_on_where_holds = matches!(cond.kind, CondKind::All(_));
            let mut here = here;
            for part in parts {
                if here == Formula::NEVER {
                    return;
                }
                in_condition(proof, at, part, here);
                if divides(cond) {
                    let (holds, fails) = proof.space.told(at, part);
                    here = proof.space.both(here, if goes_on_where_holds { holds } else { fails });
                }
            }
        }
        CondKind::Not(inner) => in_condition(proof, at, inner, here),
        CondKind::Compares(comparison) => in_comparison(proof, at, comparison, here),
        CondKind::Is(..) | CondKind::In(..) => {}
    }
}

/// Whether a division stands in it; where none does, nothing has to be worked out.
fn divides(cond: &Cond) -> bool {
    match &cond.kind {
        CondKind::Any(parts) | CondKind::All(parts) => parts.iter().any(divides),
        CondKind::Not(inner) => divides(inner),
        CondKind::Compares(comparison) => !all_divisors(comparison).is_empty(),
        CondKind::Is(..) | CondKind::In(..) => false,
    }
}

fn all_divisors(comparison: &Comparison) -> Vec<(&Expr, Span)> {
    let mut found = Vec::new();
    divisors(&comparison.left, &mut found);
    divisors(&comparison.right, &mut found);
    found
}

fn in_comparison(proof: &mut Proof<'_>, at: EventId, comparison: &Comparison, here: Formula) {
    for (divisor, span) in all_divisors(comparison) {
        if !can_be_zero(proof, divisor) {
            continue;
        }
        let cond = Cond { kind: CondKind::Compares(is_zero(divisor, span)), span };
        let (zero, _) = proof.space.told(at, &cond);
        let broken = proof.space.both(here, zero);
        proof.oblige((Code::FW0312, span, Subject::Place), at, broken, move |_| finding(span));
    }
}

/// Whether zero lies in the range of the divisor at all.
fn can_be_zero(proof: &Proof<'_>, divisor: &Expr) -> bool {
    let numbers = &proof.procedure.numbers;
    let range = range_of(divisor, &|number| Some((numbers[number].low.base()?, numbers[number].high.base()?)));
    range.is_none_or(|(low, high)| low <= Exact::zero() && high >= Exact::zero())
}

/// A rule is what all configurations keep, so that it can't be asked in which it has no meaning: here the range decides.
fn rules(proof: &mut Proof<'_>) {
    let rules = &proof.procedure.rules;
    let mut findings = Vec::new();
    for cond in rules.iter().flat_map(|rule| rule.when.iter().chain([&rule.holds])) {
        let mut comparisons = Vec::new();
        compared(cond, &mut comparisons);
        let found = comparisons.into_iter().flat_map(all_divisors);
        let single = found.filter(|(divisor, _)| matches!(divisor, Expr::Number(..)) && can_be_zero(proof, divisor));
        findings.extend(single.map(|(_, span)| finding(span)));
    }
    proof.findings.extend(findings);
}

fn compared<'c>(cond: &'c Cond, found: &mut Vec<&'c Comparison>) {
    match &cond.kind {
        CondKind::Any(parts) | CondKind::All(parts) => parts.iter().for_each(|part| compared(part, found)),
        CondKind::Not(inner) => compared(inner, found),
        CondKind::Compares(comparison) => found.push(comparison),
        CondKind::Is(..) | CondKind::In(..) => {}
    }
}

fn finding(span: Span) -> Finding {
    Finding::new(Code::FW0312, "this divides by something that can be zero", span, "can be 0 here")
        .because("Nothing can be divided by zero: with that reading nobody could say whether the comparison holds.")
        .repair("Let the range begin above 0, ask for the reading in a branch that leaves 0 out, or multiply: `a <= 2 * b` instead of `a / b <= 2`.")
}
