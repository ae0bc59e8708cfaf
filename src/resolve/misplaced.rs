//! What a library can't hold: it would be passed over in silence wherever the library is used.

use crate::diagnostics::{Code, Finding};
use crate::parse::tree::{self, Decl, HeadKind};
use crate::source::Span;

/// FW0110: what of a library belongs into a procedure.
pub(super) fn in_library(file: &tree::File) -> Vec<Finding> {
    let is_library = file.head.as_ref().is_some_and(|head| head.kind == HeadKind::Library);
    let items = file.items.iter().filter(|_| is_library);
    items.filter_map(|item| misplaced(&item.node, item.span)).collect()
}

fn misplaced(decl: &Decl, span: Span) -> Option<Finding> {
    const OWN: &str =
        "What is supplied, and for whom the job is, is the procedure's own: in a library nobody would see it.";
    let (what, at, because, repair) = match decl {
        Decl::Figure(figure) => (
            "a figure with a name",
            figure.name.span,
            "Its number, and what it points at, are the procedure's own.",
            "Declare it in the procedure; a section of a library shows a picture by its file, `figure \"FILE\" \"What it shows\"`.",
        ),
        Decl::Require { .. } => (
            "`require`",
            span,
            "Which fittings there are is the procedure's own: here it would rule nothing out.",
            "Move it into each procedure that uses this library.",
        ),
        Decl::Limit(limit) => (
            "a limit",
            limit.name.span,
            "A limit holds for a job: here nobody would ever look whether it is kept.",
            "Move it into each procedure that uses this library, or write a check into a section of it.",
        ),
        Decl::Kit(_) => ("a kit", span, OWN, "Move it into each procedure that uses this library."),
        Decl::Vehicle { .. } => {
            ("what is on the vehicle", span, OWN, "Move it into each procedure that uses this library.")
        }
        Decl::Colours(_) => (
            "colours",
            span,
            "Which colours hold is said where the conductors are: here no circuit would be held to them.",
            "Move the line into each procedure that uses this library.",
        ),
        Decl::About(_) => ("`about`", span, OWN, "Move it into each procedure that uses this library."),
        _ => return None,
    };
    let finding = Finding::new(Code::FW0110, format!("a library can't hold {what}"), at, "belongs into a procedure");
    Some(finding.because(because).repair(repair))
}
