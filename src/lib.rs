//! Fitwright: a small text language and compiler for the procedures by which workshops bolt and wire equipment onto
//! vehicles and machines.
#![warn(missing_docs)]
// What clippy.toml lists is I/O; a hash table may be looked up in, but its order must reach no output.
#![deny(clippy::disallowed_methods, clippy::disallowed_types, clippy::iter_over_hash_type)]
#![allow(
    clippy::large_enum_variant,
    reason = "trees and models are read far more often than moved; boxes would hide their shape"
)]

pub mod audit;
pub mod canonical;
pub mod checks;
pub mod cli;
pub mod compile;
pub mod diagnostics;
pub mod emit;
pub mod labels;
pub mod model;
pub mod parse;
pub mod plan;
pub mod prose;
pub mod quantity;
pub mod record;
pub mod resolve;
pub mod schema;
pub mod source;
pub mod space;
pub mod tailor;
pub mod trade;
pub mod working;
pub mod world;
