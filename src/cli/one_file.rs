//! Writes one file: all of it or nothing, over nothing but an older file of that name.
//!
//! The bytes go to a temporary file beside it first, under a name that nobody else has (it is made anew, or another name is
//! tried), and are on the disk before the name is given to them. So a run that is killed leaves the old file or the new
//! one, and at worst its own temporary file, which the next run that writes there removes: a temporary file is locked as long
//! as somebody writes it.

use std::collections::BTreeSet;
use std::fs::{self, File, Metadata, TryLockError};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
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
    let taken = || CannotRun(format!("{} exists already, and is left as it is", path.display()));
    let is_taken = fs::symlink_metadata(path).is_ok();
    if is_taken {
        sweep(folder_of(path));
        return Err(taken());
    }
    let mut temporary = Temporary::beside(path)?;
    temporary.fill(bytes, None).map_err(|error| CannotRun::writing(path, &error))?;
    // A second name is given to no file that is there, which a rename would do.
    match fs::hard_link(&temporary.path, path) {
        Ok(()) => {}
        Err(error) if error.kind() == ErrorKind::AlreadyExists => return Err(taken()),
        // Some disks know no second names.
        Err(_) => in_place(path, bytes).map_err(|error| match error.kind() {
            ErrorKind::AlreadyExists => taken(),
            _ => CannotRun::writing(path, &error),
        })?,
    }
    drop(temporary);
    sync_folder(folder_of(path));
    Ok(())
}

/// Writes a new file under its own name: killed meanwhile, it stays a part.
fn in_place(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(bytes).and_then(|()| file.sync_all()).inspect_err(|_| {
        // It was made here, a moment ago, and half a file helps nobody.
        let _ = fs::remove_file(path);
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
        sweep_once(folder_of(path));
        for _ in 0..TRIES {
            let number = NEXT.fetch_add(1, Ordering::Relaxed);
            let temporary = folder_of(path).join(format!("{BEGIN}{}-{number}{END}", std::process::id()));
            match File::create_new(&temporary) {
                // Somebody who sweeps may have been quicker than the lock; another name is tried then.
                Ok(file) if !lock(&file) || !temporary.exists() => {}
                Ok(file) => return Ok(Temporary { path: temporary, file }),
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                Err(error) => return Err(CannotRun::writing(path, &error)),
            }
        }
        let folder = folder_of(path).display();
        Err(CannotRun(format!("{folder} is full of temporary files ({BEGIN}…{END}); remove them")))
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

/// Begins the name of a temporary file; the number of the process and its own follow.
const BEGIN: &str = ".fitwright-";
/// Ends it.
const END: &str = ".part";

/// Whether a name can only be that of a temporary file.
fn is_temporary(name: &str) -> bool {
    let numbers =
        name.strip_prefix(BEGIN).and_then(|rest| rest.strip_suffix(END)).and_then(|rest| rest.split_once('-'));
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    numbers.is_some_and(|(process, own)| is_number(process) && is_number(own))
}

/// Says that a temporary file is being written. Where the system knows no locks nobody sweeps either.
fn lock(file: &File) -> bool {
    !matches!(file.try_lock(), Err(TryLockError::WouldBlock))
}

/// The temporary files in a folder that nobody writes any more: their run was killed.
fn left_over(folder: &Path) -> Vec<(PathBuf, File)> {
    let names = fs::read_dir(folder).into_iter().flatten().flatten();
    let ours = names.filter(|entry| entry.file_name().to_str().is_some_and(is_temporary)).map(|entry| entry.path());
    let plain = ours.filter(|path| fs::symlink_metadata(path).is_ok_and(|about| about.is_file()));
    let opened = plain.filter_map(|path| File::open(&path).ok().map(|file| (path, file)));
    opened.filter(|(_, file)| file.try_lock().is_ok()).collect()
}

/// Removes what killed runs have left in a folder. That something stays is no fault of this run.
pub fn sweep(folder: &Path) {
    for (path, _locked) in left_over(folder) {
        let _ = fs::remove_file(path);
    }
}

/// The same, the first time that something is written to the folder.
fn sweep_once(folder: &Path) {
    static SWEPT: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());
    let is_first = SWEPT.lock().is_ok_and(|mut swept| swept.insert(folder.to_path_buf()));
    if is_first {
        sweep(folder);
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
