//! `build --since`: the older edition that a manual is held against.

use std::path::PathBuf;

use crate::cli::edition::Edition;
use crate::cli::{BuildArguments, CannotRun, project};
use crate::compare::{CannotCompare, Comparison, compare};
use crate::compile::{self, Compiled};

/// What `--since` asks for.
pub struct Since {
    /// The older edition, as the user names it.
    old: String,
    /// The file of the procedure.
    new: PathBuf,
    project: Option<PathBuf>,
}

impl Since {
    /// What the call asks for, if it does.
    ///
    /// # Errors
    /// Where more than one procedure is to be built, or in another language than that of the source.
    pub fn asked(arguments: &BuildArguments) -> Result<Option<Since>, CannotRun> {
        let Some(old) = arguments.since.clone() else { return Ok(None) };
        let [new] = &arguments.paths[..] else { return Err(for_one()) };
        if new.is_dir() {
            return Err(for_one());
        }
        if arguments.language.is_some() {
            let why = "--since goes with the language of the source; leave --language away";
            return Err(CannotRun(why.to_owned()));
        }
        Ok(Some(Since { old, new: new.clone(), project: arguments.project.clone() }))
    }
}

/// The older edition whose differences are marked.
pub struct Before {
    compiled: Compiled,
    changes: Comparison,
}

impl Before {
    /// The edition that `--since` names, and what changed from it to the one procedure that is built.
    ///
    /// # Errors
    /// Where the older edition can't be read or has errors.
    pub fn find(asked: &Since) -> Result<Before, CannotRun> {
        let project = project::folder(asked.project.as_deref());
        let (old, new) = (Edition::find(&asked.old, project)?, Edition::find(&asked.new.to_string_lossy(), project)?);
        let changes = compare((&old.path, &old), (&new.path, &new)).map_err(|CannotCompare(why)| CannotRun(why))?;
        let compiled = compile::check(&old.path, &old);
        if !compiled.procedure().is_some_and(|procedure| procedure.complete) {
            let name = &old.path;
            return Err(CannotRun(format!("the older edition, {name}, has errors; check it to see them")));
        }
        Ok(Before { compiled, changes })
    }

    /// Its procedure, and what changed since.
    pub fn parts(&self) -> (&Compiled, &Comparison) {
        (&self.compiled, &self.changes)
    }
}

fn for_one() -> CannotRun {
    CannotRun("--since is for one procedure; name its file".to_owned())
}
