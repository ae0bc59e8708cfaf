//! A judgement in words, as findings.

use super::definition::Definition;
use super::event::{CloseOutcome, What};
use super::fault::{Fault, Note, NoteKind, Said};
use super::judge::Judgement;
use super::program::{Asks, Step};
use super::walk::Now;
use crate::diagnostics::{Code, Finding};
use crate::source::{FileId, Sources, Span};

/// Most findings that are told, the gravest kinds first to be kept.
pub const MOST: usize = 100;

/// What the judgement says, with the places in the record.
///
/// `record` is the record's file among the sources; its text must be the one that was judged.
pub fn findings(judgement: &Judgement, sources: &Sources, checklist: FileId, record: FileId) -> Vec<Finding> {
    let words = Words { definition: judgement.definition.as_ref(), sources, checklist, record };
    let mut findings = Vec::new();
    let mut said = judgement.said.iter().peekable();
    while let Some(one) = said.next() {
        let mut more = 0;
        while said.next_if(|next| waits_for_the_same(one, next)).is_some() {
            more += 1;
        }
        findings.push(words.finding(one, more));
    }
    findings.extend(judgement.notes.iter().map(|note| words.note(note)));
    findings.truncate(MOST);
    findings
}

/// Whether the second finding is only there because of the first: what waits for the same thing has one cause.
fn waits_for_the_same(first: &Said, next: &Said) -> bool {
    match (&first.fault, &next.fault) {
        (Fault::Misfit { waits, .. }, Fault::Misfit { waits: also, .. }) => waits == also,
        _ => false,
    }
}

struct Words<'a> {
    definition: Option<&'a Definition>,
    sources: &'a Sources,
    checklist: FileId,
    record: FileId,
}

