//! The tree as written: what a file says, with nothing looked up.
//!
//! Names are still names, amounts are still digits and unit words. Every node keeps its span. The doc comment of
//! each node shows its form; `grammar/language.md` explains them to writers.

mod condition;
mod declared;
mod flow;
mod later;
mod spans;

pub use condition::{ArithmeticOp, CompareOp, Comparison, Cond, Expr};
pub use declared::{
    AboutLine, ActionLine, Attribute, Callout, Choice, CircuitLine, Conductor, CountedName, Declared, Due, Figure,
    HazardLine, JointLine, KitGroup, LeftTo, Limit, NumberInput, Part, PartLine, Plug, Row, Spec, Stage, StageDoes,
    State, ToolLine, Value, WireEnd,
};
pub use flow::{
    Arm, ArmPattern, Body, Brought, Check, CheckElse, Expected, FigureShown, Flow, HandoverLine, Message, Record,
    Repair, Replace, Section, Step, StepLine, ToolUse,
};

pub use later::Later;
pub use spans::Spans;

use crate::source::Span;

/// A name as written: `rail-bracket`, `std/fasteners`, `A`, `M8`, `1/2-13`, `8.8`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Name {
    /// The letters.
    pub text: String,
    /// Where.
    pub span: Span,
}

/// A quoted text, without its quotes and with `\"` and `\\` undone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    /// What stands between the quotes.
    pub value: String,
    /// Where, quotes included.
    pub span: Span,
}

/// Consecutive `>` lines: CommonMark with mentions in square brackets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Prose {
    /// Each line without its `>` and the one blank after it.
    pub lines: Vec<Text>,
    /// From the first `>` to the end of the last line.
    pub span: Span,
}

/// A number as written: `22`, `6.4`, `9/16`, `3 1/2`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Number {
    /// The characters.
    pub text: String,
    /// Where.
    pub span: Span,
}

/// A number with its unit word, if it has one: `22 N.m`, `10 %`, `9/16 in`, `8 AWG`, `10`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Amount {
    /// The number.
    pub number: Number,
    /// The unit as spelled.
    pub unit: Option<Name>,
    /// Both.
    pub span: Span,
}

/// Any way to write a quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measure {
    /// Which way.
    pub form: MeasureForm,
    /// Where.
    pub span: Span,
}

/// The ways to write a quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MeasureForm {
    /// `22 N.m`
    Exact(Amount),
    /// `22 N.m +- 2 N.m`, `22 N.m +- 10 %`, also `±`
    Tolerance(Amount, Amount),
    /// `20 to 24 N.m`, `20 N.m to 24 N.m`
    Range(Amount, Amount),
    /// `at least 150 mm`
    AtLeast(Amount),
    /// `at most 5 %`
    AtMost(Amount),
    /// `over 70 mm`
    Over(Amount),
    /// `below 20 mm`
    Below(Amount),
}

impl MeasureForm {
    /// The amount that says what all of it is an amount of.
    pub fn main(&self) -> &Amount {
        match self {
            MeasureForm::Tolerance(value, _) => value,
            MeasureForm::Exact(amount)
            | MeasureForm::Range(_, amount)
            | MeasureForm::AtLeast(amount)
            | MeasureForm::AtMost(amount)
            | MeasureForm::Over(amount)
            | MeasureForm::Below(amount) => amount,
        }
    }
}

/// `accept FW0504 "reason"`, `accept FW0604 for pad "reason"` or `accept FW0706 at 31 N.m "reason"` on the line before a
/// statement of the same block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Accept {
    /// The code.
    pub code: Name,
    /// `for pad-thick, pad-thin`: what it is accepted of.
    pub subjects: Vec<Name>,
    /// `at 31 N.m`: the value that is accepted.
    pub at: Option<Measure>,
    /// Why it is right here.
    pub reason: Option<Text>,
    /// The whole line.
    pub span: Span,
}

/// Something that stands in a block, with what was accepted for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item<T> {
    /// The statement.
    pub node: T,
    /// `accept` lines right before it.
    pub accepts: Vec<Accept>,
    /// The whole statement, its block included.
    pub span: Span,
}

/// One file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct File {
    /// `procedure …` or `library …`; `None` where the file lacks it (already reported).
    pub head: Option<Head>,
    /// What follows.
    pub items: Vec<Item<Decl>>,
    /// Every word of the places that could not be read (already reported). It may be a name that is declared or used
    /// there, so nothing should be said of a name in this list being unknown or unused.
    pub unread: Vec<Name>,
}

/// The first statement of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// Procedure or library.
    pub kind: HeadKind,
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// The line.
    pub span: Span,
}

