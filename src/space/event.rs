//! What happens, in the order of the text: the procedure with its repairs written out.

use super::formula::Formula;
use super::ids::{BlockId, EventId};
use super::terms::Use;
use crate::model::{
    ActionId, Check, Choose, CircuitId, Cond, Handover, HowMuch, JointId, LimitId, Message, Need, NumberId, PartId,
    PointId, Prose, ProtectionId, Reading, Record, Said, SetResult, StateId, StepId, Stop, ToolUse,
};
use crate::source::Span;

/// Something that happens.
#[derive(Debug, Clone)]
pub struct Event<'p> {
    /// Its place in the order.
    pub id: EventId,
    /// The runs in which it happens: its conditions hold, and the job has not ended before.
    pub guard: Formula,
    /// Where it stands.
    pub place: Place,
    /// What happens.
    pub effect: Effect<'p>,
    pub(super) block: BlockId,
}

/// Where an event stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// The section, by its place in the procedure; `None` before the first.
    pub section: Option<usize>,
    /// The step or check.
    pub step: Option<StepId>,
    /// How many repairs of the innermost check around it have begun: 0 at first.
    pub round: u32,
    /// The text.
    pub span: Span,
}

/// Which condition is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Of a group of the kit, by its place in the kit.
    Kit(usize),
    /// Of what is on the vehicle, by its place.
    Vehicle(usize),
    /// Of a joint.
    Joint(JointId),
    /// Of a circuit.
    Circuit(CircuitId),
    /// Of a state.
    State(StateId),
    /// Of a given.
    Given(NumberId),
    /// Of a limit; judged where the limit is decided.
    Limit(LimitId),
    /// Of a section, by its place.
    Section(usize),
    /// Of a step.
    Step(StepId),
    /// Of a `when … else`.
    When,
    /// An `expect` of the check.
    Expect(StepId),
}

/// Why the job ends without handover.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StopCause<'p> {
    /// A `stop` in the flow.
    Statement(&'p Stop),
    /// A check that failed for good.
    Check(&'p Check, &'p Stop),
    /// A limit that is broken.
    Limit(LimitId),
}

/// What happens. Lists in a line become one event an entry, in order; the tools of a line come right before its work.
#[derive(Debug, Clone)]
#[allow(missing_docs, reason = "fields are named as in the model's lines")]
pub enum Effect<'p> {
    /// The first event of all.
    Begins,
    /// The kit holds these parts. `group` is a place in the kit.
    Supplied {
        group: usize,
        part: PartId,
        count: u32,
        much: &'p HowMuch,
        /// Others may be there in its place, whose events come right before or after.
        alternative: bool,
    },
    /// The vehicle carries these parts before the job; `joint` where they are a joint's.
    OnVehicle {
        part: PartId,
        count: u32,
        joint: Option<JointId>,
    },
    /// A condition is judged. Together with the guard, `holds` says how.
    Judged {
        condition: &'p Cond,
        role: Role,
        holds: Formula,
        uses: Vec<Use>,
    },
    /// A branch is taken. `arms` says what each arm covers by itself; the first that fits is taken.
    Chosen {
        choose: &'p Choose,
        arms: Vec<Formula>,
        uses: Vec<Use>,
    },
    /// A limit that applies is decided.
    Limit {
        limit: LimitId,
        holds: Formula,
    },
    /// A section begins.
    Section(usize),
    /// A step, or the lines of a check, begin.
    Step(StepId),
    /// A reading is taken.
    Read(Reading),
    /// A result is decided.
    Set(&'p SetResult),
    /// A state is brought about.
    Make {
        state: StateId,
        value: usize,
    },
    /// A state must hold; `action` where a named action asks for it.
    Need {
        need: &'p Need,
        action: Option<ActionId>,
        holds: Formula,
    },
    /// A named action is done; its needs come right before.
    Do(ActionId),
    /// Tools are used at once.
    Tools {
        tools: &'p [ToolUse],
        optional: bool,
    },
    /// Protective equipment is worn.
    Wear(&'p [ProtectionId]),
    /// Parts are taken from the kit, or used up in making others; what is not counted has 0.
    Take {
        part: PartId,
        count: u32,
        much: &'p HowMuch,
        /// Others may be taken in its place, whose events come right before or after.
        alternative: bool,
        /// It goes into another part.
        used_up: bool,
    },
    /// Parts are made of others, whose `Take` comes right before.
    MakeParts {
        part: PartId,
        count: u32,
        much: &'p HowMuch,
    },
    /// A joint is put together with new parts from the kit.
    Place(JointId),
    Snug(JointId),
    Tighten(JointId),
    Loosen(JointId),
    RemoveJoint(JointId),
    RefitJoint(JointId),
    Remove {
        part: PartId,
        count: u32,
    },
    Refit {
        part: PartId,
        count: u32,
    },
    Discard {
        part: PartId,
        count: u32,
    },
    /// What came off is taken in hand for another joint.
    Reuse {
        part: PartId,
        count: u32,
    },
    /// Put aside for the owner.
    KeepParts {
        part: PartId,
        count: u32,
        /// It comes out of the kit, and nothing was done with it.
        of_the_kit: bool,
    },
    /// A point (by number in the circuit) is connected.
    Connect {
        circuit: CircuitId,
        point: PointId,
    },
    Disconnect {
        circuit: CircuitId,
        point: PointId,
    },
    /// A safety message is given.
    Message(&'p Message),
    Prose(&'p Prose),
    Note(&'p Said),
    Record(&'p Record),
    /// The lines of a check are done; `passes` says whether all that it expects holds.
    Verdict {
        check: &'p Check,
        passes: Formula,
    },
    /// The job ends without handover.
    Stop(StopCause<'p>),
    /// A check failed for good and the job goes on.
    GoOn(&'p Check),
    /// The job ends well.
    Handover(&'p Handover),
    /// The text is at its end: whoever gets here has had neither stop nor handover.
    RunsOut,
}
