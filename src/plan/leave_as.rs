//! How the vehicle must be when it leaves, by a stop or by the handover: those of its states that can need a hand there.
//!
//! At a stop that is a state which can be other than it must be in the end, and other than it came: what nobody touched
//! on the way needs no putting right. At a handover it is each state that something on the way can have changed. Both are
//! asked over all runs; what could not be decided is listed.

use std::collections::{BTreeMap, BTreeSet};

use super::Plan;
use crate::model::{Procedure, StateId};
use crate::source::Span;
use crate::space::{Answer, Effect, Formula, Space, StopCause};

/// The states to look after, by the place of the stop, limit or handover.
#[derive(Debug, Default)]
pub(crate) struct Leaving(BTreeMap<Span, BTreeSet<StateId>>);

/// What is true of a state so far, in which runs.
struct Course {
    state: StateId,
    ends: usize,
    starts: usize,
    has: Vec<Formula>,
    touched: Formula,
}

impl Leaving {
    /// Works it out for every stop, also those by a limit, and every handover.
    pub(super) fn of(procedure: &Procedure) -> Leaving {
        let mut courses: Vec<Course> = procedure
            .states
            .iter()
            .filter_map(|(state, row)| {
                let (ends, _) = row.ends?;
                let at = |value| if value == row.starts { Formula::ALWAYS } else { Formula::NEVER };
                let has = (0..row.values.len()).map(at).collect();
                Some(Course { state, ends, starts: row.starts, has, touched: Formula::NEVER })
            })
            .collect();
        if courses.is_empty() {
            return Leaving::default();
        }
        let mut space = Space::new(procedure);
        let mut asked: Vec<(Span, StateId, Formula)> = Vec::new();
        for event in space.events().iter() {
            match &event.effect {
                Effect::Make { state, value } => {
                    let Some(course) = courses.iter_mut().find(|course| course.state == *state) else { continue };
                    course.touched = space.either(course.touched, event.guard);
                    for (number, has) in course.has.iter_mut().enumerate() {
                        let made = if number == *value { Formula::ALWAYS } else { Formula::NEVER };
                        *has = space.choose(event.guard, made, *has);
                    }
                }
                Effect::Handover(handover) => {
                    for course in &courses {
                        asked.push((handover.span, course.state, space.both(event.guard, course.touched)));
                    }
                }
                Effect::Stop(cause) => {
                    let place = match cause {
                        StopCause::Statement(stop) | StopCause::Check(_, stop) => stop.span,
                        StopCause::Limit(limit) => procedure.limits[*limit].span,
                    };
                    for course in &courses {
                        let has = |value: usize| course.has.get(value).copied().unwrap_or(Formula::NEVER);
                        let other = space.all([event.guard, !has(course.ends), !has(course.starts)]);
                        asked.push((place, course.state, other));
                    }
                }
                _ => {}
            }
        }
        let formulas: Vec<Formula> = asked.iter().map(|(.., formula)| *formula).collect();
        let mut leaving = Leaving::default();
        for ((place, state, _), answer) in asked.into_iter().zip(space.ask_each(&formulas)) {
            if !matches!(answer, Answer::Impossible) {
                leaving.0.entry(place).or_default().insert(state);
            }
        }
        leaving
    }

    /// The states to look after at a stop, where a limit breaks, or at a handover, in order of declaration.
    pub(crate) fn at(&self, place: Span) -> impl Iterator<Item = StateId> + '_ {
        self.0.get(&place).into_iter().flatten().copied()
    }
}

impl Plan {
    /// The states to look after where the vehicle leaves.
    pub(crate) fn leaving(&self) -> &Leaving {
        self.leaving.get(|| Leaving::of(&self.procedure))
    }
}
