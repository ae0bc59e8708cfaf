//! Conditions over inputs.

use super::{ChoiceId, FactId, NumberId};
use crate::quantity::{Exact, Quantity};
use crate::source::Span;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Zero};

/// A condition, with where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Cond {
    /// What it says.
    pub kind: CondKind,
    /// Where.
    pub span: Span,
}

/// What a condition says.
#[derive(Debug, Clone, PartialEq)]
pub enum CondKind {
    /// At least one.
    Any(Vec<Cond>),
    /// All.
    All(Vec<Cond>),
    /// Not.
    Not(Box<Cond>),
    /// The choice has this value (by its number in the choice).
    Is(ChoiceId, usize),
    /// The number lies in the interval.
    In(NumberId, Interval),
    /// Two expressions compare.
    Compares(Comparison),
}

/// An interval in the base unit of its number's kind. A missing end is unbounded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Interval {
    /// Lower end.
    pub low: Option<End>,
    /// Upper end.
    pub high: Option<End>,
}

/// An end of an interval.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct End {
    /// The value in base units.
    pub base: Exact,
    /// Whether the value itself belongs to the interval.
    pub included: bool,
    /// As written, for messages.
    pub written: Quantity,
}

impl Interval {
    /// Whether a value in base units lies in it.
    pub fn contains(&self, base: Exact) -> bool {
        let above = self.low.as_ref().is_none_or(|end| base > end.base || (end.included && base == end.base));
        let below = self.high.as_ref().is_none_or(|end| base < end.base || (end.included && base == end.base));
        above && below
    }

    /// Whether some value can lie in both.
    pub fn meets(&self, other: &Interval) -> bool {
        let reaches = |low: &Option<End>, high: &Option<End>| match (low, high) {
            (Some(low), Some(high)) => low.base < high.base || (low.base == high.base && low.included && high.included),
            _ => true,
        };
        reaches(&self.low, &other.high) && reaches(&other.low, &self.high)
    }
}

/// `left OP right`, both of the same kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Left side.
    pub left: Expr,
    /// How they compare.
    pub op: CompareOp,
    /// Right side.
    pub right: Expr,
    /// Where.
    pub span: Span,
}

/// How two sides compare.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CompareOp {
    /// `<=`
    AtMost,
    /// `<`
    Below,
    /// `>=`
    AtLeast,
    /// `>`
    Over,
    /// `=`
    Equal,
}

/// Arithmetic over facts, numbers and written amounts; values are in base units.
#[derive(Debug, Clone, PartialEq)]
pub enum Expr {
    /// A constant fact: its value in base units, and which one. Of a fact that is a range, the end that is worse here.
    Fact(FactId, Exact, Span),
    /// An input.
    Number(NumberId, Span),
    /// A written amount and its value in base units; a bare number has no quantity.
    Amount(Exact, Option<Quantity>, Span),
    /// An operation.
    Binary(ArithmeticOp, Box<Expr>, Box<Expr>),
    /// The least or the greatest of two or more.
    Extreme(Extreme, Vec<Expr>),
}

/// Which of several values counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Extreme {
    /// `least of (…)`
    Least,
    /// `greatest of (…)`
    Greatest,
}

impl Extreme {
    /// The one of two that counts.
    pub fn of(self, left: Exact, right: Exact) -> Exact {
        match self {
            Extreme::Least => left.min(right),
            Extreme::Greatest => left.max(right),
        }
    }

    /// The one of several that counts; `None` of none.
    pub fn of_all(self, values: impl IntoIterator<Item = Exact>) -> Option<Exact> {
        values.into_iter().reduce(|left, right| self.of(left, right))
    }
}

/// Arithmetic signs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ArithmeticOp {
    /// `+`
    Add,
    /// `-`
    Subtract,
    /// `*`
    Multiply,
    /// `/`
    Divide,
}

impl Expr {
    /// The value in base units, where no input is in it and the arithmetic can be done.
    pub fn constant(&self) -> Option<Exact> {
        self.value(&|_| None)
    }

    /// The value in base units, with these values of the inputs. `None` where one has none, where it is too large to be held
    /// exactly, or divides by zero. Proofs, fittings and tables all take what a side comes to from here.
    pub fn value(&self, number: &impl Fn(NumberId) -> Option<Exact>) -> Option<Exact> {
        match self {
            Expr::Fact(_, value, _) | Expr::Amount(value, _, _) => Some(*value),
            Expr::Number(id, _) => number(*id),
            Expr::Binary(op, left, right) => op.apply(left.value(number)?, right.value(number)?),
            Expr::Extreme(which, of) => {
                let values: Option<Vec<Exact>> = of.iter().map(|one| one.value(number)).collect();
                which.of_all(values?)
            }
        }
    }

    /// Calls `found` for every input, in order of the text.
    pub fn each_number(&self, found: &mut dyn FnMut(NumberId, Span)) {
        match self {
            Expr::Number(number, span) => found(*number, *span),
            Expr::Binary(_, left, right) => {
                left.each_number(found);
                right.each_number(found);
            }
            Expr::Extreme(_, of) => of.iter().for_each(|one| one.each_number(found)),
            Expr::Fact(..) | Expr::Amount(..) => {}
        }
    }
}

impl ArithmeticOp {
    /// The exact result; `None` where it is too large to hold, or divided by zero.
    pub fn apply(self, left: Exact, right: Exact) -> Option<Exact> {
        match self {
            ArithmeticOp::Add => left.checked_add(&right),
            ArithmeticOp::Subtract => left.checked_sub(&right),
            ArithmeticOp::Multiply => left.checked_mul(&right),
            ArithmeticOp::Divide if right.is_zero() => None,
            ArithmeticOp::Divide => left.checked_div(&right),
        }
    }
}

impl CompareOp {
    /// Whether two values compare so.
    pub fn holds(self, left: Exact, right: Exact) -> bool {
        match self {
            CompareOp::AtMost => left <= right,
            CompareOp::Below => left < right,
            CompareOp::AtLeast => left >= right,
            CompareOp::Over => left > right,
            CompareOp::Equal => left == right,
        }
    }
}
