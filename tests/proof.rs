//! The compiler against brute force.
//!
//! Generated procedures are small enough to try every job. What the compiler says of them must be what brute force finds:
//! nothing more (no false alarm), nothing less (no false silence), counts exactly, and each printed case must show its fault
//! when it is replayed. The reference is the project's own independent interpreter in `oracle`, which shares nothing with
//! the compiler but the resolved model; see there for how open questions of the language were decided.
//!
//! `FITWRIGHT_CASES=10000 cargo test --release --test all proof::` is the full run; without it 200 procedures are tried.
//! `FITWRIGHT_SEED=7` tries others.

#[path = "oracle/worked.rs"]
mod worked;

use std::cell::RefCell;
use std::collections::BTreeMap;

use crate::oracle;
use fitwright::diagnostics::{Code, Finding};
use fitwright::model::{Procedure, Reading};
use fitwright::plan::Plan;
use fitwright::quantity::Exact;
use fitwright::source::Sources;
use fitwright::world::Memory;
use oracle::answers::{Answers, brute_force};
use oracle::claims::{DECIDED, claims};
use oracle::compare::{differences, longer};
use oracle::enumerate::TooHard;
use oracle::generate::{Written, procedures};
use oracle::replay::Value;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// Walks beyond which a procedure is not tried.
const MOST_WALKS: usize = 6_000;

/// The one place that knows how the compiler is called.
fn compile(text: &str) -> (Option<Procedure>, Vec<Finding>) {
    let mut sources = Sources::default();
    let world = Memory::default().with("trial.fitw", text.as_bytes());
    let resolved = fitwright::resolve::resolve("trial.fitw", &world, &mut sources);
    let Some(procedure) = resolved.procedure else { return (None, resolved.findings) };
    let mut findings = resolved.findings;
    let plan = Plan::new(procedure);
    findings.extend(fitwright::checks::check(&plan).findings);
    (Some(plan.into_procedure()), findings)
}

fn number_from(variable: &str, otherwise: u64) -> u64 {
    std::env::var(variable).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

/// How often each thing occurred.
#[derive(Debug, Default)]
struct Statistics {
    tried: usize,
    too_many: usize,
    walks: usize,
    clean: usize,
    certain: BTreeMap<Code, usize>,
    possible: BTreeMap<Code, usize>,
}

impl Statistics {
    fn add(&mut self, procedure: &Procedure, answers: &Answers) {
        self.tried += 1;
        self.walks += answers.walks;
        let mut certain: Vec<Code> = Vec::new();
        let mut possible: Vec<Code> = Vec::new();
        for claim in claims(procedure, answers) {
            let codes = if claim.certain { &mut certain } else { &mut possible };
            codes.extend(claim.codes.first());
        }
        self.clean += usize::from(certain.is_empty());
        for (codes, into) in [(certain, &mut self.certain), (possible, &mut self.possible)] {
            let mut codes = codes;
            codes.sort_unstable();
            codes.dedup();
            codes.into_iter().for_each(|code| *into.entry(code).or_insert(0) += 1);
        }
    }
}

impl std::fmt::Display for Statistics {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        writeln!(
            f,
            "{} procedures with {} walks, {} without a certain fault; {} more had too many walks",
            self.tried, self.walks, self.clean, self.too_many
        )?;
        for code in DECIDED {
            let of = |counts: &BTreeMap<Code, usize>| counts.get(code).copied().unwrap_or(0);
            writeln!(f, "{code}  certain in {:5}  only possible in {:5}", of(&self.certain), of(&self.possible))?;
        }
        Ok(())
    }
}

fn runner(cases: u64) -> TestRunner {
    let config =
        Config { cases: u32::try_from(cases).unwrap_or(u32::MAX), failure_persistence: None, ..Config::default() };
    let mut bytes = [0; 32];
    bytes[..8].copy_from_slice(&number_from("FITWRIGHT_SEED", 1).to_le_bytes());
    TestRunner::new_with_rng(config, TestRng::from_seed(RngAlgorithm::ChaCha, &bytes))
}

/// Generated text must be a procedure: no finding of text, names or quantities, warnings about use apart.
#[test]
fn generated_text_resolves() {
    let result = runner(number_from("FITWRIGHT_CASES", 200)).run(&procedures(), |Written { text }| {
        let mut sources = Sources::default();
        let world = Memory::default().with("trial.fitw", text.as_bytes());
        let resolved = fitwright::resolve::resolve("trial.fitw", &world, &mut sources);
        let bad: Vec<String> = resolved
            .findings
            .iter()
            .filter(|finding| finding.code < Code::FW0401 && finding.code != Code::FW0203)
            .map(|finding| {
                let place = finding.span().map_or("", |span| sources.text(span));
                format!("{} {} at `{place}`", finding.code, finding.message)
            })
            .collect();
        prop_assert!(bad.is_empty(), "{}", bad.join("\n"));
        Ok(())
    });
    if let Err(failure) = result {
        panic!("{failure}");
    }
}

