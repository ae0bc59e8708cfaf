//! Walks one job through the flow, as the language says and as a technician would.
//!
//! What the lines of a step do stands in `lines`; parts, joints, circuits and safety messages have files of their own.

use std::collections::{BTreeMap, BTreeSet};

use fitwright::diagnostics::Code;
use fitwright::model::{
    Check, CheckElse, ChoiceId, ChoiceKind, Choose, ChooseSubject, Cond, HazardId, Id, LimitId, Node, NumberId,
    NumberKind, Procedure, Reading, Section, SetResult, StepId, When,
};
use fitwright::quantity::Exact;
use fitwright::source::Span;

use super::knowledge::Known;
use super::places::Place;
use super::ties::Ties;
use super::trace::{Answer, Ending, Fault, JointLife, LimitVerdict, PartCount, PointLife, Subject, Verdict, Walk};
use super::words::Words;

/// The world that a job meets: what the customer ordered, what the instruments show.
pub trait World {
    /// The value of an option, or of an observation on this occasion (from 1).
    fn choice(&mut self, procedure: &Procedure, known: &Known, choice: ChoiceId, occasion: u32) -> usize;
    /// The value of a given, or the reading of a measure on this occasion (from 1), in base units.
    fn number(&mut self, procedure: &Procedure, known: &Known, number: NumberId, occasion: u32) -> Exact;
    /// What a technician makes of a text that leaves it open: one of so many ways.
    fn guess(&mut self, ways: usize) -> usize;
}

/// Walks one job.
pub fn walk(procedure: &Procedure, world: &mut dyn World) -> Walk {
    let mut job = Job::new(procedure, world);
    let ending = match job.run() {
        Ok(()) => {
            job.fault(Code::FW0412, procedure.head_span, Subject::Path, Vec::new());
            Ending::RanOut
        }
        Err(ending) => ending,
    };
    job.finish(ending)
}

/// A walk under way.
pub(super) struct Job<'p, 'w> {
    pub(super) procedure: &'p Procedure,
    world: &'w mut dyn World,
    pub(super) known: Known,
    occasions: BTreeMap<Reading, u32>,
    /// Limits that are not decided yet.
    open_limits: BTreeSet<LimitId>,
    pub(super) states: Vec<usize>,
    /// Whether the lines of a step are being done.
    pub(super) in_step: bool,
    pub(super) trace: Walk,
    /// What each subject already went wrong with.
    pub(super) spoiled: BTreeSet<Subject>,
    /// Lines that took parts, for pointing at them: part by index.
    pub(super) takes: Vec<Vec<Span>>,
    /// Lines that removed parts.
    pub(super) removes: Vec<Vec<Span>>,
    /// Lines that say that parts serve again.
    pub(super) reuses: Vec<Vec<Span>>,
    pub(super) ties: Ties,
    pub(super) words: Words,
}

/// Goes on, or the job has ended.
pub(super) type Going = Result<(), Ending>;

impl<'p, 'w> Job<'p, 'w> {
    fn new(procedure: &'p Procedure, world: &'w mut dyn World) -> Self {
        let points = procedure.circuits.rows().iter().map(|circuit| {
            let there =
                |open: bool| PointLife { connected: circuit.on_vehicle && !open, ever: circuit.on_vehicle && !open };
            circuit.points.rows().iter().map(|point| there(point.open_before)).collect()
        });
        Job {
            procedure,
            world,
            known: Known::nothing(procedure),
            occasions: BTreeMap::new(),
            open_limits: procedure.limits.ids().collect(),
            states: procedure.states.rows().iter().map(|state| state.starts).collect(),
            in_step: false,
            trace: Walk {
                answers: Vec::new(),
                steps: Vec::new(),
                repairs_before: Vec::new(),
                repairs: 0,
                ending: Ending::RanOut,
                faults: Vec::new(),
                arrived: BTreeSet::new(),
                reached: BTreeMap::new(),
                verdicts: Vec::new(),
                again: Vec::new(),
                makes: Vec::new(),
                limits: Vec::new(),
                arms: Vec::new(),
                sets: Vec::new(),
                states: Vec::new(),
                exists: Vec::new(),
                parts: vec![PartCount::default(); procedure.parts.len()],
                overdrawn: vec![Vec::new(); procedure.parts.len()],
                joints: vec![JointLife::default(); procedure.joints.len()],
                points: points.collect(),
                isolation_ended: vec![false; procedure.circuits.len()],
                in_force: BTreeSet::new(),
                told: BTreeSet::new(),
                doubtful: false,
            },
            spoiled: BTreeSet::new(),
            takes: vec![Vec::new(); procedure.parts.len()],
            removes: vec![Vec::new(); procedure.parts.len()],
            reuses: vec![Vec::new(); procedure.parts.len()],
            ties: Ties::nothing(procedure),
            words: Words::nothing(procedure),
        }
    }

