//! What an input, a result or a state is at a place of the procedure.
//!
//! A *subject* changes at *versions*: a reading is taken, a result is set, a state is made. The procedure is one list
//! of events in the order of the text, so the value at an event is that of the latest earlier version whose guard
//! holds. A version is *settled* at a place inside its own block: whoever gets there has passed it, and nothing older
//! counts.

use std::collections::HashMap;

use super::formula::{Circuit, Formula};
use super::ids::{BlockId, EventId, Subject};
use super::inputs::{Inputs, VarId};

/// The value from here on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Version {
    /// The event from which on it counts.
    pub event: EventId,
    /// The block in which it happens.
    pub block: BlockId,
    /// In which runs it happens.
    pub guard: Formula,
    /// The value.
    pub source: Source,
}

/// Where a value comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Source {
    /// What this variable is.
    Taken(VarId),
    /// This value.
    Fixed(usize),
}

/// What is asked of a subject.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Asked {
    /// It has a value.
    Known,
    /// It has this value, or lies in this cell.
    Is(usize),
    /// Its value or cell is this or a later one.
    AtLeast(usize),
}

/// The versions of each subject, in the order of the text.
#[derive(Debug, Default)]
pub(super) struct Timelines {
    versions: HashMap<Subject, Vec<Version>>,
    /// The block around each block, by number.
    parents: Vec<BlockId>,
    memo: HashMap<(Subject, usize, Option<usize>, Asked), Formula>,
}

/// Which versions can count at a place: those after `settled` up to `end`, and `settled` itself.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    settled: Option<usize>,
    end: usize,
}

impl Timelines {
    /// Adds a block inside another.
    pub fn add_block(&mut self, parent: BlockId) -> BlockId {
        self.parents.push(parent);
        BlockId::try_from(self.parents.len() - 1).unwrap_or(BlockId::MAX)
    }

    /// Adds the newest version of a subject.
    pub fn add(&mut self, subject: Subject, version: Version) {
        self.versions.entry(subject).or_default().push(version);
    }

    /// The block around a block; the whole is its own.
    pub fn around(&self, block: BlockId) -> BlockId {
        self.parents.get(block as usize).copied().unwrap_or(0)
    }

    fn is_inside(&self, mut block: BlockId, outer: BlockId) -> bool {
        // Blocks are numbered from the outside in, so the search ends.
        while block > outer {
            block = self.around(block);
        }
        block == outer
    }

    /// Which versions can count right before an event in a block.
    pub fn reach(&self, subject: Subject, at: EventId, block: BlockId) -> Reach {
        let versions = self.of(subject);
        let end = versions.partition_point(|version| version.event < at);
        let settled = (0..end).rev().find(|n| versions.get(*n).is_some_and(|v| self.is_inside(block, v.block)));
        Reach { settled, end }
    }

    fn of(&self, subject: Subject) -> &[Version] {
        self.versions.get(&subject).map_or(&[], Vec::as_slice)
    }

    /// The versions that can count, newest first; the last is settled if `bool` says so.
    pub fn candidates(&self, subject: Subject, reach: Reach) -> Vec<(Version, bool)> {
        let from = reach.settled.unwrap_or(0);
        let versions = self.of(subject).get(from..reach.end).unwrap_or(&[]);
        let settled = |n: usize| n == 0 && reach.settled.is_some();
        versions.iter().enumerate().map(|(n, version)| (*version, settled(n))).rev().collect()
    }

    /// The answer as a formula. It means something only together with the guard of the event.
    pub fn formula(
        &mut self,
        circuit: &mut Circuit,
        inputs: &Inputs,
        subject: Subject,
        reach: Reach,
        asked: Asked,
    ) -> Formula {
        let Timelines { versions, memo, .. } = self;
        let versions = versions.get(&subject).map_or(&[] as &[Version], Vec::as_slice);
        let first = reach.settled.map_or(0, |settled| settled + 1);
        // Down to what is already worked out, then up again.
        let mut from = reach.end;
        let mut value = loop {
            if let Some(formula) = memo.get(&(subject, from, reach.settled, asked)) {
                break *formula;
            }
            if from <= first {
                let settled = reach.settled.and_then(|settled| versions.get(settled));
                break settled.map_or(Formula::NEVER, |version| leaf(inputs, version.source, asked));
            }
            from -= 1;
        };
        for n in from..reach.end {
            if let Some(version) = versions.get(n) {
                value = circuit.choose(version.guard, leaf(inputs, version.source, asked), value);
            }
            memo.insert((subject, n + 1, reach.settled, asked), value);
        }
        value
    }
}

fn leaf(inputs: &Inputs, source: Source, asked: Asked) -> Formula {
    let fixed = |holds: bool| if holds { Formula::ALWAYS } else { Formula::NEVER };
    match (source, asked) {
        (_, Asked::Known) => Formula::ALWAYS,
        (Source::Fixed(value), Asked::Is(wanted)) => fixed(value == wanted),
        (Source::Fixed(value), Asked::AtLeast(wanted)) => fixed(value >= wanted),
        (Source::Taken(var), Asked::Is(wanted)) => {
            inputs.variable(var).and_then(|v| v.is.get(wanted)).copied().unwrap_or(Formula::NEVER)
        }
        (Source::Taken(var), Asked::AtLeast(wanted)) => {
            inputs.variable(var).and_then(|v| v.at_least.get(wanted)).copied().unwrap_or(Formula::NEVER)
        }
    }
}
