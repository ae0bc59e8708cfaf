//! An edition of a procedure: a file, or the file as it was at a revision of its git repository.
//!
//! Git itself is asked, one file at a time, and only where somebody writes `REVISION:FILE`. It is the only program that this
//! one ever starts.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use super::CannotRun;
use super::files::{self, Disk};
use crate::world::{LARGEST_FILE, ReadFault, World};

/// One edition.
pub struct Edition {
    /// The path of the procedure in its project.
    pub path: String,
    kept: Kept,
}

/// Where the files of an edition are.
enum Kept {
    Disk(Disk),
    Git(Revision),
}

/// A folder of a repository as it was at a revision.
struct Revision {
    /// The top of the repository.
    top: PathBuf,
    /// The commit, as git names it.
    commit: String,
    /// The folder of the project below the top, with forward slashes; empty for the top itself.
    folder: String,
}

impl World for Edition {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        match &self.kept {
            Kept::Disk(disk) => disk.read(path),
            Kept::Git(revision) => revision.read(path),
        }
    }
}

impl Edition {
    /// What the user means: a file that exists, or else a file at a revision.
    ///
    /// # Errors
    /// Where there is neither, or it lies outside the project given.
    pub fn find(written: &str, project: Option<&Path>) -> Result<Edition, CannotRun> {
        let at_revision = written.split_once(':').filter(|(revision, file)| !revision.is_empty() && !file.is_empty());
        match at_revision {
            Some((revision, file)) if !Path::new(written).exists() => Edition::at(revision, file, project),
            _ => {
                let job = files::one(Path::new(written), project)?;
                Ok(Edition { path: job.path, kept: Kept::Disk(job.project) })
            }
        }
    }

    fn at(revision: &str, file: &str, project: Option<&Path>) -> Result<Edition, CannotRun> {
        if revision.starts_with('-') {
            return Err(CannotRun(format!("{revision} is no revision of a git repository")));
        }
        if Path::new(file).extension().is_none_or(|ending| ending != files::ENDING) {
            return Err(CannotRun(format!("{file} is not a .{} file", files::ENDING)));
        }
        // The folder may be gone by now; the file is looked up from the nearest one that is there.
        let parent = Path::new(file).parent().unwrap_or(Path::new(""));
        let here = parent.ancestors().map(|path| if path.as_os_str().is_empty() { Path::new(".") } else { path });
        let here = here.into_iter().find(|path| path.is_dir()).unwrap_or(Path::new("."));
        let top = line(git(here, &["rev-parse", "--show-toplevel"])?);
        let top = PathBuf::from(top);
        let of_top = |path: &Path| files::below(&top, path);
        let outside =
            |path: &Path| CannotRun(format!("{} lies outside the git repository {}", path.display(), top.display()));
        let whole = of_top(Path::new(file)).ok_or_else(|| outside(Path::new(file)))?;
        let folder = match project {
            Some(project) => of_top(project).ok_or_else(|| outside(project))?,
            None => whole.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned(),
        };
        let path = match folder.as_str() {
            "" => Some(whole.as_str()),
            folder => whole.strip_prefix(folder).and_then(|rest| rest.strip_prefix('/')),
        };
        let path =
            path.ok_or_else(|| CannotRun(format!("{file} lies outside the project folder {folder}")))?.to_owned();
        let commit = format!("{revision}^{{commit}}");
        let commit = line(
            git(&top, &["rev-parse", "--verify", "--quiet", "--end-of-options", &commit])
                .map_err(|_| CannotRun(format!("git knows no revision {revision} in {}", top.display())))?,
        );
        let kept = Revision { top, commit, folder };
        if kept.read(&path) == Err(ReadFault::Missing) {
            return Err(CannotRun(format!("there is no file {whole} at the revision {revision}")));
        }
        Ok(Edition { path, kept: Kept::Git(kept) })
    }
}

impl World for Revision {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        let plain = |part: &str| !part.is_empty() && part != "." && part != ".." && !part.contains('\0');
        if !path.split('/').all(plain) {
            return Err(ReadFault::Outside);
        }
        let folder = if self.folder.is_empty() { String::new() } else { format!("{}/", self.folder) };
        let object = format!("{}:{folder}{path}", self.commit);
        let size = git(&self.top, &["cat-file", "-s", &object]).map_err(|_| ReadFault::Missing)?;
        if line(size).parse::<usize>().is_ok_and(|size| size > LARGEST_FILE) {
            return Err(ReadFault::TooLarge);
        }
        // A link or a folder at that path is no blob of text; a link would be read as the path that it holds.
        git(&self.top, &["cat-file", "blob", &object]).map_err(|_| ReadFault::NotAFile)
    }
}

/// Asks git, without a word of its own on the terminal.
fn git(folder: &Path, words: &[&str]) -> Result<Vec<u8>, CannotRun> {
    let mut command = Command::new("git");
    command.arg("-C").arg(folder).args(words).stdin(Stdio::null()).env("GIT_OPTIONAL_LOCKS", "0");
    let asked = command.output().map_err(|_| {
        CannotRun("git could not be started; it is needed to read a file at a revision, REVISION:FILE".to_owned())
    })?;
    if asked.status.success() {
        return Ok(asked.stdout);
    }
    let why = String::from_utf8_lossy(&asked.stderr);
    let why = why.lines().next().unwrap_or_default().trim_start_matches("fatal: ").to_owned();
    Err(CannotRun(format!("git says of {}: {why}", folder.display())))
}

/// What git says in one line.
fn line(said: Vec<u8>) -> String {
    String::from_utf8_lossy(&said).trim_end_matches(['\n', '\r']).to_owned()
}
