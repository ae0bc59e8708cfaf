//! Whose work a check looks at that is done by another person.

use super::Plan;
use crate::model::{IdMap, Node, Procedure, StepId, walk};

/// The steps that each check done by another person looks at; empty of all others, and where nothing is done before it.
pub(super) fn of(procedure: &Procedure) -> IdMap<StepId, Vec<StepId>> {
    let mut looks_at: IdMap<StepId, Vec<StepId>> = procedure.steps.map(|_, _| Vec::new());
    for section in &procedure.sections {
        let mut before: Vec<StepId> = Vec::new();
        for node in walk(&section.body) {
            let Some(step) = node.step() else { continue };
            if procedure.steps[step].another_person.is_some() {
                looks_at[step].clone_from(&before);
                // Whoever repairs does not look again.
                if let Node::Check(check) = node
                    && let Some(repair) = &check.repair
                {
                    looks_at[step].extend(walk(&repair.body).steps());
                }
            }
            // Who checked before may check again: at the next place, or what was done since.
            if procedure.steps[step].another_person.is_none() {
                before.push(step);
            }
        }
    }
    looks_at
}

impl Plan {
    /// The steps of which a check by another person may have none done by that person: those before it in its section that are no such checks, and
    /// those of its own repair.
    pub(crate) fn looks_at(&self, check: StepId) -> &[StepId] {
        &self.looks_at.get(|| of(&self.procedure))[check]
    }
}
