//! Joints: placed, snug, torqued, loosened, taken apart, refitted.
//!
//! **Decisions.** A joint that is not in place and is taken apart shows as FW0609, like a part that is not there. Putting
//! together with its own parts a joint that was not taken apart is FW0606, also while it is in place. What was taken out of
//! the kit serves in the place of parts that were thrown away, and before the old ones where these serve only once; where too
//! few are there at all, that alone is said. Snug says nothing about the torque. A joint whose `when` does not hold must not be
//! worked on (FW0420); what is placed there takes nothing, and its further faults are only possible. A line of the same step
//! serves where a torque is written down.

use fitwright::diagnostics::Code;
use fitwright::model::{Id, Joint, JointId, LineKind, PartId, Tightness};
use fitwright::source::Span;

use super::interpreter::Job;
use super::trace::{JointLife, Subject};

impl<'p> Job<'p, '_> {
    fn life(&mut self, joint: JointId) -> &mut JointLife {
        &mut self.trace.joints[joint.index()]
    }

    fn joint_fault(&mut self, code: Code, joint: JointId, at: Span) {
        let row = &self.procedure.joints[joint];
        let exists = row.when.as_ref().is_none_or(|when| self.known.truth(when) == Some(true));
        let life = &self.trace.joints[joint.index()];
        let mut also: Vec<Span> = [life.placed_at, life.loosened_at].into_iter().flatten().collect();
        also.extend([row.name.span, row.span]);
        self.fault_if(exists, code, at, Subject::Joint(joint), also);
    }

    /// Whether the joint is there to be worked on; where it surely is not, that is a fault.
    pub(super) fn is_there(&mut self, joint: JointId, at: Span) -> bool {
        let row = &self.procedure.joints[joint];
        let Some(when) = row.when.as_ref().filter(|when| self.known.truth(when) == Some(false)) else { return true };
        self.fault(Code::FW0420, at, Subject::Joint(joint), vec![when.span, row.name.span, row.span]);
        false
    }

    /// The torque is written down: some line must have set it.
    pub(super) fn write_torque(&mut self, joint: JointId, at: Span) {
        if !self.is_there(joint, at) {
            return;
        }
        let row = &self.procedure.joints[joint];
        let step = self.trace.steps.last().map(|step| &self.procedure.steps[*step]);
        let here = step.is_some_and(|step| {
            step.lines.iter().any(|line| matches!(&line.kind, LineKind::Tighten(other, _) if *other == joint))
        });
        let has_one = matches!(row.tightness, Tightness::Torque(..)) && row.count.is_some();
        let set = has_one && (here || self.life(joint).set);
        if !set {
            self.joint_fault(Code::FW0421, joint, at);
        }
    }

    /// At a stop: what was tight must be tight.
    ///
    /// **Decision.** What the job was about to fit need not be: whoever stops knows that it is not done.
    pub(super) fn stop_with_joints(&mut self, stop: Span) {
        for joint in self.procedure.joints.ids() {
            let life = self.life(joint);
            if life.in_place && !life.tight && life.was_tight {
                self.joint_fault(Code::FW0805, joint, stop);
            }
        }
    }

    /// The counted parts of all its fastenings.
    ///
    /// **Decision.** Where nobody says how many fastenings there are, there is one for certain; what is left of its parts is
    /// not judged.
    fn parts_of(joint: &'p Joint) -> impl Iterator<Item = (PartId, u32)> + 'p {
        joint.each.iter().map(move |entry| (entry.what, entry.count * joint.count.unwrap_or(1)))
    }

    /// Put together with the parts that were taken, and with parts of the kit.
    pub(super) fn place(&mut self, joint: JointId, at: Span) {
        if self.life(joint).in_place {
            self.joint_fault(Code::FW0704, joint, at);
        }
        let there = self.is_there(joint, at);
        for (part, count) in Self::parts_of(&self.procedure.joints[joint]).filter(|_| there) {
            let fresh = self.trace.parts[part.index()].fresh;
            let counted = !self.procedure.parts[part].consumable;
            self.take(part, if counted { count.saturating_sub(fresh) } else { count }, at);
            self.trace.parts[part.index()].uncounted |= self.procedure.joints[joint].count.is_none();
            // They belong to the joint from now on, and come off only with it.
            let row = &mut self.trace.parts[part.index()];
            row.loose = row.loose.saturating_sub(count);
            row.fresh = row.fresh.saturating_sub(count);
            row.ready = row.ready.saturating_sub(count);
        }
        let was_tight = self.life(joint).was_tight;
        *self.life(joint) = JointLife { in_place: true, was_tight, placed_at: Some(at), ..JointLife::default() };
    }

    pub(super) fn snug(&mut self, joint: JointId, at: Span) {
        self.is_there(joint, at);
        self.needs_place(joint, at);
        self.life(joint).snug = true;
    }

    pub(super) fn tighten(&mut self, joint: JointId, at: Span) {
        self.is_there(joint, at);
        self.needs_place(joint, at);
        let row = &self.procedure.joints[joint];
        let once = row.each.iter().map(|entry| entry.what).find(|part| self.procedure.parts[*part].single_use);
        let life = self.life(joint);
        if let Some(part) = once.filter(|_| life.in_place && life.loosened) {
            let also = vec![self.procedure.parts[part].name.span, row.name.span];
            let exists = row.when.as_ref().is_none_or(|when| self.known.truth(when) == Some(true));
            // What went wrong with the joint before is told alone.
            let certain = exists && !self.spoiled.contains(&Subject::Joint(joint));
            self.fault_if(certain, Code::FW0607, at, Subject::Part(part), also);
        }
        let life = self.life(joint);
        (life.tight, life.set, life.loosened) = (true, true, false);
        life.was_tight = true;
    }

    pub(super) fn loosen(&mut self, joint: JointId, at: Span) {
        self.is_there(joint, at);
        self.needs_place(joint, at);
        let life = self.life(joint);
        // Loosened before any torque, it is still one that was placed and never torqued.
        life.loosened |= life.tight;
        (life.tight, life.set, life.snug, life.loosened_at) = (false, false, false, Some(at));
    }

    fn needs_place(&mut self, joint: JointId, at: Span) {
        if !self.life(joint).in_place {
            self.joint_fault(Code::FW0701, joint, at);
        }
    }

    /// Taken apart; its parts are in hand.
    pub(super) fn remove_joint(&mut self, joint: JointId, at: Span) {
        self.is_there(joint, at);
        if !self.life(joint).in_place {
            self.joint_fault(Code::FW0609, joint, at);
            return;
        }
        for (part, count) in Self::parts_of(&self.procedure.joints[joint]) {
            if !self.procedure.parts[part].consumable {
                let row = &mut self.trace.parts[part.index()];
                row.removed += count;
                row.in_hand += count;
                self.removes[part.index()].push(at);
            }
        }
        let was_tight = self.life(joint).was_tight;
        *self.life(joint) = JointLife { apart: true, was_tight, ..JointLife::default() };
    }

    /// Put together with the parts that came off it.
    pub(super) fn refit_joint(&mut self, joint: JointId, at: Span) {
        self.is_there(joint, at);
        let row = &self.procedure.joints[joint];
        let parts = &self.trace.parts;
        let short = Self::parts_of(row).any(|(part, count)| {
            let heap = &parts[part.index()];
            !self.procedure.parts[part].consumable && heap.in_hand + heap.fresh < count
        });
        if !self.life(joint).apart || short {
            self.joint_fault(Code::FW0606, joint, at);
        }
        for (part, count) in Self::parts_of(row) {
            if self.procedure.parts[part].consumable {
                continue;
            }
            let single_use = self.procedure.parts[part].single_use;
            if single_use && !short && self.trace.parts[part.index()].fresh < count {
                let also = vec![self.procedure.parts[part].name.span, row.name.span];
                self.fault(Code::FW0607, at, Subject::Part(part), also);
            }
            let heap = &mut self.trace.parts[part.index()];
            let insert = self.procedure.parts[part].fastener.as_ref().is_some_and(|nut| nut.has_insert());
            let (first, second) = if single_use || insert {
                (&mut heap.fresh, &mut heap.in_hand)
            } else {
                (&mut heap.in_hand, &mut heap.fresh)
            };
            let of_first = count.min(*first);
            *first -= of_first;
            *second = second.saturating_sub(count - of_first);
            heap.refitted += count;
            heap.ready = heap.ready.min(heap.fresh);
        }
        let was_tight = self.life(joint).was_tight;
        *self.life(joint) = JointLife { in_place: true, was_tight, placed_at: Some(at), ..JointLife::default() };
    }

    /// At the handover: what is in place must be tight.
    pub(super) fn leave_joints(&mut self, handover: Span) {
        for joint in self.procedure.joints.ids() {
            let life = self.life(joint).clone();
            if !life.in_place || life.tight {
                continue;
            }
            let (code, at) =
                if life.loosened { (Code::FW0703, life.loosened_at) } else { (Code::FW0702, life.placed_at) };
            self.joint_fault(code, joint, at.unwrap_or(handover));
        }
    }
}
