//! What fits what: a rating the load and the wire, a distance its rule, a terminal its wire and stud. Verdicts only.

use super::conductor::Given;
use crate::model::{Circuit, PartId, PointId, Procedure, Protector, ProtectorRatings, Terminal};
use crate::quantity::{Exact, Kind, Measure, Quantity};
use crate::source::Span;
use crate::trade::{base, wire};
use num_traits::CheckedMul;

/// A breaker or fuse against its load.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AgainstLoad {
    /// Rated below the continuous load.
    Below,
    /// Rated below 125 % of it.
    Close,
    /// Rated at 125 % of it or more.
    Enough,
}

/// A breaker or fuse against what its wire carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AgainstWire {
    /// At most what the wire carries.
    Within,
    /// Above it, and at most what the law for boats allows.
    Above,
    /// Above what the law for boats allows.
    Beyond,
}

/// How far a breaker or fuse is from its source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Distance {
    /// Within the rule for this wire.
    Near,
    /// Farther than the rule for this wire.
    Far,
    /// Farther than any rule allows.
    BeyondAll,
}

/// What a point's terminal does not fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TerminalFit {
    /// The point.
    pub point: PointId,
    /// The terminal at it.
    pub part: PartId,
    /// The wire that ends there, and where its size is stated; `None` where the wire is not stated.
    pub size: Option<(Quantity, Option<Span>)>,
    /// Whether its barrel is for this wire; `None` where the wire is not stated.
    pub wire: Option<bool>,
    /// Whether its hole is for the stud; `None` where the point names no stud.
    pub stud: Option<bool>,
}

/// The rating against the load, exactly: `load * 5/4` is no place for rounding.
pub(super) fn against_load(rating: &Quantity, load: &Quantity) -> Option<AgainstLoad> {
    let (rating, load) = (rating.base()?, load.base()?);
    let practice = load.checked_mul(&Exact::new(5, 4))?;
    Some(match () {
        () if rating < load => AgainstLoad::Below,
        () if rating < practice => AgainstLoad::Close,
        () => AgainstLoad::Enough,
    })
}

/// The rating against the wire. From 50 V on the next standard size above the wire's current is allowed, if it is no
/// more than 150 % of it.
pub(super) fn against_wire(
    rating_a: f64,
    ampacity_a: f64,
    given: &Given,
    circuit: &Circuit,
    ratings: &[ProtectorRatings],
) -> AgainstWire {
    let most = wire::MOST_PROTECTION_SHARE * ampacity_a;
    let higher = given.volts.is_some_and(|volts| volts >= wire::HIGHER_VOLTAGE);
    let sort = circuit.protection.as_ref().map(|protection| protection.sort);
    let next = sort.and_then(|sort| listed(ratings, sort).find(|listed| *listed >= ampacity_a - SLACK));
    match () {
        () if rating_a <= ampacity_a + SLACK => AgainstWire::Within,
        () if rating_a > most + SLACK => AgainstWire::Beyond,
        () if higher && next.is_none_or(|next| rating_a > next + SLACK) => AgainstWire::Beyond,
        () => AgainstWire::Above,
    }
}

/// What the last bit of a product may be off by, in amperes.
const SLACK: f64 = 1e-9;

/// Whether a row lists ratings of that sort. What is upstream may be of either.
pub(super) fn is_of(row: &ProtectorRatings, sort: Protector) -> bool {
    match sort {
        Protector::Fuse => row.fuse,
        Protector::Breaker => !row.fuse,
        Protector::Upstream => true,
    }
}

/// The listed ratings of fuses, of breakers or of both, ascending, in amperes.
pub(super) fn listed(ratings: &[ProtectorRatings], sort: Protector) -> impl Iterator<Item = f64> {
    let of_sort = ratings.iter().filter(|row| is_of(row, sort)).flat_map(|row| &row.ratings);
    let mut all: Vec<f64> = of_sort.filter_map(|rating| base(rating, Kind::Current)).collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    all.into_iter()
}

/// The least standard rating that bears 125 % of the load and is no more than the wire carries.
pub(super) fn next_rating(ratings: &[ProtectorRatings], sort: Protector, load_a: f64, ampacity_a: f64) -> Option<f64> {
    listed(ratings, sort)
        .find(|rating| *rating >= wire::LEAST_RATING_SHARE * load_a - SLACK)
        .filter(|rating| *rating <= ampacity_a + SLACK)
}

/// The distance against the rule for this wire.
pub(super) fn distance(at: &Quantity, sheathed: bool) -> Option<Distance> {
    // To a thousandth of a millimetre, so that 7 in written in either system is 7 in.
    let millimetres = (base(at, Kind::Length)? * 1e6).round() / 1e3;
    let most = if sheathed { wire::FARTHEST_SHEATHED_MM } else { wire::FARTHEST_BARE_MM };
    Some(match () {
        () if millimetres <= most => Distance::Near,
        () if millimetres <= wire::FARTHEST_FROM_BATTERY_MM => Distance::Far,
        () => Distance::BeyondAll,
    })
}

