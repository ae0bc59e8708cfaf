//! FW0964: the words have a fuse left out still, and a line has put it in.
//!
//! Told of a fuse that is a part of a circuit, in runs where all else of the circuit was connected when it went in: where it was
//! not, that it went in at all is told (FW0937).

use std::collections::BTreeMap;
use std::ops::Range;

use super::super::proof::{Proof, Subject};
use super::classes::says;
use super::sentences::opening_verb;
use super::text::{Sort, Text, stands_in};
use crate::diagnostics::{Code, Finding};
use crate::model::{CircuitId, IdMap, MentionTarget, PartId, PointId, Procedure, StepId};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

const PUTS_IN: &[&str] = &["insert", "fit", "put", "push", "install", "plug", "place", "set", "press"];

/// A circuit whose fuse is a part.
struct Course {
    part: PartId,
    exists: Formula,
    connected: IdMap<PointId, Formula>,
    is_in: Formula,
    put_in: Span,
}

/// A sentence that has fuses left out: those of these circuits.
struct LeavesOut {
    place: Span,
    circuits: Vec<CircuitId>,
}

pub(super) fn check<'p>(proof: &mut Proof<'p>, texts: &[Text<'p>]) {
    let procedure = proof.procedure;
    let mut courses = courses(procedure);
    if !procedure.is_english() || courses.is_empty() {
        return;
    }
    let mut by_step: BTreeMap<StepId, Vec<LeavesOut>> = BTreeMap::new();
    for text in texts.iter().filter(|text| matches!(text.sort, Sort::Instruction | Sort::Told)) {
        let Some(step) = text.step else { continue };
        for sentence in text.sentences() {
            let circuits = left_out(procedure, text, sentence, &courses);
            let place = text.place(sentence).filter(|_| !circuits.is_empty());
            by_step.entry(step).or_default().extend(place.map(|place| LeavesOut { place, circuits }));
        }
    }
    by_step.retain(|_, all| !all.is_empty());
    if by_step.is_empty() {
        return;
    }
    let events = proof.events.clone();
    for event in events.iter() {
        let own = event.place.step.and_then(|step| by_step.get(&step)).into_iter().flatten();
        for one in own.filter(|one| stands_in(one.place, event.place.span)) {
            told(proof, event, one, &courses);
        }
        courses.iter_mut().for_each(|(circuit, course)| happens(proof, event, *circuit, course));
    }
}

fn courses(procedure: &Procedure) -> BTreeMap<CircuitId, Course> {
    let at_first = |is: bool| if is { Formula::ALWAYS } else { Formula::NEVER };
    let course = |(id, circuit): (CircuitId, &crate::model::Circuit)| {
        let (part, said) = circuit.protection.as_ref()?.part?;
        let connected = circuit.points.map(|point, _| at_first(circuit.connected_before(point)));
        Some((id, Course { part, exists: Formula::ALWAYS, connected, is_in: Formula::NEVER, put_in: said }))
    };
    procedure.circuits.iter().filter_map(course).collect()
}

/// `Do not insert the fuse yet.`, `Leave the fuse out.`: the circuits whose fuse is meant.
fn left_out(
    procedure: &Procedure,
    text: &Text<'_>,
    sentence: &Range<usize>,
    courses: &BTreeMap<CircuitId, Course>,
) -> Vec<CircuitId> {
    let negated = says(text, sentence.clone(), &["not", "never", "don't", "don’t"]);
    let puts_in = sentence.clone().find(|at| PUTS_IN.contains(&text.lower(*at)));
    let forbids = negated && puts_in.is_some() && says(text, sentence.clone(), &["yet", "still", "until"]);
    let verb = opening_verb(text, sentence.start, sentence.end).map(|at| text.lower(at));
    let leaves =
        verb.is_some_and(|verb| matches!(verb, "leave" | "keep")) && says(text, sentence.clone(), &["out"]) && !negated;
    if !forbids && !leaves || says(text, sentence.clone(), &["other", "spare", "another", "main"]) {
        return Vec::new();
    }
    let mentioned = sentence.clone().find_map(|at| match text.mention(at)?.target {
        MentionTarget::Part(part) => Some(part),
        _ => None,
    });
    let word = sentence.clone().find(|at| matches!(text.lower(*at), "fuse" | "fuses"));
    match (mentioned, word) {
        (Some(part), _) => courses.iter().filter(|(_, own)| own.part == part).map(|(id, _)| *id).collect(),
        // One fuse alone can be meant.
        (None, Some(_)) if courses.len() == 1 && procedure.circuits.len() == 1 => courses.keys().copied().collect(),
        _ => Vec::new(),
    }
}

fn told<'p>(proof: &mut Proof<'p>, event: &Event<'p>, one: &LeavesOut, courses: &BTreeMap<CircuitId, Course>) {
    for course in one.circuits.iter().filter_map(|id| courses.get(id)) {
        let sure = proof.sure(event);
        let broken = proof.space.all([sure, course.exists, course.is_in]);
        let (place, part, put_in) = (one.place, course.part, course.put_in);
        proof.oblige((Code::FW0964, place, Subject::Part(part)), event.id, broken, move |proof| {
            finding(proof.procedure, part, put_in, place)
        });
    }
}

fn happens(proof: &mut Proof<'_>, event: &Event<'_>, circuit: CircuitId, course: &mut Course) {
    match event.effect {
        Effect::Judged { role: Role::Circuit(id), holds, .. } if id == circuit => course.exists = holds,
        Effect::Connect { circuit: id, point } if id == circuit => {
            course.connected[point] = proof.space.either(course.connected[point], event.guard);
        }
        Effect::Disconnect { circuit: id, point } if id == circuit => {
            course.connected[point] = proof.space.both(course.connected[point], !event.guard);
        }
        Effect::Take { part, .. } | Effect::Refit { part, .. } if part == course.part => {
            let isolated = proof.isolated(event.id, circuit);
            let all: Vec<Formula> = course.connected.iter().map(|(_, here)| *here).collect();
            let whole = proof.space.all(all);
            let right = proof.space.either(whole, isolated);
            let here = proof.space.both(right, event.guard);
            course.is_in = proof.space.either(course.is_in, here);
            course.put_in = event.place.span;
        }
        Effect::Remove { part, .. } | Effect::Discard { part, .. } | Effect::KeepParts { part, .. }
            if part == course.part =>
        {
            course.is_in = proof.space.both(course.is_in, !event.guard);
        }
        _ => {}
    }
}

fn finding(procedure: &Procedure, part: PartId, put_in: Span, place: Span) -> Finding {
    let name = &procedure.parts[part].name.id;
    Finding::new(
        Code::FW0964,
        format!("the words leave `{name}` out still, and a line before them can have put it in"),
        place,
        "it is in by now",
    )
    .also(put_in, "put in here")
    .because("Whoever trusts the words works on a circuit that is live.")
    .repair(format!("Put `take 1 {name}` after this sentence, or take the sentence out."))
}
