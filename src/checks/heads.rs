//! What is said of tools and the heads that they fit or do not fit (FW0504), wherever a line turns something.

use crate::diagnostics::{Code, Confidence, Finding, Mend};
use crate::model::{Grip, Head, Naming, Procedure, Tool, ToolUse};
use crate::quantity::Quantity;
use crate::source::Span;

pub(super) fn place_fits(procedure: &Procedure, place: &ToolUse, head: &Head) -> bool {
    place.any_of.iter().any(|tool| procedure.tools[*tool].fits(head))
}

pub(super) fn sizes_in_words(head: &Head) -> String {
    use crate::model::Drive;
    let drive = match head.drive {
        Drive::Hex => "hex",
        Drive::HexSocket => "hex socket",
        Drive::CrossRecess => "cross recess",
        Drive::Slot => "slot",
        Drive::Hexalobular => "hexalobular",
    };
    let mut sizes: Vec<String> = head.sizes.iter().map(Quantity::to_string).collect();
    sizes.extend(head.mark.clone());
    sizes.dedup();
    match sizes.as_slice() {
        [] => drive.to_owned(),
        [size] => format!("{drive} {size}"),
        [size, older, ..] => format!("{drive} {size} (older standard {older})"),
    }
}

pub(super) fn does_not_fit(procedure: &Procedure, of: &Naming, grips: &[Grip<'_>], tool: &Tool, at: Span) -> Finding {
    let wanted: Vec<String> =
        grips.iter().map(|grip| format!("{} is {}", grip.what(), sizes_in_words(grip.head))).collect();
    let finding = Finding::new(
        Code::FW0504,
        format!("`{}` fits nothing in `{}`", tool.name.id, of.id),
        at,
        format!("here the {}", wanted.join(", the ")),
    )
    .also(of.span, "declared here")
    .because("The technician stands under the vehicle with a tool that does not go on.");
    let fitting = grips.iter().find_map(|grip| same_sort(procedure, tool, grip.head));
    match (fitting, grips.first().and_then(|grip| usual_tool(&sort_of(tool), grip.head))) {
        (Some(name), _) => finding.repair(format!("Use `{name}`.")).mend(Mend::write(Confidence::Look, at, name)),
        (None, Some(usual)) => finding
            .repair(format!("Name a tool of that size, such as `{usual}`."))
            .mend(Mend::write(Confidence::Look, at, usual)),
        (None, None) => {
            finding.repair("Name a tool of that size; the standard library `std/hand-tools` has the usual ones.")
        }
    }
}

/// The first word of a tool's name says what sort of tool it is.
fn sort_of(tool: &Tool) -> String {
    tool.name.id.split('-').next().unwrap_or_default().to_owned()
}

/// The name that `std/hand-tools` gives to a tool of a sort for a head: `socket-13`, `spanner-9-16-inch`, `hex-key-6`.
pub(super) fn usual_tool(sort: &str, head: &Head) -> Option<String> {
    use crate::model::Drive;
    let sort = match (head.drive, sort) {
        (Drive::Hex, "socket") => "socket",
        (Drive::Hex, _) => "spanner",
        (Drive::HexSocket, _) => "hex-key",
        _ => return None,
    };
    let size = head.sizes.first()?.to_string();
    let (number, unit) = size.rsplit_once(' ')?;
    let number = number.replace(['.', ' ', '/'], "-");
    match unit {
        "mm" => Some(format!("{sort}-{number}")),
        "in" => Some(format!("{sort}-{number}-inch")),
        _ => None,
    }
}

/// A tool of the procedure that fits; the name's first word decides what sort it is (socket for socket).
fn same_sort<'p>(procedure: &'p Procedure, tool: &Tool, head: &Head) -> Option<&'p str> {
    let mut fitting = procedure.tools.rows().iter().filter(|known| known.fits(head));
    fitting.find(|known| sort_of(known) == sort_of(tool)).map(|known| known.name.id.as_str())
}

pub(super) fn nothing_fits(of: &Naming, grip: &Grip<'_>, line: Span) -> Finding {
    Finding::new(
        Code::FW0504,
        format!("no tool in this line fits the {} of `{}`", grip.what(), of.id),
        line,
        format!("needs a tool for {}", sizes_in_words(grip.head)),
    )
    .also(of.span, "declared here")
    .because("A tool that no line names is not laid out.")
    .repair(match usual_tool("", grip.head) {
        Some(usual) => format!("Add the tool after `with`, such as `{usual}`, or write `by hand`."),
        None => "Add the tool after `with`, or write `by hand`.".to_owned(),
    })
}