/// Every terminal of a circuit against the wires that end at its point, and its stud.
pub(super) fn terminals(procedure: &Procedure, circuit: &Circuit) -> Vec<TerminalFit> {
    let mut fits = Vec::new();
    for (id, point) in circuit.points.iter() {
        let Some(part) = point.terminal else { continue };
        let Some(terminal) = procedure.parts[part].terminal.as_ref() else { continue };
        let stud = point.stud.as_ref().map(|stud| terminal.studs.iter().any(|hole| same_hole(hole, stud)));
        let mut sizes: Vec<Option<(Quantity, Option<Span>)>> = Vec::new();
        if circuit.own_wire_ends_at(id) {
            sizes.push(circuit.wire.map(|wire| (wire, circuit.places.wire)));
        }
        let others = circuit.conductors.iter().filter(|conductor| conductor.reaches(id));
        for conductor in others {
            let Some(size) = conductor.size else { continue };
            let is_known = |(known, _): &(Quantity, _)| known.kind() == size.kind() && known.base() == size.base();
            if !sizes.iter().flatten().any(is_known) {
                sizes.push(Some((size, conductor.size_span)));
            }
        }
        fits.extend(sizes.into_iter().map(|size| TerminalFit {
            point: id,
            part,
            size,
            wire: size.map(|(size, _)| takes(terminal, &size)),
            stud,
        }));
    }
    fits
}

/// Whether a terminal's barrel is for a wire.
pub(super) fn takes(terminal: &Terminal, wire: &Quantity) -> bool {
    terminal.wires.iter().any(|range| {
        let (first, last) = match range {
            Measure::Range { low, high } => (low, high),
            other => (other.stated(), other.stated()),
        };
        if first.kind() != wire.kind() {
            return false;
        }
        let (Some(first), Some(last), Some(wire)) = (first.base(), last.base(), wire.base()) else { return false };
        // A range of gauges falls as the wire grows.
        (first.min(last)..=first.max(last)).contains(&wire)
    })
}

/// Whether a hole for one thread is a hole for the other: the pitch makes no difference to it.
fn same_hole(hole: &str, stud: &str) -> bool {
    let diameter = |thread: &str| thread.split('x').next().unwrap_or(thread).to_owned();
    hole == stud || (hole.starts_with('M') && diameter(hole) == diameter(stud))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Unit, Written};

    fn quantity(value: i128, unit: &str) -> Quantity {
        Quantity::new(Exact::from_integer(value), Unit::lookup(unit).unwrap(), Written::Decimals(0))
    }

    #[test]
    fn a_rating_of_exactly_125_per_cent_is_enough() {
        assert_eq!(against_load(&quantity(30, "A"), &quantity(24, "A")), Some(AgainstLoad::Enough));
        assert_eq!(against_load(&quantity(30, "A"), &quantity(25, "A")), Some(AgainstLoad::Close));
        assert_eq!(against_load(&quantity(20, "A"), &quantity(25, "A")), Some(AgainstLoad::Below));
        assert_eq!(against_load(&quantity(20_000, "mA"), &quantity(20, "A")), Some(AgainstLoad::Close));
    }

    #[test]
    fn seven_inches_is_seven_inches_in_either_system() {
        assert_eq!(distance(&quantity(7, "in"), false), Some(Distance::Near));
        assert_eq!(distance(&quantity(178, "mm"), false), Some(Distance::Near), "7 in as a metric document prints it");
        assert_eq!(distance(&quantity(179, "mm"), false), Some(Distance::Far));
        assert_eq!(distance(&quantity(40, "in"), true), Some(Distance::Near));
        assert_eq!(distance(&quantity(41, "in"), true), Some(Distance::Far));
        assert_eq!(distance(&quantity(72, "in"), false), Some(Distance::Far));
        assert_eq!(distance(&quantity(73, "in"), true), Some(Distance::BeyondAll));
    }

    #[test]
    fn a_band_takes_its_gauges_and_no_area_of_the_other_system() {
        let range = |low, high, unit| Measure::Range { low: quantity(low, unit), high: quantity(high, unit) };
        let yellow = Terminal {
            wires: vec![range(12, 10, "AWG"), range(4, 6, "mm2")],
            studs: vec!["M10".into()],
            sources: Vec::new(),
        };
        assert!(takes(&yellow, &quantity(12, "AWG")) && takes(&yellow, &quantity(11, "AWG")));
        assert!(!takes(&yellow, &quantity(14, "AWG")) && !takes(&yellow, &quantity(8, "AWG")));
        assert!(takes(&yellow, &quantity(6, "mm2")) && !takes(&yellow, &quantity(10, "mm2")));
        assert!(same_hole("M10", "M10x1.25") && !same_hole("M10", "M1") && !same_hole("3/8-16", "3/8-24"));
    }
}
