//! `server`: the Language Server Protocol 3.17 over standard input and output, for editors.
//!
//! One thread holds the conversation ([`Server`]), one reads what comes in, one checks texts (`checking`). What is told of a text
//! is never of an older state than the editor's newest. What names, completions and the like are, `desk` says; here they are put
//! into the words of the protocol.

mod answers;
mod capabilities;
mod checking;
mod positions;
mod renaming;
mod texts;
mod told;
mod wire;

use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::{Duration, Instant};

use lsp_server::{ErrorCode, Message, Notification, Request, RequestId, Response};
use lsp_types::Uri;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use super::{CannotRun, Verdict};
use crate::compile::Compiled;
use crate::desk::Desk;
use capabilities::Client;
use checking::{Job, Newest, Told};
use positions::Lines;
use texts::{Open, Project, Text};
use wire::Incoming;

/// What happens to the conversation.
pub enum Event {
    /// Something came in.
    Incoming(Incoming),
    /// The stream can't be followed any more, or has ended.
    Gone,
    /// A check has something to say.
    Told(Box<Told>),
    /// A check ended without a word.
    Failed(Uri, u64),
}

/// So many requests wait for what is told of their text; more are answered with nothing.
const MOST_WAITING: usize = 256;

/// What is found without proofs is held back so long: most proofs are done by then, and what stands on the screen does not
/// flicker.
const PATIENCE: Duration = Duration::from_millis(120);

pub fn run() -> Result<Verdict, CannotRun> {
    let (events, incoming) = channel();
    let from = events.clone();
    thread::spawn(move || {
        let mut input = io::stdin().lock();
        loop {
            let event = match wire::read(&mut input) {
                Ok(Incoming::End) => Event::Gone,
                Ok(incoming) => Event::Incoming(incoming),
                Err(error) => {
                    eprintln!("fitwright: {error}");
                    Event::Gone
                }
            };
            let last = matches!(event, Event::Gone);
            if from.send(event).is_err() || last {
                return;
            }
        }
    });
    let mut server = Server::new(checking::start(events));
    let verdict = server.converse(&incoming);
    Ok(verdict)
}

/// One conversation.
struct Server {
    client: Client,
    jobs: Sender<Job>,
    newest: Newest,
    count: u64,
    texts: BTreeMap<String, Standing>,
    open: Open,
    told: told::Published,
    /// Requests that the editor no longer wants answered.
    cancelled: BTreeSet<String>,
    /// What is said once the patience is over.
    held: Vec<(Instant, Box<Told>)>,
    /// Requests for repairs of a text of which nothing is told yet.
    waiting: Vec<Request>,
    state: State,
    /// Whether the other side has gone.
    gone: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    Before,
    Running,
    ShutDown,
}

/// A text that stands open, with what is known of it.
struct Standing {
    text: Text,
    /// Names and quantities, of the state `desk_version`.
    desk: Option<Desk>,
    desk_version: i32,
    compiled: Option<Compiled>,
    /// What the last check found, for repairs; of the state `told_version`.
    last: Option<Told>,
    inputs: Vec<PathBuf>,
    job: u64,
    /// The last check that ended without a word.
    failed: u64,
    /// Whether the editor was told that a proof is running.
    proving: bool,
}

impl Server {
    fn new(jobs: Sender<Job>) -> Server {
        Server {
            client: Client::default(),
            jobs,
            newest: Newest::default(),
            count: 0,
            texts: BTreeMap::new(),
            open: Open::default(),
            told: told::Published::default(),
            cancelled: BTreeSet::new(),
            held: Vec::new(),
            waiting: Vec::new(),
            state: State::Before,
            gone: false,
        }
    }

