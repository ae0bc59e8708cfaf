//! One page about a job for the customer and for the file, as the data that a template prints.

use serde::Serialize;

use super::content::InputText;
use super::definition::Definition;
use super::event::{Value, What};
use super::job::{Slot, State};
use super::judge::Judgement;
use super::program::Asks;
use super::{Outcome, Verdict};
use crate::diagnostics::{Finding, Severity};
use crate::source::Sources;

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
    /// What was told at the stop, or why the job was given up.
    pub outcome_text: Option<String>,
    pub complete: bool,
    /// What is wrong, one sentence each.
    pub faults: Vec<String>,
    /// What is worth knowing besides.
    pub remarks: Vec<String>,
    pub answers: Vec<Row>,
    pub measured: Vec<Row>,
    pub entries: Vec<Row>,
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
    /// Strokes on a sheet 1000 wide and 300 high ([`super::drawing`]).
    pub path: String,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[allow(missing_docs, reason = "the columns of the page's tables")]
pub struct Row {
    /// Number of the step, or none.
    pub step: String,
    pub what: String,
    pub value: String,
    /// What the checklist accepts.
    pub accepted: String,
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
        answers: Vec::new(),
        measured: Vec::new(),
        entries: Vec::new(),
        signatures: Vec::new(),
        drawn: Vec::new(),
        steps: judgement.path.iter().filter(|one| one.done).count(),
        events: judgement.slots.len(),
        checklist_digest: in_groups(&definition.digest),
        head: in_groups(judgement.head.as_deref().unwrap_or_default()),
    };
    let mut reader = Reader { definition, page: &mut page, torques: Vec::new(), step: String::new() };
    judgement.slots.iter().for_each(|slot| reader.read(slot));
    reader.finish_torques();
    page.clean();
    Some(page)
}

impl View {
    /// Text of a record comes from anywhere: what no page may hold, or what turns the text around it, is shown as a sign.
    fn clean(&mut self) {
        let rows = [&mut self.answers, &mut self.measured, &mut self.entries, &mut self.signatures];
        for row in rows.into_iter().flatten() {
            [&mut row.what, &mut row.value, &mut row.accepted].into_iter().for_each(cleaned);
        }
        self.drawn.iter_mut().flat_map(|one| [&mut one.role, &mut one.name]).for_each(cleaned);
        [&mut self.workers, &mut self.faults, &mut self.remarks].into_iter().flatten().for_each(cleaned);
        [&mut self.title, &mut self.job, &mut self.id].into_iter().for_each(cleaned);
        self.revision.iter_mut().chain(&mut self.outcome_text).for_each(cleaned);
    }
}

fn cleaned(text: &mut String) {
    let turns = |c: char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{2028}' | '\u{2029}');
    *text = text.chars().map(|c| if c.is_control() || turns(c) { '\u{fffd}' } else { c }).collect();
}

/// A moment as people read it: `2026-11-25 09:30 +01:00`.
fn clock(at: &str) -> String {
    let offset = at.find(['Z', '+']).or_else(|| at.rfind('-').filter(|place| *place > 10)).unwrap_or(at.len());
    let (day, time) = (at.get(..10).unwrap_or(at), at.get(11..16).unwrap_or_default());
    match at.get(offset..) {
        Some("Z") => format!("{day} {time} UTC"),
        Some(offset) => format!("{day} {time} {offset}"),
        None => format!("{day} {time}"),
    }
}

/// What findings say, each with its line: on paper no excerpt stands beside it.
fn messages(findings: &[Finding], sources: &Sources, errors: bool) -> Vec<String> {
    let wanted = |finding: &&Finding| (finding.severity() == Severity::Error) == errors;
    let said = |finding: &Finding| {
        let file = finding.span().and_then(|span| Some((sources.get(span.file)?, span)));
        match file.map(|(file, span)| (file.position(span.start), span)) {
            Some((place, span)) if span.start < span.end => {
                format!("Line {}: {}", place.line, finding.message)
            }
            _ => sentence(&finding.message),
        }
    };
    findings.iter().filter(wanted).map(said).map(|text| sentence(&text)).collect()
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let mut sentence: String = letters.next().map_or(String::new(), |first| first.to_uppercase().collect());
    sentence.push_str(letters.as_str());
    if !sentence.ends_with(['.', '!', '?']) {
        sentence.push('.');
    }
    sentence
}

