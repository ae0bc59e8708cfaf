//! A section that stands once in a library means what the same text means, written in the procedure with the procedure's
//! names: the same findings and the same checklist. What is wrong in it is said at the library's line, once in each procedure,
//! with the line that brought it in; what can be known of the library alone is said of the library.

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::Finding;
use fitwright::diagnostics::render::{Style, human};
use fitwright::world::Memory;
use serde_json::Value;

/// What the library declares. It is there in both.
const LIBRARY: &str = r#"library wiring "Wiring of the lamps"
use std/fasteners
use std/hand-tools
use std/hazards
use std/wiring
state negative-lead "Negative battery lead" { on "on its post"  off "off its post"  starts on  ends on }
measure gap "Gap at the sill" { range 0 mm to 20 mm  reads 1 mm  with steel-rule }
result shim "Shim below the lamp" { one  none }
part lamp-bolt bolt M8 x 30 mm, class 8.8, hex head
part lamp-washer washer M8
part lamp-nut nut M8, class 8
joint lamp-joint "Lamp to sill" {
  each    lamp-bolt, 2 lamp-washer, lamp-nut
  count   2
  torque  22 N.m +- 2 N.m
  thread  plated
  grip    14 mm
}
"#;

/// The section. `@NAME@` is a name that it expects.
const SECTION: &str = r#"  step lead-off "Take the negative lead off" {
    > Take the negative lead off its post.
    use  spanner-10
    make negative-lead off
  }
  step measure-gap "Measure the gap" {
    > Push the rule below the lamp, on the [@side@].
    read gap
    note "The [@harness@] hangs free."
    takes 2 min
  }
  choose gap {
    0 mm to 9 mm { set shim none }
    over 9 mm {
      set shim one
      step lay-shim "Lay the shim" { take 1 @plate@ }
    }
  }
  step fit-lamp "Fit the lamp" {
    > Shims: [shim]. See [measure-gap].
    place lamp-joint
    snug lamp-joint with spanner-13, hold with spanner-13
    take 1 @harness@
    takes 3 min
  }
  step connect-lamp "Connect the lamp" when @side@ is kerb {
    need negative-lead off
    warning live-circuit {
      hazard      "The feed of the [@harness@] is live."
      consequence "A short circuit can burn a hand."
      avoid       "Keep the negative lead off its post."
    }
    connect @feed@
  }
  check dry "Is it dry?" {
    > Look along the pad.
    read @flat@
    expect @flat@ is yes
    repair at most 2 times {
      step wipe "Wipe it" { note "Wipe the [@harness@]." }
    }
    else go on "Tell the owner."
  }
  step torque-lamp "Torque the lamp" {
    use @wrench@
    tighten lamp-joint with @wrench@, socket-13, hold with spanner-13
    record lamp-joint torque
  }
  step lead-on "Put the negative lead back" {
    > Put the negative lead back on its post.
    use  spanner-10
    make negative-lead on
  }
"#;

const EXPECTS: &str = "part harness, part plate, option side, circuit feed,\n  observe flat, tool wrench";
const GIVEN: &str = "harness = lamp-harness, feed = sill-feed,\n  plate = shim-plate, wrench = torque-wrench-40";

/// What `with` says, as pairs.
fn own_names() -> &'static [(&'static str, &'static str)] {
    &[("harness", "lamp-harness"), ("feed", "sill-feed"), ("plate", "shim-plate"), ("wrench", "torque-wrench-40")]
}

const HEAD: &str = r#"procedure sill-lamp "Lamp at the sill"
use std/hand-tools
use std/wiring
about { licence "Local codes and licensed practice decide who may do this work. They go before this procedure." }
option side "Loading side" { kerb "kerb side"  road "road side" }
observe flat "Is the pad dry?" { yes  no }
part lamp-harness "Harness of the lamp"
part shim-plate "Shim plate"
tool torque-wrench-40 "Torque wrench, 3/8 in drive" { torque 8 N.m to 40 N.m }
kit {
  bag A { 1 lamp-harness, 2 lamp-bolt, 4 lamp-washer, 2 lamp-nut }
  accept FW0604 for shim-plate "The gap is measured on the job."
  bag B { 1 shim-plate }
}
circuit sill-feed "Feed of the lamp" when side is kerb { source 12 V  load 2 A  run 3 m  wire 16 AWG copper  insulation 105 degC  ambient 40 degC  fuse 5 A at 100 mm }
"#;

const TAIL: &str = "section end \"Hand over\" {\n  step look \"Look\" { note \"See [fit-lamp]. Lamp on the [side].\" }\n  handover { sign installer }\n}\n";

/// The section with the names of whoever reads it.
fn named(text: &str, names: &[(&str, &str)]) -> String {
    let renamed = names.iter().fold(text.to_owned(), |text, (theirs, own)| text.replace(&format!("@{theirs}@"), own));
    renamed.replace('@', "")
}

