//! FW06, the paths of parts: removed, refitted, discarded, used again, mentioned.
//!
//! How many of a part are in hand depends on the run; a `Heap` keeps that.

use super::heap::Heap;
use super::lines;
use super::proof::{Proof, Subject, not_decided};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{Fastener, IdMap, JointId, LineKind, MentionTarget, Part, PartId, Procedure, StepId};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

/// What is true of a part, in which runs.
#[derive(Clone)]
struct Course {
    /// On the vehicle and no joint's: there at the start, taken since, or refitted.
    loose: Heap,
    /// Taken off and neither refitted nor discarded.
    in_hand: Heap,
    /// Taken out of the kit, for a joint that is put together again.
    fresh: Heap,
    /// Taken, or on the vehicle.
    met: Formula,
    /// All of it was thrown away at some time.
    thrown: Formula,
    poisoned: Formula,
    /// Lines that remove it, each with the runs in which none has removed it since.
    removed: Vec<(Span, Formula)>,
}

impl Course {
    /// In which runs there are fewer than so many to put together again, old and new.
    fn too_few(&self, proof: &mut Proof<'_>, count: u32) -> Formula {
        let mut short = Formula::NEVER;
        for (number, formula) in self.in_hand.numbers_below(count) {
            let fewer = self.fresh.below(proof, count - number);
            let here = proof.space.both(formula, fewer);
            short = proof.space.either(short, here);
        }
        short
    }

    /// A line removes it.
    fn removed_by(&mut self, proof: &mut Proof<'_>, span: Span, guard: Formula) {
        for (_, last) in &mut self.removed {
            *last = proof.space.both(*last, !guard);
        }
        // A line of a repair comes once a round.
        match self.removed.iter_mut().find(|(line, _)| *line == span) {
            Some((_, last)) => *last = proof.space.either(*last, guard),
            None => self.removed.push((span, guard)),
        }
    }
}

/// What is true of a joint as far as its parts go.
#[derive(Clone)]
struct Assembly {
    exists: Formula,
    in_place: Formula,
    apart: Formula,
    poisoned: Formula,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let course = Course {
        loose: Heap::empty(),
        in_hand: Heap::empty(),
        fresh: Heap::empty(),
        met: Formula::NEVER,
        thrown: Formula::NEVER,
        poisoned: Formula::NEVER,
        removed: Vec::new(),
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
    };
    let events = proof.events.clone();
    for event in events.iter() {
        walk.event(proof, event);
    }
    walk.undecided(proof);
}

struct Walk {
    parts: IdMap<PartId, Course>,
    joints: IdMap<JointId, Assembly>,
    /// Parts that some line removes by themselves.
    comes_off: IdMap<PartId, bool>,
    /// Parts of joints that some line puts together again.
    goes_back: IdMap<PartId, bool>,
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
            Effect::Take { part, count, much, alternative } => {
                let certain = if *alternative { 0 } else { much.least(*count) };
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
        // Only what comes off again is worth counting.
        if counted && self.comes_off[part] {
            course.loose.change(proof, event.guard, |number| number.saturating_add(count));
        }
        if counted && self.goes_back[part] {
            course.fresh.change(proof, event.guard, |number| number.saturating_add(count));
        }
    }

    fn place(&mut self, proof: &mut Proof<'_>, event: &Event<'_>, joint: JointId) {
        for entry in &proof.procedure.joints[joint].each {
            let course = &mut self.parts[entry.what];
            course.met = proof.space.either(course.met, event.guard);
        }
        self.in_place(proof, event.guard, joint, true);
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
            let name = &proof.procedure.joints[joint].name;
            Finding::new(
                Code::FW0609,
                format!("`{}` is taken apart while it is not in place", name.id),
                span,
                "nothing is there to take off",
            )
            .also(name.span, "the joint")
            .because("The technician is told to remove what nobody has fitted, or what is already off.")
            .repair(format!("Write `place {}` before this line, or `on vehicle` in the joint.", name.id))
            .mend([Mend::before(span, format!("place {}", name.id)), Mend::inside(name.span, "on vehicle")])
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
            let name = &proof.procedure.joints[joint].name;
            Finding::new(
                Code::FW0606,
                format!("`{}` is refitted without having been removed", name.id),
                span,
                "its parts are not in hand",
            )
            .also(name.span, "the joint")
            .because("`refit` uses the parts that came off, and new ones for those that were discarded; here too few are there.")
            .repair(format!(
                "Write `remove {0} with …` before it, `take` new parts for those that were discarded, or `place {0}` with new \
                 parts only.",
                name.id
            ))
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
        course.in_hand.change(proof, event.guard, |number| number.saturating_add(count));
        proof.oblige((Code::FW0609, span, Subject::Part(part)), event.id, broken, move |proof| {
            let name = &proof.procedure.parts[part].name;
            let finding = Finding::new(
                Code::FW0609,
                format!("more `{}` are removed than are there", name.id),
                span,
                format!("removes {count}"),
            );
            let some = proof.procedure.vehicle.iter().filter(|group| group.when.is_some());
            let some = some.flat_map(|group| &group.entries).find(|entry| entry.what == part);
            match some {
                Some(entry) => finding.also(entry.span, "only some vehicles have it"),
                None => finding.also(name.span, "the part"),
            }
            .because("The technician looks for a screw that the vehicle does not have.")
            .repair(format!("Say how many the vehicle has: `vehicle {{ {count} {} }}`, or remove fewer.", name.id))
            .mend(some.is_none().then(|| {
                if let Some(entry) = proof.procedure.on_vehicle().find(|entry| entry.what == part) {
                    let change = Change::Word(entry.span, entry.count.to_string(), count.to_string());
                    return Mend::look(format!("Say that the vehicle has {count}"), change);
                }
                let line = format!("vehicle {{ {count} {} }}", name.id);
                Mend::look(format!("Write `{line}`"), Change::Declare(name.span.file, line))
            }))
        });
    }

