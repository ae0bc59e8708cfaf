//! Sums over runs: the most and the least that guarded counts come to, and every total.
//!
//! The most is found from above, by core-guided MaxSAT (OLL; Morgado, Dodaro and Marques-Silva, CP 2014): ask for
//! everything at once; each contradiction lowers the bound by the least count in it, and is replaced by counters of how
//! many of its parts are missing; when nothing contradicts any more, the bound is reached, by the run that was found.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use batsat::Lit;

use super::formula::Formula;
use super::solver::{Engine, Solved};
use super::{Answer, Model, Space, Weighted};

/// The most, or the least, that a sum comes to.
#[derive(Debug, Clone)]
#[must_use]
pub enum Extreme {
    /// Exactly this, in this run.
    Exact {
        /// The sum.
        value: i64,
        /// A run in which it comes to that.
        model: Arc<Model>,
    },
    /// No run counts.
    Impossible,
    /// Not decided within the effort: it lies between these, both included; `found` is a run that shows one of them.
    Undecided {
        /// No run comes to less than this (for the least) or the best run found does (for the most).
        at_least: i64,
        /// The same from above.
        at_most: i64,
        /// The best run found, if any.
        found: Option<Arc<Model>>,
    },
}

/// Every total that occurs.
#[derive(Debug, Clone)]
#[must_use]
pub struct Totals {
    /// Totals, ascending, each with a run.
    pub found: Vec<(i64, Arc<Model>)>,
    /// Whether these are all; otherwise there may be more.
    pub complete: bool,
}

/// The most totals that are told apart.
const MOST_TOTALS: usize = 256;
/// The most parts of a sum that are weighed against one another.
const MOST_WEIGHED: usize = 64;
/// How many leavings-out are tried for one contradiction.
const TRIES: usize = 4;

/// What is still asked for: the literal, what its absence costs, and the counter that it belongs to.
#[derive(Debug, Clone, Copy)]
struct Wish {
    weight: i64,
    counter: Option<(usize, usize)>,
}

