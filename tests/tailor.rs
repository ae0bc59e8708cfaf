//! Tailoring against brute force.
//!
//! A tailored procedure must be the full one for its fittings, no more and no less: every job of the full procedure with
//! those options and givens passes the same steps in the tailored one, decides the same results, brings about the same
//! states, is supplied with and takes the same parts and ends the same way; every job of the tailored one is a job of the
//! full one; what is refused has no job that gets to its handover. Both are walked by the project's own independent
//! interpreter in `oracle`, which knows nothing of tailoring and shares only the model with it.
//!
//! `FITWRIGHT_CASES=5000 cargo test --release --test all tailor::` is the full run; without it 60 procedures are tried.
//! `FITWRIGHT_SEED=7` tries others.

mod demos;

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};

use crate::oracle;
use fitwright::diagnostics::{Code, Severity};
use fitwright::model::{ChoiceId, ChosenValue, NumberId, Procedure};
use fitwright::plan::Plan;
use fitwright::quantity::Exact;
use fitwright::source::Sources;
use fitwright::tailor::{Refusal, Wish, tailor};
use fitwright::world::Memory;
use oracle::enumerate::every_walk;
use oracle::generate::{Written, procedures};
use oracle::interpreter::{World, walk};
use oracle::knowledge::{Known, base};
use oracle::trace::{Answer, Ending, Walk};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// Walks beyond which a procedure is not tried.
const MOST_WALKS: usize = 1_500;
/// Fittings that are tried of one procedure.
const MOST_FITTINGS: usize = 8;
/// Walks that are replayed of each fitting.
const MOST_REPLAYS: usize = 200;

/// A value by its name, or a number in base units.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Told {
    Value(String),
    Number(Exact),
}

/// Answers by the name of the input and the occasion, from 1.
type Answers = BTreeMap<(String, u32), Told>;

/// What a job looks like from outside, by names.
#[derive(Debug, PartialEq, Eq)]
struct Seen {
    steps: Vec<String>,
    ending: String,
    sets: Vec<(String, String)>,
    states: Vec<(String, String)>,
    /// Parts that were taken, with how many were supplied and taken.
    parts: BTreeMap<String, (u32, u32)>,
}

fn answers_of(procedure: &Procedure, walk: &Walk) -> Answers {
    let told = |answer: &Answer| match *answer {
        Answer::Choice { choice, occasion, value } => {
            let row = &procedure.choices[choice];
            Some(((row.name.id.clone(), occasion), Told::Value(row.values[value].id.clone())))
        }
        Answer::Number { number, occasion, base } => {
            Some(((procedure.numbers[number].name.id.clone(), occasion), Told::Number(base)))
        }
        Answer::Guess { .. } => None,
    };
    walk.answers.iter().filter_map(told).collect()
}

fn seen(procedure: &Procedure, walk: &Walk) -> Seen {
    let ending = match &walk.ending {
        Ending::Handover(_) => "handover".to_owned(),
        Ending::Stop { text, .. } => format!("stop: {text}"),
        Ending::TurnedAway { text, .. } => format!("turned away: {text}"),
        Ending::RanOut => "ran out".to_owned(),
        Ending::Refused { rule } => format!("refused by rule {rule}"),
    };
    let counts = procedure.parts.rows().iter().zip(&walk.parts).filter(|(_, count)| count.taken > 0);
    Seen {
        steps: walk.steps.iter().map(|step| procedure.steps[*step].name.id.clone()).collect(),
        ending,
        sets: walk
            .sets
            .iter()
            .map(|(choice, value)| {
                let row = &procedure.choices[*choice];
                (row.name.id.clone(), row.values[*value].id.clone())
            })
            .collect(),
        states: walk
            .states
            .iter()
            .map(|change| {
                let row = &procedure.states[change.state];
                (row.name.id.clone(), row.values[change.value].id.clone())
            })
            .collect(),
        parts: counts.map(|(row, count)| (row.name.id.clone(), (count.supplied, count.taken))).collect(),
    }
}

