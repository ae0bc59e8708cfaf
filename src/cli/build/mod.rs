//! `build`: writes what the workshop needs.

mod depfile;
mod gathered;
mod one;
mod outcome;
mod since;

use std::path::{Path, PathBuf};

use super::files::{self, Job};
use super::project::{self, Project};
use super::publish;
use super::reading::Files;
use super::terminal::{Progress, Stream};
use super::translation::Found;
use super::{BuildArguments, CannotRun, Verdict, demos, parallel, with};
use crate::compile;
use crate::diagnostics::render::counted;
use crate::diagnostics::visible;
use crate::labels::Language;
use gathered::Gathered;
use one::{Asked, One};
use outcome::Built;

/// The file to open first.
const FIRST_TO_OPEN: &str = "manual.html";

pub fn run(arguments: &BuildArguments) -> Result<Verdict, CannotRun> {
    let wishes = with::wishes(&arguments.with)?;
    let project = Project::wanted(&arguments.paths, arguments.project.as_deref())?;
    let out = match (&arguments.out, &project) {
        (Some(out), _) => out.clone(),
        (None, Some(project)) => project.out(),
        (None, None) => PathBuf::from(project::OUT),
    };
    let deny = arguments.deny.or(project.as_ref().and_then(Project::deny));
    let jobs = match &project {
        Some(project) if arguments.paths.is_empty() => project.procedures()?,
        _ => files::jobs(&arguments.paths, project::folder(arguments.project.as_deref()))?,
    };
    if jobs.is_empty() && arguments.depfile.is_some() {
        return Err(CannotRun(
            "--depfile goes with procedures of your own; those of the program come from no file".into(),
        ));
    }
    let mut errors = Stream::errors();
    publish::tidy(&out)?.iter().for_each(|line| errors.say(&format!("{}\n", visible(line))));
    let asked = Asked::new(arguments, wishes, &jobs)?;
    let mut gathered = Gathered::new(&out, deny, errors);
    let threads = parallel::threads(arguments.jobs);
    if jobs.is_empty() {
        build_demos(&asked, threads, &mut gathered)?;
    } else {
        build_all(&jobs, &asked, &out, threads, &mut gathered)?;
    }
    let (all, publication) = match gathered.whole(&asked)? {
        Ok(whole) => whole,
        Err(verdict) => return Ok(verdict),
    };
    let needs = match &arguments.depfile {
        Some(file) => {
            let project = project.as_ref().map(|project| project.file.as_path());
            let text = depfile::text(&out, &all, project)?;
            depfile::refuse_harm(file, &out, &all)?;
            Some((file, text))
        }
        None => None,
    };
    let kept = publication.publish()?;
    if let Some((file, text)) = needs {
        super::one_file::write(file, text.as_bytes(), &[])?;
    }
    let mut errors = Stream::errors();
    kept.iter().for_each(|line| errors.say(&format!("{}\n", visible(line))));
    errors.finish()?;
    let mut output = Stream::output();
    output.say(&told(&out, &all));
    output.finish()?;
    Ok(Verdict::Clean)
}

/// Builds the procedures that come with the program.
fn build_demos(asked: &Asked, threads: usize, gathered: &mut Gathered) -> Result<(), CannotRun> {
    let project = demos::project();
    let paths: Vec<&str> = demos::paths().collect();
    let going = gathered.going();
    let work = |at: usize| {
        paths.get(at).map(|path| {
            let compiled = compile::check(path, &project);
            let beside = |language: &'static Language| Found::beside(path, "", language, &project);
            One::of_the_program(compiled, asked.language.map(beside)).make(asked, &going)
        })
    };
    parallel::in_order(paths.len(), threads, work, |_, one| {
        one.into_iter().for_each(|one| gathered.add(one, None));
        Ok(())
    })
}

/// Builds the procedures among the jobs, but for those that are as they were built and had nothing to say.
fn build_all(
    jobs: &[Job],
    asked: &Asked,
    out: &Path,
    threads: usize,
    gathered: &mut Gathered,
) -> Result<(), CannotRun> {
    let progress = Progress::over(jobs.len());
    let next = |at: usize| jobs.get(at).inspect(|job| progress.at(at + 1, &job.path));
    let files = Files::default();
    let going = gathered.going();
    let work = |at: usize| jobs.get(at).map(|job| (job, One::look(job, &files, asked, out).make(asked, &going)));
    next(0);
    parallel::in_order(jobs.len(), threads, work, |at, one| {
        progress.clear();
        if let Some((job, one)) = one {
            if !one.is_library() {
                gathered.add(one, Some(job));
            } else if job.named {
                let name = format!("{}{}", job.prefix, job.path);
                return Err(CannotRun(format!("{name} is a library; build the procedures that use it")));
            }
        }
        next(at + 1);
        Ok(())
    })?;
    progress.clear();
    Ok(())
}

/// What was written, what stood there already, and where to look.
fn told(out: &Path, all: &[Built]) -> String {
    let written: Vec<&Built> = all.iter().filter(|built| built.is_new).collect();
    let (new, unchanged) = (written.len(), all.len() - written.len());
    let shown = out.display();
    let mut text = match (new, unchanged) {
        (0, 1) => format!("1 procedure, unchanged; nothing was written to {shown}.\n"),
        (0, _) => format!("{unchanged} procedures, all unchanged; nothing was written to {shown}.\n"),
        (_, 0) => format!("Wrote {} to {shown}:\n", counted(new, "procedure")),
        _ => {
            let all = counted(all.len(), "procedure");
            format!("{all}, {unchanged} unchanged; wrote {new} to {shown}:\n")
        }
    };
    let widest = written.iter().map(|built| built.name.len()).max().unwrap_or(0);
    for built in written {
        text.push_str(&format!("  {:<widest$}  {}\n", built.name, built.outputs.join(", ")));
    }
    if let Some(first) = all.first() {
        let manual = out.join(&first.name).join(FIRST_TO_OPEN);
        text.push_str(&format!("\nOpen {} in a browser, and print it from there.\n", manual.display()));
    }
    text.lines().map(|line| visible(line) + "\n").collect()
}
