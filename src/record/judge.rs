//! Judges a record: its chain, its events, its end.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value, json};

use super::definition::{self, Definition};
use super::event::{Event, What};
use super::fault::{Fault, Note, NoteKind, Said, Verdict};
use super::job::{Job, Slot, State};
use super::known::{Answer, Answered};
use super::replay::line_of;
use super::unreadable::TooLarge;
use super::walk::{Now, Occasion, Outcome, Turn, plain_name};
use super::{bounds, time};
use crate::canonical;

/// Pictures that travel beside a record, by their plain names.
pub type Pictures<'a> = &'a dyn Fn(&str) -> Option<Vec<u8>>;

/// What a record is compared with besides its checklist.
#[derive(Clone, Copy, Default)]
pub struct Beside<'a> {
    /// The pictures, where they are at hand.
    pub pictures: Option<Pictures<'a>>,
    /// The head as it stands on paper, or its beginning; blanks and hyphens do not matter.
    pub head: Option<&'a str>,
}

/// What a record is found to be.
#[derive(Debug)]
pub struct Judgement {
    /// How the job ended.
    pub outcome: Outcome,
    /// What is wrong, by line; what has none stands last.
    pub said: Vec<Said>,
    /// What is worth saying besides, by line.
    pub notes: Vec<Note>,
    /// The occasions that count, in order.
    pub path: Vec<Occasion>,
    /// The answers in force, by input.
    pub known: BTreeMap<String, Answered>,
    /// What the job waits for.
    pub now: Now,
    /// What the handover that the job came to tells to be tightened again, in its words; empty before it.
    pub due: Vec<String>,
    /// `seq` of every event that was set aside or withdrawn, in order.
    pub set_aside: Vec<u64>,
    /// Digest of the last judged line.
    pub head: Option<String>,
    /// The checklist, where it could be read.
    pub definition: Option<Definition>,
    pub(super) slots: Vec<Slot>,
    pub(super) turns: Vec<Turn>,
    /// The stop or limit that the job came to.
    pub(super) stop: Option<String>,
}

impl Judgement {
    fn nothing() -> Judgement {
        Judgement {
            outcome: Outcome::Open,
            said: Vec::new(),
            notes: Vec::new(),
            path: Vec::new(),
            known: BTreeMap::new(),
            now: Now::Nothing,
            due: Vec::new(),
            set_aside: Vec::new(),
            head: None,
            definition: None,
            slots: Vec::new(),
            turns: Vec::new(),
            stop: None,
        }
    }

    /// All verdicts, each once, in the order of their words; `complete` alone where nothing is wrong.
    pub fn verdicts(&self) -> Vec<Verdict> {
        let verdicts: BTreeSet<Verdict> = self.said.iter().map(|said| said.fault.verdict()).collect();
        if verdicts.is_empty() { vec![Verdict::Complete] } else { in_words(verdicts) }
    }

    /// How many lines were judged.
    pub fn lines(&self) -> usize {
        self.slots.len()
    }

    /// The state as the conformance vectors write it.
    pub fn state(&self) -> Value {
        let mut findings: Vec<(Option<u32>, &str)> = Vec::new();
        for said in &self.said {
            let finding = (said.line, said.fault.verdict().word());
            if !findings.contains(&finding) {
                findings.push(finding);
            }
        }
        findings.sort_by_key(|(line, verdict)| (line.is_none(), *line, *verdict));
        let notes: BTreeSet<(u32, &str)> = self.notes.iter().map(|note| (note.line, note.note.word())).collect();
        let words: Vec<&str> = self.verdicts().into_iter().map(Verdict::word).collect();
        json!({
            "outcome": self.outcome,
            "verdicts": words,
            "findings": findings.iter().map(|(line, verdict)| json!({"verdict": verdict, "line": line})).collect::<Vec<_>>(),
            "notes": notes.iter().map(|(line, note)| json!({"note": note, "line": line})).collect::<Vec<_>>(),
            "path": self.path,
            "known": self.known,
            "now": self.now,
            "set_aside": self.set_aside,
            "head": self.head,
        })
    }
}

