//! What still can happen once some options and givens are settled, asked of all runs that are left.
//!
//! What could not be decided counts as possible: nothing is left out on a guess.

use std::collections::{BTreeMap, BTreeSet};

use super::settled::Settled;
use crate::model::{ChoiceKind, Cond, CondKind, LimitId, Procedure, StepId};
use crate::source::Span;
use crate::space::{Answer, Because, Effect, EventId, Explanation, Formula, Space, StopCause};

/// Something that can happen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Can {
    /// The section, by its place, begins.
    Section(usize),
    /// The step, or the lines of the check, begin.
    Step(StepId),
    /// The statement at this place is come to: a `set`, a stop, a handover.
    Statement(Span),
    /// The check of this step fails.
    Fail(StepId),
    /// The arm of the branch at this place is taken.
    Arm(Span, usize),
    /// The branch at this place looks at something that has no value.
    Unread(Span),
    /// The limit is decided.
    Decide(LimitId),
    /// The limit is decided, and broken.
    Break(LimitId),
    /// The limit is decided, and holds.
    Hold(LimitId),
    /// The limit ends a job.
    TurnAway(LimitId),
    /// The job is handed over.
    HandOver,
}

/// Where a condition is judged, and by which runs.
pub(super) type Places = Vec<(EventId, Formula)>;

/// What still can happen, and where conditions are judged.
pub(super) struct Reach {
    can: BTreeSet<Can>,
    places: BTreeMap<Span, Places>,
}

impl Reach {
    /// Asks for everything at once.
    pub(super) fn of(space: &mut Space<'_>) -> Reach {
        let mut asked: Vec<(Can, Formula)> = Vec::new();
        let mut places: BTreeMap<Span, Places> = BTreeMap::new();
        for event in space.events().iter() {
            let guard = event.guard;
            match &event.effect {
                Effect::Section(at) => asked.push((Can::Section(*at), guard)),
                Effect::Step(step) => asked.push((Can::Step(*step), guard)),
                Effect::Set(set) => asked.push((Can::Statement(set.span), guard)),
                Effect::Stop(StopCause::Statement(stop)) => asked.push((Can::Statement(stop.span), guard)),
                Effect::Stop(StopCause::Check(_, stop)) => asked.push((Can::Statement(stop.span), guard)),
                Effect::Stop(StopCause::Limit(limit)) => asked.push((Can::TurnAway(*limit), guard)),
                Effect::Handover(handover) => {
                    asked.extend([(Can::HandOver, guard), (Can::Statement(handover.span), guard)]);
                }
                Effect::Verdict { check, passes } => {
                    asked.push((Can::Fail(check.step), space.both(guard, !*passes)));
                }
                Effect::Chosen { choose, arms, uses } => {
                    let mut earlier = Formula::NEVER;
                    for (at, covers) in arms.iter().enumerate() {
                        let taken = space.all([guard, *covers, !earlier]);
                        asked.push((Can::Arm(choose.span, at), taken));
                        earlier = space.either(earlier, *covers);
                    }
                    let unread = space.any(uses.iter().map(|one| one.unknown));
                    asked.push((Can::Unread(choose.span), space.both(guard, unread)));
                }
                Effect::Limit { limit, holds } => {
                    asked.push((Can::Decide(*limit), guard));
                    asked.push((Can::Break(*limit), space.both(guard, !*holds)));
                    asked.push((Can::Hold(*limit), space.both(guard, *holds)));
                }
                Effect::Judged { condition, .. } => {
                    places.entry(condition.span).or_default().push((event.id, guard));
                }
                _ => {}
            }
        }
        let formulas: Vec<Formula> = asked.iter().map(|(_, formula)| *formula).collect();
        let answers = space.ask_each(&formulas);
        let possible = asked.into_iter().zip(answers).filter(|(_, answer)| !matches!(answer, Answer::Impossible));
        Reach { can: possible.map(|((can, _), _)| can).collect(), places }
    }

    /// Whether it can happen.
    pub(super) fn can(&self, what: Can) -> bool {
        self.can.contains(&what)
    }

    /// Where a condition is judged.
    pub(super) fn places(&self, condition: &Cond) -> &[(EventId, Formula)] {
        self.places.get(&condition.span).map_or(&[], Vec::as_slice)
    }
}

/// The procedure with what is settled as further rules, after its own.
pub(super) fn constrained(procedure: &Procedure, settled: &Settled) -> Procedure {
    let mut all = procedure.clone();
    all.rules.extend(settled.rules(procedure.head_span));
    all
}

/// Why no run is left, as places in the list of rules; `None` where one is left, or where that was not decided.
pub(super) fn contradiction(space: &mut Space<'_>) -> Option<Vec<usize>> {
    let begin = space.events().first()?.id;
    if !matches!(space.ask(Formula::ALWAYS), Answer::Impossible) {
        return None;
    }
    let Explanation::Contradiction(because) = space.explain(begin, Formula::ALWAYS) else { return Some(Vec::new()) };
    let rule = |one: &Because| match one {
        Because::Rule(at) => Some(*at),
        _ => None,
    };
    Some(because.iter().filter_map(rule).collect())
}

