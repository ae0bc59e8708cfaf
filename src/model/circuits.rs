//! The points of a circuit, what protects it, and what of it is left to others.

use super::PartId;
use crate::quantity::Quantity;
use crate::source::Span;

/// Who does later what this procedure leaves open: feeds a circuit, connects a point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftTo {
    /// Who.
    pub who: Who,
    /// The line that says so.
    pub span: Span,
}

/// Who does something after this job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Who {
    /// In the writer's words. Nothing is held of it.
    Somebody(String),
    /// A procedure of the project, by its title. That it does so was held when this one was resolved.
    Procedure(String),
}

/// Where the lines of a circuit stand, for those that it has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[allow(missing_docs, reason = "each is the line of the same name")]
pub struct CircuitPlaces {
    pub source: Option<Span>,
    pub load: Option<Span>,
    pub run: Option<Span>,
    pub wire: Option<Span>,
    pub insulation: Option<Span>,
    pub ambient: Option<Span>,
    pub chassis: Option<Span>,
    pub protection: Option<Span>,
    pub drop: Option<Span>,
}

/// Breaker or fuse.
#[derive(Debug, Clone, PartialEq)]
pub struct CircuitProtection {
    /// What it is.
    pub sort: Protector,
    /// Its rating.
    pub rating: Quantity,
    /// Distance along the wire from the source.
    pub at: Option<Quantity>,
    /// The part that it is, which a step puts in; and where that is said.
    pub part: Option<(PartId, Span)>,
}

/// What protects the wire of a circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Protector {
    /// A fuse on the run.
    Fuse,
    /// A breaker on the run.
    Breaker,
    /// A breaker, fuse or electronic limit that is there already, before the source.
    Upstream,
}

/// A point of a circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// The name in the source.
    pub id: String,
    /// The words.
    pub title: String,
    /// The terminal at it.
    pub terminal: Option<PartId>,
    /// The stud's thread.
    pub stud: Option<String>,
    /// Widths across flats of what is turned on a stud of that thread; empty where no stud is named.
    pub stud_flats: Vec<Quantity>,
    /// A plug: nothing is crimped or bolted there.
    pub plug: bool,
    /// What is stated of that plug.
    pub connector: super::Connector,
    /// The circuit lists no points, and this is one of the two that it has all the same.
    pub implied: bool,
    /// It is not connected before the job, though its circuit is on the vehicle.
    pub open_before: bool,
    /// This job does not connect it; who does afterwards.
    pub left: Option<LeftTo>,
    /// Where.
    pub span: Span,
}
