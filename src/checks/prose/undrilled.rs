//! FW0743: a step that works on a hole before the sentence that drills it.
//!
//! Told where its words deburr the hole, or set a grommet, rivet or insert into it, and the first hole of the procedure is drilled by a later
//! sentence of the same step.

use super::Words;
use super::classes::{HOLES, MAKES_HOLES, says};
use super::grommets::{is_grommet, part};
use super::text::{Sort, Text};
use crate::diagnostics::{Code, Finding};
use crate::source::Span;

const SETS: &[&str] = &["set", "press", "push", "fit", "insert", "put"];
/// What is set into a hole.
const LININGS: &[&str] = &["grommet", "grommets", "rivet", "rivets", "insert", "inserts", "bush", "bushes"];
/// Words by which a hole is meant that is there already.
const THERE: &[&str] = &["old", "existing", "of", "factory", "other", "each", "first"];

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english {
        return;
    }
    // Where a step works on a hole that no words made yet.
    let mut early: Option<(&Text<'_>, Span)> = None;
    for text in texts.iter().filter(|text| text.sort == Sort::Instruction) {
        if early.is_some_and(|(before, _)| before.step != text.step) {
            return;
        }
        for sentence in text.sentences() {
            let speaks = says(text, sentence.clone(), HOLES);
            let verb = text.lower(sentence.start);
            if MAKES_HOLES.contains(&verb) && speaks {
                // `the hole of the cover` is another one.
                let of_another = sentence.clone().any(|at| text.lower(at) == "of" && text.lower(at + 1) == "the");
                if let (Some((_, at)), Some(place)) = (early, text.place(sentence).filter(|_| !of_another)) {
                    words.tell(finding(at, place));
                }
                return;
            }
            let named =
                sentence.clone().any(|at| part(words.procedure, text, at).is_some_and(|(part, _)| is_grommet(part)));
            let presses = named || (SETS.contains(&verb) && says(text, sentence.clone(), LININGS));
            let works = verb == "deburr" || (presses && speaks);
            if early.is_none() && works && speaks && !says(text, sentence.clone(), THERE) {
                early = text.place(sentence).map(|at| (text, at));
            }
        }
    }
}

fn finding(at: Span, drilled: Span) -> Finding {
    Finding::new(Code::FW0743, "the words work on a hole before they make it", at, "no words have made a hole yet")
        .also(drilled, "made here")
        .because("The technician looks for a hole that is not there, and may take another for it.")
        .repair("Put this sentence after the one that makes the hole. Where a hole is meant that is there already, call it so: `the existing hole`.")
}
