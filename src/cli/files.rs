//! Files of a project on disk.
//!
//! The *project* of a procedure is one folder: the one given with `--project`, else the procedure's own. Libraries are
//! named relative to it, and nothing outside it is ever read, whatever a source or a link says. It does not depend on
//! where the program was started, so that what is built does not either.

use std::collections::BTreeSet;
use std::fs;
use std::io::Read;
use std::path::{Component, Path, PathBuf};

use super::CannotRun;
use crate::world::{LARGEST_FILE, ReadFault, World};

/// The ending of a source file.
pub const ENDING: &str = "fitw";

/// A project folder.
#[derive(Debug, Clone)]
pub struct Disk {
    /// With all links followed.
    root: PathBuf,
}

impl Disk {
    /// A project whose folder exists.
    pub fn new(root: &Path) -> Result<Disk, CannotRun> {
        let real = fs::canonicalize(root).map_err(|error| CannotRun::reading(root, &error))?;
        if !real.is_dir() {
            return Err(CannotRun(format!("{} is not a folder", root.display())));
        }
        Ok(Disk { root: real })
    }

    /// The folder, with all links followed.
    pub fn root(&self) -> &Path {
        &self.root
    }
}

impl World for Disk {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        let plain = |part: &str| !part.is_empty() && part != "." && part != ".." && !part.contains('\0');
        if !path.split('/').all(plain) {
            return Err(ReadFault::Outside);
        }
        let named = path.split('/').fold(self.root.clone(), |folder, part| folder.join(part));
        let real = fs::canonicalize(named).map_err(|error| fault_of(&error))?;
        if !real.starts_with(&self.root) {
            return Err(ReadFault::Outside);
        }
        // Asked before opening: to open a pipe is to wait for its other end.
        let about = fs::metadata(&real).map_err(|error| fault_of(&error))?;
        if !about.is_file() {
            return Err(ReadFault::NotAFile);
        }
        let limit = LARGEST_FILE as u64;
        if about.len() > limit {
            return Err(ReadFault::TooLarge);
        }
        let mut bytes = Vec::new();
        let file = fs::File::open(&real).map_err(|error| fault_of(&error))?;
        file.take(limit + 1).read_to_end(&mut bytes).map_err(|error| fault_of(&error))?;
        if bytes.len() as u64 > limit { Err(ReadFault::TooLarge) } else { Ok(bytes) }
    }
}

fn fault_of(error: &std::io::Error) -> ReadFault {
    match error.kind() {
        std::io::ErrorKind::NotFound | std::io::ErrorKind::NotADirectory => ReadFault::Missing,
        _ => ReadFault::Refused,
    }
}

/// One source file to compile.
#[derive(Debug, Clone)]
pub struct Job {
    /// Its project.
    pub project: Disk,
    /// Its path in the project, with forward slashes.
    pub path: String,
    /// What to write before a path of the project to reach it from where the user stands: `procedures/`, or nothing.
    pub prefix: String,
    /// Whether the user named the file itself rather than its folder.
    pub named: bool,
}

impl Job {
    /// A path of the project from where the user stands; `None` where it can't be told.
    pub fn shown(&self, path: &str) -> Option<String> {
        let shown = format!("{}{path}", self.prefix);
        let real = fs::canonicalize(&shown).ok()?;
        (Some(real) == fs::canonicalize(self.project.root().join(path)).ok()).then_some(shown)
    }
}

/// The source files that the paths of the command line mean. A folder means the `.fitw` files that stand in it, sorted
/// by name, not those of folders below.
///
/// # Errors
/// Where a path does not exist, is no source file and no folder, or lies outside the project given.
pub fn jobs(paths: &[PathBuf], project: Option<&Path>) -> Result<Vec<Job>, CannotRun> {
    let mut jobs = Vec::new();
    for path in paths {
        let about = fs::metadata(path).map_err(|error| CannotRun::reading(path, &error))?;
        if about.is_dir() {
            for file in sources_in(path)? {
                jobs.push(job(&file, project, false)?);
            }
        } else {
            jobs.push(job(path, project, true)?);
        }
    }
    Ok(jobs)
}

/// The one source file that a path means.
///
/// # Errors
/// As [`jobs`], and where it is a folder.
pub fn one(path: &Path, project: Option<&Path>) -> Result<Job, CannotRun> {
    let about = fs::metadata(path).map_err(|error| CannotRun::reading(path, &error))?;
    if about.is_dir() { Err(no_source(path)) } else { job(path, project, true) }
}

