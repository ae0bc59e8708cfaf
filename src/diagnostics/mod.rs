//! What the compiler says: structured findings, and the ways to print them.
//!
//! A *finding* has a code from the [catalogue], one sentence that says what is wrong, places with labels,
//! the reason it matters in the workshop, the repair, and, where it happens on some paths only, a *case*: one concrete
//! set of inputs and the steps passed through. Findings stay data until they are rendered.

pub mod catalogue;
#[cfg(feature = "cli")]
mod excerpt;
mod fix;
pub mod json;
mod mend;
#[cfg(feature = "cli")]
pub mod render;
pub mod suggest;
mod visible;

pub use catalogue::{Attribute, Code, Family, Severity};
pub use fix::{Confidence, Edit, EditFault, Fix, apply};
pub use mend::{Change, MOST_OFFERED, Mend};
pub use visible::visible;

use std::cmp::Ordering;
use std::sync::Arc;

use crate::source::{FileId, Span};

/// One thing that the compiler says. In order, findings stand by place, then by code, then by message; those without a place
/// come first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// The rule.
    pub code: Code,
    /// What is wrong, in one sentence, without the repair.
    pub message: String,
    /// Places; the first is the one that a reader goes to.
    pub labels: Vec<Label>,
    /// Why it matters in the workshop.
    pub reason: Option<String>,
    /// What to write instead.
    pub repair: Option<String>,
    /// One concrete case, where the fault depends on the configuration.
    pub case: Option<Case>,
    /// The value on which it rests, as it would be written in the source; `None` where it rests on none that changes.
    pub holds: Option<String>,
    /// Ways to mend it that a machine can make, the likeliest first.
    pub fixes: Vec<Fix>,
    /// The same as a rule says it, until `mend` has worked out the edits; empty afterwards.
    pub mends: Vec<Mend>,
}

/// A place with words of its own.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Label {
    /// Where.
    pub span: Span,
    /// A few words that make sense alone.
    pub text: String,
}

/// One concrete configuration that shows a fault, short enough to replay by hand.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Case {
    /// Only the inputs that matter, in the order in which they become known.
    pub inputs: Vec<CaseInput>,
    /// The numbered steps that are passed through, in order, as far as the fault. Many cases pass the same ones, so that they
    /// share their words.
    pub steps: Vec<Arc<CaseStep>>,
    /// What comes out, e.g. `10 bracket-bolt taken, 8 supplied`.
    pub outcome: Option<String>,
}

/// One input of a case.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct CaseInput {
    /// The name in the source.
    pub name: String,
    /// What is said in its place where the source gives it no name: the text of `expect "…"`.
    pub says: Option<String>,
    /// The value as it would be written in the source: `powered`, `46 mm`.
    pub value: String,
    /// Which taking of the reading on this path, from 1. Options and givens have 1.
    pub occasion: u32,
}

/// One step of a case.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct CaseStep {
    /// Its printed number: `2.3`.
    pub number: String,
    /// Its name in the source.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Where it stands.
    pub span: Span,
}

/// So many characters of one word are told; what is longer is no name or number that a person wrote.
const LONGEST_WORD: usize = 120;
/// So many characters of one text of a finding are told.
const LONGEST_TEXT: usize = 4_000;

/// A text of a finding without what nobody would read of it: the middle of a word of a million letters.
fn brief(text: String) -> String {
    if text.len() <= LONGEST_WORD {
        return text;
    }
    let mut told = String::with_capacity(text.len().min(LONGEST_TEXT));
    for word in text.split_inclusive(char::is_whitespace) {
        let most = LONGEST_WORD.min(LONGEST_TEXT.saturating_sub(told.len()));
        match word.char_indices().nth(most) {
            Some((cut, _)) => {
                told.push_str(word.get(..cut).unwrap_or_default());
                told.push('…');
                if most < LONGEST_WORD {
                    break;
                }
                // Quotation marks and full stops close what was opened.
                let end = word.trim_end_matches(|c: char| !c.is_alphanumeric());
                told.push_str(word.get(end.len()..).filter(|end| end.len() < 8).unwrap_or_default());
            }
            None => told.push_str(word),
        }
    }
    told
}

impl Finding {
    /// A finding at a place. The label should make sense alone; the message says the whole.
    pub fn new(code: Code, message: impl Into<String>, at: Span, label: impl Into<String>) -> Self {
        Finding {
            code,
            message: brief(message.into()),
            labels: vec![Label { span: at, text: brief(label.into()) }],
            reason: None,
            repair: None,
            case: None,
            holds: None,
            fixes: Vec::new(),
            mends: Vec::new(),
        }
    }

