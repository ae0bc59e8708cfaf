//! What happens: sections, steps, branches, checks, stops.

use super::{
    ActionId, ActionKind, ChoiceId, CircuitId, Cond, Counted, FigureId, HazardId, Interval, JointId, Letter, Naming,
    Need, NumberId, PartId, PointId, ProtectionId, Shown, SignalWord, StateId, StepId, ToolId,
};
use crate::quantity::{Measure, Quantity};
use crate::source::Span;
use std::ops::Range;

/// A section.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Name and title.
    pub name: Naming,
    /// From 1, in order of the text.
    pub number: u32,
    /// Under which condition it happens.
    pub when: Option<Cond>,
    /// What happens.
    pub body: Vec<Node>,
    /// The whole section.
    pub span: Span,
}

/// A flow statement.
#[derive(Debug, Clone, PartialEq)]
pub enum Node {
    /// A step.
    Step(StepId),
    /// A check: its lines and its verdict are in the table of steps; its repair is here.
    Check(Check),
    /// A branch on one input.
    Choose(Choose),
    /// A branch on a condition.
    When(When),
    /// A result is decided.
    Set(SetResult),
    /// The job ends without handover.
    Stop(Stop),
    /// The job ends well.
    Handover(Handover),
}

/// A step, or the lines of a check.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Name and title.
    pub name: Naming,
    /// `2.3`; steps of a repair are `4.1.1`.
    pub number: String,
    /// Whether it is a check.
    pub is_check: bool,
    /// Its own `when`.
    pub when: Option<Cond>,
    /// What happens, in order.
    pub lines: Vec<Line>,
    /// How long it takes.
    pub takes: Option<Takes>,
    /// Of a step that replaces what was looked at and not found good: the name of the step that looks. What it takes are
    /// spares, which may be left over.
    pub spares_for: Option<Span>,
    /// Done by somebody who did none of the work that it looks at: where that is said.
    pub another_person: Option<Span>,
    /// The whole statement.
    pub span: Span,
}

impl Step {
    /// What is waited for in it, in order.
    pub fn waits(&self) -> impl Iterator<Item = &Wait> {
        self.lines.iter().filter_map(|line| match &line.kind {
            LineKind::Wait(wait) => Some(wait),
            _ => None,
        })
    }
}

/// How long a step takes and how many people it needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Takes {
    /// The time, where the writer states one.
    pub time: Option<Measure>,
    /// At least one.
    pub people: u32,
    /// Where.
    pub span: Span,
}

/// A line of a step with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it says.
    pub kind: LineKind,
    /// Whether it says `by hand` in the place of its tools.
    pub by_hand: bool,
    /// Where.
    pub span: Span,
}

impl Line {
    /// Its letter, where it is one of several actions of its step.
    pub fn letter(&self) -> Option<Letter> {
        match &self.kind {
            LineKind::Prose(prose) => prose.letter,
            _ => None,
        }
    }
}

/// A line of a step.
#[derive(Debug, Clone, PartialEq)]
pub enum LineKind {
    /// Prose.
    Prose(Prose),
    /// A note.
    Note(Said),
    /// A safety message.
    Message(Message),
    /// Readings are taken.
    Read(Vec<Reading>),
    /// Tools are used.
    Use {
        /// Which.
        tools: Vec<ToolUse>,
        /// Whether the work can be done without.
        optional: bool,
        /// What they are good for, where they are optional.
        benefit: Option<String>,
    },
    /// Protective equipment is worn.
    Wear(Vec<ProtectionId>),
    /// Parts are taken from the kit.
    Take(Vec<Counted<PartId>>),
    /// The joint is assembled; its parts are taken from the kit, or from what was removed.
    Place(JointId),
    /// Run up by hand.
    Snug(JointId, Vec<ToolUse>),
    /// Brought to its torque or criterion.
    Tighten(JointId, Vec<ToolUse>),
    /// Loosened, still in place.
    Loosen(JointId, Vec<ToolUse>),
    /// A joint is taken apart; its parts are in hand.
    RemoveJoint(JointId, Vec<ToolUse>),
    /// A joint is put together with the parts that were taken off it.
    RefitJoint(JointId),
    /// Parts come off the vehicle and are in hand.
    Remove(Vec<Counted<PartId>>, Vec<ToolUse>),
    /// Parts in hand go back on the vehicle.
    Refit(Vec<Counted<PartId>>),
    /// Parts in hand are thrown away.
    Discard(Vec<Counted<PartId>>),
    /// Parts that came off are taken in hand for another joint, which is placed with them.
    Reuse(Vec<Counted<PartId>>),
    /// Parts in hand are put aside for the owner, who gets them with the vehicle; or spares, where the line says that they come
    /// out of the kit ([`Procedure::is_spare`](super::Procedure::is_spare)).
    KeepParts {
        /// Which.
        parts: Vec<Counted<PartId>>,
        /// Whether the writer says that they are spares of the kit, though others of them come off.
        from_kit: bool,
    },
    /// Points are connected, in this order (source last where all are).
    Connect(CircuitId, Vec<PointId>, Vec<ToolUse>),
    /// Points are disconnected, in this order (source first where all are).
    Disconnect(CircuitId, Vec<PointId>, Vec<ToolUse>),
    /// A state must hold.
    Need(Need),
    /// A state is brought about.
    Make {
        /// Which state.
        state: StateId,
        /// Its new value, by number.
        value: usize,
    },
    /// New parts are made of others, which are used up.
    MakeParts {
        /// What is made.
        made: Vec<Counted<PartId>>,
        /// Of what; taken from the kit, or made before.
        from: Vec<Counted<PartId>>,
        /// With what.
        tools: Vec<ToolUse>,
    },
    /// A result is decided.
    Set(SetResult),
    /// A named action is done.
    Do(ActionId),
    /// Something is written down.
    Record(Record),
    /// Nothing is done for a time.
    Wait(Wait),
    /// A picture.
    Figure(Shown),
}

