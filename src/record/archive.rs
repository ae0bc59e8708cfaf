//! A record that travels with its photographs: an archive whose entries are stored as they are. It is read where it lies in
//! memory; nothing is unpacked, and no name of it becomes a path.

use std::collections::BTreeMap;
use std::io::Read;

use rawzip::{CompressionMethod, ZipArchive, ZipFileHeaderRecord, ZipSliceArchive};

use super::bounds;
use super::event::is_plain_name;
use crate::diagnostics::render::visible;

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

/// Whether a file is an archive by its first bytes. No record begins so.
pub fn is_one(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// Reads an archive.
///
/// # Errors
/// One sentence on why it is none that holds a record, as the end of "the archive cannot be used: …".
pub fn read(bytes: &[u8]) -> Result<Archive<'_>, String> {
    if bytes.len() > bounds::ARCHIVE_BYTES {
        return Err("it is larger than 512 MiB".to_owned());
    }
    let archive = ZipArchive::from_slice(bytes).map_err(|_| DAMAGED.to_owned())?;
    let mut found = BTreeMap::new();
    let mut entries = archive.entries();
    let (mut count, mut total) = (0_u64, 0_usize);
    while let Some(entry) = entries.next_entry().map_err(|_| DAMAGED.to_owned())? {
        count += 1;
        if count > bounds::ARCHIVE_ENTRIES {
            return Err("it has more than 2,000 entries".to_owned());
        }
        let name = name_of(&entry)?;
        if name.ends_with('/') && entry.uncompressed_size_hint() == 0 {
            continue;
        }
        let data = data_of(bytes, &archive, &entry, &name)?;
        // Entries that lie over each other are how a small file pretends to be a large one.
        total = total.saturating_add(data.len());
        if total > bytes.len() {
            return Err("its entries lie over each other".to_owned());
        }
        if found.insert(name.clone(), data).is_some() {
            return Err(format!("it holds `{name}` twice"));
        }
    }
    if count != archive.entries_hint() {
        return Err(DAMAGED.to_owned());
    }
    let record = found.remove(RECORD).ok_or_else(|| format!("it holds no `{RECORD}`"))?;
    if record.len() > bounds::RECORD_BYTES {
        return Err(format!("its `{RECORD}` is larger than 64 MiB"));
    }
    let photos = found.into_iter().filter_map(|(name, data)| Some((name.strip_prefix(PHOTOS)?.to_owned(), data)));
    Ok(Archive { record, photos: photos.collect() })
}

const DAMAGED: &str = "it is damaged or cut off";

/// The name of an entry, if it is one that such an archive has.
fn name_of(entry: &ZipFileHeaderRecord<'_>) -> Result<String, String> {
    let path = entry.file_path();
    let raw: &[u8] = path.as_ref();
    let name = std::str::from_utf8(raw).map_err(|_| "the name of an entry is no text".to_owned())?;
    let photo = name.strip_prefix(PHOTOS).is_some_and(|file| file.is_empty() || is_plain_name(file));
    if name == RECORD || photo {
        return Ok(name.to_owned());
    }
    let shown: String = visible(name).chars().take(100).collect();
    Err(format!("it holds `{shown}`, and may hold only `{RECORD}` and `{PHOTOS}` with a plain name"))
}

/// The bytes of an entry as they lie in the archive.
fn data_of<'a>(
    bytes: &'a [u8],
    archive: &ZipSliceArchive<&'a [u8]>,
    entry: &ZipFileHeaderRecord<'_>,
    name: &str,
) -> Result<&'a [u8], String> {
    if entry.flags().is_encrypted() {
        return Err(format!("`{name}` is encrypted; save the record without a password"));
    }
    if entry.compression_method() != CompressionMethod::STORE {
        return Err(format!(
            "`{name}` is compressed; give the archive as the page saved it, or pack it without compression"
        ));
    }
    let size = entry.uncompressed_size_hint();
    if size != entry.compressed_size_hint() {
        return Err(format!("`{name}` has another size than the archive says"));
    }
    if name != RECORD && size > bounds::PHOTO_BYTES {
        return Err(format!("`{name}` is larger than 64 MiB"));
    }
    let damaged = || format!("`{name}` is damaged or cut off");
    let found = archive.get_entry(entry.wayfinder()).map_err(|_| damaged())?;
    if found.local_header().file_path().as_ref() != name.as_bytes() {
        return Err(format!("`{name}` has another name inside the archive"));
    }
    let (from, to) = found.compressed_data_range();
    let range = usize::try_from(from).ok().zip(usize::try_from(to).ok());
    let data = range.and_then(|(from, to)| bytes.get(from..to)).ok_or_else(damaged)?;
    // Reading to the end compares the size and the check sum.
    std::io::copy(&mut found.verifying_reader(data).by_ref(), &mut std::io::sink()).map_err(|_| damaged())?;
    Ok(data)
}
