//! In which order the points of a circuit are connected: the one numbering that paper, screen and data show.

use super::{Circuit, IdMap, LineKind, PointId, Procedure};

impl Procedure {
    /// The points of a circuit in the order in which the steps connect them: each where a step of the text connects it for the
    /// first time. Points that no step connects follow, from the load to the source.
    pub fn order_of_connection(&self, circuit: &Circuit) -> Vec<PointId> {
        let lines = self.steps.rows().iter().flat_map(|step| &step.lines);
        let connected = lines.filter_map(|line| match &line.kind {
            LineKind::Connect(id, points, _) if self.circuits[*id].name.id == circuit.name.id => Some(points),
            _ => None,
        });
        let mut waiting = circuit.points.each(true);
        let mut next = |point: &PointId| std::mem::take(&mut waiting[*point]);
        connected.flatten().copied().chain(circuit.points.ids().rev()).filter(|point| next(point)).collect()
    }

    /// The number of each point of a circuit: 1 for the one that is connected first.
    pub fn numbers_of_points(&self, circuit: &Circuit) -> IdMap<PointId, u32> {
        let mut numbers = circuit.points.each(0);
        for (number, point) in (1..).zip(self.order_of_connection(circuit)) {
            numbers[point] = number;
        }
        numbers
    }
}
