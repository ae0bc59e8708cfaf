//! All runs of a procedure at once.
//!
//! A *run* is one way through the procedure: a value of every option and given that the rules allow, and a value of
//! every reading each time that it is taken. [`Space::new`] writes the procedure out as a list of [`Event`]s in the
//! order of the text, each with a *guard*: the [`Formula`] that says in which runs it happens. A check builds a formula
//! for what would be a fault (`guard and not holds`) and asks: [`Space::ask`] answers over **every** run, never by
//! sampling. A fault is shown by a [`Case`]: the few inputs that bring it about.
//!
//! What could not be decided within the [`Effort`] comes back as `Undecided`, which no accessor turns into "no".
//!
//! What is taken for true of every run: the rules. A rule that names a result is not, because a procedure cannot rule
//! out its own decisions.
//!
//! ```
//! use fitwright::model::Procedure;
//! use fitwright::space::{Answer, Effect, Space};
//!
//! /// Which needs are not met in some run?
//! fn unmet(procedure: &Procedure) -> Vec<String> {
//!     let mut space = Space::new(procedure);
//!     let (mut places, mut faults) = (Vec::new(), Vec::new());
//!     for event in space.events().iter() {
//!         if let Effect::Need { holds, .. } = event.effect {
//!             places.push(event.id);
//!             faults.push(space.both(event.guard, !holds));
//!         }
//!     }
//!     let answers = space.ask_each(&faults);
//!     let mut said = Vec::new();
//!     for ((at, fault), answer) in places.into_iter().zip(faults).zip(answers) {
//!         match answer {
//!             Answer::Impossible => {}
//!             Answer::Undecided => said.push("not decided".to_owned()),
//!             Answer::Possible(_) => said.push(format!("{:?}", space.case(fault, at))),
//!         }
//!     }
//!     said
//! }
//! ```

#![allow(
    clippy::disallowed_types,
    reason = "hash maps here are only looked up, never gone through, so that their order can't reach an output"
)]

mod bounds;
mod case;
mod cells;
mod cone;
mod count;
mod differences;
mod elimination;
mod enough;
mod event;
mod explain;
mod extremes;
mod fewest;
mod formula;
mod ids;
mod implied;
mod inputs;
mod lacking;
mod linear;
mod nearby;
mod numbers;
mod plain;
mod propagate;
mod repaired;
mod satisfy;
mod seed;
mod solver;
mod steps;
mod terms;
mod timeline;
mod told;
mod unroll;
mod watch;
mod witness;

use std::collections::{BTreeSet, HashMap, HashSet};
use std::sync::Arc;

pub use case::{Case, CaseAnswer, CaseInput, Passed, Run, Taken};
pub use cells::Cell;
pub use count::{Extreme, Totals};
pub use event::{Effect, Event, Place, Role, StopCause};
pub use explain::{Because, Explanation};
pub use formula::Formula;
pub use ids::{EventId, Input};
pub use inputs::{decided, linear_form, range_of};
pub use solver::Effort;
pub use terms::Use;
pub use witness::{Model, Truths, Weighted};

use crate::model::{ChoiceId, Cond, Id, Interval, NumberId, Procedure, StateId};
use crate::source::Span;
use ids::Subject;
use solver::{Engine, Solved};
use terms::{Moment, Terms};
use timeline::Asked;
use unroll::{Unrolled, unroll};
use witness::Witnesses;

/// An answer over every run. There is no accessor that reads `Undecided` as either of the others.
#[derive(Debug, Clone)]
#[must_use]
pub enum Answer {
    /// It holds in this run (and perhaps in others).
    Possible(Arc<Model>),
    /// It holds in no run.
    Impossible,
    /// Not decided within the effort.
    Undecided,
}

/// How much a solver may know before the next question gets a new one; more where it had to learn as much for the first.
const LARGE: usize = 4_000;

/// All runs of one procedure.
#[derive(Debug)]
pub struct Space<'p> {
    terms: Terms<'p>,
    events: Arc<[Event<'p>]>,
    out: Unrolled<'p>,
    witnesses: Witnesses,
    impossible: HashSet<Formula>,
    possible: HashMap<Formula, Arc<Model>>,
    forced: propagate::Forced,
    repairs: repaired::Repairs,
    effort: Effort,
    /// How many nodes the circuit had when the procedure was written out.
    written: usize,
    /// Conflicts of all questions so far.
    spent: u64,
    /// Whether some comparison could not be written down exactly.
    has_unknown: bool,
}

