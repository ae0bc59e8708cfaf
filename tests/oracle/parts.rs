//! Parts: supplied, taken, taken off, put back, thrown away.
//!
//! **Decisions.** `take` takes out of the kit, always, into the hand. `place` uses what was taken and is in hand first, then what
//! is in the kit: whoever has taken four bolts and then reads that the joint is put together takes those. Parts that came off serve only `refit`, and what is used up in making others is not in hand. What was taken and
//! comes off again has been fitted: it is not in hand any more, and of the like what was there before comes off first. Parts that come off are
//! one heap for each kind of part: `refit` and `discard` do not ask from which joint a bolt came. A part that was taken
//! may come off again like one that was on the vehicle. To discard what is not in hand shows as FW0606. A consumable is
//! never counted. Of parts that stand for one another a job has one, the same all through. Of a range of counts a job takes the most, and has no more than the least to take off again. Lengths,
//! volumes and masses are counted in whole millimetres, millilitres and grams. What is made is there from then on.

use fitwright::diagnostics::Code;
use fitwright::model::{Counted, HowMuch, Id, Line, LineKind, PartId};
use fitwright::quantity::{Exact, Quantity};
use fitwright::source::Span;

use super::interpreter::Job;
use super::trace::Subject;

impl<'p> Job<'p, '_> {
    /// Before the job: what the kit supplies here, what is on the vehicle.
    pub(super) fn lay_out_parts(&mut self) {
        let procedure = self.procedure;
        for group in &procedure.kit {
            if self.exists(group.when.as_ref()) {
                for entry in &group.entries {
                    let row = &mut self.trace.parts[entry.what.index()];
                    row.supplied += number(entry);
                    row.supplied_or += if entry.is_alternative() { number(entry) } else { 0 };
                }
            }
        }
        for group in &procedure.vehicle {
            if !self.exists(group.when.as_ref()) {
                continue;
            }
            for entry in &group.entries {
                let part = &mut self.trace.parts[entry.what.index()];
                part.loose += entry.count;
                part.own += entry.count;
                part.met = true;
            }
        }
        for (joint, row) in procedure.joints.iter() {
            if self.exists(row.when.as_ref()) && row.on_vehicle {
                let life = &mut self.trace.joints[joint.index()];
                (life.in_place, life.tight, life.was_tight) = (true, true, true);
                row.each.iter().for_each(|entry| self.trace.parts[entry.what.index()].met = true);
            }
        }
        for circuit in procedure.circuits.rows() {
            self.exists(circuit.when.as_ref());
        }
        for (state, row) in procedure.states.iter() {
            if !self.exists(row.when.as_ref()) {
                // It has no value, and isolates nothing.
                self.states[state.index()] = usize::MAX;
            }
        }
    }

    fn counted(&self, part: PartId) -> bool {
        !self.procedure.parts[part].consumable
    }

    /// The places of a part at which a finding about it may point.
    fn places_of(&self, part: PartId) -> Vec<Span> {
        let row = &self.procedure.parts[part];
        let kit = self.procedure.kit.iter().flat_map(|group| &group.entries);
        let entries = kit.filter(|entry| entry.what == part).map(|entry| entry.span);
        [row.name.span, row.span].into_iter().chain(entries).collect()
    }

    /// From the kit, by a line that may say how much in any way.
    pub(super) fn take_much(&mut self, entry: &Counted<PartId>, at: Span) {
        // One at least is taken where nobody says how many; what is left is not judged then.
        let unknown = matches!(entry.much, HowMuch::Unknown(_));
        self.trace.parts[entry.what.index()].uncounted |= unknown;
        let taken = if unknown { entry.count } else { number(entry) };
        if entry.is_alternative() {
            let doubtful = self.trace.doubtful;
            let row = &mut self.trace.parts[entry.what.index()];
            row.taken_or += taken;
            row.taken_or_certain += if doubtful { 0 } else { taken };
            self.take(entry.what, taken, at);
            // It may have been another, so that none is sure to be there.
            let row = &mut self.trace.parts[entry.what.index()];
            row.loose -= taken;
            row.fresh -= taken;
            return;
        }
        self.take(entry.what, taken, at);
        if let HowMuch::Between(least, most) = entry.much {
            let row = &mut self.trace.parts[entry.what.index()];
            row.loose -= most - least;
            row.fresh -= most - least;
        }
    }

    /// Parts are made of others.
    pub(super) fn make_parts(&mut self, made: &[Counted<PartId>], from: &[Counted<PartId>], at: Span) {
        for entry in from {
            let before = self.trace.parts[entry.what.index()];
            self.take_much(entry, at);
            // They are used up, and don't come off again.
            let row = &mut self.trace.parts[entry.what.index()];
            (row.loose, row.fresh) = (before.loose, before.fresh);
        }
        for entry in made {
            let row = &mut self.trace.parts[entry.what.index()];
            row.met = true;
            row.supplied += number(entry);
        }
    }

    /// From the kit.
    pub(super) fn take(&mut self, part: PartId, count: u32, at: Span) {
        let counted = self.counted(part);
        let doubtful = self.trace.doubtful;
        let row = &mut self.trace.parts[part.index()];
        row.met = true;
        if counted {
            row.taken += count;
            row.loose += count;
            row.fresh += count;
            if !doubtful {
                row.taken_certain += count;
            }
            row.short = row.short.max(row.over());
            row.short_certain = row.short_certain.max(row.over_certain());
            let overdrawn = (row.over(), row.over_certain(), self.trace.repairs);
            self.trace.overdrawn[part.index()].push(overdrawn);
            self.takes[part.index()].push(at);
        }
    }

    /// Off the vehicle, into the hand.
    pub(super) fn remove(&mut self, part: PartId, count: u32, at: Span) {
        if !self.counted(part) {
            return;
        }
        let row = self.trace.parts[part.index()];
        // Whether parts that this very job took can come off again is not said: such a fault is only possible.
        let never_there = row.loose < count;
        if row.own < count {
            self.fault_if(never_there, Code::FW0609, at, Subject::Part(part), self.places_of(part));
        }
        let row = &mut self.trace.parts[part.index()];
        row.loose = row.loose.saturating_sub(count);
        row.fresh = row.fresh.min(row.loose);
        row.own = row.own.saturating_sub(count);
        row.removed += count;
        row.in_hand += count;
        self.removes[part.index()].push(at);
    }

    /// Takes removed parts out of the hand; to take what is not there is the graver matter than to use again what serves once.
    /// Whether the part is one that counts.
    fn out_of_hand(&mut self, part: PartId, count: u32, at: Span, serves_again: bool) -> bool {
        if !self.counted(part) {
            return false;
        }
        if self.trace.parts[part.index()].in_hand < count {
            self.fault(Code::FW0606, at, Subject::Part(part), self.places_of(part));
        }
        if serves_again && self.procedure.parts[part].single_use {
            self.fault(Code::FW0607, at, Subject::Part(part), self.places_of(part));
        }
        let row = &mut self.trace.parts[part.index()];
        row.in_hand = row.in_hand.saturating_sub(count);
        true
    }

    /// From the hand back on the vehicle.
    pub(super) fn refit(&mut self, part: PartId, count: u32, at: Span) {
        if !self.out_of_hand(part, count, at, true) {
            return;
        }
        let row = &mut self.trace.parts[part.index()];
        row.refitted += count;
        row.loose += count;
        row.own += count;
    }

    /// From the hand into the bin.
    pub(super) fn discard(&mut self, part: PartId, count: u32, at: Span) {
        if !self.out_of_hand(part, count, at, false) {
            return;
        }
        self.trace.parts[part.index()].discarded += count;
        // Of what is no joint's, nothing is left to speak of.
        let of_a_joint = self.procedure.joints.rows().iter().any(|row| row.each.iter().any(|entry| entry.what == part));
        let row = &mut self.trace.parts[part.index()];
        if !of_a_joint && row.in_hand == 0 && row.loose == 0 {
            row.met = false;
        }
    }

    /// What came off lies ready for another joint, like what was taken.
    pub(super) fn reuse(&mut self, part: PartId, count: u32, at: Span) {
        if !self.out_of_hand(part, count, at, true) {
            return;
        }
        let row = &mut self.trace.parts[part.index()];
        row.loose += count;
        row.fresh += count;
        row.ready += count;
        self.reuses[part.index()].push(at);
    }

    /// From the hand into the owner's bag. It is there still, to be spoken of.
    pub(super) fn keep(&mut self, part: PartId, count: u32, from_kit: bool, at: Span) {
        if self.procedure.is_spare(part, from_kit) {
            let before = self.trace.parts[part.index()];
            self.take(part, count, at);
            // It goes into the owner's bag, and into no joint.
            let row = &mut self.trace.parts[part.index()];
            (row.loose, row.fresh) = (before.loose, before.fresh);
            return;
        }
        if self.out_of_hand(part, count, at, false) {
            self.trace.parts[part.index()].kept += count;
        }
    }

    /// Parts that a step's own lines bring: prose of the step may mention them, wherever the lines stand.
    pub(super) fn meet_parts_of(&mut self, lines: &'p [Line]) {
        for line in lines {
            let parts: Vec<PartId> = match &line.kind {
                LineKind::Take(counted) | LineKind::Remove(counted, _) => {
                    counted.iter().map(|entry| entry.what).collect()
                }
                LineKind::MakeParts { made, from, .. } => from.iter().chain(made).map(|entry| entry.what).collect(),
                LineKind::Place(joint) | LineKind::RemoveJoint(joint, _) | LineKind::RefitJoint(joint) => {
                    self.procedure.joints[*joint].each.iter().map(|entry| entry.what).collect()
                }
                _ => Vec::new(),
            };
            parts.into_iter().for_each(|part| self.trace.parts[part.index()].met = true);
        }
    }

    /// Prose names a part.
    pub(super) fn mention_part(&mut self, part: PartId, at: Span) {
        let step = self.trace.steps.last().map(|step| &self.procedure.steps[*step]).filter(|_| self.in_step);
        let thrown_here = step.is_some_and(|step| {
            step.lines.iter().any(|line| match &line.kind {
                LineKind::Discard(list) => list.iter().any(|entry| entry.what == part),
                _ => false,
            })
        });
        if !self.trace.parts[part.index()].met && !thrown_here {
            self.fault(Code::FW0608, at, Subject::Part(part), self.places_of(part));
        }
    }

    /// At the handover: what is still in hand, or waits for a joint that never gets it.
    ///
    /// **Decision.** The one is told at the line that removed the part last, the other at the line that said last that it serves
    /// again. Where both are so, that it is in hand is the message.
    pub(super) fn leave_parts(&mut self) {
        for part in self.procedure.parts.ids() {
            let row = self.trace.parts[part.index()];
            let lines = if row.in_hand > 0 { &self.removes } else { &self.reuses };
            if let Some(at) = lines[part.index()].last().copied().filter(|_| row.in_hand > 0 || row.ready > 0) {
                self.fault(Code::FW0605, at, Subject::Part(part), Vec::new());
            }
        }
    }

    /// At a stop: what is still in hand.
    pub(super) fn stop_with_parts(&mut self, stop: Span) {
        for part in self.procedure.parts.ids() {
            let row = self.trace.parts[part.index()];
            if row.in_hand > 0 || row.ready > 0 {
                self.fault(Code::FW0805, stop, Subject::Part(part), self.places_of(part));
            }
        }
    }

    /// At the end, however it came: what was taken and not there.
    ///
    /// **Decision.** Stops count too: a technician who is one bolt short on the way to a stop is one bolt short. A part
    /// that no group of the kit names is FW0601, so that FW0603 is only possible.
    pub(super) fn count_overdrawn(&mut self) {
        for part in self.procedure.parts.ids() {
            let row = self.trace.parts[part.index()];
            if row.short <= 0 {
                continue;
            }
            let named = self.procedure.kit.iter().flat_map(|group| &group.entries).any(|entry| entry.what == part);
            let certain = (named || is_made(self.procedure, part)) && row.short_certain > 0;
            let mut also = self.takes[part.index()].clone();
            also.extend(self.places_of(part));
            let at = also.last().copied().unwrap_or(self.procedure.head_span);
            let after_steps = self.trace.steps.len();
            self.trace.faults.push(super::trace::Fault {
                code: Code::FW0603,
                at,
                subject: Subject::Part(part),
                or: Vec::new(),
                also,
                certain,
                after_steps,
                after_repairs: self.trace.repairs,
            });
        }
    }
}

/// How much an entry is: the count that is judged, or whole millimetres, millilitres or grams. As many as anybody can take
/// where nobody knows how many there are.
fn number(entry: &Counted<PartId>) -> u32 {
    match &entry.much {
        HowMuch::Count => entry.count,
        HowMuch::Between(least, most) => {
            assert!(least < most && (entry.count == *least || entry.count == *most));
            entry.count
        }
        HowMuch::Amount(amount) => small_units(amount),
        HowMuch::Unknown(_) => 1_000_000_000,
    }
}

fn small_units(amount: &Quantity) -> u32 {
    let per_base = match amount.kind() {
        fitwright::quantity::Kind::Volume => 1_000_000,
        _ => 1_000,
    };
    let number = amount.base().expect("an amount") * Exact::from_integer(per_base);
    assert!(number.is_integer(), "{amount} is no whole number of small units");
    u32::try_from(*number.numer()).expect("a small amount")
}

/// Whether some line makes it.
pub(super) fn is_made(procedure: &fitwright::model::Procedure, part: PartId) -> bool {
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    lines.into_iter().any(|line| match &line.kind {
        LineKind::MakeParts { made, .. } => made.iter().any(|entry| entry.what == part),
        _ => false,
    })
}
