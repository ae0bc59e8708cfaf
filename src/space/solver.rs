//! Questions to the SAT solver: whether a run exists in which formulas hold.
//!
//! Nodes of the circuit become variables of the solver as they are needed (Tseitin: three clauses a node). Only inputs
//! are guessed; all else follows. A model counts only when concrete numbers exist for it; where they do not, the clash
//! becomes a clause and the solver goes on. Effort is bounded by conflicts, so that the answer is the same on every
//! machine.
//!
//! A solver lives for a few questions only. It has to assign all that it knows each time that it finds a run, so one
//! that knew the whole procedure would be slow to answer about a corner of it.

use std::collections::BTreeMap;

use batsat::{Callbacks, ClauseKind, Lit, Solver, SolverInterface, SolverOpts, Var, lbool};

use super::fewest::fewest;
use super::formula::{Circuit, Formula, Node};
use super::inputs::{Atom, Inputs, Settled, VarId};
use super::numbers::settle;
use super::witness::Model;
use crate::quantity::Exact;

/// How hard a question may be before it is given up as not decided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Conflicts of the solver, a question.
    pub conflicts: u64,
    /// Conflicts of the solver, all questions together.
    pub all_conflicts: u64,
    /// Choices that turned out to have no numbers, a question.
    pub clashes: u32,
}

impl Default for Effort {
    /// Some hundred times what a procedure of 2,000 steps was seen to need.
    fn default() -> Self {
        Effort { conflicts: 20_000, all_conflicts: 1_000_000, clashes: 2_000 }
    }
}

/// What the solver answers.
#[derive(Debug)]
pub(super) enum Solved {
    /// In this run all hold.
    Run(Model),
    /// Never do these hold together: a subset of what was assumed.
    Never(Vec<Lit>),
    /// Given up.
    Undecided,
}

/// Counts conflicts and stops at a bound.
struct Budget {
    conflicts: u64,
    most: u64,
}

impl Callbacks for Budget {
    fn on_new_clause(&mut self, _: &[Lit], kind: ClauseKind) {
        self.conflicts += u64::from(matches!(kind, ClauseKind::Learnt));
    }

    fn stop(&self) -> bool {
        self.conflicts >= self.most
    }
}

/// A solver and which part of the circuit it knows.
pub(super) struct Engine {
    sat: Solver<Budget>,
    /// The solver's variable of each node, plus one; 0 where it has none.
    variables: Vec<u32>,
    /// The atoms that it knows, each with its variable.
    atoms: Vec<(u32, Lit)>,
    effort: Effort,
    held: Vec<Held>,
    /// Room for a clause: the solver takes it from here.
    clause: Vec<Lit>,
}

/// A number at which a variable is held wherever the literal holds.
#[derive(Debug, Clone, Copy)]
struct Held {
    var: VarId,
    value: Exact,
    lit: Lit,
}

impl std::fmt::Debug for Engine {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Engine({} variables)", self.sat.num_vars())
    }
}

impl Engine {
    /// A solver that knows nothing.
    pub fn new(effort: Effort) -> Engine {
        let budget = Budget { conflicts: 0, most: effort.conflicts };
        let sat = Solver::new(SolverOpts::default(), budget);
        Engine { sat, variables: Vec::new(), atoms: Vec::new(), effort, held: Vec::new(), clause: Vec::new() }
    }

    /// Conflicts so far.
    pub fn conflicts(&self) -> u64 {
        self.sat.cb().conflicts
    }

    /// How much it knows.
    pub fn size(&self) -> usize {
        self.sat.num_vars() as usize
    }

    /// The solver's literal of a formula.
    pub fn literal(&mut self, circuit: &Circuit, formula: Formula) -> Lit {
        if self.variables.is_empty() {
            self.variables = vec![0; circuit.len()];
        } else if self.variables.len() < circuit.len() {
            self.variables.resize(circuit.len(), 0);
        }
        if let Some(lit) = self.sensed(formula) {
            return lit;
        }
        let mut open = vec![formula.node()];
        while let Some(at) = open.last().copied() {
            if self.known(at).is_some() {
                open.pop();
                continue;
            }
            let made = match circuit.node(at) {
                Node::Constant => {
                    let lit = self.variable(lbool::FALSE, false);
                    self.clause([!lit]);
                    lit
                }
                Node::Atom(atom) => {
                    let lit = self.variable(lbool::TRUE, true);
                    self.atoms.push((atom, lit));
                    lit
                }
                Node::Both(a, b) => {
                    let (Some(x), Some(y)) = (self.sensed(a), self.sensed(b)) else {
                        open.extend([a, b].iter().filter(|f| self.known(f.node()).is_none()).map(|f| f.node()));
                        continue;
                    };
                    let lit = self.variable(lbool::UNDEF, false);
                    self.clause([!lit, x]);
                    self.clause([!lit, y]);
                    self.clause([lit, !x, !y]);
                    lit
                }
            };
            if let Some(slot) = self.variables.get_mut(at) {
                *slot = made.var().idx() + 1;
            }
            open.pop();
        }
        self.sensed(formula).unwrap_or(Lit::UNDEF)
    }

    fn known(&self, node: usize) -> Option<Lit> {
        let variable = self.variables.get(node).copied()?.checked_sub(1)?;
        Some(Lit::new(Var::unsafe_from_idx(variable), true))
    }

    /// The literal of a formula whose node is known.
    fn sensed(&self, formula: Formula) -> Option<Lit> {
        let lit = self.known(formula.node())?;
        Some(if formula.is_contrary() { !lit } else { lit })
    }

