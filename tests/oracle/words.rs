//! What the generator's sentences say is done: holes drilled, a circuit tried, a contact made bright and painted.
//!
//! **Decisions.** Only the sentences of `generate::said` are known here, and each does what it says. Holes are drilled at the
//! sentence; the bolts are in them while the joint is in place. What a sentence of a step tries is tried when the lines of the
//! step are done, since sentences stand above the lines that do them; what a question asks is tried where it is read. A circuit is
//! fed where all of its points are connected, its fuse is in if that is a part, and nothing isolates it; what somebody else feeds
//! or connects later is not tried for sure. Once a circuit was found dead, a further trial finds nothing new. A contact is made by
//! any `connect`, and by putting together or tightening a joint that holds a lug; in a step that makes one, its sentences say
//! in which order.

use fitwright::diagnostics::Code;
use fitwright::model::{
    CircuitId, Cond, Id, JointId, Line, LineKind, MentionTarget, Node, PartId, Procedure, Prose, Reading, StepId, walk,
};
use fitwright::source::Span;

use super::generate::said::{PAINTS, SCRAPES, TRIES};
use super::generate::stories::CIRCUITS;
use super::interpreter::Job;
use super::trace::{Lacks, Subject};

/// What a walk knows of what was said.
#[derive(Debug, Clone)]
pub(super) struct Words {
    /// By circuit: the fuse that is a part of it is in, or none is one.
    fused: Vec<bool>,
    /// Metal is bright for a contact.
    bright: bool,
    /// What the step under way tries, at the end of its lines.
    tries: Vec<(CircuitId, Span)>,
}

impl Words {
    pub(super) fn nothing(procedure: &Procedure) -> Words {
        let there = |part: PartId| procedure.vehicle.iter().flat_map(|group| &group.entries).any(|e| e.what == part);
        let fused =
            |circuit: &fitwright::model::Circuit| fuse(circuit).is_none_or(|part| circuit.on_vehicle || there(part));
        let fused = procedure.circuits.rows().iter().map(fused).collect();
        Words { fused, bright: false, tries: Vec::new() }
    }
}

fn fuse(circuit: &fitwright::model::Circuit) -> Option<PartId> {
    circuit.protection.as_ref().and_then(|protection| protection.part).map(|(part, _)| part)
}

