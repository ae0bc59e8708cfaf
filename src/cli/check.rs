//! `check`: says what is wrong.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use super::ci::annotations::Annotations;
use super::ci::baseline::{self, Baseline, Entry};
use super::ci::sarif::Sarif;
use super::ci::{self, Fingerprints};
use super::files::{self, Job};
use super::project::{self, Project};
use super::reading::{Files, Reading};
use super::terminal::{Progress, Stream};
use super::{CannotRun, CheckArguments, CheckFormat, Deny, Verdict, account, fix, parallel, with};
use crate::compile::{self, Compiled};
use crate::diagnostics::render::{self, Style};
use crate::diagnostics::{Code, Confidence, Finding, Severity, json, visible};
use crate::source::{FileId, Sources};
use crate::tailor::Wish;

pub fn run(arguments: &CheckArguments) -> Result<Verdict, CannotRun> {
    let project = Project::wanted(&arguments.paths, arguments.project.as_deref())?;
    let jobs = match &project {
        Some(project) if arguments.paths.is_empty() => project.all()?,
        None if arguments.paths.is_empty() => return Err(project::missing()),
        _ => files::jobs(&arguments.paths, project::folder(arguments.project.as_deref()))?,
    };
    let deny = arguments.deny.or(project.as_ref().and_then(Project::deny));
    let is_data = matches!(arguments.format, CheckFormat::Short | CheckFormat::Sarif | CheckFormat::Annotations);
    if arguments.account && is_data {
        return Err(CannotRun(
            "--account goes with --format human or json: in the others nothing else may stand".into(),
        ));
    }
    let mut output = Stream::output();
    let mut report = Report::new(arguments.format, output.style());
    report.baseline = arguments.baseline.as_deref().map(Baseline::read).transpose()?;
    let progress = Progress::over(jobs.len());
    let wishes = with::wishes(&arguments.with)?;
    let mut errors = Stream::errors();
    if arguments.fix {
        for (at, job) in jobs.iter().enumerate() {
            progress.at(at + 1, &job.path);
            let done = fix::run(job)?;
            progress.clear();
            errors.say(&done);
        }
    }
    let files = Files::default();
    let check = |at: usize| {
        let job = jobs.get(at)?;
        Some((job, compile::check(&job.path, &Reading::new(&files, &job.project))))
    };
    let next = |at: usize| jobs.get(at).inspect(|job| progress.at(at + 1, &job.path));
    let mut all = Vec::new();
    next(0);
    parallel::in_order(jobs.len(), parallel::threads(arguments.jobs), check, |at, one| {
        progress.clear();
        // A library in a folder is there to be used; alone, all it declares would count as never used.
        if let Some((job, compiled)) = one.filter(|(job, compiled)| job.named || !compiled.is_library()) {
            if wishes.is_empty() {
                output.say(&report.add(&compiled, Some(job)));
                report.account_of(&compiled, job, arguments.account);
                report.checked += 1;
            } else {
                all.push((compiled, job));
            }
        }
        next(at + 1);
        Ok(())
    })?;
    progress.clear();
    if !wishes.is_empty() {
        let (all, left_out) = with::concerned(all, |(compiled, _)| Some(compiled), &wishes)?;
        left_out.iter().for_each(|line| errors.say(&format!("{line}\n")));
        for (mut compiled, job) in all {
            compiled.narrow(&wishes).map_err(|refusal| CannotRun(refusal.words(compiled.sources())))?;
            output.say(&report.add(&compiled, Some(job)));
            report.account_of(&compiled, job, arguments.account);
            report.checked += 1;
        }
    }
    if arguments.format == CheckFormat::Human {
        if !wishes.is_empty() {
            let shown: Vec<String> = wishes.iter().map(Wish::shown).collect();
            report.only = Some(shown.join(", "));
        }
        output.say(&report.closing(report.checked));
        output.say(&report.safe_fixes());
        output.say(&report.summary.closing());
    }
    output.say(&report.accounts);
    output.say(&report.annotations.take().map(Annotations::text).unwrap_or_default());
    output.say(&report.sarif.take().map(Sarif::text).unwrap_or_default());
    output.finish()?;
    errors.say(&report.left_off);
    let mut verdict = report.verdict(deny);
    if let Some(path) = &arguments.write_baseline {
        errors.say(&report.write_baseline(path)?);
    }
    if let (Some(path), Some(known)) = (&arguments.baseline, &report.baseline)
        && verdict != Verdict::CouldNotRun
    {
        let (told, fails) = shrink(path, known, &report.looked_at)?;
        errors.say(&told);
        if fails && verdict == Verdict::Clean {
            verdict = Verdict::Findings;
        }
    }
    errors.finish()?;
    Ok(verdict)
}