    fn converse(&mut self, incoming: &Receiver<Event>) -> Verdict {
        let mut queue: Vec<Event> = Vec::new();
        while !self.gone {
            if queue.is_empty() {
                let due = self.held.iter().map(|(due, _)| *due).min();
                let waiting =
                    due.map_or(Duration::from_secs(3600), |due| due.saturating_duration_since(Instant::now()));
                match incoming.recv_timeout(waiting) {
                    Ok(event) => queue.push(event),
                    Err(RecvTimeoutError::Timeout) => {}
                    Err(RecvTimeoutError::Disconnected) => return Verdict::CouldNotRun,
                }
            }
            // What came in meanwhile may call off what came before.
            queue.extend(incoming.try_iter());
            for event in &queue {
                if let Event::Incoming(Incoming::Message(Message::Notification(notification))) = event
                    && notification.method == "$/cancelRequest"
                    && let Some(id) = notification.params.get("id")
                {
                    self.cancelled.insert(id.to_string());
                }
            }
            for event in std::mem::take(&mut queue) {
                match event {
                    Event::Incoming(Incoming::Message(message)) => {
                        if let Some(verdict) = self.message(message) {
                            return verdict;
                        }
                    }
                    Event::Incoming(Incoming::Garbled(why)) => self.send(json!({
                        "jsonrpc": "2.0", "id": null,
                        "error": {"code": ErrorCode::ParseError as i32, "message": why},
                    })),
                    Event::Incoming(Incoming::End) | Event::Gone => return self.left(),
                    Event::Told(told) => self.hear(told),
                    Event::Failed(uri, number) => {
                        if let Some(standing) = self.texts.get_mut(uri.as_str()) {
                            standing.failed = number;
                        }
                        self.proof_ended(&uri, number);
                    }
                }
            }
            self.say_held();
            self.answer_waiting();
            self.cancelled.clear();
        }
        self.left()
    }

    /// The other side went: in order only after it said so.
    fn left(&self) -> Verdict {
        if self.state == State::ShutDown { Verdict::Clean } else { Verdict::Findings }
    }

    fn message(&mut self, message: Message) -> Option<Verdict> {
        match message {
            Message::Request(request) if self.waiting.len() < MOST_WAITING && !self.can_answer(&request) => {
                self.waiting.push(request);
            }
            Message::Request(request) => self.request(request),
            Message::Notification(notification) if notification.method == "exit" => return Some(self.left()),
            Message::Notification(notification) if self.state == State::Running => self.notification(notification),
            // Answers to what was asked of the editor need no word; nothing is heard before the beginning.
            Message::Notification(_) | Message::Response(_) => {}
        }
        None
    }

    /// Whether the answer is known: repairs are, once it is told what is wrong with the newest state of the text.
    fn can_answer(&self, request: &Request) -> bool {
        if self.state != State::Running || request.method != "textDocument/codeAction" {
            return true;
        }
        let uri = request.params.pointer("/textDocument/uri").and_then(Value::as_str);
        let standing = uri.and_then(|uri| self.texts.get(uri));
        standing.is_none_or(|standing| {
            standing.failed == standing.job || standing.last.as_ref().is_some_and(|told| told.number == standing.job)
        })
    }

    /// Answers what waited, as far as it is known now or was called off.
    fn answer_waiting(&mut self) {
        for request in std::mem::take(&mut self.waiting) {
            if self.can_answer(&request) || self.cancelled.contains(&json!(request.id).to_string()) {
                self.request(request);
            } else {
                self.waiting.push(request);
            }
        }
    }

    fn request(&mut self, request: Request) {
        let id = request.id.clone();
        let answer = match (self.state, request.method.as_str()) {
            (State::Before, "initialize") => {
                self.client = Client::of(&request.params);
                self.state = State::Running;
                Ok(capabilities::ours(&self.client))
            }
            (State::Before, _) => Err((ErrorCode::ServerNotInitialized, "`initialize` comes first".to_owned())),
            (State::ShutDown, _) => Err((ErrorCode::InvalidRequest, "the server was shut down".to_owned())),
            (State::Running, "initialize") => Err((ErrorCode::InvalidRequest, "`initialize` comes once".to_owned())),
            (State::Running, "shutdown") => {
                self.state = State::ShutDown;
                Ok(Value::Null)
            }
            (State::Running, _) if self.cancelled.contains(&json!(id).to_string()) => {
                Err((ErrorCode::RequestCanceled, "called off".to_owned()))
            }
            (State::Running, _) => {
                let answered = catch_unwind(AssertUnwindSafe(|| answers::answer(self, &request)));
                answered.unwrap_or_else(|_| {
                    let fault = format!("{} failed; this is a fault of the program", request.method);
                    Err((ErrorCode::InternalError, fault))
                })
            }
        };
        let response = match answer {
            Ok(result) => Response::new_ok(id, result),
            Err((code, message)) => Response::new_err(id, code as i32, message),
        };
        self.respond(response);
    }

