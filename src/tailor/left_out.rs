//! Which sections and steps of the full procedure are left out, in few words.

use std::collections::BTreeSet;

use crate::labels::{ENGLISH, fill};
use crate::model::{Node, Procedure, Section, StepId};

/// `section 4`, `step 2.3`, `steps 5.1 to 5.3`, in the order of the text.
pub(super) fn words(full: &Procedure, sections: &[Section], kept: &BTreeSet<StepId>) -> Vec<String> {
    let labels = &ENGLISH.flow;
    let mut words = Vec::new();
    for section in &full.sections {
        let mut steps = Vec::new();
        collect(&section.body, &mut steps);
        // A section without a step left may still hand the vehicle over.
        if !sections.iter().any(|left| left.number == section.number) {
            words.push(fill(labels.section, &[("number", &section.number.to_string())]));
            continue;
        }
        for run in steps.chunk_by(|a, b| kept.contains(a) == kept.contains(b)) {
            let number = |step: &StepId| &full.steps[*step].number;
            match run {
                [first, ..] if kept.contains(first) => {}
                [first, .., last] => {
                    words.push(fill(labels.steps, &[("first", number(first)), ("last", number(last))]));
                }
                [only] => words.push(fill(labels.step, &[("number", number(only))])),
                [] => {}
            }
        }
    }
    words
}

fn collect(body: &[Node], steps: &mut Vec<StepId>) {
    for node in body {
        match node {
            Node::Step(step) => steps.push(*step),
            Node::Check(check) => {
                steps.push(check.step);
                check.repair.iter().for_each(|repair| collect(&repair.body, steps));
            }
            Node::Choose(choose) => choose.arms.iter().for_each(|arm| collect(&arm.body, steps)),
            Node::When(when) => {
                collect(&when.then, steps);
                collect(&when.otherwise, steps);
            }
            Node::Set(_) | Node::Stop(_) | Node::Handover(_) => {}
        }
    }
}
