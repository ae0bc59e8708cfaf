//! Procedures small enough to decide by hand.

use fitwright::model::*;
use fitwright::quantity::Exact;
use fitwright::space::{
    Answer, Because, Case, CaseAnswer, Effect, Event, EventId, Explanation, Formula, Input, Space, StopCause, Taken,
};

use super::build::{Build, base};

fn find(space: &Space<'_>, wanted: impl Fn(&Effect<'_>) -> bool) -> Vec<(EventId, Formula)> {
    space.events().iter().filter(|event| wanted(&event.effect)).map(|event| (event.id, event.guard)).collect()
}

fn possible(space: &mut Space<'_>, formula: Formula) -> bool {
    match space.ask(formula) {
        Answer::Possible(model) => {
            assert!(space.truths(&model).holds(formula), "the run must show what was asked");
            true
        }
        Answer::Impossible => false,
        Answer::Undecided => panic!("so small a question must be decided"),
    }
}

fn case(space: &mut Space<'_>, fault: Formula, at: EventId) -> Case {
    match space.case(fault, at) {
        CaseAnswer::Case(case) => *case,
        other => panic!("{other:?}"),
    }
}

/// The needs, as (event, fault): it happens and the state does not hold.
fn needs(space: &mut Space<'_>) -> Vec<(EventId, Formula)> {
    let events = space.events();
    let fault = |event: &Event<'_>| match event.effect {
        Effect::Need { holds, .. } => Some((event.id, space.both(event.guard, !holds))),
        _ => None,
    };
    events.iter().filter_map(fault).collect()
}

#[test]
fn a_state_made_behind_an_option_is_missed_only_there_and_the_case_is_one_input() {
    let mut b = Build::new();
    let other = b.option("other", &["x", "y", "z"]);
    let arm = b.option("arm", &["strut", "powered"]);
    let lead = b.state("lead", &["on", "off"], 0);
    let (powered, other_y) = (b.is(arm, 1), b.is(other, 1));
    let make = b.step(vec![LineKind::Make { state: lead, value: 1 }]);
    let maybe = b.when(powered, vec![make], vec![]);
    let idle = b.step(vec![]);
    let unrelated = b.when(other_y, vec![idle], vec![]);
    let need = b.need(lead, 1);
    let work = b.step(vec![need]);
    let end = b.handover();
    b.section(None, vec![maybe, unrelated, work, end]);

    let mut space = Space::new(&b.p);
    let [(at, fault)] = needs(&mut space)[..] else { panic!("one need") };
    assert!(possible(&mut space, fault));
    let case = case(&mut space, fault, at);
    assert!(case.proved);
    assert_eq!(case.inputs.len(), 1);
    assert_eq!(case.inputs[0].input, Input::Choice(arm));
    assert_eq!(case.inputs[0].taken, Taken::Value(0));
    let numbers: Vec<&str> = case.steps.iter().map(|s| b.p.steps[s.step].number.as_str()).collect();
    assert_eq!(numbers, ["3"], "the plain case passes only the step with the fault");
}

#[test]
fn a_need_under_the_same_condition_as_its_state_is_met_without_any_search() {
    let mut b = Build::new();
    let arm = b.option("arm", &["strut", "powered"]);
    let lead = b.state("lead", &["on", "off"], 0);
    let (one, two) = (b.is(arm, 1), b.is(arm, 1));
    let make = b.step_when(one, vec![LineKind::Make { state: lead, value: 1 }]);
    let need = b.need(lead, 1);
    let work = b.step_when(two, vec![need]);
    b.section(None, vec![make, work]);
    let mut space = Space::new(&b.p);
    let [(_, fault)] = needs(&mut space)[..] else { panic!("one need") };
    assert_eq!(fault, Formula::NEVER);
}

