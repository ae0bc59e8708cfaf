//! Places of an `each` in sections of libraries: a section that expects the places, one that is brought in for each of them, and
//! a library that has places of its own. Each means what the same text means, written in the procedure: the same findings, said
//! once, and the same checklist; and each costs no more.

use std::sync::OnceLock;
use std::time::{Duration, Instant};

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::render::{Style, human};
use fitwright::uses::Names;
use fitwright::world::Memory;
use serde_json::Value;

const HEAD: &str = r#"procedure rack-feet "Feet of the ladder rack"
use std/fasteners
use std/hand-tools
part foot "Foot"
part foot-bolt bolt M8 x 30 mm, class 8.8, hex head
part foot-washer washer M8
part foot-nut nut M8, class 8
part shim-plate "Shim plate"
kit {
  bag A { 3 foot, 6 foot-bolt, 12 foot-washer, 6 foot-nut }
  accept FW0604 for shim-plate "The gaps are measured on the job."
  bag B { 3 shim-plate }
}
tool torque-wrench-40 "Torque wrench, 3/8 in drive" { torque 8 N.m to 40 N.m }
"#;

const PLACES: &str = "each corner \"Corner\" { left \"left\"  middle \"middle\"  right \"right\" }\n";

const THINGS: &str = r#"measure gap "Gap below the foot" for each corner { range 0 mm to 9 mm  reads 1 mm  with steel-rule }
observe flat "Does the pad lie flat?" for each corner { yes  no }
result shim "Shim below the foot" for each corner { one  none }
state strap "Strap of the foot" for each corner { on "on"  off "off"  starts on  ends on }
joint foot-joint "Foot to rail" for each corner {
  each    foot-bolt, 2 foot-washer, foot-nut
  count   2
  torque  22 N.m +- 2 N.m
  thread  plated
  grip    14 mm
}
"#;

const BLOCK: &str = r#"    step open "Open the strap" {
      > Open the strap.
      make strap off
    }
    step measure-gap "Measure the gap" {
      need strap off
      > Push the rule below the foot.
      read gap
      note "It reads [gap]."
    }
    choose gap {
      0 mm to 2 mm { set shim none }
      over 2 mm {
        set shim one
        step lay-shim "Lay the shim" { take 1 shim-plate }
      }
    }
    step bolt-foot "Bolt the foot" {
      > Shims: [shim]. See [measure-gap].
      take 1 foot
      note "The [foot] carries the rack."
      place foot-joint
      snug foot-joint with spanner-13, hold with spanner-13
      record "Mark on the foot"
    }
    check sits "Foot sits" {
      > Look along the pad.
      read flat
      expect flat is yes
      repair at most 2 times {
        step lift "Lift the foot" {
          > Turn the foot round.
        }
      }
      else go on "Tell the owner."
    }
    step close "Close the strap" {
      > Close the strap.
      make strap on
    }
"#;

const TORQUE: &str = r#"  step torque-feet "Torque the feet" {
    tighten foot-joint with torque-wrench-40, socket-13, hold with spanner-13
    record foot-joint torque
  }
"#;

const END: &str = "section end \"Hand over\" {\n@TORQUE@  step look \"Look\" { note \"See [bolt-foot of left].\" }\n  handover { sign installer }\n}\n";

/// What the section expects; `@` stands for `for each corner`.
const EXPECTS: &str =
    "part foot, part shim-plate, measure gap@, observe flat@, result shim@, state strap@, joint foot-joint@";

/// Where the text of the section stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Stands {
    /// In the procedure, with the torques in the last section or not.
    Own(bool),
    /// In a library, which expects the places.
    Expects,
    /// In a library, brought in for each place.
    BroughtForEach,
    /// In a library with everything that is there at the places.
    Library,
}

