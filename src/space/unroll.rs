//! The procedure as one list of events with guards.
//!
//! A *guard* says in which runs an event happens: the conditions of the blocks around it hold, and no stop and no
//! handover came before. A check with a repair is written out: its lines, then, inside a block that a failed check
//! enters, the repair and the lines again. Every reading that is taken there is a new one.

use super::event::{Effect, Event, Place, Role, StopCause};
use super::formula::Formula;
use super::ids::{BlockId, EventId, Input, Subject};
use super::terms::{Moment, Terms, Truth};
use super::timeline::{Source, Version};
use super::watch::{LimitWatch, rule_inputs, watch_limits};
use crate::model::{
    Arm, Check, CheckElse, ChoiceKind, Choose, ChooseSubject, Cond, Id, IdMap, LimitId, Node, NumberKind, Procedure,
};
use crate::source::Span;

/// The most events that a procedure may come to.
const MOST_EVENTS: usize = 400_000;
/// The deepest nesting of branches, repairs included.
const DEEPEST: usize = 200;

/// Why a block is entered.
#[derive(Debug, Clone, Copy)]
pub(super) enum Entry {
    /// It is the whole procedure.
    Whole,
    /// A condition holds.
    Holds(Span),
    /// A condition does not hold: the `else`.
    Fails(Span),
    /// The arm of the branch at this event, by number.
    Arm(EventId, usize),
    /// The check of this step has failed.
    Failed(Span),
}

/// A block of the unrolled text.
#[derive(Debug, Clone, Copy)]
pub(super) struct Block {
    /// The condition by which it is entered.
    pub condition: Formula,
    /// Why.
    pub entry: Entry,
}

/// What is taken for true of every run.
#[derive(Debug, Clone, Copy)]
pub(super) struct Constraint {
    /// The truth.
    pub formula: Formula,
    /// The rule that says so, by its place in the procedure.
    pub rule: usize,
    /// In which runs the rule applies there.
    pub applies: Formula,
}

/// The unrolled procedure.
#[derive(Debug)]
pub(super) struct Unrolled<'p> {
    pub events: Vec<Event<'p>>,
    pub blocks: Vec<Block>,
    pub constraints: Vec<Constraint>,
    /// Whether something was too much to be written out; then nothing may be proved from it.
    pub incomplete: bool,
    /// Where it was the first thing too many that may be done, or a branch too deep.
    pub ends: Option<Span>,
}

/// The way through the text, and how far it has come.
pub(super) struct Walk<'p, 't> {
    pub(super) terms: &'t mut Terms<'p>,
    pub(super) out: Unrolled<'p>,
    pub(super) live: Formula,
    /// Guards of stops and handovers in the branches that are open.
    ends: Vec<Formula>,
    block: BlockId,
    depth: usize,
    pub(super) place: Place,
    pub(super) limits: IdMap<LimitId, LimitWatch>,
    pub(super) rules: Vec<Vec<Input>>,
    /// Inputs and results that got a value since limits were last looked at.
    pub(super) fresh: Vec<Input>,
}

/// Writes out a procedure.
pub(super) fn unroll<'p>(terms: &mut Terms<'p>) -> Unrolled<'p> {
    let procedure = terms.procedure;
    let place = Place { section: None, step: None, round: 0, span: procedure.head_span };
    let out =
        Unrolled { events: Vec::new(), blocks: Vec::new(), constraints: Vec::new(), incomplete: false, ends: None };
    let (limits, rules) = (watch_limits(procedure), rule_inputs(procedure));
    let (live, ends, fresh) = (Formula::ALWAYS, Vec::new(), Vec::new());
    let mut walk = Walk { terms, out, live, ends, block: 0, depth: 0, place, limits, rules, fresh };
    walk.open_block(Formula::ALWAYS, Entry::Whole);
    walk.out.incomplete = walk.terms.inputs.cells.iter().any(|(_, cells)| cells.is_none());
    walk.before_the_job(procedure);
    for (at, section) in procedure.sections.iter().enumerate() {
        walk.place = Place { section: Some(at), step: None, round: 0, span: section.span };
        walk.under(section.when.as_ref(), Role::Section(at), |walk| {
            walk.emit(section.name.span, Effect::Section(at));
            walk.body(&section.body);
        });
    }
    walk.place = Place { section: None, step: None, round: 0, span: procedure.head_span };
    walk.emit(procedure.head_span, Effect::RunsOut);
    walk.out
}

