//! How many there are of something, where that depends on the run. A *heap* keeps, for each possible number, in which runs it is that.

use std::collections::BTreeMap;

use super::proof::Proof;
use crate::space::Formula;

/// The most different numbers that are kept apart.
const MOST_NUMBERS: usize = 96;

/// A number that depends on the run.
#[derive(Clone)]
pub(super) struct Heap {
    of: BTreeMap<u32, Formula>,
    /// Beyond that, it is said that the count was not decided.
    pub(super) too_many: bool,
}

impl Heap {
    pub(super) fn empty() -> Heap {
        Heap { of: BTreeMap::from([(0, Formula::ALWAYS)]), too_many: false }
    }

    /// Changes the number in some runs.
    pub(super) fn change(&mut self, proof: &mut Proof<'_>, guard: Formula, to: impl Fn(u32) -> u32) {
        if guard == Formula::NEVER {
            return;
        }
        let mut next: BTreeMap<u32, Formula> = BTreeMap::new();
        let mut add = |proof: &mut Proof<'_>, number: u32, formula: Formula| {
            if formula != Formula::NEVER {
                let before = next.get(&number).copied().unwrap_or(Formula::NEVER);
                next.insert(number, proof.space.either(before, formula));
            }
        };
        for (number, formula) in &self.of {
            let (changed, kept) = (proof.space.both(*formula, guard), proof.space.both(*formula, !guard));
            add(proof, to(*number), changed);
            add(proof, *number, kept);
        }
        if next.len() > MOST_NUMBERS {
            self.too_many = true;
        } else {
            self.of = next;
        }
    }

    /// The numbers below so many, each with the runs in which it is that.
    pub(super) fn numbers_below(&self, number: u32) -> impl Iterator<Item = (u32, Formula)> {
        self.of.range(..number).map(|(number, formula)| (*number, *formula))
    }

    /// In which runs there are fewer than so many.
    pub(super) fn below(&self, proof: &mut Proof<'_>, number: u32) -> Formula {
        proof.space.any(self.of.range(..number).map(|(_, formula)| *formula))
    }
}
