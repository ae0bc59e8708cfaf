//! What brute force knows of a procedure after all its walks.

use std::collections::{BTreeMap, BTreeSet};

use fitwright::diagnostics::Code;
use fitwright::model::{Id, LimitId, PartId, Procedure, Reading};
use fitwright::source::Span;

use super::enumerate::{TooHard, every_walk};
use super::influence::{Deciding, Influence};
use super::places::Place;
use super::trace::{Answer, Fault, Subject, Walk};

/// A fault that at least one walk shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// As the first walk showed it; certain if any walk showed it for certain.
    pub fault: Fault,
    /// The answers of one walk that shows it, a certain one where there is one.
    pub example: Vec<Answer>,
    /// How many walks show it.
    pub walks: usize,
    /// The fewest repairs after which a walk shows it for certain.
    pub fewest_repairs: Option<usize>,
}

/// How a part's count comes out over all jobs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Balance {
    /// Most that is taken beyond what is supplied (negative: never short), counting only what is beyond doubt.
    pub worst_certain: i64,
    /// The same, counting all.
    pub worst: i64,
    /// The fewest repairs after which a job has taken `worst_certain`.
    pub worst_after: usize,
    /// Fewest and most left over at the handover, where some job gets there.
    pub left: Option<(i64, i64)>,
    /// Whether some job takes it.
    pub taken: bool,
}

impl Default for Balance {
    fn default() -> Self {
        Balance { worst_certain: i64::MIN, worst: i64::MIN, worst_after: 0, left: None, taken: false }
    }
}

/// How a condition or limit came out over all jobs.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Outcomes {
    pub held_certain: bool,
    pub held: bool,
    pub failed_certain: bool,
    pub failed: bool,
    /// A condition of the flow, the kit or a thing, rather than what a check expects.
    pub guards: bool,
}

impl Outcomes {
    fn add(&mut self, held: bool, certain: bool) {
        self.held |= held;
        self.held_certain |= held && certain;
        self.failed |= !held;
        self.failed_certain |= !held && certain;
    }
}

/// The key under which faults are one.
pub type FaultKey = (Code, Subject, Span);

/// Everything that brute force found out.
#[derive(Debug, Default)]
pub struct Answers {
    pub walks: usize,
    /// Jobs that the rules allow.
    pub allowed: usize,
    pub faults: BTreeMap<FaultKey, Seen>,
    pub parts: Vec<Balance>,
    /// Statements that some job comes to.
    pub arrived: BTreeSet<Place>,
    /// Places with whether some job gets there for certain.
    pub reached: BTreeMap<Place, bool>,
    pub conds: BTreeMap<Span, Outcomes>,
    /// The same without jobs that end before the first step.
    pub conds_of_started: BTreeMap<Span, Outcomes>,
    /// What checks expect and had failed, after a repair.
    pub again: BTreeMap<Span, Outcomes>,
    /// Each `make`, and whether the state was so already.
    pub makes: BTreeMap<Span, Outcomes>,
    pub limits: BTreeMap<LimitId, Outcomes>,
    pub handover_certain: bool,
    pub handover: bool,
    /// Whether some walk was in doubt.
    pub doubtful: bool,
    pub deciding: Deciding,
    pub told: BTreeSet<Reading>,
    /// Inputs that were asked for.
    pub asked: BTreeSet<Reading>,
}

/// Tries everything.
pub fn brute_force(procedure: &Procedure, most: usize) -> Result<Answers, TooHard> {
    let mut answers = Answers { parts: vec![Balance::default(); procedure.parts.len()], ..Answers::default() };
    let mut influence = Influence::default();
    answers.walks = every_walk(procedure, most, &mut |walk, script| {
        influence.add(walk, script);
        answers.asked.extend(script.iter().filter_map(|decision| decision.input));
        if walk.allowed() {
            answers.add(walk);
        }
    })?;
    answers.deciding = influence.deciding();
    Ok(answers)
}

impl Answers {
    fn add(&mut self, walk: &Walk) {
        self.allowed += 1;
        self.doubtful |= walk.doubtful;
        self.told.extend(walk.told.iter().copied());
        for fault in &walk.faults {
            self.add_fault(fault, walk);
        }
        self.arrived.extend(walk.arrived.iter().copied());
        for (place, certain) in &walk.reached {
            *self.reached.entry(*place).or_insert(false) |= certain;
        }
        let turned_away = matches!(walk.ending, super::trace::Ending::TurnedAway { .. });
        for verdict in &walk.verdicts {
            let note = |conds: &mut BTreeMap<Span, Outcomes>| {
                let outcomes = conds.entry(verdict.at).or_default();
                outcomes.add(verdict.held, verdict.certain);
                outcomes.guards |= verdict.guards;
            };
            note(&mut self.conds);
            if !turned_away {
                note(&mut self.conds_of_started);
            }
        }
        for (verdicts, all) in [(&walk.again, &mut self.again), (&walk.makes, &mut self.makes)] {
            for verdict in verdicts {
                all.entry(verdict.at).or_default().add(verdict.held, verdict.certain);
            }
        }
        for verdict in &walk.limits {
            self.limits.entry(verdict.limit).or_default().add(verdict.holds, verdict.certain);
        }
        self.handover |= walk.handed_over();
        self.handover_certain |= walk.handed_over() && !walk.doubtful;
        self.balance(walk);
    }

    fn add_fault(&mut self, fault: &Fault, walk: &Walk) {
        let new = || Seen { fault: fault.clone(), example: walk.answers.clone(), walks: 0, fewest_repairs: None };
        let seen = self.faults.entry((fault.code, fault.subject, fault.at)).or_insert_with(new);
        seen.walks += 1;
        if fault.certain {
            let fewest = seen.fewest_repairs.unwrap_or(usize::MAX);
            seen.fewest_repairs = Some(fewest.min(fault.after_repairs));
        }
        if fault.certain && !seen.fault.certain {
            seen.example.clone_from(&walk.answers);
            seen.fault.certain = true;
        }
        for span in &fault.also {
            if !seen.fault.also.contains(span) {
                seen.fault.also.push(*span);
            }
        }
    }

    fn balance(&mut self, walk: &Walk) {
        for (at, (total, part)) in self.parts.iter_mut().zip(&walk.parts).enumerate() {
            total.taken |= part.taken > 0;
            // Of what is made, the worst is at some line; of all else at the end.
            total.worst = total.worst.max(part.over()).max(part.short);
            let certain = part.over_certain().max(part.short_certain);
            let repairs = walk.repairs_when_short(at, certain, true);
            if certain > total.worst_certain {
                (total.worst_certain, total.worst_after) = (certain, repairs);
            } else if certain == total.worst_certain {
                total.worst_after = total.worst_after.min(repairs);
            }
            if walk.handed_over() {
                // Nothing is left of what another was taken for, and perhaps nothing of what nobody counted.
                let left = if part.uncounted { 0 } else { i64::from(part.supplied) - i64::from(part.taken) };
                let (least, most) = total.left.unwrap_or((left, left));
                total.left = Some((least.min(left), most.max(left)));
            }
        }
    }

    /// The balance of a part.
    pub fn part(&self, part: PartId) -> Balance {
        self.parts.get(part.index()).copied().unwrap_or_default()
    }
}
