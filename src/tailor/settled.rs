//! Options and givens that are settled, and what that decides without looking further.

use std::collections::{BTreeMap, BTreeSet};

use crate::model::{
    Arm, ArmPattern, ChoiceId, Choose, ChooseSubject, Chosen, ChosenValue, Comparison, Cond, CondKind, End, Expr,
    Interval, NumberId, Procedure, Rule,
};
use crate::quantity::{Exact, Quantity};
use crate::source::Span;

/// What is settled before the job.
#[derive(Debug, Clone, Default)]
pub(super) struct Settled {
    /// Values of options, by number.
    pub choices: BTreeMap<ChoiceId, usize>,
    /// Of these, the ones that nobody chose: the rules leave nothing else.
    pub follow: BTreeSet<ChoiceId>,
    /// Values of options that the rules exclude, where several others are left.
    pub excluded: BTreeSet<(ChoiceId, usize)>,
    /// Amounts of givens.
    pub numbers: BTreeMap<NumberId, Quantity>,
}

impl Settled {
    /// What is settled, as rules: those that somebody chose first, then what follows.
    pub(super) fn rules(&self, nowhere: Span) -> Vec<Rule> {
        let rule = |kind| {
            let holds = Cond { kind, span: nowhere };
            Rule { holds, when: None, reason: String::new(), span: nowhere }
        };
        let chosen = self.choices.iter().filter(|(id, _)| !self.follow.contains(id));
        let follows = self.choices.iter().filter(|(id, _)| self.follow.contains(id));
        let numbers = self.numbers.iter().filter_map(|(id, amount)| Some(CondKind::In(*id, point(amount)?)));
        let is = |(id, value): (&ChoiceId, &usize)| CondKind::Is(*id, *value);
        let excluded = self
            .excluded
            .iter()
            .map(|(id, value)| CondKind::Not(Box::new(Cond { kind: CondKind::Is(*id, *value), span: nowhere })));
        chosen.map(is).chain(numbers).chain(follows.map(is)).chain(excluded).map(rule).collect()
    }

    /// For the reader, options first, each in order of declaration.
    pub(super) fn chosen(&self, procedure: &Procedure) -> Vec<Chosen> {
        let choices = self.choices.iter().filter_map(|(id, value)| {
            let choice = &procedure.choices[*id];
            let value = ChosenValue::Value(choice.values.get(*value)?.clone());
            Some(Chosen { name: choice.name.clone(), value, follows: self.follow.contains(id) })
        });
        let numbers = self.numbers.iter().map(|(id, amount)| Chosen {
            name: procedure.numbers[*id].name.clone(),
            value: ChosenValue::Amount(*amount),
            follows: false,
        });
        choices.chain(numbers).collect()
    }

    /// The amount of a given in base units.
    pub(super) fn base(&self, number: NumberId) -> Option<Exact> {
        self.numbers.get(&number).and_then(Quantity::base)
    }

    /// Whether a condition about one thing holds; `None` while that is open.
    pub(super) fn leaf(&self, kind: &CondKind) -> Option<bool> {
        match kind {
            CondKind::Is(choice, value) if self.excluded.contains(&(*choice, *value)) => Some(false),
            CondKind::Is(choice, value) => self.choices.get(choice).map(|own| own == value),
            CondKind::In(number, interval) => self.base(*number).map(|base| interval.contains(base)),
            CondKind::Compares(comparison) => self.compares(comparison),
            CondKind::Any(_) | CondKind::All(_) | CondKind::Not(_) => None,
        }
    }

    fn compares(&self, comparison: &Comparison) -> Option<bool> {
        Some(comparison.op.holds(self.value(&comparison.left)?, self.value(&comparison.right)?))
    }

    fn value(&self, expr: &Expr) -> Option<Exact> {
        expr.value(&|number| self.base(number))
    }

    /// The arm that is taken, where what the branch looks at is settled. The inner `None` is: by none.
    pub(super) fn arm<'a>(&self, choose: &'a Choose) -> Option<Option<&'a Arm>> {
        let fits: Box<dyn Fn(&Arm) -> bool> = match choose.subject {
            ChooseSubject::Choice(choice) => {
                let value = *self.choices.get(&choice)?;
                Box::new(move |arm| matches!(&arm.pattern, ArmPattern::Values(values) if values.contains(&value)))
            }
            ChooseSubject::Number(number) => {
                let base = self.base(number)?;
                Box::new(move |arm| matches!(&arm.pattern, ArmPattern::In(interval, _) if interval.contains(base)))
            }
        };
        let rest = || choose.arms.iter().find(|arm| arm.pattern == ArmPattern::Otherwise);
        Some(choose.arms.iter().find(|arm| fits(arm)).or_else(rest))
    }
}

fn point(amount: &Quantity) -> Option<Interval> {
    let base = amount.base()?;
    let end = || Some(End { base, included: true, written: *amount });
    Some(Interval { low: end(), high: end() })
}
