//! Values that a writer cannot have, said in their place with the reason: `insulation unknown "The harness is bought in."`.
//!
//! What rests on such a value is not judged, no finding asks for it, and the account of the procedure lists it.

use super::{Circuit, Joint, Procedure};
use crate::source::Span;

/// A value that nobody knows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unknown {
    /// Which.
    pub what: UnknownValue,
    /// Why, and who decides.
    pub why: String,
    /// Where it is said.
    pub span: Span,
}

/// The values that may be unknown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "each is the line of the same name")]
pub enum UnknownValue {
    Mass,
    /// The class or grade of a fastener, or of the stud that is there already.
    Class,
    /// Which thread a fastener has.
    Size,
    /// How a fastener is turned.
    Drive,
    /// The condition of a thread.
    Thread,
    Grip,
    /// How many fastenings a joint has.
    Count,
    /// The thread that a bolt goes into, where it has no nut.
    Into,
    /// The stud that a nut goes onto, where it has no bolt.
    Onto,
    /// The torque of a joint.
    Torque,
    /// How long a torque wrench is, from the middle of its grip to its square.
    Lever,
    Source,
    Load,
    Run,
    Wire,
    Insulation,
    Ambient,
    /// The resistance of the chassis.
    Chassis,
    /// The breaker or fuse of a circuit.
    Protection,
    /// How far from the source the breaker or fuse is, along the wire.
    Distance,
    /// The colour of a conductor.
    Colour,
}

impl UnknownValue {
    /// Each with the word of its line, and in a sentence after `the`.
    pub const ALL: &'static [(&'static str, UnknownValue, &'static str)] = &[
        ("mass", UnknownValue::Mass, "mass"),
        ("class", UnknownValue::Class, "class"),
        ("size", UnknownValue::Size, "thread of the fastener"),
        ("drive", UnknownValue::Drive, "drive of the fastener"),
        ("thread", UnknownValue::Thread, "condition of the thread"),
        ("grip", UnknownValue::Grip, "grip"),
        ("count", UnknownValue::Count, "number of fastenings"),
        ("into", UnknownValue::Into, "thread that the bolt goes into"),
        ("onto", UnknownValue::Onto, "stud that the nut goes onto"),
        ("torque", UnknownValue::Torque, "torque"),
        ("lever", UnknownValue::Lever, "length of the wrench"),
        ("source", UnknownValue::Source, "voltage of the source"),
        ("load", UnknownValue::Load, "load"),
        ("run", UnknownValue::Run, "length of the run"),
        ("wire", UnknownValue::Wire, "wire"),
        ("insulation", UnknownValue::Insulation, "temperature that the insulation bears"),
        ("ambient", UnknownValue::Ambient, "warmest place on the run"),
        ("chassis return", UnknownValue::Chassis, "resistance of the chassis"),
        ("protected", UnknownValue::Protection, "breaker or fuse"),
        (UnknownValue::AT_DISTANCE, UnknownValue::Distance, "distance of the breaker or fuse from the source"),
        (UnknownValue::COLOUR, UnknownValue::Colour, "colour of a conductor"),
    ];

    /// The word of the distance, which stands within the line of the breaker or fuse.
    pub const AT_DISTANCE: &'static str = "at";

    /// The word of the colour, which stands within the line of the conductor.
    pub const COLOUR: &'static str = "conductor";

    /// By the word of its line.
    pub fn of_word(word: &str) -> Option<UnknownValue> {
        UnknownValue::ALL.iter().find(|(known, ..)| *known == word).map(|(_, value, _)| *value)
    }

    /// In a sentence, after `the`: `condition of the thread`.
    pub fn words(self) -> &'static str {
        UnknownValue::ALL.iter().find(|(_, value, _)| *value == self).map_or("", |(.., words)| words)
    }
}

/// What a list says of a value.
pub fn unknown(list: &[Unknown], what: UnknownValue) -> Option<&Unknown> {
    list.iter().find(|unknown| unknown.what == what)
}

impl Joint {
    /// Every value that is unknown of the joint: its own, and those of its fasteners.
    pub fn unknown_values<'p>(&'p self, procedure: &'p Procedure) -> impl Iterator<Item = &'p Unknown> {
        let of_parts = self.each.iter().flat_map(|entry| &procedure.parts[entry.what].unknown);
        self.unknown.iter().chain(of_parts.filter(|unknown| unknown.what != UnknownValue::Mass))
    }
}

impl Circuit {
    /// Whether nobody knows how warm the wire gets, and so what it carries.
    pub fn is_warmth_unknown(&self) -> bool {
        let says = |what| unknown(&self.unknown, what).is_some();
        says(UnknownValue::Insulation) || says(UnknownValue::Ambient)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_value_has_a_word_and_words() {
        for (word, value, words) in UnknownValue::ALL {
            assert_eq!(UnknownValue::of_word(word), Some(*value));
            assert_eq!(value.words(), *words);
        }
        assert_eq!(UnknownValue::of_word("pattern"), None);
    }
}
