//! The line that accepts a finding: it can be offered for every warning and note, and leaves its reason to a person.

use crate::diagnostics::{Change, Code, Family, Finding, Mend, Severity};

/// `accept FW0708 at 22 N.m +- 2 N.m "…"` before the statement; `None` for what can't be accepted so.
pub fn mend(finding: &Finding) -> Option<Mend> {
    // An acceptance is not accepted, nor what a record says.
    let is_open = finding.severity() != Severity::Error
        && finding.code != Code::FW0116
        && !matches!(finding.code.family(), Family::Records);
    let at = finding.span().filter(|_| is_open)?;
    let value = finding.holds.as_ref().map(|value| format!(" at {value}")).unwrap_or_default();
    let line = format!("accept {}{value} \"…\"", finding.code);
    let named = finding
        .subject()
        .map_or_else(|| line.clone(), |name| format!("accept {} for {name}{value} \"…\"", finding.code));
    Some(Mend::blanks("Accept it, with a reason", Change::Accept(at, line, named)))
}
