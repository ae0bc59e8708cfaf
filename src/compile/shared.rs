//! Findings in sections that stand in a library: which procedure brought them in, and where.

use crate::diagnostics::Finding;
use crate::model::Procedure;

/// Says beside each finding that lies in such a section, or speaks of one, by which line it came in.
pub(super) fn told_of(findings: Vec<Finding>, procedure: &Procedure) -> Vec<Finding> {
    if procedure.shared.is_empty() {
        return findings;
    }
    findings.into_iter().map(|finding| told(finding, procedure)).collect()
}

fn told(mut finding: Finding, procedure: &Procedure) -> Finding {
    let mut sections: Vec<usize> = finding.labels.iter().filter_map(|label| label.span.file.section()).collect();
    sections.sort_unstable();
    sections.dedup();
    for section in sections.into_iter().filter_map(|at| procedure.shared.get(at)) {
        let text = format!("brought in here, as section `{}` of `{}`", section.id, procedure.name.id);
        finding = finding.also(section.line, text);
    }
    finding
}
