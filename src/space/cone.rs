//! The part of a circuit on which some formulas depend, to be counted out again and again.

use std::ops::{BitAnd, BitOr, BitXor, Not};

use super::formula::{Circuit, Formula, Node};

/// Some of the runs that are looked at together, a bit a run. They are many, since finding a node takes longer than counting it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Runs([u64; Runs::WORDS]);

impl Runs {
    const WORDS: usize = 4;
    /// How many runs are looked at together.
    pub const MOST: usize = 64 * Runs::WORDS;
    /// None of them.
    pub const NONE: Runs = Runs([0; Runs::WORDS]);
    /// All of them.
    pub const ALL: Runs = Runs([u64::MAX; Runs::WORDS]);

    /// Adds a run, by its number.
    pub fn add(&mut self, run: usize) {
        if let Some(word) = self.0.get_mut(run / 64) {
            *word |= 1 << (run % 64);
        }
    }

    /// Whether a run is among them.
    pub fn has(&self, run: usize) -> bool {
        self.0.get(run / 64).is_some_and(|word| word >> (run % 64) & 1 == 1)
    }
}

impl BitAnd for Runs {
    type Output = Runs;
    fn bitand(mut self, other: Runs) -> Runs {
        self.0.iter_mut().zip(other.0).for_each(|(word, other)| *word &= other);
        self
    }
}

impl BitOr for Runs {
    type Output = Runs;
    fn bitor(self, other: Runs) -> Runs {
        !(!self & !other)
    }
}

impl BitXor for Runs {
    type Output = Runs;
    fn bitxor(mut self, other: Runs) -> Runs {
        self.0.iter_mut().zip(other.0).for_each(|(word, other)| *word ^= other);
        self
    }
}

impl Not for Runs {
    type Output = Runs;
    fn not(self) -> Runs {
        self ^ Runs::ALL
    }
}

/// A node, with the places of its halves within the cone.
#[derive(Debug, Clone, Copy)]
enum Counted {
    Constant,
    Atom(u32),
    Both(Half, Half),
}

/// A place within the cone, and whether its contrary is meant.
#[derive(Debug, Clone, Copy)]
struct Half(u32, bool);

/// The nodes behind some formulas, each after those on which it depends.
#[derive(Debug)]
pub(super) struct Cone {
    nodes: Vec<Counted>,
    /// Of each node of the circuit its place within the cone, plus one; 0 where it is not of it.
    places: Vec<u32>,
}

impl Cone {
    /// The cone of the formulas.
    pub fn of(circuit: &Circuit, formulas: impl IntoIterator<Item = Formula>) -> Cone {
        let mut places = vec![0_u32; circuit.len()];
        let mut found: Vec<usize> = Vec::new();
        let mut open: Vec<usize> = formulas.into_iter().map(Formula::node).collect();
        while let Some(at) = open.pop() {
            let Some(slot) = places.get_mut(at).filter(|slot| **slot == 0) else { continue };
            *slot = 1;
            found.push(at);
            if let Node::Both(a, b) = circuit.node(at) {
                open.extend([a.node(), b.node()]);
            }
        }
        // A node names earlier ones only.
        found.sort_unstable();
        let mut cone = Cone { nodes: Vec::with_capacity(found.len()), places };
        for at in found {
            let counted = match circuit.node(at) {
                Node::Constant => Counted::Constant,
                Node::Atom(atom) => Counted::Atom(atom),
                Node::Both(a, b) => Counted::Both(cone.half(a), cone.half(b)),
            };
            cone.nodes.push(counted);
            if let Some(slot) = cone.places.get_mut(at) {
                *slot = u32::try_from(cone.nodes.len()).unwrap_or(u32::MAX);
            }
        }
        cone
    }

    fn half(&self, formula: Formula) -> Half {
        let place = self.places.get(formula.node()).map_or(0, |place| place.saturating_sub(1));
        Half(place, formula.is_contrary())
    }

    /// The truth values of each of its nodes in as many runs as are looked at together, given those of the atoms.
    pub fn values(&self, atom: impl Fn(u32) -> Runs) -> Vec<Runs> {
        let mut values = Vec::with_capacity(self.nodes.len());
        for node in &self.nodes {
            values.push(match *node {
                Counted::Constant => Runs::NONE,
                Counted::Atom(at) => atom(at),
                Counted::Both(a, b) => value(&values, a) & value(&values, b),
            });
        }
        values
    }

    /// The values of one of the formulas of which it is the cone.
    pub fn value(&self, values: &[Runs], formula: Formula) -> Runs {
        value(values, self.half(formula))
    }
}

fn value(values: &[Runs], half: Half) -> Runs {
    let value = values.get(half.0 as usize).copied().unwrap_or(Runs::NONE);
    if half.1 { !value } else { value }
}

#[cfg(test)]
mod tests {
    use super::super::formula::value_in;
    use super::*;

    #[test]
    fn a_cone_counts_as_its_circuit_does() {
        let mut circuit = Circuit::new();
        let atoms: Vec<Formula> = (0..4).map(|_| circuit.atom()).collect();
        let [a, b, c, d] = [0, 1, 2, 3].map(|n| atoms[n]);
        let far = circuit.choose(a, !b, c);
        let both = circuit.both(far, !d);
        let other = circuit.either(c, d);
        let truth = |atom: u32| [0xAAAA, 0xCCCC, 0xF0F0, 0xFF00][atom as usize];
        let mut all = Vec::new();
        circuit.extend_values(&mut all, truth);
        let cone = Cone::of(&circuit, [!both, a, Formula::ALWAYS]);
        // The same sixteen runs in each word, those of the last turned round.
        let turned = |word: usize, value: u64| if word == 3 { !value } else { value };
        let values = cone.values(|atom| Runs([0, 1, 2, 3].map(|word| turned(word, truth(atom)))));
        let mut contrary = Vec::new();
        circuit.extend_values(&mut contrary, |atom| !truth(atom));
        for formula in [!both, both, a, Formula::ALWAYS] {
            let [same, turned] = [&all, &contrary].map(|of| value_in(of, formula));
            assert_eq!(cone.value(&values, formula), Runs([same, same, same, turned]));
        }
        let mut some = Runs::NONE;
        some.add(3);
        some.add(200);
        assert_eq!((0..Runs::MOST).filter(|run| some.has(*run)).collect::<Vec<_>>(), [3, 200]);
        assert_eq!((some | !some, some & !some), (Runs::ALL, Runs::NONE));
        assert!(cone.nodes.len() < circuit.len(), "{other:?} is of no importance");
    }
}
