//! Why an event happens in no run: the conditions and rules that contradict each other.

use super::event::{Role, StopCause};
use super::formula::Formula;
use super::ids::EventId;
use super::solver::{Engine, Solved};
use super::unroll::Entry;
use super::{Effect, Space};
use crate::model::Id;
use crate::source::Span;

/// One thing that must be so for the event to happen, or that always is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Because {
    /// This condition must hold.
    Holds(Span),
    /// This condition must not hold: the event stands in its `else`.
    Fails(Span),
    /// This arm must be taken; the place is its pattern.
    Arm(Span),
    /// This arm, which is looked at first or is not "all else", must not be taken.
    NotArm(Span),
    /// This check must have failed.
    Failed(Span),
    /// The job must not have ended here before.
    NotEnded(Span),
    /// This rule, by its place in the procedure.
    Rule(usize),
}

/// What was found out.
#[derive(Debug, Clone, PartialEq, Eq)]
#[must_use]
pub enum Explanation {
    /// These contradict each other; none can be left out (unless the effort ran out on the way).
    Contradiction(Vec<Because>),
    /// It can happen.
    Possible,
    /// Not decided within the effort.
    Undecided,
}

/// How many leavings-out are tried for one explanation.
const TRIES: usize = 60;

impl Space<'_> {
    /// What contradicts the event, or, with `also`, the event together with a further formula.
    pub fn explain(&self, event: EventId, also: Formula) -> Explanation {
        if self.out.incomplete {
            return Explanation::Undecided;
        }
        let mut parts = self.reasons(event);
        let rules = self.out.constraints.iter().map(|c| (c.formula, Some(Because::Rule(c.rule))));
        parts.extend(rules);
        parts.push((also, None));
        let mut engine = Engine::new(self.effort);
        let lits: Vec<_> = parts.iter().map(|(formula, _)| engine.literal(&self.terms.circuit, *formula)).collect();
        match engine.smallest_core(&self.terms.circuit, &self.terms.inputs, &lits, TRIES) {
            Err(Solved::Run(_)) if !self.is_doubtful(&[also]) => Explanation::Possible,
            Err(_) => Explanation::Undecided,
            Ok(core) => {
                let mut found: Vec<Because> = Vec::new();
                for (lit, (_, because)) in lits.iter().zip(&parts) {
                    let because = because.filter(|because| core.contains(lit) && !found.contains(because));
                    found.extend(because);
                }
                Explanation::Contradiction(found)
            }
        }
    }

    /// What must be so for the event to happen, from the outside in; then that the job has not ended before.
    fn reasons(&self, event: EventId) -> Vec<(Formula, Option<Because>)> {
        let Some(target) = self.event(event) else { return Vec::new() };
        let mut reasons = Vec::new();
        let mut block = target.block;
        while block != 0 {
            if let Some(of_block) = self.out.blocks.get(block as usize) {
                match of_block.entry {
                    Entry::Whole => {}
                    Entry::Holds(span) => reasons.push((of_block.condition, Some(Because::Holds(span)))),
                    Entry::Fails(span) => reasons.push((of_block.condition, Some(Because::Fails(span)))),
                    Entry::Failed(span) => reasons.push((of_block.condition, Some(Because::Failed(span)))),
                    Entry::Arm(branch, at) => self.arm_reasons(branch, at, &mut reasons),
                }
            }
            block = self.terms.timelines.around(block);
        }
        reasons.reverse();
        let before = self.events.iter().take(event.index());
        let ends = before.filter(|event| matches!(event.effect, Effect::Stop(_) | Effect::Handover(_)));
        let ends = ends.filter(|event| event.guard != Formula::NEVER);
        reasons.extend(ends.map(|event| (!event.guard, Some(Because::NotEnded(event.place.span)))));
        // What is supplied, and limits, stand under a condition of their own as well.
        if matches!(
            target.effect,
            Effect::Supplied { .. }
                | Effect::OnVehicle { .. }
                | Effect::Limit { .. }
                | Effect::Judged { role: Role::Limit(_), .. }
                | Effect::Stop(StopCause::Limit(_))
        ) {
            reasons.push((target.guard, None));
        }
        reasons
    }

    /// An arm is taken where it fits and no earlier one does.
    fn arm_reasons(&self, branch: EventId, at: usize, reasons: &mut Vec<(Formula, Option<Because>)>) {
        let Some(Effect::Chosen { choose, arms, .. }) = self.event(branch).map(|event| &event.effect) else { return };
        let is_rest = choose.arms.get(at).is_some_and(|arm| arm.pattern == crate::model::ArmPattern::Otherwise);
        for (n, (arm, covers)) in choose.arms.iter().zip(arms).enumerate() {
            if n == at && !is_rest {
                reasons.push((*covers, Some(Because::Arm(arm.pattern_span))));
            } else if n < at || (is_rest && n != at) {
                reasons.push((!*covers, Some(Because::NotArm(arm.pattern_span))));
            }
        }
    }
}
