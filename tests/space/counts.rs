//! Worst counts: by hand, by brute force, and by the integer program of good_lp with microlp.

use fitwright::model::*;
use fitwright::space::{Effect, Extreme, Formula, Space, Weighted};
use good_lp::{ProblemVariables, Solution, SolverModel, constraint, default_solver, variable};
use proptest::prelude::*;

use super::build::Build;

/// A count, and the values that its guard asks for or excludes.
type Guarded = (i64, Vec<(usize, usize, bool)>);

/// A sum of guarded counts under rules: options of three values, guards of up to three literals.
#[derive(Debug, Clone)]
struct Sum {
    options: usize,
    /// Each rule forbids two values together.
    forbidden: Vec<((usize, usize), (usize, usize))>,
    counts: Vec<Guarded>,
}

fn sums() -> impl Strategy<Value = Sum> {
    (2usize..6).prop_flat_map(|options| {
        let literal = (0..options, 0usize..3);
        let forbidden = prop::collection::vec((literal.clone(), literal.clone()), 0..5);
        let guard = prop::collection::vec((0..options, 0usize..3, any::<bool>()), 1..4);
        let counts = prop::collection::vec((-3i64..9, guard), 1..12);
        (Just(options), forbidden, counts).prop_map(|(options, forbidden, counts)| Sum { options, forbidden, counts })
    })
}

impl Sum {
    fn build(&self) -> Build {
        let mut b = Build::new();
        let options: Vec<ChoiceId> = (0..self.options).map(|n| b.option(&format!("o{n}"), &["a", "b", "c"])).collect();
        for ((first, value), (second, other)) in &self.forbidden {
            let (one, two) = (b.is(options[*first], *value), b.is(options[*second], *other));
            let both = b.all(vec![one, two]);
            let never = b.not(both);
            b.rule(never, None);
        }
        let part = b.part("part");
        let mut nodes = Vec::new();
        for (_, guard) in &self.counts {
            let mut literals = Vec::new();
            for (option, value, holds) in guard {
                let is = b.is(options[*option], *value);
                literals.push(if *holds { is } else { b.not(is) });
            }
            let cond = b.all(literals);
            let take = b.take(1, part);
            nodes.push(b.step_when(cond, vec![take]));
        }
        b.section(None, nodes);
        b
    }

    fn weighted(&self, space: &Space<'_>) -> Vec<Weighted> {
        let events = space.events();
        let guards = events.iter().filter(|e| matches!(e.effect, Effect::Take { .. })).map(|e| e.guard);
        guards.zip(&self.counts).map(|(when, (count, _))| Weighted { when, count: *count }).collect()
    }

    /// Every total of an allowed configuration.
    fn totals(&self) -> std::collections::BTreeSet<i64> {
        let mut totals = std::collections::BTreeSet::new();
        for n in 0..3usize.pow(self.options as u32) {
            let is = |option: usize, value: usize| n / 3usize.pow(option as u32) % 3 == value;
            if self.forbidden.iter().any(|((a, v), (b, w))| is(*a, *v) && is(*b, *w)) {
                continue;
            }
            let held = |guard: &[(usize, usize, bool)]| guard.iter().all(|(o, v, holds)| is(*o, *v) == *holds);
            totals.insert(self.counts.iter().filter(|(_, guard)| held(guard)).map(|(count, _)| count).sum());
        }
        totals
    }

