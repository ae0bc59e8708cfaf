//! Runs that differ from a known one only in what a formula asks for.
//!
//! A place far down a long procedure is come to only if nothing before it ended the job, and a solver that is asked about
//! it has to learn all that stands before. Yet a run is known mostly that comes by, and a reading or two of it have to be
//! another. These are found by going down the formula from where the known run misses it: of what holds both halves have
//! to, of what does not one half is changed. Whatever comes of it is counted out over the whole procedure before it is
//! taken for a run; what is not found this way is left to the solver.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::Space;
use super::formula::{Circuit, Formula, Node, value_in};
use super::inputs::{Atom, Inputs, Settled};
use super::numbers::settle;
use super::witness::{Model, bits_of};

/// So many runs are counted out at a time.
pub(super) const BATCH: usize = 64;
/// How often a run that misses its formula still is changed again.
const ROUNDS: usize = 4;
/// How many nodes one change may look at.
const MOST_NODES: usize = 400;
/// By how many parts of a formula the nearest of the known runs is chosen.
const MOST_PARTS: usize = 48;

/// A run under way to its formula.
struct Candidate {
    formula: Formula,
    /// What was changed of the known run, by atom.
    changed: BTreeMap<u32, bool>,
    model: Arc<Model>,
}

/// A change that is being looked for.
struct Change<'a> {
    circuit: &'a Circuit,
    /// The truth in the run that is changed.
    truth: &'a dyn Fn(Formula) -> bool,
    changed: BTreeMap<u32, bool>,
    /// Atoms in the order in which they were changed.
    trail: Vec<u32>,
    left: usize,
}

impl Change<'_> {
    /// Changes what has to be for the formula to hold; `false` where that was not found.
    fn make(&mut self, formula: Formula) -> bool {
        if (self.truth)(formula) {
            return true;
        }
        if self.left == 0 {
            return false;
        }
        self.left -= 1;
        match self.circuit.node(formula.node()) {
            Node::Constant => false,
            Node::Atom(atom) => match self.changed.get(&atom) {
                Some(value) => *value != formula.is_contrary(),
                None => {
                    self.changed.insert(atom, !formula.is_contrary());
                    self.trail.push(atom);
                    true
                }
            },
            Node::Both(a, b) if !formula.is_contrary() => self.make(a) && self.make(b),
            Node::Both(a, b) => {
                // The later half is nearer to the place.
                let before = self.trail.len();
                self.make(!b) || {
                    for atom in self.trail.drain(before..) {
                        self.changed.remove(&atom);
                    }
                    self.make(!a)
                }
            }
        }
    }
}

impl Space<'_> {
    /// Looks for runs in which the formulas hold, up to [`BATCH`] of them, near to known ones, and keeps those that it finds.
    pub(super) fn find_nearby(&mut self, formulas: &[Formula]) {
        let mut candidates: Vec<Candidate> = Vec::with_capacity(formulas.len());
        for formula in formulas.iter().take(BATCH) {
            let parts = parts_of(&self.terms.circuit, *formula);
            let Some(model) = self.witnesses.nearest(&self.terms.circuit, &parts) else { return };
            candidates.push(Candidate { formula: *formula, changed: BTreeMap::new(), model });
        }
        if candidates.is_empty() {
            return;
        }
        let rules: Vec<Formula> = self.out.constraints.iter().map(|constraint| constraint.formula).collect();
        let (circuit, inputs) = (&self.terms.circuit, &self.terms.inputs);
        for round in 0..=ROUNDS {
            let models: Vec<Arc<Model>> = candidates.iter().map(|one| Arc::clone(&one.model)).collect();
            let mut values = Vec::with_capacity(circuit.len());
            circuit.extend_values(&mut values, |atom| bits_of(&models, atom));
            let all = models.iter().enumerate().fold(0, |all, (lane, _)| all | 1_u64 << lane);
            let allowed = rules.iter().fold(all, |all, rule| all & value_in(&values, *rule));
            let mut missed = Vec::new();
            for (lane, one) in candidates.into_iter().enumerate() {
                if (allowed & value_in(&values, one.formula)) >> lane & 1 == 0 && round < ROUNDS {
                    let truth = |formula: Formula| value_in(&values, formula) >> lane & 1 == 1;
                    missed.extend(changed(circuit, inputs, &rules, &truth, one));
                }
            }
            // Also a run that misses its formula is one, and the next question may be about it.
            let first = allowed.trailing_zeros();
            if allowed != 0 && round > 0 {
                let filled = keep_allowed(models, &mut values, allowed, first);
                self.witnesses.add_all(filled, values);
            }
            candidates = missed;
            if candidates.is_empty() {
                return;
            }
        }
    }
}

