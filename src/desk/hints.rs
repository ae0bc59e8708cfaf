//! What a quantity is in the other system of units.

use super::{Desk, ROOT};
use crate::quantity::{Measure, UnitPreference, display};
use crate::resolve::index::MeasuredAt;
use crate::source::Span;

/// A quantity of the text in other units.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hint {
    /// Where the quantity stands.
    pub at: Span,
    /// What it is: `16.2 lbf·ft`.
    pub text: String,
}

impl Desk {
    /// Each quantity of the file that the other system of units has a unit for, in order: rounded as the sheets print it.
    pub fn hints(&self) -> Vec<Hint> {
        let of_the_file = self.index.measured.iter().filter(|measured| measured.at.file.whole() == ROOT);
        let hint = |measured: &MeasuredAt| {
            let text = self.otherwise(&measured.measure)?;
            Some(Hint { at: measured.at.whole(), text })
        };
        let mut hints: Vec<Hint> = of_the_file.filter_map(hint).collect();
        hints.sort_by(|a, b| a.at.cmp(&b.at).then_with(|| a.text.cmp(&b.text)));
        hints.dedup_by_key(|hint| hint.at);
        hints
    }

    /// A quantity in the system of units that it is not written in.
    pub(super) fn otherwise(&self, measure: &Measure) -> Option<String> {
        let units = self.units();
        let own = measure.stated().unit.system()?;
        let system = if own == units.first { units.second? } else { units.first };
        let converted = display::converted(measure, system)?;
        Some(display::measure(&converted, UnitPreference { first: system, second: None }))
    }
}
