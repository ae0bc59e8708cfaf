//! FW1221: somebody is sent under what only a jack holds, or under a load that hangs.
//!
//! A load hangs in a step that brings the hazard of that name; what it is goes by the parts that the step takes in hand.
//!
//! Told where a step has raised something with a jack, or its words do so, a sentence after it sends somebody below the vehicle, and
//! nothing that the procedure says or declares could hold it: no stand, no lift, no block. Which words mean these is from memory; a
//! word too many makes the rule silent.

use std::collections::BTreeMap;
use std::ops::Range;

use super::Words;
use super::classes::says;
use super::sentences::opening_verb;
use super::text::{Sort, Text, instructions, titles};
use super::tools;
use crate::diagnostics::{Code, Finding};
use crate::model::{Line, LineKind, MentionTarget, Node, Procedure, StepId};
use crate::source::Span;

/// What holds a vehicle for good, by the beginning of its word.
const HOLDS: &[&str] = &[
    "stand", "lift", "hoist", "ramp", "pit", "block", "trestle", "cribbing", "support", "prop", "gantry", "crane",
    "column", "sling", "timber",
];
const JACKS: &[&str] = &["jack", "jacks"];
const VEHICLE: &[&str] =
    &["vehicle", "van", "truck", "car", "trailer", "chassis", "lorry", "pickup", "pick-up", "machine", "cab", "axle"];
const UNDER: &[&str] = &["under", "underneath", "beneath", "below"];
/// Verbs that send somebody there.
const GOES: &[&str] = &["lie", "crawl", "get", "go", "climb", "reach", "work", "roll", "slide", "creep", "lean"];
const OTHERWISE: &[&str] = &["not", "never", "nobody", "no", "tray", "pan", "sheet", "mat"];

type Sentences<'t, 'p> = BTreeMap<StepId, Vec<&'t Text<'p>>>;

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english {
        return;
    }
    let procedure = words.procedure;
    let own = instructions(texts);
    for (step, texts) in &own {
        if let Some(brings) = hangs(procedure, *step) {
            let below = texts.iter().flat_map(|text| below_a_load(procedure, *step, text));
            below.collect::<Vec<_>>().into_iter().for_each(|place| words.tell(hanging(brings, place)));
        }
    }
    let mut found = Vec::new();
    let mut jacked = None;
    for section in &procedure.sections {
        let after = body(procedure, &own, &section.body, jacked, &mut found);
        jacked = if section.when.is_none() { after } else { jacked.and(after) };
    }
    if found.is_empty()
        || texts.iter().any(holds)
        || titles(procedure).iter().any(holds)
        || has_a_tool_that_holds(procedure)
    {
        return;
    }
    for (raised, place) in found {
        words.tell(finding(raised, place));
    }
}

/// The line of a step by which a load hangs.
fn hangs(procedure: &Procedure, step: StepId) -> Option<Span> {
    let is_so = |line: &&Line| {
        let warned = match &line.kind {
            LineKind::Message(message) => Some(message.hazard),
            _ => None,
        };
        let all = procedure.brought_by(line).into_iter().chain(warned);
        all.into_iter().any(|hazard| procedure.hazards[hazard].called == "suspended-load")
    };
    procedure.steps[step].lines.iter().find(is_so).map(|line| line.span)
}

/// `Stand under the load.`, or under what the step takes in hand.
fn below_a_load(procedure: &Procedure, step: StepId, text: &Text<'_>) -> Vec<Span> {
    let parts = procedure.steps[step].lines.iter().flat_map(|line| match &line.kind {
        LineKind::Take(entries) | LineKind::Remove(entries, _) => entries.iter().map(|entry| entry.what).collect(),
        _ => Vec::new(),
    });
    let titles: Vec<String> = parts.map(|part| procedure.parts[part].name.title.to_lowercase()).collect();
    let is_load = |at: usize| {
        let word = text.lower(at);
        word == "load" || titles.iter().any(|title| title.split_whitespace().next_back() == Some(word))
    };
    let is_told = |sentence: &&Range<usize>| {
        let verb = opening_verb(text, sentence.start, sentence.end).unwrap_or(sentence.start);
        let goes =
            GOES.contains(&text.lower(verb)) || matches!(text.lower(verb), "stand" | "walk" | "step" | "kneel" | "sit");
        let under = UNDER.contains(&text.lower(verb + 1));
        let named = (verb + 2..sentence.end.min(verb + 5)).any(|at| is_load(at) || names(procedure, text, at, &titles));
        goes && under && named && !says(text, (*sentence).clone(), OTHERWISE)
    };
    text.sentences().iter().filter(is_told).filter_map(|sentence| text.place(sentence)).collect()
}

fn names(procedure: &Procedure, text: &Text<'_>, at: usize, titles: &[String]) -> bool {
    text.mention(at).is_some_and(|mention| match mention.target {
        MentionTarget::Part(part) => titles.contains(&procedure.parts[part].name.title.to_lowercase()),
        _ => false,
    })
}

