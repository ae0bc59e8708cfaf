//! Limits: which still turn a vehicle away, which hold whatever is still open, and what their sides come to.

use std::collections::BTreeSet;

use num_traits::CheckedMul;

use super::reach::{Can, Reach, Simple, Simplify};
use super::settled::Settled;
use crate::model::{ArithmeticOp, CompareOp, Comparison, Expr, LimitId, MetLimit, NumberId, Procedure};
use crate::quantity::{Exact, Measure, Quantity, Unit, Written};
use crate::space::range_of;

/// The limits that are still open, and those that are met. Conditions of both are simplified in place.
pub(super) fn sort(
    draft: &mut Procedure,
    reach: &Reach,
    simplify: &mut Simplify<'_, '_>,
) -> (BTreeSet<LimitId>, Vec<MetLimit>) {
    let (mut open, mut met) = (BTreeSet::new(), Vec::new());
    for id in draft.limits.ids() {
        if !reach.can(Can::Decide(id)) {
            continue;
        }
        let when = draft.limits[id].when.clone();
        let when = when.and_then(|when| match simplify.cond(&when, reach.places(&when)) {
            Simple::Open(cond) => Some(cond),
            Simple::Always | Simple::Never => None,
        });
        draft.limits[id].when = when;
        if reach.can(Can::Break(id)) {
            open.insert(id);
        } else {
            let holds = &draft.limits[id].holds;
            // It may hold only because a rule or another limit comes first; then the sides alone would not show it.
            let sides = sides(draft, simplify.settled, holds).filter(|sides| shows(sides, holds.op));
            met.push(MetLimit { limit: draft.limits[id].clone(), sides });
        }
    }
    (open, met)
}

/// What the two sides come to, each as one amount or a range; `None` where that can't be said in one unit.
pub(super) fn sides(procedure: &Procedure, settled: &Settled, comparison: &Comparison) -> Option<(Measure, Measure)> {
    let unit = unit_of(procedure, &comparison.left).or_else(|| unit_of(procedure, &comparison.right))?;
    let range = |number: NumberId| {
        let row = &procedure.numbers[number];
        let alone = settled.base(number).map(|base| (base, base));
        alone.or_else(|| Some((row.low.base()?, row.high.base()?)))
    };
    let side = |expr: &Expr| {
        let (low, high) = range_of(expr, &range)?;
        let (low, high) = (shown(low, unit)?, shown(high, unit)?);
        Some(if low.value == high.value { Measure::Exact(low) } else { Measure::Range { low, high } })
    };
    Some((side(&comparison.left)?, side(&comparison.right)?))
}

/// Whether the comparison holds for whatever lies in the two sides.
fn shows((left, right): &(Measure, Measure), op: CompareOp) -> bool {
    let base = |end: Option<Quantity>| end.and_then(|end| end.base());
    let (least, most) = (|side: &Measure| base(side.low()), |side: &Measure| base(side.high()));
    let worst = match op {
        CompareOp::AtMost | CompareOp::Below => most(left).zip(least(right)),
        CompareOp::AtLeast | CompareOp::Over => least(left).zip(most(right)),
        CompareOp::Equal if left.nominal().is_some() => least(left).zip(most(right)),
        CompareOp::Equal => None,
    };
    worst.is_some_and(|(left, right)| op.holds(left, right))
}

/// The two sides with the sign between them, as a source would write them: `98 kg <= 150 kg`.
pub(super) fn in_source_form((left, right): &(Measure, Measure), op: CompareOp) -> String {
    let sign = match op {
        CompareOp::AtMost => "<=",
        CompareOp::Below => "<",
        CompareOp::AtLeast => ">=",
        CompareOp::Over => ">",
        CompareOp::Equal => "=",
    };
    format!("{} {sign} {}", left.source_form(), right.source_form())
}

/// The unit of the first amount of a sum. A product of two amounts is of another kind than either: it has none here.
pub fn unit_of(procedure: &Procedure, expr: &Expr) -> Option<Unit> {
    match expr {
        Expr::Fact(fact, _, _) => Some(procedure.facts[*fact].value.stated().unit),
        Expr::Number(number, _) => Some(procedure.numbers[*number].low.unit),
        Expr::Amount(_, quantity, _) => quantity.map(|quantity| quantity.unit),
        Expr::Extreme(_, of) => of.iter().find_map(|one| unit_of(procedure, one)),
        Expr::Binary(ArithmeticOp::Add | ArithmeticOp::Subtract, left, right) => {
            unit_of(procedure, left).or_else(|| unit_of(procedure, right))
        }
        Expr::Binary(op, left, right) => match (unit_of(procedure, left), unit_of(procedure, right), op) {
            (unit @ Some(_), None, _) => unit,
            (None, unit @ Some(_), ArithmeticOp::Multiply) => unit,
            _ => None,
        },
    }
}

/// Thousandths of a unit: finer than any scale in a workshop.
const FINEST: i128 = 1000;

/// A value of base units in a unit, rounded to the nearest thousandth.
fn shown(base: Exact, unit: Unit) -> Option<Quantity> {
    let exact = Quantity::from_base(base, unit, Written::Decimals(0))?;
    let thousandths = exact.value.checked_mul(&Exact::from_integer(FINEST))?.round();
    Some(Quantity { value: Exact::new(*thousandths.numer(), FINEST), ..exact })
}
