//! Small procedures as data: what is generated, and the model that comes of it.

use fitwright::model::*;
use fitwright::quantity::Exact;
use proptest::prelude::*;

use crate::space::build::{Build, base, said};

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
pub struct Plan {
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

pub fn plans() -> impl Strategy<Value = Plan> {
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
    pub fn build(&self) -> Build {
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
                if *stops { CheckElse::Stop(b.stop_row()) } else { CheckElse::GoOn(said("go on"), b.span()) };
            b.check_when(when, kinds, vec![expect], repair, otherwise)
        }
        N::Set(value) => b.set(names.result, *value),
        N::Stop => b.stop(),
        N::Handover => b.handover(),
    }
}