impl<'p> Space<'p> {
    /// Writes out a procedure, with the usual effort.
    pub fn new(procedure: &'p Procedure) -> Space<'p> {
        Space::with_effort(procedure, Effort::default())
    }

    /// Writes out a procedure.
    pub fn with_effort(procedure: &'p Procedure, effort: Effort) -> Space<'p> {
        let mut terms = Terms::new(procedure);
        let mut out = unroll(&mut terms);
        let events = std::mem::take(&mut out.events).into();
        let atoms = 0..u32::try_from(terms.inputs.atoms.len()).unwrap_or(u32::MAX);
        let has_unknown = atoms.into_iter().any(|atom| solver::is_unknown(&terms.inputs, atom));
        let written = terms.circuit.len();
        let mut space = Space {
            terms,
            written,
            events,
            out,
            witnesses: Witnesses::default(),
            impossible: HashSet::new(),
            possible: HashMap::new(),
            forced: propagate::Forced::default(),
            repairs: repaired::Repairs::default(),
            effort,
            spent: 0,
            has_unknown,
        };
        space.seed();
        space
    }

    /// The procedure.
    pub fn procedure(&self) -> &'p Procedure {
        self.terms.procedure
    }

    /// What happens, in the order of the text, repairs written out. The list is shared, so that formulas can be built
    /// while it is gone through.
    pub fn events(&self) -> Arc<[Event<'p>]> {
        Arc::clone(&self.events)
    }

    /// An event.
    pub fn event(&self, id: EventId) -> Option<&Event<'p>> {
        self.events.get(id.index())
    }

    // Building formulas.

    /// Both hold.
    pub fn both(&mut self, a: Formula, b: Formula) -> Formula {
        self.terms.circuit.both(a, b)
    }

    /// At least one holds.
    pub fn either(&mut self, a: Formula, b: Formula) -> Formula {
        self.terms.circuit.either(a, b)
    }

    /// `then` where `condition` holds, else `otherwise`.
    pub fn choose(&mut self, condition: Formula, then: Formula, otherwise: Formula) -> Formula {
        self.terms.circuit.choose(condition, then, otherwise)
    }

    /// All hold; [`Formula::ALWAYS`] for none.
    pub fn all(&mut self, formulas: impl IntoIterator<Item = Formula>) -> Formula {
        self.terms.circuit.all(formulas)
    }

    /// At least one holds; [`Formula::NEVER`] for none.
    pub fn any(&mut self, formulas: impl IntoIterator<Item = Formula>) -> Formula {
        self.terms.circuit.any(formulas)
    }

    fn moment(&self, at: EventId) -> Moment {
        Moment { at, block: self.event(at).map_or(0, |event| event.block) }
    }

    /// The state has the value right before the event. As with all formulas about a place, use it together with the
    /// guard of the event: what it says of runs that do not come by is not meant.
    pub fn state_is(&mut self, at: EventId, state: StateId, value: usize) -> Formula {
        let moment = self.moment(at);
        self.terms.asked(Subject::State(state), moment, Asked::Is(value))
    }

    /// The option, observation or result has the value right before the event; false where it has none yet.
    pub fn choice_is(&mut self, at: EventId, choice: ChoiceId, value: usize) -> Formula {
        let moment = self.moment(at);
        self.terms.asked(Subject::Choice(choice), moment, Asked::Is(value))
    }

    /// The input or result has a value right before the event.
    pub fn is_known(&mut self, at: EventId, input: Input) -> Formula {
        let moment = self.moment(at);
        self.terms.known(input, moment)
    }

    /// The number lies in the interval right before the event. `None` where the procedure compares it with no such
    /// ends, so that nothing here can tell.
    pub fn number_in(&mut self, at: EventId, number: NumberId, interval: &Interval) -> Option<Formula> {
        let moment = self.moment(at);
        self.terms.within(number, moment, interval)
    }