/// What a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeadKind {
    /// `procedure kestrel-rack "Kestrel drop-down ladder rack"`
    Procedure,
    /// `library fasteners "Threads, grades and heads"`
    Library,
}

/// A statement of the top level.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Decl {
    /// `revision C 2026-11-02`
    Revision { mark: Name, date: Name },
    /// `units metric, inch`
    Units(Vec<Name>),
    /// `language "de"`
    Language(Text),
    /// `colours red positive, black negative`: each colour with what a conductor of it carries
    Colours(Vec<(Name, Name)>),
    /// `use std/fasteners`
    Use(Name),
    /// `about { … }`
    About(Vec<Item<AboutLine>>),
    /// `option NAME "Title" { value "Label" … }`
    Option(Choice),
    /// `observe NAME "Question?" { yes  no }`
    Observe(Choice),
    /// `each NAME "Title" { place "Label" … }`: the places that things can be at
    Each(Choice),
    /// `result NAME "Title" { low  middle  high }`
    Result(Choice),
    /// `given NAME "Title" { range A to B  [reads Q] }`
    Given(NumberInput),
    /// `measure NAME "Title" { range A to B  reads Q  with TOOL }`
    Measure(NumberInput),
    /// `require COND [when COND] "reason"`
    Require { holds: Cond, when: Option<Cond>, reason: Option<Text> },
    /// `fact NAME = Q`
    Fact { name: Name, value: Measure },
    /// `limit NAME "Title" [when COND] { EXPR <= EXPR  else stop "…" }`
    Limit(Limit),
    /// `part NAME ["Title"] [SPEC] [{ mass Q  consumable  single use  brings HAZARD }]`
    Part(Part),
    /// `kit { bag A [when COND] { 8 bolt, … }  box { … }  shop { … } }`
    Kit(Vec<Item<KitGroup>>),
    /// `vehicle { 4 trim-screw, 1 trim-panel }`: what is on the vehicle before the job
    Vehicle { when: Option<Cond>, entries: Vec<CountedName> },
    /// `tool NAME "Title" { … }`
    Tool(Declared<ToolLine>),
    /// `protection NAME "Title"`: protective equipment
    Protection { name: Name, title: Option<Text> },
    /// `hazard NAME "Title" { signal warning  from tighten, connect }`
    Hazard(Declared<HazardLine>),
    /// `action NAME "Title" { need STATE VALUE  brings HAZARD }`
    Action(Declared<ActionLine>),
    /// `joint NAME "Title" [when COND] { … }`
    Joint(Declared<JointLine>),
    /// `circuit NAME "Title" [when COND] { … }`
    Circuit(Declared<CircuitLine>),
    /// `state NAME "Title" { VALUE "Label" …  starts VALUE  ends VALUE }`
    State(State),
    /// `figure NAME "FILE" "What it shows" [when COND] { 1 rail-bracket at 31 %, 40 % … }`
    Figure(Figure),
    /// `section NAME "Title" [when COND] { … }`, `section NAME from LIBRARY.SECTION [with NAME = NAME] [when COND]`
    Section(Section),
    /// `reference NAME "Publication" [confirmed "how"]` (libraries)
    Reference { name: Name, title: Option<Text>, confirmed: Option<Text> },
    /// `thread M8 8 mm x 1.25 mm, hex-bolt 13 mm, hex-nut 13 mm, hex-key 6 mm, source iso-898-1` (libraries).
    /// Inch: `thread 1/2-13 1/2 in x 13 per in, …`
    Thread(Row),
    /// `grade 8.8 proof 580 MPa through 16 mm, proof 600 MPa through 39 mm, tensile 800 MPa, source iso-898-1`
    Grade(Row),
    /// `screw ST4.2 4.2 mm x 1.4 mm, cross-recess PH2, hexalobular T20, hex-head 7 mm, source iso-1478` (libraries)
    Screw(Row),
    /// `wire 8-AWG copper, diameter 3.26 mm, area 8.37 mm2, ampacity 80 A, source astm-b258` (libraries)
    Wire(Row),
    /// `washer M8 inside 8.4 mm, outside 16 mm, source iso-7089` (libraries)
    Washer(Row),
    /// `insert-nut M8 height at most 9.5 mm, prevails at most 6 N.m, source iso-7040` (libraries)
    InsertNut(Row),
    /// `terminal ring-red-m5 "Ring, red, M5" wire 22 AWG to 16 AWG, stud M5, source practice` (libraries)
    Terminal(Row),
    /// `fuse blade-fuse "Blade fuse" rated 10 A 15 A 20 A, source practice` (libraries)
    Fuse(Row),
    /// `breaker stud-breaker "Breaker with studs" rated 30 A 50 A, source practice` (libraries)
    Breaker(Row),
}
