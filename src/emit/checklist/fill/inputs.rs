//! Inputs, facts, rules, limits.

use super::Filler;
use super::at_place::at_place;
use crate::emit::checklist::inputs;
use crate::emit::checklist::terms::{Amount, Number};
use crate::emit::phrase::{self, fitting};
use crate::emit::words::own_unit;
use crate::model::{ChoiceKind, Chosen, ChosenValue, NumberKind, Value};

impl Filler<'_> {
    /// What is settled.
    pub(super) fn effectivity(&mut self) -> Vec<inputs::Chosen> {
        let procedure = self.procedure;
        let chosen = procedure.tailored.iter().flat_map(|tailored| &tailored.chosen);
        chosen.map(|one| self.settled(one)).collect()
    }

    fn settled(&mut self, one: &Chosen) -> inputs::Chosen {
        let (value, amount) = match &one.value {
            ChosenValue::Value(value) => (Some(value.id.clone()), None),
            ChosenValue::Amount(amount) => {
                self.units.insert(amount.unit);
                let unit = amount.unit.ucum().to_owned();
                (None, Some(Amount { value: Number(amount.decimal()), unit }))
            }
        };
        inputs::Chosen {
            id: one.name.id.clone(),
            title: one.name.title.clone(),
            value,
            amount,
            words: fitting::value_words(self.words, one),
            follows: one.follows,
        }
    }

    pub(super) fn inputs(&mut self) -> Vec<inputs::Input> {
        let procedure = self.procedure;
        let choices = procedure.choices.rows().iter().map(|choice| {
            let input = inputs::ChoiceInput {
                id: choice.name.id.clone(),
                title: choice.name.title.clone(),
                at: at_place(self.procedure, &choice.name),
                values: values(&choice.values),
            };
            match choice.kind {
                ChoiceKind::Option => inputs::Input::Option(input),
                ChoiceKind::Observe => inputs::Input::Observe(input),
                ChoiceKind::Result => inputs::Input::Result(input),
            }
        });
        let mut inputs: Vec<inputs::Input> = choices.collect();
        for number in procedure.numbers.rows() {
            self.also_in_the_other_system(&number.low);
            self.also_in_the_other_system(&number.high);
            let input = inputs::NumberInput {
                id: number.name.id.clone(),
                title: number.name.title.clone(),
                at: at_place(self.procedure, &number.name),
                quantity: super::terms::kind(number.low.kind()),
                low: self.amount(&number.low),
                high: self.amount(&number.high),
                reads: number.reads.as_ref().map(|reads| self.amount(reads)),
                tool: number.with.map(|tool| procedure.tools[tool].name.id.clone()),
                shown: self.words.range(&number.low, &number.high),
                reads_shown: number.reads.as_ref().map(|reads| match number.kind {
                    NumberKind::Given => self.words.quantity(reads),
                    // An instrument has one scale.
                    NumberKind::Measure => own_unit(reads),
                }),
                when: number.when.as_ref().map(|when| self.condition(when)),
                when_words: number.when.as_ref().map(|when| self.words.cond(when)),
            };
            inputs.push(match number.kind {
                NumberKind::Given => inputs::Input::Given(input),
                NumberKind::Measure => inputs::Input::Measure(input),
            });
        }
        inputs
    }

    pub(super) fn facts(&mut self) -> Vec<inputs::Fact> {
        let facts = self.procedure.facts.rows().iter();
        facts
            .map(|fact| inputs::Fact {
                id: fact.name.id.clone(),
                title: fact.name.title.clone(),
                value: self.stated(&fact.value),
            })
            .collect()
    }

    pub(super) fn rules(&mut self) -> Vec<inputs::Rule> {
        let rules = self.procedure.rules.iter();
        rules
            .map(|rule| inputs::Rule {
                id: self.unique(format!("rule.{}", self.inputs_of(rule.when.iter().chain([&rule.holds])))),
                holds: self.condition(&rule.holds),
                when: rule.when.as_ref().map(|when| self.condition(when)),
                reason: rule.reason.clone(),
                words: Some(phrase::flow::rule_words(self.words, rule)),
            })
            .collect()
    }

    pub(super) fn limits(&mut self) -> Vec<inputs::Limit> {
        let procedure = self.procedure;
        let limits = procedure.limits.rows().iter();
        limits
            .map(|limit| inputs::Limit {
                id: limit.name.id.clone(),
                title: limit.name.title.clone(),
                when: limit.when.as_ref().map(|when| self.condition(when)),
                when_words: limit.when.as_ref().map(|when| self.words.cond(when)),
                holds: self.comparison(&limit.holds),
                words: self.words.comparison(&limit.holds, true),
                after_step: phrase::flow::decided_after(self.words, limit)
                    .map(|step| procedure.steps[step].name.id.clone()),
                stop: limit.otherwise.as_ref().map(|text| self.words.said(text)),
                leave_as: self.leave_as(limit.span),
            })
            .collect()
    }
}

pub(super) fn values(values: &[Value]) -> Vec<inputs::Value> {
    values.iter().map(|value| inputs::Value { id: value.id.clone(), label: value.label.clone() }).collect()
}
