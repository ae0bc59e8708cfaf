//! The publications behind the rules and formulas of circuits. What stands in a row of a library has its own.

use crate::model::Reference;

fn cited(publication: &str, confirmed: &str) -> Vec<Reference> {
    vec![Reference { publication: publication.to_owned(), confirmed: confirmed.to_owned() }]
}

/// Rise of copper's resistance with its temperature, and its resistivity.
pub(super) fn copper() -> Vec<Reference> {
    cited(
        "International Annealed Copper Standard: 1.7241e-8 ohm m at 20 degC, 0.00393 of it more for each kelvin",
        "computed; a published table of resistances at 75 degC agrees within 0.4 %",
    )
}

/// Factors for warm air.
pub(super) fn air() -> Vec<Reference> {
    cited(
        "33 CFR 183.425, Table 5, note 1 (boats): factors for engine spaces of 50 degC; for other temperatures the law of heat behind them",
        "the factor of 105 degC by public pages, the others from memory; the formula for other temperatures is ours, comes within 0.01 of them and does not exceed them",
    )
}

/// Factors for bundles.
pub(super) fn bundle() -> Vec<Reference> {
    cited(
        "33 CFR 183.425, Table 5, note 2 (boats): current-carrying wires in a bundle",
        "a public copy; the law asks for it at 50 V and over, and a bundle heats the same below",
    )
}

/// Temperature of a conductor below its full current.
pub(super) fn heat() -> Vec<Reference> {
    cited(
        "Law of heat: the rise above the air grows with the square of the current",
        "common practice; at the full current it gives the temperature that the insulation bears",
    )
}

/// Voltage drop that practice allows.
pub(super) fn usual_drop() -> Vec<Reference> {
    cited(
        "ABYC E-11 (boats), as quoted: 3 % for feeders, electronics and navigation lights, 10 % for other lighting",
        "public pages that quote it; the standard was not read",
    )
}

/// Rating against a continuous load.
pub(super) fn continuous_load() -> Vec<Reference> {
    cited(
        "A breaker or fuse is rated at 125 % or more of a load that flows for three hours or more",
        "common practice; a supplier's page, and NEC 210.20 from memory",
    )
}

/// Rating against the wire.
pub(super) fn rating_and_wire() -> Vec<Reference> {
    cited(
        "33 CFR 183.455(c) (boats): below 50 V at most 150 % of what the wire carries; from 50 V on 100 %, or the next standard size",
        "a public copy of the text; the law takes the table's value, and here the factors for warm air and bundles count too, on the safe side",
    )
}

/// No protection of starter cables.
pub(super) fn starter_cables() -> Vec<Reference> {
    cited(
        "33 CFR 183.425(g) and 183.455 (boats) leave out the cables of cranking motors",
        "a public copy of the text of the first, public pages on the second",
    )
}

/// The stricter reading.
pub(super) fn stricter_rating() -> Vec<Reference> {
    cited("ABYC E-11 (boats), as quoted: at most 100 % of what the wire carries", "public pages that quote it")
}

/// Distance from the source.
pub(super) fn distance() -> Vec<Reference> {
    cited(
        "33 CFR 183.455(b) (boats): 7 in from the source along the wire, 40 in in a sheath or enclosure",
        "a public copy of the text",
    )
}

/// Distance from a battery's own post.
pub(super) fn distance_from_battery() -> Vec<Reference> {
    cited(
        "ABYC E-11 (boats), as quoted: 72 in where the sheathed wire starts at the battery's post",
        "public pages that quote it, and they differ on the sheath",
    )
}
