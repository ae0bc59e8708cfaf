//! The numbers of one row: what each can be, and what follows for comparisons. All exact.

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Signed, Zero};

use super::asked::{Known, Leaf};
use super::sets::{Bound, Grid, Set};
use crate::model::{ArithmeticOp, CompareOp, Comparison, Expr, IdMap, NumberId, NumberInput, Procedure};
use crate::quantity::Exact;
use crate::space::{decided, linear_form, range_of};

/// So many pieces a broken line may have.
const MOST_PIECES: usize = 64;

/// What a number can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Domain {
    pub low: Exact,
    pub high: Exact,
    pub grid: Option<Grid>,
}

impl Domain {
    /// What the procedure takes; `None` where its range is too large to be held.
    pub fn declared(number: &NumberInput) -> Option<Domain> {
        let zero = number.low.unit.offset();
        let step = number.reads.as_ref().and_then(|reads| reads.step_base()).filter(Signed::is_positive);
        let grid = step.map(|step| Grid { step, zero });
        let (low, high) = (number.low.base()?, number.high.base()?);
        // From the first reading to the last.
        let ends = Set::closed(low, high).on_grid(grid).hull();
        let (low, high) = ends.map_or((low, high), |((low, _), (high, _))| (low, high));
        Some(Domain { low, high, grid })
    }

    /// The value, where there is only one.
    pub fn point(&self) -> Option<Exact> {
        (self.low == self.high).then_some(self.low)
    }

    /// All of it.
    pub fn set(&self) -> Set {
        Set::closed(self.low, self.high).on_grid(self.grid)
    }
}

/// What the numbers of a row can be; readings among them.
pub type Numbers = IdMap<NumberId, Domain>;

/// What all numbers can be before a row is known; `None` where a range is too large to be held.
pub fn declared(procedure: &Procedure) -> Option<Numbers> {
    if procedure.numbers.rows().iter().any(|number| Domain::declared(number).is_none()) {
        return None;
    }
    let nothing = Domain { low: Exact::zero(), high: Exact::zero(), grid: None };
    Some(procedure.numbers.map(|_, number| Domain::declared(number).unwrap_or(nothing)))
}

/// Whether a leaf holds; `Open` where the row does not tell.
pub fn known(leaf: &Leaf, numbers: &Numbers) -> Known {
    match leaf {
        Leaf::In(number, interval) => {
            let domain = &numbers[*number];
            match domain.point() {
                Some(value) => Known::sure(interval.contains(value)),
                None => settled(&Set::interval(interval), domain),
            }
        }
        Leaf::Compares(comparison) => {
            let point = |number: NumberId| numbers[number].point();
            let sides = comparison.left.value(&point).zip(comparison.right.value(&point));
            match sides {
                Some((left, right)) => Known::sure(comparison.op.holds(left, right)),
                None => of_ranges(comparison, numbers),
            }
        }
    }
}

/// What a set of values says of a number that can be any of its own.
pub fn settled(set: &Set, domain: &Domain) -> Known {
    let all = domain.set();
    let left = all.and(set).on_grid(domain.grid);
    match () {
        () if left.is_empty() => Known::No,
        () if left == all => Known::Yes,
        () => Known::Open,
    }
}

fn of_ranges(comparison: &Comparison, numbers: &Numbers) -> Known {
    let holds = margin_ranges(comparison, numbers).and_then(|(left, right)| decided(left, comparison.op, right));
    holds.map_or(Known::Open, Known::sure)
}

/// Least and greatest value of both sides. Where the comparison adds up, what stands on both sides is counted once.
fn margin_ranges(comparison: &Comparison, numbers: &Numbers) -> Option<((Exact, Exact), (Exact, Exact))> {
    let ends = |number: NumberId| Some((numbers[number].low, numbers[number].high));
    match linear_form(&comparison.left, &comparison.right) {
        Some((terms, constant)) => {
            let left = terms.iter().try_fold((constant, constant), |(low, high), (number, factor)| {
                let (a, b) = ends(*number)?;
                let (a, b) = (a.checked_mul(factor)?, b.checked_mul(factor)?);
                Some((low.checked_add(&a.min(b))?, high.checked_add(&a.max(b))?))
            })?;
            Some((left, (Exact::zero(), Exact::zero())))
        }
        None => Some((range_of(&comparison.left, &ends)?, range_of(&comparison.right, &ends)?)),
    }
}

