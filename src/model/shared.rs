//! Sections of a procedure whose text stands in a library.

use crate::source::Span;

/// A section that was brought in. Whatever was read for it has its number in its places
/// ([`FileId::section`](crate::source::FileId)), counted through [`Procedure::shared`](super::Procedure).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SharedSection {
    /// The name that the procedure gives it: `wiring`.
    pub id: String,
    /// The library: `lib/wiring`.
    pub library: String,
    /// The name that it has there: `feed`.
    pub section: String,
    /// Where it is brought in.
    pub line: Span,
}

impl SharedSection {
    /// `lib/wiring.feed`
    pub fn path(&self) -> String {
        format!("{}.{}", self.library, self.section)
    }
}
