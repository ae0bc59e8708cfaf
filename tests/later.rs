//! What a circuit leaves to a later procedure: the bench and the van of `procedures/bench`, with one change after the other.

use std::collections::BTreeMap;

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::Code;
use fitwright::world::{ReadFault, World};

struct Files(BTreeMap<String, String>);

impl World for Files {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        self.0.get(path).map(|text| text.clone().into_bytes()).ok_or(ReadFault::Missing)
    }
}

const BENCH: &str = "kestrel-panel.fitw";
const FIT: &str = "kestrel-panel-fit.fitw";
const LIBRARY: &str = "lib/panel.fitw";

/// The demo, with each text in place of another; each change must have something to change.
fn changed(changes: &[(&str, &str, &str)]) -> Files {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/procedures/bench");
    let read = |name: &str| std::fs::read_to_string(format!("{folder}/{name}")).expect("a file of the demo");
    let mut files: BTreeMap<String, String> =
        [BENCH, FIT, LIBRARY].into_iter().map(|name| (name.to_owned(), read(name))).collect();
    for (name, old, new) in changes {
        let text = files.get_mut(*name).expect("a file of the demo");
        assert!(text.contains(old), "{name} has no `{old}`");
        *text = text.replace(old, new);
    }
    Files(files)
}

fn codes(compiled: &Compiled) -> Vec<Code> {
    compiled.findings().iter().map(|finding| finding.code).collect()
}

fn bench(changes: &[(&str, &str, &str)]) -> Vec<Code> {
    codes(&compile::check(BENCH, &changed(changes)))
}

fn fit(changes: &[(&str, &str, &str)]) -> Vec<Code> {
    codes(&compile::check(FIT, &changed(changes)))
}

#[test]
fn both_jobs_are_clean_and_the_first_rests_on_the_second() {
    let compiled = compile::check(BENCH, &changed(&[]));
    assert_eq!(codes(&compiled), []);
    assert_eq!(compiled.inputs().collect::<Vec<_>>(), [BENCH, LIBRARY, FIT]);
    let compiled = compile::check(FIT, &changed(&[]));
    assert_eq!(codes(&compiled), []);
    assert_eq!(compiled.inputs().collect::<Vec<_>>(), [FIT, LIBRARY]);
}

#[test]
fn the_later_job_must_do_what_is_left_to_it() {
    let not_done =
        |changes: &[(&str, &str, &str)]| assert_eq!(bench(changes).first(), Some(&Code::FW0942), "{changes:?}");
    not_done(&[(FIT, "    connect switch-lead at van-end\n", "")]);
    not_done(&[(FIT, "connect panel-feed", "note \"The feed is there.\"")]);
    not_done(&[(FIT, "panel-feed \"Feed", "van-feed \"Feed"), (FIT, "connect panel-feed", "connect van-feed")]);
    not_done(&[(
        FIT,
        "circuit panel-feed \"Feed of the panel\" {",
        "option seat \"Seat\" { left  right }\ncircuit panel-feed \"Feed of the panel\" when seat is left {",
    )]);
    not_done(&[(BENCH, "panel-feed of kestrel-panel-fit", "panel-feed of kestrel-panel")]);
    not_done(&[(BENCH, "panel-feed of kestrel-panel-fit", "panel-feed of kestrel-panle-fit")]);
    not_done(&[(BENCH, "panel-feed of kestrel-panel-fit", "panel-feed of lib/panel")]);
    not_done(&[(BENCH, "panel-feed of kestrel-panel-fit", "panel-feed of std/wiring")]);
    not_done(&[(FIT, "isolated by negative-lead off", "isolated by negative-laed off")]);
    assert!(
        bench(&[(BENCH, "panel-feed of kestrel-panel-fit", "panel-feed of ../kestrel-panel-fit")])
            .contains(&Code::FW1303)
    );
}

#[test]
fn where_they_meet_the_numbers_are_the_same() {
    assert_eq!(bench(&[(FIT, "source     12 V", "source     24 V")]), [Code::FW0943, Code::FW0943]);
    // 2 A and 1 A are 3 A.
    assert_eq!(bench(&[(FIT, "load       3 A", "load       2.9 A")]), [Code::FW0943]);
    assert_eq!(bench(&[(FIT, "load       3 A", "load       3.1 A")]), []);
    // What is there in some fittings only comes to what is there in all.
    let some = |load| {
        [
            (BENCH, "part panel ", "option step \"Step\" { none  lit }\npart panel "),
            (BENCH, "circuit step-lamp \"Step lamp\" {", "circuit step-lamp \"Step lamp\" when step is lit {"),
            (BENCH, "    connect step-lamp\n", ""),
            (
                BENCH,
                "  handover {",
                "  step push-lit \"Push the second lead on\" when step is lit { connect step-lamp }\n  handover {",
            ),
            (FIT, "load       3 A", load),
        ]
    };
    assert_eq!(bench(&some("load       2.9 A")), [Code::FW0943]);
    assert_eq!(bench(&some("load       3 A")), []);
}

#[test]
fn nothing_is_live_on_the_bench() {
    // Any order, and taken apart again at any time.
    let any = (
        BENCH,
        "    connect work-lamp\n",
        "    connect work-lamp at bar\n    connect work-lamp at lamp\n    disconnect work-lamp at lamp\n    connect work-lamp at lamp\n",
    );
    assert_eq!(bench(&[any]), []);
    // Without the line the same is a lead that burns; nothing else of the text says that it is dead.
    let fed = ("kestrel-panel.fitw", "  fed later by panel-feed of kestrel-panel-fit\n", "");
    let found = bench(&[any, fed]);
    for code in [Code::FW0901, Code::FW1101] {
        assert!(found.contains(&code), "{code} is not in {found:?}");
    }
    // All points are still to be connected.
    assert_eq!(bench(&[(BENCH, "    connect work-lamp\n", "    connect work-lamp at bar\n")]), [Code::FW0903]);
}

