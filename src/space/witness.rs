//! Runs that were found, kept so that most later questions are answered by one of them.
//!
//! A *column* holds the truth of every node of the circuit in up to 64 runs at once, a bit a run.

use std::sync::Arc;

use super::formula::{Circuit, Formula, value_in};
use super::inputs::{Atom, Inputs, VarId};
use crate::quantity::Exact;

/// One complete run: a value of every option and given, and of every reading whenever it is taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Model {
    /// The value of every atom, sixty-four in a word.
    bits: Vec<u64>,
    /// The numbers that are not the usual one of their cell, in order.
    others: Vec<(VarId, Exact)>,
}

impl Model {
    /// Completes what the solver chose: what it did not know is as `fill` says, and comparisons that it did not look at
    /// come out as the numbers say.
    pub(super) fn new(
        inputs: &Inputs,
        bits: &[Option<bool>],
        fill: &dyn Fn(u32) -> bool,
        others: Vec<(VarId, Exact)>,
    ) -> Model {
        let mut model = Model { bits: vec![0; inputs.atoms.len().div_ceil(64)], others };
        for (at, atom) in (0..).zip(&inputs.atoms) {
            match (bits.get(at as usize).copied().flatten(), atom) {
                (Some(bit), _) => model.set(at, bit),
                (None, Atom::Bit(_) | Atom::Guess) => model.set(at, fill(at)),
                (None, Atom::Compares(_)) => {}
            }
        }
        // Once all cells are known, so are all numbers.
        for (at, atom) in (0..).zip(&inputs.atoms) {
            if let (None, Atom::Compares(n)) = (bits.get(at as usize).copied().flatten(), atom) {
                let number = |var: VarId| model.number(inputs, var);
                let holds = inputs.comparisons.get(*n).is_some_and(|(c, _)| c.holds(number) == Some(true));
                model.set(at, holds);
            }
        }
        model
    }

    fn set(&mut self, atom: u32, value: bool) {
        if let Some(word) = self.bits.get_mut(atom as usize / 64) {
            *word = *word & !(1 << (atom % 64)) | u64::from(value) << (atom % 64);
        }
    }

    pub(super) fn bit(&self, atom: u32) -> bool {
        self.bits.get(atom as usize / 64).is_some_and(|word| word >> (atom % 64) & 1 == 1)
    }

    /// The number of a variable that is one.
    pub(super) fn number(&self, inputs: &Inputs, var: VarId) -> Option<Exact> {
        let other = self.others.binary_search_by_key(&var, |(var, _)| *var).ok().and_then(|at| self.others.get(at));
        match other {
            Some((_, number)) => Some(*number),
            None => Some(inputs.cells_of_variable(var)?.usual(inputs.value(var, |atom| self.bit(atom)))),
        }
    }

    /// The truth of so many nodes, from the first.
    pub(super) fn truths(&self, circuit: &Circuit, nodes: usize) -> Truths {
        let mut values = Vec::with_capacity(nodes.min(circuit.len()));
        circuit.extend_to(nodes, &mut values, |atom| u64::from(self.bit(atom)));
        Truths { values }
    }
}

/// The truth of every formula in one run.
#[derive(Debug, Clone)]
pub struct Truths {
    values: Vec<u64>,
}

impl Truths {
    /// Whether a formula holds in the run. Formulas made after these truths are not known here and count as false.
    pub fn holds(&self, formula: Formula) -> bool {
        value_in(&self.values, formula) & 1 == 1
    }
}

/// How many columns are kept.
const MOST_COLUMNS: usize = 6;

/// A count that is added where a formula holds. It may be negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Weighted {
    /// Where it is added.
    pub when: Formula,
    /// How much.
    pub count: i64,
}

/// Up to 64 runs, and the truth of every node in them.
#[derive(Debug, Default)]
struct Column {
    models: Vec<Arc<Model>>,
    values: Vec<u64>,
}

impl Column {
    /// A bit for each of its runs.
    fn used(&self) -> u64 {
        first(self.models.len())
    }

    /// Works out the nodes that were made since.
    fn catch_up(&mut self, circuit: &Circuit) {
        let Column { models, values } = self;
        circuit.extend_values(values, |atom| bits_of(models, atom));
    }
}

/// So many bits from the lowest.
fn first(bits: usize) -> u64 {
    u32::try_from(bits).ok().and_then(|bits| 1_u64.checked_shl(bits)).map_or(u64::MAX, |beyond| beyond - 1)
}

/// An atom in each of the runs.
pub(super) fn bits_of(models: &[Arc<Model>], atom: u32) -> u64 {
    models.iter().enumerate().fold(0, |word, (n, model)| word | u64::from(model.bit(atom)) << n)
}

/// The runs found so far.
#[derive(Debug, Default)]
pub(super) struct Witnesses {
    columns: Vec<Column>,
    /// Where there is no more room: the column and the run in it whose place is taken next.
    next: (usize, usize),
}

