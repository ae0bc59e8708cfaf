//! What was judged is said, and what was not, with the reason; a value that nobody knows draws no finding and no verdict.

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::Code;
use fitwright::world::Memory;
use serde_json::Value;

const HEAD: &str = "procedure small \"Small\"\nrevision A 2026-11-02\nunits metric\nuse std/fasteners\nuse std/hand-tools\n\
    use std/wiring\nabout {\n licence \"Local codes go before this procedure.\"\n}\n";

fn compiled(body: &str) -> Compiled {
    compile::check("small.fitw", &Memory::default().with("small.fitw", format!("{HEAD}{body}")))
}

fn codes(compiled: &Compiled) -> Vec<Code> {
    // The libraries of the head are for all of these texts.
    compiled.findings().iter().map(|finding| finding.code).filter(|code| *code != Code::FW0214).collect()
}

/// What is open, as `subject / what: why`.
fn open(compiled: &Compiled) -> Vec<String> {
    let open = compiled.account().open.iter();
    open.map(|open| format!("{} / {}: {}", open.subject, open.what, open.why)).collect()
}

/// A nut M6 on the vehicle's own stud, at 5 N.m, with more lines of the joint.
fn stud(lines: &str) -> Compiled {
    compiled(&format!(
        "part stud-nut nut M6, class 8\nkit {{ bag A {{ 1 stud-nut }} }}\n\
         tool small-wrench \"Small torque wrench\" {{ torque 2 N.m to 20 N.m }}\n\
         joint stud \"Stud\" {{ each stud-nut  onto stud M6  torque 5 N.m +- 0.5 N.m  {lines} }}\n\
         section work \"Work\" {{\n step fit \"Fit the nut\" {{\n  place stud\n  \
         tighten stud with small-wrench, socket-10\n  record stud torque\n }}\n handover {{ sign installer }}\n}}\n"
    ))
}

/// Of a step that has only sentences, with what it takes and uses, nothing says what is done: it is told, and not counted as judged.
#[test]
fn steps_that_only_words_describe_are_told() {
    let with = |step: &str| {
        compiled(&format!(
            "part plate \"Plate\" {{ mass 0.4 kg }}\nkit {{ bag A {{ 1 plate }} }}\n\
             state edge \"Edge\" {{\n bare \"bare\"\n painted \"painted\"\n starts bare\n}}\n\
             section work \"Work\" {{\n step first \"Close the hole\" {{\n{step}\n }}\n \
             step set-plate \"Set the plate\" {{\n  > Set the [plate] over the hole.\n  take 1 plate\n  wait 1 min\n }}\n \
             handover {{ sign installer }}\n}}\n"
        ))
    };
    let told = |compiled: &Compiled| -> Vec<String> {
        assert!(compiled.account().proved, "{:?}", compiled.findings());
        compiled.account().in_words.iter().map(|one| one.subject.clone()).collect()
    };
    let counts = |compiled: &Compiled| compiled.account().counts();
    for lines in [
        "> Paint the edge.",
        "> Paint the edge.\n  use ratchet-1-4-drive\n  takes 3 min",
        "> Paint it.\n need edge bare",
    ] {
        let only = with(lines);
        assert_eq!(told(&only), ["Close the hole (first)"], "{lines}");
        assert!(counts(&only).contains("1 step,"), "{}", counts(&only));
    }
    for lines in ["> Paint the edge.\n  make edge painted", "> Let it dry.\n  wait 10 min", "use ratchet-1-4-drive"] {
        let said = with(lines);
        assert_eq!(told(&said), Vec::<String>::new(), "{lines}");
        assert!(counts(&said).contains("2 steps,"), "{}", counts(&said));
    }
}

/// Nobody knows how many nuts the bag holds: the joint that takes them is not counted as judged, and its row says how many it takes.
#[test]
fn a_joint_of_which_nobody_counted_the_parts_is_told() {
    let with = |kit: &str| {
        compiled(&format!(
            "part stud-nut nut M6, class 8\nkit {{ bag A {{ {kit} }} }}\n\
             tool small-wrench \"Small torque wrench\" {{ torque 2 N.m to 20 N.m }}\n\
             joint stud \"Stud\" {{ each stud-nut  count 3  onto stud M6, class 8.8  thread dry  torque 5 N.m +- 0.5 N.m }}\n\
             section work \"Work\" {{\n step fit \"Fit the nuts\" {{\n  place stud\n  \
             tighten stud with small-wrench, socket-10\n  record stud torque\n }}\n handover {{ sign installer }}\n}}\n"
        ))
    };
    let row = "Stud (stud) / Number of Nut M6, class 8: it takes 3, and how many the kit holds is unknown";
    let unknown = with("unknown stud-nut \"It is filled by weight.\"");
    assert!(open(&unknown).iter().any(|told| told == row), "{:?}", open(&unknown));
    let counted = with("3 stud-nut");
    assert!(open(&counted).iter().all(|told| !told.contains("Number of")), "{:?}", open(&counted));
    let joints = |compiled: &Compiled| compiled.account().counts().contains("1 joint");
    assert!(joints(&counted) && !joints(&unknown), "{}", unknown.account().counts());
}

