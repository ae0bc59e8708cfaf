//! One procedure of a build: compiled, or known to be as it was built.

use std::collections::BTreeMap;
use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use super::Built;
use crate::canonical::sha256;
use crate::cli::files::Job;
use crate::cli::publish::{Folder, Made, key};
use crate::cli::reading::{Files, Reading};
use crate::cli::translation::{self, Found};
use crate::cli::{BuildArguments, CannotRun};
use crate::compile::{self, Compiled};
use crate::emit::Extras;
use crate::labels::Language;
use crate::tailor::Wish;

/// What a call asks of each procedure.
pub struct Asked {
    pub extras: Extras,
    /// The language of the outputs, where it is asked for.
    pub language: Option<&'static Language>,
    /// Whether the translation is one that was named, rather than that beside the procedure.
    named_words: bool,
    /// The same in words, with what it is tailored to: part of the record of what was built.
    options: Vec<String>,
    /// The digest of this program; `None` where it can't be known, and then nothing counts as unchanged.
    program: Option<String>,
    /// Whether all is built, whatever stands there.
    again: bool,
}

impl Asked {
    pub fn new(
        arguments: &BuildArguments,
        language: Option<&'static Language>,
        wishes: &[Wish],
        jobs: &[Job],
    ) -> Asked {
        let extras = Extras { annex: arguments.annex };
        let annex = extras.annex.then(|| "annex".to_owned());
        let since = arguments.since.is_some().then(|| "since".to_owned());
        let spoken = language.map(|language| format!("language {}", language.tag));
        let options = annex.into_iter().chain(since).chain(spoken).chain(wishes.iter().map(Wish::shown)).collect();
        // The version alone would not tell two programs apart that somebody is working on.
        let program =
            if jobs.is_empty() { None } else { env::current_exe().and_then(fs::read).ok().map(|bytes| sha256(&bytes)) };
        // Which of several procedures know the names that are wished for is asked of all of them.
        // What the older edition was read from is no part of the record.
        // What a translation lacks is told each time.
        let again = arguments.again
            || arguments.since.is_some()
            || language.is_some()
            || (!wishes.is_empty() && jobs.len() > 1);
        Asked { extras, language, named_words: arguments.words.is_some(), options, program, again }
    }
}

/// One procedure.
pub struct One {
    /// `None` where it is as it was built, and nothing was found then.
    pub compiled: Option<Compiled>,
    /// The translation beside it, where a language is asked for and no other file is named.
    pub words: Option<Found>,
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
        let stands = asked.program.as_ref().filter(|_| !asked.again).and_then(|program| {
            let made = Made::find(out, &key, program, &job.path, &asked.options)?;
            let same = made.reads.iter().all(|(path, digest)| files.digest(&job.project, path) == *digest);
            (same && made.stands(out)).then_some(made)
        });
        let (compiled, words, reads) = match &stands {
            Some(made) if made.silent => (None, None, made.reads.clone()),
            _ => {
                let reading = Reading::new(files, &job.project);
                let compiled = compile::check(&job.path, &reading);
                let language = asked.language.filter(|_| !asked.named_words && !compiled.is_library());
                let words = language.map(|language| Found::beside(&job.path, &job.prefix, language, &reading));
                (Some(compiled), words, reading.asked())
            }
        };
        let made = asked.program.as_ref().map(|program| {
            let silent = compiled.as_ref().is_some_and(|one| one.findings().is_empty() && one.left_off().is_empty());
            (key, Made { reads: reads.clone(), silent, ..Made::new(program, &job.path, &asked.options) })
        });
        One {
            compiled,
            words,
            stands,
            made,
            file: format!("{}{}", job.prefix, job.path),
            inputs: reads.keys().map(|path| root.join(path)).filter(|path| is_there(path)).collect(),
            needs: reads.keys().filter(|path| is_there(&root.join(path))).map(|path| job.shown(path)).collect(),
        }
    }

    /// Has it in a language. Gives what its translation lacks; or, as the error of the inner result, what is wrong with it.
    ///
    /// # Errors
    /// Where there is no translation.
    pub fn translate(
        &mut self,
        language: &'static Language,
        named: Option<&Found>,
    ) -> Result<Result<String, String>, CannotRun> {
        match (&mut self.compiled, named.or(self.words.as_ref())) {
            (Some(compiled), Some(found)) => translation::translate(compiled, language, found),
            _ => Ok(Ok(String::new())),
        }
    }

    /// Makes its folder where it has to be made; `None` where it has errors.
    pub fn build(
        self,
        folder: impl Fn(&Compiled) -> Option<Result<Folder, CannotRun>>,
    ) -> Option<Result<Built, CannotRun>> {
        let One { compiled, words: _, stands, made, file, inputs, needs } = self;
        if let Some(stands) = stands {
            let made = made.map(|(key, _)| (key, stands));
            return Some(Ok(Built { folder: None, made, file, inputs, needs }));
        }
        Some(folder(&compiled?)?.map(|folder| {
            let made = made.map(|(key, made)| {
                let outputs: BTreeMap<String, String> =
                    folder.files.iter().map(|(name, bytes)| (name.clone(), sha256(bytes))).collect();
                (key, Made { folder: folder.name.clone(), outputs, ..made })
            });
            Built { folder: Some(folder), made, file, inputs, needs }
        }))
    }
}

/// Whether there is such a file; what was looked for in vain is no input.
fn is_there(path: &Path) -> bool {
    path.exists()
}

/// Two procedures whose folders a case-blind disk would take for one.
pub fn refuse_twins(all: &[Built]) -> Result<(), CannotRun> {
    let mut names: BTreeMap<String, &Built> = BTreeMap::new();
    for one in all {
        if let Some(other) = names.insert(one.name().to_lowercase(), one) {
            return Err(CannotRun(format!(
                "{} and {} are both called {}; each needs a name of its own, because its folder bears it",
                other.file,
                one.file,
                one.name()
            )));
        }
    }
    Ok(())
}
