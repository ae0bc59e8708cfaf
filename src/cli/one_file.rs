//! Writes one file: all of it or nothing, over nothing but an older file of that name.
//!
//! The bytes go to a temporary file beside it first, under a name that nobody else has (it is made anew, or another name is
//! tried), and are on the disk before the name is given to them. So a run that is killed leaves the old file or the new
//! one, and at worst its own temporary file.

use std::fs::{self, File, Metadata};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use super::CannotRun;

/// So many names are tried for a temporary file. Each is this process's own, so the first is free but for what a killed
/// process of the same number has left.
const TRIES: u32 = 1000;

/// Writes a file, or puts it in the place of an older one.
///
/// # Errors
/// Where something else than a plain file has that name (a link, a pipe, a device, a folder), where it is one of `inputs`
/// by whatever name, where it is write-protected, or where the system refuses. What was there is then left as it is.
pub fn write(path: &Path, bytes: &[u8], inputs: &[&Path]) -> Result<(), CannotRun> {
    let old = replaceable(path, inputs)?;
    let mut temporary = Temporary::beside(path)?;
    temporary.fill(bytes, old.as_ref()).map_err(|error| CannotRun::writing(path, &error))?;
    // Once more: it takes a moment to write.
    replaceable(path, inputs)?;
    fs::rename(&temporary.path, path).map_err(|error| CannotRun::writing(path, &error))?;
    sync_folder(folder_of(path));
    Ok(())
}

/// Writes a file where there is none.
///
/// # Errors
/// Where anything has that name, a link that leads nowhere included, or where the system refuses.
pub fn create(path: &Path, bytes: &[u8]) -> Result<(), CannotRun> {
    let mut file = File::create_new(path).map_err(|error| match error.kind() {
        ErrorKind::AlreadyExists => CannotRun(format!("{} exists already, and is left as it is", path.display())),
        _ => CannotRun::writing(path, &error),
    })?;
    file.write_all(bytes).and_then(|()| file.sync_all()).map_err(|error| {
        // It was made here, a moment ago, and half a file helps nobody.
        let _ = fs::remove_file(path);
        CannotRun::writing(path, &error)
    })
}

/// What stands at a path, if it may be replaced; `None` where nothing does.
fn replaceable(path: &Path, inputs: &[&Path]) -> Result<Option<Metadata>, CannotRun> {
    let refuse = |why: &str| Err(CannotRun(format!("{} is not written: {why}", path.display())));
    let about = match fs::symlink_metadata(path) {
        Ok(about) => about,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(CannotRun::writing(path, &error)),
    };
    if about.is_symlink() {
        return refuse("it is a link; name the file itself");
    }
    if about.is_dir() {
        return refuse("it is a folder; name a file in it");
    }
    if !about.is_file() {
        return refuse("it is a pipe or a device; write - for standard output");
    }
    if about.permissions().readonly() {
        return refuse("it is write-protected");
    }
    for input in inputs {
        if is_same(path, &about, input) {
            return refuse("it is what is to be judged; name another file");
        }
    }
    Ok(Some(about))
}

/// Whether a file is another one, by whatever name: through links of both sorts.
fn is_same(path: &Path, about: &Metadata, other: &Path) -> bool {
    let real = fs::canonicalize(path).ok();
    if real.is_some() && real == fs::canonicalize(other).ok() {
        return true;
    }
    fs::metadata(other).is_ok_and(|other| is_same_on_disk(about, &other))
}

#[cfg(unix)]
fn is_same_on_disk(one: &Metadata, other: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (one.dev(), one.ino()) == (other.dev(), other.ino())
}

/// Elsewhere a second name of a file can't be told. Renaming leaves the file of the other name whole.
#[cfg(not(unix))]
fn is_same_on_disk(_: &Metadata, _: &Metadata) -> bool {
    false
}

/// A file of ours, removed unless it got its name.
struct Temporary {
    path: PathBuf,
    file: File,
}

impl Temporary {
    /// Makes one in the folder of a file.
    fn beside(path: &Path) -> Result<Temporary, CannotRun> {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        for _ in 0..TRIES {
            let number = NEXT.fetch_add(1, Ordering::Relaxed);
            let name = format!(".fitwright-{}-{number}.part", std::process::id());
            let temporary = folder_of(path).join(name);
            match File::create_new(&temporary) {
                Ok(file) => return Ok(Temporary { path: temporary, file }),
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                Err(error) => return Err(CannotRun::writing(path, &error)),
            }
        }
        let folder = folder_of(path).display();
        Err(CannotRun(format!("{folder} is full of temporary files (.fitwright-….part); remove them")))
    }

    /// Its bytes, on the disk, with the permissions of the file that it replaces.
    fn fill(&mut self, bytes: &[u8], old: Option<&Metadata>) -> std::io::Result<()> {
        self.file.write_all(bytes)?;
        if let Some(old) = old {
            self.file.set_permissions(old.permissions())?;
        }
        self.file.sync_all()
    }
}

impl Drop for Temporary {
    fn drop(&mut self) {
        // Gone already where it got its name. That it can't be removed would not help the user more.
        let _ = fs::remove_file(&self.path);
    }
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Makes a rename durable, where the system knows how.
fn sync_folder(folder: &Path) {
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
}
