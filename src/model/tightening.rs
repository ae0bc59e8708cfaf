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
    /// Until what the joint's `tight` says can be seen: the seal touches. The first stage, where there is one without a torque.
    Seen,
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

/// When a joint is tightened again after the job, by who uses the vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct Again {
    /// What counts, whichever comes first; never empty, and each measured otherwise.
    pub after: Vec<Due>,
    /// Where it is said.
    pub span: Span,
}

/// A distance or time after which something is due.
#[derive(Debug, Clone, PartialEq)]
pub struct Due {
    /// How far or how long: above 0, with a bound above.
    pub after: Measure,
    /// Whether only the time counts in which it runs.
    pub running: bool,
}

/// In which order the fastenings of a joint are loosened, and in how many stages.
#[derive(Debug, Clone, PartialEq)]
pub struct Loosening {
    /// The order within a stage.
    pub order: LooseningOrder,
    /// How many times all fastenings are gone over, until none is tight.
    pub stages: u32,
    /// Whether the number of stages is left to the technician; `stages` is 1 then.
    pub open: bool,
    /// By how much each is turned back in a stage: above 0 and at most 3 turns.
    pub by: Option<Measure>,
    /// Where it is said.
    pub span: Span,
}

/// An order of loosening.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LooseningOrder {
    /// Across from each other.
    Cross,
    /// From the outside inwards, so that what was tightened from the middle outwards does not warp.
    OutsideIn,
    /// One after another.
    InTurn,
}

impl Stage {
    /// The torque to which it tightens, with its place.
    pub fn torque(&self) -> Option<(&Measure, Span)> {
        match &self.does {
            StageDoes::Torque(measure) => Some((measure, self.span)),
            StageDoes::Seen | StageDoes::Angle(_) | StageDoes::Loosen | StageDoes::BackOff(_) => None,
        }
    }
}
