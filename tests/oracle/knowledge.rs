//! What a technician knows at a moment, and what follows from it.
//!
//! Conditions have three answers: true, false, and *cannot be told yet*.
//!
//! **Decision.** A condition uses a reading only where its answer depends on it: `arm is powered and lamp is no` is
//! false for a strut, whether the lamp was looked at or not. "A reading used before it is taken" is thus a condition that
//! cannot be told when the technician has to act on it.

use std::collections::BTreeSet;

use fitwright::model::{
    ArithmeticOp, ChoiceId, ChoiceKind, CompareOp, Comparison, Cond, CondKind, Expr, Extreme, Id, NumberId, Procedure,
    Reading,
};
use fitwright::quantity::{Exact, Quantity};
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Zero};

use super::grid;

/// Whether the parts of a condition are asked in the order in which they are written, so that an unknown part that stands
/// before the one that would settle the whole leaves it open.
const IN_READING_ORDER: bool = true;

/// A quantity in the base unit of its kind.
pub fn base(quantity: &Quantity) -> Exact {
    quantity.value * quantity.unit.factor()
}

/// The values that are known now.
#[derive(Debug, Clone)]
pub struct Known {
    pub choices: Vec<Option<usize>>,
    pub numbers: Vec<Option<Exact>>,
}

impl Known {
    /// Nothing yet.
    pub fn nothing(procedure: &Procedure) -> Self {
        Known { choices: vec![None; procedure.choices.len()], numbers: vec![None; procedure.numbers.len()] }
    }

    /// The value of a choice.
    pub fn choice(&self, id: ChoiceId) -> Option<usize> {
        self.choices[id.index()]
    }

    /// The value of a number in base units.
    pub fn number(&self, id: NumberId) -> Option<Exact> {
        self.numbers[id.index()]
    }

    /// Whether a condition holds, if that can be told.
    pub fn truth(&self, cond: &Cond) -> Option<bool> {
        match &cond.kind {
            CondKind::Any(parts) => self.first_that(parts, true),
            CondKind::All(parts) => self.first_that(parts, false),
            CondKind::Not(inner) => self.truth(inner).map(|held| !held),
            CondKind::Is(choice, value) => self.choice(*choice).map(|known| known == *value),
            CondKind::In(number, interval) => self.number(*number).map(|known| interval.contains(known)),
            CondKind::Compares(comparison) => self.compares(comparison),
        }
    }

    /// Parts of a condition of which one that comes out as `settles` settles the whole.
    fn first_that(&self, parts: &[Cond], settles: bool) -> Option<bool> {
        let answers: Vec<_> = parts.iter().map(|part| self.truth(part)).collect();
        let known_until = answers.iter().position(Option::is_none);
        let settled_at = answers.iter().position(|answer| *answer == Some(settles));
        match (known_until, settled_at) {
            (Some(unknown), Some(settled)) if IN_READING_ORDER && unknown < settled => None,
            (_, Some(_)) => Some(settles),
            (Some(_), None) => None,
            (None, None) => Some(!settles),
        }
    }

    /// Whether a comparison holds, if all its numbers are known and the arithmetic has an answer.
    pub fn compares(&self, comparison: &Comparison) -> Option<bool> {
        let left = self.value(&comparison.left)?;
        let right = self.value(&comparison.right)?;
        Some(match comparison.op {
            CompareOp::AtMost => left <= right,
            CompareOp::Below => left < right,
            CompareOp::AtLeast => left >= right,
            CompareOp::Over => left > right,
            CompareOp::Equal => left == right,
        })
    }

    /// The value of an expression in base units.
    pub fn value(&self, expr: &Expr) -> Option<Exact> {
        match expr {
            Expr::Fact(_, base, _) | Expr::Amount(base, _, _) => Some(*base),
            Expr::Number(number, _) => self.number(*number),
            Expr::Extreme(which, of) => {
                let values: Option<Vec<Exact>> = of.iter().map(|one| self.value(one)).collect();
                match which {
                    Extreme::Least => values?.into_iter().min(),
                    Extreme::Greatest => values?.into_iter().max(),
                }
            }
            Expr::Binary(op, left, right) => {
                let (left, right) = (self.value(left)?, self.value(right)?);
                match op {
                    ArithmeticOp::Add => left.checked_add(&right),
                    ArithmeticOp::Subtract => left.checked_sub(&right),
                    ArithmeticOp::Multiply => left.checked_mul(&right),
                    ArithmeticOp::Divide if right.is_zero() => None,
                    ArithmeticOp::Divide => left.checked_div(&right),
                }
            }
        }
    }