    fn run(&mut self) -> Going {
        self.learn_before_the_job()?;
        self.lay_out_parts();
        self.lay_out_ties();
        self.decide_limits(None)?;
        self.load_fuses();
        for (index, section) in self.procedure.sections.iter().enumerate() {
            self.section(index, section)?;
        }
        Ok(())
    }

    fn learn_before_the_job(&mut self) -> Going {
        let procedure = self.procedure;
        for (choice, row) in procedure.choices.iter() {
            if row.kind == ChoiceKind::Option {
                self.ask(Reading::Choice(choice))?;
            }
        }
        for (number, row) in procedure.numbers.iter() {
            if row.kind == NumberKind::Given {
                self.ask(Reading::Number(number))?;
            }
        }
        // Without options and givens the rules could still be broken.
        self.refuse_broken_rules()
    }

    /// Takes a value from the world: each time anew, whatever was read before.
    pub(super) fn ask(&mut self, input: Reading) -> Going {
        let occasion = self.occasions.entry(input).or_insert(0);
        *occasion += 1;
        let occasion = *occasion;
        match input {
            Reading::Choice(choice) => {
                let value = self.world.choice(self.procedure, &self.known, choice, occasion);
                self.known.choices[choice.index()] = Some(value);
                self.trace.answers.push(Answer::Choice { choice, occasion, value });
            }
            Reading::Number(number) => {
                let base = self.world.number(self.procedure, &self.known, number, occasion);
                self.known.numbers[number.index()] = Some(base);
                self.trace.answers.push(Answer::Number { number, occasion, base });
            }
        }
        self.refuse_broken_rules()
    }

    fn refuse_broken_rules(&self) -> Going {
        // While options are still being learnt, the missing ones are looked for like readings; givens are not, since
        // they have too many values: their rules wait until all are known.
        let givens_known = super::grid::givens(self.procedure).all(|number| self.known.number(number).is_some());
        match self.known.broken_rule(self.procedure) {
            Some(rule) if givens_known => Err(Ending::Refused { rule }),
            _ => Ok(()),
        }
    }

    fn guess(&mut self, ways: usize) -> usize {
        let way = self.world.guess(ways);
        self.trace.answers.push(Answer::Guess { way });
        way
    }

    /// Decides every open limit whose inputs are known.
    ///
    /// **Decision.** A limit is decided once. With measures that is right after the lines of the step or check in which
    /// the last of them is first read, so before what the check expects is looked at. A limit without `else` that breaks
    /// leaves open how the job goes on. Limits decided at one moment are all decided; the first with an `else` stops.
    pub(super) fn decide_limits(&mut self, step: Option<StepId>) -> Going {
        let mut ending = None;
        for limit in self.open_limits.clone() {
            let row = &self.procedure.limits[limit];
            let applies = row.when.as_ref().map_or(Some(true), |when| self.known.truth(when));
            let holds = self.known.compares(&row.holds);
            let (Some(applies), Some(holds)) = (applies, holds.or((applies == Some(false)).then_some(true))) else {
                continue;
            };
            self.open_limits.remove(&limit);
            let certain = !self.trace.doubtful && ending.is_none();
            if let Some(when) = &row.when {
                self.trace.verdicts.push(Verdict { at: when.span, held: applies, certain, guards: true });
            }
            if !applies {
                continue;
            }
            self.trace.limits.push(LimitVerdict { limit, holds, certain, before_job: step.is_none() });
            if holds {
                continue;
            }
            match (&row.otherwise, step) {
                (Some(text), None) if ending.is_none() => {
                    ending = Some(Ending::TurnedAway { text: text.text.clone(), at: row.span });
                }
                (Some(text), Some(_)) if ending.is_none() => {
                    ending = Some(Ending::Stop { text: text.text.clone(), at: row.span });
                }
                (Some(_), _) => {}
                (None, _) => {
                    let code = if self.waits_for_the_job(limit) { Code::FW1003 } else { Code::FW1002 };
                    self.fault_if(certain, code, row.span, Subject::Limit(limit), vec![row.name.span]);
                    self.trace.doubtful = true;
                }
            }
        }
        match ending {
            Some(ending) => {
                self.leave_states(&ending);
                Err(ending)
            }
            None => Ok(()),
        }
    }

