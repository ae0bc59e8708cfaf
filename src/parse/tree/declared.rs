//! What stands before the first section: about, choices, numbers, parts, tools, joints and their kin, rows of libraries.

use super::{Amount, Comparison, Cond, Item, Later, Measure, Name, Number, Prose, Text};
use crate::source::Span;

/// A row of a library: a name, then attributes with commas between them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What the row describes.
    pub name: Name,
    /// A title, where the row's kind has one.
    pub title: Option<Text>,
    /// `WORD …`, each one attribute. The first may lack its word (a thread's `8 mm x 1.25 mm`).
    pub attributes: Later<Attribute>,
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
    /// `for each GROUP`
    pub for_each: Option<Name>,
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
    /// `for each GROUP`
    pub for_each: Option<Name>,
    /// `when COND`, of a `given`
    pub when: Option<Cond>,
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
    pub lines: Later<Item<PartLine>>,
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
    /// `"flake coated"`: what the maker says and nothing here depends on.
    pub remarks: Vec<Text>,
    /// All of it.
    pub span: Span,
}

/// A line in a part's braces.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
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
    /// `short "bracket"`: what sentences call it
    Short(Text),
    /// `source …` (libraries)
    Source(Vec<Name>),
    /// `mass unknown "…"`, `class unknown "…"`: which value, and why
    Unknown { what: &'static str, why: Text },
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

/// `8 bracket-bolt`, `bracket-nut`, `2 to 4 shim`, `1.2 m loom`, `4 clip-a or clip-b`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CountedName {
    /// The count; one where it is missing.
    pub count: Option<Number>,
    /// The most, after `to`, where the count is the least.
    pub to: Option<Number>,
    /// A length, a volume or a mass in the place of a count.
    pub amount: Option<Amount>,
    /// Why nobody knows how many, in the place of a count.
    pub unknown: Option<Text>,
    /// What is counted.
    pub name: Name,
    /// What may be there in its place.
    pub or: Vec<Name>,
    /// That how many they became is written down, where it says so.
    pub recorded: Option<Span>,
}

impl CountedName {
    /// Whether it is a name alone.
    pub fn is_bare(&self) -> bool {
        self.or.is_empty() && self.has_no_number()
    }

    /// Whether it says neither how many nor how much.
    pub fn has_no_number(&self) -> bool {
        self.count.is_none() && self.amount.is_none() && self.unknown.is_none()
    }

    /// From how many to what.
    pub fn place(&self) -> Span {
        let first = self.count.as_ref().map(|count| count.span).or(self.amount.as_ref().map(|amount| amount.span));
        let whole = first.map_or(self.name.span, |first| first.to(self.name.span));
        self.unknown.as_ref().map_or(whole, |why| whole.to(why.span))
    }
}

/// A declaration that is a name, a title and lines in braces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Declared<L> {
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// `for each GROUP`
    pub for_each: Option<Name>,
    /// `when COND`
    pub when: Option<Cond>,
    /// The lines.
    pub lines: Later<Item<L>>,
}

/// A picture with a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// The name.
    pub name: Name,
    /// The file, from the procedure's folder.
    pub path: Text,
    /// What it shows.
    pub alt: Option<Text>,
    /// `when COND`
    pub when: Option<Cond>,
    /// What stands in braces.
    pub callouts: Vec<Callout>,
}

/// `1 rail-bracket at 31 %, 40 %`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Callout {
    /// The number on the picture.
    pub number: Number,
    /// What it points at.
    pub name: Name,
    /// The share of the width, from the left.
    pub across: Measure,
    /// The share of the height, from the top.
    pub down: Measure,
    /// The whole of it.
    pub span: Span,
}

/// A line of a tool.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ToolLine {
    /// `turns hex 13 mm` · `turns hex-socket 6 mm` · `turns cross-recess PH2`; the drive, and its size.
    Turns { drive: Name, size: Option<Measure>, mark: Option<Name> },
    /// `drives 1/2 in, 3/8 in`: the squares that it puts into sockets
    Drives(Vec<Measure>),
    /// `driven by 1/2 in`: the squares that drive it
    Driven(Vec<Measure>),
    /// `torque 8 N.m to 40 N.m`: a torque wrench and its range
    Torque(Measure),
    /// `lever 280 mm`: from the middle of a torque wrench's grip to its square
    Lever(Measure),
    /// `lever unknown "WHY"`
    LeverUnknown(Text),
    /// `extends 35 mm`: how far beyond the square, along the handle, it puts what it turns
    Extends(Measure),
    /// `measures 0 mm to 300 mm`: an instrument and its range
    Measures(Measure),
    /// `reads 1 mm`: its smallest reading
    Reads(Measure),
    /// `short "wrench"`: what sentences call it
    Short(Text),
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
    /// `at least two people unless HAZARD, …`: how many lift what brings it, where no tool with one of these hazards lifts
    #[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
    LeastPeople { people: Name, unless: Vec<Name> },
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

/// What is done in one go as a joint is tightened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stage {
    /// What is done.
    pub does: StageDoes,
    /// `while "the hub is turned"`
    pub meanwhile: Option<Text>,
    /// All of it.
    pub span: Span,
}

/// What a stage does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StageDoes {
    /// `50 lbf.ft`, `90 deg`: on to a torque, or by an angle
    To(Measure),
    /// `loosen`
    Loosen,
    /// `back off 1/16 turn to 1/4 turn`
    BackOff(Measure),
}

/// When a joint is tightened again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    /// `50 km`, `24 h`
    pub after: Measure,
    /// `of running`
    pub running: bool,
    /// All of it.
    pub span: Span,
}

