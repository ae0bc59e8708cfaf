//! When a joint is tightened again after the job: `again after 50 km or 10 h of running`.

use super::Resolver;
use crate::diagnostics::{Code, Finding};
use crate::model::{Again, Due};
use crate::parse::tree;
use crate::quantity::{Kind, Measure};
use crate::source::Span;
use num_traits::Signed;

impl<'t> Resolver<'t> {
    pub(super) fn again(&mut self, written: &'t [tree::Due], span: Span) -> Option<Again> {
        let mut after: Vec<Due> = Vec::new();
        for due in written {
            let made = self.due(due)?;
            let same = |other: &Due| other.after.kind() == made.after.kind() && other.running == made.running;
            if after.iter().any(same) {
                let finding = Finding::new(Code::FW0113, "this is counted twice", due.span, "counted already");
                self.report(finding.repair("Write one of them; from one to the other it is `50 km to 100 km`."));
                return None;
            }
            after.push(made);
        }
        Some(Again { after, span })
    }

    fn due(&mut self, due: &'t tree::Due) -> Option<Due> {
        let after = self.measure(&due.after, &[Kind::Length, Kind::Time])?;
        let fault = if !is_bounded(&after) {
            (
                "nobody can tell when this is due",
                "Write how far or how long, above zero: `50 km`, `50 km to 100 km`, `at most 24 h`.",
            )
        } else if due.running && after.kind() == Kind::Length {
            ("a distance does not run", "Leave `of running` out, or write a time: `10 h of running`.")
        } else {
            return Some(Due { after, running: due.running });
        };
        self.report(Finding::new(Code::FW0309, fault.0, due.span, "due after this").repair(fault.1));
        None
    }
}

/// Whether it says at the latest when, and that is not at once.
fn is_bounded(after: &Measure) -> bool {
    let over = |measure: Option<crate::quantity::Quantity>| measure.is_some_and(|one| one.value.is_positive());
    over(after.high()) && (after.low().is_none() || over(after.low()))
}
