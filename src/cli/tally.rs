//! `tally`: many records of one procedure, counted together.

use std::fs;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

use super::record::{read, read_bytes};
use super::terminal::{Progress, Stream};
use super::{CannotRun, Format, Verdict, one_file, parallel};
use crate::diagnostics::{render::counted, visible};
use crate::emit;
use crate::record::{self, Beside, ChecklistFault, archive, bounds};
use crate::source::Sources;
use crate::tally::{Head, LeftOut, Line, Lists, One, Refused, Revision, Tally};

pub const HELP: &str = "\
Each record is judged first. One that was altered, that cannot be read, or that is by none of the checklists is named and left
out. A folder of records means what ends in .jsonl or .zip in it, and in its folders. A folder of checklists means the .json
files in it and the checklist.json of each folder in it; with several, each record goes to the one that its digest names.

Examples:
  fitwright tally out/kestrel-rack/checklist.json records/
  fitwright tally --out tally out/kestrel-rack/checklist.json records/
  fitwright tally old/checklist.json --checklist new/checklist.json records/ more/van-12.zip

Exit codes:
  0  all records were counted
  1  some were left out, and are named
  2  it could not run: a checklist that cannot be used, no record at all, a wrong option";

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// How to print: for people, or all figures as one JSON object a line
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
    /// Another checklist of the procedure, or a folder of them; may be repeated
    #[arg(long = "checklist", value_name = "FILE or DIR")]
    more: Vec<PathBuf>,
    /// Write the page tally.html, the table tally.csv and the lines tally.jsonl to this folder
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Name people too; without it no name of a person comes out
    #[arg(long)]
    people: bool,
    /// How many records to judge at a time [default: one a core]
    #[arg(long, value_name = "N")]
    jobs: Option<NonZeroUsize>,
    /// The checklist.json that jobs were done by, or a folder of them
    #[arg(value_name = "CHECKLIST")]
    checklist: PathBuf,
    /// Records as the app saved them, or folders of them
    #[arg(value_name = "RECORD", required = true)]
    records: Vec<PathBuf>,
}

/// Folders in folders are looked into so deep.
const DEEPEST: usize = 16;
/// So many records that are left out are named on a terminal.
const MOST_NAMED: usize = 100;

pub fn run(arguments: &Arguments) -> Result<Verdict, CannotRun> {
    let lists = checklists(arguments)?;
    let mut records = Vec::new();
    for path in &arguments.records {
        gather(path, &mut records)?;
    }
    if records.is_empty() {
        return Err(CannotRun("there is no record: no file that ends in .jsonl or .zip".to_owned()));
    }
    let mut tally = Tally::new(&lists, arguments.people);
    let progress = Progress::over(records.len());
    let look = |at: usize| records.get(at).map(|path| judge(&lists, path));
    parallel::in_order(records.len(), parallel::threads(arguments.jobs), look, |at, one| {
        let Some(path) = records.get(at) else { return Ok(()) };
        let name = name_of(path);
        if at % 50 == 0 {
            progress.at(at + 1, &name);
        }
        match one {
            Some(Ok(One::Counts(one))) => tally.add(&lists, &name, &one),
            Some(Err(one)) => tally.leave_out(one),
            Some(Ok(One::LeftOut { .. })) | None => {}
        }
        Ok(())
    })?;
    progress.clear();
    let lines = tally.lines(&lists);
    if let Some(folder) = &arguments.out {
        write(folder, &lines, &records)?;
    }
    let mut output = Stream::output();
    match arguments.format {
        Format::Json => output.say(&json(&lines)?),
        Format::Human => output.say(&told(&lines)),
    }
    output.finish()?;
    Ok(if tally.left_out() > 0 { Verdict::Findings } else { Verdict::Clean })
}

/// The checklists that are named, and those of folders.
fn checklists(arguments: &Arguments) -> Result<Lists, CannotRun> {
    let mut definitions = Vec::new();
    for path in std::iter::once(&arguments.checklist).chain(&arguments.more) {
        let cannot = |path: &Path, why: ChecklistFault| {
            CannotRun(format!("the checklist {} cannot be used: {why}", path.display()))
        };
        if !path.is_dir() {
            let text = read(path, bounds::CHECKLIST_BYTES)?;
            definitions.push(record::read_checklist(&text).map_err(|why| cannot(path, why))?);
            continue;
        }
        let before = definitions.len();
        for path in in_folder(path)? {
            let text = read(&path, bounds::CHECKLIST_BYTES)?;
            match record::read_checklist(&text) {
                Ok(definition) => definitions.push(definition),
                // Other data lie beside a checklist, the record of a build among them.
                Err(ChecklistFault::NoChecklist | ChecklistFault::OtherFormat(_)) => {}
                Err(why) => return Err(cannot(&path, why)),
            }
        }
        if definitions.len() == before {
            return Err(CannotRun(format!("{} holds no checklist (.json)", path.display())));
        }
    }
    Lists::new(definitions).map_err(|why| CannotRun(why.to_string()))
}

