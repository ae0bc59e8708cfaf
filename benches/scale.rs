//! How long it takes to decide everything about a large procedure, and how that grows.
//!
//! The procedure is made by code: 40 options of three values, 6 measures, 60 rules, 200 parts, and as many steps as
//! asked. Steps stand in sections with conditions; some take parts, read, tighten and loosen joints, make and need
//! states; some sections branch on a measure or repair a check. `cargo bench --bench scale` prints both sizes.

use std::time::{Duration, Instant};

use fitwright::diagnostics::Code;
use fitwright::model::*;
use fitwright::plan::Plan;
use fitwright::quantity::{Exact, Measure, Quantity, Unit, Written};
use fitwright::source::{FileId, Span};
use fitwright::space::{Answer, Effect, EventId, Explanation, Extreme, Formula, Input, Space, Weighted};
use fitwright::tailor::{Wish, tailor};

const OPTIONS: usize = 40;
const MEASURES: usize = 6;
const RULES: usize = 60;
const PARTS: usize = 200;
const JOINTS: usize = 40;
const STATES: usize = 8;

/// A generator of numbers that is the same on every machine (splitmix64, Steele, Lea and Flood, OOPSLA 2014).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % n as u64) as usize
    }
}

struct Maker {
    p: Procedure,
    rng: Numbers,
    at: usize,
    options: Vec<ChoiceId>,
    lamp: ChoiceId,
    measures: Vec<NumberId>,
    parts: Vec<PartId>,
    joints: Vec<JointId>,
    states: Vec<StateId>,
}

fn mm(value: i64) -> Quantity {
    let unit = Unit::lookup("mm").expect("in the table");
    Quantity::new(Exact::from_integer(i128::from(value)), unit, Written::Decimals(0))
}

fn values(names: &[&str], span: Span) -> Vec<Value> {
    names.iter().map(|name| Value { id: (*name).to_owned(), label: (*name).to_owned(), span }).collect()
}

impl Maker {
    fn new() -> Maker {
        let span = Span::new(FileId::new(0), 0, 1);
        let name = |id: String| Naming { title: id.clone(), id, span, from_library: false, at: None };
        let mut p = Procedure::empty();
        let choice = |p: &mut Procedure, id: String, kind, names: &[&str]| {
            p.choices.push(Choice { name: name(id), kind, seen: false, values: values(names, span) })
        };
        let options =
            (0..OPTIONS).map(|n| choice(&mut p, format!("option-{n}"), ChoiceKind::Option, &["a", "b", "c"])).collect();
        let lamp = choice(&mut p, "lamp".to_owned(), ChoiceKind::Observe, &["yes", "no"]);
        let measure = |n: usize| NumberInput {
            when: None,
            name: name(format!("measure-{n}")),
            kind: NumberKind::Measure,
            low: mm(0),
            high: mm(99),
            range_span: span,
            reads: Some(mm(1)),
            with: None,
        };
        let measures = (0..MEASURES).map(|n| p.numbers.push(measure(n))).collect();
        let part = |n: usize| Part {
            name: name(format!("part-{n}")),
            fastener: None,
            terminal: None,
            mass: None,
            number: None,
            short: None,
            unknown: Vec::new(),
            consumable: false,
            comes_by: None,
            single_use: false,
            brings: Vec::new(),
            span,
        };
        let parts = (0..PARTS).map(|n| p.parts.push(part(n))).collect();
        let joint = |n: usize| Joint {
            name: name(format!("joint-{n}")),
            when: None,
            each: Vec::new(),
            count: Some(4),
            tightness: Tightness::Seen("flat".to_owned(), span),
            thread: None,
            grip: None,
            into: None,
            onto: None,
            stages: Vec::new(),
            pattern: None,
            loosened: None,
            again: None,
            at: Vec::new(),
            joins: Vec::new(),
            unknown: Vec::new(),
            backed_off: false,
            pilot: None,
            on_vehicle: false,
            span,
        };
        let joints = (0..JOINTS).map(|n| p.joints.push(joint(n))).collect();
        let state = |n: usize| State {
            when: None,
            name: name(format!("state-{n}")),
            values: values(&["on", "off"], span),
            starts: 0,
            ends: None,
            span,
        };
        let states = (0..STATES).map(|n| p.states.push(state(n))).collect();
        Maker { p, rng: Numbers(7), at: 1, options, lamp, measures, parts, joints, states }
    }

