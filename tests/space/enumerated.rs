//! Generated procedures, small enough to run every way: what is possible, what happens together and in which order
//! must be what brute force says. The interpreter here knows the model and nothing of the space.

use std::collections::{BTreeMap, BTreeSet};

use fitwright::model::*;
use fitwright::quantity::Exact;
use fitwright::source::Span;
use fitwright::space::{Answer, CaseAnswer, Effect, Event, Formula, Input, Space, Taken};
use proptest::prelude::*;

use crate::build::{Build, base};

// What is generated.

#[derive(Debug, Clone)]
enum C {
    Option(usize, usize),
    Observe(usize),
    Result(usize),
    Measure(i64, i64),
    Given(i64, i64),
    /// `measure + other <= n`
    Measures(i64),
    /// `given over other given`
    Givens(bool),
    Not(Box<C>),
    All(Vec<C>),
    Any(Vec<C>),
}

#[derive(Debug, Clone)]
enum L {
    Observe,
    Measure,
    Other,
    Make(usize),
    Need(usize),
    Set(usize),
}

#[derive(Debug, Clone)]
enum N {
    Step(Option<C>, Vec<L>),
    When(C, Vec<N>, Vec<N>),
    ChooseOption(Vec<N>, Vec<N>),
    ChooseMeasure(i64, i64, Vec<N>, Vec<N>),
    Check(Option<C>, Vec<L>, C, Option<(u32, Vec<N>)>, bool),
    Set(usize),
    Stop,
    Handover,
}

#[derive(Debug, Clone)]
struct Plan {
    rules: Vec<(C, Option<C>)>,
    limits: Vec<(bool, i64, Option<C>, bool)>,
    sections: Vec<(Option<C>, Vec<N>)>,
}

fn conds() -> impl Strategy<Value = C> {
    let leaf = prop_oneof![
        3 => (0usize..2, 0usize..3).prop_map(|(o, v)| C::Option(o, v)),
        2 => (0usize..2).prop_map(C::Observe),
        1 => (0usize..2).prop_map(C::Result),
        2 => (0i64..4, 0i64..4).prop_map(|(a, b)| C::Measure(a.min(b), a.max(b))),
        1 => (0i64..3, 0i64..3).prop_map(|(a, b)| C::Given(a.min(b), a.max(b))),
        1 => (0i64..7).prop_map(C::Measures),
        1 => any::<bool>().prop_map(C::Givens),
    ];
    leaf.prop_recursive(2, 6, 3, |inner| {
        prop_oneof![
            inner.clone().prop_map(|c| C::Not(Box::new(c))),
            prop::collection::vec(inner.clone(), 1..3).prop_map(C::All),
            prop::collection::vec(inner, 1..3).prop_map(C::Any),
        ]
    })
}

fn lines() -> impl Strategy<Value = Vec<L>> {
    let line = prop_oneof![
        2 => Just(L::Observe),
        2 => Just(L::Measure),
        1 => Just(L::Other),
        2 => (0usize..2).prop_map(L::Make),
        3 => (0usize..2).prop_map(L::Need),
        1 => (0usize..2).prop_map(L::Set),
    ];
    prop::collection::vec(line, 0..3)
}

fn bodies() -> impl Strategy<Value = Vec<N>> {
    let leaf = prop_oneof![
        6 => (prop::option::of(conds()), lines()).prop_map(|(c, l)| N::Step(c, l)),
        1 => (0usize..2).prop_map(N::Set),
        1 => Just(N::Stop),
        1 => Just(N::Handover),
    ];
    let node = leaf.prop_recursive(3, 10, 3, |inner| {
        let body = || prop::collection::vec(inner.clone(), 0..3);
        prop_oneof![
            (conds(), body(), body()).prop_map(|(c, a, b)| N::When(c, a, b)),
            (body(), body()).prop_map(|(a, b)| N::ChooseOption(a, b)),
            (0i64..4, 0i64..4, body(), body()).prop_map(|(x, y, a, b)| N::ChooseMeasure(x.min(y), x.max(y), a, b)),
            (prop::option::of(conds()), lines(), conds(), prop::option::of((1u32..3, body())), any::<bool>())
                .prop_map(|(when, l, c, r, stops)| N::Check(when, l, c, r, stops)),
        ]
    });
    prop::collection::vec(node, 0..4)
}