impl<'p> Job<'p, '_> {
    /// A sentence.
    pub(super) fn work_said(&mut self, prose: &Prose, at: Span) {
        let said = prose.markdown.trim();
        let target = prose.mentions.first().map(|mention| &mention.target);
        match target {
            Some(MentionTarget::Joint(joint)) if said.contains(" the holes for the [") => self.drilled(*joint, at),
            Some(MentionTarget::Circuit(circuit)) if said.starts_with("Try the [") => {
                self.words.tries.push((*circuit, at));
            }
            _ => {}
        }
        if said == SCRAPES {
            self.words.bright = true;
        }
        if said == PAINTS && self.words.bright && !self.step_makes_contact() {
            self.fault(Code::FW0962, at, Subject::Path, Vec::new());
        }
        if let Some(circuit) =
            TRIES.iter().position(|tries| *tries == said).and_then(|at| self.circuit_called(CIRCUITS[at].0))
        {
            self.words.tries.push((circuit, at));
        }
    }

    fn circuit_called(&self, name: &str) -> Option<CircuitId> {
        self.procedure.circuits.iter().find(|(_, row)| row.name.id == name).map(|(circuit, _)| circuit)
    }

    fn step_makes_contact(&self) -> bool {
        let step = self.trace.steps.last().map(|step| &self.procedure.steps[*step]);
        step.is_some_and(|step| step.lines.iter().any(|line| self.makes_contact(&line.kind, true)))
    }

    /// Whether a line makes a contact; where any will do, also one that takes it apart.
    fn makes_contact(&self, kind: &LineKind, any: bool) -> bool {
        match kind {
            LineKind::Connect(..) => true,
            LineKind::Place(joint) | LineKind::RefitJoint(joint) | LineKind::Tighten(joint, _) => {
                self.holds_lug(*joint)
            }
            LineKind::Loosen(joint, _) | LineKind::RemoveJoint(joint, _) | LineKind::Snug(joint, _) => {
                any && self.holds_lug(*joint)
            }
            _ => false,
        }
    }

    fn holds_lug(&self, joint: JointId) -> bool {
        !self.procedure.joints[joint].at.is_empty()
    }

    fn drilled(&mut self, joint: JointId, at: Span) {
        let row = &self.procedure.joints[joint];
        let exists = row.when.as_ref().is_none_or(|when| self.known.truth(when) == Some(true));
        if self.trace.joints[joint.index()].in_place && exists {
            self.fault(Code::FW0740, at, Subject::Holes(joint), vec![row.name.span]);
        }
    }

    /// After a line has done its work.
    pub(super) fn after_line(&mut self, line: &'p Line) {
        if self.makes_contact(&line.kind, false) {
            self.words.bright = false;
        }
        let moved: Vec<(PartId, bool)> = match &line.kind {
            LineKind::Take(entries) => entries.iter().map(|entry| (entry.what, true)).collect(),
            LineKind::Refit(entries) => entries.iter().map(|entry| (entry.what, true)).collect(),
            LineKind::Remove(entries, _) => entries.iter().map(|entry| (entry.what, false)).collect(),
            LineKind::Discard(entries) => entries.iter().map(|entry| (entry.what, false)).collect(),
            _ => Vec::new(),
        };
        for (part, is_in) in moved {
            for (circuit, _) in self.procedure.circuits.iter().filter(|(_, row)| fuse(row) == Some(part)) {
                self.words.fused[circuit.index()] = is_in;
            }
        }
    }

    /// When the lines of a step are done.
    pub(super) fn try_what_was_said(&mut self) {
        for (circuit, at) in std::mem::take(&mut self.words.tries) {
            self.tried(circuit, at);
        }
    }

    /// `Is the lamp lit?` was read: unless that it is dark is what is looked for.
    pub(super) fn answered_by_eye(&mut self, step: StepId, reading: Reading, at: Span) {
        let Reading::Choice(choice) = reading else { return };
        let row = &self.procedure.choices[choice];
        if row.name.title != "Is the lamp lit?" {
            return;
        }
        let dark = row.values.iter().position(|value| value.id == "dark");
        let wants_dark = |cond: &Cond| {
            let mut named = std::collections::BTreeSet::new();
            super::knowledge::named_in(cond, &mut named);
            let mut known = self.known.clone();
            known.choices[choice.index()] = dark;
            named.contains(&reading) && known.truth(cond) == Some(true)
        };
        let nodes = self.procedure.sections.iter().flat_map(|section| walk(&section.body));
        let is_wanted = nodes.into_iter().any(|node| match node {
            Node::Check(check) => check.step == step && check.expects.iter().any(wants_dark),
            _ => false,
        });
        if let Some(circuit) = self.circuit_called("lamp-feed").filter(|_| !is_wanted) {
            self.tried(circuit, at);
        }
    }

    fn tried(&mut self, circuit: CircuitId, at: Span) {
        let row = &self.procedure.circuits[circuit];
        let exists = row.when.as_ref().is_none_or(|when| self.known.truth(when) == Some(true));
        let is_left = row.fed_later.is_some() || row.points.rows().iter().any(|point| point.left.is_some());
        let points = &self.trace.points[circuit.index()];
        // Points in their order, the fuse, the isolation: the first that is lacking is told.
        let lacks = match points.iter().position(|point| !point.connected) {
            Some(point) => Some(Lacks::Point(point)),
            None if !self.words.fused[circuit.index()] => Some(Lacks::Fuse),
            None => self.isolated(row).then_some(Lacks::Current),
        };
        let Some(lacks) = lacks.filter(|_| exists && !is_left) else { return };
        let mut before = self.trace.faults.iter();
        let is_new = !before.any(|fault| matches!(fault.subject, Subject::Trial(other, _) if other == circuit));
        self.fault_if(is_new, Code::FW0961, at, Subject::Trial(circuit, lacks), vec![row.name.span]);
    }
}