/// The procedure and its library, with an edit.
fn files(stands: Stands, (from, to): (&str, &str)) -> [String; 2] {
    let edit = |text: &str| text.replace(from, to);
    let (head, places, things, block, torque) = (edit(HEAD), edit(PLACES), edit(THINGS), edit(BLOCK), edit(TORQUE));
    let each = format!("  for each corner {{\n{block}  }}\n");
    let library = "library feet \"Feet of our racks\"\nuse std/fasteners\nuse std/hand-tools\n";
    let in_end = |torque: &str| END.replace("@TORQUE@", torque);
    match stands {
        Stands::Own(true) => {
            [format!("{head}{places}{things}section feet \"Feet\" {{\n{each}}}\n{}", in_end(&torque)), String::new()]
        }
        Stands::Own(false) => {
            [format!("{head}{places}{things}section feet \"Feet\" {{\n{each}{torque}}}\n{}", in_end("")), String::new()]
        }
        Stands::Expects => {
            let expects = format!("each corner, tool torque-wrench-40, {}", EXPECTS.replace('@', " for each corner"));
            [
                format!("{head}{places}{things}section feet \"Feet\" from lib/feet.fit\n{}", in_end("")),
                format!("{library}section fit \"Fit\" expects {expects} {{\n{each}{torque}}}\n"),
            ]
        }
        Stands::BroughtForEach => [
            format!(
                "{head}{places}{things}section feet \"Feet\" for each corner from lib/feet.fit\n{}",
                in_end(&torque)
            ),
            format!("{library}section fit \"Fit\" expects {} {{\n{block}}}\n", EXPECTS.replace('@', "")),
        ],
        Stands::Library => {
            let fasteners = "part foot-bolt bolt M8 x 30 mm, class 8.8, hex head\npart foot-washer washer M8\npart foot-nut nut M8, class 8\n";
            let head = edit(&HEAD.replace(fasteners, ""));
            [
                format!("{head}section feet \"Feet\" from lib/feet.fit\n{}", in_end(&torque)),
                format!(
                    "{library}{fasteners}{places}{things}section fit \"Fit\" expects part foot, part shim-plate {{\n{each}}}\n"
                ),
            ]
        }
    }
}

fn world([procedure, library]: &[String; 2]) -> Memory {
    Memory::default().with("rack.fitw", procedure.as_bytes()).with("lib/feet.fitw", library.as_bytes())
}

fn compiled(stands: Stands, edit: (&str, &str)) -> Compiled {
    compile::check("rack.fitw", &world(&files(stands, edit)))
}

fn alone(stands: Stands, edit: (&str, &str)) -> Compiled {
    compile::check("lib/feet.fitw", &world(&files(stands, edit)))
}

fn shown(compiled: &Compiled) -> String {
    human(compiled.findings(), compiled.sources(), Style::default())
}

fn told(compiled: &Compiled) -> Vec<String> {
    let mut told: Vec<String> = compiled.findings().iter().map(|one| format!("{} {}", one.code, one.message)).collect();
    told.sort();
    told
}

const ALL: [(Stands, Stands); 3] = [
    (Stands::Expects, Stands::Own(false)),
    (Stands::BroughtForEach, Stands::Own(true)),
    (Stands::Library, Stands::Own(true)),
];

#[test]
fn places_in_a_librarys_section_mean_what_they_mean_in_the_procedure() {
    let edits = [
        ("", ""),
        ("      make strap on\n", ""),
        ("      make strap off\n", ""),
        ("      place foot-joint\n", ""),
        ("    tighten foot-joint with torque-wrench-40, socket-13, hold with spanner-13\n", ""),
        ("22 N.m +- 2 N.m", "35 N.m +- 2 N.m"),
        ("spanner-13, hold", "spanner-19, hold"),
        ("over 2 mm {", "over 3 mm {"),
        ("6 foot-nut }", "5 foot-nut }"),
        ("      read gap\n", ""),
        ("      read flat\n", ""),
        ("        set shim one\n", ""),
        ("take 1 shim-plate", "take 2 shim-plate"),
        ("expect flat is yes", "expect gap is at most 4 mm"),
    ];
    for (in_library, own) in ALL {
        let mut with_findings = 0;
        for edit in edits {
            let (shared, written) = (compiled(in_library, edit), compiled(own, edit));
            assert_eq!(told(&shared), told(&written), "{in_library:?} {edit:?}\n{}", shown(&shared));
            with_findings += usize::from(!written.findings().is_empty());
        }
        assert!(with_findings >= 11, "{with_findings} edits were found");
    }
}

/// At the line of the library, with the places, and the line that brought it in.
#[test]
fn a_finding_in_it_is_said_once_and_names_the_places() {
    for (in_library, _) in ALL {
        let found = compiled(in_library, ("      make strap on\n", ""));
        let all: Vec<&str> = found.findings().iter().map(|one| one.message.as_str()).collect();
        assert!(all.iter().any(|message| message.ends_with("(at left, middle and right)")), "{}", shown(&found));
        let found = compiled(in_library, ("spanner-13, hold", "spanner-19, hold"));
        let [one] = found.findings() else { panic!("{}", shown(&found)) };
        let labels: Vec<&str> = one.labels.iter().map(|label| label.text.as_str()).collect();
        assert_eq!(one.labels[0].span.file.place(), None);
        let file = found.sources().get(one.labels[0].span.file).expect("the file");
        assert_eq!(file.name, "lib/feet.fitw", "{}", shown(&found));
        assert!(labels.contains(&"brought in here, as section `feet` of `rack-feet`"), "{labels:?}");
    }
}

