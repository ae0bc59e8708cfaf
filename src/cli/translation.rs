//! `words`: the texts of a procedure as a PO file; and the PO file that a build takes them from.

use std::path::{Path, PathBuf};

use super::check::Report;
use super::files::{self, Job};
use super::project;
use super::terminal::Stream;
use super::{CannotRun, CheckFormat, Verdict, one_file};
use crate::compile::{self, CannotTranslate, Compiled, Words};
use crate::diagnostics::render::counted;
use crate::diagnostics::visible;
use crate::labels::{self, Language};
use crate::po;
use crate::translate::Lacks;
use crate::world::{ReadFault, World};
use crate::xliff;

pub const HELP: &str = "\
Numbers with their units and mentions stand in braces; a translation can move them, and neither change nor lose them.
A file that is there keeps its translations: those whose text has changed are marked fuzzy, those whose text is gone
stay at its end.

Examples:
  fitwright words procedures/kestrel-rack.fitw --to de
  fitwright build --language de procedures/kestrel-rack.fitw

Exit codes:
  0  written
  1  the procedure has errors, or the file that is there cannot be read: nothing was written
  2  it could not run: a wrong option, a file that cannot be opened or written";

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Language to translate to: de, es, fr
    #[arg(long, value_name = "TAG")]
    to: String,
    /// Format of the file: gettext PO, or XLIFF 2.1
    #[arg(long, value_enum, default_value_t = Form::Po)]
    format: Form,
    /// File to write, or to bring up to date [default: beside the procedure, NAME.TAG.po or NAME.TAG.xlf]
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Folder that libraries are looked up from, or a project file [default: the folder of the procedure]
    #[arg(long, value_name = "DIR or FILE")]
    project: Option<PathBuf>,
    /// The procedure
    #[arg(value_name = "PROCEDURE")]
    path: PathBuf,
}

/// The format of a file with translations.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Form {
    Po,
    Xliff,
}

impl Form {
    fn ending(self) -> &'static str {
        match self {
            Form::Po => "po",
            Form::Xliff => "xlf",
        }
    }
}

/// What stands in a file, in whichever of the two formats.
fn texts(bytes: &[u8]) -> Result<po::File, Vec<po::Fault>> {
    if xliff::is_one(bytes) { xliff::read(bytes) } else { po::read(bytes) }
}

/// The language of a tag.
///
/// # Errors
/// Where there are no words of ours in it.
pub fn language(tag: &str) -> Result<&'static Language, CannotRun> {
    labels::language_of(tag).ok_or_else(|| {
        let known: Vec<&str> = labels::tags().collect();
        CannotRun(format!("there are no labels in `{tag}`; known are en, {}", known.join(", ")))
    })
}

/// The path of the file beside a procedure: `kestrel-rack.de.po`.
fn beside(procedure: &str, language: &Language, form: Form) -> String {
    let stem = procedure.strip_suffix(&format!(".{}", files::ENDING)).unwrap_or(procedure);
    format!("{stem}.{}.{}", language.tag, form.ending())
}

pub fn run(arguments: &Arguments) -> Result<Verdict, CannotRun> {
    let language = language(&arguments.to)?;
    let job = files::one(&arguments.path, project::folder(arguments.project.as_deref()))?;
    let compiled = compile::check(&job.path, &job.project);
    if compiled.is_library() {
        return Err(CannotRun(
            "this is a library; its texts are translated with the procedures that use it".to_owned(),
        ));
    }
    let name = beside(&job.path, language, arguments.format);
    let (path, mut shown) = match &arguments.out {
        Some(out) => (out.clone(), out.display().to_string()),
        None => (job.project.root().join(&name), format!("{}{name}", job.prefix)),
    };
    let written = shown.clone();
    let mut errors = Stream::errors();
    let mut found = old(&path)?;
    if found.is_none() {
        // A translation that stands there in the other format goes over into this one.
        let form = if arguments.format == Form::Po { Form::Xliff } else { Form::Po };
        let name = beside(&job.path, language, form);
        found = old(&job.project.root().join(&name))?;
        if found.is_some() {
            shown = format!("{}{name}", job.prefix);
        }
    }
    let old = match found {
        Some(bytes) => match texts(&bytes) {
            Ok(file) => Some(file),
            Err(faults) => {
                errors.say(&told(&shown, &faults));
                errors.say("Nothing was written.\n");
                errors.finish()?;
                return Ok(Verdict::Findings);
            }
        },
        None => None,
    };
    let Some(merged) = compiled.words(language, old.as_ref()) else {
        return refused(&compiled, &job, errors);
    };
    let text = match arguments.format {
        Form::Po => po::write(&merged.file),
        Form::Xliff => {
            let procedure = compiled.procedure();
            let id = procedure.map_or("", |procedure| procedure.name.id.as_str());
            let from = procedure.and_then(|procedure| procedure.language.as_ref()).map_or("en", |own| own.tag.as_str());
            xliff::write(&merged.file, id, (from, language.tag))
        }
    };
    one_file::write(&path, text.as_bytes(), &[&arguments.path])?;
    let mut output = Stream::output();
    let left = merged.all - merged.done - merged.outdated;
    output.say(&format!(
        "Wrote {}: {}, {} translated, {left} to translate, {} changed since.\n",
        visible(&written),
        counted(merged.all, "text"),
        merged.done,
        merged.outdated
    ));
    if merged.kept > 0 {
        output.say(&format!("{} of texts that are gone stay at its end.\n", counted(merged.kept, "translation")));
    }
    output.finish()?;
    Ok(Verdict::Clean)
}

