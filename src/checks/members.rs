//! FW07, what joints join: the parts that a joint clamps are there when it is put together, and stay while it holds them.
//!
//! A joint that is there for each of several places clamps one of the part at each, where at least as many are supplied or
//! on the vehicle as there are places: two pedals, and the nut of each. Of fewer, all places clamp the same: one rail, and
//! its four feet.

use super::heap::Heap;
use super::lines;
use super::proof::{Proof, Subject, not_decided};
use crate::diagnostics::{Code, Finding};
use crate::model::{HowMuch, IdMap, Joint, JointId, LineKind, PartId, Procedure, StepId};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

/// What is true of a joint, in which runs.
struct Life {
    exists: Formula,
    /// Put together and not loosened since: what it joins can't come off.
    holds: Formula,
    /// Something was already said of it.
    poisoned: Formula,
}

struct Walk {
    /// How many of a part are at hand or on the vehicle.
    there: IdMap<PartId, Heap>,
    /// Whether a joint joins the part; others aren't counted.
    joined: IdMap<PartId, bool>,
    lives: IdMap<JointId, Life>,
    /// Of each joint, itself and the same joint at the other places; nothing for a joint that is there once.
    fellows: IdMap<JointId, Vec<JointId>>,
    /// How many there are of a part in the kit and on the vehicle together.
    supplied: IdMap<PartId, Heap>,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    if procedure.joints.rows().iter().all(|joint| joint.joins.is_empty()) {
        return;
    }
    let mut walk = Walk {
        there: procedure.parts.each(Heap::empty()),
        joined: procedure.parts.map(|part, _| {
            procedure.joints.rows().iter().any(|row| row.joins.iter().any(|(member, _)| *member == part))
        }),
        lives: procedure.joints.map(|_, joint| Life {
            exists: Formula::ALWAYS,
            holds: if joint.on_vehicle { Formula::ALWAYS } else { Formula::NEVER },
            poisoned: Formula::NEVER,
        }),
        fellows: procedure.joints.map(|_, joint| fellows(procedure, joint)),
        supplied: procedure.parts.each(Heap::empty()),
    };
    let events = proof.events.clone();
    for event in events.iter() {
        walk.event(proof, event);
    }
    walk.undecided(proof);
}

