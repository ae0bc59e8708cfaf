//! The tree as written: what a file says, with nothing looked up.
//!
//! Names are still names, amounts are still digits and unit words. Every node keeps its span. The doc comment of
//! each node shows its form; `grammar/language.md` explains them to writers.

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

/// `accept FW0504 "reason"` on the line before a statement of the same block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Accept {
    /// The code.
    pub code: Name,
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
    /// `use std/fasteners`
    Use(Name),
    /// `about { … }`
    About(Vec<Item<AboutLine>>),
    /// `option NAME "Title" { value "Label" … }`
    Option(Choice),
    /// `observe NAME "Question?" { yes  no }`
    Observe(Choice),
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
    Vehicle(Vec<CountedName>),
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
    /// `section NAME "Title" [when COND] { … }`
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

/// A row of a library: a name, then attributes with commas between them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What the row describes.
    pub name: Name,
    /// A title, where the row's kind has one.
    pub title: Option<Text>,
    /// `WORD …`, each one attribute. The first may lack its word (a thread's `8 mm x 1.25 mm`).
    pub attributes: Vec<Attribute>,
    /// The whole line.
    pub span: Span,
}

/// One attribute of a row: words, then what follows. `hex-bolt 13 mm` · `proof 580 MPa through 16 mm` ·
/// `8 mm x 1.25 mm` · `copper` · `source iso-898-1`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attribute {
    /// The leading word, if there is one.
    pub word: Option<Name>,
    /// Measures, in order.
    pub measures: Vec<Measure>,
    /// Other words in order (`through`, `x`, `per`, units without number, thread names), e.g. `iso-898-1` after `source`.
    pub words: Vec<Name>,
    /// A quoted text (`source "…"`).
    pub text: Option<Text>,
    /// The attribute.
    pub span: Span,
}

/// A line of `about { … }`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AboutLine {
    /// `> …`
    Prose(Prose),
    /// `skill "…"`
    Skill(Text),
    /// `fits "…"`
    Fits(Text),
    /// `wear safety-glasses, work-gloves`: for the whole job
    Wear(Vec<Name>),
    /// `licence "…"`: where local codes or licensed practice decide
    Licence(Text),
}

/// A declared name with a title and a list of values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// The name.
    pub name: Name,
    /// Title or question.
    pub title: Option<Text>,
    /// `value ["Label"]`
    pub values: Vec<Value>,
}

/// One value of a choice or a state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Value {
    /// The name.
    pub name: Name,
    /// How it is printed; the name itself where it is missing.
    pub label: Option<Text>,
}

/// A `given` or a `measure`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NumberInput {
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// `range A to B`
    pub range: Option<Measure>,
    /// `reads 1 mm`
    pub reads: Option<Measure>,
    /// `with steel-rule`
    pub with: Option<Name>,
}

/// A `limit`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limit {
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// `when COND`
    pub when: Option<Cond>,
    /// The comparison; `None` where it could not be read.
    pub holds: Option<Comparison>,
    /// `else stop "…"`
    pub otherwise: Option<Text>,
}

/// A `part`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// `bolt M8 x 30 mm, class 8.8, hex head`
    pub spec: Option<Spec>,
    /// What stands in braces.
    pub lines: Vec<Item<PartLine>>,
}

/// The standard form of a fastener.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spec {
    /// `bolt`, `screw`, `stud`, `nut`, `washer`, `terminal`
    pub kind: Name,
    /// `M8`, `M10x1.25`, `1/2-13`, `#10-24`
    pub thread: Option<Name>,
    /// `4.8 mm`, for fasteners that have a diameter and no machine thread.
    pub diameter: Option<Measure>,
    /// `x 30 mm`
    pub length: Option<Measure>,
    /// `class 8.8` · `grade 5` · `hex head` · `nylon insert` · `zinc plated`: words with single blanks between. Of a
    /// `terminal`, the first is the name of its row: `terminal ring-8-m8`.
    pub attributes: Vec<Name>,
    /// All of it.
    pub span: Span,
}

/// A line in a part's braces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PartLine {
    /// `mass 6.4 kg`
    Mass(Measure),
    /// `consumable`: used up without a count (grease, tape, thread locker)
    Consumable,
    /// `single use`: may not be fitted twice
    SingleUse,
    /// `brings HAZARD, …`
    Brings(Vec<Name>),
    /// `number "KR-1042"`: the maker's own number
    PartNumber(Text),
    /// `source …` (libraries)
    Source(Vec<Name>),
}

/// A group of the kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitGroup {
    /// `bag`, `box` or `shop` (the workshop's own stock).
    pub kind: Name,
    /// `A`, `powered`
    pub name: Option<Name>,
    /// `when COND`
    pub when: Option<Cond>,
    /// `8 bracket-bolt, 16 bracket-washer`; a consumable has no count.
    pub entries: Vec<CountedName>,
}