/// Settles the options of which the rules leave one value, and notes which values of the others they exclude.
pub(super) fn follow(space: &mut Space<'_>, settled: &mut Settled) {
    let procedure = space.procedure();
    // Options are known from the first event on; whatever comes second may ask for them.
    let Some(second) = space.events().get(1).map(|event| event.id) else { return };
    let open = procedure
        .choices
        .iter()
        .filter(|(id, choice)| choice.kind == ChoiceKind::Option && !settled.choices.contains_key(id));
    for (id, choice) in open.collect::<Vec<_>>() {
        let formulas: Vec<Formula> = (0..choice.values.len()).map(|value| space.choice_is(second, id, value)).collect();
        let answers = space.ask_each(&formulas);
        let excluded: Vec<usize> = answers
            .iter()
            .enumerate()
            .filter(|(_, answer)| matches!(answer, Answer::Impossible))
            .map(|(value, _)| value)
            .collect();
        let left: Vec<usize> = (0..choice.values.len()).filter(|value| !excluded.contains(value)).collect();
        if let ([only], false) = (left.as_slice(), excluded.is_empty()) {
            settled.choices.insert(id, *only);
            settled.follow.insert(id);
        } else if !left.is_empty() {
            settled.excluded.extend(excluded.into_iter().map(|value| (id, value)));
        }
    }
}

/// What a condition comes to.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Simple {
    /// It holds in every run that is left.
    Always,
    /// It fails in every one.
    Never,
    /// It is still open, and this is what is left of it.
    Open(Cond),
}

/// Simplifies conditions.
pub(super) struct Simplify<'a, 'p> {
    pub space: &'a mut Space<'p>,
    pub settled: &'a Settled,
}

impl Simplify<'_, '_> {
    /// What is left of a condition that is judged at these places.
    pub(super) fn cond(&mut self, cond: &Cond, places: &[(EventId, Formula)]) -> Simple {
        if let Some(holds) = self.settled.leaf(&cond.kind) {
            return if holds { Simple::Always } else { Simple::Never };
        }
        let (mut not_holding, mut not_failing) = (Vec::new(), Vec::new());
        for (at, guard) in places {
            let (holds, fails) = self.space.told(*at, cond);
            not_holding.push(self.space.both(*guard, !holds));
            not_failing.push(self.space.both(*guard, !fails));
        }
        if !places.is_empty() && self.none(&not_holding) {
            return Simple::Always;
        }
        if !places.is_empty() && self.none(&not_failing) {
            return Simple::Never;
        }
        match &cond.kind {
            CondKind::All(parts) => self.parts(cond, parts, false, places),
            CondKind::Any(parts) => self.parts(cond, parts, true, places),
            CondKind::Not(inner) => match self.cond(inner, places) {
                Simple::Always => Simple::Never,
                Simple::Never => Simple::Always,
                Simple::Open(inner) => open(CondKind::Not(Box::new(inner)), cond.span),
            },
            kind => open(kind.clone(), cond.span),
        }
    }

    fn none(&mut self, formulas: &[Formula]) -> bool {
        self.space.ask_each(formulas).iter().all(|answer| matches!(answer, Answer::Impossible))
    }

    /// `all of` the parts, or, turned, `any of` them. Each is judged where those before it did not settle it.
    fn parts(&mut self, whole: &Cond, parts: &[Cond], turned: bool, places: &[(EventId, Formula)]) -> Simple {
        let (settles, drops) = if turned { (Simple::Always, Simple::Never) } else { (Simple::Never, Simple::Always) };
        let mut places: Places = places.to_vec();
        let mut left = Vec::new();
        for part in parts {
            let simple = self.cond(part, &places);
            if simple == settles {
                return simple;
            }
            for (at, guard) in &mut places {
                let (holds, fails) = self.space.told(*at, part);
                *guard = self.space.both(*guard, if turned { !holds } else { !fails });
            }
            if simple == drops {
                continue;
            }
            if let Simple::Open(part) = simple {
                left.push(part);
            }
        }
        match (left.len(), left.pop()) {
            (0, _) | (_, None) => drops,
            (1, Some(only)) => Simple::Open(only),
            (_, Some(last)) => {
                left.push(last);
                open(if turned { CondKind::Any(left) } else { CondKind::All(left) }, whole.span)
            }
        }
    }
}

fn open(kind: CondKind, span: Span) -> Simple {
    Simple::Open(Cond { kind, span })
}

/// The condition that always holds, or never does.
pub(super) fn constant(holds: bool, span: Span) -> Cond {
    Cond { kind: if holds { CondKind::All(Vec::new()) } else { CondKind::Any(Vec::new()) }, span }
}