fn in_words(verdicts: BTreeSet<Verdict>) -> Vec<Verdict> {
    let mut verdicts: Vec<Verdict> = verdicts.into_iter().collect();
    verdicts.sort_by_key(|verdict| verdict.word());
    verdicts
}

/// Judges a record by its checklist, and by what is at hand besides.
pub fn judge(checklist: &str, record: &str, beside: Beside<'_>) -> Judgement {
    let mut judgement = Judgement::nothing();
    let definition = match definition::read(checklist) {
        Ok(definition) => definition,
        Err(why) => {
            judgement.said.push(Said { fault: Fault::Checklist(why), line: None });
            return judgement;
        }
    };
    let (_, mut judgement) = judge_among(std::slice::from_ref(&definition), record, beside);
    judgement.definition = Some(definition);
    judgement
}

/// Judges a record by whichever of several checklists its digest names, and says which: its place among them, none where it is
/// by another. The judgement holds no `definition`.
pub fn judge_among(definitions: &[Definition], record: &str, beside: Beside<'_>) -> (Option<usize>, Judgement) {
    let mut judgement = Judgement::nothing();
    let (events, end) = read_events(record);
    judgement.said.extend(end.clone());
    let which = judge_events(&mut judgement, definitions, events, end.is_some(), beside);
    judgement.said.sort_by_key(|said| (said.line.is_none(), said.line));
    (which, judgement)
}

/// The events up to the first line that is altered or can't be read, and that line's fault.
fn read_events(record: &str) -> (Vec<Event>, Option<Said>) {
    let mut events = Vec::new();
    let said = |fault, at| Some(Said { fault, line: Some(line_of(at)) });
    if record.len() > bounds::RECORD_BYTES {
        return (events, said(Fault::TooLarge(TooLarge::Record), 0));
    }
    let mut prev = "0".repeat(64);
    let mut replays = 0;
    for (at, line) in record.split_inclusive('\n').enumerate() {
        let event = match read_line(line, at, &prev) {
            Ok(value) => Event::read(&value).map_err(Fault::NoEvent),
            Err(fault) => Err(fault),
        };
        let event = match event {
            Ok(event) if at == 0 && !matches!(event.what, What::Open { .. }) => {
                return (events, said(Fault::NoOpen, at));
            }
            Ok(event) => event,
            Err(fault) => return (events, said(fault, at)),
        };
        replays +=
            usize::from(matches!(event.what, What::Correct { .. } | What::Withdraw { .. } | What::Revise { .. }));
        if at >= bounds::LINES || replays > bounds::REPLAYS {
            return (events, said(Fault::TooLarge(TooLarge::Lines), at));
        }
        prev.clone_from(&event.digest);
        events.push(event);
    }
    let empty = if events.is_empty() { said(Fault::Empty, 0) } else { None };
    (events, empty)
}

/// The object of a line, if the line is whole, canonical, in its place and sealed.
fn read_line(line: &str, at: usize, prev: &str) -> Result<Value, Fault> {
    if line.len() > bounds::LINE_BYTES {
        return Err(Fault::TooLarge(TooLarge::Line));
    }
    let text = line.strip_suffix('\n').ok_or(Fault::CutOff)?;
    let mut value: Value = serde_json::from_str(text).map_err(|_| Fault::NotJson)?;
    if !value.is_object() {
        return Err(Fault::NotJson);
    }
    if canonical::canonical(&value) != text {
        return Err(Fault::NotCanonical);
    }
    if value.get("seq").and_then(Value::as_u64) != Some(u64::from(line_of(at))) {
        return Err(Fault::Number { written: value.get("seq").map_or_else(String::new, canonical::canonical) });
    }
    if value.get("prev").and_then(Value::as_str) != Some(prev) {
        return Err(Fault::Link);
    }
    let written = value.as_object_mut().and_then(|members| members.remove("digest")).ok_or(Fault::Digest)?;
    if written.as_str() != Some(&canonical::digest(&value)) {
        return Err(Fault::Digest);
    }
    if let Some(members) = value.as_object_mut() {
        members.insert("digest".to_owned(), written);
    }
    Ok(value)
}

