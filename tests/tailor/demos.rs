//! The demo procedures, tailored and printed: what the files say against what the interpreter walks through.

use std::collections::{BTreeMap, BTreeSet};

use fitwright::compile::{self, TailoredBuild};
use fitwright::model::{ChoiceId, ChoiceKind, NumberId, Procedure};
use fitwright::quantity::Exact;
use fitwright::tailor::Wish;
use fitwright::world::Memory;

use super::oracle::grid::readings;
use super::oracle::interpreter::{World, walk};
use super::oracle::knowledge::{Known, base};
use super::{Answers, answers_of, before_the_job, replay, seen};

const DEMOS: [(&str, &str); 4] = [
    ("heron-box.fitw", include_str!("../../procedures/heron-box.fitw")),
    ("kestrel-rack.fitw", include_str!("../../procedures/kestrel-rack.fitw")),
    ("wren-battery.fitw", include_str!("../../procedures/wren-battery.fitw")),
    ("finch-vise.fitw", include_str!("../../procedures/finch-vise.fitw")),
];
const RAIL: &[u8] = include_bytes!("../../procedures/figures/kestrel-rail.svg");
const BRACKET: &[u8] = include_bytes!("../../procedures/figures/kestrel-bracket.png");

/// Jobs that are walked for each fitting, and at most so many until one gets to its handover.
const WALKS: usize = 150;
const MOST_WALKS: usize = 20_000;

/// A world that throws dice, the same ones each time, except for what it was told.
struct Dice<'a> {
    told: &'a [Wish],
    state: u64,
}

impl Dice<'_> {
    /// Numerical Recipes' generator; any would do.
    fn roll(&mut self, ways: usize) -> usize {
        self.state = self.state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.state >> 33).unwrap_or(0) % ways.max(1)
    }
}

impl World for Dice<'_> {
    fn choice(&mut self, procedure: &Procedure, _: &Known, choice: ChoiceId, _: u32) -> usize {
        let row = &procedure.choices[choice];
        let told = self.told.iter().find(|wish| wish.name == row.name.id);
        let told = told.and_then(|wish| row.values.iter().position(|value| value.id == wish.value));
        // What is seen is mostly the first value, which is "yes" in the demos: else no job would get far.
        let seen = row.kind != ChoiceKind::Option;
        told.unwrap_or_else(|| if seen && self.roll(8) > 0 { 0 } else { self.roll(row.values.len()) })
    }

    fn number(&mut self, procedure: &Procedure, _: &Known, number: NumberId, _: u32) -> Exact {
        let values = readings(procedure, number);
        let row = &procedure.numbers[number];
        if row.reads.is_none() {
            // Any number: the ends and what lies between, mostly high where it is what something bears.
            let (low, high) = (base(&row.low), base(&row.high));
            let eighths = self.roll(9).min(self.roll(9));
            let bears = ["-rating", "-tongue", "-left"].iter().any(|end| row.name.id.ends_with(end));
            let eighths = if bears { 8 - eighths } else { eighths };
            return low + (high - low) * Exact::new(eighths as i128, 8);
        }
        values[self.roll(values.len())]
    }

    fn guess(&mut self, _: usize) -> usize {
        0
    }
}

fn wishes(all: &[(&str, &str)]) -> Vec<Wish> {
    all.iter().map(|(name, value)| Wish { name: (*name).into(), value: (*value).into() }).collect()
}

fn compiled(name: &str) -> compile::Compiled {
    let (_, text) = DEMOS.iter().find(|(own, _)| *own == name).expect("a demo");
    let figures = Memory::default().with("figures/kestrel-rail.svg", RAIL).with("figures/kestrel-bracket.png", BRACKET);
    compile::check(name, &figures.with(name, *text))
}