#[test]
fn what_contradicts_an_unreachable_step_is_named_and_nothing_else() {
    let mut b = Build::new();
    let arm = b.option("arm", &["strut", "powered"]);
    let side = b.option("side", &["kerb", "road"]);
    let colour = b.option("colour", &["red", "blue"]);
    let (kerb, powered) = (b.is(side, 0), b.is(arm, 1));
    b.rule(kerb, Some(powered));
    let (red, blue) = (b.is(colour, 0), b.is(side, 0));
    b.rule(red, Some(blue));
    let (section_when, road) = (b.is(arm, 1), b.is(side, 1));
    let spans = (section_when.span, road.span);
    let step = b.step(vec![]);
    let inner = b.when(road, vec![step], vec![]);
    b.section(Some(section_when), vec![inner]);
    let mut space = Space::new(&b.p);
    let [(at, guard)] = find(&space, |e| matches!(e, Effect::Step(_)))[..] else { panic!("one step") };
    assert!(!possible(&mut space, guard));
    let expected = vec![Because::Holds(spans.0), Because::Holds(spans.1), Because::Rule(0)];
    assert_eq!(space.explain(at, Formula::ALWAYS), Explanation::Contradiction(expected));
    let [(section, _)] = find(&space, |e| matches!(e, Effect::Section(_)))[..] else { panic!("one section") };
    assert_eq!(space.explain(section, Formula::ALWAYS), Explanation::Possible);
}

#[test]
fn a_stop_cuts_off_what_follows_and_explains_it() {
    let mut b = Build::new();
    let arm = b.option("arm", &["strut", "powered"]);
    let (first, second) = (b.is(arm, 1), b.is(arm, 1));
    let stop = b.stop();
    let Node::Stop(Stop { span, .. }) = stop else { unreachable!() };
    let maybe = b.when(first, vec![stop], vec![]);
    let step = b.step_when(second, vec![]);
    let end = b.handover();
    b.section(None, vec![maybe, step, end]);
    let mut space = Space::new(&b.p);
    let [(at, guard)] = find(&space, |e| matches!(e, Effect::Step(_)))[..] else { panic!("one step") };
    assert!(!possible(&mut space, guard));
    let Explanation::Contradiction(found) = space.explain(at, Formula::ALWAYS) else { panic!("it contradicts") };
    assert!(found.contains(&Because::NotEnded(span)), "{found:?}");
    let [(_, end)] = find(&space, |e| matches!(e, Effect::Handover(_)))[..] else { panic!("one handover") };
    assert!(possible(&mut space, end));
    let [(_, out)] = find(&space, |e| matches!(e, Effect::RunsOut))[..] else { panic!("one end") };
    assert!(!possible(&mut space, out));
}

/// "A lamp that was dark can be lit": every reading inside a repair is a new one.
#[test]
fn a_repair_reads_anew_and_a_joint_that_only_it_loosens_shows_with_two_readings() {
    let mut b = Build::new();
    let lamp = b.observe("lamp", &["yes", "no"]);
    let tight = b.state("tight", &["yes", "no"], 0);
    let expect = b.is(lamp, 0);
    let shift = b.step(vec![LineKind::Make { state: tight, value: 1 }]);
    let read = LineKind::Read(vec![Reading::Choice(lamp)]);
    let stop = b.stop_row();
    let check = b.check(vec![read], vec![expect], Some((2, vec![shift])), CheckElse::Stop(stop));
    let need = b.need(tight, 0);
    let last = b.step(vec![need]);
    let end = b.handover();
    b.section(None, vec![check, last, end]);
    let mut space = Space::new(&b.p);
    let [(at, fault)] = needs(&mut space)[..] else { panic!("one need") };
    let case = case(&mut space, fault, at);
    assert!(case.proved);
    // It is enough that the first reading fails; whatever leads on from there to the last step has lit the lamp.
    let readings: Vec<(u32, Taken)> = case.inputs.iter().map(|i| (i.occasion, i.taken)).collect();
    assert_eq!(readings.first(), Some(&(1, Taken::Value(1))), "{readings:?}");
    let numbers: Vec<&str> = case.steps.iter().map(|s| b.p.steps[s.step].number.as_str()).collect();
    assert_eq!(numbers, ["2", "1", "2", "3"]);
    let run = space.run(&case.model);
    assert_eq!(run.inputs.len(), 2, "the lamp is dark, then lit");
    let stops = find(&space, |e| matches!(e, Effect::Stop(StopCause::Check(..))));
    assert_eq!(stops.len(), 1);
    assert!(possible(&mut space, stops[0].1));
}

