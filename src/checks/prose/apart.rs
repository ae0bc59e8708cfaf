//! FW0316: a distance to keep that keeps nobody from harm, or that nobody can keep.
//!
//! `Keep others [2 mm] away`: a slip of the unit. What is absurd is taken wide: people within 300 mm or beyond 500 m, hands within 5 mm or
//! beyond 10 m.

use std::cmp::Ordering;

use super::Words;
use super::amounts::{self, Amount};
use super::text::{Sort, Text};
use crate::diagnostics::{Code, Finding};
use crate::quantity::{Exact, Kind, Quantity};

const PEOPLE: &[&str] = &[
    "others",
    "people",
    "bystanders",
    "everyone",
    "everybody",
    "anyone",
    "anybody",
    "persons",
    "children",
    "helpers",
    "visitors",
    "colleagues",
    "customers",
];
const HANDS: &[&str] = &["hands", "hand", "fingers", "hair", "sleeves", "clothes", "clothing", "feet"];
const AWAY: &[&str] = &["away", "clear", "back", "off", "from"];

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    if !words.english || matches!(text.sort, Sort::Title | Sort::Heading | Sort::Question | Sort::Tight) {
        return;
    }
    let outside = amounts::of(text, true);
    for sentence in text.sentences().to_vec() {
        let says = |list: &[&str]| sentence.clone().any(|at| list.contains(&text.lower(at)));
        let keeps = text.lower(sentence.start);
        // What is kept stands right after the verb: `Keep all others`.
        let kept = sentence.start + 1..(sentence.start + 4).min(sentence.end);
        let is_kept = |list: &[&str]| kept.clone().any(|at| list.contains(&text.lower(at)));
        if !matches!(keeps, "keep" | "stay" | "stand") || !says(AWAY) {
            continue;
        }
        // In metres: from, to.
        let whoever_reads = keeps != "keep" && is_amount(text, &outside, sentence.start + 1);
        let (least, most) = match (is_kept(PEOPLE) || whoever_reads, is_kept(HANDS)) {
            (_, true) => (Exact::new(5, 1000), Exact::new(10, 1)),
            (true, false) => (Exact::new(3, 10), Exact::new(500, 1)),
            _ => continue,
        };
        for at in sentence.clone() {
            let mentioned = text.mention(at).and_then(|mention| amounts::mentioned(words.procedure, &mention.target));
            let (said, end) = match outside.iter().find(|amount| amount.run.start == at) {
                Some(amount) => (Some(amount.high), amount.run.end),
                None => (mentioned.map(|measure| *measure.stated()), at + 1),
            };
            let Some(said) = said.filter(|said| said.kind() == Kind::Length) else { continue };
            let Some(place) = text.place(&(at..end)) else { continue };
            let order = |bound: Exact| said.base().map(|base| base.cmp(&bound));
            let near = order(least) == Some(Ordering::Less);
            if near || order(most) == Some(Ordering::Greater) {
                words.tell(finding(&said, near, place));
            }
        }
    }
}

/// `Stay [2 m] back`: a distance right after the verb, so that whoever reads it is meant.
fn is_amount(text: &Text<'_>, outside: &[Amount], at: usize) -> bool {
    outside.iter().any(|amount| amount.run.start == at) || text.mention(at).is_some()
}

fn finding(said: &Quantity, near: bool, place: crate::source::Span) -> Finding {
    let (why, because) = match near {
        true => ("is no distance that keeps anybody from harm", "Whoever holds to it stands where it hurts."),
        false => ("is a distance that nobody can keep", "What can't be held to is not held to."),
    };
    Finding::new(Code::FW0316, format!("{said} {why}"), place, "to be kept")
        .because(because)
        .repair("Write the distance that is meant, with its unit: `[2 m]` rather than `[2 mm]`.")
}
