//! The standard library, built into the binary.

/// The library that is always in force.
pub(super) const HAZARDS: &str = "std/hazards";

const LIBRARIES: &[(&str, &str)] = &[
    ("std/fasteners", include_str!("../../shared/std/fasteners.fitw")),
    ("std/hand-tools", include_str!("../../shared/std/hand-tools.fitw")),
    ("std/hazards", include_str!("../../shared/std/hazards.fitw")),
    ("std/materials", include_str!("../../shared/std/materials.fitw")),
    ("std/protection", include_str!("../../shared/std/protection.fitw")),
    ("std/wiring", include_str!("../../shared/std/wiring.fitw")),
    ("std/work", include_str!("../../shared/std/work.fitw")),
];

/// The text of a standard library.
pub(super) fn library(name: &str) -> Option<&'static str> {
    LIBRARIES.iter().find(|(known, _)| *known == name).map(|(_, text)| *text)
}

/// The names of all of them.
pub(super) fn names() -> impl Iterator<Item = &'static str> {
    LIBRARIES.iter().map(|(name, _)| *name)
}

/// The standard library's files: the name in `use` and the text.
pub fn standard_libraries() -> impl Iterator<Item = (&'static str, &'static str)> {
    LIBRARIES.iter().copied()
}
