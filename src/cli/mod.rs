//! The command line: reads files, prints, writes. All input and output of the program is in this module.
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "files, environment and streams are this module's job; the core gets and gives plain values"
)]

mod account;
mod build;
mod calculation;
mod check;
mod ci;
mod compare;
mod demos;
mod edition;
mod explain;
mod files;
mod fit;
mod fix;
mod format;
mod library;
mod new;
mod one_file;
mod parallel;
mod preview;
mod project;
mod publish;
mod reading;
mod record;
mod server;
mod shell;
mod tally;
mod terminal;
mod translation;
mod uses;
mod with;

use std::io;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

/// Why the program could not do what it was asked to: one sentence for the user.
#[derive(Debug)]
struct CannotRun(String);

impl CannotRun {
    fn reading(path: &Path, error: &io::Error) -> CannotRun {
        CannotRun(format!("{} cannot be read: {}", path.display(), words(error)))
    }

    fn writing(path: &Path, error: &io::Error) -> CannotRun {
        CannotRun(format!("{} cannot be written: {}", path.display(), words(error)))
    }
}

/// The system's reason without its number.
fn words(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder".to_owned(),
        io::ErrorKind::PermissionDenied => "the system does not permit it".to_owned(),
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        _ => error.to_string().split(" (os error").next().unwrap_or_default().to_lowercase(),
    }
}

/// What a run came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Verdict {
    Clean,
    Findings,
    CouldNotRun,
}

impl From<Verdict> for ExitCode {
    fn from(verdict: Verdict) -> ExitCode {
        match verdict {
            Verdict::Clean => ExitCode::SUCCESS,
            Verdict::Findings => ExitCode::from(1),
            Verdict::CouldNotRun => ExitCode::from(2),
        }
    }
}

#[derive(Debug, Parser)]
#[command(
    name = "fitwright",
    version,
    about = "Checks procedures for fitting equipment to vehicles, and builds what the workshop needs to follow them",
    after_help = "\
Examples:
  fitwright new bench-vise                 start a procedure
  fitwright check bench-vise.fitw          find what is wrong with it
  fitwright format bench-vise.fitw         set its lines and columns in order
  fitwright build bench-vise.fitw          write the manual, the pick-list and the checklist to out/
  fitwright build --with arm=strut FILE    the same for one fitting
  fitwright build                          all procedures of the project, or those of the program
  fitwright preview bench-vise.fitw        see the manual and the findings while you write
  fitwright record checklist.json job.jsonl  judge the record of a job
  fitwright compare OLD.fitw NEW.fitw      what changed in meaning between two editions
  fitwright fit bench-vise.fitw benches.csv  which rows of a table it fits, and by how much
  fitwright uses lib/wiring.feed procedures  which procedures use a section, and in which steps
  fitwright explain FW0401                 what a finding means in the workshop
  fitwright explain bench-vise.fitw vise-joint   how a joint was worked out, line by line
  fitwright tally checklist.json records/  what many records of jobs say together",
    disable_help_subcommand = true,
    arg_required_else_help = true
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Say what is wrong with procedures and libraries; write nothing
    #[command(after_help = CHECK_HELP)]
    Check(CheckArguments),
    /// Write the manual, the pick-list, the packing list and the checklist of procedures
    #[command(after_help = BUILD_HELP)]
    Build(BuildArguments),
    /// Judge the record of a job by its checklist
    #[command(after_help = RECORD_HELP)]
    Record(RecordArguments),
    /// Tell what a finding means, or how a joint or a circuit was worked out
    #[command(after_help = EXPLAIN_HELP)]
    Explain(ExplainArguments),
    /// Tell which procedures use a part, tool, joint, section or anything else that has a name, and in which steps
    #[command(after_help = USES_HELP)]
    Uses(UsesArguments),
    /// Tell what changed in meaning between two editions of a procedure
    #[command(after_help = COMPARE_HELP)]
    Compare(CompareArguments),
    /// Show the manual and the findings on a page of this machine, anew with each save
    #[command(after_help = PREVIEW_HELP)]
    Preview(PreviewArguments),
    /// Serve an editor over standard input and output: findings as one types, completion, renaming (LSP 3.17)
    Server,
    /// List the values of the standard library with their sources, as Markdown, to be audited
    #[command(after_help = "Examples:\n  fitwright library > library.md\n  fitwright library lib/ours.fitw")]
    Library {
        /// A library of your own instead
        #[arg(value_name = "FILE")]
        path: Option<PathBuf>,
    },
    /// Set procedures and libraries in their one form: indents, columns, blanks; what they say stays
    #[command(after_help = FORMAT_HELP)]
    Format(FormatArguments),
    /// Say of a table of vehicles which of them fit, by which limit or rule the others do not, and by how much
    #[command(after_help = fit::HELP)]
    Fit(fit::Arguments),
    /// Start a procedure: a small file that is clean and shows the form
    #[command(
        after_help = "Examples:\n  fitwright new bench-vise                     writes bench-vise.fitw; never overwrites a file\n  \
                      fitwright new bench-vise --from vise.md      takes in a manual that exists, as a draft"
    )]
    New {
        /// Name of the procedure: words in lower case with hyphens
        name: String,
        /// A manual in Markdown (CommonMark) or plain text to take in
        #[arg(long, value_name = "FILE")]
        from: Option<PathBuf>,
    },
    /// Count many records of a procedure together: readings, torques, repairs and times, and what to look at first
    #[command(after_help = tally::HELP)]
    Tally(tally::Arguments),
    /// Write the texts of a procedure to a PO or XLIFF file to be translated, or bring one up to date
    #[command(after_help = translation::HELP)]
    Words(translation::Arguments),
    /// Print what makes a shell complete the commands and options of this program
    #[command(after_help = shell::HELP)]
    Completions {
        /// The shell
        #[arg(value_enum)]
        shell: shell::Shell,
    },
    /// Print the manual page of the program, or of one of its commands
    #[command(after_help = "Examples:\n  fitwright manpage > fitwright.1\n  fitwright manpage check | man -l -")]
    Manpage {
        /// A command, such as check
        #[arg(value_name = "COMMAND")]
        command: Option<String>,
    },
}

