//! Cases: the few inputs that bring something about, and the run that shows it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use batsat::Lit;

use super::event::Effect;
use super::fewest::fewest;
use super::formula::Formula;
use super::ids::{EventId, Input};
use super::inputs::{Atom, VarId};
use super::solver::{Engine, Solved};
use super::witness::{Model, Truths};
use super::{Answer, Space};
use crate::model::{Id, StepId};
use crate::quantity::Exact;

/// What an input is in a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taken {
    /// The value of this number of the choice.
    Value(usize),
    /// A number, in the base unit of its kind.
    Number(Exact),
}

/// One input of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CaseInput {
    /// Which.
    pub input: Input,
    /// Which taking of the reading in this run, from 1. Options and givens have 1.
    pub occasion: u32,
    /// What it is.
    pub taken: Taken,
    /// The event that reads it; `None` for options and givens.
    pub read_at: Option<EventId>,
}

/// A step or check that a run passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Passed {
    /// Which.
    pub step: StepId,
    /// Where it begins.
    pub event: EventId,
}

/// The smallest set of inputs found that brings something about.
#[derive(Debug, Clone)]
pub struct Case {
    /// The inputs that matter, in the order in which they become known. With `proved`, every allowed run with these
    /// inputs shows it, and none of them can be left out.
    pub inputs: Vec<CaseInput>,
    /// The steps passed in `model`, in order, up to the event.
    pub steps: Vec<Passed>,
    /// Whether it was proved that these inputs suffice; otherwise the effort ran out and the case is that of one run.
    pub proved: bool,
    /// One complete run with these inputs, for replay.
    pub model: Arc<Model>,
}

/// What was found out.
#[derive(Debug, Clone)]
#[must_use]
pub enum CaseAnswer {
    /// It can happen, like this.
    Case(Box<Case>),
    /// It cannot.
    Impossible,
    /// Not decided within the effort.
    Undecided,
}

/// A complete run as data, to be replayed by hand or by another interpreter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Run {
    /// Every option and given, then every reading that the run takes, in the order in which it takes them.
    pub inputs: Vec<CaseInput>,
    /// Every step passed, to the end.
    pub steps: Vec<Passed>,
}

/// How many leavings-out and how many usual values are tried for one case.
const TRIES: usize = 40;
const MOST_USUAL: usize = 8;
/// Up to how many repairs of each check a run with fewer is looked for.
const MOST_REPAIRS: u32 = 1;

/// What fixes inputs: a literal each, with its formula and the variables whose values it takes.
type Fixing = Vec<(Lit, Formula, Vec<VarId>)>;

