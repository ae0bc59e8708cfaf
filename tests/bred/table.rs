//! How many edits of each kind are found.

use std::collections::BTreeMap;
use std::fmt;

use super::edits::Edit;
use super::judge::Verdict;

/// Counts by verdict: caught, told, equivalent, silent.
type Counts = [usize; 4];

/// By family and kind.
#[derive(Default)]
pub struct Table(BTreeMap<&'static str, BTreeMap<String, Counts>>);

impl Table {
    /// One more.
    pub fn count(&mut self, edit: &Edit, verdict: Verdict) {
        self.0.entry(edit.family).or_default().entry(edit.kind.clone()).or_default()[verdict as usize] += 1;
    }
}

fn sum<'a>(counts: impl Iterator<Item = &'a Counts>) -> Counts {
    counts.fold([0; 4], |sum, one| std::array::from_fn(|at| sum[at] + one[at]))
}

fn row(f: &mut fmt::Formatter<'_>, name: &str, counts: &Counts) -> fmt::Result {
    let all: usize = counts.iter().sum();
    let said = all - counts[Verdict::Silent as usize];
    let share = if all == 0 { 100.0 } else { said as f64 * 100.0 / all as f64 };
    let [caught, told, same, silent] = counts;
    writeln!(f, "{name:48} {all:6} {caught:7} {told:6} {same:6} {silent:7} {share:6.1} %")
}

impl fmt::Display for Table {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "{:48} {:>6} {:>7} {:>6} {:>6} {:>7}  not silent",
            "", "edits", "caught", "told", "same", "silent"
        )?;
        for (family, kinds) in &self.0 {
            for (kind, counts) in kinds {
                row(f, &format!("  {kind}"), counts)?;
            }
            row(f, family, &sum(kinds.values()))?;
        }
        row(f, "all", &sum(self.0.values().flat_map(BTreeMap::values)))
    }
}