impl<'p> Walk<'p, '_> {
    pub(super) fn next_id(&self) -> EventId {
        EventId::from_index(self.out.events.len())
    }

    pub(super) fn moment(&self) -> Moment {
        Moment { at: self.next_id(), block: self.block }
    }

    pub(super) fn emit(&mut self, span: Span, effect: Effect<'p>) -> EventId {
        self.emit_under(self.live, span, effect)
    }

    pub(super) fn emit_under(&mut self, guard: Formula, span: Span, effect: Effect<'p>) -> EventId {
        let id = self.next_id();
        let place = Place { span, ..self.place };
        if self.out.events.len() >= MOST_EVENTS {
            self.too_much(span);
            return id;
        }
        self.out.events.push(Event { id, guard, place, effect, block: self.block });
        id
    }

    fn too_much(&mut self, at: Span) {
        self.out.incomplete = true;
        self.out.ends.get_or_insert(at);
    }

    fn open_block(&mut self, condition: Formula, entry: Entry) -> BlockId {
        self.out.blocks.push(Block { condition, entry });
        self.terms.timelines.add_block(self.block)
    }

    /// Does something in a block of its own. What ends inside is ended afterwards.
    pub(super) fn branch(&mut self, condition: Formula, entry: Entry, inside: impl FnOnce(&mut Self)) {
        if self.depth >= DEEPEST || self.out.events.len() >= MOST_EVENTS {
            self.too_much(self.place.span);
            return;
        }
        let (before, outer) = (self.live, self.block);
        let ends = std::mem::take(&mut self.ends);
        self.block = self.open_block(condition, entry);
        self.live = self.terms.circuit.both(before, condition);
        self.depth += 1;
        inside(self);
        self.depth -= 1;
        self.block = outer;
        self.live = before;
        let inner = std::mem::replace(&mut self.ends, ends);
        inner.into_iter().for_each(|end| self.end_here(end));
    }

    pub(super) fn end_here(&mut self, guard: Formula) {
        self.ends.push(guard);
        self.live = self.terms.circuit.both(self.live, !guard);
    }

    /// Judges a condition; gives what it says.
    fn judge(&mut self, condition: &'p Cond, role: Role) -> Truth {
        let mut uses = Vec::new();
        let truth = self.terms.condition(condition, self.moment(), &mut uses);
        self.emit(condition.span, Effect::Judged { condition, role, holds: truth.holds, uses });
        truth
    }

    /// Judges a condition; gives the runs in which the job goes on as where it holds.
    fn decide(&mut self, condition: &'p Cond, role: Role) -> Formula {
        let truth = self.judge(condition, role);
        self.terms.taken(truth)
    }

    /// Does something where an optional condition holds.
    pub(super) fn under(&mut self, condition: Option<&'p Cond>, role: Role, inside: impl FnOnce(&mut Self)) {
        match condition {
            None => inside(self),
            Some(cond) => {
                let holds = self.decide(cond, role);
                self.branch(holds, Entry::Holds(cond.span), inside);
            }
        }
    }

    // Before the job.

    fn before_the_job(&mut self, procedure: &'p Procedure) {
        self.emit(procedure.head_span, Effect::Begins);
        for (id, choice) in procedure.choices.iter() {
            if choice.kind == ChoiceKind::Option {
                self.becomes_known(Input::Choice(id), None);
            }
        }
        for (id, number) in procedure.numbers.iter() {
            if number.kind == NumberKind::Given {
                self.where_there_is_one(number.when.as_ref(), Role::Given(id), |walk| {
                    walk.becomes_known(Input::Number(id), None);
                });
            }
        }
        for (id, state) in procedure.states.iter() {
            self.where_there_is_one(state.when.as_ref(), Role::State(id), |walk| {
                walk.version(Subject::State(id), EventId(0), Source::Fixed(state.starts));
            });
        }
        self.constrain(None);
        self.supplies(procedure);
        for (id, circuit) in procedure.circuits.iter() {
            circuit.when.iter().for_each(|cond| {
                self.judge(cond, Role::Circuit(id));
            });
        }
        self.fresh.clear();
        for limit in procedure.limits.ids() {
            self.decide_limit(limit);
        }
    }

    /// A value that something has from the start, where there is such a thing. In a block of its own, since whoever goes on
    /// behind it need not have one.
    fn where_there_is_one(&mut self, when: Option<&'p Cond>, role: Role, begin: impl FnOnce(&mut Self)) {
        match when {
            None => begin(self),
            Some(cond) => {
                let exists = self.judge(cond, role).holds;
                self.branch(exists, Entry::Holds(cond.span), begin);
            }
        }
    }

    fn supplies(&mut self, procedure: &'p Procedure) {
        for (group, entry) in procedure.kit.iter().enumerate() {
            let guard = entry.when.as_ref().map_or(Formula::ALWAYS, |cond| self.judge(cond, Role::Kit(group)).holds);
            for counted in &entry.entries {
                let (part, count) = (counted.what, counted.count);
                let alternative = counted.is_alternative();
                let effect = Effect::Supplied { group, part, count, much: &counted.much, alternative };
                self.emit_under(guard, counted.span, effect);
            }
        }
        for (group, row) in procedure.vehicle.iter().enumerate() {
            let guard = row.when.as_ref().map_or(Formula::ALWAYS, |cond| self.judge(cond, Role::Vehicle(group)).holds);
            for counted in &row.entries {
                let effect = Effect::OnVehicle { part: counted.what, count: counted.count, joint: None };
                self.emit_under(guard, counted.span, effect);
            }
        }
        for (id, joint) in procedure.joints.iter() {
            let guard = joint.when.as_ref().map_or(Formula::ALWAYS, |cond| self.judge(cond, Role::Joint(id)).holds);
            if joint.on_vehicle {
                for (part, count) in joint.parts() {
                    let effect = Effect::OnVehicle { part, count, joint: Some(id) };
                    self.emit_under(guard, joint.span, effect);
                }
            }
        }
    }

    pub(super) fn version(&mut self, subject: Subject, event: EventId, source: Source) {
        let version = Version { event, block: self.block, guard: self.live, source };
        self.terms.timelines.add(subject, version);
    }

    pub(super) fn becomes_known(&mut self, input: Input, taken: Option<EventId>) {
        let terms = &mut *self.terms;
        let var = terms.inputs.add(&mut terms.circuit, terms.procedure, input, taken);
        self.version(input.subject(), taken.unwrap_or(EventId(0)), Source::Taken(var));
        self.fresh.push(input);
    }

    // The flow.

    fn body(&mut self, body: &'p [Node]) {
        for node in body {
            self.node(node);
        }
    }

    fn node(&mut self, node: &'p Node) {
        match node {
            Node::Step(id) => self.step(*id),
            Node::Check(check) => self.check(check),
            Node::Choose(choose) => self.choose(choose),
            Node::When(when) => {
                let holds = self.decide(&when.cond, Role::When);
                let span = when.cond.span;
                let live = self.live;
                self.branch(holds, Entry::Holds(span), |walk| walk.body(&when.then));
                let after = std::mem::replace(&mut self.live, live);
                self.branch(!holds, Entry::Fails(span), |walk| walk.body(&when.otherwise));
                self.join(live, &[after, self.live]);
            }
            Node::Set(set) => {
                self.set(set, set.span);
                self.decide_fresh_limits();
            }
            Node::Stop(stop) => {
                self.emit(stop.span, Effect::Stop(StopCause::Statement(stop)));
                self.end_here(self.live);
            }
            Node::Handover(handover) => {
                self.emit(handover.span, Effect::Handover(handover));
                self.end_here(self.live);
            }
        }
    }

    /// What is still under way after branches that each took their ended runs out of `live`.
    fn join(&mut self, live: Formula, afters: &[Formula]) {
        let changed: Vec<Formula> = afters.iter().copied().filter(|after| *after != live).collect();
        self.live = self.terms.circuit.all(std::iter::once(live).chain(changed));
    }

    fn choose(&mut self, choose: &'p Choose) {
        let (moment, subject) = (self.moment(), input_of(choose.subject));
        let mut uses = Vec::new();
        let known = self.terms.used(subject, choose.subject_span, moment, &mut uses);
        let arms = self.terms.arms(choose, known, moment);
        let event = self.emit(choose.span, Effect::Chosen { choose, arms: arms.clone(), uses });
        let arms = self.terms.arms_taken(&arms, known);
        let live = self.live;
        let mut afters = Vec::with_capacity(arms.len());
        let mut earlier = Formula::NEVER;
        for (at, (arm, covers)) in choose.arms.iter().zip(&arms).enumerate() {
            let taken = self.terms.circuit.both(*covers, !earlier);
            earlier = self.terms.circuit.either(earlier, *covers);
            self.live = live;
            self.arm(arm, taken, Entry::Arm(event, at));
            afters.push(self.live);
        }
        self.join(live, &afters);
    }

    fn arm(&mut self, arm: &'p Arm, taken: Formula, entry: Entry) {
        self.branch(taken, entry, |walk| walk.body(&arm.body));
    }

    fn check(&mut self, check: &'p Check) {
        let round = self.place.round;
        self.place.round = 0;
        self.place.step = Some(check.step);
        // A check that does not apply is passed over whole: neither its lines nor what it expects count.
        let when = self.terms.procedure.steps[check.step].when.as_ref();
        self.under(when, Role::Step(check.step), |walk| walk.attempt(check, 0));
        self.place.round = round;
        self.place.step = None;
    }

    /// The lines of a check and what follows where they fail.
    fn attempt(&mut self, check: &'p Check, round: u32) {
        self.place.round = round;
        self.place.step = Some(check.step);
        self.step_lines(check.step);
        let parts: Vec<Formula> =
            check.expects.iter().map(|expect| self.decide(expect, Role::Expect(check.step))).collect();
        let passes = self.terms.circuit.all(parts);
        let span = self.terms.procedure.steps[check.step].span;
        self.emit(span, Effect::Verdict { check, passes });
        self.place.step = None;
        let again = check.repair.as_ref().filter(|repair| round < repair.times);
        self.branch(!passes, Entry::Failed(span), |walk| match again {
            Some(repair) => {
                walk.place.round = round + 1;
                walk.body(&repair.body);
                walk.place.round = round + 1;
                walk.attempt(check, round + 1);
            }
            None => walk.fails_for_good(check),
        });
    }

    fn fails_for_good(&mut self, check: &'p Check) {
        match &check.otherwise {
            CheckElse::Stop(stop) => {
                self.emit(stop.span, Effect::Stop(StopCause::Check(check, stop)));
                self.end_here(self.live);
            }
            CheckElse::GoOn(_, span) => {
                self.emit(*span, Effect::GoOn(check));
            }
        }
    }
}

fn input_of(subject: ChooseSubject) -> Input {
    match subject {
        ChooseSubject::Choice(id) => Input::Choice(id),
        ChooseSubject::Number(id) => Input::Number(id),
    }
}