fn judge_events(
    judgement: &mut Judgement,
    definitions: &[Definition],
    events: Vec<Event>,
    cut: bool,
    beside: Beside<'_>,
) -> Option<usize> {
    let (at, name) = in_force(&events)?;
    let named = definitions.iter().enumerate().find(|(_, one)| one.digest == name.digest);
    let Some((which, definition)) = named else {
        let fault = Fault::OtherChecklist { id: name.id.clone(), revision: name.revision.clone() };
        judgement.said.push(Said { fault, line: Some(line_of(at)) });
        return None;
    };
    judgement.head = events.last().map(|event| event.digest.clone());
    let mut before = None;
    for (at, event) in events.iter().enumerate() {
        let moment = time::moment(&event.at);
        if moment < before {
            judgement.notes.push(Note { note: NoteKind::ClockBackwards, line: line_of(at), text: event.at.clone() });
        }
        before = moment;
    }
    let job = run(definition, events, at, judgement);
    gather(judgement, &job, at, beside.pictures);
    compare_head(judgement, beside.head);
    if job.walk.closed.is_none() && !cut {
        let fault = Fault::Unfinished(Box::new(job.walk.now(definition)));
        judgement.said.push(Said { fault, line: None });
    }
    describe(judgement, &job);
    judgement.stop = job.walk.stopped_at().map(str::to_owned);
    judgement.turns = job.walk.turns;
    judgement.slots = job.slots;
    Some(which)
}

/// Where the checklist in force is named: by the last `revise` of the same procedure before any `close`, else by `open`.
fn in_force(events: &[Event]) -> Option<(usize, super::event::ChecklistName)> {
    let What::Open { checklist: opened, .. } = &events.first()?.what else { return None };
    let open = events.iter().take_while(|event| !matches!(event.what, What::Close { .. })).enumerate();
    let revised = open.filter_map(|(at, event)| match &event.what {
        What::Revise { checklist, .. } if checklist.id == opened.id => Some((at, checklist.clone())),
        _ => None,
    });
    Some(revised.last().unwrap_or((0, opened.clone())))
}

/// Takes all events; those up to the last `revise` unjudged.
fn run<'d>(definition: &'d Definition, mut events: Vec<Event>, at: usize, judgement: &mut Judgement) -> Job<'d> {
    let mut job = Job::new(definition);
    if at > 0 {
        let later = events.split_off(at + 1);
        job.take_over(events);
        let text = match job.slots.last().map(|slot| &slot.event.what) {
            Some(What::Revise { reason, .. }) => reason.clone(),
            _ => String::new(),
        };
        judgement.notes.push(Note { note: NoteKind::EarlierRevision, line: line_of(at), text });
        events = later;
    }
    events.into_iter().for_each(|event| job.take(event));
    job
}

/// Faults and notes of the events.
fn gather(judgement: &mut Judgement, job: &Job<'_>, judged_from: usize, pictures: Option<Pictures<'_>>) {
    let mut seen = BTreeMap::new();
    for (at, slot) in job.slots.iter().enumerate() {
        let line = line_of(at);
        let mut say = |fault: &Fault, line| judgement.said.push(Said { fault: fault.clone(), line: Some(line) });
        slot.lasting.iter().for_each(|fault| say(fault, line));
        if slot.state != State::Counts {
            judgement.set_aside.push(slot.event.seq);
            continue;
        }
        slot.when_written.iter().for_each(|fault| say(fault, line));
        slot.of_value.iter().for_each(|fault| say(fault, slot.corrected_at.unwrap_or(line)));
        if let Some(fault) = pictures.filter(|_| at >= judged_from).and_then(|all| picture_fault(slot, all, &mut seen))
        {
            say(&fault, line);
        }
        let told = slot.went_on.iter().map(|text| (NoteKind::WentOn, text));
        let kept = match &slot.event.what {
            What::LeaveOut { reason, .. } => Some((NoteKind::LeftOut, reason)),
            What::Torque { remedy: Some(remedy), .. } => Some((NoteKind::Remedied, remedy)),
            _ => None,
        };
        judgement.notes.extend(told.chain(kept).map(|(note, text)| Note { note, line, text: text.clone() }));
    }
    same_people(judgement, &job.slots);
    judgement.notes.sort_by(|a, b| (a.line, a.note.word()).cmp(&(b.line, b.note.word())));
}

