//! `least of` and `greatest of` in comparisons, taken apart exactly.
//!
//! `x <= least of (a, b)` says that `x <= a` and `x <= b`; `x <= greatest of (a, b)` that one of them holds. So a comparison
//! becomes several without them, joined by "all" and "any". Where it can't be told whether a side grows with the one
//! that is looked for (`least of (a, b) * c`), each in turn is taken for it, together with the comparisons that make it so.

use num_traits::{Signed, Zero};

use crate::model::{ArithmeticOp, CompareOp, Comparison, Expr, Extreme};

/// A comparison taken apart.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Split {
    /// Without `least of` and `greatest of`.
    One(Comparison),
    /// All of these.
    All(Vec<Split>),
    /// At least one of these.
    Any(Vec<Split>),
}

/// The most comparisons that one may come to.
const MOST: usize = 256;

/// Takes a comparison apart; `None` where it comes to more than [`MOST`].
pub(super) fn split(comparison: &Comparison) -> Option<Split> {
    let mut left = MOST;
    taken_apart(comparison, &mut left)
}

impl Split {
    /// Calls `found` for every comparison.
    pub fn each(&self, found: &mut impl FnMut(&Comparison)) {
        match self {
            Split::One(comparison) => found(comparison),
            Split::All(parts) | Split::Any(parts) => parts.iter().for_each(|part| part.each(found)),
        }
    }
}

/// An extreme somewhere in an expression.
struct Found {
    which: Extreme,
    /// Whether the whole grows with it (or falls); `None` where that depends.
    grows: Option<bool>,
    of: Vec<Expr>,
    /// The whole with each of them in its place.
    wholes: Vec<Expr>,
}

fn taken_apart(comparison: &Comparison, left: &mut usize) -> Option<Split> {
    let found = match find(&comparison.left) {
        Some(found) => Some((found, true)),
        None => find(&comparison.right).map(|found| (found, false)),
    };
    let Some((found, on_left)) = found else {
        *left = left.checked_sub(1)?;
        return Some(Split::One(comparison.clone()));
    };
    if comparison.op == CompareOp::Equal {
        let both = [CompareOp::AtMost, CompareOp::AtLeast].map(|op| Comparison { op, ..comparison.clone() });
        return parts(both, left).map(Split::All);
    }
    let with = |whole: Expr| match on_left {
        true => Comparison { left: whole, ..comparison.clone() },
        false => Comparison { right: whole, ..comparison.clone() },
    };
    let Some(grows) = found.grows else { return each_in_turn(found, comparison, with, left) };
    // The left side shall be small in `<=`; so what makes it grow must hold for all, if the greatest counts.
    let small = matches!(comparison.op, CompareOp::AtMost | CompareOp::Below) == on_left;
    let all = (found.which == Extreme::Greatest) == (small == grows);
    let joined = parts(found.wholes.into_iter().map(with), left)?;
    Some(if all { Split::All(joined) } else { Split::Any(joined) })
}

fn parts(comparisons: impl IntoIterator<Item = Comparison>, left: &mut usize) -> Option<Vec<Split>> {
    comparisons.into_iter().map(|comparison| taken_apart(&comparison, left)).collect()
}

/// Each of them is taken for the extreme, where it is that.
fn each_in_turn(
    found: Found,
    comparison: &Comparison,
    with: impl Fn(Expr) -> Comparison,
    left: &mut usize,
) -> Option<Split> {
    let op = if found.which == Extreme::Least { CompareOp::AtMost } else { CompareOp::AtLeast };
    let mut ways = Vec::with_capacity(found.of.len());
    for (at, whole) in found.wholes.into_iter().enumerate() {
        let one = found.of.get(at)?;
        let others = found.of.iter().enumerate().filter(|(other, _)| *other != at);
        let makes_it_so =
            others.map(|(_, other)| Comparison { left: one.clone(), op, right: other.clone(), span: comparison.span });
        let all: Vec<Comparison> = makes_it_so.chain([with(whole)]).collect();
        ways.push(Split::All(parts(all, left)?));
    }
    Some(Split::Any(ways))
}

/// The first extreme that is in no other.
fn find(expr: &Expr) -> Option<Found> {
    match expr {
        Expr::Fact(..) | Expr::Amount(..) | Expr::Number(..) => None,
        Expr::Extreme(which, of) => {
            Some(Found { which: *which, grows: Some(true), of: of.clone(), wholes: of.clone() })
        }
        Expr::Binary(op, left, right) => match find(left) {
            Some(found) => {
                Some(within(found, growth(*op, right, true), |one| Expr::Binary(*op, Box::new(one), right.clone())))
            }
            None => Some(within(find(right)?, growth(*op, left, false), |one| {
                Expr::Binary(*op, left.clone(), Box::new(one))
            })),
        },
    }
}