const COMPARE_HELP: &str = "\
OLD and NEW are files, or files as they were at a revision of their git repository, written REVISION:FILE; for these, git has to
be installed. Libraries of the old edition are read where it was: in its folder, or at its revision.

Examples:
  fitwright compare kestrel-rack-c.fitw kestrel-rack.fitw
  fitwright compare HEAD~1:kestrel-rack.fitw kestrel-rack.fitw
  fitwright compare v1.2:procedures/kestrel-rack.fitw v1.3:procedures/kestrel-rack.fitw --format json

Exit codes:
  0  told, whether something changed or not
  1  something changed that has to be looked at for safety, and --deny safety was given
  2  it could not run: a file that cannot be read, a revision that git does not know";

const CHECK_HELP: &str = "\
A folder means the .fitw files that stand in it. Its libraries are read where a procedure uses them,
and checked by themselves when named. Without a path, all is checked that the project file lists:
fitwright.toml in this folder or above.

Warnings do not fail a check unless they are denied; notes never do.

--with looks at some fittings only: those with this value of an option or given.

--fix makes what is safe: slips of the keyboard, names that are one letter off, acceptances that accept
nothing. It never touches a torque, a limit, a unit or a safety message, nor a file outside the project.

--write-baseline takes on an old collection: the warnings and notes that it has are listed in a file.
With --baseline only others are told and counted. The file shrinks as they are mended; where the variable
CI is set, a file that could shrink is left alone and fails the check. No error is ever tolerated.

Examples:
  fitwright check
  fitwright check procedures
  fitwright check --fix procedures/kestrel-rack.fitw
  fitwright check --with arm=strut procedures/kestrel-rack.fitw
  fitwright check --format json --deny warnings procedures/kestrel-rack.fitw
  fitwright check --format sarif procedures > findings.sarif
  fitwright check --write-baseline old.json procedures
  fitwright check --baseline old.json --deny warnings procedures

Exit codes:
  0  clean
  1  there are errors (or warnings, with --deny warnings), or a baseline that could shrink where CI is set
  2  it could not run: a wrong option, a file that cannot be read or written";

const BUILD_HELP: &str = "\
Every procedure gets a folder of its own under --out. A build with errors writes nothing at all.
Files that the program did not write are left alone. What would come out as it stands there is not
written again; its warnings are told all the same.