impl LineKind {
    /// The tools that the line works with, other than those of a `use` line, which may be optional; empty where it names none.
    pub fn worked_with(&self) -> &[ToolUse] {
        match self {
            LineKind::Snug(_, tools)
            | LineKind::Tighten(_, tools)
            | LineKind::Loosen(_, tools)
            | LineKind::RemoveJoint(_, tools)
            | LineKind::Remove(_, tools)
            | LineKind::Connect(_, _, tools)
            | LineKind::Disconnect(_, _, tools)
            | LineKind::MakeParts { tools, .. } => tools,
            _ => &[],
        }
    }

    /// Whether it tells the check what is done, and does not only say what it is done with, what must hold, or how it is read.
    pub fn tells_what_is_done(&self) -> bool {
        match self {
            LineKind::Prose(_)
            | LineKind::Note(_)
            | LineKind::Message(_)
            | LineKind::Figure(_)
            | LineKind::Use { .. }
            | LineKind::Wear(_)
            | LineKind::Take(_)
            | LineKind::Need(_) => false,
            LineKind::Read(_)
            | LineKind::Place(_)
            | LineKind::Snug(..)
            | LineKind::Tighten(..)
            | LineKind::Loosen(..)
            | LineKind::RemoveJoint(..)
            | LineKind::RefitJoint(_)
            | LineKind::Remove(..)
            | LineKind::Refit(_)
            | LineKind::Discard(_)
            | LineKind::Reuse(_)
            | LineKind::KeepParts { .. }
            | LineKind::Connect(..)
            | LineKind::Disconnect(..)
            | LineKind::Make { .. }
            | LineKind::MakeParts { .. }
            | LineKind::Set(_)
            | LineKind::Do(_)
            | LineKind::Record(_)
            | LineKind::Wait(_) => true,
        }
    }

    /// The protective equipment that the line asks for, or that its sentences mention.
    pub fn worn(&self) -> Vec<ProtectionId> {
        let mentioned = |mention: &Mention| match mention.target {
            MentionTarget::Protection(protection) => Some(protection),
            _ => None,
        };
        match self {
            LineKind::Wear(worn) => worn.clone(),
            LineKind::Prose(prose) => prose.mentions.iter().filter_map(mentioned).collect(),
            _ => Vec::new(),
        }
    }

    /// The joint that the line does something to.
    pub fn joint(&self) -> Option<JointId> {
        match self {
            LineKind::Place(joint)
            | LineKind::Snug(joint, _)
            | LineKind::Tighten(joint, _)
            | LineKind::Loosen(joint, _)
            | LineKind::RemoveJoint(joint, _)
            | LineKind::RefitJoint(joint) => Some(*joint),
            _ => None,
        }
    }
}

/// An input that is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Reading {
    /// An observation.
    Choice(ChoiceId),
    /// A measure.
    Number(NumberId),
}

