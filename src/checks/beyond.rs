//! FW0318: a check that expects a reading between two values, of which one lies beyond what can be read.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::{Cond, CondKind, Node, Procedure, walk};

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let nodes = procedure.sections.iter().flat_map(|section| walk(&section.body));
    let expected = nodes.flat_map(|node| match node {
        Node::Check(check) => check.expects.as_slice(),
        _ => &[],
    });
    let found: Vec<Finding> = expected.filter_map(|cond| beyond(procedure, cond)).collect();
    proof.findings.extend(found);
}

/// The end of a range that no reading comes to. One that lies beyond wholly is told elsewhere.
fn beyond(procedure: &Procedure, cond: &Cond) -> Option<Finding> {
    let CondKind::In(number, interval) = &cond.kind else { return None };
    let row = &procedure.numbers[*number];
    let (low, high) = (interval.low.as_ref()?, interval.high.as_ref()?);
    let (least, most) = (row.low.base()?, row.high.base()?);
    let end = match () {
        () if low.base > most || high.base < least => return None,
        () if high.base > most => high,
        () if low.base < least => low,
        () => return None,
    };
    let name = &row.name.id;
    Some(
        Finding::new(
            Code::FW0318,
            format!("`{name}` is expected up to {}, and no reading comes to it", end.written),
            cond.span,
            "one end decides nothing",
        )
        .also(row.range_span, format!("it can be {} to {}", row.low, row.high))
        .because("That end turns nothing away: a digit too many, or a unit that is not meant, looks like this.")
        .repair("Correct that end, or the range of the measure; where one end is enough, write it alone: `at least …` or `at most …`."),
    )
}
