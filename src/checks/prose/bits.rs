//! FW1213: a hole that the words drill, and no bit of that size is laid out for it.
//!
//! Only what is sure is told: *Drill* begins the sentence, and the size stands before *hole* or ends what is said of it. Whatever
//! makes holes of several sizes, a step drill, a hole saw, a set of bits, makes the step silent, and so does a bit that another
//! step lays out where this one lays out none.

use std::collections::BTreeMap;
use std::ops::Range;

use super::Words;
use super::amounts;
use super::sentences::opening_verb;
use super::text::{Sort, Text, TokenKind, instructions, plain};
use super::tools;
use crate::diagnostics::{Code, Finding};
use crate::model::{Naming, Procedure, StepId, ToolId};
use crate::quantity::{Exact, Kind, Quantity};
use crate::source::Span;

/// What makes holes of several sizes, or brings its own bit.
const OF_ANY_SIZE: &[&str] = &[
    "step drill",
    "hole saw",
    "hole cutter",
    "set",
    "bits",
    "ream",
    "hole punch",
    "knockout",
    "core drill",
    "magnetic",
    "assorted",
];
/// Sizes in the title of a thing for drilling that are not those of its hole.
const NO_BIT: &[&str] = &["stop", "chuck", "guide", "stand", "jig", "wheel", "driver"];
/// A share of the size by which a bit is still the one that is meant: [6.4 mm] is drilled with a bit of 1/4 in.
const NEAR: f64 = 0.012;

/// A tool that a step lays out, and where.
struct LaidOut<'p> {
    name: &'p Naming,
    /// The sizes in its title, where it is a bit.
    sizes: Vec<Quantity>,
    place: Span,
}

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english {
        return;
    }
    let procedure = words.procedure;
    let all: Vec<(StepId, LaidOut<'_>)> = procedure
        .steps
        .iter()
        .flat_map(|(id, _)| laid_out(procedure, id).into_iter().map(move |one| (id, one)))
        .collect();
    // Each size once: a thousand steps may use the same bit.
    let sizes = all.iter().flat_map(|(_, one)| &one.sizes).filter_map(|bit| Some((bit.base()?, *bit)));
    let there: BTreeMap<Exact, Quantity> = sizes.collect();
    let is_there = |size: &Quantity| there.values().any(|bit| is_near(bit, size));
    for (step, own) in instructions(texts) {
        let from = all.partition_point(|(id, _)| *id < step);
        let here: Vec<&LaidOut<'_>> =
            all.iter().skip(from).take_while(|(id, _)| *id == step).map(|(_, one)| one).collect();
        if here.iter().any(|one| is_of_any_size(one.name)) {
            continue;
        }
        let other = here.iter().find(|one| !one.sizes.is_empty());
        for (size, place) in own.into_iter().flat_map(|text| drilled(procedure, text)) {
            let suits = here.iter().any(|one| one.sizes.iter().any(|bit| is_near(bit, &size)));
            if !suits && (other.is_some() || !is_there(&size)) {
                words.tell(finding(procedure, step, &size, place, other.copied()));
            }
        }
    }
}

/// The tools that the lines of a step lay out, and those that its sentences mention.
fn laid_out(procedure: &Procedure, step: StepId) -> Vec<LaidOut<'_>> {
    let tool = |id: ToolId, place: Span| {
        let name = &procedure.tools[id].name;
        LaidOut { name, sizes: sizes_of(name), place }
    };
    let lines = procedure.steps[step].lines.iter();
    lines.flat_map(|line| tools::of_line(line).into_iter().map(|id| tool(id, line.span)).collect::<Vec<_>>()).collect()
}

fn has(name: &Naming, words: &[&str]) -> bool {
    let title = name.title.to_lowercase();
    words.iter().any(|word| title.contains(word))
}

fn is_of_any_size(name: &Naming) -> bool {
    has(name, OF_ANY_SIZE)
}

