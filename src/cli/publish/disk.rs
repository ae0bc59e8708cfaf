//! What the others ask of the disk, none of it through a link.

use std::collections::BTreeSet;
use std::fs::{self, File, Metadata};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::{MANIFEST, MANIFEST_FORMAT};
use crate::cli::CannotRun;

/// What stands at a path itself, a link unfollowed; `None` where nothing does.
pub fn at(path: &Path) -> Result<Option<Metadata>, CannotRun> {
    match fs::symlink_metadata(path) {
        Ok(about) => Ok(Some(about)),
        Err(error) if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => Ok(None),
        Err(error) => Err(CannotRun::reading(path, &error)),
    }
}

/// Whether a folder, and no link to one, stands at a path.
pub fn is_folder(path: &Path) -> Result<bool, CannotRun> {
    Ok(at(path)?.is_some_and(|about| about.is_dir()))
}

/// What stands in a folder, sorted.
pub fn entries(folder: &Path) -> Result<Vec<PathBuf>, CannotRun> {
    let cannot = |error: std::io::Error| CannotRun::reading(folder, &error);
    let mut paths = Vec::new();
    for entry in fs::read_dir(folder).map_err(cannot)? {
        paths.push(entry.map_err(cannot)?.path());
    }
    paths.sort();
    Ok(paths)
}

/// What the manifest of a folder lists, itself included; `None` where there is none of ours.
pub fn own_files(folder: &Path) -> Option<BTreeSet<String>> {
    let manifest = folder.join(MANIFEST);
    if !fs::symlink_metadata(&manifest).ok()?.is_file() {
        return None;
    }
    let manifest: serde_json::Value = serde_json::from_slice(&fs::read(manifest).ok()?).ok()?;
    if manifest.get("format")?.get("name")? != MANIFEST_FORMAT {
        return None;
    }
    let listed = manifest.get("outputs")?.as_array()?;
    let plain = |path: &str| path.split('/').all(|part| !part.is_empty() && part != "." && part != "..");
    let names = listed.iter().filter_map(|output| output.get("name")?.as_str().filter(|path| plain(path)));
    Some(names.map(str::to_owned).chain([MANIFEST.to_owned()]).collect())
}

pub fn rename(from: &Path, to: &Path) -> Result<(), CannotRun> {
    fs::rename(from, to).map_err(|error| CannotRun::writing(to, &error))
}

/// Removes a file if it is there.
pub fn remove_file(path: &Path) -> Result<(), CannotRun> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(CannotRun::writing(path, &error)),
        _ => Ok(()),
    }
}

/// Removes a folder that is empty.
pub fn remove_folder(path: &Path) -> Result<(), CannotRun> {
    fs::remove_dir(path).map_err(|error| CannotRun::writing(path, &error))
}

/// Makes renames in a folder durable, where the system knows how; where it does not, they are atomic all the same.
pub fn sync_folder(folder: &Path) {
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
}
