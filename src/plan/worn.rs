//! What is worn: protective equipment, and the steps that ask for it.

use std::collections::BTreeMap;

use super::Plan;
use crate::model::{Procedure, ProtectionId, StepId};

/// Protective equipment of a job.
#[derive(Debug)]
pub(crate) struct Worn {
    pub(crate) what: ProtectionId,
    /// The steps that ask for it, each once; `None` where it is worn throughout.
    pub(crate) steps: Option<Vec<StepId>>,
}

/// First what is worn throughout, then what single steps ask for, by a line or in prose.
pub(super) fn of(procedure: &Procedure) -> Vec<Worn> {
    let mut steps: BTreeMap<ProtectionId, Vec<StepId>> = BTreeMap::new();
    for (id, step) in procedure.steps.iter() {
        for protection in step.lines.iter().flat_map(|line| line.kind.worn()) {
            let steps = steps.entry(protection).or_default();
            if !steps.contains(&id) {
                steps.push(id);
            }
        }
    }
    let throughout = &procedure.about.wear;
    let single = steps.into_iter().filter(|(what, _)| !throughout.contains(what));
    let single = single.map(|(what, steps)| Worn { what, steps: Some(steps) });
    throughout.iter().map(|what| Worn { what: *what, steps: None }).chain(single).collect()
}

impl Plan {
    /// What is worn, first what is worn throughout.
    pub(crate) fn worn(&self) -> &[Worn] {
        self.worn.get(|| of(&self.procedure))
    }
}