fn plans() -> impl Strategy<Value = Plan> {
    let rules = prop::collection::vec((conds(), prop::option::of(conds())), 0..3);
    let limit = (any::<bool>(), 0i64..7, prop::option::of(conds()), any::<bool>());
    let sections = prop::collection::vec((prop::option::of(conds()), bodies()), 1..3);
    (rules, prop::collection::vec(limit, 0..3), sections).prop_map(|(rules, limits, sections)| Plan {
        rules,
        limits,
        sections,
    })
}

struct Names {
    options: [ChoiceId; 2],
    lamp: ChoiceId,
    result: ChoiceId,
    height: NumberId,
    width: NumberId,
    givens: [NumberId; 2],
    state: StateId,
}

impl Plan {
    fn build(&self) -> Build {
        let mut b = Build::new();
        let names = Names {
            options: [b.option("o", &["a", "b"]), b.option("p", &["a", "b", "c"])],
            lamp: b.observe("lamp", &["yes", "no"]),
            result: b.choice(ChoiceKind::Result, "result", &["x", "y"]),
            height: b.measure("height", 0, 3),
            width: b.measure("width", 0, 2),
            givens: ["g", "h"].map(|id| b.number(NumberKind::Given, id, 0, 2, Some(1))),
            state: b.state("state", &["on", "off"], 0),
        };
        for (holds, when) in &self.rules {
            let (holds, when) = (cond(&mut b, &names, holds), when.as_ref().map(|c| cond(&mut b, &names, c)));
            b.rule(holds, when);
        }
        for (givens, most, when, stops) in &self.limits {
            let comparison = sum(&mut b, &names, *givens, *most);
            let when = when.as_ref().map(|c| cond(&mut b, &names, c));
            b.limit(comparison, when, *stops);
        }
        for (when, body) in &self.sections {
            let when = when.as_ref().map(|c| cond(&mut b, &names, c));
            let body = nodes(&mut b, &names, body);
            b.section(when, body);
        }
        b
    }
}

fn sum(b: &mut Build, names: &Names, givens: bool, most: i64) -> Comparison {
    let (pair, unit) = if givens { (names.givens, "kg") } else { ([names.height, names.width], "mm") };
    b.comparison(&[(1, pair[0]), (1, pair[1])], -base(most, unit), CompareOp::AtMost)
}

fn cond(b: &mut Build, names: &Names, c: &C) -> Cond {
    match c {
        C::Option(o, v) => b.is(names.options[*o], (*v).min(1 + o)),
        C::Observe(v) => b.is(names.lamp, *v),
        C::Result(v) => b.is(names.result, *v),
        C::Measure(low, high) => b.within(names.height, Some(*low), Some(*high)),
        C::Given(low, high) => b.within(names.givens[0], Some(*low), Some(*high)),
        C::Measures(most) => {
            let comparison = sum(b, names, false, *most);
            b.compares(comparison)
        }
        C::Givens(strict) => {
            let op = if *strict { CompareOp::Over } else { CompareOp::Equal };
            let comparison = b.comparison(&[(1, names.givens[0]), (-1, names.givens[1])], Exact::from_integer(0), op);
            b.compares(comparison)
        }
        C::Not(inner) => {
            let inner = cond(b, names, inner);
            b.not(inner)
        }
        C::All(parts) => {
            let parts = parts.iter().map(|part| cond(b, names, part)).collect();
            b.all(parts)
        }
        C::Any(parts) => {
            let parts = parts.iter().map(|part| cond(b, names, part)).collect();
            b.any(parts)
        }
    }
}

