//! What is worth knowing besides, in words.

use super::super::fault::{Note, NoteKind};
use super::Words;
use crate::diagnostics::{Code, Finding};
use crate::labels::{fill, spoken};

impl Words<'_> {
    pub(super) fn note(&self, note: &Note) -> Finding {
        // A note stands on the summary that a customer signs, so that it is said in the language of the job.
        let labels = &spoken().record;
        let (code, message, label, reason, repair) = match note.note {
            NoteKind::ClockBackwards => (
                Code::FW1411,
                labels.clock_backwards,
                "the clock went backwards",
                "The order of the lines is certain, their times are not.",
                "Set the clock of the device. Ask when the work was done.",
            ),
            NoteKind::LeftOut => (
                Code::FW1412,
                labels.photo_left_out,
                "no photograph",
                "The procedure asks for it as evidence.",
                "Take the photograph later and keep it with the file, if it matters.",
            ),
            NoteKind::Remedied => (
                Code::FW1416,
                labels.torque_remedied,
                "not the torque that counts",
                "A fastening that was tightened too far, or twice, may have been stretched.",
                "See that what was done about it was enough; a good torque follows where the step is done.",
            ),
            NoteKind::SamePerson => (
                Code::FW1417,
                labels.one_signs_twice,
                "the same name stands above",
                "Two signatures stand for two people, of whom one looks at what the other did.",
                "Let another person sign, or have the reason written down and accepted.",
            ),
            NoteKind::WentOn => (
                Code::FW1413,
                labels.went_on,
                "the job went on from here",
                "The procedure allows it, and the customer should know.",
                "See that what the technician was told has been passed on.",
            ),
            NoteKind::EarlierRevision => (
                Code::FW1414,
                labels.carried_on,
                "judged from here on",
                "The lines above follow a checklist that is not at hand; what is the same in both revisions counts.",
                "Judge them with the earlier checklist, up to this line, if it matters.",
            ),
        };
        let message = fill(message, &[("text", &note.text)]);
        Finding::new(code, message, self.span(note.line), label).because(reason).repair(repair)
    }
}
