//! Cases: the few inputs that bring something about, and the run that shows it.
//!
//! What is told is as short as the fault allows, in this order:
//!
//! 1. **Repairs.** No run in which the fault shows has fewer repairs before it; of several moments at which it can show, the
//!    first of those with the fewest is told (`repaired`).
//! 2. **Inputs.** In every allowed run that fits what is told (each reading on its occasion, where it is taken at all), the
//!    fault shows, at this moment or at another, and without any one of the inputs that would not be so: one that may be
//!    anything plays no part and is not told (`enough`, then `told`). No other set of inputs is looked for that could be
//!    smaller still.
//! 3. **Steps.** Those that every such run passes before the event, and no others (`implied`).
//! 4. **Numbers.** As few digits as any number has that the fault allows there, in the unit of the range (`plain`, `cells`).
//!    Of a cell the number is the roundest near the middle. Those that a comparison ties together are multiples of one
//!    power of ten, as coarse as can be, then each by itself. What an equation forces is told exactly.
//!
//! Choices have their first value where the fault shows with it as well.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::enough::Fixing;
use super::event::Effect;
use super::formula::Formula;
use super::ids::{EventId, Input};
use super::inputs::{Inputs, VarId};
use super::solver::Engine;
use super::told::Told;
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
    /// The steps that every allowed run with these inputs passes, in order, up to the event. Those of `model` where the
    /// inputs could not be told briefly within the effort, and without `proved`.
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

/// How many usual values are tried for one case.
const MOST_USUAL: usize = 8;
/// Of so many moments at which a fault can show the best is looked for.
const MOST_MOMENTS: usize = 16;

/// A fault whose case is told.
#[derive(Debug, Clone, Copy)]
struct Shown {
    /// At the moment at which it is told.
    fault: Formula,
    /// No more repairs than are needed.
    few: Formula,
    /// At this moment or at another.
    anywhere: Formula,
}

