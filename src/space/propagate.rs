//! What follows from assumptions without any search: unit propagation over the circuit.
//!
//! If both halves of a node hold, so does the node; if a node holds, so do its halves; if it fails and one half holds,
//! the other fails. What is *forced* this way is certain; what is not may still follow, and only the solver can tell.
//! Assumptions are taken back in the reverse order, so that questions about neighbouring places share the work.

use std::collections::VecDeque;

use super::Space;
use super::formula::{Circuit, Formula, Node};
use super::witness::Weighted;

/// How many nodes a single question may force: a search from there costs less than the rest of a long procedure.
const NEAR: usize = 500;

/// The truths forced so far.
#[derive(Debug, Default)]
pub(super) struct Forced {
    /// Of each node, as far as it is forced.
    values: Vec<Option<bool>>,
    /// For each node, the nodes of which it is a half.
    wholes: Vec<Vec<u32>>,
    /// Nodes in the order in which they were forced.
    trail: Vec<usize>,
    /// What every question so far began with, where nothing was made since: the formula, and what it forces.
    begun: Option<(Formula, Option<usize>)>,
}

impl Forced {
    /// Assumes what every run keeps and a formula; gives how long the trail is then, `None` where they contradict each
    /// other.
    fn begin(&mut self, circuit: &Circuit, rules: impl Iterator<Item = Formula>, within: Formula) -> Option<usize> {
        match self.begun {
            Some((begun, base)) if begun == within && self.values.len() == circuit.len() => {
                self.take_back(base.unwrap_or(0));
                base
            }
            _ => {
                self.take_back(0);
                self.catch_up(circuit);
                let mut all = rules.chain([within]);
                let base = all.all(|formula| self.assume(circuit, formula, usize::MAX)).then_some(self.trail.len());
                self.begun = Some((within, base));
                base
            }
        }
    }

    /// Takes in the nodes that were made since.
    fn catch_up(&mut self, circuit: &Circuit) {
        let from = self.values.len();
        self.values.resize(circuit.len(), None);
        self.wholes.resize(circuit.len(), Vec::new());
        for at in from..circuit.len() {
            if let Node::Both(a, b) = circuit.node(at) {
                for half in [a, b] {
                    if let (Some(wholes), Ok(at)) = (self.wholes.get_mut(half.node()), u32::try_from(at)) {
                        wholes.push(at);
                    }
                }
            }
        }
    }

    /// Assumes a formula and what follows, the nearest first; `false` where it contradicts what is assumed already. No
    /// more than `most` nodes are forced, so that what follows further off may be missed.
    fn assume(&mut self, circuit: &Circuit, formula: Formula, most: usize) -> bool {
        let mut open = VecDeque::from([formula]);
        let full = self.trail.len().saturating_add(most);
        while let Some(formula) = open.pop_front() {
            if self.trail.len() >= full {
                break;
            }
            match self.of(formula) {
                Some(true) => continue,
                Some(false) => return false,
                None => {}
            }
            let at = formula.node();
            let Some(slot) = self.values.get_mut(at) else { return true };
            *slot = Some(!formula.is_contrary());
            self.trail.push(at);
            self.follow(circuit, at, &mut open);
            for whole in self.wholes.get(at).into_iter().flatten() {
                self.follow(circuit, *whole as usize, &mut open);
            }
        }
        true
    }

    /// What a node and its halves force in each other.
    fn follow(&self, circuit: &Circuit, at: usize, open: &mut VecDeque<Formula>) {
        let Node::Both(a, b) = circuit.node(at) else { return };
        let whole = circuit.plain(at);
        match (self.of(whole), self.of(a), self.of(b)) {
            (Some(true), ..) => open.extend([a, b]),
            (_, Some(true), Some(true)) => open.push_back(whole),
            (_, Some(false), _) | (_, _, Some(false)) => open.push_back(!whole),
            (Some(false), Some(true), _) => open.push_back(!b),
            (Some(false), _, Some(true)) => open.push_back(!a),
            _ => {}
        }
    }

    /// The truth of a formula where it is forced.
    fn of(&self, formula: Formula) -> Option<bool> {
        match formula {
            Formula::ALWAYS => Some(true),
            Formula::NEVER => Some(false),
            _ => self.values.get(formula.node()).copied().flatten().map(|holds| holds != formula.is_contrary()),
        }
    }

    /// Takes back assumptions until so many nodes are forced.
    fn take_back(&mut self, to: usize) {
        for at in self.trail.drain(to.min(self.trail.len())..) {
            if let Some(slot) = self.values.get_mut(at) {
                *slot = None;
            }
        }
    }
}

impl Space<'_> {
    /// Whether it needs no search to see that no run can be as the formula says. Where not, there may still be none.
    pub(super) fn contradicts_itself(&mut self, formula: Formula) -> bool {
        let Space { terms, forced, out, .. } = self;
        let rules = out.constraints.iter().map(|constraint| constraint.formula);
        let Some(base) = forced.begin(&terms.circuit, rules, Formula::ALWAYS) else { return true };
        let holds = forced.assume(&terms.circuit, formula, NEAR);
        forced.take_back(base);
        !holds
    }

    /// A number that the sum of counts exceeds in no run in which `within` holds; `None` where no run can be one. It
    /// may be higher than the most that occurs: for that, ask [`Space::most`].
    ///
    /// Each count that lessens the sum is set against counts that add to it and force it: wherever these are added, it
    /// is taken away again.
    pub fn bound(&mut self, counts: &[Weighted], within: Formula) -> Option<i64> {
        let Space { terms, forced, out, .. } = self;
        if out.incomplete {
            return Some(i64::MAX);
        }
        // Whatever else is so: all that may be added, less what is always taken away.
        let plain = |c: &&Weighted| if c.count > 0 { c.when != Formula::NEVER } else { c.when == Formula::ALWAYS };
        let most = counts.iter().filter(plain).fold(0, |sum: i64, c| sum.saturating_add(c.count));
        if most <= 0 {
            return Some(most);
        }
        let circuit = &terms.circuit;
        let rules = out.constraints.iter().map(|constraint| constraint.formula);
        let base = forced.begin(circuit, rules, within)?;
        let mut less: Vec<(Formula, i64)> =
            counts.iter().filter(|c| c.count < 0).map(|c| (c.when, c.count.saturating_neg())).collect();
        let mut bound: i64 = 0;
        for added in counts.iter().filter(|c| c.count > 0) {
            if forced.assume(circuit, added.when, usize::MAX) {
                let mut left = added.count;
                for (when, unused) in less.iter_mut().filter(|(_, unused)| *unused > 0) {
                    if left > 0 && forced.of(*when) == Some(true) {
                        let set_off = left.min(*unused);
                        left -= set_off;
                        *unused -= set_off;
                    }
                }
                bound = bound.saturating_add(left);
            }
            forced.take_back(base);
        }
        let surely: i64 = less
            .iter()
            .filter(|(when, _)| forced.of(*when) == Some(true))
            .fold(0, |sum, (_, unused)| sum.saturating_add(*unused));
        Some(bound.saturating_sub(surely))
    }
}
