//! Entries that look made up: the same number again and again, faster than hands work.
//!
//! The rule is our own: [`FEWEST`] or more equal numbers, one after the other in one doing of one step, with [`GAP`] or less from one to
//! the next on average. Eight torques in four seconds are such a run: nobody sets a wrench to eight bolts so fast. A run is
//! no proof. Somebody may have written everything down at the end, from paper.

use crate::quantity::Exact;
use crate::record::facts::{Facts, Given};

/// So many equal numbers make a run.
pub(super) const FEWEST: usize = 4;
/// Thousandths of a second from one to the next, on average.
pub(super) const GAP: i64 = 1000;

/// A run of equal numbers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Run {
    /// Place of the step.
    pub step: usize,
    /// Lines of the record, the first and the last.
    pub lines: (u32, u32),
    pub entries: usize,
    /// In base units.
    pub value: Exact,
    /// What was written down, by its place: an input, or a line of torques.
    pub of: Of,
    /// Thousandths of a second from the first to the last.
    pub took: i64,
    pub by: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Of {
    Input(usize),
    Torques(usize),
}

struct Entry<'a> {
    doing: usize,
    of: Of,
    value: Exact,
    line: u32,
    at: i64,
    by: &'a str,
}

/// The runs of a record, in its order.
pub(super) fn runs(facts: &Facts) -> Vec<Run> {
    let readings = facts.readings.iter().filter_map(|one| {
        let Given::Number(value) = one.value else { return None };
        let written = &one.written;
        Some(Entry {
            doing: written.doing?,
            of: Of::Input(one.input),
            value,
            line: written.line,
            at: written.at,
            by: &written.by,
        })
    });
    let torques = facts.torques.iter().filter_map(|one| {
        let written = &one.written;
        Some(Entry {
            doing: written.doing?,
            of: Of::Torques(one.of),
            value: one.value,
            line: written.line,
            at: written.at,
            by: &written.by,
        })
    });
    let mut entries: Vec<Entry<'_>> = readings.chain(torques).collect();
    entries.sort_by_key(|entry| entry.line);
    let mut found = Vec::new();
    for run in entries.chunk_by(|a, b| same(a, b)) {
        let (Some(first), Some(last)) = (run.first(), run.last()) else { continue };
        let took = last.at.saturating_sub(first.at);
        let gaps = i64::try_from(run.len()).unwrap_or(i64::MAX).saturating_sub(1);
        let step = facts.doings.get(first.doing).map(|doing| doing.step);
        if let Some(step) = step.filter(|_| run.len() >= FEWEST && (0..=gaps.saturating_mul(GAP)).contains(&took)) {
            found.push(Run {
                step,
                lines: (first.line, last.line),
                entries: run.len(),
                value: first.value,
                of: first.of,
                took,
                by: first.by.to_owned(),
            });
        }
    }
    found
}

/// Whether a run may go on: equal numbers of readings, or of one line of torques.
fn same(a: &Entry<'_>, b: &Entry<'_>) -> bool {
    let kind = match (a.of, b.of) {
        (Of::Input(_), Of::Input(_)) => true,
        (Of::Torques(one), Of::Torques(other)) => one == other,
        _ => false,
    };
    kind && a.doing == b.doing && a.value == b.value
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::facts::{Doing, Torque, Written};

    fn torques(values: &[(i128, i64)]) -> Facts {
        let torque = |(at, (value, moment)): (usize, &(i128, i64))| Torque {
            of: 0,
            value: Exact::from_integer(*value),
            within: true,
            clicked: false,
            remedied: false,
            tool: None,
            instrument: None,
            written: Written { line: at as u32 + 3, at: *moment, by: "A".to_owned(), doing: Some(0) },
        };
        let doing = Doing { step: 5, line: 2, begun: 0, done: None, by: "A".to_owned() };
        Facts { doings: vec![doing], torques: values.iter().enumerate().map(torque).collect(), ..Facts::default() }
    }

    #[test]
    fn eight_equal_torques_in_four_seconds() {
        let fast: Vec<(i128, i64)> = (0..8).map(|at| (22, at * 571)).collect();
        let found = runs(&torques(&fast));
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].step, found[0].lines, found[0].entries, found[0].took), (5, (3, 10), 8, 3997));
    }

    /// Slower, with one of another value in the middle, too few, or with a clock that goes backwards: nothing is said.
    #[test]
    fn what_is_no_run() {
        let slow: Vec<(i128, i64)> = (0..8).map(|at| (22, at * 1001)).collect();
        let other: Vec<(i128, i64)> = (0..7).map(|at| (if at == 3 { 23 } else { 22 }, at * 100)).collect();
        let few: Vec<(i128, i64)> = (0..3).map(|at| (22, at * 100)).collect();
        let back: Vec<(i128, i64)> = (0..8).map(|at| (22, -at * 100)).collect();
        for facts in [slow, other, few, back] {
            assert_eq!(runs(&torques(&facts)), []);
        }
    }
}
