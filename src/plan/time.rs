//! How long the job takes, and how many people it takes: the sum of `takes` on the ways to the handover.
//!
//! Branches on options are decided fitting by fitting; on all other branches the shortest and the longest arm count.
//! Ways that end in a stop are left out. Repairs are not in the sum; what they can add is said beside it.

use num_traits::{CheckedAdd, CheckedMul, Zero};

use super::Plan;
use super::occurrence::{Fitting, Occurrence};
use crate::model::{ChoiceId, ChoiceKind, Node, Procedure, Step, StepId};
use crate::quantity::{Exact, Measure};

/// How long the job takes.
#[derive(Debug)]
pub(crate) struct JobTime {
    /// Without repairs, over all fittings.
    pub(crate) all: Span,
    /// What repairs can add to the longest, in seconds; `None` where they add nothing.
    pub(crate) repairs: Option<Exact>,
    /// The option that says most about the time, with the time for each of its values.
    pub(crate) cases: Option<Cases>,
    /// The steps that state no time.
    pub(crate) untimed: Vec<StepId>,
}

/// The time for each value of an option.
#[derive(Debug)]
pub(crate) struct Cases {
    pub(crate) option: ChoiceId,
    /// By the number of the value.
    pub(crate) spans: Vec<(usize, Span)>,
}

/// How many people the job takes.
#[derive(Debug)]
pub(crate) struct People {
    /// Most in any step, at least one.
    pub(crate) most: u32,
    /// The steps that take more than one.
    pub(crate) several: Vec<StepId>,
}

/// Shortest and longest, in seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    pub(crate) short: Exact,
    pub(crate) long: Exact,
}

/// The times of a procedure; `None` where no step states one, or where the sum is too large to hold.
pub(super) fn of(procedure: &Procedure, occurrence: &Occurrence) -> Option<JobTime> {
    let untimed: Vec<StepId> =
        those(procedure, |step| time_of(step).is_none() && !step.waits().any(|wait| wait.time.is_some()));
    if untimed.len() == procedure.steps.len() {
        return None;
    }
    let sums = |repairs| -> Vec<(&Fitting, Span)> {
        let sum = Sum { procedure, repairs };
        occurrence.fittings().iter().filter_map(|fitting| Some((fitting, sum.job(fitting)?))).collect()
    };
    let plain = sums(false);
    let all = whole(plain.iter().map(|(_, span)| *span))?;
    let repaired = whole(sums(true).iter().map(|(_, span)| *span))?;
    let repairs = (repaired.long > all.long).then(|| repaired.long - all.long);
    Some(JobTime { all, repairs, cases: cases(procedure, &plain), untimed })
}

fn time_of(step: &Step) -> Option<&Measure> {
    step.takes.as_ref()?.time.as_ref()
}

pub(super) fn people(procedure: &Procedure) -> People {
    // A check by another person brings one more to the job, though not at the same time.
    let needs = |step: &Step| {
        let takes = step.takes.as_ref().map_or(1, |takes| takes.people);
        if step.another_person.is_some() { takes.max(2) } else { takes }
    };
    let most = procedure.steps.rows().iter().map(needs).max().unwrap_or(1);
    People { most, several: those(procedure, |step| needs(step) > 1) }
}

fn those(procedure: &Procedure, wanted: impl Fn(&Step) -> bool) -> Vec<StepId> {
    procedure.steps.iter().filter(|(_, step)| wanted(step)).map(|(id, _)| id).collect()
}

/// The smallest span that holds all.
fn whole(spans: impl Iterator<Item = Span>) -> Option<Span> {
    spans.reduce(|a, b| Span { short: a.short.min(b.short), long: a.long.max(b.long) })
}

/// The option whose values leave the least open, with the time for each of them.
fn cases(procedure: &Procedure, sums: &[(&Fitting, Span)]) -> Option<Cases> {
    let mut best: Option<(Exact, Cases)> = None;
    for (option, choice) in procedure.choices.iter().filter(|(_, choice)| choice.kind == ChoiceKind::Option) {
        let with = |fitting: &Fitting, value| fitting.value(option) == Some(value);
        let of = |value| whole(sums.iter().filter(|(fitting, _)| with(fitting, value)).map(|(_, span)| *span));
        let spans: Vec<(usize, Span)> = (0..choice.values.len()).filter_map(|v| Some((v, of(v)?))).collect();
        let differ = spans.windows(2).any(|pair| matches!(pair, [(_, a), (_, b)] if a != b));
        let open = spans.iter().try_fold(Exact::zero(), |sum, (_, span)| sum.checked_add(&(span.long - span.short)));
        if let Some(open) = open.filter(|open| differ && best.as_ref().is_none_or(|(least, _)| open < least)) {
            best = Some((open, Cases { option, spans }));
        }
    }
    best.map(|(_, cases)| cases)
}

/// Walks the flow.
struct Sum<'a> {
    procedure: &'a Procedure,
    repairs: bool,
}

/// Where a stretch of the flow can lead, and how long it takes.
#[derive(Clone, Copy, Default)]
struct Ways {
    /// To the statement after it.
    on: Option<Span>,
    /// To the handover.
    done: Option<Span>,
}

