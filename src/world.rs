//! Where text comes from.
//!
//! The core reads no files. Whoever calls it (the command line, the tests, later the language server and the fuzzers)
//! hands it a [`World`]. The standard library is part of the binary and answers under `std/`, whatever the world.

/// Gives files of one project by their path.
pub trait World {
    /// Reads a file whole. The path is relative to the project's root, with forward slashes and without `.` or `..`.
    ///
    /// # Errors
    /// Where the file does not exist, is not a regular file, lies outside the root after links are followed, is larger
    /// than the limit, or cannot be read.
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