/// By how much a comparison holds at least and at most, in base units; below zero where it fails. Of an equality, how far
/// the sides lie apart, as less than nothing.
pub fn margin(comparison: &Comparison, numbers: &Numbers) -> Option<(Exact, Exact)> {
    let point = |number: NumberId| numbers[number].point();
    let ((a, b), (c, d)) = match comparison.left.value(&point).zip(comparison.right.value(&point)) {
        Some((left, right)) => ((left, left), (right, right)),
        None => margin_ranges(comparison, numbers)?,
    };
    let (low, high) = (c.checked_sub(&b)?, d.checked_sub(&a)?);
    match comparison.op {
        CompareOp::AtMost | CompareOp::Below => Some((low, high)),
        CompareOp::AtLeast | CompareOp::Over => Some((-high, -low)),
        CompareOp::Equal => {
            let apart = low.abs().max(high.abs());
            let near = if low.is_positive() || high.is_negative() { low.abs().min(high.abs()) } else { Exact::zero() };
            Some((-apart, -near))
        }
    }
}

/// The right side, of which a margin is told in per cent; `None` where it is open.
pub fn right_side(comparison: &Comparison, numbers: &Numbers) -> Option<Exact> {
    comparison.right.value(&|number| numbers[number].point())
}

/// The values of one open number with which a comparison holds, all others being known. `None` where it does not add up.
pub fn values_of(comparison: &Comparison, open: NumberId, numbers: &Numbers) -> Option<Set> {
    let left = pieces(&comparison.left, open, numbers)?;
    let right = pieces(&comparison.right, open, numbers)?;
    let mut holds = Set::none();
    for one in &left {
        for two in &right {
            let here = one.on.and(&two.on);
            if here.is_empty() {
                continue;
            }
            // factor * x compares with bound
            let factor = one.factor.checked_sub(&two.factor)?;
            let bound = two.constant.checked_sub(&one.constant)?;
            let so = match () {
                () if factor.is_zero() && comparison.op.holds(factor, bound) => Set::all(),
                () if factor.is_zero() => Set::none(),
                () => Set::compared(turned(comparison.op, factor.is_negative()), bound.checked_div(&factor)?),
            };
            holds = holds.or(&here.and(&so));
        }
    }
    Some(holds)
}

/// As it compares when both sides are divided by a negative number.
fn turned(op: CompareOp, turn: bool) -> CompareOp {
    match (op, turn) {
        (CompareOp::AtMost, true) => CompareOp::AtLeast,
        (CompareOp::Below, true) => CompareOp::Over,
        (CompareOp::AtLeast, true) => CompareOp::AtMost,
        (CompareOp::Over, true) => CompareOp::Below,
        (op, _) => op,
    }
}

/// `factor * x + constant`, for some `x`.
#[derive(Clone)]
struct Piece {
    on: Set,
    factor: Exact,
    constant: Exact,
}

/// An expression as lines over one open number.
fn pieces(expr: &Expr, open: NumberId, numbers: &Numbers) -> Option<Vec<Piece>> {
    let constant = |constant: Exact| Some(vec![Piece { on: Set::all(), factor: Exact::zero(), constant }]);
    match expr {
        Expr::Fact(_, value, _) | Expr::Amount(value, _, _) => constant(*value),
        Expr::Number(number, _) if *number == open => {
            Some(vec![Piece { on: Set::all(), factor: Exact::from_integer(1), constant: Exact::zero() }])
        }
        Expr::Number(number, _) => constant(numbers[*number].point()?),
        Expr::Binary(op, left, right) => {
            let (left, right) = (pieces(left, open, numbers)?, pieces(right, open, numbers)?);
            paired(&left, &right, |one, two| Some(vec![(Set::all(), line(*op, one, two)?)]))
        }
        Expr::Extreme(which, of) => {
            let mut lines = of.iter().map(|one| pieces(one, open, numbers));
            let first = lines.next()??;
            lines.try_fold(first, |so_far, next| {
                paired(&so_far, &next?, |one, two| {
                    // Where the first is the lesser.
                    let (factor, bound) = (one.0.checked_sub(&two.0)?, two.1.checked_sub(&one.1)?);
                    let lesser = match () {
                        () if !factor.is_zero() => {
                            let op = turned(CompareOp::AtMost, factor.is_negative());
                            Set::compared(op, bound.checked_div(&factor)?)
                        }
                        () if bound.is_negative() => Set::none(),
                        () => Set::all(),
                    };
                    let first = if *which == crate::model::Extreme::Least { lesser } else { lesser.not() };
                    Some(vec![(first.clone(), one), (first.not(), two)])
                })
            })
        }
    }
}

