//! A baseline: warnings and notes that an old collection has, tolerated until somebody comes to them.
//!
//! It is kept apart from acceptances, which say why something is right. It holds no line numbers, so that an edit elsewhere
//! changes nothing, and one entry a finding, so that another fault of the same code isn't tolerated in its place. It only
//! shrinks: what is gone is taken out. An error is never in it.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::super::{CannotRun, one_file};
use crate::diagnostics::{Code, Severity};

/// What the file says it is.
const FORMAT: &str = "fitwright-baseline";
const VERSION: u32 = 1;
/// No baseline is larger.
const MOST_BYTES: u64 = 64 * 1024 * 1024;

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    format: String,
    version: u32,
    findings: Vec<Entry>,
}

/// One finding that is tolerated.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Where it stands.
    pub file: String,
    /// The file whose check raised it: that of a library may come from one procedure and not from another.
    pub checked: String,
    pub code: String,
    pub hash: String,
}

/// What is tolerated, and what of it was met.
#[derive(Debug, Default)]
pub struct Baseline {
    /// By hash; whether it was met.
    known: BTreeMap<String, (Entry, bool)>,
}

impl Baseline {
    /// Reads a baseline.
    ///
    /// # Errors
    /// Where it can't be read, is no baseline, or tolerates an error.
    pub fn read(path: &Path) -> Result<Baseline, CannotRun> {
        let about = fs::metadata(path).map_err(|error| CannotRun::reading(path, &error))?;
        if !about.is_file() || about.len() > MOST_BYTES {
            return Err(CannotRun(format!("{} is no baseline", path.display())));
        }
        let bytes = fs::read(path).map_err(|error| CannotRun::reading(path, &error))?;
        let written: Written = serde_json::from_slice(&bytes)
            .map_err(|error| CannotRun(format!("{} is no baseline: {error}", path.display())))?;
        if written.format != FORMAT || written.version != VERSION {
            return Err(CannotRun(format!("{} is no baseline of version {VERSION}", path.display())));
        }
        let mut known = BTreeMap::new();
        for entry in written.findings {
            match Code::parse(&entry.code) {
                Some(code) if code.severity() == Severity::Error => {
                    let why = format!("{} tolerates {code}, an error; errors are never tolerated", path.display());
                    return Err(CannotRun(why));
                }
                _ => known.insert(entry.hash.clone(), (entry, false)),
            };
        }
        Ok(Baseline { known })
    }

    /// Whether a finding is tolerated; it is noted as met.
    pub fn tolerates(&mut self, hash: &str) -> bool {
        self.known.get_mut(hash).map(|(_, met)| *met = true).is_some()
    }

    /// What was not met where the check could have raised it.
    pub fn gone(&self, looked_at: impl Fn(&str) -> bool) -> Vec<&Entry> {
        self.known.values().filter(|(entry, met)| !met && looked_at(&entry.checked)).map(|(entry, _)| entry).collect()
    }

    /// What stays when that is taken out.
    pub fn kept(&self, looked_at: impl Fn(&str) -> bool) -> Vec<Entry> {
        self.known
            .values()
            .filter(|(entry, met)| *met || !looked_at(&entry.checked))
            .map(|(entry, _)| entry.clone())
            .collect()
    }
}

/// Writes a baseline, in an order that a comparison of versions can follow.
///
/// # Errors
/// Where the file can't be written.
pub fn write(path: &Path, mut entries: Vec<Entry>) -> Result<(), CannotRun> {
    entries.sort();
    entries.dedup();
    let written = Written { format: FORMAT.to_owned(), version: VERSION, findings: entries };
    let text = serde_json::to_string_pretty(&written)
        .map_err(|error| CannotRun(format!("{} is not written: {error}", path.display())))?;
    one_file::write(path, (text + "\n").as_bytes(), &[])
}
