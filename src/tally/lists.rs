//! The checklists that records may name, and a record judged by one of them.

use std::collections::BTreeSet;
use std::fmt;

use super::lines::Refused;
use super::made_up::{self, Run};
use crate::diagnostics::Finding;
use crate::record::facts::{self, Asked, Facts};
use crate::record::{self, Beside, Definition, Outcome, Verdict, judge_among, words};
use crate::source::Sources;

/// Checklists of one procedure.
#[derive(Debug)]
pub struct Lists {
    pub(super) definitions: Vec<Definition>,
    pub(super) asked: Vec<Asked>,
}

/// Why checklists can't be counted together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ListsFault {
    /// There is none.
    None,
    /// They are of two procedures: their ids.
    TwoProcedures(String, String),
}

impl fmt::Display for ListsFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ListsFault::None => f.write_str("there is no checklist"),
            ListsFault::TwoProcedures(one, other) => {
                write!(f, "the checklists are of two procedures, `{one}` and `{other}`; tally each by itself")
            }
        }
    }
}

impl std::error::Error for ListsFault {}

/// A record, judged.
#[derive(Debug)]
pub enum One {
    /// It counts.
    Counts(Box<Counting>),
    /// It is left out.
    LeftOut {
        /// Why, in one word.
        why: Refused,
        /// What is wrong, with its place among the sources that come with it.
        finding: Box<Finding>,
        /// The record and the name that it came under.
        sources: Sources,
    },
}

/// What is added of a record that counts.
#[derive(Debug)]
pub struct Counting {
    /// Which checklist it goes to.
    pub(super) list: usize,
    pub(super) outcome: Outcome,
    pub(super) verdicts: BTreeSet<Verdict>,
    pub(super) facts: Facts,
    pub(super) runs: Vec<Run>,
}

impl Lists {
    /// Of checklists of one procedure, in the order in which they are to be shown. The same file twice is there once.
    ///
    /// # Errors
    /// Where there is none, or where they are of two procedures.
    pub fn new(definitions: Vec<Definition>) -> Result<Lists, ListsFault> {
        let mut own: Vec<Definition> = Vec::new();
        for definition in definitions {
            if let Some(first) = own.first().filter(|first| first.procedure.id != definition.procedure.id) {
                let (one, other) = (first.procedure.id.clone(), definition.procedure.id);
                return Err(ListsFault::TwoProcedures(one, other));
            }
            if own.iter().all(|one| one.digest != definition.digest) {
                own.push(definition);
            }
        }
        if own.is_empty() {
            return Err(ListsFault::None);
        }
        let asked = own.iter().map(facts::asked).collect();
        Ok(Lists { definitions: own, asked })
    }

    /// Judges a record of that name by the checklist that its digest names. One that was altered, that can't be read or that is by
    /// none of the checklists is left out, with what is wrong.
    pub fn judge(&self, name: &str, text: &str, beside: Beside<'_>) -> One {
        let (list, judgement) = judge_among(&self.definitions, text, beside);
        let refused = judgement.said.iter().find_map(|said| Some((said, refused(said.fault.verdict())?)));
        if let Some((said, why)) = refused {
            let mut sources = Sources::default();
            let checklist = sources.add("", "");
            let record = sources.add(name, text);
            let finding = Box::new(words::finding(said, &judgement, &sources, checklist, record));
            return One::LeftOut { why, finding, sources };
        }
        let known = list.and_then(|list| Some((list, self.definitions.get(list)?, self.asked.get(list)?)));
        let Some((list, definition, asked)) = known else {
            // A record by none of them has a finding that says so.
            let sources = Sources::default();
            let finding = Finding::without_place(crate::diagnostics::Code::FW1401, "it is by another checklist");
            return One::LeftOut { why: Refused::OtherRevision, finding: Box::new(finding), sources };
        };
        let facts = facts::facts(definition, asked, &judgement);
        let runs = made_up::runs(&facts);
        One::Counts(Box::new(Counting {
            list,
            outcome: judgement.outcome,
            verdicts: judgement.verdicts().into_iter().collect(),
            facts,
            runs,
        }))
    }
}

/// Why a record with such a verdict is left out; `None` where it counts all the same.
fn refused(verdict: record::Verdict) -> Option<Refused> {
    match verdict {
        Verdict::Altered => Some(Refused::Altered),
        Verdict::Unreadable => Some(Refused::Unreadable),
        Verdict::OtherRevision => Some(Refused::OtherRevision),
        Verdict::Complete | Verdict::Missing | Verdict::OutOfOrder | Verdict::OutOfTolerance => None,
    }
}
