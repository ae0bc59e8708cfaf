//! The calculation of each joint and of each circuit.

use super::Plan;
use crate::model::{CircuitId, JointId, Procedure, Table};
use crate::working::circuit::CircuitWorking;
use crate::working::joint::JointWorking;
use crate::working::{Working, circuit, joint};

fn of_joints(procedure: &Procedure) -> Table<JointId, JointWorking> {
    let settings = joint::settings_by_joint(procedure);
    let mut all = Table::default();
    for (id, row) in procedure.joints.iter() {
        all.push(joint::working(procedure, row, &settings[id]));
    }
    all
}

fn judged(procedure: &Procedure) -> Table<JointId, JointWorking> {
    let mut all = Table::default();
    for row in procedure.joints.rows() {
        all.push(joint::judged(procedure, row));
    }
    all
}

fn of_circuits(procedure: &Procedure) -> Table<CircuitId, CircuitWorking> {
    let mut all = Table::default();
    for row in procedure.circuits.rows() {
        all.push(circuit::working(procedure, row));
    }
    all
}

impl Plan {
    /// What is worked out of a joint.
    pub fn joint(&self, id: JointId) -> &JointWorking {
        &self.joints.get(|| of_joints(&self.procedure))[id]
    }

    /// The numbers of a joint, and what is not judged of it: all that its verdicts rest on, at a fraction of what the words of
    /// the whole calculation take.
    pub fn joint_judged(&self, id: JointId) -> &JointWorking {
        &self.joints_judged.get(|| judged(&self.procedure))[id]
    }

    /// What is worked out of a circuit.
    pub fn circuit(&self, id: CircuitId) -> &CircuitWorking {
        &self.circuits.get(|| of_circuits(&self.procedure))[id]
    }

    /// The calculation of a joint or a circuit, by its name in the source; `None` where nothing of that name is worked out.
    pub fn working(&self, name: &str) -> Option<&Working> {
        let joint = self.procedure.joints.iter().find(|(_, joint)| joint.name.id == name);
        let circuit = || self.procedure.circuits.iter().find(|(_, circuit)| circuit.name.id == name);
        joint.map(|(id, _)| &self.joint(id).working).or_else(|| circuit().map(|(id, _)| &self.circuit(id).working))
    }

    /// The names that [`Plan::working`] knows, in order of the text.
    pub fn worked_out(&self) -> Vec<&str> {
        let joints = self.procedure.joints.rows().iter().map(|joint| joint.name.id.as_str());
        joints.chain(self.procedure.circuits.rows().iter().map(|circuit| circuit.name.id.as_str())).collect()
    }
}
