//! Completes or takes back what a killed build has left.

use std::fs;
use std::path::{Path, PathBuf};

use super::made::MADE;
use super::{ASIDE, MARK, STAGE, disk, is_plain, place, swap};
use crate::cli::{CannotRun, one_file};

/// Whether a killed build has left anything.
pub fn any(out: &Path) -> Result<bool, CannotRun> {
    Ok(disk::at(&out.join(STAGE))?.is_some() || !set_aside(out)?.is_empty())
}

/// Brings the output folder to the state before or after the build that was killed. Only what a build can have left is
/// touched: names that it makes, and real folders.
pub fn tidy(out: &Path) -> Result<Vec<String>, CannotRun> {
    let mut told = Vec::new();
    let records = out.join(MADE);
    if disk::is_folder(&records)? {
        one_file::sweep(&records);
    }
    let stage = out.join(STAGE);
    let staged = staged(&stage)?;
    let whole = disk::at(&stage.join(MARK))?.is_some_and(|about| about.is_file());
    for (aside, name) in set_aside(out)? {
        let place = out.join(&name);
        let waits = whole && staged.contains(&name);
        match (disk::at(&place)?, disk::own_files(&aside)) {
            // Killed between the two renames: its new folder is still on the stage, or it was never whole.
            (None, Some(_)) if waits => disk::rename(&stage.join(&name), &place)?,
            (None, Some(_)) => {
                disk::rename(&aside, &place)?;
                continue;
            }
            (Some(about), Some(_)) if about.is_dir() => {}
            // Killed when all that was left of it were its folders.
            (_, None) if is_bare(&aside)? => {
                swap::remove_bare(&aside)?;
                continue;
            }
            (other, _) => {
                let (aside, place) = (aside.display(), place.display());
                let is_file = other.is_some_and(|about| !about.is_dir());
                let why = if is_file { format!("{place} is not a folder") } else { "no build left it".to_owned() };
                return Err(CannotRun(format!("{aside} can't be tidied up: {why}; move it elsewhere")));
            }
        }
        told.extend(swap::retire(&aside, &place)?);
    }
    if whole {
        let names: Vec<String> = staged_now(&stage, staged)?;
        for name in &names {
            place::refuse_not_ours(&out.join(name))?;
        }
        told.extend(swap::all(out, names.iter().map(String::as_str))?);
    } else if disk::is_folder(&stage)? {
        fs::remove_dir_all(&stage).map_err(|error| CannotRun::writing(&stage, &error))?;
    }
    Ok(told)
}

/// The folders on the stage.
fn staged(stage: &Path) -> Result<Vec<String>, CannotRun> {
    let Some(about) = disk::at(stage)? else { return Ok(Vec::new()) };
    if !about.is_dir() {
        let stage = stage.display();
        return Err(CannotRun(format!("{stage} is in the way, and no build left it; move it elsewhere")));
    }
    let names = disk::entries(stage)?.into_iter().filter_map(|entry| Some(entry.file_name()?.to_str()?.to_owned()));
    staged_now(stage, names.filter(|name| is_plain(name)).collect())
}

/// Those of these names that are whole folders on the stage.
fn staged_now(stage: &Path, names: Vec<String>) -> Result<Vec<String>, CannotRun> {
    let mut found = Vec::new();
    for name in names {
        let folder = stage.join(&name);
        if disk::is_folder(&folder)? && disk::own_files(&folder).is_some() {
            found.push(name);
        }
    }
    Ok(found)
}

/// Old folders that were set aside, each with the name that it had.
fn set_aside(out: &Path) -> Result<Vec<(PathBuf, String)>, CannotRun> {
    let mut found = Vec::new();
    for entry in disk::entries(out)? {
        let Some(name) = entry.file_name().and_then(|name| name.to_str()?.strip_prefix(ASIDE)) else { continue };
        if is_plain(name) && disk::is_folder(&entry)? {
            found.push((entry.clone(), name.to_owned()));
        }
    }
    Ok(found)
}

/// Whether there are only folders in a folder.
fn is_bare(folder: &Path) -> Result<bool, CannotRun> {
    for entry in disk::entries(folder)? {
        if !disk::is_folder(&entry)? || !is_bare(&entry)? {
            return Ok(false);
        }
    }
    Ok(true)
}