#[test]
fn a_reading_is_used_before_it_is_taken_only_where_the_option_leads_past_it() {
    let mut b = Build::new();
    let arm = b.option("arm", &["strut", "powered"]);
    let lamp = b.observe("lamp", &["yes", "no"]);
    let (powered, again, lit, lit_again) = (b.is(arm, 1), b.is(arm, 1), b.is(lamp, 0), b.is(lamp, 0));
    let read = b.step_when(powered, vec![LineKind::Read(vec![Reading::Choice(lamp)])]);
    let guarded = b.all(vec![again, lit]);
    let fine = b.step_when(guarded, vec![]);
    let faulty = b.step_when(lit_again, vec![]);
    b.section(None, vec![read, fine, faulty]);
    let mut space = Space::new(&b.p);
    let uses: Vec<Formula> = space
        .events()
        .iter()
        .filter_map(|event| match &event.effect {
            Effect::Judged { uses, .. } => Some(uses.iter().map(|u| (event.guard, u.unknown)).collect::<Vec<_>>()),
            _ => None,
        })
        .flatten()
        .map(|(guard, unknown)| if guard == Formula::ALWAYS { unknown } else { panic!("all are in the main line") })
        .collect();
    let found: Vec<bool> = uses.into_iter().map(|unknown| possible(&mut space, unknown)).collect();
    assert_eq!(found, [false, false, false, true]);
}

/// 45 mm and 46 mm are neighbours on a millimetre rule; 51 mm to 60 mm fall through.
#[test]
fn a_branch_misses_exactly_the_readings_that_no_arm_covers() {
    let mut b = Build::new();
    let height = b.measure("height", 20, 95);
    let read = b.step(vec![LineKind::Read(vec![Reading::Number(height)])]);
    let arms = [(20, 45), (46, 50), (61, 95)].map(|(low, high)| (b.arm_in(height, low, high), vec![]));
    let choose = b.choose(ChooseSubject::Number(height), arms.into());
    b.section(None, vec![read, choose]);
    let mut space = Space::new(&b.p);
    let event = space.events().iter().find(|e| matches!(e.effect, Effect::Chosen { .. })).expect("one").clone();
    let Effect::Chosen { arms, .. } = &event.effect else { unreachable!() };
    let covered = space.any(arms.iter().copied());
    let missed = space.both(event.guard, !covered);
    let mut found = Vec::new();
    for (cell, inside) in space.cells(event.id, height) {
        let here = space.both(missed, inside);
        if possible(&mut space, here) {
            found.push((cell.low, cell.high, cell.low_included, cell.high_included));
        }
    }
    assert_eq!(found, [(base(51, "mm"), base(60, "mm"), true, true)]);
    let case = case(&mut space, missed, event.id);
    assert_eq!(case.inputs[0].taken, Taken::Number(base(60, "mm")), "a round reading of the gap");
}

#[test]
fn a_limit_over_givens_is_decided_exactly_and_turns_the_vehicle_away_before_the_job() {
    let mut b = Build::new();
    let (roof, ladder) = (b.given("roof", 50, 300), b.given("ladder", 10, 60));
    // 38 kg + ladder <= roof
    let holds = b.comparison(&[(1, ladder), (-1, roof)], base(38, "kg"), CompareOp::AtMost);
    let limit = b.limit(holds, None, true);
    // 38 kg + ladder <= 98 kg in every configuration: 60 kg is the heaviest ladder.
    let always = b.comparison(&[(1, ladder)], base(38, "kg") - base(98, "kg"), CompareOp::AtMost);
    b.limit(always, None, true);
    let end = b.handover();
    b.section(None, vec![end]);
    let mut space = Space::new(&b.p);
    let limits: Vec<(EventId, Formula, Formula)> = space
        .events()
        .iter()
        .filter_map(|event| match event.effect {
            Effect::Limit { holds, .. } => Some((event.id, event.guard, holds)),
            _ => None,
        })
        .collect();
    let broken: Vec<Formula> = limits.iter().map(|(_, guard, holds)| space.both(*guard, !*holds)).collect();
    assert!(possible(&mut space, broken[0]));
    assert!(!possible(&mut space, broken[1]));
    let case = case(&mut space, broken[0], limits[0].0);
    let number = |id: NumberId| {
        let found = case.inputs.iter().find(|i| i.input == Input::Number(id)).expect("both givens matter");
        let Taken::Number(value) = found.taken else { panic!("a number") };
        value
    };
    assert!(base(38, "kg") + number(ladder) > number(roof));
    assert!(matches!(
        space.events().iter().find(|e| matches!(e.effect, Effect::Stop(_))).map(|e| &e.effect),
        Some(Effect::Stop(StopCause::Limit(id))) if *id == limit
    ));
    let [(_, end)] = find(&space, |e| matches!(e, Effect::Handover(_)))[..] else { panic!("one handover") };
    assert!(possible(&mut space, end));
}

