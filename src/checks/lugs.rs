//! FW09, where joints and circuits meet: no nut is turned on a live stud, and no lug is left under a nut that was tight before it.
//!
//! A joint says which points' lugs its fastenings hold: `at post of feed`. A source is live unless it is isolated; any other
//! point is live while the source of its circuit is connected and not isolated.

use super::lines;
use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding, Mend};
use crate::model::{AtPoint, Circuit, CircuitId, IdMap, JointId, LineKind, PointId, Procedure};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

/// What is true of a circuit, in which runs.
struct Course {
    exists: Formula,
    connected: IdMap<PointId, Formula>,
    /// It became live out of turn, which has a message of its own.
    told: Formula,
    /// The newest line that connects each point.
    lines: IdMap<PointId, Option<Span>>,
}

/// What is true of a joint, in which runs.
struct Life {
    exists: Formula,
    in_place: Formula,
    tight: Formula,
    /// For each point that it is at: a lug went on, and it was not tightened since.
    due: Vec<Formula>,
    /// Something was already said of it.
    poisoned: Formula,
}

/// Both, along the events.
struct Walk {
    courses: IdMap<CircuitId, Course>,
    lives: IdMap<JointId, Life>,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    if procedure.joints.rows().iter().all(|joint| joint.at.is_empty()) {
        return;
    }
    let at_first = |there: bool| if there { Formula::ALWAYS } else { Formula::NEVER };
    let mut walk = Walk {
        courses: procedure.circuits.map(|_, circuit| Course {
            exists: Formula::ALWAYS,
            connected: circuit.points.map(|point, _| at_first(circuit.connected_before(point))),
            told: Formula::NEVER,
            lines: circuit.points.each(None),
        }),
        lives: procedure.joints.map(|_, joint| Life {
            exists: Formula::ALWAYS,
            in_place: at_first(joint.on_vehicle),
            tight: at_first(joint.on_vehicle),
            due: vec![Formula::NEVER; joint.at.len()],
            poisoned: Formula::NEVER,
        }),
    };
    let events = proof.events.clone();
    for event in events.iter() {
        walk.event(proof, event);
    }
}

impl Walk {
    fn event<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>) {
        match event.effect {
            Effect::Judged { role: Role::Joint(joint), holds, .. } => {
                let life = &mut self.lives[joint];
                life.exists = holds;
                if proof.procedure.joints[joint].on_vehicle {
                    (life.in_place, life.tight) = (holds, holds);
                }
            }
            Effect::Judged { role: Role::Circuit(circuit), holds, .. } => self.courses[circuit].exists = holds,
            Effect::Connect { circuit, point } => {
                self.in_turn(proof, event, circuit, point, true);
                let course = &mut self.courses[circuit];
                course.connected[point] = proof.space.either(course.connected[point], event.guard);
                course.lines[point] = Some(event.place.span);
                self.lug(proof, event.guard, circuit, point, true);
            }
            Effect::Disconnect { circuit, point } => {
                self.in_turn(proof, event, circuit, point, false);
                let course = &mut self.courses[circuit];
                course.connected[point] = proof.space.both(course.connected[point], !event.guard);
                self.lug(proof, event.guard, circuit, point, false);
            }
            Effect::Place(joint) => self.turned(proof, event, joint, "placed"),
            Effect::RefitJoint(joint) => self.turned(proof, event, joint, "refitted"),
            Effect::Snug(joint) => self.turned(proof, event, joint, "run on"),
            Effect::Tighten(joint) => self.turned(proof, event, joint, "tightened"),
            Effect::Loosen(joint) => self.turned(proof, event, joint, "loosened"),
            Effect::RemoveJoint(joint) => self.turned(proof, event, joint, "taken apart"),
            Effect::Handover(_) => {
                for joint in proof.procedure.joints.ids() {
                    self.left(proof, event, joint);
                }
            }
            _ => {}
        }
    }

    /// A point is connected or disconnected while its circuit is live, or the source before the rest.
    fn in_turn(&mut self, proof: &mut Proof<'_>, event: &Event<'_>, circuit: CircuitId, point: PointId, on: bool) {
        let Some(source) = proof.procedure.circuits[circuit].source_point() else { return };
        let isolated = proof.isolated(event.id, circuit);
        let course = &mut self.courses[circuit];
        let early = match (source == point, on) {
            (false, _) => course.connected[source],
            (true, false) => Formula::NEVER,
            (true, true) => {
                let others = course.connected.iter().filter(|(other, _)| *other != source);
                !proof.space.all(others.map(|(_, connected)| *connected))
            }
        };
        let here = proof.space.all([event.guard, early, !isolated]);
        course.told = proof.space.either(course.told, here);
    }

    /// A lug goes on or comes off: what holds it is due to be tightened, or is not any more.
    fn lug(&mut self, proof: &mut Proof<'_>, guard: Formula, circuit: CircuitId, point: PointId, on: bool) {
        for (joint, row) in proof.procedure.joints.iter() {
            for (at, due) in row.at.iter().zip(&mut self.lives[joint].due) {
                if (at.circuit, at.point) == (circuit, point) {
                    *due = proof.space.choose(guard, if on { Formula::ALWAYS } else { Formula::NEVER }, *due);
                }
            }
        }
    }

    /// FW0920, and what the line makes of the joint.
    fn turned<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, joint: JointId, done: &'static str) {
        let guard = event.guard;
        for at in &proof.procedure.joints[joint].at {
            let live = self.live(proof, event, at);
            let life = &mut self.lives[joint];
            let sure = proof.sure(event);
            let broken = proof.space.all([sure, live, life.exists, !life.poisoned]);
            life.poisoned = proof.space.either(life.poisoned, broken);
            let span = event.place.span;
            let key = (Code::FW0920, span, Subject::Joint(joint));
            proof.oblige(key, event.id, broken, move |proof| live_work(proof.procedure, joint, at, span, done));
        }
        let connected: Vec<Formula> = proof.procedure.joints[joint].at.iter().map(|at| self.connected(at)).collect();
        let life = &mut self.lives[joint];
        match event.effect {
            Effect::Place(_) | Effect::RefitJoint(_) => {
                life.in_place = proof.space.either(life.in_place, guard);
                life.tight = proof.space.both(life.tight, !guard);
            }
            Effect::Tighten(_) => {
                life.tight = proof.space.either(life.tight, guard);
                life.due.iter_mut().for_each(|due| *due = proof.space.both(*due, !guard));
            }
            Effect::Loosen(_) => life.tight = proof.space.both(life.tight, !guard),
            Effect::RemoveJoint(_) => {
                life.in_place = proof.space.both(life.in_place, !guard);
                life.tight = proof.space.both(life.tight, !guard);
                for (due, on) in life.due.iter_mut().zip(connected) {
                    *due = proof.space.choose(guard, on, *due);
                }
            }
            _ => {}
        }
    }

    fn connected(&self, at: &AtPoint) -> Formula {
        self.courses[at.circuit].connected[at.point]
    }

    fn live(&self, proof: &mut Proof<'_>, event: &Event<'_>, at: &AtPoint) -> Formula {
        let (row, course) = (&proof.procedure.circuits[at.circuit], &self.courses[at.circuit]);
        let isolated = proof.isolated(event.id, at.circuit);
        let fed = match row.source_point() {
            Some(source) if source != at.point => course.connected[source],
            _ => Formula::ALWAYS,
        };
        proof.space.all([course.exists, fed, !isolated, !course.told])
    }

    /// FW0921: at the handover, what holds a lug was tightened after the lug went on. A joint that is in place and not
    /// tight has its own message.
    fn left<'p>(&mut self, proof: &mut Proof<'p>, event: &Event<'p>, joint: JointId) {
        let sure = proof.sure(event);
        let due = self.lives[joint].due.clone();
        for (at, due) in proof.procedure.joints[joint].at.iter().zip(due) {
            let course = &self.courses[at.circuit];
            let line = course.lines[at.point];
            let life = &mut self.lives[joint];
            let loose = proof.space.both(life.in_place, !life.tight);
            let broken = proof.space.all([sure, due, course.exists, life.exists, !loose, !life.poisoned]);
            life.poisoned = proof.space.either(life.poisoned, broken);
            let key = (Code::FW0921, at.span, Subject::Point(at.circuit, at.point));
            proof.oblige(key, event.id, broken, move |proof| not_tightened(proof.procedure, joint, at, line));
        }
    }
}