    /// At the handover: no limit that applies is left undecided, and none is broken by what was read last.
    ///
    /// **Decision.** Where nothing tells whether a limit applies, it may not.
    pub(super) fn leave_limits(&mut self) {
        for limit in self.open_limits.clone() {
            let row = &self.procedure.limits[limit];
            let applies = row.when.as_ref().map_or(Some(true), |when| self.known.truth(when));
            if applies != Some(false) {
                let certain = applies == Some(true);
                self.fault_if(certain, Code::FW1004, row.span, Subject::Limit(limit), vec![row.name.span]);
            }
        }
        for (limit, row) in self.procedure.limits.iter() {
            let applies = row.when.as_ref().map_or(Some(true), |when| self.known.truth(when)) == Some(true);
            let broken = applies && self.known.compares(&row.holds) == Some(false);
            if broken && row.otherwise.is_some() && !self.open_limits.contains(&limit) {
                self.fault(Code::FW1006, row.span, Subject::Limit(limit), vec![row.name.span]);
            }
        }
    }

    /// Whether a limit names a reading.
    fn waits_for_the_job(&self, limit: LimitId) -> bool {
        let row = &self.procedure.limits[limit];
        let mut named = BTreeSet::new();
        row.when.iter().for_each(|when| super::knowledge::named_in(when, &mut named));
        let mut numbers = BTreeSet::new();
        super::knowledge::numbers_of(&row.holds.left, &mut numbers);
        super::knowledge::numbers_of(&row.holds.right, &mut numbers);
        named.extend(numbers.into_iter().map(Reading::Number));
        named.iter().any(|input| match input {
            Reading::Choice(choice) => self.procedure.choices[*choice].kind != ChoiceKind::Option,
            Reading::Number(number) => self.procedure.numbers[*number].kind != NumberKind::Given,
        })
    }

    fn section(&mut self, index: usize, section: &'p Section) -> Going {
        self.trace.arrived.insert(Place::Section(index));
        if section.when.as_ref().is_some_and(|when| !self.decide(when, true)) {
            return Ok(());
        }
        self.reach(Place::Section(index));
        // A message stays in force for the rest of its section, not beyond.
        self.trace.in_force.clear();
        self.spoiled.retain(|subject| !matches!(subject, Subject::Hazard(_)));
        self.body(&section.body)
    }

    fn body(&mut self, body: &'p [Node]) -> Going {
        body.iter().try_for_each(|node| self.node(node))
    }

    fn node(&mut self, node: &'p Node) -> Going {
        self.trace.arrived.insert(Place::of(node));
        match node {
            Node::Step(step) => {
                if self.starts(*step) {
                    self.do_lines(*step)?;
                }
                Ok(())
            }
            Node::Check(check) => self.check(check),
            Node::Choose(choose) => self.choose(choose),
            Node::When(when) => self.branch(when),
            Node::Set(set) => {
                self.reach(Place::Set(set.span));
                self.set(set);
                Ok(())
            }
            Node::Stop(stop) => {
                self.reach(Place::Stop(stop.span));
                self.read_said(&stop.text);
                Err(self.stop(&stop.text.text, stop.span))
            }
            Node::Handover(handover) => {
                self.reach(Place::Handover(handover.span));
                self.hand_over(handover);
                Err(Ending::Handover(handover.span))
            }
        }
    }

    fn stop(&mut self, text: &str, at: Span) -> Ending {
        let ending = Ending::Stop { text: text.to_owned(), at };
        self.leave_states(&ending);
        ending
    }

    /// Whether a step's own condition holds.
    fn starts(&mut self, step: StepId) -> bool {
        let row = &self.procedure.steps[step];
        let starts = row.when.as_ref().is_none_or(|when| self.decide(when, true));
        if starts {
            self.reach(Place::Step(step));
        }
        starts
    }

    fn check(&mut self, check: &'p Check) -> Going {
        if !self.starts(check.step) {
            return Ok(());
        }
        self.do_lines(check.step)?;
        let mut good = self.expected(check);
        if let Some(repair) = &check.repair {
            for _ in 0..repair.times {
                if good.iter().all(|held| *held) {
                    break;
                }
                self.reach(Place::Repair(repair.span));
                self.trace.repairs += 1;
                self.body(&repair.body)?;
                self.do_lines(check.step)?;
                let before = good;
                good = self.expected(check);
                self.look_again(check, &before, &good);
            }
        }
        if good.iter().all(|held| *held) {
            return Ok(());
        }
        match &check.otherwise {
            CheckElse::Stop(stop) => {
                self.reach(Place::Fails(stop.span));
                self.read_said(&stop.text);
                Err(self.stop(&stop.text.text, stop.span))
            }
            CheckElse::GoOn(text, span) => {
                self.reach(Place::Fails(*span));
                self.read_said(text);
                Ok(())
            }
        }
    }