/// The procedure and its library, with the section in the library, and with the section in the procedure; both with the
/// same edit.
fn both(from: &str, to: &str) -> [(String, String); 2] {
    let edit = |text: &str| text.replace(from, to);
    assert!(from.is_empty() || [HEAD, LIBRARY, SECTION].iter().any(|text| text.contains(from)), "{from}");
    let (head, library, section) = (edit(HEAD), edit(LIBRARY), edit(SECTION));
    [
        (
            format!("{head}section wiring \"Wire the lamp\" from lib/wiring.lamp with {GIVEN}\n{TAIL}"),
            format!("{library}section lamp \"Lamp\" expects {EXPECTS} {{\n{}}}\n", named(&section, &[])),
        ),
        (
            format!(
                "{head}use lib/wiring\nsection wiring \"Wire the lamp\" {{\n{}}}\n{TAIL}",
                named(&section, own_names())
            ),
            library,
        ),
    ]
}

fn compiled((procedure, library): &(String, String)) -> Compiled {
    let world = Memory::default().with("lamp.fitw", procedure.as_bytes()).with("lib/wiring.fitw", library.as_bytes());
    compile::check("lamp.fitw", &world)
}

fn alone(library: &str) -> Compiled {
    compile::check("lib/wiring.fitw", &Memory::default().with("lib/wiring.fitw", library.as_bytes()))
}

fn shown(compiled: &Compiled) -> String {
    human(compiled.findings(), compiled.sources(), Style::default())
}

fn told(findings: &[Finding]) -> Vec<String> {
    let mut told: Vec<String> = findings.iter().map(|one| format!("{} {}", one.code, one.message)).collect();
    told.sort();
    told
}

fn codes(compiled: &Compiled) -> Vec<&'static str> {
    compiled.findings().iter().map(|finding| finding.code.text()).collect()
}

/// What is wrong by one edit is wrong in the same words, wherever the section stands.
#[test]
fn a_section_of_a_library_means_what_it_means_in_the_procedure() {
    let edits = [
        ("", ""),
        ("    need negative-lead off\n", "    need negative-lead on\n"),
        ("    make negative-lead on\n", ""),
        ("    place lamp-joint\n", ""),
        ("    tighten lamp-joint with @wrench@, socket-13, hold with spanner-13\n", ""),
        ("22 N.m +- 2 N.m", "35 N.m +- 2 N.m"),
        ("spanner-13, hold", "spanner-19, hold"),
        ("over 9 mm {", "over 10 mm {"),
        ("set shim none", "set shim one"),
        ("2 lamp-nut }", "1 lamp-nut }"),
        ("fuse 5 A", "fuse 40 A"),
        ("    read @flat@\n", ""),
        ("    read gap\n", ""),
        ("    connect @feed@\n", ""),
        (" when @side@ is kerb {", " {"),
        ("@side@ is kerb", "@side@ is left"),
        ("expect @flat@ is yes", "expect gap is at most 4 mm"),
        ("take 1 @plate@", "take 2 @plate@"),
        (", on the [@side@].", ", on the [@sides@]."),
    ];
    let mut with_findings = 0;
    for (from, to) in edits {
        let [once, written] = both(from, to);
        let (shared, own) = (compiled(&once), compiled(&written));
        assert_eq!(told(shared.findings()), told(own.findings()), "{from} → {to}\n{}", shown(&shared));
        with_findings += usize::from(!own.findings().is_empty());
        // At the same words of the text, and with the line that brings it in.
        for (finding, other) in pairs(&shared, &own) {
            let text = |compiled: &Compiled, finding: &Finding| {
                finding.span().map(|span| compiled.sources().text(span).to_owned()).unwrap_or_default()
            };
            let (here, there) = (text(&shared, finding), text(&own, other));
            let written = own_names().iter().fold(there, |text, (theirs, own)| text.replace(own, theirs));
            let here = own_names().iter().fold(here, |text, (theirs, own)| text.replace(own, theirs));
            assert_eq!(here, written, "{from} → {to}");
            let in_library = is_shared(&shared, finding);
            let says_so = finding.labels.iter().any(|label| {
                shared.sources().text(label.span) == "lib/wiring.lamp"
                    && label.text == "brought in here, as section `wiring` of `sill-lamp`"
            });
            assert!(!in_library || says_so, "{}", shown(&shared));
        }
    }
    assert!(with_findings >= 15, "{with_findings} edits were found");
}

fn pairs<'c>(shared: &'c Compiled, own: &'c Compiled) -> Vec<(&'c Finding, &'c Finding)> {
    let sorted = |compiled: &'c Compiled| {
        let mut all: Vec<&Finding> = compiled.findings().iter().collect();
        all.sort_by_key(|one| (one.code, one.message.clone()));
        all
    };
    sorted(shared).into_iter().zip(sorted(own)).collect()
}