/// Something that is written down.
#[derive(Debug, Clone, PartialEq)]
pub enum Record {
    /// The torque of each fastening of a joint.
    Torque(JointId),
    /// A reading.
    Reading(Reading),
    /// Free text, with what to write.
    Text(String),
    /// A photograph, with what it must show.
    Photo(String),
    /// How many of a part, or of parts that stand for one another, a range of counts in `take` became.
    Taken {
        /// The part, or each that may be there.
        parts: Vec<PartId>,
        /// The least that may be taken.
        least: u32,
        /// The most.
        most: u32,
    },
}

/// A time in which nothing is done.
#[derive(Debug, Clone, PartialEq)]
pub struct Wait {
    /// How long: more than nothing, and a week at most; `None` where only what is waited for is said.
    pub time: Option<Measure>,
    /// What is waited for; empty where it is not said.
    pub until: Said,
}

impl Wait {
    /// The least time that it says, else the one that it says.
    pub fn least(&self) -> Option<Quantity> {
        self.time.as_ref().map(|time| time.low().unwrap_or(*time.stated()))
    }

    /// The most time that it says, else the least.
    pub fn most(&self) -> Option<Quantity> {
        self.time.as_ref().and_then(Measure::high).or_else(|| self.least())
    }
}

/// One place in a list of tools.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToolUse {
    /// Whether it holds the other side.
    pub hold: bool,
    /// How many at once.
    pub count: u32,
    /// Any one of these does; never empty.
    pub any_of: Vec<ToolId>,
    /// Whether it is held across the handle of the wrench, so that it lengthens no lever.
    pub across: bool,
    /// Where.
    pub span: Span,
}

/// A safety message.
#[derive(Debug, Clone, PartialEq)]
pub struct Message {
    /// The signal word.
    pub signal: SignalWord,
    /// The hazard that it answers.
    pub hazard: HazardId,
    /// Nature of the hazard.
    pub nature: Said,
    /// What happens.
    pub consequence: Said,
    /// How to avoid it.
    pub avoid: Said,
}

impl Message {
    /// Its three texts, in their order.
    pub fn texts(&self) -> [&Said; 3] {
        [&self.nature, &self.consequence, &self.avoid]
    }
}

/// A plain text that is said to somebody, with its mentions.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Said {
    /// The text; mentions still in their brackets.
    pub text: String,
    /// What each bracketed text means, in the order of the text.
    pub mentions: Vec<Mention>,
    /// Where it stands, without its quotes where each of its bytes is one of the file; `None` where nothing is said.
    pub place: Option<Span>,
}

impl Said {
    /// The place of a range of its bytes; that of the whole text where it is written with escapes.
    pub fn place_of(&self, range: Range<usize>) -> Option<Span> {
        let whole = self.place?;
        let exact = whole.range().len() == self.text.len() && range.end <= self.text.len();
        let from = whole.start as usize;
        Some(if exact { Span::new(whole.file, from + range.start, from + range.end) } else { whole })
    }
}

/// Prose with its mentions. In a step it is one action, with what goes on from it; prose that begins with a list has none.
#[derive(Debug, Clone, PartialEq)]
pub struct Prose {
    /// CommonMark, lines joined by `\n`; mentions still in their brackets.
    pub markdown: String,
    /// Its letter, where it is one of several actions of a step.
    pub letter: Option<Letter>,
    /// What must be so before the step is done, rather than what is done.
    pub sure: bool,
    /// What each bracketed text means, in the order of the text.
    pub mentions: Vec<Mention>,
    /// Where each of its lines stands.
    pub lines: Vec<Span>,
}

/// A bracketed text of a prose.
#[derive(Debug, Clone, PartialEq)]
pub struct Mention {
    /// The text between the brackets.
    pub text: String,
    /// What it means.
    pub target: MentionTarget,
    /// Where, in the source.
    pub span: Span,
}

/// What a mention means.
#[derive(Debug, Clone, PartialEq)]
#[allow(missing_docs, reason = "each is the declaration of the same name")]
pub enum MentionTarget {
    Part(PartId),
    Tool(ToolId),
    Protection(ProtectionId),
    Choice(ChoiceId),
    Number(NumberId),
    Fact(super::FactId),
    Joint(JointId),
    Circuit(CircuitId),
    State(StateId),
    /// With the number of a callout, where one is meant: `[layout.2]`.
    Figure(FigureId, Option<u32>),
    Step(StepId),
    Action(StepId, Letter),
    Quantity(Measure),
}

/// A check.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// Its lines.
    pub step: StepId,
    /// All must hold after the lines are done; never empty.
    pub expects: Vec<Cond>,
    /// What is done where they do not, before the lines are done again.
    pub repair: Option<Repair>,
    /// What happens where they never do. `None` only where the check has neither.
    pub otherwise: CheckElse,
}

