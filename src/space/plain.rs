//! Numbers as people write them: as few digits as the place allows, in the unit in which the number is read.

use num_traits::{CheckedDiv, CheckedMul, CheckedSub, Signed, Zero};

use super::cells::{Cell, Grid, common_multiple, round_within};
use super::linear::{AtMost, Outcome, Read};
use super::satisfy::{FEW, satisfy};
use crate::quantity::{Exact, Unit};

/// What a number may be, apart from what ties it to others.
#[derive(Debug, Clone)]
pub(super) struct Room {
    /// Between what.
    pub cell: Cell,
    /// The readings, where not every number can be read.
    pub grid: Option<Grid>,
    /// The unit in which a person reads it.
    pub unit: Unit,
}

/// Powers of ten of the unit that are tried, from the coarsest.
const POWERS: std::ops::RangeInclusive<i32> = -9..=4;
/// Decimals beyond these are as good as endless.
const MOST_DECIMALS: u32 = 30;

/// How many digits a value, in base units, has in a unit, from the first that is not 0 to the last.
pub(super) fn digits(base: Exact, unit: Unit) -> u32 {
    let ten = Exact::from_integer(10);
    let value = base.checked_sub(&unit.offset()).and_then(|value| value.checked_div(&unit.factor()));
    let Some(mut value) = value.map(|value| value.abs()) else { return u32::MAX };
    for _ in 0..MOST_DECIMALS {
        if value.is_integer() {
            let mut whole = value.to_integer();
            while !whole.is_zero() && whole % 10 == 0 {
                whole /= 10;
            }
            return whole.checked_ilog10().map_or(1, |log| log + 1);
        }
        match value.checked_mul(&ten) {
            Some(next) => value = next,
            None => break,
        }
    }
    u32::MAX
}

/// Values that satisfy the comparisons with few digits: of the powers of ten of their units, all are multiples of the
/// same one and none coarser has such values; then each by itself, if they are few, is as coarse as the others leave it.
/// `None` where no finite decimals were found.
pub(super) fn plainest(comparisons: &[AtMost], rooms: &[Room]) -> Option<Vec<Exact>> {
    let (power, mut values) = POWERS.rev().find_map(|power| {
        let powers = vec![power; rooms.len()];
        multiples(comparisons, rooms, &powers).map(|values| (power, values))
    })?;
    if rooms.len() > FEW {
        return Some(values);
    }
    let mut powers = vec![power; rooms.len()];
    for at in 0..rooms.len() {
        for coarser in (power + 1..=*POWERS.end()).rev() {
            let mut tried = powers.clone();
            if let Some(slot) = tried.get_mut(at) {
                *slot = coarser;
            }
            if let Some(found) = multiples(comparisons, rooms, &tried) {
                (powers, values) = (tried, found);
                break;
            }
        }
    }
    Some(values)
}

/// Values that are multiples of these powers of ten of their units.
fn multiples(comparisons: &[AtMost], rooms: &[Room], powers: &[i32]) -> Option<Vec<Exact>> {
    let reads: Option<Vec<Read>> = rooms.iter().zip(powers).map(|(room, power)| coarse(room, *power)).collect();
    match satisfy(comparisons, &reads?) {
        Outcome::Values(values) => Some(values),
        Outcome::Nothing | Outcome::Unknown => None,
    }
}

fn coarse(room: &Room, power: i32) -> Option<Read> {
    let ten = Exact::from_integer(10);
    let power = (0..power.abs()).try_fold(Exact::from_integer(1), |product, _| {
        if power > 0 { product.checked_mul(&ten) } else { product.checked_div(&ten) }
    })?;
    let size = power.checked_mul(&room.unit.factor())?;
    let step = match room.grid {
        Some(grid) => common_multiple(size, grid.step)?,
        None => size,
    };
    let grid = Grid { step, zero: room.unit.offset() };
    let usual =
        if room.cell.low == room.cell.high { room.cell.low } else { round_within(&room.cell, Some(grid), room.unit) };
    (room.cell.contains(usual) && grid.has(usual)).then_some(Read { grid: Some(grid), unit: room.unit, usual })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(spelling: &str) -> Unit {
        Unit::lookup(spelling).expect("in the table")
    }

    fn room(spelling: &str, low: i128, high: i128) -> Room {
        let unit = unit(spelling);
        let at = |n: i128| Exact::from_integer(n) * unit.factor();
        let cell = Cell { low: at(low), low_included: true, high: at(high), high_included: true };
        Room { cell, grid: None, unit }
    }

    fn sum(bound: Exact, over: bool) -> AtMost {
        let sign = Exact::from_integer(if over { -1 } else { 1 });
        AtMost { terms: vec![(0, sign), (1, sign)], bound: bound * sign, strict: over }
    }

    #[test]
    fn digits_are_counted_from_the_first_that_is_not_nought() {
        let mm = |top: i128, bottom: i128| digits(Exact::new(top, bottom * 1000), unit("mm"));
        assert_eq!([mm(46, 1), mm(460, 1), mm(1, 200), mm(325, 2), mm(0, 1)], [2, 2, 1, 4, 1]);
        assert_eq!(mm(1, 3), u32::MAX);
        let celsius = unit("degC");
        assert_eq!(digits(Exact::from_integer(20) + celsius.offset(), celsius), 1);
    }

    /// 1 lb is 0.45359237 kg (NIST SP 811, B.8), so a bound in pounds lies at no short number of kilograms.
    #[test]
    fn a_bound_of_the_other_system_leaves_short_numbers_on_both_sides() {
        let bound = Exact::from_integer(100) * unit("lb").factor();
        for over in [false, true] {
            let rooms = [room("kg", 10, 60), room("lb", 10, 60)];
            let values = plainest(&[sum(bound, over)], &rooms).expect("there are some");
            assert_eq!(sum(bound, over).holds(&values), Some(true));
            let found: Vec<u32> = values.iter().zip(&rooms).map(|(value, room)| digits(*value, room.unit)).collect();
            assert_eq!(found, [1, 1], "{values:?}");
        }
    }

    #[test]
    fn what_an_equation_leaves_no_room_for_has_the_digits_that_it_needs() {
        let kg = |n: i128, of: i128| Exact::new(n, of) * unit("kg").factor();
        let both = [sum(kg(123, 10), false), AtMost { strict: false, ..sum(kg(123, 10), true) }];
        let rooms = [room("kg", 0, 60), room("kg", 0, 60)];
        let values = plainest(&both, &rooms).expect("there are some");
        assert_eq!(values.iter().sum::<Exact>(), kg(123, 10));
        assert_eq!(values.iter().map(|value| digits(*value, unit("kg"))).min(), Some(1), "{values:?}");
        assert!(values.iter().all(|value| digits(*value, unit("kg")) <= 3), "{values:?}");
    }

    #[test]
    fn a_third_has_no_end_and_is_left_alone() {
        let third = Exact::new(1, 3) * unit("kg").factor();
        let point = Cell { low: third, low_included: true, high: third, high_included: true };
        assert_eq!(plainest(&[], &[Room { cell: point, grid: None, unit: unit("kg") }]), None);
    }
}