fn line_kinds(b: &mut Build, names: &Names, lines: &[L]) -> Vec<LineKind> {
    let kind = |line: &L| match line {
        L::Observe => LineKind::Read(vec![Reading::Choice(names.lamp)]),
        L::Measure => LineKind::Read(vec![Reading::Number(names.height)]),
        L::Other => LineKind::Read(vec![Reading::Number(names.width)]),
        L::Make(value) => LineKind::Make { state: names.state, value: *value },
        L::Need(value) => b.need(names.state, *value),
        L::Set(value) => LineKind::Set(SetResult { result: names.result, value: *value, span: b.span() }),
    };
    lines.iter().map(kind).collect()
}

fn nodes(b: &mut Build, names: &Names, body: &[N]) -> Vec<Node> {
    body.iter().map(|node| one(b, names, node)).collect()
}

fn one(b: &mut Build, names: &Names, node: &N) -> Node {
    match node {
        N::Step(when, lines) => {
            let when = when.as_ref().map(|c| cond(b, names, c));
            let kinds = line_kinds(b, names, lines);
            Node::Step(b.step_row(when, kinds, false))
        }
        N::When(c, then, otherwise) => {
            let c = cond(b, names, c);
            let (then, otherwise) = (nodes(b, names, then), nodes(b, names, otherwise));
            b.when(c, then, otherwise)
        }
        N::ChooseOption(first, rest) => {
            let arms = vec![
                (ArmPattern::Values(vec![0, 2]), nodes(b, names, first)),
                (ArmPattern::Otherwise, nodes(b, names, rest)),
            ];
            b.choose(ChooseSubject::Choice(names.options[1]), arms)
        }
        N::ChooseMeasure(low, high, first, rest) => {
            let (one, two) = (b.arm_in(names.height, 0, *low), b.arm_in(names.height, *low, *high));
            let arms = vec![(one, nodes(b, names, first)), (two, nodes(b, names, rest))];
            b.choose(ChooseSubject::Number(names.height), arms)
        }
        N::Check(when, lines, expect, repair, stops) => {
            let when = when.as_ref().map(|c| cond(b, names, c));
            let kinds = line_kinds(b, names, lines);
            let expect = cond(b, names, expect);
            let repair = repair.as_ref().map(|(times, body)| (*times, nodes(b, names, body)));
            let otherwise =
                if *stops { CheckElse::Stop(b.stop_row()) } else { CheckElse::GoOn("go on".to_owned(), b.span()) };
            b.check_when(when, kinds, vec![expect], repair, otherwise)
        }
        N::Set(value) => b.set(names.result, *value),
        N::Stop => b.stop(),
        N::Handover => b.handover(),
    }
}

// Brute force.

/// What happens, in words that both sides can say.
type Said = (Span, u32, &'static str);

/// The values of one run: a list that is gone through in order, and extended where it ends.
#[derive(Debug, Clone, Default)]
struct Tape {
    taken: Vec<(usize, usize)>,
    at: usize,
}

impl Tape {
    fn next(&mut self, of: usize) -> usize {
        if self.at == self.taken.len() {
            self.taken.push((0, of));
        }
        self.at += 1;
        self.taken[self.at - 1].0
    }

    /// The next list in order, if there is one.
    fn advance(&mut self) -> bool {
        self.at = 0;
        while let Some((value, of)) = self.taken.pop() {
            if value + 1 < of {
                self.taken.push((value + 1, of));
                return true;
            }
        }
        false
    }
}

enum End {
    Ended,
    /// A rule forbids the run.
    Forbidden,
}

struct Run<'p> {
    p: &'p Procedure,
    tape: Tape,
    /// Readings to be taken, instead of those of the tape.
    given: Option<BTreeMap<(Input, u32), Taken>>,
    occasions: BTreeMap<Input, u32>,
    choices: BTreeMap<ChoiceId, usize>,
    numbers: BTreeMap<NumberId, Exact>,
    states: Vec<usize>,
    decided: Vec<bool>,
    round: u32,
    said: Vec<Said>,
    unmet: bool,
    unknown: bool,
}

