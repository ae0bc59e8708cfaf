//! FW06, the paths of parts: removed, refitted, discarded, kept for the owner, used elsewhere, used again, mentioned.
//!
//! How many of a part are in hand depends on the run; a `Heap` keeps that.

mod course;
mod told;

use self::course::{Assembly, Course, comes_off, discards, goes_back, parts_of, taken_by_count, taken_by_lines};
use super::from_kit::{FromKit, Partly};
use super::heap::Heap;
use super::proof::{Proof, Subject, not_decided};
use crate::diagnostics::{Code, Finding};
use crate::model::{Fastener, IdMap, JointId, LineKind, MentionTarget, PartId, Procedure, StepId};
use crate::source::Span;
use crate::space::{Effect, Event, EventId, Formula, Role};

/// Follows the parts; tells what each joint takes out of the kit.
pub(super) fn check(proof: &mut Proof<'_>) -> FromKit {
    let procedure = proof.procedure;
    let course = Course {
        loose: Heap::empty(),
        in_hand: Heap::empty(),
        fresh: Heap::empty(),
        taken_at: None,
        ready: Heap::empty(),
        met: Formula::NEVER,
        thrown: Formula::NEVER,
        poisoned: Formula::NEVER,
        removed: Vec::new(),
        reused: Vec::new(),
    };
    let joints = procedure.joints.map(|_, joint| Assembly {
        exists: Formula::ALWAYS,
        in_place: if joint.on_vehicle { Formula::ALWAYS } else { Formula::NEVER },
        apart: Formula::NEVER,
        poisoned: Formula::NEVER,
    });
    let mut walk = Walk {
        parts: procedure.parts.each(course),
        joints,
        comes_off: comes_off(procedure),
        goes_back: goes_back(procedure),
        taken: taken_by_lines(procedure),
        by_count: taken_by_count(procedure),
        from_kit: FromKit::default(),
    };
    let events = proof.events.clone();
    for event in events.iter() {
        walk.event(proof, event);
    }
    walk.undecided(proof);
    walk.from_kit
}

struct Walk {
    parts: IdMap<PartId, Course>,
    joints: IdMap<JointId, Assembly>,
    /// Parts that some line removes by themselves.
    comes_off: IdMap<PartId, bool>,
    /// Parts of joints that some line puts together.
    goes_back: IdMap<PartId, bool>,
    /// Parts that some line takes.
    taken: IdMap<PartId, bool>,
    /// Parts of which each line that takes some says how many.
    by_count: IdMap<PartId, bool>,
    from_kit: FromKit,
}

