//! One procedure of a build: compiled, or known to be as it was built.

use std::mem;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

use super::outcome::{Built, Come, Outcome};
use super::since::{Before, Since};
use crate::canonical::sha256;
use crate::cli::files::Job;
use crate::cli::publish::{Folder, Made, key};
use crate::cli::reading::{Files, Reading};
use crate::cli::translation::{self, Found};
use crate::cli::{BuildArguments, CannotRun, with};
use crate::compile::{self, Compiled};
use crate::emit::Extras;
use crate::labels::Language;
use crate::tailor::Wish;

/// What this program was made from: the version alone would not tell two programs apart that somebody is working on.
const PROGRAM: &str = env!("FITWRIGHT_MADE_FROM");

/// What a call asks of each procedure.
pub struct Asked {
    extras: Extras,
    /// The fittings to build for; all, where there are none.
    pub wishes: Vec<Wish>,
    /// The language of the outputs, where it is asked for.
    pub language: Option<&'static Language>,
    /// The translation, where one is named rather than that beside the procedure.
    pub words: Option<Found>,
    since: Option<Since>,
    /// The same in words, with what it is tailored to: part of the record of what was built.
    options: Vec<String>,
    /// Whether all is built, whatever stands there.
    again: bool,
}

impl Asked {
    /// # Errors
    /// Where the arguments do not go together, or a file that they name can't be read.
    pub fn new(arguments: &BuildArguments, wishes: Vec<Wish>, jobs: &[Job]) -> Result<Asked, CannotRun> {
        let language = arguments.language.as_deref().map(translation::language).transpose()?;
        let since = Since::asked(arguments)?;
        let words = arguments.words.as_deref().filter(|_| language.is_some()).map(Found::at).transpose()?;
        let extras = Extras { annex: arguments.annex };
        let annex = extras.annex.then(|| "annex".to_owned());
        let marked = since.is_some().then(|| "since".to_owned());
        let spoken = language.map(|language| format!("language {}", language.tag));
        let options = annex.into_iter().chain(marked).chain(spoken).chain(wishes.iter().map(Wish::shown)).collect();
        // Which of several procedures know the names that are wished for is asked of all of them.
        // What the older edition was read from is no part of the record.
        // What a translation lacks is told each time.
        let again = arguments.again || since.is_some() || language.is_some() || (!wishes.is_empty() && jobs.len() > 1);
        Ok(Asked { extras, wishes, language, words, since, options, again })
    }
}

/// One procedure.
pub struct One {
    /// `None` where it is as it was built, and nothing was found then.
    compiled: Option<Compiled>,
    /// The translation beside it, where a language is asked for and no other file is named.
    words: Option<Found>,
    /// The record of what stands there, where that is the same as it would be now.
    stands: Option<Made>,
    /// The record of what is built now, but for what comes out, and its name.
    made: Option<(String, Made)>,
    file: String,
    inputs: Vec<PathBuf>,
    needs: Vec<Option<String>>,
}

impl One {
    /// A procedure that comes with the program.
    pub fn of_the_program(compiled: Compiled, words: Option<Found>) -> One {
        let (file, inputs, needs) = (String::new(), Vec::new(), Vec::new());
        One { compiled: Some(compiled), words, stands: None, made: None, file, inputs, needs }
    }

    /// Looks whether it is as it was built. Where something was found then, it is compiled all the same, so that it is told again.
    pub fn look(job: &Job, files: &Files, asked: &Asked, out: &Path) -> One {
        let root = job.project.root();
        let key = key(out, &root.join(&job.path), &asked.options);
        let made = if asked.again { None } else { Made::find(out, &key, PROGRAM, &job.path, &asked.options) };
        let stands = made.filter(|made| {
            let same = made.reads.iter().all(|(path, digest)| files.digest(&job.project, path) == *digest);
            same && made.stands(out)
        });
        let (compiled, words, reads) = match &stands {
            Some(made) if made.silent => (None, None, made.reads.clone()),
            _ => {
                let reading = Reading::new(files, &job.project);
                let compiled = compile::check(&job.path, &reading);
                let language = asked.language.filter(|_| asked.words.is_none() && !compiled.is_library());
                let words = language.map(|language| Found::beside(&job.path, &job.prefix, language, &reading));
                let reads = reading.asked();
                // Others seldom read a procedure, and thousands of them are many bytes.
                files.forget(&job.project, &job.path);
                (Some(compiled), words, reads)
            }
        };
        let silent = compiled.as_ref().is_some_and(|one| one.findings().is_empty() && one.left_off().is_empty());
        let made = Made { reads: reads.clone(), silent, ..Made::new(PROGRAM, &job.path, &asked.options) };
        One {
            compiled,
            words,
            stands,
            made: Some((key, made)),
            file: format!("{}{}", job.prefix, job.path),
            inputs: reads.keys().map(|path| root.join(path)).filter(|path| is_there(path)).collect(),
            needs: reads.keys().filter(|path| is_there(&root.join(path))).map(|path| job.shown(path)).collect(),
        }
    }

