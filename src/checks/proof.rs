//! Proof obligations, and what becomes of them.
//!
//! A *subject* is what a rule speaks of: a joint, a part, a state. Once it went wrong on a run it is *poisoned* there, and
//! what follows from the same mistake is not told again: one cause, one message.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::words;
use crate::diagnostics::{Code, Finding};
use crate::model::{CircuitId, HazardId, IdMap, JointId, LimitId, PartId, PointId, Procedure, StateId};
use crate::plan::Plan;
use crate::source::Span;
use crate::space::{Answer, CaseAnswer, Effect, Event, EventId, Formula, Input, Model, Space};

/// Cases are worked out for so many findings of a procedure. Nobody reads more.
pub const MOST_CASES: usize = 100;

/// Everything that the families share.
pub(super) struct Proof<'p> {
    pub plan: &'p Plan,
    pub procedure: &'p Procedure,
    pub space: Space<'p>,
    /// What happens, in order.
    pub events: Arc<[Event<'p>]>,
    /// For each event: the runs in which an earlier fault has left open how the job goes on.
    doubt: IdMap<EventId, Formula>,
    pub findings: Vec<Finding>,
    /// Patterns of branches that lie outside the range of their subject.
    pub outside: Vec<Span>,
    /// Limits that were told to be broken in every configuration.
    pub broken_limits: Vec<LimitId>,
    obligations: Vec<Obligation<'p>>,
    known: BTreeMap<Key, usize>,
    proved: Vec<Proved>,
}

/// A rule that some run does break: what to say, and from what its case comes.
pub(super) struct Proved {
    pub finding: Finding,
    /// In which runs.
    pub fault: Formula,
    pub at: EventId,
    /// Later moments at which the same can be so, with their runs.
    pub later: Vec<(EventId, Formula)>,
    /// All runs in which it shows, told before or not.
    pub shown: Formula,
    /// One of the runs.
    pub model: Arc<Model>,
    /// What it comes to, in words. Where it says so, the steps tell nothing: what is so does not come from one of them.
    pub outcome: Option<(String, Steps)>,
}

/// Whether a case tells the steps passed.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Steps {
    Told,
    Untold,
}

/// Under which obligations are one: the rule, the place and the subject.
pub(super) type Key = (Code, Span, Subject);

/// What a rule speaks of, as far as the place alone does not tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Subject {
    /// The place tells.
    Place,
    Part(PartId),
    Joint(JointId),
    Circuit(CircuitId),
    /// A point of a circuit.
    Point(CircuitId, PointId),
    /// One of the things that were found out about a circuit, by number.
    Working(CircuitId, usize),
    State(StateId),
    Hazard(HazardId),
    Limit(LimitId),
    Input(Input),
    /// An earlier arm of the same branch, by number.
    Arm(usize),
}

/// A rule that no run may break, still to be proved.
struct Obligation<'p> {
    code: Code,
    /// Moments in order of the text, each with the runs that would break the rule there.
    moments: Vec<(EventId, Formula)>,
    /// The runs that break it at any of them, whether something was told of the subject before or not.
    shown: Formula,
    words: Box<dyn FnOnce(&Proof<'p>) -> Finding + 'p>,
}

impl<'p> Proof<'p> {
    pub fn new(plan: &'p Plan) -> Self {
        let procedure = plan.procedure();
        let mut space = Space::new(procedure);
        let events = space.events();
        let mut so_far = Formula::NEVER;
        let doubt = IdMap::along(&events, |_, event| {
            let before = so_far;
            let open = leaves_open(procedure, &mut space, event);
            so_far = space.either(so_far, open);
            before
        });
        Proof {
            plan,
            procedure,
            space,
            events,
            doubt,
            findings: Vec::new(),
            outside: Vec::new(),
            broken_limits: Vec::new(),
            obligations: Vec::new(),
            known: BTreeMap::new(),
            proved: Vec::new(),
        }
    }

