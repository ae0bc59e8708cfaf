//! Facts that are a range, in arithmetic.
//!
//! A limit must hold wherever in its range a fact lies, so it is worked out with the end that is worse: in `rack-mass +
//! ladder-mass <= roof-rating` the heaviest rack. Which end that is follows from the signs on the way to the fact. In a
//! condition both answers can be right, so there a fact that is a range is refused.

use super::Resolver;
use crate::diagnostics::{Code, Finding};
use crate::model::{ArithmeticOp, CompareOp, Comparison, Expr, Fact};
use crate::quantity::Measure;
use crate::source::Span;
use num_traits::Signed;

/// Which end of a range makes a side of the comparison worse.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Worse {
    Low,
    High,
}

/// On which side of zero a value always lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sign {
    NotBelow,
    NotAbove,
}

impl Worse {
    fn turned(self) -> Worse {
        match self {
            Worse::Low => Worse::High,
            Worse::High => Worse::Low,
        }
    }

    fn times(self, sign: Sign) -> Worse {
        if sign == Sign::NotBelow { self } else { self.turned() }
    }
}

/// Why a fact can't be used as it is.
struct Refused {
    name: Span,
    declared: Span,
    id: String,
}

impl Resolver<'_> {
    /// Every fact in the comparison is one value; says so where one is not.
    pub(super) fn one_value_each(&mut self, comparison: &Comparison) -> Option<()> {
        let found = self.range_in(&comparison.left).or_else(|| self.range_in(&comparison.right));
        let Some(refused) = found else { return Some(()) };
        self.refuse(
            &refused,
            "Both answers can be right, depending on where in its range the value lies.",
            "Declare the end of the range that is meant as a fact of its own. Only a `limit` takes the worse end by itself.",
        );
        None
    }

    /// Puts the worse end of each range into a comparison that must hold.
    pub(super) fn take_worse_ends(&mut self, comparison: &mut Comparison) -> Option<()> {
        let left = match comparison.op {
            CompareOp::AtMost | CompareOp::Below => Worse::High,
            CompareOp::AtLeast | CompareOp::Over => Worse::Low,
            CompareOp::Equal => return self.one_value_each(comparison),
        };
        let done = self.take(&mut comparison.left, left).and_then(|()| self.take(&mut comparison.right, left.turned()));
        let Err(refused) = done else { return Some(()) };
        self.refuse(
            &refused,
            "It can't be told which end of its range is worse here.",
            "Declare the end of the range that is safe as a fact of its own.",
        );
        None
    }

    fn refuse(&mut self, refused: &Refused, because: &str, repair: &str) {
        self.report(
            Finding::new(
                Code::FW0310,
                format!("`{}` is not one value", refused.id),
                refused.name,
                "used in arithmetic",
            )
            .also(refused.declared, "a range or a tolerance")
            .because(because)
            .repair(repair),
        );
    }

    fn take(&self, expr: &mut Expr, worse: Worse) -> Result<(), Refused> {
        match expr {
            Expr::Fact(fact, base, span) => {
                let row = &self.procedure.facts[*fact];
                let end = if worse == Worse::High { row.value.high() } else { row.value.low() };
                *base = end.and_then(|end| end.base()).ok_or_else(|| refused(row, *span))?;
                Ok(())
            }
            Expr::Number(..) | Expr::Amount(..) => Ok(()),
            Expr::Extreme(_, of) => of.iter_mut().try_for_each(|one| self.take(one, worse)),
            Expr::Binary(op, left, right) => match op {
                ArithmeticOp::Add => self.take(left, worse).and_then(|()| self.take(right, worse)),
                ArithmeticOp::Subtract => self.take(left, worse).and_then(|()| self.take(right, worse.turned())),
                ArithmeticOp::Multiply | ArithmeticOp::Divide => {
                    let (of_left, of_right) = (self.sign(left), self.sign(right));
                    let by_right = if *op == ArithmeticOp::Divide { worse.turned() } else { worse };
                    self.scaled(left, worse, of_right)?;
                    self.scaled(right, by_right, of_left)
                }
            },
        }
    }

    /// A factor whose other factor has this sign.
    fn scaled(&self, expr: &mut Expr, worse: Worse, other: Option<Sign>) -> Result<(), Refused> {
        match (self.range_in(expr), other) {
            (None, _) => Ok(()),
            (Some(_), Some(sign)) => self.take(expr, worse.times(sign)),
            (Some(refused), None) => Err(refused),
        }
    }

    fn sign(&self, expr: &Expr) -> Option<Sign> {
        let of_ends = |not_below: bool, not_above: bool| match (not_below, not_above) {
            (true, _) => Some(Sign::NotBelow),
            (_, true) => Some(Sign::NotAbove),
            _ => None,
        };
        match expr {
            Expr::Fact(fact, ..) => {
                let value = &self.procedure.facts[*fact].value;
                let not_below = value.low().and_then(|low| low.base()).is_some_and(|low| !low.is_negative());
                let not_above = value.high().and_then(|high| high.base()).is_some_and(|high| !high.is_positive());
                of_ends(not_below, not_above)
            }
            Expr::Number(number, _) => {
                let row = &self.procedure.numbers[*number];
                of_ends(!row.low.base()?.is_negative(), !row.high.base()?.is_positive())
            }
            Expr::Amount(value, ..) => of_ends(!value.is_negative(), !value.is_positive()),
            Expr::Extreme(_, of) => {
                let mut signs = of.iter().map(|one| self.sign(one));
                let first = signs.next()??;
                signs.all(|sign| sign == Some(first)).then_some(first)
            }
            Expr::Binary(op, left, right) => {
                let (left, right) = (self.sign(left)?, self.sign(right)?);
                match op {
                    ArithmeticOp::Add => (left == right).then_some(left),
                    ArithmeticOp::Subtract => (left != right).then_some(left),
                    _ => Some(if left == right { Sign::NotBelow } else { Sign::NotAbove }),
                }
            }
        }
    }

    /// The first fact in an expression that is a range.
    fn range_in(&self, expr: &Expr) -> Option<Refused> {
        match expr {
            Expr::Fact(fact, _, span) => {
                let row = &self.procedure.facts[*fact];
                (!matches!(row.value, Measure::Exact(_))).then(|| refused(row, *span))
            }
            Expr::Number(..) | Expr::Amount(..) => None,
            Expr::Extreme(_, of) => of.iter().find_map(|one| self.range_in(one)),
            Expr::Binary(_, left, right) => self.range_in(left).or_else(|| self.range_in(right)),
        }
    }
}

fn refused(row: &Fact, name: Span) -> Refused {
    Refused { name, declared: row.value_span, id: row.name.id.clone() }
}