    /// The cells of a number, ascending, each with the formula that says that the number lies in it right before the
    /// event. Empty where the range of the number is.
    pub fn cells(&mut self, at: EventId, number: NumberId) -> Vec<(Cell, Formula)> {
        let moment = self.moment(at);
        let cells = self.terms.inputs.cells_of(number).map_or_else(Vec::new, |cells| cells.cells.clone());
        let formula = |(n, cell)| (cell, self.terms.in_cells(number, moment, n, n + 1));
        cells.into_iter().enumerate().map(formula).collect()
    }

    /// The runs in which a condition holds, and those in which it fails, right before the event. In the others it can't be
    /// told there: it looks at something that has no value yet.
    pub fn told(&mut self, at: EventId, condition: &Cond) -> (Formula, Formula) {
        let moment = self.moment(at);
        let truth = self.terms.condition(condition, moment, &mut Vec::new());
        (truth.holds, truth.fails)
    }

    /// The inputs and readings on which formulas depend.
    pub fn support(&self, formulas: &[Formula]) -> BTreeSet<Input> {
        let atoms = self.terms.circuit.atoms_of(formulas);
        let variables = self.terms.inputs.variables_of(&atoms);
        variables.into_iter().filter_map(|var| self.terms.inputs.variable(var)).map(|variable| variable.input).collect()
    }

    // Asking.

    /// Whether the formula holds in some run.
    pub fn ask(&mut self, formula: Formula) -> Answer {
        self.ask_each(&[formula]).pop().unwrap_or(Answer::Undecided)
    }

    /// Whether each formula holds in some run. Faster than one by one.
    #[must_use]
    pub fn ask_each(&mut self, formulas: &[Formula]) -> Vec<Answer> {
        let mut answers: Vec<Answer> = Vec::with_capacity(formulas.len());
        let mut engine: Option<(Engine, usize)> = None;
        let mut rest = formulas;
        while !rest.is_empty() {
            // Only what no other way answers is looked at together, so that a single look goes far.
            let mut open = Vec::with_capacity(nearby::BATCH);
            while let Some((formula, others)) = rest.split_first().filter(|_| open.len() < nearby::BATCH) {
                rest = others;
                let known = self.ask_memory(*formula);
                if known.is_none() {
                    open.push((answers.len(), *formula));
                }
                answers.push(known.unwrap_or(Answer::Undecided));
            }
            let asked: Vec<Formula> = open.iter().map(|(_, formula)| *formula).collect();
            self.find_nearby(&asked);
            for (at, formula) in open {
                let answer = match self.ask_witnesses(formula) {
                    Some(answer) => answer,
                    None => {
                        let fresh = engine.take().filter(|(engine, begun)| engine.size() < LARGE.max(*begun * 2));
                        let (mut known, begun) = fresh.unwrap_or_else(|| (self.engine(), 0));
                        let answer = self.ask_engine(&mut known, formula);
                        let begun = if begun == 0 { known.size() } else { begun };
                        engine = Some((known, begun));
                        answer
                    }
                };
                if let Some(slot) = answers.get_mut(at) {
                    *slot = answer;
                }
            }
        }
        answers
    }

    /// Whether a rule applies in some run, and whether it forbids one, were there only the rules that `with` lets stand
    /// (itself is never among them). `None` where nothing that it asks for becomes known.
    pub fn ask_rule(&mut self, rule: usize, with: impl Fn(usize) -> bool) -> Option<(Answer, Answer)> {
        let own = |constraint: &&unroll::Constraint| constraint.rule == rule;
        let own: Vec<unroll::Constraint> = self.out.constraints.iter().filter(own).copied().collect();
        if own.is_empty() || self.out.incomplete {
            return None;
        }
        let applies = self.any(own.iter().map(|constraint| constraint.applies));
        let forbids = self.any(own.iter().map(|constraint| !constraint.formula));
        let left = self.effort.all_conflicts.saturating_sub(self.spent);
        let mut engine = Engine::new(Effort { all_conflicts: left, ..self.effort });
        for constraint in self.out.constraints.iter().filter(|one| one.rule != rule && with(one.rule)) {
            engine.require(&self.terms.circuit, constraint.formula);
        }
        // Nothing is remembered of these: the runs are not those of the procedure.
        let mut ask = |space: &mut Self, formula: Formula| {
            if formula == Formula::NEVER {
                return Answer::Impossible;
            }
            let lit = engine.literal(&space.terms.circuit, formula);
            match space.solve(&mut engine, &[lit]) {
                Solved::Run(model) => Answer::Possible(Arc::new(model)),
                Solved::Never(_) => Answer::Impossible,
                Solved::Undecided => Answer::Undecided,
            }
        };
        let applies = ask(self, applies);
        Some((applies, ask(self, forbids)))
    }

