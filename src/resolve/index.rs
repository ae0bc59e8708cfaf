//! What is declared where, and where each name means it: for questions about a collection, not for the model.

use super::Resolver;
use super::load::LoadedFile;
use super::names::declared_by;
use super::scope::{Declared, Level, Target};
use crate::model::Tool;
use crate::parse::tree::{CircuitLine, Decl, Flow, Item, Name, Text, Value};
use crate::quantity::Measure;
use crate::source::Span;
use std::collections::BTreeMap;

/// Something that a file declares.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeclaredName {
    /// Its name: `feed`, `M8`, `foot of front-left`.
    pub name: String,
    /// In plain words, with its article: `a circuit`, `a thread`.
    pub kind: &'static str,
    /// The library that declares it, as `use` names it; `None` for the file itself.
    pub library: Option<String>,
    /// Where the name stands.
    pub at: Span,
    /// The whole statement.
    pub statement: Span,
    /// What people call it, where the statement says so.
    pub title: Option<String>,
    /// The values of a choice or state, the points of a circuit, the places of a group.
    pub members: Vec<Member>,
}

/// A name within a thing: a value, a point, a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// `powered`
    pub name: String,
    /// `Powered arm, 12 V`
    pub title: Option<String>,
    /// Where the name stands.
    pub at: Span,
}

/// A place in the text that names something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NamedAt {
    /// The place.
    pub at: Span,
    /// Where the name of what is meant is declared.
    pub means: Span,
}

/// A quantity in the text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredAt {
    /// The place.
    pub at: Span,
    /// What it says.
    pub measure: Measure,
}

/// A circuit of a procedure to which this one leaves something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CircuitBeside {
    /// The path of that procedure, as lines name it.
    pub procedure: String,
    /// The circuit's name there.
    pub name: String,
    /// Its title there.
    pub title: String,
}

/// What the file leaves to a circuit of another procedure, or to a point of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftBeside {
    /// The path of that procedure, as lines name it.
    pub procedure: String,
    /// The circuit's name there.
    pub circuit: String,
    /// Where the line says that name; none where it is that of the circuit here.
    pub said: Option<Span>,
    /// The circuit here.
    pub of: String,
    /// The point that is left, which has the same name there.
    pub point: Option<String>,
}

/// The names of a compilation.
#[derive(Debug, Clone, Default)]
pub struct Index {
    /// Everything that the file and its libraries declare, but for steps.
    pub declared: Vec<DeclaredName>,
    /// The steps and checks of the file.
    pub steps: Vec<DeclaredName>,
    /// Every place that names something, in the order of resolving.
    pub named: Vec<NamedAt>,
    /// Names in lines that accept something, or give it to a section: no uses of their own.
    pub in_passing: Vec<NamedAt>,
    /// The circuits of the procedures to which the file leaves something.
    pub beside: Vec<CircuitBeside>,
    /// What the file leaves to them.
    pub left: Vec<LeftBeside>,
    /// Every quantity that could be read, in the order of resolving.
    pub measured: Vec<MeasuredAt>,
    /// Every tool that the file could name, used or not, by the place of its name.
    pub tools: BTreeMap<Span, Tool>,
}

/// Everything that these files declare, but for steps.
pub(super) fn declared(files: &[LoadedFile]) -> Vec<DeclaredName> {
    let named = files.iter().filter(|file| file.named);
    named
        .flat_map(|file| {
            file.tree.items.iter().filter_map(move |item| {
                let (name, kind) = match (&item.node, declared_by(&item.node)) {
                    (_, Some((name, declared))) => (name, declared.kind()),
                    (Decl::Each(places), _) => (&places.name, "a group of places"),
                    (node, None) => row_of(node)?,
                };
                let library = (file.level != Level::Own).then(|| file.key.clone());
                let (title, members) = said_of(&item.node);
                let title = title.map(|title| title.value.clone());
                let (at, statement) = (name.span, item.span);
                Some(DeclaredName { name: name.text.clone(), kind, library, at, statement, title, members })
            })
        })
        .collect()
}

/// The steps and checks of the file that was asked for.
pub(super) fn steps(files: &[LoadedFile]) -> Vec<DeclaredName> {
    let mut found = Vec::new();
    for item in files.iter().filter(|file| file.is_root).flat_map(|file| &file.tree.items) {
        if let Decl::Section(section) = &item.node {
            steps_in(&section.body, &mut found);
        }
    }
    found
}

