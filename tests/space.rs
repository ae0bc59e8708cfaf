//! The space of runs, on hand-made models, against brute force, and against an integer program.

#[path = "space/build.rs"]
mod build;
#[path = "space/counts.rs"]
mod counts;
#[path = "space/enumerated/mod.rs"]
mod enumerated;
#[path = "space/hand.rs"]
mod hand;
