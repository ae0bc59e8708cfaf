//! What a step has to do with, for whoever asks whether something belongs into it.

use std::collections::BTreeSet;

use crate::model::{
    Called, Callout, CircuitId, Cond, CondKind, JointId, LineKind, Mention, MentionTarget, Procedure, Reading, Record,
    Step,
};

/// What a step has: what it uses, takes, works on, reads, needs and speaks of, with the parts of its joints and circuits.
pub(super) struct Had<'p> {
    procedure: &'p Procedure,
    all: BTreeSet<Called>,
}

impl<'p> Had<'p> {
    pub(super) fn of(procedure: &'p Procedure, step: &Step, expects: &[&Cond]) -> Had<'p> {
        let mut had =
            Had { procedure, all: procedure.about.wear.iter().map(|worn| Called::Protection(*worn)).collect() };
        step.lines.iter().for_each(|line| had.line(&line.kind));
        step.when.iter().chain(expects.iter().copied()).for_each(|cond| had.cond(cond));
        had
    }

    pub(super) fn has(&self, callout: &Callout) -> bool {
        callout.of.iter().any(|of| self.all.contains(of))
    }

    fn line(&mut self, kind: &LineKind) {
        let procedure = self.procedure;
        for place in kind.worked_with() {
            self.all.extend(place.any_of.iter().map(|tool| Called::Tool(*tool)));
        }
        self.all.extend(kind.joint().iter().flat_map(|joint| of_joint(procedure, *joint)));
        match kind {
            LineKind::Prose(prose) => self.mentions(&prose.mentions),
            LineKind::Note(said) => self.mentions(&said.mentions),
            LineKind::Wait(wait) => self.mentions(&wait.until.mentions),
            LineKind::Message(message) => message.texts().iter().for_each(|said| self.mentions(&said.mentions)),
            LineKind::Read(readings) => readings.iter().for_each(|reading| self.reading(*reading)),
            LineKind::Use { tools, .. } => {
                self.all.extend(tools.iter().flat_map(|place| &place.any_of).map(|tool| Called::Tool(*tool)));
            }
            LineKind::Wear(worn) => self.all.extend(worn.iter().map(|one| Called::Protection(*one))),
            LineKind::Take(parts)
            | LineKind::Remove(parts, _)
            | LineKind::Refit(parts)
            | LineKind::Discard(parts)
            | LineKind::Reuse(parts)
            | LineKind::KeepParts { parts, .. } => {
                self.all.extend(parts.iter().map(|counted| Called::Part(counted.what)));
            }
            LineKind::MakeParts { made, from, .. } => {
                self.all.extend(from.iter().chain(made).map(|counted| Called::Part(counted.what)));
            }
            LineKind::Connect(circuit, ..) | LineKind::Disconnect(circuit, ..) => {
                self.all.extend(of_circuit(procedure, *circuit));
            }
            LineKind::Need(need) => self.all.extend([Called::State(need.state)]),
            LineKind::Make { state, .. } => self.all.extend([Called::State(*state)]),
            LineKind::Set(set) => self.all.extend([Called::Choice(set.result)]),
            LineKind::Do(action) => {
                self.all.extend(procedure.actions[*action].needs.iter().map(|need| Called::State(need.state)));
            }
            LineKind::Record(Record::Torque(joint)) => self.all.extend(of_joint(procedure, *joint)),
            LineKind::Record(Record::Reading(reading)) => self.reading(*reading),
            LineKind::Record(Record::Text(_) | Record::Photo(_) | Record::Taken { .. })
            | LineKind::Figure(_)
            | LineKind::Place(_)
            | LineKind::Snug(..)
            | LineKind::Tighten(..)
            | LineKind::Loosen(..)
            | LineKind::RemoveJoint(..)
            | LineKind::RefitJoint(_) => {}
        }
    }

    fn reading(&mut self, reading: Reading) {
        match reading {
            Reading::Choice(choice) => self.all.extend([Called::Choice(choice)]),
            Reading::Number(number) => {
                self.all.insert(Called::Number(number));
                self.all.extend(self.procedure.numbers[number].with.map(Called::Tool));
            }
        }
    }

    fn mentions(&mut self, mentions: &[Mention]) {
        for mention in mentions {
            match mention.target {
                MentionTarget::Part(id) => self.all.extend([Called::Part(id)]),
                MentionTarget::Tool(id) => self.all.extend([Called::Tool(id)]),
                MentionTarget::Protection(id) => self.all.extend([Called::Protection(id)]),
                MentionTarget::Choice(id) => self.all.extend([Called::Choice(id)]),
                MentionTarget::Number(id) => self.all.extend([Called::Number(id)]),
                MentionTarget::Joint(id) => self.all.extend(of_joint(self.procedure, id)),
                MentionTarget::Circuit(id) => self.all.extend(of_circuit(self.procedure, id)),
                MentionTarget::State(id) => self.all.extend([Called::State(id)]),
                MentionTarget::Fact(_)
                | MentionTarget::Figure(..)
                | MentionTarget::Step(_)
                | MentionTarget::Action(..)
                | MentionTarget::Quantity(_) => {}
            }
        }
    }

    fn cond(&mut self, cond: &Cond) {
        match &cond.kind {
            CondKind::Any(parts) | CondKind::All(parts) => parts.iter().for_each(|part| self.cond(part)),
            CondKind::Not(inner) => self.cond(inner),
            CondKind::Is(choice, _) => self.all.extend([Called::Choice(*choice)]),
            CondKind::In(number, _) => self.all.extend([Called::Number(*number)]),
            CondKind::Compares(comparison) => {
                let mut number = |id, _| self.all.extend([Called::Number(id)]);
                comparison.left.each_number(&mut number);
                comparison.right.each_number(&mut number);
            }
        }
    }
}

/// A joint, with its parts and those that it clamps together.
fn of_joint(procedure: &Procedure, id: JointId) -> Vec<Called> {
    let joint = &procedure.joints[id];
    let parts = joint.each.iter().map(|counted| counted.what).chain(joint.joins.iter().map(|(part, _)| *part));
    std::iter::once(Called::Joint(id)).chain(parts.map(Called::Part)).collect()
}

/// A circuit, with the terminals at its points.
fn of_circuit(procedure: &Procedure, id: CircuitId) -> Vec<Called> {
    let terminals = procedure.circuits[id].points.rows().iter().filter_map(|point| point.terminal);
    std::iter::once(Called::Circuit(id)).chain(terminals.map(Called::Part)).collect()
}