fn steps_in(body: &[Item<Flow>], found: &mut Vec<DeclaredName>) {
    for item in body {
        let (name, title) = match &item.node {
            Flow::Step(step) => (&step.name, &step.title),
            Flow::Check(check) => (&check.name, &check.title),
            Flow::Choose { arms, .. } => {
                arms.iter().for_each(|arm| steps_in(&arm.body, found));
                continue;
            }
            Flow::When { then, otherwise, .. } => {
                steps_in(then, found);
                steps_in(otherwise.as_deref().unwrap_or_default(), found);
                continue;
            }
            Flow::ForEach { body, .. } => {
                steps_in(body, found);
                continue;
            }
            Flow::Set { .. } | Flow::Stop(_) | Flow::Handover(_) => continue,
        };
        found.push(DeclaredName {
            name: name.text.clone(),
            kind: "a step",
            library: None,
            at: name.span,
            statement: item.span,
            title: title.as_ref().map(|title| title.value.clone()),
            members: Vec::new(),
        });
        if let Flow::Check(check) = &item.node {
            check.repair.iter().for_each(|repair| steps_in(&repair.body, found));
            check.otherwise.iter().for_each(|otherwise| steps_in(&otherwise.body, found));
        }
    }
}

/// The title of a statement, and the names within it.
fn said_of(decl: &Decl) -> (Option<&Text>, Vec<Member>) {
    let values = |values: &[Value]| -> Vec<Member> {
        values.iter().map(|value| member(&value.name, value.label.as_ref())).collect()
    };
    match decl {
        Decl::Option(choice) | Decl::Observe(choice) | Decl::Result(choice) | Decl::Each(choice) => {
            (choice.title.as_ref(), values(&choice.values))
        }
        Decl::State(state) => (state.title.as_ref(), values(&state.values)),
        Decl::Circuit(circuit) => {
            let points = circuit.lines.iter().filter_map(|line| match &line.node {
                CircuitLine::Point { name, title, .. } => Some(member(name, title.as_ref())),
                _ => None,
            });
            (circuit.title.as_ref(), points.collect())
        }
        Decl::Given(number) | Decl::Measure(number) => (number.title.as_ref(), Vec::new()),
        Decl::Limit(limit) => (limit.title.as_ref(), Vec::new()),
        Decl::Part(part) => (part.title.as_ref(), Vec::new()),
        Decl::Tool(tool) => (tool.title.as_ref(), Vec::new()),
        Decl::Protection { title, .. } => (title.as_ref(), Vec::new()),
        Decl::Hazard(hazard) => (hazard.title.as_ref(), Vec::new()),
        Decl::Action(action) => (action.title.as_ref(), Vec::new()),
        Decl::Joint(joint) => (joint.title.as_ref(), Vec::new()),
        Decl::Figure(figure) => (figure.alt.as_ref(), Vec::new()),
        Decl::Section(section) => (section.title.as_ref(), Vec::new()),
        Decl::Terminal(row) => (row.title.as_ref(), Vec::new()),
        _ => (None, Vec::new()),
    }
}

fn member(name: &Name, title: Option<&Text>) -> Member {
    Member { name: name.text.clone(), title: title.map(|title| title.value.clone()), at: name.span }
}

fn row_of(decl: &Decl) -> Option<(&Name, &'static str)> {
    Some(match decl {
        Decl::Thread(row) => (&row.name, "a thread"),
        Decl::Grade(row) => (&row.name, "a grade"),
        Decl::Wire(row) => (&row.name, "a wire"),
        Decl::Washer(row) => (&row.name, "a size of washer"),
        Decl::Screw(row) => (&row.name, "a size of screw"),
        Decl::InsertNut(row) => (&row.name, "a size of insert nut"),
        _ => return None,
    })
}

impl Resolver<'_> {
    /// Notes what a place in the text measures.
    pub(super) fn note_measure(&mut self, at: Span, measure: Measure) {
        self.measured.push(MeasuredAt { at, measure });
    }

    /// Every tool that the file could name. The procedure keeps those that it does name: a library's tools enter the model when
    /// something names them, and an editor has to know the others as well.
    pub(super) fn every_tool(&mut self) -> BTreeMap<Span, Tool> {
        let tools = self.scope.iter().filter(|(_, entry)| entry.named && matches!(entry.declared, Declared::Tool(_)));
        let handles: Vec<_> = tools.map(|(handle, entry)| (handle, entry.name.span)).collect();
        let kept = self.procedure.clone();
        let mut found = BTreeMap::new();
        for (handle, at) in handles {
            if let Some(Target::Tool(tool)) = self.intern(handle) {
                found.insert(at, self.procedure.tools[tool].clone());
            }
        }
        self.procedure = kept;
        found
    }

    /// Notes that a place in the text means what is declared at another.
    pub(super) fn note_use(&mut self, at: Span, means: Span) {
        self.named.push(NamedAt { at, means });
    }
}