    /// The inputs that would have to be known for a condition to be told; empty where it can be told.
    pub fn missing(&self, cond: &Cond) -> BTreeSet<Reading> {
        if self.truth(cond).is_some() {
            return BTreeSet::new();
        }
        match &cond.kind {
            CondKind::Any(parts) | CondKind::All(parts) if IN_READING_ORDER => {
                let first = parts.iter().find(|part| self.truth(part).is_none());
                first.map(|part| self.missing(part)).unwrap_or_default()
            }
            CondKind::Any(parts) | CondKind::All(parts) => parts.iter().flat_map(|part| self.missing(part)).collect(),
            CondKind::Not(inner) => self.missing(inner),
            CondKind::Is(choice, _) => BTreeSet::from([Reading::Choice(*choice)]),
            CondKind::In(number, _) => BTreeSet::from([Reading::Number(*number)]),
            CondKind::Compares(comparison) => self.missing_of(comparison),
        }
    }

    /// The numbers of a comparison that are not known.
    pub fn missing_of(&self, comparison: &Comparison) -> BTreeSet<Reading> {
        let mut numbers = BTreeSet::new();
        numbers_of(&comparison.left, &mut numbers);
        numbers_of(&comparison.right, &mut numbers);
        numbers.into_iter().filter(|number| self.number(*number).is_none()).map(Reading::Number).collect()
    }

    /// The first rule that these values break for good: no values of what is not known yet can satisfy all rules.
    ///
    /// **Decision.** A rule may speak of readings. It then holds for the readings as they stand at any moment: a reading
    /// that would break it with the others as last read cannot occur.
    pub fn broken_rule(&self, procedure: &Procedure) -> Option<usize> {
        let mut undecided = BTreeSet::new();
        for (index, rule) in procedure.rules.iter().enumerate() {
            let applies = rule.when.as_ref().map_or(Some(true), |when| self.truth(when));
            match (applies, self.truth(&rule.holds)) {
                (Some(true), Some(false)) => return Some(index),
                (Some(false), _) | (_, Some(true)) => {}
                _ => {
                    undecided.extend(rule.when.iter().flat_map(|when| self.missing(when)));
                    undecided.extend(self.missing(&rule.holds));
                }
            }
        }
        // Results are decided by the procedure, never by the world: a rule cannot shut them out.
        let next = undecided.into_iter().find(|reading| match reading {
            Reading::Choice(choice) => procedure.choices[*choice].kind != ChoiceKind::Result,
            Reading::Number(_) => true,
        })?;
        let mut broken = None;
        for tried in self.with_each_value(procedure, next) {
            broken = tried.broken_rule(procedure);
            broken?;
        }
        broken
    }

    /// This knowledge, once with each value of one more input.
    fn with_each_value(&self, procedure: &Procedure, input: Reading) -> Vec<Known> {
        let with = |change: &dyn Fn(&mut Known)| {
            let mut known = self.clone();
            change(&mut known);
            known
        };
        match input {
            Reading::Choice(choice) => (0..procedure.choices[choice].values.len())
                .map(|value| with(&|known| known.choices[choice.index()] = Some(value)))
                .collect(),
            Reading::Number(number) => grid::readings(procedure, number)
                .into_iter()
                .map(|base| with(&|known| known.numbers[number.index()] = Some(base)))
                .collect(),
        }
    }
}

/// Every number that an expression names.
pub fn numbers_of(expr: &Expr, into: &mut BTreeSet<NumberId>) {
    match expr {
        Expr::Number(number, _) => {
            into.insert(*number);
        }
        Expr::Binary(_, left, right) => {
            numbers_of(left, into);
            numbers_of(right, into);
        }
        Expr::Extreme(_, of) => of.iter().for_each(|one| numbers_of(one, into)),
        Expr::Fact(..) | Expr::Amount(..) => {}
    }
}

/// Every input and result that a condition names.
pub fn named_in(cond: &Cond, into: &mut BTreeSet<Reading>) {
    match &cond.kind {
        CondKind::Any(parts) | CondKind::All(parts) => parts.iter().for_each(|part| named_in(part, into)),
        CondKind::Not(inner) => named_in(inner, into),
        CondKind::Is(choice, _) => {
            into.insert(Reading::Choice(*choice));
        }
        CondKind::In(number, _) => {
            into.insert(Reading::Number(*number));
        }
        CondKind::Compares(comparison) => {
            let mut numbers = BTreeSet::new();
            numbers_of(&comparison.left, &mut numbers);
            numbers_of(&comparison.right, &mut numbers);
            into.extend(numbers.into_iter().map(Reading::Number));
        }
    }
}
