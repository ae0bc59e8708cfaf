//! `explain FILE NAME`: how a joint was worked out.

use std::path::Path;

use super::terminal::Stream;
use super::{CannotRun, ExplainArguments, Format, Verdict, files};
use crate::compile::{self, Compiled};
use crate::diagnostics::{suggest, visible};

/// Whether the first word means a file rather than a code.
pub fn is_meant(file: &str, arguments: &ExplainArguments) -> bool {
    arguments.name.is_some() || Path::new(file).extension().is_some()
}

pub fn run(file: &str, arguments: &ExplainArguments) -> Result<Verdict, CannotRun> {
    let jobs = files::jobs(&[file.into()], super::project::folder(arguments.project.as_deref()))?;
    let [job] = jobs.as_slice() else {
        return Err(CannotRun(format!("{file} is a folder; name one file in it")));
    };
    let compiled = compile::check(&job.path, &job.project);
    let mut output = Stream::output();
    match &arguments.name {
        None => output.say(&listed(file, &compiled, arguments.format)?),
        Some(name) => {
            let working = compiled.working(name).ok_or_else(|| unknown(file, name, &compiled))?;
            match arguments.format {
                Format::Json => output.say(&(working.json() + "\n")),
                Format::Human => {
                    let text = working.text(output.style().width.max(100));
                    // Titles are the writer's, and may hold what a terminal would obey.
                    text.lines().for_each(|line| output.say(&(visible(line) + "\n")));
                }
            }
        }
    }
    output.finish()?;
    let mut errors = Stream::errors();
    if compiled.has_errors() {
        errors.say(&format!("{file} has errors that may change this: run `fitwright check {file}`\n"));
    }
    errors.finish()?;
    Ok(Verdict::Clean)
}

/// The names, one a line.
fn listed(file: &str, compiled: &Compiled, format: Format) -> Result<String, CannotRun> {
    let names = compiled.worked_out();
    if format == Format::Json {
        let quoted: Vec<String> = names.iter().map(|name| format!("\"{name}\"")).collect();
        return Ok(format!("[{}]\n", quoted.join(",")));
    }
    if names.is_empty() {
        return Err(nothing(file));
    }
    Ok(names.iter().map(|name| format!("{name}\n")).collect())
}

fn nothing(file: &str) -> CannotRun {
    CannotRun(format!("{file} has nothing that is worked out: no joint could be read in it"))
}

fn unknown(file: &str, name: &str, compiled: &Compiled) -> CannotRun {
    let names = compiled.worked_out();
    if names.is_empty() {
        return nothing(file);
    }
    match suggest::nearest(name, names.iter().copied()) {
        Some(near) => CannotRun(format!("{file} has no joint `{name}`; did you mean `{near}`?")),
        None => CannotRun(format!("{file} has no joint `{name}`; it has {}", names.join(", "))),
    }
}