impl Walk {
    fn event<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>) {
        let guard = event.guard;
        match event.effect {
            Effect::Judged { role: Role::Joint(joint), holds, .. } => {
                let life = &mut self.lives[joint];
                life.exists = holds;
                if proof.procedure.joints[joint].on_vehicle {
                    life.holds = holds;
                }
            }
            Effect::Step(step) => self.read(proof, guard, step),
            Effect::Supplied { part, count, .. } => self.supply(proof, guard, part, count),
            Effect::OnVehicle { part, count, joint } => {
                if joint.is_none() {
                    self.supply(proof, guard, part, count);
                }
                self.come(proof, guard, part, count);
            }
            Effect::Refit { part, count } => self.come(proof, guard, part, count),
            Effect::Remove { part, count } => {
                self.clamped(proof, event, part, count);
                self.go(proof, guard, part, count);
            }
            Effect::Place(joint) | Effect::RefitJoint(joint) => {
                for (part, count) in proof.procedure.joints[joint].parts() {
                    self.come(proof, guard, part, count);
                }
                if !hangs(proof.procedure, joint) {
                    self.put_together(proof, event, joint, "put together");
                }
                self.hold(proof, guard, joint, true);
            }
            Effect::Snug(joint) => self.put_together(proof, event, joint, "run on"),
            Effect::Tighten(joint) => {
                self.put_together(proof, event, joint, "tightened");
                self.hold(proof, guard, joint, true);
            }
            Effect::Loosen(joint) => self.hold(proof, guard, joint, false),
            Effect::RemoveJoint(joint) => {
                for (part, count) in proof.procedure.joints[joint].parts() {
                    self.go(proof, guard, part, count);
                }
                self.hold(proof, guard, joint, false);
            }
            _ => {}
        }
    }

    /// Parts whose number took too many values to be kept apart.
    fn undecided(&self, proof: &mut Proof<'_>) {
        for (joint, row) in proof.procedure.joints.iter() {
            for (part, said) in row.joins.iter().filter(|(part, _)| self.there[*part].too_many) {
                let finding = not_there(proof.procedure, joint, (*part, *said), *said, "put together");
                proof.findings.push(not_decided(Code::FW0730, &finding));
            }
        }
    }

    /// A technician reads the whole step and lays out what it takes before the work begins.
    fn read(&mut self, proof: &mut Proof<'_>, guard: Formula, step: StepId) {
        for line in &proof.procedure.steps[step].lines {
            if let LineKind::Take(entries) = &line.kind {
                for entry in entries {
                    // A consumable has no count, and is there once it was taken; of `0 to 3` none may be.
                    let none = matches!(entry.much, HowMuch::Between(0, _));
                    self.come(proof, guard, entry.what, if none { 0 } else { entry.least().max(1) });
                }
            }
        }
    }

    fn come(&mut self, proof: &mut Proof<'_>, guard: Formula, part: PartId, count: u32) {
        if self.joined[part] {
            self.there[part].change(proof, guard, |number| number.saturating_add(count));
        }
    }

    fn supply(&mut self, proof: &mut Proof<'_>, guard: Formula, part: PartId, count: u32) {
        if self.joined[part] {
            self.supplied[part].change(proof, guard, |number| number.saturating_add(count));
        }
    }

    fn go(&mut self, proof: &mut Proof<'_>, guard: Formula, part: PartId, count: u32) {
        if self.joined[part] {
            self.there[part].change(proof, guard, |number| number.saturating_sub(count));
        }
    }

    fn hold(&mut self, proof: &mut Proof<'_>, guard: Formula, joint: JointId, on: bool) {
        let life = &mut self.lives[joint];
        life.holds = proof.space.choose(guard, if on { Formula::ALWAYS } else { Formula::NEVER }, life.holds);
    }

    /// A joint with its fellows, and the runs in which each clamps one of the part. In all others they clamp the same.
    fn sharing(&self, proof: &mut Proof<'_>, joint: JointId, part: PartId) -> (Vec<JointId>, Formula) {
        let fellows = &self.fellows[joint];
        match u32::try_from(fellows.len()) {
            Ok(places) if places > 1 && fellows.len() <= MOST_PLACES => {
                (fellows.clone(), !self.supplied[part].below(proof, places))
            }
            _ => (vec![joint], Formula::NEVER),
        }
    }

    /// In which runs fewer of the part are there than these joints hold, `more` besides.
    fn too_few(&mut self, proof: &mut Proof<'_>, part: PartId, joints: &[JointId], more: u32) -> Formula {
        // `held[n]`: exactly so many of the joints looked at so far hold one.
        let mut held = vec![Formula::ALWAYS];
        for joint in joints {
            let life = &self.lives[*joint];
            // One of which something was said holds nothing here: one cause, one message.
            let holds = proof.space.all([life.holds, life.exists, !life.poisoned]);
            let mut next = vec![Formula::NEVER; held.len() + 1];
            for (n, before) in held.iter().enumerate() {
                let (with, without) = (proof.space.both(*before, holds), proof.space.both(*before, !holds));
                next[n + 1] = proof.space.either(next[n + 1], with);
                next[n] = proof.space.either(next[n], without);
            }
            held = next;
        }
        let mut broken = Vec::new();
        for (n, runs) in held.into_iter().enumerate() {
            let wanted = u32::try_from(n).unwrap_or(u32::MAX).saturating_add(more);
            let few = self.there[part].below(proof, wanted);
            broken.push(proof.space.both(runs, few));
        }
        proof.space.any(broken)
    }

    /// FW0730
    fn put_together<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, joint: JointId, done: &'static str) {
        for (part, said) in &proof.procedure.joints[joint].joins {
            let (mut others, own) = self.sharing(proof, joint, *part);
            others.retain(|one| *one != joint);
            let (each, any) = (self.too_few(proof, *part, &others, 1), self.there[*part].below(proof, 1));
            let missing = proof.space.choose(own, each, any);
            let life = &mut self.lives[joint];
            let sure = proof.sure(event);
            let broken = proof.space.all([sure, missing, life.exists, !life.poisoned]);
            life.poisoned = proof.space.either(life.poisoned, broken);
            let (part, said, span) = (*part, *said, event.place.span);
            proof.oblige((Code::FW0730, span, Subject::Part(part)), event.id, broken, move |proof| {
                not_there(proof.procedure, joint, (part, said), span, done)
            });
        }
    }

    /// FW0731
    fn clamped<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, part: PartId, count: u32) {
        let here = event.place.span.file.place();
        for (joint, row) in proof.procedure.joints.iter() {
            let Some((_, said)) = row.joins.iter().find(|(member, _)| *member == part) else { continue };
            let missing = self.there[part].below(proof, 1);
            let (sharing, own) = self.sharing(proof, joint, part);
            // Of several, those that no joint holds are free.
            let each = self.too_few(proof, part, &sharing, count);
            let clamped = proof.space.choose(own, each, Formula::ALWAYS);
            // Where the work is done at a place, it is the joint there that still holds the part; the others only where it does not.
            let at_place = |one: &JointId| proof.procedure.joints[*one].name.span.file.place() == here;
            let nearer = sharing.iter().find(|one| here.is_some() && **one != joint && at_place(one));
            let told = nearer.map_or(Formula::NEVER, |one| self.lives[*one].holds);
            let life = &mut self.lives[joint];
            let sure = proof.sure(event);
            let broken = proof.space.all([sure, !missing, clamped, !told, life.holds, life.exists, !life.poisoned]);
            life.poisoned = proof.space.either(life.poisoned, broken);
            let (said, span) = (*said, event.place.span);
            proof.oblige((Code::FW0731, span, Subject::Joint(joint)), event.id, broken, move |proof| {
                still_clamped(proof.procedure, joint, (part, said), span)
            });
        }
    }
}

