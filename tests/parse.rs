//! The text to its tree, and what is said where it cannot be read.

#![allow(clippy::disallowed_methods, reason = "tests read the project and measure time")]

mod broken;
mod forms;
mod hostile;
mod recovery;

use fitwright::diagnostics::Finding;
use fitwright::parse::{self, tree};
use fitwright::source::Sources;

use crate::context;

/// Parses one text.
fn read(text: &str) -> (tree::File, Vec<Finding>, Sources) {
    let mut sources = Sources::default();
    let id = sources.add("work.fitw", text);
    let (tree, findings) = parse::parse(id, text);
    (tree, findings, sources)
}

/// `FW0101 4:3 message` for each finding.
fn brief(text: &str) -> Vec<String> {
    let (_, findings, sources) = read(text);
    findings
        .iter()
        .map(|finding| {
            let place = finding.span().and_then(|span| Some(sources.get(span.file)?.position(span.start)));
            let place = place.map_or(String::new(), |at| format!(" {}:{}", at.line, at.column));
            format!("{}{place} {}", finding.code, finding.message)
        })
        .collect()
}
