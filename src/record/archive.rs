//! A record that travels with its photographs: an archive whose entries are stored as they are. It is read where it lies in
//! memory; nothing is unpacked, and no name of it becomes a path.

use std::collections::BTreeMap;
use std::fmt;
use std::io::Read;

use rawzip::{CompressionMethod, ZipArchive, ZipFileHeaderRecord, ZipSliceArchive};

use super::bounds;
use super::event::is_plain_name;
use crate::diagnostics::visible;

/// The name of the record in it.
pub const RECORD: &str = "record.jsonl";
/// What the name of a photograph begins with.
pub const PHOTOS: &str = "photos/";

/// The parts of an archive.
#[derive(Debug)]
pub struct Archive<'a> {
    /// The record.
    pub record: &'a [u8],
    /// The photographs, by the names that the record calls them.
    pub photos: BTreeMap<String, &'a [u8]>,
}

/// Why an archive is none that holds a record. It prints as the end of "the archive cannot be used: …".
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ArchiveFault {
    /// More than [`bounds::ARCHIVE_BYTES`].
    TooLarge,
    /// No archive, or not all of one.
    Damaged,
    /// More than [`bounds::ARCHIVE_ENTRIES`].
    TooManyEntries,
    /// Entries that share bytes.
    Overlapping,
    /// An entry that stands twice: its name.
    Twice(String),
    /// No entry is called [`RECORD`].
    NoRecord,
    /// The record has more than [`bounds::RECORD_BYTES`].
    RecordTooLarge,
    /// The name of an entry is not UTF-8.
    NameIsNoText,
    /// An entry that is neither the record nor a photograph: its name, fit to be shown, at most 100 characters of it.
    Other(String),
    /// An entry that can't be read.
    Entry {
        /// Its name.
        name: String,
        /// Why.
        fault: EntryFault,
    },
}

/// Why an entry of an archive can't be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EntryFault {
    /// It needs a password.
    Encrypted,
    /// It is not stored as it is.
    Compressed,
    /// The archive states two sizes.
    OtherSize,
    /// A photograph of more than [`bounds::PHOTO_BYTES`].
    TooLarge,
    /// It ends early, or its check sum is another.
    Damaged,
    /// The archive states two names.
    OtherName,
}

impl fmt::Display for ArchiveFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ArchiveFault::TooLarge => f.write_str("it is larger than 512 MiB"),
            ArchiveFault::Damaged => f.write_str("it is damaged or cut off"),
            ArchiveFault::TooManyEntries => f.write_str("it has more than 2,000 entries"),
            ArchiveFault::Overlapping => f.write_str("its entries lie over each other"),
            ArchiveFault::Twice(name) => write!(f, "it holds `{name}` twice"),
            ArchiveFault::NoRecord => write!(f, "it holds no `{RECORD}`"),
            ArchiveFault::RecordTooLarge => write!(f, "its `{RECORD}` is larger than 64 MiB"),
            ArchiveFault::NameIsNoText => f.write_str("the name of an entry is no text"),
            ArchiveFault::Other(name) => {
                write!(f, "it holds `{name}`, and may hold only `{RECORD}` and `{PHOTOS}` with a plain name")
            }
            ArchiveFault::Entry { name, fault } => write!(f, "`{name}` {fault}"),
        }
    }
}

impl std::error::Error for ArchiveFault {}

impl fmt::Display for EntryFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            EntryFault::Encrypted => "is encrypted; save the record without a password",
            EntryFault::Compressed => {
                "is compressed; give the archive as the page saved it, or pack it without compression"
            }
            EntryFault::OtherSize => "has another size than the archive says",
            EntryFault::TooLarge => "is larger than 64 MiB",
            EntryFault::Damaged => "is damaged or cut off",
            EntryFault::OtherName => "has another name inside the archive",
        })
    }
}

