//! The texts that stand open in the editor, and the files around them.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::sync::Arc;

use lsp_types::Uri;

use crate::cli::files::Disk;
use crate::world::{LARGEST_FILE, ReadFault, World};

/// A text that stands open.
#[derive(Debug, Clone)]
pub struct Text {
    /// What the editor calls it.
    pub uri: Uri,
    /// The editor's number of this state of it.
    pub version: i32,
    /// As it stands in the editor, saved or not.
    pub text: Arc<str>,
    /// Its file, with all links of its folder followed; `None` for one that has no file.
    pub path: Option<PathBuf>,
}

/// The texts by their files.
pub type Open = Arc<BTreeMap<PathBuf, Arc<str>>>;

/// The file that a name of the editor means; `None` for what is no file.
pub fn path_of(uri: &Uri) -> Option<PathBuf> {
    let rest = uri.as_str().strip_prefix("file://")?;
    let path = rest.get(rest.find('/')?..)?.split(['?', '#']).next()?;
    let path = decoded(path)?;
    // `/C:/shop` is `C:/shop` where files stand on drives.
    let drive = path.as_bytes().get(2) == Some(&b':') && cfg!(windows);
    let path = PathBuf::from(if drive { path.get(1..)? } else { &path });
    Some(followed(&path))
}

/// The editor's name of a file.
pub fn uri_of(path: &Path) -> Option<Uri> {
    let text = path.to_str()?.replace('\\', "/");
    let mut uri = String::from(if text.starts_with('/') { "file://" } else { "file:///" });
    for byte in text.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'~' | b'/' => uri.push(byte.into()),
            other => uri.push_str(&format!("%{other:02X}")),
        }
    }
    Uri::from_str(&uri).ok()
}

fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::new();
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'%' => {
                let digits = [rest.next()?, rest.next()?];
                u8::from_str_radix(std::str::from_utf8(&digits).ok()?, 16).ok()?
            }
            other => other,
        });
    }
    String::from_utf8(bytes).ok()
}

/// A path whose folder has all links followed; the file itself need not be there yet.
pub fn followed(path: &Path) -> PathBuf {
    if let Ok(real) = std::fs::canonicalize(path) {
        return real;
    }
    let folder = path.parent().and_then(|folder| std::fs::canonicalize(folder).ok());
    match (folder, path.file_name()) {
        (Some(folder), Some(name)) => folder.join(name),
        _ => path.to_path_buf(),
    }
}

/// A project of which some texts stand open: those are read as they stand in the editor, all others from the disk.
pub struct Project {
    disk: Option<Disk>,
    open: Open,
    /// A text without a file, under the name that it is read by.
    alone: Option<(String, Arc<str>)>,
}

/// The name of a text that has no file.
const WITHOUT_FILE: &str = "untitled.fitw";

impl Project {
    /// The project of a text, and the text's path in it. `root` is the project's folder, where the editor names one that holds
    /// the file; else it is the file's own folder.
    pub fn of(text: &Text, root: Option<&Path>, open: &Open) -> (Project, String) {
        let found = text.path.as_deref().and_then(|path| {
            let root = root.filter(|root| path.starts_with(root)).or(path.parent())?;
            let disk = Disk::new(root).ok()?;
            let within = path.strip_prefix(disk.root()).ok()?.to_str()?.replace('\\', "/");
            Some((disk, within))
        });
        match found {
            Some((disk, within)) => (Project { disk: Some(disk), open: open.clone(), alone: None }, within),
            None => {
                let alone = Some((WITHOUT_FILE.to_owned(), text.text.clone()));
                (Project { disk: None, open: open.clone(), alone }, WITHOUT_FILE.to_owned())
            }
        }
    }

    /// The file of a path in the project.
    pub fn file(&self, path: &str) -> Option<PathBuf> {
        Some(followed(&self.disk.as_ref()?.root().join(path)))
    }
}

impl World for Project {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        if let Some((_, text)) = self.alone.as_ref().filter(|(name, _)| name == path) {
            return Ok(text.as_bytes().to_vec());
        }
        let disk = self.disk.as_ref().ok_or(ReadFault::Missing)?;
        let open = self.file(path).filter(|file| file.starts_with(disk.root())).and_then(|file| self.open.get(&file));
        match open {
            Some(text) if text.len() > LARGEST_FILE => Err(ReadFault::TooLarge),
            Some(text) => Ok(text.as_bytes().to_vec()),
            None => disk.read(path),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 3986: what a path may not hold as it is, is written with a per cent sign.
    #[test]
    fn names_of_files_are_read_as_they_are_written() {
        for name in ["/tmp", "/tmp/a b#c", "/tmp/Ø 12 %41/ü.fitw", "/tmp/🔩?x.fitw"] {
            let uri = uri_of(Path::new(name)).expect("a name");
            assert!(uri.as_str().is_ascii());
            assert_eq!(path_of(&uri).expect("a path"), followed(Path::new(name)));
        }
        let odd = |text: &str| Uri::from_str(text).ok().and_then(|uri| path_of(&uri));
        assert_eq!(odd("untitled:Untitled-1"), None);
        assert_eq!(odd("file:///tmp/%ff"), None);
        assert_eq!(odd("file:///tmp/x.fitw#L3"), Some(followed(Path::new("/tmp/x.fitw"))));
    }
}