fn outcome_words(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Open => "Not finished",
        Outcome::HandedOver => "Handed over",
        Outcome::Stopped => "Stopped",
        Outcome::BrokenOff => "Given up",
    }
}

/// A digest as people compare it: four digits at a time.
fn in_groups(digest: &str) -> Vec<String> {
    let digits: Vec<char> = digest.chars().collect();
    digits.chunks(4).map(|group| group.iter().collect()).collect()
}

struct Reader<'a> {
    definition: &'a Definition,
    page: &'a mut View,
    /// The torques of the line that is being read: its id, and each value.
    torques: Vec<(String, String)>,
    /// Number of the begun step.
    step: String,
}

impl Reader<'_> {
    fn read(&mut self, slot: &Slot) {
        self.read_people(slot);
        let what = &slot.event.what;
        match what {
            What::Correct { event, reason, .. } if slot.state == State::Counts => {
                self.page.remarks.push(format!("Line {event} was corrected: {}", sentence(reason)));
            }
            What::Withdraw { event, reason } if slot.state == State::Counts => {
                self.page.remarks.push(format!("Line {event} was withdrawn: {}", sentence(reason)));
            }
            What::Note { text } => self.page.remarks.push(format!("Note: {}", sentence(text))),
            _ if slot.state == State::Counts => self.read_counting(slot),
            _ => {}
        }
    }

    fn read_people(&mut self, slot: &Slot) {
        let others = match &slot.event.what {
            What::Done { with, .. } => with.as_slice(),
            _ => &[],
        };
        for name in std::iter::once(&slot.event.by).chain(others) {
            if !self.page.workers.contains(name) {
                self.page.workers.push(name.clone());
            }
        }
    }

    fn read_counting(&mut self, slot: &Slot) {
        let value = slot.value.as_ref();
        match &slot.event.what {
            What::Begin { step, .. } => {
                self.finish_torques();
                let found = self.definition.program.steps.iter().find(|one| one.id == *step);
                self.step = found.map(|step| step.number.clone()).unwrap_or_default();
            }
            What::Answer { input, .. } => {
                let row = self.input_row(input, value);
                self.page.answers.push(Row { step: String::new(), ..row });
            }
            What::Reading { input, .. } => {
                let row = self.input_row(input, value);
                self.page.measured.push(row);
            }
            What::Torque { line, clicked, remedy, .. } => {
                if self.torques.last().is_some_and(|(before, _)| before != line) {
                    self.finish_torques();
                }
                let set = if *clicked == Some(true) { " (set)" } else { "" };
                let again = remedy.as_ref().map_or_else(String::new, |remedy| format!(" (done again: {remedy})"));
                self.torques.push((line.clone(), format!("{}{set}{again}", self.said(value))));
            }
            What::Text { line, .. } => self.entry(line, self.said(value)),
            What::Photo { line, file, .. } => self.entry(line, format!("Photograph {file}")),
            What::LeaveOut { line, reason } => self.entry(line, format!("Left out: {reason}")),
            What::Sign { role, name, drawing, .. } => {
                let at = clock(&slot.event.at);
                let drawn =
                    drawing.iter().map(|path| Drawn { role: role.clone(), name: name.clone(), path: path.clone() });
                self.page.drawn.extend(drawn);
                let what = sentence(role).trim_end_matches('.').to_owned();
                self.page.signatures.push(Row { step: String::new(), what, value: name.clone(), accepted: at });
            }
            What::Close { at_stop, reason, .. } => {
                self.page.closed = Some(clock(&slot.event.at));
                let told = at_stop.as_ref().and_then(|stop| self.definition.program.stops.get(stop));
                self.page.outcome_text = told.or(reason.as_ref()).cloned();
            }
            _ => {}
        }
    }

    fn input_row(&self, id: &str, value: Option<&Value>) -> Row {
        let Some(input) = self.definition.inputs.iter().find(|input| input.id() == id) else {
            return Row {
                step: self.step.clone(),
                what: id.to_owned(),
                value: self.said(value),
                accepted: String::new(),
            };
        };
        let (value, accepted) = match (input, value) {
            (
                InputText::Option(choice) | InputText::Observe(choice) | InputText::Result(choice),
                Some(Value::Choice(id)),
            ) => {
                let label = choice.values.iter().find(|value| value.id == *id).map(|value| value.label.clone());
                (label.unwrap_or_else(|| id.clone()), String::new())
            }
            (InputText::Given(number) | InputText::Measure(number), value) => (self.said(value), number.shown.clone()),
            (_, value) => (self.said(value), String::new()),
        };
        Row { step: self.step.clone(), what: input.title().to_owned(), value, accepted }
    }

    fn said(&self, value: Option<&Value>) -> String {
        match value {
            Some(Value::Amount(amount)) => self.definition.printed(amount),
            Some(Value::Choice(text) | Value::Text(text)) => text.clone(),
            None => String::new(),
        }
    }

    fn asks(&self, line: &str) -> Option<&Asks> {
        let (step, line) = self.definition.program.lines.get(line)?;
        Some(&self.definition.program.steps.get(*step)?.lines.get(*line)?.asks)
    }

    fn entry(&mut self, line: &str, value: String) {
        let what = match self.asks(line) {
            Some(Asks::Text { what } | Asks::Photo { what }) => what.clone(),
            _ => line.to_owned(),
        };
        self.page.entries.push(Row { step: self.step.clone(), what, value, accepted: String::new() });
    }

    /// One row for all fastenings of a joint.
    fn finish_torques(&mut self) {
        let torques = std::mem::take(&mut self.torques);
        let Some((line, _)) = torques.first() else { return };
        let joint = match self.asks(line) {
            Some(Asks::Torque { joint, .. }) => self.definition.joints.iter().find(|one| one.id == *joint),
            _ => None,
        };
        let row = Row {
            step: self.step.clone(),
            what: joint.map_or_else(|| line.clone(), |joint| joint.title.clone()),
            value: in_one_unit(torques.iter().map(|(_, value)| value.as_str())),
            accepted: joint
                .and_then(|joint| joint.torque.as_ref())
                .map_or_else(String::new, |torque| torque.shown.clone()),
        };
        self.page.measured.push(row);
    }
}

