//! SARIF 2.1.0, the OASIS format for results of static analysis.
//!
//! Columns count Unicode scalar values, and the log says so. A result is known again by a fingerprint under a key of our own, which
//! has no line number in it. What an `accept` line accepts is a result with its reason as the justification.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::{Placed, placed};
use crate::account::Accepted;
use crate::diagnostics::{Code, Confidence, Edit, Finding, Fix, Severity};
use crate::source::{Sources, Span};

/// Where the schema of the format is published.
const SCHEMA: &str = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// The results of a run.
#[derive(Debug, Default)]
pub struct Sarif {
    results: Vec<(Code, Value)>,
}

impl Sarif {
    /// Adds a finding. `tolerated` says whether a baseline has it, where there is one.
    pub fn add(&mut self, finding: &Finding, fingerprint: &str, tolerated: Option<bool>, sources: &Sources) {
        let mut text = finding.message.clone();
        for more in [&finding.reason, &finding.repair].into_iter().flatten() {
            text = format!("{text}\n{more}");
        }
        let mut result = json!({
            "ruleId": finding.code.text(),
            "level": level(finding.severity()),
            "message": { "text": text },
            "partialFingerprints": { "fitwrightFinding/v1": fingerprint },
        });
        let mut labels = finding.labels.iter().map(|label| (located(label.span, sources), &label.text));
        if let Some((Some(place), words)) = labels.next() {
            result["locations"] = json!([with_message(place, words)]);
        }
        let related: Vec<Value> = labels.filter_map(|(place, words)| Some(with_message(place?, words))).collect();
        if !related.is_empty() {
            result["relatedLocations"] = Value::Array(related);
        }
        let fixes: Vec<Value> = finding.fixes.iter().filter_map(|fix| changed(fix, sources)).collect();
        if !fixes.is_empty() {
            result["fixes"] = Value::Array(fixes);
        }
        if let Some(tolerated) = tolerated {
            result["baselineState"] = json!(if tolerated { "unchanged" } else { "new" });
        }
        self.results.push((finding.code, result));
    }

    /// Adds what an `accept` line accepts, at that line.
    pub fn add_accepted(&mut self, accepted: &Accepted, sources: &Sources) {
        let mut result = json!({
            "ruleId": accepted.code.text(),
            "level": level(accepted.code.severity()),
            "message": { "text": accepted.message },
            "suppressions": [{ "kind": "inSource", "status": "accepted", "justification": accepted.reason }],
        });
        if let Some(place) = located(accepted.place, sources) {
            result["locations"] = json!([place]);
        }
        if !self.results.iter().any(|(_, known)| *known == result) {
            self.results.push((accepted.code, result));
        }
    }

    /// The whole log.
    pub fn text(self) -> String {
        let mut codes: Vec<Code> = self.results.iter().map(|(code, _)| *code).collect();
        codes.sort_unstable();
        codes.dedup();
        let rules: Vec<Value> = codes.iter().map(|code| rule(*code)).collect();
        let results: Vec<Value> = self
            .results
            .into_iter()
            .map(|(code, mut result)| {
                result["ruleIndex"] = json!(codes.binary_search(&code).unwrap_or_default());
                result
            })
            .collect();
        let log = json!({
            "$schema": SCHEMA,
            "version": "2.1.0",
            "runs": [{
                "tool": { "driver": {
                    "name": "fitwright",
                    "semanticVersion": env!("CARGO_PKG_VERSION"),
                    "rules": rules,
                } },
                "columnKind": "unicodeCodePoints",
                "results": results,
            }],
        });
        // Maps of text always serialise.
        serde_json::to_string_pretty(&log).unwrap_or_default() + "\n"
    }
}

fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}

/// A rule with its page.
fn rule(code: Code) -> Value {
    json!({
        "id": code.text(),
        "shortDescription": { "text": code.title() },
        "help": { "text": code.page(), "markdown": code.page() },
        "defaultConfiguration": { "level": level(code.severity()) },
        "properties": { "tags": [code.family().title()] },
    })
}

fn located(span: Span, sources: &Sources) -> Option<Value> {
    let at = placed(span, sources)?;
    Some(json!({ "physicalLocation": { "artifactLocation": { "uri": uri(&at.path) }, "region": region(&at) } }))
}

fn with_message(mut place: Value, words: &str) -> Value {
    place["message"] = json!({ "text": words });
    place
}

fn region(at: &Placed) -> Value {
    json!({ "startLine": at.line, "startColumn": at.column, "endLine": at.end_line, "endColumn": at.end_column })
}

/// A fix, file by file. One with blanks is left out: a host would make it as it stands.
fn changed(fix: &Fix, sources: &Sources) -> Option<Value> {
    if fix.confidence == Confidence::Blanks {
        return None;
    }
    let mut files: BTreeMap<String, Vec<Value>> = BTreeMap::new();
    for Edit { span, text } in &fix.edits {
        let at = placed(*span, sources)?;
        let replacement = json!({ "deletedRegion": region(&at), "insertedContent": { "text": text } });
        files.entry(at.path).or_default().push(replacement);
    }
    let changes: Vec<Value> = files
        .into_iter()
        .map(|(path, replacements)| json!({ "artifactLocation": { "uri": uri(&path) }, "replacements": replacements }))
        .collect();
    Some(json!({ "description": { "text": fix.title }, "artifactChanges": changes }))
}

/// A path as a reference of RFC 3986: every byte that is none of its unreserved characters is written with `%`.
fn uri(path: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~' | b'/');
    path.bytes().map(|byte| if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_references() {
        assert_eq!(uri("jobs/a b#1.fitw"), "jobs/a%20b%231.fitw");
        assert_eq!(uri("é:x"), "%C3%A9%3Ax");
    }
}
