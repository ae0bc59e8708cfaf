//! In which order the points of a circuit are connected: the one numbering that paper, screen and data show.

use super::{Circuit, LineKind, Procedure};

impl Procedure {
    /// The points of a circuit, by their place in it, in the order in which the steps connect them: each where a step of the
    /// text connects it for the first time. Points that no step connects follow, from the load to the source.
    pub fn order_of_connection(&self, circuit: &Circuit) -> Vec<usize> {
        let lines = self.steps.rows().iter().flat_map(|step| &step.lines);
        let connected = lines.filter_map(|line| match &line.kind {
            LineKind::Connect(id, points, _) if self.circuits[*id].name.id == circuit.name.id => Some(points),
            _ => None,
        });
        let mut waiting = vec![true; circuit.points.len()];
        let mut next = |point: &usize| waiting.get_mut(*point).is_some_and(std::mem::take);
        connected.flatten().copied().chain((0..circuit.points.len()).rev()).filter(|point| next(point)).collect()
    }

    /// The number of each point of a circuit, in the order of its points: 1 for the one that is connected first.
    pub fn numbers_of_points(&self, circuit: &Circuit) -> Vec<u32> {
        let mut numbers = vec![0; circuit.points.len()];
        for (number, point) in (1..).zip(self.order_of_connection(circuit)) {
            if let Some(slot) = numbers.get_mut(point) {
                *slot = number;
            }
        }
        numbers
    }
}
