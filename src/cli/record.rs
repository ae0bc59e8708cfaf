//! `record`: judges the record of a job by its checklist.

use std::collections::BTreeMap;
use std::fs;
use std::io::{Read, Write};
use std::path::Path;

use super::check::Report;
use super::terminal::Stream;
use super::{CannotRun, Format, RecordArguments, Verdict, one_file};
use crate::diagnostics::render::{Style, counted};
use crate::diagnostics::visible;
use crate::labels::{english, speaking};
use crate::record::{self, Beside, Judgement, Outcome, archive, bounds};
use crate::source::Sources;
use crate::{diagnostics::Finding, emit};

/// No more of a picture is read; a larger one does not fit its recorded size, or nobody's disk.
const LARGEST_PICTURE: u64 = 512 << 20;

pub fn run(arguments: &RecordArguments) -> Result<Verdict, CannotRun> {
    let checklist = read(&arguments.checklist, bounds::CHECKLIST_BYTES)?;
    let bytes = read_bytes(&arguments.record, bounds::ARCHIVE_BYTES)?;
    let Opened { name, text, photos } = open(&arguments.record, &bytes)?;
    let mut sources = Sources::default();
    let checklist_file = sources.add(name_of(&arguments.checklist), checklist.as_str());
    let record_file = sources.add(name, text.as_str());

    let folder = arguments.photos.as_deref();
    if let Some(folder) = folder.filter(|folder| !folder.is_dir()) {
        return Err(CannotRun(format!("{} is not a folder", folder.display())));
    }
    // A picture's name is a plain one; the reader of events refuses any other.
    let pictures = |name: &str| {
        if let Some(photo) = photos.as_ref().and_then(|photos| photos.get(name)) {
            return Some(photo.to_vec());
        }
        let mut bytes = Vec::new();
        let path = folder?.join(name);
        // Asked before opening: to open a pipe is to wait for its other end.
        if !fs::metadata(&path).ok()?.is_file() {
            return None;
        }
        fs::File::open(path).ok()?.take(LARGEST_PICTURE).read_to_end(&mut bytes).ok()?;
        Some(bytes)
    };
    let at_hand = folder.is_some() || photos.is_some();
    let beside = Beside { pictures: at_hand.then_some(&pictures), head: arguments.head.as_deref() };
    let judgement = record::judge(&checklist, &text, beside);
    let findings = record::words::findings(&judgement, &sources, checklist_file, record_file);
    let page = match &arguments.summary {
        Some(_) => Some(speaking(judgement.definition.as_ref().map_or_else(english, |of| of.language), || {
            let said = record::words::findings(&judgement, &sources, checklist_file, record_file);
            summary(&judgement, &said, &sources)
        })?),
        None => None,
    };
    match (&arguments.summary, page) {
        (Some(path), Some(page)) if path.as_os_str() == "-" => {
            let mut output = Stream::output();
            output.say(&page);
            output.finish()?;
            // The page has standard output for itself.
            let errors = Stream::errors();
            let style = errors.style();
            return tell(errors, style, arguments, &judgement, &findings, &sources);
        }
        (Some(path), Some(page)) => {
            one_file::write(path, page.as_bytes(), &[&arguments.checklist, &arguments.record])?;
        }
        _ => {}
    }
    let output = Stream::output();
    let style = output.style();
    tell(output, style, arguments, &judgement, &findings, &sources)
}

/// Prints what was found and what the record comes to.
fn tell<W: Write>(
    mut to: Stream<W>,
    style: Style,
    arguments: &RecordArguments,
    judgement: &Judgement,
    findings: &[Finding],
    sources: &Sources,
) -> Result<Verdict, CannotRun> {
    let mut report = Report::new(arguments.format.into(), style);
    to.say(&report.add_findings(findings, sources));
    if arguments.format == Format::Human {
        to.say(&closing(&report, judgement));
    }
    to.finish()?;
    Ok(report.verdict(arguments.deny))
}

/// A record as it came: alone, or in an archive with its photographs.
struct Opened<'a> {
    name: String,
    text: String,
    photos: Option<BTreeMap<String, &'a [u8]>>,
}

fn open<'a>(path: &Path, bytes: &'a [u8]) -> Result<Opened<'a>, CannotRun> {
    if !archive::is_one(bytes) {
        return Ok(Opened { name: name_of(path), text: text_of(path, bytes, bounds::RECORD_BYTES)?, photos: None });
    }
    let parts = archive::read(bytes)
        .map_err(|why| CannotRun(format!("the archive {} cannot be used: {why}", path.display())))?;
    let inner = path.join(archive::RECORD);
    let text = text_of(&inner, parts.record, bounds::RECORD_BYTES)?;
    Ok(Opened { name: name_of(&inner), text, photos: Some(parts.photos) })
}

/// A file of text, of which no more is read than would be judged.
pub(super) fn read(path: &Path, most: usize) -> Result<String, CannotRun> {
    text_of(path, &read_bytes(path, most)?, most)
}

pub(super) fn read_bytes(path: &Path, most: usize) -> Result<Vec<u8>, CannotRun> {
    let fault = |error| CannotRun::reading(path, &error);
    let mut bytes = Vec::new();
    // One byte more, so that the judge sees that there is too much.
    let limit = u64::try_from(most).unwrap_or(u64::MAX).saturating_add(1);
    fs::File::open(path).map_err(fault)?.take(limit).read_to_end(&mut bytes).map_err(fault)?;
    Ok(bytes)
}

fn text_of(path: &Path, bytes: &[u8], most: usize) -> Result<String, CannotRun> {
    if let Some(more) = bytes.get(..most.saturating_add(1)) {
        // Too much to be judged, and that is what the judge will say; the cut may go through a character.
        return Ok(String::from_utf8_lossy(more).into_owned());
    }
    let text = std::str::from_utf8(bytes);
    text.map(str::to_owned).map_err(|_| CannotRun(format!("{} is not a file of text (UTF-8)", path.display())))
}

fn name_of(path: &Path) -> String {
    path.display().to_string().replace('\\', "/")
}

/// The page for customer and file, in the language that is spoken.
fn summary(judgement: &Judgement, findings: &[Finding], sources: &Sources) -> Result<String, CannotRun> {
    let page = record::view(judgement, findings, sources).ok_or_else(|| {
        CannotRun("there is no summary: nothing of this record can be judged by this checklist".to_owned())
    })?;
    let bytes = emit::record_summary(&page).map_err(|error| CannotRun(error.to_string()))?;
    String::from_utf8(bytes).map_err(|error| CannotRun(error.to_string()))
}

/// The last line: what the record comes to.
fn closing(report: &Report, judgement: &Judgement) -> String {
    let outcome = match judgement.outcome {
        Outcome::Open => "not finished",
        Outcome::HandedOver => "handed over",
        Outcome::Stopped => "stopped as the procedure says",
        Outcome::BrokenOff => "broken off",
    };
    let steps = judgement.path.iter().filter(|one| one.done).count();
    let words: Vec<&str> = judgement.verdicts().into_iter().map(record::Verdict::word).collect();
    let mut text = if report.any() { "\n".to_owned() } else { String::new() };
    let judged = counted(judgement.lines(), "line");
    let steps = counted(steps, "step");
    text.push_str(&format!("{}: {outcome}, {steps} done, {judged} judged.\n", words.join(", ")));
    for due in &judgement.due {
        text.push_str(&format!("Due after the job: {}\n", visible(due)));
    }
    if let Some(head) = &judgement.head {
        text.push_str(&format!("Head of the record: {}\n", visible(head)));
    }
    text
}