impl Witnesses {
    /// Keeps a run. Where there is no room, it takes the place of an older one.
    pub fn add(&mut self, circuit: &Circuit, model: Model) -> Arc<Model> {
        let model = Arc::new(model);
        let full = self.columns.last().is_none_or(|column| column.models.len() == 64);
        if full && self.columns.len() < MOST_COLUMNS {
            let values = Vec::with_capacity(circuit.len());
            self.columns.push(Column { models: vec![Arc::clone(&model)], values });
            return model;
        }
        let at = if full { self.make_room() } else { (self.columns.len() - 1, usize::MAX) };
        let Some(column) = self.columns.get_mut(at.0) else { return model };
        let bit = match column.models.get_mut(at.1) {
            Some(slot) => {
                *slot = Arc::clone(&model);
                at.1
            }
            None => {
                column.models.push(Arc::clone(&model));
                column.models.len() - 1
            }
        };
        let mut alone = Vec::with_capacity(circuit.len());
        circuit.extend_values(&mut alone, |atom| u64::from(model.bit(atom)));
        for (all, one) in column.values.iter_mut().zip(alone) {
            *all = *all & !(1 << bit) | (one & 1) << bit;
        }
        model
    }

    /// The place of the run that gives way. The first column keeps its runs, which were chosen to differ.
    fn make_room(&mut self) -> (usize, usize) {
        let (column, bit) = self.next;
        let here = (column.clamp(1, MOST_COLUMNS - 1), bit);
        let beyond = bit + 1 >= self.columns.get(here.0).map_or(64, |column| column.models.len());
        self.next = match beyond {
            false => (here.0, bit + 1),
            true if here.0 + 1 < MOST_COLUMNS => (here.0 + 1, 0),
            true => (1, 0),
        };
        here
    }

    /// Keeps up to 64 runs at once, which is cheaper. `values` are the truths of the nodes in them, of as many nodes as are
    /// worked out.
    pub fn add_all(&mut self, models: Vec<Arc<Model>>, values: Vec<u64>) {
        if models.is_empty() {
            return;
        }
        let column = Column { models, values };
        if self.columns.len() < MOST_COLUMNS {
            self.columns.push(column);
            return;
        }
        let (at, _) = self.make_room();
        if let Some(slot) = self.columns.get_mut(at) {
            *slot = column;
        }
        self.next = (if at + 1 < MOST_COLUMNS { at + 1 } else { 1 }, 0);
    }

    fn catch_up(&mut self, circuit: &Circuit) {
        self.columns.iter_mut().for_each(|column| column.catch_up(circuit));
    }

    /// A run in which the formula holds, the latest found first.
    pub fn with(&mut self, circuit: &Circuit, formula: Formula) -> Option<Arc<Model>> {
        self.catch_up(circuit);
        self.columns.iter().rev().find_map(|column| {
            let hits = value_in(&column.values, formula) & column.used();
            let bit = hits.checked_ilog2()?;
            column.models.get(bit as usize).cloned()
        })
    }

    /// The run in which most of the formulas hold, of several the first.
    pub fn nearest(&mut self, circuit: &Circuit, formulas: &[Formula]) -> Option<Arc<Model>> {
        self.catch_up(circuit);
        let mut best: Option<(usize, &Arc<Model>)> = None;
        for column in &self.columns {
            let words: Vec<u64> = formulas.iter().map(|formula| value_in(&column.values, *formula)).collect();
            for (bit, model) in column.models.iter().enumerate() {
                let held = words.iter().filter(|word| *word >> bit & 1 == 1).count();
                if best.is_none_or(|(most, _)| held > most) {
                    best = Some((held, model));
                }
            }
        }
        best.map(|(_, model)| Arc::clone(model))
    }

    /// Whether one of the runs is known in which all formulas hold.
    pub fn have(&mut self, circuit: &Circuit, formulas: &[Formula]) -> bool {
        self.catch_up(circuit);
        self.columns.iter().any(|column| {
            formulas.iter().fold(column.used(), |all, formula| all & value_in(&column.values, *formula)) != 0
        })
    }

    /// Those of the formulas that hold in each of the runs in which all of `within` do.
    pub fn always(&mut self, circuit: &Circuit, within: &[Formula], formulas: Vec<Formula>) -> Vec<Formula> {
        self.catch_up(circuit);
        let mut left = formulas;
        for column in &self.columns {
            let counted = within.iter().fold(column.used(), |all, formula| all & value_in(&column.values, *formula));
            if counted != 0 {
                left.retain(|formula| counted & !value_in(&column.values, *formula) == 0);
            }
        }
        left
    }

    /// What a sum comes to in each of the runs in which `within` holds.
    pub fn sums(&mut self, circuit: &Circuit, counts: &[Weighted], within: Formula) -> Vec<(i64, Arc<Model>)> {
        self.catch_up(circuit);
        let mut found = Vec::new();
        for column in &self.columns {
            let counted = value_in(&column.values, within);
            let words: Vec<(u64, i64)> = counts.iter().map(|c| (value_in(&column.values, c.when), c.count)).collect();
            for (n, model) in column.models.iter().enumerate().filter(|(n, _)| counted >> n & 1 == 1) {
                let held = words.iter().filter(|(word, _)| word >> n & 1 == 1);
                found.push((held.fold(0, |sum: i64, (_, count)| sum.saturating_add(*count)), Arc::clone(model)));
            }
        }
        found
    }
}
