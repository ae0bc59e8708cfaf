//! A judgement in words, as findings: `told` says what is wrong, `notes` what is worth knowing, `naming` how a step, an
//! input or a line is called in a sentence.

mod naming;
mod notes;
mod told;

use super::definition::Definition;
use super::fault::{Fault, Said};
use super::judge::Judgement;
use crate::diagnostics::{Code, Finding};
use crate::source::{FileId, Sources, Span};

use told::Told;

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

/// One thing of what a judgement says, as a finding. The files are as in [`findings`].
pub fn finding(said: &Said, judgement: &Judgement, sources: &Sources, checklist: FileId, record: FileId) -> Finding {
    Words { definition: judgement.definition.as_ref(), sources, checklist, record }.finding(said, 0)
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
        let start = file.lines().start_of(at) as usize;
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
}
