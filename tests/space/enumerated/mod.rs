//! Generated procedures, small enough to run every way: what is possible, what happens together and in which order
//! must be what brute force says.

mod plan;
mod run;

use std::collections::{BTreeMap, BTreeSet};

use fitwright::space::{Answer, CaseAnswer, Effect, Event, Formula, Input, Space, Taken};
use proptest::prelude::*;

use plan::{Plan, plans};
use run::{End, Ran, Run, Said, Tape, every_run};

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
    let happening: BTreeSet<Said> = runs.iter().flat_map(|run| &run.said).copied().collect();
    for (said, answer) in words.iter().zip(space.ask_each(&formulas)) {
        prop_assert_eq!(is_possible(&answer)?, happening.contains(said), "{:?}", said);
    }

    // What is possible together.
    for (n, one) in words.iter().enumerate() {
        let m = (n * 7 + 3) % words.len();
        for (negated, other) in [(false, words[m]), (true, words[m])] {
            let second = if negated { !formulas[m] } else { formulas[m] };
            let both = space.both(formulas[n], second);
            let expected = runs.iter().any(|run| run.said.contains(one) && run.said.contains(&other) != negated);
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
    prop_assert_eq!(is_possible(&answer)?, runs.iter().any(|run| run.unmet));
    let any_unknown = space.any(unknown.iter().map(|(_, fault)| *fault));
    let answer = space.ask(any_unknown);
    prop_assert_eq!(is_possible(&answer)?, runs.iter().any(|run| run.unknown));

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
        // Whoever takes in what the case tells meets the fault, whatever else is so.
        let told = |run: &&Ran| case.inputs.iter().all(|i| run.took.get(&(i.input, i.occasion)) == Some(&i.taken));
        let mut told = runs.iter().filter(told).peekable();
        prop_assert!(told.peek().is_some());
        prop_assert!(told.all(|run| run.unmet), "{:?}", case.inputs);
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
    #![proptest_config(ProptestConfig { max_shrink_iters: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_answer_is_that_of_brute_force(plan in plans()) {
        compare(&plan)?;
    }
}
