//! FW0953: words that take the positive lead off a battery before the negative, or put the negative on before the positive.
//!
//! While the negative lead is on, a spanner between the positive post and the body carries the whole battery current. Negative off
//! first and on last is in every vehicle's handbook (common practice, from memory). A vehicle whose body is at the positive
//! post is named so in its words.

use std::ops::Range;

use super::Words;
use super::classes::{ANOTHER_TIME, FORBIDS, JOINS, PARTS, Pole, pole, says_of};
use super::sentences::opening_verb;
use super::text::{Text, instructions};
use crate::diagnostics::{Code, Finding};
use crate::source::Span;

/// What a sentence does with one lead of a battery.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Does {
    Off,
    On,
}

/// Whether a verb takes a lead off.
pub(super) fn takes_off(verb: &str) -> bool {
    PARTS.contains(&verb)
}

/// Whether it puts one on.
pub(super) fn puts_on(verb: &str) -> bool {
    JOINS.contains(&verb) || verb == "clamp"
}

pub(super) const LEADS: &[&str] = &["lead", "cable", "clamp", "terminal", "strap"];
pub(super) const BATTERY: &[&str] = &["battery", "post", "posts"];
/// A place in an order, other things with two poles, or what covers a post.
const NOT_SURE: &[&str] = &[
    "first",
    "last",
    "both",
    "positive-earth",
    "positive-ground",
    "cap",
    "cover",
    "charger",
    "jump",
    "solar",
    "winch",
];

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english {
        return;
    }
    for own in instructions(texts).into_values() {
        let told: Vec<(Does, bool, Span)> = own
            .into_iter()
            .flat_map(|text| text.sentences().iter().filter_map(|sentence| told(text, sentence)))
            .collect();
        // Off: the positive, and the negative after it. On: the other way round.
        let wrong = told.iter().enumerate().find_map(|(at, (does, positive, place))| {
            let early = *positive == (*does == Does::Off);
            let rest = told.get(at + 1..).unwrap_or_default();
            let late = rest.iter().find(|(other, pole, _)| other == does && pole != positive);
            late.filter(|_| early).map(|(.., late)| (*does, *place, *late))
        });
        if let Some((does, early, late)) = wrong.filter(|(_, early, late)| !told_already(words, *early, *late)) {
            words.tell(finding(does, early, late));
        }
    }
}

/// Whether the order of the lines was told there.
fn told_already(words: &Words<'_>, early: Span, late: Span) -> bool {
    words.has_told_order(early) || words.has_told_order(late)
}

/// What a sentence does, and whether with the positive lead.
fn told(text: &Text<'_>, sentence: &Range<usize>) -> Option<(Does, bool, Span)> {
    let says = |list: &[&str]| sentence.clone().any(|at| list.contains(&text.lower(at)));
    let verb = text.lower(opening_verb(text, sentence.start, sentence.end)?);
    let does = match (takes_off(verb), puts_on(verb)) {
        (true, _) => Does::Off,
        (_, true) => Does::On,
        _ => return None,
    };
    let pole = pole(says)?;
    let is_sure = says(LEADS) && says(BATTERY) && !says_of(text, sentence, &[FORBIDS, ANOTHER_TIME, NOT_SURE]);
    Some((does, pole == Pole::Positive, text.place(sentence).filter(|_| is_sure)?))
}

fn finding(does: Does, early: Span, late: Span) -> Finding {
    let (message, label, repair) = match does {
        Does::Off => (
            "the positive lead is taken off the battery before the negative",
            "the negative one comes off after it",
            "Take the negative lead off first.",
        ),
        Does::On => (
            "the negative lead is put on the battery before the positive",
            "the positive one goes on after it",
            "Put the negative lead on last.",
        ),
    };
    Finding::new(Code::FW0953, message, early, "too early")
        .also(late, label)
        .because("While the negative lead is on, a spanner between the positive post and the body carries the whole battery current: it glows, burns, and can burst the battery.")
        .repair(repair)
}
