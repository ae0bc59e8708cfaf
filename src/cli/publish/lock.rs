//! Keeps builds apart.

use std::fs::{File, TryLockError};
use std::path::Path;
use std::time::{Duration, Instant};

use super::{LOCK, disk};
use crate::cli::CannotRun;
use crate::cli::terminal::Stream;

/// After this time the user is told what is waited for.
const WORD: Duration = Duration::from_secs(1);
/// After this time it is given up: no build writes that long.
const END: Duration = Duration::from_secs(60);
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
    let file = File::options().create(true).append(true).open(&path).map_err(cannot)?;
    let began = Instant::now();
    let mut said = false;
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(file),
            Err(TryLockError::Error(error)) => return Err(cannot(error)),
            Err(TryLockError::WouldBlock) => {}
        }
        if began.elapsed() >= end {
            let (out, seconds) = (out.display(), end.as_secs());
            return Err(CannotRun(format!(
                "another build has been writing to {out} for {seconds} seconds; try again when it has ended, or name another \
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