fn checklist(compiled: &Compiled) -> Value {
    assert!(!compiled.has_errors(), "{}", shown(compiled));
    let outputs = compile::build(compiled).expect("no errors").expect("outputs");
    let mut checklist = serde_json::from_slice(outputs.file("checklist.json").expect("a checklist")).expect("JSON");
    without_digests(&mut checklist);
    checklist
}

fn without_digests(value: &mut Value) {
    match value {
        Value::Object(members) => {
            members.retain(|name, _| !matches!(name.as_str(), "content_digest" | "source_digest"));
            members.values_mut().for_each(without_digests);
        }
        Value::Array(all) => all.iter_mut().for_each(without_digests),
        _ => {}
    }
}

#[test]
fn the_checklist_is_that_of_the_text_in_the_procedure() {
    for (in_library, own) in ALL {
        let (shared, written) = (checklist(&compiled(in_library, ("", ""))), checklist(&compiled(own, ("", ""))));
        // What a library declares enters in the order in which it is named.
        if in_library == Stands::Library {
            assert_eq!(shared["flow"], written["flow"]);
        } else {
            assert_eq!(shared, written, "{in_library:?}");
        }
    }
    // Paper prints the block once.
    let manual = |stands| {
        let outputs = compile::build(&compiled(stands, ("", ""))).expect("no errors").expect("outputs");
        String::from_utf8_lossy(outputs.file("manual.html").expect("a manual")).into_owned()
    };
    let count = |page: &str| page.matches("Push the rule below the foot.").count();
    for (in_library, own) in ALL {
        assert_eq!(count(&manual(in_library)), count(&manual(own)), "{in_library:?}");
    }
}

#[test]
fn the_library_alone_is_checked_for_what_can_be_known_of_it() {
    for (in_library, _) in ALL {
        let found = alone(in_library, ("", ""));
        assert_eq!(told(&found), Vec::<String>::new(), "{in_library:?}");
        let found = alone(in_library, ("take 1 shim-plate", "take 1 shim-plat"));
        let codes: Vec<&str> = found.findings().iter().map(|one| one.code.text()).collect();
        assert_eq!(codes, ["FW0201"], "{in_library:?}\n{}", shown(&found));
    }
    let cases = [
        // Nothing expects the places.
        ("expects each corner, ", "expects ", "FW0201", "`expects each corner`"),
        ("expects each corner, ", "expects each corner, each door, ", "FW0203", "remove `each door`"),
        (
            "  for each corner {\n",
            "  for each corner {\n    for each corner { step go \"Go\" { note \"Go.\" } }\n",
            "FW0110",
            "",
        ),
    ];
    for (from, to, code, repair) in cases {
        let [procedure, library] = files(Stands::Expects, ("", ""));
        assert!(library.contains(from), "{from}");
        let found = compile::check("lib/feet.fitw", &world(&[procedure, library.replacen(from, to, 1)]));
        let says = found
            .findings()
            .iter()
            .any(|one| one.code.text() == code && one.repair.as_deref().unwrap_or_default().contains(repair));
        assert!(says, "{to}\n{}", shown(&found));
    }
}

