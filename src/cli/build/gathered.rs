//! What comes of the procedures of a build, in their order.
//!
//! As soon as a folder is made its procedure goes out of memory; so a build of thousands needs no more of it than one of some.
//! What is wrong with any of them is told of all of them, and then nothing is written.

use std::io::Stderr;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::one::Asked;
use super::outcome::{Built, Come, Outcome};
use crate::cli::check::Report;
use crate::cli::files::Job;
use crate::cli::publish::Publication;
use crate::cli::terminal::Stream;
use crate::cli::{CannotRun, CheckFormat, Deny, Verdict, with};
use crate::diagnostics::visible;

/// What has come so far.
pub struct Gathered {
    deny: Option<Deny>,
    report: Report,
    errors: Stream<Stderr>,
    publication: Publication,
    /// Whether any folder is still wanted.
    going: Arc<AtomicBool>,
    all: Vec<Built>,
    /// How many procedures came.
    procedures: usize,
    /// What to say of those that do not know a name that is wished for.
    left_out: Vec<String>,
    /// What the last of those says itself.
    refusal: Option<CannotRun>,
    /// What translations lack, and what is wrong with them.
    translated: String,
    is_translatable: bool,
    /// Why nothing can be written, where it is not for what was found: the first reason.
    fault: Option<CannotRun>,
}

impl Gathered {
    pub fn new(out: &Path, deny: Option<Deny>, errors: Stream<Stderr>) -> Gathered {
        Gathered {
            deny,
            report: Report::new(CheckFormat::Human, errors.style()),
            errors,
            publication: Publication::new(out),
            going: Arc::new(AtomicBool::new(true)),
            all: Vec::new(),
            procedures: 0,
            left_out: Vec::new(),
            refusal: None,
            translated: String::new(),
            is_translatable: true,
            fault: None,
        }
    }

    /// Whether any folder is still wanted, for those who make them.
    pub fn going(&self) -> Arc<AtomicBool> {
        Arc::clone(&self.going)
    }

    /// Takes what came of the next procedure.
    pub fn add(&mut self, come: Come, job: Option<&Job>) {
        self.procedures += 1;
        if let Some(compiled) = &come.compiled {
            self.errors.say(&self.report.add(compiled, job));
        }
        self.translated.push_str(&come.lacks);
        let put = match come.outcome {
            Outcome::Built { built, folder, made } => {
                self.publication.add(folder, made, &built.file, &built.inputs).map(|()| self.all.push(built))
            }
            Outcome::Stands { built, made } => {
                self.publication.stands(made, &built.file, &built.inputs).map(|()| self.all.push(built))
            }
            Outcome::LeftOut { line, refusal } => {
                self.left_out.push(line);
                self.refusal = refusal;
                Ok(())
            }
            Outcome::Untranslatable(faults) => {
                self.translated.push_str(&faults);
                self.is_translatable = false;
                Ok(())
            }
            Outcome::Fault(why) => Err(why),
            Outcome::Nothing => Ok(()),
        };
        if let Err(why) = put {
            self.fault.get_or_insert(why);
        }
        let is_well = self.fault.is_none() && self.is_translatable && self.report.verdict(self.deny) == Verdict::Clean;
        self.going.store(is_well, Ordering::Relaxed);
    }

    /// All of it, where nothing is wrong; else, as the error of the inner result, how the build ends, told already.
    ///
    /// # Errors
    /// Where there is nothing to build, or something stands against it.
    pub fn whole(mut self, asked: &Asked) -> Result<Result<(Vec<Built>, Publication), Verdict>, CannotRun> {
        if self.report.any() {
            self.errors.say(&self.report.closing(self.procedures));
            self.errors.say(&self.report.left_off);
        }
        let verdict = self.report.verdict(self.deny);
        if verdict != Verdict::Clean {
            return self.nothing(verdict);
        }
        if self.procedures == 0 {
            return Err(CannotRun("there is no procedure to build among these files, only libraries".to_owned()));
        }
        if self.left_out.len() == self.procedures {
            let alone = self.refusal.take().filter(|_| self.procedures == 1);
            return Err(alone.unwrap_or_else(|| with::none_knows(&asked.wishes)));
        }
        self.left_out.iter().for_each(|line| self.errors.say(&format!("{}\n", visible(line))));
        if asked.words.is_some() && self.procedures - self.left_out.len() > 1 {
            return Err(CannotRun("--words is the translation of one procedure; name one".to_owned()));
        }
        self.errors.say(&self.translated);
        if !self.is_translatable {
            return self.nothing(Verdict::Findings);
        }
        self.errors.finish()?;
        match self.fault {
            Some(why) => Err(why),
            None => Ok(Ok((self.all, self.publication))),
        }
    }

    fn nothing<T>(mut self, verdict: Verdict) -> Result<Result<T, Verdict>, CannotRun> {
        self.errors.say("Nothing was written.\n");
        self.errors.finish()?;
        Ok(Err(verdict))
    }
}
