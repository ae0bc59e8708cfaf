//! Which hazards a line of a step brings, and what answers them.

use std::collections::BTreeSet;

use super::{
    ActionKind, Counted, HazardId, Line, LineKind, MentionTarget, PartId, Procedure, Prose, ProtectionId, Reading,
    StepId, ToolId, ToolUse,
};

impl Procedure {
    /// The hazards that a line brings, each once: those of its tools and parts, of its action, and of its kind of work.
    /// Of tools that are alternatives, each brings its own, because each may be picked. A tool that prose mentions, or with which
    /// a reading is taken, is laid out and used like any other.
    pub fn brought_by(&self, line: &Line) -> Vec<HazardId> {
        let of_joint = |joint| self.joints[joint].each.iter().map(|entry| entry.what).collect::<Vec<PartId>>();
        let of_list = |list: &[Counted<PartId>]| list.iter().map(|entry| entry.what).collect::<Vec<PartId>>();
        let (kind, tools, parts): (_, &[ToolUse], Vec<PartId>) = match &line.kind {
            LineKind::Use { tools, .. } => (ActionKind::Use, tools, Vec::new()),
            LineKind::Take(list) => (ActionKind::Take, &[], of_list(list)),
            LineKind::MakeParts { made, from, tools } => {
                let kind = if tools.is_empty() { ActionKind::Take } else { ActionKind::Use };
                (kind, tools, of_list(from).into_iter().chain(of_list(made)).collect())
            }
            LineKind::Refit(list) => (ActionKind::Refit, &[], of_list(list)),
            LineKind::Discard(list) => (ActionKind::Discard, &[], of_list(list)),
            LineKind::Remove(list, tools) => (ActionKind::Remove, tools, of_list(list)),
            LineKind::Place(joint) => (ActionKind::Place, &[], of_joint(*joint)),
            LineKind::RefitJoint(joint) => (ActionKind::Refit, &[], of_joint(*joint)),
            LineKind::RemoveJoint(joint, tools) => (ActionKind::Remove, tools, of_joint(*joint)),
            LineKind::Snug(_, tools) => (ActionKind::Snug, tools, Vec::new()),
            LineKind::Tighten(_, tools) => (ActionKind::Tighten, tools, Vec::new()),
            LineKind::Loosen(_, tools) => (ActionKind::Loosen, tools, Vec::new()),
            // A lead of signals brings what its tools bring, and so does what nothing feeds.
            LineKind::Connect(circuit, _, tools) | LineKind::Disconnect(circuit, _, tools)
                if self.circuits[*circuit].is_harmless() =>
            {
                let tools = tools.iter().flat_map(|place| &place.any_of);
                return self.brought_by_use(&tools.copied().collect::<Vec<_>>());
            }
            LineKind::Connect(_, _, tools) => (ActionKind::Connect, tools, Vec::new()),
            LineKind::Disconnect(_, _, tools) => (ActionKind::Disconnect, tools, Vec::new()),
            // To put aside is no kind of work, nor to take what lies there; but a heavy part stays heavy.
            LineKind::KeepParts { parts: list, .. } | LineKind::Reuse(list) => {
                let brings = list.iter().flat_map(|entry| &self.parts[entry.what].brings);
                let all: BTreeSet<HazardId> = brings.map(|(hazard, _)| *hazard).collect();
                return all.into_iter().collect();
            }
            LineKind::Prose(prose) => return self.brought_by_use(&tools_in(prose)),
            LineKind::Read(readings) => return self.brought_by_use(&self.instruments(readings)),
            LineKind::Do(action) => return self.actions[*action].brings.iter().map(|(hazard, _)| *hazard).collect(),
            _ => return Vec::new(),
        };
        let from_tools = tools.iter().flat_map(|place| &place.any_of).flat_map(|tool| &self.tools[*tool].brings);
        let from_parts = parts.iter().flat_map(|part| &self.parts[*part].brings);
        let from_kind = self.hazards.iter().filter(|(_, row)| row.from.contains(&kind)).map(|(id, _)| id);
        let mut found: Vec<HazardId> =
            from_tools.chain(from_parts).map(|(hazard, _)| *hazard).chain(from_kind).collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    /// What using some tools brings, where there are any.
    fn brought_by_use(&self, tools: &[ToolId]) -> Vec<HazardId> {
        let own = tools.iter().flat_map(|tool| &self.tools[*tool].brings).map(|(hazard, _)| *hazard);
        let of_use = |row: &super::Hazard| !tools.is_empty() && row.from.contains(&ActionKind::Use);
        let mut found: Vec<HazardId> =
            own.chain(self.hazards.iter().filter(|(_, row)| of_use(row)).map(|(id, _)| id)).collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    fn instruments(&self, readings: &[Reading]) -> Vec<ToolId> {
        let numbers = readings.iter().filter_map(|reading| match reading {
            Reading::Number(number) => self.numbers[*number].with,
            Reading::Choice(_) => None,
        });
        numbers.collect()
    }

    /// Whether a message under the name of one hazard answers another: the same, or one that it hides.
    pub fn answers(&self, message: HazardId, brought: HazardId) -> bool {
        self.hazards[message].called == self.hazards[brought].called
    }

    /// Whether one of these, worn, answers a hazard without a message.
    pub fn protects(&self, worn: &[ProtectionId], brought: HazardId) -> bool {
        let called = |id: &ProtectionId| self.protections[*id].called.as_str();
        self.hazards[brought].answered_by.iter().any(|answer| worn.iter().any(|worn| called(worn) == called(answer)))
    }

    /// The licensed work that a step does, in the words of its hazards, each once.
    pub fn licensed_work(&self, step: StepId) -> Vec<&str> {
        let brought = self.steps[step].lines.iter().flat_map(|line| self.brought_by(line));
        let mut work: Vec<&str> = brought.filter_map(|hazard| self.hazards[hazard].licensed.as_deref()).collect();
        work.sort_unstable();
        work.dedup();
        work
    }
}

/// The tools that prose mentions.
fn tools_in(prose: &Prose) -> Vec<ToolId> {
    let tools = prose.mentions.iter().filter_map(|mention| match mention.target {
        MentionTarget::Tool(tool) => Some(tool),
        _ => None,
    });
    tools.collect()
}
