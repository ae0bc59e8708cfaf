//! Parts, tools, hazards, joints, circuits, states.

use super::{
    CircuitId, CircuitPlaces, CircuitProtection, Cond, Drive, Fastener, Grade, HazardId, LeftTo, Naming, PartId, Point,
    PointId, ProtectionId, StateId, Table, Thread, Unknown,
};
use crate::quantity::{Exact, Kind, Measure, Quantity};
use crate::source::Span;

/// A number of something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Counted<T> {
    /// How many, as it is judged: of a range the most where it is taken and the least where it is supplied. 0 where nothing
    /// is counted: a consumable, an amount, a number that nobody knows.
    pub count: u32,
    /// What is written in the place of a plain count.
    pub much: HowMuch,
    /// Of what.
    pub what: T,
    /// Whether others may be there in its place.
    pub either: Either,
    /// Where.
    pub span: Span,
}

/// Whether an entry of a list stands by itself, or with others of which one is there or is taken: `4 clip-a or clip-b` is
/// two entries, one after the other. Which entries stand together is the same wherever one of them does.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub enum Either {
    /// It stands by itself.
    #[default]
    Alone,
    /// The first of them.
    First,
    /// Another, in the place of the entry before it.
    Or,
}

/// The entries of a list, those together of which one is there or is taken.
pub fn each_or_either<T>(entries: &[Counted<T>]) -> impl Iterator<Item = &[Counted<T>]> {
    entries.chunk_by(|_, next| next.either == Either::Or)
}

/// How much of something is written.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum HowMuch {
    /// A count, or nothing.
    #[default]
    Count,
    /// `2 to 4 shim`: the least and the most, in this order; the least is 0 only where they are taken.
    Between(u32, u32),
    /// `1.2 m loom`: a length, a volume or a mass, more than nothing.
    Amount(Quantity),
    /// `unknown clip "why"`
    Unknown(String),
}

impl HowMuch {
    /// How many there are for certain, where `count` is what is judged: the least of a range.
    pub fn least(&self, count: u32) -> u32 {
        match self {
            HowMuch::Between(least, _) => *least,
            _ => count,
        }
    }

    /// The amount, where it is one.
    pub fn amount(&self) -> Option<&Quantity> {
        match self {
            HowMuch::Amount(amount) => Some(amount),
            _ => None,
        }
    }
}

impl<T> Counted<T> {
    /// How many there are for certain: none where others may be there in its place.
    pub fn least(&self) -> u32 {
        if self.is_alternative() { 0 } else { self.much.least(self.count) }
    }

    /// Whether it is a plain count of one thing, or none at all.
    pub fn is_plain(&self) -> bool {
        self.much == HowMuch::Count && !self.is_alternative()
    }

    /// Whether others may be there in its place.
    pub fn is_alternative(&self) -> bool {
        self.either != Either::Alone
    }
}

/// A part.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Name and title. A fastener without a title is titled by its standard form.
    pub name: Naming,
    /// Its standard form, for fasteners.
    pub fastener: Option<Fastener>,
    /// For terminals: what it fits.
    pub terminal: Option<Terminal>,
    /// Its mass.
    pub mass: Option<Quantity>,
    /// The maker's number.
    pub number: Option<String>,
    /// What sentences call it, where the title is long.
    pub short: Option<String>,
    /// Values that nobody knows.
    pub unknown: Vec<Unknown>,
    /// Used up without a count.
    pub consumable: bool,
    /// What it comes by in the place of a count: [`Kind::Length`], [`Kind::Volume`] or [`Kind::Mass`].
    pub comes_by: Option<Kind>,
    /// May not be fitted twice.
    pub single_use: bool,
    /// Hazards that handling it brings.
    pub brings: Vec<(HazardId, Span)>,
    /// The declaration.
    pub span: Span,
}

/// What a terminal fits.
#[derive(Debug, Clone, PartialEq)]
pub struct Terminal {
    /// Wire sizes, as written: each a size or a range of sizes.
    pub wires: Vec<Measure>,
    /// The studs' threads; empty for splices and push-on terminals.
    pub studs: Vec<String>,
    /// The publications.
    pub sources: Vec<super::Reference>,
}