fn within(found: Found, growth: Option<bool>, place: impl Fn(Expr) -> Expr) -> Found {
    let grows = found.grows.zip(growth).map(|(inner, outer)| inner == outer);
    Found { grows, wholes: found.wholes.into_iter().map(place).collect(), ..found }
}

/// Whether the result grows with the left side (or the right); `other` is the other one.
fn growth(op: ArithmeticOp, other: &Expr, with_left: bool) -> Option<bool> {
    match op {
        ArithmeticOp::Add => Some(true),
        ArithmeticOp::Subtract => Some(with_left),
        ArithmeticOp::Multiply => other.constant().filter(|by| !by.is_zero()).map(|by| by.is_positive()),
        ArithmeticOp::Divide if with_left => other.constant().filter(|by| !by.is_zero()).map(|by| by.is_positive()),
        ArithmeticOp::Divide => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Id, NumberId};
    use crate::quantity::Exact;
    use crate::source::{FileId, Span};
    use proptest::prelude::*;

    fn nowhere() -> Span {
        Span::new(FileId::new(0), 0, 0)
    }

    fn value(expr: &Expr, numbers: &[i128]) -> Option<Exact> {
        match expr {
            Expr::Fact(_, value, _) | Expr::Amount(value, ..) => Some(*value),
            Expr::Number(id, _) => numbers.get(id.index()).map(|n| Exact::from_integer(*n)),
            Expr::Binary(op, left, right) => op.apply(value(left, numbers)?, value(right, numbers)?),
            Expr::Extreme(which, of) => {
                let values: Option<Vec<Exact>> = of.iter().map(|one| value(one, numbers)).collect();
                which.of_all(values?)
            }
        }
    }

    fn holds(comparison: &Comparison, numbers: &[i128]) -> Option<bool> {
        Some(comparison.op.holds(value(&comparison.left, numbers)?, value(&comparison.right, numbers)?))
    }

    fn all_hold(split: &Split, numbers: &[i128]) -> Option<bool> {
        match split {
            Split::One(comparison) => holds(comparison, numbers),
            Split::All(parts) => parts.iter().try_fold(true, |sum, part| Some(sum & all_hold(part, numbers)?)),
            Split::Any(parts) => parts.iter().try_fold(false, |sum, part| Some(sum | all_hold(part, numbers)?)),
        }
    }

    fn exprs() -> impl Strategy<Value = Expr> {
        let leaf = prop_oneof![
            (0usize..3).prop_map(|at| Expr::Number(NumberId::from_index(at), nowhere())),
            (-3i128..4).prop_map(|n| Expr::Amount(Exact::from_integer(n), None, nowhere())),
        ];
        leaf.prop_recursive(3, 12, 3, |inner| {
            let op = prop_oneof![
                Just(ArithmeticOp::Add),
                Just(ArithmeticOp::Subtract),
                Just(ArithmeticOp::Multiply),
                Just(ArithmeticOp::Divide),
            ];
            let which = prop_oneof![Just(Extreme::Least), Just(Extreme::Greatest)];
            prop_oneof![
                (op, inner.clone(), inner.clone()).prop_map(|(op, left, right)| Expr::Binary(
                    op,
                    Box::new(left),
                    Box::new(right)
                )),
                (which, prop::collection::vec(inner, 2..=3)).prop_map(|(which, of)| Expr::Extreme(which, of)),
            ]
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// Evaluating the whole is the oracle: what a comparison was taken apart into holds exactly where it does.
        #[test]
        fn the_parts_hold_where_the_whole_does(
            left in exprs(),
            right in exprs(),
            op in prop_oneof![
                Just(CompareOp::AtMost), Just(CompareOp::Below), Just(CompareOp::AtLeast), Just(CompareOp::Over),
                Just(CompareOp::Equal),
            ],
            numbers in prop::collection::vec(-3i128..4, 3),
        ) {
            let comparison = Comparison { left, op, right, span: nowhere() };
            let Some(parts) = split(&comparison) else { return Ok(()) };
            let mut left_over = false;
            parts.each(&mut |part| left_over |= find(&part.left).is_some() || find(&part.right).is_some());
            prop_assert!(!left_over);
            // Where a division by zero leaves a part open, nothing is claimed.
            if let (Some(whole), Some(by_parts)) = (holds(&comparison, &numbers), all_hold(&parts, &numbers)) {
                prop_assert_eq!(whole, by_parts);
            }
        }
    }

    #[test]
    fn what_is_too_much_is_not_taken_apart() {
        let number = |at| Expr::Number(NumberId::from_index(at), nowhere());
        let mut left = number(0);
        for _ in 0..12 {
            let two = Expr::Extreme(Extreme::Least, vec![left.clone(), number(1)]);
            left = Expr::Binary(ArithmeticOp::Multiply, Box::new(two), Box::new(number(2)));
        }
        let right = Expr::Extreme(Extreme::Greatest, vec![number(0), left.clone()]);
        assert_eq!(split(&Comparison { left, op: CompareOp::Equal, right, span: nowhere() }), None);
    }
}