/// `8 bracket-bolt`, `bracket-nut`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CountedName {
    /// The count; one where it is missing.
    pub count: Option<Number>,
    /// What is counted.
    pub name: Name,
}

/// A declaration that is a name, a title and lines in braces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Declared<L> {
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// `when COND`
    pub when: Option<Cond>,
    /// The lines.
    pub lines: Vec<Item<L>>,
}

/// A line of a tool.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ToolLine {
    /// `turns hex 13 mm` · `turns hex-socket 6 mm` · `turns cross-recess PH2`; the drive, and its size.
    Turns { drive: Name, size: Option<Measure>, mark: Option<Name> },
    /// `torque 8 N.m to 40 N.m`: a torque wrench and its range
    Torque(Measure),
    /// `measures 0 mm to 300 mm`: an instrument and its range
    Measures(Measure),
    /// `reads 1 mm`: its smallest reading
    Reads(Measure),
    /// `count 2`: how many the workshop has laid out; without it the pick-list asks for what is needed
    Count(Number),
    /// `brings HAZARD, …`
    Brings(Vec<Name>),
    /// `source …`
    Source(Vec<Name>),
}

/// A line of a hazard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HazardLine {
    /// `signal warning`: the least signal word that answers it
    Signal(Name),
    /// `from connect, remove`: the step lines that bring it
    From(Vec<Name>),
    /// `answered by PROTECTION, …`: any of these, worn, answers it without a message
    AnsweredBy(Vec<Name>),
    /// `licensed "Electrical work"`: the work that brings it defers to local codes and licensed practice
    Licensed(Text),
    /// `source …`
    Source(Vec<Name>),
}

/// A line of an action.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ActionLine {
    /// `need engine off`
    Need { state: Name, value: Name },
    /// `brings HAZARD, …`
    Brings(Vec<Name>),
    /// `source …` (libraries)
    Source(Vec<Name>),
}

/// A line of a joint.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum JointLine {
    /// `each bracket-bolt, 2 bracket-washer, bracket-nut`
    Each(Vec<CountedName>),
    /// `count 8`
    Count(Number),
    /// `torque 22 N.m +- 2 N.m`
    Torque(Measure),
    /// `tight "head flat on the bracket"`
    Tight(Text),
    /// `thread plated`: dry, plated, oiled, waxed, anti-seize, thread-locker
    Thread(Name),
    /// `grip 14 mm`: what the bolt clamps
    Grip(Measure),
    /// `into steel 12 mm`: the tapped metal, and its depth of full thread
    Into { metal: Name, depth: Measure },
    /// `onto stud M8, class 8.8`: a stud that is there already, with `class` or `grade` and its name where it is known
    Onto { thread: Name, grade: Option<Name> },
    /// `pattern cross in 2 stages`: in which order all fastenings are tightened, and in how many stages
    Pattern { order: Name, stages: Option<Number> },
    /// `on vehicle`: made, and torqued, before the job starts
    OnVehicle,
}

/// A line of a circuit.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CircuitLine {
    /// `source 12 V`
    Source(Measure),
    /// `load 18 A`
    Load(Measure),
    /// `run 6.5 m`: one way
    Run(Measure),
    /// `wire 8 AWG copper`, `wire 6 mm2 copper`
    Wire { gauge: Measure, metal: Option<Name> },
    /// `insulation 105 degC`: the temperature that the wire's insulation bears
    Insulation(Measure),
    /// `ambient 50 degC`: the warmest place on the run
    Ambient(Measure),
    /// `bundle of 4`: how many wires that carry current lie together, this circuit's included
    Bundle(Number),
    /// `sheathed`: in a sheath or conduit from the source to the breaker or fuse
    Sheathed,
    /// `chassis return [4 mOhm]`: the current flows back through the chassis, with its resistance
    ChassisReturn(Option<Measure>),
    /// `starter cable`: from the battery to the starter motor, which no fuse could carry
    StarterCable,
    /// `breaker 30 A [at 150 mm]` / `fuse 30 A [at 7 in]`: the distance along the wire from the source
    Protection { kind: Name, rating: Measure, at: Option<Measure> },
    /// `drop at most 5 %`
    Drop(Measure),
    /// `point post "Battery positive post" [with ring-8-m8] [on M8]`; the first is the source
    Point { name: Name, title: Option<Text>, terminal: Option<Name>, stud: Option<Name> },
    /// `isolated by negative-lead off`: while it holds, the order of connection is free
    IsolatedBy { state: Name, value: Name },
}

/// A `state`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// Its values.
    pub values: Vec<Value>,
    /// `starts VALUE`
    pub starts: Option<Name>,
    /// `ends VALUE`
    pub ends: Option<Name>,
}

