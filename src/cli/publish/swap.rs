//! Puts new folders in the place of old ones.

use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use super::{ASIDE, MANIFEST, MARK, STAGE, disk};
use crate::cli::CannotRun;

/// Moves these folders from the stage to their places, then does away with the old ones and the stage. Gives what the
/// user should be told.
pub fn all<'n>(out: &Path, names: impl Iterator<Item = &'n str>) -> Result<Vec<String>, CannotRun> {
    let stage = out.join(STAGE);
    let mut moved = Vec::new();
    // All renames first: what takes time comes when the set is whole.
    for name in names {
        let one = Move { staged: stage.join(name), place: out.join(name), aside: out.join(format!("{ASIDE}{name}")) };
        match one.make() {
            Ok(had_old) => moved.push((one, had_old)),
            Err(error) => {
                undo(&stage, &moved)?;
                return Err(error);
            }
        }
    }
    disk::sync_folder(out);
    let mut told = Vec::new();
    for (one, _) in moved.iter().filter(|(_, had_old)| *had_old) {
        told.extend(retire(&one.aside, &one.place)?);
    }
    disk::remove_file(&stage.join(MARK))?;
    disk::remove_folder(&stage)?;
    disk::sync_folder(out);
    Ok(told)
}

/// One folder's change of places.
struct Move {
    staged: PathBuf,
    place: PathBuf,
    aside: PathBuf,
}

impl Move {
    /// Says whether there was an old folder. Where it fails, all is as before.
    fn make(&self) -> Result<bool, CannotRun> {
        let had_old = disk::at(&self.place)?.is_some();
        if had_old {
            disk::rename(&self.place, &self.aside)?;
        }
        if let Err(error) = disk::rename(&self.staged, &self.place) {
            if had_old {
                disk::rename(&self.aside, &self.place)?;
            }
            return Err(error);
        }
        Ok(had_old)
    }
}

/// Takes changes of places back, and the build with them.
fn undo(stage: &Path, moved: &[(Move, bool)]) -> Result<(), CannotRun> {
    for (one, had_old) in moved.iter().rev() {
        disk::rename(&one.place, &one.staged)?;
        if *had_old {
            disk::rename(&one.aside, &one.place)?;
        }
    }
    // First, so that a kill right here does not bring the build back.
    disk::remove_file(&stage.join(MARK))?;
    fs::remove_dir_all(stage).map_err(|error| CannotRun::writing(stage, &error))
}

/// Carries what is foreign over to the new folder, then removes the old one.
pub fn retire(old: &Path, new: &Path) -> Result<Vec<String>, CannotRun> {
    let own = disk::own_files(old).unwrap_or_default();
    let mut told = Vec::new();
    carry(old, new, "", &own, &mut told)?;
    for path in own.iter().filter(|path| *path != MANIFEST) {
        disk::remove_file(&old.join(path))?;
    }
    // Last, so that a second try still knows what was ours.
    if own.contains(MANIFEST) {
        disk::remove_file(&old.join(MANIFEST))?;
    }
    remove_bare(old)?;
    Ok(told)
}

/// Moves all that is foreign from one folder to another, whole folders at once. Links are moved, not followed.
fn carry(
    old: &Path,
    new: &Path,
    within: &str,
    own: &BTreeSet<String>,
    told: &mut Vec<String>,
) -> Result<(), CannotRun> {
    for entry in disk::entries(old)? {
        let Some(name) = entry.file_name() else { continue };
        let path = name.to_str().map(|name| format!("{within}{name}"));
        let about = disk::at(&entry)?;
        let (is_file, is_folder) = about.map_or((false, false), |about| (about.is_file(), about.is_dir()));
        let to = new.join(name);
        match path {
            Some(path) if is_file && own.contains(&path) => {}
            Some(path) if is_folder && holds_own(own, &format!("{path}/")) && fits(&to)? => {
                carry(&entry, &to, &format!("{path}/"), own, told)?;
                // Made for files of somebody else, of which there were none. A folder with something in it stays.
                let _ = fs::remove_dir(&to);
            }
            _ => shift(&entry, new, name.to_owned(), told)?,
        }
    }
    Ok(())
}

/// Whether some of our files are below a folder; `path` ends with a slash.
fn holds_own(own: &BTreeSet<String>, path: &str) -> bool {
    own.iter().any(|file| file.starts_with(path))
}

/// Whether a folder's foreign files can go to a folder of the same name, made if it is not there.
fn fits(to: &Path) -> Result<bool, CannotRun> {
    if disk::at(to)?.is_none() {
        fs::create_dir(to).map_err(|error| CannotRun::writing(to, &error))?;
    }
    disk::is_folder(to)
}

/// Moves something to a folder, under another name where its own is taken: what stands there is newer, and neither is
/// ours to throw away.
fn shift(from: &Path, folder: &Path, name: OsString, told: &mut Vec<String>) -> Result<(), CannotRun> {
    let mut to = folder.join(&name);
    let mut turn = 1_u32;
    while disk::at(&to)?.is_some() {
        let mut other = name.clone();
        other.push(if turn == 1 { ".older".to_owned() } else { format!(".older-{turn}") });
        to = folder.join(other);
        turn = turn.saturating_add(1);
    }
    disk::rename(from, &to)?;
    if turn > 1 {
        let shown: PathBuf = folder.join(&name);
        told.push(format!("A killed build had set an older {} aside; it is now {}.", shown.display(), to.display()));
    }
    Ok(())
}

/// Removes a folder in which there are only folders.
pub fn remove_bare(folder: &Path) -> Result<(), CannotRun> {
    for entry in disk::entries(folder)? {
        remove_bare(&entry)?;
    }
    disk::remove_folder(folder)
}
