//! FW1240: a safety message that says to disconnect what feeds the work, and no step that does it.
//!
//! Told where a sentence of what a message says to do begins with such a verb, names what feeds the work (battery, lead, supply),
//! and neither a line nor a sentence of any step takes it off, nor a state of the procedure says where it stands. What holds only
//! under a condition, or is forbidden, is not asked for.

use super::Words;
use super::classes::says;
use super::sentences::opening_verb;
use super::text::{Sort, Text};
use crate::diagnostics::{Code, Finding};
use crate::model::{LineKind, Procedure};
use crate::source::Span;

/// What parts the work from what feeds it.
const PARTS: &[&str] = &["disconnect", "unplug", "isolate", "unclamp"];
/// How words begin that tell of a step that does it.
const DONE: &[&str] = &[
    "disconnect",
    "unplug",
    "isolat",
    "unclamp",
    "remov",
    "detach",
    "lift",
    "pull",
    "take",
    "undo",
    "loosen",
    "switch",
    "turn",
];
/// What feeds the work.
const FEEDS: &[&str] =
    &["battery", "batteries", "lead", "leads", "cable", "supply", "terminal", "pole", "mains", "plug", "source"];
/// By which a sentence holds only now and then, or says when.
const SOMETIMES: &[&str] = &["if", "where", "unless", "when", "whenever", "while", "not", "never"];

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english || !words.procedure.complete {
        return;
    }
    let mut asked = None;
    for text in texts.iter().filter(|text| text.sort == Sort::Avoid) {
        for sentence in text.sentences() {
            let Some(verb) = opening_verb(text, sentence.start, sentence.end) else { continue };
            let asks = PARTS.contains(&text.lower(verb))
                && says(text, sentence.clone(), FEEDS)
                && !says(text, sentence.clone(), SOMETIMES);
            if asks && asked.is_none() {
                asked = text.place(sentence).map(|place| (place, text.lower(verb).to_owned()));
            }
        }
    }
    let Some((place, verb)) = asked else { return };
    if !is_done(words.procedure, texts) {
        words.tell(finding(place, &verb));
    }
}

/// Whether a line or a sentence takes off what feeds the work, or a state follows it.
fn is_done(procedure: &Procedure, texts: &[Text<'_>]) -> bool {
    let of_feeding =
        |title: &str| title.to_lowercase().split(|c: char| !c.is_alphanumeric()).any(|word| FEEDS.contains(&word));
    let mut lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    procedure.states.rows().iter().any(|state| of_feeding(&state.name.title))
        || lines.any(|line| matches!(line.kind, LineKind::Disconnect(..) | LineKind::Do(_)))
        || texts.iter().filter(|text| matches!(text.sort, Sort::Instruction | Sort::Heading)).any(|text| {
            text.sentences().iter().any(|sentence| {
                says(text, sentence.clone(), FEEDS)
                    && sentence.clone().any(|at| DONE.iter().any(|begin| text.lower(at).starts_with(begin)))
            })
        })
}

fn finding(place: Span, verb: &str) -> Finding {
    Finding::new(
        Code::FW1240,
        format!("a safety message says to {verb} what feeds the work, and no step does it"),
        place,
        "said here alone",
    )
    .because("A message warns; what is done stands in a step, with its box. Read past, the work is done live; and nothing says when it is connected again.")
    .repair("Write the step that does it before this work, and the one that connects it again at the end: `> Disconnect the battery's negative lead.`, or a state with `make negative-lead off`.")
}
