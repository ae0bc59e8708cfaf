//! The facts of a resolved procedure that several readers need, each worked out once a run.
//!
//! A [`Plan`] is a procedure with what follows from it. It is made where a procedure was resolved or tailored, and given to
//! `checks` and to `emit`, so that a finding, a sheet and a checklist can't say different things of one fact. Each fact is
//! worked out when it is first asked for. What stands here are ids, numbers and conditions: no words of an output, and no
//! verdict.

mod another_person;
pub(crate) mod figures;
pub(crate) mod leave_as;
pub(crate) mod occurrence;
mod once;
pub(crate) mod time;
pub(crate) mod tools;
mod workings;
mod worn;

use crate::model::{CircuitId, IdMap, JointId, Procedure, StepId, Table};
use crate::working::circuit::CircuitWorking;
use crate::working::joint::JointWorking;
use leave_as::Leaving;
use occurrence::Occurrence;
use once::Once;
use time::{JobTime, People};
use tools::LaidOut;
use worn::Worn;

/// A procedure with the facts that follow from it.
#[derive(Debug)]
pub struct Plan {
    procedure: Procedure,
    occurrence: Once<Occurrence>,
    tools: Once<Vec<LaidOut>>,
    worn: Once<Vec<Worn>>,
    leaving: Once<Leaving>,
    time: Once<Option<JobTime>>,
    people: Once<People>,
    looks_at: Once<IdMap<StepId, Vec<StepId>>>,
    joints: Once<Table<JointId, JointWorking>>,
    joints_judged: Once<Table<JointId, JointWorking>>,
    circuits: Once<Table<CircuitId, CircuitWorking>>,
}

impl Plan {
    /// Of a procedure, whole or as far as it could be resolved. Nothing is worked out yet.
    pub fn new(procedure: Procedure) -> Plan {
        Plan {
            procedure,
            occurrence: Once::new("occurrence"),
            tools: Once::new("tools"),
            worn: Once::new("worn"),
            leaving: Once::new("leaving"),
            time: Once::new("time"),
            people: Once::new("people"),
            looks_at: Once::new("looks_at"),
            joints: Once::new("joints"),
            joints_judged: Once::new("joints_judged"),
            circuits: Once::new("circuits"),
        }
    }

    /// The procedure.
    pub fn procedure(&self) -> &Procedure {
        &self.procedure
    }

    /// The procedure alone.
    pub fn into_procedure(self) -> Procedure {
        self.procedure
    }

    /// In which fittings each step happens.
    pub(crate) fn occurrence(&self) -> &Occurrence {
        self.occurrence.get(|| Occurrence::of(&self.procedure))
    }
}
