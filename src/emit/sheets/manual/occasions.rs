//! How often the readings of a step are taken, and the words before the room for each.

use crate::labels::{fill, spoken};

/// How often the readings of a step are taken.
#[derive(Clone, Copy)]
pub(super) enum Occasions {
    /// Once.
    Once,
    /// Once, and again after each of so many repairs.
    AndAfterRepairs(u32),
    /// In each of so many repairs.
    InRepairs(u32),
}

impl Occasions {
    /// What stands before each room for a reading; nothing where there is one.
    pub(super) fn labels(self) -> Vec<String> {
        let labels = &spoken().check;
        match self {
            Occasions::Once | Occasions::InRepairs(1) => vec![String::new()],
            Occasions::AndAfterRepairs(times) => {
                let after = |n: u32| {
                    if times == 1 { labels.after_the_repair.to_owned() } else { nth(labels.after_repair, n) }
                };
                std::iter::once(labels.first.to_owned()).chain((1..=times).map(after)).collect()
            }
            Occasions::InRepairs(times) => (1..=times).map(|n| nth(labels.repair, n)).collect(),
        }
    }
}

/// A label with a number in it.
fn nth(label: &str, n: u32) -> String {
    fill(label, &[("n", &n.to_string())])
}