/// Every combination of the options' values that the rules allow, and each value alone.
fn every_fitting(full: &Procedure) -> Vec<Vec<Wish>> {
    let mut all = vec![Vec::new()];
    let mut alone = Vec::new();
    for choice in full.choices.rows().iter().filter(|row| row.kind == ChoiceKind::Option) {
        let one = |value: &fitwright::model::Value| Wish { name: choice.name.id.clone(), value: value.id.clone() };
        let values: Vec<Wish> = choice.values.iter().map(one).collect();
        let with = |so_far: &Vec<Wish>, value: &Wish| so_far.iter().chain([value]).cloned().collect();
        all =
            all.iter().flat_map(|so_far| values.iter().map(|value| with(so_far, value)).collect::<Vec<_>>()).collect();
        alone.extend(values.into_iter().map(|value| vec![value]));
    }
    all.into_iter().chain(alone).collect()
}

fn text<'a>(build: &'a TailoredBuild, name: &str) -> &'a str {
    let files = &build.outputs.as_ref().expect("outputs").files;
    let (_, bytes) = files.iter().find(|(own, _)| own == name).expect("the file");
    std::str::from_utf8(bytes).expect("UTF-8")
}

#[test]
fn the_files_of_a_fitting_are_what_its_jobs_pass_through() {
    let mut tried = 0;
    for (name, _) in DEMOS {
        let compiled = compiled(name);
        let full = compiled.clean().expect("a clean demo");
        for fitting in every_fitting(full) {
            let Ok(build) = compile::build_tailored(&compiled, &fitting).expect("a clean demo") else { continue };
            tried += 1;
            let where_it_is = format!("{name} {fitting:?}");
            let passed = walk_both(full, &build.procedure, &fitting, &where_it_is);
            let steps: BTreeSet<String> =
                build.procedure.steps.rows().iter().map(|step| step.name.id.clone()).collect();
            assert!(passed.is_subset(&steps), "{where_it_is}");
            let manual = text(&build, "manual.html");
            let printed: BTreeSet<String> = manual
                .split(" id=\"step-")
                .skip(1)
                .filter_map(|rest| Some(rest.split_once('"')?.0.to_owned()))
                .collect();
            assert_eq!(printed, steps, "{where_it_is}");
            no_word_of_what_is_gone(full, &build, &where_it_is);
        }
    }
    assert!(tried >= 9, "only {tried} fittings were allowed");
}

/// Walks jobs of the full procedure and the same ones of the tailored one; gives the steps passed. What the kit holds is
/// what the jobs are supplied with.
fn walk_both(full: &Procedure, tailored: &Procedure, fitting: &[Wish], where_it_is: &str) -> BTreeSet<String> {
    let mut passed = BTreeSet::new();
    let mut handed_over = false;
    let mut dice = Dice { told: fitting, state: 7 };
    for turn in 0..MOST_WALKS {
        if turn >= WALKS && handed_over {
            break;
        }
        let walked = walk(full, &mut dice);
        if !walked.allowed() {
            continue;
        }
        let answers = answers_of(full, &walked);
        let wanted = seen(full, &walked);
        let (_, got) = replay(tailored, &answers, &Answers::new()).expect("no value is gone");
        assert_eq!(got, wanted, "{where_it_is}");
        handed_over |= wanted.ending == "handover";
        passed.extend(wanted.steps);
        if before_the_job(full, &answers).len() == fitting.len() {
            counts(full, tailored, &walked, where_it_is);
        }
    }
    assert!(handed_over, "{where_it_is}: no job got to its handover");
    passed
}

/// The kit of one fitting has the counts of its jobs, without conditions; parts that it lacks are taken by none.
fn counts(full: &Procedure, tailored: &Procedure, walked: &super::Walk, where_it_is: &str) {
    let mut supplied: BTreeMap<&str, u32> = BTreeMap::new();
    for group in &tailored.kit {
        assert!(group.when.is_none(), "{where_it_is}");
        for entry in &group.entries {
            *supplied.entry(&tailored.parts[entry.what].name.id).or_default() += entry.count;
        }
    }
    for (row, count) in full.parts.rows().iter().zip(&walked.parts) {
        match supplied.get(row.name.id.as_str()) {
            Some(own) => assert_eq!(*own, count.supplied, "{where_it_is}: {}", row.name.id),
            None => assert_eq!(count.taken, 0, "{where_it_is}: {}", row.name.id),
        }
    }
}

