//! Amounts, conditions and arithmetic.

use super::Filler;
use crate::emit::checklist::terms::{
    Amount, Bound, Condition, Expression, Form, Number, QuantityKind, Relation, Stated,
};
use crate::model::{
    ArithmeticOp, ArmPattern, Choose, ChooseSubject, CompareOp, Comparison, Cond, CondKind, End, Expr, Extreme, Guard,
    Interval,
};
use crate::plan::tools::Use;
use crate::quantity::{Kind, Measure, Quantity};

impl Filler<'_> {
    pub(super) fn amount(&mut self, quantity: &Quantity) -> Amount {
        self.units.insert(quantity.unit);
        Amount { value: Number(quantity.decimal()), unit: quantity.unit.ucum().to_owned() }
    }

    fn bound(&mut self, quantity: &Quantity, included: bool) -> Bound {
        let Amount { value, unit } = self.amount(quantity);
        Bound { value, unit, included }
    }

    /// A stated amount, its ends worked out.
    pub(super) fn stated(&mut self, measure: &Measure) -> Stated {
        let form = match measure {
            Measure::Exact(_) => Form::Exact,
            Measure::Tolerance { .. } => Form::Tolerance,
            Measure::Range { .. } => Form::Range,
            Measure::AtLeast(_) => Form::AtLeast,
            Measure::AtMost(_) => Form::AtMost,
            Measure::Over(_) => Form::Over,
            Measure::Below(_) => Form::Below,
        };
        let value = match measure {
            Measure::Exact(value) | Measure::Tolerance { value, .. } => Some(self.amount(value)),
            _ => None,
        };
        let plus_minus = match measure {
            Measure::Tolerance { plus_minus, .. } => Some(self.amount(plus_minus)),
            _ => None,
        };
        let included = measure.includes_bounds();
        Stated {
            form,
            value,
            plus_minus,
            low: measure.low().map(|low| self.bound(&low, included)),
            high: measure.high().map(|high| self.bound(&high, included)),
            shown: self.words.measure(measure),
        }
    }

    /// A single value.
    pub(super) fn single(&mut self, quantity: &Quantity) -> Stated {
        self.stated(&Measure::Exact(*quantity))
    }

    pub(super) fn condition(&mut self, cond: &Cond) -> Condition {
        match &cond.kind {
            CondKind::Any(parts) => Condition::Any { of: parts.iter().map(|part| self.condition(part)).collect() },
            CondKind::All(parts) => Condition::All { of: parts.iter().map(|part| self.condition(part)).collect() },
            CondKind::Not(part) => Condition::Not { of: Box::new(self.condition(part)) },
            CondKind::Is(choice, value) => self.is(*choice, *value),
            CondKind::In(number, interval) => {
                let input = self.procedure.numbers[*number].name.id.clone();
                self.within(input, interval)
            }
            CondKind::Compares(comparison) => self.comparison(comparison),
        }
    }

    /// When any of the uses comes about, as far as conditions on the way to its step say that; `None` where one has no
    /// condition.
    pub(super) fn any_of(&mut self, uses: &[Use]) -> Option<Condition> {
        let ways: Vec<Vec<Condition>> = uses.iter().map(|one| self.way(one)).collect();
        if ways.iter().any(Vec::is_empty) {
            return None;
        }
        // "A, or A and B" is A: a way that asks for more than another adds nothing.
        let adds = |at: usize, way: &[Condition]| {
            !ways.iter().enumerate().any(|(other_at, other)| {
                let within = other.iter().all(|part| way.contains(part));
                within && (other.len() < way.len() || (other.len() == way.len() && other_at < at))
            })
        };
        let wanted = ways.iter().enumerate().filter(|(at, way)| adds(*at, way)).map(|(_, way)| way.clone());
        let wanted: Vec<Condition> = wanted.map(|way| one_or(way, |of| Condition::All { of })).collect();
        (!wanted.is_empty()).then(|| one_or(wanted, |of| Condition::Any { of }))
    }

    /// The conditions on the way to a use, each once.
    fn way(&mut self, one: &Use) -> Vec<Condition> {
        let mut guards = self.ways[one.step].clone();
        guards.extend(one.only.iter().map(Guard::Holds));
        let mut way: Vec<Condition> = Vec::new();
        for part in guards.iter().flat_map(|guard| self.guard(guard)) {
            if !way.contains(&part) {
                way.push(part);
            }
        }
        way
    }

    /// A condition on the way. A repair happens where its check happens and is not right.
    fn guard(&mut self, guard: &Guard<'_>) -> Vec<Condition> {
        let not = |condition| Condition::Not { of: Box::new(condition) };
        match guard {
            Guard::Holds(cond) => vec![self.condition(cond)],
            Guard::Fails(cond) => vec![not(self.condition(cond))],
            Guard::Arm(choose, at) => {
                choose.arms.get(*at).map(|arm| self.arm_taken(choose, &arm.pattern)).into_iter().collect()
            }
            Guard::Repairs(check) => {
                let mut way: Vec<Condition> =
                    self.procedure.steps[check.step].when.iter().map(|when| self.condition(when)).collect();
                way.push(not(Condition::All { of: check.expects.iter().map(|cond| self.condition(cond)).collect() }));
                way
            }
        }
    }

    /// That an arm is taken; for the one that takes the rest, that no other is.
    fn arm_taken(&mut self, choose: &Choose, pattern: &ArmPattern) -> Condition {
        self.arm(choose, pattern).unwrap_or_else(|| {
            let others = choose.arms.iter().filter_map(|arm| self.arm(choose, &arm.pattern)).collect();
            Condition::Not { of: Box::new(Condition::Any { of: others }) }
        })
    }

    fn is(&self, choice: crate::model::ChoiceId, value: usize) -> Condition {
        let choice = &self.procedure.choices[choice];
        Condition::Is {
            input: choice.name.id.clone(),
            value: choice.values.get(value).map_or_else(String::new, |value| value.id.clone()),
        }
    }

    fn within(&mut self, input: String, interval: &Interval) -> Condition {
        let mut end = |end: &End| self.bound(&end.written, end.included);
        let low = interval.low.as_ref().map(&mut end);
        let high = interval.high.as_ref().map(end);
        Condition::In { input, low, high }
    }

    pub(super) fn comparison(&mut self, comparison: &Comparison) -> Condition {
        let relation = match comparison.op {
            CompareOp::AtMost => Relation::AtMost,
            CompareOp::Below => Relation::Below,
            CompareOp::AtLeast => Relation::AtLeast,
            CompareOp::Over => Relation::Over,
            CompareOp::Equal => Relation::Equal,
        };
        Condition::Compare {
            left: self.expression(&comparison.left),
            relation,
            right: self.expression(&comparison.right),
        }
    }

    fn expression(&mut self, expr: &Expr) -> Expression {
        match expr {
            Expr::Fact(id, base, _) => {
                let fact = &self.procedure.facts[*id];
                let stated = fact.value.stated();
                let quantity = Quantity::from_base(*base, stated.unit, stated.written).unwrap_or(*stated);
                Expression::Fact { fact: fact.name.id.clone(), amount: self.amount(&quantity) }
            }
            Expr::Number(id, _) => Expression::Input { input: self.procedure.numbers[*id].name.id.clone() },
            Expr::Amount(_, Some(quantity), _) => Expression::Amount { amount: self.amount(quantity) },
            Expr::Amount(value, None, _) => {
                Expression::Number { value: Number(crate::emit::words::plain_number(*value)) }
            }
            Expr::Extreme(which, of) => {
                let of = of.iter().map(|one| self.expression(one)).collect();
                match which {
                    Extreme::Least => Expression::Least { of },
                    Extreme::Greatest => Expression::Greatest { of },
                }
            }
            Expr::Binary(op, left, right) => {
                let (left, right) = (Box::new(self.expression(left)), Box::new(self.expression(right)));
                match op {
                    ArithmeticOp::Add => Expression::Add { left, right },
                    ArithmeticOp::Subtract => Expression::Subtract { left, right },
                    ArithmeticOp::Multiply => Expression::Multiply { left, right },
                    ArithmeticOp::Divide => Expression::Divide { left, right },
                }
            }
        }
    }

    /// The inputs of conditions, each once, in order of the text, for a name that rewording leaves alone.
    pub(super) fn inputs_of<'c>(&self, conditions: impl Iterator<Item = &'c Cond>) -> String {
        let mut names = Vec::new();
        conditions.for_each(|condition| self.note_inputs(condition, &mut names));
        let mut seen = std::collections::BTreeSet::new();
        names.retain(|name| seen.insert(*name));
        names.join("+")
    }

    fn note_inputs<'n>(&'n self, condition: &Cond, names: &mut Vec<&'n str>) {
        let procedure = self.procedure;
        let number = |id: crate::model::NumberId| procedure.numbers[id].name.id.as_str();
        match &condition.kind {
            CondKind::Any(parts) | CondKind::All(parts) => parts.iter().for_each(|part| self.note_inputs(part, names)),
            CondKind::Not(part) => self.note_inputs(part, names),
            CondKind::Is(choice, _) => names.push(&procedure.choices[*choice].name.id),
            CondKind::In(id, _) => names.push(number(*id)),
            CondKind::Compares(comparison) => {
                comparison.left.each_number(&mut |id, _| names.push(number(id)));
                comparison.right.each_number(&mut |id, _| names.push(number(id)));
            }
        }
    }

    /// What an arm covers; `None` for the one that takes the rest.
    pub(super) fn arm(&mut self, choose: &Choose, pattern: &ArmPattern) -> Option<Condition> {
        match (pattern, choose.subject) {
            (ArmPattern::In(interval, _), ChooseSubject::Number(number)) => {
                let input = self.procedure.numbers[number].name.id.clone();
                Some(self.within(input, interval))
            }
            (ArmPattern::Values(values), ChooseSubject::Choice(choice)) => match values.as_slice() {
                [value] => Some(self.is(choice, *value)),
                values => Some(Condition::Any { of: values.iter().map(|value| self.is(choice, *value)).collect() }),
            },
            _ => None,
        }
    }
}

