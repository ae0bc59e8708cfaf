//! Friction in threads and under heads, as the nut factor K of `T = K F d`, with where each range comes from.
//!
//! No source gives friction to a number, and the sources disagree; so every value is a range, and whoever prints one
//! says whose it is. A torque wrench adds scatter of its own: preload within 25 % up or down, by a public page.

use super::Source;

/// The nut factor K as a range: friction is never known to a number.
///
/// A finding must speak of a range of preload, never of one "true" preload.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NutFactor {
    /// Slippery end: the same torque clamps most.
    pub least: f64,
    /// The value to speak of when one is asked for.
    pub usual: f64,
    /// Rough end: the same torque clamps least.
    pub most: f64,
    /// Where the three values come from. Empty where no publication was found: then the range is our own choice.
    pub sources: &'static [Source],
}

const TABLES_AFTER_IFI: Source = Source {
    publication: "IFI fastener standards, 5th edition, N-12: K 0.20 plain, 0.15 plated",
    confirmed: "a public distributor's table that names it",
};
const BICKFORD_DRY: Source = Source {
    publication: "Bickford, bolted joints: K 0.20 for steel as received",
    confirmed: "second hand, public pages",
};
const SHIGLEY_FINISHES: Source = Source {
    publication: "Shigley, mechanical engineering design: K 0.30 plain black, 0.20 zinc",
    confirmed: "second hand, a public page that quotes it",
};
const ZINC_DRY: Source = Source {
    publication: "Bickford and Nassar, bolted joints: K 0.295 for zinc, dry",
    confirmed: "second hand, public pages; an equipment maker prints 0.22",
};
const SCATTER: Source =
    Source { publication: "scatter of preload with a torque wrench: 25 % up or down", confirmed: "a public page" };
const OIL: Source =
    Source { publication: "vendors' tables for oiled threads: K 0.15 to 0.20", confirmed: "public vendors' pages" };
const SHIGLEY_LUBRICATED: Source =
    Source { publication: "Shigley, mechanical engineering design: K 0.18 lubricated", confirmed: "from memory" };
const WAX: Source =
    Source { publication: "vendors' tables for waxed threads: K 0.10 to 0.14", confirmed: "public vendors' pages" };
const SHIGLEY_ANTI_SEIZE: Source = Source {
    publication: "Shigley, mechanical engineering design: K 0.12 with anti-seize paste",
    confirmed: "from memory",
};

impl NutFactor {
    /// Steel as received, plain. 0.20 in three tables (one after IFI N-12 and N-16, a retail table, Bickford); 0.30
    /// for plain black, second hand from Shigley. The lower end is 0.20 less 25 % scatter.
    pub const DRY: NutFactor = NutFactor {
        least: 0.15,
        usual: 0.20,
        most: 0.30,
        sources: &[TABLES_AFTER_IFI, BICKFORD_DRY, SHIGLEY_FINISHES, SCATTER],
    };

    /// Zinc plated, no oil. 0.15 in a table after IFI; 0.20 for zinc, second hand from Shigley; 0.22 from an
    /// equipment maker; 0.295 second hand from Bickford and Nassar, here rounded up.
    pub const PLATED: NutFactor =
        NutFactor { least: 0.15, usual: 0.20, most: 0.30, sources: &[TABLES_AFTER_IFI, SHIGLEY_FINISHES, ZINC_DRY] };

    /// With oil. 0.15 to 0.20 on vendors' pages; 0.18 from Shigley (from memory).
    pub const OILED: NutFactor =
        NutFactor { least: 0.15, usual: 0.18, most: 0.20, sources: &[OIL, SHIGLEY_LUBRICATED] };

    /// With wax. 0.10 to 0.14 on vendors' pages.
    pub const WAXED: NutFactor = NutFactor { least: 0.10, usual: 0.12, most: 0.14, sources: &[WAX] };

    /// With anti-seize paste. 0.12 from Shigley (from memory), and 25 % scatter either way.
    pub const ANTI_SEIZE: NutFactor =
        NutFactor { least: 0.09, usual: 0.12, most: 0.15, sources: &[SHIGLEY_ANTI_SEIZE, SCATTER] };

    /// With thread locker. No source was found; taken as dry, which is the widest range (our choice).
    pub const THREAD_LOCKER: NutFactor = NutFactor { sources: &[], ..NutFactor::DRY };

    /// Where the writer does not say: the band from plated to plain black (our choice, not a source).
    pub const UNSTATED: NutFactor = NutFactor { least: 0.15, usual: 0.20, most: 0.30, sources: &[] };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_factor_is_a_range_in_order() {
        let all = [
            NutFactor::DRY,
            NutFactor::PLATED,
            NutFactor::OILED,
            NutFactor::WAXED,
            NutFactor::ANTI_SEIZE,
            NutFactor::THREAD_LOCKER,
            NutFactor::UNSTATED,
        ];
        for factor in all {
            assert!(factor.least <= factor.usual && factor.usual <= factor.most, "{factor:?}");
        }
    }

    #[test]
    fn what_was_published_says_by_whom_and_how_far_it_was_confirmed() {
        let published = [NutFactor::DRY, NutFactor::PLATED, NutFactor::OILED, NutFactor::WAXED, NutFactor::ANTI_SEIZE];
        for factor in published {
            assert!(!factor.sources.is_empty(), "{factor:?}");
            assert!(factor.sources.iter().all(|source| !source.confirmed.is_empty()), "{factor:?}");
        }
    }
}