/// Takes out of a baseline what is gone, or says that somebody should: what is told, and whether the check fails for it.
fn shrink(path: &Path, known: &Baseline, looked_at: &BTreeSet<String>) -> Result<(String, bool), CannotRun> {
    let looked_at = |file: &str| looked_at.contains(file);
    let gone = known.gone(looked_at);
    if gone.is_empty() {
        return Ok((String::new(), false));
    }
    let mut told =
        format!("{} of {} gone:\n", render::counted(gone.len(), "finding"), visible(&path.display().to_string()));
    gone.iter().for_each(|entry| told.push_str(&format!("  {} in {}\n", visible(&entry.code), visible(&entry.file))));
    if is_ci() {
        told.push_str("Run the check outside CI, and commit the file, which is smaller then.\n");
        return Ok((told, true));
    }
    baseline::write(path, known.kept(looked_at))?;
    told.push_str("The file is smaller now; commit it.\n");
    Ok((told, false))
}

/// Whether this runs where nobody would commit what is written: hosted runners set the variable `CI`.
fn is_ci() -> bool {
    std::env::var("CI").is_ok_and(|value| !value.is_empty() && value != "false" && value != "0")
}

/// What is left of a finding once it was told.
#[derive(Debug, Clone, Copy)]
struct Counted {
    severity: Severity,
    code: Code,
    /// Whether `--fix` mends it.
    is_mended: bool,
}

impl Counted {
    fn of(finding: &Finding) -> Counted {
        let is_mended = finding.fixes.iter().any(|fix| fix.confidence == Confidence::Safe);
        Counted { severity: finding.severity(), code: finding.code, is_mended }
    }
}

/// Gathers the findings of several files.
pub struct Report {
    format: CheckFormat,
    style: Style,
    findings: Vec<Counted>,
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
    fingerprints: Fingerprints,
    /// What is tolerated, where a baseline is given.
    baseline: Option<Baseline>,
    /// What a baseline would hold of the findings that are shown.
    entries: Vec<Entry>,
    /// The files that were checked whole.
    looked_at: BTreeSet<String>,
    annotations: Option<Annotations>,
    sarif: Option<Sarif>,
}

