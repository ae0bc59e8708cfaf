//! What joints are tied to: the lugs that they hold, and the parts that they join.
//!
//! **Decisions.** A source is live unless it is isolated, whether or not anything is connected to it; any other point is live
//! while the source is connected and not isolated; nothing is of what is fed later or carries signals only. A lug that was connected twice went on twice. What a step takes is at hand
//! from its first line on. A joint holds what it joins from the moment that it is put together until it is loosened or taken
//! apart, and a part of which some are still there is there.

use fitwright::diagnostics::Code;
use fitwright::model::{AtPoint, CircuitId, Id, JointId, Line, LineKind, PartId, PointId, Procedure};
use fitwright::source::Span;

use super::interpreter::Job;
use super::trace::Subject;

/// What a walk knows of ties.
#[derive(Debug, Clone)]
pub(super) struct Ties {
    /// By joint and place in its `at`: a lug went on, and the joint was not tightened since.
    due: Vec<Vec<bool>>,
    /// By joint: put together and not loosened since.
    holds: Vec<bool>,
    /// By part: how many are at hand or on the vehicle.
    there: Vec<u32>,
}

impl Ties {
    pub(super) fn nothing(procedure: &Procedure) -> Ties {
        Ties {
            due: procedure.joints.rows().iter().map(|joint| vec![false; joint.at.len()]).collect(),
            holds: vec![false; procedure.joints.len()],
            there: vec![0; procedure.parts.len()],
        }
    }

    fn come(&mut self, part: PartId, count: u32) {
        self.there[part.index()] += count;
    }

    fn go(&mut self, part: PartId, count: u32) {
        let there = &mut self.there[part.index()];
        *there = there.saturating_sub(count);
    }
}

