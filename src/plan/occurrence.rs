//! What is known of conditions when only the options are.
//!
//! A *fitting* is one combination of option values that the rules allow. Everything else (readings, results, givens) is
//! open, so that a condition holds, fails, or is open.

use crate::model::{ArmPattern, ChoiceId, ChoiceKind, ChooseSubject, Cond, CondKind, Guard, IdMap, Procedure, StepId};
use crate::source::Span;

/// Most fittings that are looked at one by one. Beyond it, one fitting with every option open stands for all.
const MOST: usize = 64;

/// A set of fittings: a bit for each.
pub(crate) type Fittings = u64;

/// For each step, in which fittings it can happen and in which it surely does.
#[derive(Debug)]
pub(crate) struct Occurrence {
    fittings: Vec<Fitting>,
    possible: IdMap<StepId, Fittings>,
    certain: IdMap<StepId, Fittings>,
    every: Fittings,
    /// How many values each choice has; none where it is no option.
    values: IdMap<ChoiceId, usize>,
}

impl Occurrence {
    /// Works it out for all steps.
    pub(crate) fn of(procedure: &Procedure) -> Self {
        let fittings = fittings(procedure);
        let ways = procedure.ways();
        let passes = procedure
            .steps
            .map(|step, _| fittings.iter().map(|fitting| fitting.passes(procedure, &ways[step])).collect::<Vec<_>>());
        let those = |wanted: &dyn Fn(Option<bool>) -> bool| {
            procedure.steps.map(|step, _| {
                let all = passes[step].iter().enumerate();
                all.fold(0, |bits, (at, passes)| bits | Fittings::from(wanted(*passes)) << at)
            })
        };
        let (possible, certain) = (those(&|passes| passes != Some(false)), those(&|passes| passes == Some(true)));
        let every = fittings.iter().enumerate().fold(0, |bits, (at, _)| bits | 1 << at);
        let values =
            procedure.choices.map(|_, choice| if choice.kind == ChoiceKind::Option { choice.values.len() } else { 0 });
        Occurrence { fittings, possible, certain, every, values }
    }

    /// How many fittings the rules allow; `None` where there are too many to be looked at one by one.
    pub(crate) fn count(&self) -> Option<usize> {
        let options = self.values.iter().any(|(_, values)| *values > 0);
        let one_for_all =
            options && self.fittings.iter().all(|fitting| fitting.0.iter().all(|(_, value)| value.is_none()));
        (!one_for_all).then_some(self.fittings.len())
    }

    /// Every fitting, one by one.
    pub(crate) fn fittings(&self) -> &[Fitting] {
        &self.fittings
    }

    /// The set of all fittings.
    pub(crate) fn every(&self) -> Fittings {
        self.every
    }

    /// The fittings of a set, each as a set of its own.
    pub(crate) fn each(fittings: Fittings) -> impl Iterator<Item = Fittings> {
        (0..Fittings::BITS).map(|at| 1 << at).filter(move |one| fittings & one != 0)
    }

    /// The fittings in which a step can happen.
    pub(crate) fn possible(&self, step: StepId) -> Fittings {
        self.possible[step]
    }

    /// The fittings in which one of the steps surely happens.
    pub(crate) fn certain(&self, steps: &[StepId]) -> Fittings {
        steps.iter().fold(0, |bits, step| bits | self.certain[*step])
    }

    /// Whether one of the steps happens whatever the fitting and the readings.
    pub(crate) fn always(&self, steps: &[StepId]) -> bool {
        self.certain(steps) == self.every
    }

    /// A condition on the options that holds in all fittings of one set and in none of the other, in few words; of the
    /// fittings in neither it may say what it likes.
    pub(crate) fn condition(&self, inside: Fittings, outside: Fittings, span: Span) -> Cond {
        let is = |(choice, value)| Cond { kind: CondKind::Is(choice, value), span };
        let mut left = inside;
        let mut ways: Vec<Cond> = Vec::new();
        while let Some(fitting) = Occurrence::each(left).next() {
            let values = self.telling(fitting, outside);
            left &= !(self.having(&values) | fitting);
            ways.push(one_or(values.into_iter().map(is).collect(), span, CondKind::All));
        }
        // Of many values, the one that is left out says it shorter.
        match self.left_out(inside, outside).filter(|_| ways.len() > 1) {
            Some(value) => Cond { kind: CondKind::Not(Box::new(is(value))), span },
            None => one_or(ways, span, CondKind::Any),
        }
    }

    /// The values of options that tell a fitting from all of a set; none of them can be left out.
    pub(crate) fn telling(&self, fitting: Fittings, others: Fittings) -> Vec<(ChoiceId, usize)> {
        let own = usize::try_from(fitting.trailing_zeros()).ok().and_then(|at| self.fittings.get(at));
        let choices = self.values.iter().map(|(choice, _)| choice);
        let mut values: Vec<(ChoiceId, usize)> =
            choices.filter_map(|choice| Some((choice, own?.value(choice)?))).collect();
        for at in (0..values.len()).rev() {
            let mut fewer = values.clone();
            fewer.remove(at);
            if self.having(&fewer) & others == 0 {
                values = fewer;
            }
        }
        values
    }

    /// The one value that an option has nowhere in a set, and everywhere in another.
    fn left_out(&self, inside: Fittings, outside: Fittings) -> Option<(ChoiceId, usize)> {
        let mut values = self.values.iter().flat_map(|(choice, count)| (0..*count).map(move |value| (choice, value)));
        values.find(|value| {
            let having = self.having(&[*value]);
            having & inside == 0 && outside & !having == 0
        })
    }

    /// The fittings that have all these values.
    fn having(&self, values: &[(ChoiceId, usize)]) -> Fittings {
        let has = |fitting: &Fitting| values.iter().all(|(choice, value)| fitting.value(*choice) == Some(*value));
        self.fittings.iter().enumerate().fold(0, |bits, (at, fitting)| bits | Fittings::from(has(fitting)) << at)
    }
}

/// The only part, or all of them in one condition.
fn one_or(mut parts: Vec<Cond>, span: Span, of: fn(Vec<Cond>) -> CondKind) -> Cond {
    match parts.pop() {
        Some(only) if parts.is_empty() => only,
        last => {
            parts.extend(last);
            Cond { kind: of(parts), span }
        }
    }
}

/// The value of each option; `None` for what is open.
#[derive(Debug, Clone)]
pub(crate) struct Fitting(IdMap<ChoiceId, Option<usize>>);

/// All fittings that the rules allow, in the order of the options' values. Never empty.
fn fittings(procedure: &Procedure) -> Vec<Fitting> {
    let open = Fitting(procedure.choices.each(None));
    let mut all = vec![open.clone()];
    for (id, choice) in procedure.choices.iter().filter(|(_, choice)| choice.kind == ChoiceKind::Option) {
        if all.len().saturating_mul(choice.values.len()) > MOST {
            return vec![open];
        }
        let with = |fitting: &Fitting, value| {
            let mut fitting = fitting.clone();
            fitting.0[id] = Some(value);
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
        self.0[choice]
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
