//! How long the job takes and how many people it needs, in words.

use serde::Serialize;

use crate::emit::words::{counted, label, listed};
use crate::labels::{fill, spoken};
use crate::model::StepId;
use crate::plan::Plan;
use crate::plan::time::Span;
use crate::quantity::Exact;

/// Beyond this many steps, their count stands for their numbers.
const NAMED_STEPS: usize = 8;

/// What the opening says of time and people.
#[derive(Serialize)]
pub(in crate::emit) struct Time {
    pub(in crate::emit) total: String,
    pub(in crate::emit) cases: Vec<TimeCase>,
    pub(in crate::emit) remarks: Vec<String>,
    pub(in crate::emit) people: String,
    pub(in crate::emit) people_remark: Option<String>,
    /// The longest time as an ISO 8601 duration.
    #[serde(skip)]
    pub(in crate::emit) duration: String,
}

/// The time with one value of an option.
#[derive(Serialize)]
pub(in crate::emit) struct TimeCase {
    pub(in crate::emit) when: String,
    pub(in crate::emit) time: String,
}

/// The times of a procedure; `None` where no step states one, or where the sum is too large to hold.
pub(in crate::emit) fn time(plan: &Plan) -> Option<Time> {
    let time = plan.time()?;
    let people = plan.people();
    let repairs = time.repairs.map(|more| fill(spoken().front.repairs_add, &[("time", &clock(more))]));
    let front = &spoken().front;
    let untimed = named(plan, &time.untimed, [front.step_untimed, front.steps_untimed, front.many_untimed]);
    let case = |choice, (value, span): &(usize, Span)| TimeCase {
        when: label(&plan.procedure().choices[choice], *value).to_owned(),
        time: span_words(*span),
    };
    let cases = time.cases.iter().flat_map(|cases| cases.spans.iter().map(|one| case(cases.option, one)));
    Some(Time {
        total: span_words(time.all),
        cases: cases.collect(),
        remarks: repairs.into_iter().chain(untimed).collect(),
        people: counted(people.most, spoken().count.person, spoken().count.people),
        people_remark: named(
            plan,
            &people.several,
            [front.several_in_step, front.several_in_steps, front.several_in_many],
        ),
        duration: format!("PT{}M", minutes(time.all.long)),
    })
}

/// The text for one step, for several by their numbers, or for many by their count; `None` where there is none.
fn named(plan: &Plan, steps: &[StepId], [one, several, many]: [&str; 3]) -> Option<String> {
    let numbers = plan.procedure().numbers_of(steps);
    match numbers.len() {
        0 => None,
        1 => Some(fill(one, &[("number", &numbers.concat())])),
        n if n > NAMED_STEPS => Some(fill(many, &[("n", &n.to_string())])),
        _ => Some(fill(several, &[("numbers", &listed(numbers.into_iter(), spoken().word.and))])),
    }
}

fn span_words(span: Span) -> String {
    let (short, long) = (clock(span.short), clock(span.long));
    if short == long { long } else { fill(spoken().measure.range, &[("low", &short), ("high", &long)]) }
}

/// Whole minutes, rounded up: nobody plans in seconds.
fn minutes(seconds: Exact) -> i128 {
    (seconds / Exact::from_integer(60)).ceil().to_integer()
}

/// `1 h 35 min`
pub(in crate::emit) fn clock(seconds: Exact) -> String {
    let minutes = minutes(seconds);
    let gap = crate::quantity::display::NO_BREAK_SPACE;
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes}{gap}min"),
        (hours, 0) => format!("{hours}{gap}h"),
        (hours, minutes) => format!("{hours}{gap}h {minutes}{gap}min"),
    }
}
