//! Where text comes from.
//!
//! The core reads no files. Whoever calls it (the command line, the tests, later the language server and the fuzzers)
//! hands it a [`World`]. The standard library is part of the binary and answers under `std/`, whatever the world.

use std::collections::BTreeMap;
use std::fmt;

/// Gives files of one project by their path.
pub trait World {
    /// Reads a file whole. The path is relative to the project's root, with forward slashes and without `.` or `..`.
    ///
    /// # Errors
    /// Where the file does not exist, is not a regular file, lies outside the root after links are followed, is larger
    /// than [`LARGEST_FILE`], or cannot be read.
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault>;
}

/// Why a file could not be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadFault {
    /// There is none.
    Missing,
    /// It is a directory, a device or a pipe.
    NotAFile,
    /// A link leads out of the project.
    Outside,
    /// It is larger than the limit.
    TooLarge,
    /// The system refused.
    Refused,
}

impl fmt::Display for ReadFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            ReadFault::Missing => "there is no such file",
            ReadFault::NotAFile => "this is not a file that can be read as text",
            ReadFault::Outside => "it lies outside the project's folder",
            ReadFault::TooLarge => "the file is too large",
            ReadFault::Refused => "the system does not allow it to be read",
        })
    }
}

impl std::error::Error for ReadFault {}

/// No file of a project may be larger, in bytes. A procedure of a thousand pages is smaller.
pub const LARGEST_FILE: usize = 16 * 1024 * 1024;

/// A project in memory: the built-in demos, the tests, the fuzzers.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    files: BTreeMap<String, Vec<u8>>,
}

impl Memory {
    /// Adds a file, or replaces it.
    #[must_use]
    pub fn with(mut self, path: impl Into<String>, bytes: impl Into<Vec<u8>>) -> Self {
        self.files.insert(path.into(), bytes.into());
        self
    }
}

impl World for Memory {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        let bytes = self.files.get(path).ok_or(ReadFault::Missing)?;
        if bytes.len() > LARGEST_FILE { Err(ReadFault::TooLarge) } else { Ok(bytes.clone()) }
    }
}
