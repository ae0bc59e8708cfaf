//! What many procedures read: each file once, with its digest, and for each procedure the list of what it was made from.
//!
//! So all procedures of a run see the same text of a library, whoever writes to it meanwhile.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::files::Disk;
use crate::canonical;
use crate::world::{ReadFault, World};

/// A file as it was read, or why it was not.
type Content = Result<Vec<u8>, ReadFault>;

#[derive(Debug, Default)]
struct Entry {
    content: OnceLock<Content>,
    digest: OnceLock<String>,
}

/// The files that a run has read.
#[derive(Debug, Default)]
pub struct Files {
    /// By folder of the project and path in it.
    read: Mutex<HashMap<(PathBuf, String), Arc<Entry>>>,
}

impl Files {
    fn entry(&self, disk: &Disk, path: &str) -> Arc<Entry> {
        let mut read = self.read.lock().unwrap_or_else(PoisonError::into_inner);
        read.entry((disk.root().to_path_buf(), path.to_owned())).or_default().clone()
    }

    fn content(entry: &Entry, disk: &Disk, path: &str) -> Content {
        entry.content.get_or_init(|| disk.read(path)).clone()
    }

    /// The digest of a file, or in words why it can't be read.
    pub fn digest(&self, disk: &Disk, path: &str) -> String {
        let entry = self.entry(disk, path);
        let digest = entry.digest.get_or_init(|| match Files::content(&entry, disk, path) {
            Ok(bytes) => canonical::sha256(&bytes),
            Err(fault) => fault.to_string(),
        });
        digest.clone()
    }
}

/// The project of one procedure, which notes what is read of it.
pub struct Reading<'a> {
    files: &'a Files,
    disk: &'a Disk,
    asked: Mutex<BTreeSet<String>>,
}

impl<'a> Reading<'a> {
    pub fn new(files: &'a Files, disk: &'a Disk) -> Reading<'a> {
        Reading { files, disk, asked: Mutex::default() }
    }

    /// What was read, or could not be: paths in the project, each with its digest or what was wrong with it.
    pub fn asked(&self) -> BTreeMap<String, String> {
        let asked = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
        asked.iter().map(|path| (path.clone(), self.files.digest(self.disk, path))).collect()
    }
}

impl World for Reading<'_> {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        let entry = self.files.entry(self.disk, path);
        self.asked.lock().unwrap_or_else(PoisonError::into_inner).insert(path.to_owned());
        Files::content(&entry, self.disk, path)
    }
}
