//! Hazards and the messages that answer them.
//!
//! **Decisions.** A message is in force from its line to the end of its section. A tool that is one of several that would
//! do brings its hazards: the technician may pick it. A hazard that a step meets unanswered, and answers further down in
//! the same step, is FW1102 (the message comes after the action); otherwise it is FW1101. A tool or part that prose
//! merely mentions brings nothing for certain. Equipment is worn from its line to the end of its step; a hazard that it answers
//! needs no message there.

use std::collections::BTreeMap;

use fitwright::diagnostics::Code;
use fitwright::model::{ActionKind, HazardId, JointId, Line, LineKind, MentionTarget, PartId, StepId, ToolUse};

use super::interpreter::Job;
use super::trace::Subject;

/// Hazards with whether it is certain that they are met.
type Met = BTreeMap<HazardId, bool>;

impl Job<'_, '_> {
    /// What a line brings must be answered by now.
    pub(super) fn meet_hazards(&mut self, step: StepId, line: usize) {
        let row = &self.procedure.steps[step];
        let Some(here) = row.lines.get(line) else { return };
        for (hazard, certain) in self.brought_by(here) {
            if self.answered(hazard) || self.protected(hazard, row.lines.get(..line).unwrap_or_default()) {
                continue;
            }
            let later = row.lines.iter().skip(line + 1).find(|later| answers(later, hazard));
            let mut also = vec![here.span, row.name.span];
            if let Some(message) = later {
                also.push(message.span);
                self.fault_if(certain, Code::FW1102, message.span, Subject::Hazard(hazard), also);
            } else {
                also.push(row.span);
                self.fault_if(certain, Code::FW1101, here.span, Subject::Hazard(hazard), also);
            }
        }
    }

    /// Whether equipment that was put on before answers it.
    fn protected(&self, hazard: HazardId, before: &[Line]) -> bool {
        let worn = |name: &str| {
            let is = |id: &fitwright::model::ProtectionId| self.procedure.protections[*id].called == name;
            let here = |line: &Line| matches!(&line.kind, LineKind::Wear(worn) if worn.iter().any(is));
            self.procedure.about.wear.iter().any(is) || before.iter().any(here)
        };
        let answers = &self.procedure.hazards[hazard].answered_by;
        answers.iter().any(|answer| worn(&self.procedure.protections[*answer].called))
    }

    fn brought_by(&self, line: &Line) -> Met {
        use ActionKind as A;
        let mut met = Met::new();
        match &line.kind {
            LineKind::Use { tools, .. } => self.work(&mut met, A::Use, tools),
            LineKind::Take(counted) => self.handle(&mut met, A::Take, counted.iter().map(|entry| entry.what)),
            LineKind::Refit(counted) => self.handle(&mut met, A::Refit, counted.iter().map(|entry| entry.what)),
            LineKind::Discard(counted) => self.handle(&mut met, A::Discard, counted.iter().map(|entry| entry.what)),
            // To keep is no kind of work, nor to take what lies there.
            LineKind::KeepParts { parts: counted, .. } | LineKind::Reuse(counted) => {
                let brings = counted.iter().flat_map(|entry| &self.procedure.parts[entry.what].brings);
                brings.for_each(|(hazard, _)| add(&mut met, *hazard, true));
            }
            LineKind::Remove(counted, tools) => {
                self.handle(&mut met, A::Remove, counted.iter().map(|entry| entry.what));
                self.work(&mut met, A::Remove, tools);
            }
            LineKind::Place(joint) => self.handle(&mut met, A::Place, self.parts_in(*joint)),
            LineKind::RefitJoint(joint) => self.handle(&mut met, A::Refit, self.parts_in(*joint)),
            LineKind::RemoveJoint(joint, tools) => {
                self.handle(&mut met, A::Remove, self.parts_in(*joint));
                self.work(&mut met, A::Remove, tools);
            }
            LineKind::Snug(_, tools) => self.work(&mut met, A::Snug, tools),
            LineKind::Tighten(_, tools) => self.work(&mut met, A::Tighten, tools),
            LineKind::Loosen(_, tools) => self.work(&mut met, A::Loosen, tools),
            // Where no current flows, only the tools can hurt.
            LineKind::Connect(circuit, _, tools) | LineKind::Disconnect(circuit, _, tools)
                if self.procedure.circuits[*circuit].signals_only
                    || self.procedure.circuits[*circuit].fed_later.is_some() =>
            {
                for tool in tools.iter().flat_map(|wanted| &wanted.any_of) {
                    self.procedure.tools[*tool].brings.iter().for_each(|(hazard, _)| add(&mut met, *hazard, true));
                }
            }
            LineKind::Connect(_, _, tools) => self.work(&mut met, A::Connect, tools),
            LineKind::Disconnect(_, _, tools) => self.work(&mut met, A::Disconnect, tools),
            LineKind::Do(action) => {
                let brings = &self.procedure.actions[*action].brings;
                brings.iter().for_each(|(hazard, _)| add(&mut met, *hazard, true));
            }
            LineKind::Prose(prose) => {
                for mention in &prose.mentions {
                    let brings = match mention.target {
                        MentionTarget::Tool(tool) => &self.procedure.tools[tool].brings,
                        MentionTarget::Part(part) => &self.procedure.parts[part].brings,
                        _ => continue,
                    };
                    brings.iter().for_each(|(hazard, _)| add(&mut met, *hazard, false));
                }
            }
            _ => {}
        }
        met
    }

    fn parts_in(&self, joint: JointId) -> impl Iterator<Item = PartId> + '_ {
        self.procedure.joints[joint].each.iter().map(|entry| entry.what)
    }

    /// Tools in use, and the kind of work.
    fn work(&self, met: &mut Met, kind: ActionKind, tools: &[ToolUse]) {
        self.kind(met, kind);
        for tool in tools.iter().flat_map(|wanted| &wanted.any_of) {
            self.procedure.tools[*tool].brings.iter().for_each(|(hazard, _)| add(met, *hazard, true));
        }
    }

    /// Parts in hand, and the kind of work.
    fn handle(&self, met: &mut Met, kind: ActionKind, parts: impl Iterator<Item = PartId>) {
        self.kind(met, kind);
        for part in parts {
            self.procedure.parts[part].brings.iter().for_each(|(hazard, _)| add(met, *hazard, true));
        }
    }

    fn kind(&self, met: &mut Met, kind: ActionKind) {
        for (hazard, row) in self.procedure.hazards.iter() {
            if row.from.contains(&kind) {
                add(met, hazard, true);
            }
        }
    }
}

fn add(met: &mut Met, hazard: HazardId, certain: bool) {
    *met.entry(hazard).or_insert(false) |= certain;
}

fn answers(line: &Line, hazard: HazardId) -> bool {
    matches!(&line.kind, LineKind::Message(message) if message.hazard == hazard)
}
