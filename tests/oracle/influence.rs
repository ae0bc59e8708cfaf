//! Which inputs decide nothing.
//!
//! All walks form a tree: a node for each decision, a leaf for what came of it. A node whose branches are all alike is
//! replaced by one of them. An input decides nothing where none of its nodes is left.
//!
//! Two leaves are told apart in two ways. *Deeds*: the steps passed, how it ended, what was set, supplied and exists,
//! how limits came out. *Everything*: the deeds, and how each condition and branch came out, though nothing followed
//! from it. What changes nothing at all decides nothing for certain; what changes no deed may be said to.

use std::collections::hash_map::DefaultHasher;
use std::collections::{BTreeMap, BTreeSet};
use std::hash::{Hash, Hasher};

use fitwright::model::{Id, Reading};

use super::enumerate::Decision;
use super::trace::{Ending, Walk};

/// The script of a walk, the digest of its deeds, and that of everything.
type Leaf = (Vec<Decision>, u64, u64);

/// Gathers walks in the order of their scripts.
#[derive(Debug, Default)]
pub struct Influence {
    leaves: Vec<Leaf>,
}

/// Inputs that changed something.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Deciding {
    /// They change what is done.
    pub deeds: BTreeSet<Reading>,
    /// They change at least how a condition comes out.
    pub anything: BTreeSet<Reading>,
}

impl Influence {
    /// One more walk.
    pub fn add(&mut self, walk: &Walk, script: &[Decision]) {
        let deeds = hash(|into| hash_deeds(walk, into));
        let everything = hash(|into| {
            hash_deeds(walk, into);
            walk.arms.hash(into);
            walk.reached.keys().for_each(|place| place.hash(into));
            walk.verdicts.iter().for_each(|verdict| (verdict.at, verdict.held).hash(into));
        });
        self.leaves.push((script.to_vec(), deeds, everything));
    }

    /// What decides, after all walks were seen.
    pub fn deciding(&self) -> Deciding {
        let mut found = Deciding::default();
        self.reduce(0..self.leaves.len(), 0, &|leaf| leaf.1, &mut found.deeds);
        self.reduce(0..self.leaves.len(), 0, &|leaf| leaf.2, &mut found.anything);
        found
    }

    /// The digest of the reduced tree over a run of leaves that share their first `depth` decisions.
    fn reduce(
        &self,
        run: std::ops::Range<usize>,
        depth: usize,
        digest: &dyn Fn(&Leaf) -> u64,
        deciding: &mut BTreeSet<Reading>,
    ) -> u64 {
        let Some(first) = self.leaves.get(run.start) else { return 0 };
        let Some(decision) = first.0.get(depth) else { return digest(first) };
        let mut branches = Vec::new();
        let mut start = run.start;
        while start < run.end {
            let way = self.leaves[start].0.get(depth).map(|decision| decision.way);
            let length = self.leaves[start..run.end]
                .iter()
                .take_while(|leaf| leaf.0.get(depth).map(|decision| decision.way) == way)
                .count();
            branches.push(self.reduce(start..start + length, depth + 1, digest, deciding));
            start += length;
        }
        // Neighbouring values of a given that do the same are one.
        branches.dedup();
        if let [only] = branches.as_slice() {
            return *only;
        }
        deciding.extend(decision.input);
        hash(|into| (decision.input, &branches).hash(into))
    }
}

fn hash(feed: impl FnOnce(&mut DefaultHasher)) -> u64 {
    let mut hasher = DefaultHasher::new();
    feed(&mut hasher);
    hasher.finish()
}

fn hash_deeds(walk: &Walk, into: &mut DefaultHasher) {
    if let Ending::Refused { .. } = walk.ending {
        "refused".hash(into);
        return;
    }
    walk.steps.iter().for_each(|step| step.index().hash(into));
    match &walk.ending {
        Ending::Handover(at) | Ending::Stop { at, .. } | Ending::TurnedAway { at, .. } => at.hash(into),
        Ending::RanOut => "ran out".hash(into),
        Ending::Refused { .. } => {}
    }
    walk.exists.hash(into);
    walk.sets.hash(into);
    let limits: BTreeMap<_, _> = walk.limits.iter().map(|verdict| (verdict.limit, verdict.holds)).collect();
    limits.hash(into);
}
