//! Amounts as whole numbers, so that what comes by length, volume or mass is added up as counts are.
//!
//! All amounts of a part are whole multiples of their greatest common divisor, the *grain*: of 1.2 m and 250 mm it is 50 mm.

use num_integer::Integer;
use num_traits::{CheckedDiv, CheckedMul, Signed};

use crate::model::{Counted, HowMuch, IdMap, LineKind, PartId, Procedure};
use crate::quantity::{Exact, Quantity};

/// The largest number of grains that one line may come to: sums of some thousands of them still fit.
const MOST: i64 = 1 << 44;

/// What one of a part is, where it is added up.
#[derive(Debug, Clone, Copy)]
pub(super) enum Grain {
    /// A piece.
    Piece,
    /// An amount, in the base unit of its kind, with the amount that was written first.
    Of(Exact, Quantity),
    /// The amounts have no common divisor that can be held.
    TooFine,
}

impl Grain {
    /// How many grains an entry is; `None` where that can't be held.
    pub fn number(self, count: u32, much: &HowMuch) -> Option<i64> {
        match (self, much.amount()) {
            (Grain::Of(size, _), Some(amount)) => {
                let number = amount.base()?.checked_div(&size).filter(Exact::is_integer)?;
                i64::try_from(*number.numer()).ok().filter(|number| *number <= MOST)
            }
            (Grain::TooFine, Some(_)) => None,
            _ => Some(i64::from(count)),
        }
    }

    /// So many grains, as the source would write them: `3`, `600 mm`.
    pub fn words(self, number: i64) -> String {
        let Grain::Of(size, first) = self else { return number.to_string() };
        let base = size.checked_mul(&Exact::from_integer(i128::from(number)));
        let made = base.and_then(|base| Quantity::from_base(base, first.unit, first.written));
        made.map_or_else(|| number.to_string(), |made| made.to_string())
    }

    /// Whether it is something that is counted.
    pub fn is_piece(self) -> bool {
        matches!(self, Grain::Piece)
    }
}

/// The grain of each part.
pub(super) fn grains(procedure: &Procedure) -> IdMap<PartId, Grain> {
    let mut grains = procedure.parts.each(Grain::Piece);
    let mut add = |entries: &[Counted<PartId>]| {
        for entry in entries {
            let Some(amount) = entry.much.amount() else { continue };
            let slot = &mut grains[entry.what];
            *slot = match (*slot, amount.base()) {
                (Grain::Piece, Some(base)) => Grain::Of(base, *amount),
                (Grain::Of(size, first), Some(base)) => {
                    common(size, base).map_or(Grain::TooFine, |size| Grain::Of(size, first))
                }
                _ => Grain::TooFine,
            };
        }
    };
    procedure.kit.iter().for_each(|group| add(&group.entries));
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        match &line.kind {
            LineKind::Take(entries) => add(entries),
            LineKind::MakeParts { made, from, .. } => {
                add(made);
                add(from);
            }
            _ => {}
        }
    }
    grains
}

/// The greatest amount of which both are whole multiples: of fractions in lowest terms the greatest common divisor of the
/// numerators over the least common multiple of the denominators.
fn common(a: Exact, b: Exact) -> Option<Exact> {
    let (a, b) = (a.abs(), b.abs());
    let over = a.numer().gcd(b.numer());
    let shared = a.denom().gcd(b.denom());
    let under = (a.denom() / shared).checked_mul(*b.denom())?;
    (over > 0).then(|| Exact::new(over, under))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_amounts_are_whole_multiples_of_their_grain() {
        let exact = |over: i128, under: i128| Exact::new(over, under);
        assert_eq!(common(exact(6, 5), exact(1, 4)), Some(exact(1, 20)), "1.2 m and 250 mm");
        assert_eq!(common(exact(3, 5), exact(6, 5)), Some(exact(3, 5)));
        assert_eq!(common(exact(127, 5000), exact(1, 1000)), Some(exact(1, 5000)), "1 in and 1 mm: 0.2 mm");
        assert_eq!(common(exact(1, i128::MAX), exact(1, i128::MAX - 1)), None);
    }
}
