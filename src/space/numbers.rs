//! Concrete numbers for what a solver chose: a cell for each number and a sense for each comparison.
//!
//! Numbers that no comparison ties together are taken one by one. Those that are tied are worked out together and
//! exactly. Where none exist, the *clash* is a small set of formulas that cannot hold together, whatever else is so.

use std::collections::BTreeMap;

use super::cells::Cell;
use super::differences::{self, Decided};
use super::formula::Formula;
use super::inputs::{Comparison, Inputs, Settled, Tied, VarId, decided, range_of};
use super::linear::{AtMost, Outcome, Read};
use super::satisfy::satisfy;
use crate::model::{CompareOp, Expr, NumberId};
use crate::quantity::Exact;

/// A comparison of the model and whether it is to hold.
type Wanted<'a> = (&'a Comparison, Formula, bool);

/// The most combinations of sample numbers that are tried for comparisons that are not linear.
const MOST_SAMPLES: usize = 1_000;

/// The most groups whose numbers are remembered in one space.
const MOST_REMEMBERED: usize = 10_000;

/// Numbers for the cells, such that the comparisons come out as `wanted` (`None`: of no importance) and that variables
/// which are `held` at a number of their cell have it. Given are those that need not be the usual ones of their cells.
pub(super) fn settle(
    inputs: &Inputs,
    cell_of: impl Fn(VarId) -> usize,
    wanted: impl Fn(Formula) -> Option<bool>,
    held: &BTreeMap<VarId, Exact>,
) -> Settled {
    let mut numbers = held.clone();
    for group in groups(inputs, &wanted) {
        match remembered(inputs, &group, &cell_of, held) {
            Settled::Numbers(found) => numbers.extend(found),
            other => return other,
        }
    }
    Settled::Numbers(numbers.into_iter().collect())
}

/// The comparisons that matter, in groups that share no number.
fn groups<'a>(inputs: &'a Inputs, wanted: &impl Fn(Formula) -> Option<bool>) -> Vec<Vec<Wanted<'a>>> {
    let mut groups: Vec<(Vec<VarId>, Vec<Wanted<'a>>)> = Vec::new();
    for (comparison, formula) in &inputs.comparisons {
        let Some(holds) = wanted(*formula) else { continue };
        let mut variables = comparison.variables();
        if variables.is_empty() {
            continue;
        }
        let mut members = vec![(comparison, *formula, holds)];
        let (touched, apart): (Vec<_>, Vec<_>) =
            groups.into_iter().partition(|(vars, _)| vars.iter().any(|var| variables.contains(var)));
        groups = apart;
        for (vars, group) in touched {
            variables.extend(vars);
            members.extend(group);
        }
        groups.push((variables, members));
    }
    groups.into_iter().map(|(_, members)| members).collect()
}