#[test]
fn what_is_given_has_to_be_there_for_the_places_that_are_meant() {
    let cases: &[(Stands, &str, &str, &str, &str)] = &[
        (
            Stands::Expects,
            "lib/feet.fit",
            "lib/feet.fit with gap = width",
            "FW0207",
            "expects a measure `gap` for each corner",
        ),
        (
            Stands::Expects,
            "lib/feet.fit",
            "lib/feet.fit with gap = door-gap",
            "FW0207",
            "`door-gap` is there for each door",
        ),
        (Stands::Expects, "lib/feet.fit", "lib/feet.fit with corner = foot", "FW0207", "expects a group of places"),
        (Stands::Expects, "lib/feet.fit", "lib/feet.fit with corner = corners", "FW0201", "corners"),
        (Stands::Expects, "\"Feet\" from", "\"Feet\" for each corner from", "FW0110", "stands in another"),
        (Stands::BroughtForEach, "for each corner from", "from", "FW0211", "there is a `gap` for each corner"),
        (
            Stands::BroughtForEach,
            "lib/feet.fit",
            "lib/feet.fit with gap = door-gap",
            "FW0211",
            "there is a `door-gap` for each door",
        ),
        (Stands::BroughtForEach, "for each corner from", "for each corners from", "FW0201", "corners"),
    ];
    let more = "each door \"Door\" { near \"near\"  far \"far\" }\nmeasure door-gap \"Gap at the door\" for each door { range 0 mm to 9 mm  reads 1 mm  with steel-rule }\nmeasure width \"Width\" { range 0 mm to 9 mm  reads 1 mm  with steel-rule }\nsection feet";
    for (stands, from, to, code, message) in cases {
        let [procedure, library] = files(*stands, ("", ""));
        assert!(procedure.contains(from), "{from}");
        let procedure = procedure.replacen(from, to, 1).replacen("section feet", more, 1);
        let found = compile::check("rack.fitw", &world(&[procedure, library]));
        let says = found.findings().iter().any(|one| one.code.text() == *code && one.message.contains(message));
        assert!(says, "{to}\n{}", shown(&found));
    }
    // Under other names.
    let [procedure, library] = files(Stands::Expects, ("", ""));
    let procedure = procedure.replace("gap \"Gap", "space \"Gap").replace("each corner", "each bracket");
    let procedure = procedure.replace("lib/feet.fit\n", "lib/feet.fit with corner = bracket, gap = space\n");
    let found = compile::check("rack.fitw", &world(&[procedure, library]));
    assert_eq!(told(&found), Vec::<String>::new(), "{}", shown(&found));
}

/// A change in the library concerns the procedures that use it.
#[test]
fn uses_finds_what_is_done_at_places_of_a_librarys_section() {
    for (in_library, own) in ALL {
        let steps = |stands: Stands, name: &str| -> Vec<String> {
            let names = Names::read("rack.fitw", &world(&files(stands, ("", ""))));
            assert!(!names.is_broken());
            let all = names.uses(name).into_iter().flat_map(|(_, uses)| uses);
            let mut steps: Vec<String> = all.filter_map(|one| one.step).map(|step| step.name).collect();
            steps.sort();
            steps
        };
        for name in ["gap", "flat", "foot-joint", "foot-bolt", "shim-plate", "corner"] {
            let found = steps(in_library, name);
            assert!(!found.is_empty(), "{in_library:?} {name}");
            assert_eq!(found, steps(own, name), "{in_library:?} {name}");
        }
        assert!(steps(in_library, "lib/feet.fit").contains(&"close".to_owned()), "{in_library:?}");
    }
}

/// Processor time of this thread so far, which what else the machine does leaves alone.
fn processor_time() -> Duration {
    static START: OnceLock<Instant> = OnceLock::new();
    let stat = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = stat.and_then(|stat| stat.split_whitespace().next()?.parse().ok());
    nanoseconds.map_or_else(|| START.get_or_init(Instant::now).elapsed(), Duration::from_nanos)
}

/// The least of several runs.
fn cheapest(files: &[String; 2]) -> Duration {
    let world = world(files);
    let mut runs = Vec::new();
    for _ in 0..5 {
        let start = processor_time();
        assert!(!compile::check("rack.fitw", &world).has_errors());
        runs.push(processor_time() - start);
    }
    runs.into_iter().min().unwrap_or_default()
}

/// Forty-one places: a section of a library takes no more than its copies in the procedure do. Half as much again is the bound;
/// what were written out twice would take more.
#[test]
fn a_section_of_a_library_costs_what_it_stands_for() {
    let places: String = (0..40).map(|at| format!("  place-{at} \"place {at}\"\n")).collect();
    let places = format!("each corner \"Corner\" {{\n  left \"left\"\n{places}}}\n");
    for (in_library, own) in ALL {
        let many = |stands| {
            files(stands, ("", "")).map(|text| {
                let text = text.replace(PLACES, &places).replace("3 foot,", "41 foot,");
                let text = text.replace("6 foot-bolt", "82 foot-bolt").replace("12 foot-washer", "164 foot-washer");
                text.replace("6 foot-nut", "82 foot-nut").replace("3 shim", "41 shim")
            })
        };
        let (shared, written) = (cheapest(&many(in_library)), cheapest(&many(own)));
        assert!(shared < written + written / 2, "{in_library:?}: {shared:?}, and {written:?} in the procedure");
    }
}
