//! Conditions and their three results.

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Zero};

use super::content::{BoundText, ConditionText, ExpressionText, Relation};
use super::known::Known;
use super::numbers::{self, Units};
use super::unreadable::ChecklistFault;
use crate::quantity::Exact;

/// A condition whose names and numbers are looked up.
#[derive(Debug)]
pub enum Condition {
    Is(usize, String),
    In(usize, Interval),
    All(Vec<Condition>),
    Any(Vec<Condition>),
    Not(Box<Condition>),
    Compare(Expression, Relation, Expression),
}

/// From one end to the other, in base units.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Interval {
    pub low: Option<(Exact, bool)>,
    pub high: Option<(Exact, bool)>,
}

#[derive(Debug)]
pub enum Expression {
    Constant(Exact),
    Input(usize),
    Binary(Operator, Box<Expression>, Box<Expression>),
    Least(Vec<Expression>),
    Greatest(Vec<Expression>),
}

#[derive(Debug, Clone, Copy)]
pub enum Operator {
    Add,
    Subtract,
    Multiply,
    Divide,
}

/// What names and units mean in one checklist.
pub struct Names<'a> {
    pub input: &'a dyn Fn(&str) -> Option<usize>,
    pub units: &'a Units,
}

impl Interval {
    /// Whether a value in base units lies in it.
    pub fn contains(&self, base: Exact) -> bool {
        let above = self.low.is_none_or(|(end, included)| base > end || (included && base == end));
        let below = self.high.is_none_or(|(end, included)| base < end || (included && base == end));
        above && below
    }

    pub fn read(low: Option<&BoundText>, high: Option<&BoundText>, units: &Units) -> Result<Interval, ChecklistFault> {
        let end = |bound: &BoundText| match numbers::base(&bound.value, &bound.unit, units) {
            Some(base) => Ok((base, bound.included)),
            None => Err(ChecklistFault::Amount { value: bound.value.clone(), unit: bound.unit.clone() }),
        };
        Ok(Interval { low: low.map(end).transpose()?, high: high.map(end).transpose()? })
    }
}

impl Condition {
    pub fn read(text: &ConditionText, names: &Names<'_>) -> Result<Condition, ChecklistFault> {
        let all = |parts: &[ConditionText]| -> Result<Vec<Condition>, ChecklistFault> {
            parts.iter().map(|part| Condition::read(part, names)).collect()
        };
        Ok(match text {
            ConditionText::Is { input, value } => Condition::Is(names.find(input)?, value.clone()),
            ConditionText::In { input, low, high } => {
                Condition::In(names.find(input)?, Interval::read(low.as_ref(), high.as_ref(), names.units)?)
            }
            ConditionText::All { of } => Condition::All(all(of)?),
            ConditionText::Any { of } => Condition::Any(all(of)?),
            ConditionText::Not { of } => Condition::Not(Box::new(Condition::read(of, names)?)),
            ConditionText::Compare { left, relation, right } => {
                Condition::Compare(Expression::read(left, names)?, *relation, Expression::read(right, names)?)
            }
        })
    }

    /// True, false, or undecided.
    pub fn holds(&self, known: &Known) -> Option<bool> {
        match self {
            Condition::Is(input, value) => known.choice(*input).map(|choice| choice == value),
            Condition::In(input, interval) => known.number(*input).map(|base| interval.contains(base)),
            Condition::All(parts) => all(parts, known),
            Condition::Any(parts) => {
                parts.iter().map(|part| part.holds(known)).find(|result| *result != Some(false)).unwrap_or(Some(false))
            }
            Condition::Not(part) => part.holds(known).map(|holds| !holds),
            Condition::Compare(left, relation, right) => {
                let (left, right) = (left.value(known)?, right.value(known)?);
                Some(match relation {
                    Relation::AtMost => left <= right,
                    Relation::Below => left < right,
                    Relation::AtLeast => left >= right,
                    Relation::Over => left > right,
                    Relation::Equal => left == right,
                })
            }
        }
    }
}

/// The first part that is false or undecided is the result.
pub fn all(parts: &[Condition], known: &Known) -> Option<bool> {
    parts.iter().map(|part| part.holds(known)).find(|result| *result != Some(true)).unwrap_or(Some(true))
}

impl Names<'_> {
    pub fn find(&self, input: &str) -> Result<usize, ChecklistFault> {
        (self.input)(input).ok_or_else(|| ChecklistFault::UnknownInput(input.to_owned()))
    }
}

impl Expression {
    fn read(text: &ExpressionText, names: &Names<'_>) -> Result<Expression, ChecklistFault> {
        let two = |op, left, right| {
            let (left, right) = (Expression::read(left, names)?, Expression::read(right, names)?);
            Ok(Expression::Binary(op, Box::new(left), Box::new(right)))
        };
        let all = |of: &[ExpressionText]| -> Result<Vec<Expression>, ChecklistFault> {
            of.iter().map(|one| Expression::read(one, names)).collect()
        };
        match text {
            ExpressionText::Fact { amount } | ExpressionText::Amount { amount } => {
                let base = numbers::base(&amount.value, &amount.unit, names.units);
                base.map(Expression::Constant)
                    .ok_or_else(|| ChecklistFault::Amount { value: amount.value.clone(), unit: amount.unit.clone() })
            }
            ExpressionText::Number { value } => {
                let number = numbers::parse(value).ok_or_else(|| ChecklistFault::Number(value.clone()))?;
                Ok(Expression::Constant(number))
            }
            ExpressionText::Input { input } => names.find(input).map(Expression::Input),
            ExpressionText::Least { of } => all(of).map(Expression::Least),
            ExpressionText::Greatest { of } => all(of).map(Expression::Greatest),
            ExpressionText::Add { left, right } => two(Operator::Add, left, right),
            ExpressionText::Subtract { left, right } => two(Operator::Subtract, left, right),
            ExpressionText::Multiply { left, right } => two(Operator::Multiply, left, right),
            ExpressionText::Divide { left, right } => two(Operator::Divide, left, right),
        }
    }

    fn value(&self, known: &Known) -> Option<Exact> {
        match self {
            Expression::Constant(value) => Some(*value),
            Expression::Input(input) => known.number(*input),
            Expression::Least(of) => values(of, known)?.into_iter().min(),
            Expression::Greatest(of) => values(of, known)?.into_iter().max(),
            Expression::Binary(op, left, right) => {
                let (left, right) = (left.value(known)?, right.value(known)?);
                match op {
                    Operator::Add => left.checked_add(&right),
                    Operator::Subtract => left.checked_sub(&right),
                    Operator::Multiply => left.checked_mul(&right),
                    Operator::Divide if right.is_zero() => None,
                    Operator::Divide => left.checked_div(&right),
                }
            }
        }
    }
}

/// The values of all; `None` where one has none.
fn values(of: &[Expression], known: &Known) -> Option<Vec<Exact>> {
    of.iter().map(|one| one.value(known)).collect()
}
