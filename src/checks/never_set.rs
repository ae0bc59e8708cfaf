//! FW0428: a value of a result that nothing sets, though `set` is written as often as there are values.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::{ChoiceKind, LineKind, Node, SetResult, walk};

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let nodes = procedure.sections.iter().flat_map(|section| walk(&section.body));
    let in_flow = nodes.filter_map(|node| match node {
        Node::Set(set) => Some(set),
        _ => None,
    });
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    let in_steps = lines.filter_map(|line| match &line.kind {
        LineKind::Set(set) => Some(set),
        _ => None,
    });
    let sets: Vec<&SetResult> = in_flow.chain(in_steps).collect();
    for (id, result) in procedure.choices.iter().filter(|(_, row)| row.kind == ChoiceKind::Result) {
        let of_it: Vec<&SetResult> = sets.iter().copied().filter(|set| set.result == id).collect();
        // With fewer, a `set` is missing: of that is told where the result is looked at.
        if of_it.len() < result.values.len() {
            continue;
        }
        for (number, value) in result.values.iter().enumerate() {
            if of_it.iter().any(|set| set.value == number) {
                continue;
            }
            let name = &result.name.id;
            let message = format!("nothing sets `{name}` to `{}`", value.id);
            let finding = Finding::new(Code::FW0428, message, value.span, "never set")
                .because("One of the lines that set it may name another value than was meant, and the work goes by the wrong one.")
                .repair(format!(
                    "Write `set {name} {}` where that is decided, or take the value out of the result.",
                    value.id
                ));
            proof.findings.push(of_it.iter().fold(finding, |finding, set| finding.also(set.span, "set here")));
        }
    }
}