impl Space<'_> {
    /// The smallest case of a fault that shows at an event. The fault must imply the guard of the event.
    ///
    /// A run with few repairs before the event is preferred: a person reads it faster.
    pub fn case(&mut self, fault: Formula, at: EventId) -> CaseAnswer {
        let model = match self.ask(fault) {
            Answer::Impossible => return CaseAnswer::Impossible,
            Answer::Undecided => return CaseAnswer::Undecided,
            Answer::Possible(model) => model,
        };
        let model = self.with_few_repairs(fault, at).unwrap_or(model);
        CaseAnswer::Case(Box::new(self.case_of(fault, at, model)))
    }

    /// As [`Space::case`], beginning with a known run in which the fault shows.
    pub fn case_from(&mut self, fault: Formula, at: EventId, model: &Arc<Model>) -> CaseAnswer {
        if self.truths(model).holds(fault) {
            CaseAnswer::Case(Box::new(self.case_of(fault, at, Arc::clone(model))))
        } else {
            self.case(fault, at)
        }
    }

    /// A run in which every check before the event passes at once, or else after one repair.
    fn with_few_repairs(&mut self, fault: Formula, at: EventId) -> Option<Arc<Model>> {
        (0..=MOST_REPAIRS).find_map(|repairs| {
            let passed = self.passed_after(repairs, at);
            let formula = self.both(fault, passed);
            match self.ask(formula) {
                Answer::Possible(model) => Some(model),
                Answer::Impossible | Answer::Undecided => None,
            }
        })
    }

    /// Every check before the event passes when its lines are done after so many repairs, if it comes to that.
    fn passed_after(&mut self, repairs: u32, at: EventId) -> Formula {
        let verdicts: Vec<Formula> = self
            .events()
            .iter()
            .take(at.index())
            .filter_map(|event| match event.effect {
                Effect::Verdict { passes, .. } if event.place.round == repairs => Some((event.guard, passes)),
                _ => None,
            })
            .map(|(guard, passes)| self.terms.circuit.either(!guard, passes))
            .collect();
        self.all(verdicts)
    }

    fn case_of(&mut self, fault: Formula, at: EventId, model: Arc<Model>) -> Case {
        let mut engine = self.engine();
        let Some((mut model, mut cube)) = self.enough(&mut engine, fault, model.clone()) else {
            let inputs = self.run(&model).inputs;
            return self.finished(at, model, inputs, false);
        };
        for n in 0..MOST_USUAL {
            let Some(var) =
                cube.iter().flat_map(|(.., vars)| vars).copied().filter(|v| !self.is_usual(*v, &model)).nth(n)
            else {
                break;
            };
            if let Some((usual_model, usual)) = self.with_usual(&mut engine, fault, &cube, var) {
                (model, cube) = (usual_model, usual);
            }
        }
        let model = self.plain(&mut engine, fault, &cube, &model).unwrap_or(model);
        let inputs = self.inputs_of(&cube, &model);
        self.finished(at, model, inputs, true)
    }

    /// A smallest set of what the run takes in that implies the fault, and that the readings among it are the first,
    /// second, … of their input: a person who replays the case counts them.
    fn enough(&mut self, engine: &mut Engine, fault: Formula, model: Arc<Model>) -> Option<(Arc<Model>, Fixing)> {
        let mut shown = fault;
        let mut counted: BTreeSet<VarId> = BTreeSet::new();
        loop {
            let fixing = self.fixing(engine, shown, &model);
            let cube = self.smallest(engine, shown, fixing)?;
            let new: Vec<VarId> =
                cube.iter().flat_map(|(.., vars)| vars).copied().filter(|v| counted.insert(*v)).collect();
            if new.is_empty() {
                return Some((model, cube));
            }
            let truths = self.truths(&model);
            for var in new {
                let same = self.same_occasion(var, &truths);
                shown = self.both(shown, same);
            }
        }
    }

    /// As few of the fixed inputs as still imply what is shown, found by leaving out one after the other, the last first.
    /// `None` where not even all of them do within the effort.
    fn smallest(&mut self, engine: &mut Engine, shown: Formula, fixing: Fixing) -> Option<Fixing> {
        let contrary = engine.literal(&self.terms.circuit, !shown);
        let enough = self.implying(engine, contrary, fixing)?;
        Some(fewest(
            enough,
            TRIES,
            |(lit, ..)| *lit,
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

    /// Those of the fixed inputs that the solver needs to contradict a literal; `None` where they don't.
    fn implying(&mut self, engine: &mut Engine, contrary: Lit, fixing: Fixing) -> Option<Fixing> {
        let assumed: Vec<Lit> = std::iter::once(contrary).chain(fixing.iter().map(|(lit, ..)| *lit)).collect();
        let Solved::Never(core) = self.solve(engine, &assumed) else { return None };
        Some(fixing.into_iter().filter(|(lit, ..)| core.contains(lit)).collect())
    }

    /// The runs that take the readings of the same input before this one, and this one, as the given run does.
    fn same_occasion(&mut self, var: VarId, truths: &Truths) -> Formula {
        let Some(input) = self.terms.inputs.variable(var).map(|variable| variable.input) else {
            return Formula::ALWAYS;
        };
        let until = self.terms.inputs.variables.iter().take(var.0 as usize + 1);
        let readings = until.filter(|variable| variable.input == input).filter_map(|variable| variable.taken);
        let guards = readings.filter_map(|event| self.event(event)).map(|event| event.guard);
        let senses: Vec<Formula> = guards.map(|guard| if truths.holds(guard) { guard } else { !guard }).collect();
        self.all(senses)
    }

    /// One literal for each input behind the fault that the run takes in, and one for each comparison.
    fn fixing(&self, engine: &mut Engine, fault: Formula, model: &Model) -> Fixing {
        let truths = self.truths(model);
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
    fn is_usual(&self, var: VarId, model: &Model) -> bool {
        let is_choice = self.terms.inputs.variable(var).is_some_and(|v| matches!(v.input, Input::Choice(_)));
        !is_choice || self.terms.inputs.value(var, |atom| model.bit(atom)) == 0
    }

    /// The case with one input at its first value, if the fault shows there too with no more inputs.
    fn with_usual(
        &mut self,
        engine: &mut Engine,
        fault: Formula,
        cube: &Fixing,
        var: VarId,
    ) -> Option<(Arc<Model>, Fixing)> {
        let is_usual = *self.terms.inputs.variable(var)?.is.first()?;
        let usual = engine.literal(&self.terms.circuit, is_usual);
        let wanted = engine.literal(&self.terms.circuit, fault);
        let others = cube.iter().filter(|(.., vars)| !vars.contains(&var)).cloned();
        let changed: Fixing = others.chain([(usual, is_usual, vec![var])]).collect();
        let assumed: Vec<Lit> = [wanted].into_iter().chain(changed.iter().map(|(lit, ..)| *lit)).collect();
        let Solved::Run(model) = self.solve(engine, &assumed) else { return None };
        let model = self.witnesses.add(&self.terms.circuit, model);
        let truths = self.truths(&model);
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
    fn plain(&mut self, engine: &mut Engine, fault: Formula, cube: &Fixing, model: &Model) -> Option<Arc<Model>> {
        let mut assumed: Vec<Lit> = cube.iter().map(|(lit, ..)| *lit).collect();
        assumed.push(engine.literal(&self.terms.circuit, fault));
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

    fn inputs_of(&self, cube: &Fixing, model: &Model) -> Vec<CaseInput> {
        let truths = self.truths(model);
        let vars: BTreeSet<VarId> = cube.iter().flat_map(|(.., vars)| vars).copied().collect();
        vars.into_iter().filter_map(|var| self.taken_in(var, model, &truths)).collect()
    }

    fn finished(&self, at: EventId, model: Arc<Model>, inputs: Vec<CaseInput>, proved: bool) -> Case {
        let mut steps = self.steps_in(&self.truths(&model));
        steps.retain(|passed| passed.event <= at);
        Case { inputs, steps, proved, model }
    }

    /// What a variable is in a run; `None` where the run does not take it in.
    fn taken_in(&self, var: VarId, model: &Model, truths: &Truths) -> Option<CaseInput> {
        let variable = self.terms.inputs.variable(var)?;
        let taken = match variable.input {
            Input::Choice(_) => Taken::Value(self.terms.inputs.value(var, |atom| model.bit(atom))),
            Input::Number(_) => Taken::Number(model.numbers.get(var.0 as usize).copied().flatten()?),
        };
        let mut occasion = 1;
        if let Some(event) = variable.taken {
            if !truths.holds(self.event(event)?.guard) {
                return None;
            }
            let same = self.terms.inputs.variables.iter().take(var.0 as usize).filter(|v| v.input == variable.input);
            let before = same.filter_map(|v| v.taken).filter_map(|event| self.event(event));
            occasion += u32::try_from(before.filter(|event| truths.holds(event.guard)).count()).unwrap_or(u32::MAX);
        }
        Some(CaseInput { input: variable.input, occasion, taken, read_at: variable.taken })
    }

    fn steps_in(&self, truths: &Truths) -> Vec<Passed> {
        let passed = |event: &super::Event<'_>| match event.effect {
            Effect::Step(step) if truths.holds(event.guard) => Some(Passed { step, event: event.id }),
            _ => None,
        };
        self.events.iter().filter_map(passed).collect()
    }

    /// A run as data.
    pub fn run(&self, model: &Model) -> Run {
        let truths = self.truths(model);
        let count = self.terms.inputs.variables.len();
        let vars = (0..count).map(|n| VarId(u32::try_from(n).unwrap_or(u32::MAX)));
        let inputs = vars.filter_map(|var| self.taken_in(var, model, &truths)).collect();
        Run { inputs, steps: self.steps_in(&truths) }
    }

    /// The value of an option or of a given in a run.
    pub fn known_before(&self, input: Input, model: &Model) -> Option<Taken> {
        let at = self.terms.inputs.variables.iter().position(|v| v.input == input && v.taken.is_none())?;
        let truths = self.truths(model);
        self.taken_in(VarId(u32::try_from(at).ok()?), model, &truths).map(|input| input.taken)
    }

    /// Whether an input decides anything: some guard, limit, state or supply depends on it. `index` order is that of
    /// the declaration.
    pub fn deciding(&self) -> BTreeSet<Input> {
        let mut formulas: Vec<Formula> = Vec::new();
        for event in self.events.iter() {
            formulas.push(event.guard);
            match &event.effect {
                Effect::Judged { holds, .. } | Effect::Limit { holds, .. } | Effect::Need { holds, .. } => {
                    formulas.push(*holds);
                }
                Effect::Chosen { arms, .. } => formulas.extend(arms),
                _ => {}
            }
        }
        let mut inputs = self.support(&formulas);
        inputs.retain(|input| match input {
            Input::Choice(id) => id.index() < self.procedure().choices.len(),
            Input::Number(id) => id.index() < self.procedure().numbers.len(),
        });
        inputs
    }
}
