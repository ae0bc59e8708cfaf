//! `check`: says what is wrong.

use std::collections::{BTreeMap, BTreeSet};

use super::files::{self, Job};
use super::terminal::{Progress, Stream};
use super::{CannotRun, CheckArguments, Deny, Format, Verdict, account, fix, with};
use crate::compile::{self, Compiled};
use crate::diagnostics::render::{self, Style};
use crate::diagnostics::{Finding, Severity, json, visible};
use crate::source::{FileId, Sources};
use crate::tailor::Wish;

pub fn run(arguments: &CheckArguments) -> Result<Verdict, CannotRun> {
    let jobs = files::jobs(&arguments.paths, arguments.project.as_deref())?;
    let mut output = Stream::output();
    let mut report = Report::new(arguments.format, output.style());
    let progress = Progress::over(jobs.len());
    let wishes = with::wishes(&arguments.with)?;
    let mut errors = Stream::errors();
    let mut all = Vec::new();
    for (at, job) in jobs.iter().enumerate() {
        progress.at(at + 1, &job.path);
        if arguments.fix {
            let done = fix::run(job)?;
            progress.clear();
            errors.say(&done);
        }
        let compiled = compile::check(&job.path, &job.project);
        progress.clear();
        // A library in a folder is there to be used; alone, all it declares would count as never used.
        if compiled.is_library() && !job.named {
            continue;
        }
        if wishes.is_empty() {
            output.say(&report.add(&compiled, Some(job)));
            report.account_of(&compiled, job, arguments.account);
            report.checked += 1;
        } else {
            all.push((compiled, job));
        }
    }
    if !wishes.is_empty() {
        let (all, left_out) = with::concerned(all, |(compiled, _)| compiled, &wishes)?;
        left_out.iter().for_each(|line| errors.say(&format!("{line}\n")));
        for (mut compiled, job) in all {
            compiled.narrow(&wishes).map_err(|refusal| CannotRun(refusal.words(compiled.sources())))?;
            output.say(&report.add(&compiled, Some(job)));
            report.account_of(&compiled, job, arguments.account);
            report.checked += 1;
        }
    }
    if arguments.format == Format::Human {
        if !wishes.is_empty() {
            let shown: Vec<String> = wishes.iter().map(Wish::shown).collect();
            report.only = Some(shown.join(", "));
        }
        output.say(&report.closing(report.checked));
        output.say(&report.summary.closing());
    }
    output.say(&report.accounts);
    output.finish()?;
    errors.say(&report.left_off);
    errors.finish()?;
    Ok(report.verdict(arguments.deny))
}

/// Gathers the findings of several files.
pub struct Report {
    format: Format,
    style: Style,
    findings: Vec<Finding>,
    /// Findings of a library come with every procedure that uses it, and are said once. Their files have the numbers of
    /// `files`.
    said: BTreeSet<Finding>,
    /// The files of all compilations, by name.
    files: BTreeMap<String, FileId>,
    /// Whether some file could not be read at all.
    unread: bool,
    /// How many files were looked at.
    checked: usize,
    /// The fittings that were looked at, where not all were.
    only: Option<String>,
    /// What to say of findings that are not shown: for standard error, so that what machines read stays whole.
    pub left_off: String,
    /// What was judged of all procedures.
    summary: account::Summary,
    /// The accounts in full, where they are asked for.
    accounts: String,
}

impl Report {
    pub fn new(format: Format, style: Style) -> Report {
        Report {
            format,
            style,
            findings: Vec::new(),
            said: BTreeSet::new(),
            files: BTreeMap::new(),
            unread: false,
            checked: 0,
            only: None,
            left_off: String::new(),
            summary: account::Summary::default(),
            accounts: String::new(),
        }
    }

