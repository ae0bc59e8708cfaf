//! FW0503: tools that would be laid out and never picked up.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::{Node, Procedure, walk};
use crate::source::Span;
use crate::space::{Answer, Effect, Formula};

/// FW0503: tools that only steps name which no configuration reaches. Where such a step was told itself, that is the
/// message; what is left are repairs of checks that can't fail.
pub(super) fn check(proof: &mut Proof<'_>) {
    let unreached = |finding: &Finding| matches!(finding.code, Code::FW0404 | Code::FW0405 | Code::FW0409);
    if proof.findings.iter().any(unreached) || !proof.broken_limits.is_empty() {
        return;
    }
    let procedure = proof.procedure;
    let mut used = procedure.tools.each(None);
    let events = proof.events.clone();
    for event in events.iter() {
        let Effect::Tools { tools, .. } = event.effect else { continue };
        for place in tools {
            for tool in &place.any_of {
                let slot = &mut used[*tool];
                let (formula, span) = slot.unwrap_or((Formula::NEVER, place.span));
                *slot = Some((proof.space.either(formula, event.guard), span));
            }
        }
    }
    for (tool, used) in used.iter() {
        let Some((formula, span)) = *used else { continue };
        let tool = &procedure.tools[tool];
        if matches!(proof.space.ask(formula), Answer::Impossible) {
            // The check that can't fail is why: one message.
            let checks = procedure.steps.rows().iter().filter(|step| step.is_check).map(|step| step.span);
            let checks = checks.filter(|check| within(span, *check));
            if let Some(check) = checks.min_by_key(|check| check.end - check.start) {
                let expects = expected_by(procedure, check);
                let same = |finding: &Finding| {
                    finding.code == Code::FW0410 && finding.span().is_some_and(|at| expects.contains(&at))
                };
                proof.findings.retain(|finding| !same(finding));
            }
            proof.findings.push(
                Finding::new(
                    Code::FW0503,
                    format!("`{}` is used in no configuration", tool.name.id),
                    span,
                    "never reached",
                )
                .because("It would be laid out and never picked up.")
                .repair("Mend the condition of the step, or remove the tool."),
            );
        }
    }
}

fn within(inner: Span, outer: Span) -> bool {
    inner.file == outer.file && outer.start <= inner.start && inner.end <= outer.end
}

/// Where the conditions stand that the check at this place expects.
fn expected_by(procedure: &Procedure, check: Span) -> Vec<Span> {
    let nodes = procedure.sections.iter().flat_map(|section| walk(&section.body));
    let expects = nodes.filter_map(|node| match node {
        Node::Check(one) if procedure.steps[one.step].span == check => Some(&one.expects),
        _ => None,
    });
    expects.flatten().map(|cond| cond.span).collect()
}
