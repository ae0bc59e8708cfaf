//! Rules and limits, on the way through the text.
//!
//! A rule is taken for true: no run breaks it. A rule that names a reading is held against each new reading. A limit is
//! decided once: before the job where that can be told, else right after the step that reads what was missing.

use super::event::{Effect, Role, StopCause};
use super::formula::Formula;
use super::ids::Input;
use super::terms::{Moment, Truth};
use super::unroll::{Constraint, Walk};
use crate::model::{ChoiceKind, Cond, LimitId};

impl<'p> Walk<'p, '_> {
    /// Takes the rules for true: all of them before the job (`None`), those that name the input when it is read.
    pub(super) fn constrain(&mut self, read: Option<Input>) {
        let moment = self.moment();
        for (at, rule) in self.terms.procedure.rules.iter().enumerate() {
            let inputs = self.rules.get(at).cloned().unwrap_or_default();
            let concerned = read.is_none_or(|input| inputs.contains(&input));
            if !concerned || inputs.iter().any(|input| self.is_result(*input)) {
                continue;
            }
            let applies = self.truth(rule.when.as_ref(), moment);
            let holds = self.terms.condition(&rule.holds, moment, &mut Vec::new());
            let spared = self.terms.circuit.both(self.live, applies.fails);
            let applies = self.terms.circuit.both(self.live, applies.holds);
            let formula = !self.terms.circuit.both(applies, holds.fails);
            let decided = self.terms.circuit.either(holds.holds, holds.fails);
            let decided = self.terms.circuit.both(applies, decided);
            let told = self.terms.circuit.either(spared, decided);
            if told == Formula::NEVER {
                continue;
            }
            // One that forbids nothing is kept too, so that this can be told.
            self.out.constraints.push(Constraint { formula, rule: at, applies });
        }
    }

    fn truth(&mut self, cond: Option<&Cond>, moment: Moment) -> Truth {
        cond.map_or(Truth::ALWAYS, |cond| self.terms.condition(cond, moment, &mut Vec::new()))
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
            if self.limits[limit].inputs.iter().any(|input| fresh.contains(input)) {
                self.decide_limit(limit);
            }
        }
    }

    pub(super) fn decide_limit(&mut self, id: LimitId) {
        let limit = &self.terms.procedure.limits[id];
        let decided = self.limits[id].decided;
        let moment = self.moment();
        let mut uses = Vec::new();
        let applies = match &limit.when {
            Some(cond) => self.terms.condition(cond, moment, &mut uses),
            None => Truth::ALWAYS,
        };
        let holds = self.terms.comparison(&limit.holds, moment, &mut Vec::new());
        let told = self.terms.circuit.either(holds.holds, holds.fails);
        let decidable = self.terms.circuit.both(applies.holds, told);
        let decidable = self.terms.circuit.either(applies.fails, decidable);
        let now = self.terms.circuit.all([self.live, decidable, !decided]);
        if now == Formula::NEVER {
            return;
        }
        let decided = self.terms.circuit.either(decided, now);
        self.limits[id].decided = decided;
        if let Some(condition) = &limit.when {
            let effect = Effect::Judged { condition, role: Role::Limit(id), holds: applies.holds, uses };
            self.emit_under(now, condition.span, effect);
        }
        let guard = self.terms.circuit.both(now, applies.holds);
        let holds = holds.holds;
        self.emit_under(guard, limit.span, Effect::Limit { limit: id, holds });
        if limit.otherwise.is_some() {
            let broken = self.terms.circuit.both(guard, !holds);
            self.emit_under(broken, limit.span, Effect::Stop(StopCause::Limit(id)));
            self.end_here(broken);
        }
    }
}