/// Loose parts that are on the vehicle before the job.
#[derive(Debug, Clone, PartialEq)]
pub struct VehicleGroup {
    /// Only where this holds.
    pub when: Option<Cond>,
    /// What and how many.
    pub entries: Vec<Counted<PartId>>,
    /// All of it.
    pub span: Span,
}

/// A group of the kit.
#[derive(Debug, Clone, PartialEq)]
pub struct KitGroup {
    /// What sort.
    pub kind: KitKind,
    /// `A` in `bag A`.
    pub name: Option<String>,
    /// Under which condition it is supplied.
    pub when: Option<Cond>,
    /// What is in it.
    pub entries: Vec<Counted<PartId>>,
    /// The statement.
    pub span: Span,
}

/// What sort of group.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum KitKind {
    /// A marked bag.
    Bag,
    /// The box.
    Box,
    /// The workshop's own stock.
    Shop,
}

/// A tool.
#[derive(Debug, Clone, PartialEq)]
pub struct Tool {
    /// Name and title.
    pub name: Naming,
    /// What sentences call it, where the title is long.
    pub short: Option<String>,
    /// What it turns or holds.
    pub turns: Vec<DriveSize>,
    /// The squares that it puts into sockets and bits.
    pub drives: Vec<Quantity>,
    /// The squares that drive it.
    pub driven_by: Vec<Quantity>,
    /// The range of a torque wrench.
    pub torque: Option<(Quantity, Quantity)>,
    /// From the middle of a torque wrench's grip to its square.
    pub lever: Option<Quantity>,
    /// How far beyond the square, along the handle, an adapter puts what it turns.
    pub extends: Option<Quantity>,
    /// Values that nobody knows.
    pub unknown: Vec<super::Unknown>,
    /// The range of an instrument.
    pub measures: Option<(Quantity, Quantity)>,
    /// The smallest reading of an instrument.
    pub reads: Option<Quantity>,
    /// How many are laid out; unlimited where the list does not say.
    pub count: Option<u32>,
    /// Hazards that using it brings.
    pub brings: Vec<(HazardId, Span)>,
    /// Whether the procedure's own file declares it.
    pub span: Span,
}

/// A drive and its size.
#[derive(Debug, Clone, PartialEq)]
pub struct DriveSize {
    /// The drive.
    pub drive: Drive,
    /// The size, for drives that have one; of a tool that is set to sizes, the least.
    pub size: Option<Quantity>,
    /// The largest size to which it is set.
    pub to: Option<Quantity>,
    /// The mark (`PH2`).
    pub mark: Option<String>,
}

/// Protective equipment.
#[derive(Debug, Clone, PartialEq)]
pub struct Protection {
    /// Name and title.
    pub name: Naming,
    /// The name as declared, see [`Hazard::called`].
    pub called: String,
}

/// A hazard.
#[derive(Debug, Clone, PartialEq)]
pub struct Hazard {
    /// Name and title.
    pub name: Naming,
    /// The name as declared. A procedure's own hazard may have the name of a library's; a message under that name
    /// answers both, and their ids differ.
    pub called: String,
    /// The least signal word that answers it.
    pub signal: SignalWord,
    /// How many people lift what brings it; 1 where the table asks for no more.
    pub people: u32,
    /// Hazards of tools that lift instead of people, by their names as declared: where a step brings one, fewer will do.
    pub people_unless: Vec<String>,
    /// The kinds of step line that bring it whatever tool or part is used.
    pub from: Vec<ActionKind>,
    /// Protective equipment that answers it where it is worn, without a message; any one of these.
    pub answered_by: Vec<ProtectionId>,
    /// Work that brings it belongs to licensed practice: which work, in words (`Electrical work`).
    pub licensed: Option<String>,
}

/// Signal words, least first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SignalWord {
    /// Not about injury.
    Notice,
    /// Minor or moderate injury could result.
    Caution,
    /// Death or serious injury could result.
    Warning,
    /// Death or serious injury will result.
    Danger,
}

/// The kinds of step line that can bring a hazard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "each is the step line of the same name")]
pub enum ActionKind {
    Use,
    Take,
    Place,
    Snug,
    Tighten,
    Loosen,
    Remove,
    Refit,
    Discard,
    Connect,
    Disconnect,
}