/// The procedures that are surveyed: those of the folder `FITWRIGHT_TRIALS`, or generated ones from number `FITWRIGHT_FIRST`
/// on.
fn surveyed() -> Box<dyn Iterator<Item = String>> {
    if let Ok(folder) = std::env::var("FITWRIGHT_TRIALS") {
        let mut paths: Vec<_> =
            std::fs::read_dir(folder).expect("the folder is there").filter_map(|one| Some(one.ok()?.path())).collect();
        paths.sort();
        return Box::new(paths.into_iter().map(|path| std::fs::read_to_string(path).expect("listed before")));
    }
    let mut runner = runner(1);
    let generate = move |n| Some((n, procedures().new_tree(&mut runner).ok()?.current().text));
    let all = (0..number_from("FITWRIGHT_CASES", 200)).filter_map(generate);
    let first = number_from("FITWRIGHT_FIRST", 0);
    Box::new(all.skip_while(move |(n, _)| *n < first).map(|(_, text)| text))
}

/// A list of all differences by kind, each with the shortest procedure that shows it: for working on the compiler.
/// `FITWRIGHT_CASES=1000 cargo test --test all -- --ignored --nocapture proof::survey`; all that differ are written into
/// the folder `FITWRIGHT_KEEP`, and `FITWRIGHT_TRIALS` surveys such a folder again.
#[test]
#[ignore = "prints a list rather than deciding anything"]
fn survey() {
    let mut statistics = Statistics::default();
    let mut kinds: BTreeMap<String, (usize, String, String)> = BTreeMap::new();
    let keep = std::env::var("FITWRIGHT_KEEP").ok();
    for (text, n) in surveyed().zip(number_from("FITWRIGHT_FIRST", 0)..) {
        let (Some(procedure), findings) = compile(&text) else { continue };
        let Ok(answers) = brute_force(&procedure, MOST_WALKS) else {
            statistics.too_many += 1;
            continue;
        };
        statistics.add(&procedure, &answers);
        let mut all = differences(&procedure, &answers, &findings);
        all.extend(longer(&procedure, &answers, &findings));
        if let Some(folder) = keep.as_ref().filter(|_| !all.is_empty()) {
            let seed = number_from("FITWRIGHT_SEED", 1);
            std::fs::write(format!("{folder}/{seed}-{n}.fitw"), &text).expect("the folder is there");
            println!("{seed}-{n}: {}", all.join("\n    "));
        }
        for difference in all {
            let words = if difference.starts_with("needless") || difference.starts_with("missing") { 2 } else { 3 };
            let kind: Vec<&str> = difference.split_whitespace().take(words).collect();
            let kind = kind.join(" ");
            let said = |finding: &Finding| {
                let place = finding.span().and_then(|span| text.get(span.range())).unwrap_or("");
                format!("   SAID {} {} at `{}`", finding.code, finding.message, place.lines().next().unwrap_or(""))
            };
            let all: Vec<String> =
                findings.iter().filter(|f| DECIDED.contains(&f.code) || f.code == Code::FW0419).map(said).collect();
            let difference = format!("{difference}\n{}", all.join("\n"));
            let row = kinds.entry(kind).or_insert_with(|| (0, text.clone(), difference.clone()));
            row.0 += 1;
            if text.len() < row.1.len() {
                (row.1, row.2) = (text.clone(), difference);
            }
        }
        if (n + 1).is_multiple_of(1_000) {
            let different: usize = kinds.values().map(|(count, ..)| count).sum();
            println!("after {}: {} tried, {different} differences", n + 1, statistics.tried);
        }
    }
    println!("{statistics}");
    for (kind, (count, text, difference)) in &kinds {
        println!("==== {kind}: {count}\n{difference}\n{text}");
    }
    kinds.iter().for_each(|(kind, (count, ..))| println!("{count:6} {kind}"));
}