#[test]
fn what_is_left_is_not_done_here_and_done_there() {
    assert_eq!(bench(&[(BENCH, "connect switch-lead", "connect switch-lead at panel-end, van-end")]), [Code::FW0944]);
    // In the van the library's line says what is there already, and what is not.
    assert_eq!(fit(&[(FIT, "    connect switch-lead at van-end\n", "    connect switch-lead\n")]), [Code::FW0904]);
    assert_eq!(fit(&[(LIBRARY, "to kestrel-panel-fit", "to \"The body builder.\"")]).first(), Some(&Code::FW0944));
    // Left to nobody in particular: nothing is held, and the account says so.
    let compiled = compile::check(BENCH, &changed(&[(LIBRARY, "to kestrel-panel-fit", "to \"The body builder.\"")]));
    assert_eq!(codes(&compiled), []);
    assert!(compiled.account().open.iter().any(|open| open.why.contains("The body builder")));
    assert!(bench(&[(LIBRARY, "to kestrel-panel-fit", "to \" \"")]).contains(&Code::FW0114));
    assert!(bench(&[(LIBRARY, "leaves van-end", "leaves van-end, van-end")]).contains(&Code::FW0113));
}

#[test]
fn a_source_that_is_live_burns_at_a_loose_point() {
    // A lead of current whose source is connected while its other end waits for another job.
    let lead = "  source 12 V\n  load 1 A\n  run 1 m\n  wire 16 AWG copper\n  insulation 105 degC\n  ambient 50 degC\n  fuse 3 A at 50 mm\n  drop at most 3 %\n";
    let signals = "circuit switch-lead \"Lead of the ignition signal\" {\n  signals only\n";
    let lead = format!("circuit switch-lead \"Lead of the ignition signal\" {{\n{lead}");
    let found = bench(&[(LIBRARY, signals, &lead)]);
    assert!(found.contains(&Code::FW0901), "{found:?}");
    // Where the source is what is left, nothing is live.
    let found = bench(&[
        (LIBRARY, signals, &lead),
        (LIBRARY, "leaves van-end", "leaves panel-end"),
        (FIT, "switch-lead at van-end", "switch-lead at panel-end"),
    ]);
    assert_eq!(found, [Code::FW1101, Code::FW1105]);
}

#[test]
fn a_long_chain_of_procedures_ends() {
    // Each names the next; only the next is read.
    let circuit = |to: usize| {
        format!(
            "circuit lead \"Lead\" {{\n  signals only\n  point a \"A\" plug\n  point b \"B\" plug\n  leaves b to p{to}\n}}\n"
        )
    };
    let text = |own: usize, to: usize| {
        format!(
            "procedure p{own} \"P\"\n{}section work \"Work\" {{\n  step on \"On\" {{ connect lead }}\n  handover {{ sign installer }}\n}}\n",
            circuit(to)
        )
    };
    let mut files: BTreeMap<String, String> = (0..100).map(|at| (format!("p{at}.fitw"), text(at, at + 1))).collect();
    files.insert("p100.fitw".to_owned(), text(100, 0));
    let compiled = compile::check("p0.fitw", &Files(files));
    assert_eq!(codes(&compiled), [Code::FW0942]);
    assert_eq!(compiled.inputs().collect::<Vec<_>>(), ["p0.fitw", "p1.fitw"]);
    // More than a few are not read for one.
    let many: String = (1..60)
        .map(|at| format!("circuit lead{at} \"Lead {at}\" {{\n  signals only\n  point a{at} \"A\" plug\n  point b{at} \"B\" plug\n  leaves b{at} to p{at}\n}}\n"))
        .collect();
    let connects: String = (1..60).map(|at| format!("    connect lead{at}\n")).collect();
    let root = format!(
        "procedure root \"Root\"\n{many}section work \"Work\" {{\n  step on \"On\" {{\n{connects}  }}\n  handover {{ sign installer }}\n}}\n"
    );
    let mut files: BTreeMap<String, String> = (1..60).map(|at| (format!("p{at}.fitw"), text(at, at + 1))).collect();
    files.insert("root.fitw".to_owned(), root);
    let compiled = compile::check("root.fitw", &Files(files));
    assert!(codes(&compiled).contains(&Code::FW0108));
    assert!(compiled.inputs().count() < 40);
}

/// The schematic shows what this job leaves, and by whom it is done; the later job's title is among the texts to translate.
#[test]
fn drawings_and_translations_have_what_is_left_for_later() {
    let compiled = compile::check(BENCH, &changed(&[]));
    let outputs = compile::build(&compiled).expect("no errors").expect("outputs");
    let manual = String::from_utf8_lossy(outputs.file("manual.html").expect("a manual")).into_owned();
    let drawings: String =
        manual.split("<svg").skip(1).filter_map(|rest| rest.split("</svg>").next()).collect::<Vec<_>>().join("\n");
    assert!(drawings.contains("Fed later: in ") || drawings.contains("Connected later: in "), "no drawing says so");
    let later = compile::check(FIT, &changed(&[]));
    let title = later.procedure().expect("a procedure").name.title.clone();
    let units = fitwright::translate::units(compiled.procedure().expect("a procedure"));
    assert!(units.iter().any(|unit| unit.text.contains(&title)), "{title} is not among the texts");
}
