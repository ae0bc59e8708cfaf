//! What each `place` takes out of the kit: what its joint needs beyond what a `take` before has brought to hand.

use std::collections::{BTreeMap, BTreeSet};

use crate::model::PartId;
use crate::space::{EventId, Formula};

/// For each event that puts a joint together, how many of each part come out of the kit for it.
#[derive(Default)]
pub(super) struct FromKit {
    of: BTreeMap<EventId, Vec<(PartId, Formula, u32)>>,
    too_many: BTreeSet<PartId>,
}

impl FromKit {
    /// So many more come out of the kit, in these runs.
    pub fn add(&mut self, at: EventId, part: PartId, runs: Formula, count: u32) {
        self.of.entry(at).or_default().push((part, runs, count));
    }

    /// What comes out of the kit at an event, with the runs in which it is that many.
    pub fn at(&self, event: EventId) -> &[(PartId, Formula, u32)] {
        self.of.get(&event).map_or(&[], Vec::as_slice)
    }

    /// How many are in hand was not followed to the end.
    pub fn not_followed(&mut self, part: PartId) {
        self.too_many.insert(part);
    }

    /// Whether how many are in hand was followed to the end.
    pub fn is_known(&self, part: PartId) -> bool {
        !self.too_many.contains(&part)
    }
}
