//! Conversion for a reader of the other system: how many digits, and rounded which way.
//!
//! Two duties pull against each other. What is printed must not claim more than the writer said, and it must not
//! lead a technician out of what the writer allows. So:
//!
//! * A bound or a tolerance is rounded *inwards*: whoever keeps to the printed one keeps to the stated one. It takes
//!   as many decimals as it needs to lose at most a tenth of its width.
//! * A single value takes the coarsest power of ten that isn't coarser than the writer's own last digit, after
//!   conversion. NIST SP 811, B.7.2 rounds its example so: 36 ft is 11.0 m, neither 10.9728 m nor 11 m. Where that
//!   would shift the value by more than [`MOST_SHIFT_PERCENT`] it takes further digits (12 in is 305 mm).
//!
//! Common practice of the workshop, ours to choose:
//!
//! * A length in inches converts to whole millimetres at the coarsest, and to tenths where it was written as a
//!   fraction: 9/16 in is 14.3 mm.
//! * A length in millimetres converts to decimal inches, never to sixteenths: in the trade a fraction of an inch is
//!   the name of a size, and 13 mm printed as 1/2 in would send someone for the wrong socket.
//! * A whole number of four or more digits that ends in a zero is taken as rounded: to the ten, and beyond six
//!   figures to four figures. So 10000 lb is 4536 kg.

use std::cmp::Ordering;

use num_integer::Integer;
use num_traits::{CheckedDiv, CheckedMul, CheckedSub, Signed, Zero};

use super::{Exact, Kind, Quantity, Unit, Written};

/// By how much rounding may shift a single value or a bound. (Not on temperature scales, where nought is nothing
/// special.)
pub const MOST_SHIFT_PERCENT: i128 = 1;

/// Share of a tolerance's or range's width that must be left after rounding inwards, in tenths.
pub const LEAST_TENTHS_LEFT: i128 = 9;

/// Most decimals that are printed. A tolerance that would need more has no converted form.
const MOST_DECIMALS: i8 = 12;

/// Which way a value may move.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Direction {
    /// To the nearest, from the middle away from nought, as the trade's charts do: 3/4 in is 19.1 mm. (NIST SP 811,
    /// B.7.1 would go to the even digit.)
    Nearest,
    /// To more.
    Up,
    /// To less.
    Down,
}

/// A single value or a bound in another unit.
pub(super) fn single(quantity: &Quantity, target: Unit, direction: Direction) -> Option<Quantity> {
    let exact = quantity.in_unit(target)?;
    for places in first_places(quantity, target)?..=MOST_DECIMALS {
        let rounded = round(exact, places, direction)?;
        if quantity.kind() == Kind::Temperature || shift_is_small(exact, rounded)? {
            return Some(as_quantity(rounded, places, target));
        }
    }
    None
}

/// A value and its tolerance in another unit: what they span lies within what is stated.
pub(super) fn tolerance(value: &Quantity, half: &Quantity, target: Unit) -> Option<(Quantity, Quantity)> {
    let middle = value.in_unit(target)?;
    let half_exact = half.value.checked_mul(&half.unit.factor().checked_div(&target.factor())?)?;
    let start = first_places(value, target)?.min(first_places(half, target)?).max(0);
    for places in start..=MOST_DECIMALS {
        let rounded = round(middle, places, Direction::Nearest)?;
        // The middle has moved; the side that it moved towards has less room now.
        let room = half_exact.checked_sub(&rounded.checked_sub(&middle)?.abs())?;
        let half_rounded = round(room, places, Direction::Down)?;
        if half_rounded.is_positive() && enough_left(half_rounded, half_exact)? {
            return Some((as_quantity(rounded, places, target), as_quantity(half_rounded, places, target)));
        }
    }
    None
}

