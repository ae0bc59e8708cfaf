//! `preview`: a page on this machine that shows the manual and the findings, anew with each save.
//!
//! One thread reads and proves (`follow`), one looks at the files beside it (`watched`), and each connection has one of its own
//! (`http`). What they share is `state`. Everything that is answered comes out of memory: a path of a request is compared with a
//! list, and never reaches the disk.

mod http;
mod state;
mod watched;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

use serde_json::json;

use super::files::{self, Job};
use super::terminal::Stream;
use super::{CannotRun, PreviewArguments, Verdict, words};
use crate::compile;
use crate::diagnostics::visible;
use crate::emit::Outputs;
use http::{Request, Response};
use state::State;
use watched::Watched;

const PAGE: &str = include_str!("../../../site/preview/preview.html");
const STYLE: &str = include_str!("../../../site/preview/preview.css");
const SCRIPT: &str = include_str!("../../../site/preview/preview.js");

/// The page runs its own script, frames manuals, and asks nobody else for anything.
const OWN: &str = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; frame-src 'self'; \
                   img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
/// A sheet has no script. The page frames it.
const SHEET: &str = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:; base-uri 'none'; \
                     form-action 'none'; frame-ancestors 'self'";
/// The job page names the digest of its script itself; this may only be narrower where both speak.
const JOB: &str = "default-src 'self' data: blob: 'unsafe-inline'; connect-src 'none'; object-src 'none'; base-uri 'none'; \
                   form-action 'none'; frame-ancestors 'none'";

/// Columns in which the lines of a source are drawn, where the page does not say.
const COLUMNS: usize = 80;

pub fn run(arguments: &PreviewArguments) -> Result<Verdict, CannotRun> {
    let jobs =
        files::jobs(std::slice::from_ref(&arguments.path), super::project::folder(arguments.project.as_deref()))?;
    let [job] = jobs.as_slice() else { return Err(several(&arguments.path, &jobs)) };
    let (listener, port) = http::open(arguments.port)
        .map_err(|error| CannotRun(format!("port {} cannot be opened: {}", arguments.port, words(&error))))?;
    let mut output = Stream::output();
    let file = visible(&arguments.path.display().to_string());
    output.say(&format!("Preview of {file} at http://127.0.0.1:{port}/ until Ctrl-C\n"));
    output.finish()?;
    let state = Arc::new(State::of(job));
    let (followed, asked) = (job.clone(), Arc::clone(&state));
    thread::spawn(move || {
        loop {
            follow(&followed, &state);
        }
    });
    http::serve(&listener, port, move |request| answer(request, &asked));
    Ok(Verdict::Clean)
}

fn several(folder: &Path, jobs: &[Job]) -> CannotRun {
    let names: Vec<&str> = jobs.iter().map(|job| job.path.as_str()).collect();
    CannotRun(format!("{} holds {} files; name one of them: {}", folder.display(), jobs.len(), names.join(", ")))
}

/// Reads and proves once, and comes back when a file is otherwise than it was read.
fn follow(job: &Job, state: &State) {
    let world = Watched::of(&job.project);
    // Nothing that a text holds may end the preview.
    let read = catch_unwind(AssertUnwindSafe(|| compile::read(&job.path, &world)));
    let seen = world.seen();
    let changed = AtomicBool::new(false);
    thread::scope(|scope| {
        scope.spawn(|| {
            watched::wait_for_change(&job.project, &seen);
            changed.store(true, Ordering::SeqCst);
            state.changed();
        });
        let is_still = || !changed.load(Ordering::SeqCst);
        let proved = read.and_then(|read| {
            catch_unwind(AssertUnwindSafe(|| {
                state.read(&read, is_still);
                state.proved(read.prove(), is_still);
            }))
        });
        if proved.is_err() {
            state.failed(is_still);
        }
    });
    watched::wait_until_settled(&job.project, &seen);
}

/// The answer to a request.
fn answer(request: &Request, state: &State) -> Response {
    let own = |media, text: &str| Response { status: 200, media, policy: OWN, body: text.as_bytes().to_vec() };
    match request.path.as_str() {
        "/" => own("text/html; charset=utf-8", PAGE),
        "/preview.css" => own("text/css; charset=utf-8", STYLE),
        "/preview.js" => own("text/javascript; charset=utf-8", SCRIPT),
        "/state" => {
            let columns = request.value("columns").and_then(|columns| columns.parse().ok()).unwrap_or(COLUMNS);
            let told = state.told(request.value("has"), columns.clamp(40, 120));
            own("application/json", &told.to_string())
        }
        "/made" => match made(request, state) {
            Ok(outputs) => {
                let names: Vec<&str> = outputs.files.iter().map(|(name, _)| name.as_str()).collect();
                own("application/json", &json!(names).to_string())
            }
            Err(why) => why,
        },
        path => match path.strip_prefix("/out/").map(|name| (name, made(request, state))) {
            Some((name, Ok(outputs))) => file(name, &outputs),
            Some((_, Err(why))) => why,
            None => nothing(),
        },
    }
}

fn nothing() -> Response {
    Response::sentence(404, "The preview has no such page.")
}

/// The files for the fittings that a request names, or the answer that says why there are none.
fn made(request: &Request, state: &State) -> Result<Arc<Outputs>, Response> {
    let with: Vec<String> =
        request.query.iter().filter(|(name, _)| name == "with").map(|(_, value)| value.clone()).collect();
    // Where the program has a fault, one request goes without an answer, and the preview stands.
    match catch_unwind(AssertUnwindSafe(|| state.files(&with))) {
        Ok(Some(Ok(outputs))) => Ok(outputs),
        Ok(Some(Err(refusal))) => Err(Response::sentence(409, &visible(&refusal))),
        Ok(None) => Err(Response::sentence(404, "There is no manual yet.")),
        Err(_) => Err(Response::sentence(500, "The files could not be made; this is a fault of the program.")),
    }
}

/// A file of a build, by its name.
fn file(name: &str, outputs: &Outputs) -> Response {
    let Some(bytes) = outputs.file(name) else { return nothing() };
    let (media, policy) = match name.rsplit('.').next() {
        Some("html") if name == "job.html" => ("text/html; charset=utf-8", JOB),
        Some("html") => ("text/html; charset=utf-8", SHEET),
        Some("json") => ("application/json", http::NOTHING_RUNS),
        Some("csv") => ("text/csv; charset=utf-8", http::NOTHING_RUNS),
        _ => ("application/octet-stream", http::NOTHING_RUNS),
    };
    Response { status: 200, media, policy, body: bytes.to_vec() }
}
