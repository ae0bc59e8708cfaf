//! Which tools the lines of the steps ask for.
//!
//! A *place* is one entry of a line's list of tools: its alternatives, and how many are needed at once.

use super::{LineKind, MentionTarget, Procedure, Reading, StepId, ToolId, ToolUse};
use crate::source::Span;

/// What one line asks for at once.
#[derive(Debug, Clone)]
pub struct ToolNeed<'p> {
    /// The step that it belongs to.
    pub step: StepId,
    /// Its places in order.
    pub places: Vec<Place>,
    /// Whether the work can be done without.
    pub optional: bool,
    /// What an optional tool is good for.
    pub benefit: Option<&'p str>,
}

/// One entry of a list of tools.
#[derive(Debug, Clone)]
pub struct Place {
    /// The alternatives; any of them serves.
    pub any_of: Vec<ToolId>,
    /// How many at once, at least one.
    pub count: u32,
    /// Where it stands.
    pub span: Span,
}

impl Procedure {
    /// What each line of each step asks for, in order: listed tools, instruments of readings, tools that prose mentions.
    pub fn tool_needs(&self) -> Vec<ToolNeed<'_>> {
        let mut needs = Vec::new();
        for (step, row) in self.steps.iter() {
            for line in &row.lines {
                let plain = |places| ToolNeed { step, places, optional: false, benefit: None };
                let one = |tool, span| plain(vec![Place { any_of: vec![tool], count: 1, span }]);
                match &line.kind {
                    LineKind::Use { tools, optional, benefit } => needs.push(ToolNeed {
                        step,
                        places: places(tools),
                        optional: *optional,
                        benefit: benefit.as_deref().filter(|_| *optional),
                    }),
                    LineKind::Read(readings) => needs.extend(readings.iter().filter_map(|reading| match reading {
                        Reading::Number(number) => self.numbers[*number].with.map(|tool| one(tool, line.span)),
                        Reading::Choice(_) => None,
                    })),
                    LineKind::Prose(prose) => {
                        needs.extend(prose.mentions.iter().filter_map(|mention| match mention.target {
                            MentionTarget::Tool(tool) => Some(one(tool, mention.span)),
                            _ => None,
                        }))
                    }
                    other => needs.extend(
                        Some(other.worked_with()).filter(|tools| !tools.is_empty()).map(|tools| plain(places(tools))),
                    ),
                }
            }
        }
        needs
    }
}

fn places(tools: &[ToolUse]) -> Vec<Place> {
    let place = |place: &ToolUse| Place { any_of: place.any_of.clone(), count: place.count.max(1), span: place.span };
    tools.iter().map(place).collect()
}