impl Words<'_> {
    fn span(&self, line: u32) -> Span {
        let Some(file) = self.sources.get(self.record) else { return Span::new(self.record, 0, 0) };
        let at = line as usize - 1;
        let start = file.lines.start_of(at) as usize;
        Span::new(self.record, start, start + file.line_text(at).len())
    }

    fn finding(&self, said: &Said, more: usize) -> Finding {
        let Told { code, message, label, reason, repair } = self.told(&said.fault);
        let finding = match said.line {
            Some(line) => Finding::new(code, message, self.span(line), label),
            None if code == Code::FW1401 => Finding::new(code, message, Span::new(self.checklist, 0, 0), label),
            None => {
                let end = self.sources.get(self.record).map_or(0, |file| file.text.trim_end().len());
                Finding::new(code, message, Span::new(self.record, end, end), label)
            }
        };
        let reason = match more {
            0 => reason.to_owned(),
            1 => format!("{reason} The finding after it has the same cause and is not told."),
            more => format!("{reason} {more} findings after it have the same cause and are not told."),
        };
        finding.because(reason).repair(repair)
    }

    fn told(&self, fault: &Fault) -> Told {
        match fault {
            Fault::Checklist(_) | Fault::TooLarge(_) | Fault::Empty | Fault::NoEvent(_) | Fault::NoOpen => {
                unread(fault)
            }
            Fault::OtherChecklist { id, revision } => self.other_checklist(id, revision.as_deref()),
            Fault::NotJson
            | Fault::NotCanonical
            | Fault::Digest
            | Fault::CutOff
            | Fault::Number { .. }
            | Fault::Link
            | Fault::Head { .. }
            | Fault::Picture { .. }
            | Fault::NoPicture { .. } => altered(fault),
            Fault::Misfit { does, waits } => Told {
                code: Code::FW1407,
                message: format!("this line {does}, but {}", self.waits(waits)),
                label: "it was not its turn".to_owned(),
                reason: "What is done out of order was not done as the procedure was proved.",
                repair: "Find out what was really done. Do what is left, in its order, and record it.".to_owned(),
            },
            Fault::CannotApply { does, why } => Told {
                code: Code::FW1407,
                message: format!("this line {does}, but {why}"),
                label: "it changes nothing".to_owned(),
                reason: "A correction without effect leaves the old value in force.",
                repair: "Correct the line whose value is in force, and name it by its `seq`.".to_owned(),
            },
            Fault::BeforeMessages { does } => Told {
                code: Code::FW1407,
                message: format!("this line {does} before every safety message of the step was acknowledged"),
                label: "the work began before the warning".to_owned(),
                reason: "A message is read before the work that it warns of.",
                repair: "Show the messages of a step first, and ask for each of them.".to_owned(),
            },
            Fault::Value { of, value, accepted } => Told {
                code: Code::FW1408,
                message: format!("“{of}” is {value}; the checklist accepts {accepted}"),
                label: "not accepted".to_owned(),
                reason: "The procedure was proved for accepted values only.",
                repair:
                    "Measure or tighten again and record what comes out. A wrong entry is corrected with its reason."
                        .to_owned(),
            },
            Fault::Rule(reason) => Told {
                code: Code::FW1408,
                message: format!("this answer contradicts another one: {reason}"),
                label: "not together with the answers before".to_owned(),
                reason: "The procedure was proved for combinations that its rules allow.",
                repair: "Find out which answer is right, and correct the other one with its reason.".to_owned(),
            },
            _ => self.missing(fault),
        }
    }

    fn missing(&self, fault: &Fault) -> Told {
        let (code, message, label) = match fault {
            Fault::Unanswered(inputs) => (
                Code::FW1409,
                format!("the job is begun without an answer to {}", self.titles(inputs)),
                "begun too early",
            ),
            Fault::Undone { step, lines } => (
                Code::FW1409,
                format!("{} is said to be done, but these are missing: {}", self.step_named(step), self.lines(lines)),
                "not all is there",
            ),
            Fault::People { step, needed, named } => (
                Code::FW1409,
                format!("{} needs {needed} people, and {named} took part", self.step_named(step)),
                "too few people",
            ),
            Fault::Unsigned(roles) => (
                Code::FW1409,
                format!("the job was handed over without the signature of: {}", roles.join(", ")),
                "not signed by all",
            ),
            Fault::BrokenOff(reason) => (Code::FW1410, format!("the job was broken off: {reason}"), "broken off here"),
            Fault::Unfinished(now) => {
                (Code::FW1410, format!("the job was not finished: {}", self.waits(now)), "the record ends here")
            }
            _ => (Code::FW1409, String::new(), ""),
        };
        let (reason, repair) = if code == Code::FW1410 {
            ("A record that just ends cannot be told from one whose end was cut off.", "Finish the job, and close it.")
        } else {
            ("What is not recorded cannot be shown to have been done.", "Do what is missing, and record it.")
        };
        Told { code, message, label: label.to_owned(), reason, repair: repair.to_owned() }
    }

    fn other_checklist(&self, id: &str, revision: Option<&str>) -> Told {
        let of = revision.map_or_else(String::new, |mark| format!(", revision {mark}"));
        let ours = self.definition.map_or_else(String::new, |definition| {
            let mark = definition.procedure.revision.as_ref();
            let mark = mark.map_or_else(String::new, |revision| format!(", revision {}", revision.mark));
            format!("{}{mark}", definition.procedure.id)
        });
        let message = if ours == format!("{id}{of}") {
            format!("the record was written for another build of {ours}")
        } else {
            format!("the record was written for {id}{of}; the checklist is {ours}")
        };
        Told {
            code: Code::FW1403,
            message,
            label: "it names this checklist by its digest".to_owned(),
            reason: "A job is judged by the very instructions that it followed.",
            repair: "Give the `checklist.json` that the job was done by.".to_owned(),
        }
    }

    fn note(&self, note: &Note) -> Finding {
        let (code, message, label, reason, repair) = match note.note {
            NoteKind::ClockBackwards => (
                Code::FW1411,
                "this line is dated before the one above it".to_owned(),
                "the clock went backwards",
                "The order of the lines is certain, their times are not.",
                "Set the clock of the device. Ask when the work was done.",
            ),
            NoteKind::LeftOut => (
                Code::FW1412,
                format!("a photograph was left out: {}", note.text),
                "no photograph",
                "The procedure asks for it as evidence.",
                "Take the photograph later and keep it with the file, if it matters.",
            ),
            NoteKind::Remedied => (
                Code::FW1416,
                format!("a torque outside its tolerance was kept: {}", note.text),
                "not the torque that counts",
                "A fastening that was tightened too far, or twice, may have been stretched.",
                "See that what was done about it was enough; a good torque follows where the step is done.",
            ),
            NoteKind::SamePerson => (
                Code::FW1417,
                format!("one person signs twice: {}", note.text),
                "the same name stands above",
                "Two signatures stand for two people, of whom one looks at what the other did.",
                "Let another person sign, or have the reason written down and accepted.",
            ),
            NoteKind::WentOn => (
                Code::FW1413,
                format!("a check was not met and the job went on: {}", note.text),
                "the job went on from here",
                "The procedure allows it, and the customer should know.",
                "See that what the technician was told has been passed on.",
            ),
            NoteKind::EarlierRevision => (
                Code::FW1414,
                format!("the job went over to this revision here: {}", note.text),
                "judged from here on",
                "The lines above follow a checklist that is not at hand; what is the same in both revisions counts.",
                "Judge them with the earlier checklist, up to this line, if it matters.",
            ),
        };
        Finding::new(code, message, self.span(note.line), label).because(reason).repair(repair)
    }

    fn step_named(&self, id: &str) -> String {
        match self.definition.and_then(|definition| definition.program.steps.iter().find(|step| step.id == id)) {
            Some(step) => step_words(step),
            None => format!("step `{id}`"),
        }
    }

    fn titles(&self, inputs: &[String]) -> String {
        let title = |id: &String| {
            let found = self.definition.and_then(|definition| definition.inputs.iter().find(|input| input.id() == id));
            found.map_or_else(|| format!("`{id}`"), |input| format!("“{}”", input.title()))
        };
        inputs.iter().map(title).collect::<Vec<_>>().join(", ")
    }

    /// What lines ask for.
    fn lines(&self, ids: &[String]) -> String {
        let words = |id: &String| {
            let definition = self.definition?;
            let (step, line) = definition.program.lines.get(id)?;
            let asks = &definition.program.steps.get(*step)?.lines.get(*line)?.asks;
            Some(match asks {
                Asks::Message { nature } => format!("the message “{nature}”"),
                Asks::Read { inputs } => {
                    let ids: Vec<String> = inputs
                        .iter()
                        .filter_map(|input| definition.inputs.get(*input).map(|input| input.id().to_owned()))
                        .collect();
                    format!("the reading of {}", self.titles(&ids))
                }
                Asks::Torque { joint, .. } => {
                    let title = definition.joints.iter().find(|one| one.id == *joint).map_or("", |one| &one.title);
                    format!("torques of “{title}”")
                }
                Asks::Text { what } => format!("the entry “{what}”"),
                Asks::Photo { what } => format!("the photograph “{what}”"),
            })
        };
        ids.iter().map(|id| words(id).unwrap_or_else(|| format!("`{id}`"))).collect::<Vec<_>>().join(", ")
    }

    /// What a job waits for, as the end of a sentence.
    fn waits(&self, now: &Now) -> String {
        match now {
            Now::Nothing => "the record was closed before".to_owned(),
            Now::Close { at_stop } => {
                let told = self.definition.and_then(|definition| definition.program.stops.get(at_stop));
                format!("the job has stopped: {}", told.map_or(at_stop.as_str(), String::as_str))
            }
            Now::Answer { inputs } => format!("this has no answer yet: {}", self.titles(inputs)),
            Now::Lines { step, lines, .. } if lines.is_empty() => {
                format!("{} is begun and not yet said to be done", self.step_named(step))
            }
            Now::Lines { step, lines, .. } => {
                format!("{} is begun and lacks {}", self.step_named(step), self.lines(lines))
            }
            Now::Begin { step, occasion: 1 } => format!("{} is to be begun next", self.step_named(step)),
            Now::Begin { step, .. } => format!("{} is to be done again", self.step_named(step)),
            Now::Sign { roles, .. } if roles.is_empty() => "it is handed over and not yet closed".to_owned(),
            Now::Sign { roles, .. } => format!("the handover is next, to be signed by {}", roles.join(", ")),
            Now::Decision { at: Some(at) } => format!("nothing says how the job goes on at `{at}`"),
            Now::Decision { at: None } => "nothing says how the job goes on".to_owned(),
        }
    }
}

