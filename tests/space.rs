//! The space of runs, on hand-made models, against brute force, and against an integer program.

mod build;
mod counts;
mod enumerated;
mod hand;