#[test]
fn what_nobody_knows_of_a_joint_draws_no_finding_and_stands_in_the_account() {
    let asked = stud("");
    assert!(codes(&asked).contains(&Code::FW0708), "{:?}", asked.findings());
    let known = stud("class unknown \"The stud is the vehicle's.\"  thread unknown \"Nobody knows.\"");
    assert_eq!(codes(&known), [], "{:?}", known.findings());
    let told = open(&known);
    assert!(told.contains(&"Stud (stud) / Class: unknown: The stud is the vehicle's".to_owned()), "{told:?}");
    assert!(told.contains(&"Stud (stud) / Condition of the thread: unknown: Nobody knows".to_owned()), "{told:?}");
    // One of the two is still asked for.
    assert_eq!(codes(&stud("thread unknown \"Nobody knows.\"")), [Code::FW0708]);
    assert_eq!(codes(&stud("class unknown \"The stud is the vehicle's.\"")), [Code::FW0708]);
}

#[test]
fn a_thread_that_nobody_knows_stands_in_the_account_once() {
    let joint = |into: &str| {
        compiled(&format!(
            "part post-bolt bolt M8 x 20 mm, class 8.8, hex head\nkit {{ bag A {{ 1 post-bolt }} }}\n\
             joint post \"Post\" {{ each post-bolt  torque 22 N.m +- 2 N.m  thread dry  {into} }}\n\
             section work \"Work\" {{\n step fit \"Fit it\" {{\n  place post\n  tighten post with torque-wrench-1-4-drive, socket-13\n  \
             record post torque\n }}\n handover {{ sign installer }}\n}}\n"
        ))
    };
    assert_eq!(codes(&joint("")), [Code::FW0718]);
    let known = joint("into unknown \"The insert is the battery maker's.\"");
    assert_eq!(codes(&known), [], "{:?}", known.findings());
    let told = open(&known);
    let of_thread: Vec<&String> =
        told.iter().filter(|told| told.contains("hread engaged") || told.contains("goes into")).collect();
    assert_eq!(of_thread, ["Post (post) / Thread that the bolt goes into: unknown: The insert is the battery maker's"]);
}

/// A feed whose load its wire bears by far when cold, and not where insulation and place are warm; with lines about warmth.
fn feed(warmth: &str) -> Compiled {
    fed(warmth, "fuse 40 A at 150 mm")
}

fn fed(warmth: &str, fuse: &str) -> Compiled {
    compiled(&format!(
        "circuit feed \"Feed\" {{ source 12 V  load 30 A  run 1 m  wire 16 AWG copper  {warmth}  {fuse} }}\n\
         section work \"Work\" {{\n step wire-up \"Connect\" {{\n  warning live-circuit {{\n   hazard \"It is live.\"\n   \
         consequence \"A short circuit burns.\"\n   avoid \"Connect the source last.\"\n  }}\n  connect feed at load, source\n }}\n \
         handover {{ sign installer }}\n}}\n"
    ))
}

#[test]
fn no_verdict_rests_on_a_warmth_that_nobody_knows() {
    // 16 AWG with insulation for 105 degC carries 25 A in air of 30 degC (33 CFR 183.425, table 5): 30 A are too much.
    let known = feed("insulation 105 degC  ambient 30 degC");
    assert!(codes(&known).contains(&Code::FW0914), "{:?}", known.findings());
    let unknown = feed("insulation unknown \"The harness is bought in.\"  ambient 30 degC");
    let resting = [Code::FW0909, Code::FW0910, Code::FW0914, Code::FW0918];
    assert!(codes(&unknown).iter().all(|code| !resting.contains(code)), "{:?}", unknown.findings());
    let told = open(&unknown);
    let insulation = "Feed (feed) / Temperature that the insulation bears: unknown: The harness is bought in";
    assert!(told.contains(&insulation.to_owned()), "{told:?}");
}

/// Nothing is asked of a distance that nobody knows, and paper and account say so; rating and wire are judged all the same.
#[test]
fn a_fuse_may_be_anywhere_where_the_writer_says_why() {
    let warm = "insulation 105 degC  ambient 30 degC";
    let silent = fed(warm, "fuse 40 A");
    let said = fed(warm, "fuse 40 A at unknown \"It stands in the vehicle's box.\"");
    assert!(codes(&silent).contains(&Code::FW0918), "{:?}", silent.findings());
    assert!(!codes(&said).contains(&Code::FW0918), "{:?}", said.findings());
    // 30 A on a wire that carries 25 A, as above.
    assert!(codes(&said).contains(&Code::FW0914), "{:?}", said.findings());
    let distance =
        "Feed (feed) / Distance of the breaker or fuse from the source: unknown: It stands in the vehicle's box";
    assert!(open(&said).contains(&distance.to_owned()), "{:?}", open(&said));
}

