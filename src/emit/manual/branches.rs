//! The tables of branches, numbered, and in which of them each result is decided.

use std::collections::{BTreeMap, BTreeSet};

use super::super::words::listed;
use crate::labels::{ENGLISH, fill};
use crate::model::{Check, ChoiceId, Node, Procedure};
use crate::source::Span;

/// The numbers of the branch tables, and in which of them each result is decided.
pub(super) struct Branches {
    pub(super) numbers: BTreeMap<Span, u32>,
    results: BTreeMap<ChoiceId, BTreeSet<u32>>,
}

impl Branches {
    pub(super) fn of(procedure: &Procedure) -> Self {
        let mut branches = Branches { numbers: BTreeMap::new(), results: BTreeMap::new() };
        for section in &procedure.sections {
            branches.read(&section.body, None);
        }
        branches
    }

    fn read(&mut self, body: &[Node], inside: Option<u32>) {
        for node in body {
            match node {
                Node::Choose(choose) => {
                    let number = self.numbers.len() as u32 + 1;
                    self.numbers.insert(choose.span, number);
                    choose.arms.iter().for_each(|arm| self.read(&arm.body, Some(number)));
                }
                Node::When(when) => {
                    self.read(&when.then, None);
                    self.read(&when.otherwise, None);
                }
                Node::Check(Check { repair: Some(repair), .. }) => self.read(&repair.body, None),
                Node::Set(set) => {
                    if let Some(number) = inside {
                        self.results.entry(set.result).or_default().insert(number);
                    }
                }
                Node::Step(_) | Node::Check(_) | Node::Stop(_) | Node::Handover(_) => {}
            }
        }
    }

    /// `table 1`, where the result is decided in tables.
    pub(super) fn tables_of(&self, result: ChoiceId) -> Option<String> {
        let numbers = self.results.get(&result)?;
        let text = if numbers.len() == 1 { ENGLISH.flow.table } else { ENGLISH.flow.tables };
        Some(fill(text, &[("numbers", &listed(numbers.iter().map(u32::to_string), ENGLISH.word.and))]))
    }
}
