//! FW0422: rules that rule nothing out, because they never apply or because what they ask for holds anyway.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding, Mend};
use crate::model::Rule;
use crate::space::Answer;

/// From the last to the first, so that of two that say the same the later one is told.
pub(super) fn check(proof: &mut Proof<'_>) {
    let mut idle: Vec<usize> = Vec::new();
    for (at, rule) in proof.procedure.rules.iter().enumerate().rev() {
        let Some((applies, forbids)) = proof.space.ask_rule(at, |other| !idle.contains(&other)) else { continue };
        if matches!(forbids, Answer::Impossible) {
            idle.push(at);
            proof.findings.push(finding(rule, matches!(applies, Answer::Impossible)));
        }
    }
}

fn finding(rule: &Rule, never_applies: bool) -> Finding {
    let (message, at, label) = match &rule.when {
        Some(when) if never_applies => ("this rule never applies", when.span, "never so, whatever is ordered"),
        _ => ("this rule never forbids anything", rule.holds.span, "so in any case"),
    };
    Finding::new(Code::FW0422, message, at, label)
        .because("Whoever wrote it meant to rule something out, and a fitting that should be refused is sold.")
        .repair("Compare its values and bounds with the ranges, and with the other rules; mend it, or remove it.")
        .mend(Mend::drop(at))
}