/// A `section`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// `when COND`
    pub when: Option<Cond>,
    /// What happens in it.
    pub body: Body,
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
    /// `expect COND`, all must hold
    pub expects: Vec<Item<Cond>>,
    /// `repair at most 2 times { steps }`
    pub repair: Option<Repair>,
    /// `else stop "…"` / `else go on "…"`
    pub otherwise: Option<CheckElse>,
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
    /// The line.
    pub span: Span,
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
    /// `snug JOINT with TOOLS`
    Snug { joint: Name, tools: Vec<ToolUse> },
    /// `tighten JOINT with TOOLS`
    Tighten { joint: Name, tools: Vec<ToolUse> },
    /// `loosen JOINT with TOOLS`
    Loosen { joint: Name, tools: Vec<ToolUse> },
    /// `remove 4 trim-screw` · `remove JOINT with TOOLS`: off the vehicle
    Remove { what: Vec<CountedName>, tools: Vec<ToolUse> },
    /// `refit 4 trim-screw` · `refit JOINT`: back on
    Refit(Vec<CountedName>),
    /// `discard 4 trim-screw`
    Discard(Vec<CountedName>),
    /// `connect CIRCUIT [at POINT, …] [with TOOLS]`
    Connect { circuit: Name, points: Vec<Name>, tools: Vec<ToolUse> },
    /// `disconnect CIRCUIT [at POINT, …] [with TOOLS]`
    Disconnect { circuit: Name, points: Vec<Name>, tools: Vec<ToolUse> },
    /// `need negative-lead off`
    Need { state: Name, value: Name },
    /// `make negative-lead off`
    Make { state: Name, value: Name },
    /// `set pad thick`
    Set { result: Name, value: Name },
    /// `do lower-arm`
    Do(Name),
    /// `record bracket-joint torque` · `record rail-width` · `record "Serial number"` · `record photo "…"`
    Record(Record),
    /// `takes 10 min, two people`; of the people all words: `two people`
    Takes { time: Measure, people: Option<Name> },
    /// `figure "rail.svg" "The rail from the side"`
    Figure { path: Text, alt: Option<Text> },
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

/// A condition.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cond {
    /// `A or B`
    Any(Vec<Cond>),
    /// `A and B`
    All(Vec<Cond>),
    /// `not A`
    Not(Box<Cond>, Span),
    /// `arm is powered` · `arm is not powered`
    Is { subject: Name, negated: bool, value: Name },
    /// `door-gap is at least 25 mm` · `rail-width is 46 mm to 53 mm`
    Measures { subject: Name, negated: bool, measure: Measure },
    /// `rack-mass + ladder-mass <= roof-rating`
    Compares(Comparison),
}

/// `EXPR OP EXPR`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Comparison {
    /// Left side.
    pub left: Expr,
    /// `<=`, `<`, `>=`, `>`, `=`
    pub op: CompareOp,
    /// Right side.
    pub right: Expr,
    /// All of it.
    pub span: Span,
}

/// How two sides compare.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CompareOp {
    /// `<=`
    AtMost,
    /// `<`
    Below,
    /// `>=`
    AtLeast,
    /// `>`
    Over,
    /// `=`
    Equal,
}

/// Arithmetic.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Expr {
    /// A fact, given or measure.
    Name(Name),
    /// `38 kg`, `2`
    Amount(Amount),
    /// `A + B`, `A - B`, `A * B`, `A / B`, grouped to the left; `*` and `/` bind closer, round brackets closest
    Binary { op: ArithmeticOp, left: Box<Expr>, right: Box<Expr>, span: Span },
    /// `least of (A, B, …)`, `greatest of (A, B, …)`: two or more
    Extreme { greatest: bool, of: Vec<Expr>, span: Span },
}

/// Arithmetic signs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ArithmeticOp {
    /// `+`
    Add,
    /// `-`
    Subtract,
    /// `*`
    Multiply,
    /// `/`
    Divide,
}

impl Cond {
    /// Where the condition stands.
    pub fn span(&self) -> Option<Span> {
        match self {
            Cond::Any(parts) | Cond::All(parts) => {
                let first = parts.first()?.span()?;
                Some(first.to(parts.last()?.span()?))
            }
            Cond::Not(_, span) => Some(*span),
            Cond::Is { subject, value, .. } => Some(subject.span.to(value.span)),
            Cond::Measures { subject, measure, .. } => Some(subject.span.to(measure.span)),
            Cond::Compares(comparison) => Some(comparison.span),
        }
    }
}

impl Expr {
    /// Where the expression stands.
    pub fn span(&self) -> Span {
        match self {
            Expr::Name(name) => name.span,
            Expr::Amount(amount) => amount.span,
            Expr::Binary { span, .. } | Expr::Extreme { span, .. } => *span,
        }
    }
}