type Line = (Exact, Exact);

fn paired(left: &[Piece], right: &[Piece], of: impl Fn(Line, Line) -> Option<Vec<(Set, Line)>>) -> Option<Vec<Piece>> {
    let mut found = Vec::new();
    for one in left {
        for two in right {
            let here = one.on.and(&two.on);
            if here.is_empty() {
                continue;
            }
            for (on, (factor, constant)) in of((one.factor, one.constant), (two.factor, two.constant))? {
                let on = here.and(&on);
                if !on.is_empty() {
                    found.push(Piece { on, factor, constant });
                }
            }
        }
    }
    (found.len() <= MOST_PIECES).then_some(found)
}

fn line(op: ArithmeticOp, (a, b): Line, (c, d): Line) -> Option<Line> {
    match op {
        ArithmeticOp::Add => Some((a.checked_add(&c)?, b.checked_add(&d)?)),
        ArithmeticOp::Subtract => Some((a.checked_sub(&c)?, b.checked_sub(&d)?)),
        ArithmeticOp::Multiply if a.is_zero() => Some((c.checked_mul(&b)?, d.checked_mul(&b)?)),
        ArithmeticOp::Multiply if c.is_zero() => Some((a.checked_mul(&d)?, b.checked_mul(&d)?)),
        ArithmeticOp::Divide if c.is_zero() && !d.is_zero() => Some((a.checked_div(&d)?, b.checked_div(&d)?)),
        ArithmeticOp::Multiply | ArithmeticOp::Divide => None,
    }
}

/// What a comparison of several open numbers says of each, the others being in these sets.
pub struct Tied {
    /// With other values it fails, whatever the others are.
    pub may: Set,
    /// With these it holds, whatever the others are.
    pub sure: Set,
}

/// What a comparison that adds up says of one of its numbers. `None` where it does not add up, or is too large.
pub fn tied(comparison: &Comparison, number: NumberId, sets: &IdMap<NumberId, Set>) -> Option<Tied> {
    let (terms, constant) = linear_form(&comparison.left, &comparison.right)?;
    let (_, factor) = terms.iter().find(|(other, _)| *other == number)?;
    let (mut least, mut most): (Bound, Bound) = ((constant, true), (constant, true));
    for (other, factor) in terms.iter().filter(|(other, _)| *other != number) {
        let (low, high) = sets[*other].hull()?;
        let times = |end: Bound| Some((end.0.checked_mul(factor)?, end.1));
        let (low, high) = if factor.is_negative() { (times(high)?, times(low)?) } else { (times(low)?, times(high)?) };
        least = (least.0.checked_add(&low.0)?, least.1 && low.1);
        most = (most.0.checked_add(&high.0)?, most.1 && high.1);
    }
    // factor * x + rest OP 0
    let solved = |op: CompareOp, rest: Exact| {
        Some(Set::compared(turned(op, factor.is_negative()), (-rest).checked_div(factor)?))
    };
    // For some rest, and for every rest; an end that no rest comes to counts as out of reach.
    let some = |op: CompareOp, strict: CompareOp, end: Bound| solved(if end.1 { op } else { strict }, end.0);
    let every = |op: CompareOp, loose: CompareOp, end: Bound| solved(if end.1 { op } else { loose }, end.0);
    let (may, sure) = match comparison.op {
        op @ (CompareOp::AtMost | CompareOp::Below) => {
            (some(op, CompareOp::Below, least)?, every(op, CompareOp::AtMost, most)?)
        }
        op @ (CompareOp::AtLeast | CompareOp::Over) => {
            (some(op, CompareOp::Over, most)?, every(op, CompareOp::AtLeast, least)?)
        }
        CompareOp::Equal => {
            let above = some(CompareOp::AtMost, CompareOp::Below, least)?;
            let below = some(CompareOp::AtLeast, CompareOp::Over, most)?;
            let sure = if least.0 == most.0 { solved(CompareOp::Equal, least.0)? } else { Set::none() };
            (above.and(&below), sure)
        }
    };
    Some(Tied { may, sure })
}
