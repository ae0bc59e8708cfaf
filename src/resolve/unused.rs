//! FW0203 and FW0502: declared by the procedure and named by nothing.

use super::Resolver;
use super::scope::Declared;
use crate::diagnostics::{Code, Finding, Severity};
use crate::model::{ChoiceKind, NumberKind};

impl Resolver<'_> {
    /// Reports what the file declares and never names. Where something was left out, silence is safer.
    pub(super) fn report_unused(&mut self) {
        if self.findings.iter().any(|finding| finding.severity() == Severity::Error) {
            return;
        }
        let mut findings = Vec::new();
        for name in &self.scope.own {
            let Some(entry) = self.scope.get(name).filter(|entry| !entry.used) else { continue };
            let (code, reason) = match entry.declared {
                Declared::Tool(_) => (Code::FW0502, "It would be laid out and never picked up."),
                // Options and givens that decide nothing have a finding of their own.
                Declared::Choice(_, ChoiceKind::Option) | Declared::Number(_, NumberKind::Given) => continue,
                Declared::Limit(_) | Declared::Section | Declared::Step => continue,
                Declared::Part(_) if self.in_kit_or_vehicle(name) => continue,
                Declared::Choice(_, ChoiceKind::Observe) | Declared::Number(_, NumberKind::Measure) => {
                    (Code::FW0203, "Nobody would be told to read it.")
                }
                _ => (Code::FW0203, "What is declared and never used is often a line that was lost."),
            };
            let message = format!("{} `{name}` is declared and never used", entry.declared.kind());
            let message = capital(&message);
            findings.push(
                Finding::new(code, message, entry.name.span, "never used")
                    .because(reason)
                    .repair("Use it in a step, or remove the declaration."),
            );
        }
        self.findings.extend(findings);
    }

    /// A part that is supplied and not taken is the parts' own finding.
    fn in_kit_or_vehicle(&self, name: &str) -> bool {
        let kit = self.procedure.kit.iter().flat_map(|group| &group.entries);
        let mut all = kit.chain(&self.procedure.vehicle);
        all.any(|entry| self.procedure.parts[entry.what].name.id == name)
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