/// Titles of parts, tools, joints, circuits and steps that are gone stand in no file.
fn no_word_of_what_is_gone(full: &Procedure, build: &TailoredBuild, where_it_is: &str) {
    let titles = |procedure: &Procedure| -> BTreeSet<String> {
        let parts = procedure.parts.rows().iter().map(|row| &row.name);
        let tools = procedure.tools.rows().iter().map(|row| &row.name);
        let joints = procedure.joints.rows().iter().map(|row| &row.name);
        let circuits = procedure.circuits.rows().iter().map(|row| &row.name);
        let steps = procedure.steps.rows().iter().map(|row| &row.name);
        let all = parts.chain(tools).chain(joints).chain(circuits).chain(steps);
        all.map(|name| name.title.clone()).collect()
    };
    let mut there = titles(&build.procedure);
    // The lamp bar is the name of a part and of the choice that left it out.
    there.extend(build.procedure.tailored.iter().flat_map(|one| &one.chosen).map(|one| one.name.title.clone()));
    let gone = titles(full).into_iter().filter(|title| !there.iter().any(|own| own.contains(title.as_str())));
    for title in gone {
        for file in ["manual.html", "pick-list.csv", "packing-list.csv", "checklist.json"] {
            // A title at its full length; "Arm" within "Gas-strut arm" is another word.
            let found = text(build, file).contains(&format!(">{title}<"))
                || text(build, file).contains(&format!("\"{title}\""))
                || text(build, file).contains(&format!(",{title},"));
            assert!(!found, "{where_it_is}: {file} still says {title}");
        }
    }
}

#[test]
fn the_order_of_wishes_does_not_matter_and_the_files_say_whom_they_are_for() {
    let compiled = compiled("kestrel-rack.fitw");
    let build = |all: &[(&str, &str)]| {
        compile::build_tailored(&compiled, &wishes(all)).expect("clean").expect("an allowed fitting")
    };
    let one = build(&[("arm", "powered"), ("roof-rating", "150 kg"), ("ladder-mass", "40 kg")]);
    let other = build(&[("ladder-mass", "40 kg"), ("roof-rating", "150 kg"), ("arm", "powered"), ("arm", "powered")]);
    assert_eq!(one.outputs, other.outputs);
    // The side follows from the rule; 38 kg of rack and 40 kg of ladders are 78 kg.
    let manual = text(&one, "manual.html").replace('\u{a0}', " ");
    for said in [
        "For this fitting",
        "Powered arm, 12 V",
        "follows from the others",
        "Decided for this fitting",
        "78 kg (172 lb) ≤ 150 kg (331 lb)",
        "it holds",
        "keep the numbers that they have in the full procedure",
    ] {
        assert!(manual.contains(said), "{said}");
    }
    for unsaid in ["Which fitting is it?", "Write down before you start", "Do not fit it unless"] {
        assert!(!manual.contains(unsaid), "{unsaid}");
    }
    for file in ["checklist.json", "build.json"] {
        let data: serde_json::Value = serde_json::from_str(text(&one, file)).expect("JSON");
        let chosen: Vec<(&str, bool)> = data["effectivity"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|one| (one["id"].as_str().expect("a name"), one["follows"].as_bool().expect("whether")))
            .collect();
        let wanted = [("arm", false), ("side", true), ("roof-rating", false), ("ladder-mass", false)];
        assert_eq!(chosen, wanted, "{file}");
    }
}

#[test]
fn what_is_open_stays_open() {
    let compiled = compiled("kestrel-rack.fitw");
    let build = compile::build_tailored(&compiled, &wishes(&[("roof-rating", "60 kg")])).expect("clean");
    let build = build.expect("light ladders still go on such a roof");
    let manual = text(&build, "manual.html").replace('\u{a0}', " ");
    assert!(manual.contains("Which fitting is it?") && manual.contains("Gas-strut arm"));
    assert!(manual.contains("Do not fit it unless") && manual.contains("60 kg"));
    // 38 kg of rack leave 22 kg for ladders, so that the arm, which lifts 45 kg, lifts whatever the roof bears. The range
    // of ladders by itself, 10 kg to 60 kg, does not show that and must not be printed as if it did.
    assert!(manual.contains("The powered arm lifts the ladder set.") && manual.contains("the other limits do"));
    assert!(!manual.contains("60 kg (132 lb) ≤ 45 kg"));
}
