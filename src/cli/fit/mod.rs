//! `fit`: a procedure over a table of vehicles, read and answered line by line.

mod pipeline;
mod table;

use std::io::{self, IsTerminal};
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

use clap::ValueEnum;

use super::terminal::{Progress, Stream};
use super::{CannotRun, Verdict, files, one_file, parallel, project, with};
use crate::compile::{self, Compiled};
use crate::diagnostics::render::counted;
use crate::diagnostics::{Severity, visible};
use crate::fit::{By, Counts, Fit, Head, Judge, Page, csv_head};
use crate::tailor::Wish;
use table::Table;

/// So many choices are proved one by one where the procedure has errors.
const MOST_PROVED: usize = 64;
/// So many messages are told on standard error; each stands in the answer to its row as well.
const MOST_TOLD: usize = 100;

pub const HELP: &str = "\
The table is CSV (RFC 4180) with a head. A column that has the name of an option or a given of the
procedure settles it row by row, with the unit in the head, `roof-rating [kg]`, or in the cell; other
columns come through. Each row is answered once for each choice of the options that are left open. An
empty cell makes the answer depend on it; one that cannot be read is told with its line and column, and
the rest goes on.

Examples:
  fitwright fit kestrel-rack.fitw kestrel-vans.csv
  fitwright fit kestrel-rack.fitw kestrel-vans.csv --page vans.html
  fitwright fit kestrel-rack.fitw kestrel-vans.csv --with arm=powered --format csv > powered.csv
  fitwright fit kestrel-rack.fitw - --head 'model,roof-rating [kg]' --format json < part.csv

Exit codes:
  0  every row was judged, whatever came out
  1  something in the table cannot be read, or the procedure has errors with some choice
  2  it could not run: a wrong option, a head that cannot be used, a file that cannot be read or written";

#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// How to print answers
    #[arg(long, value_enum, default_value_t = FitFormat::Human)]
    format: FitFormat,
    /// Write a page to print and to filter too
    #[arg(long, value_name = "FILE.html")]
    page: Option<PathBuf>,
    /// Group the rows of the page by this column [default: the first that comes through]
    #[arg(long, value_name = "COLUMN", requires = "page")]
    by: Option<String>,
    /// The table has no head, this is it; then an answer in CSV has none either
    #[arg(long, value_name = "LINE")]
    head: Option<String>,
    /// Settle an option or given for all rows; may be repeated
    #[arg(long, value_name = "NAME=VALUE")]
    with: Vec<String>,
    /// Folder that libraries are looked up from, or a project file [default: the folder of the procedure]
    #[arg(long, value_name = "DIR or FILE")]
    project: Option<PathBuf>,
    /// How many threads to work with [default: one a core]
    #[arg(long, value_name = "N")]
    jobs: Option<NonZeroUsize>,
    /// The procedure
    #[arg(value_name = "PROCEDURE")]
    procedure: PathBuf,
    /// The table; - is standard input
    #[arg(value_name = "TABLE")]
    table: PathBuf,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FitFormat {
    /// Text for people
    Human,
    /// The table with columns added, one row a choice (RFC 4180)
    Csv,
    /// One JSON object a line
    Json,
}