impl<'p> Job<'p, '_> {
    /// Before the first step.
    pub(super) fn lay_out_ties(&mut self) {
        for group in &self.procedure.vehicle {
            if self.exists(group.when.as_ref()) {
                group.entries.iter().for_each(|entry| self.ties.come(entry.what, entry.count));
            }
        }
        for (joint, row) in self.procedure.joints.iter().filter(|(_, row)| row.on_vehicle) {
            if self.joint_exists(joint) {
                self.ties.holds[joint.index()] = true;
                row.each.iter().for_each(|entry| self.ties.come(entry.what, entry.count * row.count.unwrap_or(1)));
            }
        }
    }

    fn joint_exists(&self, joint: JointId) -> bool {
        let when = self.procedure.joints[joint].when.as_ref();
        when.is_none_or(|when| self.known.truth(when) == Some(true))
    }

    fn circuit_exists(&self, circuit: CircuitId) -> bool {
        let when = self.procedure.circuits[circuit].when.as_ref();
        when.is_none_or(|when| self.known.truth(when) == Some(true))
    }

    /// A step is read before its work begins.
    pub(super) fn lay_out_taken(&mut self, lines: &'p [Line]) {
        for line in lines {
            if let LineKind::Take(entries) = &line.kind {
                entries.iter().for_each(|entry| self.ties.come(entry.what, entry.count.max(1)));
            }
        }
    }

    /// Before a line does its work.
    pub(super) fn tied(&mut self, kind: &'p LineKind, at: Span) {
        match kind {
            LineKind::Place(joint) | LineKind::RefitJoint(joint) => {
                let row = &self.procedure.joints[*joint];
                row.each.iter().for_each(|entry| self.ties.come(entry.what, entry.count * row.count.unwrap_or(1)));
                self.turned(*joint, at);
                self.put_together(*joint, at);
                self.ties.holds[joint.index()] = true;
            }
            LineKind::Snug(joint, _) => {
                self.turned(*joint, at);
                self.put_together(*joint, at);
            }
            LineKind::Tighten(joint, _) => {
                self.turned(*joint, at);
                self.put_together(*joint, at);
                self.ties.holds[joint.index()] = true;
                self.ties.due[joint.index()].fill(false);
            }
            LineKind::Loosen(joint, _) => {
                self.turned(*joint, at);
                self.ties.holds[joint.index()] = false;
            }
            LineKind::RemoveJoint(joint, _) => {
                self.turned(*joint, at);
                self.ties.holds[joint.index()] = false;
                let row = &self.procedure.joints[*joint];
                row.each.iter().for_each(|entry| self.ties.go(entry.what, entry.count * row.count.unwrap_or(1)));
                let on: Vec<bool> = row.at.iter().map(|tie| self.is_connected(tie.circuit, tie.point)).collect();
                self.ties.due[joint.index()] = on;
            }
            LineKind::Remove(entries, _) => {
                for entry in entries {
                    self.pulled(entry.what, at);
                    self.ties.go(entry.what, entry.count);
                }
            }
            LineKind::Refit(entries) => entries.iter().for_each(|entry| self.ties.come(entry.what, entry.count)),
            LineKind::Connect(circuit, points, _) => self.lugs(*circuit, points, true),
            LineKind::Disconnect(circuit, points, _) => self.lugs(*circuit, points, false),
            _ => {}
        }
    }

    fn lugs(&mut self, circuit: CircuitId, points: &[PointId], on: bool) {
        for (joint, row) in self.procedure.joints.iter() {
            for (due, tie) in self.ties.due[joint.index()].iter_mut().zip(&row.at) {
                if tie.circuit == circuit && points.contains(&tie.point) {
                    *due = on;
                }
            }
        }
    }

    fn live(&self, tie: &AtPoint) -> bool {
        let row = &self.procedure.circuits[tie.circuit];
        let isolated = self.isolated(row);
        let fed =
            tie.point.index() == 0 || row.points.ids().next().is_some_and(|at| self.is_connected(tie.circuit, at));
        self.circuit_exists(tie.circuit) && fed && !isolated
    }

    fn is_connected(&self, circuit: CircuitId, point: PointId) -> bool {
        self.trace.points[circuit.index()].get(point.index()).is_some_and(|point| point.connected)
    }

    fn turned(&mut self, joint: JointId, at: Span) {
        let row = &self.procedure.joints[joint];
        if let Some(tie) = row.at.iter().find(|tie| self.live(tie)) {
            // What became live out of turn has a fault of its own.
            let exists = self.joint_exists(joint) && !self.is_spoiled(Subject::Circuit(tie.circuit));
            self.fault_if(exists, Code::FW0920, at, Subject::Lug(joint), vec![row.name.span]);
        }
    }

    fn put_together(&mut self, joint: JointId, at: Span) {
        let row = &self.procedure.joints[joint];
        if row.joins.iter().any(|(part, _)| self.ties.there[part.index()] == 0) {
            let exists = self.joint_exists(joint);
            self.fault_if(exists, Code::FW0730, at, Subject::Member(joint), vec![row.name.span]);
        }
    }

    fn pulled(&mut self, part: PartId, at: Span) {
        for (joint, row) in self.procedure.joints.iter() {
            let joins = row.joins.iter().any(|(member, _)| *member == part);
            if joins && self.ties.holds[joint.index()] && self.ties.there[part.index()] > 0 {
                let exists = self.joint_exists(joint);
                self.fault_if(exists, Code::FW0731, at, Subject::Member(joint), vec![row.name.span]);
            }
        }
    }

    /// At the handover: what holds a lug was tightened after it went on.
    pub(super) fn leave_ties(&mut self) {
        for (joint, row) in self.procedure.joints.iter() {
            let life = &self.trace.joints[joint.index()];
            // In place and loose it has a message of its own.
            if life.in_place && !life.tight || !self.joint_exists(joint) {
                continue;
            }
            for (at, tie) in row.at.iter().enumerate() {
                if self.ties.due[joint.index()][at] && self.circuit_exists(tie.circuit) {
                    self.fault(Code::FW0921, tie.span, Subject::Lug(joint), vec![row.name.span]);
                }
            }
        }
    }
}
