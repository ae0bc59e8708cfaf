//! What comes of one procedure of a build.

use std::path::PathBuf;

use crate::cli::CannotRun;
use crate::cli::publish::{Folder, Made};
use crate::compile::Compiled;

/// What comes of one procedure.
pub struct Come {
    /// To tell its findings from; `None` where it stands there, and nothing was found then.
    pub compiled: Option<Compiled>,
    /// What its translation lacks, in words.
    pub lacks: String,
    pub outcome: Outcome,
}

impl Come {
    pub fn is_library(&self) -> bool {
        self.compiled.as_ref().is_some_and(Compiled::is_library)
    }
}

/// What came of it.
pub enum Outcome {
    Built {
        built: Built,
        folder: Folder,
        made: Option<(String, Made)>,
    },
    /// It stands there as it would be written.
    Stands {
        built: Built,
        made: Made,
    },
    /// It does not know a name that is wished for: what is said where others do, and what it says itself.
    LeftOut {
        line: String,
        refusal: Option<CannotRun>,
    },
    /// Its translation has faults: these, in words.
    Untranslatable(String),
    Fault(CannotRun),
    /// It has errors, is a library, or no folder is wanted any more.
    Nothing,
}

/// What was built of one procedure, or stands there already.
pub struct Built {
    /// The name of its folder.
    pub name: String,
    /// The paths of its files, in the folder.
    pub outputs: Vec<String>,
    /// Whether it is written, rather than that it stands there.
    pub is_new: bool,
    /// The procedure's file, as the user reaches it; empty for those of the program.
    pub file: String,
    /// The files that were read.
    pub inputs: Vec<PathBuf>,
    /// The same, as the user reaches them; `None` for one whose path is not Unicode.
    pub needs: Vec<Option<String>>,
}
