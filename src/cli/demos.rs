//! The procedures that come with the program.

use crate::world::Memory;

/// Where they stand in the project that they come from; what is built from them is the same as what is built there.
const FOLDER: &str = "procedures";

/// The procedures, in the order in which they are worth reading.
const PROCEDURES: &[(&str, &[u8])] = &[
    ("finch-vise.fitw", include_bytes!("../../procedures/finch-vise.fitw")),
    ("kestrel-rack.fitw", include_bytes!("../../procedures/kestrel-rack.fitw")),
    ("wren-battery.fitw", include_bytes!("../../procedures/wren-battery.fitw")),
];

/// Their figures.
const FIGURES: &[(&str, &[u8])] = &[];

/// The paths of the procedures.
pub fn paths() -> impl Iterator<Item = String> {
    PROCEDURES.iter().map(|(name, _)| format!("{FOLDER}/{name}"))
}

/// A project with the procedures and their figures.
pub fn project() -> Memory {
    PROCEDURES
        .iter()
        .chain(FIGURES)
        .fold(Memory::default(), |project, (name, bytes)| project.with(format!("{FOLDER}/{name}"), *bytes))
}