    /// Makes its folder where it has to be made. `going` says whether any folder is still wanted.
    pub fn make(mut self, asked: &Asked, going: &AtomicBool) -> Come {
        let lacking = self.compiled.as_ref().and_then(|compiled| with::lacking(compiled, &asked.wishes));
        let (mut lacks, mut outcome) = (String::new(), Outcome::Nothing);
        if let Some(line) = lacking {
            outcome = Outcome::LeftOut { line, refusal: self.refusal(asked) };
        } else if going.load(Ordering::Relaxed) {
            match self.translate(asked) {
                Ok(Ok(told)) => {
                    lacks = told;
                    outcome = self.built(asked).map_or_else(Outcome::Fault, |built| built.unwrap_or(Outcome::Nothing));
                }
                Ok(Err(faults)) => outcome = Outcome::Untranslatable(faults),
                Err(fault) => outcome = Outcome::Fault(fault),
            }
        }
        Come { compiled: self.compiled, lacks, outcome }
    }

    /// Has it in the language that is asked for. Gives what its translation lacks; or, as the error of the inner result, what is
    /// wrong with it.
    fn translate(&mut self, asked: &Asked) -> Result<Result<String, String>, CannotRun> {
        match (&mut self.compiled, asked.language, asked.words.as_ref().or(self.words.as_ref())) {
            (Some(compiled), Some(language), Some(found)) => translation::translate(compiled, language, found),
            _ => Ok(Ok(String::new())),
        }
    }

    /// What it has to say itself to wishes that it does not know.
    fn refusal(&self, asked: &Asked) -> Option<CannotRun> {
        folder(self.compiled.as_ref()?, asked)?.err()
    }

    /// Its folder, or that which stands there; `None` where it has errors.
    fn built(&mut self, asked: &Asked) -> Result<Option<Outcome>, CannotRun> {
        let (file, inputs, needs) = (self.file.clone(), mem::take(&mut self.inputs), mem::take(&mut self.needs));
        let of = |name: &str, outputs: Vec<String>, is_new: bool| Built {
            name: name.to_owned(),
            outputs,
            is_new,
            file,
            inputs,
            needs,
        };
        if let Some(made) = self.stands.take() {
            let built = of(&made.folder, made.outputs.keys().cloned().collect(), false);
            return Ok(Some(Outcome::Stands { built, made }));
        }
        let Some(folder) = self.compiled.as_ref().and_then(|compiled| folder(compiled, asked)).transpose()? else {
            return Ok(None);
        };
        let made = self.made.take().map(|(key, made)| {
            let outputs = folder.files.iter().map(|(name, bytes)| (name.clone(), sha256(bytes))).collect();
            (key, Made { folder: folder.name.clone(), outputs, ..made })
        });
        let built = of(&folder.name, folder.files.keys().cloned().collect(), true);
        Ok(Some(Outcome::Built { built, folder, made }))
    }
}

/// What the folder of a procedure shall hold, for all fittings or for those that are asked for; then its name says which, so
/// that several stand side by side. `None` where it has errors.
fn folder(compiled: &Compiled, asked: &Asked) -> Option<Result<Folder, CannotRun>> {
    let id = compiled.clean()?.name.id.clone();
    let before = match asked.since.as_ref().map(Before::find).transpose() {
        Ok(before) => before,
        Err(why) => return Some(Err(why)),
    };
    let since = before.as_ref().map(Before::parts);
    let (name, outputs) = if asked.wishes.is_empty() {
        let outputs = match since {
            Some((old, changes)) => compile::build_since(compiled, asked.extras, old, changes)?,
            None => compile::build_with(compiled, asked.extras)?,
        };
        (id, outputs)
    } else {
        match compile::build_tailored_since(compiled, &asked.wishes, asked.extras, since)? {
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

/// Whether there is such a file; what was looked for in vain is no input.
fn is_there(path: &Path) -> bool {
    path.exists()
}