fn live_work(procedure: &Procedure, joint: JointId, at: &AtPoint, span: Span, done: &str) -> Finding {
    let (row, circuit) = (&procedure.joints[joint], &procedure.circuits[at.circuit]);
    let point = &circuit.points[at.point].id;
    let message = format!("`{}` is {done} while `{point}` of `{}` is live", row.name.id, circuit.name.id);
    Finding::new(Code::FW0920, message, span, "live here")
        .also(at.span, "this joint holds its lug")
        .because("A spanner that bridges a live stud and the body carries all that the battery gives: it burns hands and starts fires.")
        .repair(how_to_isolate(procedure, circuit, at.point))
        .mend(isolating(procedure, circuit).map(|make| Mend::before(span, make)))
}

/// The line that isolates a circuit, where it says what does.
fn isolating(procedure: &Procedure, circuit: &Circuit) -> Option<String> {
    circuit.isolated_by.iter().find_map(|need| {
        let state = &procedure.states[need.state];
        Some(format!("make {} {}", state.name.id, state.values.get(need.value)?.id))
    })
}

fn how_to_isolate(procedure: &Procedure, circuit: &Circuit, point: PointId) -> String {
    if let Some(make) = isolating(procedure, circuit) {
        return format!("Write `{make}` on every path before this line, and end it after the last nut is tight.");
    }
    let first = format!(
        "Say in `{}` what isolates it, `isolated by STATE VALUE`, and make it so before this line.",
        circuit.name.id
    );
    match circuit.source_point().filter(|source| *source != point) {
        Some(source) => format!(
            "{first} Or write this line while the source is off: before `connect {0} at {1}`, or after `disconnect {0} at {1}`.",
            circuit.name.id, circuit.points[source].id
        ),
        None => first,
    }
}

fn not_tightened(procedure: &Procedure, joint: JointId, at: &AtPoint, line: Option<Span>) -> Finding {
    let (row, circuit) = (&procedure.joints[joint], &procedure.circuits[at.circuit]);
    let point = &circuit.points[at.point].id;
    let message = format!(
        "the lug at `{point}` of `{}` goes on, and `{}` is not tightened after it",
        circuit.name.id, row.name.id
    );
    let finding = Finding::new(Code::FW0921, message, at.span, "this joint holds the lug");
    let finding = match line {
        Some(line) => finding.also(line, "the lug goes on here"),
        None => finding.also(row.name.span, "the joint"),
    };
    finding
        .because("A lug that lies loose on its stud gets hot, and it comes off on the road.")
        .repair(format!("Write `tighten {} with …` after it, on every path to the handover.", row.name.id))
        .mend(line.and_then(|line| {
            lines::again_after(procedure, line, |kind| matches!(kind, LineKind::Tighten(other, _) if *other == joint))
        }))
}