/// `22, 22, 23 N·m` for values that all have the same unit.
fn in_one_unit<'v>(values: impl Iterator<Item = &'v str>) -> String {
    let values: Vec<(&str, &str)> = values.map(|value| value.split_once(' ').unwrap_or((value, ""))).collect();
    let same = values.windows(2).all(|pair| matches!(pair, [(_, a), (_, b)] if a == b));
    match values.last() {
        Some((_, unit)) if same => {
            let numbers: Vec<&str> = values.iter().map(|(number, _)| *number).collect();
            format!("{} {unit}", numbers.join(", ")).trim_end().to_owned()
        }
        _ => values.iter().map(|(number, unit)| format!("{number} {unit}")).collect::<Vec<_>>().join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_are_read_by_people_and_signs_stay_signs() {
        assert_eq!(clock("2026-11-25T09:30:05.5+01:00"), "2026-11-25 09:30 +01:00");
        assert_eq!(clock("2026-11-25T09:30:05-05:00"), "2026-11-25 09:30 -05:00");
        assert_eq!(clock("2026-11-25T09:30:05Z"), "2026-11-25 09:30 UTC");
        let mut text = "a\u{1}b\u{202e}c".to_owned();
        cleaned(&mut text);
        assert_eq!(text, "a\u{fffd}b\u{fffd}c");
    }

    #[test]
    fn values_share_their_unit_where_they_have_the_same() {
        assert_eq!(in_one_unit(["22 N·m", "23 N·m"].into_iter()), "22, 23 N·m");
        assert_eq!(in_one_unit(["22 N·m", "16 lbf·ft"].into_iter()), "22 N·m, 16 lbf·ft");
        assert_eq!(in_groups("0123456789"), ["0123", "4567", "89"]);
    }
}