/// A world that answers as it was told, and otherwise as another job was.
struct Replay<'a> {
    told: &'a Answers,
    otherwise: &'a Answers,
    /// Values that the procedure does not have.
    gone: Vec<String>,
}

impl Replay<'_> {
    fn answer(&self, name: &str, occasion: u32) -> Option<&Told> {
        let key = (name.to_owned(), occasion);
        self.told.get(&key).or_else(|| self.otherwise.get(&key))
    }
}

impl World for Replay<'_> {
    fn choice(&mut self, procedure: &Procedure, _: &Known, choice: ChoiceId, occasion: u32) -> usize {
        let row = &procedure.choices[choice];
        let Some(Told::Value(value)) = self.answer(&row.name.id, occasion) else { return 0 };
        let at = row.values.iter().position(|own| own.id == *value);
        if at.is_none() {
            self.gone.push(format!("{}={value}", row.name.id));
        }
        at.unwrap_or(0)
    }

    fn number(&mut self, procedure: &Procedure, _: &Known, number: NumberId, occasion: u32) -> Exact {
        let row = &procedure.numbers[number];
        match self.answer(&row.name.id, occasion) {
            Some(Told::Number(base)) => *base,
            _ => base(&row.low),
        }
    }

    fn guess(&mut self, _: usize) -> usize {
        0
    }
}

fn replay(procedure: &Procedure, told: &Answers, otherwise: &Answers) -> Result<(Walk, Seen), String> {
    let mut world = Replay { told, otherwise, gone: Vec::new() };
    let walked = walk(procedure, &mut world);
    if !world.gone.is_empty() {
        return Err(format!("values are gone that a job needs: {}", world.gone.join(", ")));
    }
    let seen = seen(procedure, &walked);
    Ok((walked, seen))
}

/// What was asked for before the job, as wishes.
fn before_the_job(procedure: &Procedure, answers: &Answers) -> Vec<Wish> {
    use fitwright::model::{ChoiceKind, NumberKind};
    let options = procedure.choices.rows().iter().filter(|row| row.kind == ChoiceKind::Option).map(|row| &row.name.id);
    let givens = procedure.numbers.rows().iter().filter(|row| row.kind == NumberKind::Given);
    let options = options.filter_map(|name| match answers.get(&(name.clone(), 1))? {
        Told::Value(value) => Some(Wish { name: name.clone(), value: value.clone() }),
        Told::Number(_) => None,
    });
    let givens = givens.filter_map(|row| match answers.get(&(row.name.id.clone(), 1))? {
        // Only numbers that a person could write.
        Told::Number(base) => {
            let unit = row.low.unit;
            let amount = fitwright::quantity::Quantity::from_base(*base, unit, row.low.written)?;
            let value = format!("{} {}", amount.decimal(), unit.spelling());
            (!value.contains('/') && !value.starts_with('-')).then(|| Wish { name: row.name.id.clone(), value })
        }
        Told::Value(_) => None,
    });
    options.chain(givens).collect()
}

/// Whether a job has what the wishes ask for.
fn agrees(procedure: &Procedure, answers: &Answers, wishes: &[Wish]) -> bool {
    let own = before_the_job(procedure, answers);
    wishes.iter().all(|wish| own.contains(wish))
}

/// Fittings to try: everything settled, and each thing alone.
fn fittings(procedure: &Procedure, walks: &[(Answers, Seen)]) -> Vec<Vec<Wish>> {
    let mut all: Vec<Vec<Wish>> = Vec::new();
    for (answers, _) in walks {
        let wishes = before_the_job(procedure, answers);
        for one in wishes.iter().map(|wish| vec![wish.clone()]).chain([wishes.clone()]) {
            if !one.is_empty() && !all.contains(&one) {
                all.push(one);
            }
        }
    }
    // Spread over what there is, so that late values have their turn.
    let stride = all.len().div_ceil(MOST_FITTINGS).max(1);
    all.into_iter().step_by(stride).collect()
}

