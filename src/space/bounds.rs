//! Rules and limits, on the way through the text.
//!
//! A rule is taken for true as soon as all that it names has a value, and again whenever a reading that it names is
//! taken anew. A limit is decided once, right after the step in which the last of its inputs is first read.

use super::event::{Effect, Input, Role, StopCause};
use super::formula::Formula;
use super::terms::{inputs_of, inputs_of_comparison};
use super::unroll::{Constraint, Walk};
use crate::model::{ChoiceKind, Id, Limit, LimitId, Procedure, Rule};

/// A limit that waits for its inputs.
pub(super) struct LimitWatch {
    inputs: Vec<Input>,
    decided: Formula,
}

pub(super) fn watch_limits(procedure: &Procedure) -> Vec<LimitWatch> {
    let of = |limit: &Limit| {
        let mut inputs = Vec::new();
        limit.when.iter().for_each(|cond| inputs_of(cond, &mut inputs));
        inputs_of_comparison(&limit.holds, &mut inputs);
        LimitWatch { inputs, decided: Formula::NEVER }
    };
    procedure.limits.rows().iter().map(of).collect()
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

impl<'p> Walk<'p, '_> {
    /// Takes the rules for true: all of them before the job (`None`), those that name the input when it is read.
    /// A rule says nothing of a run in which something that it names has no value.
    pub(super) fn constrain(&mut self, read: Option<Input>) {
        let moment = self.moment();
        for (at, rule) in self.terms.procedure.rules.iter().enumerate() {
            let inputs = self.rules.get(at).cloned().unwrap_or_default();
            let concerned = read.is_none_or(|input| inputs.contains(&input));
            if !concerned || inputs.iter().any(|input| self.is_result(*input)) {
                continue;
            }
            let mut uses = Vec::new();
            let applies = match &rule.when {
                Some(cond) => self.terms.condition(cond, moment, Formula::ALWAYS, &mut uses),
                None => Formula::ALWAYS,
            };
            let holds = self.terms.condition(&rule.holds, moment, Formula::ALWAYS, &mut uses);
            let known: Vec<Formula> = inputs.iter().map(|input| self.terms.known(*input, moment)).collect();
            let known = self.terms.circuit.all(known.into_iter().chain([self.live, applies]));
            let formula = self.terms.circuit.either(!known, holds);
            if formula != Formula::ALWAYS {
                self.out.constraints.push(Constraint { formula, rule: at });
            }
        }
    }

    fn is_result(&self, input: Input) -> bool {
        matches!(input, Input::Choice(id) if self.terms.procedure.choices[id].kind == ChoiceKind::Result)
    }

    /// Decides the limits that what was read since makes decidable.
    pub(super) fn decide_fresh_limits(&mut self) {
        let fresh = std::mem::take(&mut self.fresh);
        if fresh.is_empty() {
            return;
        }
        for limit in self.terms.procedure.limits.ids() {
            let concerned = self.limits.get(limit.index()).is_some_and(|w| w.inputs.iter().any(|i| fresh.contains(i)));
            if concerned {
                self.decide_limit(limit);
            }
        }
    }

    pub(super) fn decide_limit(&mut self, id: LimitId) {
        let limit = &self.terms.procedure.limits[id];
        let Some(watch) = self.limits.get(id.index()) else { return };
        let (inputs, decided) = (watch.inputs.clone(), watch.decided);
        let moment = self.moment();
        let known: Vec<Formula> = inputs.iter().map(|input| self.terms.known(*input, moment)).collect();
        let now = self.terms.circuit.all(known.into_iter().chain([self.live, !decided]));
        if now == Formula::NEVER {
            return;
        }
        let decided = self.terms.circuit.either(decided, now);
        if let Some(watch) = self.limits.get_mut(id.index()) {
            watch.decided = decided;
        }
        let mut uses = Vec::new();
        let applies = match &limit.when {
            None => Formula::ALWAYS,
            Some(condition) => {
                let holds = self.terms.condition(condition, moment, Formula::ALWAYS, &mut uses);
                let effect = Effect::Judged { condition, role: Role::Limit(id), holds, uses };
                self.emit_under(now, condition.span, effect);
                holds
            }
        };
        let holds = self.terms.comparison(&limit.holds, moment, Formula::ALWAYS, &mut Vec::new());
        let guard = self.terms.circuit.both(now, applies);
        self.emit_under(guard, limit.span, Effect::Limit { limit: id, holds });
        if limit.otherwise.is_some() {
            let broken = self.terms.circuit.both(guard, !holds);
            self.emit_under(broken, limit.span, Effect::Stop(StopCause::Limit(id)));
            self.end_here(broken);
        }
    }
}
