//! Which inputs are enough for a fault, cell by cell and comparison by comparison: as few as leave no run without it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use batsat::Lit;

use super::Space;
use super::fewest::fewest;
use super::formula::Formula;
use super::ids::{EventId, Input};
use super::inputs::{Atom, VarId};
use super::lacking::Part;
use super::solver::{Engine, Solved};
use super::witness::{Model, Truths};

/// How many leavings-out are tried for one case.
pub(super) const TRIES: usize = 40;

/// What fixes inputs: a literal each, with its formula and the variables whose values it takes.
pub(super) type Fixing = Vec<(Lit, Formula, Vec<VarId>)>;

impl Space<'_> {
    /// A smallest set of what the run takes in that implies the fault, and that the readings among it are the first,
    /// second, … of their input: a person who replays the case counts them.
    pub(super) fn enough(
        &mut self,
        engine: &mut Engine,
        fault: Formula,
        model: Arc<Model>,
    ) -> Option<(Arc<Model>, Fixing)> {
        let mut shown = fault;
        let mut counted: BTreeSet<VarId> = BTreeSet::new();
        loop {
            let fixing = self.fixing(engine, shown, &model);
            let cube = self.smallest(engine, shown, fixing, &model)?;
            let new: Vec<VarId> =
                cube.iter().flat_map(|(.., vars)| vars).copied().filter(|v| counted.insert(*v)).collect();
            if new.is_empty() {
                return Some((model, cube));
            }
            let truths = self.happens(&model);
            for var in new {
                let same = self.same_occasion(var, &truths);
                shown = self.both(shown, same);
            }
        }
    }

    /// As few of the fixed inputs as still imply what is shown, found by leaving out one after the other, the last first.
    /// `None` where not even all of them do within the effort.
    fn smallest(&mut self, engine: &mut Engine, shown: Formula, fixing: Fixing, model: &Model) -> Option<Fixing> {
        let contrary = engine.literal(&self.terms.circuit, !shown);
        let enough = self.implying(engine, contrary, fixing)?;
        let needed = self.needed_of(shown, &enough, model);
        Some(fewest(
            enough,
            TRIES,
            |(lit, ..)| *lit,
            |(lit, ..)| needed.contains(lit),
            |rest| {
                // A run that is known already may show that what was left out is needed.
                let formulas: Vec<Formula> = rest.iter().map(|(_, formula, _)| *formula).chain([!shown]).collect();
                if self.witnesses.have(&self.terms.circuit, &formulas) {
                    return None;
                }
                self.implying(engine, contrary, rest)
            },
        ))
    }

    /// Those of the fixed inputs that are seen at once to be needed for what is shown.
    fn needed_of(&self, shown: Formula, fixing: &Fixing, model: &Model) -> BTreeSet<Lit> {
        let part = |(_, formula, vars): &(Lit, Formula, Vec<VarId>)| {
            let var = vars.as_slice().first().copied().filter(|_| vars.len() == 1);
            Part { var: var.filter(|var| !self.is_tied(*var)), keeps: *formula }
        };
        let parts: Vec<Part> = fixing.iter().map(part).collect();
        let needed = self.lacking(shown, &parts, model);
        fixing.iter().zip(needed).filter(|(_, needed)| *needed).map(|((lit, ..), _)| *lit).collect()
    }

    /// Those of the fixed inputs that the solver needs to contradict a literal; `None` where they don't.
    fn implying(&mut self, engine: &mut Engine, contrary: Lit, fixing: Fixing) -> Option<Fixing> {
        let assumed: Vec<Lit> = std::iter::once(contrary).chain(fixing.iter().map(|(lit, ..)| *lit)).collect();
        let Solved::Never(core) = self.solve(engine, &assumed) else { return None };
        let core: BTreeSet<Lit> = core.into_iter().collect();
        Some(fixing.into_iter().filter(|(lit, ..)| core.contains(lit)).collect())
    }

    /// The runs that take the readings of the same input before this one, and this one, as the given run does.
    pub(super) fn same_occasion(&mut self, var: VarId, truths: &Truths) -> Formula {
        let Some(input) = self.terms.inputs.variable(var).map(|variable| variable.input) else {
            return Formula::ALWAYS;
        };
        let inputs = &self.terms.inputs;
        let until = inputs.all_of(input).iter().take_while(|other| **other <= var);
        let readings = until.filter_map(|other| inputs.variable(*other)?.taken);
        let guards = readings.filter_map(|event| self.event(event)).map(|event| event.guard);
        let senses: Vec<Formula> = guards.map(|guard| if truths.holds(guard) { guard } else { !guard }).collect();
        self.all(senses)
    }

    /// One literal for each input behind the fault that the run takes in, and one for each comparison.
    fn fixing(&self, engine: &mut Engine, fault: Formula, model: &Model) -> Fixing {
        let truths = self.happens(model);
        let atoms = self.terms.circuit.atoms_of(&[fault]);
        let mut fixed: BTreeMap<VarId, Formula> = BTreeMap::new();
        let mut compared: Vec<(Formula, Vec<VarId>)> = Vec::new();
        for atom in &atoms {
            let (formula, variables) = match self.terms.inputs.atoms.get(*atom as usize) {
                Some(Atom::Compares(n)) => match self.terms.inputs.comparisons.get(*n) {
                    Some((comparison, formula)) => (*formula, comparison.variables()),
                    None => continue,
                },
                // A guess is nobody's input: it is kept as it is, and not told.
                Some(Atom::Guess) => (self.terms.circuit.of_atom(*atom), Vec::new()),
                _ => continue,
            };
            compared.push((if model.bit(*atom) { formula } else { !formula }, variables));
        }
        for var in self.terms.inputs.variables_of(&atoms) {
            let Some(variable) = self.terms.inputs.variable(var) else { continue };
            let happens = |event: EventId| self.event(event).is_some_and(|event| truths.holds(event.guard));
            if variable.taken.is_none_or(happens) {
                let value = self.terms.inputs.value(var, |atom| model.bit(atom));
                fixed.extend(variable.is.get(value).map(|formula| (var, *formula)));
            }
        }
        // Readings come last, so that they are the first to be left out; comparisons come after all.
        let mut fixing: Fixing = Vec::new();
        for (var, formula) in fixed {
            fixing.push((engine.literal(&self.terms.circuit, formula), formula, vec![var]));
        }
        for (formula, vars) in compared {
            fixing.push((engine.literal(&self.terms.circuit, formula), formula, vars));
        }
        fixing
    }

    /// Whether a choice has its first value. Of numbers none is more usual than another.
    pub(super) fn is_usual(&self, var: VarId, model: &Model) -> bool {
        let is_choice = self.terms.inputs.variable(var).is_some_and(|v| matches!(v.input, Input::Choice(_)));
        !is_choice || self.terms.inputs.value(var, |atom| model.bit(atom)) == 0
    }

    /// The case with one input at its first value, if the fault shows there too with no more inputs.
    pub(super) fn with_usual(
        &mut self,
        engine: &mut Engine,
        fault: Formula,
        few: Formula,
        cube: &Fixing,
        var: VarId,
    ) -> Option<(Arc<Model>, Fixing)> {
        let is_usual = *self.terms.inputs.variable(var)?.is.first()?;
        let usual = engine.literal(&self.terms.circuit, is_usual);
        let wanted = self.both(fault, few);
        let wanted = engine.literal(&self.terms.circuit, wanted);
        let others = cube.iter().filter(|(.., vars)| !vars.contains(&var)).cloned();
        let changed: Fixing = others.chain([(usual, is_usual, vec![var])]).collect();
        let assumed: Vec<Lit> = [wanted].into_iter().chain(changed.iter().map(|(lit, ..)| *lit)).collect();
        let Solved::Run(model) = self.solve(engine, &assumed) else { return None };
        let model = self.witnesses.add(&self.terms.circuit, model);
        let truths = self.happens(&model);
        let mut shown = fault;
        for var in changed.iter().flat_map(|(.., vars)| vars) {
            let same = self.same_occasion(*var, &truths);
            shown = self.both(shown, same);
        }
        let contrary = engine.literal(&self.terms.circuit, !shown);
        let smaller = self.implying(engine, contrary, changed)?;
        Some((model, smaller))
    }

    /// A run with the inputs of the case in which all else is usual. The readings of the case are taken in it too.
    pub(super) fn plain(
        &mut self,
        engine: &mut Engine,
        wanted: Formula,
        cube: &Fixing,
        model: &Model,
    ) -> Option<Arc<Model>> {
        let mut assumed: Vec<Lit> = cube.iter().map(|(lit, ..)| *lit).collect();
        assumed.push(engine.literal(&self.terms.circuit, wanted));
        let vars: Vec<VarId> = cube.iter().flat_map(|(.., vars)| vars).copied().collect();
        for var in vars {
            let value = self.terms.inputs.value(var, |atom| model.bit(atom));
            let variable = self.terms.inputs.variable(var)?;
            let (is, taken) = (variable.is.get(value).copied()?, variable.taken);
            assumed.push(engine.literal(&self.terms.circuit, is));
            if let Some(guard) = taken.and_then(|event| self.event(event)).map(|event| event.guard) {
                assumed.push(engine.literal(&self.terms.circuit, guard));
            }
        }
        match self.solve(engine, &assumed) {
            Solved::Run(model) => Some(self.witnesses.add(&self.terms.circuit, model)),
            _ => None,
        }
    }
}
