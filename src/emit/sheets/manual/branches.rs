//! The tables of branches, numbered, and in which of them each result is decided.

use std::collections::{BTreeMap, BTreeSet};

use super::each::number_of;
use crate::emit::words::listed;
use crate::labels::{fill, spoken};
use crate::model::{ChoiceId, Guard, Node, Procedure, walk};
use crate::source::Span;

/// The numbers of the branch tables, and in which of them each result is decided.
pub(super) struct Branches {
    numbers: BTreeMap<Span, u32>,
    results: BTreeMap<ChoiceId, BTreeSet<u32>>,
}

impl Branches {
    pub(super) fn of(procedure: &Procedure) -> Self {
        let mut branches = Branches { numbers: BTreeMap::new(), results: BTreeMap::new() };
        for section in &procedure.sections {
            branches.read(&section.body);
        }
        branches
    }

    fn read(&mut self, body: &[Node]) {
        let mut nodes = walk(body);
        while let Some(node) = nodes.next() {
            if let Node::Choose(choose) = node {
                number_of(&mut self.numbers, choose.span);
            }
            if let (Node::Set(set), Some(Guard::Arm(choose, _))) = (node, nodes.way().last()) {
                let number = self.number(choose.span);
                self.results.entry(set.result).or_default().extend(number);
            }
        }
    }

    /// The number of a table; tables that stand once for several places have one.
    pub(super) fn number(&self, choose: Span) -> Option<u32> {
        self.numbers.get(&choose.whole()).copied()
    }

    /// `table 1`, where the result is decided in tables.
    pub(super) fn tables_of(&self, result: ChoiceId) -> Option<String> {
        let numbers = self.results.get(&result)?;
        let text = if numbers.len() == 1 { spoken().flow.table } else { spoken().flow.tables };
        Some(fill(text, &[("numbers", &listed(numbers.iter().map(u32::to_string), spoken().word.and))]))
    }
}
