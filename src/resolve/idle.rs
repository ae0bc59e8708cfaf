//! FW0214: libraries that a procedure uses and names nothing of.

use std::collections::BTreeSet;

use super::Resolver;
use super::builtin;
use super::load::{LoadedFile, key_of};
use crate::diagnostics::{Code, Confidence, Finding, Mend, Severity};
use crate::parse::tree::{Decl, HazardLine};
use crate::source::FileId;

impl Resolver<'_> {
    /// Reports `use` lines that serve nothing. Where something was left out, silence is safer; and a library serves whoever
    /// names what stands in one that it uses itself.
    pub(super) fn report_idle(&mut self, files: &[LoadedFile]) {
        if self.lacks_a_library || self.findings.iter().any(|finding| finding.severity() == Severity::Error) {
            return;
        }
        let Some(root) = files.iter().find(|file| file.is_root) else { return };
        let used = root.tree.items.iter().filter_map(|item| match &item.node {
            Decl::Use(name) => Some((name, reached_from(key_of(&name.text), files))),
            _ => None,
        });
        let used: Vec<_> = used.collect();
        let mut findings = Vec::new();
        for (name, reached) in &used {
            let Some(library) = reached.first() else { continue };
            // What another line brings in as well does not count for this one.
            let others =
                used.iter().map(|(_, other)| other).filter(|other| other.iter().all(|file| file.id != library.id));
            let brought: BTreeSet<FileId> = others.flatten().map(|file| file.id).collect();
            let mut serving = reached.iter().filter(|file| !brought.contains(&file.id));
            let within: BTreeSet<FileId> = reached.iter().map(|file| file.id).collect();
            let means: BTreeSet<FileId> = serving.clone().map(|file| file.id).collect();
            let named = self.named.iter().chain(&self.in_passing);
            let mut outside = named.filter(|one| !within.contains(&one.at.file.whole()));
            // Hazards of work hold whether or not somebody uses their list.
            let listed = |file: &LoadedFile| file.id != library.id && file.key == builtin::HAZARDS;
            // A name of the file that hides one of the library's is told, and is why the line matters.
            let hidden = self.findings.iter().filter(|finding| finding.code == Code::FW0210);
            let mut hidden = hidden.flat_map(|finding| &finding.labels).map(|label| label.span.file.whole());
            if hidden.any(|file| means.contains(&file))
                || outside.any(|one| means.contains(&one.means.file.whole()))
                || serving.any(|file| !listed(file) && self.counts_unnamed(file))
            {
                continue;
            }
            let message = format!("nothing of the library `{}` is used", name.text);
            findings.push(
                Finding::new(Code::FW0214, message, name.span, "serves nothing")
                    .because("Who reads the procedure looks there for what it says of this work, and finds nothing.")
                    .repair("Remove the line, or name what it was meant for.")
                    .mend(Mend { confidence: Confidence::Safe, ..Mend::drop(name.span) }),
            );
        }
        self.findings.extend(findings);
    }

    /// Whether something in the file counts without a name: a hazard that some kind of work brings, or a row that is looked up by its size.
    fn counts_unnamed(&self, file: &LoadedFile) -> bool {
        file.is_root
            || file.tree.items.iter().any(|item| match &item.node {
                Decl::Hazard(hazard) => hazard.lines.iter().any(|line| matches!(line.node, HazardLine::From(_))),
                Decl::Wire(_) | Decl::Fuse(_) | Decl::Breaker(_) => !self.procedure.circuits.is_empty(),
                Decl::Washer(_) | Decl::InsertNut(_) => {
                    self.procedure.parts.rows().iter().any(|part| part.fastener.is_some())
                }
                _ => false,
            })
    }
}

/// The library of this name, first, and all that it uses.
fn reached_from<'f>(key: &str, files: &'f [LoadedFile]) -> Vec<&'f LoadedFile> {
    let mut found: Vec<&LoadedFile> = Vec::new();
    let mut open = vec![key.to_owned()];
    while let Some(key) = open.pop() {
        let Some(file) = files.iter().find(|file| !file.is_root && file.key == key) else { continue };
        if found.iter().any(|other| other.id == file.id) {
            continue;
        }
        found.push(file);
        for item in &file.tree.items {
            if let Decl::Use(name) = &item.node {
                open.push(key_of(&name.text).to_owned());
            }
        }
    }
    found
}
