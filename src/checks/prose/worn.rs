//! FW1214: protective equipment that only the words ask for: *Wear gloves*, and nothing lists gloves.
//!
//! Which words name equipment is from memory; one that is missing makes the rule silent, never loud.

use std::ops::Range;

use super::Words;
use super::sentences::opening_verb;
use super::text::{Sort, Text, TokenKind};
use crate::diagnostics::{Code, Finding};
use crate::model::{Procedure, StepId};
use crate::source::Span;

/// What is worn: the word that people use, the words one of which stands before it where vehicles have such things too, and what
/// titles of equipment hold that is the same.
const EQUIPMENT: &[(&str, &[&str], &[&str])] = &[
    ("glasses", &[], &["glass", "goggle", "shield"]),
    ("goggles", &[], &["goggle", "shield"]),
    ("gloves", &[], &["glove"]),
    ("shoes", &["safety", "work"], &["shoe", "boot"]),
    ("boots", &["safety", "work"], &["boot", "shoe"]),
    ("defenders", &["ear"], &["ear ", "hearing"]),
    ("plugs", &["ear"], &["ear ", "hearing"]),
    ("muffs", &["ear"], &["ear ", "hearing"]),
    ("mask", &["dust", "a", "breathing"], &["mask", "respirator"]),
    ("respirator", &[], &["respirator"]),
    ("shield", &["face", "welding"], &["shield", "visor"]),
    ("visor", &["face", "welding"], &["visor", "shield"]),
    ("helmet", &[], &["helmet", "hat", "cap"]),
    ("hat", &["hard"], &["helmet", "hat", "cap"]),
    ("vest", &["visibility", "high-visibility"], &["vest"]),
    ("harness", &["fall-arrest", "safety"], &["harness"]),
];

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    let Some(step) = text.step.filter(|_| words.english && text.sort == Sort::Instruction) else { return };
    for sentence in text.sentences().to_vec() {
        let Some((run, alike)) = asked_for(text, &sentence) else { continue };
        if let Some(place) = text.place(&run).filter(|_| !is_listed(words.procedure, step, alike)) {
            let said = text.slice(&run).to_owned();
            words.tell(finding(words.procedure, step, &said, place));
        }
    }
}

/// `Wear safety glasses.`, `Put on gloves.`: the words, and what titles of it hold.
fn asked_for(text: &Text<'_>, sentence: &Range<usize>) -> Option<(Range<usize>, &'static [&'static str])> {
    let verb = opening_verb(text, sentence.start, sentence.end)?;
    let from = match text.lower(verb) {
        "wear" => verb + 1,
        "put" if text.lower(verb + 1) == "on" => verb + 2,
        _ => return None,
    };
    // What follows a sign or a word such as *until* is no equipment any more.
    let named = (from..sentence.end).take(5).take_while(|at| text.kind(*at) == Some(TokenKind::Word));
    let (end, alike) = named.into_iter().find_map(|at| {
        let (word, before) = (text.lower(at), text.lower(at.saturating_sub(1)));
        let known = EQUIPMENT.iter().find(|(noun, ..)| *noun == word)?;
        let (_, needs, alike) = known;
        (needs.is_empty() || needs.contains(&before)).then_some((at + 1, *alike))
    })?;
    Some((verb..end, alike))
}

/// Whether a line or a mention of the step asks for such a thing, or it is worn throughout.
fn is_listed(procedure: &Procedure, step: StepId, alike: &[&str]) -> bool {
    let own = procedure.steps[step].lines.iter().flat_map(|line| line.kind.worn());
    own.chain(procedure.about.wear.iter().copied()).any(|protection| {
        // `ear ` is a word of its own.
        let title = format!("{} ", procedure.protections[protection].name.title.to_lowercase());
        alike.iter().any(|part| title.contains(part))
    })
}

fn finding(procedure: &Procedure, step: StepId, said: &str, place: Span) -> Finding {
    let row = &procedure.steps[step];
    Finding::new(
        Code::FW1214,
        format!("the words say `{said}`, and step {} lists no such thing", row.number),
        place,
        "protective equipment that only the words ask for",
    )
    .also(row.name.span, "the step")
    .because("What is laid out and put on before the work goes by the lines: who reads this sentence has no such thing at hand.")
    .repair("Write `wear …` in this step, such as `wear safety-glasses` with `use std/protection`, and leave the sentence out.")
}