/// A named action.
#[derive(Debug, Clone, PartialEq)]
pub struct Action {
    /// Name and title.
    pub name: Naming,
    /// States that must hold wherever it is done.
    pub needs: Vec<Need>,
    /// Hazards that it brings.
    pub brings: Vec<(HazardId, Span)>,
}

/// A state that must hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Need {
    /// Which state.
    pub state: StateId,
    /// The value that it must have (by number in the state).
    pub value: usize,
    /// Where it is said.
    pub span: Span,
}

/// A joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Name and title.
    pub name: Naming,
    /// Under which condition it exists.
    pub when: Option<Cond>,
    /// The parts of each fastening.
    pub each: Vec<Counted<PartId>>,
    /// How many fastenings; `None` where nobody knows, with the reason in `unknown`.
    pub count: Option<u32>,
    /// How tight in the end.
    pub tightness: Tightness,
    /// What is done one after the other until it is; empty where it is one torque, or goes by what is seen.
    pub stages: Vec<super::Stage>,
    /// The thread's condition.
    pub thread: Option<ThreadCondition>,
    /// What the bolt clamps.
    pub grip: Option<Quantity>,
    /// The tapped hole that the bolt goes into.
    pub into: Option<TappedHole>,
    /// The plain hole that a self-tapping screw turns into.
    pub pilot: Option<(Quantity, Span)>,
    /// The stud that is there already and takes the nut.
    pub onto: Option<Stud>,
    /// In which order the fastenings are tightened, and in how many stages.
    pub pattern: Option<Pattern>,
    /// When it is tightened again after the job.
    pub again: Option<super::Again>,
    /// In which order they are loosened, and in how many stages.
    pub loosened: Option<super::Loosening>,
    /// Made and torqued before the job.
    pub on_vehicle: bool,
    /// Loosened again after its torque and left so, as the nut of a bearing is.
    pub backed_off: bool,
    /// Values that nobody knows.
    pub unknown: Vec<Unknown>,
    /// The points of circuits whose lugs its fastenings hold.
    pub at: Vec<AtPoint>,
    /// The parts that it clamps together, each with the place where that is said.
    pub joins: Vec<(PartId, Span)>,
    /// The declaration.
    pub span: Span,
}

/// A point of a circuit whose lug a joint holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AtPoint {
    /// The circuit.
    pub circuit: CircuitId,
    /// Which of its points.
    pub point: PointId,
    /// Where it is said.
    pub span: Span,
}

/// How tight a joint is.
#[derive(Debug, Clone, PartialEq)]
pub enum Tightness {
    /// By torque: the last one, where there are stages.
    Torque(Measure, Span),
    /// By what a person can see.
    Seen(String, Span),
    /// Nobody says how tight: why.
    Unknown(String, Span),
}

/// A tapped hole.
#[derive(Debug, Clone, PartialEq)]
pub struct TappedHole {
    /// Its metal.
    pub metal: TappedMetal,
    /// Depth of its full thread.
    pub depth: Quantity,
    /// Whether it ends: `None` where the writer does not say.
    pub end: Option<HoleEnd>,
    /// Where it is said.
    pub span: Span,
}

/// How a tapped hole ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum HoleEnd {
    /// Open on the other side: a longer bolt stands out.
    Through,
    /// Closed: a longer bolt stops at the end of the thread and clamps nothing.
    Blind,
}

/// Metals of tapped holes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TappedMetal {
    /// Steel.
    Steel,
    /// Cast iron.
    CastIron,
    /// Aluminium and its alloys.
    Aluminium,
}

/// A stud that is part of the vehicle or of a component.
#[derive(Debug, Clone, PartialEq)]
pub struct Stud {
    /// Its thread.
    pub thread: Thread,
    /// Its class or grade, where it is known.
    pub grade: Option<Grade>,
    /// Where it is said.
    pub span: Span,
}

/// How several fastenings are tightened together.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// In which order.
    pub order: PatternOrder,
    /// In how many rounds, at least one; the last brings the stated torque.
    pub stages: u32,
    /// In several rounds, and nobody says in how many; `stages` is 1 then.
    pub open: bool,
    /// Where it is said.
    pub span: Span,
}

