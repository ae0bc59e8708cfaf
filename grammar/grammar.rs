//! What pest makes of `fitwright.pest`, and nothing else: a package of its own, so that it is compiled when the grammar
//! changes and not with every change of the compiler.
#![allow(missing_docs, reason = "each rule is explained in the grammar itself")]

// What pest makes without its `std` names it.
extern crate alloc;

/// Reads one statement by a rule of the grammar.
#[derive(pest_derive::Parser)]
#[grammar = "fitwright.pest"]
pub struct Grammar;
