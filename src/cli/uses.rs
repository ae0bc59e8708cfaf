//! `uses`: which procedures of a collection use a thing, and in which steps.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use serde::Serialize;

use super::files::{self, Job};
use super::project::{self, Project};
use super::terminal::{Progress, Stream};
use super::{CannotRun, Format, UsesArguments, Verdict};
use crate::diagnostics::render::counted;
use crate::diagnostics::{suggest, visible};
use crate::source::{Sources, Span};
use crate::uses::{Names, StepUsing, Thing, Use};

/// One use as it is written for machines.
#[derive(Serialize)]
struct Line<'a> {
    /// The name in the source.
    name: &'a str,
    /// `part`, `joint`, `section`, `thread`, …
    kind: &'a str,
    /// The library that declares it, or `null`.
    library: Option<&'a str>,
    /// Where it is declared.
    declared: Place,
    /// The file of the procedure that uses it.
    procedure: String,
    /// The title of that procedure.
    title: &'a str,
    /// Where it is named, or what stands behind it.
    #[serde(flatten)]
    place: Place,
    /// The step, or `null` where something else names it.
    step: Option<Step<'a>>,
    /// The first word of the statement: `step`, `kit`.
    statement: &'a str,
    /// What stands between, nearest to the step first.
    through: &'a [String],
}

#[derive(Serialize)]
struct Step<'a> {
    number: &'a str,
    name: &'a str,
    title: &'a str,
}

#[derive(Serialize)]
struct Place {
    file: String,
    line: u32,
}

/// What a collection says of a name.
struct Told {
    name: String,
    /// For machines: a line a use.
    lines: String,
    /// For people: what is told of each thing, by its heading.
    things: BTreeMap<String, String>,
    procedures: BTreeSet<String>,
    steps: BTreeSet<(String, String)>,
    /// Whether anything has the name.
    known: bool,
}

pub fn run(arguments: &UsesArguments) -> Result<Verdict, CannotRun> {
    let named = arguments.project.as_deref();
    let project = match named {
        Some(folder) if !folder.is_file() => None,
        _ => Project::wanted(&arguments.paths, named)?,
    };
    let jobs = match project {
        Some(project) if arguments.paths.is_empty() => project.all()?,
        _ => {
            let here = [PathBuf::from(".")];
            let paths = if arguments.paths.is_empty() { &here[..] } else { &arguments.paths };
            files::jobs(paths, project::folder(named))?
        }
    };
    let name = arguments.name.trim().replace(".fitw.", ".");
    let mut told = Told {
        name,
        lines: String::new(),
        things: BTreeMap::new(),
        procedures: BTreeSet::new(),
        steps: BTreeSet::new(),
        known: false,
    };
    let mut names: BTreeSet<String> = BTreeSet::new();
    let mut errors = Stream::errors();
    let progress = Progress::over(jobs.len());
    for (at, job) in jobs.iter().enumerate() {
        progress.at(at + 1, &job.path);
        let found = Names::read(&job.path, &job.project);
        progress.clear();
        names.extend(found.known());
        let path = format!("{}{}", job.prefix, job.path);
        if found.is_broken() {
            let path = visible(&path);
            errors.say(&format!("{path} has errors; what could not be understood in it is not told\n"));
        }
        told.add(&found, job, arguments.format);
    }
    errors.finish()?;
    if !told.known {
        return Err(CannotRun(unknown(&told.name, &names)));
    }
    let mut output = Stream::output();
    output.say(&match arguments.format {
        Format::Human => told.in_words(),
        Format::Json => told.lines,
    });
    output.finish()?;
    Ok(Verdict::Clean)
}

fn unknown(name: &str, known: &BTreeSet<String>) -> String {
    let near = suggest::nearest(name, known.iter().map(String::as_str));
    let meant = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
    format!("nothing in these files and their libraries is called `{name}`{meant}")
}

impl Told {
    /// What one file says.
    fn add(&mut self, names: &Names, job: &Job, format: Format) {
        for (thing, uses) in names.uses(&self.name) {
            self.known = true;
            let Some(procedure) = names.procedure().filter(|_| !uses.is_empty()) else { continue };
            let place = |span| place(names.sources(), span, job);
            let file = format!("{}{}", job.prefix, job.path);
            if format == Format::Json {
                for one in &uses {
                    let line = Line {
                        name: &thing.name,
                        kind: &thing.kind,
                        library: thing.library.as_deref(),
                        declared: place(thing.declared),
                        procedure: file.clone(),
                        title: &procedure.name.title,
                        place: place(one.at),
                        step: one.step.as_ref().map(step),
                        statement: &one.statement,
                        through: &one.through,
                    };
                    self.lines.push_str(&(serde_json::to_string(&line).unwrap_or_default() + "\n"));
                }
                continue;
            }
            let of_thing = self.things.entry(heading(&thing, &place(thing.declared))).or_default();
            of_thing.push_str(&(visible(&format!("  {file}  {}", procedure.name.title)) + "\n"));
            for one in &uses {
                of_thing.push_str(&(visible(&told_use(one, &place(one.at))) + "\n"));
            }
            let steps = uses.iter().filter_map(|one| one.step.as_ref());
            self.steps.extend(steps.map(|step| (file.clone(), step.number.clone())));
            self.procedures.insert(file);
        }
    }

    fn in_words(&self) -> String {
        if self.procedures.is_empty() {
            return format!("Nothing here uses `{}`.\n", visible(&self.name));
        }
        let things: String = self.things.iter().map(|(head, text)| format!("{}\n{text}\n", visible(head))).collect();
        let (procedures, steps) = (counted(self.procedures.len(), "procedure"), counted(self.steps.len(), "step"));
        format!("{things}{procedures}, {steps}.\n")
    }
}

/// `joint `lib/wiring.lamp-joint`, procedures/lib/wiring.fitw:8`
fn heading(thing: &Thing, at: &Place) -> String {
    let whole = thing.library.as_ref().map_or(thing.name.clone(), |library| format!("{library}.{}", thing.name));
    format!("{} `{whole}`, {}:{}", thing.kind, at.file, at.line)
}

/// `    2.3  Fit the lamp, procedures/kestrel-arm.fitw:41, through joint lamp-joint`
fn told_use(one: &Use, at: &Place) -> String {
    let what = match &one.step {
        Some(StepUsing { number, title, .. }) => format!("{number:<5}  {title}"),
        None => format!("{:<5}  `{}`", "-", one.statement),
    };
    let through =
        if one.through.is_empty() { String::new() } else { format!("  (through {})", one.through.join(", ")) };
    format!("    {what}  {}:{}{through}", at.file, at.line)
}

fn step(using: &StepUsing) -> Step<'_> {
    Step { number: &using.number, name: &using.name, title: &using.title }
}

fn place(sources: &Sources, span: Span, job: &Job) -> Place {
    let Some(file) = sources.get(span.file) else { return Place { file: String::new(), line: 0 } };
    let built_in = file.name.starts_with("std/");
    let name = if built_in { file.name.clone() } else { format!("{}{}", job.prefix, file.name) };
    Place { file: name, line: file.position(span.start).line }
}
