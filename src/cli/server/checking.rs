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
use crate::compile::{Compiled, Read};
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

/// A text that was read and is still to be proved.
struct Reading {
    job: Job,
    project: Project,
    read: Read,
}

/// A newer text has come.
struct Outdated;

/// Starts the checking, and gives what takes its jobs. Texts are read by one thread and proved by another: what is wrong with a
/// text is told while the proof of the one before still runs, and that proof ends when it hears of the newer text.
pub fn start(events: Sender<Event>) -> Sender<Job> {
    let (to, jobs) = channel::<Job>();
    let (to_prove, readings) = channel::<Reading>();
    let of_proofs = events.clone();
    thread::spawn(move || {
        while let Ok(job) = jobs.recv() {
            let (uri, number) = (job.text.uri.clone(), job.number);
            if let Some(reading) = unharmed(&uri, number, &events, || read(job, &events)) {
                let _ = to_prove.send(reading);
            }
        }
    });
    thread::spawn(move || {
        while let Ok(reading) = readings.recv() {
            let (uri, number) = (reading.job.text.uri.clone(), reading.job.number);
            if let Some(told) = unharmed(&uri, number, &of_proofs, || prove(reading)) {
                let _ = of_proofs.send(Event::Told(Box::new(told)));
            }
        }
    });
    to
}

/// Nothing that a text holds may end the conversation; what is told of it then is nothing.
fn unharmed<T>(uri: &Uri, number: u64, events: &Sender<Event>, work: impl FnOnce() -> Option<T>) -> Option<T> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|_| {
        eprintln!("fitwright: checking {} failed; this is a fault of the program", uri.as_str());
        let _ = events.send(Event::Failed(uri.clone(), number));
        None
    })
}

/// Reads a text, and tells what is wrong with it before anything is proved.
fn read(job: Job, events: &Sender<Event>) -> Option<Reading> {
    if job.is_outdated() {
        return None;
    }
    let (project, path) = Project::of(&job.text, job.root.as_deref(), &job.open);
    let (desk, read) = Desk::open(&path, &project);
    let sources = read.sources().clone();
    let inputs = sources.iter().filter_map(|(_, file)| project.file(&file.name)).collect();
    let first = told(&job, &project, sources, read.findings(), inputs);
    let first = Told { desk: Some(desk), ..first };
    events.send(Event::Told(Box::new(first))).ok()?;
    Some(Reading { job, project, read })
}

/// Proves it, unless a newer text comes meanwhile.
fn prove(reading: Reading) -> Option<Told> {
    let Reading { job, project, read } = reading;
    let wanted = || if job.is_outdated() { Err(Outdated) } else { Ok(()) };
    wanted().ok()?;
    let compiled = read.prove_while(&wanted).ok()?;
    let inputs = compiled.inputs().filter_map(|path| project.file(path)).collect();
    let proved = told(&job, &project, compiled.sources().clone(), compiled.findings().to_vec(), inputs);
    Some(Told { compiled: Some(compiled), ..proved })
}

fn told(job: &Job, project: &Project, sources: Sources, findings: Vec<Finding>, inputs: Vec<PathBuf>) -> Told {
    Told {
        uri: job.text.uri.clone(),
        version: job.text.version,
        number: job.number,
        findings,
        files: sources.iter().map(|(_, file)| project.file(&file.name).filter(|_| !is_standard(&file.name))).collect(),
        sources,
        inputs,
        desk: None,
        compiled: None,
    }
}

fn is_standard(name: &str) -> bool {
    name.starts_with("std/")
}
