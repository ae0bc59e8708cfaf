//! What is said of steps, repairs, limits and rules.

use super::super::words::{Words, counted};
use super::time::clock;
use crate::labels::{fill, spoken};
use crate::model::{
    Limit, LineKind, Node, NumberId, NumberKind, Procedure, Reading, Repair, Rule, StepId, Takes, walk,
};

/// `If check 3.2 still fails after 2 repairs:`, what stands before what follows then.
pub(in crate::emit) fn still_fails(check: &str, repair: Option<&Repair>) -> String {
    let flow = &spoken().flow;
    let text = match repair.map(|repair| repair.times) {
        None => flow.fails,
        Some(1) => flow.fails_after_repair,
        Some(_) => flow.fails_after_repairs,
    };
    let times = repair.map_or_else(String::new, |repair| repair.times.to_string());
    fill(text, &[("check", check), ("n", &times)])
}

/// `Steps 1.1 to 1.4`: the steps of a body without those of repairs.
pub(in crate::emit) fn span_of_steps(procedure: &Procedure, body: &[Node]) -> Option<String> {
    steps_in(procedure, body, spoken().flow.of_step, spoken().flow.of_steps)
}

/// The text for one step, or that for several, with their numbers.
pub(in crate::emit) fn steps_in(
    procedure: &Procedure,
    body: &[Node],
    of_one: &str,
    of_several: &str,
) -> Option<String> {
    let numbers: Vec<StepId> = walk(body).without_repairs().steps().collect();
    let number = |id: &StepId| procedure.steps[*id].number.as_str();
    match numbers.as_slice() {
        [] => None,
        [one] => Some(fill(of_one, &[("number", number(one))])),
        // The copies of a step for several places have one number.
        [first, .., last] if number(first) == number(last) => Some(fill(of_one, &[("number", number(first))])),
        [first, .., last] => Some(fill(of_several, &[("first", number(first)), ("last", number(last))])),
    }
}

/// `Another person, who did none of steps 2.1 to 2.4`: who does a check that looks at these steps; nothing where there are none.
pub(in crate::emit) fn another_person(procedure: &Procedure, looks_at: &[StepId]) -> Option<String> {
    let number = |id: &StepId| procedure.steps[*id].number.as_str();
    let (first, last) = (number(looks_at.first()?), number(looks_at.last()?));
    Some(if first == last {
        fill(spoken().check.another_than_one, &[("number", first)])
    } else {
        fill(spoken().check.another_than, &[("first", first), ("last", last)])
    })
}

/// `10 min, 2 people`, `2 people`
pub(in crate::emit) fn takes_words(takes: &Takes) -> String {
    let people = counted(takes.people, spoken().count.person, spoken().count.people);
    let Some(time) = &takes.time else { return people };
    let low = time.low().and_then(|q| q.base());
    let high = time.high().and_then(|q| q.base()).or_else(|| time.stated().base());
    let time = match (low.map(clock), high.map(clock)) {
        (Some(low), Some(high)) if low != high => fill(spoken().measure.range, &[("low", &low), ("high", &high)]),
        (_, Some(high)) => high,
        (Some(low), None) => low,
        (None, None) => String::new(),
    };
    if takes.people > 1 { format!("{time}, {people}") } else { time }
}

/// `2 times`, for repairs.
pub(in crate::emit) fn times(count: u32) -> String {
    counted(count, spoken().count.once, spoken().count.times)
}

/// The step after which a limit over readings can be decided; `None` where it is known before the job.
pub(in crate::emit) fn decided_after(words: Words<'_>, limit: &Limit) -> Option<StepId> {
    let procedure = words.procedure;
    let mut numbers: Vec<NumberId> = Vec::new();
    let mut note = |number: NumberId, _| numbers.push(number);
    limit.holds.left.each_number(&mut note);
    limit.holds.right.each_number(&mut note);
    let reads = |id: StepId, number: NumberId| {
        procedure.steps[id]
            .lines
            .iter()
            .any(|line| matches!(&line.kind, LineKind::Read(all) if all.contains(&Reading::Number(number))))
    };
    let measured = numbers.into_iter().filter(|number| procedure.numbers[*number].kind == NumberKind::Measure);
    measured.filter_map(|number| procedure.steps.ids().find(|id| reads(*id, number))).max()
}

/// `Arm: powered arm, 12 V goes only with Loading side: kerb side.`
pub(in crate::emit) fn rule_words(words: Words<'_>, rule: &Rule) -> String {
    let holds = words.cond(&rule.holds);
    match &rule.when {
        Some(when) => fill(spoken().front.goes_only_with, &[("this", &words.cond(when)), ("that", &holds)]),
        None => fill(spoken().front.fits_only, &[("what", &holds)]),
    }
}
