//! FW0424 and FW0807: steps and states that are brought about twice.

use std::collections::BTreeMap;

use super::proof::{Proof, not_decided};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{Counted, Line, LineKind, Node, PartId, Record, Section, StateId, Step, ToolUse, walk};
use crate::source::Span;
use crate::space::{Answer, Effect, Formula};

pub(super) fn check(proof: &mut Proof<'_>) {
    made_again(proof);
    let mut findings = Vec::new();
    for section in &proof.procedure.sections {
        for (first, second) in neighbours(section) {
            let (first, second) = (&proof.procedure.steps[first], &proof.procedure.steps[second]);
            if same_step(first, second) {
                findings.push(twice(first, second));
            }
        }
    }
    proof.findings.extend(findings);
}

/// Steps of a section, or checks, that stand right behind each other in one body.
fn neighbours(section: &Section) -> Vec<(crate::model::StepId, crate::model::StepId)> {
    let mut bodies: Vec<&[Node]> = vec![&section.body];
    for node in walk(&section.body) {
        match node {
            Node::Check(check) => bodies.extend(check.repair.iter().map(|repair| repair.body.as_slice())),
            Node::Choose(choose) => bodies.extend(choose.arms.iter().map(|arm| arm.body.as_slice())),
            Node::When(when) => bodies.extend([when.then.as_slice(), when.otherwise.as_slice()]),
            Node::Step(_) | Node::Set(_) | Node::Stop(_) | Node::Handover(_) => {}
        }
    }
    let pairs = bodies.into_iter().flat_map(|body| body.windows(2));
    pairs
        .filter_map(|pair| match pair {
            [Node::Step(first), Node::Step(second)] => Some((*first, *second)),
            [Node::Check(first), Node::Check(second)] => Some((first.step, second.step)),
            _ => None,
        })
        .collect()
}

/// Whether two steps say the same, title and all. Steps with a condition of their own are for different fittings.
fn same_step(first: &Step, second: &Step) -> bool {
    first.when.is_none()
        && second.when.is_none()
        && first.name.title == second.name.title
        && first.lines.len() == second.lines.len()
        && first.lines.iter().zip(&second.lines).all(|(a, b)| same_line(a, b))
}

fn same_line(a: &Line, b: &Line) -> bool {
    use LineKind as Kind;
    match (&a.kind, &b.kind) {
        (Kind::Prose(a), Kind::Prose(b)) => a.markdown == b.markdown,
        (Kind::Note(a), Kind::Note(b)) => a.text == b.text,
        (Kind::Message(a), Kind::Message(b)) => {
            a.hazard == b.hazard && a.texts().iter().zip(b.texts()).all(|(a, b)| a.text == b.text)
        }
        (Kind::Take(a), Kind::Take(b))
        | (Kind::Refit(a), Kind::Refit(b))
        | (Kind::Discard(a), Kind::Discard(b))
        | (Kind::Reuse(a), Kind::Reuse(b))
        | (Kind::Remove(a, _), Kind::Remove(b, _)) => same_parts(a, b),
        (Kind::KeepParts { parts: a, from_kit: kit_a }, Kind::KeepParts { parts: b, from_kit: kit_b }) => {
            kit_a == kit_b && same_parts(a, b)
        }
        (Kind::Use { tools: a, .. }, Kind::Use { tools: b, .. }) => same_tools(a, b),
        (Kind::Snug(a, with), Kind::Snug(b, and))
        | (Kind::Tighten(a, with), Kind::Tighten(b, and))
        | (Kind::Loosen(a, with), Kind::Loosen(b, and))
        | (Kind::RemoveJoint(a, with), Kind::RemoveJoint(b, and)) => a == b && same_tools(with, and),
        (Kind::Connect(a, at, _), Kind::Connect(b, on, _))
        | (Kind::Disconnect(a, at, _), Kind::Disconnect(b, on, _)) => a == b && at == on,
        (Kind::Need(a), Kind::Need(b)) => (a.state, a.value) == (b.state, b.value),
        (Kind::Set(a), Kind::Set(b)) => (a.result, a.value) == (b.result, b.value),
        (Kind::Record(Record::Text(a)), Kind::Record(Record::Text(b))) => a == b,
        // What is left has no place of its own in it.
        (a, b) => a == b,
    }
}

fn same_parts(a: &[Counted<PartId>], b: &[Counted<PartId>]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| (a.what, a.count) == (b.what, b.count))
}

fn same_tools(a: &[ToolUse], b: &[ToolUse]) -> bool {
    let same = |a: &ToolUse, b: &ToolUse| (a.hold, a.count, &a.any_of) == (b.hold, b.count, &b.any_of);
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b))
}

fn twice(first: &Step, second: &Step) -> Finding {
    Finding::new(
        Code::FW0424,
        format!("`{}` says the same as the step before it", second.name.id),
        second.name.span,
        "the same again",
    )
    .also(first.name.span, "the step before it")
    .because("The technician stops and asks whether to do it twice, or what the second was meant to say.")
    .repair("Remove one of them, or say in its title and prose what is done the second time.")
    .mend(Mend::drop(second.name.span))
}

/// FW0807: a `make` that changes nothing, whenever the job comes by.
fn made_again(proof: &mut Proof<'_>) {
    let mut lines: BTreeMap<Span, (StateId, usize, Formula, Formula)> = BTreeMap::new();
    let events = proof.events.clone();
    for event in events.iter() {
        let Effect::Make { state, value } = event.effect else { continue };
        let holds = proof.space.state_is(event.id, state, value);
        let changes = proof.space.both(event.guard, !holds);
        let row = lines.entry(event.place.span).or_insert((state, value, Formula::NEVER, Formula::NEVER));
        row.2 = proof.space.either(row.2, event.guard);
        row.3 = proof.space.either(row.3, changes);
    }
    for (span, (state, value, comes, changes)) in lines {
        if !matches!(proof.space.ask(comes), Answer::Possible(_)) {
            continue;
        }
        let finding = already(proof, span, state, value);
        match proof.space.ask(changes) {
            Answer::Possible(_) => {}
            Answer::Impossible => proof.findings.push(finding),
            Answer::Undecided => proof.findings.push(not_decided(Code::FW0807, &finding)),
        }
    }
}

fn already(proof: &Proof<'_>, span: Span, state: StateId, value: usize) -> Finding {
    let row = &proof.procedure.states[state];
    let id = row.values.get(value).map_or("", |value| value.id.as_str());
    Finding::new(Code::FW0807, format!("`{}` is {id} already, on every path", row.name.id), span, "changes nothing")
        .also(row.name.span, "the state")
        .because("Either the line that made it something else was lost, or the technician looks for work that is done.")
        .mend([
            Mend::look(
                format!("Write `need {} {id}`", row.name.id),
                Change::Line(span, format!("need {} {id}", row.name.id)),
            ),
            Mend::drop(span),
        ])
        .repair(format!(
            "Write the `make {0} …` that must come before, or `need {0} {id}` instead of this line.",
            row.name.id
        ))
}