impl<'p> Run<'p> {
    fn new(p: &'p Procedure, tape: Tape, given: Option<BTreeMap<(Input, u32), Taken>>) -> Run<'p> {
        Run {
            p,
            tape,
            given,
            occasions: BTreeMap::new(),
            choices: BTreeMap::new(),
            numbers: BTreeMap::new(),
            states: p.states.rows().iter().map(|s| s.starts).collect(),
            decided: vec![false; p.limits.len()],
            round: 0,
            said: Vec::new(),
            unmet: false,
            unknown: false,
        }
    }

    fn say(&mut self, span: Span, what: &'static str) {
        self.said.push((span, self.round, what));
    }

    fn take(&mut self, input: Input) {
        let occasion = self.occasions.entry(input).or_insert(0);
        *occasion += 1;
        let given = self.given.as_ref().map(|given| given[&(input, *occasion)]);
        match input {
            Input::Choice(id) => {
                let value = match given {
                    Some(Taken::Value(value)) => value,
                    Some(Taken::Number(_)) => panic!("a choice has a value"),
                    None => self.tape.next(self.p.choices[id].values.len()),
                };
                self.choices.insert(id, value);
            }
            Input::Number(id) => {
                let number = &self.p.numbers[id];
                let (low, high) = (number.low.base().expect("small"), number.high.base().expect("small"));
                let step = number.reads.expect("all read in steps").base().expect("small");
                let value = match given {
                    Some(Taken::Number(value)) => {
                        assert!(value >= low && value <= high && ((value - low) / step).is_integer());
                        value
                    }
                    Some(Taken::Value(_)) => panic!("a number has no value"),
                    None => {
                        let count = ((high - low) / step).to_integer() as usize + 1;
                        low + step * Exact::from_integer(self.tape.next(count) as i128)
                    }
                };
                self.numbers.insert(id, value);
            }
        }
    }

    /// Whether a condition holds; what cannot be told is noted and guessed.
    fn judge(&mut self, cond: &Cond) -> bool {
        self.truth(cond).unwrap_or_else(|| self.guess(2) == 0)
    }

    fn guess(&mut self, ways: usize) -> usize {
        self.unknown = true;
        self.tape.next(ways)
    }

    /// Whether a condition holds, if that can be told.
    fn truth(&self, cond: &Cond) -> Option<bool> {
        // From left to right: the first part that cannot be told leaves the whole open.
        let decisive = |parts: &[Cond], answer: bool| {
            let first = parts.iter().map(|part| self.truth(part)).find(|truth| *truth != Some(!answer));
            first.unwrap_or(Some(!answer))
        };
        match &cond.kind {
            CondKind::Any(parts) => decisive(parts, true),
            CondKind::All(parts) => decisive(parts, false),
            CondKind::Not(inner) => self.truth(inner).map(|holds| !holds),
            CondKind::Is(choice, value) => self.choices.get(choice).map(|known| known == value),
            CondKind::In(number, interval) => self.numbers.get(number).map(|known| interval.contains(*known)),
            CondKind::Compares(comparison) => self.compare(comparison),
        }
    }

    fn compare(&self, comparison: &Comparison) -> Option<bool> {
        Some(comparison.op.holds(self.value(&comparison.left)?, self.value(&comparison.right)?))
    }

    fn value(&self, expr: &Expr) -> Option<Exact> {
        match expr {
            Expr::Fact(_, value, _) | Expr::Amount(value, _, _) => Some(*value),
            Expr::Number(id, _) => self.numbers.get(id).copied(),
            Expr::Binary(op, left, right) => op.apply(self.value(left)?, self.value(right)?),
        }
    }

    fn names_a_result(&self, cond: &Cond) -> bool {
        match &cond.kind {
            CondKind::Any(parts) | CondKind::All(parts) => parts.iter().any(|part| self.names_a_result(part)),
            CondKind::Not(inner) => self.names_a_result(inner),
            CondKind::Is(choice, _) => self.p.choices[*choice].kind == ChoiceKind::Result,
            CondKind::In(..) | CondKind::Compares(_) => false,
        }
    }

    /// Rules hold of all values that are known.
    fn rules(&mut self) -> Result<(), End> {
        for rule in &self.p.rules {
            let applies = rule.when.as_ref().map_or(Some(true), |when| self.truth(when));
            let named = rule.when.iter().chain([&rule.holds]).any(|cond| self.names_a_result(cond));
            if !named && applies == Some(true) && self.truth(&rule.holds) == Some(false) {
                return Err(End::Forbidden);
            }
        }
        Ok(())
    }

    fn limits(&mut self) -> Result<(), End> {
        for (id, limit) in self.p.limits.iter() {
            let applies = limit.when.as_ref().map_or(Some(true), |when| self.truth(when));
            let holds = match (applies, self.compare(&limit.holds)) {
                (Some(false), _) => true,
                (Some(true), Some(holds)) => holds,
                _ => continue,
            };
            if std::mem::replace(&mut self.decided[id.index()], true) {
                continue;
            }
            if let Some(when) = &limit.when {
                self.say(when.span, "judged");
            }
            if applies == Some(false) {
                continue;
            }
            self.say(limit.span, "limit");
            if !holds && limit.otherwise.is_some() {
                self.say(limit.span, "stop");
                return Err(End::Ended);
            }
        }
        Ok(())
    }

    fn whole(&mut self) -> Result<(), End> {
        for (id, choice) in self.p.choices.iter() {
            if choice.kind == ChoiceKind::Option {
                self.take(Input::Choice(id));
            }
        }
        for (id, number) in self.p.numbers.iter() {
            if number.kind == NumberKind::Given {
                self.take(Input::Number(id));
            }
        }
        self.rules()?;
        self.limits()?;
        for section in &self.p.sections {
            if let Some(when) = &section.when {
                self.say(when.span, "judged");
                if !self.judge(when) {
                    continue;
                }
            }
            self.body(&section.body)?;
        }
        self.say(self.p.head_span, "runs out");
        Ok(())
    }

    fn body(&mut self, body: &[Node]) -> Result<(), End> {
        body.iter().try_for_each(|node| self.node(node))
    }

    fn node(&mut self, node: &Node) -> Result<(), End> {
        match node {
            Node::Step(id) if self.applies(*id) => self.lines(*id),
            Node::Step(_) => Ok(()),
            Node::When(when) => {
                self.say(when.cond.span, "judged");
                let holds = self.judge(&when.cond);
                self.body(if holds { &when.then } else { &when.otherwise })
            }
            Node::Choose(choose) => {
                self.say(choose.span, "chosen");
                match self.arm(choose) {
                    Some(arm) => self.body(&choose.arms[arm].body),
                    None => Ok(()),
                }
            }
            Node::Set(set) => {
                self.say(set.span, "set");
                self.choices.insert(set.result, set.value);
                self.limits()
            }
            Node::Stop(stop) => {
                self.say(stop.span, "stop");
                Err(End::Ended)
            }
            Node::Handover(handover) => {
                self.say(handover.span, "handover");
                Err(End::Ended)
            }
            Node::Check(check) => {
                let outer = self.round;
                self.round = 0;
                if self.applies(check.step) {
                    self.attempts(check)?;
                }
                self.round = outer;
                Ok(())
            }
        }
    }

    fn arm(&mut self, choose: &Choose) -> Option<usize> {
        let known = match choose.subject {
            ChooseSubject::Choice(id) => self.choices.contains_key(&id),
            ChooseSubject::Number(id) => self.numbers.contains_key(&id),
        };
        if !known {
            return Some(self.guess(choose.arms.len() + 1)).filter(|arm| *arm < choose.arms.len());
        }
        let covers = |arm: &Arm| match (&arm.pattern, choose.subject) {
            (ArmPattern::Values(values), ChooseSubject::Choice(id)) => {
                self.choices.get(&id).is_some_and(|value| values.contains(value))
            }
            (ArmPattern::In(interval, _), ChooseSubject::Number(id)) => {
                self.numbers.get(&id).is_some_and(|value| interval.contains(*value))
            }
            _ => false,
        };
        let otherwise = choose.arms.iter().position(|arm| arm.pattern == ArmPattern::Otherwise);
        choose.arms.iter().position(covers).or(otherwise)
    }

    fn attempts(&mut self, check: &Check) -> Result<(), End> {
        let times = check.repair.as_ref().map_or(0, |repair| repair.times);
        for round in 0..=times {
            self.round = round;
            self.lines(check.step)?;
            let mut passes = true;
            for expect in &check.expects {
                self.say(expect.span, "judged");
                passes &= self.judge(expect);
            }
            self.say(self.p.steps[check.step].span, "verdict");
            if passes {
                return Ok(());
            }
            if let Some(repair) = check.repair.as_ref().filter(|_| round < times) {
                self.round = round + 1;
                self.body(&repair.body)?;
            }
        }
        match &check.otherwise {
            CheckElse::Stop(stop) => {
                self.say(stop.span, "stop");
                Err(End::Ended)
            }
            CheckElse::GoOn(_, span) => {
                self.say(*span, "go on");
                Ok(())
            }
        }
    }

    fn applies(&mut self, id: StepId) -> bool {
        let when = self.p.steps[id].when.as_ref();
        when.is_none_or(|when| {
            self.say(when.span, "judged");
            self.judge(when)
        })
    }

    fn lines(&mut self, id: StepId) -> Result<(), End> {
        let step = &self.p.steps[id];
        self.say(step.name.span, "step");
        for line in &step.lines {
            match &line.kind {
                LineKind::Read(readings) => {
                    for reading in readings {
                        self.say(line.span, "read");
                        self.take(Input::from(*reading));
                        self.rules()?;
                    }
                }
                LineKind::Make { state, value } => {
                    self.say(line.span, "make");
                    self.states[state.index()] = *value;
                }
                LineKind::Need(need) => {
                    self.say(line.span, "need");
                    self.unmet |= self.states[need.state.index()] != need.value;
                }
                LineKind::Set(set) => {
                    self.say(line.span, "set");
                    self.choices.insert(set.result, set.value);
                }
                other => panic!("{other:?} is not generated"),
            }
        }
        self.limits()
    }
}

/// All runs, or `None` where there are too many.
fn every_run(p: &Procedure) -> Option<Vec<(Vec<Said>, bool, bool)>> {
    let mut tape = Tape::default();
    let mut runs = Vec::new();
    for _ in 0..4_000 {
        let mut run = Run::new(p, tape, None);
        if !matches!(run.whole(), Err(End::Forbidden)) {
            runs.push((run.said, run.unmet, run.unknown));
        }
        tape = run.tape;
        if !tape.advance() {
            return Some(runs);
        }
    }
    None
}

fn word(event: &Event<'_>) -> Option<Said> {
    let what = match event.effect {
        Effect::Judged { .. } => "judged",
        Effect::Chosen { .. } => "chosen",
        Effect::Limit { .. } => "limit",
        Effect::Step(_) => "step",
        Effect::Read(_) => "read",
        Effect::Set(_) => "set",
        Effect::Make { .. } => "make",
        Effect::Need { .. } => "need",
        Effect::Verdict { .. } => "verdict",
        Effect::Stop(_) => "stop",
        Effect::GoOn(_) => "go on",
        Effect::Handover(_) => "handover",
        Effect::RunsOut => "runs out",
        _ => return None,
    };
    Some((event.place.span, event.place.round, what))
}

fn compare(plan: &Plan) -> Result<(), TestCaseError> {
    let b = plan.build();
    let Some(runs) = every_run(&b.p) else { return Ok(()) };
    let mut space = Space::new(&b.p);
    let events: Vec<(Said, Event<'_>)> =
        space.events().iter().filter_map(|event| Some((word(event)?, event.clone()))).collect();

    // What is possible, alone: by word, since nested repairs say the same word at several events.
    let mut by_word: BTreeMap<Said, Vec<Formula>> = BTreeMap::new();
    events.iter().for_each(|(said, event)| by_word.entry(*said).or_default().push(event.guard));
    let words: Vec<Said> = by_word.keys().copied().collect();
    let formulas: Vec<Formula> = by_word.into_values().map(|guards| space.any(guards)).collect();
    let happening: BTreeSet<Said> = runs.iter().flat_map(|(said, ..)| said).copied().collect();
    for (said, answer) in words.iter().zip(space.ask_each(&formulas)) {
        prop_assert_eq!(is_possible(&answer)?, happening.contains(said), "{:?}", said);
    }

    // What is possible together.
    for (n, one) in words.iter().enumerate() {
        let m = (n * 7 + 3) % words.len();
        for (negated, other) in [(false, words[m]), (true, words[m])] {
            let second = if negated { !formulas[m] } else { formulas[m] };
            let both = space.both(formulas[n], second);
            let expected = runs.iter().any(|(said, ..)| said.contains(one) && said.contains(&other) != negated);
            let answer = space.ask(both);
            prop_assert_eq!(is_possible(&answer)?, expected, "{:?} with {:?} (negated: {})", one, other, negated);
        }
    }

    // Faults: a need that is not met, a value that is not there; each with a case that shows it.
    let (mut unmet, mut unknown) = (Vec::new(), Vec::new());
    for (_, event) in &events {
        match &event.effect {
            Effect::Need { holds, .. } => unmet.push((event.id, space.both(event.guard, !*holds))),
            Effect::Judged { uses, .. } | Effect::Chosen { uses, .. } => {
                for one in uses {
                    unknown.push((event.id, space.both(event.guard, one.unknown)));
                }
            }
            _ => {}
        }
    }
    let any_unmet = space.any(unmet.iter().map(|(_, fault)| *fault));
    let answer = space.ask(any_unmet);
    prop_assert_eq!(is_possible(&answer)?, runs.iter().any(|(_, unmet, _)| *unmet));
    let any_unknown = space.any(unknown.iter().map(|(_, fault)| *fault));
    let answer = space.ask(any_unknown);
    prop_assert_eq!(is_possible(&answer)?, runs.iter().any(|(.., unknown)| *unknown));

    for (at, fault) in unmet {
        // Guesses are nobody's input, so that a run with one can't be replayed.
        let told = space.both(fault, !any_unknown);
        let CaseAnswer::Case(case) = space.case(told, at) else { continue };
        prop_assert!(case.proved);
        let run = space.run(&case.model);
        let given: BTreeMap<(Input, u32), Taken> =
            run.inputs.iter().map(|input| ((input.input, input.occasion), input.taken)).collect();
        for input in &case.inputs {
            prop_assert_eq!(given.get(&(input.input, input.occasion)), Some(&input.taken));
        }
        let mut replay = Run::new(&b.p, Tape::default(), Some(given));
        prop_assert!(!matches!(replay.whole(), Err(End::Forbidden)));
        prop_assert!(replay.unmet);
        let truths = space.truths(&case.model);
        let said: Vec<Said> =
            events.iter().filter(|(_, event)| truths.holds(event.guard)).map(|(said, _)| *said).collect();
        prop_assert_eq!(said, replay.said);
    }
    Ok(())
}

fn is_possible(answer: &Answer) -> Result<bool, TestCaseError> {
    match answer {
        Answer::Possible(_) => Ok(true),
        Answer::Impossible => Ok(false),
        Answer::Undecided => Err(TestCaseError::fail("so small a procedure must be decided")),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { max_shrink_iters: 400, ..ProptestConfig::default() })]

    #[test]
    fn every_answer_is_that_of_brute_force(plan in plans()) {
        compare(&plan)?;
    }
}
