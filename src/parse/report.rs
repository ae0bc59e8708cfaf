//! A bounded list of findings: what is beyond the bound is counted, not kept.

use super::limits;
use crate::diagnostics::{Code, Finding};

/// Findings of one stage.
#[derive(Debug, Default)]
pub(super) struct Findings {
    kept: Vec<Finding>,
    count: usize,
}

impl Findings {
    /// Adds one, or only counts it.
    pub fn push(&mut self, finding: Finding) {
        self.count += 1;
        if self.kept.len() < limits::FINDINGS {
            self.kept.push(finding);
        }
    }

    /// Adds one that is only built where there is room for it.
    pub fn push_with(&mut self, make: impl FnOnce() -> Finding) {
        if self.kept.len() < limits::FINDINGS {
            self.kept.push(make());
        }
        self.count += 1;
    }

    /// All of several stages, by place, the first hundred, and one that counts the rest.
    pub fn merge(stages: Vec<Findings>) -> Vec<Finding> {
        let count: usize = stages.iter().map(|stage| stage.count).sum();
        let mut all: Vec<Finding> = stages.into_iter().flat_map(|stage| stage.kept).collect();
        all.sort_by_key(|finding| finding.span().map_or(0, |span| span.start));
        all.truncate(limits::FINDINGS);
        let more = count - all.len();
        if more > 0 {
            let last = all.last().and_then(Finding::span);
            let message = format!("there are {more} more faults of the text in this file, which are not shown");
            let rest = match last {
                Some(span) => Finding::new(Code::FW0101, message, span, "the last one that is shown"),
                None => Finding::without_place(Code::FW0101, message),
            };
            all.push(rest.repair("Mend those above, then run again."));
        }
        all
    }
}
