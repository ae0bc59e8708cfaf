//! Writes a build: all of it or nothing.
//!
//! Every procedure has a folder of its own under the output folder. What belongs to the program is what a folder's
//! `build.json` lists; all else in it is *foreign* and stays, whatever it is and however it is named.
//!
//! New folders are written whole beside the old ones, on the *stage*, as soon as there are so many that they should not wait in
//! memory (`publication`). When all of them are there and on the disk, a mark is set; from then on the build counts, and the folders change places with the old ones by renaming. A build that is
//! killed before the mark is taken back by the next one, and one that is killed after it is completed, so that the set is
//! never a mixed one for longer than until then. A lock on the output folder keeps builds apart; the system drops it with
//! the process that holds it.
//!
//! Beside the folders stands a record of what each was made from (`made`), by which the next build knows what is the same.
//!
//! No link is followed below the output folder, and nothing is written over what the program did not write.

mod disk;
mod leftovers;
mod lock;
mod made;
mod place;
mod publication;
mod stage;
mod swap;

use std::collections::BTreeMap;
use std::path::Path;

use super::CannotRun;
pub use made::{Made, key};
pub use place::real_path;
pub use publication::Publication;

/// The list of what a build wrote, in each folder.
pub const MANIFEST: &str = "build.json";
/// What a manifest calls itself.
const MANIFEST_FORMAT: &str = "fitwright-build";
/// The stage: new folders, not yet in their place.
const STAGE: &str = ".fitwright-new";
/// On the stage: all new folders are whole.
const MARK: &str = ".whole";
/// Begins the name of an old folder that is about to go.
const ASIDE: &str = ".fitwright-old-";
/// Held while a build writes.
const LOCK: &str = ".fitwright-lock";

/// What one procedure's folder shall hold.
#[derive(Debug, Clone)]
pub struct Folder {
    /// Its name: the procedure's.
    pub name: String,
    /// Paths in it, with forward slashes, and their bytes. One is the manifest.
    pub files: BTreeMap<String, Vec<u8>>,
}

/// Completes or takes back what a killed build has left, so that what stands in `out` can be looked at.
///
/// # Errors
/// Where `out` must not be written to, or the system refuses.
pub fn tidy(out: &Path) -> Result<Vec<String>, CannotRun> {
    place::refuse_harm(out, &[])?;
    if !out.is_dir() || !leftovers::any(out)? {
        return Ok(Vec::new());
    }
    let _lock = lock::take(out)?;
    leftovers::tidy(out)
}

/// Whether a name can be that of a folder that a build makes: one part, and nothing that leads elsewhere.
fn is_plain(name: &str) -> bool {
    name.chars().next().is_some_and(char::is_alphanumeric)
        && name.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.'))
}

#[cfg(test)]
mod tests;