    /// No short cut: each expectation is looked at, so that each one's missing readings show.
    fn expected(&mut self, check: &'p Check) -> Vec<bool> {
        check.expects.iter().map(|cond| self.decide(cond, false)).collect()
    }

    /// Notes what became of expectations that had failed before the repair.
    fn look_again(&mut self, check: &Check, before: &[bool], now: &[bool]) {
        let certain = !self.trace.doubtful;
        for ((cond, _), held) in check.expects.iter().zip(before).zip(now).filter(|((_, before), _)| !**before) {
            self.trace.again.push(Verdict { at: cond.span, held: *held, certain, guards: false });
        }
    }

    fn branch(&mut self, when: &'p When) -> Going {
        if self.decide(&when.cond, true) {
            self.reach(Place::Then(when.span));
            self.body(&when.then)
        } else {
            if !when.otherwise.is_empty() {
                self.reach(Place::Else(when.span));
            }
            self.body(&when.otherwise)
        }
    }

    fn choose(&mut self, choose: &'p Choose) -> Going {
        self.reach(Place::Choose(choose.span));
        let subject = match choose.subject {
            ChooseSubject::Choice(choice) => Reading::Choice(choice),
            ChooseSubject::Number(number) => Reading::Number(number),
        };
        let arm = match self.fitting_arms(choose) {
            None => {
                self.miss(&[subject], choose.subject_span);
                // Any arm, or none.
                Some(self.guess(choose.arms.len() + 1)).filter(|arm| *arm < choose.arms.len())
            }
            Some(fitting) => {
                self.trace.arms.push((choose.span, fitting.len()));
                let also = vec![choose.subject_span, choose.span];
                match fitting.len() {
                    0 => {
                        self.fault(Code::FW0401, choose.subject_span, Subject::Branch(choose.span), also);
                        self.trace.doubtful = true;
                    }
                    1 => {}
                    // Each branch that fits beside an earlier one, at its own place: a `choose` in another has faults of its own.
                    _ => {
                        for arm in fitting.iter().skip(1).filter_map(|arm| choose.arms.get(*arm)) {
                            self.fault(Code::FW0402, arm.pattern_span, Subject::Branch(choose.span), Vec::new());
                        }
                    }
                }
                fitting.first().copied()
            }
        };
        let Some(arm) = arm.and_then(|arm| choose.arms.get(arm)) else { return Ok(()) };
        self.reach(Place::Arm(arm.pattern_span));
        self.body(&arm.body)
    }

    /// The arms that fit what is known, or nothing where the subject is not known.
    fn fitting_arms(&self, choose: &Choose) -> Option<Vec<usize>> {
        use fitwright::model::ArmPattern;
        let fits = |pattern: &ArmPattern| match (pattern, choose.subject) {
            (ArmPattern::In(interval, _), ChooseSubject::Number(number)) => {
                self.known.number(number).map(|base| interval.contains(base))
            }
            (ArmPattern::Values(values), ChooseSubject::Choice(choice)) => {
                self.known.choice(choice).map(|value| values.contains(&value))
            }
            _ => Some(false),
        };
        let mut fitting = Vec::new();
        for (index, arm) in choose.arms.iter().enumerate() {
            if fits(&arm.pattern)? {
                fitting.push(index);
            }
        }
        let known = match choose.subject {
            ChooseSubject::Choice(choice) => self.known.choice(choice).is_some(),
            ChooseSubject::Number(number) => self.known.number(number).is_some(),
        };
        if fitting.is_empty() {
            fitting.extend(choose.arms.iter().position(|arm| arm.pattern == ArmPattern::Otherwise));
        }
        known.then_some(fitting)
    }

    /// Decides a condition; where it cannot be told, that is a fault, and the answer is a guess.
    pub(super) fn decide(&mut self, cond: &Cond, guards: bool) -> bool {
        if let Some(held) = self.known.truth(cond) {
            let certain = !self.trace.doubtful;
            self.trace.verdicts.push(Verdict { at: cond.span, held, certain, guards });
            return held;
        }
        let missing: Vec<Reading> = self.known.missing(cond).into_iter().collect();
        self.miss(&missing, cond.span);
        self.trace.doubtful = true;
        let held = self.guess(2) == 0;
        self.trace.verdicts.push(Verdict { at: cond.span, held, certain: false, guards });
        held
    }

