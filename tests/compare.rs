//! What changed between two editions, on small texts: what is no change, what is words only, what is moved or renamed, what follows.

use fitwright::compare::{Comparison, Topic, What, compare};
use fitwright::world::Memory;

const LAMP: &str = "\
procedure lamp \"Work lamp\"

revision A 2026-01-01
units metric, inch

use std/fasteners
use std/hand-tools

option place \"Place\" {
  roof \"On the roof\"
  door \"On the door\"
}
measure gap \"Gap below the foot\" {
  range 0 mm to 20 mm
  reads 1 mm
  with  steel-rule
}
part foot        \"Foot of the lamp\"
part foot-bolt   bolt M8 x 30 mm, class 8.8, hex head
part foot-washer washer M8
part foot-nut    nut M8, class 8
kit {
  bag A { 2 foot-bolt, 4 foot-washer, 2 foot-nut }
  box   { 1 foot }
}
joint foot-joint \"Foot to the roof\" {
  each   foot-bolt, 2 foot-washer, foot-nut
  count  2
  torque 22 N.m +- 2 N.m
  thread plated
  grip   14 mm
}
section fit \"Fit the lamp\" {
  step look \"Look at the place\" {
    > Read the gap below the foot.
    read gap
  }
  step set-foot \"Set the foot\" when place is roof {
    > Set the [foot] down. # no comment but words
    take  1 foot
    place foot-joint
  }
  step tighten-foot \"Tighten the foot\" when place is roof {
    > Tighten both bolts.
    tighten foot-joint with torque-wrench-3-8-drive, socket-13, hold with spanner-13
  }
}
";

fn world(text: &str) -> Memory {
    Memory::default().with("lamp.fitw", text)
}

fn compared(old: &str, new: &str) -> Comparison {
    compare(("lamp.fitw", &world(old)), ("lamp.fitw", &world(new))).expect("two procedures")
}

/// The lamp with one text in the place of another.
fn edited(old: &str, new: &str) -> String {
    assert_eq!(LAMP.matches(old).count(), 1, "{old}");
    LAMP.replace(old, new)
}

/// `torque changed 1.2 1.3`, a line a change.
fn told(compared: &Comparison) -> Vec<String> {
    let told = |change: &fitwright::compare::Change| {
        let steps: Vec<&str> = change.steps.iter().map(|step| step.number.as_str()).collect();
        format!("{} {} {}", change.topic.key(), change.what.word(), steps.join(" ")).trim().to_owned()
    };
    compared.changes.iter().map(told).collect()
}

fn one(old: &str, new: &str) -> Vec<String> {
    told(&compared(LAMP, &edited(old, new)))
}

#[test]
fn blanks_comments_and_the_order_of_declarations_are_no_change() {
    let spaced = LAMP.replace("  take  1 foot", "\n  # here\n    take 1   foot").replace("{ 1 foot }", "{\n 1 foot\n}");
    assert_eq!(told(&compared(LAMP, &spaced)), [""; 0]);
    let first = "part foot        \"Foot of the lamp\"\n";
    let moved = LAMP.replace(first, "").replace("kit {", &format!("{first}kit {{"));
    assert_eq!(told(&compared(LAMP, &moved)), [""; 0]);
    let order = "2 foot-bolt, 4 foot-washer, 2 foot-nut";
    assert_eq!(one(order, "2 foot-nut, 2 foot-bolt, 4 foot-washer"), [""; 0]);
    assert_eq!(compared(LAMP, LAMP).in_short(), "Nothing changed but comments and blanks.");
}

