//! What a case can't do without, as far as a look at neighbouring runs shows it.
//!
//! A run in which one input is another and all else is as it was, and in which the fault does not show, proves that the
//! input is needed. Many such runs are counted out at once, so that the solver is asked about the others only.

use super::Space;
use super::cone::{Cone, Runs};
use super::formula::Formula;
use super::inputs::VarId;
use super::witness::Model;

/// One thing that a case fixes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Part {
    /// The variable, where it is about one.
    pub var: Option<VarId>,
    /// Holds in the runs that keep to it.
    pub keeps: Formula,
}

/// A part, its variable, and another value of it.
type Other = (usize, VarId, usize);

impl Space<'_> {
    /// For each part, whether a run of the others without it was found in which the fault does not show. Where none was
    /// found, there may still be one.
    pub(super) fn lacking(&self, fault: Formula, parts: &[Part], model: &Model) -> Vec<bool> {
        let inputs = &self.terms.inputs;
        let rules: Vec<Formula> = self.out.constraints.iter().map(|constraint| constraint.formula).collect();
        let keeps = parts.iter().map(|part| part.keeps);
        let cone = Cone::of(&self.terms.circuit, keeps.chain(rules.iter().copied()).chain([fault]));
        let mut needed = vec![false; parts.len()];
        let (mut others, mut second): (Vec<Other>, Vec<Other>) = (Vec::new(), Vec::new());
        for (at, part) in parts.iter().enumerate() {
            let Some((var, values)) = part.var.and_then(|var| Some((var, inputs.variable(var)?.is.len()))) else {
                continue;
            };
            let value = inputs.value(var, |atom| model.bit(atom));
            others.extend((values > 1).then_some((at, var, (value + 1) % values)));
            second.extend((values > 2).then_some((at, var, (value + values - 1) % values)));
        }
        // The second value of a variable is looked at only where the first showed nothing.
        for others in [others, second] {
            let open: Vec<Other> = others.into_iter().filter(|(at, ..)| needed.get(*at) == Some(&false)).collect();
            for lanes in open.chunks(Runs::MOST) {
                let without = self.without(&cone, &rules, lanes, fault, parts, model);
                for (_, (at, ..)) in lanes.iter().enumerate().filter(|(lane, _)| without.has(*lane)) {
                    if let Some(slot) = needed.get_mut(*at) {
                        *slot = true;
                    }
                }
            }
        }
        needed
    }

    /// Of as many runs as are looked at together, each with one variable at another value: those that keep to all other parts and to the rules, and in
    /// which the fault does not show.
    fn without(
        &self,
        cone: &Cone,
        rules: &[Formula],
        lanes: &[Other],
        fault: Formula,
        parts: &[Part],
        model: &Model,
    ) -> Runs {
        // Of an atom: the runs in which it is another than it was. Of a part: the runs without it.
        let (mut turned, mut left_out) =
            (vec![Runs::NONE; self.terms.inputs.atoms.len()], vec![Runs::NONE; parts.len()]);
        let add = |runs: &mut Vec<Runs>, at: usize, lane: usize| {
            runs.get_mut(at).into_iter().for_each(|one| one.add(lane));
        };
        for (lane, (at, var, value)) in lanes.iter().enumerate() {
            let bits = self.terms.inputs.bits_of(*var, *value);
            for (atom, _) in bits.filter(|(atom, bit)| model.bit(*atom) != *bit) {
                add(&mut turned, atom as usize, lane);
            }
            add(&mut left_out, *at, lane);
        }
        let values = cone.values(|atom| {
            let all = if model.bit(atom) { Runs::ALL } else { Runs::NONE };
            all ^ turned.get(atom as usize).copied().unwrap_or(Runs::NONE)
        });
        let kept = rules.iter().fold(!cone.value(&values, fault), |all, rule| all & cone.value(&values, *rule));
        let runs_without = parts.iter().zip(&left_out);
        runs_without.fold(kept, |all, (part, without)| all & (cone.value(&values, part.keeps) | *without))
    }

    /// Whether some comparison ties a variable to others, so that its cell does not tell all that matters.
    pub(super) fn is_tied(&self, var: VarId) -> bool {
        self.terms.inputs.comparisons.iter().any(|(comparison, _)| comparison.variables().contains(&var))
    }
}