/// The only condition, or all of them put together.
fn one_or(mut conditions: Vec<Condition>, together: impl Fn(Vec<Condition>) -> Condition) -> Condition {
    match conditions.pop() {
        Some(only) if conditions.is_empty() => only,
        last => together(conditions.into_iter().chain(last).collect()),
    }
}

/// The kind under its name in the file.
pub(super) fn kind(kind: Kind) -> QuantityKind {
    match kind {
        Kind::Length => QuantityKind::Length,
        Kind::Mass => QuantityKind::Mass,
        Kind::Force => QuantityKind::Force,
        Kind::Torque => QuantityKind::Torque,
        Kind::Energy => QuantityKind::Energy,
        Kind::Pressure => QuantityKind::Pressure,
        Kind::Area => QuantityKind::Area,
        Kind::Volume => QuantityKind::Volume,
        Kind::Voltage => QuantityKind::Voltage,
        Kind::Current => QuantityKind::Current,
        Kind::Resistance => QuantityKind::Resistance,
        Kind::Power => QuantityKind::Power,
        Kind::Charge => QuantityKind::Charge,
        Kind::Time => QuantityKind::Time,
        Kind::Temperature => QuantityKind::Temperature,
        Kind::TemperatureDifference => QuantityKind::TemperatureDifference,
        Kind::Angle => QuantityKind::Angle,
        Kind::Speed => QuantityKind::Speed,
        Kind::Share => QuantityKind::Share,
        Kind::WireGauge => QuantityKind::WireGauge,
        Kind::PerLength => QuantityKind::PerLength,
    }
}
