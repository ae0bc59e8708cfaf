//! Which steps and fittings a change touches.

use crate::emit;
use crate::model::{Procedure, StepId};
use crate::plan::Plan;
use crate::source::Span;
use crate::uses::{Names, StepUsing, Use};

/// One edition, to ask.
pub(super) struct Side<'n> {
    names: &'n Names,
    plan: Option<Plan>,
}

/// What a change touches.
#[derive(Debug, Default)]
pub(super) struct Touched {
    pub steps: Vec<StepUsing>,
    pub fittings: Option<String>,
}

impl<'n> Side<'n> {
    pub(super) fn of(names: &'n Names) -> Side<'n> {
        Side { names, plan: names.procedure().cloned().map(Plan::new) }
    }

    /// The file and line of a place.
    pub(super) fn place(&self, at: Span) -> (String, u32) {
        let file = self.names.sources().get(at.file);
        let name = file.map_or_else(String::new, |file| file.name.clone());
        (name, file.map_or(1, |file| file.position(at.start).line))
    }

    /// What a line touches, by its place and the places of the lines around it, from the inside out: the step that it stands
    /// in, all steps of the branch or section that it begins, or, where it is not of the flow, the steps that use what is declared.
    pub(super) fn touched(&self, around: &[Span], is_of_flow: bool) -> Touched {
        let Some(procedure) = self.names.procedure() else { return Touched::default() };
        let mut steps = self.steps_at(procedure, around);
        if steps.is_empty() {
            let outer = around.last().filter(|_| !is_of_flow);
            let uses: Vec<Use> = outer.map(|outer| self.names.uses_within(*outer)).unwrap_or_default();
            let numbers: Vec<String> = uses.iter().filter_map(|one| Some(one.step.as_ref()?.number.clone())).collect();
            steps =
                procedure.steps.iter().filter(|(_, step)| numbers.contains(&step.number)).map(|(id, _)| id).collect();
        }
        let fittings = self.plan.as_ref().and_then(|plan| emit::where_done(plan, &steps));
        let mut told: Vec<StepUsing> = Vec::new();
        for step in steps {
            let step = StepUsing::of(&procedure.steps[step]);
            if !told.contains(&step) {
                told.push(step);
            }
        }
        Touched { steps: told, fittings }
    }

    /// The innermost step around a place, or else all steps within it.
    fn steps_at(&self, procedure: &Procedure, around: &[Span]) -> Vec<StepId> {
        let spans = procedure.steps.iter().map(|(id, step)| (id, step.span.whole()));
        let spans: Vec<(StepId, Span)> = spans.collect();
        let Some(own) = around.first() else { return Vec::new() };
        let holding = spans.iter().filter(|(_, span)| span.contains(own.whole()));
        let smallest = holding.clone().map(|(_, span)| span.end - span.start).min();
        if let Some(smallest) = smallest {
            return holding.filter(|(_, span)| span.end - span.start == smallest).map(|(id, _)| *id).collect();
        }
        spans.iter().filter(|(_, span)| own.whole().contains(*span)).map(|(id, _)| *id).collect()
    }
}
