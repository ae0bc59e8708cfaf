//! Numbers that depend on the run: for each possible number, in which runs it is that.

use super::proof::Proof;
use crate::space::Formula;
use std::collections::BTreeMap;

/// The most different numbers that are kept apart; beyond, it is said that the count was not decided.
const MOST_NUMBERS: usize = 96;

/// A number that depends on the run.
#[derive(Clone)]
pub(super) struct Heap {
    /// For each number, the runs in which it is that.
    pub of: BTreeMap<u32, Formula>,
    /// More numbers than are kept apart.
    pub too_many: bool,
}

impl Heap {
    pub fn empty() -> Heap {
        Heap { of: BTreeMap::from([(0, Formula::ALWAYS)]), too_many: false }
    }

    /// Changes the number in some runs.
    pub fn change(&mut self, proof: &mut Proof<'_>, guard: Formula, to: impl Fn(u32) -> u32) {
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

    /// In which runs there are fewer than so many.
    pub fn below(&self, proof: &mut Proof<'_>, number: u32) -> Formula {
        proof.space.any(self.of.range(..number).map(|(_, formula)| *formula))
    }
}
