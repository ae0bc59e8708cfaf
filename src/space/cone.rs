//! The part of a circuit on which some formulas depend, to be counted out again and again.

use super::formula::{Circuit, Formula, Node};

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

    /// Sixty-four truth values of each of its nodes, given those of the atoms.
    pub fn values(&self, atom: impl Fn(u32) -> u64) -> Vec<u64> {
        let mut values = Vec::with_capacity(self.nodes.len());
        for node in &self.nodes {
            values.push(match *node {
                Counted::Constant => 0,
                Counted::Atom(at) => atom(at),
                Counted::Both(a, b) => value(&values, a) & value(&values, b),
            });
        }
        values
    }

    /// The values of one of the formulas of which it is the cone.
    pub fn value(&self, values: &[u64], formula: Formula) -> u64 {
        value(values, self.half(formula))
    }
}

fn value(values: &[u64], half: Half) -> u64 {
    let value = values.get(half.0 as usize).copied().unwrap_or(0);
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
        let values = cone.values(truth);
        for formula in [!both, both, a, Formula::ALWAYS] {
            assert_eq!(cone.value(&values, formula), value_in(&all, formula));
        }
        assert!(cone.nodes.len() < circuit.len(), "{other:?} is of no importance");
    }
}