/// 150 lb lies at no short number of kilograms, and the sum of both must go beyond it: the pound is exactly 0.45359237 kg
/// (NIST SP 811, B.8).
#[test]
fn numbers_of_a_case_are_short_in_the_units_of_their_ranges() {
    for (holds, strict) in [("<=", true), ("<", false)] {
        let text = format!(
            "procedure trial \"Trial job\"\n\nunits metric, inch\n\n\
             given rack-mass \"Mass of the rack\" {{\n  range 5 kg to 40 kg\n}}\n\
             given load-mass \"Mass of the load\" {{\n  range 10 lb to 100 lb\n}}\n\
             limit roof-load \"Load of the roof\" {{\n  rack-mass + load-mass {holds} 150 lb\n}}\n\n\
             section close \"Close the job\" {{\n  handover {{\n    sign installer\n  }}\n}}\n"
        );
        let (procedure, findings) = compile(&text);
        let procedure = procedure.expect("it resolves");
        let broken = findings.iter().find(|finding| finding.code == Code::FW1002).expect("the limit can be broken");
        let case = broken.case.as_ref().expect("a case");
        let named = oracle::replay::read_case(&procedure, case).expect("a case in the words of the source");
        let numbers: Vec<Exact> = named
            .iter()
            .filter_map(|((input, _), value)| match (input, value) {
                (Reading::Number(number), Value::Number(base)) => {
                    let digits = oracle::shortest::digits(base / procedure.numbers[*number].low.unit.factor());
                    assert!(digits.is_some_and(|digits| digits <= 2), "{:?}", case.inputs);
                    Some(*base)
                }
                _ => None,
            })
            .collect();
        assert_eq!(numbers.len(), 2, "{:?}", case.inputs);
        let (sum, bound) =
            (numbers.iter().sum::<Exact>(), Exact::new(45_359_237, 100_000_000) * Exact::from_integer(150));
        assert!(if strict { sum > bound } else { sum >= bound }, "{:?}", case.inputs);
    }
}

/// The heart of the matter.
#[test]
fn compiler_says_what_brute_force_finds() {
    let statistics = RefCell::new(Statistics::default());
    let result = runner(number_from("FITWRIGHT_CASES", 200)).run(&procedures(), |Written { text }| {
        let (procedure, findings) = compile(&text);
        let Some(procedure) = procedure else { return Err(TestCaseError::fail("does not resolve")) };
        let answers = match brute_force(&procedure, MOST_WALKS) {
            Ok(answers) => answers,
            Err(TooHard::Many) => {
                statistics.borrow_mut().too_many += 1;
                return Ok(());
            }
            Err(TooHard::NotLinear) => return Err(TestCaseError::fail("multiplies inputs")),
        };
        statistics.borrow_mut().add(&procedure, &answers);
        let mut differences = differences(&procedure, &answers, &findings);
        // Trying what a case could do without takes as long as all else: a third of them is enough for every day.
        if std::env::var_os("FITWRIGHT_CASES").is_some() || text.len().is_multiple_of(3) {
            differences.extend(longer(&procedure, &answers, &findings));
        }
        prop_assert!(differences.is_empty(), "{}", differences.join("\n"));
        Ok(())
    });
    println!("{}", statistics.borrow());
    if let Err(failure) = result {
        panic!("{failure}");
    }
}

/// All that compiler and brute force differ in over one procedure, the length of its cases with it.
fn all_differences(text: &str) -> Vec<String> {
    let (procedure, findings) = compile(text);
    let procedure = procedure.expect("it resolves");
    let answers = brute_force(&procedure, MOST_WALKS).expect("few walks");
    let mut all = differences(&procedure, &answers, &findings);
    all.extend(longer(&procedure, &answers, &findings));
    all
}

/// Procedures over which compiler and brute force once differed, as the survey kept them or with less in them.
///
/// `reading-of-another-arm-…`: the run that a case began with takes a reading which the run that is told does not; what is
/// told of the reading in its place must not be lost. `shorter-number-in-another-branch`: a number with fewer digits leads
/// over another branch, where the same is read again at another place. `point-left-open`: each point that is off is a fault of
/// its own. `isolation-of-two-circuits`: one line makes two circuits live. `short-before-the-last-repair`: the parts run out
/// before the job's last repair. `loosened-in-a-repair`: the same joint can show the same fault at another line.
#[test]
fn what_once_differed_differs_no_more() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof");
    let mut kept: Vec<_> =
        std::fs::read_dir(folder).expect("a folder").map(|one| one.expect("a file").path()).collect();
    kept.sort();
    assert!(kept.len() >= 8);
    let differences = |path: &std::path::PathBuf| {
        let text = std::fs::read_to_string(path).expect("listed before");
        let all = all_differences(&text);
        (!all.is_empty()).then(|| format!("{}: {}", path.display(), all.join("\n")))
    };
    let all: Vec<String> = kept.iter().filter_map(differences).collect();
    assert!(all.is_empty(), "{}", all.join("\n"));
}

