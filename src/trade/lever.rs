//! A torque wrench through an adapter that makes its lever longer.

use super::Source;
use crate::quantity::Exact;
use num_traits::{CheckedAdd, CheckedDiv, Signed, Zero};

/// Where the formula comes from.
pub const LEVER: Source = Source {
    publication: "Common formula of the trade for torque adapters: setting = torque × L / (L + E)",
    confirmed: "From memory, as common practice; it follows from the balance of moments, with the hand at the middle of the grip",
};

/// What a torque wrench shows, as a share of the torque at the fastening: `L / (L + E)`. `lever` is its length L from the middle
/// of the grip to the square; `extension` is E, by how much the adapter puts the fastening beyond the square, along the handle.
/// Both are lengths in one unit. An adapter across the handle has no extension, so the share is one.
///
/// `None` where the lever is not longer than nothing, the extension is below zero, or the numbers are too large.
pub fn share_on_wrench(lever: Exact, extension: Exact) -> Option<Exact> {
    if !lever.is_positive() || extension.is_negative() {
        return None;
    }
    if extension.is_zero() {
        return Some(Exact::from_integer(1));
    }
    lever.checked_div(&lever.checked_add(&extension)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_setting_balances_the_moments() {
        let share =
            |lever: i128, extension: i128| share_on_wrench(Exact::from_integer(lever), Exact::from_integer(extension));
        // A hand at 280 mm from the square pushes with 70 N: 19.6 N·m on the wrench, and 70 N × 315 mm = 22.05 N·m at the bolt.
        assert_eq!(share(280, 35), Some(Exact::new(280, 315)));
        assert_eq!(share(12, 2), Some(Exact::new(6, 7)));
        assert_eq!(share(280, 0), Some(Exact::from_integer(1)));
        assert_eq!(share(0, 35), None);
        assert_eq!(share(280, -35), None);
    }
}
