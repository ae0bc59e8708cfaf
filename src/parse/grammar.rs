//! The only place that holds what pest makes of `grammar/fitwright.pest`.
#![allow(missing_docs, reason = "each rule is explained in the grammar itself")]

/// Reads one statement by a rule of the grammar.
#[derive(pest_derive::Parser)]
#[grammar = "../grammar/fitwright.pest"]
pub struct Grammar;
