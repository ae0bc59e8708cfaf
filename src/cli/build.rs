//! `build`: writes what the workshop needs.

use std::path::{Path, PathBuf};

use super::check::Report;
use super::edition::Edition;
use super::files::{self, Job};
use super::publish::{self, Folder};
use super::terminal::{Progress, Stream};
use super::{BuildArguments, CannotRun, CheckFormat, Verdict, demos, with};
use crate::compare::{CannotCompare, Comparison, compare};
use crate::compile::{self, Compiled};
use crate::diagnostics::render::counted;
use crate::diagnostics::visible;
use crate::emit::{EmitError, Extras, Outputs};
use crate::tailor::Wish;

/// The file to open first.
const FIRST_TO_OPEN: &str = "manual.html";

pub fn run(arguments: &BuildArguments) -> Result<Verdict, CannotRun> {
    let wishes = with::wishes(&arguments.with)?;
    let mut errors = Stream::errors();
    let mut report = Report::new(CheckFormat::Human, errors.style());
    let mut inputs = Vec::new();
    let compiled = if arguments.paths.is_empty() {
        let project = demos::project();
        demos::paths()
            .map(|path| compile::check(path, &project))
            .inspect(|one| errors.say(&report.add(one, None)))
            .collect()
    } else {
        let jobs = files::jobs(&arguments.paths, arguments.project.as_deref())?;
        compile_all(&jobs, &mut report, &mut errors, &mut inputs)?
    };
    if report.any() {
        errors.say(&report.closing(compiled.len()));
        errors.say(&report.left_off);
    }
    let verdict = report.verdict(None);
    if verdict != Verdict::Clean {
        errors.say("Nothing was written.\n");
        errors.finish()?;
        return Ok(verdict);
    }
    if compiled.is_empty() {
        return Err(CannotRun("there is no procedure to build among these files, only libraries".to_owned()));
    }
    let (compiled, left_out) = with::concerned(compiled, |one| one, &wishes)?;
    left_out.iter().for_each(|line| errors.say(&format!("{}\n", visible(line))));
    errors.finish()?;
    let extras = Extras { annex: arguments.annex };
    let before = arguments.since.as_deref().map(|old| Before::find(old, arguments, compiled.len())).transpose()?;
    let since = before.as_ref().map(|before| (&before.compiled, &before.changes));
    let folder = |one| match wishes.is_empty() {
        true => folder_of(one, extras, since),
        false => tailored_folder(one, &wishes, extras, since),
    };
    let folders: Vec<Folder> = compiled.iter().filter_map(folder).collect::<Result<_, _>>()?;
    let kept = publish::publish(&arguments.out, &folders, &inputs)?;
    let mut errors = Stream::errors();
    kept.iter().for_each(|line| errors.say(&format!("{}\n", visible(line))));
    errors.finish()?;
    let mut output = Stream::output();
    output.say(&told(&arguments.out, &folders));
    output.finish()?;
    Ok(Verdict::Clean)
}

/// Compiles the procedures among the jobs, and gathers every file that was read.
fn compile_all(
    jobs: &[Job],
    report: &mut Report,
    errors: &mut Stream<std::io::Stderr>,
    inputs: &mut Vec<PathBuf>,
) -> Result<Vec<Compiled>, CannotRun> {
    let progress = Progress::over(jobs.len());
    let mut all = Vec::new();
    for (at, job) in jobs.iter().enumerate() {
        progress.at(at + 1, &job.path);
        let compiled = compile::check(&job.path, &job.project);
        progress.clear();
        if compiled.is_library() {
            if job.named {
                let name = format!("{}{}", job.prefix, job.path);
                return Err(CannotRun(format!("{name} is a library; build the procedures that use it")));
            }
            continue;
        }
        errors.say(&report.add(&compiled, Some(job)));
        inputs.extend(compiled.inputs().map(|path| job.project.root().join(path)));
        all.push(compiled);
    }
    Ok(all)
}

/// What the folder of a procedure shall hold; `None` where it has errors.
fn folder_of(
    compiled: &Compiled,
    extras: Extras,
    since: Option<(&Compiled, &Comparison)>,
) -> Option<Result<Folder, CannotRun>> {
    let name = compiled.clean()?.name.id.clone();
    Some(filled(
        name,
        match since {
            Some((old, changes)) => compile::build_since(compiled, extras, old, changes)?,
            None => compile::build_with(compiled, extras)?,
        },
    ))
}

/// The older edition whose differences are marked.
struct Before {
    compiled: Compiled,
    changes: Comparison,
}

impl Before {
    fn find(old: &str, arguments: &BuildArguments, procedures: usize) -> Result<Before, CannotRun> {
        let project = arguments.project.as_deref();
        let [new] = &arguments.paths[..] else { return Err(for_one()) };
        if procedures != 1 || new.is_dir() {
            return Err(for_one());
        }
        let (old, new) = (Edition::find(old, project)?, Edition::find(&new.to_string_lossy(), project)?);
        let changes = compare((&old.path, &old), (&new.path, &new)).map_err(|CannotCompare(why)| CannotRun(why))?;
        let compiled = compile::check(&old.path, &old);
        if !compiled.procedure().is_some_and(|procedure| procedure.complete) {
            let name = &old.path;
            return Err(CannotRun(format!("the older edition, {name}, has errors; check it to see them")));
        }
        Ok(Before { compiled, changes })
    }
}

fn for_one() -> CannotRun {
    CannotRun("--since is for one procedure; name its file".to_owned())
}

/// The same for the fittings that the wishes ask for. Its name says which, so that several stand side by side.
fn tailored_folder(
    compiled: &Compiled,
    wishes: &[Wish],
    extras: Extras,
    since: Option<(&Compiled, &Comparison)>,
) -> Option<Result<Folder, CannotRun>> {
    Some(match compile::build_tailored_since(compiled, wishes, extras, since)? {
        Ok(build) => filled(with::folder_name(&build.procedure), build.outputs),
        Err(refusal) => Err(CannotRun(refusal.words(compiled.sources()))),
    })
}

fn filled(name: String, outputs: Result<Outputs, EmitError>) -> Result<Folder, CannotRun> {
    match outputs {
        Ok(outputs) => Ok(Folder { name, files: outputs.files.into_iter().collect() }),
        Err(fault) => Err(CannotRun(format!("nothing was written for {name}, and nothing else: {fault}"))),
    }
}

/// What was written, and where to look.
fn told(out: &Path, folders: &[Folder]) -> String {
    let mut text = format!("Wrote {} to {}:\n", counted(folders.len(), "procedure"), out.display());
    let widest = folders.iter().map(|folder| folder.name.len()).max().unwrap_or(0);
    for folder in folders {
        let files: Vec<&str> = folder.files.keys().map(String::as_str).collect();
        text.push_str(&format!("  {:<widest$}  {}\n", folder.name, files.join(", ")));
    }
    let manual = folders.iter().map(|folder| out.join(&folder.name).join(FIRST_TO_OPEN)).next();
    if let Some(manual) = manual {
        text.push_str(&format!("\nOpen {} in a browser, and print it from there.\n", manual.display()));
    }
    text.lines().map(|line| visible(line) + "\n").collect()
}
