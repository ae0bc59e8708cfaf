//! FW0963: terminals that the words crimp, and that nothing supplies.
//!
//! Told where no part is called like one, no point states one, and the sentence names no part.

use std::ops::Range;

use super::Words;
use super::classes::{TERMINALS, says};
use super::sentences::opening_verb;
use super::text::{Sort, Text};
use crate::diagnostics::{Code, Finding};
use crate::model::{MentionTarget, Procedure};

const CRIMPS: &[&str] = &["crimp", "solder", "press", "squeeze"];
const OTHERWISE: &[&str] =
    &["not", "never", "existing", "old", "factory", "crimped", "ready", "battery", "its", "their", "supplied", "same"];

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english || has_any(words.procedure) {
        return;
    }
    for text in texts.iter().filter(|text| text.sort == Sort::Instruction) {
        for sentence in text.sentences() {
            let Some(verb) = opening_verb(text, sentence.start, sentence.end) else { continue };
            let crimps = CRIMPS.contains(&text.lower(verb)) && !says(text, sentence.clone(), OTHERWISE);
            // `Crimp a ring terminal on each lead`, not `Crimp the lead into the lug`.
            let put_on = (verb + 1..sentence.end)
                .take_while(|at| !matches!(text.lower(*at), "on" | "onto" | "to" | "in" | "into" | "at"))
                .find(|at| TERMINALS.contains(&text.lower(*at)));
            if let Some(place) =
                put_on.filter(|_| crimps && !names_a_part(text, sentence)).and_then(|at| text.place(&(at..at + 1)))
            {
                words.tell(finding(place));
            }
        }
    }
}

fn names_a_part(text: &Text<'_>, sentence: &Range<usize>) -> bool {
    let mut mentions = sentence.clone().filter_map(|at| text.mention(at));
    mentions.any(|mention| matches!(mention.target, MentionTarget::Part(_)))
}

/// Whether a part is called like one, or a point or conductor states one: then other rules count them.
fn has_any(procedure: &Procedure) -> bool {
    const LIKE: &[&str] = &["terminal", "lug", "eyelet", "ferrule", "splice", "spade", "connector", "crimp", "kit"];
    let is_one = |title: &str| LIKE.iter().any(|word| title.to_lowercase().contains(word));
    let points = || procedure.circuits.rows().iter().flat_map(|circuit| circuit.points.rows());
    procedure.parts.rows().iter().any(|part| is_one(&part.name.title) || is_one(&part.name.id))
        || points().any(|point| point.terminal.is_some())
}

fn finding(place: crate::source::Span) -> Finding {
    Finding::new(Code::FW0963, "the words crimp a terminal that no part is", place, "in no bag and on no list")
        .because(
            "It is not packed, and what is found at hand is taken instead: of another size, or made for another wire.",
        )
        .repair("Declare the terminal as a part, supply it, and name it at its point, with the stud that it goes on: `point post with lug on M8`.")
}