    /// A finding that belongs to no place in a text (a file that could not be read).
    pub fn without_place(code: Code, message: impl Into<String>) -> Self {
        Finding {
            code,
            message: brief(message.into()),
            labels: Vec::new(),
            reason: None,
            repair: None,
            case: None,
            holds: None,
            fixes: Vec::new(),
            mends: Vec::new(),
        }
    }

    /// Adds another place that contributed.
    #[must_use]
    pub fn also(mut self, at: Span, label: impl Into<String>) -> Self {
        self.labels.push(Label { span: at, text: brief(label.into()) });
        self
    }

    /// Says why it matters.
    #[must_use]
    pub fn because(mut self, reason: impl Into<String>) -> Self {
        self.reason = Some(brief(reason.into()));
        self
    }

    /// Says how to repair it.
    #[must_use]
    pub fn repair(mut self, repair: impl Into<String>) -> Self {
        self.repair = Some(brief(repair.into()));
        self
    }

    /// Shows one concrete case.
    #[must_use]
    pub fn case(mut self, case: Case) -> Self {
        self.case = Some(case);
        self
    }

    /// Says on which value it rests: an acceptance must name it, and lapses when it changes.
    #[must_use]
    pub fn holding(mut self, value: impl Into<String>) -> Self {
        self.holds = Some(value.into());
        self
    }

    /// Adds a way to mend it that a machine can make.
    #[must_use]
    pub fn fix(mut self, fix: Fix) -> Self {
        self.fixes.push(fix);
        self
    }

    /// Adds a way to mend it, as a rule says it.
    #[must_use]
    pub fn mend(mut self, mend: impl IntoIterator<Item = Mend>) -> Self {
        self.mends.extend(mend);
        self
    }

    /// The name of what it speaks of: the first name in its message.
    pub fn subject(&self) -> Option<&str> {
        self.message.split('`').nth(1)
    }

    /// The place to go to.
    pub fn span(&self) -> Option<Span> {
        self.labels.first().map(|label| label.span)
    }

    /// How grave it is.
    pub fn severity(&self) -> Severity {
        self.code.severity()
    }

    /// What findings are sorted by. Of two with the same head in one compilation only one is said.
    pub fn head(&self) -> (Option<Span>, Code, &str) {
        (self.span(), self.code, &self.message)
    }

    /// The same finding with its files under other numbers: two compilations number the same file differently.
    #[must_use]
    pub fn renumbered(mut self, mut number: impl FnMut(FileId) -> FileId) -> Self {
        self.labels.iter_mut().for_each(|label| label.span.file = number(label.span.file));
        for step in self.case.iter_mut().flat_map(|case| &mut case.steps) {
            let file = number(step.span.file);
            if file != step.span.file {
                Arc::make_mut(step).span.file = file;
            }
        }
        self.fixes.iter_mut().for_each(|fix| fix.renumber(&mut number));
        self.mends.iter_mut().for_each(|mend| mend.renumber(&mut number));
        self
    }
}

impl Ord for Finding {
    fn cmp(&self, other: &Self) -> Ordering {
        self.head()
            .cmp(&other.head())
            .then_with(|| self.labels.cmp(&other.labels))
            .then_with(|| self.reason.cmp(&other.reason))
            .then_with(|| self.repair.cmp(&other.repair))
            .then_with(|| self.case.cmp(&other.case))
            .then_with(|| self.fixes.cmp(&other.fixes))
    }
}

impl PartialOrd for Finding {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_finding_of_two_compilations_is_the_same_under_the_same_numbers() {
        let of = |file| {
            let at = Span::new(FileId::new(file), 3, 8);
            let step = CaseStep { number: "1.1".into(), name: "a".into(), title: "A".into(), span: at };
            let case = Case { steps: vec![step.into()], ..Case::default() };
            Finding::new(Code::FW0202, "twice", at, "here").also(at, "and here").case(case)
        };
        assert_ne!(of(1), of(2));
        assert_eq!(of(1), of(2).renumbered(|_| FileId::new(1)));
        assert_ne!(of(1), of(1).because("so"));
    }

    #[test]
    fn findings_stand_by_place_then_code_then_message() {
        let at = |start, code, message: &str| {
            Finding::new(code, message, Span::new(FileId::new(0), start, start + 1), "here")
        };
        let order = [
            Finding::without_place(Code::FW0501, "no place"),
            at(1, Code::FW0501, "b"),
            at(2, Code::FW0401, "b"),
            at(2, Code::FW0501, "a"),
            at(2, Code::FW0501, "b"),
        ];
        assert!(order.is_sorted());
    }
}