/// The runs, with the first allowed one in the place of each that breaks a rule.
fn keep_allowed(models: Vec<Arc<Model>>, values: &mut [u64], allowed: u64, first: u32) -> Vec<Arc<Model>> {
    let Some(other) = models.get(first as usize).cloned() else { return Vec::new() };
    for value in values {
        let all = if *value >> first & 1 == 1 { !allowed } else { 0 };
        *value = *value & allowed | all;
    }
    let kept = |(lane, model): (usize, Arc<Model>)| if allowed >> lane & 1 == 1 { model } else { Arc::clone(&other) };
    models.into_iter().enumerate().map(kept).collect()
}

/// A candidate that is changed where it misses its formula or breaks a rule; `None` where no change was found.
fn changed(
    circuit: &Circuit,
    inputs: &Inputs,
    rules: &[Formula],
    truth: &dyn Fn(Formula) -> bool,
    candidate: Candidate,
) -> Option<Candidate> {
    let Candidate { formula, changed, model } = candidate;
    let before = changed.len();
    let mut change = Change { circuit, truth, changed, trail: Vec::new(), left: MOST_NODES };
    let made = change.make(formula) && rules.iter().all(|rule| change.make(*rule));
    let changed = change.changed;
    if !made || changed.len() == before {
        return None;
    }
    let touched = inputs.variables_of(&changed.keys().copied().collect::<Vec<u32>>());
    // A comparison is kept as it is in the known run where none of its numbers changed.
    let bit = |atom: u32| match (changed.get(&atom), inputs.atoms.get(atom as usize)) {
        (Some(value), _) => Some(*value),
        (None, Some(Atom::Compares(at))) => {
            let (comparison, _) = inputs.comparisons.get(*at)?;
            let untouched = !comparison.variables().iter().any(|var| touched.contains(var));
            untouched.then(|| model.bit(atom))
        }
        (None, _) => Some(model.bit(atom)),
    };
    let cell = |var| inputs.value(var, |atom| bit(atom).unwrap_or(false));
    let wanted = |formula: Formula| circuit.as_atom(formula).and_then(|(atom, _)| bit(atom));
    let Settled::Numbers(numbers) = settle(inputs, cell, wanted, &BTreeMap::new()) else { return None };
    let atoms = 0..u32::try_from(inputs.atoms.len()).unwrap_or(u32::MAX);
    let bits: Vec<Option<bool>> = atoms.map(bit).collect();
    let model = Arc::new(Model::new(inputs, &bits, &|_| true, numbers));
    Some(Candidate { formula, changed, model })
}

