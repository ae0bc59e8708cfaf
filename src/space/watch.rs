//! For which inputs each limit and each rule waits.

use super::formula::Formula;
use super::ids::Input;
use super::terms::{inputs_of, inputs_of_comparison};
use crate::model::{IdMap, LimitId, Procedure, Rule};

/// A limit that waits for its inputs.
pub(super) struct LimitWatch {
    pub(super) inputs: Vec<Input>,
    pub(super) decided: Formula,
}

pub(super) fn watch_limits(procedure: &Procedure) -> IdMap<LimitId, LimitWatch> {
    procedure.limits.map(|_, limit| {
        let mut inputs = Vec::new();
        limit.when.iter().for_each(|cond| inputs_of(cond, &mut inputs));
        inputs_of_comparison(&limit.holds, &mut inputs);
        LimitWatch { inputs, decided: Formula::NEVER }
    })
}

pub(super) fn rule_inputs(procedure: &Procedure) -> Vec<Vec<Input>> {
    let of = |rule: &Rule| {
        let mut inputs = Vec::new();
        rule.when.iter().for_each(|cond| inputs_of(cond, &mut inputs));
        inputs_of(&rule.holds, &mut inputs);
        inputs
    };
    procedure.rules.iter().map(of).collect()
}