pub fn run(arguments: &Arguments) -> Result<Verdict, CannotRun> {
    let wishes = with::wishes(&arguments.with)?;
    let job = files::one(&arguments.procedure, project::folder(arguments.project.as_deref()))?;
    let mut compiled = compile::check(&job.path, &job.project);
    let shown = arguments.procedure.display();
    let procedure = compiled.procedure().filter(|procedure| procedure.complete).cloned();
    let Some(procedure) = procedure else {
        return Err(CannotRun(format!("{shown} is no procedure that can be asked: run `fitwright check {shown}`")));
    };
    let mut table = Table::open(&arguments.table)?;
    let head = match &arguments.head {
        Some(line) => table::head_of(line)?,
        None => table.head()?,
    };
    let fit = fit_of(&procedure, &mut compiled, &head, &wishes)
        .map_err(|why| CannotRun(format!("{} with {shown}: {why}", table.name)))?;
    let mut errors = Stream::errors();
    if compiled.has_errors() {
        errors.say(&format!(
            "{shown} has errors; a choice that has one counts as not fitting: run `fitwright check {shown}`\n"
        ));
    }
    for remark in &fit.head().remarks {
        errors.say(&format!("{}: {}\n", table.name, visible(remark)));
    }
    let page = match &arguments.page {
        Some(_) => Some(page_of(&fit, arguments.by.as_deref()).map_err(CannotRun)?),
        None => None,
    };
    let name = table.name.clone();
    let mut output = Stream::output();
    if arguments.format == FitFormat::Csv && arguments.head.is_none() {
        output.say(&csv_head(&Judge::of(&fit)));
    }
    let progress = Progress::over_rows(io::stdout().is_terminal());
    let (mut counts, mut told, mut page) = (Counts::default(), 0, page);
    let threads = parallel::threads(arguments.jobs);
    pipeline::run(&fit, table, arguments.format, page.is_some(), threads, |chunk| {
        output.say(&chunk.text);
        for message in &chunk.messages {
            told += 1;
            if told <= MOST_TOLD {
                errors.say(&format!("{name}: {}\n", visible(message)));
            }
        }
        counts.join(chunk.counts);
        if let Some(page) = &mut page {
            page.join(chunk.page);
        }
        progress.rows(counts.rows);
        output.is_closed()
    })?;
    progress.clear();
    if told > MOST_TOLD {
        errors.say(&format!("{name}: {} more; each stands in the answer to its row\n", told - MOST_TOLD));
    }
    errors.finish()?;
    if let (Some(path), Some(page)) = (&arguments.page, page) {
        let bytes = page.html(&fit, compiled.sources(), counts).map_err(|error| CannotRun(error.to_string()))?;
        one_file::write(path, &bytes, &[&arguments.procedure, &arguments.table])?;
    }
    if arguments.format == FitFormat::Human {
        output.say(&closing(counts));
    }
    output.finish()?;
    let is_whole = counts.unread == 0 && !compiled.has_errors();
    Ok(if is_whole { Verdict::Clean } else { Verdict::Findings })
}

fn fit_of<'p>(
    procedure: &'p crate::model::Procedure,
    compiled: &mut Compiled,
    head: &[String],
    wishes: &[Wish],
) -> Result<Fit<'p>, String> {
    if !compiled.has_errors() {
        return Fit::new(procedure, head, wishes, None);
    }
    let mut proved = 0;
    let mut faults = |wishes: &[Wish]| {
        proved += 1;
        if proved > MOST_PROVED {
            return Err(format!("the procedure has errors, and more than {MOST_PROVED} choices; mend it first"));
        }
        Ok(faults_of(compiled, wishes))
    };
    Fit::new(procedure, head, wishes, Some(&mut faults))
}

/// What is wrong with the procedure with a choice.
fn faults_of(compiled: &mut Compiled, wishes: &[Wish]) -> Vec<By> {
    let by = |name: Option<&str>, says: String| By { what: "finding".to_owned(), name: name.map(str::to_owned), says };
    if let Err(refusal) = compiled.narrow(wishes) {
        return vec![by(None, refusal.words(compiled.sources()))];
    }
    let errors = compiled.findings().iter().filter(|finding| finding.severity() == Severity::Error);
    errors.map(|finding| by(Some(&finding.code.to_string()), finding.message.clone())).collect()
}

fn page_of(fit: &Fit<'_>, by: Option<&str>) -> Result<Page, String> {
    let Head { columns, .. } = fit.head();
    let by = match by {
        None => None,
        Some(name) => {
            let at = columns.iter().position(|column| column.title == name);
            Some(at.ok_or_else(|| format!("the table has no column `{name}` to group by"))?)
        }
    };
    Ok(Page::of(fit, by))
}

fn closing(counts: Counts) -> String {
    let number = |count: u64| usize::try_from(count).unwrap_or(usize::MAX);
    let lines = counts.fits + counts.depends + counts.no;
    let unread = match counts.unread {
        0 => String::new(),
        unread => format!(", {} unread", counted(number(unread), "row")),
    };
    format!(
        "\n{}, {}: {} fit, {} depend, {} do not{unread}. {} with a choice that fits.\n",
        counted(number(counts.rows), "row"),
        counted(number(lines), "line"),
        counts.fits,
        counts.depends,
        counts.no,
        counted(number(counts.rows_that_fit), "row"),
    )
}

/// As the user wrote it, for messages.
fn name_of(path: &Path) -> String {
    if path.as_os_str() == "-" { "standard input".to_owned() } else { visible(&path.display().to_string()) }
}