    /// The runs in which an event happens and in which it is sure what happened before.
    pub fn sure(&mut self, event: &Event<'_>) -> Formula {
        let doubt = self.doubt[event.id];
        self.space.both(event.guard, !doubt)
    }

    /// The runs in which a circuit is isolated right before an event. What is harmless counts as isolated all along.
    pub fn isolated(&mut self, at: EventId, circuit: CircuitId) -> Formula {
        if self.procedure.circuits[circuit].is_harmless() {
            return Formula::ALWAYS;
        }
        let needs = &self.procedure.circuits[circuit].isolated_by;
        let holds: Vec<Formula> = needs.iter().map(|need| self.space.state_is(at, need.state, need.value)).collect();
        self.space.any(holds)
    }

    /// Files an obligation: that no run is one in which `broken` holds. The words are asked for only where there is one.
    pub fn oblige(&mut self, key: Key, at: EventId, broken: Formula, words: impl FnOnce(&Proof<'p>) -> Finding + 'p) {
        self.oblige_shown(key, at, (broken, broken), words);
    }

    /// The same, with the runs that break the rule there although something else was told of the subject before: the
    /// case needs no input that only keeps it from being told before.
    pub fn oblige_shown(
        &mut self,
        key: Key,
        at: EventId,
        (broken, shown): (Formula, Formula),
        words: impl FnOnce(&Proof<'p>) -> Finding + 'p,
    ) {
        if broken == Formula::NEVER {
            return;
        }
        if let Some(obligation) = self.known.get(&key).and_then(|at| self.obligations.get_mut(*at)) {
            obligation.moments.push((at, broken));
            obligation.shown = self.space.either(obligation.shown, shown);
            return;
        }
        self.known.insert(key, self.obligations.len());
        self.obligations.push(Obligation { code: key.0, moments: vec![(at, broken)], shown, words: Box::new(words) });
    }

    /// Whether a pattern was already told to lie outside the range of its subject.
    pub fn is_outside(&self, pattern: Span) -> bool {
        self.outside.contains(&pattern)
    }

    /// Whether a limit that every job is held to was told to break in every configuration.
    pub fn turns_all_away(&self) -> bool {
        self.broken_limits.iter().any(|limit| {
            let limit = &self.procedure.limits[*limit];
            limit.when.is_none() && limit.otherwise.is_some()
        })
    }

    /// Of things that must be so, each with the runs in which it is: each that is the first one not so in a run that breaks a
    /// rule, with those runs.
    pub fn first_not<T: Copy>(&mut self, things: &[(T, Formula)], mut broken: Formula) -> Vec<(T, Formula)> {
        let mut first = Vec::new();
        for (thing, so) in things {
            let here = self.space.both(broken, !*so);
            if here != Formula::NEVER {
                first.push((*thing, here));
            }
            broken = self.space.both(broken, *so);
        }
        first
    }

    /// Settles all obligations; gives everything that there is to say. What is `accepted` has no case.
    pub fn settle<E>(
        mut self,
        wanted: &dyn Fn() -> Result<(), E>,
        accepted: &dyn Fn(&[&Finding]) -> Vec<bool>,
    ) -> Result<Vec<Finding>, E> {
        let obligations = std::mem::take(&mut self.obligations);
        let all: Vec<Formula> =
            obligations.iter().flat_map(|one| one.moments.iter().map(|(_, broken)| *broken)).collect();
        // Asked together, most are answered by a few runs; the single questions below then come from memory.
        drop(self.space.ask_each(&all));
        for obligation in obligations {
            wanted()?;
            self.settle_one(obligation);
        }
        self.show_cases(wanted, accepted)?;
        // A division that has no answer is why nothing could be decided of what hangs on it.
        if self.findings.iter().any(|finding| finding.code == Code::FW0312) {
            self.findings.retain(|finding| finding.code != Code::FW0419);
        }
        Ok(self.findings)
    }

    /// Tells of a rule that a run was found to break. Its case is worked out at the end.
    pub fn prove(&mut self, proved: Proved) {
        self.proved.push(proved);
    }

    fn settle_one(&mut self, obligation: Obligation<'p>) {
        let mut undecided = false;
        let (moments, shown) = (obligation.moments, obligation.shown);
        for (n, (at, fault)) in moments.iter().copied().enumerate() {
            match self.space.ask(fault) {
                Answer::Impossible => {}
                Answer::Undecided => undecided = true,
                Answer::Possible(model) => {
                    let finding = (obligation.words)(self);
                    let later = moments.get(n + 1..).unwrap_or_default().to_vec();
                    self.prove(Proved { finding, fault, at, later, shown, model, outcome: None });
                    return;
                }
            }
        }
        if undecided {
            let finding = (obligation.words)(self);
            self.findings.push(not_decided(obligation.code, &finding));
        }
    }

    /// Works out the cases, in the order in which the findings are told and no more than are told.
    fn show_cases<E>(
        &mut self,
        wanted: &dyn Fn() -> Result<(), E>,
        accepted: &dyn Fn(&[&Finding]) -> Vec<bool>,
    ) -> Result<(), E> {
        let mut proved = std::mem::take(&mut self.proved);
        if proved.is_empty() {
            return Ok(());
        }
        let steps = words::case_steps(self.procedure);
        proved.sort_by_key(|one| (one.finding.span(), one.finding.code));
        let all: Vec<&Finding> = proved.iter().map(|one| &one.finding).chain(&self.findings).collect();
        let is_accepted = accepted(&all);
        for (n, one) in proved.into_iter().enumerate() {
            wanted()?;
            let found = match &one.outcome {
                _ if n >= MOST_CASES || is_accepted.get(n) == Some(&true) => CaseAnswer::Undecided,
                None => {
                    let moments: Vec<_> = std::iter::once((one.at, one.fault)).chain(one.later).collect();
                    self.space.case_among(&moments, one.shown)
                }
                Some(_) => self.space.case_from(one.fault, one.at, one.shown, &one.model),
            };
            let finding = match found {
                CaseAnswer::Case(found) => {
                    let mut case = words::case(self.procedure, &steps, &found);
                    if let Some((outcome, told)) = one.outcome {
                        case.outcome = Some(outcome);
                        if told == Steps::Untold {
                            case.steps.clear();
                        }
                    }
                    one.finding.case(case)
                }
                CaseAnswer::Impossible | CaseAnswer::Undecided => one.finding,
            };
            self.findings.push(finding);
        }
        Ok(())
    }
}

/// FW0419: what could not be decided is said, at the place where it would have been said.
pub(super) fn not_decided(code: Code, finding: &Finding) -> Finding {
    let message = format!("it could not be decided whether: {} ({code})", finding.message);
    let place = finding.span();
    let finding = match place {
        Some(span) => Finding::new(Code::FW0419, message, span, "not decided within the effort allowed"),
        None => Finding::without_place(Code::FW0419, message),
    };
    finding
        .because("Silence would claim that it can't happen on any configuration; that was not proved.")
        .repair("Make the conditions around this place simpler, or split the procedure.")
}

/// The runs in which an event leaves open how the job goes on: a reading that nobody took is looked at, no branch fits,
/// or a limit breaks and nothing is said for it.
fn leaves_open(procedure: &Procedure, space: &mut Space<'_>, event: &Event<'_>) -> Formula {
    let open = match &event.effect {
        Effect::Judged { uses, .. } => space.any(uses.iter().map(|looked| looked.unknown)),
        Effect::Chosen { arms, uses, .. } => {
            let covered = space.any(arms.iter().copied());
            let unknown = space.any(uses.iter().map(|looked| looked.unknown));
            space.either(!covered, unknown)
        }
        Effect::Limit { limit, holds } if procedure.limits[*limit].otherwise.is_none() => !*holds,
        _ => return Formula::NEVER,
    };
    space.both(event.guard, open)
}
