//! Which sections and steps of the full procedure are left out, in few words.

use std::collections::BTreeSet;

use crate::labels::{fill, spoken};
use crate::model::{Procedure, Section, StepId, walk};

/// `section 4`, `step 2.3`, `steps 5.1 to 5.3`, in the order of the text.
pub(super) fn words(full: &Procedure, sections: &[Section], kept: &BTreeSet<StepId>) -> Vec<String> {
    let labels = &spoken().flow;
    let mut words = Vec::new();
    for section in &full.sections {
        let steps: Vec<StepId> = walk(&section.body).steps().collect();
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