/// A fault in words.
struct Told {
    code: Code,
    message: String,
    label: String,
    reason: &'static str,
    repair: String,
}

fn unread(fault: &Fault) -> Told {
    let (code, message, label) = match fault {
        Fault::Checklist(why) => (Code::FW1401, format!("the checklist cannot be used: {why}"), "this file"),
        Fault::TooLarge(why) => (Code::FW1402, format!("the record is too large to be judged: {why}"), "up to here"),
        Fault::Empty => (Code::FW1402, "the record has no line".to_owned(), "nothing here"),
        Fault::NoOpen => (Code::FW1402, "the record does not begin with `open`".to_owned(), "another event"),
        Fault::NoEvent(why) => (Code::FW1402, format!("this line is no event of a record: {why}"), "not understood"),
        _ => (Code::FW1402, String::new(), ""),
    };
    let (reason, repair) = if code == Code::FW1401 {
        (
            "A program that guesses what a checklist means may pass over what makes the work safe.",
            "Build the procedure again with `fitwright build`, or judge the record with the program that wrote both.",
        )
    } else {
        (
            "From here on nothing can be judged.",
            "Export the record again from the app that wrote it, or judge it with a later version of this program.",
        )
    };
    Told { code, message, label: label.to_owned(), reason, repair: repair.to_owned() }
}