Without a path, the procedures are those that the project file lists, fitwright.toml in this folder or
above; where there is none, those that come with the program.

--depfile is for an engine that calls the build, such as ninja: it learns which files each folder was
made from.

--with tailors what is written to one fitting or to some: branches, parts and tools of others are left
out, limits are decided, and the folder's name says which fitting it is for. Only what is known before
the job can be chosen: options and givens. What the rules exclude is refused.

--annex writes annex.html beside the manual, for whoever judges the work: every joint and circuit with
all that is stated of it, a map of the work, the bench at true size, an index. A build without it
removes the annex of an earlier one.

Examples:
  fitwright build
  fitwright build --out bench procedures
  fitwright build --again --jobs 4
  fitwright build --project fitwright.toml --depfile rack.d procedures/kestrel-rack.fitw
  fitwright build --with arm=powered procedures/kestrel-rack.fitw
  fitwright build --annex procedures/kestrel-rack.fitw
  fitwright build --with arm=strut --with roof-rating=\"150 kg\" --with side=kerb procedures/kestrel-rack.fitw

Exit codes:
  0  written
  1  there are errors, nothing was written
  2  it could not run: a wrong option, a file that cannot be read or written";

const RECORD_HELP: &str = "\
Says whether the record is complete, what is missing, out of tolerance, out of order or altered, and
whether it belongs to this checklist.

Examples:
  fitwright record out/kestrel-rack/checklist.json van-12.jsonl
  fitwright record --photos photos --summary van-12.html out/kestrel-rack/checklist.json van-12.jsonl
  fitwright record --head '3f1c 90ab' out/kestrel-rack/checklist.json van-12.jsonl

Exit codes:
  0  complete
  1  something is wrong with the record, or the checklist cannot be used
  2  it could not run: a wrong option, a file that cannot be read or written";

#[derive(Debug, clap::Args)]
struct CheckArguments {
    /// How to print findings
    #[arg(long, value_enum, default_value_t = CheckFormat::Human)]
    format: CheckFormat,
    /// Let warnings fail the check
    #[arg(long, value_enum, value_name = "WHAT")]
    deny: Option<Deny>,
    /// Folder that libraries are looked up from, or a project file [default: the folder of the procedure]
    #[arg(long, value_name = "DIR or FILE")]
    project: Option<PathBuf>,
    /// How many files to look at at a time [default: one a core]
    #[arg(long, value_name = "N")]
    jobs: Option<NonZeroUsize>,
    /// Print too, for each file, what was judged, what was not and why, and what is accepted
    #[arg(long)]
    account: bool,
    /// Check only fittings with this value of an option or given; may be repeated
    #[arg(long, value_name = "NAME=VALUE")]
    with: Vec<String>,
    /// Make the safe fixes in the files first, and say which
    #[arg(long)]
    fix: bool,
    /// Tolerate the warnings and notes that this file lists, and take out of it what is gone
    #[arg(long, value_name = "FILE", conflicts_with = "with")]
    baseline: Option<PathBuf>,
    /// Write the warnings and notes that there are to this file
    #[arg(long, value_name = "FILE", conflicts_with_all = ["baseline", "with"])]
    write_baseline: Option<PathBuf>,
    /// Files, or folders with files [default: the project that the current folder stands in]
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,
}