impl Sum<'_> {
    /// To the handover, or to the end of the text where there is none.
    fn job(&self, fitting: &Fitting) -> Option<Span> {
        let mut ways = Ways { on: Some(Span { short: Exact::zero(), long: Exact::zero() }), done: None };
        for section in &self.procedure.sections {
            let inside = self.body(&section.body, fitting);
            ways = ways.then(optional(section.when.as_ref().map_or(Some(true), |when| fitting.holds(when)), inside))?;
        }
        either(ways.on, ways.done)
    }

    fn body(&self, body: &[Node], fitting: &Fitting) -> Option<Ways> {
        let mut ways = Ways { on: Some(Span { short: Exact::zero(), long: Exact::zero() }), done: None };
        for node in body {
            ways = ways.then(self.node(node, fitting))?;
        }
        Some(ways)
    }

    fn node(&self, node: &Node, fitting: &Fitting) -> Option<Ways> {
        let nothing = Span { short: Exact::zero(), long: Exact::zero() };
        match node {
            Node::Step(id) => self.step(*id, fitting, None),
            Node::Check(check) => {
                let again = match &check.repair {
                    Some(repair) if self.repairs => {
                        let body = self.body(&repair.body, fitting)?.on.unwrap_or(nothing);
                        let lines = self.once(check.step)?;
                        let round = body.long.checked_add(&lines.long)?;
                        Some(round.checked_mul(&Exact::from_integer(i128::from(repair.times)))?)
                    }
                    _ => None,
                };
                self.step(check.step, fitting, again)
            }
            Node::Choose(choose) => {
                let mut ways = Ways::default();
                for (at, arm) in choose.arms.iter().enumerate() {
                    if fitting.takes(choose, at) != Some(false) {
                        let arm = self.body(&arm.body, fitting)?;
                        ways = Ways { on: either(ways.on, arm.on), done: either(ways.done, arm.done) };
                    }
                }
                Some(ways)
            }
            Node::When(when) => {
                let (then, other) = (self.body(&when.then, fitting)?, self.body(&when.otherwise, fitting)?);
                Some(match fitting.holds(&when.cond) {
                    Some(true) => then,
                    Some(false) => other,
                    None => Ways { on: either(then.on, other.on), done: either(then.done, other.done) },
                })
            }
            Node::Set(_) => Some(Ways { on: Some(nothing), done: None }),
            Node::Stop(_) => Some(Ways::default()),
            Node::Handover(_) => Some(Ways { on: None, done: Some(nothing) }),
        }
    }

    /// A step once, with what its repairs add at most.
    fn step(&self, id: StepId, fitting: &Fitting, again: Option<Exact>) -> Option<Ways> {
        let mut span = self.once(id)?;
        span.long = span.long.checked_add(&again.unwrap_or_else(Exact::zero))?;
        let holds = self.procedure.steps[id].when.as_ref().map_or(Some(true), |when| fitting.holds(when));
        optional(holds, Some(Ways { on: Some(span), done: None }))
    }

    fn once(&self, id: StepId) -> Option<Span> {
        let Some(time) = time_of(&self.procedure.steps[id]) else { return self.waited(id) };
        let high = time.high().or_else(|| time.low()).unwrap_or(*time.stated());
        let low = time.low().unwrap_or(high);
        Some(Span { short: low.base()?, long: high.base()? })
    }

    /// What is waited in a step that states no time of its own.
    fn waited(&self, id: StepId) -> Option<Span> {
        let mut span = Span { short: Exact::zero(), long: Exact::zero() };
        for wait in self.procedure.steps[id].waits() {
            let (Some(least), Some(most)) = (wait.least(), wait.most()) else { continue };
            span.short = span.short.checked_add(&least.base()?)?;
            span.long = span.long.checked_add(&most.base()?)?;
        }
        Some(span)
    }
}

impl Ways {
    /// This stretch, then the next; `None` on overflow.
    fn then(self, next: Option<Ways>) -> Option<Ways> {
        let next = next?;
        let after = |own: Option<Span>, other: Option<Span>| match (own, other) {
            (Some(a), Some(b)) => {
                Some(Some(Span { short: a.short.checked_add(&b.short)?, long: a.long.checked_add(&b.long)? }))
            }
            _ => Some(None),
        };
        Some(Ways { on: after(self.on, next.on)?, done: either(self.done, after(self.on, next.done)?) })
    }
}

/// What happens only where a condition holds.
fn optional(holds: Option<bool>, ways: Option<Ways>) -> Option<Ways> {
    let nothing = Span { short: Exact::zero(), long: Exact::zero() };
    match holds {
        Some(true) => ways,
        Some(false) => Some(Ways { on: Some(nothing), done: None }),
        None => ways.map(|ways| Ways { on: either(ways.on, Some(nothing)), done: ways.done }),
    }
}

fn either(a: Option<Span>, b: Option<Span>) -> Option<Span> {
    whole(a.into_iter().chain(b))
}

impl Plan {
    /// How long the job takes; `None` where no step states a time, or where the sum is too large to hold.
    pub(crate) fn time(&self) -> Option<&JobTime> {
        self.time.get(|| of(&self.procedure, self.occurrence())).as_ref()
    }

    /// How many people the job takes.
    pub(crate) fn people(&self) -> &People {
        self.people.get(|| people(&self.procedure))
    }
}