/// Whether bolts of a joint hang in nuts that lie in a slot, by what a nut of it is called: what it joins is slid under their heads
/// afterwards, and has to be there when they are run on.
fn hangs(procedure: &Procedure, joint: JointId) -> bool {
    let is_one = |words: &str| {
        let words = format!(" {}", words.to_lowercase().replace(['-', '_'], " "));
        IN_A_SLOT.iter().any(|kind| words.contains(kind))
    };
    let mut names = procedure.joints[joint].parts().map(|(part, _)| &procedure.parts[part].name);
    names.any(|name| is_one(&name.id) || is_one(&name.title))
}

const IN_A_SLOT: &[&str] = &[" slot nut", " t nut", " channel nut", " sliding nut", " groove nut", " hammer nut"];

/// At more places than these, all clamp the same part.
const MOST_PLACES: usize = 12;

/// A joint and its copies at the other places.
fn fellows(procedure: &Procedure, joint: &Joint) -> Vec<JointId> {
    let Some(at) = &joint.name.at else { return Vec::new() };
    let same = |other: &Joint| other.name.at.as_ref().is_some_and(|other| other.of == at.of);
    procedure.joints.iter().filter(|(_, other)| same(other)).map(|(id, _)| id).collect()
}

fn not_there(procedure: &Procedure, joint: JointId, (part, said): (PartId, Span), span: Span, done: &str) -> Finding {
    let (joint, row) = (&procedure.joints[joint].name.id, &procedure.parts[part]);
    let name = &row.name.id;
    let take = if row.consumable { format!("`take {name}`") } else { format!("`take 1 {name}`") };
    let message = format!("`{joint}` is {done} while `{name}`, which it joins, is not there");
    let mend = lines::taken_before(procedure, span, part, take.trim_matches('`').to_owned());
    Finding::new(Code::FW0730, message, span, "a part of the joint is missing here")
        .also(said, "the joint clamps it")
        .because("The bolts are tightened on nothing, and all of it has to come apart again.")
        .mend(mend.filter(|_| span != said))
        .repair(format!(
            "Write {take} on every path before this line. Where it is on the vehicle before the job, list it: `vehicle {{ 1 {name} }}`."
        ))
}

fn still_clamped(procedure: &Procedure, joint: JointId, (part, said): (PartId, Span), span: Span) -> Finding {
    let (joint, name) = (&procedure.joints[joint].name.id, &procedure.parts[part].name.id);
    let message = format!("`{name}` is removed while `{joint}` still clamps it");
    Finding::new(Code::FW0731, message, span, "it can't come off here")
        .also(said, "the joint clamps it")
        .because("The technician pulls at a part that is bolted on, and bends it.")
        .repair(format!("Write `remove {joint} with …`, or `loosen {joint} with …`, on every path before this line."))
}
