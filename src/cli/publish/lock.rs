//! Keeps builds apart.

use std::fs::{self, File, TryLockError};
use std::path::Path;
use std::time::{Duration, Instant};

use super::{LOCK, disk};
use crate::cli::CannotRun;
use crate::cli::terminal::Stream;

/// After this time the user is told what is waited for.
const WORD: Duration = Duration::from_secs(1);
/// After this time it is given up: no build writes that long, not even one of thousands of procedures.
const END: Duration = Duration::from_secs(10 * 60);
/// Between two tries.
const PAUSE: Duration = Duration::from_millis(50);

/// Waits until no other build writes here, with a word, and not for ever.
pub fn take(out: &Path) -> Result<File, CannotRun> {
    take_within(out, END)
}

pub(super) fn take_within(out: &Path, end: Duration) -> Result<File, CannotRun> {
    let path = out.join(LOCK);
    let cannot = |error: std::io::Error| CannotRun::writing(&path, &error);
    // A link would make a file elsewhere, and a pipe would wait for its other end.
    if disk::at(&path)?.is_some_and(|about| !about.is_file()) {
        return Err(CannotRun(format!("{} is not the file that builds lock; remove it", path.display())));
    }
    let began = Instant::now();
    let mut said = false;
    loop {
        // Anew each time: a build that comes to nothing takes away what it made, its lock too.
        fs::create_dir_all(out).map_err(|error| CannotRun::writing(out, &error))?;
        let file = File::options().create(true).append(true).open(&path).map_err(cannot)?;
        match file.try_lock() {
            Ok(()) if still_stands(&file, &path) => return Ok(file),
            Err(TryLockError::Error(error)) => return Err(cannot(error)),
            // Another build's, or it was taken away meanwhile.
            Ok(()) | Err(TryLockError::WouldBlock) => {}
        }
        if began.elapsed() >= end {
            let (out, minutes) = (out.display(), end.as_secs() / 60);
            return Err(CannotRun(format!(
                "another build has been writing to {out} for {minutes} minutes; try again when it has ended, or name another \
                 folder with --out"
            )));
        }
        if !said && began.elapsed() >= WORD {
            said = true;
            let mut errors = Stream::errors();
            errors.say(&format!("Waiting for another build that writes to {} …\n", out.display()));
            // A word that nobody hears is no reason to fail.
            let _ = errors.finish();
        }
        std::thread::sleep(PAUSE);
    }
}

/// Takes the lock away while it is held, where who waits for it can tell.
pub(super) fn take_away(out: &Path) {
    if cfg!(unix) {
        // That it stays where it can't be removed does no harm.
        let _ = fs::remove_file(out.join(LOCK));
    }
}

/// Whether what was locked is what others would lock now.
#[cfg(unix)]
fn still_stands(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let place = |about: fs::Metadata| (about.dev(), about.ino());
    file.metadata().is_ok_and(|about| fs::symlink_metadata(path).is_ok_and(|now| place(about) == place(now)))
}

#[cfg(not(unix))]
fn still_stands(_: &File, _: &Path) -> bool {
    true
}
