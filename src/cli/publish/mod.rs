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
//! Beside the folders stands a record of what each was made from (`made`), by which the next build knows what is the same.
//!
//! No link is followed below the output folder, and nothing is written over what the program did not write.

mod disk;
mod leftovers;
mod lock;
mod made;
mod place;
mod swap;

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

use super::CannotRun;
pub use made::{Made, key};
pub use place::real_path;

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

/// What a build comes to.
#[derive(Debug, Default)]
pub struct Set {
    /// What is to be written.
    pub folders: Vec<Folder>,
    /// Where that came from: records by their keys.
    pub made: Vec<(String, Made)>,
    /// What stands there already, as it would be written.
    pub unchanged: Vec<Made>,
    /// The files that the build has read.
    pub inputs: Vec<PathBuf>,
}

/// Completes or takes back what a killed build has left, so that what stands in `out` can be looked at.
///
/// # Errors
/// Where `out` must not be written to, or the system refuses.
pub fn tidy(out: &Path) -> Result<Vec<String>, CannotRun> {
    place::refuse_harm(out, &[])?;
    if !out.is_dir() || !leftovers::any(out)? {
        return Ok(Vec::new());
    }
    let _lock = lock::take(out)?;
    leftovers::tidy(out)
}

/// Writes the folders under `out`. Gives what the user should be told of files of his own that got another name.
///
/// # Errors
/// Where `out` must not be written to, where somebody changes what was to stay, or the system refuses. No file of an earlier
/// build is then lost.
pub fn publish(out: &Path, set: &Set) -> Result<Vec<String>, CannotRun> {
    let folders = &set.folders[..];
    place::refuse_twins(folders)?;
    place::refuse_harm(out, &set.inputs)?;
    fs::create_dir_all(out).map_err(|error| CannotRun::writing(out, &error))?;
    let _lock = lock::take(out)?;
    let mut told = leftovers::tidy(out)?;
    for folder in folders {
        place::refuse_foreign(out, folder)?;
    }
    // Once more, now that no other build writes.
    if let Some(changed) = set.unchanged.iter().find(|made| !made.stands(out)) {
        let place = out.join(&changed.folder);
        return Err(CannotRun(format!("{} was changed while this build ran; build again", place.display())));
    }
    if folders.is_empty() {
        return Ok(told);
    }
    let stage = out.join(STAGE);
    if let Err(error) = fill(&stage, folders) {
        // What was staged is ours alone. That it cannot be removed either would not help the user more.
        let _ = fs::remove_dir_all(&stage);
        return Err(error);
    }
    told.extend(swap::all(out, folders.iter().map(|folder| folder.name.as_str()))?);
    told.extend(made::keep(out, &set.made));
    Ok(told)
}

/// Whether a name can be that of a folder that a build makes: one part, and nothing that leads elsewhere.
fn is_plain(name: &str) -> bool {
    name.chars().next().is_some_and(char::is_alphanumeric)
        && name.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.'))
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
