//! What the source says once for several places, found again in the flow: paper prints it once too.
//!
//! A *pass* is what is done at one place. Passes belong together where they are copies of the same text; they are printed
//! once where each would print the same but for its place, and each for itself where not.

use std::collections::BTreeMap;

use crate::emit::words::listed;
use crate::labels::{fill, spoken};
use crate::model::{Line, LineKind, Naming, Node, Procedure, Record};
use crate::source::Span;

/// What is done at one place.
pub(super) struct Pass<'a, T> {
    /// The place, by its number in the procedure.
    pub(super) place: usize,
    pub(super) body: &'a [T],
}

/// The passes at the beginning of a body; fewer than two where it begins with no copies.
pub(super) fn passes<'a>(procedure: &Procedure, body: &'a [Node]) -> Vec<Pass<'a, Node>> {
    copies(body, |node| span(procedure, node))
}

/// The same for lines of a step that means all places.
pub(super) fn line_passes(lines: &[Line]) -> Vec<Pass<'_, Line>> {
    copies(lines, |line| line.span)
}

fn copies<'a, T>(all: &'a [T], span: impl Fn(&T) -> Span) -> Vec<Pass<'a, T>> {
    let at = |one: &T| span(one).file.place();
    let Some(first) = all.first().and_then(at) else { return Vec::new() };
    let length = all.iter().take_while(|one| at(one) == Some(first)).count();
    let pattern: Vec<Span> = all.iter().take(length).map(|one| span(one).whole()).collect();
    let mut passes: Vec<Pass<'a, T>> = Vec::new();
    for body in all.chunks_exact(length) {
        let Some(place) = body.first().and_then(at) else { break };
        let is_copy = body.iter().zip(&pattern).all(|(one, text)| at(one) == Some(place) && span(one).whole() == *text);
        if !is_copy || passes.iter().any(|pass| pass.place == place) {
            break;
        }
        passes.push(Pass { place, body });
    }
    passes
}

fn span(procedure: &Procedure, node: &Node) -> Span {
    match node {
        Node::Step(id) => procedure.steps[*id].span,
        Node::Check(check) => procedure.steps[check.step].span,
        Node::Choose(choose) => choose.span,
        Node::When(when) => when.span,
        Node::Set(set) => set.span,
        Node::Stop(stop) => stop.span,
        Node::Handover(handover) => handover.span,
    }
}

/// The procedure with the titles as written of what is at a place: there, nobody needs to be told the place.
pub(super) fn without_place(procedure: &Procedure, place: usize) -> Procedure {
    let mut plain = procedure.clone();
    let Some(here) = procedure.each_places.get(place) else { return plain };
    let as_written = |name: &mut Naming| {
        if let Some(at) = name.at.as_ref().filter(|at| at.place == place) {
            name.title.clone_from(&at.title);
        }
    };
    plain.choices.iter_mut().for_each(|(_, row)| as_written(&mut row.name));
    plain.numbers.iter_mut().for_each(|(_, row)| as_written(&mut row.name));
    plain.joints.iter_mut().for_each(|(_, row)| as_written(&mut row.name));
    plain.circuits.iter_mut().for_each(|(_, row)| as_written(&mut row.name));
    plain.states.iter_mut().for_each(|(_, row)| as_written(&mut row.name));
    for (_, step) in plain.steps.iter_mut() {
        as_written(&mut step.name);
        for line in step.lines.iter_mut().filter(|line| line.span.file.place() == Some(place)) {
            if let LineKind::Record(Record::Text(what) | Record::Photo(what)) = &mut line.kind {
                let as_written =
                    what.strip_suffix(&here.titled("")).or(what.strip_suffix(&format!(" ({})", here.label)));
                if let Some(as_written) = as_written {
                    *what = as_written.to_owned();
                }
            }
        }
    }
    plain
}

/// What is printed, without the names by which links tell places apart.
pub(super) fn compared(printed: &impl serde::Serialize, procedure: &Procedure, place: usize) -> Option<String> {
    let text = serde_json::to_string(printed).ok()?;
    let id = procedure.each_places.get(place).map_or("", |place| &place.id);
    Some(text.replace(&format!(".{id}"), ""))
}

/// Whether all are there and alike.
pub(super) fn alike(printed: &[Option<String>]) -> bool {
    printed.iter().all(|one| one.is_some() && Some(one) == printed.first())
}

/// `Corner: front left, front right`
pub(super) fn places_words(procedure: &Procedure, places: &[usize]) -> String {
    let group = places.first().and_then(|at| procedure.each_places.get(*at)).map_or("", |place| &place.group_title);
    fill(
        spoken().flow.places,
        &[
            ("group", &procedure.in_sentence(group)),
            ("places", &listed(labels(procedure, places).into_iter(), spoken().word.and)),
        ],
    )
}

/// How the places are printed.
pub(super) fn labels(procedure: &Procedure, places: &[usize]) -> Vec<String> {
    places.iter().filter_map(|at| procedure.each_places.get(*at)).map(|place| place.label.clone()).collect()
}

/// What is there for several places, in runs: a thing alone, or the copies of one that stand together.
pub(super) fn together<T>(all: &[T], name: impl Fn(&T) -> &Naming) -> Vec<&[T]> {
    let key = |one: &T| name(one).at.as_ref().map(|at| (at.of.clone(), name(one).span.whole()));
    all.chunk_by(|a, b| key(a).is_some() && key(a) == key(b)).collect()
}

/// Which number stands for a text that is there for several places.
pub(super) fn number_of(numbers: &mut BTreeMap<Span, u32>, span: Span) -> u32 {
    let next = numbers.len() as u32 + 1;
    *numbers.entry(span.whole()).or_insert(next)
}