#[derive(Debug, clap::Args)]
struct BuildArguments {
    /// Folder to write to [default: out, or what the project file says]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Let warnings fail the build
    #[arg(long, value_enum, value_name = "WHAT")]
    deny: Option<Deny>,
    /// Folder that libraries are looked up from, or a project file [default: the folder of the procedure]
    #[arg(long, value_name = "DIR or FILE")]
    project: Option<PathBuf>,
    /// How many procedures to build at a time [default: one a core]
    #[arg(long, value_name = "N")]
    jobs: Option<NonZeroUsize>,
    /// Build what is unchanged too
    #[arg(long)]
    again: bool,
    /// Write which files each output was made from, as rules of make
    #[arg(long, value_name = "FILE")]
    depfile: Option<PathBuf>,
    /// Tailor to this value of an option or given; may be repeated
    #[arg(long, value_name = "NAME=VALUE")]
    with: Vec<String>,
    /// Write annex.html too: joints with their drawings, circuits, map of the work, bench at true size, index
    #[arg(long)]
    annex: bool,
    /// Mark in the margin of the manual what differs from an older edition, and list it: FILE, or REVISION:FILE of a git repository
    #[arg(long, value_name = "OLD")]
    since: Option<String>,
    /// Make the outputs in another language: de, es, fr; or en-XA and ar-XB, which show whether a layout holds
    #[arg(long, value_name = "TAG")]
    language: Option<String>,
    /// The translation [default: beside the procedure, NAME.TAG.po]
    #[arg(long, value_name = "FILE", requires = "language")]
    words: Option<PathBuf>,
    /// Files, or folders with files [default: the project that the current folder stands in, or the procedures
    /// that come with the program]
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,
}

const FORMAT_HELP: &str = "\
A folder means the .fitw files that stand in it, libraries too. Without a path, all is set that the
project file lists: fitwright.toml in this folder or above. The files that change are listed. A file
that cannot be read is left as it is, with what is wrong in it; the others are set all the same.

Examples:
  fitwright format procedures
  fitwright format --check procedures procedures/lib
  fitwright format - < bench-vise.fitw

Exit codes:
  0  done; with --check: all files have their form
  1  with --check: some would change; with or without: some cannot be read
  2  it could not run: a wrong option, a file that cannot be opened or written";

#[derive(Debug, clap::Args)]
struct FormatArguments {
    /// Write nothing, and fail where a file would change
    #[arg(long)]
    check: bool,
    /// Files, or folders with files; - is from standard input to standard output [default: all that the project
    /// lists that the current folder stands in]
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,
}

const PREVIEW_HELP: &str = "\
Prints the address to open in a browser. The page answers on this machine only (127.0.0.1), to no page of
another origin, and writes nothing.

Examples:
  fitwright preview bench-vise.fitw
  fitwright preview --port 8123 procedures/kestrel-rack.fitw

It runs until Ctrl-C ends it; exit code 2 where it could not begin.";

#[derive(Debug, clap::Args)]
struct PreviewArguments {
    /// Port of the page; 0 is any that is free
    #[arg(long, default_value_t = 0)]
    port: u16,
    /// Folder that libraries are looked up from [default: the folder of the procedure]
    #[arg(long, value_name = "DIR")]
    project: Option<PathBuf>,
    /// The procedure, or the folder that holds it alone
    #[arg(value_name = "PATH")]
    path: PathBuf,
}

const EXPLAIN_HELP: &str = "\
Without anything, the codes of all findings are listed. A file without a name lists what can be worked out in it.

Examples:
  fitwright explain
  fitwright explain FW0504
  fitwright explain bench-vise.fitw vise-joint";

const USES_HELP: &str = "\
A step uses what its lines and sentences name, and what stands behind that: a bolt through its joint, a
thread through the bolt. NAME is the name in the source, of whatever file; LIBRARY.NAME means what that
library declares.

Examples:
  fitwright uses torque-wrench-40
  fitwright compare OLD.fitw NEW.fitw      what changed in meaning between two editions
  fitwright uses lib/wiring.feed procedures
  fitwright uses std/fasteners.M8 --format json procedures/kestrel-rack.fitw

Exit codes:
  0  told
  2  it could not run: nothing has that name, a file that cannot be read";

#[derive(Debug, clap::Args)]
struct UsesArguments {
    /// How to print uses
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
    /// Folder that libraries are looked up from, or a project file [default: the folder of the procedure]
    #[arg(long, value_name = "DIR or FILE")]
    project: Option<PathBuf>,
    /// The name of a thing: feed, lib/wiring.feed, std/hand-tools.socket-13
    #[arg(value_name = "NAME")]
    name: String,
    /// Files, or folders with files [default: the project that the current folder stands in, or this folder]
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,
}

