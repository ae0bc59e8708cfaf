//! What a file holds, as a tree; and what of it can be folded away.

use crate::parse::{self, tree};
use crate::source::{FileId, Span};
use tree::{Decl, Flow, Item, Name, Text};

/// Something that a list of a file's contents names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Symbol {
    /// Its name.
    pub name: String,
    /// What people call it.
    pub title: Option<String>,
    /// The word that declares it: `joint`, `step`.
    pub word: &'static str,
    /// The whole statement.
    pub span: Span,
    /// Where the name stands.
    pub at: Span,
    /// What stands in it.
    pub within: Vec<Symbol>,
}

/// What a text declares, sections with their steps.
pub fn outline(text: &str) -> Vec<Symbol> {
    let (tree, _) = parse::parse(FileId::new(0), text);
    tree.items.iter().filter_map(declared).collect()
}

/// What of a text can be folded away: every statement of more than one line, by its place.
pub fn folds(text: &str) -> Vec<Span> {
    let (tree, _) = parse::parse(FileId::new(0), text);
    let mut spans: Vec<Span> = Vec::new();
    for item in &tree.items {
        spans.push(item.span);
        if let Decl::Section(section) = &item.node {
            fold_body(&section.body, &mut spans);
        }
    }
    spans.retain(|span| text.get(span.range()).is_some_and(|text| text.contains('\n')));
    spans
}

fn fold_body(body: &[Item<Flow>], spans: &mut Vec<Span>) {
    for item in body {
        spans.push(item.span);
        match &item.node {
            Flow::Choose { arms, .. } => {
                for arm in arms {
                    spans.push(arm.span);
                    fold_body(&arm.body, spans);
                }
            }
            Flow::When { then, otherwise, .. } => {
                fold_body(then, spans);
                fold_body(otherwise.as_deref().unwrap_or_default(), spans);
            }
            Flow::ForEach { body, .. } => fold_body(body, spans),
            Flow::Check(check) => {
                check.repair.iter().for_each(|repair| fold_body(&repair.body, spans));
                check.otherwise.iter().for_each(|otherwise| fold_body(&otherwise.body, spans));
            }
            Flow::Step(_) | Flow::Set { .. } | Flow::Stop(_) | Flow::Handover(_) => {}
        }
    }
}

fn symbol(word: &'static str, name: &Name, title: Option<&Text>, span: Span, within: Vec<Symbol>) -> Symbol {
    let title = title.map(|title| title.value.clone());
    Symbol { name: name.text.clone(), title, word, span, at: name.span, within }
}

fn declared(item: &Item<Decl>) -> Option<Symbol> {
    let of = |word, name: &Name, title: Option<&Text>| Some(symbol(word, name, title, item.span, Vec::new()));
    match &item.node {
        Decl::Option(choice) => of("option", &choice.name, choice.title.as_ref()),
        Decl::Observe(choice) => of("observe", &choice.name, choice.title.as_ref()),
        Decl::Result(choice) => of("result", &choice.name, choice.title.as_ref()),
        Decl::Each(choice) => of("each", &choice.name, choice.title.as_ref()),
        Decl::Given(number) => of("given", &number.name, number.title.as_ref()),
        Decl::Measure(number) => of("measure", &number.name, number.title.as_ref()),
        Decl::Fact { name, .. } => of("fact", name, None),
        Decl::Limit(limit) => of("limit", &limit.name, limit.title.as_ref()),
        Decl::Part(part) => of("part", &part.name, part.title.as_ref()),
        Decl::Tool(tool) => of("tool", &tool.name, tool.title.as_ref()),
        Decl::Protection { name, title } => of("protection", name, title.as_ref()),
        Decl::Hazard(hazard) => of("hazard", &hazard.name, hazard.title.as_ref()),
        Decl::Action(action) => of("action", &action.name, action.title.as_ref()),
        Decl::Joint(joint) => of("joint", &joint.name, joint.title.as_ref()),
        Decl::Circuit(circuit) => of("circuit", &circuit.name, circuit.title.as_ref()),
        Decl::State(state) => of("state", &state.name, state.title.as_ref()),
        Decl::Figure(figure) => of("figure", &figure.name, figure.alt.as_ref()),
        Decl::Section(section) => {
            let mut within = Vec::new();
            steps(&section.body, &mut within);
            Some(symbol("section", &section.name, section.title.as_ref(), item.span, within))
        }
        Decl::Thread(row)
        | Decl::Grade(row)
        | Decl::Wire(row)
        | Decl::Screw(row)
        | Decl::Washer(row)
        | Decl::InsertNut(row)
        | Decl::Terminal(row)
        | Decl::Fuse(row)
        | Decl::Breaker(row) => of("row", &row.name, row.title.as_ref()),
        _ => None,
    }
}

fn steps(body: &[Item<Flow>], found: &mut Vec<Symbol>) {
    for item in body {
        match &item.node {
            Flow::Step(step) => {
                found.push(symbol("step", &step.name, step.title.as_ref(), item.span, Vec::new()));
            }
            Flow::Check(check) => {
                let mut within = Vec::new();
                check.repair.iter().for_each(|repair| steps(&repair.body, &mut within));
                check.otherwise.iter().for_each(|otherwise| steps(&otherwise.body, &mut within));
                found.push(symbol("check", &check.name, check.title.as_ref(), item.span, within));
            }
            Flow::Choose { arms, .. } => arms.iter().for_each(|arm| steps(&arm.body, found)),
            Flow::When { then, otherwise, .. } => {
                steps(then, found);
                steps(otherwise.as_deref().unwrap_or_default(), found);
            }
            Flow::ForEach { body, .. } => steps(body, found),
            Flow::Set { .. } | Flow::Stop(_) | Flow::Handover(_) => {}
        }
    }
}

/// A place that leads to another file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// The place.
    pub at: Span,
    /// To what.
    pub to: LinkTo,
}

/// What a place leads to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LinkTo {
    /// A library, as `use` names it.
    Library(String),
    /// A picture, from the folder of the text.
    Picture(String),
}

/// The places of a text that lead to other files, in order: libraries and pictures.
pub fn links(text: &str) -> Vec<Link> {
    let (tree, _) = parse::parse(FileId::new(0), text);
    let library = |name: &Name| Link { at: name.span, to: LinkTo::Library(name.text.clone()) };
    let links = tree.items.iter().filter_map(|item| match &item.node {
        Decl::Use(name) => Some(library(name)),
        Decl::Figure(figure) => Some(Link { at: figure.path.span, to: LinkTo::Picture(figure.path.value.clone()) }),
        Decl::Section(section) => section.brought.as_ref().map(|from| library(&from.library)),
        _ => None,
    });
    links.collect()
}
