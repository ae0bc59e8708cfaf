//! `build`: writes what the workshop needs.

mod depfile;
mod one;
mod since;

use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use super::check::Report;
use super::files::{self, Job};
use super::project::{self, Project};
use super::publish::{self, Folder, Made, Set};
use super::reading::Files;
use super::terminal::{Progress, Stream};
use super::translation::{self, Found};
use super::{BuildArguments, CannotRun, CheckFormat, Verdict, demos, parallel, with};
use crate::compile::{self, Compiled};
use crate::diagnostics::render::counted;
use crate::diagnostics::visible;
use crate::emit::Extras;
use crate::labels::Language;
use crate::tailor::Wish;
use one::{Asked, One};
use since::Before;

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
    let threads = parallel::threads(arguments.jobs);
    let mut report = Report::new(CheckFormat::Human, errors.style());
    let language = arguments.language.as_deref().map(translation::language).transpose()?;
    let asked = Asked::new(arguments, language, &wishes, &jobs);
    let all = if jobs.is_empty() {
        compile_demos(&asked, threads, &mut report, &mut errors)?
    } else {
        compile_all(&jobs, &asked, &out, threads, &mut report, &mut errors)?
    };
    if report.any() {
        errors.say(&report.closing(all.len()));
        errors.say(&report.left_off);
    }
    let verdict = report.verdict(deny);
    if verdict != Verdict::Clean {
        errors.say("Nothing was written.\n");
        errors.finish()?;
        return Ok(verdict);
    }
    if all.is_empty() {
        return Err(CannotRun("there is no procedure to build among these files, only libraries".to_owned()));
    }
    let (mut all, left_out) = with::concerned(all, |one| one.compiled.as_ref(), &wishes)?;
    left_out.iter().for_each(|line| errors.say(&format!("{}\n", visible(line))));
    if let Some(language) = language
        && !translate_all(&mut all, language, arguments, &mut errors)?
    {
        errors.say("Nothing was written.\n");
        errors.finish()?;
        return Ok(Verdict::Findings);
    }
    errors.finish()?;
    let before = arguments.since.as_deref().map(|old| Before::find(old, arguments, all.len())).transpose()?;
    let built = emit_all(all, &wishes, &asked, before.as_ref(), threads)?;
    one::refuse_twins(&built)?;
    let needs = match &arguments.depfile {
        Some(file) => {
            let project = project.as_ref().map(|project| project.file.as_path());
            let text = depfile::text(&out, &built, project)?;
            depfile::refuse_harm(file, &out, &built)?;
            Some((file, text))
        }
        None => None,
    };
    let first = built.first().map(|built| out.join(built.name()).join(FIRST_TO_OPEN));
    let inputs: Vec<PathBuf> = built.iter().flat_map(|built| built.inputs.iter().cloned()).collect();
    let mut set = Set { inputs, ..Set::default() };
    built.into_iter().for_each(|built| built.put(&mut set));
    let kept = publish::publish(&out, &set)?;
    if let Some((file, text)) = needs {
        super::one_file::write(file, text.as_bytes(), &[])?;
    }
    let mut errors = Stream::errors();
    kept.iter().for_each(|line| errors.say(&format!("{}\n", visible(line))));
    errors.finish()?;
    let mut output = Stream::output();
    output.say(&told(&out, &set, first.as_deref()));
    output.finish()?;
    Ok(Verdict::Clean)
}

/// Has all procedures in a language; `false` where something is wrong with a translation.
fn translate_all(
    all: &mut [One],
    language: &'static Language,
    arguments: &BuildArguments,
    errors: &mut Stream<std::io::Stderr>,
) -> Result<bool, CannotRun> {
    if arguments.since.is_some() {
        return Err(CannotRun("--since goes with the language of the source; leave --language away".to_owned()));
    }
    if arguments.words.is_some() && all.len() > 1 {
        return Err(CannotRun("--words is the translation of one procedure; name one".to_owned()));
    }
    let named = arguments.words.as_deref().map(Found::at).transpose()?;
    let mut clean = true;
    for one in all {
        match one.translate(language, named.as_ref())? {
            Ok(lacks) => errors.say(&lacks),
            Err(faults) => {
                errors.say(&faults);
                clean = false;
            }
        }
    }
    Ok(clean)
}

/// Compiles the procedures that come with the program.
fn compile_demos(
    asked: &Asked,
    threads: usize,
    report: &mut Report,
    errors: &mut Stream<std::io::Stderr>,
) -> Result<Vec<One>, CannotRun> {
    let project = demos::project();
    let paths: Vec<&str> = demos::paths().collect();
    let mut all = Vec::new();
    let check = |at: usize| paths.get(at).map(|path| compile::check(path, &project));
    parallel::in_order(paths.len(), threads, check, |at, compiled| {
        if let Some(compiled) = compiled {
            errors.say(&report.add(&compiled, None));
            let beside = |(language, path): (&Language, &&str)| Found::beside(path, "", language, &project);
            let words = asked.language.zip(paths.get(at)).map(beside);
            all.push(One::of_the_program(compiled, words));
        }
        Ok(())
    })?;
    Ok(all)
}

