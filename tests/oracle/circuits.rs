//! Circuits: which points are connected, and when that makes them live.
//!
//! A circuit is live while its source is connected and not isolated. Only the source's turn is fixed: last on, first off.
//!
//! **Decisions.** No point is connected before the job, unless its circuit is on the vehicle. Connecting any other point while the circuit is live is FW0901
//! too: that is the same order from the other end. A point that was connected at some time is not "never connected",
//! though a reader may be told of one that was taken off again for good. Ending the isolation while the source is on and
//! another point is not may be told of at that line already.

use fitwright::diagnostics::Code;
use fitwright::model::{Circuit, CircuitId, Id, PointId};
use fitwright::source::Span;

use super::interpreter::Job;
use super::trace::Subject;

impl Job<'_, '_> {
    fn isolated(&self, circuit: &Circuit) -> bool {
        circuit.isolated_by.iter().any(|need| self.states[need.state.index()] == need.value)
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

    pub(super) fn connect(&mut self, circuit: CircuitId, points: &[PointId], at: Span) {
        for point in points.iter().map(|point| point.index()) {
            let isolated = self.isolated(&self.procedure.circuits[circuit]);
            if self.connected(circuit, point) {
                self.circuit_fault(true, Code::FW0904, circuit, at);
                continue;
            }
            let out_of_turn = if point == 0 { !self.others_connected(circuit) } else { self.connected(circuit, 0) };
            if out_of_turn && !isolated {
                self.circuit_fault(true, Code::FW0901, circuit, at);
            }
            if let Some(life) = self.trace.points[circuit.index()].get_mut(point) {
                (life.connected, life.ever) = (true, true);
            }
        }
    }

    pub(super) fn disconnect(&mut self, circuit: CircuitId, points: &[PointId], at: Span) {
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
    pub(super) fn isolation_may_have_ended(&mut self, at: Span) {
        for (circuit, row) in self.procedure.circuits.iter() {
            let live = self.connected(circuit, 0) && !self.isolated(row);
            if live && !row.isolated_by.is_empty() && !self.others_connected(circuit) {
                let row_also = vec![row.name.span, row.span];
                // Not through `circuit_fault`: it must not make a later, certain fault of the circuit a mere possibility.
                self.trace.faults.push(super::trace::Fault {
                    code: Code::FW0901,
                    at,
                    subject: Subject::Circuit(circuit),
                    or: Vec::new(),
                    also: row_also,
                    certain: false,
                    after_steps: self.trace.steps.len(),
                });
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
            let also = |at: usize| row.points.rows().get(at).map(|point| point.span);
            if let Some(never) = points.iter().position(|point| !point.ever) {
                self.circuit_fault(true, Code::FW0903, circuit, also(never).unwrap_or(handover));
            } else if let Some(off) = points.iter().position(|point| !point.connected) {
                self.circuit_fault(false, Code::FW0903, circuit, also(off).unwrap_or(handover));
            }
        }
    }
}
