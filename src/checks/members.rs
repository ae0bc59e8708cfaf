//! FW07, what joints join: the parts that a joint clamps are there when it is put together, and stay while it holds them.

use super::heap::Heap;
use super::proof::{Proof, Subject, not_decided};
use crate::diagnostics::{Code, Finding};
use crate::model::{IdMap, JointId, LineKind, PartId, Procedure, StepId};
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
            Effect::OnVehicle { part, count, .. } | Effect::Refit { part, count } => {
                self.come(proof, guard, part, count)
            }
            Effect::Remove { part, count } => {
                self.clamped(proof, event, part);
                self.go(proof, guard, part, count);
            }
            Effect::Place(joint) | Effect::RefitJoint(joint) => {
                for (part, count) in parts_of(proof.procedure, joint) {
                    self.come(proof, guard, part, count);
                }
                self.put_together(proof, event, joint, "put together");
                self.hold(proof, guard, joint, true);
            }
            Effect::Snug(joint) => self.put_together(proof, event, joint, "run on"),
            Effect::Tighten(joint) => {
                self.put_together(proof, event, joint, "tightened");
                self.hold(proof, guard, joint, true);
            }
            Effect::Loosen(joint) => self.hold(proof, guard, joint, false),
            Effect::RemoveJoint(joint) => {
                for (part, count) in parts_of(proof.procedure, joint) {
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
                // A consumable has no count, and is there once it was taken.
                entries.iter().for_each(|entry| self.come(proof, guard, entry.what, entry.least().max(1)));
            }
        }
    }

    fn come(&mut self, proof: &mut Proof<'_>, guard: Formula, part: PartId, count: u32) {
        if self.joined[part] {
            self.there[part].change(proof, guard, |number| number.saturating_add(count));
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

    /// FW0730
    fn put_together<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, joint: JointId, done: &'static str) {
        for (part, said) in &proof.procedure.joints[joint].joins {
            let missing = self.there[*part].below(proof, 1);
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
    fn clamped<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, part: PartId) {
        for (joint, row) in proof.procedure.joints.iter() {
            let Some((_, said)) = row.joins.iter().find(|(member, _)| *member == part) else { continue };
            let missing = self.there[part].below(proof, 1);
            let life = &mut self.lives[joint];
            let sure = proof.sure(event);
            let broken = proof.space.all([sure, !missing, life.holds, life.exists, !life.poisoned]);
            life.poisoned = proof.space.either(life.poisoned, broken);
            let (said, span) = (*said, event.place.span);
            proof.oblige((Code::FW0731, span, Subject::Joint(joint)), event.id, broken, move |proof| {
                still_clamped(proof.procedure, joint, (part, said), span)
            });
        }
    }
}

/// The parts of all fastenings of a joint.
fn parts_of(procedure: &Procedure, joint: JointId) -> impl Iterator<Item = (PartId, u32)> + '_ {
    let row = &procedure.joints[joint];
    row.each.iter().map(|entry| (entry.what, entry.count.saturating_mul(row.count)))
}

fn not_there(procedure: &Procedure, joint: JointId, (part, said): (PartId, Span), span: Span, done: &str) -> Finding {
    let (joint, part) = (&procedure.joints[joint].name.id, &procedure.parts[part]);
    let name = &part.name.id;
    let take = if part.consumable { format!("`take {name}`") } else { format!("`take 1 {name}`") };
    let message = format!("`{joint}` is {done} while `{name}`, which it joins, is not there");
    Finding::new(Code::FW0730, message, span, "a part of the joint is missing here")
        .also(said, "the joint clamps it")
        .because("The bolts are tightened on nothing, and all of it has to come apart again.")
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