fn hanging(brings: Span, place: Span) -> Finding {
    Finding::new(Code::FW1221, "somebody is sent below a load that hangs", place, "it can fall on him here")
        .also(brings, "it hangs by this line")
        .because("Slings slip and hoists fail: whoever stands below is crushed.")
        .repair("Have it guided from the side, with a line or a stick. Work below it begins when it stands on something that bears it.")
}

/// Goes through steps as they follow on one another; gives where the vehicle was raised, if it still is.
fn body(
    procedure: &Procedure,
    own: &Sentences<'_, '_>,
    nodes: &[Node],
    mut jacked: Option<Span>,
    found: &mut Vec<(Span, Span)>,
) -> Option<Span> {
    for node in nodes {
        match node {
            Node::Step(id) => {
                let after = step(procedure, own, *id, jacked, found);
                jacked = if procedure.steps[*id].when.is_none() { after } else { jacked.and(after) };
            }
            Node::Check(check) => {
                let after = step(procedure, own, check.step, jacked, found);
                let repaired = check.repair.as_ref().map(|repair| body(procedure, own, &repair.body, after, found));
                jacked = repaired.map_or(after, |repaired| after.and(repaired));
            }
            Node::Choose(choose) => {
                let arms = choose.arms.iter().map(|arm| body(procedure, own, &arm.body, jacked, found));
                jacked = arms.fold(jacked, Option::and);
            }
            Node::When(when) => {
                let then = body(procedure, own, &when.then, jacked, found);
                let otherwise = body(procedure, own, &when.otherwise, jacked, found);
                jacked = jacked.and(then).and(otherwise);
            }
            Node::Set(_) | Node::Stop(_) | Node::Handover(_) => {}
        }
    }
    jacked
}

fn step(
    procedure: &Procedure,
    own: &Sentences<'_, '_>,
    id: StepId,
    mut jacked: Option<Span>,
    found: &mut Vec<(Span, Span)>,
) -> Option<Span> {
    let row = &procedure.steps[id];
    let uses = row.lines.iter().find(|line| tools::of_line(line).into_iter().any(|tool| is_jack(procedure, tool)));
    jacked = uses.map(|line| line.span).or(jacked);
    for text in own.get(&id).into_iter().flatten() {
        for sentence in text.sentences() {
            let verb = text.lower(opening_verb(text, sentence.start, sentence.end).unwrap_or(sentence.start));
            let place = text.place(sentence);
            if verb == "jack" || (verb == "raise" && says(text, sentence.clone(), JACKS)) {
                jacked = place;
            } else if matches!(verb, "lower" | "drop") || says(text, sentence.clone(), &["lowered", "down"]) {
                jacked = None;
            } else if let (Some(raised), Some(place)) = (jacked, place.filter(|_| sends_below(text, sentence, verb))) {
                found.push((raised, place));
            }
        }
    }
    jacked
}

fn is_jack(procedure: &Procedure, tool: crate::model::ToolId) -> bool {
    let title = procedure.tools[tool].name.title.to_lowercase();
    let mut words = title.split(|c: char| !c.is_alphanumeric());
    words.any(|word| word == "jack")
}

fn sends_below(text: &Text<'_>, sentence: &Range<usize>, verb: &str) -> bool {
    let below = sentence.clone().find(|at| UNDER.contains(&text.lower(*at)));
    let of_vehicle = below.is_some_and(|at| (at + 1..=at + 2).any(|at| VEHICLE.contains(&text.lower(at))));
    GOES.contains(&verb) && of_vehicle && !says(text, sentence.clone(), OTHERWISE)
}

fn holds(text: &Text<'_>) -> bool {
    // `Lift the wheel off` brings no lift.
    let is_verb =
        |at: usize| text.lower(at) == "lift" && text.sentence_of(at).is_some_and(|sentence| sentence.start == at);
    let is_one = |at: usize| {
        !is_verb(at) && HOLDS.iter().any(|word| text.lower(at).split('-').any(|part| part.starts_with(word)))
    };
    // A question may ask whether anybody stands there.
    text.sort != Sort::Question && (0..text.tokens.len()).any(is_one)
}

/// Tools of libraries are not among the titles of the file.
fn has_a_tool_that_holds(procedure: &Procedure) -> bool {
    let is_one = |title: &str| {
        let title = title.to_lowercase();
        title.split(|c: char| !c.is_alphanumeric()).any(|word| HOLDS.iter().any(|start| word.starts_with(start)))
    };
    procedure.tools.rows().iter().any(|tool| is_one(&tool.name.title))
}

fn finding(raised: Span, place: Span) -> Finding {
    Finding::new(Code::FW1221, "somebody is sent below what only a jack holds", place, "nothing else holds it here")
        .also(raised, "raised here")
        .because("A jack lifts, and does not hold: it leaks, tips or is knocked. Whoever lies below is crushed.")
        .repair("Have it set on stands that bear its weight, in a step before this one, and say so. Follow the vehicle maker's jacking points and your own rules.")
}
