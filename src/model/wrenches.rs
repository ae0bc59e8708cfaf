//! What is on the scales of the wrenches with which a joint is tightened: its torques are printed in these units too.

use std::collections::HashMap;
use std::sync::OnceLock;

use super::{Joint, LineKind, Procedure};
use crate::quantity::Unit;

/// The units of every joint, by its name: worked out where they are first asked for, since each torque that is printed asks. A
/// copy of a procedure begins anew, because it is made to be changed, and none differs from another by what was asked of it.
#[derive(Debug, Default)]
pub struct WrenchUnits(OnceLock<HashMap<String, Vec<Unit>>>);

impl Clone for WrenchUnits {
    fn clone(&self) -> Self {
        WrenchUnits::default()
    }
}

impl PartialEq for WrenchUnits {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Procedure {
    /// The units on the scales of the torque tools with which a joint is tightened, each once, in the order of the text.
    pub fn wrench_units(&self, joint: &Joint) -> &[Unit] {
        self.wrench_units.0.get_or_init(|| units_by_joint(self)).get(&joint.name.id).map_or(&[], Vec::as_slice)
    }
}

fn units_by_joint(procedure: &Procedure) -> HashMap<String, Vec<Unit>> {
    let mut all: HashMap<String, Vec<Unit>> = HashMap::new();
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Tighten(id, tools) = &line.kind else { continue };
        let units = all.entry(procedure.joints[*id].name.id.clone()).or_default();
        let ranges = tools.iter().flat_map(|place| &place.any_of).filter_map(|tool| procedure.tools[*tool].torque);
        for unit in ranges.map(|(low, _)| low.unit) {
            if !units.contains(&unit) {
                units.push(unit);
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use crate::compile;
    use crate::model::Procedure;
    use crate::world::Memory;

    const TEXT: &str = "procedure trial \"Trial\"\nuse std/hand-tools\nuse std/fasteners\npart bolt bolt M8 x 30 mm, class 8.8, hex head\n\
        part nut nut M8, class 8\njoint one \"One\" { each bolt, nut  torque 22 N.m +- 2 N.m  thread plated  grip 14 mm }\n\
        kit { bag A { 1 bolt, 1 nut } }\nsection work \"Work\" {\n  step set \"Set\" {\n    > Set it.\n    take 1 bolt, 1 nut\n    place one\n    \
        tighten one with torque-wrench-1-4-drive, socket-13, hold with spanner-13\n  }\n  handover { sign installer }\n}\n";

    fn units(procedure: &Procedure) -> Vec<&'static str> {
        let joint = procedure.joints.rows().first().expect("a joint");
        procedure.wrench_units(joint).iter().map(|unit| unit.spelling()).collect()
    }

    #[test]
    fn a_copy_that_is_changed_is_asked_anew() {
        let compiled = compile::check("trial.fitw", &Memory::default().with("trial.fitw", TEXT));
        let whole = compiled.procedure().expect("a procedure");
        assert_eq!(units(whole), ["N.m"]);
        let mut copy = whole.clone();
        assert_eq!(&copy, whole);
        for step in copy.steps.rows_mut() {
            step.lines.clear();
        }
        assert!(units(&copy).is_empty(), "nothing tightens the joint any more");
        assert_eq!(units(whole), ["N.m"]);
    }
}