    fn span(&mut self) -> Span {
        self.at += 10;
        Span::new(FileId::new(0), self.at, self.at + 5)
    }

    fn cond(&mut self, kind: CondKind) -> Cond {
        Cond { kind, span: self.span() }
    }

    /// A literal over one of five options near `near`.
    fn literal(&mut self, near: usize) -> Cond {
        let option = self.options[(near + self.rng.below(5)) % OPTIONS];
        let value = self.rng.below(3);
        let is = self.cond(CondKind::Is(option, value));
        if self.rng.below(2) == 0 { is } else { self.cond(CondKind::Not(Box::new(is))) }
    }

    /// Rules that one hidden configuration keeps, so that they do not contradict each other.
    fn rules(&mut self) {
        let hidden: Vec<usize> = (0..OPTIONS).map(|_| self.rng.below(3)).collect();
        while self.p.rules.len() < RULES {
            let near = self.rng.below(OPTIONS);
            let (holds, when) = (self.literal(near), self.literal(near));
            if !keeps(&holds, &hidden) && keeps(&when, &hidden) {
                continue;
            }
            let span = self.span();
            self.p.rules.push(Rule { holds, when: Some(when), reason: String::new(), span });
        }
    }

    fn step(&mut self, when: Option<Cond>, kinds: Vec<LineKind>, is_check: bool) -> StepId {
        let lines = kinds.into_iter().map(|kind| Line { kind, by_hand: false, span: self.span() }).collect();
        let number = format!("{}", self.p.steps.len() + 1);
        let name =
            Naming { id: number.clone(), title: String::new(), span: self.span(), from_library: false, at: None };
        let span = self.span();
        self.p.steps.push(Step {
            name,
            number,
            is_check,
            when,
            lines,
            takes: None,
            spares_for: None,
            another_person: None,
            span,
        })
    }

    fn lines(&mut self) -> Vec<LineKind> {
        let mut kinds = Vec::new();
        let span = self.span();
        for _ in 0..2 {
            let what = self.parts[self.rng.below(PARTS)];
            let count = self.rng.below(4) as u32 + 1;
            kinds.push(LineKind::Take(vec![Counted {
                count,
                much: HowMuch::Count,
                what,
                either: Either::Alone,
                span,
            }]));
        }
        let joint = self.joints[self.rng.below(JOINTS)];
        kinds.push(match self.rng.below(4) {
            0 => LineKind::Place(joint),
            1 => LineKind::Loosen(joint, Vec::new()),
            _ => LineKind::Tighten(joint, Vec::new()),
        });
        let state = self.states[self.rng.below(STATES)];
        let value = self.rng.below(2);
        match self.rng.below(4) {
            0 => kinds.push(LineKind::Make { state, value }),
            1 => {
                kinds.push(LineKind::Make { state, value });
                kinds.push(LineKind::Need(Need { state, value, span }));
            }
            _ => {}
        }
        kinds
    }

    fn node(&mut self, near: usize, n: usize) -> Node {
        let when = (self.rng.below(3) == 0).then(|| self.literal(near));
        let kinds = self.lines();
        if n % 40 == 7 {
            return self.check(near);
        }
        Node::Step(self.step(when, kinds, false))
    }

    fn check(&mut self, near: usize) -> Node {
        let lines = vec![LineKind::Read(vec![Reading::Choice(self.lamp)])];
        let step = self.step(None, lines, true);
        let expects = vec![self.cond(CondKind::Is(self.lamp, 0))];
        let (when, kinds) = (self.literal(near), self.lines());
        let body = vec![Node::Step(self.step(Some(when), kinds, false))];
        let span = self.span();
        let otherwise = CheckElse::Stop(Stop { text: Said { text: "stop".to_owned(), ..Said::default() }, span });
        Node::Check(Check { step, expects, repair: Some(Repair { times: 2, body, span }), otherwise })
    }