    /// The most, as an integer program: 0/1 variables, one value an option, guards as conjunctions.
    fn by_integer_program(&self) -> Option<i64> {
        let mut vars = ProblemVariables::new();
        let values: Vec<Vec<_>> =
            (0..self.options).map(|_| (0..3).map(|_| vars.add(variable().binary())).collect()).collect();
        let guards: Vec<_> = self.counts.iter().map(|_| vars.add(variable().binary())).collect();
        let total: good_lp::Expression =
            guards.iter().zip(&self.counts).map(|(guard, (count, _))| *guard * *count as f64).sum();
        let mut problem = vars.maximise(total.clone()).using(default_solver);
        for option in &values {
            problem = problem.with(constraint!(option[0] + option[1] + option[2] == 1));
        }
        for ((a, v), (b, w)) in &self.forbidden {
            problem = problem.with(constraint!(values[*a][*v] + values[*b][*w] <= 1));
        }
        for (guard, (_, literals)) in guards.iter().zip(&self.counts) {
            let mut missing = good_lp::Expression::from(0.0);
            for (option, value, holds) in literals {
                let literal: good_lp::Expression =
                    if *holds { values[*option][*value].into() } else { 1.0 - values[*option][*value] };
                problem = problem.with(constraint!(*guard <= literal.clone()));
                missing += 1.0 - literal;
            }
            problem = problem.with(constraint!(*guard >= 1.0 - missing));
        }
        let solution = problem.solve().ok()?;
        Some(solution.eval(&total).round() as i64)
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_most_the_least_and_every_total_are_those_of_brute_force_and_of_the_integer_program(sum in sums()) {
        let b = sum.build();
        let mut space = Space::new(&b.p);
        let counts = sum.weighted(&space);
        let expected = sum.totals();
        match space.most(&counts, Formula::ALWAYS) {
            Extreme::Exact { value, model } => {
                prop_assert_eq!(Some(&value), expected.last());
                prop_assert_eq!(space.sum_in(&counts, &model), value);
                prop_assert_eq!(Some(value), sum.by_integer_program());
            }
            Extreme::Impossible => prop_assert!(expected.is_empty()),
            other => prop_assert!(false, "{:?}", other),
        }
        match space.least(&counts, Formula::ALWAYS) {
            Extreme::Exact { value, .. } => prop_assert_eq!(Some(&value), expected.first()),
            Extreme::Impossible => prop_assert!(expected.is_empty()),
            other => prop_assert!(false, "{:?}", other),
        }
        for within in [Formula::ALWAYS, counts[0].when, !counts[0].when] {
            let bound = space.bound(&counts, within);
            match space.most(&counts, within) {
                Extreme::Exact { value, .. } => prop_assert!(bound.is_some_and(|bound| value <= bound)),
                Extreme::Impossible => {}
                other => prop_assert!(false, "{:?}", other),
            }
        }
        let totals = space.totals(&counts, Formula::ALWAYS);
        prop_assert!(totals.complete);
        for (total, model) in &totals.found {
            prop_assert_eq!(space.sum_in(&counts, model), *total);
        }
        for least in -10..=10 {
            let reached = space.at_least(&counts, least).expect("few counts");
            for (total, model) in &totals.found {
                prop_assert_eq!(space.truths(model).holds(reached), *total >= least, "{} of {}", least, total);
            }
            match space.least(&counts, reached) {
                Extreme::Exact { value, .. } => prop_assert!(value >= least),
                Extreme::Impossible => prop_assert!(expected.last().is_none_or(|most| *most < least)),
                other => prop_assert!(false, "{:?}", other),
            }
            match space.most(&counts, !reached) {
                Extreme::Exact { value, .. } => prop_assert!(value < least),
                Extreme::Impossible => prop_assert!(expected.first().is_none_or(|fewest| *fewest >= least)),
                other => prop_assert!(false, "{:?}", other),
            }
        }
        let found: std::collections::BTreeSet<i64> = totals.found.iter().map(|(total, _)| *total).collect();
        prop_assert_eq!(found, expected);
    }
}

/// Eight bolts are supplied; ten are taken only where both options ask for more.
#[test]
fn a_bolt_short_in_one_configuration_of_many_is_found_with_its_case() {
    let mut b = Build::new();
    let bolt = b.part("bolt");
    let options: Vec<ChoiceId> = (0..10).map(|n| b.option(&format!("o{n}"), &["no", "yes"])).collect();
    b.kit(None, &[(11, bolt)]);
    let mut nodes = Vec::new();
    for option in &options {
        let cond = b.is(*option, 1);
        let take = b.take(1, bolt);
        nodes.push(b.step_when(cond, vec![take]));
    }
    let all: Vec<Cond> = options.iter().map(|option| b.is(*option, 1)).collect();
    let all = b.all(all);
    let more = b.take(2, bolt);
    nodes.push(b.step_when(all, vec![more]));
    b.section(None, nodes);
    let mut space = Space::new(&b.p);
    let mut counts = Vec::new();
    for event in space.events().iter() {
        match event.effect {
            Effect::Take { count, .. } => counts.push(Weighted { when: event.guard, count: i64::from(count) }),
            Effect::Supplied { count, .. } => counts.push(Weighted { when: event.guard, count: -i64::from(count) }),
            _ => {}
        }
    }
    let Extreme::Exact { value, model } = space.most(&counts, Formula::ALWAYS) else { panic!("decided") };
    assert_eq!(value, 1);
    let short = space.at_least_as_in(&counts, &model);
    let shown = space.at_least(&counts, value).expect("few counts");
    let last = space.events().last().expect("events").id;
    let fitwright::space::CaseAnswer::Case(case) = space.case_from(short, last, shown, &model) else {
        panic!("a case")
    };
    assert!(case.proved);
    assert_eq!(case.inputs.len(), 10, "every option matters");
}
