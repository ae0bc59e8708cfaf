//! Text to tree as written.
pub mod tree;