/// The sizes of a bit: those in its title.
fn sizes_of(name: &Naming) -> Vec<Quantity> {
    if !has(name, &["drill"]) || has(name, NO_BIT) {
        return Vec::new();
    }
    let title = plain(&name.title, Sort::Title, None, name.span);
    amounts::of(&title, true).into_iter().map(|amount| amount.high).filter(|size| size.kind() == Kind::Length).collect()
}

fn is_near(bit: &Quantity, size: &Quantity) -> bool {
    use num_traits::ToPrimitive;
    let base = |quantity: &Quantity| quantity.base().as_ref().and_then(Exact::to_f64);
    match (base(bit), base(size)) {
        (Some(bit), Some(size)) => (bit - size).abs() <= NEAR * size.abs(),
        _ => false,
    }
}

/// `Drill two [9 mm] holes`, `Drill two holes [9 mm].`, `Drill a hole of [9 mm] through the rail.`: the size, and where it stands.
fn drilled(procedure: &Procedure, text: &Text<'_>) -> Vec<(Quantity, Span)> {
    let outside = amounts::of(text, true);
    let size_at = |at: usize| -> Option<(Quantity, usize)> {
        match outside.iter().find(|amount| amount.run.start == at) {
            Some(amount) if amounts::same(&amount.low, &amount.high) => Some((amount.high, amount.run.end)),
            Some(_) => None,
            None => {
                let mention = text.mention(at)?;
                Some((amounts::mentioned(procedure, &mention.target)?.nominal()?, at + 1))
            }
        }
    };
    let mut found = Vec::new();
    for sentence in text.sentences() {
        if opening_verb(text, sentence.start, sentence.end).is_none_or(|verb| text.lower(verb) != "drill") {
            continue;
        }
        for at in sentence.clone() {
            let Some((size, end)) = size_at(at).filter(|(size, _)| size.kind() == Kind::Length) else { continue };
            if (is_hole(text, end) || (is_after_hole(text, sentence, at) && is_all_of_it(text, sentence, end)))
                && let Some(place) = text.place(&(at..end))
            {
                found.push((size, place));
            }
        }
    }
    found
}

fn is_hole(text: &Text<'_>, at: usize) -> bool {
    matches!(text.lower(at), "hole" | "holes")
}

/// `hole [9 mm]`, `holes of [9 mm]`
fn is_after_hole(text: &Text<'_>, sentence: &Range<usize>, at: usize) -> bool {
    let before = |back: usize| at.checked_sub(back).filter(|at| sentence.contains(at));
    let of = before(1).is_some_and(|at| text.lower(at) == "of");
    before(if of { 2 } else { 1 }).is_some_and(|at| is_hole(text, at))
}

/// Whether nothing follows that makes a depth or a distance of the size: *deep*, *apart*, *from the end*.
fn is_all_of_it(text: &Text<'_>, sentence: &Range<usize>, end: usize) -> bool {
    let ends = !sentence.contains(&end) || text.kind(end) == Some(TokenKind::Sign);
    ends || text.lower(end) == "through" || (text.lower(end) == "in" && text.lower(end + 1) == "diameter")
}

fn finding(procedure: &Procedure, step: StepId, size: &Quantity, place: Span, other: Option<&LaidOut<'_>>) -> Finding {
    let number = &procedure.steps[step].number;
    let (message, repair) = match other {
        Some(bit) => (
            format!("the words drill {size}, and step {number} uses \"{}\"", bit.name.title),
            "Use the bit of that size, or let the words say what the bit drills; a further hole has a bit of its own.",
        ),
        None => (
            format!("the words drill {size}, and no step lays out a bit of that size"),
            "Write `use` with the bit in this step. Those of std/hand-tools have their size in the name, such as `drill-bit-8-5` and `drill-bit-5-16-inch`.",
        ),
    };
    let found = Finding::new(Code::FW1213, message, place, format!("a hole of {size}"));
    let found = match other {
        Some(bit) => found.also(bit.place, "the bit is laid out here"),
        None => found.also(procedure.steps[step].name.span, "the step"),
    };
    found
        .because("What is laid out before the job goes by the lines, and what is drilled by what is in the chuck: a hole that is too large cannot be taken back.")
        .repair(repair)
}
