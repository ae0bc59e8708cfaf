//! The worst shapes known: each is answered within a bound of processor time and memory, whoever sends it. The bounds are for
//! a program without optimisation, on a machine with other work; an optimised one takes a tenth.

use std::fmt::Write as _;
use std::fs;
use std::os::unix::process::ExitStatusExt;
use std::process::{Command, Output};

use super::Scratch;

/// Processor time of one command.
const SECONDS: u32 = 60;
/// Address space of one command: what the program maps, with its own text and stacks.
const BYTES: u64 = 1 << 30;

const BEGINNING: &str = "procedure trial \"Trial\"\n\nrevision A 2026-11-09\nunits metric\nuse std/hand-tools\n\nabout { skill \"Anyone\" }\n";
const END: &str = "  handover { sign installer }\n}\n";

/// `check --format short`, under the bounds; what it prints and its exit code.
fn check(text: impl AsRef<[u8]>) -> (String, i32) {
    let scratch = Scratch::new();
    fs::write(scratch.0.join("trial.fitw"), text).expect("written");
    let ran: Output = Command::new("prlimit")
        .args([format!("--cpu={SECONDS}"), format!("--as={BYTES}")])
        .args([env!("CARGO_BIN_EXE_fitwright"), "check", "--format", "short", "trial.fitw"])
        .current_dir(&scratch.0)
        .output()
        .expect("prlimit, of every Linux system, starts the program");
    assert_eq!(ran.status.signal(), None, "ended by a signal: {}", String::from_utf8_lossy(&ran.stderr));
    let printed = String::from_utf8(ran.stdout).expect("text") + &String::from_utf8_lossy(&ran.stderr);
    assert!(printed.len() < 64 * 1024, "what is said stays readable: {} bytes", printed.len());
    (printed, ran.status.code().expect("no signal"))
}

fn measures(count: usize) -> String {
    (0..count).fold(String::new(), |mut text, at| {
        let _ =
            writeln!(text, "measure m{at} \"Gap {at}\" {{\n  range 0 mm to 60 mm\n  reads 1 mm\n  with steel-rule\n}}");
        text
    })
}

fn readings(count: usize) -> String {
    (0..count).fold("section work \"Work\" {\n".to_owned(), |mut text, at| {
        let _ = writeln!(
            text,
            "  step r{at} \"Read {at}\" {{\n    > Measure gap {at}.\n    read m{at}\n    takes 1 min\n  }}"
        );
        text
    })
}

fn step(at: usize) -> String {
    format!("step s{at} \"Do {at}\" {{\n      > Do it.\n      takes 1 min\n    }}")
}

/// Each of a hundred readings below the next, the last below the first: there are no such numbers.
#[test]
fn a_ring_of_readings_in_limits_is_decided() {
    let limits: String = (0..100)
        .map(|at| {
            let next = (at + 1) % 100;
            format!("limit l{at} \"Limit {at}\" {{\n  m{at} < m{next}\n  else stop \"Stop {at}.\"\n}}\n")
        })
        .collect();
    let (printed, code) = check(BEGINNING.to_owned() + &measures(100) + &limits + &readings(100) + END);
    // 61 readings can rise, from 0 mm to 60 mm; of the 61st limit on, counted from 0, none can hold with those before.
    assert!(printed.contains("error FW1001 the limit `l60` is broken in every configuration"), "{printed}");
    assert_eq!(code, 1);
}

#[test]
fn a_ring_of_readings_in_conditions_is_decided() {
    let steps: String =
        (0..100).map(|at| format!("  when m{at} < m{} {{\n    {}\n  }}\n", (at + 1) % 100, step(at))).collect();
    let (printed, code) = check(BEGINNING.to_owned() + &measures(100) + &readings(100) + &steps + END);
    assert_eq!((printed.contains("FW0419"), code), (false, 0), "{printed}");
}

/// Every two of twelve readings within 2 mm of each other.
#[test]
fn all_pairs_of_readings_are_decided() {
    let pairs = (0..12).flat_map(|a| (0..12).map(move |b| (a, b))).filter(|(a, b)| a != b);
    let steps: String = pairs
        .enumerate()
        .map(|(at, (a, b))| format!("  when m{a} - m{b} <= 2 mm {{\n    {}\n  }}\n", step(at)))
        .collect();
    let (printed, code) = check(BEGINNING.to_owned() + &measures(12) + &readings(12) + &steps + END);
    assert_eq!((printed.contains("FW0419"), code), (false, 0), "{printed}");
}

