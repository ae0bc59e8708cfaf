//! Checks texts beside the conversation, newest first: what is told of a text is never older than the text.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex};
use std::thread;

use lsp_types::Uri;

use super::Event;
use super::texts::{Open, Project, Text};
use crate::compile::Compiled;
use crate::desk::Desk;
use crate::diagnostics::Finding;
use crate::source::Sources;

/// What is to be checked.
pub struct Job {
    /// The text.
    pub text: Text,
    /// The project's folder, where the editor names one.
    pub root: Option<PathBuf>,
    /// All texts that stand open.
    pub open: Open,
    /// The newest number of a job for this text.
    pub newest: Newest,
    /// The number of this one.
    pub number: u64,
}

/// The number of the newest job for each text.
pub type Newest = Arc<Mutex<BTreeMap<String, u64>>>;

impl Job {
    fn is_outdated(&self) -> bool {
        let newest = self.newest.lock().map(|newest| newest.get(self.text.uri.as_str()).copied());
        newest.is_ok_and(|newest| newest != Some(self.number))
    }
}

/// What a check says.
pub struct Told {
    /// Of which text.
    pub uri: Uri,
    /// Of which state of it.
    pub version: i32,
    /// Of which job.
    pub number: u64,
    /// What was found.
    pub findings: Vec<Finding>,
    /// The texts that were read.
    pub sources: Sources,
    /// The file of each text, in their order; `None` for those of the standard library.
    pub files: Vec<Option<PathBuf>>,
    /// Files that the text depends on, figures among them.
    pub inputs: Vec<PathBuf>,
    /// Names and quantities of the text; with what is read only.
    pub desk: Option<Desk>,
    /// What was proved; `None` while that is still running.
    pub compiled: Option<Compiled>,
}

/// Starts the checking, and gives what takes its jobs.
pub fn start(events: Sender<Event>) -> Sender<Job> {
    let (to, jobs) = channel::<Job>();
    thread::spawn(move || {
        while let Ok(job) = jobs.recv() {
            // Nothing that a text holds may end the conversation; what is told of it then is nothing.
            let ran = catch_unwind(AssertUnwindSafe(|| run(&job, &events)));
            if ran.is_err() {
                eprintln!("fitwright: checking {} failed; this is a fault of the program", job.text.uri.as_str());
                let _ = events.send(Event::Failed(job.text.uri.clone(), job.number));
            }
        }
    });
    to
}

fn run(job: &Job, events: &Sender<Event>) {
    if job.is_outdated() {
        return;
    }
    let (project, path) = Project::of(&job.text, job.root.as_deref(), &job.open);
    let (desk, read) = Desk::open(&path, &project);
    let told = |findings, sources: &Sources, desk, compiled, inputs| Told {
        uri: job.text.uri.clone(),
        version: job.text.version,
        number: job.number,
        findings,
        files: sources.iter().map(|(_, file)| project.file(&file.name).filter(|_| !is_standard(&file.name))).collect(),
        sources: sources.clone(),
        inputs,
        desk,
        compiled,
    };
    let sources = read.sources().clone();
    let texts = |sources: &Sources| -> Vec<PathBuf> {
        sources.iter().filter_map(|(_, file)| project.file(&file.name)).collect()
    };
    let first = told(read.findings(), &sources, Some(desk), None, texts(&sources));
    if events.send(Event::Told(Box::new(first))).is_err() || job.is_outdated() {
        return;
    }
    let compiled = read.prove();
    let inputs = compiled.inputs().filter_map(|path| project.file(path)).collect();
    let proved = told(compiled.findings().to_vec(), &sources, None, Some(compiled), inputs);
    let _ = events.send(Event::Told(Box::new(proved)));
}

fn is_standard(name: &str) -> bool {
    name.starts_with("std/")
}