/// Every allowed job beyond doubt; `None` where there are too many, or one in doubt.
fn jobs(procedure: &Procedure, most: usize) -> Option<Vec<(Answers, Seen)>> {
    let mut found = Vec::new();
    let mut doubtful = false;
    every_walk(procedure, most, &mut |walk, _| {
        doubtful |= walk.doubtful;
        if walk.allowed() {
            found.push((answers_of(procedure, walk), seen(procedure, walk)));
        }
    })
    .ok()?;
    (!doubtful).then_some(found)
}

fn spread<T>(all: &[T], most: usize) -> impl Iterator<Item = &T> {
    all.iter().step_by(all.len().div_ceil(most).max(1))
}

/// Compares a procedure with itself as it is tailored to some wishes.
fn same_jobs(full: &Procedure, walks: &[(Answers, Seen)], wishes: &[Wish]) -> Result<bool, String> {
    let concerned: Vec<&(Answers, Seen)> = walks.iter().filter(|(answers, _)| agrees(full, answers, wishes)).collect();
    let tailored = match tailor(full, wishes) {
        Ok(tailored) => tailored,
        Err(Refusal::Contradiction { .. }) if concerned.is_empty() => return Ok(false),
        Err(Refusal::Limit { .. } | Refusal::NoWayOut { .. }) => {
            let handed_over = concerned.iter().find(|(_, seen)| seen.ending == "handover");
            return handed_over.map_or(Ok(false), |job| Err(format!("refused, and yet there is a job: {job:?}")));
        }
        Err(other) => return Err(format!("{other:?}, and yet there are {} jobs", concerned.len())),
    };
    let nothing = Answers::new();
    for (answers, wanted) in spread(&concerned, MOST_REPLAYS).copied() {
        let (_, got) = replay(&tailored, answers, &nothing)?;
        if got != *wanted {
            return Err(format!("the job {answers:?}\n  full     {wanted:?}\n  tailored {got:?}"));
        }
    }
    let settled: Answers = chosen(&tailored);
    if let Some(own) = jobs(&tailored, MOST_WALKS) {
        nothing_idle(&tailored, &own)?;
        for (answers, wanted) in spread(&own, MOST_REPLAYS) {
            let mut told = settled.clone();
            told.extend(answers.clone());
            // What the tailored procedure does not ask for is as in any job that the rules allow.
            let shows = |(otherwise, _): &&(Answers, Seen)| {
                replay(full, &told, otherwise).is_ok_and(|(walk, got)| walk.allowed() && got == *wanted)
            };
            if !concerned.iter().any(shows) {
                return Err(format!(
                    "the tailored procedure has a job that the full one lacks: {answers:?} {wanted:?}"
                ));
            }
        }
    }
    names_and_numbers_stay(full, &tailored)?;
    Ok(true)
}

fn chosen(tailored: &Procedure) -> Answers {
    let chosen = tailored.tailored.as_ref().expect("it says whom it is for").chosen.iter();
    chosen
        .map(|one| {
            let told = match &one.value {
                ChosenValue::Value(value) => Told::Value(value.id.clone()),
                ChosenValue::Amount(amount) => Told::Number(base(amount)),
            };
            ((one.name.id.clone(), 1), told)
        })
        .collect()
}

/// Steps that no job passes are gone. Its own jobs tell, each of which is shown to be a job of the full one: of the full
/// one, brute force tries a given only at values that matter there.
fn nothing_idle(tailored: &Procedure, own: &[(Answers, Seen)]) -> Result<(), String> {
    let passed: BTreeSet<&String> = own.iter().flat_map(|(_, seen)| &seen.steps).collect();
    let idle = tailored.steps.rows().iter().find(|step| !passed.contains(&step.name.id));
    idle.map_or(Ok(()), |step| Err(format!("no job passes the step {}, and it is there", step.name.id)))
}

/// Steps have the numbers that they have in the full procedure, and nothing asks for what is settled.
fn names_and_numbers_stay(full: &Procedure, tailored: &Procedure) -> Result<(), String> {
    for step in tailored.steps.rows() {
        let same = full.steps.rows().iter().any(|own| own.name.id == step.name.id && own.number == step.number);
        if !same {
            return Err(format!("the step {} has another number than in the full procedure", step.name.id));
        }
    }
    let settled = chosen(tailored);
    for choice in tailored.choices.rows().iter().map(|row| &row.name.id) {
        if settled.contains_key(&(choice.clone(), 1)) {
            return Err(format!("{choice} is settled, and something still asks for it"));
        }
    }
    Ok(())
}

