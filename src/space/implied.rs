//! The steps that are passed whatever is left open.

use super::Space;
use super::formula::Formula;
use super::solver::{Engine, Solved};
use batsat::Lit;

/// How many runs are looked for that don't pass all that is left.
const TRIES: usize = 100;

impl Space<'_> {
    /// Those of the formulas that hold in every run in which the literals do. `known` says the same as the literals,
    /// where formulas can; then runs that are known already are looked at first. Empty where it can't be decided.
    pub(super) fn implied(
        &mut self,
        engine: &mut Engine,
        lits: &[Lit],
        known: Option<&[Formula]>,
        mut formulas: Vec<Formula>,
    ) -> Vec<Formula> {
        formulas.sort_unstable();
        formulas.dedup();
        if let Some(within) = known {
            formulas = self.witnesses.always(&self.terms.circuit, within, formulas);
        }
        for _ in 0..TRIES {
            let all = self.all(formulas.iter().copied());
            let some_fails = engine.literal(&self.terms.circuit, !all);
            let assumed: Vec<Lit> = lits.iter().copied().chain([some_fails]).collect();
            match self.solve(engine, &assumed) {
                Solved::Never(_) => return formulas,
                Solved::Undecided => break,
                Solved::Run(model) => {
                    let truths = self.truths(&model);
                    formulas.retain(|formula| truths.holds(*formula));
                }
            }
        }
        Vec::new()
    }
}
