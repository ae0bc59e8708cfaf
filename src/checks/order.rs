//! FW08: states and what needs them, on every path, repairs and stops included.

use super::proof::{Proof, Subject};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{ActionId, LineKind, Need, Procedure, StateId};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

/// What was met of a state so far.
struct Course {
    /// The runs in which there is such a state.
    exists: Formula,
    /// The runs in which something was already said of it.
    poisoned: Formula,
    /// Where it was made what it is, newest last.
    made: Vec<Span>,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    nothing_reads(proof);
    let mut courses =
        procedure.states.map(|_, _| Course { exists: Formula::ALWAYS, poisoned: Formula::NEVER, made: Vec::new() });
    let events = proof.events.clone();
    for event in events.iter() {
        match &event.effect {
            Effect::Judged { role: Role::State(state), holds, .. } => courses[*state].exists = *holds,
            Effect::Make { state, .. } => courses[*state].made.push(event.place.span),
            Effect::Need { need, action, holds } => {
                needed(proof, event, need, *action, *holds, &mut courses[need.state]);
            }
            Effect::Handover(_) => {
                for (state, course) in courses.iter_mut() {
                    left(proof, event, state, course, Code::FW0802);
                }
            }
            // A vehicle that is turned away before the first step is as it came.
            Effect::Stop(_) if event.place.step.is_some() || event.place.section.is_some() => {
                for (state, course) in courses.iter_mut() {
                    left(proof, event, state, course, Code::FW0803);
                }
            }
            _ => {}
        }
    }
}

/// FW0801
fn needed<'p>(
    proof: &mut Proof<'p>,
    event: &Event<'p>,
    need: &'p Need,
    action: Option<ActionId>,
    holds: Formula,
    course: &mut Course,
) {
    let sure = proof.sure(event);
    let shown = proof.space.all([sure, course.exists, !holds]);
    let broken = proof.space.both(shown, !course.poisoned);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let span = event.place.span;
    let last = course.made.last().copied();
    proof.oblige_shown((Code::FW0801, span, Subject::State(need.state)), event.id, (broken, shown), move |proof| {
        let state = &proof.procedure.states[need.state];
        let wanted = state.values.get(need.value).map_or("", |value| value.label.as_str());
        let id = state.values.get(need.value).map_or("", |value| value.id.as_str());
        let message = match action {
            Some(action) => format!(
                "`{}` is done here, and `{}` need not be {wanted}",
                proof.procedure.actions[action].name.id, state.name.id
            ),
            None => format!("`{}` must be {wanted} here, and on some path it is not", state.name.id),
        };
        let finding = Finding::new(Code::FW0801, message, span, format!("needs {} {id}", state.name.id));
        let finding = match (action.is_some(), last) {
            (true, _) => finding.also(need.span, "the action asks for it"),
            (false, Some(last)) => finding.also(last, "last changed here"),
            (false, None) => finding.also(state.name.span, "never changed before"),
        };
        finding
            .because("The work is done while what must be off is on, or what must be on is off.")
            .repair(format!("Write `make {} {id}` on every path before this line.", state.name.id))
            .mend(Mend::before(span, format!("make {} {id}", state.name.id)))
    });
}

/// FW0802 at the handover, FW0803 at a stop.
fn left<'p>(proof: &mut Proof<'p>, event: &Event<'p>, state: StateId, course: &mut Course, code: Code) {
    let row = &proof.procedure.states[state];
    let Some((ends, said)) = row.ends else { return };
    let right = proof.space.state_is(event.id, state, ends);
    let sure = proof.sure(event);
    let mut shown = proof.space.all([sure, course.exists, !right]);
    if code == Code::FW0803 {
        // What is as it came needs no putting right.
        let untouched = proof.space.state_is(event.id, state, row.starts);
        shown = proof.space.both(shown, !untouched);
    }
    let broken = proof.space.both(shown, !course.poisoned);
    course.poisoned = proof.space.either(course.poisoned, broken);
    let span = event.place.span;
    let last = course.made.last().copied();
    proof.oblige_shown((code, span, Subject::State(state)), event.id, (broken, shown), move |proof| {
        let row = &proof.procedure.states[state];
        let wanted = row.values.get(ends).map_or("", |value| value.label.as_str());
        let id = row.values.get(ends).map_or("", |value| value.id.as_str());
        let line = format!("make {} {id}", row.name.id);
        let mend = if code == Code::FW0802 {
            Mend::in_step_before(span, line)
        } else {
            let step = format!("step restore-{} \"…\" {{\n  {line}\n}}", row.name.id.replace([' ', '.'], "-"));
            Mend::blanks("Restore it in a step before", Change::Before(span, step))
        };
        let (message, label, repair) = if code == Code::FW0802 {
            (
                format!("the job can end with `{}` not {wanted}", row.name.id),
                "handed over here",
                format!("Write `make {} {id}` on every path before the handover.", row.name.id),
            )
        } else {
            (
                format!("at this stop `{}` can be left other than {wanted}", row.name.id),
                "the job stops here",
                format!(
                    "Say in the stop what must be put right, and accept it: `accept FW0803 \"the stop says so\"`. Or write `make {} {id}` before it.",
                    row.name.id
                ),
            )
        };
        let finding = Finding::new(code, message, span, label).also(said, "what it must be when the vehicle leaves");
        let finding = match last {
            Some(last) => finding.also(last, "changed here"),
            None => finding,
        };
        finding.because("The vehicle leaves in a state that nobody meant it to be in.").repair(repair).mend(mend)
    });
}

/// FW0804: a state that is made and that nothing asks for. What it must end as asks that it is put back, not that it is made in time.
fn nothing_reads(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    for (id, state) in procedure.states.iter().filter(|(id, _)| !is_read(procedure, *id)) {
        let name = &state.name.id;
        let ends = state.ends.map(|(ends, _)| ends);
        let Some((line, value)) = made(procedure, id).find(|(_, value)| Some(*value) != ends) else { continue };
        let value = state.values.get(value).map_or("", |value| value.id.as_str());
        let message = format!("nothing depends on the state `{name}`");
        let finding = match ends {
            None => Finding::new(Code::FW0804, message, state.name.span, "made and never needed")
                .because("A state that nothing reads keeps nobody safe."),
            Some(_) => Finding::new(Code::FW0804, message, line, format!("nothing needs {name} {value}"))
                .also(state.name.span, "the state, which is put back at the end")
                .because("No line says which work it is made for, so it would pass after that work too."),
        };
        let or = if ends.is_none() { ", or `ends …` in the state" } else { "" };
        proof.findings.push(
            finding.repair(format!("Write `need {name} {value}` in the steps that depend on it{or}; or remove it.")),
        );
    }
}

/// The lines that make a state, each with what it makes it.
fn made(procedure: &Procedure, wanted: StateId) -> impl Iterator<Item = (Span, usize)> {
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    lines.filter_map(move |line| match line.kind {
        LineKind::Make { state, value } if state == wanted => Some((line.span, value)),
        _ => None,
    })
}

fn is_read(procedure: &Procedure, wanted: StateId) -> bool {
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    let mut needs = lines.filter_map(|line| match &line.kind {
        LineKind::Need(need) => Some(need),
        _ => None,
    });
    let actions = procedure.actions.rows().iter().flat_map(|action| &action.needs);
    let circuits = procedure.circuits.rows().iter().flat_map(|circuit| &circuit.isolated_by);
    needs.any(|need| need.state == wanted) || actions.chain(circuits).any(|need| need.state == wanted)
}
