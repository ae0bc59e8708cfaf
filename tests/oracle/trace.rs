//! What a walk leaves behind: the steps passed, how it ended, what was counted, and the faults that it shows.

use std::collections::{BTreeMap, BTreeSet};

use fitwright::diagnostics::Code;
use fitwright::model::{ChoiceId, CircuitId, HazardId, JointId, LimitId, NumberId, PartId, Reading, StateId, StepId};
use fitwright::quantity::Exact;
use fitwright::source::Span;

use super::places::Place;

/// What a fault is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    /// A branch on one input, by its place.
    Branch(Span),
    /// A reading that is used.
    Reading(Reading),
    /// A result that is used.
    Result(ChoiceId),
    Part(PartId),
    Joint(JointId),
    /// The lugs that a joint holds.
    Lug(JointId),
    /// The parts that a joint joins.
    Member(JointId),
    /// The holes of a joint.
    Holes(JointId),
    /// A trial of a circuit, and what is the first that it lacks.
    Trial(CircuitId, Lacks),
    /// What flows through the fuse of a circuit.
    Load(CircuitId, Exact),
    State(StateId),
    Circuit(CircuitId),
    Limit(LimitId),
    Hazard(HazardId),
    /// The procedure as a whole.
    Path,
}

/// Why nothing flows in a circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Lacks {
    /// A point that is open, by number.
    Point(usize),
    Fuse,
    /// A state isolates it.
    Current,
}

/// A rule of the catalogue that a walk shows.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// The rule.
    pub code: Code,
    /// The line or statement at which it shows.
    pub at: Span,
    /// What it is about.
    pub subject: Subject,
    /// Others that share its cause: one finding about any of them will do.
    pub or: Vec<Subject>,
    /// Other places at which a reader may be pointed to the same fault.
    pub also: Vec<Span>,
    /// Whether no earlier fault of this walk left the meaning open.
    pub certain: bool,
    /// How many steps had been passed.
    pub after_steps: usize,
    /// How many repairs had begun.
    pub after_repairs: usize,
}

/// How a walk ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ending {
    /// Handed over.
    Handover(Span),
    /// Stopped, with the place that said so: a stop, the `else` of a check, or a limit.
    Stop { text: String, at: Span },
    /// A limit turned the vehicle away before the first step.
    TurnedAway { text: String, at: Span },
    /// The text ended without handover or stop.
    RanOut,
    /// A rule does not allow these values: this is no job at all.
    Refused { rule: usize },
}

/// The value of an input on one occasion.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    /// A value of a choice, by number.
    Choice { choice: ChoiceId, occasion: u32, value: usize },
    /// A number, in base units.
    Number { number: NumberId, occasion: u32, base: Exact },
    /// What was assumed where the procedure itself does not say enough.
    Guess { way: usize },
}

/// What happened to a part's count.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct PartCount {
    /// By the kit's groups that this configuration gets.
    pub supplied: u32,
    /// From the kit, by `take` and `place`.
    pub taken: u32,
    /// The same, as far as the walk's meaning was beyond doubt.
    pub taken_certain: u32,
    /// Of what is supplied and taken, what may as well be another part: `4 clip or pin`.
    pub supplied_or: u32,
    pub taken_or: u32,
    pub taken_or_certain: u32,
    /// A joint takes of it, and nobody knows how many.
    pub uncounted: bool,
    /// The most that was taken beyond what there was by then.
    pub short: i64,
    /// The same, as far as the walk's meaning was beyond doubt.
    pub short_certain: i64,
    /// On the vehicle and no joint's: there at the start, taken since, or refitted.
    pub loose: u32,
    /// Of these, not taken by this job.
    pub own: u32,
    /// Taken off and neither refitted nor thrown away yet.
    pub in_hand: u32,
    /// Taken out of the kit and not yet in a joint.
    pub fresh: u32,
    /// Of what came off, what is to serve in another joint and is in none yet.
    pub ready: u32,
    pub removed: u32,
    pub refitted: u32,
    pub discarded: u32,
    pub kept: u32,
    /// Whether it was taken or was on the vehicle.
    pub met: bool,
}

impl PartCount {
    /// What is taken beyond what is supplied, whichever of the parts that stand for one another a job has: this one all
    /// through, or another in its place, where only what names this one alone counts.
    pub fn over(&self) -> i64 {
        self.worse(self.taken, self.taken_or)
    }

    /// The same, as far as the walk's meaning was beyond doubt.
    pub fn over_certain(&self) -> i64 {
        self.worse(self.taken_certain, self.taken_or_certain)
    }

    fn worse(&self, taken: u32, taken_or: u32) -> i64 {
        let has_this = i64::from(taken) - i64::from(self.supplied);
        let has_another = i64::from(taken - taken_or) - i64::from(self.supplied - self.supplied_or);
        has_this.max(has_another)
    }
}

