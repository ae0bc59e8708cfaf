//! What changed between two editions of a procedure: not in the text but in what it means, with the steps and fittings that
//! it touches, whether it can matter to somebody's safety, and what follows from it.
//!
//! Everything that the two texts say differently is a change; nothing is passed over. What only words, units or names differ
//! by is told as that. Comments, blanks, and the order of what has none are no difference.

mod data;
mod differ;
mod follows;
mod lines;
mod matching;
mod text;
mod topic;
mod touched;

pub use data::schema;
pub use differ::What;
pub use follows::Follows;
pub use topic::{Topic, of as topic_of};

use differ::{Difference, Standing, differences};
use touched::Side;

use crate::parse::tree::HeadKind;
use crate::source::Span;
use crate::uses::{Names, StepUsing};
use crate::world::World;

/// One edition of a procedure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edition {
    /// Its path in its project.
    pub file: String,
    /// `Kestrel drop-down ladder rack`
    pub title: String,
    /// `C`
    pub revision: Option<String>,
    /// `2026-11-02`
    pub date: Option<String>,
}

/// What changed between two editions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Comparison {
    /// The old one.
    pub old: Edition,
    /// The new one.
    pub new: Edition,
    /// By topic, the gravest first; within a topic in the order of the new text.
    pub changes: Vec<Change>,
    /// Steps that have another name now, by the old one.
    pub renamed_steps: Vec<(String, String)>,
    /// What follows from them, without that anybody wrote it; `None` where one of the editions could not be understood whole.
    pub follows: Option<Vec<Follows>>,
}

/// One change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// What it is about.
    pub topic: Topic,
    /// What became of it.
    pub what: What,
    /// What it belongs to, from the outside in: `joint beam-joint "Cross-beam to rail bracket"`, `section brackets`, `step
    /// snug-beams`.
    pub subject: Vec<String>,
    /// As it was; `None` of what is new.
    pub old: Option<Said>,
    /// As it is; `None` of what is gone.
    pub new: Option<Said>,
    /// The steps that it touches, in order: of the new edition, and of the old one where it is gone.
    pub steps: Vec<StepUsing>,
    /// In which fittings these steps are done; `None` where in every one that is allowed, and where no step is touched.
    pub fittings: Option<String>,
}

/// What stands in a text, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// The file, as its project names it.
    pub file: String,
    /// Its line, from 1.
    pub line: u32,
    /// The statement in one line, without its block.
    pub text: String,
}

/// Why two files can't be compared: one sentence for the user, without a full stop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CannotCompare(pub String);

impl Comparison {
    /// Whether nothing changed but words, names and units, as far as a program can tell.
    pub fn is_of_words(&self) -> bool {
        self.changes.iter().all(|change| change.topic.is_of_words())
    }

    /// For the steps that changes touch, by their names, what they are about; the gravest first.
    pub fn topics_by_step(&self) -> Vec<(String, &'static str)> {
        let of = |change: &'_ Change| {
            let words = change.topic.words();
            change.steps.iter().map(|step| (step.name.clone(), words)).collect::<Vec<_>>()
        };
        self.changes.iter().flat_map(of).collect()
    }

    /// The changes that somebody has to look at for safety's sake.
    pub fn of_safety(&self) -> impl Iterator<Item = &Change> {
        self.changes.iter().filter(|change| change.topic.is_of_safety())
    }
}

/// Compares two editions of a procedure, each read by its path in its own world.
///
/// # Errors
/// Where one of them can't be read or holds no procedure.
pub fn compare(old: (&str, &dyn World), new: (&str, &dyn World)) -> Result<Comparison, CannotCompare> {
    let (old, new) = (read(old)?, read(new)?);
    Ok(of(&old, &new))
}

/// One edition with its lines.
struct Read {
    names: Names,
    lines: Vec<lines::Line>,
    edition: Edition,
}

fn read((path, world): (&str, &dyn World)) -> Result<Read, CannotCompare> {
    let names = Names::read(path, world);
    let Some((_, source)) = names.sources().iter().next() else {
        return Err(CannotCompare(format!("{path} cannot be read")));
    };
    let (tree, _) = crate::parse::parse(crate::source::FileId::new(0), &source.text);
    let Some(head) = tree.head.as_ref().filter(|head| head.kind == HeadKind::Procedure) else {
        return Err(CannotCompare(format!("{path} is no procedure; compare the procedures that use it")));
    };
    let revision = names.procedure().and_then(|procedure| procedure.revision.as_ref());
    let edition = Edition {
        file: path.to_owned(),
        title: head.title.as_ref().map_or(&head.name.text, |title| &title.value).clone(),
        revision: revision.map(|revision| revision.mark.clone()),
        date: revision.map(|revision| revision.date.clone()),
    };
    let lines = lines::of(names.sources(), names.index());
    Ok(Read { names, lines, edition })
}

fn of(old: &Read, new: &Read) -> Comparison {
    let (was, is) = (Side::of(&old.names), Side::of(&new.names));
    let found = differences(&old.lines, &new.lines);
    let renamed = found.iter().filter(|one| one.what == What::Renamed);
    let keys = renamed.filter_map(|one| Some((one.old.as_ref()?.line, one.new.as_ref()?.line)));
    let steps = keys.filter(|(_, new)| matches!(new.word.as_str(), "step" | "check"));
    let renamed_steps = steps.filter_map(|(old, new)| Some((old.key.clone()?, new.key.clone()?))).collect();
    let mut changes: Vec<Change> = found.iter().map(|one| change(one, &was, &is)).collect();
    changes.sort_by_key(|change| change.topic);
    Comparison {
        old: old.edition.clone(),
        new: new.edition.clone(),
        changes,
        renamed_steps,
        follows: follows::follows(&old.names, &new.names),
    }
}

fn change(one: &Difference<'_>, was: &Side<'_>, is: &Side<'_>) -> Change {
    let said = |standing: &Option<Standing<'_>>, side: &Side<'_>| {
        let line = standing.as_ref()?.line;
        let (file, number) = side.place(line.at);
        Some(Said { file, line: number, text: line.text.clone() })
    };
    let (old, new) = (said(&one.old, was), said(&one.new, is));
    let newest = one.new.as_ref().map(|standing| (standing, is)).or(one.old.as_ref().map(|standing| (standing, was)));
    let (subject, steps, fittings) = match newest {
        Some((standing, side)) => {
            let outer = standing.around.first().copied().unwrap_or(standing.line);
            let touched = side.touched(&spans(standing), outer.word == "section");
            (subject(standing), touched.steps, touched.fittings)
        }
        None => Default::default(),
    };
    Change { topic: one.topic, what: one.what, subject, old, new, steps, fittings }
}

/// The line and those around it, from the inside out.
fn spans(standing: &Standing<'_>) -> Vec<Span> {
    std::iter::once(standing.line).chain(standing.around.iter().rev().copied()).map(|line| line.at).collect()
}

/// The lines around it in their own words; of what stands in a step, the step says enough.
fn subject(standing: &Standing<'_>) -> Vec<String> {
    let around = standing.around.iter();
    let wide = |line: &&&lines::Line| !matches!(line.word.as_str(), "when" | "else" | "choose" | "arm" | "for");
    let last = standing.around.last().map(|line| line.at);
    around.filter(|line| wide(line) || Some(line.at) == last).map(|line| line.text.clone()).collect()
}