/// A `choose` in a branch of another shares readings of its own: the case of each is held to its own.
#[test]
fn what_two_inner_branches_share_is_no_fault_of_the_outer_ones() {
    let text = r#"procedure trial "Trial job"

units metric, inch

given sill-width "Width of the sill" {
  range 10 mm to 30 mm
  reads 5 mm
}
given rail-width "Width of the rail" {
  range 10 mm to 30 mm
  reads 5 mm
}
section work "Work" {
  choose sill-width {
    10 mm to 20 mm {
      choose rail-width {
        10 mm to 15 mm {
      step low "Low" {
        > Look.
      }
    }
        15 mm to 30 mm {
      step high "High" {
        > Look.
      }
    }
      }
    }
    20 mm to 30 mm {
      step wide "Wide" {
        > Look.
      }
    }
  }
  handover {
    sign installer
  }
}
"#;
    let (_, findings) = compile(text);
    assert_eq!(findings.iter().filter(|finding| finding.code == Code::FW0402).count(), 2, "{findings:#?}");
    assert_eq!(all_differences(text), [] as [String; 0]);
}

/// A check brings a hazard, and its repair another: each is told with a case of its own.
#[test]
fn hazards_of_a_check_and_of_its_repair_are_two() {
    assert_eq!(
        all_differences(
            r#"procedure trial "Trial job"

units metric, inch

observe lamp "Is the lamp of the cab lit?" { lit  dark }
tool saw "Saw" { brings hot-pipe }
tool file "File" { brings sharp-burr }
protection veil "Veil"
hazard sharp-burr "Sharp burr" {
  signal warning
  answered by veil
}
hazard hot-pipe "Hot pipe" {
  signal warning
  answered by veil
}
section part-1 "Part 1" {
  check proof-1 "Proof 1" {
    read lamp
    use saw
    wear veil
    expect lamp is not lit
    repair at most 1 times {
      step work-4 "Work 4" {
        use file
      }
    }
    else go on "Tell the customer."
  }
  handover {
    sign installer
  }
}
"#
        ),
        [] as [String; 0]
    );
}

/// Either arm takes as many, by a line of its own: the case names none of them.
#[test]
fn what_is_short_whichever_line_takes_it_needs_no_input() {
    assert_eq!(
        all_differences(
            r#"procedure trial "Trial job"

units metric, inch

option arm "Arm" { strut  powered }
part bolt "Bolt"
kit {
  bag A { 1 bolt }
}
section work "Work" {
  step one "One" when arm is strut {
    take 2 bolt
  }
  step two "Two" when arm is powered {
    take 2 bolt
  }
  handover {
    sign installer
  }
}
"#
        ),
        [] as [String; 0]
    );
}

/// The plainest numbers that go together, 1 in and 1 in, break the rule; a case takes others, and tells no number that plays no
/// part: on the kerb side every sill is as wide as a gap of 3/4 in.
#[test]
fn plain_numbers_of_a_case_keep_to_the_rules() {
    assert_eq!(
        all_differences(
            r#"procedure trial "Trial job"

units metric, inch

option side "Loading side" { kerb  road }
given sill-width "Width of the sill" {
  range 3/4 in to 1 1/4 in
  reads 1/8 in
}
measure door-gap "Gap of the door" {
  range 3/4 in to 1 1/2 in
  reads 1/8 in
}
require side is road when sill-width is at least 1 in "It is made so."
tool wrench "Torque wrench" { torque 5 N.m to 25 N.m }
part bolt "Bolt"
joint bracket-joint "Bracket joint" when side is road {
  each   2 bolt
  count  1
  tight "head flat on its seat"
  on vehicle
}
section work "Work" {
  step read-gap "Read the gap" {
    read door-gap
  }
  step open "Open" when sill-width >= door-gap {
    loosen bracket-joint with wrench
    tighten bracket-joint with wrench
  }
  handover {
    sign installer
  }
}
"#
        ),
        [] as [String; 0]
    );
}

/// Parts that several lines remove are told at the one that removed them last on the way, each with a case of its own.
#[test]
fn what_is_left_off_is_told_at_the_line_that_removed_it_last() {
    assert_eq!(
        all_differences(
            r#"procedure trial "Trial job"

option side "Loading side" { kerb  road }
observe lamp "Is the lamp lit?" { lit  dark }
tool wrench "Torque wrench" { torque 5 N.m to 25 N.m }
part trim-screw "Trim screw"
vehicle { 4 trim-screw }
section work "Work" {
  step look "Look" {
    read lamp
    remove 2 trim-screw
  }
  step more "More" when lamp is lit {
    remove 2 trim-screw
  }
  handover {
    sign installer
  }
}
"#
        ),
        [] as [String; 0]
    );
}