    fn ask_engine(&mut self, engine: &mut Engine, formula: Formula) -> Answer {
        let lit = engine.literal(&self.terms.circuit, formula);
        match self.solve(engine, &[lit]) {
            Solved::Run(model) => {
                let model = self.witnesses.add(&self.terms.circuit, model);
                self.possible.insert(formula, Arc::clone(&model));
                self.sure(formula, &model)
            }
            Solved::Never(_) => {
                self.impossible.insert(formula);
                Answer::Impossible
            }
            Solved::Undecided => Answer::Undecided,
        }
    }

    /// A solver that knows the rules.
    fn engine(&self) -> Engine {
        let left = self.effort.all_conflicts.saturating_sub(self.spent);
        let mut engine = Engine::new(Effort { all_conflicts: left, ..self.effort });
        for constraint in &self.out.constraints {
            engine.require(&self.terms.circuit, constraint.formula);
        }
        engine
    }

    fn solve(&mut self, engine: &mut Engine, assumed: &[batsat::Lit]) -> Solved {
        let before = engine.conflicts();
        let solved = engine.solve(&self.terms.circuit, &self.terms.inputs, assumed);
        self.spent += engine.conflicts() - before;
        solved
    }

    /// As [`Engine::smallest_core`].
    fn smallest_core(
        &mut self,
        engine: &mut Engine,
        assumed: &[batsat::Lit],
        tries: usize,
    ) -> Result<Vec<batsat::Lit>, Solved> {
        let before = engine.conflicts();
        let core = engine.smallest_core(&self.terms.circuit, &self.terms.inputs, assumed, tries);
        self.spent += engine.conflicts() - before;
        core
    }

    /// Where the procedure is too much to be written out, if it is.
    pub fn too_much_at(&self) -> Option<Span> {
        self.out.ends
    }

    /// What is known without asking the solver.
    fn ask_memory(&mut self, formula: Formula) -> Option<Answer> {
        if self.out.incomplete {
            return Some(Answer::Undecided);
        }
        if formula == Formula::NEVER || self.impossible.contains(&formula) {
            return Some(Answer::Impossible);
        }
        if let Some(answer) = self.ask_witnesses(formula) {
            return Some(answer);
        }
        if self.contradicts_itself(formula) {
            self.impossible.insert(formula);
            return Some(Answer::Impossible);
        }
        None
    }

    /// The answer that a known run gives.
    fn ask_witnesses(&mut self, formula: Formula) -> Option<Answer> {
        let model = match self.possible.get(&formula) {
            Some(model) => Arc::clone(model),
            None => {
                let model = self.witnesses.with(&self.terms.circuit, formula)?;
                self.possible.insert(formula, Arc::clone(&model));
                model
            }
        };
        Some(self.sure(formula, &model))
    }

    /// A run counts as an answer only where every truth behind the formula is one that numbers can show.
    fn sure(&self, formula: Formula, model: &Arc<Model>) -> Answer {
        if self.is_doubtful(&[formula]) { Answer::Undecided } else { Answer::Possible(Arc::clone(model)) }
    }

    fn is_doubtful(&self, formulas: &[Formula]) -> bool {
        if !self.has_unknown {
            return false;
        }
        let rules = self.out.constraints.iter().map(|constraint| constraint.formula);
        let all: Vec<Formula> = formulas.iter().copied().chain(rules).collect();
        self.terms.circuit.atoms_of(&all).into_iter().any(|atom| solver::is_unknown(&self.terms.inputs, atom))
    }

    /// What happens in one run: the truth of the guards of all events, and of what was made before them. Much less than
    /// [`Space::truths`] where many questions were asked.
    fn happens(&self, model: &Model) -> Truths {
        model.truths(&self.terms.circuit, self.written)
    }

    /// The truth of every formula made so far in one run.
    pub fn truths(&self, model: &Model) -> Truths {
        model.truths(&self.terms.circuit, self.terms.circuit.len())
    }
}
