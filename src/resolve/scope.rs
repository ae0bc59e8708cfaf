//! Which name means what.
//!
//! All files of a compilation share one set of names. Sizes and grades (`M8`, `8.8`) have tables of their own in
//! `standards`, because only the form of a fastener asks for them.

use std::collections::BTreeMap;

use crate::diagnostics::{Code, Finding, suggest};
use crate::model::{
    ActionId, ChoiceId, ChoiceKind, CircuitId, FactId, HazardId, JointId, LimitId, NumberId, NumberKind, PartId,
    ProtectionId, StateId, StepId, ToolId,
};
use crate::parse::tree::{self, Name};
use crate::source::Span;

/// What a name was declared as.
#[derive(Clone, Copy)]
pub(super) enum Declared<'t> {
    Choice(&'t tree::Choice, ChoiceKind),
    Number(&'t tree::NumberInput, NumberKind),
    Fact(&'t tree::Measure),
    Limit(&'t tree::Limit),
    Part(&'t tree::Part),
    Terminal(&'t tree::Row),
    Tool(&'t tree::Declared<tree::ToolLine>),
    Protection(Option<&'t tree::Text>),
    Hazard(&'t tree::Declared<tree::HazardLine>),
    Action(&'t tree::Declared<tree::ActionLine>),
    Joint(&'t tree::Declared<tree::JointLine>),
    Circuit(&'t tree::Declared<tree::CircuitLine>),
    State(&'t tree::State),
    Section,
    Step,
}

/// The row of the model that a name has become.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Target {
    Choice(ChoiceId),
    Number(NumberId),
    Fact(FactId),
    Limit(LimitId),
    Part(PartId),
    Tool(ToolId),
    Protection(ProtectionId),
    Hazard(HazardId),
    Action(ActionId),
    Joint(JointId),
    Circuit(CircuitId),
    State(StateId),
    Step(StepId),
}

impl Declared<'_> {
    /// The kind in plain words, with its article.
    pub fn kind(&self) -> &'static str {
        match self {
            Declared::Choice(_, ChoiceKind::Option) => "an option",
            Declared::Choice(_, ChoiceKind::Observe) => "an observation",
            Declared::Choice(_, ChoiceKind::Result) => "a result",
            Declared::Number(_, NumberKind::Given) => "a given",
            Declared::Number(_, NumberKind::Measure) => "a measure",
            Declared::Fact(..) => "a fact",
            Declared::Limit(_) => "a limit",
            Declared::Part(..) => "a part",
            Declared::Terminal(..) => "a terminal",
            Declared::Tool(..) => "a tool",
            Declared::Protection(..) => "protective equipment",
            Declared::Hazard(..) => "a hazard",
            Declared::Action(..) => "an action",
            Declared::Joint(..) => "a joint",
            Declared::Circuit(..) => "a circuit",
            Declared::State(..) => "a state",
            Declared::Section => "a section",
            Declared::Step => "a step",
        }
    }
}

/// A declared name.
pub(super) struct Entry<'t> {
    pub declared: Declared<'t>,
    pub name: &'t Name,
    /// The whole statement.
    pub span: Span,
    /// Whether a library declares it.
    pub library: bool,
    /// Whether a `use` brings it; otherwise it only says what to write.
    pub named: bool,
    /// Its row, once it has one.
    pub target: Option<Target>,
    /// Whether the procedure refers to it.
    pub used: bool,
}

/// All names.
#[derive(Default)]
pub(super) struct Scope<'t> {
    entries: BTreeMap<&'t str, Entry<'t>>,
    /// Names of the root file in order of declaration.
    pub own: Vec<&'t str>,
    /// Names reduced to what a hasty reader sees, to find two that differ only in case or hyphens.
    reduced: BTreeMap<String, &'t str>,
}

impl<'t> Scope<'t> {
    /// Adds a name; says so where it is taken.
    pub fn declare(&mut self, entry: Entry<'t>) -> Option<Finding> {
        let name = entry.name;
        let text = name.text.as_str();
        if let Some(first) = self.entries.get_mut(text) {
            if first.library && !first.named {
                first.named |= entry.named;
            }
            let finding = if entry.library && !first.library {
                let message =
                    format!("`{text}` is the name of {} of a library that is used here", entry.declared.kind());
                Finding::new(Code::FW0202, message, first.name.span, format!("here it is {}", first.declared.kind()))
                    .also(name.span, "the library's")
                    .because("A name must mean one thing, or two readers will think of two different things.")
                    .repair("Rename yours: a word for its place or its work tells the two apart.")
            } else {
                Finding::new(Code::FW0202, format!("`{text}` is declared twice"), name.span, "declared again here")
                    .also(first.name.span, format!("first declared here, as {}", first.declared.kind()))
                    .because("A name must mean one thing, or two readers will lay out two different things.")
                    .repair("Rename one of the two.")
            };
            return Some(finding);
        }
        let reduced: String = text.chars().filter(|c| *c != '-').flat_map(char::to_lowercase).collect();
        let twin = self.reduced.get(&reduced).and_then(|twin| self.entries.get(twin));
        let twin = twin.filter(|twin| !(twin.library && entry.library)).map(|twin| {
            // A writer can rename only what is in the file itself.
            let (own, other) = if entry.library { (twin.name, name) } else { (name, twin.name) };
            Finding::new(
                Code::FW0205,
                format!("`{}` and `{}` differ only in case or hyphens", own.text, other.text),
                own.span,
                "easily read as the other",
            )
            .also(other.span, "the other name")
            .because("A technician, and a writer in a hurry, will take one for the other.")
            .repair("Give this one a name of its own.")
        });
        self.reduced.entry(reduced).or_insert(text);
        if !entry.library {
            self.own.push(text);
        }
        self.entries.insert(text, entry);
        twin
    }

    pub fn get(&self, name: &str) -> Option<&Entry<'t>> {
        self.entries.get(name)
    }

    pub fn set_target(&mut self, name: &str, target: Target) {
        if let Some(entry) = self.entries.get_mut(name) {
            entry.target = Some(target);
        }
    }

    pub fn mark_used(&mut self, name: &str) {
        if let Some(entry) = self.entries.get_mut(name) {
            entry.used = true;
        }
    }

    pub fn iter(&self) -> impl Iterator<Item = &Entry<'t>> {
        self.entries.values()
    }

    /// The nearest declared name of the wanted kind.
    pub fn nearest(&self, name: &str, wanted: Wanted) -> Option<&'t str> {
        let candidates =
            self.entries.iter().filter(|(_, entry)| entry.named && wanted.fits(&entry.declared)).map(|(text, _)| *text);
        suggest::nearest(name, candidates)
    }
}

/// What a place in the text asks for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Wanted {
    Part,
    Terminal,
    Tool,
    Protection,
    Hazard,
    Action,
    Joint,
    Circuit,
    State,
    Result,
    Reading,
    Input,
    Number,
    Recordable,
    Anything,
}

impl Wanted {
    pub fn fits(self, declared: &Declared<'_>) -> bool {
        match self {
            Wanted::Part => matches!(declared, Declared::Part(_) | Declared::Terminal(_)),
            Wanted::Terminal => match declared {
                Declared::Terminal(_) => true,
                Declared::Part(part) => part.spec.as_ref().is_some_and(|spec| spec.kind.text == "terminal"),
                _ => false,
            },
            Wanted::Tool => matches!(declared, Declared::Tool(_)),
            Wanted::Protection => matches!(declared, Declared::Protection(_)),
            Wanted::Hazard => matches!(declared, Declared::Hazard(_)),
            Wanted::Action => matches!(declared, Declared::Action(_)),
            Wanted::Joint => matches!(declared, Declared::Joint(_)),
            Wanted::Circuit => matches!(declared, Declared::Circuit(_)),
            Wanted::State => matches!(declared, Declared::State(_)),
            Wanted::Result => matches!(declared, Declared::Choice(_, ChoiceKind::Result)),
            Wanted::Reading => {
                matches!(declared, Declared::Choice(_, ChoiceKind::Observe) | Declared::Number(_, NumberKind::Measure))
            }
            Wanted::Input => matches!(declared, Declared::Choice(..) | Declared::Number(..)),
            Wanted::Number => matches!(declared, Declared::Number(..) | Declared::Fact(_)),
            Wanted::Recordable => matches!(declared, Declared::Choice(_, ChoiceKind::Observe) | Declared::Number(..)),
            Wanted::Anything => true,
        }
    }

    /// In plain words, with its article.
    pub fn words(self) -> &'static str {
        match self {
            Wanted::Part => "a part",
            Wanted::Terminal => "a terminal",
            Wanted::Tool => "a tool",
            Wanted::Protection => "protective equipment",
            Wanted::Hazard => "a hazard",
            Wanted::Action => "an action",
            Wanted::Joint => "a joint",
            Wanted::Circuit => "a circuit",
            Wanted::State => "a state",
            Wanted::Result => "a result",
            Wanted::Reading => "an observation or a measure",
            Wanted::Input => "an option, given, observation, measure or result",
            Wanted::Number => "a given, a measure or a fact",
            Wanted::Recordable => "a reading",
            Wanted::Anything => "a name",
        }
    }
}