#[test]
fn a_drop_that_is_too_large_even_cold_is_found_whatever_is_unknown() {
    let text = |warmth: &str, run: &str| {
        format!(
            "circuit feed \"Feed\" {{ source 12 V  load 10 A  run {run}  wire 16 AWG copper  {warmth}  fuse 15 A at 150 mm  drop at most 3 % }}\n\
             section work \"Work\" {{\n step wire-up \"Connect\" {{\n  warning live-circuit {{\n   hazard \"It is live.\"\n   \
             consequence \"A short circuit burns.\"\n   avoid \"Connect the source last.\"\n  }}\n  connect feed at load, source\n }}\n \
             handover {{ sign installer }}\n}}\n"
        )
    };
    let unknown = "insulation unknown \"Bought in.\"  ambient unknown \"Differs.\"";
    // 16 AWG is 13.2 mOhm/m at 20 degC (ASTM B258 and 1.7241e-8 ohm m): 10 A over 2 x 5 m lose 1.32 V, 11 %; over 2 x 1 m 2.2 %.
    assert!(codes(&compiled(&text(unknown, "5 m"))).contains(&Code::FW0905));
    let short = compiled(&text(unknown, "1 m"));
    assert!(!codes(&short).contains(&Code::FW0905), "{:?}", short.findings());
    assert!(open(&short).iter().any(|open| open.starts_with("Feed (feed) / Drop: ")), "{:?}", open(&short));
}

#[test]
fn whatever_a_calculation_calls_not_judged_is_in_the_account() {
    let demo = |name: &str| std::fs::read_to_string(format!("procedures/{name}.fitw")).expect("a demo");
    let mut seen = 0;
    for name in ["finch-vise", "heron-box", "kestrel-rack", "wren-battery"] {
        let compiled = compile::check(name, &Memory::default().with(name, demo(name)));
        let told = open(&compiled);
        for worked in compiled.worked_out() {
            let working = compiled.working(worked).expect("a working");
            let data: Value = serde_json::from_str(&working.json()).expect("JSON");
            let lines = data["lines"].as_array().expect("lines");
            for line in lines.iter().filter(|line| line["standing"] == "open") {
                let text = |field: &str| line[field].as_str().expect("text").to_owned();
                let wanted = format!("{} / {}: {}", working.title, text("what"), text("result"));
                assert!(told.contains(&wanted), "{name}: {wanted}");
                seen += 1;
            }
        }
    }
    assert!(seen > 0, "no demo leaves anything open");
}

#[test]
fn what_is_accepted_is_told_with_its_reason_and_its_words() {
    let accepted = stud("").account().accepted.len();
    assert_eq!(accepted, 0);
    let text = "accept FW0708 at 5 N.m +- 0.5 N.m \"The handbook's torque.\"\n";
    let with = compiled(&format!(
        "part stud-nut nut M6, class 8\nkit {{ bag A {{ 1 stud-nut }} }}\n\
         tool small-wrench \"Small torque wrench\" {{ torque 2 N.m to 20 N.m }}\n{text}\
         joint stud \"Stud\" {{ each stud-nut  onto stud M6  torque 5 N.m +- 0.5 N.m }}\n\
         section work \"Work\" {{\n step fit \"Fit the nut\" {{\n  place stud\n  \
         tighten stud with small-wrench, socket-10\n  record stud torque\n }}\n handover {{ sign installer }}\n}}\n"
    ));
    let [one] = &with.account().accepted[..] else { panic!("{:?}", with.account()) };
    assert_eq!((one.code, one.reason.as_str()), (Code::FW0708, "The handbook's torque."));
    assert!(one.message.contains("`stud`"), "{}", one.message);
}

#[test]
fn while_the_text_is_not_understood_nothing_counts_as_judged() {
    let broken = compiled(
        "section work \"Work\" {\n step fit \"Fit\" {\n  place nothing-such\n }\n handover { sign installer }\n}\n",
    );
    assert!(!broken.account().proved && broken.account().judged.is_empty());
    // Rules that forbid every configuration leave nothing to be proved either.
    let none = compiled(
        "option arm \"Arm\" { strut  powered }\nrequire arm is strut \"So.\"\nrequire arm is powered \"So.\"\n\
         section work \"Work\" {\n step fit \"Fit\" when arm is strut {\n  > Fit it.\n }\n handover { sign installer }\n}\n",
    );
    assert!(codes(&none).contains(&Code::FW0408), "{:?}", none.findings());
    assert!(!none.account().proved && none.account().judged.is_empty());
}

#[test]
fn the_account_stands_in_the_build_and_on_the_manual() {
    let known = stud("class unknown \"The stud is the vehicle's.\"  thread unknown \"Nobody knows.\"");
    let outputs = compile::build(&known).expect("clean").expect("outputs");
    let file = |name: &str| std::str::from_utf8(outputs.file(name).expect("a file")).expect("text").to_owned();
    let build: Value = serde_json::from_str(&file("build.json")).expect("JSON");
    let account = &build["account"];
    assert_eq!(account["judged"]["fittings"], 1);
    let told: Vec<String> =
        account["not_judged"].as_array().expect("rows").iter().map(|row| row["why"].to_string()).collect();
    assert_eq!(told.len(), known.account().open.len());
    let manual = file("manual.html");
    assert!(
        manual.contains("unknown: The stud is the vehicle&#x27;s")
            || manual.contains("unknown: The stud is the vehicle's")
    );
}