/// The files of data of a folder, and the `checklist.json` of each folder in it, as a build writes them.
fn in_folder(folder: &Path) -> Result<Vec<PathBuf>, CannotRun> {
    let mut found = Vec::new();
    for path in entries(folder)? {
        let inner = path.join("checklist.json");
        if path.is_dir() && inner.is_file() {
            found.push(inner);
        } else if path.is_file() && path.extension().is_some_and(|ending| ending == "json") {
            found.push(path);
        }
    }
    Ok(found)
}

/// What stands in a folder, in the order of the names.
fn entries(folder: &Path) -> Result<Vec<PathBuf>, CannotRun> {
    let fault = |error| CannotRun::reading(folder, &error);
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).map_err(fault)? {
        found.push(entry.map_err(fault)?.path());
    }
    found.sort();
    Ok(found)
}

/// The records that a path means: the file itself, or what ends in `.jsonl` or `.zip` in a folder and in the folders in it.
fn gather(path: &Path, records: &mut Vec<PathBuf>) -> Result<(), CannotRun> {
    if !path.is_dir() {
        fs::metadata(path).map_err(|error| CannotRun::reading(path, &error))?;
        records.push(path.to_owned());
        return Ok(());
    }
    let mut open = vec![(path.to_owned(), 0)];
    while let Some((folder, depth)) = open.pop() {
        let mut folders = Vec::new();
        for path in entries(&folder)? {
            let about = fs::symlink_metadata(&path).map_err(|error| CannotRun::reading(&path, &error))?;
            let is_record = path.extension().is_some_and(|ending| ending == "jsonl" || ending == "zip");
            // A link to a folder may lead round in a circle.
            if about.is_dir() && depth < DEEPEST {
                folders.push((path, depth + 1));
            } else if is_record && path.is_file() {
                records.push(path);
            }
        }
        open.extend(folders.into_iter().rev());
    }
    Ok(())
}

/// Judges the record of a file. An error is a file that can't be read as a record at all.
fn judge(lists: &Lists, path: &Path) -> Result<One, LeftOut> {
    let name = name_of(path);
    let unreadable = |message: String, place: Option<(u32, u32)>| LeftOut {
        record: name.clone(),
        verdict: Refused::Unreadable,
        line: place.map(|(line, _)| line),
        column: place.map(|(_, column)| column),
        message,
    };
    let bytes = read_bytes(path, bounds::ARCHIVE_BYTES).map_err(|CannotRun(why)| unreadable(why, None))?;
    let parts = match archive::is_one(&bytes) {
        false => None,
        true => {
            Some(archive::read(&bytes).map_err(|why| unreadable(format!("the archive cannot be used: {why}"), None))?)
        }
    };
    let record = parts.as_ref().map_or(bytes.as_slice(), |parts| parts.record);
    // One byte more than is judged, so that the judge says that there is too much.
    let record = record.get(..bounds::RECORD_BYTES + 1).unwrap_or(record);
    let text = match std::str::from_utf8(record) {
        Ok(text) => text,
        Err(error) if record.len() <= bounds::RECORD_BYTES => {
            let good = record.get(..error.valid_up_to()).unwrap_or_default();
            return Err(unreadable("it is not text (UTF-8)".to_owned(), Some(place(good))));
        }
        Err(_) => return Err(unreadable("it is larger than 64 MiB".to_owned(), None)),
    };
    let photos = parts.as_ref().map(|parts| &parts.photos);
    let pictures = |name: &str| photos?.get(name).map(|photo| photo.to_vec());
    let beside = Beside { pictures: photos.is_some().then_some(&pictures), head: None };
    match lists.judge(&name, text, beside) {
        // What is left out is kept as a sentence, and its text let go.
        One::LeftOut { why, finding, sources } => Err(left_out(&name, why, &finding, &sources)),
        one => Ok(one),
    }
}

