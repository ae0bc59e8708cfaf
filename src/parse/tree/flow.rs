//! Sections, steps and their lines.

use super::{Accept, Cond, CountedName, Item, Measure, Name, Number, Prose, Text};
use crate::source::Span;

/// A `section`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// `for each corner`: all of it is done at each place
    pub for_each: Option<Name>,
    /// `expects part harness, circuit feed`: what a library's section leaves to whoever brings it in
    pub expects: Vec<Expected>,
    /// `from lib/wiring.feed with harness = feed-harness`: what happens in it stands in a library
    pub brought: Option<Brought>,
    /// `when COND`
    pub when: Option<Cond>,
    /// What happens in it.
    pub body: Body,
}

/// `part harness`, after `expects`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expected {
    /// `part`, `tool`, `joint`, …
    pub kind: Name,
    /// What the section calls it.
    pub name: Name,
    /// `for each corner`: there is one of it for each place
    pub for_each: Option<Name>,
}

/// `from lib/wiring.feed with harness = feed-harness`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Brought {
    /// `lib/wiring`
    pub library: Name,
    /// `feed`; `None` where the path ends without a section (already reported).
    pub section: Option<Name>,
    /// What the section calls a thing, and which thing of this file it is.
    pub given: Vec<(Name, Name)>,
    /// From `from` to the last name.
    pub span: Span,
}

/// A sequence of flow statements.
pub type Body = Vec<Item<Flow>>;

/// A flow statement.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flow {
    /// `step NAME "Title" [when COND] { … }`
    Step(Step),
    /// `check NAME "Title" [when COND] { … }`
    Check(Check),
    /// `choose NAME { ARM … }`
    Choose { subject: Name, arms: Vec<Arm> },
    /// `when COND { … } [else { … }]`
    When { cond: Cond, then: Body, otherwise: Option<Body> },
    /// `for each GROUP { … }`
    ForEach { group: Name, body: Body },
    /// `set RESULT VALUE`
    Set { result: Name, value: Name },
    /// `stop "…"`
    Stop(Text),
    /// `handover { … }`
    Handover(Vec<Item<HandoverLine>>),
}

/// `46 mm to 70 mm { … }` · `strut { … }` · `otherwise { … }`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Arm {
    /// What it covers.
    pub pattern: ArmPattern,
    /// Where the pattern stands.
    pub pattern_span: Span,
    /// What happens.
    pub body: Body,
    /// The whole arm.
    pub span: Span,
}

/// What an arm covers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ArmPattern {
    /// A range, `at least`, `at most`, `over`, `below` or one quantity.
    Measure(Measure),
    /// One or more values: `strut`, `low, middle`
    Values(Vec<Name>),
    /// `otherwise`
    Otherwise,
}

/// A `step`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// `when COND`
    pub when: Option<Cond>,
    /// Its lines.
    pub lines: Vec<Item<StepLine>>,
    /// Of a step that replaces what a check did not find good: the name of that check.
    pub spares_for: Option<Span>,
    /// `by another person`: of the looking step that a check with `else replace` comes to.
    pub another_person: Option<Span>,
}

/// A `check`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Check {
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// `when COND`
    pub when: Option<Cond>,
    /// Its lines: those of a step.
    pub lines: Vec<Item<StepLine>>,
    /// `by another person`
    pub another_person: Option<Span>,
    /// `expect COND`, all must hold
    pub expects: Vec<Item<Cond>>,
    /// `expect "no cracks"`: what a person sees; all must be so
    pub seen: Vec<Item<Text>>,
    /// `repair at most 2 times { steps }`
    pub repair: Option<Repair>,
    /// `else stop "…"` / `else go on "…"`
    pub otherwise: Option<CheckElse>,
    /// `else replace 2 liner "Title" with TOOLS { … }`
    pub replace: Option<Item<Replace>>,
}

/// What is replaced where a check fails.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replace {
    /// The parts: the old ones come off and are thrown away, new ones are taken.
    pub what: Vec<CountedName>,
    /// The title of the step that does it.
    pub title: Option<Text>,
    /// With what they are taken off.
    pub tools: Vec<ToolUse>,
    /// Taken off by hand.
    pub by_hand: bool,
    /// How the new ones are fitted.
    pub lines: Vec<Item<StepLine>>,
}

/// `repair at most N times { … }`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Repair {
    /// The bound.
    pub times: Number,
    /// What is done before the readings are taken again.
    pub body: Body,
    /// The whole of it.
    pub span: Span,
}

/// What happens where a check fails for good.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckElse {
    /// Whether the procedure stops (`stop`) or goes on (`go on`).
    pub stop: bool,
    /// What the technician is told.
    pub text: Text,
    /// `else go on "…" { … }`: what is done only then
    pub body: Body,
    /// `accept` lines right before it.
    pub accepts: Vec<Accept>,
    /// The line.
    pub span: Span,
}

/// Which picture a step shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FigureShown {
    /// The file, and what it shows.
    File(Text, Option<Text>),
    /// The name of a figure.
    Named(Name),
}

