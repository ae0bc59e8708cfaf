//! `build --since`: the older edition that a manual is held against.

use crate::cli::edition::Edition;
use crate::cli::{BuildArguments, CannotRun, project};
use crate::compare::{CannotCompare, Comparison, compare};
use crate::compile::{self, Compiled};

/// The older edition whose differences are marked.
pub struct Before {
    compiled: Compiled,
    changes: Comparison,
}

impl Before {
    /// The edition that `--since` names, and what changed from it to the one procedure that is built.
    ///
    /// # Errors
    /// Where more than one procedure is built, and where the older edition can't be read or has errors.
    pub fn find(old: &str, arguments: &BuildArguments, procedures: usize) -> Result<Before, CannotRun> {
        let project = project::folder(arguments.project.as_deref());
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

    /// Its procedure, and what changed since.
    pub fn parts(&self) -> (&Compiled, &Comparison) {
        (&self.compiled, &self.changes)
    }
}

fn for_one() -> CannotRun {
    CannotRun("--since is for one procedure; name its file".to_owned())
}
