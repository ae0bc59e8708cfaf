//! `library`: the values of a library with their sources, to be audited.

use std::path::Path;

use super::terminal::Stream;
use super::{CannotRun, Verdict};
use crate::audit;

/// The standard library, or the library in a file.
pub fn run(path: Option<&Path>) -> Result<Verdict, CannotRun> {
    let page = match path {
        None => audit::standard_page(),
        Some(path) => {
            let bytes = std::fs::read(path).map_err(|error| CannotRun::reading(path, &error))?;
            let text =
                String::from_utf8(bytes).map_err(|_| CannotRun(format!("{} is not UTF-8 text", path.display())))?;
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
