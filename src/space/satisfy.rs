//! Whether numbers exist that satisfy linear comparisons, by the way that suits how many they are.

use super::differences::{self, Decided};
use super::elimination::eliminate;
use super::linear::{AtMost, Outcome, Read};
use crate::quantity::Exact;

/// Of so many numbers elimination chooses those that are nearest to the usual ones; of more it would take long, where they
/// can be decided otherwise.
pub(super) const FEW: usize = 8;

/// Values of the variables `0..reads.len()` that satisfy all comparisons.
pub(super) fn satisfy(comparisons: &[AtMost], reads: &[Read]) -> Outcome {
    let usual: Vec<Exact> = reads.iter().map(|read| read.usual).collect();
    if comparisons.iter().all(|comparison| comparison.holds(&usual) == Some(true)) {
        return Outcome::Values(usual);
    }
    let decided = if reads.len() > FEW { differences::decide(comparisons, reads) } else { None };
    match decided {
        Some(Decided::Values(values)) => Outcome::Values(values),
        Some(Decided::Nothing(_)) => Outcome::Nothing,
        None => eliminate(comparisons, reads),
    }
}