    /// A branch on a measure that the section has read.
    fn choose(&mut self, number: NumberId, near: usize) -> Vec<Node> {
        let read = self.step(None, vec![LineKind::Read(vec![Reading::Number(number)])], false);
        let cut = 20 + 10 * self.rng.below(6) as i64;
        let mut arms = Vec::new();
        for (low, high) in [(0, cut), (cut + 1, 99)] {
            let end = |value: i64| End { base: mm(value).base().expect("small"), included: true, written: mm(value) };
            let interval = Interval { low: Some(end(low)), high: Some(end(high)) };
            let kinds = self.lines();
            let when = self.literal(near);
            let body = vec![Node::Step(self.step(Some(when), kinds, false))];
            let pattern = ArmPattern::In(interval, Measure::Range { low: mm(low), high: mm(high) });
            arms.push(Arm { pattern, pattern_span: self.span(), body, span: self.span() });
        }
        let (subject, span) = (ChooseSubject::Number(number), self.span());
        vec![Node::Step(read), Node::Choose(Choose { subject, subject_span: span, arms, span })]
    }

    fn kit(&mut self) {
        let span = self.span();
        for part in self.parts.clone() {
            let when = if self.rng.below(2) == 0 { Some(self.literal(part.index() % OPTIONS)) } else { None };
            let entries = vec![Counted {
                count: self.rng.below(40) as u32,
                much: HowMuch::Count,
                what: part,
                either: Either::Alone,
                span,
            }];
            self.p.kit.push(KitGroup { kind: KitKind::Box, name: None, when, entries, span });
        }
    }

    fn procedure(steps: usize) -> Procedure {
        let mut maker = Maker::new();
        maker.rules();
        maker.kit();
        let mut section = 0;
        while maker.p.steps.len() < steps {
            let near = section % OPTIONS;
            let when = (section % 2 == 0).then(|| {
                let parts = vec![maker.literal(near), maker.literal(near)];
                maker.cond(CondKind::Any(parts))
            });
            let mut body = Vec::new();
            if section % 3 == 0 {
                let number = maker.measures[section / 3 % MEASURES];
                body.extend(maker.choose(number, near));
            }
            while body.len() < 20 && maker.p.steps.len() < steps {
                let (n, cond) = (maker.p.steps.len(), maker.rng.below(5) == 0);
                let node = maker.node(near, n);
                body.push(if cond {
                    let cond = maker.literal(near + 1);
                    Node::When(When { cond, then: vec![node], otherwise: Vec::new(), span: maker.span() })
                } else {
                    node
                });
            }
            section += 1;
            let (name, span) = (maker.p.steps.rows()[0].name.clone(), maker.span());
            maker.p.sections.push(Section { name, number: section as u32, when, body, span });
        }
        let span = maker.span();
        maker.p.complete = true;
        let body = vec![Node::Handover(Handover { lines: Vec::new(), signed: Vec::new(), span })];
        let name = maker.p.steps.rows()[0].name.clone();
        maker.p.sections.push(Section { name, number: section as u32 + 1, when: None, body, span });
        maker.p
    }
}

/// Whether a configuration keeps a literal; option `n` has id `n`.
fn keeps(cond: &Cond, hidden: &[usize]) -> bool {
    match &cond.kind {
        CondKind::Is(option, value) => hidden.get(option.index()) == Some(value),
        CondKind::Not(inner) => !keeps(inner, hidden),
        _ => false,
    }
}

