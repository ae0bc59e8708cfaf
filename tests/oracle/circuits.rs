//! Circuits: which points are connected, and when that makes them live.
//!
//! A circuit is live while its source is connected and not isolated. Only the source's turn is fixed: last on, first off.
//!
//! **Decisions.** No point is connected before the job, unless its circuit is on the vehicle. Connecting any other point while the circuit is live is FW0901
//! too: that is the same order from the other end. So is ending the isolation while the source is on and another point is
//! not. A point that was connected at some time is not "never connected", though a reader may be told of one that was taken
//! off again for good; several that are off at the end are as many faults. Nothing feeds a circuit that is fed later, and signals burn nobody, so no order is asked of it, nor anything at a stop; a point that is left is not
//! asked for at the handover, and must not be connected (FW0944). A circuit whose `when` does not hold must not be worked on (FW0420).

use fitwright::diagnostics::Code;
use fitwright::model::{Circuit, CircuitId, Id, PointId};
use fitwright::source::Span;

use super::interpreter::Job;
use super::trace::Subject;

impl Job<'_, '_> {
    pub(super) fn isolated(&self, circuit: &Circuit) -> bool {
        circuit.fed_later.is_some()
            || circuit.signals_only
            || circuit.isolated_by.iter().any(|need| self.states[need.state.index()] == need.value)
    }

    fn connected(&self, circuit: CircuitId, point: usize) -> bool {
        self.trace.points[circuit.index()].get(point).is_some_and(|point| point.connected)
    }

    fn others_connected(&self, circuit: CircuitId) -> bool {
        self.trace.points[circuit.index()].iter().skip(1).all(|point| point.connected)
    }

    fn circuit_fault(&mut self, certain: bool, code: Code, circuit: CircuitId, at: Span) {
        let row = &self.procedure.circuits[circuit];
        let exists = row.when.as_ref().is_none_or(|when| self.known.truth(when) == Some(true));
        let also = vec![row.name.span, row.span];
        self.fault_if(certain && exists, code, at, Subject::Circuit(circuit), also);
    }

    /// Where the circuit surely is not there, working on it is a fault.
    pub(super) fn circuit_is_there(&mut self, circuit: CircuitId, at: Span) {
        let row = &self.procedure.circuits[circuit];
        if let Some(when) = row.when.as_ref().filter(|when| self.known.truth(when) == Some(false)) {
            self.fault(Code::FW0420, at, Subject::Circuit(circuit), vec![when.span, row.name.span, row.span]);
        }
    }

    pub(super) fn connect(&mut self, circuit: CircuitId, points: &[PointId], at: Span) {
        self.circuit_is_there(circuit, at);
        for point in points.iter().map(|point| point.index()) {
            if self.procedure.circuits[circuit].points.rows().get(point).is_some_and(|row| row.left.is_some()) {
                self.circuit_fault(true, Code::FW0944, circuit, at);
            }
            let isolated = self.isolated(&self.procedure.circuits[circuit]);
            if self.connected(circuit, point) {
                self.circuit_fault(true, Code::FW0904, circuit, at);
                continue;
            }
            let out_of_turn = if point == 0 { !self.others_connected(circuit) } else { self.connected(circuit, 0) };
            if out_of_turn && !isolated {
                self.circuit_fault(true, Code::FW0901, circuit, at);
            }
            // Told beside another fault of the circuit, it says nothing that spoils what follows.
            if point == 0 && self.trace.isolation_ended[circuit.index()] && !isolated {
                let row = &self.procedure.circuits[circuit];
                let exists = row.when.as_ref().is_none_or(|when| self.known.truth(when) == Some(true));
                let sound = exists && !self.trace.doubtful && !self.is_spoiled(Subject::Circuit(circuit));
                self.trace.faults.push(super::trace::Fault {
                    code: Code::FW0806,
                    at,
                    subject: Subject::Circuit(circuit),
                    or: Vec::new(),
                    also: vec![row.name.span, row.span],
                    certain: sound,
                    after_steps: self.trace.steps.len(),
                    after_repairs: self.trace.repairs,
                });
            }
            if let Some(life) = self.trace.points[circuit.index()].get_mut(point) {
                (life.connected, life.ever) = (true, true);
            }
        }
    }

    pub(super) fn disconnect(&mut self, circuit: CircuitId, points: &[PointId], at: Span) {
        self.circuit_is_there(circuit, at);
        for point in points.iter().map(|point| point.index()) {
            let isolated = self.isolated(&self.procedure.circuits[circuit]);
            if !self.connected(circuit, point) {
                self.circuit_fault(true, Code::FW0904, circuit, at);
                continue;
            }
            if point != 0 && self.connected(circuit, 0) && !isolated {
                self.circuit_fault(true, Code::FW0902, circuit, at);
            }
            if let Some(life) = self.trace.points[circuit.index()].get_mut(point) {
                life.connected = false;
            }
        }
    }

    /// A state changed: a circuit may be live now that was not, with a point missing.
    pub(super) fn isolation_may_have_ended(&mut self, at: Span, isolated: &[bool]) {
        for (circuit, row) in self.procedure.circuits.iter() {
            let (before, after) = (isolated[circuit.index()], self.isolated(row));
            if after {
                self.trace.isolation_ended[circuit.index()] = false;
            } else if before {
                self.trace.isolation_ended[circuit.index()] = true;
                if self.connected(circuit, 0) && !self.others_connected(circuit) {
                    self.circuit_fault(true, Code::FW0901, circuit, at);
                }
            }
        }
    }

    /// At a stop: no source is on while another point is off.
    pub(super) fn stop_with_circuits(&mut self, stop: Span) {
        for (circuit, row) in self.procedure.circuits.iter() {
            if row.fed_later.is_none()
                && !row.signals_only
                && self.connected(circuit, 0)
                && !self.others_connected(circuit)
            {
                self.circuit_fault(true, Code::FW0805, circuit, stop);
            }
        }
    }

    /// At the handover: every point of a circuit that exists was connected.
    pub(super) fn leave_circuits(&mut self, handover: Span) {
        for (circuit, row) in self.procedure.circuits.iter() {
            let exists = row.when.as_ref().is_none_or(|when| self.known.truth(when) == Some(true));
            if !exists {
                continue;
            }
            let points = self.trace.points[circuit.index()].clone();
            let ours = |at: usize| row.points.rows().get(at).is_some_and(|point| point.left.is_none());
            let open: Vec<usize> = (0..points.len()).filter(|at| ours(*at) && !points[*at].connected).collect();
            // The first that never was connected is sure; of one before it that was taken off again a reader may be told instead.
            let first = open.iter().copied().find(|at| !points[*at].ever);
            let place = |at: usize| row.points.rows().get(at).map_or(handover, |point| point.span);
            // Another point that is off is another fault: it shows at its own place only.
            for at in first.into_iter().chain(open.iter().copied().filter(|at| Some(*at) != first)) {
                let before = open.iter().filter(|other| **other < at && Some(at) == first);
                let also = before.map(|other| place(*other)).chain([row.name.span]).collect();
                self.fault_if(Some(at) == first, Code::FW0903, place(at), Subject::Circuit(circuit), also);
            }
        }
    }
}