/// Eight hundred branches of one choice, of which two share a value and one value has none.
#[test]
fn eight_hundred_branches_are_told_apart() {
    let values: String = (0..800).map(|at| format!("  v{at} \"Value {at}\"\n")).collect();
    let arm = |at: usize, value: usize| format!("    v{value} {{\n    {}\n    }}\n", step(at));
    let arms: String = (0..799).map(|at| arm(at, at)).chain([arm(799, 400)]).collect();
    let text = format!(
        "{BEGINNING}observe kind \"Which kind?\" {{\n{values}}}\nsection work \"Work\" {{\n  step look \"Look\" {{\n    > Look at the plate.\n    \
         read kind\n    takes 1 min\n  }}\n  choose kind {{\n{arms}  }}\n{END}"
    );
    let (printed, code) = check(text);
    assert!(printed.contains("error FW0401 `v799` matches no branch"), "{printed}");
    assert!(printed.contains("error FW0402 `v400` of `kind` fits two branches"), "{printed}");
    assert_eq!(code, 1);
}

/// Each branch of eight hundred, and each of eight hundred options, could speak of another's value.
#[test]
fn what_eight_hundred_branches_say_is_held_against_their_values() {
    let values: String = (0..800).map(|at| format!("  v{at} \"Value {at}\"\n")).collect();
    let arms: String = (0..800).map(|at| format!("    v{at} {{\n    {}\n    }}\n", step(at))).collect();
    let options: String = (0..800)
        .map(|at| format!("option o{at} \"Option {at}\" {{\n  left \"left\"\n  right \"right\"\n}}\n"))
        .collect();
    let sections: String = (0..800)
        .map(|at| {
            format!(
                "section p{at} \"Part {at}\" {{\n  step w{at} \"Fit part {at}\" when o{at} is left {{\n    > Fit it.\n    takes 1 min\n  }}\n}}\n"
            )
        })
        .collect();
    let (printed, code) = check(format!(
        "{BEGINNING}observe kind \"Which kind?\" {{\n{values}}}\n{options}{sections}section work \"Work\" {{\n  \
         step look \"Look\" {{\n    > Look at the plate.\n    read kind\n    takes 1 min\n  }}\n  choose kind {{\n{arms}  }}\n{END}"
    ));
    assert_eq!(code, 0, "{printed}");
}

#[test]
fn eight_hundred_intervals_are_told_apart() {
    let arm = |at: usize, low: usize| format!("    {low} mm to {at} mm {{\n    {}\n    }}\n", step(at));
    let arms: String = (0..800).map(|at| arm(at, if at == 500 { 499 } else { at })).collect();
    let text = format!(
        "{BEGINNING}tool long-rule \"Long rule\" {{ measures 0 mm to 1000 mm  reads 1 mm }}\nmeasure gap \"Gap\" {{\n  range 0 mm to 800 mm\n  \
         reads 1 mm\n  with long-rule\n}}\nsection work \"Work\" {{\n  step look \"Look\" {{\n    > Measure the gap.\n    read gap\n    takes 1 min\n  }}\n  \
         choose gap {{\n{arms}  }}\n{END}"
    );
    let (printed, code) = check(text);
    assert!(printed.contains("FW0401 800 mm matches no branch"), "{printed}");
    assert!(printed.contains("FW0402 499 mm of `gap` fits two branches"), "{printed}");
    assert_eq!((printed.matches("FW0402").count(), code), (1, 1));
}

/// Four thousand names that nothing declares, among four thousand that are nearly the same.
#[test]
fn thousands_of_unknown_names_are_counted() {
    let parts: String = (0..4000).map(|at| format!("part bracket-number-{at} \"Bracket {at}\"\n")).collect();
    let steps: String = (0..4000)
        .map(|at| {
            format!(
                "  step s{at} \"Step {at}\" {{\n    > Fit it.\n    take 1 brackett-number-{at}\n    takes 1 min\n  }}\n"
            )
        })
        .collect();
    let (printed, code) = check(format!("{BEGINNING}{parts}section work \"Work\" {{\n{steps}{END}"));
    assert_eq!(printed.matches("error FW0201 nothing declares `brackett-number-").count(), 100);
    assert!(printed.contains("3900 more findings"), "{printed}");
    assert_eq!(code, 1);
}

#[test]
fn a_choice_of_hundreds_of_thousands_is_refused() {
    let values: String = (0..500_000).map(|at| format!("  v{at}\n")).collect();
    let (printed, code) =
        check(format!("{BEGINNING}option o \"O\" {{\n{values}}}\nsection work \"Work\" {{\n  {}\n{END}", step(0)));
    assert!(printed.contains("FW0108 a choice has at most 1000 values, and this one has 500000"), "{printed}");
    assert_eq!(code, 1);
}

#[test]
fn a_million_square_brackets_in_prose_are_a_hundred_findings() {
    let brackets = "[".repeat(1_000_000);
    let (printed, code) = check(format!(
        "{BEGINNING}section work \"Work\" {{\n  step a \"A\" {{\n    > {brackets}\n    takes 1 min\n  }}\n{END}"
    ));
    assert_eq!((printed.matches("FW0112").count(), code), (100, 1));
}

