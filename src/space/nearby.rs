//! Runs that differ from a known one only in what a formula asks for.
//!
//! A place far down a long procedure is come to only if nothing before it ended the job, and a solver that is asked about
//! it has to learn all that stands before. Yet a run is known mostly that comes by, and a reading or two of it have to be
//! another. These are found by going down the formula from where the known run misses it: of what holds both halves have
//! to, of what does not one half is changed. Whatever comes of it is counted out over the whole procedure before it is
//! taken for a run; what is not found this way is left to the solver.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::Space;
use super::formula::{Circuit, Formula, Node, value_in};
use super::inputs::{Atom, Inputs, Settled};
use super::numbers::settle;
use super::witness::{Model, bits_of};

/// So many runs are counted out at a time.
pub(super) const BATCH: usize = 64;
/// How often a run that misses its formula still is changed again.
const ROUNDS: usize = 4;
/// How many nodes one change may look at.
const MOST_NODES: usize = 400;
/// By how many parts of a formula the nearest of the known runs is chosen.
const MOST_PARTS: usize = 48;

/// A run under way to its formula.
struct Candidate {
    formula: Formula,
    /// What was changed of the known run, by atom.
    changed: BTreeMap<u32, bool>,
    model: Arc<Model>,
}

/// A change that is being looked for.
struct Change<'a> {
    circuit: &'a Circuit,
    /// The truth in the run that is changed.
    truth: &'a dyn Fn(Formula) -> bool,
    changed: BTreeMap<u32, bool>,
    /// Atoms in the order in which they were changed.
    trail: Vec<u32>,
    left: usize,
}

impl Change<'_> {
    /// Changes what has to be for the formula to hold; `false` where that was not found.
    fn make(&mut self, formula: Formula) -> bool {
        if (self.truth)(formula) {
            return true;
        }
        if self.left == 0 {
            return false;
        }
        self.left -= 1;
        match self.circuit.node(formula.node()) {
            Node::Constant => false,
            Node::Atom(atom) => match self.changed.get(&atom) {
                Some(value) => *value != formula.is_contrary(),
                None => {
                    self.changed.insert(atom, !formula.is_contrary());
                    self.trail.push(atom);
                    true
                }
            },
            Node::Both(a, b) if !formula.is_contrary() => self.make(a) && self.make(b),
            Node::Both(a, b) => {
                // The later half is nearer to the place.
                let before = self.trail.len();
                self.make(!b) || {
                    for atom in self.trail.drain(before..) {
                        self.changed.remove(&atom);
                    }
                    self.make(!a)
                }
            }
        }
    }
}

impl Space<'_> {
    /// Looks for runs in which the formulas hold, up to [`BATCH`] of them, near to known ones, and keeps those that it finds.
    pub(super) fn find_nearby(&mut self, formulas: &[Formula]) {
        let mut candidates: Vec<Candidate> = Vec::with_capacity(formulas.len());
        for formula in formulas.iter().take(BATCH) {
            let parts = parts_of(&self.terms.circuit, *formula);
            let Some(model) = self.witnesses.nearest(&self.terms.circuit, &parts) else { return };
            candidates.push(Candidate { formula: *formula, changed: BTreeMap::new(), model });
        }
        if candidates.is_empty() {
            return;
        }
        let rules: Vec<Formula> = self.out.constraints.iter().map(|constraint| constraint.formula).collect();
        let (circuit, inputs) = (&self.terms.circuit, &self.terms.inputs);
        for round in 0..=ROUNDS {
            let models: Vec<Arc<Model>> = candidates.iter().map(|one| Arc::clone(&one.model)).collect();
            let mut values = Vec::with_capacity(circuit.len());
            circuit.extend_values(&mut values, |atom| bits_of(&models, atom));
            let all = models.iter().enumerate().fold(0, |all, (lane, _)| all | 1_u64 << lane);
            let allowed = rules.iter().fold(all, |all, rule| all & value_in(&values, *rule));
            let mut missed = Vec::new();
            for (lane, one) in candidates.into_iter().enumerate() {
                if (allowed & value_in(&values, one.formula)) >> lane & 1 == 0 && round < ROUNDS {
                    let truth = |formula: Formula| value_in(&values, formula) >> lane & 1 == 1;
                    missed.extend(changed(circuit, inputs, &rules, &truth, one));
                }
            }
            // Also a run that misses its formula is one, and the next question may be about it.
            let first = allowed.trailing_zeros();
            if allowed != 0 && round > 0 {
                let filled = keep_allowed(models, &mut values, allowed, first);
                self.witnesses.add_all(filled, values);
            }
            candidates = missed;
            if candidates.is_empty() {
                return;
            }
        }
    }
}

