//! Truths about a run of the job, as a shared circuit.
//!
//! A *circuit* is a list of nodes: the constant, *atoms* (truths that nothing here decides), and *both* (two formulas
//! hold). A [`Formula`] is a node or its contrary. Equal nodes are made once, so that what the text says again costs
//! nothing again: the circuit grows with the text and not with the number of configurations.
//!
//! Simplification looks two levels deep. That decides most of what a writer means plainly (`make` and `need` under the
//! same `when`) without any search.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};
use std::ops::Not;

/// A truth about a run of the job. Copies are free; two equal formulas mean the same (the reverse need not hold).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Formula(u32);

impl Formula {
    /// In no run.
    pub const NEVER: Formula = Formula(0);
    /// In every run.
    pub const ALWAYS: Formula = Formula(1);

    fn of(node: usize, contrary: bool) -> Formula {
        Formula((u32::try_from(node).unwrap_or(u32::MAX >> 1) << 1) | u32::from(contrary))
    }

    /// The node that it is about.
    pub(super) fn node(self) -> usize {
        (self.0 >> 1) as usize
    }

    /// Whether it is the contrary of its node.
    pub(super) fn is_contrary(self) -> bool {
        self.0 & 1 == 1
    }
}

impl Not for Formula {
    type Output = Formula;
    fn not(self) -> Formula {
        Formula(self.0 ^ 1)
    }
}

/// A node of the circuit. A `Both` names only earlier nodes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Node {
    /// Never true.
    Constant,
    /// The atom of this number.
    Atom(u32),
    /// Both hold.
    Both(Formula, Formula),
}

/// All nodes, and which pair was already made.
#[derive(Debug, Clone)]
pub(super) struct Circuit {
    nodes: Vec<Node>,
    atoms: Vec<Formula>,
    made: HashMap<(Formula, Formula), Formula, BuildHasherDefault<Mixed>>,
}

/// A quick hash of a few small numbers. They are ours and not the writer's, so that nobody can choose them to clash.
#[derive(Debug, Clone, Default)]
struct Mixed(u64);

impl Hasher for Mixed {
    fn write(&mut self, bytes: &[u8]) {
        bytes.iter().for_each(|byte| self.write_u32(u32::from(*byte)));
    }

    fn write_u32(&mut self, number: u32) {
        // An odd factor with its ones well spread, by which each bit of a number reaches all above it.
        self.0 = (self.0.rotate_left(26) ^ u64::from(number)).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    }

    fn finish(&self) -> u64 {
        // The table looks at the lowest bits, which the factor has reached least.
        self.0.rotate_left(26)
    }
}

impl Circuit {
    /// The circuit that has only the constant.
    pub fn new() -> Circuit {
        Circuit { nodes: vec![Node::Constant], atoms: Vec::new(), made: HashMap::default() }
    }

    /// How many nodes.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// A node; the constant for a number that has none.
    pub fn node(&self, at: usize) -> Node {
        self.nodes.get(at).copied().unwrap_or(Node::Constant)
    }

    /// The formula of a node in its plain sense.
    pub fn plain(&self, at: usize) -> Formula {
        Formula::of(at, false)
    }

    /// A new truth that nothing decides.
    pub fn atom(&mut self) -> Formula {
        self.nodes.push(Node::Atom(u32::try_from(self.atoms.len()).unwrap_or(u32::MAX)));
        let formula = Formula::of(self.nodes.len() - 1, false);
        self.atoms.push(formula);
        formula
    }

    /// The formula of an atom.
    pub fn of_atom(&self, atom: u32) -> Formula {
        self.atoms.get(atom as usize).copied().unwrap_or(Formula::NEVER)
    }

    /// The atom behind a formula that is one, and its sense.
    pub fn as_atom(&self, formula: Formula) -> Option<(u32, bool)> {
        match self.node(formula.node()) {
            Node::Atom(atom) => Some((atom, !formula.is_contrary())),
            _ => None,
        }
    }

    /// The two halves of a `Both`, whatever the sense of the formula.
    fn halves(&self, formula: Formula) -> Option<(Formula, Formula)> {
        match self.node(formula.node()) {
            Node::Both(a, b) => Some((a, b)),
            _ => None,
        }
    }

    /// Both hold.
    pub fn both(&mut self, a: Formula, b: Formula) -> Formula {
        let (mut a, mut b) = (a, b);
        loop {
            if a == Formula::NEVER || b == Formula::NEVER || a == !b {
                return Formula::NEVER;
            }
            if a == Formula::ALWAYS || a == b {
                return b;
            }
            if b == Formula::ALWAYS {
                return a;
            }
            match self.shortened(a, b).or_else(|| self.shortened(b, a)) {
                Some(Shortened::To(formula)) => return formula,
                Some(Shortened::Pair(x, y)) => (a, b) = (x, y),
                None => break,
            }
        }
        let key = if a < b { (a, b) } else { (b, a) };
        if let Some(formula) = self.made.get(&key) {
            return *formula;
        }
        self.nodes.push(Node::Both(key.0, key.1));
        let formula = Formula::of(self.nodes.len() - 1, false);
        self.made.insert(key, formula);
        formula
    }