impl Walk {
    fn event<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>) {
        match &event.effect {
            Effect::Judged { role: Role::Joint(joint), holds, .. } => {
                let on_vehicle = proof.procedure.joints[*joint].on_vehicle;
                let row = &mut self.joints[*joint];
                row.exists = *holds;
                if on_vehicle {
                    row.in_place = *holds;
                }
            }
            Effect::OnVehicle { part, count, joint } => self.on_vehicle(proof, event, *part, *count, joint.is_some()),
            Effect::Step(step) => self.meet(proof, event.guard, *step),
            Effect::Take { part, count, much, alternative, used_up } => {
                // What goes into another part is not in hand afterwards, and what may be another not for certain.
                let certain = if *alternative || *used_up { 0 } else { much.least(*count) };
                self.take(proof, event, *part, certain);
            }
            Effect::MakeParts { part, .. } => {
                let course = &mut self.parts[*part];
                course.met = proof.space.either(course.met, event.guard);
            }
            Effect::Place(joint) => self.place(proof, event, *joint),
            Effect::RemoveJoint(joint) => self.remove_joint(proof, event, *joint),
            Effect::RefitJoint(joint) => self.refit_joint(proof, event, *joint),
            Effect::Remove { part, count } => self.remove(proof, event, *part, *count),
            Effect::Refit { part, count } => {
                self.back(proof, event, *part, *count, "refitted");
                self.once_only(proof, event, *part, *count, Formula::ALWAYS);
                let guard = event.guard;
                let course = &mut self.parts[*part];
                course.loose.change(proof, guard, |number| number.saturating_add(*count));
            }
            Effect::Discard { part, count } => {
                self.back(proof, event, *part, *count, "discarded");
                self.gone(proof, event.guard, *part);
            }
            Effect::Reuse { part, count } => {
                self.back(proof, event, *part, *count, "used again");
                self.once_only(proof, event, *part, *count, Formula::ALWAYS);
                // From now on it lies there like what was taken.
                self.take(proof, event, *part, *count);
                if Self::counted(proof.procedure, *part) {
                    self.parts[*part].reused_by(proof, event.place.span, event.guard, *count);
                }
            }
            Effect::KeepParts { part, of_the_kit: true, .. } => {
                let course = &mut self.parts[*part];
                course.met = proof.space.either(course.met, event.guard);
            }
            Effect::KeepParts { part, count, .. } => self.back(proof, event, *part, *count, told::KEPT),
            Effect::Prose(prose) => {
                for mention in &prose.mentions {
                    if let MentionTarget::Part(part) = mention.target {
                        // Prose of the step that throws it away speaks of it.
                        if !event.place.step.is_some_and(|step| discards(proof.procedure, step, part)) {
                            self.mentioned(proof, event, part, mention.span);
                        }
                    }
                }
            }
            Effect::Handover(_) => self.handed_over(proof, event),
            // A vehicle that is turned away before the first step is as it came.
            Effect::Stop(_) if event.place.section.is_some() => self.stopped(proof, event),
            _ => {}
        }
    }

    fn counted(procedure: &Procedure, part: PartId) -> bool {
        !procedure.parts[part].consumable
    }

    fn on_vehicle(&mut self, proof: &mut Proof<'_>, event: &Event<'_>, part: PartId, count: u32, of_joint: bool) {
        let course = &mut self.parts[part];
        course.met = proof.space.either(course.met, event.guard);
        if !of_joint {
            course.loose.change(proof, event.guard, |number| number.saturating_add(count));
        }
    }

    /// A mention is served by any line of its own step: prose stands above what it speaks of.
    fn meet(&mut self, proof: &mut Proof<'_>, guard: Formula, step: StepId) {
        for line in &proof.procedure.steps[step].lines {
            let parts: Vec<PartId> = match &line.kind {
                LineKind::Take(list) | LineKind::Remove(list, _) => list.iter().map(|entry| entry.what).collect(),
                LineKind::MakeParts { made, from, .. } => from.iter().chain(made).map(|entry| entry.what).collect(),
                LineKind::Place(joint) | LineKind::RemoveJoint(joint, _) | LineKind::RefitJoint(joint) => {
                    proof.procedure.joints[*joint].each.iter().map(|entry| entry.what).collect()
                }
                _ => continue,
            };
            for part in parts {
                let course = &mut self.parts[part];
                course.met = proof.space.either(course.met, guard);
            }
        }
    }

    fn take(&mut self, proof: &mut Proof<'_>, event: &Event<'_>, part: PartId, count: u32) {
        let counted = Self::counted(proof.procedure, part);
        let course = &mut self.parts[part];
        course.met = proof.space.either(course.met, event.guard);
        course.taken_at = Some((event.place.span, event.place.step));
        // Only what comes off again is worth counting.
        if counted && self.comes_off[part] {
            course.loose.change(proof, event.guard, |number| number.saturating_add(count));
        }
        if counted && self.goes_back[part] {
            course.fresh.change(proof, event.guard, |number| number.saturating_add(count));
        }
    }

    fn place(&mut self, proof: &mut Proof<'_>, event: &Event<'_>, joint: JointId) {
        let row = &proof.procedure.joints[joint];
        // What is placed where there is no such joint was told, and takes nothing.
        let done = proof.space.both(event.guard, self.joints[joint].exists);
        for (part, count) in row.parts() {
            let course = &mut self.parts[part];
            course.met = proof.space.either(course.met, event.guard);
            self.partly_taken(proof, event, joint, (part, count));
            self.given_to_a_joint(proof, (event.id, done), part, count);
        }
        self.in_place(proof, event.guard, joint, true);
    }

    /// A joint gets so many: what was taken and is in hand, then what is in the kit. From then on they come off only with it.
    fn given_to_a_joint(&mut self, proof: &mut Proof<'_>, (at, done): (EventId, Formula), part: PartId, count: u32) {
        let course = &mut self.parts[part];
        if !Self::counted(proof.procedure, part) || !self.taken[part] {
            self.from_kit.add(at, part, Formula::ALWAYS, count);
            return;
        }
        let in_hand: Vec<(u32, Formula)> = course.fresh.numbers_below(count).collect();
        for (number, runs) in in_hand {
            self.from_kit.add(at, part, runs, count - number);
        }
        if self.comes_off[part] {
            let fresh: Vec<(u32, Formula)> = course.fresh.numbers_below(u32::MAX).collect();
            for (number, runs) in fresh {
                let here = proof.space.both(done, runs);
                course.loose.change(proof, here, |there| there.saturating_sub(number.min(count)));
            }
        }
        course.fresh.change(proof, done, |number| number.saturating_sub(count));
        course.ready.change(proof, done, |number| number.saturating_sub(count));
    }

    /// Some were taken for a joint, and the rest comes out of the kit: more than half, or in the same step, so that it was not the first
    /// few, to hang it on. What serves again is another matter.
    fn partly_taken(&mut self, proof: &mut Proof<'_>, event: &Event<'_>, joint: JointId, (part, count): (PartId, u32)) {
        let course = &self.parts[part];
        let Some((taken, step)) =
            course.taken_at.filter(|_| Self::counted(proof.procedure, part) && self.by_count[part])
        else {
            return;
        };
        if proof.procedure.joints[joint].count.is_none() {
            return;
        }
        let in_step = step.is_some() && step == event.place.step;
        let some: Vec<(u32, Formula)> = course
            .fresh
            .numbers_below(count)
            .filter(|(number, _)| *number > if in_step { 0 } else { count / 2 })
            .collect();
        let none_ready = course.ready.below(proof, 1);
        for (in_hand, runs) in some {
            let sure = proof.sure(event);
            let runs = proof.space.all([sure, runs, none_ready, self.joints[joint].exists]);
            let (at, place) = (event.id, event.place.span);
            self.from_kit.some_taken(Partly { at, place, taken, joint, part, runs, in_hand, count });
        }
    }

    fn in_place(&mut self, proof: &mut Proof<'_>, guard: Formula, joint: JointId, on: bool) {
        let row = &mut self.joints[joint];
        let (place, apart) = if on { (Formula::ALWAYS, Formula::NEVER) } else { (Formula::NEVER, Formula::ALWAYS) };
        row.in_place = proof.space.choose(guard, place, row.in_place);
        row.apart = proof.space.choose(guard, apart, row.apart);
    }

    /// A joint is taken apart: FW0609 where it is not in place.
    fn remove_joint<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, joint: JointId) {
        let row = &mut self.joints[joint];
        let sure = proof.sure(event);
        let broken = proof.space.all([sure, !row.in_place, row.exists, !row.poisoned]);
        row.poisoned = proof.space.either(row.poisoned, broken);
        let done = proof.space.both(event.guard, row.in_place);
        let span = event.place.span;
        proof.oblige((Code::FW0609, span, Subject::Joint(joint)), event.id, broken, move |proof| {
            told::not_in_place(proof.procedure, joint, span)
        });
        for (part, count) in parts_of(proof.procedure, joint) {
            let course = &mut self.parts[part];
            course.removed_by(proof, span, done);
            course.in_hand.change(proof, done, |number| number.saturating_add(count));
        }
        self.in_place(proof, done, joint, false);
    }

    /// A joint is put together with its own parts, or with new ones in the place of those that were thrown away: FW0606
    /// where it was not taken apart or there are too few.
    fn refit_joint<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, joint: JointId) {
        let parts: Vec<(PartId, u32)> = parts_of(proof.procedure, joint).collect();
        let mut short = Formula::NEVER;
        for (part, count) in &parts {
            let fewer = self.parts[*part].too_few(proof, *count);
            short = proof.space.either(short, fewer);
        }
        let row = &mut self.joints[joint];
        let sure = proof.sure(event);
        let missing = proof.space.either(short, !row.apart);
        let broken = proof.space.all([sure, missing, row.exists, !row.poisoned]);
        row.poisoned = proof.space.either(row.poisoned, broken);
        let span = event.place.span;
        proof.oblige((Code::FW0606, span, Subject::Joint(joint)), event.id, broken, move |proof| {
            told::not_removed(proof.procedure, joint, span)
        });
        for (part, count) in parts {
            self.put_back(proof, event, part, count, short);
        }
        self.in_place(proof, event.guard, joint, true);
    }

    /// So many of a part go back into their joint. New ones come first where old ones should not serve again.
    fn put_back<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, part: PartId, count: u32, short: Formula) {
        let row = &proof.procedure.parts[part];
        let new_first = row.single_use || row.fastener.as_ref().is_some_and(Fastener::has_insert);
        let course = &self.parts[part];
        let (first, second) =
            if new_first { (course.fresh.clone(), &course.in_hand) } else { (course.in_hand.clone(), &course.fresh) };
        let mut second = second.clone();
        for (number, formula) in first.numbers_below(count) {
            let here = proof.space.both(event.guard, formula);
            second.change(proof, here, |there| there.saturating_sub(count - number));
        }
        let lacks_new = course.fresh.clone().below(proof, count);
        let mut first = first;
        first.change(proof, event.guard, |there| there.saturating_sub(count));
        let course = &mut self.parts[part];
        (course.fresh, course.in_hand) = if new_first { (first, second) } else { (second, first) };
        // What was taken out of the kit goes before what came off elsewhere.
        let fresh: Vec<(u32, Formula)> = course.fresh.numbers_below(u32::MAX).collect();
        for (number, runs) in fresh {
            let here = proof.space.both(event.guard, runs);
            course.ready.change(proof, here, |ready| ready.min(number));
        }
        // Where too few are there at all, that is the message.
        let old = proof.space.both(lacks_new, !short);
        self.once_only(proof, event, part, count, old);
    }

    /// FW0609
    fn remove<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, part: PartId, count: u32) {
        if !Self::counted(proof.procedure, part) {
            return;
        }
        let course = &mut self.parts[part];
        let fewer = course.loose.below(proof, count);
        let sure = proof.sure(event);
        let broken = proof.space.all([sure, fewer, !course.poisoned]);
        course.poisoned = proof.space.either(course.poisoned, broken);
        let span = event.place.span;
        course.removed_by(proof, span, event.guard);
        course.loose.change(proof, event.guard, |number| number.saturating_sub(count));
        course.fitted_come_off_first(proof, event.guard);
        course.in_hand.change(proof, event.guard, |number| number.saturating_add(count));
        proof.oblige((Code::FW0609, span, Subject::Part(part)), event.id, broken, move |proof| {
            told::more_removed(proof.procedure, (part, count), span)
        });
    }

    /// Parts in hand go back, into the bin or to the owner: FW0606 where there are fewer.
    fn back<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, part: PartId, count: u32, done: &'static str) {
        if !Self::counted(proof.procedure, part) {
            return;
        }
        let course = &mut self.parts[part];
        let fewer = course.in_hand.below(proof, count);
        let sure = proof.sure(event);
        let broken = proof.space.all([sure, fewer, !course.poisoned]);
        course.poisoned = proof.space.either(course.poisoned, broken);
        course.in_hand.change(proof, event.guard, |number| number.saturating_sub(count));
        let span = event.place.span;
        proof.oblige((Code::FW0606, span, Subject::Part(part)), event.id, broken, move |proof| {
            told::more_back(proof.procedure, (part, count), span, done)
        });
    }

    /// Of what was thrown away, nothing is left where none is in hand, on the vehicle, or a joint's.
    fn gone(&mut self, proof: &mut Proof<'_>, guard: Formula, part: PartId) {
        let of_a_joint =
            proof.procedure.joints.rows().iter().any(|joint| joint.each.iter().any(|entry| entry.what == part));
        if of_a_joint || !self.comes_off[part] {
            return;
        }
        let course = &mut self.parts[part];
        let (none_loose, none_in_hand) = (course.loose.below(proof, 1), course.in_hand.below(proof, 1));
        let gone = proof.space.all([guard, none_loose, none_in_hand]);
        course.thrown = proof.space.either(course.thrown, gone);
        course.met = proof.space.both(course.met, !gone);
    }

    /// FW0607 and FW0716, in the runs in which old parts are used.
    fn once_only<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, part: PartId, count: u32, old: Formula) {
        let row = &proof.procedure.parts[part];
        let course = &mut self.parts[part];
        let sure = proof.sure(event);
        let broken = proof.space.all([sure, old, !course.poisoned]);
        let span = event.place.span;
        if !row.single_use {
            if row.fastener.as_ref().is_some_and(Fastener::has_insert) {
                proof.oblige((Code::FW0716, span, Subject::Part(part)), event.id, broken, move |proof| {
                    told::insert_again(&proof.procedure.parts[part], span)
                });
            }
            return;
        }
        course.poisoned = proof.space.either(course.poisoned, broken);
        proof.oblige((Code::FW0607, span, Subject::Part(part)), event.id, broken, move |proof| {
            told::once_again(proof.procedure, (part, count), span)
        });
    }

    /// FW0608. A mention changes nothing, so that it hides neither the next one nor what lines do with the part.
    fn mentioned<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, part: PartId, span: Span) {
        // A terminal that belongs to a circuit's point comes with its harness.
        if proof.procedure.parts[part].terminal.is_some() {
            return;
        }
        let course = &mut self.parts[part];
        let sure = proof.sure(event);
        let broken = proof.space.all([sure, !course.met, !course.poisoned]);
        let thrown = proof.space.both(broken, course.thrown);
        let broken = proof.space.both(broken, !course.thrown);
        proof.oblige((Code::FW0608, span, Subject::Part(part)), event.id, thrown, move |proof| {
            told::thrown_away(proof.procedure, part, span)
        });
        proof.oblige((Code::FW0608, span, Subject::Part(part)), event.id, broken, move |proof| {
            told::not_taken(proof.procedure, part, span)
        });
    }

    /// FW0605: what is still in hand, or waits for a joint that never gets it. The finding stands at the line that removed it last, or
    /// said last that it serves again.
    fn handed_over<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>) {
        let sure = proof.sure(event);
        let end = event.place.span;
        for (part, course) in self.parts.iter_mut() {
            if course.removed.is_empty() {
                continue;
            }
            let (in_hand, ready) = course.is_off(proof);
            let not_yet = proof.space.both(sure, !course.poisoned);
            let (left, unused) = (proof.space.both(not_yet, in_hand), proof.space.both(not_yet, ready));
            course.poisoned = proof.space.any([course.poisoned, left, unused]);
            for (span, last) in course.removed.clone() {
                let here = proof.space.both(left, last);
                proof.oblige((Code::FW0605, span, Subject::Part(part)), event.id, here, move |proof| {
                    told::left_off(proof.procedure, part, span, end)
                });
            }
            for (span, last) in course.reused.clone() {
                let here = proof.space.all([unused, last, !left]);
                proof.oblige((Code::FW0605, span, Subject::Part(part)), event.id, here, move |proof| {
                    told::not_used_again(proof.procedure, part, span, end)
                });
            }
        }
    }

    /// FW0805: the job stops while parts of the vehicle are in hand.
    fn stopped<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>) {
        let sure = proof.sure(event);
        let span = event.place.span;
        for (part, course) in self.parts.iter() {
            let Some(last) = course.removed.last().map(|(span, _)| *span) else { continue };
            let (in_hand, ready) = course.is_off(proof);
            let off = proof.space.either(in_hand, ready);
            let broken = proof.space.all([sure, off, !course.poisoned]);
            proof.oblige((Code::FW0805, span, Subject::Part(part)), event.id, broken, move |proof| {
                told::stops_without(proof.procedure, part, span, last)
            });
        }
    }

    fn undecided(&mut self, proof: &mut Proof<'_>) {
        for (part, course) in self.parts.iter() {
            let row = &proof.procedure.parts[part];
            if course.fresh.too_many {
                self.from_kit.not_followed(part);
            }
            if course.loose.too_many || course.in_hand.too_many {
                let finding = Finding::new(
                    Code::FW0605,
                    format!("all `{}` that are removed go back, are discarded or kept for the owner", row.name.id),
                    row.name.span,
                    "too many different counts",
                );
                proof.findings.push(not_decided(Code::FW0605, &finding));
            }
        }
    }
}