/// The life of a joint.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct JointLife {
    pub in_place: bool,
    pub snug: bool,
    pub tight: bool,
    /// Tightened by this job, and neither loosened nor taken apart since.
    pub set: bool,
    /// Tight at some time, before the job or by it.
    pub was_tight: bool,
    /// Taken apart, and since then neither refitted nor placed.
    pub apart: bool,
    /// Why it is not tight: loosened after a torque, rather than new in its place.
    pub loosened: bool,
    /// The last `place` or `refit`.
    pub placed_at: Option<Span>,
    /// The last `loosen`.
    pub loosened_at: Option<Span>,
}

/// The life of a circuit's point.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct PointLife {
    pub connected: bool,
    pub ever: bool,
}

/// How a condition came out, once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Verdict {
    /// The condition's place.
    pub at: Span,
    /// Whether it held.
    pub held: bool,
    /// Whether the walk's meaning was beyond doubt.
    pub certain: bool,
    /// Whether it is a condition of the flow, the kit, a joint or a circuit rather than what a check expects.
    pub guards: bool,
}

/// How a limit came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LimitVerdict {
    pub limit: LimitId,
    pub holds: bool,
    pub certain: bool,
    /// Whether it was decided before the first step.
    pub before_job: bool,
}

/// A state got a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StateChange {
    pub after_steps: usize,
    pub state: StateId,
    pub value: usize,
}

/// One job, from the first answer to its end.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// Answers in the order in which they became known.
    pub answers: Vec<Answer>,
    /// Steps and checks passed, in order; a check counts each time its lines are done.
    pub steps: Vec<StepId>,
    /// For each of these, how many repairs had begun.
    pub repairs_before: Vec<usize>,
    /// How many repairs began.
    pub repairs: usize,
    /// How it ended.
    pub ending: Ending,
    /// What it shows, in order.
    pub faults: Vec<Fault>,
    /// Statements that it came to, whether or not their own condition held.
    pub arrived: BTreeSet<Place>,
    /// Where it went, and whether beyond doubt.
    pub reached: BTreeMap<Place, bool>,
    /// Conditions in the order in which they were decided.
    pub verdicts: Vec<Verdict>,
    /// What a check expects and had failed, looked at again after a repair.
    pub again: Vec<Verdict>,
    /// Each `make`, and whether the state was so already.
    pub makes: Vec<Verdict>,
    /// Limits in the order in which they were decided; those that do not apply are not here.
    pub limits: Vec<LimitVerdict>,
    /// Each branch with how many of its arms fitted.
    pub arms: Vec<(Span, usize)>,
    /// Results as they were set.
    pub sets: Vec<(ChoiceId, usize)>,
    /// States as they changed.
    pub states: Vec<StateChange>,
    /// Groups of the kit that are supplied, joints and circuits that exist.
    pub exists: Vec<bool>,
    /// Parts, by index.
    pub parts: Vec<PartCount>,
    /// Of each part, each time that more was taken than there was: how many too few, how many beyond doubt, and how many
    /// repairs had begun.
    pub overdrawn: Vec<Vec<(i64, i64, usize)>>,
    /// Joints, by index.
    pub joints: Vec<JointLife>,
    /// Points of circuits, by index.
    pub points: Vec<Vec<PointLife>>,
    /// Circuits, by index, whose isolation was brought about and ended again.
    pub isolation_ended: Vec<bool>,
    /// Hazards answered by a message in the section where the walk ended.
    pub in_force: BTreeSet<HazardId>,
    /// Inputs whose value prose or a record carried to a reader.
    pub told: BTreeSet<Reading>,
    /// Whether a fault left open what happens next.
    pub doubtful: bool,
}

impl Walk {
    /// Whether this is a job that the rules allow.
    pub fn allowed(&self) -> bool {
        !matches!(self.ending, Ending::Refused { .. })
    }

    /// Whether it ended in the handover.
    pub fn handed_over(&self) -> bool {
        matches!(self.ending, Ending::Handover(_))
    }

    /// How many repairs had begun when a part was so many short for the first time; where `certain`, beyond doubt.
    pub fn repairs_when_short(&self, part: usize, short: i64, certain: bool) -> usize {
        let rows = self.overdrawn.get(part).into_iter().flatten();
        let mut there = rows.filter(|(all, sure, _)| if certain { *sure >= short } else { *all >= short });
        there.next().map_or(self.repairs, |(.., repairs)| *repairs)
    }

    /// The faults of one code.
    pub fn faults_of(&self, code: Code) -> impl Iterator<Item = &Fault> {
        self.faults.iter().filter(move |fault| fault.code == code)
    }
}
