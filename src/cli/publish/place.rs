//! Where a build is not written to.

use std::collections::BTreeSet;
use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use super::{ASIDE, Folder, disk};
use crate::cli::CannotRun;

/// Places where a mistyped folder name would do harm.
pub fn refuse_harm(out: &Path, inputs: &[PathBuf]) -> Result<(), CannotRun> {
    let real = real_path(out)?;
    let refuse = |why: &str| Err(CannotRun(format!("will not write to {}: {why}", out.display())));
    let home = env::var_os("HOME").and_then(|home| fs::canonicalize(home).ok());
    if real.parent().is_none() {
        return refuse("it is the top of the disk");
    }
    if home.is_some_and(|home| home == real) {
        return refuse("it is your home folder; name a folder inside it");
    }
    if real.join(".git").exists() {
        return refuse("it is the top of a repository; name a folder inside it");
    }
    if real.exists() && !real.is_dir() {
        return refuse("it is not a folder");
    }
    for input in inputs {
        let source = fs::canonicalize(input).map_err(|error| CannotRun::reading(input, &error))?;
        if source.starts_with(&real) {
            return refuse(&format!("it holds the source {}; name another folder", input.display()));
        }
    }
    Ok(())
}

/// A path with all links followed, of which the last parts need not exist yet.
pub fn real_path(path: &Path) -> Result<PathBuf, CannotRun> {
    let mut missing: Vec<std::ffi::OsString> = Vec::new();
    let mut at = path.to_path_buf();
    loop {
        let shown = if at.as_os_str().is_empty() { Path::new(".") } else { &at };
        match fs::canonicalize(shown) {
            Ok(real) => return Ok(missing.iter().rev().fold(real, |folder, part| folder.join(part))),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                let name = at.file_name().ok_or_else(|| CannotRun::reading(path, &error))?;
                missing.push(name.to_owned());
                at.pop();
            }
            Err(error) => return Err(CannotRun::reading(path, &error)),
        }
    }
}

/// A folder that somebody else made, or something of somebody else in the way.
pub fn refuse_foreign(out: &Path, folder: &Folder) -> Result<(), CannotRun> {
    let aside = out.join(format!("{ASIDE}{}", folder.name));
    if disk::at(&aside)?.is_some() {
        return Err(CannotRun(format!("{} is in the way, and no build left it; move it elsewhere", aside.display())));
    }
    let place = out.join(&folder.name);
    let Some(own) = refuse_not_ours(&place)? else { return Ok(()) };
    for path in folder.files.keys() {
        // What a new file or one of its folders would stand upon.
        let above = path.match_indices('/').filter_map(|(end, _)| path.get(..end));
        for part in above.map(|part| (part, false)).chain([(path.as_str(), true)]) {
            let foreign = match (disk::at(&place.join(part.0))?, part.1) {
                (None, _) => false,
                (Some(about), false) => !about.is_dir() && !own.contains(part.0),
                (Some(about), true) => !own.contains(part.0) || about.is_dir(),
            };
            if foreign {
                let why = format!("Fitwright did not write its file {}; move it elsewhere", part.0);
                return Err(CannotRun(format!("will not replace {}: {why}", place.display())));
            }
        }
    }
    Ok(())
}

/// The files that an earlier build wrote to a folder; `None` where there is no such folder, or nothing in it.
///
/// # Errors
/// Where what stands there is not the work of a build.
pub fn refuse_not_ours(place: &Path) -> Result<Option<BTreeSet<String>>, CannotRun> {
    let refuse = |why: &str| Err(CannotRun(format!("will not replace {}: {why}", place.display())));
    let Some(about) = disk::at(place)? else { return Ok(None) };
    if !about.is_dir() {
        return refuse("it is a file or a link that Fitwright did not make");
    }
    if disk::entries(place)?.is_empty() {
        return Ok(None);
    }
    match disk::own_files(place) {
        Some(own) => Ok(Some(own)),
        None => refuse("Fitwright did not make this folder; move it, or name another folder with --out"),
    }
}