    /// The text to print for one compilation.
    pub fn add(&mut self, compiled: &Compiled, job: Option<&Job>) -> String {
        let sources = match job {
            Some(job) if !job.prefix.is_empty() => named_from(compiled.sources(), &job.prefix),
            _ => compiled.sources().clone(),
        };
        self.unread |= !compiled.was_read();
        let mut text = String::new();
        for finding in compiled.findings() {
            if !self.is_new(finding, &sources) {
                continue;
            }
            match self.format {
                Format::Json => text.push_str(&(json::line(finding, &sources) + "\n")),
                Format::Human => {
                    if !self.findings.is_empty() {
                        text.push('\n');
                    }
                    text.push_str(&render::human(std::slice::from_ref(finding), &sources, self.style));
                }
            }
            self.findings.push(finding.clone());
        }
        for (file, count) in compiled.left_off() {
            let name = sources.get(*file).map_or("", |file| file.name.as_str());
            let more = render::counted(*count, "more finding");
            self.left_off.push_str(&format!("{more} in {} not shown\n", visible(name)));
        }
        text
    }

    /// Notes what was judged of one procedure.
    fn account_of(&mut self, compiled: &Compiled, job: &Job, in_full: bool) {
        if compiled.is_library() || !compiled.was_read() {
            return;
        }
        let account = compiled.account();
        self.summary.add(account);
        if in_full {
            let name = format!("{}{}", job.prefix, job.path);
            self.accounts += &match self.format {
                Format::Human => account::full(&name, account, compiled.sources()),
                Format::Json => account::data(&name, account, compiled.sources()),
            };
        }
    }

    /// Whether a finding was not said yet, by whatever compilation.
    fn is_new(&mut self, finding: &Finding, sources: &Sources) -> bool {
        let files = &mut self.files;
        let shared = finding.clone().renumbered(|id| {
            let name = sources.get(id).map_or_else(String::new, |file| file.name.clone());
            let next = FileId::new(u32::try_from(files.len()).unwrap_or(u32::MAX));
            *files.entry(name).or_insert(next)
        });
        self.said.insert(shared)
    }

    /// The text to print for findings about other files than sources.
    pub fn add_findings(&mut self, findings: &[Finding], sources: &Sources) -> String {
        let mut text = String::new();
        for finding in findings {
            match self.format {
                Format::Json => text.push_str(&(json::line(finding, sources) + "\n")),
                Format::Human => {
                    if self.any() {
                        text.push('\n');
                    }
                    text.push_str(&render::human(std::slice::from_ref(finding), sources, self.style));
                }
            }
            self.findings.push(finding.clone());
        }
        text
    }

    /// Whether there is anything to say.
    pub fn any(&self) -> bool {
        !self.findings.is_empty()
    }

    /// The last words of a run over so many files.
    pub fn closing(&self, checked: usize) -> String {
        let all: Vec<&Finding> = self.findings.iter().collect();
        let only = self.only.as_ref().map_or_else(String::new, |only| {
            visible(&format!("Checked only with {only}; other fittings may have findings of their own.")) + "\n"
        });
        if all.is_empty() {
            return format!("{}, no findings.\n{only}", render::counted(checked, "file"));
        }
        format!("\n{}{only}", render::closing(&all, self.style))
    }

    pub fn verdict(&self, deny: Option<Deny>) -> Verdict {
        if self.unread {
            return Verdict::CouldNotRun;
        }
        let counts = |finding: &Finding| match finding.severity() {
            Severity::Error => true,
            Severity::Warning => deny == Some(Deny::Warnings),
            Severity::Note => false,
        };
        if self.findings.iter().any(counts) { Verdict::Findings } else { Verdict::Clean }
    }
}

/// The same sources, with the project's own files named as the user reaches them.
fn named_from(sources: &Sources, prefix: &str) -> Sources {
    let mut renamed = Sources::default();
    for (_, file) in sources.iter() {
        let built_in = file.name.starts_with("std/");
        let name = if built_in { file.name.clone() } else { format!("{prefix}{}", file.name) };
        renamed.add(name, file.text.clone());
    }
    renamed
}