/// A path below a folder, with forward slashes, whether anything stands there or not; `None` where it leads out of it.
pub fn below(folder: &Path, path: &Path) -> Option<String> {
    let whole = std::path::absolute(path).ok()?;
    let mut plain = PathBuf::new();
    for part in whole.components() {
        match part {
            Component::ParentDir => {
                plain.pop();
            }
            part => plain.push(part),
        }
    }
    // Links on the way to what is there are followed, as git does.
    let there = plain.ancestors().find(|path| path.exists())?;
    let real = fs::canonicalize(there).ok()?.join(plain.strip_prefix(there).ok()?);
    slashed(real.strip_prefix(fs::canonicalize(folder).ok()?).ok()?)
}

/// The source files that paths mean, to be set: all `.fitw` files of a folder, libraries too. Nothing is looked up from them,
/// so they need no project.
///
/// # Errors
/// Where a path does not exist, or is neither a source file nor a folder that holds some.
pub fn sources(paths: &[PathBuf]) -> Result<Vec<PathBuf>, CannotRun> {
    let mut sources = Vec::new();
    for path in paths {
        // Asked before opening: to open a pipe is to wait for its other end.
        let about = fs::metadata(path).map_err(|error| CannotRun::reading(path, &error))?;
        if about.is_dir() {
            sources.extend(sources_in(path)?);
        } else if about.is_file() && path.extension().is_some_and(|ending| ending == ENDING) {
            sources.push(path.clone());
        } else {
            return Err(no_source(path));
        }
    }
    Ok(sources)
}

/// Of files that were listed in two ways, the first of each.
pub fn once(files: Vec<PathBuf>) -> Vec<PathBuf> {
    let mut known = BTreeSet::new();
    files.into_iter().filter(|file| known.insert(fs::canonicalize(file).unwrap_or_else(|_| file.clone()))).collect()
}

fn no_source(file: &Path) -> CannotRun {
    CannotRun(format!("{} is not a .{ENDING} file", file.display()))
}

fn no_source_in(folder: &Path) -> CannotRun {
    CannotRun(format!("there is no .{ENDING} file in the folder {}", folder.display()))
}

/// Whether a source file stands in a folder.
pub fn holds_sources(folder: &Path) -> bool {
    sources_in(folder).is_ok()
}

fn sources_in(folder: &Path) -> Result<Vec<PathBuf>, CannotRun> {
    let cannot = |error: std::io::Error| CannotRun::reading(folder, &error);
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).map_err(cannot)? {
        let path = entry.map_err(cannot)?.path();
        if path.extension().is_some_and(|ending| ending == ENDING) && path.is_file() {
            found.push(path);
        }
    }
    found.sort();
    if found.is_empty() { Err(no_source_in(folder)) } else { Ok(found) }
}

fn job(file: &Path, project: Option<&Path>, named: bool) -> Result<Job, CannotRun> {
    if file.extension().is_none_or(|ending| ending != ENDING) {
        return Err(no_source(file));
    }
    let parent = match file.parent() {
        Some(parent) if parent.as_os_str().is_empty() => Path::new("."),
        Some(parent) => parent,
        None => return Err(CannotRun(format!("{} is not a file", file.display()))),
    };
    let real_parent = fs::canonicalize(parent).map_err(|error| CannotRun::reading(parent, &error))?;
    let folder = project.unwrap_or(parent);
    let disk = Disk::new(folder)?;
    let within = file.file_name().and_then(|name| Some(real_parent.strip_prefix(disk.root()).ok()?.join(name)));
    let Some(within) = within else {
        return Err(CannotRun(format!("{} lies outside the project folder {}", file.display(), folder.display())));
    };
    let path = slashed(&within)
        .ok_or_else(|| CannotRun(format!("the name of {} is not Unicode; rename it", file.display())))?;
    let prefix = match slashed(folder) {
        Some(shown) if shown.is_empty() || shown.ends_with('/') => shown,
        Some(shown) => shown + "/",
        None => String::new(),
    };
    Ok(Job { project: disk, path, prefix, named })
}

/// A path with forward slashes and without `.`; `None` where it is not Unicode.
fn slashed(path: &Path) -> Option<String> {
    let mut out = String::new();
    for part in path.components() {
        let text = match part {
            Component::CurDir => continue,
            Component::RootDir => {
                out.push('/');
                continue;
            }
            other => other.as_os_str().to_str()?,
        };
        if !out.is_empty() && !out.ends_with('/') {
            out.push('/');
        }
        out.push_str(text);
    }
    Some(out)
}
