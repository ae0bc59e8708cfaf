//! What writers are used to from plain documents, and the language has no form for: quantities that are only about right, one
//! line for several joints, a number of times that nobody says, a person more. Each is told with what to write instead.

use super::{Break, Told, is_word, told};
use crate::parse::phrases::{want, wants_quantity};
use fitwright_grammar::Rule;

/// Before a quantity that is not meant exactly.
const ABOUT: &[&str] = &["about", "approx", "approximately", "around", "roughly", "ca", "circa", "nearly", "some"];

/// Numbers in words, from one.
const NUMBERS: [&str; 12] =
    ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];

fn is_count(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

impl Break<'_> {
    /// The habit that breaks the statement here.
    pub(super) fn habit(&self) -> Option<Told> {
        self.about()
            .or_else(|| self.several_joints())
            .or_else(|| self.unknown_times())
            .or_else(|| self.person_more())
            .or_else(|| self.no_colour())
            .or_else(|| self.torque_first())
            .or_else(|| self.times_sign())
            .or_else(|| self.glued_size())
            .or_else(|| self.in_words())
    }

    /// `run about 200 mm`
    fn about(&self) -> Option<Told> {
        let is_about = |word: &str| ABOUT.contains(&word.to_lowercase().as_str());
        let number = |text: &str| text.trim_start_matches('.').trim_start().starts_with(|c: char| c.is_ascii_digit());
        let rest = self.rest.strip_prefix(self.found).unwrap_or_default();
        let said = if wants_quantity(self.expected) && is_about(self.found) && number(rest) {
            self.found
        } else if is_about(self.last) && number(self.rest) {
            self.last
        } else {
            return None;
        };
        Some(told(
            format!("`{said}` leaves open how much less or more is still right"),
            "not an exact quantity",
            format!(
                "Write the quantity that is right in any case, or a range where the form takes one. {}",
                self.shape()
            ),
        ))
    }

    /// `tighten cap-joint, knob-joint by hand`
    fn several_joints(&self) -> Option<Told> {
        let word = self.form.word;
        let of_one = matches!(word, "snug" | "tighten" | "loosen");
        let is_list = of_one && matches!(self.found, "," | "and" | "&") && self.before.trim_start().starts_with(word);
        // What follows may be tools whose `with` lacks.
        let is_first = self.before.split_whitespace().count() == 2;
        (is_list && is_first).then(|| {
            told(
                format!("`{word}` works on one joint"),
                "a second one",
                format!("Write a `{word}` line for each of the joints, with its own tools or `by hand`."),
            )
        })
    }

    /// `repair at most unknown times`
    fn unknown_times(&self) -> Option<Told> {
        (self.form.word == "repair" && self.found == "unknown").then(|| {
            told(
                "`repair` needs a number of times",
                "somebody must stop trying at last",
                "Write after how many times your workshop stops and asks, `repair at most 3 times { … }`; the check's `else` says what follows then.",
            )
        })
    }

    /// `conductor from board pin 4 to lamp pin 1`
    fn no_colour(&self) -> Option<Told> {
        let mut words = self.before.split_whitespace();
        let is_first = words.next() == Some("conductor") && (words.next() == Some("from") || self.found == "from");
        is_first.then(|| {
            told(
                "`conductor` needs its colour before its ends",
                "its colour is missing",
                "Write it first, `conductor red from …`, or say why nobody knows it: `conductor unknown \"Bought in.\" from …`.",
            )
        })
    }

    /// `record torque cap-joint`
    fn torque_first(&self) -> Option<Told> {
        let is_name = self.found.starts_with(|c: char| c.is_ascii_lowercase());
        (self.form.word == "record" && self.last == "torque" && is_name).then(|| {
            told(
                "`record` takes the joint before `torque`",
                "this comes first",
                format!("Write `record {} torque`.", self.found),
            )
        })
    }

    /// `take 2x cap-bolt`
    fn times_sign(&self) -> Option<Told> {
        let count = self.last.strip_suffix(['x', 'X'])?;
        (is_count(count) && is_word(self.found)).then(|| {
            told(
                "a count stands before its part without an `x`",
                "its part",
                format!("Write `{count} {}`.", self.found),
            )
        })
    }

    /// `bolt M8x70 8.8`
    fn glued_size(&self) -> Option<Told> {
        let (size, length) = self.last.split_once(['x', 'X'])?;
        let is_size = size.starts_with('M') && size.ends_with(|c: char| c.is_ascii_digit()) && is_count(length);
        (is_size && self.expects(Rule::w_x)).then(|| {
            told(
                format!("`{}` is a thread and a length in one word", self.last),
                "the length is missing before this",
                format!("Write `{size} x {length} mm, class 8.8`, with the class that the bolt has."),
            )
        })
    }

    /// `count two`
    fn in_words(&self) -> Option<Told> {
        let number = NUMBERS.iter().position(|word| *word == self.found)? + 1;
        (!self.complete() && want(self.expected).contains("number"))
            .then(|| told("a number is written in digits", "in words", format!("Write `{} {number}`.", self.before)))
    }

    /// `takes an additional person`
    fn person_more(&self) -> Option<Told> {
        let of_people = self.rest.split_whitespace().take(4).any(|word| {
            matches!(
                word.trim_end_matches('.'),
                "person" | "persons" | "people" | "helper" | "man" | "men" | "technician"
            )
        });
        (self.form.word == "takes" && of_people && self.last == "takes").then(|| {
            told(
                "`takes` says how many people there are in all",
                "not a number of people",
                "Write `takes two people`, or with a time: `takes 10 min, two people`.",
            )
        })
    }
}