/// The order of the fastenings within a stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PatternOrder {
    /// Each next fastening is the one across from the last.
    Cross,
    /// From the middle outwards, to both sides in turn.
    CentreOut,
    /// One after another, side by side.
    InTurn,
}

/// The thread's condition, on which the torque's preload depends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ThreadCondition {
    /// As received, plain.
    Dry,
    /// Zinc plated.
    Plated,
    /// With oil.
    Oiled,
    /// With wax.
    Waxed,
    /// With anti-seize paste.
    AntiSeize,
    /// With thread locker.
    ThreadLocker,
}

/// A circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// Name and title.
    pub name: Naming,
    /// Under which condition it exists.
    pub when: Option<Cond>,
    /// Source voltage.
    pub source: Option<Quantity>,
    /// Continuous load.
    pub load: Option<Quantity>,
    /// Length one way.
    pub run: Option<Quantity>,
    /// Gauge or area.
    pub wire: Option<Quantity>,
    /// Metal of the conductor; copper where nothing is said.
    pub metal: String,
    /// What the standard library says of that size.
    pub wire_size: Option<super::WireSize>,
    /// What the insulation bears.
    pub insulation: Option<Quantity>,
    /// Warmest place on the run.
    pub ambient: Option<Quantity>,
    /// How many wires that carry current lie together, this circuit's included; `None` where the writer does not say.
    pub bundle: Option<u32>,
    /// In a sheath or conduit from the source to the breaker or fuse.
    pub sheathed: bool,
    /// How the current flows back.
    pub returns: Return,
    /// From the battery to the starter motor, which no fuse could carry.
    pub starter_cable: bool,
    /// Its points are connected before the job, but for those that say otherwise.
    pub on_vehicle: bool,
    /// Its wire comes with its terminals on.
    pub ready_made: bool,
    /// It carries no current that could warm a wire or hurt anybody.
    pub signals_only: bool,
    /// Breaker or fuse.
    pub protection: Option<CircuitProtection>,
    /// Largest voltage drop.
    pub drop: Option<Measure>,
    /// Points in order; the first is the source. Never empty: a circuit that lists none has `source` and `load`.
    pub points: Table<PointId, Point>,
    /// Its conductors, in order; empty where none are listed.
    pub conductors: Vec<super::Conductor>,
    /// While one of these holds, the source is isolated and the order of connection is free.
    pub isolated_by: Vec<Need>,
    /// Nothing feeds it in this job; who feeds it afterwards.
    pub fed_later: Option<LeftTo>,
    /// Values that nobody knows.
    pub unknown: Vec<Unknown>,
    /// Where its lines stand.
    pub places: CircuitPlaces,
    /// The declaration.
    pub span: Span,
}

impl Circuit {
    /// Whether a point is the source: the first one.
    pub fn is_source(&self, point: PointId) -> bool {
        self.source_point() == Some(point)
    }

    /// The source: the first point.
    pub fn source_point(&self) -> Option<PointId> {
        self.points.ids().next()
    }

    /// Whether a loose end of it can burn nobody, whatever is connected: nothing feeds it in this job, or it carries signals only.
    pub fn is_harmless(&self) -> bool {
        self.fed_later.is_some() || self.signals_only
    }

    /// Whether a point is connected before the job.
    pub fn connected_before(&self, point: PointId) -> bool {
        self.on_vehicle && !self.points[point].open_before
    }
}

/// How the current of a circuit flows back to its source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Return {
    /// By a wire like the one there, and as long.
    Wire,
    /// Through the chassis, with its resistance where the writer states it.
    Chassis(Option<Quantity>),
}

/// A state.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// Name and title.
    pub name: Naming,
    /// Under which condition there is such a state; everywhere where there is none.
    pub when: Option<Cond>,
    /// At least two.
    pub values: Vec<super::Value>,
    /// The value before the job.
    pub starts: usize,
    /// The value that the vehicle must leave with.
    pub ends: Option<(usize, Span)>,
    /// The declaration.
    pub span: Span,
}

/// A count as an exact number, for sums that multiply.
pub(crate) fn exact_count(count: u32) -> Exact {
    Exact::from_integer(i128::from(count))
}