/// Line and column of the character behind some good bytes, from 1.
fn place(good: &[u8]) -> (u32, u32) {
    let text = String::from_utf8_lossy(good);
    let line = text.matches('\n').count();
    let column = text.rsplit('\n').next().map_or(0, |last| last.chars().count());
    let from_one = |count: usize| u32::try_from(count).unwrap_or(u32::MAX).saturating_add(1);
    (from_one(line), from_one(column))
}

fn left_out(name: &str, why: Refused, finding: &crate::diagnostics::Finding, sources: &Sources) -> LeftOut {
    let position = finding.span().and_then(|span| Some(sources.get(span.file)?.position(span.start)));
    LeftOut {
        record: name.to_owned(),
        verdict: why,
        line: position.map(|at| at.line),
        column: position.map(|at| at.column),
        message: finding.message.clone(),
    }
}

fn name_of(path: &Path) -> String {
    path.display().to_string().replace('\\', "/")
}

/// The page, the table and the lines.
fn write(folder: &Path, lines: &[Line], records: &[PathBuf]) -> Result<(), CannotRun> {
    // A record of that name is not written over.
    let alike = records.iter().filter(|record| record.ends_with("tally.jsonl"));
    let records: Vec<&Path> = alike.map(PathBuf::as_path).collect();
    fs::create_dir_all(folder).map_err(|error| CannotRun::writing(folder, &error))?;
    let page = emit::tally(lines).map_err(|error| CannotRun(error.to_string()))?;
    one_file::write(&folder.join("tally.html"), &page, &[])?;
    one_file::write(&folder.join("tally.csv"), emit::tally_csv(lines).as_bytes(), &[])?;
    one_file::write(&folder.join("tally.jsonl"), json(lines)?.as_bytes(), &records)
}

/// One JSON object a line.
fn json(lines: &[Line]) -> Result<String, CannotRun> {
    let mut text = String::new();
    for line in lines {
        text += &serde_json::to_string(line).map_err(|error| CannotRun(error.to_string()))?;
        text.push('\n');
    }
    Ok(text)
}

/// What a terminal shows: what is left out, what was counted, and what to look at first.
fn told(lines: &[Line]) -> String {
    let mut text = String::new();
    let left_out: Vec<&LeftOut> =
        lines.iter().filter_map(|line| if let Line::LeftOut(one) = line { Some(one) } else { None }).collect();
    for one in left_out.iter().take(MOST_NAMED) {
        let place = one.line.zip(one.column).map_or_else(String::new, |(line, column)| format!("{line}:{column}:"));
        let word = one.verdict.verdict().word();
        text += &format!("{}:{place} left out, {word}: {}\n", visible(&one.record), visible(&one.message));
    }
    let mut looks = Vec::new();
    let revisions = lines.iter().filter(|line| matches!(line, Line::Revision(_))).count();
    for line in lines {
        match line {
            Line::Tally(head) => text += &counts(head, left_out.len()),
            Line::Revision(revision) => text += &of_revision(revision),
            Line::LookFirst(look) => looks.push(emit::looked_at(look, revisions > 1)),
            _ => {}
        }
    }
    text += if looks.is_empty() { "\nNothing to look at first.\n" } else { "\nLook at first:\n" };
    looks.iter().for_each(|look| text += &format!("  {}\n", visible(look)));
    text
}

fn counts(head: &Head, listed: usize) -> String {
    let more = if listed > MOST_NAMED {
        format!("… and {} more left out\n", head.records - head.counted - 100)
    } else {
        String::new()
    };
    let records = counted(usize::try_from(head.records).unwrap_or(usize::MAX), "record");
    let out: Vec<String> =
        [(head.altered, "altered"), (head.unreadable, "unreadable"), (head.other_revision, "by another checklist")]
            .iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, word)| format!("{count} {word}"))
            .collect();
    let out = if out.is_empty() { String::new() } else { format!("; left out: {}", out.join(", ")) };
    format!("{more}{}: {records}, {} counted{out}.\n", visible(&head.title), head.counted)
}

fn of_revision(revision: &Revision) -> String {
    let Revision { counted, handed_over, stopped, broken_off, open, complete, .. } = revision;
    let days = match (&revision.first, &revision.last) {
        (Some(first), Some(last)) => format!(", {} to {}", visible(first), visible(last)),
        _ => String::new(),
    };
    let fitting = revision.fitting.as_ref().map_or_else(String::new, |fitting| format!(" ({})", visible(fitting)));
    format!(
        "Revision {}{fitting}: {counted} counted{days}; {handed_over} handed over, {stopped} stopped, {broken_off} broken off, \
         {open} not finished; {complete} complete.\n",
        visible(&revision.revision)
    )
}
