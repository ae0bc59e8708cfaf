//! Lines of a procedure that a repair moves or writes again.

use crate::diagnostics::{Change, Mend};
use crate::model::{Line, LineKind, PartId, Procedure};
use crate::source::Span;

/// The lines of all steps, in order of the text.
fn all(procedure: &Procedure) -> impl Iterator<Item = &Line> {
    procedure.steps.rows().iter().flat_map(|step| &step.lines)
}

/// What must be done before a place: the one line that does it moved there, or a new one where none does it. Where several do,
/// nobody knows which was meant.
pub(super) fn done_before(
    procedure: &Procedure,
    place: Span,
    is: impl Fn(&LineKind) -> bool,
    line: String,
) -> Option<Mend> {
    let mut found = all(procedure).filter(|line| is(&line.kind));
    match (found.next(), found.next()) {
        (None, _) => Some(Mend::before(place, line)),
        (Some(one), None) => Some(Mend::look(format!("Move `{line}` before it"), Change::Move(one.span, place))),
        _ => None,
    }
}

/// The same of a part that is taken: a line that takes others too is not moved.
pub(super) fn taken_before(procedure: &Procedure, place: Span, part: PartId, line: String) -> Option<Mend> {
    let takes =
        |kind: &LineKind| matches!(kind, LineKind::Take(entries) if entries.iter().any(|entry| entry.what == part));
    let mixed = all(procedure)
        .any(|line| takes(&line.kind) && matches!(&line.kind, LineKind::Take(entries) if entries.len() > 1));
    done_before(procedure, place, takes, line).filter(|_| !mixed)
}

/// The first line of a sort, written again after a place.
pub(super) fn again_after(procedure: &Procedure, place: Span, is: impl Fn(&LineKind) -> bool) -> Option<Mend> {
    let first = all(procedure).find(|line| is(&line.kind))?;
    Some(Mend::look("Write that line again after it", Change::CopyAfter(place, first.span)))
}
