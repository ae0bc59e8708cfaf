//! Writes a build: all of it or nothing.
//!
//! Every procedure has a folder of its own under the output folder. What belongs to the program is what a folder's
//! `build.json` lists; all else in it is *foreign* and stays, whatever it is and however it is named.
//!
//! New folders are written whole beside the old ones, on the *stage*. When all of them are there and on the disk, a mark is
//! set; from then on the build counts, and the folders change places with the old ones by renaming. A build that is
//! killed before the mark is taken back by the next one, and one that is killed after it is completed, so that the set is
//! never a mixed one for longer than until then. A lock on the output folder keeps builds apart; the system drops it with
//! the process that holds it.
//!
//! No link is followed below the output folder, and nothing is written over what the program did not write.

mod disk;
mod leftovers;
mod lock;
mod place;
mod swap;

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

use super::CannotRun;

/// The list of what a build wrote, in each folder.
pub const MANIFEST: &str = "build.json";
/// What a manifest calls itself.
const MANIFEST_FORMAT: &str = "fitwright-build";
/// The stage: new folders, not yet in their place.
const STAGE: &str = ".fitwright-new";
/// On the stage: all new folders are whole.
const MARK: &str = ".whole";
/// Begins the name of an old folder that is about to go.
const ASIDE: &str = ".fitwright-old-";
/// Held while a build writes.
const LOCK: &str = ".fitwright-lock";

/// What one procedure's folder shall hold.
#[derive(Debug, Clone)]
pub struct Folder {
    /// Its name: the procedure's.
    pub name: String,
    /// Paths in it, with forward slashes, and their bytes. One is the manifest.
    pub files: BTreeMap<String, Vec<u8>>,
}

/// Writes the folders under `out`. `inputs` are the files that the build has read. Gives what the user should be told of
/// files of his own that got another name.
///
/// # Errors
/// Where `out` must not be written to, or the system refuses. No file of an earlier build is then lost.
pub fn publish(out: &Path, folders: &[Folder], inputs: &[PathBuf]) -> Result<Vec<String>, CannotRun> {
    place::refuse_twins(folders)?;
    place::refuse_harm(out, inputs)?;
    fs::create_dir_all(out).map_err(|error| CannotRun::writing(out, &error))?;
    let _lock = lock::take(out)?;
    let mut told = leftovers::tidy(out)?;
    for folder in folders {
        place::refuse_foreign(out, folder)?;
    }
    let stage = out.join(STAGE);
    if let Err(error) = fill(&stage, folders) {
        // What was staged is ours alone. That it cannot be removed either would not help the user more.
        let _ = fs::remove_dir_all(&stage);
        return Err(error);
    }
    told.extend(swap::all(out, folders.iter().map(|folder| folder.name.as_str()))?);
    Ok(told)
}

/// Writes all folders to the stage, then the mark.
fn fill(stage: &Path, folders: &[Folder]) -> Result<(), CannotRun> {
    fs::create_dir(stage).map_err(|error| CannotRun::writing(stage, &error))?;
    for folder in folders {
        write_folder(&stage.join(&folder.name), folder)?;
    }
    disk::sync_folder(stage);
    let mark = stage.join(MARK);
    let cannot = |error: std::io::Error| CannotRun::writing(&mark, &error);
    File::create_new(&mark).map_err(cannot)?.sync_all().map_err(cannot)?;
    disk::sync_folder(stage);
    Ok(())
}

fn write_folder(place: &Path, folder: &Folder) -> Result<(), CannotRun> {
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

#[cfg(test)]
mod tests;