/// Whether a finding lies between the braces of the library's section.
fn is_shared(compiled: &Compiled, finding: &Finding) -> bool {
    let Some(span) = finding.span() else { return false };
    let Some(file) = compiled.sources().get(span.file).filter(|file| file.name == "lib/wiring.fitw") else {
        return false;
    };
    file.text.find("section lamp").is_some_and(|section| span.start as usize > section)
}

fn checklist(compiled: &Compiled) -> Value {
    assert!(!compiled.has_errors(), "{}", shown(compiled));
    let outputs = compile::build(compiled).expect("no errors").expect("outputs");
    serde_json::from_slice(outputs.file("checklist.json").expect("a checklist")).expect("JSON")
}

/// Takes out digests, and what a writer wrote in brackets: which thing it means stands beside it.
fn without_digests(value: &mut Value) {
    match value {
        Value::Object(members) => {
            members.retain(|name, _| !matches!(name.as_str(), "content_digest" | "source_digest"));
            for (name, value) in members.iter_mut() {
                if let (true, Value::String(text)) =
                    (matches!(name.as_str(), "text" | "markdown" | "words"), &mut *value)
                {
                    *text = text.replace("[harness]", "[lamp-harness]");
                    if *text == "harness" {
                        *text = "lamp-harness".to_owned();
                    }
                }
                without_digests(value);
            }
        }
        Value::Array(all) => all.iter_mut().for_each(without_digests),
        _ => {}
    }
}

#[test]
fn the_checklist_is_that_of_the_text_written_out() {
    let [shared, own] = both("", "").map(|files| {
        let mut checklist = checklist(&compiled(&files));
        without_digests(&mut checklist);
        checklist
    });
    assert_eq!(shared["flow"][0]["title"], "Wire the lamp");
    assert_eq!(serde_json::to_string_pretty(&shared).expect("JSON"), serde_json::to_string_pretty(&own).expect("JSON"));
}

/// A change of one byte in the section is another source.
#[test]
fn the_digest_of_the_source_covers_the_library() {
    let [once, _] = both("", "");
    let [changed, _] = both("Look along the pad.", "Look along the pad!");
    let digest = |files| checklist(&compiled(files))["source_digest"].clone();
    assert!(digest(&once).is_string() || checklist(&compiled(&once)).to_string().contains("source_digest"));
    assert_ne!(checklist(&compiled(&once)).to_string(), checklist(&compiled(&changed)).to_string());
}

#[test]
fn what_cannot_be_meant_is_refused_with_what_to_write() {
    let [(right, library), _] = both("", "");
    let cases = [
        ("harness = lamp-harness, ", "", "FW0212", "with harness = lamp-harness"),
        ("harness = lamp-harness", "harness = sill-feed", "FW0207", "harness = NAME"),
        ("harness = lamp-harness", "harness = lamp-harnes", "FW0201", "`lamp-harness`"),
        ("harness = lamp-harness", "harnes = lamp-harness", "FW0212", "`harness = lamp-harness`"),
        ("harness = lamp-harness", "harness = lamp-harness, harness = shim-plate", "FW0113", "Remove one"),
        ("lib/wiring.lamp", "lib/wiring.lamps", "FW0201", "`from lib/wiring.lamp`"),
        ("lib/wiring.lamp", "lib/wirings.lamp", "FW0206", "lib/wirings"),
        ("lib/wiring.lamp", "lib/wiring", "FW0101", "from lib/wiring.NAME"),
        ("step look \"Look\"", "step lead-off \"Look\"", "FW0202", "Rename the one that stands in the procedure"),
        ("section wiring \"Wire the lamp\" from", "section wiring \"Wire the lamp\" form", "FW0101", ""),
    ];
    for (from, to, code, repair) in cases {
        assert!(right.contains(from), "{from}");
        let compiled = compiled(&(right.replacen(from, to, 1), library.clone()));
        let says =
            |one: &&Finding| one.code.text() == code && one.repair.as_deref().unwrap_or_default().contains(repair);
        assert!(compiled.findings().iter().any(|one| says(&one)), "{to}: {}", shown(&compiled));
    }
    // Brought in once.
    let again =
        right.replace("section end", "section again from lib/wiring.lamp with harness = lamp-harness\nsection end");
    let again = compiled(&(again, library.clone()));
    assert_eq!(codes(&again), ["FW0202"], "{}", shown(&again));
    // One of several places is given by its name with the place.
    let places = "each end-of-it \"End\" { front \"front\"  rear \"rear\" }\nobserve wet \"Is it dry?\" for each end-of-it { yes  no }\n";
    let right = right.replace("observe flat \"Is the pad dry?\" { yes  no }\n", places);
    let of = |given: &str| {
        compiled(&(
            right.replace("harness = lamp-harness", &format!("harness = lamp-harness, flat = {given}")),
            library.clone(),
        ))
    };
    assert_eq!(codes(&of("wet")), ["FW0211"]);
    assert!(!of("wet of front").has_errors(), "{}", shown(&of("wet of front")));
}

