//! `compare`: what changed between two editions of a procedure.

use super::edition::Edition;
use super::project;
use super::terminal::Stream;
use super::{CannotRun, CompareArguments, DenyChange, Format, Verdict};
use crate::compare::{CannotCompare, compare};
use crate::diagnostics::visible;

pub fn run(arguments: &CompareArguments) -> Result<Verdict, CannotRun> {
    let project = project::folder(arguments.project.as_deref());
    let (old, new) = (Edition::find(&arguments.old, project)?, Edition::find(&arguments.new, project)?);
    let compared = compare((&old.path, &old), (&new.path, &new)).map_err(|CannotCompare(why)| CannotRun(why))?;
    let mut output = Stream::output();
    output.say(&match arguments.format {
        Format::Human => compared.text().lines().map(|line| visible(line) + "\n").collect::<String>(),
        Format::Json => compared.json(),
    });
    output.finish()?;
    let denied = arguments.deny == Some(DenyChange::Safety) && compared.of_safety().next().is_some();
    Ok(if denied { Verdict::Findings } else { Verdict::Clean })
}
