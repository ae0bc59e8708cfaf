//! FW1225: brake pistons that are pushed back, and nothing after it that brings the pedal up again.
//!
//! After pistons were pushed back the first presses of the pedal do nothing. Told where a sentence pushes pistons back, the
//! procedure speaks of brakes, and no text from there to its end speaks of the pedal, of pumping or of bleeding (common practice,
//! from memory).

use super::Words;
use super::classes::says;
use super::sentences::opening_verb;
use super::text::{Sort, Text, titles};
use crate::diagnostics::{Code, Finding};

const PUSHES: &[&str] = &["push", "press", "wind", "turn", "squeeze", "retract", "force", "ease", "lever", "screw"];
const PISTONS: &[&str] = &["piston", "pistons"];
const BACK: &[&str] = &["back", "in", "home", "into", "retract"];
const BRAKES: &[&str] = &["brake", "brakes", "caliper", "calipers", "calliper", "callipers"];
/// What brings the pedal up, or speaks of it.
const BRINGS_UP: &[&str] =
    &["pedal", "pedals", "pump", "pumps", "pumped", "pumping", "bleed", "bled", "bleeding", "parking", "handbrake"];

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english {
        return;
    }
    let mut pushed = None;
    for text in texts {
        for sentence in text.sentences() {
            if pushed.is_some() {
                if says(text, sentence.clone(), BRINGS_UP) {
                    pushed = None;
                }
                continue;
            }
            let verb = text.lower(opening_verb(text, sentence.start, sentence.end).unwrap_or(sentence.start));
            let pushes = text.sort == Sort::Instruction
                && PUSHES.contains(&verb)
                && says(text, sentence.clone(), PISTONS)
                && (verb == "retract" || says(text, sentence.clone(), BACK))
                && !says(text, sentence.clone(), &["not", "never"]);
            if pushes && !says(text, sentence.clone(), BRINGS_UP) {
                pushed = text.place(sentence);
            }
        }
    }
    let Some(place) = pushed else { return };
    let of_brakes = |text: &Text<'_>| says(text, 0..text.tokens.len(), BRAKES);
    if texts.iter().any(of_brakes) || titles(words.procedure).iter().any(of_brakes) {
        words.tell(
            Finding::new(
                Code::FW1225,
                "brake pistons are pushed back, and nothing brings the pedal up again",
                place,
                "the first press of the pedal does nothing after this",
            )
            .because("The vehicle rolls off, and its brakes do not hold at the first press.")
            .repair("After the brake is together, and before the vehicle moves, write: `Press the brake pedal until it is firm.` Check the fluid then. Work on brakes belongs to trained people."),
        );
    }
}