/// A line of a step or check.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StepLine {
    /// `> …`
    Prose(Prose),
    /// `note "…"`
    Note(Text),
    /// `danger|warning|caution|notice HAZARD { hazard "…" consequence "…" avoid "…" }`
    Message(Message),
    /// `read rail-width, doors-open`
    Read(Vec<Name>),
    /// `use spanner-10` · `use 2 spanner-19` · `use impact-driver optional "saves time"`
    Use { tools: Vec<ToolUse>, optional: Option<Option<Text>> },
    /// `wear ear-defenders`
    Wear(Vec<Name>),
    /// `take 4 rail-bracket, 1 arm` · `take grease`
    Take(Vec<CountedName>),
    /// `place JOINT`
    Place(Vec<Name>),
    /// `snug JOINT with TOOLS` · `snug JOINT by hand`, which has no tools
    Snug { joint: Name, tools: Vec<ToolUse> },
    /// `tighten JOINT with TOOLS` · `tighten JOINT by hand`
    Tighten { joint: Name, tools: Vec<ToolUse> },
    /// `loosen JOINT with TOOLS` · `loosen JOINT by hand`
    Loosen { joint: Name, tools: Vec<ToolUse> },
    /// `remove 4 trim-screw` · `remove JOINT with TOOLS` · `remove 4 wing-nut by hand`: off the vehicle
    Remove { what: Vec<CountedName>, tools: Vec<ToolUse>, by_hand: bool },
    /// `refit 4 trim-screw` · `refit JOINT`: back on
    Refit(Vec<CountedName>),
    /// `discard 4 trim-screw`
    Discard(Vec<CountedName>),
    /// `reuse 4 seat-bolt`
    Reuse(Vec<CountedName>),
    /// `keep 4 rail-cap for owner`
    KeepParts {
        /// The parts.
        what: Vec<CountedName>,
        /// `from kit`
        from_kit: bool,
    },
    /// `connect CIRCUIT [at POINT, …] [with TOOLS]`
    Connect { circuit: Name, points: Vec<Name>, tools: Vec<ToolUse>, by_hand: bool },
    /// `disconnect CIRCUIT [at POINT, …] [with TOOLS]`
    Disconnect { circuit: Name, points: Vec<Name>, tools: Vec<ToolUse>, by_hand: bool },
    /// `need negative-lead off`
    Need { state: Name, value: Name },
    /// `make negative-lead off`
    Make { state: Name, value: Name },
    /// `make 2 short-rail from 1 rail with hand-saw`: the tools are empty where it is done by hand, or names none
    MakeParts { made: Vec<CountedName>, from: Vec<CountedName>, tools: Vec<ToolUse>, by_hand: bool },
    /// `set pad thick`
    Set { result: Name, value: Name },
    /// `do lower-arm`
    Do(Name),
    /// `record bracket-joint torque` · `record rail-width` · `record "Serial number"` · `record photo "…"`
    Record(Record),
    /// `wait 30 min "until the primer is dry"`
    Wait { time: Option<Measure>, until: Option<Text> },
    /// `expect "…"`: what must be so before the step is done
    Sure(Text),
    /// `takes 10 min, two people` · `takes two people`; of the people all words: `two people`
    Takes { time: Option<Measure>, people: Option<Name> },
    /// `figure "rail.svg" "The rail from the side" [when COND]`, `figure layout [when COND]`
    Figure { shown: FigureShown, when: Option<Cond> },
}

/// What is written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Record {
    /// `record bracket-joint torque`
    Torque(Name),
    /// `record rail-width`
    Reading(Name),
    /// `record "Serial number of the arm"`
    Text(Text),
    /// `record photo "The harness at the sill"`
    Photo(Text),
}

/// One place in a list of tools: `socket-13` · `2 spanner-19` · `hold with spanner-19 or socket-19`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToolUse {
    /// Whether it holds the other side.
    pub hold: bool,
    /// How many at once; one where it is missing.
    pub count: Option<Number>,
    /// Any one of these does.
    pub any_of: Vec<Name>,
    /// `at 90 deg`: across the handle of what drives it.
    pub across: Option<Measure>,
    /// Where.
    pub span: Span,
}

/// A safety message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Message {
    /// `danger`, `warning`, `caution`, `notice`
    pub signal: Name,
    /// The hazard that it answers.
    pub hazard: Name,
    /// `hazard "…"`
    pub nature: Option<Text>,
    /// `consequence "…"`
    pub consequence: Option<Text>,
    /// `avoid "…"`
    pub avoid: Option<Text>,
}

/// A line of the handover.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HandoverLine {
    /// `sign installer, customer`
    Sign(Vec<Name>),
    /// `show "…"`: what the customer is shown
    Show(Text),
    /// `keep "…"`: what the shop keeps
    Keep(Text),
    /// `dispose "…"`: what is thrown away, and how
    Dispose(Text),
    /// `note "…"`
    Note(Text),
    /// `> …`
    Prose(Prose),
}
