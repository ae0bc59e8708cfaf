//! The stage: new folders, written whole beside those that stand.

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

use super::made::{self, Made};
use super::{Folder, MARK, STAGE, disk, leftovers, lock, place, swap};
use crate::cli::CannotRun;

/// An output folder that this build alone writes to, with what it has staged there. Where it is let go before its mark is set, nothing
/// was built.
pub struct Stage {
    out: PathBuf,
    /// Held as long as this is.
    _lock: File,
    /// The folders that are staged.
    names: Vec<String>,
    /// Whether what is staged is this build's to take away: from its first folder to the mark.
    is_ours: bool,
    /// Folders that this build made for the stage to stand in, the innermost first; none once the mark is set.
    made: Vec<PathBuf>,
    /// What the user should be told of what an earlier build has left.
    told: Vec<String>,
}

impl Stage {
    /// Waits for other builds, and tidies up after killed ones.
    pub fn open(out: &Path) -> Result<Stage, CannotRun> {
        let missing = out.ancestors().take_while(|folder| !folder.as_os_str().is_empty() && !folder.exists());
        let made = missing.map(Path::to_path_buf).collect();
        let lock = lock::take(out)?;
        let told = leftovers::tidy(out)?;
        Ok(Stage { out: out.to_path_buf(), _lock: lock, names: Vec::new(), is_ours: false, made, told })
    }

    fn place(&self) -> PathBuf {
        self.out.join(STAGE)
    }

    /// Writes one more folder.
    ///
    /// # Errors
    /// Where what stands in its place is not the work of a build, or the system refuses.
    pub fn write(&mut self, folder: &Folder) -> Result<(), CannotRun> {
        place::refuse_foreign(&self.out, folder)?;
        let stage = self.place();
        if !self.is_ours {
            fs::create_dir(&stage).map_err(|error| CannotRun::writing(&stage, &error))?;
            self.is_ours = true;
        }
        write_folder(&stage.join(&folder.name), folder)?;
        self.names.push(folder.name.clone());
        Ok(())
    }

    /// Sets the mark: from here on the build counts.
    pub(super) fn mark(&mut self) -> Result<(), CannotRun> {
        let stage = self.place();
        disk::sync_folder(&stage);
        let mark = stage.join(MARK);
        let cannot = |error: std::io::Error| CannotRun::writing(&mark, &error);
        File::create_new(&mark).map_err(cannot)?.sync_all().map_err(cannot)?;
        disk::sync_folder(&stage);
        self.is_ours = false;
        self.made.clear();
        Ok(())
    }

    /// Puts what is staged in its place, and keeps the records of it. Gives what the user should be told.
    ///
    /// # Errors
    /// Where the system refuses. Then all is as before.
    pub fn publish(mut self, made: &[(String, Made)]) -> Result<Vec<String>, CannotRun> {
        let mut told = std::mem::take(&mut self.told);
        if self.is_ours {
            self.mark()?;
            told.extend(swap::all(&self.out, self.names.iter().map(String::as_str))?);
            told.extend(made::keep(&self.out, made));
        }
        Ok(told)
    }
}

impl Drop for Stage {
    fn drop(&mut self) {
        if self.is_ours {
            // That it cannot be removed either would not help the user more; the next build does it.
            let _ = fs::remove_dir_all(self.place());
        }
        if !self.made.is_empty() {
            lock::take_away(&self.out);
            // Others may have put something there meanwhile; then it stays.
            let _ = self.made.iter().try_for_each(fs::remove_dir);
        }
    }
}

pub(super) fn write_folder(place: &Path, folder: &Folder) -> Result<(), CannotRun> {
    for (path, bytes) in &folder.files {
        let file = place.join(path);
        let cannot = |error: std::io::Error| CannotRun::writing(&file, &error);
        let parent = file.parent().unwrap_or(place);
        fs::create_dir_all(parent).map_err(cannot)?;
        let mut new = File::create_new(&file).map_err(cannot)?;
        new.write_all(bytes).map_err(cannot)?;
        // A rename may reach the disk before the bytes do.
        new.sync_all().map_err(cannot)?;
        disk::sync_folder(parent);
    }
    Ok(())
}