    fn respond(&mut self, response: Response) {
        let mut message = json!(response);
        message["jsonrpc"] = json!("2.0");
        self.send(message);
    }

    fn notify(&mut self, method: &str, params: Value) {
        self.send(json!({"jsonrpc": "2.0", "method": method, "params": params}));
    }

    /// Asks something of the editor; what it answers is not waited for.
    fn ask(&mut self, method: &str, params: Value) {
        self.count += 1;
        let id = json!(RequestId::from(format!("fitwright-{}", self.count)));
        self.send(json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}));
    }

    fn send(&mut self, message: Value) {
        if wire::write(&message, &mut io::stdout().lock()).is_err() {
            self.gone = true;
        }
    }

    fn notification(&mut self, notification: Notification) {
        let Notification { method, params } = notification;
        match method.as_str() {
            "initialized" => self.watch(),
            "textDocument/didOpen" => {
                if let Some(lsp_types::DidOpenTextDocumentParams { text_document: opened }) = self.of(&method, params) {
                    self.text_is(opened.uri, opened.version, opened.text);
                }
            }
            "textDocument/didChange" => {
                if let Some(changed) = self.of::<lsp_types::DidChangeTextDocumentParams>(&method, params)
                    // The whole text comes each time; of several, the last counts.
                    && let Some(change) = changed.content_changes.into_iter().next_back().filter(|last| last.range.is_none())
                {
                    self.text_is(changed.text_document.uri, changed.text_document.version, change.text);
                }
            }
            "textDocument/didClose" => {
                if let Some(closed) = self.of::<lsp_types::DidCloseTextDocumentParams>(&method, params) {
                    self.close(&closed.text_document.uri);
                }
            }
            "workspace/didChangeWatchedFiles" => {
                if let Some(changed) = self.of::<lsp_types::DidChangeWatchedFilesParams>(&method, params) {
                    let files: Vec<PathBuf> =
                        changed.changes.iter().filter_map(|change| texts::path_of(&change.uri)).collect();
                    self.check_those_with(&files, None);
                }
            }
            "textDocument/didSave" => {
                if let Some(saved) = self.of::<lsp_types::DidSaveTextDocumentParams>(&method, params) {
                    let files: Vec<PathBuf> = texts::path_of(&saved.text_document.uri).into_iter().collect();
                    self.check_those_with(&files, Some(&saved.text_document.uri));
                }
            }
            _ => {}
        }
    }

    /// What a notification says; a word to the log where it is not as the protocol has it.
    fn of<T: DeserializeOwned>(&mut self, method: &str, params: Value) -> Option<T> {
        match serde_json::from_value(params) {
            Ok(said) => Some(said),
            Err(error) => {
                eprintln!("fitwright: {method}: {error}");
                None
            }
        }
    }

    /// Has the editor tell of files that change beside it.
    fn watch(&mut self) {
        if self.client.watches {
            let watchers = json!([{"globPattern": "**/*.fitw"}]);
            let registered = json!({
                "id": "fitwright-files", "method": "workspace/didChangeWatchedFiles",
                "registerOptions": {"watchers": watchers},
            });
            self.ask("client/registerCapability", json!({"registrations": [registered]}));
        }
    }

    fn text_is(&mut self, uri: Uri, version: i32, text: String) {
        let text = Text { path: texts::path_of(&uri), uri: uri.clone(), version, text: text.into() };
        if let Some(path) = &text.path {
            Arc::make_mut(&mut self.open).insert(path.clone(), text.text.clone());
        }
        let path = text.path.clone();
        match self.texts.get_mut(uri.as_str()) {
            Some(standing) => standing.text = text,
            None => {
                let standing = Standing {
                    text,
                    desk: None,
                    desk_version: version,
                    compiled: None,
                    last: None,
                    inputs: Vec::new(),
                    job: 0,
                    failed: 0,
                    proving: false,
                };
                self.texts.insert(uri.as_str().to_owned(), standing);
            }
        }
        // What others found in it was found in an older state; they are checked again.
        self.told.keep_own(&uri);
        self.check(&uri);
        self.check_those_with(path.as_slice(), Some(&uri));
    }

    fn close(&mut self, uri: &Uri) {
        let Some(standing) = self.texts.remove(uri.as_str()) else { return };
        if let Ok(mut newest) = self.newest.lock() {
            newest.remove(uri.as_str());
        }
        self.held.retain(|(_, told)| told.uri != *uri);
        let path = standing.text.path.clone();
        if let Some(path) = &path {
            Arc::make_mut(&mut self.open).remove(path);
        }
        self.end_progress(standing.job, standing.proving);
        let changed = self.told.forget(uri);
        self.publish(&changed);
        // What was not saved is gone, and others may have read it.
        self.check_those_with(path.as_slice(), Some(uri));
    }

    /// Checks the texts that depend on one of these files.
    fn check_those_with(&mut self, files: &[PathBuf], but: Option<&Uri>) {
        let concerned = |standing: &Standing| standing.inputs.iter().any(|input| files.contains(input));
        let texts = self.texts.values().filter(|standing| Some(&standing.text.uri) != but && concerned(standing));
        let uris: Vec<Uri> = texts.map(|standing| standing.text.uri.clone()).collect();
        uris.iter().for_each(|uri| self.check(uri));
    }

    fn check(&mut self, uri: &Uri) {
        self.count += 1;
        let number = self.count;
        let Some(standing) = self.texts.get_mut(uri.as_str()) else { return };
        // Numbers of an older state are worse than none.
        standing.compiled = None;
        let (before, proving) = (std::mem::replace(&mut standing.job, number), std::mem::take(&mut standing.proving));
        let text = standing.text.clone();
        if let Ok(mut newest) = self.newest.lock() {
            newest.insert(uri.as_str().to_owned(), number);
        }
        // What is held back is of an older state.
        self.held.retain(|(_, held)| held.uri != *uri);
        let (root, open, newest) = (self.client.root.clone(), self.open.clone(), self.newest.clone());
        let _ = self.jobs.send(Job { text, root, open, newest, number });
        self.end_progress(before, proving);
    }

    /// Hears what a check found, if it is of the newest state.
    fn hear(&mut self, mut told: Box<Told>) {
        let Some(standing) = self.texts.get_mut(told.uri.as_str()).filter(|standing| standing.job == told.number)
        else {
            return;
        };
        standing.inputs = told.inputs.clone();
        if let Some(desk) = told.desk.take() {
            standing.desk = Some(desk);
            standing.desk_version = told.version;
            self.held.retain(|(_, held)| held.uri != told.uri);
            self.held.push((Instant::now() + PATIENCE, told));
            return;
        }
        standing.compiled = told.compiled.take();
        self.held.retain(|(_, held)| held.uri != told.uri);
        let (uri, number) = (told.uri.clone(), told.number);
        self.say(*told);
        self.proof_ended(&uri, number);
    }

    /// Says what was found without proofs, where those take longer.
    fn say_held(&mut self) {
        let now = Instant::now();
        let (due, held) = std::mem::take(&mut self.held).into_iter().partition(|(due, _)| *due <= now);
        self.held = held;
        for (_, told) in due {
            let (uri, number) = (told.uri.clone(), told.number);
            self.say(*told);
            let Some(standing) = self.texts.get_mut(uri.as_str()).filter(|standing| standing.job == number) else {
                continue;
            };
            if self.client.shows_progress {
                standing.proving = true;
                let token = json!(format!("fitwright-proof-{number}"));
                self.ask("window/workDoneProgress/create", json!({"token": token}));
                let begin = json!({"kind": "begin", "title": "Proving", "message": "what holds on every path"});
                self.notify("$/progress", json!({"token": token, "value": begin}));
            }
        }
    }

    fn say(&mut self, told: Told) {
        let (texts, client) = (&self.texts, &self.client);
        let name = |path: &Path| uri_in(texts, client, path);
        let changed = self.told.replace(&told, self.client.encoding, self.client.says_more, &name);
        if let Some(standing) = self.texts.get_mut(told.uri.as_str()) {
            standing.last = Some(told);
        }
        self.publish(&changed);
    }

    fn publish(&mut self, uris: &[Uri]) {
        for uri in uris {
            let mut params = json!({"uri": uri, "diagnostics": self.told.of(uri)});
            // What is not open has no version, and `null` is none.
            if let Some(standing) = self.texts.get(uri.as_str()) {
                params["version"] = json!(standing.text.version);
            }
            self.notify("textDocument/publishDiagnostics", params);
        }
    }

    fn proof_ended(&mut self, uri: &Uri, number: u64) {
        let standing = self.texts.get_mut(uri.as_str()).filter(|standing| standing.job == number);
        let proving = standing.is_some_and(|standing| std::mem::take(&mut standing.proving));
        self.end_progress(number, proving);
    }

    fn end_progress(&mut self, number: u64, proving: bool) {
        if proving {
            let token = json!(format!("fitwright-proof-{number}"));
            self.notify("$/progress", json!({"token": token, "value": {"kind": "end"}}));
        }
    }

    /// A text with names and quantities of its newest state.
    fn standing(&mut self, uri: &Uri) -> Option<&Standing> {
        let (root, open) = (self.client.root.clone(), self.open.clone());
        let standing = self.texts.get_mut(uri.as_str())?;
        if standing.desk.is_none() || standing.desk_version != standing.text.version {
            let (project, path) = Project::of(&standing.text, root.as_deref(), &open);
            standing.desk = Some(Desk::open(&path, &project).0);
            standing.desk_version = standing.text.version;
        }
        Some(standing)
    }

    /// The editor's name of a file.
    fn uri_of(&self, path: &Path) -> Option<Uri> {
        uri_in(&self.texts, &self.client, path)
    }

    fn lines<'t>(&self, text: &'t str) -> Lines<'t> {
        Lines::of(text, self.client.encoding)
    }

    /// The folders in which other procedures are looked for.
    fn folders(&self, near: Option<&Path>) -> Vec<PathBuf> {
        let mut folders = self.client.folders.clone();
        if folders.is_empty() {
            folders.extend(self.client.root.clone().or_else(|| near?.parent().map(Path::to_path_buf)));
        }
        folders
    }
}

/// The editor's name of a file: the one by which it has it open, else within the name of the folder that it has open. Either may
/// go by links, and spell its letters otherwise than we do.
fn uri_in(texts: &BTreeMap<String, Standing>, client: &Client, path: &Path) -> Option<Uri> {
    if let Some(open) = texts.values().find(|standing| standing.text.path.as_deref() == Some(path)) {
        return Some(open.text.uri.clone());
    }
    let ours = texts::uri_of(path)?;
    let within = client.names.iter().find(|(folder, _)| path.starts_with(folder));
    let theirs = within.and_then(|(folder, name)| {
        let folder = texts::uri_of(folder)?;
        let rest = ours.as_str().strip_prefix(folder.as_str().trim_end_matches('/'))?;
        format!("{}{rest}", name.trim_end_matches('/')).parse::<Uri>().ok()
    });
    Some(theirs.unwrap_or(ours))
}
