//! What a run reads, and the moment when it would read something else.

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::thread;
use std::time::Duration;

use crate::canonical::sha256;
use crate::cli::files::Disk;
use crate::world::{ReadFault, World};

/// How often files are looked at.
const EVERY: Duration = Duration::from_millis(200);
/// An editor may write a file in several goes: it counts when it has stayed the same for so long.
const SETTLED: Duration = Duration::from_millis(50);
/// So often that is asked for. A file that never stays the same is read as it is.
const TRIES: usize = 20;

/// The digests of what was read, and of what was not there, why.
pub type Seen = BTreeMap<String, Result<String, ReadFault>>;

/// A project that keeps in mind what was read of it.
pub struct Watched {
    disk: Disk,
    seen: Mutex<Seen>,
}

impl Watched {
    /// Of a project, of which nothing was read yet.
    pub fn of(disk: &Disk) -> Watched {
        Watched { disk: disk.clone(), seen: Mutex::default() }
    }

    /// What was read so far.
    pub fn seen(&self) -> Seen {
        self.seen.lock().map(|seen| seen.clone()).unwrap_or_default()
    }
}

impl World for Watched {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        let read = self.disk.read(path);
        if let Ok(mut seen) = self.seen.lock() {
            // What is read twice counts as it was at first: where it changed in between, that is a change.
            seen.entry(path.to_owned()).or_insert_with(|| digest(&read));
        }
        read
    }
}

fn digest(read: &Result<Vec<u8>, ReadFault>) -> Result<String, ReadFault> {
    read.as_ref().map(|bytes| sha256(bytes)).map_err(|fault| *fault)
}

fn as_now(disk: &Disk, seen: &Seen) -> Seen {
    seen.keys().map(|path| (path.clone(), digest(&disk.read(path)))).collect()
}

/// Waits until something that was seen is otherwise.
pub fn wait_for_change(disk: &Disk, seen: &Seen) {
    while as_now(disk, seen) == *seen {
        thread::sleep(EVERY);
    }
}

/// Waits, for a second at most, until what was seen stays as it is.
pub fn wait_until_settled(disk: &Disk, seen: &Seen) {
    let mut last = as_now(disk, seen);
    for _ in 0..TRIES {
        thread::sleep(SETTLED);
        let now = as_now(disk, seen);
        if now == last {
            return;
        }
        last = now;
    }
}
