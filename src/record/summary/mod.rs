//! One page about a job for the customer and for the file, as the data that a template prints.
//!
//! `reader` goes through the record line by line; `readings` holds what was read to what is asked; `torques` gathers the
//! torques of a joint; `text` is how moments, digests and findings are printed.

mod reader;
mod readings;
mod text;
mod torques;

use serde::Serialize;

use super::content::ChosenText;
use super::event::What;
use super::judge::Judgement;
use super::{Outcome, Verdict};
use crate::diagnostics::Finding;
use crate::labels::spoken;
use crate::source::Sources;
use reader::Reader;
use text::{clock, in_groups, messages};

/// What the page says. All text is as people read it; nothing is markup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[allow(missing_docs, reason = "each is what its name says, and stands once in the template")]
pub struct View {
    pub title: String,
    pub id: String,
    pub revision: Option<String>,
    pub job: String,
    pub opened: String,
    pub closed: Option<String>,
    pub workers: Vec<String>,
    /// How the job ended, in a few words.
    pub outcome: &'static str,
    /// What was told at the stop, or why the job was broken off.
    pub outcome_text: Option<String>,
    pub complete: bool,
    /// What is wrong, one sentence each.
    pub faults: Vec<String>,
    /// What is worth knowing besides.
    pub remarks: Vec<String>,
    /// What was settled when the checklist was made.
    pub fitting: Vec<Row>,
    pub answers: Vec<Row>,
    /// Limits that were decided.
    pub limits: Vec<Row>,
    pub measured: Vec<Row>,
    pub entries: Vec<Row>,
    /// What is due to be tightened again, as the handover tells it.
    pub due: Vec<String>,
    pub signatures: Vec<Row>,
    /// Signatures that were drawn.
    pub drawn: Vec<Drawn>,
    /// Steps done, all occasions counted.
    pub steps: usize,
    pub events: usize,
    pub checklist_digest: Vec<String>,
    pub head: Vec<String>,
}

/// A signature as it was drawn.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[allow(missing_docs, reason = "who signed as what, and the strokes")]
pub struct Drawn {
    pub role: String,
    pub name: String,
    /// Strokes on a sheet 1000 wide and 300 high.
    pub path: String,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
#[allow(missing_docs, reason = "the columns of the page's tables")]
pub struct Row {
    /// Number of the step and, where it was done more than once, which time; or none.
    pub step: String,
    pub what: String,
    pub value: String,
    /// What the checklist asks for; of a signature, when.
    pub accepted: String,
    /// Whether the value is what was asked for; `None` where nothing was, or where that can't be told.
    pub passed: Option<bool>,
    /// The number or calibration mark of what it was read with.
    pub instrument: String,
}

/// The page of a judgement, with what was found wrong; `None` where the record could not be judged at all.
pub fn view(judgement: &Judgement, findings: &[Finding], sources: &Sources) -> Option<View> {
    let definition = judgement.definition.as_ref()?;
    let first = judgement.slots.first()?;
    let What::Open { job, .. } = &first.event.what else { return None };
    let mut page = View {
        title: definition.procedure.title.clone(),
        id: definition.procedure.id.clone(),
        revision: definition.procedure.revision.as_ref().map(|of| format!("{} {}", of.mark, of.date).trim().to_owned()),
        job: job.clone(),
        opened: clock(&first.event.at),
        closed: None,
        workers: Vec::new(),
        outcome: outcome_words(judgement.outcome),
        outcome_text: None,
        complete: judgement.verdicts() == [Verdict::Complete],
        faults: messages(findings, sources, true),
        remarks: messages(findings, sources, false),
        fitting: definition.effectivity.iter().map(settled).collect(),
        answers: Vec::new(),
        limits: Vec::new(),
        measured: Vec::new(),
        entries: Vec::new(),
        due: judgement.due.clone(),
        signatures: Vec::new(),
        drawn: Vec::new(),
        steps: judgement.path.iter().filter(|one| one.done).count(),
        events: judgement.slots.len(),
        checklist_digest: in_groups(&definition.digest),
        head: in_groups(judgement.head.as_deref().unwrap_or_default()),
    };
    let mut reader = Reader::new(definition, &mut page, &judgement.slots);
    judgement.slots.iter().for_each(|slot| reader.read(slot));
    reader.finish_step();
    page.clean();
    Some(page)
}

fn outcome_words(outcome: Outcome) -> &'static str {
    let outcomes = &spoken().outcomes;
    match outcome {
        Outcome::Open => outcomes.open,
        Outcome::HandedOver => outcomes.handed_over,
        Outcome::Stopped => outcomes.stopped,
        Outcome::BrokenOff => outcomes.broken_off,
    }
}

fn settled(one: &ChosenText) -> Row {
    let follows = if one.follows { format!(" ({})", spoken().about.follows) } else { String::new() };
    Row { what: one.title.clone(), value: format!("{}{follows}", one.words), ..Row::default() }
}
