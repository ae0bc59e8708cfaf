//! Pictures of the procedure, and what they point at.

use super::{
    ChoiceId, CircuitId, Cond, FigureId, JointId, Line, LineKind, Naming, NumberId, PartId, Procedure, ProtectionId,
    StateId, StepId, ToolId,
};
use crate::source::Span;

/// A picture of the project.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its name, where it is declared with one. A figure has no title: it is called by its number.
    pub name: Option<Naming>,
    /// From 1, in the order in which steps show them first; a picture that stands at several places of an `each` has one
    /// number. It stays in a fitting, as the numbers of steps do. `None` where no step shows it.
    pub number: Option<u32>,
    /// Path from the project's root, with forward slashes.
    pub path: String,
    /// Words for those who cannot see it.
    pub alt: String,
    /// How large the picture is.
    pub size: PictureSize,
    /// What it points at, in the order of the text.
    pub callouts: Vec<Callout>,
    /// The declaration, or the line that shows it.
    pub span: Span,
    /// Where its file is named.
    pub path_span: Span,
}

impl Procedure {
    /// The step that shows a figure first, in the order of the text.
    pub fn shown_by(&self, figure: FigureId) -> Option<StepId> {
        let shows = |line: &Line| matches!(&line.kind, LineKind::Figure(shown) if shown.figure == figure);
        self.steps.iter().find(|(_, step)| step.lines.iter().any(shows)).map(|(id, _)| id)
    }
}

/// The size of a picture, each side at least 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PictureSize {
    /// In pixels; of a drawing in thousandths of its own unit, of which only the proportion tells something.
    pub width: u32,
    /// In the same.
    pub height: u32,
    /// Whether it is made of pixels, so that it can be too coarse.
    pub pixels: bool,
}

/// A number on a picture, and what it points at.
#[derive(Debug, Clone, PartialEq)]
pub struct Callout {
    /// 1 to [`Callout::MOST`]. Two have one number only where they point at the same.
    pub number: u32,
    /// What it points at; never empty. Several are one thing at each of several places.
    pub of: Vec<Called>,
    /// How far from the left side, in hundredths of a percent of the picture's width: 0 to 10,000.
    pub across: u32,
    /// How far from the top, in hundredths of a percent of the picture's height: 0 to 10,000.
    pub down: u32,
    /// Where it is said.
    pub span: Span,
}

impl Callout {
    /// The largest number, which a balloon has room for, and the most callouts of a picture.
    pub const MOST: u32 = 99;
    /// A whole side of the picture.
    pub const WHOLE: u32 = 10_000;
}

/// What a callout may point at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "each is the declaration of the same name")]
pub enum Called {
    Part(PartId),
    Tool(ToolId),
    Protection(ProtectionId),
    Choice(ChoiceId),
    Number(NumberId),
    Joint(JointId),
    Circuit(CircuitId),
    State(StateId),
}

/// A line that shows a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// Which.
    pub figure: FigureId,
    /// Only where the options are so: what the figure and the line say, together.
    pub when: Option<Cond>,
}
