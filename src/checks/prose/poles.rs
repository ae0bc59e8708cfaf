//! FW0965: words that act on the other pole than the line of their step, and coloured wires on the wrong post.
//!
//! A step that makes a state whose title says one pole, and no other, speaks in a sentence of taking off or putting on the lead
//! of the other pole alone. Red at the negative post and black at the positive are against what every workshop reads (common
//! practice, from memory); a file that states colours of its own is left to its own rules.

use std::ops::Range;

use super::Words;
use super::battery::{BATTERY, LEADS, puts_on, takes_off};
use super::classes::{ANOTHER_TIME, FORBIDS, NEGATIVE, POSITIVE, Pole, WIRES, pole, says, says_of};
use super::sentences::opening_verb;
use super::text::{Sort, Text};
use crate::diagnostics::{Code, Finding};
use crate::model::{LineKind, Procedure, StepId};
use crate::source::Span;

const POSTS: &[&str] = &["post", "terminal", "pole", "stud", "side"];
/// What covers a post.
const COVERS: &[&str] = &["cap", "cover"];
/// Other things with two poles, or a place that something comes away from.
const ELSEWHERE: &[&str] = &[
    "charger",
    "jump",
    "solar",
    "meter",
    "probe",
    "tester",
    "away",
    "both",
    "positive-earth",
    "positive-ground",
    "from",
    "off",
];

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    let (Some(step), true) = (text.step.filter(|_| text.sort == Sort::Instruction), words.english) else { return };
    for sentence in text.sentences().to_vec() {
        let Some(verb) = opening_verb(text, sentence.start, sentence.end) else { continue };
        let verb = text.lower(verb);
        let acts = takes_off(verb) || puts_on(verb);
        let sure = |list: &[&str]| !sentence.clone().any(|at| list.contains(&text.lower(at)));
        let Some(place) = text.place(&sentence).filter(|_| acts) else { continue };
        if says_of(text, &sentence, &[FORBIDS, ANOTHER_TIME, COVERS]) {
            continue;
        }
        if let Some(line) = other_pole(words.procedure, step, text, &sentence) {
            words.tell(of_the_line(line, place));
        } else if puts_on(verb) && sure(ELSEWHERE) && is_crossed(text, &sentence) {
            words.tell(of_the_colour(place));
        }
    }
}

/// The only `make` line of a step that says a pole, where it is the other one than the sentence says of a lead.
fn other_pole(procedure: &Procedure, step: StepId, text: &Text<'_>, sentence: &Range<usize>) -> Option<Span> {
    if !says(text, sentence.clone(), LEADS) {
        return None;
    }
    let told = pole(|list| says(text, sentence.clone(), list))?;
    // A strap of the body is no lead of the battery.
    if told == Pole::Negative
        && !says(text, sentence.clone(), &["negative", "minus"])
        && !says(text, sentence.clone(), BATTERY)
    {
        return None;
    }
    let mut lines = procedure.steps[step].lines.iter().filter_map(|line| match line.kind {
        LineKind::Make { state, .. } => Some((line.span, procedure.states[state].name.title.to_lowercase())),
        LineKind::Connect(..) | LineKind::Disconnect(..) => Some((line.span, String::new())),
        _ => None,
    });
    let (span, title) = lines.next().filter(|_| lines.next().is_none())?;
    let words: Vec<&str> = title.split(|c: char| !c.is_alphanumeric()).collect();
    let is_lead = words.iter().any(|word| LEADS.contains(word));
    let stated = pole(|list| words.iter().any(|word| list.contains(word)))?;
    (is_lead && stated != told).then_some(span)
}

fn is_wire(word: &str) -> bool {
    WIRES.contains(&word) || matches!(word, "clamp" | "clip")
}

/// `Connect the red wire to the negative post.`
fn is_crossed(text: &Text<'_>, sentence: &Range<usize>) -> bool {
    let wire = |colour: &str| sentence.clone().any(|at| text.lower(at) == colour && is_wire(text.lower(at + 1)));
    let to = sentence.clone().find(|at| matches!(text.lower(*at), "to" | "onto" | "on" | "at"));
    let Some(to) = to else { return false };
    let rest = to..sentence.end;
    let post = (rest.clone()).any(|at| {
        let word = text.lower(at);
        (POSITIVE.contains(&word) || NEGATIVE.contains(&word)) && POSTS.contains(&text.lower(at + 1))
    });
    let Some(pole) = pole(|list| says(text, rest.clone(), list)) else { return false };
    post && match (wire("red"), wire("black")) {
        (true, false) => pole == Pole::Negative,
        (false, true) => pole == Pole::Positive,
        _ => false,
    }
}

fn of_the_line(line: Span, place: Span) -> Finding {
    Finding::new(Code::FW0965, "the words act on the other pole than the line of their step", place, "the other pole")
        .also(line, "this lead, by the line")
        .because("One who reads the words and one who reads the line take off another lead. The positive one alone leaves everything live against the body.")
        .repair("Let both speak of the same lead. The negative one comes off first, and goes on last.")
}

fn of_the_colour(place: Span) -> Finding {
    Finding::new(Code::FW0965, "the words connect a wire to the pole of the other colour", place, "red is positive, black is negative")
        .because("Whoever finds this later takes the colours at their word, and shorts the battery or destroys what hangs on it.")
        .repair("Correct the colour or the post. Where the vehicle has other colours, mark the wire's end, and accept this with the reason.")
}
