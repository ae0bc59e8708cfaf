//! Which steps of a procedure use a thing: a part, tool, joint, circuit, state, hazard, section or row of a library.
//!
//! A step uses what its lines and sentences name, and what stands behind that: a bolt through its joint, a thread through
//! the bolt. Nothing is judged here.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use crate::diagnostics::Severity;
use crate::model::{Procedure, Step};
use crate::resolve::index::{DeclaredName, Index, NamedAt};
use crate::resolve::{self, Resolved};
use crate::source::{Sources, Span};
use crate::world::World;

/// A procedure, as far as its names are known.
pub struct Names {
    sources: Sources,
    index: Index,
    procedure: Option<Procedure>,
    broken: bool,
}

/// A thing that a name means.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Thing {
    /// `feed`
    pub name: String,
    /// `circuit`
    pub kind: String,
    /// The library that declares it; `None` for the procedure itself.
    pub library: Option<String>,
    /// Where it is declared.
    pub declared: Span,
}

/// One use of a thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Use {
    /// Where it is named, or what stands behind it; of a section, the step's name.
    pub at: Span,
    /// Number, name and title of the step; `None` where something else names it, as the kit does.
    pub step: Option<StepUsing>,
    /// The first word of the statement that names it: `kit`, `step`.
    pub statement: String,
    /// What stands between, nearest to the step first: `joint lamp-joint`.
    pub through: Vec<String>,
}

/// A step that uses something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepUsing {
    /// `2.3`
    pub number: String,
    /// `fit-lamp`
    pub name: String,
    /// `Fit the lamp`
    pub title: String,
}

/// What leads from a thing to whoever names it.
struct Way {
    thing: usize,
    through: Vec<String>,
}

impl Names {
    /// Reads the file at `root` with all it uses.
    pub fn read(root: &str, world: &dyn World) -> Names {
        let mut sources = Sources::default();
        let (resolved, index) = resolve::resolve_with_index(root, world, &mut sources);
        let Resolved { procedure, findings, .. } = resolved;
        let broken = findings.iter().any(|finding| finding.severity() == Severity::Error);
        Names { sources, index, procedure, broken }
    }

    /// The texts.
    pub fn sources(&self) -> &Sources {
        &self.sources
    }

    /// The procedure; `None` for a library and for what could not be read.
    pub fn procedure(&self) -> Option<&Procedure> {
        self.procedure.as_ref()
    }

    /// What is declared where, and where it is named.
    pub fn index(&self) -> &Index {
        &self.index
    }

    /// Whether something could not be resolved, so that a use may be missing.
    pub fn is_broken(&self) -> bool {
        self.broken
    }

    /// Every name that a question may have: `feed`, and `lib/wiring.feed` for what a library declares.
    pub fn known(&self) -> impl Iterator<Item = String> {
        self.index.declared.iter().flat_map(|one| {
            let whole = one.library.as_ref().map(|library| format!("{library}.{}", one.name));
            std::iter::once(bare(&one.name).to_owned()).chain(whole)
        })
    }

    /// What a name means in this procedure, with the steps that use it. A thing that nothing uses has no uses.
    pub fn uses(&self, name: &str) -> Vec<(Thing, Vec<Use>)> {
        let declared = &self.index.declared;
        let is_meant = |one: &DeclaredName| {
            let of_library = || one.library.as_ref().and_then(|library| name.strip_prefix(library.as_str()));
            bare(&one.name) == name || of_library().and_then(|rest| rest.strip_prefix('.')) == Some(&one.name)
        };
        let mut by_place: BTreeMap<Span, Vec<usize>> = BTreeMap::new();
        for (at, one) in declared.iter().enumerate().filter(|(_, one)| is_meant(one)) {
            // What is there for several places is declared once.
            by_place.entry(one.at.whole()).or_default().push(at);
        }
        let things = by_place.into_values().filter_map(|all| {
            let first = declared.get(*all.first()?)?;
            let kind = first.kind.split_once(' ').filter(|(article, _)| matches!(*article, "a" | "an"));
            let thing = Thing {
                name: bare(&first.name).to_owned(),
                kind: kind.map_or(first.kind, |(_, kind)| kind).to_owned(),
                library: first.library.clone(),
                declared: first.at.whole(),
            };
            Some((thing, self.uses_of(&all)))
        });
        things.collect()
    }

    /// Who uses what is declared in a part of a text; nobody, where nothing is.
    pub fn uses_within(&self, place: Span) -> Vec<Use> {
        let within = |one: &DeclaredName| place.whole().contains(one.at.whole());
        let declared = self.index.declared.iter().enumerate().filter(|(_, one)| within(one));
        self.uses_of(&declared.map(|(at, _)| at).collect::<Vec<_>>())
    }

