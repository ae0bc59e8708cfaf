//! The calculation behind a joint or a circuit, line by line, as an experienced fitter would write it down.
//!
//! One calculation serves all: `checks` takes its verdicts from it, the manual prints its figures, `explain` shows
//! every line. So nobody can be shown a number other than the one that was judged.
//!
//! Terms: a *working* is the whole calculation; a *line* says what is worked out, by which formula, what it comes to, and
//! from where; the *standing* of a line says how far its value can be relied on.

pub mod circuit;
pub mod joint;
mod print;
mod report;

use crate::labels::{fill, sentence_case, spoken, term};
use crate::model::{Reference, Unknown};
use crate::trade::Source;

/// A whole calculation.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    /// Of what: `Arm to cross-beams (arm-joint)`.
    pub title: String,
    /// From what is given to what follows, in the order in which a person would work it out.
    pub lines: Vec<Line>,
}

/// One line of a calculation. Texts are ready to be printed; numbers carry their units, in the writer's unit systems.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What is worked out: `Stress area`.
    pub what: String,
    /// The formula with its numbers put in: `pi/4 (8 mm - 0.9382 x 1.25 mm)^2`. Empty where the value is looked up.
    pub formula: String,
    /// What it comes to: `36.6 mm2`.
    pub result: String,
    /// How far it can be relied on.
    pub standing: Standing,
    /// The publications behind the formula or the value, with how far each was confirmed; empty for what the writer
    /// states and for plain arithmetic.
    pub sources: Vec<Reference>,
}

/// How far a value can be relied on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// The writer states it in the procedure.
    Stated,
    /// A publication gives it, or the formula.
    Published,
    /// Common practice, or our own choice: no binding publication gives it.
    Practice,
    /// Plain arithmetic on the lines above.
    Computed,
    /// Something that nobody states is needed for it, so there is no value.
    Open,
}

impl Line {
    /// What the writer states in the procedure.
    fn stated(what: impl Into<String>, result: impl Into<String>) -> Line {
        Line {
            what: what.into(),
            formula: String::new(),
            result: result.into(),
            standing: Standing::Stated,
            sources: Vec::new(),
        }
    }

    /// What cannot be worked out, as it stands inside a sentence, and why.
    fn open(what: &str, why: impl Into<String>) -> Line {
        Line { standing: Standing::Open, ..Line::stated(sentence_case(what), why) }
    }

    /// A value that nobody knows.
    fn unknown(unknown: &Unknown) -> Line {
        let why = fill(spoken().unjudged.unknown, &[("why", unknown.why.trim_end_matches('.'))]);
        Line::open(term(unknown.what.words()), why)
    }

    /// What plain arithmetic gives.
    fn computed(what: impl Into<String>, formula: impl Into<String>, result: impl Into<String>) -> Line {
        Line { formula: formula.into(), standing: Standing::Computed, ..Line::stated(what, result) }
    }

    /// What a publication gives, as a value or by its formula.
    fn published(
        what: impl Into<String>,
        formula: impl Into<String>,
        result: impl Into<String>,
        sources: Vec<Reference>,
    ) -> Line {
        Line { formula: formula.into(), standing: Standing::Published, sources, ..Line::stated(what, result) }
    }

    /// The same line as common practice.
    fn by_practice(self) -> Line {
        Line { standing: Standing::Practice, ..self }
    }
}

/// A source of a formula as the model's rows name theirs.
fn reference(source: &Source) -> Reference {
    Reference { publication: source.publication.to_owned(), confirmed: source.confirmed.to_owned() }
}

impl Standing {
    /// The words for it: `stated here`.
    pub fn words(self) -> &'static str {
        match self {
            Standing::Stated => "stated in the procedure",
            Standing::Published => "published",
            Standing::Practice => "common practice",
            Standing::Computed => "computed",
            Standing::Open => "not judged",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::labels::{ENGLISH, Language, language_of, speaking};
    use crate::model::UnknownValue;

    #[test]
    fn each_value_that_may_be_unknown_has_its_words_in_every_language() {
        let mut english = Vec::new();
        let mut labels = ENGLISH;
        labels.each(&mut |group, _, text| english.extend((group == "unjudged").then_some(*text)));
        let longer: &'static Language = language_of("en-XA").unwrap();
        for (.., words) in UnknownValue::ALL {
            assert!(english.contains(words), "{words}");
            assert_ne!(speaking(longer, || term(words)), *words);
        }
    }
}