    /// Parts in hand go back or into the bin: FW0606 where there are fewer.
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
            let name = &proof.procedure.parts[part].name;
            Finding::new(
                Code::FW0606,
                format!("more `{}` are {done} than were removed", name.id),
                span,
                format!("{count} {done}"),
            )
            .also(name.span, "the part")
            .because("Only what came off can go back; new parts are taken with `take`.")
            .repair(format!("Write `remove {count} {}` on every path before this line.", name.id))
            .mend(Mend::before(span, format!("remove {count} {}", name.id)))
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
                    insert_again(&proof.procedure.parts[part], span)
                });
            }
            return;
        }
        course.poisoned = proof.space.either(course.poisoned, broken);
        proof.oblige((Code::FW0607, span, Subject::Part(part)), event.id, broken, move |proof| {
            let name = &proof.procedure.parts[part].name;
            Finding::new(
                Code::FW0607,
                format!("`{}` serves only once, and is fitted again", name.id),
                span,
                "fitted again here",
            )
            .also(name.span, "declared `single use`")
            .because("A clip or locking nut that was undone no longer holds as it did.")
            .repair(format!(
                "Write `discard {count} {0}` where it came off, and `take {count} {0}` here, out of the kit.",
                name.id
            ))
        });
    }

    /// FW0608
    fn mentioned<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, part: PartId, span: Span) {
        // A terminal that belongs to a circuit's point comes with its harness.
        if proof.procedure.parts[part].terminal.is_some() {
            return;
        }
        let course = &mut self.parts[part];
        let sure = proof.sure(event);
        let broken = proof.space.all([sure, !course.met, !course.poisoned]);
        course.poisoned = proof.space.either(course.poisoned, broken);
        let thrown = proof.space.both(broken, course.thrown);
        let broken = proof.space.both(broken, !course.thrown);
        proof.oblige((Code::FW0608, span, Subject::Part(part)), event.id, thrown, move |proof| {
            let name = &proof.procedure.parts[part].name;
            Finding::new(
                Code::FW0608,
                format!("`{}` is mentioned after all of it was thrown away", name.id),
                span,
                "in the bin by now",
            )
            .also(name.span, "the part")
            .because("The technician looks for a part that an earlier step threw away.")
            .repair(format!("Take a new one first (`take {}`), or leave the mention out.", name.id))
        });
        proof.oblige((Code::FW0608, span, Subject::Part(part)), event.id, broken, move |proof| {
            let name = &proof.procedure.parts[part].name;
            Finding::new(
                Code::FW0608,
                format!("`{}` is mentioned before it is taken", name.id),
                span,
                "not in hand yet",
            )
            .also(name.span, "the part")
            .because("The technician reads of a part that is still in its bag, or belongs to another option.")
            .repair(format!("Write `take {}` in this step or before it, on every path.", name.id))
            .mend(lines::taken_before(proof.procedure, span, part, format!("take 1 {}", name.id)))
        });
    }

    /// FW0605: what is still in hand. The finding stands at the line that removed it last.
    fn handed_over<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>) {
        let sure = proof.sure(event);
        let end = event.place.span;
        for (part, course) in self.parts.iter_mut() {
            if course.removed.is_empty() {
                continue;
            }
            let none = course.in_hand.below(proof, 1);
            let broken = proof.space.all([sure, !none, !course.poisoned]);
            course.poisoned = proof.space.either(course.poisoned, broken);
            for (span, last) in course.removed.clone() {
                let here = proof.space.both(broken, last);
                proof.oblige((Code::FW0605, span, Subject::Part(part)), event.id, here, move |proof| {
                    let name = &proof.procedure.parts[part].name;
                    Finding::new(
                        Code::FW0605,
                        format!("`{}` is removed and neither refitted nor discarded", name.id),
                        span,
                        "removed here",
                    )
                    .also(end, "handed over here")
                    .because("The vehicle leaves without it, and it stays on the bench.")
                    .repair(format!("Write `refit` or `discard` for `{}` on every path to the handover.", name.id))
                    .mend(["refit", "discard"].map(|word| Mend::in_step_before(end, format!("{word} {}", name.id))))
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
            let none = course.in_hand.below(proof, 1);
            let broken = proof.space.all([sure, !none, !course.poisoned]);
            proof.oblige((Code::FW0805, span, Subject::Part(part)), event.id, broken, move |proof| {
                let name = &proof.procedure.parts[part].name;
                Finding::new(
                    Code::FW0805,
                    format!("at this stop `{}` can be left off the vehicle", name.id),
                    span,
                    "the job stops here",
                )
                .also(last, "taken off here")
                .mend(Mend::blanks("Put it back in a step before", Change::Before(span, put_back(&name.id, "refit", &name.id))))
                .because("The vehicle stands without it, and nobody who reads the stop knows that it came off.")
                .repair(format!(
                    "Put it back before the stop: `refit {0}`. Or say in the stop what is off, and accept it: `accept FW0805 \"the stop says so\"`.",
                    name.id
                ))
            });
        }
    }

    fn undecided(&self, proof: &mut Proof<'_>) {
        for (part, course) in self.parts.iter() {
            let row = &proof.procedure.parts[part];
            if course.loose.too_many || course.in_hand.too_many || course.fresh.too_many {
                let finding = Finding::new(
                    Code::FW0605,
                    format!("all `{}` that are removed go back or are discarded", row.name.id),
                    row.name.span,
                    "too many different counts",
                );
                proof.findings.push(not_decided(Code::FW0605, &finding));
            }
        }
    }
}

/// A step with one line, to be given its title.
fn put_back(name: &str, word: &str, what: &str) -> String {
    let plain = name.replace([' ', '.'], "-");
    format!("step put-back-{plain} \"…\" {{\n  {word} {what}\n}}")
}

/// The counted parts of all fastenings of a joint.
fn parts_of(procedure: &Procedure, joint: JointId) -> impl Iterator<Item = (PartId, u32)> + '_ {
    let row = &procedure.joints[joint];
    let counted = row.each.iter().filter(|entry| !procedure.parts[entry.what].consumable);
    counted.map(|entry| (entry.what, entry.count.saturating_mul(row.count)))
}

/// Whether a line of the step throws the part away.
fn discards(procedure: &Procedure, step: StepId, part: PartId) -> bool {
    let lines = &procedure.steps[step].lines;
    lines
        .iter()
        .any(|line| matches!(&line.kind, LineKind::Discard(list) if list.iter().any(|entry| entry.what == part)))
}

/// For each part, whether some line removes it by itself.
fn comes_off(procedure: &Procedure) -> IdMap<PartId, bool> {
    let mut found = procedure.parts.each(false);
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Remove(list, _) = &line.kind else { continue };
        for entry in list {
            found[entry.what] = true;
        }
    }
    found
}

/// For each part, whether it belongs to a joint that some line puts together again.
fn goes_back(procedure: &Procedure) -> IdMap<PartId, bool> {
    let mut found = procedure.parts.each(false);
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::RefitJoint(joint) = &line.kind else { continue };
        for entry in &procedure.joints[*joint].each {
            found[entry.what] = true;
        }
    }
    found
}

/// FW0716: a nylon insert that is run onto a thread for the second time.
fn insert_again(nut: &Part, at: Span) -> Finding {
    Finding::new(
        Code::FW0716,
        format!("`{}` has a nylon insert and is used again", nut.name.id),
        at,
        "its insert has gripped a thread before",
    )
    .also(nut.name.span, "the nut")
    .because(
        "The insert grips less each time. Practice differs: FAA AC 43.13-1B lets it be used again while it cannot be turned \
         by hand, others ask for a new one wherever a life depends on it.",
    )
    .repair(format!(
        "Write `discard` for the old ones and `take` for new ones before this line; or accept this with the reason, and tell \
         the technician to check that no `{}` turns by hand.",
        nut.name.id
    ))
}