    fn uses_of(&self, things: &[usize]) -> Vec<Use> {
        let mut found: Vec<((usize, Span), Use)> = Vec::new();
        let mut seen: BTreeSet<usize> = things.iter().copied().collect();
        let mut ways: VecDeque<Way> = things.iter().map(|thing| Way { thing: *thing, through: Vec::new() }).collect();
        while let Some(way) = ways.pop_front() {
            let Some(thing) = self.index.declared.get(way.thing) else { continue };
            if thing.kind == "a section" {
                self.steps_of(thing, &way, &mut found);
            }
            for named in self.index.named.iter().filter(|named| named.means == thing.at) {
                self.follow(*named, &way, &mut ways, &mut seen, &mut found);
            }
        }
        found.sort_by_key(|(order, _)| *order);
        // Each step once, by the line that names it first; the copies of a step for several places are one.
        let mut told: BTreeSet<(Option<String>, Option<Span>)> = BTreeSet::new();
        found.retain(|(_, one)| {
            let number = one.step.as_ref().map(|step| step.number.clone());
            told.insert((number, one.step.is_none().then_some(one.at)))
        });
        found.into_iter().map(|(_, one)| one).collect()
    }

    /// Whoever names something: a step uses it; a thing that names it leads on.
    fn follow(
        &self,
        named: NamedAt,
        way: &Way,
        ways: &mut VecDeque<Way>,
        seen: &mut BTreeSet<usize>,
        found: &mut Vec<((usize, Span), Use)>,
    ) {
        if let Some((order, step)) = self.step_around(named.at) {
            found.push(((order, named.at), used(named.at, step, way)));
            return;
        }
        let around = self.index.declared.iter().position(|one| one.statement.contains(named.at));
        match around.and_then(|at| Some((at, self.index.declared.get(at)?))) {
            Some((at, thing)) => {
                if seen.insert(at) {
                    let kind = thing.kind.split_once(' ').map_or(thing.kind, |(_, kind)| kind);
                    let mut through = vec![format!("{kind} {}", bare(&thing.name))];
                    through.extend(way.through.iter().cloned());
                    ways.push_back(Way { thing: at, through });
                }
            }
            None => {
                let statement = self.statement_around(named.at);
                let one = Use { at: named.at.whole(), step: None, statement, through: way.through.clone() };
                found.push(((usize::MAX, named.at), one));
            }
        }
    }

    /// The innermost step that holds a place, with its number in the order of the text.
    fn step_around(&self, at: Span) -> Option<(usize, &Step)> {
        let steps = self.procedure.as_ref()?.steps.rows().iter().enumerate();
        let around = steps.filter(|(_, step)| step.span.file == at.file && step.span.contains(at));
        around.min_by_key(|(_, step)| step.span.end - step.span.start)
    }

    /// All steps of a section, of a library's section wherever it was brought in.
    fn steps_of(&self, section: &DeclaredName, way: &Way, found: &mut Vec<((usize, Span), Use)>) {
        let Some(procedure) = &self.procedure else { return };
        let brought = |step: &Step| {
            let number = step.span.file.section()?;
            let shared = procedure.shared.get(number)?;
            Some(section.statement.contains(shared.line) || section.statement.contains(step.span))
        };
        for (order, step) in procedure.steps.rows().iter().enumerate() {
            if brought(step).unwrap_or_else(|| section.statement.contains(step.span)) {
                found.push(((order, step.name.span), used(step.name.span, step, way)));
            }
        }
    }

    /// The first word of the outermost statement around a place: it begins a line without blanks before it.
    fn statement_around(&self, at: Span) -> String {
        let text = self.sources.get(at.file).map_or("", |file| file.text.get(..at.start as usize).unwrap_or(""));
        let line = text.rsplit('\n').find(|line| line.starts_with(|c: char| c.is_ascii_lowercase()));
        line.and_then(|line| line.split_whitespace().next()).unwrap_or_default().to_owned()
    }
}

fn used(at: Span, step: &Step, way: &Way) -> Use {
    Use { at: at.whole(), step: Some(StepUsing::of(step)), statement: "step".to_owned(), through: way.through.clone() }
}

impl StepUsing {
    /// A step as the writer calls it, whatever place it is for.
    pub(crate) fn of(step: &Step) -> StepUsing {
        let title = step.name.at.as_ref().map_or(&step.name.title, |copy| &copy.title);
        let name = step.name.at.as_ref().map_or(&step.name.id, |copy| &copy.of);
        StepUsing { number: step.number.clone(), name: name.clone(), title: title.clone() }
    }
}

/// `foot` for `foot of front-left`.
fn bare(name: &str) -> &str {
    name.split(" of ").next().unwrap_or(name)
}
