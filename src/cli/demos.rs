//! The procedures that come with the program.

use crate::world::Memory;

/// The procedures, the richest first: its manual is the one to look at.
const PROCEDURES: &[(&str, &[u8])] = &[
    ("kestrel-rack.fitw", include_bytes!("../../procedures/kestrel-rack.fitw")),
    ("heron-box.fitw", include_bytes!("../../procedures/heron-box.fitw")),
    ("finch-vise.fitw", include_bytes!("../../procedures/finch-vise.fitw")),
    ("kestrel-care.fitw", include_bytes!("../../procedures/kestrel-care.fitw")),
    ("wren-battery.fitw", include_bytes!("../../procedures/wren-battery.fitw")),
];

/// Their figures.
const FIGURES: &[(&str, &[u8])] = &[
    ("figures/kestrel-bracket.png", include_bytes!("../../procedures/figures/kestrel-bracket.png")),
    ("figures/kestrel-rail.svg", include_bytes!("../../procedures/figures/kestrel-rail.svg")),
];

/// Their translations.
const TRANSLATIONS: &[(&str, &[u8])] = &[("kestrel-rack.de.po", include_bytes!("../../procedures/kestrel-rack.de.po"))];

/// The paths of the procedures.
pub fn paths() -> impl Iterator<Item = &'static str> {
    PROCEDURES.iter().map(|(name, _)| *name)
}

/// A project with the procedures, their figures and their translations, laid out as the folder `procedures` is: what is built from it is
/// what is built from there.
pub fn project() -> Memory {
    PROCEDURES
        .iter()
        .chain(FIGURES)
        .chain(TRANSLATIONS)
        .fold(Memory::default(), |project, (name, bytes)| project.with(*name, *bytes))
}