/// The runs, with the first allowed one in the place of each that breaks a rule.
fn keep_allowed(models: Vec<Arc<Model>>, values: &mut [u64], allowed: u64, first: u32) -> Vec<Arc<Model>> {
    let Some(other) = models.get(first as usize).cloned() else { return Vec::new() };
    for value in values {
        let all = if *value >> first & 1 == 1 { !allowed } else { 0 };
        *value = *value & allowed | all;
    }
    let kept = |(lane, model): (usize, Arc<Model>)| if allowed >> lane & 1 == 1 { model } else { Arc::clone(&other) };
    models.into_iter().enumerate().map(kept).collect()
}

/// A candidate that is changed where it misses its formula or breaks a rule; `None` where no change was found.
fn changed(
    circuit: &Circuit,
    inputs: &Inputs,
    rules: &[Formula],
    truth: &dyn Fn(Formula) -> bool,
    candidate: Candidate,
) -> Option<Candidate> {
    let Candidate { formula, changed, model } = candidate;
    let before = changed.len();
    let mut change = Change { circuit, truth, changed, trail: Vec::new(), left: MOST_NODES };
    let made = change.make(formula) && rules.iter().all(|rule| change.make(*rule));
    let changed = change.changed;
    if !made || changed.len() == before {
        return None;
    }
    let touched = inputs.variables_of(&changed.keys().copied().collect::<Vec<u32>>());
    // A comparison is kept as it is in the known run where none of its numbers changed.
    let bit = |atom: u32| match (changed.get(&atom), inputs.atoms.get(atom as usize)) {
        (Some(value), _) => Some(*value),
        (None, Some(Atom::Compares(at))) => {
            let (comparison, _) = inputs.comparisons.get(*at)?;
            let untouched = !comparison.variables().iter().any(|var| touched.contains(var));
            untouched.then(|| model.bit(atom))
        }
        (None, _) => Some(model.bit(atom)),
    };
    let cell = |var| inputs.value(var, |atom| bit(atom).unwrap_or(false));
    let wanted = |formula: Formula| circuit.as_atom(formula).and_then(|(atom, _)| bit(atom));
    let Settled::Numbers(numbers) = settle(inputs, cell, wanted, &BTreeMap::new()) else { return None };
    let atoms = 0..u32::try_from(inputs.atoms.len()).unwrap_or(u32::MAX);
    let bits: Vec<Option<bool>> = atoms.map(bit).collect();
    let model = Arc::new(Model::new(inputs, &bits, &|_| true, numbers));
    Some(Candidate { formula, changed, model })
}

/// Parts all of which hold where the formula does, those next to it first.
fn parts_of(circuit: &Circuit, formula: Formula) -> Vec<Formula> {
    let mut parts = vec![formula];
    let mut at = 0;
    while let Some(part) = parts.get(at).copied().filter(|_| parts.len() < MOST_PARTS) {
        if let Node::Both(a, b) = circuit.node(part.node())
            && !part.is_contrary()
        {
            parts.extend([a, b]);
        }
        at += 1;
    }
    parts
}
