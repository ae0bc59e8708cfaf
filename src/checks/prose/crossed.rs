//! FW1260: two branches on a choice, each of which speaks of the other's value and not of its own.
//!
//! Told where the words leave no doubt: a word counts where it names one value of the choice and no other.

use std::collections::{BTreeMap, BTreeSet};

use super::Words;
use super::classes::words_of;
use super::text::Text;
use crate::diagnostics::{Code, Finding};
use crate::model::{ArmPattern, ChoiceId, Choose, ChooseSubject, Cond, CondKind, Node, Procedure, StepId, When, walk};

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english || !words.procedure.complete {
        return;
    }
    let procedure = words.procedure;
    let mut by_step = BTreeMap::<StepId, Vec<&Text<'_>>>::new();
    for text in texts {
        text.step.into_iter().for_each(|step| by_step.entry(step).or_default().push(text));
    }
    for branches in branches(procedure) {
        crosswise(procedure, &by_step, &branches).into_iter().for_each(|found| words.tell(found));
    }
}

/// The steps under one value of a choice each.
struct Branches {
    choice: ChoiceId,
    under: BTreeMap<usize, Vec<StepId>>,
}

/// Branches on a choice, and steps of a section under one value each.
fn branches(procedure: &Procedure) -> Vec<Branches> {
    let mut found = Vec::new();
    for section in &procedure.sections {
        let mut alone = BTreeMap::<ChoiceId, BTreeMap<usize, Vec<StepId>>>::new();
        for node in walk(&section.body) {
            match node {
                Node::When(when) => found.extend(either(procedure, when)),
                Node::Choose(choose) => found.extend(arms(choose)),
                node => {
                    let Some(step) = node.step() else { continue };
                    let Some((choice, value)) = procedure.steps[step].when.as_ref().and_then(one_value) else {
                        continue;
                    };
                    alone.entry(choice).or_default().entry(value).or_default().push(step);
                }
            }
        }
        found.extend(alone.into_iter().map(|(choice, under)| Branches { choice, under }));
    }
    found
}

fn one_value(cond: &Cond) -> Option<(ChoiceId, usize)> {
    match cond.kind {
        CondKind::Is(choice, value) => Some((choice, value)),
        _ => None,
    }
}

fn steps(body: &[Node]) -> Vec<StepId> {
    walk(body).filter_map(Node::step).collect()
}

/// Of two values `else` means the other one.
fn either(procedure: &Procedure, when: &When) -> Option<Branches> {
    let (choice, value) = one_value(&when.cond)?;
    let under = BTreeMap::from([(value, steps(&when.then)), (1 - value.min(1), steps(&when.otherwise))]);
    (procedure.choices[choice].values.len() == 2).then_some(Branches { choice, under })
}

fn arms(choose: &Choose) -> Option<Branches> {
    let ChooseSubject::Choice(choice) = choose.subject else { return None };
    let of = choose.arms.iter().filter_map(|arm| match &arm.pattern {
        ArmPattern::Values(values) if values.len() == 1 => Some((*values.first()?, steps(&arm.body))),
        _ => None,
    });
    Some(Branches { choice, under: of.collect() })
}

/// The words that name one value of a choice alone, each with its number.
fn telling(procedure: &Procedure, choice: ChoiceId) -> BTreeMap<String, usize> {
    const SMALL: &[&str] =
        &["yes", "no", "none", "the", "a", "an", "and", "of", "to", "with", "without", "in", "on", "for"];
    let mut named = BTreeMap::<String, Option<usize>>::new();
    for (number, value) in procedure.choices[choice].values.iter().enumerate() {
        for word in [&value.id, &value.label].into_iter().flat_map(|text| words_of(text)) {
            let one = named.entry(word).or_insert(Some(number));
            *one = one.filter(|one| *one == number);
        }
    }
    let alone = named.into_iter().filter(|(word, _)| !SMALL.contains(&word.as_str()));
    alone.filter_map(|(word, value)| Some((word, value?))).collect()
}

/// FW1260
fn crosswise(procedure: &Procedure, texts: &BTreeMap<StepId, Vec<&Text<'_>>>, branches: &Branches) -> Option<Finding> {
    let row = &procedure.choices[branches.choice];
    let telling = telling(procedure, branches.choice);
    let spoken_of = |steps: &[StepId]| -> BTreeSet<usize> {
        let titles = steps.iter().flat_map(|step| words_of(&procedure.steps[*step].name.title));
        let mut found: BTreeSet<usize> = titles.filter_map(|word| telling.get(&word).copied()).collect();
        for text in steps.iter().filter_map(|step| texts.get(step)).flatten() {
            found.extend((0..text.tokens.len()).filter_map(|at| telling.get(text.lower(at)).copied()));
        }
        found
    };
    let said: BTreeMap<usize, BTreeSet<usize>> =
        branches.under.iter().map(|(value, steps)| (*value, spoken_of(steps))).collect();
    let speaks = |value: &usize, of: &usize| said.get(value).is_some_and(|said| said.contains(of));
    let foreign = said.iter().filter(|(value, said)| !said.contains(value));
    let pairs = foreign.flat_map(|(value, said)| said.iter().map(move |other| (value, other)));
    let (value, other) = pairs.into_iter().find(|(value, other)| speaks(other, value) && !speaks(other, other))?;
    let step = |value: &usize| branches.under.get(value)?.first().map(|step| procedure.steps[*step].name.span);
    let so = |value: &usize| {
        let value = row.values.get(*value).map_or("", |value| value.id.as_str());
        format!("done where {} is {value}", row.name.id)
    };
    Some(
        Finding::new(
            Code::FW1260,
            format!("two branches on `{}` speak of each other's value, and not of their own", row.name.id),
            step(value)?,
            so(value),
        )
        .also(step(other)?, so(other))
        .because("The conditions may be exchanged: each fitting gets the work of the other.")
        .repair("Exchange the conditions or the steps. Where the other side is meant, name both: `With the lamp on the left, lead the cable down on the right.`"),
    )
}
