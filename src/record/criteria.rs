//! What a checklist asks of a reading, in words: what its checks expect, which arm of a branch it falls into, and the
//! limits. What is asked comes from the conditions as the file carries them, and from nowhere else; the words between
//! them are labels.

use std::collections::BTreeMap;

use super::conditions::{Condition, Names};
use super::content::{
    BoundText, CheckText, ConditionText, Content, ExpressionText, InputText, LimitText, NodeText, Relation,
};
use super::numbers::{AmountText, Units};
use super::unreadable::ChecklistFault;
use crate::labels::{fill, language, spoken};

/// Something that is asked for.
#[derive(Debug)]
pub struct Criterion {
    pub condition: Condition,
    /// In full: `Gap: at most 5 mm`.
    pub words: String,
    /// Beside the name of the one input that it is about: `at most 5 mm`. In full where it is about several.
    pub short: String,
    /// The inputs that it looks at.
    pub inputs: Vec<String>,
}

/// A limit.
#[derive(Debug)]
pub struct LimitCriterion {
    pub title: String,
    pub words: String,
}

/// All that a checklist asks for.
#[derive(Debug, Default)]
pub struct Criteria {
    /// By the id of the check's step.
    pub checks: BTreeMap<String, Vec<Criterion>>,
    /// The arms of all branches on an input, by its id.
    pub arms: BTreeMap<String, Vec<Criterion>>,
    pub limits: Vec<LimitCriterion>,
}

impl Criteria {
    /// Reads them out of a checklist whose names and units are known to be good.
    pub fn of(content: &Content, units: &Units, names: &Names<'_>) -> Result<Criteria, ChecklistFault> {
        let words = Wording { content, units };
        let mut criteria = Criteria::default();
        for section in &content.flow {
            criteria.body(&section.body, &words, names)?;
        }
        criteria.limits = content.limits.iter().map(|limit| words.limit(limit)).collect();
        Ok(criteria)
    }

    fn body(&mut self, body: &[NodeText], words: &Wording<'_>, names: &Names<'_>) -> Result<(), ChecklistFault> {
        for node in body {
            match node {
                NodeText::Check(check) => self.check(check, words, names)?,
                NodeText::Choose { input, arms, .. } => {
                    for arm in arms {
                        if let Some(when) = &arm.when {
                            let criterion = words.criterion(when, names)?;
                            self.arms.entry(input.clone()).or_default().push(criterion);
                        }
                        self.body(&arm.body, words, names)?;
                    }
                }
                NodeText::When { then, otherwise, .. } => {
                    self.body(then, words, names)?;
                    self.body(otherwise, words, names)?;
                }
                NodeText::Step(_) | NodeText::Set { .. } | NodeText::Stop(_) | NodeText::Handover { .. } => {}
            }
        }
        Ok(())
    }

    fn check(&mut self, check: &CheckText, words: &Wording<'_>, names: &Names<'_>) -> Result<(), ChecklistFault> {
        let expects = check.expects.iter().map(|expect| words.criterion(expect, names)).collect::<Result<_, _>>()?;
        self.checks.insert(check.step.id.clone(), expects);
        check.repair.as_ref().map_or(Ok(()), |repair| self.body(&repair.body, words, names))
    }
}

/// How a condition is worded.
#[derive(Clone, Copy)]
struct Way {
    /// As it stands, or its opposite.
    holds: bool,
    /// With the names of its inputs.
    named: bool,
    /// Within another condition: several that belong together stand in parentheses.
    inside: bool,
}

struct Wording<'a> {
    content: &'a Content,
    units: &'a Units,
}