/// A word of a million letters is told by its ends.
#[test]
fn a_message_is_no_longer_than_what_people_read() {
    let (name, number) = ("x".repeat(1_000_000), "1".repeat(1_000_000));
    let (printed, _) = check(format!("{BEGINNING}fact {name} = 1 mm\nfact {name} = 2 mm\nfact y = {number} mm\n"));
    assert!(printed.contains("FW0202") && printed.contains("FW0309"), "{printed}");
    assert!(printed.lines().all(|line| line.len() < 1_000), "{printed}");
}

/// Saved as UTF-16 without its mark, a text is full of noughts. Both ways round, and one finding each.
#[test]
fn utf_16_without_its_mark_is_one_finding() {
    for turn in [u16::to_le_bytes, u16::to_be_bytes] {
        let bytes: Vec<u8> = BEGINNING.encode_utf16().flat_map(turn).collect();
        let (printed, code) = check(bytes);
        assert_eq!((printed.matches("FW0").count(), code), (1, 1), "{printed}");
        assert!(printed.contains("FW0107 the file is saved as UTF-16"), "{printed}");
    }
    let (printed, _) = check("# \0\n");
    assert!(printed.contains("FW0105"), "one nought is a control character: {printed}");
}

#[test]
fn a_file_above_the_limit_has_one_code_whatever_its_size() {
    for megabytes in [9, 18] {
        let (printed, code) = check("# a comment\n".repeat(megabytes * 1_000_000 / 12));
        assert!(printed.contains("error FW0108 the file is larger than 8 MiB"), "{printed}");
        assert_eq!(code, 1);
    }
}

/// What a build of many writes is more than the memory that it may have: each folder goes to the disk as it is ready.
#[test]
fn a_build_of_many_procedures_takes_no_more_memory_than_one_of_some() {
    const MOST: u64 = 44 << 20;
    let scratch = Scratch::new();
    fs::create_dir(scratch.0.join("jobs")).expect("a folder");
    for at in 0..150 {
        let beginning = BEGINNING.replace("procedure trial", &format!("procedure trial-{at}"));
        let text = format!("{beginning}section work \"Work\" {{\n  {}\n{END}", step(at));
        fs::write(scratch.0.join(format!("jobs/trial-{at}.fitw")), text).expect("written");
    }
    let ran = Command::new("prlimit")
        .args([format!("--cpu={SECONDS}"), format!("--data={MOST}")])
        .args([env!("CARGO_BIN_EXE_fitwright"), "build", "--jobs", "1", "jobs"])
        .current_dir(&scratch.0)
        .output()
        .expect("prlimit, of every Linux system, starts the program");
    assert_eq!(
        ran.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&ran.stderr).lines().last().unwrap_or_default()
    );
    let written: usize = scratch.files("out").values().map(Vec::len).sum();
    assert!(written as u64 > MOST, "{written} bytes");
}

/// A check whose repair holds checks with repairs, three deep: every repetition is a place of its own.
fn nested(depth: usize, times: usize, width: usize, next: &mut usize) -> String {
    let at = *next;
    *next += 1;
    let repair = match depth {
        1 => step(at),
        _ => (0..width).map(|_| nested(depth - 1, times, width, next)).collect(),
    };
    format!(
        "check c{at} \"Check {at}\" {{\n    > Measure gap {at}.\n    read m{at}\n    takes 1 min\n    expect m{at} is 10 mm to 20 mm\n    \
         repair at most {times} times {{\n    {repair}\n    }}\n    else stop \"Stop {at}.\"\n  }}\n"
    )
}

/// 124 checks, of which the innermost are written out 16 times each.
#[test]
fn checks_in_the_repairs_of_checks_are_decided() {
    let mut count = 0;
    let checks: String = (0..4).map(|_| nested(3, 4, 5, &mut count)).collect();
    let (printed, code) = check(format!("{BEGINNING}{}section work \"Work\" {{\n{checks}{END}", measures(count)));
    assert_eq!((count, printed.as_str(), code), (124, "", 0));
}

/// So deep that it is too much to be written out: that is said, and nothing is said to hold.
#[test]
fn repairs_too_deep_to_be_written_out_are_not_decided() {
    let mut count = 0;
    let check_of = nested(5, 9, 1, &mut count);
    let (printed, code) = check(format!("{BEGINNING}{}section work \"Work\" {{\n{check_of}{END}", measures(count)));
    assert!(
        printed.contains("error FW0419 nothing could be decided: with each repair as often as it may be done"),
        "{printed}"
    );
    // Where it is too much, not at the beginning of the file.
    assert!(!printed.contains("trial.fitw:1:"), "{printed}");
    assert_eq!(code, 1);
}