#[test]
fn what_only_words_and_units_differ_by_says_so() {
    // 2200 N·cm is 22 N·m, by the definition of the prefix (SI brochure, table 7).
    for (old, new) in [
        ("torque 22 N.m +- 2 N.m", "torque 2200 N.cm +- 200 N.cm"),
        ("torque 22 N.m +- 2 N.m", "torque 20 to 24 N.m"),
        ("torque 22 N.m +- 2 N.m", "torque 22 N·m ± 2 N·m"),
        ("Tighten both bolts.", "Now tighten both bolts."),
        ("\"Foot of the lamp\"", "\"Lamp foot\""),
    ] {
        let compared = compared(LAMP, &edited(old, new));
        assert!(compared.is_of_words() || compared.changes.is_empty(), "{new}: {:?}", told(&compared));
        assert!(!compared.changes.iter().any(|change| change.topic.is_of_safety()));
    }
    let renamed = LAMP.replace("foot-joint", "clamp-joint");
    let compared = compared(LAMP, &renamed);
    assert_eq!(told(&compared), ["name renamed 1.2 1.3"]);
    assert!(compared.in_short().starts_with("Only wording, names or units changed"), "{}", compared.in_short());
}

#[test]
fn a_sentence_that_tells_something_else_is_no_rewording() {
    assert_eq!(one("Read the gap below the foot.", "Don't read the gap below the foot."), ["told changed 1.1"]);
    assert_eq!(one("Tighten both bolts.", "Tighten the 2 bolts."), ["told changed 1.3"]);
    assert_eq!(one("Set the [foot] down.", "Set the [foot-bolt] down."), ["told changed 1.2"]);
    // What somebody judges by is no wording, whatever its words.
    assert_eq!(one("\"Gap below the foot\"", "\"Gap beside the foot\""), ["reading changed 1.1"]);
}

#[test]
fn each_change_is_named_with_the_steps_and_fittings_that_it_touches() {
    let torque = compared(LAMP, &edited("torque 22 N.m", "torque 25 N.m"));
    assert_eq!(told(&torque), ["torque changed 1.2 1.3"]);
    assert_eq!(torque.changes[0].fittings.as_deref(), Some("Place: on the roof"));
    assert_eq!(torque.changes[0].subject, ["joint foot-joint \"Foot to the roof\""]);
    let old = torque.changes[0].old.as_ref().expect("as it was");
    assert_eq!(
        (old.line, old.text.as_str()),
        (LAMP.lines().position(|l| l.contains("torque 22")).unwrap() as u32 + 1, "torque 22 N.m +- 2 N.m")
    );
    assert_eq!(one("1 foot }", "2 foot }"), ["part changed"]);
    assert_eq!(one("range 0 mm to 20 mm", "range 0 mm to 25 mm"), ["reading changed 1.1"]);
    assert_eq!(one("\"Set the foot\" when place is roof", "\"Set the foot\""), ["condition changed 1.2"]);
    assert_eq!(
        one("\"Set the foot\" when place is roof", "\"Set the foot\" when place is door"),
        ["condition changed 1.2"]
    );
    assert_eq!(one("    place foot-joint\n", ""), ["joint removed 1.2"]);
    assert_eq!(one("    read gap\n", "    read gap\n    wear work-gloves\n"), ["protection added 1.1"]);
}

#[test]
fn what_stands_elsewhere_is_moved_and_no_more() {
    let step = LAMP.split("  step set-foot").next().expect("before").rsplit("  step look").next().expect("the step");
    let step = format!("  step look{step}");
    let last = LAMP.replace(&step, "");
    let last = format!("{}{step}}}\n", last.trim_end().trim_end_matches('}'));
    assert_eq!(told(&compared(LAMP, &last)), ["order moved 1.3"]);
    let lines = edited("    take  1 foot\n    place foot-joint\n", "    place foot-joint\n    take  1 foot\n");
    assert_eq!(told(&compared(LAMP, &lines)), ["order moved 1.2"]);
    let to_next =
        edited("    take  1 foot\n", "").replace("> Tighten both bolts.", "> Tighten both bolts.\n    take 1 foot");
    assert_eq!(told(&compared(LAMP, &to_next)), ["order moved 1.3"]);
}

