//! Fitwright: a small text language and compiler for the procedures by which workshops bolt and wire equipment onto
//! vehicles and machines.
#![warn(missing_docs)]

pub mod diagnostics;
pub mod model;
pub mod parse;
pub mod prose;
pub mod quantity;
pub mod source;
pub mod trade;
pub mod world;