/// Compiles the procedures among the jobs, but for those that are as they were built and had nothing to say.
fn compile_all(
    jobs: &[Job],
    asked: &Asked,
    out: &Path,
    threads: usize,
    report: &mut Report,
    errors: &mut Stream<std::io::Stderr>,
) -> Result<Vec<One>, CannotRun> {
    let progress = Progress::over(jobs.len());
    let next = |at: usize| jobs.get(at).inspect(|job| progress.at(at + 1, &job.path));
    let files = Files::default();
    let mut all = Vec::new();
    next(0);
    parallel::in_order(
        jobs.len(),
        threads,
        |at| jobs.get(at).map(|job| One::look(job, &files, asked, out)),
        |at, one| {
            progress.clear();
            let (Some(job), Some(one)) = (jobs.get(at), one) else { return Ok(()) };
            if let Some(compiled) = &one.compiled {
                if compiled.is_library() {
                    if job.named {
                        let name = format!("{}{}", job.prefix, job.path);
                        return Err(CannotRun(format!("{name} is a library; build the procedures that use it")));
                    }
                    next(at + 1);
                    return Ok(());
                }
                errors.say(&report.add(compiled, Some(job)));
            }
            all.push(one);
            next(at + 1);
            Ok(())
        },
    )?;
    progress.clear();
    Ok(all)
}

/// What was built of one procedure, or stands there already.
struct Built {
    /// What is to be written; `None` where it stands there.
    folder: Option<Folder>,
    /// Where it came from, with the name of its record; `None` for the procedures of the program.
    made: Option<(String, Made)>,
    /// The procedure's file, as the user reaches it; empty for those of the program.
    file: String,
    /// The files that were read.
    inputs: Vec<PathBuf>,
    /// The same, as the user reaches them; `None` for one whose path is not Unicode.
    needs: Vec<Option<String>>,
}

impl Built {
    /// The name of its folder.
    fn name(&self) -> &str {
        let made = self.made.as_ref().map(|(_, made)| made.folder.as_str());
        self.folder.as_ref().map(|folder| folder.name.as_str()).or(made).unwrap_or_default()
    }

    /// The paths of its files, in the folder.
    fn outputs(&self) -> Vec<&str> {
        match (&self.folder, &self.made) {
            (Some(folder), _) => folder.files.keys().map(String::as_str).collect(),
            (None, Some((_, made))) => made.outputs.keys().map(String::as_str).collect(),
            (None, None) => Vec::new(),
        }
    }

    fn put(self, set: &mut Set) {
        match (self.folder, self.made) {
            (Some(folder), made) => {
                set.folders.push(folder);
                set.made.extend(made);
            }
            (None, made) => set.unchanged.extend(made.map(|(_, made)| made)),
        }
    }
}

/// Makes the folders of all procedures that are not there yet.
fn emit_all(
    all: Vec<One>,
    wishes: &[Wish],
    asked: &Asked,
    before: Option<&Before>,
    threads: usize,
) -> Result<Vec<Built>, CannotRun> {
    // Each is taken out by who works on it, so that its memory is free as soon as its folder is made.
    let waiting: Vec<Mutex<Option<One>>> = all.into_iter().map(|one| Mutex::new(Some(one))).collect();
    let work = |at: usize| {
        let one = waiting.get(at)?.lock().unwrap_or_else(PoisonError::into_inner).take()?;
        one.build(|compiled| folder(compiled, wishes, asked.extras, before))
    };
    let mut built = Vec::new();
    parallel::in_order(waiting.len(), threads, work, |_, one| {
        built.extend(one.transpose()?);
        Ok(())
    })?;
    Ok(built)
}

/// What the folder of a procedure shall hold, for all fittings or for those that the wishes ask for; then its name says which, so
/// that several stand side by side. `None` where it has errors.
fn folder(
    compiled: &Compiled,
    wishes: &[Wish],
    extras: Extras,
    before: Option<&Before>,
) -> Option<Result<Folder, CannotRun>> {
    let since = before.map(Before::parts);
    let (name, outputs) = if wishes.is_empty() {
        let outputs = match since {
            Some((old, changes)) => compile::build_since(compiled, extras, old, changes)?,
            None => compile::build_with(compiled, extras)?,
        };
        (compiled.clean()?.name.id.clone(), outputs)
    } else {
        match compile::build_tailored_since(compiled, wishes, extras, since)? {
            Ok(build) => (with::folder_name(&build.procedure), build.outputs),
            Err(refusal) => return Some(Err(CannotRun(refusal.words(compiled.sources())))),
        }
    };
    // Each language has a folder of its own, beside that of the source.
    let name = match compiled.other_language() {
        Some(tag) => format!("{name}.{tag}"),
        None => name,
    };
    Some(match outputs {
        Ok(outputs) => Ok(Folder { name, files: outputs.files.into_iter().collect() }),
        Err(fault) => Err(CannotRun(format!("nothing was written for {name}, and nothing else: {fault}"))),
    })
}

/// What was written, what stood there already, and where to look.
fn told(out: &Path, set: &Set, first: Option<&Path>) -> String {
    let (written, unchanged) = (set.folders.len(), set.unchanged.len());
    let shown = out.display();
    let mut text = match (written, unchanged) {
        (0, 1) => format!("1 procedure, unchanged; nothing was written to {shown}.\n"),
        (0, _) => format!("{unchanged} procedures, all unchanged; nothing was written to {shown}.\n"),
        (_, 0) => format!("Wrote {} to {shown}:\n", counted(written, "procedure")),
        _ => {
            let all = counted(written + unchanged, "procedure");
            format!("{all}, {unchanged} unchanged; wrote {written} to {shown}:\n")
        }
    };
    let widest = set.folders.iter().map(|folder| folder.name.len()).max().unwrap_or(0);
    for folder in &set.folders {
        let files: Vec<&str> = folder.files.keys().map(String::as_str).collect();
        text.push_str(&format!("  {:<widest$}  {}\n", folder.name, files.join(", ")));
    }
    if let Some(manual) = first {
        text.push_str(&format!("\nOpen {} in a browser, and print it from there.\n", manual.display()));
    }
    text.lines().map(|line| visible(line) + "\n").collect()
}