impl Space<'_> {
    /// The smallest case of a fault that shows at an event. The fault must imply the guard of the event.
    ///
    /// The room says what counts as small.
    pub fn case(&mut self, fault: Formula, at: EventId) -> CaseAnswer {
        self.case_among(&[(at, fault)], fault)
    }

    /// The smallest case of a fault that can show at several moments, given in their order. Each formula must imply the
    /// guard of its event; `shown` are all runs in which the same is to be seen.
    pub fn case_among(&mut self, moments: &[(EventId, Formula)], shown: Formula) -> CaseAnswer {
        let moments = moments.get(..MOST_MOMENTS).unwrap_or(moments);
        let mut best: Option<(usize, EventId, Shown, Arc<Model>)> = None;
        let mut undecided = false;
        let anywhere = self.any(moments.iter().map(|(_, fault)| *fault).chain([shown]));
        for (at, fault) in moments.iter().copied() {
            let model = match self.ask(fault) {
                Answer::Impossible => continue,
                Answer::Undecided => {
                    undecided = true;
                    continue;
                }
                Answer::Possible(model) => model,
            };
            let (model, repairs, few) = self.fewest_repairs(fault, at, model);
            if best.as_ref().is_none_or(|(fewest, ..)| repairs < *fewest) {
                best = Some((repairs, at, Shown { fault, few, anywhere }, model));
            }
            if repairs == 0 {
                break;
            }
        }
        match best {
            Some((_, at, shown, model)) => CaseAnswer::Case(Box::new(self.case_of(shown, at, model))),
            None if undecided => CaseAnswer::Undecided,
            None => CaseAnswer::Impossible,
        }
    }

    /// As [`Space::case_among`] at one moment, beginning with a known run in which the fault shows.
    pub fn case_from(&mut self, fault: Formula, at: EventId, shown: Formula, model: &Arc<Model>) -> CaseAnswer {
        if self.truths(model).holds(fault) {
            let anywhere = self.either(fault, shown);
            let (model, _, few) = self.fewest_repairs(fault, at, Arc::clone(model));
            CaseAnswer::Case(Box::new(self.case_of(Shown { fault, few, anywhere }, at, model)))
        } else {
            self.case_among(&[(at, fault)], shown)
        }
    }

    fn case_of(&mut self, shown: Shown, at: EventId, model: Arc<Model>) -> Case {
        let Shown { fault, few, anywhere } = shown;
        let mut engine = self.engine();
        let Some((mut model, mut cube)) = self.enough(&mut engine, fault, model.clone()) else {
            let (inputs, steps) = (self.run(&model).inputs, self.steps_until(at, &model));
            return Case { inputs, steps, proved: false, model };
        };
        for n in 0..MOST_USUAL {
            let Some(var) =
                cube.iter().flat_map(|(.., vars)| vars).copied().filter(|v| !self.is_usual(*v, &model)).nth(n)
            else {
                break;
            };
            if let Some((usual_model, usual)) = self.with_usual(&mut engine, fault, few, &cube, var) {
                (model, cube) = (usual_model, usual);
            }
        }
        let wanted = self.both(fault, few);
        let model = self.plain(&mut engine, wanted, &cube, &model).unwrap_or(model);
        self.tell(&mut engine, (anywhere, wanted), at, &cube, model)
    }

    /// The case of fixed inputs, told as briefly as can be.
    fn tell(
        &mut self,
        engine: &mut Engine,
        (fault, wanted): (Formula, Formula),
        at: EventId,
        cube: &Fixing,
        model: Arc<Model>,
    ) -> Case {
        match self.briefly(engine, (fault, wanted), cube, &model) {
            Some((told, model)) => {
                let vars: BTreeSet<VarId> = told.iter().filter_map(|one| one.var).collect();
                let steps = self.steps_of_all(engine, at, &told, &model);
                Case { inputs: self.inputs_of(&vars, &model), steps, proved: true, model }
            }
            // What is told by cells and comparisons holds all the same.
            None => {
                let vars: BTreeSet<VarId> = cube.iter().flat_map(|(.., vars)| vars).copied().collect();
                let steps = match self.as_in_run(engine, cube, &model) {
                    Some(told) => self.steps_of_all(engine, at, &told, &model),
                    None => self.steps_until(at, &model),
                };
                Case { inputs: self.inputs_of(&vars, &model), steps, proved: true, model }
            }
        }
    }

    /// What is fixed, told with the numbers of one run.
    fn as_in_run(&mut self, engine: &mut Engine, cube: &Fixing, model: &Model) -> Option<Vec<Told>> {
        self.told_of(engine, cube, model, &numbers_of_run(&self.terms.inputs, cube, model))
    }

    /// The steps that a run passes up to an event.
    fn steps_until(&self, at: EventId, model: &Model) -> Vec<Passed> {
        let mut steps = self.steps_in(&self.happens(model));
        steps.retain(|passed| passed.event <= at);
        steps
    }

    fn briefly(
        &mut self,
        engine: &mut Engine,
        senses: (Formula, Formula),
        cube: &Fixing,
        model: &Arc<Model>,
    ) -> Option<(Vec<Told>, Arc<Model>)> {
        let numbers = self.plain_numbers(cube, model);
        let found = self.briefly_with(engine, senses, cube, model, &numbers);
        // Numbers that go together as what is fixed asks may still break a rule; those of the run at hand keep all of them.
        found.or_else(|| {
            self.briefly_with(engine, senses, cube, model, &numbers_of_run(&self.terms.inputs, cube, model))
        })
    }

    fn briefly_with(
        &mut self,
        engine: &mut Engine,
        (fault, wanted): (Formula, Formula),
        cube: &Fixing,
        model: &Arc<Model>,
        numbers: &BTreeMap<VarId, Exact>,
    ) -> Option<(Vec<Told>, Arc<Model>)> {
        let told = self.told_of(engine, cube, model, numbers)?;
        let all = told.len();
        let mut told = self.needed(engine, fault, told, model)?;
        let inputs = &self.terms.inputs;
        let as_in_model = |(var, number): (&VarId, &Exact)| model.number(inputs, *var) == Some(*number);
        // Nothing left out and no number changed: the run at hand is already one that fits.
        let mut model = match told.len() == all && numbers.iter().all(as_in_model) {
            true => Arc::clone(model),
            false => self.fitting(engine, wanted, &told, model)?,
        };
        if self.with_shorter_numbers(engine, (fault, wanted), &mut told, &mut model) {
            // With another number, another input may have become needless.
            let fewer = self.needed(engine, fault, told.clone(), &model)?;
            if fewer.len() < told.len() {
                model = self.fitting(engine, wanted, &fewer, &model)?;
                told = fewer;
            }
        }
        Some((told, model))
    }

    /// The steps up to the event that every run passes which fits what is told; `model` is one of them.
    fn steps_of_all(&mut self, engine: &mut Engine, at: EventId, told: &[Told], model: &Model) -> Vec<Passed> {
        let steps = self.steps_until(at, model);
        let lits: Vec<batsat::Lit> = told.iter().map(|one| one.lit).collect();
        let known: Option<Vec<Formula>> = told.iter().map(|one| one.formula).collect();
        let guard = |passed: &Passed| self.event(passed.event).map_or(Formula::NEVER, |event| event.guard);
        let guarded: Vec<(Passed, Formula)> = steps.iter().map(|passed| (*passed, guard(passed))).collect();
        let guards = guarded.iter().map(|(_, guard)| *guard).filter(|guard| *guard != Formula::ALWAYS).collect();
        let implied = self.implied(engine, &lits, known.as_deref(), guards);
        let always = |guard: &Formula| *guard == Formula::ALWAYS || implied.binary_search(guard).is_ok();
        guarded.into_iter().filter(|(_, guard)| always(guard)).map(|(passed, _)| passed).collect()
    }

    fn inputs_of(&self, vars: &BTreeSet<VarId>, model: &Model) -> Vec<CaseInput> {
        let truths = self.happens(model);
        vars.iter().filter_map(|var| self.taken_in(*var, model, &truths)).collect()
    }

    /// What a variable is in a run; `None` where the run does not take it in.
    fn taken_in(&self, var: VarId, model: &Model, truths: &Truths) -> Option<CaseInput> {
        let variable = self.terms.inputs.variable(var)?;
        let taken = match variable.input {
            Input::Choice(_) => Taken::Value(self.terms.inputs.value(var, |atom| model.bit(atom))),
            Input::Number(_) => Taken::Number(model.number(&self.terms.inputs, var)?),
        };
        let mut occasion = 1;
        if let Some(event) = variable.taken {
            if !truths.holds(self.event(event)?.guard) {
                return None;
            }
            let inputs = &self.terms.inputs;
            let same = inputs.all_of(variable.input).iter().take_while(|other| **other < var);
            let taken = same.filter_map(|other| inputs.variable(*other)?.taken);
            let before = taken.filter_map(|event| self.event(event));
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
        let truths = self.happens(model);
        let count = self.terms.inputs.variables.len();
        let vars = (0..count).map(|n| VarId(u32::try_from(n).unwrap_or(u32::MAX)));
        let inputs = vars.filter_map(|var| self.taken_in(var, model, &truths)).collect();
        Run { inputs, steps: self.steps_in(&truths) }
    }

    /// The value of an option or of a given in a run.
    pub fn known_before(&self, input: Input, model: &Model) -> Option<Taken> {
        let at = self.terms.inputs.variables.iter().position(|v| v.input == input && v.taken.is_none())?;
        let truths = self.happens(model);
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

/// The numbers that fixed variables have in a run.
fn numbers_of_run(inputs: &Inputs, cube: &Fixing, model: &Model) -> BTreeMap<VarId, Exact> {
    let vars = cube.iter().flat_map(|(.., vars)| vars);
    vars.filter_map(|var| Some((*var, model.number(inputs, *var)?))).collect()
}
