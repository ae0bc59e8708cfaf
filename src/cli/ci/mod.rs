//! Findings for machines that run checks: one line each, annotations, SARIF, and the baseline of an old collection.

pub mod annotations;
pub mod baseline;
pub mod sarif;

use std::collections::BTreeMap;
use std::env;
use std::path::Path;

use crate::canonical;
use crate::diagnostics::{Finding, visible};
use crate::source::{Position, Sources, Span};

/// A place as others want it: a path with forward slashes, relative where it can be, and positions from 1.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Placed {
    pub path: String,
    pub line: u32,
    pub column: u32,
    pub end_line: u32,
    pub end_column: u32,
}

/// Where a span lies, in a file that others can open; `None` for the standard library, which is in the program.
pub fn placed(span: Span, sources: &Sources) -> Option<Placed> {
    let file = sources.get(span.file).filter(|file| !file.name.starts_with("std/"))?;
    let (Position { line, column }, end) = (file.position(span.start), file.position(span.end));
    Some(Placed { path: relative(&file.name), line, column, end_line: end.line, end_column: end.column })
}

/// A path from the current folder, where it lies below it.
pub fn relative(shown: &str) -> String {
    let here = env::current_dir().ok();
    let below = here.as_deref().and_then(|here| Path::new(shown).strip_prefix(here).ok()).and_then(Path::to_str);
    below.unwrap_or(shown).replace('\\', "/").trim_start_matches("./").to_owned()
}

/// `jobs/rack.fitw:12:5: error FW0601 nothing supplies …`, on one line whatever the source holds.
pub fn short(finding: &Finding, sources: &Sources) -> String {
    let at = match finding.span().and_then(|span| placed(span, sources)) {
        Some(at) => format!("{}:{}:{}: ", visible(&at.path), at.line, at.column),
        None => String::new(),
    };
    format!("{at}{} {} {}\n", finding.severity().word(), finding.code, visible(&finding.message))
}

/// Names findings so that a later run knows them again: by code, file and the text they are about, not by its line.
#[derive(Debug, Default)]
pub struct Fingerprints {
    /// How often the same was named.
    seen: BTreeMap<String, u32>,
}

impl Fingerprints {
    /// SHA-256 over the code, the path, the line of the first place with its blanks made one, and which of several alike.
    pub fn of(&mut self, finding: &Finding, sources: &Sources) -> String {
        let place = finding.span().and_then(|span| Some((sources.get(span.file)?, span)));
        let (path, text) = match place {
            Some((file, span)) => {
                let line = file.line_text(file.lines().line_of(span.start));
                (relative(&file.name), line.split_whitespace().collect::<Vec<_>>().join(" "))
            }
            None => (String::new(), finding.message.clone()),
        };
        let named = format!("{}\n{path}\n{text}", finding.code);
        let nth = self.seen.entry(named.clone()).and_modify(|count| *count += 1).or_insert(1);
        canonical::sha256(format!("{named}\n{nth}").as_bytes())
    }
}
