//! What becomes of an edited procedure: whether it is found, said, of no consequence, or passes in silence.

use std::collections::BTreeSet;

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::Severity;
use fitwright::emit::checklist::checklist;
use fitwright::model::Procedure;
use fitwright::plan::Plan;
use fitwright::world::Memory;

use super::alike;
use super::edits::Edit;
use super::text::Text;

/// What becomes of an edit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// An error or a warning that the right text lacks.
    Caught,
    /// A note, or a row of the account.
    Told,
    /// The same work: the same data, or the same jobs as the interpreter walks them.
    Equivalent,
    /// Nothing is said.
    Silent,
}

/// A procedure with what the compiler makes of it, unedited.
pub struct Original {
    /// Its text.
    pub text: Text,
    world: Memory,
    said: BTreeSet<String>,
    data: Option<String>,
    procedure: Procedure,
}

impl Original {
    /// Reads a demo, with the pictures that it names.
    pub fn new(name: &str, text: &str, figures: &[(String, Vec<u8>)]) -> Original {
        let world =
            figures.iter().fold(Memory::default(), |world, (path, bytes)| world.with(path.as_str(), bytes.clone()));
        let compiled = compile::check(&file(name), &world.clone().with(file(name), text));
        assert!(compiled.findings().is_empty(), "{name} is clean");
        let procedure = compiled.procedure().expect("a procedure").clone();
        let data = data(&compiled, figures);
        Original { text: Text::read(name, text), said: said(&compiled), data, world, procedure }
    }

    /// The compiler on another text of this procedure.
    pub fn compile(&self, text: &str) -> Compiled {
        let name = file(&self.text.name);
        compile::check(&name, &self.world.clone().with(name.clone(), text))
    }

    /// The path of the file, and a project in which it has another text.
    pub fn with(&self, text: &str) -> (String, Memory) {
        let name = file(&self.text.name);
        (name.clone(), self.world.clone().with(name, text))
    }

    /// What becomes of an edit.
    pub fn judge(&self, edit: &Edit, figures: &[(String, Vec<u8>)]) -> Verdict {
        let compiled = self.compile(&edit.apply(&self.text.text));
        let severities: Vec<Severity> = compiled.findings().iter().map(|finding| finding.severity()).collect();
        if severities.iter().any(|severity| *severity != Severity::Note) {
            Verdict::Caught
        } else if !severities.is_empty() || !said(&compiled).is_subset(&self.said) {
            Verdict::Told
        } else if data(&compiled, figures) == self.data || (edit.is_walked && self.is_walked_alike(&compiled)) {
            Verdict::Equivalent
        } else {
            Verdict::Silent
        }
    }

    fn is_walked_alike(&self, compiled: &Compiled) -> bool {
        compiled.procedure().is_some_and(|other| alike::are_alike(&self.procedure, other))
    }
}

fn file(name: &str) -> String {
    format!("{name}.fitw")
}

/// The rows of the account that say what was not judged, and what was accepted.
fn said(compiled: &Compiled) -> BTreeSet<String> {
    let account = compiled.account();
    let open = account.open.iter().map(|row| format!("{}: {}: {}", row.subject, row.what, row.why));
    open.chain(account.accepted.iter().map(|row| row.message.clone())).collect()
}

/// The checklist, which has every list and line of the outputs as data, without the digest of the text.
fn data(compiled: &Compiled, figures: &[(String, Vec<u8>)]) -> Option<String> {
    let plan = Plan::new(compiled.clean()?.clone());
    let figure = |path: &str| figures.iter().find(|(name, _)| name == path).map(|(_, bytes)| bytes.clone());
    let made = checklist(&plan, "", &figure).ok()?;
    serde_json::to_string(&made).ok()
}
