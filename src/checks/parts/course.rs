//! What is true of a part or joint on the way through the steps, in which runs.

use crate::checks::heap::Heap;
use crate::checks::proof::Proof;
use crate::model::{HowMuch, IdMap, JointId, LineKind, PartId, Procedure, StepId};
use crate::source::Span;
use crate::space::Formula;

/// What is true of a part, in which runs.
#[derive(Clone)]
pub(super) struct Course {
    /// On the vehicle and no joint's: there at the start, taken since, or refitted.
    pub loose: Heap,
    /// Taken off, and neither refitted, used elsewhere, discarded nor kept for the owner.
    pub in_hand: Heap,
    /// Taken out of the kit, or of what came off elsewhere, for a joint that is put together.
    pub fresh: Heap,
    /// The line that took of it last, and its step.
    pub taken_at: Option<(Span, Option<StepId>)>,
    /// Of what came off elsewhere, what waits for the joint in which it serves again.
    pub ready: Heap,
    /// Taken, or on the vehicle.
    pub met: Formula,
    /// All of it was thrown away at some time.
    pub thrown: Formula,
    pub poisoned: Formula,
    /// Lines that remove it, each with the runs in which none has removed it since.
    pub removed: Vec<(Span, Formula)>,
    /// The same of lines that use it again.
    pub reused: Vec<(Span, Formula)>,
}

impl Course {
    /// In which runs there are fewer than so many to put together again, old and new.
    pub fn too_few(&self, proof: &mut Proof<'_>, count: u32) -> Formula {
        let mut short = Formula::NEVER;
        for (number, formula) in self.in_hand.numbers_below(count) {
            let fewer = self.fresh.below(proof, count - number);
            let here = proof.space.both(formula, fewer);
            short = proof.space.either(short, here);
        }
        short
    }

    /// Of what is loose, what was taken and lies in hand comes off last.
    pub fn fitted_come_off_first(&mut self, proof: &mut Proof<'_>, guard: Formula) {
        let loose: Vec<(u32, Formula)> = self.loose.numbers_below(u32::MAX).collect();
        for (number, runs) in loose {
            let here = proof.space.both(guard, runs);
            self.fresh.change(proof, here, |fresh| fresh.min(number));
        }
    }

    /// A line removes it.
    pub fn removed_by(&mut self, proof: &mut Proof<'_>, span: Span, guard: Formula) {
        last_by(&mut self.removed, proof, span, guard);
    }

    /// A line says that it serves again.
    pub fn reused_by(&mut self, proof: &mut Proof<'_>, span: Span, guard: Formula, count: u32) {
        last_by(&mut self.reused, proof, span, guard);
        self.ready.change(proof, guard, |number| number.saturating_add(count));
    }

    /// In which runs some of it is off the vehicle and in no joint, at a handover or stop: in hand, or ready for another joint.
    pub fn is_off(&self, proof: &mut Proof<'_>) -> (Formula, Formula) {
        let (none_in_hand, none_ready) = (self.in_hand.below(proof, 1), self.ready.below(proof, 1));
        (!none_in_hand, !none_ready)
    }
}

/// Of lines that do something, the one that did it last in each run.
fn last_by(lines: &mut Vec<(Span, Formula)>, proof: &mut Proof<'_>, span: Span, guard: Formula) {
    for (_, last) in lines.iter_mut() {
        *last = proof.space.both(*last, !guard);
    }
    // A line of a repair comes once a round.
    match lines.iter_mut().find(|(line, _)| *line == span) {
        Some((_, last)) => *last = proof.space.either(*last, guard),
        None => lines.push((span, guard)),
    }
}

/// What is true of a joint as far as its parts go.
#[derive(Clone)]
pub(super) struct Assembly {
    pub exists: Formula,
    pub in_place: Formula,
    pub apart: Formula,
    pub poisoned: Formula,
}

/// The counted parts of all fastenings of a joint.
pub(super) fn parts_of(procedure: &Procedure, joint: JointId) -> impl Iterator<Item = (PartId, u32)> + '_ {
    procedure.joints[joint].parts().filter(|(part, _)| !procedure.parts[*part].consumable)
}

/// Whether a line of the step throws the part away.
pub(super) fn discards(procedure: &Procedure, step: StepId, part: PartId) -> bool {
    let lines = &procedure.steps[step].lines;
    lines
        .iter()
        .any(|line| matches!(&line.kind, LineKind::Discard(list) if list.iter().any(|entry| entry.what == part)))
}

/// For each part, whether some line removes it by itself.
pub(super) fn comes_off(procedure: &Procedure) -> IdMap<PartId, bool> {
    let mut found = procedure.parts.each(false);
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Remove(list, _) = &line.kind else { continue };
        for entry in list {
            found[entry.what] = true;
        }
    }
    found
}

/// For each part, whether some line takes it, out of the kit or of what came off.
pub(super) fn taken_by_lines(procedure: &Procedure) -> IdMap<PartId, bool> {
    let mut found = procedure.parts.each(false);
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let (LineKind::Take(list) | LineKind::Reuse(list)) = &line.kind else { continue };
        for entry in list {
            found[entry.what] = true;
        }
    }
    found
}

/// For each part, whether each line that takes it says how many of it, and no other may be there in its place.
pub(super) fn taken_by_count(procedure: &Procedure) -> IdMap<PartId, bool> {
    let mut found = procedure.parts.each(true);
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Take(list) = &line.kind else { continue };
        for entry in list.iter().filter(|entry| entry.is_alternative() || !matches!(entry.much, HowMuch::Count)) {
            found[entry.what] = false;
        }
    }
    found
}

/// For each part, whether it belongs to a joint that some line puts together.
pub(super) fn goes_back(procedure: &Procedure) -> IdMap<PartId, bool> {
    let mut found = procedure.parts.each(false);
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let (LineKind::Place(joint) | LineKind::RefitJoint(joint)) = &line.kind else { continue };
        for entry in &procedure.joints[*joint].each {
            found[entry.what] = true;
        }
    }
    found
}