    fn variable(&mut self, preferred: lbool, guessed: bool) -> Lit {
        Lit::new(self.sat.new_var(preferred, guessed), true)
    }

    /// A variable of its own that follows from clauses, for counters.
    pub fn counter_variable(&mut self) -> Lit {
        self.variable(lbool::FALSE, false)
    }

    /// Adds a clause.
    pub fn clause(&mut self, lits: impl IntoIterator<Item = Lit>) {
        self.clause.clear();
        self.clause.extend(lits);
        self.sat.add_clause_reuse(&mut self.clause);
    }

    /// A literal of its own under which a variable has a number, which lies in this cell of it.
    pub fn hold_at(&mut self, circuit: &Circuit, var: VarId, value: Exact, cell: Formula) -> Lit {
        let is = self.literal(circuit, cell);
        let lit = self.counter_variable();
        self.clause([!lit, is]);
        self.held.push(Held { var, value, lit });
        lit
    }

    /// From now on the formula holds.
    pub fn require(&mut self, circuit: &Circuit, formula: Formula) {
        let lit = self.literal(circuit, formula);
        self.clause([lit]);
    }

    /// Whether a run exists in which all assumed literals hold. What the solver does not know has its first value.
    pub fn solve(&mut self, circuit: &Circuit, inputs: &Inputs, assumed: &[Lit]) -> Solved {
        self.solve_and_fill(circuit, inputs, assumed, &|_| true)
    }

    /// The same, where `fill` gives the bits that the solver does not know.
    pub fn solve_and_fill(
        &mut self,
        circuit: &Circuit,
        inputs: &Inputs,
        assumed: &[Lit],
        fill: &dyn Fn(u32) -> bool,
    ) -> Solved {
        let so_far = self.sat.cb().conflicts;
        self.sat.cb_mut().most = so_far.saturating_add(self.effort.conflicts).min(self.effort.all_conflicts);
        for _ in 0..=self.effort.clashes {
            let answer = self.sat.solve_limited(assumed);
            if answer == lbool::FALSE {
                return Solved::Never(self.core(assumed));
            }
            if answer != lbool::TRUE {
                return Solved::Undecided;
            }
            let bits = self.bits(inputs);
            let bit = |atom: u32| bits.get(atom as usize).copied().flatten();
            let cell = |var: VarId| inputs.value(var, |atom| bit(atom).unwrap_or_else(|| fill(atom)));
            let wanted = |formula: Formula| circuit.as_atom(formula).and_then(|(atom, _)| bit(atom));
            let held: BTreeMap<VarId, Exact> = self.held_now().map(|one| (one.var, one.value)).collect();
            match settle(inputs, cell, wanted, &held) {
                Settled::Numbers(numbers) => return Solved::Run(Model::new(inputs, &bits, fill, numbers)),
                Settled::Unknown => return Solved::Undecided,
                Settled::Clash(formulas, numbers) => {
                    let held = self.held_now().filter(|one| numbers.contains(&one.var));
                    let mut lits: Vec<Lit> = held.map(|one| !one.lit).collect();
                    lits.extend(formulas.iter().map(|formula| !self.literal(circuit, *formula)));
                    self.clause(lits);
                }
            }
        }
        Solved::Undecided
    }

    /// The numbers at which variables are held in the run that was found.
    fn held_now(&self) -> impl Iterator<Item = &Held> {
        self.held.iter().filter(|one| self.sat.value_lit(one.lit) == lbool::TRUE)
    }

    /// The value of each atom that the solver knows.
    fn bits(&self, inputs: &Inputs) -> Vec<Option<bool>> {
        let mut bits = vec![None; inputs.atoms.len()];
        for (atom, lit) in &self.atoms {
            if let Some(slot) = bits.get_mut(*atom as usize) {
                let value = self.sat.value_lit(*lit);
                *slot = (value != lbool::UNDEF).then_some(value == lbool::TRUE);
            }
        }
        bits
    }

    /// The assumptions behind a contradiction. The solver gives them negated; both senses are understood.
    fn core(&self, assumed: &[Lit]) -> Vec<Lit> {
        let core = self.sat.unsat_core();
        let mut places: BTreeMap<Lit, usize> = BTreeMap::new();
        for (at, lit) in assumed.iter().enumerate() {
            places.entry(*lit).or_insert(at);
        }
        let mut found: BTreeMap<usize, Lit> = BTreeMap::new();
        for lit in core {
            found.extend([!*lit, *lit].into_iter().find_map(|lit| Some((*places.get(&lit)?, lit))));
        }
        found.into_values().collect()
    }

    /// Leaves out assumptions, the last first, as long as the rest still contradicts; at most `tries` are tried.
    /// `None` where the literals do not contradict at all within the effort.
    pub fn smallest_core(
        &mut self,
        circuit: &Circuit,
        inputs: &Inputs,
        assumed: &[Lit],
        tries: usize,
    ) -> Result<Vec<Lit>, Solved> {
        let core = match self.solve(circuit, inputs, assumed) {
            Solved::Never(core) => core,
            other => return Err(other),
        };
        Ok(fewest(
            core,
            tries,
            |lit| *lit,
            |_| false,
            |rest| match self.solve(circuit, inputs, &rest) {
                Solved::Never(smaller) => Some(smaller),
                Solved::Run(_) | Solved::Undecided => None,
            },
        ))
    }
}

/// Whether an atom is a comparison of which nothing is known.
pub(super) fn is_unknown(inputs: &Inputs, atom: u32) -> bool {
    let Some(Atom::Compares(at)) = inputs.atoms.get(atom as usize) else { return false };
    matches!(inputs.comparisons.get(*at), Some((super::inputs::Comparison::Unknown, _)))
}