/// Splits the time by what was asked.
struct Clock {
    last: Duration,
    parts: Vec<(&'static str, Duration, String)>,
}

impl Clock {
    fn done(&mut self, what: &'static str, found: String) {
        let now = used();
        self.parts.push((what, now.saturating_sub(self.last), found));
        self.last = now;
    }
}

/// Processor time of this thread, which others on the machine do not lengthen; plain time where the system does not say.
fn used() -> Duration {
    let said = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanos = said.and_then(|said| said.split(' ').next()?.parse().ok());
    nanos.map_or_else(|| START.get_or_init(Instant::now).elapsed(), Duration::from_nanos)
}

static START: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();

fn tally(answers: &[Answer]) -> String {
    let count = |wanted: fn(&Answer) -> bool| answers.iter().filter(|answer| wanted(answer)).count();
    let possible = count(|a| matches!(a, Answer::Possible(_)));
    let undecided = count(|a| matches!(a, Answer::Undecided));
    format!("{} asked, {possible} possible, {undecided} undecided", answers.len())
}

fn decide(procedure: &Procedure) -> (Duration, Clock) {
    let start = used();
    let mut clock = Clock { last: start, parts: Vec::new() };
    let mut space = Space::new(procedure);
    clock.done("written out", format!("{} events", space.events().len()));
    reached_and_judged(&mut space, &mut clock);
    states(&mut space, &mut clock);
    joints(&mut space, &mut clock);
    parts(&mut space, &mut clock);
    (clock.last.saturating_sub(start), clock)
}

/// Unreachable steps with what contradicts them, conditions that always hold, readings before they are taken.
fn reached_and_judged(space: &mut Space<'_>, clock: &mut Clock) {
    let steps: Vec<(EventId, Formula)> =
        space.events().iter().filter(|e| matches!(e.effect, Effect::Step(_))).map(|e| (e.id, e.guard)).collect();
    let guards: Vec<Formula> = steps.iter().map(|(_, guard)| *guard).collect();
    let answers = space.ask_each(&guards);
    let dead: Vec<EventId> =
        steps.iter().zip(&answers).filter(|(_, a)| matches!(a, Answer::Impossible)).map(|((id, _), _)| *id).collect();
    clock.done("steps reached", tally(&answers));
    let explained = dead.iter().take(20).map(|id| space.explain(*id, Formula::ALWAYS));
    let parts: usize = explained
        .map(|explanation| match explanation {
            Explanation::Contradiction(parts) => parts.len(),
            _ => 0,
        })
        .sum();
    clock.done("unreachable explained", format!("{} of {}, {parts} reasons", dead.len().min(20), dead.len()));
    let mut faults = Vec::new();
    for event in space.events().iter() {
        match &event.effect {
            Effect::Judged { holds, uses, .. } => {
                faults.push(space.both(event.guard, !*holds));
                faults.extend(uses.iter().map(|one| space.both(event.guard, one.unknown)));
            }
            Effect::Chosen { arms, uses, .. } => {
                let covered = space.any(arms.iter().copied());
                faults.push(space.both(event.guard, !covered));
                faults.extend(uses.iter().map(|one| space.both(event.guard, one.unknown)));
            }
            _ => {}
        }
    }
    let answers = space.ask_each(&faults);
    clock.done("conditions and readings", tally(&answers));
}

fn states(space: &mut Space<'_>, clock: &mut Clock) {
    let mut faults: Vec<(EventId, Formula)> = Vec::new();
    for event in space.events().iter() {
        match event.effect {
            Effect::Need { holds, .. } => faults.push((event.id, space.both(event.guard, !holds))),
            Effect::Stop(_) | Effect::Handover(_) => {
                for state in space.procedure().states.ids() {
                    let restored = space.state_is(event.id, state, 0);
                    faults.push((event.id, space.both(event.guard, !restored)));
                }
            }
            _ => {}
        }
    }
    let formulas: Vec<Formula> = faults.iter().map(|(_, fault)| *fault).collect();
    let answers = space.ask_each(&formulas);
    clock.done("states", tally(&answers));
    let shown = faults.iter().zip(&answers).filter(|(_, a)| matches!(a, Answer::Possible(_))).take(20);
    let cases: Vec<_> = shown.map(|((at, fault), _)| space.case(*fault, *at)).collect();
    clock.done("cases", format!("{} cases", cases.len()));
}

/// Tight at the handover: placed joints whose last change is a tightening.
fn joints(space: &mut Space<'_>, clock: &mut Clock) {
    let mut faults = Vec::new();
    for joint in space.procedure().joints.ids() {
        let (mut placed, mut tight) = (Formula::NEVER, Formula::NEVER);
        for event in space.events().iter() {
            match event.effect {
                Effect::Place(id) if id == joint => {
                    placed = space.either(placed, event.guard);
                    tight = space.both(tight, !event.guard);
                }
                Effect::Loosen(id) if id == joint => {
                    let early = space.both(event.guard, !placed);
                    faults.push(early);
                    tight = space.both(tight, !event.guard);
                }
                Effect::Tighten(id) if id == joint => {
                    let early = space.both(event.guard, !placed);
                    faults.push(early);
                    tight = space.either(tight, event.guard);
                }
                Effect::Handover(_) => {
                    let loose = space.all([event.guard, placed, !tight]);
                    faults.push(loose);
                }
                _ => {}
            }
        }
    }
    let answers = space.ask_each(&faults);
    clock.done("joints", tally(&answers));
}

fn parts(space: &mut Space<'_>, clock: &mut Clock) {
    let mut counts: Vec<Vec<Weighted>> = vec![Vec::new(); PARTS];
    for event in space.events().iter() {
        let (part, count) = match event.effect {
            Effect::Take { part, count, .. } => (part, i64::from(count)),
            Effect::Supplied { part, count, .. } => (part, -i64::from(count)),
            _ => continue,
        };
        counts[part.index()].push(Weighted { when: event.guard, count });
    }
    let (mut total, mut undecided) = (0, 0);
    for of_part in &counts {
        match space.most(of_part, Formula::ALWAYS) {
            Extreme::Exact { value, .. } => total += value,
            _ => undecided += 1,
        }
    }
    clock.done("worst counts", format!("{PARTS} parts, sum {total}, {undecided} undecided"));
    let inputs = space.deciding().into_iter().filter(|input| matches!(input, Input::Choice(_))).count();
    clock.done("what decides", format!("{inputs} choices decide something"));
}

/// Everything that the checks prove, cases and messages included.
fn checked(procedure: &Procedure) -> (Duration, String) {
    let plan = Plan::new(procedure.clone());
    let start = used();
    let findings = fitwright::checks::check(&plan).findings;
    let time = used().saturating_sub(start);
    let with_case = findings.iter().filter(|finding| finding.case.is_some()).count();
    let undecided = findings.iter().filter(|finding| finding.code == Code::FW0419).count();
    (time, format!("{} findings, {with_case} with a case, {undecided} undecided", findings.len()))
}

/// How long it takes to settle one option, and what is left then.
fn tailored(procedure: &Procedure) -> (Duration, String) {
    let wish = |value: &str| [Wish { name: "option-0".to_owned(), value: value.to_owned() }];
    let start = used();
    let left = ["a", "b", "c"].iter().find_map(|value| tailor(procedure, &wish(value)).ok());
    let time = used().saturating_sub(start);
    (time, format!("{} steps left", left.map_or(0, |left| left.steps.len())))
}

fn main() {
    let mut per_step = Vec::new();
    for steps in [200, 500, 1_000, 2_000] {
        let procedure = Maker::procedure(steps);
        let (whole, clock) = decide(&procedure);
        println!("{steps} steps: {:.1} ms for the questions", whole.as_secs_f64() * 1e3);
        for (what, time, found) in clock.parts {
            println!("  {what:24} {:8.2} ms  {found}", time.as_secs_f64() * 1e3);
        }
        let (check, found) = checked(&procedure);
        println!("  {:24} {:8.2} ms  {found}", "all checks, with cases", check.as_secs_f64() * 1e3);
        let (time, left) = tailored(&procedure);
        println!("  {:24} {:8.2} ms  {left}", "tailored to one option", time.as_secs_f64() * 1e3);
        per_step.push([whole, check].map(|time| time.as_secs_f64() / steps as f64));
    }
    if let (Some(first), Some(last)) = (per_step.first(), per_step.last()) {
        for (what, first, last) in [("questions", first[0], last[0]), ("all checks", first[1], last[1])] {
            println!("{what}: time a step at 2,000 steps is {:.2} times that at 200", last / first);
        }
    }
}
