//! What a case tells of each input, and how little of it is enough: values on occasions, as a person replays them.
//!
//! A run *fits* what is told where the input has the value on that occasion, if the run takes it on that occasion at all.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::sync::Arc;

use batsat::Lit;
use num_traits::{CheckedAdd, CheckedMul, CheckedSub, Signed};

use super::Space;
use super::cells::{Cell, Domain};
use super::enough::{Fixing, TRIES};
use super::fewest::fewest;
use super::formula::Formula;
use super::inputs::{Comparison, VarId};
use super::lacking::Part;
use super::linear::AtMost;
use super::numbers::as_at_most;
use super::plain::{Room, digits, plainest};
use super::solver::{Engine, Solved};
use super::witness::{Model, Truths};
use crate::quantity::Exact;

/// One thing that a case tells.
#[derive(Debug, Clone)]
pub(super) struct Told {
    /// Under which runs fit it.
    pub lit: Lit,
    /// The same, where a formula can say it.
    pub formula: Option<Formula>,
    /// The same of its value, or of the cell in which its number lies.
    pub roughly: Formula,
    /// Of which variable; nothing for a guess.
    pub var: Option<VarId>,
}

/// Readings of one input times occasions beyond which occasions are not counted.
const MOST_OCCASIONS: usize = 2_000;
/// How many numbers with fewer digits are asked about in the place of one.
const MOST_SHORTER: usize = 24;
/// How many digits those have that are tried within a cell, where a comparison ties the number to others.
const SHORT: u32 = 2;
/// Powers of ten of the unit at which they are.
const POWERS: std::ops::RangeInclusive<i32> = -3..=3;