    /// What `a and b` comes to when a half of `a` says something about `b`.
    fn shortened(&self, a: Formula, b: Formula) -> Option<Shortened> {
        let (x, y) = self.halves(a)?;
        if a.is_contrary() {
            // not (x and y), and b
            if b == !x || b == !y {
                return Some(Shortened::To(b));
            }
            if b == x {
                return Some(Shortened::Pair(b, !y));
            }
            if b == y {
                return Some(Shortened::Pair(b, !x));
            }
            let (p, q) = self.halves(b)?;
            if b.is_contrary() {
                // not (x and y), not (x and not y): not x
                for (same, one, other_same, other) in [(x, y, p, q), (x, y, q, p), (y, x, p, q), (y, x, q, p)] {
                    if same == other_same && one == !other {
                        return Some(Shortened::To(!same));
                    }
                }
                return None;
            }
            if [p, q].contains(&!x) || [p, q].contains(&!y) {
                return Some(Shortened::To(b));
            }
            if [p, q].contains(&x) {
                return Some(Shortened::Pair(b, !y));
            }
            if [p, q].contains(&y) {
                return Some(Shortened::Pair(b, !x));
            }
            return None;
        }
        if b == x || b == y {
            return Some(Shortened::To(a));
        }
        if b == !x || b == !y {
            return Some(Shortened::To(Formula::NEVER));
        }
        let (p, q) = self.halves(b)?;
        if !b.is_contrary() && ([p, q].contains(&!x) || [p, q].contains(&!y)) {
            return Some(Shortened::To(Formula::NEVER));
        }
        None
    }

    /// At least one holds.
    pub fn either(&mut self, a: Formula, b: Formula) -> Formula {
        !self.both(!a, !b)
    }

    /// `then` where `condition` holds, else `otherwise`.
    pub fn choose(&mut self, condition: Formula, then: Formula, otherwise: Formula) -> Formula {
        if then == otherwise {
            return then;
        }
        let yes = self.both(condition, then);
        let no = self.both(!condition, otherwise);
        self.either(yes, no)
    }

    /// All hold.
    pub fn all(&mut self, formulas: impl IntoIterator<Item = Formula>) -> Formula {
        formulas.into_iter().fold(Formula::ALWAYS, |sum, formula| self.both(sum, formula))
    }

    /// At least one holds.
    pub fn any(&mut self, formulas: impl IntoIterator<Item = Formula>) -> Formula {
        formulas.into_iter().fold(Formula::NEVER, |sum, formula| self.either(sum, formula))
    }

    /// Sixty-four truth values of each node from `values.len()` on, given those of the atoms.
    pub fn extend_values(&self, values: &mut Vec<u64>, atom: impl Fn(u32) -> u64) {
        self.extend_to(self.nodes.len(), values, atom);
    }

    /// The same of no more than so many nodes.
    pub fn extend_to(&self, nodes: usize, values: &mut Vec<u64>, atom: impl Fn(u32) -> u64) {
        for node in self.nodes.iter().take(nodes).skip(values.len()) {
            let value = match *node {
                Node::Constant => 0,
                Node::Atom(at) => atom(at),
                Node::Both(a, b) => value_in(values, a) & value_in(values, b),
            };
            values.push(value);
        }
    }

    /// The atoms on which the formulas depend, ascending.
    pub fn atoms_of(&self, formulas: &[Formula]) -> Vec<u32> {
        // A bit a node.
        let mut seen = vec![0_u64; self.nodes.len().div_ceil(64)];
        let mut open: Vec<usize> = formulas.iter().map(|formula| formula.node()).collect();
        let mut found = Vec::new();
        while let Some(at) = open.pop() {
            let Some(word) = seen.get_mut(at / 64).filter(|word| **word >> (at % 64) & 1 == 0) else { continue };
            *word |= 1 << (at % 64);
            match self.node(at) {
                Node::Constant => {}
                Node::Atom(atom) => found.push(atom),
                Node::Both(a, b) => open.extend([a.node(), b.node()]),
            }
        }
        found.sort_unstable();
        found
    }
}

enum Shortened {
    To(Formula),
    Pair(Formula, Formula),
}

/// The values of a formula, given those of its node.
pub(super) fn value_in(values: &[u64], formula: Formula) -> u64 {
    let value = values.get(formula.node()).copied().unwrap_or(0);
    if formula.is_contrary() { !value } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Values of six atoms over all 64 assignments.
    fn truth(atom: u32) -> u64 {
        (0..64).filter(|row| row >> atom & 1 == 1).fold(0, |word, row| word | 1 << row)
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// The oracle is the truth table: whatever is simplified, all 64 rows keep their value.
        #[test]
        fn simplification_keeps_the_truth_table(ops in prop::collection::vec((0u8..3, any::<(u16, u16, u16)>()), 1..60)) {
            let mut circuit = Circuit::new();
            let mut made: Vec<(Formula, u64)> = (0..6).map(|atom| (circuit.atom(), truth(atom))).collect();
            made.push((Formula::ALWAYS, u64::MAX));
            for (op, (a, b, c)) in ops {
                let pick = |n: u16| {
                    let (formula, value) = made[n as usize / 2 % made.len()];
                    if n.is_multiple_of(2) { (formula, value) } else { (!formula, !value) }
                };
                let (a, b, c) = (pick(a), pick(b), pick(c));
                made.push(match op {
                    0 => (circuit.both(a.0, b.0), a.1 & b.1),
                    1 => (circuit.either(a.0, b.0), a.1 | b.1),
                    _ => (circuit.choose(a.0, b.0, c.0), (a.1 & b.1) | (!a.1 & c.1)),
                });
            }
            let mut values = Vec::new();
            circuit.extend_values(&mut values, truth);
            for (formula, value) in made {
                prop_assert_eq!(value_in(&values, formula), value);
            }
        }
    }

    #[test]
    fn a_branch_and_its_else_join_to_what_was_before() {
        let mut circuit = Circuit::new();
        let (guard, condition) = (circuit.atom(), circuit.atom());
        let then = circuit.both(guard, condition);
        let otherwise = circuit.both(guard, !condition);
        assert_eq!(circuit.either(then, otherwise), guard);
        assert_eq!(circuit.both(guard, !then), otherwise);
    }
}
