//! How long the job takes: the sum of `takes` on the ways to the handover.
//!
//! Branches on options are decided fitting by fitting; on all other branches the shortest and the longest arm count.
//! Ways that end in a stop are left out. Repairs are not in the sum; what they can add is said beside it.

use num_traits::{CheckedAdd, CheckedMul, Zero};
use serde::Serialize;

use super::words::{counted, label, listed};
use crate::labels::{ENGLISH, fill};
use crate::model::{ChoiceKind, Node, Procedure, StepId};
use crate::plan::Plan;
use crate::plan::occurrence::Fitting;
use crate::quantity::Exact;

/// Beyond this many steps without a time, their count stands for their numbers.
const NAMED_STEPS: usize = 8;

/// What the opening says of time and people.
#[derive(Serialize)]
pub(super) struct Time {
    pub(super) total: String,
    pub(super) cases: Vec<TimeCase>,
    pub(super) remarks: Vec<String>,
    pub(super) people: String,
    pub(super) people_remark: Option<String>,
    /// The longest time as an ISO 8601 duration.
    #[serde(skip)]
    pub(super) duration: String,
}

/// The time with one value of an option.
#[derive(Serialize)]
pub(super) struct TimeCase {
    pub(super) when: String,
    pub(super) time: String,
}

/// Shortest and longest, in seconds.
#[derive(Clone, Copy, PartialEq)]
struct Span {
    short: Exact,
    long: Exact,
}

/// The times of a procedure; `None` where no step states one, or where the sum is too large to hold.
pub(super) fn time(plan: &Plan) -> Option<Time> {
    let procedure = plan.procedure();
    let timed = |step: &&crate::model::Step| step.takes.is_some();
    procedure.steps.rows().iter().find(timed)?;
    let sums = |repairs| -> Vec<(Fitting, Span)> {
        let sum = Sum { procedure, repairs };
        plan.occurrence().fittings().iter().filter_map(|fitting| Some((fitting.clone(), sum.job(fitting)?))).collect()
    };
    let plain = sums(false);
    let all = whole(plain.iter().map(|(_, span)| *span))?;
    let repaired = whole(sums(true).iter().map(|(_, span)| *span))?;
    let mut remarks = Vec::new();
    if repaired.long > all.long {
        remarks.push(fill(ENGLISH.front.repairs_add, &[("time", &clock(repaired.long - all.long))]));
    }
    remarks.extend(untimed(procedure));
    let (people, people_remark) = people(procedure);
    Some(Time {
        total: span_words(all),
        cases: cases(procedure, &plain),
        remarks,
        people,
        people_remark,
        duration: format!("PT{}M", minutes(all.long)),
    })
}

/// The smallest span that holds all.
fn whole(spans: impl Iterator<Item = Span>) -> Option<Span> {
    spans.reduce(|a, b| Span { short: a.short.min(b.short), long: a.long.max(b.long) })
}

/// A line for each value of the option that says most about the time: the one whose values leave the least open.
fn cases(procedure: &Procedure, sums: &[(Fitting, Span)]) -> Vec<TimeCase> {
    let mut best: Option<(Exact, Vec<TimeCase>)> = None;
    for (id, choice) in procedure.choices.iter().filter(|(_, choice)| choice.kind == ChoiceKind::Option) {
        let of = |value: usize| whole(sums.iter().filter(|(f, _)| f.value(id) == Some(value)).map(|(_, span)| *span));
        let spans: Vec<(usize, Span)> = (0..choice.values.len()).filter_map(|v| Some((v, of(v)?))).collect();
        let differ = spans.windows(2).any(|pair| matches!(pair, [(_, a), (_, b)] if a != b));
        let open = spans.iter().try_fold(Exact::zero(), |sum, (_, span)| sum.checked_add(&(span.long - span.short)));
        let Some(open) = open.filter(|open| differ && best.as_ref().is_none_or(|(least, _)| open < least)) else {
            continue;
        };
        let case = |(v, s): &(usize, Span)| TimeCase { when: label(choice, *v).to_owned(), time: span_words(*s) };
        best = Some((open, spans.iter().map(case).collect()));
    }
    best.map(|(_, cases)| cases).unwrap_or_default()
}

/// Says which steps the sum leaves out.
fn untimed(procedure: &Procedure) -> Option<String> {
    let steps: Vec<String> =
        procedure.steps.rows().iter().filter(|step| step.takes.is_none()).map(|step| step.number.clone()).collect();
    match steps.len() {
        0 => None,
        1 => Some(fill(ENGLISH.front.step_untimed, &[("number", &steps.concat())])),
        n if n > NAMED_STEPS => Some(fill(ENGLISH.front.many_untimed, &[("n", &n.to_string())])),
        _ => Some(fill(ENGLISH.front.steps_untimed, &[("numbers", &listed(steps.into_iter(), ENGLISH.word.and))])),
    }
}

/// How many people, and in which steps more than one.
fn people(procedure: &Procedure) -> (String, Option<String>) {
    let needs = |step: &crate::model::Step| step.takes.as_ref().map_or(1, |takes| takes.people);
    let most = procedure.steps.rows().iter().map(needs).max().unwrap_or(1);
    let several: Vec<String> =
        procedure.steps.rows().iter().filter(|step| needs(step) > 1).map(|step| step.number.clone()).collect();
    let remark = match several.len() {
        0 => None,
        1 => Some(fill(ENGLISH.front.several_in_step, &[("number", &several.concat())])),
        n if n > NAMED_STEPS => Some(fill(ENGLISH.front.several_in_many, &[("n", &n.to_string())])),
        _ => Some(fill(ENGLISH.front.several_in_steps, &[("numbers", &listed(several.into_iter(), ENGLISH.word.and))])),
    };
    (counted(most, ENGLISH.count.person, ENGLISH.count.people), remark)
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
        let Some(takes) = &self.procedure.steps[id].takes else {
            return Some(Span { short: Exact::zero(), long: Exact::zero() });
        };
        let high = takes.time.high().or_else(|| takes.time.low()).unwrap_or(*takes.time.stated());
        let low = takes.time.low().unwrap_or(high);
        Some(Span { short: low.base()?, long: high.base()? })
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

fn span_words(span: Span) -> String {
    let (short, long) = (clock(span.short), clock(span.long));
    if short == long { long } else { fill(ENGLISH.measure.range, &[("low", &short), ("high", &long)]) }
}

/// Whole minutes, rounded up: nobody plans in seconds.
fn minutes(seconds: Exact) -> i128 {
    (seconds / Exact::from_integer(60)).ceil().to_integer()
}

/// `1 h 35 min`
pub(super) fn clock(seconds: Exact) -> String {
    let minutes = minutes(seconds);
    let gap = crate::quantity::display::NO_BREAK_SPACE;
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes}{gap}min"),
        (hours, 0) => format!("{hours}{gap}h"),
        (hours, minutes) => format!("{hours}{gap}h {minutes}{gap}min"),
    }
}