impl Wording<'_> {
    fn criterion(&self, text: &ConditionText, names: &Names<'_>) -> Result<Criterion, ChecklistFault> {
        let mut inputs = Vec::new();
        note_inputs(text, &mut inputs);
        let short = match (text, inputs.as_slice()) {
            (ConditionText::Compare { .. }, _) | (_, [] | [_, _, ..]) => self.whole(text),
            (_, [_]) => self.words(text, Way { holds: true, named: false, inside: false }),
        };
        let condition = Condition::read(text, names)?;
        Ok(Criterion { condition, words: self.whole(text), short, inputs })
    }

    fn limit(&self, limit: &LimitText) -> LimitCriterion {
        let mut words = if limit.words.is_empty() { self.whole(&limit.holds) } else { limit.words.clone() };
        if let Some(when) = &limit.when {
            words = fill(spoken().condition.when, &[("condition", &self.whole(when))]) + &words;
        }
        LimitCriterion { title: limit.title.clone(), words }
    }

    /// A condition with the names of its inputs.
    fn whole(&self, text: &ConditionText) -> String {
        self.words(text, Way { holds: true, named: true, inside: false })
    }

    fn words(&self, text: &ConditionText, way: Way) -> String {
        let Way { holds, named, .. } = way;
        match text {
            ConditionText::Is { input, value } => self.beside(input, &self.is(input, value, holds), named),
            ConditionText::In { input, low, high } => {
                self.beside(input, &self.interval(low.as_ref(), high.as_ref(), holds), named)
            }
            ConditionText::All { of } => self.joined(of, holds, way),
            ConditionText::Any { of } => self.joined(of, !holds, way),
            ConditionText::Not { of } => self.words(of, Way { holds: !holds, ..way }),
            ConditionText::Compare { left, relation, right } => {
                let sign = match (relation, holds) {
                    (Relation::AtMost, true) | (Relation::Over, false) => "≤",
                    (Relation::Below, true) | (Relation::AtLeast, false) => "<",
                    (Relation::AtLeast, true) | (Relation::Below, false) => "≥",
                    (Relation::Over, true) | (Relation::AtMost, false) => ">",
                    (Relation::Equal, true) => "=",
                    (Relation::Equal, false) => "≠",
                };
                format!("{} {sign} {}", self.expression(left, 0), self.expression(right, 0))
            }
        }
    }

    /// Conditions that all have to hold, or of which one has to.
    fn joined(&self, of: &[ConditionText], and: bool, way: Way) -> String {
        let all: Vec<String> = of.iter().map(|part| self.words(part, Way { inside: true, ..way })).collect();
        let between = if and { spoken().word.and } else { spoken().word.or };
        let text = match all.as_slice() {
            [] => if and { spoken().condition.always } else { spoken().condition.never }.to_owned(),
            all => all.join(&format!(" {between} ")),
        };
        if way.inside && all.len() > 1 { format!("({text})") } else { text }
    }

    fn title<'s>(&'s self, input: &'s str) -> &'s str {
        self.content.inputs.iter().find(|one| one.id() == input).map_or(input, InputText::title)
    }

    fn beside(&self, input: &str, words: &str, named: bool) -> String {
        let title = self.title(input);
        match named {
            false => words.to_owned(),
            true if title.ends_with(['?', '.', ':']) => format!("{title} {words}"),
            true => format!("{title}: {words}"),
        }
    }

    /// The label of a value or, where `holds` is false, of the one other; where there are several others, `not` it.
    fn is(&self, input: &str, value: &str, holds: bool) -> String {
        let input = self.content.inputs.iter().find(|one| one.id() == input);
        let values = match input {
            Some(InputText::Option(choice) | InputText::Observe(choice) | InputText::Result(choice)) => {
                choice.values.as_slice()
            }
            _ => &[],
        };
        let label = values.iter().find(|one| one.id == value).map_or(value, |one| one.label.as_str());
        match values {
            _ if holds => label.to_owned(),
            [one, other] if one.id == value => other.label.clone(),
            [other, one] if one.id == value => other.label.clone(),
            _ => fill(spoken().condition.not, &[("words", label)]),
        }
    }

    /// `at most 5 mm`, `46 to 70 mm`, `over 5 mm and below 7 mm`; or the opposite.
    fn interval(&self, low: Option<&BoundText>, high: Option<&BoundText>, holds: bool) -> String {
        let amount = |end: &BoundText| self.amount(&end.value, &end.unit);
        let bound = |end: &BoundText, words: &str| fill(words, &[("value", &amount(end))]);
        let from = |end: &BoundText, holds| match (end.included, holds) {
            (true, true) => bound(end, spoken().measure.at_least),
            (false, true) => bound(end, spoken().measure.over),
            (true, false) => bound(end, spoken().measure.below),
            (false, false) => bound(end, spoken().measure.at_most),
        };
        let to = |end: &BoundText, holds| match (end.included, holds) {
            (true, true) => bound(end, spoken().measure.at_most),
            (false, true) => bound(end, spoken().measure.below),
            (true, false) => bound(end, spoken().measure.over),
            (false, false) => bound(end, spoken().measure.at_least),
        };
        let range = |low: &str, high: &str| fill(spoken().measure.range, &[("low", low), ("high", high)]);
        match (low, high) {
            (Some(low), Some(high)) if low.included && high.included => {
                let words = if low.unit != high.unit {
                    range(&amount(low), &amount(high))
                } else if low.value == high.value {
                    amount(low)
                } else {
                    range(&language().number(&low.value), &amount(high))
                };
                if holds { words } else { fill(spoken().condition.not, &[("words", &words)]) }
            }
            (Some(low), Some(high)) => {
                let words = if holds { spoken().condition.both } else { spoken().condition.not_both };
                fill(words, &[("low", &from(low, true)), ("high", &to(high, true))])
            }
            (Some(low), None) => from(low, holds),
            (None, Some(high)) => to(high, holds),
            (None, None) => if holds { spoken().condition.any } else { spoken().condition.none }.to_owned(),
        }
    }

    fn amount(&self, value: &str, unit: &str) -> String {
        let symbol = self.units.get(unit).map_or(unit, |unit| unit.symbol.as_str());
        format!("{} {symbol}", language().number(value))
    }

    /// Arithmetic, with parentheses only where they are needed.
    fn expression(&self, text: &ExpressionText, binds: u8) -> String {
        let listed = |words: &str, of: &[ExpressionText]| {
            let parts: Vec<String> = of.iter().map(|one| self.expression(one, 0)).collect();
            fill(words, &[("parts", &parts.join("; "))])
        };
        let two = |sign: &str, left: &ExpressionText, right: &ExpressionText, own: u8, right_binds: u8| {
            let text = format!("{} {sign} {}", self.expression(left, own), self.expression(right, right_binds));
            if own < binds { format!("({text})") } else { text }
        };
        let amount = |amount: &AmountText| self.amount(&amount.value, &amount.unit);
        match text {
            ExpressionText::Fact { amount: of } | ExpressionText::Amount { amount: of } => amount(of),
            ExpressionText::Number { value } => language().number(value),
            ExpressionText::Input { input } => self.title(input).to_owned(),
            ExpressionText::Least { of } => listed(spoken().condition.least, of),
            ExpressionText::Greatest { of } => listed(spoken().condition.greatest, of),
            ExpressionText::Add { left, right } => two("+", left, right, 1, 1),
            ExpressionText::Subtract { left, right } => two("−", left, right, 1, 2),
            ExpressionText::Multiply { left, right } => two("×", left, right, 2, 2),
            ExpressionText::Divide { left, right } => two("÷", left, right, 2, 3),
        }
    }
}

