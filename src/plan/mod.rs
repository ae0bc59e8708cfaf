//! The facts of a resolved procedure that several readers need, each worked out in one place.

pub(crate) mod occurrence;
