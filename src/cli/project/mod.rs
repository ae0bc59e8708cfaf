//! A project file, `fitwright.toml`: which procedures and libraries belong together, what is denied, and where a build writes.
//!
//! Its folder is the project: libraries are looked up from there, and nothing outside it is read or written for it. It is taken
//! where it is named with `--project`, and where a command gets no path: then it is looked for in the current folder and
//! those above.

mod written;

use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use super::files::{self, Job};
use super::terminal::Stream;
use super::{CannotRun, Deny};
use crate::diagnostics::visible;
use written::Written;

/// The name of a project file.
pub const NAME: &str = "fitwright.toml";
/// Where a build writes unless it is told otherwise.
pub const OUT: &str = "out";
/// No project file is larger, in bytes: it names folders.
const MOST_BYTES: u64 = 1024 * 1024;

/// A project file that was read.
#[derive(Debug)]
pub struct Project {
    /// The file, as the user reaches it.
    pub file: PathBuf,
    /// Its folder, as the user reaches it.
    pub folder: PathBuf,
    written: Written,
}

impl Project {
    /// Reads a project file.
    ///
    /// # Errors
    /// Where it can't be read, and where something in it is wrong: that is told first, each at its place.
    pub fn read(file: &Path) -> Result<Project, CannotRun> {
        // Asked before opening: to open a pipe is to wait for its other end.
        let about = fs::metadata(file).map_err(|error| CannotRun::reading(file, &error))?;
        if !about.is_file() {
            return Err(CannotRun(format!("{} is not a file", file.display())));
        }
        if about.len() > MOST_BYTES {
            let name = file.display();
            return Err(CannotRun(format!("{name} is larger than 1 MiB; a project file names folders and files")));
        }
        let bytes = fs::read(file).map_err(|error| CannotRun::reading(file, &error))?;
        let folder = match file.parent() {
            Some(folder) if folder.as_os_str().is_empty() => PathBuf::from("."),
            Some(folder) => folder.to_path_buf(),
            None => return Err(CannotRun(format!("{} is not a file", file.display()))),
        };
        match written::read(&bytes, &folder)? {
            Ok(written) => Ok(Project { file: file.to_path_buf(), folder, written }),
            Err(faults) => {
                let mut errors = Stream::errors();
                let name = file.display();
                faults.iter().for_each(|fault| errors.say(&format!("{}\n", visible(&format!("{name}:{fault}")))));
                errors.finish()?;
                Err(CannotRun(format!("{name} has to be put right first; nothing was done")))
            }
        }
    }

    /// The project that the user stands in; `None` where there is no project file in this folder or above.
    fn here() -> Result<Option<Project>, CannotRun> {
        let here = Path::new(".");
        let cannot = |error: std::io::Error| CannotRun::reading(here, &error);
        let mut real = env::current_dir().and_then(fs::canonicalize).map_err(cannot)?;
        let mut shown = PathBuf::new();
        loop {
            // A link that leads nowhere is told too, not passed over.
            if fs::symlink_metadata(real.join(NAME)).is_ok() {
                return Project::read(&shown.join(NAME)).map(Some);
            }
            if !real.pop() {
                return Ok(None);
            }
            shown.push("..");
        }
    }

    /// The project that a command is to look at: the file named with `--project`, or, where no path is given, the one of the
    /// folder named so, else the one that the user stands in. Which one that is, is said on standard error.
    ///
    /// # Errors
    /// Where a project file can't be read or is wrong, and where a folder was named that has none, and no path.
    pub fn wanted(paths: &[PathBuf], named: Option<&Path>) -> Result<Option<Project>, CannotRun> {
        match named {
            Some(named) if named.is_file() => Project::read(named).map(Some),
            Some(folder) if paths.is_empty() => {
                let file = folder.join(NAME);
                if fs::symlink_metadata(&file).is_err() {
                    let folder = folder.display();
                    return Err(CannotRun(format!(
                        "there is no {NAME} in the folder {folder}; write one, or name files or folders too"
                    )));
                }
                Project::read(&file).map(Some)
            }
            Some(_) => Ok(None),
            None if paths.is_empty() => {
                let project = Project::here()?;
                if let Some(project) = &project {
                    let mut errors = Stream::errors();
                    errors.say(&format!("Project {}\n", visible(&project.file.display().to_string())));
                    errors.finish()?;
                }
                Ok(project)
            }
            None => Ok(None),
        }
    }

    /// Its procedures, each once, in the order of the file.
    ///
    /// # Errors
    /// Where a file or folder is gone since the project file was read.
    pub fn procedures(&self) -> Result<Vec<Job>, CannotRun> {
        self.jobs(&self.written.procedures)
    }

    /// Its procedures, then the libraries that it lists, each once.
    ///
    /// # Errors
    /// As [`Project::procedures`].
    pub fn all(&self) -> Result<Vec<Job>, CannotRun> {
        let mut all = self.procedures()?;
        for library in self.jobs(&self.written.libraries)? {
            match all.iter_mut().find(|job| job.path == library.path) {
                Some(same) => same.named = true,
                None => all.push(Job { named: true, ..library }),
            }
        }
        Ok(all)
    }

    fn jobs(&self, listed: &[PathBuf]) -> Result<Vec<Job>, CannotRun> {
        let paths: Vec<PathBuf> = listed.iter().map(|path| self.reached(path)).collect();
        let mut jobs: Vec<Job> = Vec::new();
        let mut known = std::collections::BTreeSet::new();
        for job in files::jobs(&paths, Some(&self.folder))? {
            if known.insert(job.path.clone()) {
                jobs.push(job);
            }
        }
        Ok(jobs)
    }

    /// The files and folders that it lists, as the user reaches them.
    pub fn listed(&self) -> Vec<PathBuf> {
        self.written.procedures.iter().chain(&self.written.libraries).map(|path| self.reached(path)).collect()
    }

    /// What it denies.
    pub fn deny(&self) -> Option<Deny> {
        self.written.deny
    }

    /// Where a build writes.
    pub fn out(&self) -> PathBuf {
        self.reached(self.written.out.as_deref().unwrap_or(Path::new(OUT)))
    }

    /// A path of the project from where the user stands.
    fn reached(&self, path: &Path) -> PathBuf {
        let path = if path == Path::new(".") { Path::new("") } else { path };
        match (self.folder == Path::new("."), path.as_os_str().is_empty()) {
            (true, true) => PathBuf::from("."),
            (true, false) => path.to_path_buf(),
            (false, true) => self.folder.clone(),
            (false, false) => self.folder.join(path),
        }
    }
}

/// The folder that `--project` means: itself, or that of the project file.
pub fn folder(named: Option<&Path>) -> Option<&Path> {
    let named = named?;
    if !named.is_file() {
        return Some(named);
    }
    match named.parent() {
        Some(folder) if folder.as_os_str().is_empty() => Some(Path::new(".")),
        other => other,
    }
}

/// What a command without a path says where there is no project.
pub fn missing() -> CannotRun {
    CannotRun(format!("name files or folders: there is no {NAME} in this folder or above that lists them"))
}
