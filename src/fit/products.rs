//! Comparisons in which open numbers are multiplied with one another or divided by one another: what they say of one of them, by
//! the least and the greatest that the others can make of its factor and of what is added.

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Signed, Zero};

use super::numbers::Tied;
use super::sets::Set;
use crate::model::{ArithmeticOp, CompareOp, Comparison, Expr, Extreme, IdMap, NumberId};
use crate::quantity::Exact;

/// From the least to the greatest.
type Range = (Exact, Exact);

/// `factor * x + constant`, for some `x`, with both in a range.
#[derive(Clone, Copy)]
struct Band {
    factor: Range,
    constant: Range,
}

/// What a comparison says of one of its numbers, the others being in these sets. What stands in it twice counts as if each could
/// have another value, so that `may` can be too wide and `sure` too narrow, never the contrary. `None` where the number is
/// multiplied with itself, stands under a fraction line or in a least or greatest one, or where a sum is too large.
pub(super) fn tied(comparison: &Comparison, number: NumberId, sets: &IdMap<NumberId, Set>) -> Option<Tied> {
    let of = |expr| band(expr, number, sets);
    let apart = sum(of(&comparison.left)?, of(&comparison.right)?, true)?;
    // The least and the greatest of `left - right`, for `x` on either side of zero.
    let zero = Exact::zero();
    let (low, high) = (apart.constant.0, apart.constant.1);
    let sides = [
        (Set::compared(CompareOp::AtLeast, zero), apart.factor),
        (Set::compared(CompareOp::Below, zero), (apart.factor.1, apart.factor.0)),
    ];
    let (mut may, mut sure) = (Set::none(), Set::none());
    for (side, (least, greatest)) in sides {
        let at_least_end = |op| solved(least, low, op);
        let at_greatest_end = |op| solved(greatest, high, op);
        let (here_may, here_sure) = match comparison.op {
            op @ (CompareOp::AtMost | CompareOp::Below) => (at_least_end(op)?, at_greatest_end(op)?),
            op @ (CompareOp::AtLeast | CompareOp::Over) => (at_greatest_end(op)?, at_least_end(op)?),
            CompareOp::Equal => {
                (at_least_end(CompareOp::AtMost)?.and(&at_greatest_end(CompareOp::AtLeast)?), Set::none())
            }
        };
        may = may.or(&here_may.and(&side));
        sure = sure.or(&here_sure.and(&side));
    }
    Some(Tied { may, sure })
}

/// Where `factor * x + constant` compares with nothing.
fn solved(factor: Exact, constant: Exact, op: CompareOp) -> Option<Set> {
    if factor.is_zero() {
        return Some(if op.holds(constant, Exact::zero()) { Set::all() } else { Set::none() });
    }
    let op = match op {
        op if factor.is_positive() => op,
        CompareOp::AtMost => CompareOp::AtLeast,
        CompareOp::Below => CompareOp::Over,
        CompareOp::AtLeast => CompareOp::AtMost,
        CompareOp::Over => CompareOp::Below,
        CompareOp::Equal => CompareOp::Equal,
    };
    Some(Set::compared(op, (-constant).checked_div(&factor)?))
}

fn band(expr: &Expr, number: NumberId, sets: &IdMap<NumberId, Set>) -> Option<Band> {
    let nothing = (Exact::zero(), Exact::zero());
    let one = Exact::from_integer(1);
    match expr {
        Expr::Fact(_, value, _) | Expr::Amount(value, _, _) => {
            Some(Band { factor: nothing, constant: (*value, *value) })
        }
        Expr::Number(own, _) if *own == number => Some(Band { factor: (one, one), constant: nothing }),
        Expr::Number(other, _) => {
            let ((low, _), (high, _)) = sets[*other].hull()?;
            Some(Band { factor: nothing, constant: (low, high) })
        }
        Expr::Binary(op, left, right) => {
            let (left, right) = (band(left, number, sets)?, band(right, number, sets)?);
            match op {
                ArithmeticOp::Add => sum(left, right, false),
                ArithmeticOp::Subtract => sum(left, right, true),
                ArithmeticOp::Multiply if left.is_constant() => right.times(left.constant),
                ArithmeticOp::Multiply if right.is_constant() => left.times(right.constant),
                ArithmeticOp::Divide if right.is_constant() => left.times(inverse(right.constant)?),
                ArithmeticOp::Multiply | ArithmeticOp::Divide => None,
            }
        }
        Expr::Extreme(which, of) => {
            let mut bands = of.iter().map(|one| band(one, number, sets).filter(Band::is_constant));
            let first = bands.next()??;
            bands.try_fold(first, |so_far, next| {
                let ((a, b), (c, d)) = (so_far.constant, next?.constant);
                let constant = if *which == Extreme::Least { (a.min(c), b.min(d)) } else { (a.max(c), b.max(d)) };
                Some(Band { constant, ..so_far })
            })
        }
    }
}

impl Band {
    fn is_constant(&self) -> bool {
        self.factor.0.is_zero() && self.factor.1.is_zero()
    }

    fn times(self, by: Range) -> Option<Band> {
        Some(Band { factor: product(self.factor, by)?, constant: product(self.constant, by)? })
    }
}

fn sum(left: Band, right: Band, less: bool) -> Option<Band> {
    let both = |a: Range, b: Range| {
        Some(if less {
            (a.0.checked_sub(&b.1)?, a.1.checked_sub(&b.0)?)
        } else {
            (a.0.checked_add(&b.0)?, a.1.checked_add(&b.1)?)
        })
    };
    Some(Band { factor: both(left.factor, right.factor)?, constant: both(left.constant, right.constant)? })
}

/// The least and the greatest product of a number of each range.
fn product(a: Range, b: Range) -> Option<Range> {
    let corners = [(a.0, b.0), (a.0, b.1), (a.1, b.0), (a.1, b.1)];
    let mut products = corners.iter().map(|(one, two)| one.checked_mul(two));
    let first = products.next()??;
    products.try_fold((first, first), |(low, high), next| next.map(|next| (low.min(next), high.max(next))))
}

/// Of one divided by each; `None` where nothing is among them.
fn inverse((low, high): Range) -> Option<Range> {
    if low.is_positive() || high.is_negative() {
        let one = Exact::from_integer(1);
        return Some((one.checked_div(&high)?, one.checked_div(&low)?));
    }
    None
}
