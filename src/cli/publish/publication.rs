//! A build on its way to the disk: procedure by procedure, and all of it or nothing.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::path::{Path, PathBuf};

use super::made::Made;
use super::stage::Stage;
use super::{Folder, place};
use crate::cli::CannotRun;

/// So many bytes wait in memory at most. A build that comes to less touches the disk when all of it is there, and not at all
/// where something is wrong.
const MOST_WAITING: usize = 8 * 1024 * 1024;

/// What a build has come to so far. Where it is let go, nothing was built.
pub struct Publication {
    out: PathBuf,
    most_waiting: usize,
    /// Folders that are not written yet, and their bytes.
    waiting: Vec<Folder>,
    bytes: usize,
    /// `None` as long as nothing had to be written.
    stage: Option<Stage>,
    /// Names of folders in small letters, each with the file that it comes from: a case-blind disk takes two for one.
    names: BTreeMap<String, String>,
    /// Where what is written came from: records by their keys.
    made: Vec<(String, Made)>,
    /// What stands there already, as it would be written.
    unchanged: Vec<Made>,
}

impl Publication {
    pub fn new(out: &Path) -> Publication {
        Publication::with_waiting(out, MOST_WAITING)
    }

    pub(super) fn with_waiting(out: &Path, most_waiting: usize) -> Publication {
        Publication {
            out: out.to_path_buf(),
            most_waiting,
            waiting: Vec::new(),
            bytes: 0,
            stage: None,
            names: BTreeMap::new(),
            made: Vec::new(),
            unchanged: Vec::new(),
        }
    }

    /// Takes one folder, of a procedure that stands in `file` and was made from `inputs`.
    ///
    /// # Errors
    /// Where the output folder must not be written to, where another procedure has the same name, where something of somebody
    /// else is in the way, or the system refuses.
    pub fn add(
        &mut self,
        folder: Folder,
        made: Option<(String, Made)>,
        file: &str,
        inputs: &[PathBuf],
    ) -> Result<(), CannotRun> {
        place::refuse_harm(&self.out, inputs)?;
        self.refuse_twin(&folder.name, file)?;
        self.made.extend(made);
        self.bytes = folder.files.values().fold(self.bytes, |sum, bytes| sum.saturating_add(bytes.len()));
        self.waiting.push(folder);
        if self.bytes > self.most_waiting { self.write() } else { Ok(()) }
    }

    /// Takes note of a folder that stands there already, as it would be written.
    ///
    /// # Errors
    /// As [`Publication::add`].
    pub fn stands(&mut self, made: Made, file: &str, inputs: &[PathBuf]) -> Result<(), CannotRun> {
        place::refuse_harm(&self.out, inputs)?;
        self.refuse_twin(&made.folder, file)?;
        self.unchanged.push(made);
        Ok(())
    }

    fn refuse_twin(&mut self, name: &str, file: &str) -> Result<(), CannotRun> {
        match self.names.entry(name.to_lowercase()) {
            Entry::Vacant(free) => {
                free.insert(file.to_owned());
                Ok(())
            }
            Entry::Occupied(other) => Err(CannotRun(format!(
                "{} and {file} are both called {name}; each needs a name of its own, because its folder bears it",
                other.get()
            ))),
        }
    }

    /// Writes what waits to the stage.
    fn write(&mut self) -> Result<(), CannotRun> {
        let stage = match &mut self.stage {
            Some(stage) => stage,
            none => none.insert(Stage::open(&self.out)?),
        };
        for folder in self.waiting.drain(..) {
            stage.write(&folder)?;
        }
        self.bytes = 0;
        Ok(())
    }

    /// Puts all in its place. Gives what the user should be told of files of his own that got another name.
    ///
    /// # Errors
    /// As [`Publication::add`], and where somebody has changed what was to stay. No file of an earlier build is then lost.
    pub fn publish(mut self) -> Result<Vec<String>, CannotRun> {
        self.write()?;
        // Once more, now that no other build writes.
        if let Some(changed) = self.unchanged.iter().find(|made| !made.stands(&self.out)) {
            let place = self.out.join(&changed.folder);
            return Err(CannotRun(format!("{} was changed while this build ran; build again", place.display())));
        }
        let Publication { stage, made, .. } = self;
        stage.map_or(Ok(Vec::new()), |stage| stage.publish(&made))
    }
}