/// A range in another unit, within the stated one.
pub(super) fn range(low: &Quantity, high: &Quantity, target: Unit) -> Option<(Quantity, Quantity)> {
    let (low_exact, high_exact) = (low.in_unit(target)?, high.in_unit(target)?);
    let width = high_exact.checked_sub(&low_exact)?;
    let start = first_places(low, target)?.min(first_places(high, target)?).max(0);
    for places in start..=MOST_DECIMALS {
        let (low, high) = (round(low_exact, places, Direction::Up)?, round(high_exact, places, Direction::Down)?);
        let left = high.checked_sub(&low)?;
        // A range of one value keeps it or has no converted form.
        if !left.is_negative() && (left.is_positive() || width.is_zero()) && enough_left(left, width)? {
            return Some((as_quantity(low, places, target), as_quantity(high, places, target)));
        }
    }
    None
}

/// Decimals to begin with, negative for tens and hundreds: the coarsest power of ten that isn't coarser than the
/// writer's last digit.
fn first_places(quantity: &Quantity, target: Unit) -> Option<i8> {
    let ratio = quantity.unit.factor().checked_div(&target.factor())?;
    let step = resolution(quantity)?.checked_mul(&ratio)?;
    let least = match (quantity.kind(), target.spelling(), quantity.written) {
        (Kind::Length, "mm", Written::Fraction(_)) => 1,
        (Kind::Length, "mm", Written::Decimals(_)) => 0,
        _ => -6,
    };
    (least..=MOST_DECIMALS).find(|places| power_of_ten(-places).is_some_and(|power| power <= step))
}

/// The writer's last digit, in the writer's unit. A fraction names its size exactly; it counts as written to a tenth
/// of its denominator's part.
pub(super) fn resolution(quantity: &Quantity) -> Option<Exact> {
    match quantity.written {
        Written::Fraction(denominator) => Some(Exact::new(1, i128::from(denominator.max(1)).checked_mul(10)?)),
        Written::Decimals(0) if quantity.value.is_integer() => power_of_ten(rounded_zeros(*quantity.value.numer())),
        Written::Decimals(places) => power_of_ten(-i8::try_from(places).ok()?),
    }
}

/// How many of the zeros at the end of a whole number count as rounding.
fn rounded_zeros(number: i128) -> i8 {
    let digits = number.unsigned_abs().to_string();
    let zeros = digits.len() - digits.trim_end_matches('0').len();
    let most = match digits.len() {
        0..=3 => 0,
        4..=6 => 1,
        more => more - 4,
    };
    i8::try_from(zeros.min(most)).unwrap_or(0)
}

fn round(value: Exact, places: i8, direction: Direction) -> Option<Exact> {
    let step = power_of_ten(-places)?;
    let steps = value.checked_div(&step)?;
    let (below, over) = steps.numer().div_mod_floor(steps.denom());
    let up = match direction {
        Direction::Up => over != 0,
        Direction::Down => false,
        Direction::Nearest => match over.checked_mul(2)?.cmp(steps.denom()) {
            Ordering::Less => false,
            Ordering::Equal => !below.is_negative(),
            Ordering::Greater => true,
        },
    };
    Exact::from_integer(below.checked_add(i128::from(up))?).checked_mul(&step)
}

fn shift_is_small(exact: Exact, rounded: Exact) -> Option<bool> {
    let shift = rounded.checked_sub(&exact)?.abs().checked_mul(&Exact::from_integer(100))?;
    Some(shift <= exact.abs().checked_mul(&Exact::from_integer(MOST_SHIFT_PERCENT))?)
}

fn enough_left(left: Exact, of: Exact) -> Option<bool> {
    let ten = Exact::from_integer(10);
    Some(left.checked_mul(&ten)? >= of.checked_mul(&Exact::from_integer(LEAST_TENTHS_LEFT))?)
}

fn power_of_ten(exponent: i8) -> Option<Exact> {
    let size = 10_i128.checked_pow(u32::from(exponent.unsigned_abs()))?;
    // A fraction with one above has nothing to be reduced by.
    Some(if exponent < 0 { Exact::new_raw(1, size) } else { Exact::from_integer(size) })
}

fn as_quantity(value: Exact, places: i8, unit: Unit) -> Quantity {
    Quantity { value, unit, written: Written::Decimals(u8::try_from(places).unwrap_or(0)) }
}