#[test]
fn the_library_alone_says_what_can_be_known_of_it() {
    let [(_, library), _] = both("", "");
    assert_eq!(told(alone(&library).findings()), Vec::<String>::new());
    let cases = [
        ("take 1 harness", "take 1 harnes", "FW0201", "Write `harness`"),
        ("part harness, ", "", "FW0201", "`expects part harness`"),
        ("part harness", "tool harness", "FW0207", ""),
        ("connect feed", "connect harness", "FW0207", ""),
        ("part plate", "part plate, part tape", "FW0203", "remove `part tape`"),
        ("part plate", "part plate, part plate", "FW0202", "Remove one"),
        ("part plate", "part plate, joint lamp-joint", "FW0202", "Don't expect what the library has"),
        ("takes 3 min", "takes 3 mm", "FW0302", ""),
        ("See [measure-gap]", "See [measure-gaps]", "FW0201", "measure-gap"),
        ("See [measure-gap]", "See [lay-shim.b]", "FW0201", "lay-shim"),
        (
            "  check dry",
            "  for each corner { step go \"Go\" { note \"Go.\" } }\n  check dry",
            "FW0201",
            "`expects each corner`",
        ),
    ];
    for (from, to, code, repair) in cases {
        assert!(library.contains(from), "{from}");
        let compiled = alone(&library.replacen(from, to, 1));
        assert!(codes(&compiled).contains(&code), "{to}: {}", shown(&compiled));
        let says =
            |one: &&Finding| one.code.text() == code && one.repair.as_deref().unwrap_or_default().contains(repair);
        assert!(compiled.findings().iter().any(|one| says(&one)), "{to}: {}", shown(&compiled));
    }
    // Two sections with a step of one name, which no procedure could bring in both.
    let two = format!("{library}section other \"Other\" {{\n  step fit-lamp \"Fit\" {{ note \"Fit it.\" }}\n}}\n");
    let found = alone(&two);
    assert_eq!(codes(&found), ["FW0202"], "{}", shown(&found));
    let repair = found.findings().iter().find_map(|finding| finding.repair.clone()).unwrap_or_default();
    assert!(repair.contains("no procedure can bring in both"), "{repair}");
    // What another section of the library does is not there for this one.
    let two = format!("{library}section other \"Other\" {{\n  step see \"See\" {{ note \"See [fit-lamp].\" }}\n}}\n");
    assert_eq!(codes(&alone(&two)), ["FW0201"]);
}

/// What the procedure declares and doesn't give is none of the section's business.
#[test]
fn a_section_sees_its_library_and_what_it_is_given() {
    let [(procedure, library), _] = both("note \"Wipe the [@harness@].\"", "take 1 shim-plate");
    let compiled = compiled(&(procedure, library.clone()));
    assert_eq!(codes(&compiled), ["FW0201"], "{}", shown(&compiled));
    assert_eq!(codes(&alone(&library)), ["FW0201"]);
}

/// An acceptance in the library holds in each procedure, and is idle in none; one before `section … from` holds in its own.
#[test]
fn what_is_accepted_in_a_shared_section_is_accepted_where_it_is_raised() {
    let step = "  step torque-lamp \"Torque the lamp\" {\n";
    let unknown = format!("  accept FW9999 \"It is so.\"\n{step}");
    let idle = format!("  accept FW0604 for harness \"Another procedure gives a tool that fits less well.\"\n{step}");
    let [(procedure, library), _] = both(step, &idle);
    assert_eq!(codes(&compiled(&(procedure.clone(), library.clone()))), Vec::<&str>::new());
    assert_eq!(codes(&alone(&library)), Vec::<&str>::new());
    let [(_, library), _] = both(step, &unknown);
    assert_eq!(codes(&alone(&library)), ["FW0115"]);
    // Accepted before the line that brings it in.
    let [(procedure, library), _] = both("else go on \"Tell the owner.\"", "else stop \"Tell the owner.\"");
    let found = compiled(&(procedure.clone(), library.clone()));
    assert!(codes(&found).contains(&"FW0803"), "{}", shown(&found));
    let accepted = "accept FW0803 for negative-lead \"The owner drives nowhere.\"\nsection wiring \"";
    let accepted = compiled(&(procedure.replace("section wiring \"", accepted), library));
    assert!(!codes(&accepted).iter().any(|code| ["FW0803", "FW0115", "FW0116"].contains(code)), "{}", shown(&accepted));
}
