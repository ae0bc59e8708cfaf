//! How the vehicle must be when it leaves, by a stop or by the handover: those of its states that can need a hand there.
//!
//! At a stop that is a state which can be other than it must be in the end, and other than it came: what nobody touched
//! on the way needs no putting right. At a handover it is each state that something on the way can have changed. Both are
//! asked over all runs; what could not be decided is listed.

use std::collections::{BTreeMap, BTreeSet};

use super::Plan;
use crate::model::{Mention, MentionTarget, Procedure, Said, StateId};
use crate::source::Span;
use crate::space::{Answer, Effect, Formula, Role, Space, StopCause};

/// The states to look after, by the place of the stop, limit or handover.
#[derive(Debug, Default)]
pub(crate) struct Leaving {
    states: BTreeMap<Span, BTreeSet<StateId>>,
    /// Of these, which are not there in every run that leaves so.
    partly: BTreeSet<(Span, StateId)>,
}

/// What is true of a state so far, in which runs.
struct Course {
    state: StateId,
    /// There is such a state.
    exists: Formula,
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
                Some(Course { state, exists: Formula::ALWAYS, ends, starts: row.starts, has, touched: Formula::NEVER })
            })
            .collect();
        if courses.is_empty() {
            return Leaving::default();
        }
        let mut space = Space::new(procedure);
        let mut asked: Vec<(Span, StateId, Formula)> = Vec::new();
        let mut texts: BTreeMap<Span, &Said> = BTreeMap::new();
        let mut absent: Vec<(Span, StateId, Formula)> = Vec::new();
        for event in space.events().iter() {
            match &event.effect {
                Effect::Judged { role: Role::State(state), holds, .. } => {
                    for course in courses.iter_mut().filter(|course| course.state == *state) {
                        course.exists = *holds;
                    }
                }
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
                        let touched = space.all([event.guard, course.exists, course.touched]);
                        asked.push((handover.span, course.state, touched));
                        absent.push((handover.span, course.state, space.both(event.guard, !course.exists)));
                    }
                }
                Effect::Stop(cause) => {
                    let (place, text) = match cause {
                        StopCause::Statement(stop) | StopCause::Check(_, stop) => (stop.span, Some(&stop.text)),
                        StopCause::Limit(limit) => {
                            let limit = &procedure.limits[*limit];
                            (limit.span, limit.otherwise.as_ref())
                        }
                    };
                    texts.extend(text.map(|text| (place, text)));
                    for course in &courses {
                        let has = |value: usize| course.has.get(value).copied().unwrap_or(Formula::NEVER);
                        let other = [event.guard, course.exists, !has(course.ends), !has(course.starts)];
                        asked.push((place, course.state, space.all(other)));
                        absent.push((place, course.state, space.both(event.guard, !course.exists)));
                    }
                }
                _ => {}
            }
        }
        let mut leaving = Leaving::default();
        for (place, state) in possible(&mut space, asked) {
            let says = texts.get(&place).is_some_and(|text| speaks_of(procedure, text, state));
            if !(says && is_accepted(procedure, place, state)) {
                leaving.states.entry(place).or_default().insert(state);
            }
        }
        leaving.partly = possible(&mut space, absent).collect();
        leaving
    }

    /// The states to look after at a stop, where a limit breaks, or at a handover, in order of declaration.
    pub(crate) fn at(&self, place: Span) -> impl Iterator<Item = StateId> + '_ {
        self.states.get(&place).into_iter().flatten().copied()
    }

    /// Whether a job can leave here without there being such a state.
    pub(crate) fn is_partly_there(&self, place: Span, state: StateId) -> bool {
        self.partly.contains(&(place, state))
    }
}

/// Whether a stop's own text names the state: then it says what is to be put right, and another line beside it could say
/// otherwise. A mention is sure; else a word of the state's title does, of four letters or more, as `lead` of the negative lead.
fn speaks_of(procedure: &Procedure, text: &Said, state: StateId) -> bool {
    let is_it = |mention: &Mention| matches!(mention.target, MentionTarget::State(of) if of == state);
    let (title, said) = (procedure.states[state].name.title.to_lowercase(), text.text.to_lowercase());
    let words = |text: &str| -> Vec<String> {
        text.split(|c: char| !c.is_alphanumeric()).filter(|word| word.chars().count() >= 4).map(str::to_owned).collect()
    };
    let said = words(&said);
    text.mentions.iter().any(is_it)
        || words(&title).iter().any(|word| said.iter().any(|one| one.starts_with(word.as_str())))
}

/// Whether the writer accepts that the vehicle leaves with this state as it is (FW0803).
fn is_accepted(procedure: &Procedure, place: Span, state: StateId) -> bool {
    let name = &procedure.states[state].name;
    let line = place.file.section().and_then(|section| procedure.shared.get(section)).map(|section| section.line);
    procedure.accepts.iter().filter(|accept| accept.code == "FW0803").any(|accept| {
        let covers = accept.covers.contains(place) || line.is_some_and(|line| accept.covers.contains(line));
        let is_named = |subject: &String| *subject == name.id || name.at.as_ref().is_some_and(|at| *subject == at.of);
        covers && (accept.subjects.is_empty() || accept.subjects.iter().any(is_named))
    })
}

/// Of places and states, each with runs: those that some run has. What could not be decided is among them.
fn possible(
    space: &mut Space<'_>,
    asked: Vec<(Span, StateId, Formula)>,
) -> impl Iterator<Item = (Span, StateId)> + use<> {
    let formulas: Vec<Formula> = asked.iter().map(|(.., formula)| *formula).collect();
    let answers = asked.into_iter().zip(space.ask_each(&formulas));
    answers.filter(|(_, answer)| !matches!(answer, Answer::Impossible)).map(|((place, state, _), _)| (place, state))
}

impl Plan {
    /// The states to look after where the vehicle leaves.
    pub(crate) fn leaving(&self) -> &Leaving {
        self.leaving.get(|| Leaving::of(&self.procedure))
    }
}
