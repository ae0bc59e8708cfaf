//! FW0203 and FW0502: declared by the procedure and named by nothing.

use super::Resolver;
use super::scope::Declared;
use crate::diagnostics::{Code, Finding, Mend, Severity};
use crate::model::{ChoiceKind, NumberKind};

impl Resolver<'_> {
    /// Reports what the file declares and never names. Where something was left out, silence is safer.
    pub(super) fn report_unused(&mut self) {
        if self.findings.iter().any(|finding| finding.severity() == Severity::Error) {
            return;
        }
        let mut findings = Vec::new();
        for handle in &self.scope.own {
            let Some(entry) = self.scope.entry(*handle).filter(|entry| !entry.used) else { continue };
            let name = handle.0;
            let (code, reason) = match entry.declared {
                Declared::Tool(_) => (Code::FW0502, "It would be laid out and never picked up."),
                // Options and givens that decide nothing have a finding of their own.
                Declared::Choice(_, ChoiceKind::Option) | Declared::Number(_, NumberKind::Given) => continue,
                Declared::Limit(_) | Declared::Shared(_) | Declared::Section | Declared::Step => continue,
                // What no step shows has a finding of its own.
                Declared::Figure(_) => continue,
                Declared::Part(_) if self.in_kit_or_vehicle(name) => continue,
                Declared::Choice(_, ChoiceKind::Observe) | Declared::Number(_, NumberKind::Measure) => {
                    (Code::FW0203, "Nobody would be told to read it.")
                }
                _ => (Code::FW0203, "What is declared and never used is often a line that was lost."),
            };
            let kind = entry.declared.kind();
            let kind = kind.strip_prefix("a ").or_else(|| kind.strip_prefix("an ")).unwrap_or(kind);
            let message = format!("the {kind} `{name}` is declared and never used");
            let line = match entry.declared {
                Declared::Choice(_, ChoiceKind::Observe) | Declared::Number(_, NumberKind::Measure) => "read",
                Declared::Tool(_) => "use",
                Declared::Part(_) => "take",
                Declared::Joint(_) => "place",
                Declared::Circuit(_) => "connect",
                Declared::Action(_) => "do",
                Declared::Protection(_) => "wear",
                Declared::Each => "for each",
                _ => "",
            };
            let repair = match line {
                "" => "Use it, or remove the declaration.".to_owned(),
                "for each" => format!(
                    "Write `for each {name}` where something is there or done at each of its places, or remove it."
                ),
                _ => format!("Write `{line} {name}` in the step that needs it, or remove the declaration."),
            };
            let finding = Finding::new(code, message, entry.name.span, "never used").because(reason).repair(repair);
            findings.push(finding.mend(Mend::drop(entry.name.span)));
        }
        findings.extend(self.colours_of_nothing());
        self.findings.extend(findings);
    }

    /// Colours are agreed on, and no circuit lists a conductor that could be held to them.
    fn colours_of_nothing(&self) -> Option<Finding> {
        let first = self.procedure.colours.first()?;
        if self.procedure.circuits.rows().iter().any(|circuit| !circuit.conductors.is_empty()) {
            return None;
        }
        let finding = Finding::new(
            Code::FW0203,
            "`colours` holds for no conductor",
            first.span,
            "no circuit lists one",
        )
        .because("Who reads it takes the wires for checked, and nothing says which colour each has.")
        .repair(
            "List the conductors in the circuits: `conductor COLOUR CARRIES from POINT to POINT`. Or remove `colours`.",
        );
        Some(finding.mend(Mend::drop(first.span)))
    }

    /// A part that is supplied and not taken is the parts' own finding.
    fn in_kit_or_vehicle(&self, name: &str) -> bool {
        let kit = self.procedure.kit.iter().flat_map(|group| &group.entries);
        let mut all = kit.chain(self.procedure.on_vehicle());
        all.any(|entry| self.procedure.parts[entry.what].name.id == name)
    }
}
