//! How a spread lies within its tolerance.
//!
//! Cp = (U − L) / 6s and Cpk = the lesser of (U − x̄) / 3s and (x̄ − L) / 3s, with the limits L and U, the mean x̄ and the sample
//! standard deviation s (n − 1). Source of the formulas: NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6, and the
//! documentation of SAS/QC, PROC CAPABILITY, which takes s of the whole sample too. Where s is taken from the whole sample, as
//! here, and not from small groups that were made at one time, other books call the same figures Pp and Ppk.
//! They mean what they say only where values spread as the normal distribution does.

/// Fewer values than this say too little: common practice, where samples of 50 and of 100 are usual; from memory.
pub const SMALLEST_SAMPLE: u64 = 50;
/// A Cpk below this is looked at first: common practice. D. C. Montgomery, Introduction to Statistical Quality Control, recommends
/// 1.33 at least for an existing process, and 1.50 where safety or strength depends on it (as the SAS documentation quotes it).
pub const ENOUGH: f64 = 1.33;

/// Cp, which takes two limits; `None` also without a spread.
pub(super) fn cp(low: Option<f64>, high: Option<f64>, deviation: f64) -> Option<f64> {
    let (low, high) = low.zip(high)?;
    (deviation > 0.0).then(|| (high - low) / (6.0 * deviation))
}

/// Cpk, by whichever limits there are; `None` without any, and without a spread.
pub(super) fn cpk(low: Option<f64>, high: Option<f64>, mean: f64, deviation: f64) -> Option<f64> {
    let below = low.map(|low| (mean - low) / (3.0 * deviation));
    let above = high.map(|high| (high - mean) / (3.0 * deviation));
    let least = match (below, above) {
        (Some(below), Some(above)) => below.min(above),
        (one, other) => one.or(other)?,
    };
    (deviation > 0.0).then_some(least)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook, 6.1.6, its example (from memory): limits 8 and 20, mean 16, deviation 2: Cp is 1, Cpk 0.6667.
    #[test]
    fn the_example_of_the_handbook() {
        assert_eq!(cp(Some(8.0), Some(20.0), 2.0), Some(1.0));
        let found = cpk(Some(8.0), Some(20.0), 16.0, 2.0).expect("a figure");
        assert!((found - 4.0 / 6.0).abs() < 1e-12);
    }

    #[test]
    fn one_limit_has_a_cpk_and_no_cp() {
        assert_eq!(cp(Some(8.0), None, 2.0), None);
        assert_eq!(cpk(Some(8.0), None, 20.0, 2.0), Some(2.0));
        assert_eq!(cpk(None, None, 20.0, 2.0), None);
        assert_eq!(cpk(Some(8.0), Some(20.0), 16.0, 0.0), None);
    }
}