/// What stands at the path.
fn old(path: &Path) -> Result<Option<Vec<u8>>, CannotRun> {
    match read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(CannotRun::reading(path, &error)),
    }
}

/// A file, up to what the reader of PO files refuses as too large.
fn read(path: &Path) -> std::io::Result<Vec<u8>> {
    use std::io::Read;
    let mut bytes = Vec::new();
    std::fs::File::open(path)?.take(po::MOST_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn refused(compiled: &Compiled, job: &Job, mut errors: Stream<std::io::Stderr>) -> Result<Verdict, CannotRun> {
    let mut report = Report::new(CheckFormat::Human, errors.style());
    errors.say(&report.add(compiled, Some(job)));
    errors.say(&report.closing(1));
    errors.say("Nothing was written.\n");
    errors.finish()?;
    Ok(report.verdict(None).max(Verdict::Findings))
}

/// Faults of a file with translations, a line each, as compilers tell them.
fn told(file: &str, faults: &[po::Fault]) -> String {
    faults.iter().map(|fault| visible(&format!("{file}:{}: {}", fault.line, fault.what)) + "\n").collect()
}

/// A translation as a build found it: the name of its file as the user reaches it, and what stands there.
#[derive(Debug)]
pub struct Found {
    pub name: String,
    pub content: Result<Vec<u8>, ReadFault>,
}

impl Found {
    /// Beside a procedure of a project.
    pub fn beside(procedure: &str, prefix: &str, language: &Language, world: &dyn World) -> Found {
        let path = beside(procedure, language, Form::Po);
        let found = Found { content: world.read(&path), name: format!("{prefix}{path}") };
        if !matches!(found.content, Err(ReadFault::Missing)) {
            return found;
        }
        let path = beside(procedure, language, Form::Xliff);
        match world.read(&path) {
            Err(ReadFault::Missing) => found,
            content => Found { content, name: format!("{prefix}{path}") },
        }
    }

    /// Where the user says.
    ///
    /// # Errors
    /// Where it can't be read.
    pub fn at(path: &Path) -> Result<Found, CannotRun> {
        let bytes = read(path).map_err(|error| CannotRun::reading(path, &error))?;
        Ok(Found { name: path.display().to_string(), content: Ok(bytes) })
    }
}

/// Has a procedure in a language from here on. Gives what it lacks, in words; or, as the error of the inner result, what is wrong with
/// its translation.
///
/// # Errors
/// Where there is no translation.
pub fn translate(
    compiled: &mut Compiled,
    language: &'static Language,
    found: &Found,
) -> Result<Result<String, String>, CannotRun> {
    let read = match &found.content {
        Ok(bytes) => match texts(bytes) {
            Ok(texts) => Some((texts, bytes)),
            Err(faults) => return Ok(Err(told(&found.name, &faults))),
        },
        Err(ReadFault::Missing) => None,
        Err(fault) => return Err(CannotRun(format!("{}: {fault}", found.name))),
    };
    let id = compiled.procedure().map(|procedure| procedure.name.id.clone()).unwrap_or_default();
    let words = read.as_ref().map(|(texts, bytes)| Words { texts, bytes });
    match compiled.translate(language, words) {
        Ok(lacks) => Ok(Ok(lacking(&id, &found.name, language, &lacks))),
        Err(CannotTranslate::Faults(faults)) => Ok(Err(told(&found.name, &faults))),
        Err(CannotTranslate::NotClean) => Ok(Ok(String::new())),
        Err(CannotTranslate::NoWords) => Err(CannotRun(format!(
            "{} is not there, and {id} has no other translation; `fitwright words` writes one to be filled",
            found.name
        ))),
    }
}

fn lacking(id: &str, file: &str, language: &Language, lacks: &Lacks) -> String {
    let left = lacks.missing.len() + lacks.outdated.len();
    if left == 0 {
        return String::new();
    }
    let first: Vec<&str> = lacks.missing.iter().chain(&lacks.outdated).take(3).map(String::as_str).collect();
    let more = if left > first.len() { ", …" } else { "" };
    visible(&format!(
        "{id}: {left} of {} texts stand in the language of the source, with a mark, because {file} has no {} of the text as it is: {}{more}",
        lacks.all,
        language.name,
        first.join(", ")
    )) + "\n"
}
