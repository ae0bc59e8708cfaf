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
    pub(super) bits: Vec<bool>,
    pub(super) numbers: Vec<Option<Exact>>,
}

impl Model {
    /// Completes what the solver chose: what it did not know is as `fill` says, and comparisons that it did not look at
    /// come out as the numbers say.
    pub(super) fn new(
        inputs: &Inputs,
        bits: &[Option<bool>],
        fill: &dyn Fn(u32) -> bool,
        numbers: Vec<Option<Exact>>,
    ) -> Model {
        let number = |var: VarId| numbers.get(var.0 as usize).copied().flatten();
        let value = |(at, atom): (usize, &Atom)| match (bits.get(at).copied().flatten(), atom) {
            (Some(bit), _) => bit,
            (None, Atom::Bit(_) | Atom::Guess) => fill(u32::try_from(at).unwrap_or(u32::MAX)),
            (None, Atom::Compares(n)) => inputs.comparisons.get(*n).is_some_and(|(c, _)| c.holds(number) == Some(true)),
        };
        let bits = inputs.atoms.iter().enumerate().map(value).collect();
        Model { bits, numbers }
    }

    pub(super) fn bit(&self, atom: u32) -> bool {
        self.bits.get(atom as usize).copied().unwrap_or(false)
    }

    /// The truth of every node.
    pub(super) fn truths(&self, circuit: &Circuit) -> Truths {
        let mut values = Vec::with_capacity(circuit.len());
        circuit.extend_values(&mut values, |atom| u64::from(self.bit(atom)));
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

/// The runs found so far.
#[derive(Debug, Default)]
pub(super) struct Witnesses {
    models: Vec<Arc<Model>>,
    columns: Vec<Vec<u64>>,
    /// The place of the newest.
    next: usize,
}

impl Witnesses {
    /// Keeps a run. Where there is no room, it takes the place of an older one.
    pub fn add(&mut self, circuit: &Circuit, model: Model) -> Arc<Model> {
        let model = Arc::new(model);
        let most = MOST_COLUMNS * 64;
        if self.models.len() < most {
            if self.models.len().is_multiple_of(64) {
                self.columns.push(Vec::with_capacity(circuit.len()));
            }
            self.next = self.models.len();
            self.models.push(Arc::clone(&model));
        } else {
            // The first column keeps its runs, which were chosen to differ.
            self.next = if self.next + 1 < most { self.next + 1 } else { 64 };
            if let Some(slot) = self.models.get_mut(self.next) {
                *slot = Arc::clone(&model);
            }
        }
        let (column, bit) = (self.next / 64, self.next % 64);
        let mut alone = Vec::with_capacity(circuit.len());
        circuit.extend_values(&mut alone, |atom| u64::from(model.bit(atom)));
        if let Some(column) = self.columns.get_mut(column) {
            for (all, one) in column.iter_mut().zip(alone) {
                *all = *all & !(1 << bit) | (one & 1) << bit;
            }
        }
        model
    }

    /// Keeps many runs at once, which is cheaper.
    pub fn add_all(&mut self, models: Vec<Model>) {
        for model in models {
            if self.models.len().is_multiple_of(64) {
                self.columns.push(Vec::new());
            }
            self.models.push(Arc::new(model));
            self.next = self.models.len() - 1;
        }
        self.columns.iter_mut().for_each(Vec::clear);
    }

    /// Works out the nodes that were made since.
    fn catch_up(&mut self, circuit: &Circuit) {
        for (column, models) in self.columns.iter_mut().zip(self.models.chunks(64)) {
            circuit.extend_values(column, |atom| {
                models.iter().enumerate().fold(0, |word, (n, model)| word | u64::from(model.bit(atom)) << n)
            });
        }
    }

    /// A run in which the formula holds, the latest found first.
    pub fn with(&mut self, circuit: &Circuit, formula: Formula) -> Option<Arc<Model>> {
        self.catch_up(circuit);
        for (at, column) in self.columns.iter().enumerate().rev() {
            let used = self.models.len().saturating_sub(at * 64).min(64);
            let mask = if used == 64 { u64::MAX } else { (1 << used) - 1 };
            let hits = value_in(column, formula) & mask;
            if hits != 0 {
                let bit = 63 - hits.leading_zeros() as usize;
                return self.models.get(at * 64 + bit).cloned();
            }
        }
        None
    }

    /// Whether one of the runs is known in which all formulas hold.
    pub fn have(&mut self, circuit: &Circuit, formulas: &[Formula]) -> bool {
        self.catch_up(circuit);
        self.columns.iter().zip(self.models.chunks(64)).any(|(column, models)| {
            let used = if models.len() == 64 { u64::MAX } else { (1 << models.len()) - 1 };
            formulas.iter().fold(used, |all, formula| all & value_in(column, *formula)) != 0
        })
    }

    /// Those of the formulas that hold in each of the runs in which all of `within` do.
    pub fn always(&mut self, circuit: &Circuit, within: &[Formula], formulas: Vec<Formula>) -> Vec<Formula> {
        self.catch_up(circuit);
        let mut left = formulas;
        for (column, models) in self.columns.iter().zip(self.models.chunks(64)) {
            let used = if models.len() == 64 { u64::MAX } else { (1 << models.len()) - 1 };
            let counted = within.iter().fold(used, |all, formula| all & value_in(column, *formula));
            if counted != 0 {
                left.retain(|formula| counted & !value_in(column, *formula) == 0);
            }
        }
        left
    }

    /// What a sum comes to in each of the runs in which `within` holds.
    pub fn sums(&mut self, circuit: &Circuit, counts: &[Weighted], within: Formula) -> Vec<(i64, Arc<Model>)> {
        self.catch_up(circuit);
        let mut found = Vec::new();
        for (column, models) in self.columns.iter().zip(self.models.chunks(64)) {
            let counted = value_in(column, within);
            let words: Vec<(u64, i64)> = counts.iter().map(|c| (value_in(column, c.when), c.count)).collect();
            for (n, model) in models.iter().enumerate().filter(|(n, _)| counted >> n & 1 == 1) {
                let held = words.iter().filter(|(word, _)| word >> n & 1 == 1);
                found.push((held.fold(0, |sum: i64, (_, count)| sum.saturating_add(*count)), Arc::clone(model)));
            }
        }
        found
    }
}
