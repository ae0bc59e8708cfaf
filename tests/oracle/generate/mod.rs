//! Writes small but nasty procedures, as source text.
//!
//! A *sketch* is what proptest draws and shrinks: a skeleton of flow, and *stories*. A story is the life of one thing (a
//! joint is placed, snugged, tightened, loosened, tightened again) whose events go to steps of the skeleton. A tidy story
//! keeps all its events in one body of the flow, in their order, so that every path has all or none; an untidy one spreads
//! them in order over any steps; a wild one in any order. Sketches hold small numbers, taken modulo what there is, so
//! that every shrunk sketch is still a procedure.

pub mod care;
pub mod conditions;
pub mod numbers;
pub mod plan;
pub mod said;
pub mod sketch;
pub mod stories;
pub mod text;

use proptest::prelude::*;

/// A generated procedure; shown as its text, so that a failure can be read.
#[derive(Clone, PartialEq, Eq)]
pub struct Written {
    /// The source.
    pub text: String,
}

impl std::fmt::Debug for Written {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "\n{}", self.text)
    }
}

/// Procedures with everything in them; every third by a careful writer.
pub fn procedures() -> impl Strategy<Value = Written> {
    let sketches = prop_oneof![2 => sketch::sketches(), 1 => sketch::sketches().prop_map(care::careful)];
    sketches.prop_map(|sketch| Written { text: text::write(&sketch) })
}
