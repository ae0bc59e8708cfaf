//! A torque to write in the place of one that is doubted: whoever follows the advice must not be told the next thing.

use crate::quantity::{Exact, Measure, Quantity, Written};
use crate::working::joint::Figures;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub};
use std::cmp::Ordering;

/// The least tolerance that is advised, in per cent: a torque wrench holds 4 % above 10 N.m and 6 % up to that (ISO 6789,
/// public pages), and FW0511 asks for no less.
const LEAST_PER_CENT: i128 = 6;

/// A torque that stays, with its whole tolerance, between 30 % and 90 % of proof at the usual friction, as near as it can
/// to what is usual for joints that are taken apart again: `24 N.m +- 9 %`. The tolerance is the writer's. `None` where no
/// torque with that tolerance stays between them.
pub(super) fn torque(written: &Measure, figures: &Figures) -> Option<String> {
    let (usual, (least, most)) = (figures.suggested?, figures.doubted?);
    let per_cent = per_cent(written).unwrap_or(LEAST_PER_CENT).max(LEAST_PER_CENT);
    let share = Exact::new(per_cent, 100);
    let one = Exact::from_integer(1);
    let value = |quantity: &Quantity| quantity.in_unit(usual.unit);
    // The ends are printed rounded: what is advised stays a hundredth away from them.
    let highest = value(&most)?.checked_mul(&Exact::new(99, 100))?.checked_div(&one.checked_add(&share)?)?;
    let lowest = value(&least)?.checked_mul(&Exact::new(101, 100))?.checked_div(&one.checked_sub(&share)?)?;
    let wanted = if usual.value < highest { usual.value } else { highest };
    let rounded = rounded_down(wanted)?;
    (rounded.value >= lowest && rounded.value <= highest)
        .then(|| format!("{} +- {per_cent} %", Quantity::new(rounded.value, usual.unit, rounded.written)))
}

/// The tolerance of a torque in whole per cent of its middle, rounded up. `None` without two ends.
fn per_cent(written: &Measure) -> Option<i128> {
    let (low, high) = (written.low()?, written.high()?);
    let (low, high) = (low.base()?, high.base()?);
    let sum = high.checked_add(&low)?;
    let share = high.checked_sub(&low)?.checked_div(&sum)?.checked_mul(&Exact::from_integer(100))?;
    (share.cmp(&Exact::from_integer(100)) == Ordering::Less).then(|| share.ceil().to_integer())
}

struct Rounded {
    value: Exact,
    written: Written,
}

/// Down to a whole number, or to a tenth below ten.
fn rounded_down(value: Exact) -> Option<Rounded> {
    let decimals = u8::from(value < Exact::from_integer(10));
    let power = Exact::from_integer(if decimals == 0 { 1 } else { 10 });
    let value = value.checked_mul(&power)?.floor().checked_div(&power)?;
    Some(Rounded { value, written: Written::Decimals(decimals) })
}
