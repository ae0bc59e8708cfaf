//! How long a bolt must be, and how much of its thread must engage.
//!
//! No binding standard was found for what a workshop asks of these; the rules below are makers' and the trade's, and each
//! says whose.

use super::Source;

/// Metal with a tapped thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Tapped {
    /// Steel.
    Steel,
    /// Cast iron.
    CastIron,
    /// Aluminium and its alloys.
    Aluminium,
}

/// Least depth of full thread that must engage, in bolt diameters.
pub fn least_engagement(metal: Tapped) -> f64 {
    match metal {
        Tapped::Steel => 1.0,
        Tapped::CastIron => 1.25,
        Tapped::Aluminium => 2.0,
    }
}

/// Where [`least_engagement`] comes from.
pub fn engagement_source(metal: Tapped) -> Source {
    match metal {
        Tapped::Steel => Source {
            publication: "rule of the trade: one diameter of thread in steel",
            confirmed: "from memory; an engine maker's manual asks for 1.25 diameters",
        },
        Tapped::CastIron => Source {
            publication: "an engine maker's manual: 1.25 diameters of thread in steel and iron",
            confirmed: "a public copy of one manual",
        },
        Tapped::Aluminium => Source {
            publication: "an engine maker's manual and TM 9-6115-604-34: 2 diameters of thread in aluminium",
            confirmed: "public copies of both",
        },
    }
}

/// How many threads should stand out of a nut at least, so that the nut holds over its whole height: the first thread of
/// a bolt is not full. Common practice.
pub const LEAST_THREADS_OUT: f64 = 1.0;

/// How much of a bolt may stand out of its nut before it is called much too long, in millimetres: one diameter, and
/// never less than 10 mm, the largest step between standard lengths up to 150 mm (ISO 888, from memory). The band is our
/// own; the practice is one to three threads.
pub fn most_standing_out_mm(diameter_mm: f64) -> f64 {
    diameter_mm.max(10.0)
}

/// Where the band of [`LEAST_THREADS_OUT`] and [`most_standing_out_mm`] comes from.
pub const STANDING_OUT_SOURCE: Source = Source {
    publication: "common practice: one to three threads stand out of the nut",
    confirmed: "no publication; the upper end, one diameter and at least 10 mm, is our own choice",
};