/// Says who signed as two.
fn same_people(judgement: &mut Judgement, slots: &[Slot]) {
    let mut seen: BTreeMap<String, &str> = BTreeMap::new();
    for (at, slot) in slots.iter().enumerate().filter(|(_, slot)| slot.state == State::Counts) {
        let What::Sign { role, name, reason, .. } = &slot.event.what else { continue };
        let plain = plain_name(name);
        if let Some(before) = seen.get(plain.as_str()) {
            let why = reason.as_ref().map_or_else(String::new, |reason| format!(": {reason}"));
            let text = format!("{name} signs as {role} and as {before}{why}");
            judgement.notes.push(Note { note: NoteKind::SamePerson, line: line_of(at), text });
        } else {
            seen.insert(plain, role);
        }
    }
}

/// Size and digest of pictures that were looked at. A hostile record names one large picture many times.
type Seen = BTreeMap<String, Option<(u64, String)>>;

/// Compares a recorded picture with the one at hand.
fn picture_fault(slot: &Slot, pictures: Pictures<'_>, seen: &mut Seen) -> Option<Fault> {
    let What::Photo { file, bytes, sha256, .. } = &slot.event.what else { return None };
    let found = seen.entry(file.clone()).or_insert_with(|| {
        let picture = pictures(file)?;
        Some((u64::try_from(picture.len()).ok()?, canonical::sha256(&picture)))
    });
    let Some((size, digest)) = found else { return Some(Fault::NoPicture { file: file.clone() }) };
    (size != bytes || digest != sha256).then(|| Fault::Picture { file: file.clone() })
}

fn describe(judgement: &mut Judgement, job: &Job<'_>) {
    let definition = job.definition;
    judgement.outcome = job.walk.closed.unwrap_or(Outcome::Open);
    judgement.now = job.walk.now(definition);
    let occasion = |(step, occasion, done): &(usize, u32, bool)| Occasion {
        step: definition.program.steps.get(*step).map_or_else(String::new, |step| step.id.clone()),
        occasion: *occasion,
        done: *done,
    };
    judgement.path = job.walk.path.iter().map(occasion).collect();
    let due = job.walk.handover(&definition.program).into_iter().flat_map(|at| &at.due);
    judgement.due = due.filter_map(|due| due.told(&job.walk.known)).map(str::to_owned).collect();
    for (input, answer) in job.walk.known.iter() {
        let answered = match answer {
            Answer::Choice(choice) => Answered::Choice(choice.clone()),
            Answer::Number(amount, _) => Answered::Amount(amount.clone()),
        };
        if let Some(input) = definition.inputs.get(input) {
            judgement.known.insert(input.id().to_owned(), answered);
        }
    }
}

/// The head on paper is that of the record, as far as it was written down.
fn compare_head(judgement: &mut Judgement, wanted: Option<&str>) {
    let Some(wanted) = wanted else { return };
    let plain: String = wanted.chars().filter(|c| !c.is_whitespace() && *c != '-').collect::<String>().to_lowercase();
    let found = judgement.head.clone().unwrap_or_default();
    if plain.is_empty() || !found.starts_with(&plain) {
        let found = found.get(..plain.len().clamp(16, 64)).unwrap_or_default().to_owned();
        judgement.said.push(Said { fault: Fault::Head { wanted: wanted.to_owned(), found }, line: None });
    }
}
