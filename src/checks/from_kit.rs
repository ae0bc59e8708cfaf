//! What each `place` takes out of the kit: what its joint needs beyond what a `take` before has brought to hand.

use std::collections::{BTreeMap, BTreeSet};

use crate::model::{JointId, PartId};
use crate::source::Span;
use crate::space::{EventId, Formula};

/// A joint for which some of a part were taken, and fewer than it has.
#[derive(Clone, Copy)]
pub(super) struct Partly {
    pub at: EventId,
    /// The line that puts it together, and the last one that took of the part.
    pub place: Span,
    pub taken: Span,
    pub joint: JointId,
    pub part: PartId,
    pub runs: Formula,
    pub in_hand: u32,
    pub count: u32,
}

/// For each event that puts a joint together, how many of each part come out of the kit for it.
#[derive(Default)]
pub(super) struct FromKit {
    of: BTreeMap<EventId, Vec<(PartId, Formula, u32)>>,
    too_many: BTreeSet<PartId>,
    partly: Vec<Partly>,
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

    /// Fewer were taken for a joint than it has.
    pub fn some_taken(&mut self, partly: Partly) {
        self.partly.push(partly);
    }

    /// The joints for which fewer of a part were taken than they have.
    pub fn partly(&self, part: PartId) -> impl Iterator<Item = Partly> {
        self.partly.iter().copied().filter(move |partly| partly.part == part)
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
