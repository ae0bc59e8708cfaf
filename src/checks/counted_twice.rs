//! FW0611: a part that is counted among what is on the vehicle, and again as a part of a joint that is there.
//!
//! Where list and joint have a condition each, they must be able to hold in one job.

use std::collections::BTreeSet;

use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding};
use crate::model::{Counted, JointId, PartId, Procedure};
use crate::space::{Answer, Effect, Formula, Role};

/// A joint on the vehicle, and an entry of the list, by its group, that counts one of its parts.
type Twice<'p> = (JointId, usize, &'p Counted<PartId>);

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let all = twice(procedure);
    if all.is_empty() {
        return;
    }
    let mut groups = vec![Formula::ALWAYS; procedure.vehicle.len()];
    let mut joints = procedure.joints.each(Formula::ALWAYS);
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Judged { role: Role::Vehicle(group), holds, .. } => {
                if let Some(known) = groups.get_mut(group) {
                    *known = holds;
                }
                continue;
            }
            Effect::Judged { role: Role::Joint(joint), holds, .. } => {
                joints[joint] = holds;
                continue;
            }
            // By now the conditions of all of them are known.
            Effect::Section(_) | Effect::Step(_) | Effect::Handover(_) | Effect::RunsOut => {}
            _ => continue,
        }
        let sure = proof.sure(event);
        // One cause, one message.
        let mut told: BTreeSet<JointId> = BTreeSet::new();
        for (joint, group, entry) in all {
            if told.contains(&joint) {
                continue;
            }
            let listed = groups.get(group).copied().unwrap_or(Formula::ALWAYS);
            let both = proof.space.both(listed, joints[joint]);
            if both == Formula::ALWAYS {
                proof.findings.push(finding(procedure, joint, entry));
            } else {
                let broken = proof.space.both(sure, both);
                if matches!(proof.space.ask(broken), Answer::Impossible) {
                    continue;
                }
                proof.oblige((Code::FW0611, entry.span, Subject::Joint(joint)), event.id, broken, move |proof| {
                    finding(proof.procedure, joint, entry)
                });
            }
            told.insert(joint);
        }
        return;
    }
}

fn twice(procedure: &Procedure) -> Vec<Twice<'_>> {
    let on_vehicle = procedure.joints.iter().filter(|(_, joint)| joint.on_vehicle);
    on_vehicle
        .flat_map(|(id, joint)| {
            let listed = procedure.vehicle.iter().enumerate();
            listed.flat_map(move |(group, listed)| {
                let own = move |entry: &&Counted<PartId>| joint.each.iter().any(|each| each.what == entry.what);
                listed.entries.iter().filter(own).map(move |entry| (id, group, entry))
            })
        })
        .collect()
}

fn finding(procedure: &Procedure, joint: JointId, listed: &Counted<PartId>) -> Finding {
    let (part, joint) = (&procedure.parts[listed.what].name, &procedure.joints[joint]);
    Finding::new(
        Code::FW0611,
        format!("`{}` is counted among what is on the vehicle, and again in `{}`", part.id, joint.name.id),
        listed.span,
        "counted here",
    )
    .also(joint.name.span, "this joint is on the vehicle with its parts")
    .because("Both are there then: the list says more than the vehicle has, and more can come off than is there.")
    .repair("Take it out of `vehicle`: a joint `on vehicle` brings its parts. Where there are more of them elsewhere, declare those under a name of their own.")
}