/// Whether a file is an archive by its first bytes. No record begins so.
pub fn is_one(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// Reads an archive.
///
/// # Errors
/// Where it is none that holds a record, or is more than [`bounds`] allow.
pub fn read(bytes: &[u8]) -> Result<Archive<'_>, ArchiveFault> {
    if bytes.len() > bounds::ARCHIVE_BYTES {
        return Err(ArchiveFault::TooLarge);
    }
    let archive = ZipArchive::from_slice(bytes).map_err(|_| ArchiveFault::Damaged)?;
    let mut found = BTreeMap::new();
    let mut entries = archive.entries();
    let (mut count, mut total) = (0_u64, 0_usize);
    while let Some(entry) = entries.next_entry().map_err(|_| ArchiveFault::Damaged)? {
        count += 1;
        if count > bounds::ARCHIVE_ENTRIES {
            return Err(ArchiveFault::TooManyEntries);
        }
        let name = name_of(&entry)?;
        if name.ends_with('/') && entry.uncompressed_size_hint() == 0 {
            continue;
        }
        let data = data_of(bytes, &archive, &entry, &name)?;
        // Entries that lie over each other are how a small file pretends to be a large one.
        total = total.saturating_add(data.len());
        if total > bytes.len() {
            return Err(ArchiveFault::Overlapping);
        }
        if found.insert(name.clone(), data).is_some() {
            return Err(ArchiveFault::Twice(name));
        }
    }
    if count != archive.entries_hint() {
        return Err(ArchiveFault::Damaged);
    }
    let record = found.remove(RECORD).ok_or(ArchiveFault::NoRecord)?;
    if record.len() > bounds::RECORD_BYTES {
        return Err(ArchiveFault::RecordTooLarge);
    }
    let photos = found.into_iter().filter_map(|(name, data)| Some((name.strip_prefix(PHOTOS)?.to_owned(), data)));
    Ok(Archive { record, photos: photos.collect() })
}

/// The name of an entry, if it is one that such an archive has.
fn name_of(entry: &ZipFileHeaderRecord<'_>) -> Result<String, ArchiveFault> {
    let path = entry.file_path();
    let raw: &[u8] = path.as_ref();
    let name = std::str::from_utf8(raw).map_err(|_| ArchiveFault::NameIsNoText)?;
    let photo = name.strip_prefix(PHOTOS).is_some_and(|file| file.is_empty() || is_plain_name(file));
    if name == RECORD || photo {
        return Ok(name.to_owned());
    }
    let shown: String = visible(name).chars().take(100).collect();
    Err(ArchiveFault::Other(shown))
}

/// The bytes of an entry as they lie in the archive.
fn data_of<'a>(
    bytes: &'a [u8],
    archive: &ZipSliceArchive<&'a [u8]>,
    entry: &ZipFileHeaderRecord<'_>,
    name: &str,
) -> Result<&'a [u8], ArchiveFault> {
    let fault = |fault| Err(ArchiveFault::Entry { name: name.to_owned(), fault });
    if entry.flags().is_encrypted() {
        return fault(EntryFault::Encrypted);
    }
    if entry.compression_method() != CompressionMethod::STORE {
        return fault(EntryFault::Compressed);
    }
    let size = entry.uncompressed_size_hint();
    if size != entry.compressed_size_hint() {
        return fault(EntryFault::OtherSize);
    }
    if name != RECORD && size > bounds::PHOTO_BYTES {
        return fault(EntryFault::TooLarge);
    }
    let damaged = || ArchiveFault::Entry { name: name.to_owned(), fault: EntryFault::Damaged };
    let found = archive.get_entry(entry.wayfinder()).map_err(|_| damaged())?;
    if found.local_header().file_path().as_ref() != name.as_bytes() {
        return fault(EntryFault::OtherName);
    }
    let (from, to) = found.compressed_data_range();
    let range = usize::try_from(from).ok().zip(usize::try_from(to).ok());
    let data = range.and_then(|(from, to)| bytes.get(from..to)).ok_or_else(damaged)?;
    // Reading to the end compares the size and the check sum.
    std::io::copy(&mut found.verifying_reader(data).by_ref(), &mut std::io::sink()).map_err(|_| damaged())?;
    Ok(data)
}