/// Three sums that cannot hold together although each two can: only arithmetic over all of them shows it.
#[test]
fn comparisons_that_contradict_each_other_are_found_out() {
    let mut b = Build::new();
    let (x, y, z) = (b.given("x", 0, 10), b.given("y", 0, 10), b.given("z", 0, 10));
    let zero = Exact::from_integer(0);
    let parts = [[x, y], [y, z], [z, x]].map(|[low, high]| {
        let comparison = b.comparison(&[(1, low), (-1, high)], zero, CompareOp::Below);
        b.compares(comparison)
    });
    let [first, second, third] = parts;
    let round = b.all(vec![first.clone(), second.clone(), third]);
    let chain = b.all(vec![first, second]);
    let (a, c) = (b.step_when(round, vec![]), b.step_when(chain, vec![]));
    b.section(None, vec![a, c]);
    let mut space = Space::new(&b.p);
    let steps = find(&space, |e| matches!(e, Effect::Step(_)));
    assert!(!possible(&mut space, steps[0].1), "x < y < z < x");
    assert!(possible(&mut space, steps[1].1));
}

#[test]
fn what_is_beyond_the_effort_is_said_to_be_undecided() {
    let mut b = Build::new();
    let (x, y) = (b.given("x", 1, 3), b.given("y", 1, 3));
    let span = b.span();
    // x * x + y * y = 700 / 97 is not linear, lies within the range, and no sample of eighths meets it.
    let square = |n: NumberId| {
        Expr::Binary(ArithmeticOp::Multiply, Box::new(Expr::Number(n, span)), Box::new(Expr::Number(n, span)))
    };
    let left = Expr::Binary(ArithmeticOp::Add, Box::new(square(x)), Box::new(square(y)));
    let right = Expr::Amount(Exact::new(700, 97), None, span);
    let cond = b.compares(Comparison { left, op: CompareOp::Equal, right, span });
    let step = b.step_when(cond, vec![]);
    b.section(None, vec![step]);
    let mut space = Space::new(&b.p);
    let [(at, guard)] = find(&space, |e| matches!(e, Effect::Step(_)))[..] else { panic!("one step") };
    assert!(matches!(space.ask(guard), Answer::Undecided));
    assert!(matches!(space.ask_each(&[guard])[..], [Answer::Undecided]));
    assert!(matches!(space.case(guard, at), CaseAnswer::Undecided));
}

#[test]
fn an_input_that_decides_nothing_is_not_among_those_that_do() {
    let mut b = Build::new();
    let (used, idle) = (b.option("used", &["a", "b"]), b.option("idle", &["a", "b"]));
    let (yes, no) = (b.is(idle, 0), b.is(idle, 0));
    let no = b.not(no);
    let either = b.any(vec![yes, no]);
    let cond = b.is(used, 1);
    let (first, second) = (b.step_when(either, vec![]), b.step_when(cond, vec![]));
    b.section(None, vec![first, second]);
    let space = Space::new(&b.p);
    assert_eq!(space.deciding().into_iter().collect::<Vec<_>>(), [Input::Choice(used)]);
}