fn variables_of(group: &[Wanted<'_>]) -> Vec<VarId> {
    let mut variables: Vec<VarId> = group.iter().flat_map(|(comparison, ..)| comparison.variables()).collect();
    variables.sort_unstable();
    variables.dedup();
    variables
}

/// A linear comparison, and what says it.
type Said = (AtMost, By);

/// What says a comparison.
#[derive(Debug, Clone, Copy, PartialEq)]
enum By {
    /// The range of a number.
    Range,
    /// A formula.
    Formula(Formula),
    /// That a variable is held at a number.
    Held(VarId),
}

/// What comes of a group, worked out once for the same senses and cells.
fn remembered(
    inputs: &Inputs,
    group: &[Wanted<'_>],
    cell_of: &impl Fn(VarId) -> usize,
    held: &BTreeMap<VarId, Exact>,
) -> Settled {
    let numbers = variables_of(group).into_iter().map(|var| (cell_of(var), held.get(&var).copied()));
    let asked = Tied {
        senses: group.iter().map(|(_, formula, holds)| (*formula, *holds)).collect(),
        numbers: numbers.collect(),
    };
    if let Some(known) = inputs.settled.borrow().get(&asked) {
        return known.clone();
    }
    let found = settle_group(inputs, group, cell_of, held);
    let mut settled = inputs.settled.borrow_mut();
    if settled.len() < MOST_REMEMBERED {
        settled.insert(asked, found.clone());
    }
    found
}

fn settle_group(
    inputs: &Inputs,
    group: &[Wanted<'_>],
    cell_of: &impl Fn(VarId) -> usize,
    held: &BTreeMap<VarId, Exact>,
) -> Settled {
    let variables = variables_of(group);
    let mut cells: BTreeMap<VarId, Cell> = BTreeMap::new();
    let mut reads = Vec::with_capacity(variables.len());
    let mut said: Vec<Said> = Vec::new();
    for (local, var) in variables.iter().enumerate() {
        let (Some(of_number), Some(variable)) = (inputs.cells_of_variable(*var), inputs.variable(*var)) else {
            return Settled::Unknown;
        };
        let at = cell_of(*var);
        let Some(cell) = of_number.cells.get(at) else { return Settled::Unknown };
        let domain = &of_number.domain;
        let one = Exact::from_integer(1);
        if let Some(value) = held.get(var).copied() {
            cells.insert(*var, Cell { low: value, low_included: true, high: value, high_included: true });
            reads.push(Read { grid: domain.grid, unit: domain.unit, usual: value });
            let low = AtMost { terms: vec![(local, -one)], bound: -value, strict: false };
            let high = AtMost { terms: vec![(local, one)], bound: value, strict: false };
            said.extend([(low, By::Held(*var)), (high, By::Held(*var))]);
            continue;
        }
        cells.insert(*var, *cell);
        reads.push(Read { grid: domain.grid, unit: domain.unit, usual: of_number.usual(at) });
        let low = AtMost { terms: vec![(local, -one)], bound: -cell.low, strict: !cell.low_included };
        let high = AtMost { terms: vec![(local, one)], bound: cell.high, strict: !cell.high_included };
        let from = variable.at_least.get(at).copied().filter(|_| at > 0);
        let before = variable.at_least.get(at + 1).map(|beyond| !*beyond);
        let by = |formula: Option<Formula>| formula.map_or(By::Range, By::Formula);
        said.extend([(low, by(from)), (high, by(before))]);
    }
    for (comparison, formula, holds) in group {
        if let Comparison::Linear { terms, bound, strict } = comparison {
            let sense = if *holds { *formula } else { !*formula };
            said.push((as_at_most(terms, *bound, *strict, *holds, &variables), By::Formula(sense)));
        }
    }
    let comparisons: Vec<AtMost> = said.iter().map(|(comparison, _)| comparison.clone()).collect();
    if let Some(Decided::Nothing(cycle)) = differences::decide(&comparisons, &reads) {
        return clash(cycle.into_iter().filter_map(|at| said.get(at)).map(|(_, by)| *by));
    }
    match satisfy(&comparisons, &reads) {
        Outcome::Nothing => smallest_clash(said, &reads),
        Outcome::Unknown => Settled::Unknown,
        Outcome::Values(values) => settle_general(inputs, group, &variables, &cells, &comparisons, values, held),
    }
}

/// `terms <= bound` where it holds, else `-terms < -bound`.
pub(super) fn as_at_most(
    terms: &[(VarId, Exact)],
    bound: Exact,
    strict: bool,
    holds: bool,
    variables: &[VarId],
) -> AtMost {
    let local = |var: &VarId| variables.binary_search(var).unwrap_or(0);
    let sign = Exact::from_integer(if holds { 1 } else { -1 });
    let mut terms: Vec<(usize, Exact)> = terms.iter().map(|(var, factor)| (local(var), factor * sign)).collect();
    terms.sort_unstable();
    AtMost { terms, bound: bound * sign, strict: strict == holds }
}

/// Leaves out what is not needed for the contradiction.
fn smallest_clash(mut said: Vec<Said>, reads: &[Read]) -> Settled {
    let mut at = said.len();
    while at > 0 {
        at -= 1;
        if said.get(at).is_none_or(|(_, by)| *by == By::Range) {
            continue;
        }
        let dropped = said.remove(at);
        let comparisons: Vec<AtMost> = said.iter().map(|(comparison, _)| comparison.clone()).collect();
        if satisfy(&comparisons, reads) != Outcome::Nothing {
            said.insert(at, dropped);
        }
    }
    clash(said.into_iter().map(|(_, by)| by))
}

fn clash(said: impl Iterator<Item = By>) -> Settled {
    let (mut formulas, mut numbers) = (Vec::new(), Vec::new());
    for by in said {
        match by {
            By::Range => {}
            By::Formula(formula) => formulas.push(formula),
            By::Held(var) => numbers.push(var),
        }
    }
    numbers.dedup();
    Settled::Clash(formulas, numbers)
}

/// Looks whether numbers also give the comparisons that are not linear their sense, and tries others where not.
fn settle_general(
    inputs: &Inputs,
    group: &[Wanted<'_>],
    variables: &[VarId],
    cells: &BTreeMap<VarId, Cell>,
    linear: &[AtMost],
    values: Vec<Exact>,
    held: &BTreeMap<VarId, Exact>,
) -> Settled {
    let general: Vec<&Wanted<'_>> =
        group.iter().filter(|(comparison, ..)| matches!(comparison, Comparison::General { .. })).collect();
    let fits = |values: &[Exact]| {
        let number = |var: VarId| variables.binary_search(&var).ok().and_then(|at| values.get(at).copied());
        general.iter().all(|(comparison, _, holds)| comparison.holds(number) == Some(*holds))
    };
    let found = |values: Vec<Exact>| Settled::Numbers(variables.iter().copied().zip(values).collect());
    if fits(&values) {
        return found(values);
    }
    for (comparison, formula, holds) in &general {
        if over_cells(comparison, cells) == Some(!*holds) {
            let mut clash = vec![if *holds { *formula } else { !*formula }];
            let (at_numbers, free): (Vec<VarId>, Vec<VarId>) =
                comparison.variables().into_iter().partition(|var| held.contains_key(var));
            clash.extend(free.into_iter().flat_map(|var| in_cell(inputs, var, cells)));
            return Settled::Clash(clash, at_numbers);
        }
    }
    let samples: Vec<Vec<Exact>> = variables.iter().map(|var| samples(inputs, *var, cells)).collect();
    let combinations: usize = samples.iter().map(Vec::len).try_fold(1, usize::checked_mul).unwrap_or(usize::MAX);
    for n in 0..combinations.min(MOST_SAMPLES) {
        let mut rest = n;
        let values: Vec<Exact> = samples
            .iter()
            .filter_map(|of_one| {
                let value = of_one.get(rest % of_one.len().max(1)).copied();
                rest /= of_one.len().max(1);
                value
            })
            .collect();
        if linear.iter().all(|comparison| comparison.holds(&values) == Some(true)) && fits(&values) {
            return found(values);
        }
    }
    Settled::Unknown
}

/// What the cells alone say of a comparison.
fn over_cells(comparison: &Comparison, cells: &BTreeMap<VarId, Cell>) -> Option<bool> {
    let Comparison::General { left, op, right, numbers } = comparison else { return None };
    let range = |id: NumberId| {
        let (_, var) = numbers.iter().find(|(n, _)| *n == id)?;
        cells.get(var).map(|cell| (cell.low, cell.high))
    };
    decided_over(left, *op, right, &range)
}

fn decided_over(
    left: &Expr,
    op: CompareOp,
    right: &Expr,
    range: &impl Fn(NumberId) -> Option<(Exact, Exact)>,
) -> Option<bool> {
    let (left, right) = (range_of(left, range)?, range_of(right, range)?);
    if left.0 == left.1 && right.0 == right.1 {
        return Some(op.holds(left.0, right.0));
    }
    decided(left, op, right)
}

/// The formulas that keep a variable in its cell.
fn in_cell(inputs: &Inputs, var: VarId, cells: &BTreeMap<VarId, Cell>) -> Vec<Formula> {
    let at = cells.get(&var).and_then(|cell| inputs.cells_of_variable(var)?.cells.iter().position(|c| c == cell));
    let formula = at.and_then(|at| inputs.variable(var)?.is.get(at).copied());
    formula.into_iter().filter(|formula| *formula != Formula::ALWAYS).collect()
}

/// Numbers of a cell worth trying: the usual one, the ends, and readings in between.
fn samples(inputs: &Inputs, var: VarId, cells: &BTreeMap<VarId, Cell>) -> Vec<Exact> {
    let (Some(of_number), Some(cell)) = (inputs.cells_of_variable(var), cells.get(&var)) else { return Vec::new() };
    let width = cell.high - cell.low;
    let parts = [0, 1, 2, 3, 4, 5, 6, 7, 8].map(|n| cell.low + width * Exact::new(n, 8));
    let grid = of_number.domain.grid;
    let readable = parts.into_iter().filter_map(|value| grid.map_or(Some(value), |grid| grid.at_or_below(value)));
    let mut values: Vec<Exact> = readable.filter(|value| cell.contains(*value)).collect();
    values.dedup();
    values
}
