//! `library`: the values of a library with their sources, to be audited.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use super::terminal::Stream;
use super::{CannotRun, Verdict};
use crate::audit;
use crate::diagnostics::render::counted;
use crate::world::LARGEST_FILE;

/// The standard library, or the library in a file.
pub fn run(path: Option<&Path>) -> Result<Verdict, CannotRun> {
    let page = match path {
        None => audit::standard_page(),
        Some(path) => {
            let text = text_of(path)?;
            let faults = audit::faults(&text);
            if faults > 0 {
                let faults = counted(faults, "fault");
                let path = path.display();
                return Err(CannotRun(format!(
                    "{path} has {faults}, and its page would lack what can't be read; run `fitwright check {path}`"
                )));
            }
            let name = path.file_stem().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
            audit::page(
                &format!("The library {name}: values, sources, marks"),
                [(name.as_str(), text.as_str())].into_iter(),
            )
        }
    };
    let mut output = Stream::output();
    output.say(&page);
    output.finish()?;
    Ok(Verdict::Clean)
}

/// A file's text, of which no more is read than a source file may have: a device has no end.
fn text_of(path: &Path) -> Result<String, CannotRun> {
    let cannot = |error: std::io::Error| CannotRun::reading(path, &error);
    let limit = LARGEST_FILE as u64;
    let mut bytes = Vec::new();
    File::open(path).map_err(cannot)?.take(limit + 1).read_to_end(&mut bytes).map_err(cannot)?;
    if bytes.len() > LARGEST_FILE {
        return Err(CannotRun(format!("{} is too large for a library: more than {} MiB", path.display(), limit >> 20)));
    }
    String::from_utf8(bytes).map_err(|_| CannotRun(format!("{} is not UTF-8 text", path.display())))
}