impl Space<'_> {
    /// The most that the sum comes to among the runs in which `within` holds.
    pub fn most(&mut self, counts: &[Weighted], within: Formula) -> Extreme {
        if self.out.incomplete || self.doubtful_sum(counts, within) {
            let (low, high) = plain_bounds(counts);
            return Extreme::Undecided { at_least: low, at_most: high, found: None };
        }
        let (base, wishes) = self.as_wishes(counts);
        let highest = wishes.values().fold(base, |sum, weight| sum.saturating_add(*weight));
        let mut best = self.best_known(counts, within);
        if let Some((value, model)) = best.as_ref().filter(|(value, _)| *value == highest) {
            return Extreme::Exact { value: *value, model: Arc::clone(model) };
        }
        self.lower_bound(counts, within, wishes, highest, &mut best)
    }

    /// The least that the sum comes to among the runs in which `within` holds.
    pub fn least(&mut self, counts: &[Weighted], within: Formula) -> Extreme {
        let turned: Vec<Weighted> =
            counts.iter().map(|c| Weighted { when: c.when, count: c.count.saturating_neg() }).collect();
        match self.most(&turned, within) {
            Extreme::Exact { value, model } => Extreme::Exact { value: -value, model },
            Extreme::Impossible => Extreme::Impossible,
            Extreme::Undecided { at_least, at_most, found } => {
                Extreme::Undecided { at_least: -at_most, at_most: -at_least, found }
            }
        }
    }

    /// What a sum comes to in one run.
    pub fn sum_in(&self, counts: &[Weighted], model: &Model) -> i64 {
        let truths = self.truths(model);
        let held = counts.iter().filter(|c| truths.holds(c.when));
        held.fold(0, |sum, c| sum.saturating_add(c.count))
    }

    /// A formula under which the sum comes to at least what it does in the run: what adds to it there holds, and what
    /// lessens it and is absent there does not. It is what a case of a count is proved from.
    pub fn at_least_as_in(&mut self, counts: &[Weighted], model: &Model) -> Formula {
        let truths = self.truths(model);
        let parts: Vec<Formula> = counts
            .iter()
            .filter_map(|c| match (c.count > 0, truths.holds(c.when)) {
                (true, true) => Some(c.when),
                (false, false) if c.count != 0 => Some(!c.when),
                _ => None,
            })
            .collect();
        self.all(parts)
    }

    /// The runs in which the sum comes to at least so much. `None` where it has more parts than are weighed against one
    /// another.
    pub fn at_least(&mut self, counts: &[Weighted], least: i64) -> Option<Formula> {
        let (base, wishes) = self.as_wishes(counts);
        let missing = least.saturating_sub(base);
        if missing <= 0 {
            return Some(Formula::ALWAYS);
        }
        if wishes.len() > MOST_WEIGHED {
            return None;
        }
        // The greatest first: then a sum is soon reached, or out of reach.
        let mut wishes: Vec<(Formula, i64)> = wishes.into_iter().collect();
        wishes.sort_by_key(|(_, weight)| std::cmp::Reverse(*weight));
        let mut left = wishes.iter().fold(0, |sum: i64, (_, weight)| sum.saturating_add(*weight));
        let mut reached = Formula::NEVER;
        let mut open = BTreeMap::from([(missing, Formula::ALWAYS)]);
        for (formula, weight) in wishes {
            left = left.saturating_sub(weight);
            let mut next: BTreeMap<i64, Formula> = BTreeMap::new();
            for (missing, so_far) in open {
                for (holds, missing) in [(formula, missing.saturating_sub(weight)), (!formula, missing)] {
                    let here = self.both(so_far, holds);
                    if missing <= 0 {
                        reached = self.either(reached, here);
                    } else if missing <= left && here != Formula::NEVER {
                        let slot = next.entry(missing).or_insert(Formula::NEVER);
                        *slot = self.terms.circuit.either(*slot, here);
                    }
                }
            }
            open = next;
            if open.len() > MOST_TOTALS {
                return None;
            }
        }
        Some(reached)
    }

    /// Every total among the runs in which `within` holds, up to some hundreds.
    pub fn totals(&mut self, counts: &[Weighted], within: Formula) -> Totals {
        let (base, wishes) = self.as_wishes(counts);
        let mut sums: BTreeMap<i64, Formula> = BTreeMap::from([(base, within)]);
        let mut complete = true;
        for (formula, weight) in wishes {
            let mut next: BTreeMap<i64, Formula> = BTreeMap::new();
            for (sum, so_far) in &sums {
                for (holds, added) in [(!formula, 0), (formula, weight)] {
                    let here = self.both(*so_far, holds);
                    if here == Formula::NEVER {
                        continue;
                    }
                    let slot = next.entry(sum.saturating_add(added)).or_insert(Formula::NEVER);
                    *slot = self.terms.circuit.either(*slot, here);
                }
            }
            sums = next;
            while sums.len() > MOST_TOTALS {
                complete = false;
                sums.pop_last();
            }
        }
        let formulas: Vec<Formula> = sums.values().copied().collect();
        let answers = self.ask_each(&formulas);
        let mut found = Vec::new();
        for (sum, answer) in sums.into_keys().zip(answers) {
            match answer {
                Answer::Possible(model) => found.push((sum, model)),
                Answer::Impossible => {}
                Answer::Undecided => complete = false,
            }
        }
        Totals { found, complete }
    }

    fn doubtful_sum(&self, counts: &[Weighted], within: Formula) -> bool {
        let formulas: Vec<Formula> = counts.iter().map(|c| c.when).chain([within]).collect();
        self.is_doubtful(&formulas)
    }

    /// The sum as a constant and positive weights on formulas, each formula once and never with its contrary.
    fn as_wishes(&self, counts: &[Weighted]) -> (i64, BTreeMap<Formula, i64>) {
        let mut base: i64 = 0;
        let mut plain: BTreeMap<Formula, i64> = BTreeMap::new();
        for c in counts {
            match c.when {
                Formula::NEVER => {}
                Formula::ALWAYS => base = base.saturating_add(c.count),
                // Counts go by the plain sense of a formula: n where not f is n, less n where f.
                when if when.is_contrary() => {
                    base = base.saturating_add(c.count);
                    let slot = plain.entry(!when).or_insert(0);
                    *slot = slot.saturating_sub(c.count);
                }
                when => {
                    let slot = plain.entry(when).or_insert(0);
                    *slot = slot.saturating_add(c.count);
                }
            }
        }
        let mut wishes = BTreeMap::new();
        for (formula, count) in plain {
            if count > 0 {
                wishes.insert(formula, count);
            } else if count < 0 {
                base = base.saturating_add(count);
                wishes.insert(!formula, -count);
            }
        }
        (base, wishes)
    }

    /// The best of the runs that are known already.
    fn best_known(&mut self, counts: &[Weighted], within: Formula) -> Option<(i64, Arc<Model>)> {
        let sums = self.witnesses.sums(&self.terms.circuit, counts, within);
        sums.into_iter().max_by_key(|(sum, _)| *sum)
    }

    /// Lowers the bound until a run reaches it.
    fn lower_bound(
        &mut self,
        counts: &[Weighted],
        within: Formula,
        wishes: BTreeMap<Formula, i64>,
        mut bound: i64,
        best: &mut Option<(i64, Arc<Model>)>,
    ) -> Extreme {
        let mut engine = self.engine();
        let within_lit = engine.literal(&self.terms.circuit, within);
        let mut open: BTreeMap<Lit, Wish> = BTreeMap::new();
        for (formula, weight) in wishes {
            let lit = engine.literal(&self.terms.circuit, formula);
            open.insert(lit, Wish { weight, counter: None });
        }
        let mut counters: Vec<Vec<Lit>> = Vec::new();
        loop {
            let assumed: Vec<Lit> = std::iter::once(within_lit).chain(open.keys().copied()).collect();
            let core = match self.smallest_core(&mut engine, &assumed, TRIES) {
                Ok(core) => core,
                Err(Solved::Run(model)) => {
                    let model = self.witnesses.add(&self.terms.circuit, model);
                    return Extreme::Exact { value: self.sum_in(counts, &model), model };
                }
                Err(_) => return undecided(counts, bound, best.take()),
            };
            let missing: Vec<Lit> = core.into_iter().filter(|lit| open.contains_key(lit)).collect();
            let Some(least) = missing.iter().filter_map(|lit| open.get(lit)).map(|wish| wish.weight).min() else {
                return Extreme::Impossible;
            };
            bound = bound.saturating_sub(least);
            if let Some((value, model)) = best.as_ref().filter(|(value, _)| *value == bound) {
                return Extreme::Exact { value: *value, model: Arc::clone(model) };
            }
            relax(&mut engine, &missing, least, &mut open, &mut counters);
        }
    }

    /// The distinct inputs that a set of counts depends on, for messages.
    pub fn decides(&self, counts: &[Weighted]) -> BTreeSet<super::Input> {
        let formulas: Vec<Formula> = counts.iter().map(|c| c.when).collect();
        self.support(&formulas)
    }
}