impl Report {
    pub fn new(format: CheckFormat, style: Style) -> Report {
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
            fingerprints: Fingerprints::default(),
            baseline: None,
            entries: Vec::new(),
            looked_at: BTreeSet::new(),
            annotations: (format == CheckFormat::Annotations).then(Annotations::default),
            sarif: (format == CheckFormat::Sarif).then(Sarif::default),
        }
    }

    /// The text to print for one compilation.
    pub fn add(&mut self, compiled: &Compiled, job: Option<&Job>) -> String {
        let sources = job.map_or_else(|| compiled.sources().clone(), |job| named(compiled.sources(), job));
        self.unread |= !compiled.was_read();
        // While there are errors some rules do not look, and then nothing is gone.
        let checked = sources.iter().next().map(|(_, file)| ci::relative(&file.name)).unwrap_or_default();
        if !compiled.has_errors() && compiled.left_off().is_empty() {
            self.looked_at.insert(checked.clone());
        }
        // Numbered in their order, so that the first compilation's findings keep their numbers and share their steps.
        sources.iter().for_each(|(_, file)| _ = self.number(&file.name));
        let mut text = String::new();
        for finding in compiled.findings() {
            if !self.is_new(finding, &sources) {
                continue;
            }
            let hash = self.fingerprints.of(finding, &sources);
            let may_be = finding.severity() != Severity::Error;
            let tolerated = self.baseline.as_mut().map(|known| may_be && known.tolerates(&hash));
            if let Some(sarif) = &mut self.sarif {
                sarif.add(finding, &hash, tolerated, &sources);
            }
            if tolerated == Some(true) {
                continue;
            }
            text.push_str(&self.told(finding, &sources));
            if may_be {
                let file = finding.span().and_then(|span| sources.get(span.file));
                let file = file.map(|file| ci::relative(&file.name)).unwrap_or_default();
                self.entries.push(Entry { file, checked: checked.clone(), code: finding.code.to_string(), hash });
            }
            self.findings.push(Counted::of(finding));
        }
        if let Some(sarif) = &mut self.sarif {
            compiled.account().accepted.iter().for_each(|accepted| sarif.add_accepted(accepted, &sources));
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
                CheckFormat::Json => account::data(&name, account, compiled.sources()),
                _ => account::full(&name, account, compiled.sources()),
            };
        }
    }

    /// Whether a finding was not said yet, by whatever compilation.
    fn is_new(&mut self, finding: &Finding, sources: &Sources) -> bool {
        let shared = finding.clone().renumbered(|id| self.number(sources.get(id).map_or("", |file| &file.name)));
        self.said.insert(shared)
    }

    /// The number of a file among those of all compilations.
    fn number(&mut self, name: &str) -> FileId {
        if let Some(known) = self.files.get(name) {
            return *known;
        }
        let next = FileId::new(u32::try_from(self.files.len()).unwrap_or(u32::MAX));
        self.files.insert(name.to_owned(), next);
        next
    }

    /// The text to print for findings about other files than sources.
    pub fn add_findings(&mut self, findings: &[Finding], sources: &Sources) -> String {
        let mut text = String::new();
        for finding in findings {
            text.push_str(&self.told(finding, sources));
            self.findings.push(Counted::of(finding));
        }
        text
    }

    /// A finding in the format; of those that are printed at the end, nothing yet.
    fn told(&mut self, finding: &Finding, sources: &Sources) -> String {
        match self.format {
            CheckFormat::Json => json::line(finding, sources) + "\n",
            CheckFormat::Short => ci::short(finding, sources),
            CheckFormat::Human => {
                let apart = if self.any() { "\n" } else { "" };
                format!("{apart}{}", render::human(std::slice::from_ref(finding), sources, self.style))
            }
            CheckFormat::Annotations => {
                self.annotations.iter_mut().for_each(|all| all.add(finding, sources));
                String::new()
            }
            CheckFormat::Sarif => String::new(),
        }
    }

    /// Writes what is tolerated from now on, and says how much that is.
    fn write_baseline(&mut self, path: &Path) -> Result<String, CannotRun> {
        let entries = std::mem::take(&mut self.entries);
        let errors = self.findings.len() - entries.len();
        let mut told = format!(
            "{}: {} tolerated from now on\n",
            visible(&path.display().to_string()),
            render::counted(entries.len(), "finding")
        );
        baseline::write(path, entries)?;
        if errors > 0 {
            let are = if errors == 1 { "1 error is".to_owned() } else { format!("{errors} errors are") };
            told.push_str(&format!("{are} not: somebody who follows the procedure to the letter would go wrong\n"));
        }
        Ok(told)
    }

    /// Whether there is anything to say.
    pub fn any(&self) -> bool {
        !self.findings.is_empty()
    }

    /// The last words of a run over so many files.
    pub fn closing(&self, checked: usize) -> String {
        let only = self.only.as_ref().map_or_else(String::new, |only| {
            visible(&format!("Checked only with {only}; other fittings may have findings of their own.")) + "\n"
        });
        if self.findings.is_empty() {
            return format!("{}, no findings.\n{only}", render::counted(checked, "file"));
        }
        format!("\n{}{only}", render::closing(self.findings.iter().map(|one| (one.severity, one.code)), self.style))
    }

    /// How many findings `--fix` would mend, where there are some.
    fn safe_fixes(&self) -> String {
        match self.findings.iter().filter(|one| one.is_mended).count() {
            0 => String::new(),
            1 => "1 of them is mended by `fitwright check --fix`.\n".to_owned(),
            many => format!("{many} of them are mended by `fitwright check --fix`.\n"),
        }
    }

    pub fn verdict(&self, deny: Option<Deny>) -> Verdict {
        if self.unread {
            return Verdict::CouldNotRun;
        }
        let counts = |one: &Counted| match one.severity {
            Severity::Error => true,
            Severity::Warning => deny == Some(Deny::Warnings),
            Severity::Note => false,
        };
        if self.findings.iter().any(counts) { Verdict::Findings } else { Verdict::Clean }
    }
}

/// The same sources, with the project's own files named as the user reaches them.
pub fn named(sources: &Sources, job: &Job) -> Sources {
    if job.prefix.is_empty() {
        return sources.clone();
    }
    let mut renamed = Sources::default();
    for (_, file) in sources.iter() {
        let built_in = file.name.starts_with("std/");
        let name = if built_in { file.name.clone() } else { format!("{}{}", job.prefix, file.name) };
        renamed.add(name, file.text.clone());
    }
    renamed
}

/// What a check of this file alone says after its findings.
pub fn last_words(compiled: &Compiled, job: &Job) -> String {
    let mut report = Report::new(CheckFormat::Human, Style::default());
    report.add(compiled, Some(job));
    report.account_of(compiled, job, false);
    format!("{}{}{}{}", report.closing(1), report.safe_fixes(), report.summary.closing(), report.left_off)
}