fn number_from(variable: &str, otherwise: u64) -> u64 {
    std::env::var(variable).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

fn runner() -> TestRunner {
    let cases = u32::try_from(number_from("FITWRIGHT_CASES", 60)).unwrap_or(u32::MAX);
    let mut bytes = [0; 32];
    bytes[..8].copy_from_slice(&number_from("FITWRIGHT_SEED", 1).to_le_bytes());
    let config = Config { cases, failure_persistence: None, ..Config::default() };
    TestRunner::new_with_rng(config, TestRng::from_seed(RngAlgorithm::ChaCha, &bytes))
}

fn resolved(text: &str) -> Option<Procedure> {
    let world = Memory::default().with("trial.fitw", text.as_bytes());
    fitwright::resolve::resolve("trial.fitw", &world, &mut Sources::default()).procedure
}

/// The heart of the matter.
#[test]
fn a_tailored_procedure_has_the_jobs_of_the_full_one() {
    let (tried, tailored, clean) = (Cell::new(0), Cell::new(0), Cell::new(0));
    let add = |to: &Cell<usize>| to.set(to.get() + 1);
    let result = runner().run(&procedures(), |Written { text }| {
        let Some(full) = resolved(&text) else { return Err(TestCaseError::fail("does not resolve")) };
        let Some(walks) = jobs(&full, MOST_WALKS) else { return Ok(()) };
        let errors = |procedure: &Procedure| {
            let found = fitwright::checks::check(&Plan::new(procedure.clone())).findings.into_iter();
            // A limit may well turn away all that is left with one value of an option; that is what it is there for.
            let found = found.filter(|f| f.code != Code::FW1001);
            found.filter(|f| f.severity() == Severity::Error).map(|f| f.message).collect::<Vec<_>>()
        };
        let is_clean = errors(&full).is_empty();
        add(&tried);
        for wishes in fittings(&full, &walks) {
            let shown: Vec<String> = wishes.iter().map(Wish::shown).collect();
            match same_jobs(&full, &walks, &wishes) {
                Ok(false) => continue,
                Ok(true) => add(&tailored),
                Err(fault) => prop_assert!(false, "{}: {fault}", shown.join(", ")),
            }
            if is_clean && let Ok(tailored) = tailor(&full, &wishes) {
                let found = errors(&tailored);
                prop_assert!(found.is_empty(), "{}: {}", shown.join(", "), found.join("\n"));
                add(&clean);
            }
        }
        Ok(())
    });
    println!("{} procedures, {} fittings, {} of clean procedures", tried.get(), tailored.get(), clean.get());
    if let Err(failure) = result {
        panic!("{failure}");
    }
    assert!(tailored.get() > 0, "nothing was tailored");
}

/// A joint that the fitting does not have does not come into being, although a line names it.
#[test]
fn a_joint_that_is_not_there_stays_away() {
    let text = "procedure trial \"Trial\"\ngiven width \"Width\" { range 20 mm to 22 mm }\n\
        tool wrench \"Wrench\" { torque 5 N.m to 25 N.m }\npart b \"Bolt\"\n\
        joint j \"Joint\" when width is at most 20 mm {\n each b\n count 1\n tight \"head flat\"\n on vehicle\n}\n\
        section work \"Work\" {\n step one \"One\" {\n  remove j with wrench\n  refit j\n  tighten j with wrench\n }\n\
        handover { sign installer }\n}\n";
    let full = resolved(text).expect("a procedure");
    let wish = |value: &str| [Wish { name: "width".into(), value: value.into() }];
    let when = |value: &str| tailor(&full, &wish(value)).expect("an allowed fitting").joints.rows()[0].when.clone();
    assert_eq!(when("20 mm"), None);
    let never = when("21 mm").expect("a condition");
    assert_eq!(never.kind, fitwright::model::CondKind::Any(Vec::new()), "no condition is as good as none of several");
}
