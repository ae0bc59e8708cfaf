//! How a fastening comes to be tight, where that takes more than one torque.

use crate::quantity::Measure;
use crate::source::Span;

/// What is done in one go.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// What is done.
    pub does: StageDoes,
    /// What goes on while it is done, as `the hub is turned`.
    pub meanwhile: Option<String>,
    /// Where it is said.
    pub span: Span,
}

/// What a stage does.
#[derive(Debug, Clone, PartialEq)]
pub enum StageDoes {
    /// On to a torque.
    Torque(Measure),
    /// On by an angle, above 0 and at most 3 turns. What it adds to the preload rests on how stiff the joint is, which
    /// nobody states.
    Angle(Measure),
    /// Loosened again, before the next torque.
    Loosen,
    /// Back by an angle, and left so: a bearing has its play.
    BackOff(Measure),
}

impl Stage {
    /// The torque to which it tightens, with its place.
    pub fn torque(&self) -> Option<(&Measure, Span)> {
        match &self.does {
            StageDoes::Torque(measure) => Some((measure, self.span)),
            StageDoes::Angle(_) | StageDoes::Loosen | StageDoes::BackOff(_) => None,
        }
    }
}