#[derive(Debug, clap::Args)]
struct CompareArguments {
    /// How to print changes
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
    /// Fail where something of safety changed
    #[arg(long, value_enum, value_name = "WHAT")]
    deny: Option<DenyChange>,
    /// Folder that libraries are looked up from, in the repository too [default: the folder of the procedure]
    #[arg(long, value_name = "DIR")]
    project: Option<PathBuf>,
    /// The old edition: FILE, or REVISION:FILE
    #[arg(value_name = "OLD")]
    old: String,
    /// The new edition: FILE, or REVISION:FILE
    #[arg(value_name = "NEW")]
    new: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum DenyChange {
    /// What somebody has to look at for safety's sake
    Safety,
}

#[derive(Debug, clap::Args)]
struct ExplainArguments {
    /// The code of a finding, such as FW0504, or a procedure's file
    #[arg(value_name = "CODE or FILE")]
    what: Option<String>,
    /// The name of a joint in that file
    name: Option<String>,
    /// How to print a calculation
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
    /// Folder that libraries are looked up from, or a project file [default: the folder of the procedure]
    #[arg(long, value_name = "DIR or FILE")]
    project: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
struct RecordArguments {
    /// How to print findings
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
    /// Let warnings fail the judgement
    #[arg(long, value_enum, value_name = "WHAT")]
    deny: Option<Deny>,
    /// Folder with the photographs, to compare them with the record; those in an archive are compared without it
    #[arg(long, value_name = "DIR")]
    photos: Option<PathBuf>,
    /// Head of the record as it stands on paper, or its first digits
    #[arg(long, value_name = "DIGITS")]
    head: Option<String>,
    /// Write one page for customer and file; - is standard output
    #[arg(long, value_name = "FILE.html")]
    summary: Option<PathBuf>,
    /// The checklist.json that the job was done by
    #[arg(value_name = "CHECKLIST")]
    checklist: PathBuf,
    /// The record as the app saved it: lines, or an archive of them and the photographs
    #[arg(value_name = "RECORD")]
    record: PathBuf,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// Text for people
    Human,
    /// One JSON object a line
    Json,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum CheckFormat {
    /// Text for people
    Human,
    /// One line a finding: path:line:column: severity CODE message
    Short,
    /// One JSON object a line
    Json,
    /// SARIF 2.1.0, for hosts that keep results
    Sarif,
    /// Workflow commands of hosted runners, the gravest first
    Annotations,
}

impl From<Format> for CheckFormat {
    fn from(format: Format) -> CheckFormat {
        match format {
            Format::Human => CheckFormat::Human,
            Format::Json => CheckFormat::Json,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Deny {
    /// Warnings that no `accept` line accepts
    Warnings,
    /// Nothing, whatever the project file says
    Nothing,
}

/// Runs the program with the arguments of the process.
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version go to standard output with code 0, mistakes to standard error with code 2. A reader that
            // went away is not worth a word.
            let _ = error.print();
            return if error.use_stderr() { Verdict::CouldNotRun.into() } else { ExitCode::SUCCESS };
        }
    };
    let ran = match arguments.command {
        Command::Check(arguments) => check::run(&arguments),
        Command::Build(arguments) => build::run(&arguments),
        Command::Explain(arguments) => match &arguments.what {
            Some(file) if calculation::is_meant(file, &arguments) => calculation::run(file, &arguments),
            what => explain::run(what.as_deref()),
        },
        Command::Uses(arguments) => uses::run(&arguments),
        Command::Compare(arguments) => compare::run(&arguments),
        Command::Preview(arguments) => preview::run(&arguments),
        Command::Server => server::run(),
        Command::Library { path } => library::run(path.as_deref()),
        Command::Record(arguments) => record::run(&arguments),
        Command::Format(arguments) => format::run(&arguments),
        Command::Fit(arguments) => fit::run(&arguments),
        Command::New { name, from } => new::run(&name, from.as_deref()),
        Command::Tally(arguments) => tally::run(&arguments),
        Command::Words(arguments) => translation::run(&arguments),
        Command::Completions { shell } => shell::completions(shell),
        Command::Manpage { command } => shell::manpage(command.as_deref()),
    };
    ran.unwrap_or_else(|CannotRun(why)| {
        let mut errors = terminal::Stream::errors();
        errors.say(&format!("fitwright: {}\n", crate::diagnostics::visible(&why)));
        // Where even standard error is gone, the exit code says it all.
        let _ = errors.finish();
        Verdict::CouldNotRun
    })
    .into()
}