/// A line of a joint.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum JointLine {
    /// `each bracket-bolt, 2 bracket-washer, bracket-nut`
    Each(Vec<CountedName>),
    /// `count 8`
    Count(Number),
    /// `torque 22 N.m +- 2 N.m`, `torque 30 N.m, then 90 deg`
    Torque(Vec<Stage>),
    /// `tight "head flat on the bracket"`, `tight "the seal touches", then 3/4 turn`
    Tight(Text, Vec<Stage>),
    /// `thread plated`: dry, plated, oiled, waxed, anti-seize, thread-locker
    Thread(Name),
    /// `grip 14 mm`: what the bolt clamps
    Grip(Measure),
    /// `into steel 12 mm blind`: the tapped metal, its depth of full thread, and how it ends: `through` or `blind`
    Into { metal: Name, depth: Measure, end: Option<Name> },
    /// `onto stud M8, class 8.8`: a stud that is there already, with `class` or `grade` and its name where it is known
    Onto { thread: Name, grade: Option<Name> },
    /// `pattern cross in 2 stages`: in which order all fastenings are tightened, and in how many stages; `in stages` leaves the
    /// number open
    Pattern { order: Name, stages: Option<Number>, open: bool },
    /// `again after 50 km or 10 h of running`: tightened again after the job
    Again(Vec<Due>),
    /// `loosened outside-in in 3 stages by 1/4 turn`: the same for loosening, and by how much in each stage
    Loosened { order: Name, stages: Option<Number>, open: bool, by: Option<Measure> },
    /// `on vehicle`: made, and torqued, before the job starts
    OnVehicle,
    /// `backed off`: loosened again after its torque, and left so
    BackedOff,
    /// `grip unknown "…"`, `thread unknown "…"`, `class unknown "…"`
    Unknown { what: &'static str, why: Text },
    /// `at post, earth-stud of feed`: the points of a circuit whose lugs its fastenings hold
    At { points: Vec<Name>, circuit: Name },
    /// `joins rail-bracket, cross-beam`: the parts that it clamps together
    Joins(Vec<Name>),
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
    /// `breaker 30 A [at 150 mm]` / `fuse 30 A [at 7 in] [is fuse-30]`: the distance along the wire from the source, and the
    /// part that is put in later
    /// `fuse 15 A at 100 mm`, `fuse 15 A at unknown "why"`
    Protection { kind: Name, rating: Measure, at: Option<Measure>, unknown: Option<Text>, part: Option<Name> },
    /// `protected 15 A upstream`: the breaker or fuse is there already, before the source
    Upstream(Measure),
    /// `signals only`: it carries no current that could warm a wire
    Signals,
    /// `ready made`: its wire comes with its terminals on
    ReadyMade,
    /// `on vehicle [but lamp]`: all its points but these are connected before the job starts
    OnVehicle(Vec<Name>),
    /// `fed later by box-feed of heron-fit`, `fed later "WHO"`: in this job nothing feeds it
    FedLater(LeftTo),
    /// `leaves lamp, tail to heron-fit`, `leaves lamp to "WHO"`: these points are connected later, by somebody else
    Leaves { points: Vec<Name>, to: LeftTo },
    /// `drop at most 5 %`
    Drop(Measure),
    /// `point post "Battery positive post" [with ring-8-m8] [on M8]`, or `point lamp "Lamp" plug`; the first is the source
    Point { name: Name, title: Option<Text>, terminal: Option<Name>, stud: Option<Name>, plug: Option<Plug> },
    /// `conductor red positive from post to lamp pin 2, 1.2 m, label "F1"`
    Conductor(Conductor),
    /// `isolated by negative-lead off`: while it holds, the order of connection is free
    IsolatedBy { state: Name, value: Name },
    /// `insulation unknown "…"`, in the place of whatever value
    Unknown { what: &'static str, why: Text },
}

/// Who does later what a circuit leaves open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LeftTo {
    /// Somebody, in the writer's words.
    Somebody(Text),
    /// A procedure of the project, by its path, and the circuit there where another one is meant.
    Procedure {
        /// The procedure.
        path: Name,
        /// The circuit there, where it is another one.
        circuit: Option<Name>,
    },
}

/// `plug, 4 pins, female, mates lamp-lead`
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Plug {
    /// `4 pins`
    pub pins: Option<Number>,
    /// `male`, `female`
    pub gender: Option<Name>,
    /// `mates POINT`
    pub mates: Option<Name>,
    /// What is said twice.
    pub twice: Option<Span>,
}

/// `lamp pin 2`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WireEnd {
    /// The point.
    pub point: Name,
    /// The pin of a connector.
    pub pin: Option<Number>,
}

/// A `conductor` of a circuit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conductor {
    /// `red`, `red/white`; `None` where nobody says
    pub colour: Option<Name>,
    /// Why nobody says: `unknown "WHY"`
    pub unknown: Option<Text>,
    /// `positive`
    pub carries: Option<Name>,
    /// The title.
    pub title: Option<Text>,
    /// Its two ends, as written: the point, and the pin of a connector.
    pub ends: Vec<WireEnd>,
    /// Lengths and sizes, as written.
    pub measures: Vec<Measure>,
    /// `label "F1"`
    pub labels: Vec<Text>,
}

/// A `state`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    /// The name.
    pub name: Name,
    /// The title.
    pub title: Option<Text>,
    /// `for each GROUP`
    pub for_each: Option<Name>,
    /// `when COND`
    pub when: Option<Cond>,
    /// Its values.
    pub values: Vec<Value>,
    /// `starts VALUE`
    pub starts: Option<Name>,
    /// `ends VALUE`
    pub ends: Option<Name>,
}