    /// Readings are used before they are taken, or results before they are set. Where several are missing at one place,
    /// one message may stand for all.
    fn miss(&mut self, inputs: &[Reading], at: Span) {
        let subjects: Vec<Subject> = inputs.iter().map(|input| self.used(*input).1).collect();
        let doubtful = self.trace.doubtful;
        for input in inputs {
            let (code, subject, declared) = self.used(*input);
            self.fault(code, at, subject, vec![declared]);
            if let Some(fault) = self.trace.faults.last_mut() {
                fault.or.clone_from(&subjects);
            }
        }
        self.trace.doubtful = doubtful || !inputs.is_empty();
    }

    /// What a use of something that is not known is called.
    fn used(&self, input: Reading) -> (Code, Subject, Span) {
        match input {
            Reading::Choice(choice) if self.procedure.choices[choice].kind == ChoiceKind::Result => {
                (Code::FW0411, Subject::Result(choice), self.procedure.choices[choice].name.span)
            }
            Reading::Choice(choice) => {
                (Code::FW0406, Subject::Reading(input), self.procedure.choices[choice].name.span)
            }
            Reading::Number(number) => {
                (Code::FW0406, Subject::Reading(input), self.procedure.numbers[number].name.span)
            }
        }
    }

    pub(super) fn set(&mut self, set: &SetResult) {
        self.known.choices[set.result.index()] = Some(set.value);
        self.trace.sets.push((set.result, set.value));
    }

    pub(super) fn reach(&mut self, place: Place) {
        let certain = !self.trace.doubtful;
        let so_far = self.trace.reached.entry(place).or_insert(certain);
        *so_far |= certain;
    }

    /// A fault; certain unless the walk is in doubt or the subject already went wrong.
    pub(super) fn fault(&mut self, code: Code, at: Span, subject: Subject, also: Vec<Span>) {
        self.fault_if(true, code, at, subject, also);
    }

    /// Whether something went wrong with a subject already.
    pub(super) fn is_spoiled(&self, subject: Subject) -> bool {
        self.spoiled.contains(&subject)
    }

    /// A fault that is certain only if `certain` holds too.
    pub(super) fn fault_if(&mut self, certain: bool, code: Code, at: Span, subject: Subject, also: Vec<Span>) {
        let certain = certain && !self.trace.doubtful && !self.spoiled.contains(&subject);
        // What once went wrong is not looked at again on this walk: counts, lives and states no longer are what the text
        // says they are. A hazard is looked at again in the next section, a mention does no harm.
        let stays = matches!(
            subject,
            Subject::Joint(_)
                | Subject::Lug(_)
                | Subject::Member(_)
                | Subject::Circuit(_)
                | Subject::Part(_)
                | Subject::State(_)
                | Subject::Hazard(_)
                | Subject::Trial(..)
        );
        if stays && code != Code::FW0608 {
            self.spoiled.insert(subject);
        }
        let (after_steps, after_repairs) = (self.trace.steps.len(), self.trace.repairs);
        self.trace.faults.push(Fault { code, at, subject, or: Vec::new(), also, certain, after_steps, after_repairs });
    }

    /// Whether a condition of the kit, a joint or a circuit holds in this configuration.
    ///
    /// **Decision.** Such a condition is looked at before the job; one that names a reading counts as used before it is
    /// taken, and the thing does not exist.
    pub(super) fn exists(&mut self, when: Option<&Cond>) -> bool {
        let exists = when.is_none_or(|when| match self.known.truth(when) {
            Some(held) => {
                self.trace.verdicts.push(Verdict { at: when.span, held, certain: true, guards: true });
                held
            }
            None => {
                for input in self.known.missing(when) {
                    self.fault_if(false, Code::FW0406, when.span, Subject::Reading(input), Vec::new());
                }
                false
            }
        });
        self.trace.exists.push(exists);
        exists
    }

    /// Messages in force: the hazards answered in this section so far.
    pub(super) fn answered(&self, hazard: HazardId) -> bool {
        let name = |hazard: HazardId| &self.procedure.hazards[hazard].called;
        self.trace.in_force.iter().any(|message| name(*message) == name(hazard))
    }

    fn finish(mut self, ending: Ending) -> Walk {
        self.count_overdrawn();
        self.trace.ending = ending;
        self.trace
    }
}