impl Space<'_> {
    /// What a case tells where these inputs are fixed; a number that `numbers` does not give is told by its cell.
    pub(super) fn told_of(
        &mut self,
        engine: &mut Engine,
        cube: &Fixing,
        model: &Model,
        numbers: &BTreeMap<VarId, Exact>,
    ) -> Option<Vec<Told>> {
        let truths = self.happens(model);
        let mut vars: Vec<VarId> = cube.iter().flat_map(|(.., vars)| vars).copied().collect();
        vars.sort_unstable();
        vars.dedup();
        // What this run does not take says nothing. On its occasion the run may take the input at another place, and that would be
        // told twice, once by a reading that nobody takes.
        vars.retain(|var| self.is_taken(*var, &truths));
        let mut told = Vec::with_capacity(cube.len());
        for var in vars {
            let value = self.terms.inputs.value(var, |atom| model.bit(atom));
            told.push(match numbers.get(&var) {
                Some(number) => self.told_number(engine, var, &truths, *number)?,
                None => self.told_value(engine, var, &truths, value)?,
            });
        }
        let guesses = cube.iter().filter(|(.., vars)| vars.is_empty());
        told.extend(guesses.map(|(lit, formula, _)| Told {
            lit: *lit,
            formula: Some(*formula),
            roughly: *formula,
            var: None,
        }));
        Some(told)
    }

    /// Whether a run takes a variable in.
    fn is_taken(&self, var: VarId, truths: &Truths) -> bool {
        let taken = self.terms.inputs.variable(var).and_then(|variable| variable.taken);
        taken.is_none_or(|event| self.event(event).is_some_and(|event| truths.holds(event.guard)))
    }

    fn told_value(&mut self, engine: &mut Engine, var: VarId, truths: &Truths, value: usize) -> Option<Told> {
        let mut parts = Vec::new();
        for (other, here) in self.on_occasion(var, truths)? {
            let is = *self.terms.inputs.variable(other)?.is.get(value)?;
            parts.push(self.terms.circuit.either(!here, is));
        }
        let formula = self.all(parts);
        let lit = engine.literal(&self.terms.circuit, formula);
        Some(Told { lit, formula: Some(formula), roughly: formula, var: Some(var) })
    }

    fn told_number(&mut self, engine: &mut Engine, var: VarId, truths: &Truths, number: Exact) -> Option<Told> {
        let lit = engine.counter_variable();
        let mut roughly = Vec::new();
        // All readings of an input have the same cells.
        let at = self.terms.inputs.cells_of_variable(var)?.at(number)?;
        for (other, here) in self.on_occasion(var, truths)? {
            let cell = *self.terms.inputs.variable(other)?.is.get(at)?;
            let held = engine.hold_at(&self.terms.circuit, other, number, cell);
            roughly.push(self.terms.circuit.either(!here, cell));
            let here = engine.literal(&self.terms.circuit, here);
            engine.clause([!lit, !here, held]);
        }
        let roughly = self.all(roughly);
        Some(Told { lit, formula: None, roughly, var: Some(var) })
    }

    /// Every variable that can be the one which is taken on the occasion on which this one is in the run, each with the
    /// runs in which it is. `None` where there are too many.
    fn on_occasion(&mut self, var: VarId, truths: &Truths) -> Option<Vec<(VarId, Formula)>> {
        let input = self.terms.inputs.variable(var)?.input;
        let of_input = self.terms.inputs.all_of(input);
        if of_input.len() == 1 {
            return Some(vec![(var, Formula::ALWAYS)]);
        }
        let mut taken = Vec::with_capacity(of_input.len());
        for other in of_input {
            let event = self.terms.inputs.variable(*other)?.taken.and_then(|event| self.event(event));
            taken.push((*other, event.map_or(Formula::ALWAYS, |event| event.guard)));
        }
        let before = taken.iter().filter(|(other, guard)| *other < var && truths.holds(*guard)).count();
        if taken.len() * (before + 1) > MOST_OCCASIONS {
            return None;
        }
        // `so_far[n]`: exactly n were taken.
        let mut so_far = vec![Formula::NEVER; before + 1];
        if let Some(none) = so_far.first_mut() {
            *none = Formula::ALWAYS;
        }
        let mut found = Vec::new();
        for (other, guard) in taken {
            let last = so_far.get(before).copied().unwrap_or(Formula::NEVER);
            let here = self.terms.circuit.both(guard, last);
            if here != Formula::NEVER {
                found.push((other, here));
            }
            for n in (0..=before).rev() {
                let one_less = n.checked_sub(1).and_then(|n| so_far.get(n)).copied().unwrap_or(Formula::NEVER);
                if let Some(slot) = so_far.get_mut(n) {
                    *slot = self.terms.circuit.choose(guard, one_less, *slot);
                }
            }
        }
        Some(found)
    }

    /// Leaves out what the fault shows without. `None` where all together are not enough, as far as can be decided.
    pub(super) fn needed(
        &mut self,
        engine: &mut Engine,
        fault: Formula,
        told: Vec<Told>,
        model: &Model,
    ) -> Option<Vec<Told>> {
        let contrary = engine.literal(&self.terms.circuit, !fault);
        let enough = self.telling(engine, contrary, told)?;
        let needed = self.needed_of_told(fault, &enough, model);
        Some(fewest(
            enough,
            TRIES,
            |one| one.lit,
            |one| needed.contains(&one.lit),
            |rest| {
                // A run that is known already may show that what was left out is needed.
                let formulas: Option<Vec<Formula>> = rest.iter().map(|one| one.formula).collect();
                if let Some(formulas) = formulas {
                    let without: Vec<Formula> = formulas.into_iter().chain([!fault]).collect();
                    if self.witnesses.have(&self.terms.circuit, &without) {
                        return None;
                    }
                }
                self.telling(engine, contrary, rest)
            },
        ))
    }

    /// Those of what is told that are seen at once to be needed. Of numbers the cell is looked at, which is all that matters
    /// where no comparison ties them to others.
    fn needed_of_told(&self, fault: Formula, told: &[Told], model: &Model) -> BTreeSet<Lit> {
        if told.iter().any(|one| one.formula.is_none() && one.var.is_some_and(|var| self.is_tied(var))) {
            return BTreeSet::new();
        }
        let parts: Vec<Part> = told.iter().map(|one| Part { var: one.var, keeps: one.roughly }).collect();
        let needed = self.lacking(fault, &parts, model);
        told.iter().zip(needed).filter(|(_, needed)| *needed).map(|(one, _)| one.lit).collect()
    }

    fn telling(&mut self, engine: &mut Engine, contrary: Lit, told: Vec<Told>) -> Option<Vec<Told>> {
        self.telling_or_run(engine, contrary, told).ok()
    }

    /// The same; where they are not enough, a run that shows it, if one was found.
    fn telling_or_run(
        &mut self,
        engine: &mut Engine,
        contrary: Lit,
        told: Vec<Told>,
    ) -> Result<Vec<Told>, Option<Model>> {
        let assumed: Vec<Lit> = std::iter::once(contrary).chain(told.iter().map(|one| one.lit)).collect();
        match self.solve(engine, &assumed) {
            Solved::Never(core) => {
                let core: BTreeSet<Lit> = core.into_iter().collect();
                Ok(told.into_iter().filter(|one| core.contains(&one.lit)).collect())
            }
            Solved::Run(model) => Err(Some(model)),
            Solved::Undecided => Err(None),
        }
    }

    /// A run that fits what is told, in which the readings among it are taken on the same occasions as in another.
    pub(super) fn fitting(
        &mut self,
        engine: &mut Engine,
        wanted: Formula,
        told: &[Told],
        model: &Model,
    ) -> Option<Arc<Model>> {
        let truths = self.happens(model);
        let mut shown = wanted;
        for var in told.iter().filter_map(|one| one.var) {
            let same = self.same_occasion(var, &truths);
            shown = self.both(shown, same);
        }
        let mut assumed: Vec<Lit> = told.iter().map(|one| one.lit).collect();
        assumed.push(engine.literal(&self.terms.circuit, shown));
        match self.solve(engine, &assumed) {
            Solved::Run(model) => Some(self.witnesses.add(&self.terms.circuit, model)),
            _ => None,
        }
    }

    /// A run that fits what is told, in which each reading among it is taken on its occasion, at another place if need be; and the same
    /// told of the places of that run.
    fn fitting_elsewhere(
        &mut self,
        engine: &mut Engine,
        wanted: Formula,
        told: &[Told],
        truths: &Truths,
    ) -> Option<(Vec<Told>, Arc<Model>)> {
        let mut shown = wanted;
        let mut elsewhere = false;
        for var in told.iter().filter_map(|one| one.var) {
            let here: Vec<Formula> = self.on_occasion(var, truths)?.into_iter().map(|(_, here)| here).collect();
            elsewhere |= here.len() > 1;
            let taken = self.any(here);
            shown = self.both(shown, taken);
        }
        if !elsewhere || shown == Formula::NEVER {
            return None;
        }
        let mut assumed: Vec<Lit> = told.iter().map(|one| one.lit).collect();
        assumed.push(engine.literal(&self.terms.circuit, shown));
        let Solved::Run(run) = self.solve(engine, &assumed) else { return None };
        let mut there = told.to_vec();
        for one in &mut there {
            if let Some(var) = one.var {
                one.var = Some(self.taken_there(var, truths, &run)?.into_iter().next()?);
            }
        }
        Some((there, self.witnesses.add(&self.terms.circuit, run)))
    }

    /// Numbers for what is fixed, with few digits: any that keep to the cells and comparisons by which it is.
    pub(super) fn plain_numbers(&self, cube: &Fixing, model: &Model) -> BTreeMap<VarId, Exact> {
        let mut numbers: BTreeMap<VarId, Exact> = BTreeMap::new();
        for var in cube.iter().flat_map(|(.., vars)| vars) {
            let number = model.number(&self.terms.inputs, *var);
            numbers.extend(number.map(|number| (*var, number)));
        }
        let inputs = &self.terms.inputs;
        let mut tied: Vec<(&Comparison, bool)> = Vec::new();
        for (_, formula, _) in cube {
            let said = inputs.comparisons.iter().find(|(_, of)| of == formula || !*of == *formula);
            tied.extend(said.map(|(comparison, of)| (comparison, of == formula)));
        }
        let tied_vars: Vec<VarId> = tied.iter().flat_map(|(comparison, _)| comparison.variables()).collect();
        for (_, formula, vars) in cube {
            if let [var] = vars.as_slice()
                && !tied_vars.contains(var)
                && let (Some(cells), Some(variable)) = (inputs.cells_of_variable(*var), inputs.variable(*var))
                && let Some(cell) = variable.is.iter().position(|is| is == formula)
            {
                numbers.insert(*var, cells.usual(cell));
            }
        }
        if let Some(found) = self.plain_tied(cube, &tied, tied_vars) {
            numbers.extend(found);
        }
        numbers
    }

    fn plain_tied(
        &self,
        cube: &Fixing,
        tied: &[(&Comparison, bool)],
        mut vars: Vec<VarId>,
    ) -> Option<Vec<(VarId, Exact)>> {
        let inputs = &self.terms.inputs;
        vars.sort_unstable();
        vars.dedup();
        let mut comparisons: Vec<AtMost> = Vec::new();
        for (comparison, holds) in tied {
            let Comparison::Linear { terms, bound, strict } = comparison else { return None };
            comparisons.push(as_at_most(terms, *bound, *strict, *holds, &vars));
        }
        let one = Exact::from_integer(1);
        let mut rooms = Vec::with_capacity(vars.len());
        for (local, var) in vars.iter().enumerate() {
            let (cells, variable) = (inputs.cells_of_variable(*var)?, inputs.variable(*var)?);
            let own = |formula: &Formula| variable.is.iter().position(|is| is == formula);
            let of_cube = cube.iter().filter(|(.., vars)| vars.as_slice() == [*var]);
            let cell = of_cube.filter_map(|(_, formula, _)| own(formula)).find_map(|at| cells.cells.get(at)).copied();
            let domain = &cells.domain;
            let whole = Cell { low: domain.low, low_included: true, high: domain.high, high_included: true };
            let cell = cell.unwrap_or(whole);
            comparisons.push(AtMost { terms: vec![(local, -one)], bound: -cell.low, strict: !cell.low_included });
            comparisons.push(AtMost { terms: vec![(local, one)], bound: cell.high, strict: !cell.high_included });
            rooms.push(Room { cell, grid: domain.grid, unit: domain.unit });
        }
        let values = plainest(&comparisons, &rooms).filter(|_| !rooms.is_empty())?;
        Some(vars.into_iter().zip(values).collect())
    }

    /// Takes a number of another cell in the place of one with more digits, where the fault shows with it too. Whether it
    /// took one.
    pub(super) fn with_shorter_numbers(
        &mut self,
        engine: &mut Engine,
        (fault, wanted): (Formula, Formula),
        told: &mut Vec<Told>,
        model: &mut Arc<Model>,
    ) -> bool {
        let mut changed = false;
        // With one number another, one before it can be shorter too.
        while self.one_shorter(engine, (fault, wanted), told, model) {
            changed = true;
        }
        changed
    }

    fn one_shorter(
        &mut self,
        engine: &mut Engine,
        (fault, wanted): (Formula, Formula),
        told: &mut Vec<Told>,
        model: &mut Arc<Model>,
    ) -> bool {
        let contrary = engine.literal(&self.terms.circuit, !fault);
        for at in 0..told.len() {
            let Some(var) = told.get(at).and_then(|one| one.var) else { continue };
            let mut open: VecDeque<Exact> = self.shorter(var, model).into();
            for _ in 0..MOST_SHORTER {
                let Some(number) = open.pop_front() else { break };
                let truths = self.happens(model);
                let Some(other) = self.told_number(engine, var, &truths, number) else { continue };
                let mut tried = told.clone();
                if let Some(slot) = tried.get_mut(at) {
                    *slot = other;
                }
                let fewer = match self.telling_or_run(engine, contrary, tried.clone()) {
                    Ok(fewer) => fewer,
                    Err(without) => {
                        // What the run shows of this number, it shows of others as well.
                        if let Some(run) = without
                            && let Some(vars) = self.taken_there(var, &truths, &run)
                        {
                            open.retain(|number| !self.is_same_with(&run, &vars, *number));
                        }
                        continue;
                    }
                };
                let found = self.fitting(engine, wanted, &tried, model);
                let found = found.map(|found| (tried.clone(), found));
                if let Some((told_so, found)) =
                    found.or_else(|| self.fitting_elsewhere(engine, wanted, &tried, &truths))
                {
                    (*told, *model) = (told_so, found);
                    return true;
                }
                // With this number a reading among the others may not be taken any more, and plays no part.
                let fewer = self.needed(engine, fault, fewer, model).filter(|fewer| fewer.len() < told.len());
                let found = fewer.and_then(|fewer| Some((self.fitting(engine, wanted, &fewer, model)?, fewer)));
                if let Some((found, fewer)) = found {
                    (*told, *model) = (fewer, found);
                    return true;
                }
            }
        }
        false
    }

    /// The variables that are taken in a run on the occasion on which this one is in another.
    fn taken_there(&mut self, var: VarId, truths: &Truths, run: &Model) -> Option<Vec<VarId>> {
        let all = self.on_occasion(var, truths)?;
        let there = self.truths(run);
        Some(all.into_iter().filter(|(_, here)| there.holds(*here)).map(|(other, _)| other).collect())
    }

    /// Whether a run stays what it is where these variables are another number: nothing that is asked of them comes out otherwise.
    fn is_same_with(&self, run: &Model, vars: &[VarId], number: Exact) -> bool {
        let inputs = &self.terms.inputs;
        let now = |var: VarId| run.number(inputs, var);
        let then = |var: VarId| if vars.contains(&var) { Some(number) } else { now(var) };
        let in_cell = |var: &VarId| {
            let cells = inputs.cells_of_variable(*var).zip(now(*var));
            cells.is_some_and(|(of, now)| of.cells.iter().any(|cell| cell.contains(now) && cell.contains(number)))
        };
        let mut tied = inputs.comparisons.iter().map(|(comparison, _)| comparison);
        vars.iter().all(in_cell)
            && tied.all(|comparison| {
                let concerned = comparison.variables().iter().any(|var| vars.contains(var));
                !concerned || comparison.holds(now).is_some_and(|holds| comparison.holds(then) == Some(holds))
            })
    }

    /// Numbers with fewer digits than what a variable is in a run, the shortest first, of those the nearest: the usual ones of
    /// other cells, and where a comparison ties it to others, short ones of any cell.
    fn shorter(&self, var: VarId, model: &Model) -> Vec<Exact> {
        let Some(cells) = self.terms.inputs.cells_of_variable(var) else { return Vec::new() };
        let Some(now) = model.number(&self.terms.inputs, var) else { return Vec::new() };
        let domain = &cells.domain;
        let most = digits(now, domain.unit);
        // No number has fewer than one.
        if most <= 1 {
            return Vec::new();
        }
        let mut numbers: Vec<Exact> = (0..cells.cells.len()).map(|cell| cells.usual(cell)).collect();
        // What is told of an occasion holds whichever reading of the text is taken on it.
        let inputs = &self.terms.inputs;
        let of = |var: &VarId| inputs.variable(*var).map(|variable| variable.input);
        let mut tied = inputs.comparisons.iter().flat_map(|(comparison, _)| comparison.variables());
        if tied.any(|other| of(&other) == of(&var)) {
            numbers.extend(short_numbers(domain, most.saturating_sub(1).min(SHORT)));
        }
        let away = |number: Exact| number.checked_sub(&now).map(|away| away.abs());
        let mut found: Vec<(u32, Option<Exact>, Exact)> =
            numbers.into_iter().map(|number| (digits(number, domain.unit), away(number), number)).collect();
        found.retain(|(digits, ..)| *digits < most);
        found.sort_unstable();
        found.dedup();
        found.into_iter().map(|(.., number)| number).collect()
    }
}

/// What can be read of so many digits in the unit of a domain. Nobody chooses nought.
fn short_numbers(domain: &Domain, most: u32) -> Vec<Exact> {
    let end = 10_i128.pow(most);
    let mut found = Vec::new();
    for power in POWERS {
        let size = Exact::from_integer(10).pow(power) * domain.unit.factor();
        for times in (1 - end..end).filter(|times| *times != 0 && times % 10 != 0) {
            let number =
                Exact::from_integer(times).checked_mul(&size).and_then(|n| n.checked_add(&domain.unit.offset()));
            let fits = |n: &Exact| *n >= domain.low && *n <= domain.high && domain.grid.is_none_or(|grid| grid.has(*n));
            found.extend(number.filter(fits));
        }
    }
    found
}
