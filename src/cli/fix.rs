//! `check --fix`: makes the safe fixes of a file and of what it uses, in the project's folder.

use std::collections::BTreeMap;

use super::files::{Disk, Job};
use super::{CannotRun, one_file};
use crate::compile::{self, Compiled};
use crate::diagnostics::{Confidence, Edit, Family, Finding, Severity, apply, visible};
use crate::world::{ReadFault, World};

/// A fix may bring out another. After so many rounds it is left at that.
const ROUNDS: usize = 32;

/// The files on disk, with what was made of some of them.
struct Overlay<'d> {
    disk: &'d Disk,
    changed: BTreeMap<String, Vec<u8>>,
}

impl World for Overlay<'_> {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        match self.changed.get(path) {
            Some(bytes) => Ok(bytes.clone()),
            None => self.disk.read(path),
        }
    }
}

/// What was done in the files of one job, as lines to print.
pub fn run(job: &Job) -> Result<String, CannotRun> {
    let mut world = Overlay { disk: &job.project, changed: BTreeMap::new() };
    let mut done: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut before = compile::check(&job.path, &world);
    for _ in 0..ROUNDS {
        let (edits, titles) = safe(&before);
        if edits.is_empty() {
            break;
        }
        let kept = world.changed.clone();
        for (path, edits) in &edits {
            let bytes = world.read(path).map_err(|fault| CannotRun(format!("{path} can't be read: {fault}")))?;
            if let Some(bytes) = edited(&bytes, edits) {
                world.changed.insert(path.clone(), bytes);
            }
        }
        let after = compile::check(&job.path, &world);
        // A round that would do harm, or nothing, is not made.
        if faults(&after) > faults(&before) || world.changed == kept {
            world.changed = kept;
            break;
        }
        titles.into_iter().for_each(|(path, title)| done.entry(path).or_default().push(title));
        before = after;
    }
    write(job, &world, &done)
}

/// The safe fixes that go together, the first of those that overlap: edits and titles, by the file.
#[expect(clippy::type_complexity, reason = "two lists that are made together, for one caller")]
fn safe(compiled: &Compiled) -> (BTreeMap<String, Vec<Edit>>, Vec<(String, String)>) {
    let mut edits: BTreeMap<String, Vec<Edit>> = BTreeMap::new();
    let mut titles = Vec::new();
    for finding in compiled.findings() {
        let Some(fix) = finding.fixes.iter().find(|fix| fix.confidence == Confidence::Safe) else { continue };
        let path_of = |edit: &Edit| compiled.sources().get(edit.span.file).map(|file| file.name.clone());
        let Some(placed) = fix.edits.iter().map(|edit| Some((path_of(edit)?, edit))).collect::<Option<Vec<_>>>() else {
            continue;
        };
        let meets = |(path, edit): &(String, &Edit)| {
            let mut known = edits.get(path).into_iter().flatten();
            known.any(|other| edit.span.start <= other.span.end && other.span.start <= edit.span.end)
        };
        if placed.iter().any(|(path, _)| path.starts_with("std/")) || placed.iter().any(meets) {
            continue;
        }
        for (path, edit) in placed {
            if titles.last().is_none_or(|last: &(String, String)| *last != (path.clone(), said(finding, &fix.title))) {
                titles.push((path.clone(), said(finding, &fix.title)));
            }
            edits.entry(path).or_default().push(edit.clone());
        }
    }
    (edits, titles)
}

fn said(finding: &Finding, title: &str) -> String {
    format!("{}: {title}", finding.code)
}

/// The bytes of a file with edits of its text made. A byte order mark stays.
fn edited(bytes: &[u8], edits: &[Edit]) -> Option<Vec<u8>> {
    let text = std::str::from_utf8(bytes).ok()?;
    let (mark, text) = match text.strip_prefix('\u{feff}') {
        Some(rest) => ("\u{feff}", rest),
        None => ("", text),
    };
    Some(format!("{mark}{}", apply(text, edits).ok()?).into_bytes())
}

/// How many faults of the text there are.
fn faults(compiled: &Compiled) -> usize {
    let all = compiled.findings().iter();
    all.filter(|finding| finding.code.family() == Family::Text && finding.severity() == Severity::Error).count()
}

fn write(job: &Job, world: &Overlay<'_>, done: &BTreeMap<String, Vec<String>>) -> Result<String, CannotRun> {
    let mut told = String::new();
    for (path, bytes) in &world.changed {
        one_file::write(&job.project.root().join(path), bytes, &[])?;
        let titles = done.get(path).map(Vec::as_slice).unwrap_or_default();
        let fixes = if titles.len() == 1 { "fix" } else { "fixes" };
        told.push_str(&format!("{}: {} {fixes}\n", visible(&format!("{}{path}", job.prefix)), titles.len()));
        titles.iter().for_each(|title| told.push_str(&format!("  {}\n", visible(title))));
    }
    Ok(told)
}
