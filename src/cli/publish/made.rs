//! What each folder of a build was made from, so that what is the same need not be made again.
//!
//! A record says: by this program, with these options, from files with these digests came a folder with files of these
//! digests. All of a build follows from that, so a record stays true whatever happens afterwards; it serves nobody else, and
//! where it is missing, damaged or cannot be written, the folder is built again.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Component, Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::{MANIFEST, disk, is_plain, place};
use crate::canonical::sha256;
use crate::cli::{CannotRun, one_file};

/// The folder of the records, in the output folder.
pub const MADE: &str = ".fitwright-made";
/// What a record calls itself.
const FORMAT: &str = "fitwright-made-1";
/// No record is larger, in bytes: it has a line a file.
const MOST_BYTES: u64 = 4 * 1024 * 1024;

/// Where one folder came from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Made {
    /// What it is, and which version of that.
    pub format: String,
    /// What the program was made from.
    pub program: String,
    /// The procedure's path in its project.
    pub path: String,
    /// What the call asked for beside it.
    pub options: Vec<String>,
    /// What was read of the project: paths in it, each with its digest.
    pub reads: BTreeMap<String, String>,
    /// Whether nothing at all was found: no error, warning or note.
    pub silent: bool,
    /// The name of the folder.
    pub folder: String,
    /// What was written to it: paths in it, each with its digest.
    pub outputs: BTreeMap<String, String>,
}

impl Made {
    pub fn new(program: &str, path: &str, options: &[String]) -> Made {
        Made {
            format: FORMAT.to_owned(),
            program: program.to_owned(),
            path: path.to_owned(),
            options: options.to_vec(),
            reads: BTreeMap::new(),
            silent: false,
            folder: String::new(),
            outputs: BTreeMap::new(),
        }
    }

    /// The record of a build by this program of this procedure with these options, if there is one.
    pub fn find(out: &Path, key: &str, program: &str, path: &str, options: &[String]) -> Option<Made> {
        let folder = out.join(MADE);
        let file = folder.join(format!("{key}.json"));
        let about = fs::symlink_metadata(&file).ok()?;
        if !disk::is_folder(&folder).ok()? || !about.is_file() || about.len() > MOST_BYTES {
            return None;
        }
        let made: Made = serde_json::from_slice(&fs::read(file).ok()?).ok()?;
        let same = made.format == FORMAT && made.program == program && made.path == path && made.options == options;
        (same && is_plain(&made.folder)).then_some(made)
    }

    /// Whether the folder still is what was written, to the byte. Files of others in it are no matter.
    pub fn stands(&self, out: &Path) -> bool {
        let place = out.join(&self.folder);
        let is_real = |path: &Path| disk::is_folder(path).unwrap_or(false);
        let is_same = |(name, digest): (&String, &String)| {
            let plain = name.split('/').all(|part| !part.is_empty() && part != "." && part != "..");
            let above = name.match_indices('/').filter_map(|(end, _)| name.get(..end));
            plain && above.map(|part| place.join(part)).all(|part| is_real(&part)) && {
                let file = place.join(name);
                fs::symlink_metadata(&file).is_ok_and(|about| about.is_file())
                    && fs::read(&file).is_ok_and(|bytes| sha256(&bytes) == *digest)
            }
        };
        self.outputs.contains_key(MANIFEST) && is_real(&place) && self.outputs.iter().all(is_same)
    }
}

/// The name of the record of a procedure built to a folder with these options: the same when all of it is moved elsewhere.
pub fn key(out: &Path, procedure: &Path, options: &[String]) -> String {
    let (out, procedure) = (place::real_path(out).unwrap_or_else(|_| out.to_path_buf()), real(procedure));
    let mut from: Vec<Component<'_>> = out.components().collect();
    let mut to: Vec<Component<'_>> = procedure.components().collect();
    let alike = from.iter().zip(&to).take_while(|(one, other)| one == other).count();
    from.drain(..alike);
    to.drain(..alike);
    let mut text = "../".repeat(from.len());
    to.iter().for_each(|part| text.push_str(&format!("{}/", part.as_os_str().to_string_lossy())));
    options.iter().for_each(|option| text.push_str(&format!("\n{option}")));
    sha256(text.as_bytes()).chars().take(32).collect()
}

fn real(path: &Path) -> PathBuf {
    fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf())
}

/// Writes records, under the lock. That some can't be written is told, and no fault: those folders are built again.
pub fn keep(out: &Path, records: &[(String, Made)]) -> Option<String> {
    if records.is_empty() {
        return None;
    }
    let folder = out.join(MADE);
    let kept = match disk::at(&folder) {
        Ok(None) => fs::create_dir(&folder).map_err(|error| CannotRun::writing(&folder, &error)),
        Ok(Some(about)) if about.is_dir() => Ok(()),
        Ok(Some(_)) => {
            Err(CannotRun(format!("{} is not the folder that a build keeps its records in", folder.display())))
        }
        Err(error) => Err(error),
    };
    let kept = kept.and_then(|()| {
        records.iter().try_for_each(|(key, made)| {
            let bytes = serde_json::to_vec_pretty(made).unwrap_or_default();
            one_file::write(&folder.join(format!("{key}.json")), &bytes, &[])
        })
    });
    kept.err().map(|CannotRun(why)| format!("What was built is built again next time: {why}."))
}
