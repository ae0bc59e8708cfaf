//! Whether a joint is there, in place and tight, and in which runs: one reading of the events for the rules that look at a
//! joint beside what they are about. Its own family (`joints`) knows more of it.

use super::proof::Proof;
use crate::model::{IdMap, Joint, JointId, Procedure};
use crate::space::{Effect, Event, Formula, Role};

/// What is true of a joint, in which runs.
#[derive(Clone, Copy)]
pub(super) struct Held {
    /// Its `when` holds.
    pub exists: Formula,
    pub in_place: Formula,
    pub tight: Formula,
}

/// Each joint before the job.
pub(super) fn at_first(procedure: &Procedure) -> IdMap<JointId, Held> {
    let held = |joint: &Joint| if joint.on_vehicle { Formula::ALWAYS } else { Formula::NEVER };
    procedure.joints.map(|_, joint| Held { exists: Formula::ALWAYS, in_place: held(joint), tight: held(joint) })
}

/// What an event makes of them.
pub(super) fn after(proof: &mut Proof<'_>, event: &Event<'_>, joints: &mut IdMap<JointId, Held>) {
    let (space, guard) = (&mut proof.space, event.guard);
    match event.effect {
        Effect::Judged { role: Role::Joint(joint), holds, .. } => {
            let held = &mut joints[joint];
            held.exists = holds;
            if proof.procedure.joints[joint].on_vehicle {
                (held.in_place, held.tight) = (holds, holds);
            }
        }
        Effect::Place(joint) | Effect::RefitJoint(joint) => {
            let held = &mut joints[joint];
            held.in_place = space.either(held.in_place, guard);
            held.tight = space.both(held.tight, !guard);
        }
        Effect::Tighten(joint) => joints[joint].tight = space.either(joints[joint].tight, guard),
        Effect::Loosen(joint) => joints[joint].tight = space.both(joints[joint].tight, !guard),
        Effect::RemoveJoint(joint) => {
            let held = &mut joints[joint];
            held.in_place = space.both(held.in_place, !guard);
            held.tight = space.both(held.tight, !guard);
        }
        _ => {}
    }
}
