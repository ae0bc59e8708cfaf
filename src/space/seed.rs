//! Runs to begin with: allowed, and as different from each other as a few dozen can be.
//!
//! Most questions are about what happens in many runs. Each of these is answered by one of the runs made here, and the
//! solver is asked for the rest only. The numbers come from a fixed generator, so that every machine makes the same.

use std::sync::Arc;

use batsat::Lit;

use super::Space;
use super::event::Effect;
use super::inputs::VarId;
use super::solver::{Engine, Solved};
use super::witness::Model;

/// How many runs are made.
const RUNS: usize = 64;
/// How many values are given up, at most, until the rules allow what is left.
const GIVEN_UP: usize = 40;

/// splitmix64 (Steele, Lea and Flood, OOPSLA 2014).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
}

impl Space<'_> {
    /// Makes the runs. Options and givens are mixed evenly. Readings are mostly those of a job that is handed over, and in
    /// each run others by another share: a job in which many a reading is bad stops early.
    pub(super) fn seed(&mut self) {
        if self.out.incomplete {
            return;
        }
        let through = self.handed_over();
        let mut engine = self.engine();
        let mut numbers = Numbers(0);
        let before: Vec<VarId> = self.known_before_the_job();
        let mut models: Vec<Arc<Model>> = Vec::with_capacity(RUNS);
        models.extend(through.clone());
        for run in models.len()..RUNS {
            let share = [0, 2, 8, 32][run % 4];
            let seed = numbers.next();
            let mut wanted = Vec::with_capacity(before.len());
            for var in &before {
                let Some(variable) = self.terms.inputs.variable(*var) else { continue };
                let at = numbers.next() as usize % variable.is.len().max(1);
                if let Some(is) = variable.is.get(at) {
                    wanted.push(engine.literal(&self.terms.circuit, *is));
                }
            }
            let fill = |atom: u32| {
                let usual = through.as_ref().is_none_or(|through| through.bit(atom));
                (Numbers(seed ^ u64::from(atom) << 20).next() % 64 >= share) == usual
            };
            match self.nearest(&mut engine, wanted, &fill) {
                Some(model) => models.push(Arc::new(model)),
                None => break,
            }
        }
        self.spent += engine.conflicts();
        self.witnesses.add_all(models, Vec::new());
    }

    /// A run that comes to the last handover, if one is easily had.
    fn handed_over(&mut self) -> Option<Arc<Model>> {
        let guard = self.events.iter().rev().find(|event| matches!(event.effect, Effect::Handover(_)))?.guard;
        let mut engine = self.engine();
        let handed_over = engine.literal(&self.terms.circuit, guard);
        match self.solve(&mut engine, &[handed_over]) {
            Solved::Run(model) => Some(Arc::new(model)),
            Solved::Never(_) | Solved::Undecided => None,
        }
    }

    fn known_before_the_job(&self) -> Vec<VarId> {
        let variables = self.terms.inputs.variables.iter().enumerate();
        let before = variables.filter(|(_, variable)| variable.taken.is_none());
        before.map(|(at, _)| VarId(u32::try_from(at).unwrap_or(u32::MAX))).collect()
    }

    /// An allowed run with as many of the wanted values as are easily had.
    fn nearest(&self, engine: &mut Engine, mut wanted: Vec<Lit>, fill: &dyn Fn(u32) -> bool) -> Option<Model> {
        for _ in 0..GIVEN_UP {
            match engine.solve_and_fill(&self.terms.circuit, &self.terms.inputs, &wanted, fill) {
                Solved::Run(model) => return Some(model),
                Solved::Undecided => return None,
                Solved::Never(core) => {
                    let given_up = core.last().copied()?;
                    wanted.retain(|lit| *lit != given_up);
                }
            }
        }
        None
    }
}
