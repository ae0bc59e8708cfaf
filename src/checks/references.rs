//! FW0425: a text that speaks of a step which the same fitting does not do.
//!
//! Asked of the options alone: where a job may end before it comes there, the reader sees the step on paper all the same.

use super::carried::mentions;
use super::proof::Proof;
use crate::diagnostics::{Case, CaseInput, Code, Finding};
use crate::model::{MentionTarget, StepId};
use crate::plan::Plan;
use crate::plan::occurrence::{Fittings, Occurrence};
use crate::source::Span;

pub(super) fn check(proof: &mut Proof<'_>) {
    let occurrence = proof.plan.occurrence();
    let mut findings: Vec<Finding> = Vec::new();
    for event in proof.events.iter() {
        for mention in mentions(proof.procedure, event) {
            let (MentionTarget::Step(target) | MentionTarget::Action(target, _)) = mention.target else { continue };
            let here = event.place.step.map_or_else(|| occurrence.every(), |step| occurrence.possible(step));
            let without = here & !occurrence.possible(target);
            // A step that no fitting does was told itself.
            if without == 0 || occurrence.possible(target) == 0 {
                continue;
            }
            let finding = finding(proof.plan, target, mention.span, without);
            if !findings.contains(&finding) {
                findings.push(finding);
            }
        }
    }
    proof.findings.extend(findings);
}

fn finding(plan: &Plan, target: StepId, at: Span, without: Fittings) -> Finding {
    let step = &plan.procedure().steps[target];
    let message = format!("step `{}` is spoken of in a fitting that does not do it", step.name.id);
    let finding = Finding::new(Code::FW0425, message, at, "not done in every fitting that reads this")
        .also(step.name.span, "the step")
        .because("The reader looks for a step that is not on the sheets of this fitting.")
        .repair("Say it under the condition of that step, or write out what is meant.");
    let Some(first) = Occurrence::each(without).next() else { return finding };
    let values = plan.occurrence().telling(first, plan.occurrence().possible(target));
    let input = |(choice, value): (crate::model::ChoiceId, usize)| {
        let row = &plan.procedure().choices[choice];
        let value = row.values.get(value)?.id.clone();
        Some(CaseInput { name: row.name.id.clone(), says: None, value, occasion: 1 })
    };
    finding.case(Case { inputs: values.into_iter().filter_map(input).collect(), ..Case::default() })
}
