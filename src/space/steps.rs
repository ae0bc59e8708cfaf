//! Steps, line by line, on the way through the text.

use super::event::{Effect, Role};
use super::ids::Input;
use super::ids::Subject;
use super::timeline::{Asked, Source};
use super::unroll::Walk;
use crate::model::{ActionId, Counted, Line, LineKind, Need, PartId, SetResult, StepId, ToolUse};
use crate::source::Span;

impl<'p> Walk<'p, '_> {
    pub(super) fn step(&mut self, id: StepId) {
        let step = &self.terms.procedure.steps[id];
        self.place.step = Some(id);
        self.under(step.when.as_ref(), Role::Step(id), |walk| walk.step_lines(id));
        self.place.step = None;
    }

    /// What happens in a step or check that applies.
    pub(super) fn step_lines(&mut self, id: StepId) {
        let step = &self.terms.procedure.steps[id];
        self.emit(step.name.span, Effect::Step(id));
        step.lines.iter().for_each(|line| self.line(line));
        self.decide_fresh_limits();
    }

    pub(super) fn set(&mut self, set: &'p SetResult, span: Span) {
        let event = self.emit(span, Effect::Set(set));
        self.version(Subject::Choice(set.result), event, Source::Fixed(set.value));
        self.fresh.push(Input::Choice(set.result));
    }

    fn tools(&mut self, tools: &'p [ToolUse], optional: bool, span: Span) {
        if !tools.is_empty() {
            self.emit(span, Effect::Tools { tools, optional });
        }
    }

    fn parts(&mut self, parts: &'p [Counted<PartId>], effect: impl Fn(PartId, u32) -> Effect<'p>) {
        for counted in parts {
            self.emit(counted.span, effect(counted.what, counted.count));
        }
    }

    fn take(&mut self, parts: &'p [Counted<PartId>], used_up: bool) {
        for counted in parts {
            let (part, count) = (counted.what, counted.count);
            let alternative = counted.is_alternative();
            self.emit(counted.span, Effect::Take { part, count, much: &counted.much, alternative, used_up });
        }
    }

    fn line(&mut self, line: &'p Line) {
        let span = line.span;
        match &line.kind {
            LineKind::Figure(_) => {}
            LineKind::Wait(wait) => {
                self.emit(span, Effect::Note(&wait.until));
            }
            LineKind::Note(note) => {
                self.emit(span, Effect::Note(note));
            }
            LineKind::Prose(prose) => {
                self.emit(span, Effect::Prose(prose));
            }
            LineKind::Message(message) => {
                self.emit(span, Effect::Message(message));
            }
            LineKind::Record(record) => {
                self.emit(span, Effect::Record(record));
            }
            LineKind::Wear(worn) => {
                self.emit(span, Effect::Wear(worn));
            }
            LineKind::Read(readings) => {
                for reading in readings {
                    let event = self.emit(span, Effect::Read(*reading));
                    self.becomes_known(Input::from(*reading), Some(event));
                    self.constrain(Some(Input::from(*reading)));
                }
            }
            LineKind::Set(set) => self.set(set, span),
            LineKind::Make { state, value } => {
                let event = self.emit(span, Effect::Make { state: *state, value: *value });
                self.version(Subject::State(*state), event, Source::Fixed(*value));
            }
            LineKind::Need(need) => self.need(need, None, span),
            LineKind::Do(action) => {
                let needs = &self.terms.procedure.actions[*action].needs;
                needs.iter().for_each(|need| self.need(need, Some(*action), span));
                self.emit(span, Effect::Do(*action));
            }
            work => self.work(work, span),
        }
    }

    fn need(&mut self, need: &'p Need, action: Option<ActionId>, span: Span) {
        let holds = self.terms.asked(Subject::State(need.state), self.moment(), Asked::Is(need.value));
        self.emit(span, Effect::Need { need, action, holds });
    }

    /// Lines that handle tools and parts.
    fn work(&mut self, line: &'p LineKind, span: Span) {
        match line {
            LineKind::Use { tools, optional, .. } => self.tools(tools, *optional, span),
            other => self.tools(other.worked_with(), false, span),
        }
        let one = match line {
            LineKind::Place(joint) => Some(Effect::Place(*joint)),
            LineKind::Snug(joint, _) => Some(Effect::Snug(*joint)),
            LineKind::Tighten(joint, _) => Some(Effect::Tighten(*joint)),
            LineKind::Loosen(joint, _) => Some(Effect::Loosen(*joint)),
            LineKind::RemoveJoint(joint, _) => Some(Effect::RemoveJoint(*joint)),
            LineKind::RefitJoint(joint) => Some(Effect::RefitJoint(*joint)),
            _ => None,
        };
        if let Some(effect) = one {
            self.emit(span, effect);
        }
        match line {
            LineKind::Take(parts) => self.take(parts, false),
            LineKind::MakeParts { made, from, .. } => {
                self.take(from, true);
                for counted in made {
                    let (part, count) = (counted.what, counted.count);
                    self.emit(counted.span, Effect::MakeParts { part, count, much: &counted.much });
                }
            }
            LineKind::Remove(parts, _) => self.parts(parts, |part, count| Effect::Remove { part, count }),
            LineKind::Refit(parts) => self.parts(parts, |part, count| Effect::Refit { part, count }),
            LineKind::Discard(parts) => self.parts(parts, |part, count| Effect::Discard { part, count }),
            LineKind::Reuse(parts) => self.parts(parts, |part, count| Effect::Reuse { part, count }),
            LineKind::KeepParts { parts, from_kit } => {
                let procedure = self.terms.procedure;
                self.parts(parts, |part, count| Effect::KeepParts {
                    part,
                    count,
                    of_the_kit: procedure.is_spare(part, *from_kit),
                });
            }
            LineKind::Connect(circuit, points, _) => points.iter().for_each(|point| {
                self.emit(span, Effect::Connect { circuit: *circuit, point: *point });
            }),
            LineKind::Disconnect(circuit, points, _) => points.iter().for_each(|point| {
                self.emit(span, Effect::Disconnect { circuit: *circuit, point: *point });
            }),
            _ => {}
        }
    }
}