/// A bounded repair.
#[derive(Debug, Clone, PartialEq)]
pub struct Repair {
    /// At least once, at most [`Repair::MOST`] times.
    pub times: u32,
    /// What is done.
    pub body: Vec<Node>,
    /// The whole of it.
    pub span: Span,
}

impl Repair {
    /// The largest bound that the language accepts; every repetition is followed by the checks.
    pub const MOST: u32 = 20;
}

/// What happens where a check fails for good.
#[derive(Debug, Clone, PartialEq)]
pub enum CheckElse {
    /// The job ends without handover.
    Stop(Stop),
    /// The job goes on; the technician is told this.
    GoOn(Said, Span),
}

/// A branch on one input.
#[derive(Debug, Clone, PartialEq)]
pub struct Choose {
    /// The input.
    pub subject: ChooseSubject,
    /// Where the input is named.
    pub subject_span: Span,
    /// The arms, in order. The first that fits is taken; that exactly one does is proved.
    pub arms: Vec<Arm>,
    /// The whole branch.
    pub span: Span,
}

/// What a `choose` looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ChooseSubject {
    /// An option, observation or result.
    Choice(ChoiceId),
    /// A given or measure.
    Number(NumberId),
}

/// An arm.
#[derive(Debug, Clone, PartialEq)]
pub struct Arm {
    /// What it covers.
    pub pattern: ArmPattern,
    /// Where the pattern stands.
    pub pattern_span: Span,
    /// What happens.
    pub body: Vec<Node>,
    /// The whole arm.
    pub span: Span,
}

/// What an arm covers.
#[derive(Debug, Clone, PartialEq)]
pub enum ArmPattern {
    /// Values of the number; the second is what was written.
    In(Interval, Measure),
    /// Values of the choice, by number.
    Values(Vec<usize>),
    /// All that no other arm covers.
    Otherwise,
}

/// A branch on a condition.
#[derive(Debug, Clone, PartialEq)]
pub struct When {
    /// The condition.
    pub cond: Cond,
    /// Where it holds.
    pub then: Vec<Node>,
    /// Where it does not.
    pub otherwise: Vec<Node>,
    /// The whole branch.
    pub span: Span,
}

/// A result is decided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetResult {
    /// Which result.
    pub result: ChoiceId,
    /// Its value, by number.
    pub value: usize,
    /// Where.
    pub span: Span,
}

/// The job ends without handover.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// What the technician is told.
    pub text: Said,
    /// Where.
    pub span: Span,
}

/// The job ends well.
#[derive(Debug, Clone, PartialEq)]
pub struct Handover {
    /// Its lines, in order.
    pub lines: Vec<HandoverLine>,
    /// Where the names of those who sign stand, in their order.
    pub signed: Vec<Span>,
    /// The whole of it.
    pub span: Span,
}

/// A line of the handover.
#[derive(Debug, Clone, PartialEq)]
pub enum HandoverLine {
    /// Who signs.
    Sign(Vec<String>),
    /// What the customer is shown.
    Show(Said),
    /// What the shop keeps.
    Keep(Said),
    /// What is thrown away, and how.
    Dispose(Said),
    /// A note.
    Note(Said),
    /// Prose.
    Prose(Prose),
}

impl LineKind {
    /// The kind of work that it asks for, where that may bring a hazard by itself.
    pub fn work(&self) -> Option<ActionKind> {
        Some(match self {
            LineKind::Use { .. } => ActionKind::Use,
            LineKind::Take(_) => ActionKind::Take,
            LineKind::MakeParts { tools, .. } if tools.is_empty() => ActionKind::Take,
            LineKind::MakeParts { .. } => ActionKind::Use,
            LineKind::Place(_) => ActionKind::Place,
            LineKind::Snug(..) => ActionKind::Snug,
            LineKind::Tighten(..) => ActionKind::Tighten,
            LineKind::Loosen(..) => ActionKind::Loosen,
            LineKind::Remove(..) | LineKind::RemoveJoint(..) => ActionKind::Remove,
            LineKind::Refit(_) | LineKind::RefitJoint(_) => ActionKind::Refit,
            LineKind::Discard(_) => ActionKind::Discard,
            LineKind::Connect(..) => ActionKind::Connect,
            LineKind::Disconnect(..) => ActionKind::Disconnect,
            _ => return None,
        })
    }
}
