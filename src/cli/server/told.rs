//! What the editor was told of each file, by the text whose check said it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use lsp_types::{
    Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, DiagnosticTag, Location, NumberOrString, Range, Uri,
};

use super::checking::Told;
use super::positions::{Encoding, Lines};
use crate::diagnostics::render;
use crate::diagnostics::{Finding, Severity};
use crate::source::Span;

/// The editor's name of a file.
pub type Name<'n> = &'n dyn Fn(&Path) -> Option<Uri>;

/// What was told. Several texts may have the same to say of a library that they use.
#[derive(Default)]
pub struct Published {
    /// By the file that it is told of, then by the text that it comes from.
    of: BTreeMap<String, BTreeMap<String, Vec<Diagnostic>>>,
    uris: BTreeMap<String, Uri>,
}

impl Published {
    /// Takes what a check says in the place of what it said before; gives the files of which something else is to be told.
    pub fn replace(&mut self, told: &Told, encoding: Encoding, says_more: bool, name: Name<'_>) -> Vec<Uri> {
        let from = told.uri.as_str().to_owned();
        let mut changed = self.without(&from);
        // Of the text itself it is told that nothing is wrong, too.
        let mut by_file: BTreeMap<String, (Uri, Vec<Diagnostic>)> = BTreeMap::new();
        by_file.insert(from.clone(), (told.uri.clone(), Vec::new()));
        let mut places = Places { told, encoding, name, lines: BTreeMap::new() };
        for finding in &told.findings {
            let (uri, range) = match finding.span().and_then(|span| places.of(span)) {
                Some(Location { uri, range }) => (uri, range),
                // What stands in no file of the project is told at the top of the text.
                None => (told.uri.clone(), Range::default()),
            };
            let diagnostic = diagnostic(finding, range, &mut places, says_more);
            by_file.entry(uri.as_str().to_owned()).or_insert((uri, Vec::new())).1.push(diagnostic);
        }
        for (key, (uri, diagnostics)) in by_file {
            changed.insert(key.clone());
            self.uris.insert(key.clone(), uri);
            self.of.entry(key).or_default().insert(from.clone(), diagnostics);
        }
        self.named(&changed)
    }

    /// Keeps of a file only what its own check said: what other texts found in it was found in an older state.
    pub fn keep_own(&mut self, uri: &Uri) {
        if let Some(by_text) = self.of.get_mut(uri.as_str()) {
            by_text.retain(|from, _| from == uri.as_str());
        }
    }

    /// Forgets what a text that was closed said; gives the files of which something else is to be told.
    pub fn forget(&mut self, uri: &Uri) -> Vec<Uri> {
        let changed = self.without(uri.as_str());
        self.named(&changed)
    }

    fn without(&mut self, from: &str) -> BTreeSet<String> {
        let mut changed = BTreeSet::new();
        for (file, by_text) in &mut self.of {
            if by_text.remove(from).is_some() {
                changed.insert(file.clone());
            }
        }
        changed
    }

    fn named(&self, files: &BTreeSet<String>) -> Vec<Uri> {
        files.iter().filter_map(|file| self.uris.get(file).cloned()).collect()
    }

    /// What is told of a file: of several texts that say the same, once.
    pub fn of(&self, uri: &Uri) -> Vec<Diagnostic> {
        let mut all: Vec<Diagnostic> = Vec::new();
        for diagnostic in self.of.get(uri.as_str()).into_iter().flat_map(BTreeMap::values).flatten() {
            let is_told = |one: &Diagnostic| {
                one.range == diagnostic.range && one.code == diagnostic.code && one.message == diagnostic.message
            };
            if !all.iter().any(is_told) {
                all.push(diagnostic.clone());
            }
        }
        all
    }
}

/// The places of what a check says.
struct Places<'t> {
    told: &'t Told,
    encoding: Encoding,
    name: Name<'t>,
    lines: BTreeMap<u32, Lines<'t>>,
}

impl Places<'_> {
    fn of(&mut self, span: Span) -> Option<Location> {
        let number = span.file.number();
        let uri = if number == 0 {
            self.told.uri.clone()
        } else {
            (self.name)(self.told.files.get(number as usize)?.as_deref()?)?
        };
        let text = &self.told.sources.get(span.file)?.text;
        let lines = self.lines.entry(number).or_insert_with(|| Lines::of(text, self.encoding));
        Some(Location { uri, range: lines.range(span.range()) })
    }
}

fn diagnostic(finding: &Finding, range: Range, places: &mut Places<'_>, says_more: bool) -> Diagnostic {
    let mut message = finding.message.clone();
    for more in [&finding.reason, &finding.repair].into_iter().flatten() {
        message += "\n";
        message += more;
    }
    if let Some(case) = &finding.case {
        message += "\nCase: ";
        message += &render::case_told(case);
    }
    let mut related = Vec::new();
    let steps = finding.case.iter().flat_map(|case| &case.steps);
    let others = finding.labels.iter().skip(1).map(|label| (label.span, label.text.clone()));
    let steps = steps.map(|step| (step.span, format!("step {} {}", step.number, step.title)));
    for (span, message) in others.chain(steps) {
        related.extend(places.of(span).map(|location| DiagnosticRelatedInformation { location, message }));
    }
    Diagnostic {
        range,
        severity: Some(match finding.severity() {
            Severity::Error => DiagnosticSeverity::ERROR,
            Severity::Warning => DiagnosticSeverity::WARNING,
            Severity::Note => DiagnosticSeverity::INFORMATION,
        }),
        code: Some(NumberOrString::String(finding.code.text().to_owned())),
        source: Some(env!("CARGO_PKG_NAME").to_owned()),
        message,
        related_information: (says_more && !related.is_empty()).then_some(related),
        tags: is_unused(finding).then(|| vec![DiagnosticTag::UNNECESSARY]),
        ..Diagnostic::default()
    }
}

/// Whether it tells of something that nothing uses.
fn is_unused(finding: &Finding) -> bool {
    matches!(finding.code, crate::diagnostics::Code::FW0203 | crate::diagnostics::Code::FW0214)
}
