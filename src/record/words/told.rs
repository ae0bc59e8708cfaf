//! What is wrong, in words.

use super::super::fault::Fault;
use super::Words;
use crate::diagnostics::Code;

/// A fault in words.
pub(super) struct Told {
    pub(super) code: Code,
    pub(super) message: String,
    pub(super) label: String,
    pub(super) reason: &'static str,
    pub(super) repair: String,
}

impl Words<'_> {
    pub(super) fn told(&self, fault: &Fault) -> Told {
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
                message: format!("this line {does} before every safety message of the step was read"),
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
            Fault::SameHands { step, name, did } => (
                Code::FW1409,
                format!(
                    "{} is for another person, and {name} did {}",
                    self.step_named(step),
                    did.iter().map(|step| self.step_named(step)).collect::<Vec<_>>().join(" and ")
                ),
                "the same person",
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
            format!("the photograph {file} is not the one that was recorded"),
            "its size or digest is another",
        ),
        Fault::NoPicture { file } => {
            (Code::FW1406, format!("the photograph {file} is not among the photographs"), "recorded here")
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
            "The photograph cannot serve as evidence.",
            "Find the photograph as it was taken, and keep it beside the record under its name.",
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