#[test]
fn what_follows_is_told_of_joints_and_what_is_laid_out() {
    let compared = compared(LAMP, &edited("torque 22 N.m +- 2 N.m", "torque 25 N.m +- 2 N.m"));
    let follows = compared.follows.as_ref().expect("both are whole");
    // The preload is in proportion to the torque (F = T / K d; VDI 2230-1): 22 to 25 is a seventh more.
    let preload = follows.iter().find(|one| one.what.starts_with("Usual preload")).expect("a preload");
    let newtons = |words: &Option<String>| -> f64 {
        words.as_deref().and_then(|words| words.split_whitespace().next()?.parse().ok()).expect("kN")
    };
    let ratio = newtons(&preload.new) / newtons(&preload.old);
    assert!((ratio - 25.0 / 22.0).abs() < 0.01, "{ratio} {preload:?}");
    let broken =
        compare(("lamp.fitw", &world(LAMP)), ("lamp.fitw", &world(&edited("read gap", "read gip")))).expect("told");
    assert_eq!(broken.follows, None);
    assert!(broken.text().contains("Check it first"), "{}", broken.text());
}

#[test]
fn of_a_library_only_what_the_procedure_uses_counts() {
    const LIBRARY: &str = "library ours \"Ours\"\ntool our-bar \"Bar, 300 mm\"\ntool our-lever \"Lever\"\n";
    let text = edited("use std/hand-tools\n", "use std/hand-tools\nuse ours\n")
        .replace("read gap", "read gap\n    use our-bar");
    let with = |library: &str| world(&text).with("ours.fitw", library);
    let told_of = |library: &str| {
        told(&compare(("lamp.fitw", &with(LIBRARY)), ("lamp.fitw", &with(library))).expect("two procedures"))
    };
    assert_eq!(told_of(&LIBRARY.replace("\"Lever\"", "\"Lever\" { count 2 }")), [""; 0]);
    assert_eq!(told_of(&LIBRARY.replace("300 mm\"", "300 mm\" { count 2 }")), ["tool added 1.1"]);
    // From the library into the procedure: the same tool.
    let own = text.replace("use ours\n", "").replace("option place", "tool our-bar \"Bar, 300 mm\"\noption place");
    let moved = compare(("lamp.fitw", &with(LIBRARY)), ("lamp.fitw", &world(&own))).expect("two procedures");
    assert_eq!(told(&moved), ["document removed"]);
}

#[test]
fn hostile_texts_are_compared_or_refused_in_a_sentence() {
    let nothing =
        |text: &str| compare(("lamp.fitw", &world(LAMP)), ("lamp.fitw", &world(text))).map(|one| told(&one).len());
    assert!(nothing("").is_err());
    assert!(nothing("library ours \"Ours\"\n").is_err());
    assert!(compare(("none.fitw", &world(LAMP)), ("lamp.fitw", &world(LAMP))).is_err());
    assert!(nothing(&LAMP[..LAMP.len() / 2]).is_ok_and(|changes| changes > 0));
    let many = |word: &str| {
        let lines: String = (0..3000).map(|at| format!("    > {word} {at}.\n")).collect();
        edited("    > Read the gap below the foot.\n", &lines)
    };
    let start = std::time::Instant::now();
    assert!(!compared(&many("Look at"), &many("Turn")).changes.is_empty());
    assert!(start.elapsed().as_secs() < 120, "{:?}", start.elapsed());
}

#[test]
fn the_data_say_what_the_text_says() {
    let compared = compared(LAMP, &edited("torque 22 N.m", "torque 25 N.m"));
    let data: serde_json::Value = serde_json::from_str(&compared.json()).expect("JSON");
    assert_eq!((&data["changes"][0]["topic"], &data["changes"][0]["safety"]), (&"torque".into(), &true.into()));
    assert_eq!(data["changes"][0]["steps"][1]["number"], "1.3");
    assert!(Topic::ALL.iter().filter(|topic| topic.is_of_words()).all(|topic| !topic.is_of_safety()));
    assert_eq!(compared.changes[0].what, What::Changed);
}
