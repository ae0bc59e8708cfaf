//! The closed lists that words of the language come from, for whoever proposes one.

use super::{fasteners, joints, things};
use crate::model::Colour;
use crate::parse::fitting::Listed;

/// The words of a list, as they are written, in the order of the letters. `statement` is what stands before the word: what
/// is tightened and what is loosened have orders of their own, and a nut has no head.
pub fn words_of(list: Listed, statement: &str) -> Vec<&'static str> {
    fn of<T>(list: &[(&'static str, T)]) -> Vec<&'static str> {
        list.iter().map(|(word, _)| *word).collect()
    }
    let mut words = match list {
        Listed::FastenerWord => fasteners::words_of(kind_of_fastener(statement).unwrap_or_default()),
        Listed::ThreadCondition => of(joints::CONDITIONS),
        Listed::TappedMetal => of(joints::METALS),
        Listed::Order if statement.starts_with("loosened") => of(joints::LOOSENING),
        Listed::Order => of(joints::ORDERS),
        Listed::Drive => of(things::DRIVES),
        Listed::WireMetal => vec!["aluminium", "copper"],
        Listed::Colour => Colour::ALL.iter().map(|(word, ..)| *word).collect(),
        Listed::UnitSystem => vec!["inch", "metric"],
        Listed::StepLine => of(things::STEP_LINES),
    };
    words.sort_unstable();
    words
}

/// The kind of the fastener that a statement is about: `bolt` of `part foot-bolt bolt M8 x 30 mm, `.
pub fn kind_of_fastener(statement: &str) -> Option<&str> {
    let outside = statement.split('"').step_by(2).flat_map(str::split_whitespace);
    outside.skip(2).find(|word| matches!(*word, "bolt" | "screw" | "stud" | "nut" | "washer"))
}