/// The inputs of a condition, each once.
fn note_inputs(text: &ConditionText, inputs: &mut Vec<String>) {
    match text {
        ConditionText::Is { input, .. } | ConditionText::In { input, .. } => add(input, inputs),
        ConditionText::All { of } | ConditionText::Any { of } => of.iter().for_each(|part| note_inputs(part, inputs)),
        ConditionText::Not { of } => note_inputs(of, inputs),
        ConditionText::Compare { left, right, .. } => {
            [left, right].into_iter().for_each(|side| note_terms(side, inputs));
        }
    }
}

fn note_terms(text: &ExpressionText, inputs: &mut Vec<String>) {
    match text {
        ExpressionText::Input { input } => add(input, inputs),
        ExpressionText::Fact { .. } | ExpressionText::Amount { .. } | ExpressionText::Number { .. } => {}
        ExpressionText::Least { of } | ExpressionText::Greatest { of } => {
            of.iter().for_each(|one| note_terms(one, inputs));
        }
        ExpressionText::Add { left, right }
        | ExpressionText::Subtract { left, right }
        | ExpressionText::Multiply { left, right }
        | ExpressionText::Divide { left, right } => {
            [left, right].into_iter().for_each(|side| note_terms(side, inputs));
        }
    }
}

fn add(input: &str, inputs: &mut Vec<String>) {
    if !inputs.iter().any(|own| own == input) {
        inputs.push(input.to_owned());
    }
}
