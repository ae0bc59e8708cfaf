//! `format`: sets sources in their one form.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::project::{self, Project};
use super::terminal::Stream;
use super::{CannotRun, FormatArguments, Verdict, files, one_file};
use crate::diagnostics::render;
use crate::diagnostics::visible;
use crate::format::{Refusal, format_bytes};
use crate::source::Sources;
use crate::world::LARGEST_FILE;

/// The path that means the streams.
const STREAMS: &str = "-";

pub fn run(arguments: &FormatArguments) -> Result<Verdict, CannotRun> {
    if arguments.paths.iter().any(|path| path.as_os_str() == STREAMS) {
        return match arguments.paths.as_slice() {
            [_] => streams(arguments.check),
            _ => Err(CannotRun("- stands for standard input, and has no other path beside it".to_owned())),
        };
    }
    let sources = if arguments.paths.is_empty() {
        let project = Project::wanted(&[], None)?.ok_or_else(project::missing)?;
        files::once(files::sources(&project.listed())?)
    } else {
        files::sources(&arguments.paths)?
    };
    let (mut output, mut errors) = (Stream::output(), Stream::errors());
    let mut verdict = Verdict::Clean;
    let mut changed = 0;
    for path in &sources {
        let name = path.display().to_string();
        let bytes = read(path)?;
        match format_bytes(&bytes) {
            Ok(text) if text.as_bytes() == bytes => {}
            Ok(text) => {
                changed += 1;
                if arguments.check {
                    verdict = verdict.max(Verdict::Findings);
                } else if let Err(CannotRun(why)) = one_file::write(path, text.as_bytes(), &[]) {
                    // The files after it are set all the same.
                    errors.say(&format!("fitwright: {}\n", visible(&why)));
                    verdict = Verdict::CouldNotRun;
                    changed -= 1;
                    continue;
                }
                output.say(&format!("{}\n", visible(&name)));
            }
            Err(refusal) => {
                verdict = verdict.max(Verdict::Findings);
                tell(&mut errors, &name, &bytes, &refusal);
            }
        }
    }
    let did = if arguments.check { "would change" } else { "changed" };
    output.say(&format!("{}, {changed} {did}.\n", render::counted(sources.len(), "file")));
    output.finish()?;
    errors.finish()?;
    Ok(verdict)
}

/// From standard input to standard output. With `--check` nothing is printed but whether it would change.
fn streams(check: bool) -> Result<Verdict, CannotRun> {
    let mut bytes = Vec::new();
    let most = LARGEST_FILE as u64 + 1;
    std::io::stdin()
        .take(most)
        .read_to_end(&mut bytes)
        .map_err(|error| CannotRun::reading(Path::new("standard input"), &error))?;
    let (mut output, mut errors) = (Stream::output(), Stream::errors());
    let verdict = match format_bytes(&bytes) {
        Ok(text) if check => {
            let same = text.as_bytes() == bytes;
            output.say(if same { "" } else { "standard input would change\n" });
            if same { Verdict::Clean } else { Verdict::Findings }
        }
        Ok(text) => {
            output.say(&text);
            Verdict::Clean
        }
        Err(refusal) => {
            tell(&mut errors, "standard input", &bytes, &refusal);
            Verdict::Findings
        }
    };
    output.finish()?;
    errors.finish()?;
    Ok(verdict)
}

/// Says why a file is left as it is.
fn tell(errors: &mut Stream<std::io::Stderr>, name: &str, bytes: &[u8], refusal: &Refusal) {
    let text = String::from_utf8_lossy(bytes);
    let mut sources = Sources::default();
    sources.add(name, text.strip_prefix('\u{feff}').unwrap_or(&text));
    let style = errors.style();
    errors.say(&render::human(refusal.findings(), &sources, style));
    errors.say(&format!("fitwright: {}: {refusal}\n", visible(name)));
}

fn read(path: &PathBuf) -> Result<Vec<u8>, CannotRun> {
    let cannot = |error: std::io::Error| CannotRun::reading(path, &error);
    let mut bytes = Vec::new();
    fs::File::open(path).map_err(cannot)?.take(LARGEST_FILE as u64 + 1).read_to_end(&mut bytes).map_err(cannot)?;
    Ok(bytes)
}
