//! FW0611: a part that is counted among what is on the vehicle, and again as a part of a joint that is there.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::{Joint, Procedure, VehicleGroup};

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    proof.findings.extend(
        procedure.joints.rows().iter().filter(|joint| joint.on_vehicle).filter_map(|joint| finding(procedure, joint)),
    );
}

fn finding(procedure: &Procedure, joint: &Joint) -> Option<Finding> {
    // Where both have a condition, one may exclude the other.
    let meets = |group: &&VehicleGroup| group.when.is_none() || joint.when.is_none();
    let mut listed = procedure.vehicle.iter().filter(meets).flat_map(|group| &group.entries);
    let listed = listed.find(|entry| joint.each.iter().any(|each| each.what == entry.what))?;
    let part = &procedure.parts[listed.what].name;
    Some(
        Finding::new(
            Code::FW0611,
            format!("`{}` is counted among what is on the vehicle, and again in `{}`", part.id, joint.name.id),
            listed.span,
            "counted here",
        )
        .also(joint.name.span, "this joint is on the vehicle with its parts")
        .because("Both are there then: the list says more than the vehicle has, and more can come off than is there.")
        .repair("Take it out of `vehicle`: a joint `on vehicle` brings its parts. Where there are more of them elsewhere, declare those under a name of their own."),
    )
}