/// What the sum lies between whatever holds.
fn plain_bounds(counts: &[Weighted]) -> (i64, i64) {
    let part =
        |wanted: fn(i64) -> bool| counts.iter().map(|c| c.count).filter(|c| wanted(*c)).fold(0, i64::saturating_add);
    (part(|c| c < 0), part(|c| c > 0))
}

fn undecided(counts: &[Weighted], bound: i64, best: Option<(i64, Arc<Model>)>) -> Extreme {
    let (low, _) = plain_bounds(counts);
    match best {
        Some((value, model)) => Extreme::Undecided { at_least: value, at_most: bound, found: Some(model) },
        None => Extreme::Undecided { at_least: low, at_most: bound, found: None },
    }
}

/// Takes `least` off each wish of a contradiction, and wishes that no more than one of them be missing.
fn relax(
    engine: &mut Engine,
    missing: &[Lit],
    least: i64,
    open: &mut BTreeMap<Lit, Wish>,
    counters: &mut Vec<Vec<Lit>>,
) {
    let mut again: Vec<(usize, usize)> = Vec::new();
    for lit in missing {
        if let Some(wish) = open.get_mut(lit) {
            wish.weight -= least;
            again.extend(wish.counter);
        }
    }
    open.retain(|_, wish| wish.weight > 0);
    for (counter, at) in again {
        wish_fewer(counter, at + 1, least, open, counters);
    }
    if missing.len() > 1 {
        let absent: Vec<Lit> = missing.iter().map(|lit| !*lit).collect();
        counters.push(counter(engine, &absent));
        wish_fewer(counters.len() - 1, 1, least, open, counters);
    }
}

/// Wishes that at most `at` of what a counter counts be so.
fn wish_fewer(counter: usize, at: usize, weight: i64, open: &mut BTreeMap<Lit, Wish>, counters: &[Vec<Lit>]) {
    let Some(output) = counters.get(counter).and_then(|outputs| outputs.get(at)) else { return };
    let wish = open.entry(!*output).or_insert(Wish { weight: 0, counter: Some((counter, at)) });
    wish.weight += weight;
}

/// Outputs of a totalizer (Bailleux and Boufkhad, CP 2003): the n-th (from 0) follows where more than n of the
/// literals hold.
fn counter(engine: &mut Engine, lits: &[Lit]) -> Vec<Lit> {
    if lits.len() <= 1 {
        return lits.to_vec();
    }
    let (left, right) = lits.split_at(lits.len() / 2);
    let (left, right) = (counter(engine, left), counter(engine, right));
    let outputs: Vec<Lit> = lits.iter().map(|_| engine.counter_variable()).collect();
    for a in 0..=left.len() {
        for b in 0..=right.len() {
            let Some(output) = (a + b).checked_sub(1).and_then(|at| outputs.get(at)) else { continue };
            let from_left = a.checked_sub(1).and_then(|at| left.get(at)).map(|lit| !*lit);
            let from_right = b.checked_sub(1).and_then(|at| right.get(at)).map(|lit| !*lit);
            engine.clause(from_left.into_iter().chain(from_right).chain([*output]));
        }
    }
    outputs
}
