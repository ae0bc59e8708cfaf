//! One page about a job for the customer and for the file, as the data that a template prints.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::content::{ChosenText, InputText};
use super::criteria::Criterion;
use super::definition::Definition;
use super::event::{Value, What};
use super::job::{Slot, State};
use super::judge::Judgement;
use super::program::Asks;
use super::walk::{Answer, Walk};
use super::{Outcome, Verdict};
use crate::diagnostics::{Finding, Severity};
use crate::labels::ENGLISH;
use crate::quantity::Exact;
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
    /// What was settled when the checklist was made.
    pub fitting: Vec<Row>,
    pub answers: Vec<Row>,
    /// Limits that were decided.
    pub limits: Vec<Row>,
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

impl View {
    /// Text of a record comes from anywhere: what no page may hold, or what turns the text around it, is shown as a sign.
    fn clean(&mut self) {
        let rows = [&mut self.fitting, &mut self.answers, &mut self.limits, &mut self.measured];
        for row in rows.into_iter().chain([&mut self.entries, &mut self.signatures]).flatten() {
            let cells = [&mut row.step, &mut row.what, &mut row.value, &mut row.accepted, &mut row.instrument];
            cells.into_iter().for_each(cleaned);
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
    let outcomes = &ENGLISH.outcomes;
    match outcome {
        Outcome::Open => outcomes.open,
        Outcome::HandedOver => outcomes.handed_over,
        Outcome::Stopped => outcomes.stopped,
        Outcome::BrokenOff => outcomes.broken_off,
    }
}

/// A digest as people compare it: four digits at a time.
fn in_groups(digest: &str) -> Vec<String> {
    let digits: Vec<char> = digest.chars().collect();
    digits.chunks(4).map(|group| group.iter().collect()).collect()
}

fn settled(one: &ChosenText) -> Row {
    let follows = if one.follows { format!(" ({})", ENGLISH.about.follows) } else { String::new() };
    Row { what: one.title.clone(), value: format!("{}{follows}", one.words), ..Row::default() }
}

struct Reader<'a> {
    definition: &'a Definition,
    page: &'a mut View,
    /// The job so far, to know what was known when.
    walk: Walk,
    /// How often each step was done, by its id.
    times: BTreeMap<&'a str, u32>,
    /// The limits that are decided.
    decided: BTreeSet<usize>,
    /// The torques of the line that is being read.
    torques: Vec<Torque>,
    /// The readings of the begun step: the place of the row, and the input.
    readings: Vec<(usize, String)>,
    /// The begun step: its place, and how its rows are headed.
    begun: Option<usize>,
    step: String,
}

/// A torque that was written down.
struct Torque {
    line: String,
    said: String,
    base: Option<Exact>,
    instrument: String,
    /// The wrench was set to it and clicked; nobody read it.
    clicked: bool,
    /// What was done about it, where it was not good and the fastening was tightened again.
    remedy: Option<String>,
}

impl<'a> Reader<'a> {
    fn new(definition: &'a Definition, page: &'a mut View, slots: &'a [Slot]) -> Self {
        let mut times: BTreeMap<&str, u32> = BTreeMap::new();
        for slot in slots.iter().filter(|slot| slot.state == State::Counts) {
            if let What::Begin { step, .. } = &slot.event.what {
                *times.entry(step).or_default() += 1;
            }
        }
        Reader {
            definition,
            page,
            walk: Walk::new(definition),
            times,
            decided: BTreeSet::new(),
            torques: Vec::new(),
            readings: Vec::new(),
            begun: None,
            step: String::new(),
        }
    }

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
            What::Open { .. } => {
                self.walk.opened = true;
                self.walk.go_on(&self.definition.program);
            }
            What::Begin { step, occasion, .. } => self.begin(step, *occasion),
            What::Done { .. } => {
                self.finish_step();
                self.walk.done(&self.definition.program);
                self.decide_limits();
            }
            What::Answer { input, .. } => {
                let row = self.input_row(input, value);
                self.page.answers.push(Row { step: String::new(), ..row });
                self.learn(input, value);
                self.walk.go_on(&self.definition.program);
                self.decide_limits();
            }
            What::Reading { input, instrument, .. } => {
                let row = self.input_row(input, value);
                self.readings.push((self.page.measured.len(), input.clone()));
                self.page.measured.push(Row { instrument: instrument.clone().unwrap_or_default(), ..row });
                self.learn(input, value);
            }
            What::Torque { line, instrument, clicked, remedy, .. } => {
                if self.torques.last().is_some_and(|before| before.line != *line) {
                    self.finish_torques();
                }
                let base = match value {
                    Some(Value::Amount(amount)) => self.definition.base(amount),
                    _ => None,
                };
                self.torques.push(Torque {
                    line: line.clone(),
                    said: self.said(value),
                    base,
                    instrument: instrument.clone().unwrap_or_default(),
                    clicked: *clicked == Some(true),
                    remedy: remedy.clone(),
                });
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
                self.page.signatures.push(Row { what, value: name.clone(), accepted: at, ..Row::default() });
            }
            What::Close { at_stop, reason, .. } => {
                self.page.closed = Some(clock(&slot.event.at));
                let told = at_stop.as_ref().and_then(|stop| self.definition.program.stops.get(stop));
                self.page.outcome_text = told.or(reason.as_ref()).cloned();
            }
            _ => {}
        }
    }

    fn begin(&mut self, step: &str, occasion: u32) {
        self.finish_step();
        let steps = &self.definition.program.steps;
        self.begun = steps.iter().position(|one| one.id == step);
        let number = self.begun.and_then(|at| steps.get(at)).map(|step| step.number.clone()).unwrap_or_default();
        let checked = self.definition.criteria.checks.contains_key(step);
        let several = self.times.get(step).is_some_and(|times| *times > 1);
        self.step = match (several, checked, occasion) {
            (false, ..) => number,
            (true, true, 0 | 1) => format!("{number} first"),
            (true, true, after) => format!("{number} after repair {}", after - 1),
            (true, false, time) => format!("{number} time {time}"),
        };
        if let Some(at) = self.begun {
            self.walk.begin(at);
        }
    }

    fn learn(&mut self, input: &str, value: Option<&Value>) {
        let Some(place) = self.definition.input(input) else { return };
        let answer = match value {
            Some(Value::Choice(choice)) => Some(Answer::Choice(choice.clone())),
            Some(Value::Amount(amount)) => {
                self.definition.base(amount).map(|base| Answer::Number(amount.clone(), base))
            }
            Some(Value::Text(_)) | None => None,
        };
        if let Some(answer) = answer {
            self.walk.known.answer(place, answer);
        }
    }

    /// Holds what was read in the begun step to what is asked of it.
    fn finish_step(&mut self) {
        self.finish_torques();
        let readings = std::mem::take(&mut self.readings);
        let definition = self.definition;
        let Some(step) = self.begun.take().and_then(|at| definition.program.steps.get(at)) else { return };
        let mut known = self.walk.known.clone();
        for (result, value) in &step.sets {
            known.answer(*result, Answer::Choice(value.clone()));
        }
        let none = Vec::new();
        let expects = definition.criteria.checks.get(&step.id).unwrap_or(&none);
        for (at, input) in &readings {
            let about: Vec<&Criterion> = expects.iter().filter(|one| one.inputs.contains(input)).collect();
            let Some(row) = self.page.measured.get_mut(*at) else { continue };
            if about.is_empty() {
                let arms = definition.criteria.arms.get(input).into_iter().flatten();
                let taken = arms.filter(|arm| arm.condition.holds(&known) == Some(true));
                row.accepted = listed(taken.map(|arm| arm.short.as_str()));
            } else {
                row.accepted = listed(about.iter().map(|one| one.short.as_str()));
                row.passed = all_hold(about.iter().map(|one| one.condition.holds(&known)));
            }
        }
        // What a check asks of something that was not read in it has a row of its own.
        let apart = |one: &&Criterion| !readings.iter().any(|(_, input)| one.inputs.contains(input));
        for one in expects.iter().filter(apart) {
            let (what, accepted) = (step.title.clone(), one.words.clone());
            let passed = one.condition.holds(&known);
            self.page.measured.push(Row { step: self.step.clone(), what, accepted, passed, ..Row::default() });
        }
    }

    /// A row for each limit as soon as it can be decided.
    fn decide_limits(&mut self) {
        let known = &self.walk.known;
        for (at, (limit, words)) in
            self.definition.program.limits.iter().zip(&self.definition.criteria.limits).enumerate()
        {
            let applies = limit.when.as_ref().map_or(Some(true), |when| when.holds(known));
            let holds = limit.holds.holds(known);
            if applies == Some(false) {
                self.decided.insert(at);
            }
            if applies == Some(true) && holds.is_some() && self.decided.insert(at) {
                let (what, accepted) = (words.title.clone(), words.words.clone());
                self.page.limits.push(Row { what, accepted, passed: holds, ..Row::default() });
            }
        }
    }

    fn input_row(&self, id: &str, value: Option<&Value>) -> Row {
        let input = self.definition.inputs.iter().find(|input| input.id() == id);
        let value = match (input, value) {
            (
                Some(InputText::Option(choice) | InputText::Observe(choice) | InputText::Result(choice)),
                Some(Value::Choice(id)),
            ) => {
                let label = choice.values.iter().find(|value| value.id == *id).map(|value| value.label.clone());
                label.unwrap_or_else(|| id.clone())
            }
            (_, value) => self.said(value),
        };
        let what = input.map_or_else(|| id.to_owned(), |input| input.title().to_owned());
        Row { step: self.step.clone(), what, value, ..Row::default() }
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
        self.page.entries.push(Row { step: self.step.clone(), what, value, ..Row::default() });
    }

    /// One row for all fastenings of a joint, and one before it for each torque that was not good and was done again.
    fn finish_torques(&mut self) {
        let (again, last): (Vec<Torque>, Vec<Torque>) =
            std::mem::take(&mut self.torques).into_iter().partition(|torque| torque.remedy.is_some());
        for one in &again {
            let remedy = one.remedy.as_deref().unwrap_or_default();
            let value = format!("{}; done again: {remedy}", clicked_words(std::slice::from_ref(one)));
            self.torque_row(std::slice::from_ref(one), value);
        }
        if !last.is_empty() {
            self.torque_row(&last, clicked_words(&last));
        }
    }

    fn torque_row(&mut self, torques: &[Torque], value: String) {
        let Some(first) = torques.first() else { return };
        let (joint, within) = match self.asks(&first.line) {
            Some(Asks::Torque { joint, within, .. }) => {
                (self.definition.joints.iter().find(|one| one.id == *joint), Some(within))
            }
            _ => (None, None),
        };
        let held = torques.iter().map(|torque| Some(within?.contains(torque.base?)));
        let torque = joint.and_then(|joint| joint.torque.as_ref());
        let row = Row {
            step: self.step.clone(),
            what: joint.map_or_else(|| first.line.clone(), |joint| joint.title.clone()),
            value,
            accepted: torque.map_or_else(String::new, |torque| torque.shown.clone()),
            passed: torque.and_then(|_| all_hold(held)),
            instrument: listed(torques.iter().map(|torque| torque.instrument.as_str()).filter(|mark| !mark.is_empty())),
        };
        self.page.measured.push(row);
    }
}

/// The values, and whether a wrench that was set to them clicked.
fn clicked_words(torques: &[Torque]) -> String {
    let values = in_one_unit(torques.iter().map(|torque| torque.said.as_str()));
    match torques.iter().filter(|torque| torque.clicked).count() {
        0 => values,
        all if all == torques.len() => format!("{values}, wrench set and clicked"),
        some => format!("{values}, wrench set and clicked at {some} of {}", torques.len()),
    }
}

/// Each text once, `; ` between them.
fn listed<'t>(texts: impl Iterator<Item = &'t str>) -> String {
    let mut all: Vec<&str> = Vec::new();
    for text in texts {
        if !all.contains(&text) {
            all.push(text);
        }
    }
    all.join("; ")
}

/// Whether all hold: one that does not decides, one that can't be told leaves it open.
fn all_hold(all: impl Iterator<Item = Option<bool>>) -> Option<bool> {
    let mut open = false;
    for one in all {
        match one {
            Some(true) => {}
            Some(false) => return Some(false),
            None => open = true,
        }
    }
    (!open).then_some(true)
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
