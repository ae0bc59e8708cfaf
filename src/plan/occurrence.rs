//! What is known of conditions when only the options are.
//!
//! A *fitting* is one combination of option values that the rules allow. Everything else (readings, results, givens) is
//! open, so that a condition holds, fails, or is open.

use crate::model::{ArmPattern, ChoiceId, ChoiceKind, ChooseSubject, Cond, CondKind, Guard, Id, Procedure, StepId};

/// Most fittings that are looked at one by one. Beyond it, one fitting with every option open stands for all.
/// A set of fittings is a `u64`.
const MOST: usize = 64;

/// For each step, in which fittings it can happen and in which it surely does: a bit for each fitting.
#[derive(Debug)]
pub(crate) struct Occurrence {
    possible: Vec<u64>,
    certain: Vec<u64>,
    every: u64,
}

impl Occurrence {
    /// Works it out for all steps.
    pub(crate) fn of(procedure: &Procedure) -> Self {
        let fittings = fittings(procedure);
        let (mut possible, mut certain) = (Vec::new(), Vec::new());
        for step in procedure.steps.ids() {
            let way = procedure.conditions_of(step);
            let bits = |wanted: &dyn Fn(Option<bool>) -> bool| {
                let passes = fittings.iter().map(|fitting| wanted(fitting.passes(procedure, &way)));
                passes.enumerate().fold(0, |bits, (at, yes)| bits | u64::from(yes) << at)
            };
            possible.push(bits(&|passes| passes != Some(false)));
            certain.push(bits(&|passes| passes == Some(true)));
        }
        let every = fittings.iter().enumerate().fold(0, |bits, (at, _)| bits | 1 << at);
        Occurrence { possible, certain, every }
    }

    /// The fittings in which a step can happen.
    pub(crate) fn possible(&self, step: StepId) -> u64 {
        self.possible.get(step.index()).copied().unwrap_or_default()
    }

    /// The fittings in which one of the steps surely happens.
    pub(crate) fn certain(&self, steps: &[StepId]) -> u64 {
        steps.iter().fold(0, |bits, step| bits | self.certain.get(step.index()).copied().unwrap_or_default())
    }

    /// Whether one of the steps happens whatever the fitting and the readings.
    pub(crate) fn always(&self, steps: &[StepId]) -> bool {
        self.certain(steps) == self.every
    }
}

/// The value of each option, by the number of the choice; `None` for what is open.
#[derive(Clone)]
pub(crate) struct Fitting(Vec<Option<usize>>);

/// All fittings that the rules allow, in the order of the options' values. Never empty.
pub(crate) fn fittings(procedure: &Procedure) -> Vec<Fitting> {
    let open = Fitting(vec![None; procedure.choices.len()]);
    let mut all = vec![open.clone()];
    for (id, choice) in procedure.choices.iter().filter(|(_, choice)| choice.kind == ChoiceKind::Option) {
        if all.len().saturating_mul(choice.values.len()) > MOST {
            return vec![open];
        }
        let with = |fitting: &Fitting, value| {
            let mut fitting = fitting.clone();
            if let Some(slot) = fitting.0.get_mut(id.index()) {
                *slot = Some(value);
            }
            fitting
        };
        all = all
            .iter()
            .flat_map(|one| (0..choice.values.len()).map(|value| with(one, value)).collect::<Vec<_>>())
            .collect();
    }
    let allowed: Vec<Fitting> = all.into_iter().filter(|fitting| fitting.allowed(procedure)).collect();
    if allowed.is_empty() { vec![open] } else { allowed }
}

impl Fitting {
    /// Its value of an option.
    pub(crate) fn value(&self, choice: ChoiceId) -> Option<usize> {
        self.0.get(choice.index()).copied().flatten()
    }

    fn allowed(&self, procedure: &Procedure) -> bool {
        procedure.rules.iter().all(|rule| {
            let applies = rule.when.as_ref().map_or(Some(true), |when| self.holds(when));
            !(applies == Some(true) && self.holds(&rule.holds) == Some(false))
        })
    }

    /// Whether a condition holds; `None` while it is open.
    pub(crate) fn holds(&self, cond: &Cond) -> Option<bool> {
        match &cond.kind {
            CondKind::Any(parts) => one_that_is(true, parts.iter().map(|part| self.holds(part))),
            CondKind::All(parts) => one_that_is(false, parts.iter().map(|part| self.holds(part))),
            CondKind::Not(part) => self.holds(part).map(|holds| !holds),
            CondKind::Is(choice, value) => self.value(*choice).map(|own| own == *value),
            CondKind::In(..) | CondKind::Compares(_) => None,
        }
    }

    /// Whether an arm is taken; `None` while it is open.
    pub(crate) fn takes(&self, choose: &crate::model::Choose, arm: usize) -> Option<bool> {
        let ChooseSubject::Choice(choice) = choose.subject else { return None };
        let own = self.value(choice)?;
        let named = |pattern: &ArmPattern| matches!(pattern, ArmPattern::Values(values) if values.contains(&own));
        Some(match &choose.arms.get(arm)?.pattern {
            ArmPattern::Otherwise => !choose.arms.iter().any(|other| named(&other.pattern)),
            pattern => named(pattern),
        })
    }

    /// Whether all conditions on a way hold; `None` while one is open.
    fn passes(&self, procedure: &Procedure, way: &[Guard<'_>]) -> Option<bool> {
        one_that_is(
            false,
            way.iter().map(|guard| match guard {
                Guard::Holds(cond) => self.holds(cond),
                Guard::Fails(cond) => self.holds(cond).map(|holds| !holds),
                Guard::Arm(choose, arm) => self.takes(choose, *arm),
                // A repair may never be needed; where its check does not happen, it surely is not.
                Guard::Repairs(check) => {
                    procedure.steps[check.step].when.as_ref().and_then(|when| self.holds(when)).filter(|holds| !holds)
                }
            }),
        )
    }
}

/// `wanted` if one is, its opposite if all are known and none is, else open.
fn one_that_is(wanted: bool, all: impl Iterator<Item = Option<bool>>) -> Option<bool> {
    let mut open = false;
    for one in all {
        match one {
            Some(value) if value == wanted => return Some(wanted),
            Some(_) => {}
            None => open = true,
        }
    }
    (!open).then_some(!wanted)
}
