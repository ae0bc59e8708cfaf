//! What many procedures read: each file once, with its digest, and for each procedure the list of what it was made from.
//!
//! So all procedures of a run see the same text of a library, whoever writes to it meanwhile.
//! A procedure's own text is let go once it was worked on; its digest stays, and who built upon another one builds again.

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
    /// `None` until it is read, and once it was let go.
    content: Mutex<Option<Content>>,
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
        let mut content = entry.content.lock().unwrap_or_else(PoisonError::into_inner);
        content.get_or_insert_with(|| disk.read(path)).clone()
    }

    /// Lets the content of a file go, but for its digest.
    pub fn forget(&self, disk: &Disk, path: &str) {
        self.digest(disk, path);
        *self.entry(disk, path).content.lock().unwrap_or_else(PoisonError::into_inner) = None;
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

#[cfg(test)]
mod tests {
    use super::*;
    use std::{env, fs};

    /// What was let go is read anew, and is known by what it was first.
    #[test]
    fn a_library_stays_as_it_was_read_and_a_procedure_by_its_digest() {
        let folder = env::temp_dir().join(format!("fitwright-reading-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("a folder");
        let disk = Disk::new(&folder).expect("it is there");
        let write =
            |text: &str| ["job.fitw", "lib.fitw"].map(|name| fs::write(folder.join(name), text).expect("written"));
        let files = Files::default();
        let read = |path: &str| {
            let reading = Reading::new(&files, &disk);
            let text = reading.read(path).expect("it is there");
            (String::from_utf8(text).expect("text"), reading.asked().remove(path).expect("it was asked for"))
        };
        write("old");
        let (job, lib) = (read("job.fitw"), read("lib.fitw"));
        assert_eq!((job.0.as_str(), &job), ("old", &lib));
        files.forget(&disk, "job.fitw");
        write("new");
        assert_eq!(read("lib.fitw"), lib);
        assert_eq!(read("job.fitw"), ("new".to_owned(), job.1));
        fs::remove_dir_all(folder).expect("removed");
    }
}