fn altered(fault: &Fault) -> Told {
    let (code, message, label) = match fault {
        Fault::Number { written } => (
            Code::FW1405,
            format!("a line was taken out, added or moved: this one says that it is number {written}"),
            "not in its place",
        ),
        Fault::Link => (Code::FW1405, "this line does not follow the one above it".to_owned(), "the chain breaks here"),
        Fault::Head { wanted, found } => {
            (Code::FW1415, format!("the record's head is {found}, and the paper says {wanted}"), "the record ends here")
        }
        Fault::Picture { file } => (
            Code::FW1406,
            format!("the picture {file} is not the one that was recorded"),
            "its size or digest is another",
        ),
        Fault::NoPicture { file } => {
            (Code::FW1406, format!("the picture {file} is not among the pictures"), "recorded here")
        }
        Fault::CutOff => (Code::FW1404, "the last line is cut off".to_owned(), "no line end"),
        Fault::NotJson => (Code::FW1404, "this line cannot be read any more".to_owned(), "it was changed"),
        Fault::NotCanonical => {
            (Code::FW1404, "this line is not as an app writes it".to_owned(), "it was changed, or written by hand")
        }
        _ => (Code::FW1404, "this line was changed after it was written".to_owned(), "its digest is another"),
    };
    let (reason, repair) = match fault {
        Fault::Picture { .. } | Fault::NoPicture { .. } => (
            "The picture cannot serve as evidence.",
            "Find the picture as it was taken, and keep it beside the record under its name.",
        ),
        Fault::Head { .. } => (
            "Whoever holds the whole file can write it anew, and only the paper shows it.",
            "Look for the file whose head stands on the paper, at the device or in a backup.",
        ),
        _ => (
            "This line and all below it are no evidence, and are not judged.",
            "Look for an unchanged copy of the file, at the device or in a backup.",
        ),
    };
    Told { code, message, label: label.to_owned(), reason, repair: repair.to_owned() }
}

fn step_words(step: &Step) -> String {
    format!("step {} “{}”", step.number, step.title)
}

/// What an event does, as the middle of a sentence.
pub(super) fn does(what: &What, definition: &Definition) -> String {
    let step = |id: &str| {
        let found = definition.program.steps.iter().find(|step| step.id == id);
        found.map_or_else(|| format!("step `{id}`, which the checklist does not have"), step_words)
    };
    let input = |id: &str| {
        let found = definition.inputs.iter().find(|input| input.id() == id);
        found.map_or_else(|| format!("`{id}`"), |input| format!("“{}”", input.title()))
    };
    match what {
        What::Open { .. } => "opens the record again".to_owned(),
        What::Answer { input: id, .. } => format!("answers {}", input(id)),
        What::Begin { step: id, occasion: 1, .. } => format!("begins {}", step(id)),
        What::Begin { step: id, occasion, .. } => format!("begins {}, for the {occasion}. time", step(id)),
        What::Acknowledge { .. } => "acknowledges a message".to_owned(),
        What::Reading { input: id, .. } => format!("brings a reading of {}", input(id)),
        What::Torque { fastening, .. } => format!("brings the torque of fastening {fastening}"),
        What::Text { .. } => "brings an entry".to_owned(),
        What::Photo { .. } => "brings a photograph".to_owned(),
        What::LeaveOut { .. } => "leaves a photograph out".to_owned(),
        What::Done { step: id, .. } => format!("says that {} is done", step(id)),
        What::Sign { role, .. } => format!("brings the signature of the {role}"),
        What::Close { outcome, .. } => match outcome {
            CloseOutcome::HandedOver => "closes the record as handed over".to_owned(),
            CloseOutcome::Stopped => "closes the record at a stop".to_owned(),
            CloseOutcome::BrokenOff => "gives the job up".to_owned(),
        },
        What::Note { .. } => "makes a remark".to_owned(),
        What::Correct { event, .. } => format!("corrects line {event}"),
        What::Withdraw { event, .. } => format!("withdraws line {event}"),
        What::Revise { checklist, .. } => match &checklist.revision {
            Some(mark) => format!("goes over to revision {mark}"),
            None => "goes over to another checklist".to_owned(),
        },
    }
}