/// Parts all of which hold where the formula does, those next to it first.
fn parts_of(circuit: &Circuit, formula: Formula) -> Vec<Formula> {
    let mut parts = vec![formula];
    let mut at = 0;
    while let Some(part) = parts.get(at).copied().filter(|_| parts.len() < MOST_PARTS) {
        if let Node::Both(a, b) = circuit.node(part.node())
            && !part.is_contrary()
        {
            parts.extend([a, b]);
        }
        at += 1;
    }
    parts
}

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;

    use super::*;
    use crate::compile;
    use crate::model::{ChoiceId, Id, Procedure};
    use crate::world::Memory;

    fn atoms<const N: usize>(circuit: &mut Circuit) -> [Formula; N] {
        std::array::from_fn(|_| circuit.atom())
    }

    /// What is changed of a run in which the atoms are as said for the formula to hold, atom by atom; `None` where nothing was found.
    fn changed_for(
        circuit: &Circuit,
        run: &[bool],
        before: &[(u32, bool)],
        formula: Formula,
    ) -> Option<Vec<(u32, bool)>> {
        let mut values = Vec::new();
        circuit.extend_values(&mut values, |atom| u64::from(run.get(atom as usize) == Some(&true)));
        let truth = |formula: Formula| value_in(&values, formula) & 1 == 1;
        let changed = before.iter().copied().collect();
        let mut change = Change { circuit, truth: &truth, changed, trail: Vec::new(), left: MOST_NODES };
        change.make(formula).then(|| change.changed.into_iter().collect())
    }

    #[test]
    fn of_what_holds_both_halves_have_to_and_no_more_is_changed() {
        let mut circuit = Circuit::new();
        let [a, b, c] = atoms(&mut circuit);
        let first = circuit.both(a, !b);
        let all = circuit.both(first, c);
        // b is false already.
        assert_eq!(changed_for(&circuit, &[false, false, false], &[], all), Some(vec![(0, true), (2, true)]));
        assert_eq!(changed_for(&circuit, &[true, false, true], &[], all), Some(vec![]));
        assert_eq!(changed_for(&circuit, &[true, true, true], &[], Formula::NEVER), None);
    }

    #[test]
    fn of_what_does_not_hold_the_later_half_is_changed() {
        let mut circuit = Circuit::new();
        let [a, b] = atoms(&mut circuit);
        let both = circuit.both(a, b);
        assert_eq!(changed_for(&circuit, &[true, true], &[], !both), Some(vec![(1, false)]));
    }

    #[test]
    fn what_was_changed_on_a_way_that_leads_nowhere_is_taken_back() {
        let mut circuit = Circuit::new();
        let [a, kept, c] = atoms(&mut circuit);
        // Both hold in the run. The later one fails only without `kept`, which stays as it was changed before.
        let later = circuit.both(c, !kept);
        let both = circuit.both(a, !later);
        assert_eq!(changed_for(&circuit, &[true, true, false], &[(1, true)], !both), Some(vec![(0, false), (1, true)]));
        assert_eq!(changed_for(&circuit, &[true, true, false], &[(1, true), (0, true)], !both), None);
    }

    #[test]
    fn a_change_looks_at_so_many_nodes_and_at_no_more() {
        let mut circuit = Circuit::new();
        let all: Vec<Formula> = (0..2 * MOST_NODES).map(|_| circuit.atom()).collect();
        let formula_of = |circuit: &mut Circuit, count: usize| circuit.all(all.iter().copied().take(count));
        let run = vec![false; 2 * MOST_NODES];
        let few = formula_of(&mut circuit, MOST_NODES / 2);
        assert_eq!(changed_for(&circuit, &run, &[], few).map(|changed| changed.len()), Some(MOST_NODES / 2));
        let many = formula_of(&mut circuit, MOST_NODES);
        assert_eq!(changed_for(&circuit, &run, &[], many), None);
    }

    #[test]
    fn parts_hold_where_the_formula_does_and_are_a_few() {
        let mut circuit = Circuit::new();
        let [a, b, c] = atoms(&mut circuit);
        let or = circuit.either(b, c);
        let and = circuit.both(a, or);
        assert_eq!(parts_of(&circuit, and).len(), 3);
        assert_eq!(parts_of(&circuit, and).first(), Some(&and));
        assert!([a, or].iter().all(|part| parts_of(&circuit, and).contains(part)));
        assert_eq!(parts_of(&circuit, or), [or]);
        let all: Vec<Formula> = (0..100).map(|_| circuit.atom()).collect();
        let long = circuit.all(all);
        assert!((MOST_PARTS..MOST_PARTS + 2).contains(&parts_of(&circuit, long).len()));
    }

    /// Five plates of ten kinds each, looked at one after the other, and a rule about two options.
    fn plates() -> Procedure {
        let mut text = "procedure plates \"Plates\"\noption a \"A\" { one \"One\"  two \"Two\" }\noption b \"B\" { one \"One\"  two \"Two\" }\n\
                        require a is one or b is one \"Only one plate is of two.\"\n"
            .to_owned();
        for plate in 0..5 {
            let kinds: String = (0..10).fold(String::new(), |mut all, kind| {
                let _ = write!(all, " k{kind} \"Kind {kind}\"");
                all
            });
            let _ = writeln!(text, "observe p{plate} \"Plate {plate}\" {{{kinds} }}");
        }
        text.push_str("section work \"Work\" {\n");
        for plate in 0..5 {
            let _ = writeln!(text, "  step s{plate} \"Look {plate}\" {{\n    > Look.\n    read p{plate}\n  }}");
        }
        text.push_str("  handover { sign installer }\n}\n");
        let compiled = compile::check("plates.fitw", &Memory::default().with("plates.fitw", text.as_str()));
        assert!(!compiled.has_errors(), "{:?}", compiled.findings());
        compiled.procedure().expect("a procedure").clone()
    }

    /// Each plate of the kind, and the options of the value, right before the last event.
    fn wanted(space: &mut Space<'_>, kinds: [usize; 5], options: [usize; 2]) -> Formula {
        let last = space.events().last().expect("events").id;
        let names = ["p0", "p1", "p2", "p3", "p4", "a", "b"];
        let values = kinds.into_iter().chain(options);
        let choices = space.procedure().choices.rows();
        let of =
            |name: &str| ChoiceId::from_index(choices.iter().position(|one| one.name.id == name).expect("declared"));
        let asked: Vec<(ChoiceId, usize)> = names.map(of).into_iter().zip(values).collect();
        let all: Vec<Formula> = asked.into_iter().map(|(id, value)| space.choice_is(last, id, value)).collect();
        space.all(all)
    }

    #[test]
    fn a_run_that_differs_from_known_ones_in_a_few_readings_is_found() {
        let procedure = plates();
        let mut space = Space::new(&procedure);
        let sought: Vec<Formula> =
            [[9, 8, 7, 6, 5], [1, 3, 5, 7, 9], [2, 2, 2, 9, 9]].map(|kinds| wanted(&mut space, kinds, [0, 1])).to_vec();
        let known = |space: &mut Space<'_>, formula: &Formula| space.witnesses.with(&space.terms.circuit, *formula);
        assert!(sought.iter().all(|formula| known(&mut space, formula).is_none()), "one of 100,000 is known already");
        space.find_nearby(&sought);
        for formula in &sought {
            let model = known(&mut space, formula).expect("found");
            let truths = model.truths(&space.terms.circuit, space.terms.circuit.len());
            assert!(truths.holds(*formula));
            assert!(space.out.constraints.iter().all(|rule| truths.holds(rule.formula)), "the rules hold in it");
        }
    }

    #[test]
    fn no_run_is_found_that_breaks_a_rule() {
        let procedure = plates();
        let mut space = Space::new(&procedure);
        let forbidden = wanted(&mut space, [9, 8, 7, 6, 5], [1, 1]);
        space.find_nearby(&[forbidden]);
        assert!(space.witnesses.with(&space.terms.circuit, forbidden).is_none());
        let rules: Vec<Formula> = space.out.constraints.iter().map(|rule| rule.formula).collect();
        assert!(!rules.is_empty());
        for rule in rules {
            assert!(space.witnesses.with(&space.terms.circuit, !rule).is_none(), "a run that is kept breaks a rule");
        }
    }
}
