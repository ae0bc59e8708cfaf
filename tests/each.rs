//! What is said once for several places means what its copies mean, written by hand: the same findings and the same checklist
//! but for names. What is wrong at all places is said once, and names them.

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::Finding;
use fitwright::world::Memory;
use serde_json::Value;

const PLACES: &[(&str, &str)] = &[
    ("front-left", "front left"),
    ("front-right", "front right"),
    ("rear-left", "rear left"),
    ("rear-right", "rear right"),
];

/// What does not depend on the place.
const HEAD: &str = r#"procedure rack-feet "Feet of the ladder rack"
use std/fasteners
use std/hand-tools
use std/hazards
use std/wiring
about { licence "Local codes and licensed practice decide who may do this work. They go before this procedure." }
part foot "Foot"
part foot-bolt bolt M8 x 30 mm, class 8.8, hex head
part foot-washer washer M8
part foot-nut nut M8, class 8
part shim-plate "Shim plate"
kit {
  bag A { 4 foot, 8 foot-bolt, 16 foot-washer, 8 foot-nut }
  accept FW0604 for shim-plate "The gaps are measured on the job."
  bag B { 4 shim-plate }
}
tool torque-wrench-40 "Torque wrench, 3/8 in drive" { torque 8 N.m to 40 N.m }
"#;

/// What is there at each place. `@` stands for the place in a name, `~` for the place in a title, `%` for `for each corner`.
const THINGS: &str = r#"measure gap@ "Gap below the foot~"% { range 0 mm to 9 mm  reads 1 mm  with steel-rule }
observe flat@ "Does the pad lie flat~"% { yes  no }
result shim@ "Shim below the foot~"% { one  none }
state strap@ "Strap of the foot~"% { on "on"  off "off"  starts on  ends on }
joint foot-joint@ "Foot to rail~"% {
  each    foot-bolt, 2 foot-washer, foot-nut
  count   2
  torque  22 N.m +- 2 N.m
  thread  plated
  grip    14 mm
}
circuit light@ "Light of the foot~"% { source 12 V  load 2 A  run 3 m  wire 16 AWG copper  insulation 105 degC  ambient 40 degC  fuse 5 A at 100 mm }
"#;

/// What is done at each place.
const BLOCK: &str = r#"step open@ "Open the strap~" {
  > Open the strap.
  make strap@ off
}
step measure-gap@ "Measure the gap~" {
  need strap@ off
  > Push the rule below the foot.
  read gap@
  note "It reads [gap@]."
  takes 2 min
}
choose gap@ {
  0 mm to 2 mm { set shim@ none }
  over 2 mm {
    set shim@ one
    step lay-shim@ "Lay the shim~" { take 1 shim-plate }
  }
}
step bolt-foot@ "Bolt the foot~" {
  warning live-circuit {
    hazard      "The feed of the light is live."
    consequence "A short circuit can burn a hand."
    avoid       "Take the fuse out before you connect."
  }
  > Shims: [shim@]. See [measure-gap@].
  take 1 foot
  note "The [foot] carries the rack."
  place foot-joint@
  snug foot-joint@ with spanner-13, hold with spanner-13
  connect light@
  record "Mark on the foot~"
  takes 3 min
}
check sits@ "Foot sits~" {
  > Look along the pad.
  read flat@
  expect flat@ is yes
  repair at most 2 times {
    step lift@ "Lift the foot~" {
      > Turn the foot round.
    }
  }
  else go on "Tell the owner."
}
step close@ "Close the strap~" {
  > Close the strap.
  make strap@ on
}
"#;

/// Lines for all places.
const LINES: &str = r#"tighten foot-joint@ with torque-wrench-40, socket-13, hold with spanner-13
record foot-joint@ torque
"#;

const TAIL: &str = "  handover { sign installer }\n}\n";

fn at(text: &str, place: Option<(&str, &str)>, of: &str) -> String {
    let (id, label) =
        place.map_or((String::new(), String::new()), |(id, label)| (format!("-{id}"), format!(", {label}")));
    text.replace('@', &id).replace('~', &label).replace('%', of)
}

/// The text with `for each`, and with its copies written out; both with the same edit.
fn both(from: &str, to: &str) -> [String; 2] {
    let edit = |text: &str| text.replace(from, to);
    assert!(from.is_empty() || [HEAD, THINGS, BLOCK, LINES].iter().any(|text| text.contains(from)), "{from}");
    let all: Vec<String> = PLACES.iter().map(|(id, label)| format!("{id} \"{label}\"")).collect();
    let once = |text: &str| at(&edit(text), None, " for each corner");
    let copied = |text: &str| PLACES.iter().map(|place| at(&edit(text), Some(*place), "")).collect::<String>();
    let by_line = |text: &str| edit(text).lines().map(|line| copied(&format!("{line}\n"))).collect::<String>();
    let step = |lines: String| format!("  step torque-feet \"Torque the feet\" {{\n{lines}}}\n");
    [
        format!(
            "{}each corner \"Corner\" {{ {} }}\n{}section feet \"Feet\" {{\n  for each corner {{\n{}}}\n{}{TAIL}",
            edit(HEAD),
            all.join("  "),
            once(THINGS),
            once(BLOCK),
            step(once(LINES))
        ),
        format!(
            "{}{}section feet \"Feet\" {{\n{}{}{TAIL}",
            edit(HEAD),
            by_copies(&edit(THINGS)),
            copied(BLOCK),
            step(by_line(LINES))
        ),
    ]
}

/// The things of all places, thing by thing, as a declaration `for each` has them.
fn by_copies(things: &str) -> String {
    let mut blocks: Vec<String> = Vec::new();
    for line in things.lines() {
        let goes_on = blocks.last().is_some_and(|block| block.matches('{').count() > block.matches('}').count());
        match blocks.last_mut().filter(|_| goes_on) {
            Some(block) => block.push_str(&format!("{line}\n")),
            None => blocks.push(format!("{line}\n")),
        }
    }
    blocks.iter().flat_map(|block| PLACES.iter().map(|place| at(block, Some(*place), ""))).collect()
}

fn compiled(text: &str) -> Compiled {
    compile::check("feet.fitw", &Memory::default().with("feet.fitw", text.as_bytes()))
}

/// A message without places: `foot-joint-rear-left`, `foot-joint of rear-left`, `Foot to rail, rear left`.
fn bare(message: &str) -> String {
    let mut text = message.split(" (at ").next().unwrap_or_default().to_owned();
    for (id, label) in PLACES {
        for place in
            [format!("-{id}"), format!(" of {id}"), format!(".{id}"), format!(", {label}"), format!(" ({label})")]
        {
            text = text.replace(&place, "");
        }
    }
    text
}

fn told(findings: &[Finding]) -> Vec<String> {
    let mut told: Vec<String> =
        findings.iter().map(|finding| format!("{} {}", finding.code, bare(&finding.message))).collect();
    told.sort();
    told.dedup();
    told
}

#[test]
fn what_is_said_for_each_place_means_what_its_copies_mean() {
    let edits = [
        ("", ""),
        ("  need strap@ off\n", "  need strap@ on\n"),
        ("  make strap@ on\n", ""),
        ("  place foot-joint@\n", ""),
        ("tighten foot-joint@ with torque-wrench-40, socket-13, hold with spanner-13\n", ""),
        ("22 N.m +- 2 N.m", "35 N.m +- 2 N.m"),
        ("spanner-13, hold", "spanner-19, hold"),
        ("over 2 mm {", "over 3 mm {"),
        ("set shim@ none", "set shim@ one"),
        ("8 foot-nut }", "7 foot-nut }"),
        ("fuse 5 A", "fuse 40 A"),
        ("  read flat@\n", ""),
        ("  read gap@\n", ""),
        ("  connect light@\n", ""),
        ("expect flat@ is yes", "expect gap@ is at most 4 mm"),
    ];
    let mut with_findings = 0;
    for (from, to) in edits {
        let [once, copied] = both(from, to).map(|text| (compiled(&text), text));
        let (said, wanted) = (told(once.0.findings()), told(copied.0.findings()));
        assert_eq!(said, wanted, "{from} → {to}\n{}", once.1);
        with_findings += usize::from(!wanted.is_empty());
        // Said once, however many places have it.
        let heads: Vec<_> =
            once.0.findings().iter().map(|finding| (finding.span(), finding.code, bare(&finding.message))).collect();
        for (number, head) in heads.iter().enumerate() {
            assert!(!heads[..number].contains(head), "{head:?} is said twice");
        }
    }
    assert!(with_findings > 9, "{with_findings} edits were found");
}

fn checklist(compiled: &Compiled) -> Value {
    let outputs = compile::build(compiled).expect("no errors").expect("outputs");
    serde_json::from_slice(outputs.file("checklist.json").expect("a checklist")).expect("JSON")
}

/// Takes out what tells the two apart: the members that say the place, numbers of steps and remarks that list them, digests.
fn without_places(value: &mut Value) {
    match value {
        Value::Object(members) => {
            for name in ["at", "number", "content_digest", "source_digest", "remarks"] {
                if name != "at" || members.get("at").is_some_and(Value::is_object) {
                    members.remove(name);
                }
            }
            // What the writer wrote in brackets is another name; which thing it means stands beside it.
            for name in ["text", "markdown", "words"] {
                if let Some(Value::String(text)) = members.get_mut(name) {
                    *text = unnumbered(text);
                    for (id, _) in PLACES {
                        *text = text.replace(&format!("-{id}]"), "]");
                        *text = text.strip_suffix(&format!("-{id}")).unwrap_or(text).to_owned();
                    }
                }
            }
            members.values_mut().for_each(without_places);
        }
        Value::Array(all) => all.iter_mut().for_each(without_places),
        Value::String(text) => {
            for (id, _) in PLACES {
                *text = text.replace(&format!(".{id}"), &format!("-{id}"));
            }
        }
        _ => {}
    }
}

/// `See step.` for `See step 1.14.`
fn unnumbered(text: &str) -> String {
    let mut pieces = text.split("step 1.");
    let first = pieces.next().unwrap_or_default().to_owned();
    pieces.fold(first, |text, rest| format!("{text}step {}", rest.trim_start_matches(|c: char| c.is_ascii_digit())))
}

#[test]
fn the_checklist_is_that_of_the_copies() {
    let [once, copied] = both("", "").map(|text| checklist(&compiled(&text)));
    let steps = once["flow"][0]["body"].as_array().expect("a body");
    assert_eq!(steps.len(), 6 * PLACES.len() + 2);
    let first = steps.first().expect("a step");
    assert_eq!((&first["number"], &first["title"]), (&Value::from("1.1"), &Value::from("Open the strap, front left")));
    assert_eq!((&first["at"]["among"], &first["at"]["place"]), (&Value::from("corner"), &Value::from("front-left")));
    assert_eq!(steps[6]["number"], "1.1");
    let [once, copied] = [once, copied].map(|mut checklist| {
        without_places(&mut checklist);
        checklist
    });
    assert_eq!(
        serde_json::to_string_pretty(&once).expect("JSON"),
        serde_json::to_string_pretty(&copied).expect("JSON")
    );
}

#[test]
fn a_finding_names_the_places_that_have_it() {
    let [once, _] = both("", "");
    let messages = |text: &str| -> Vec<String> {
        compiled(text).findings().iter().map(|finding| format!("{} {}", finding.code, finding.message)).collect()
    };
    let all = messages(&once.replace("22 N.m +- 2 N.m", "35 N.m +- 2 N.m"));
    let named = |all: &[String], code: &str, places: &str| {
        let of_code: Vec<&String> = all.iter().filter(|one| one.starts_with(code)).collect();
        assert!(of_code.len() == 1 && of_code[0].ends_with(places), "{all:#?}");
    };
    named(&all, "FW0705", "(at front left, front right, rear left and rear right)");
    let some = messages(
        &once
            .replace("tighten foot-joint with", "tighten foot-joint of front-left with")
            .replace("record foot-joint torque\n", ""),
    );
    named(&some, "FW0702", "(at front right, rear left and rear right)");
    // Accepted where it is declared, it is accepted at all places.
    let accepted = "accept FW0708 at 22 N.m +- 2 N.m \"Whatever is on the thread.\"\njoint foot-joint \"";
    let text = once.replace("  thread  plated\n", "");
    named(&messages(&text), "FW0708", "(at front left, front right, rear left and rear right)");
    let text = text.replace("joint foot-joint \"", accepted);
    assert_eq!(messages(&text), Vec::<String>::new());
}

#[test]
fn what_cannot_be_meant_is_refused_with_what_to_write() {
    let [right, _] = both("", "");
    let cases = [
        ("      ", "", "", ""),
        ("place foot-joint\n", "place foot-joint of rear-lefd\n", "FW0211", "`foot-joint of rear-left`"),
        ("take 1 foot\n", "take 1 foot of front-left\n", "FW0211", "`foot`"),
        ("handover", "when gap is over 3 mm { stop \"Stop.\" }\n handover", "FW0211", "`gap of front-left`"),
        ("for each corner {\nstep", "for each corna {\nstep", "FW0201", "`for each corner`"),
        ("handover", "step late \"Late\" {\n > See [sits].\n }\n handover", "FW0211", "`sits of front-left`"),
        ("part foot \"Foot\"", "part foot \"Foot\"\npart gap \"Gap\"", "FW0202", "Rename"),
        ("front-left \"front left\" ", "front-left \"front left\"  front-left \"left\" ", "FW0202", "Remove one"),
        ("joint foot-joint \"", "joint foot-joint of \"", "FW0101", ""),
    ];
    for (from, to, code, repair) in cases.into_iter().skip(1) {
        assert!(right.contains(from), "{from}");
        let compiled = compiled(&right.replacen(from, to, 1));
        let found = compiled.findings().iter().find(|finding| finding.code.text() == code);
        let found = found.unwrap_or_else(|| panic!("{to}: {:#?}", compiled.findings()));
        assert!(found.repair.as_deref().unwrap_or_default().contains(repair), "{to}: {found:#?}");
    }
}

#[test]
fn places_and_copies_are_bounded() {
    let many = |count: usize| (0..count).map(|at| format!("place-{at} \"place {at}\" ")).collect::<String>();
    let text = |count: usize, lines: usize| {
        let lines = "> Look at the foot, and at the rail.\n note \"Look.\"\n".repeat(lines);
        format!(
            "procedure p \"P\"\neach spot \"Spot\" {{ {} }}\nsection s \"S\" {{\n for each spot {{\n  step look \"Look\" {{\n{lines}}}\n }}\n handover {{ sign installer }}\n}}\n",
            many(count)
        )
    };
    let codes = |text: String| compiled(&text).findings().iter().map(|finding| finding.code.text()).collect::<Vec<_>>();
    assert!(!codes(text(100, 1)).contains(&"FW0108"));
    assert!(codes(text(101, 1)).contains(&"FW0108"));
    assert!(codes(text(100, 1000)).contains(&"FW0108"));
    assert!(codes(text(1, 1)).contains(&"FW0114"));
    let library = "library l \"L\"\neach spot \"Spot\" { a \"a\" }\n";
    assert_eq!(codes(library.to_owned()), ["FW0114"]);
}

#[test]
fn paper_tells_a_block_once_with_a_box_and_a_field_for_each_place() {
    let [once, _] = both("", "");
    let compiled = compiled(&once);
    let outputs = compile::build(&compiled).expect("no errors").expect("outputs");
    let manual = std::str::from_utf8(outputs.file("manual.html").expect("a manual")).expect("text");
    assert_eq!(manual.matches("<h3>Measure the gap</h3>").count(), 1);
    for (id, label) in PLACES {
        assert_eq!(manual.matches(&format!("step 1.2 done, {label}")).count(), 1);
        assert_eq!(
            manual.matches(&format!("Gap below the foot, {label}")).count(),
            1,
            "one line to write the gap on, {label}"
        );
        assert_eq!(manual.matches(&format!("id=\"step-measure-gap.{id}\"")).count(), 1, "what links lead to");
    }
    assert!(manual.contains("corner: front left, front right, rear left and rear right"));
    // What is done at one place only is told where it is done.
    let text = once.replace("  handover", "  when gap of rear-left is over 5 mm {\n step again \"Again\" {\n > Look at [foot-joint of rear-left].\n }\n }\n  handover");
    let compiled = self::compiled(&text);
    let outputs = compile::build(&compiled).expect("no errors").expect("outputs");
    let manual = std::str::from_utf8(outputs.file("manual.html").expect("a manual")).expect("text");
    assert!(manual.contains("Foot to rail, rear left"));
}

/// Two pedals, and the nut of each: what is there for each place clamps its own.
#[test]
fn what_a_joint_joins_at_each_place_is_its_own() {
    let pedals = |steps: &str, vehicle: &str, on: &str| {
        format!(
            "procedure pedals \"Pedals\"\nuse std/hand-tools\neach pedal \"Pedal\" {{ left \"left\"  right \"right\" }}\n\
             part body \"Pedal body\"\npart nut-p \"Nut of the pedal\"\n{vehicle}\n\
             joint nuts \"Nut of the pedal\" for each pedal {{\n  each nut-p\n  tight \"it spins freely\"\n  joins body\n  {on}\n}}\n\
             section work \"Work\" {{\n{steps}\n  handover {{ sign installer }}\n}}\n"
        )
    };
    let codes = |text: String| {
        let compiled = compile::check("pedals.fitw", &Memory::default().with("pedals.fitw", text.as_str()));
        let codes = compiled.findings().iter().map(|finding| finding.code.text().to_owned());
        codes.filter(|code| code.starts_with("FW073")).collect::<Vec<_>>()
    };
    let (down, up) = (
        "    remove nuts with spanner-13\n    remove 1 body by hand\n",
        "    refit 1 body\n    refit nuts\n    tighten nuts with spanner-13\n",
    );
    let one_by_one =
        format!("  for each pedal {{\n  step down \"Off\" {{\n{down}  }}\n  step up \"On\" {{\n{up}  }}\n  }}\n");
    assert_eq!(codes(pedals(&one_by_one, "vehicle { 2 body }", "on vehicle")), [""; 0]);
    // The nut is still on: that pedal is clamped, and the other one as well.
    let clamped = one_by_one.replace(
        "    remove nuts with spanner-13\n    remove 1 body by hand\n",
        "    remove 1 body by hand\n    remove nuts with spanner-13\n",
    );
    assert_eq!(codes(pedals(&clamped, "vehicle { 2 body }", "on vehicle")), ["FW0731"]);
    // One body for two places is the same for both.
    assert_eq!(codes(pedals(&one_by_one, "vehicle { 1 body }", "on vehicle")), ["FW0731", "FW0731"]);
    let new = |first: u32, second: u32| {
        let step = |name: &str, take: u32, place: &str| {
            format!(
                "  step {name} \"{name}\" {{\n    take {take} body\n    place nuts of {place}\n    tighten nuts of {place} with spanner-13\n  }}\n"
            )
        };
        step("one", first, "left") + &step("two", second, "right").replace("    take 0 body\n", "    > Look at it.\n")
    };
    let kit = "kit { box { 2 body, 2 nut-p } }";
    assert_eq!(codes(pedals(&new(1, 1), kit, "")), [""; 0]);
    assert_eq!(codes(pedals(&new(2, 0), kit, "")), [""; 0]);
    assert_eq!(codes(pedals(&new(1, 0), kit, "")), ["FW0730"]);
    // How many there are is that of the configuration: one that both clamp, or one for each.
    let kits = "option size \"Kit\" { standard  wide }\nkit {\n  box { 2 nut-p }\n  box s when size is standard { 1 body }\n  \
                box w when size is wide { 2 body }\n}";
    let sizes = |wide: u32| {
        format!(
            "  when size is standard {{\n  step a \"A\" {{ take 1 body }}\n  }} else {{\n  step b \"B\" {{ take {wide} body }}\n  }}\n  \
             step fit \"Fit\" {{\n    place nuts\n    tighten nuts of left with spanner-13\n    tighten nuts of right with spanner-13\n  }}\n"
        )
    };
    assert_eq!(codes(pedals(&sizes(2), kits, "")), [""; 0]);
    assert_eq!(codes(pedals(&sizes(1), kits, "")), ["FW0730"]);
}

/// One person may check all places, and none of the work.
#[test]
fn who_checks_one_place_may_check_the_next() {
    let text = "procedure looked-at \"Looked at\"\neach side \"Side\" { left \"left\"  right \"right\" }\n\
                part foot \"Foot\"\nkit { box { 2 foot } }\nsection fit \"Fit\" {\n  for each side {\n    step on \"Foot on\" { take 1 foot }\n    \
                check look \"Look\" {\n      > Shake it.\n      by another person\n      expect \"It does not move\"\n      repair at most 1 times {\n        \
                step again \"Again\" {\n          > Press it down.\n        }\n      }\n      else stop \"Call the maker.\"\n    }\n  }\n  \
                check both \"Both\" {\n    by another person\n    expect \"Both stand level\"\n    else stop \"Call the maker.\"\n  }\n  \
                handover { sign installer }\n}\n";
    let compiled = compile::check("looked-at.fitw", &Memory::default().with("looked-at.fitw", text));
    assert_eq!(compiled.findings().iter().map(|finding| finding.message.as_str()).collect::<Vec<_>>(), [""; 0]);
    let checklist = checklist(&compiled);
    let mut found = Vec::new();
    watched(&checklist["flow"], &mut found);
    let of = |id: &str| found.iter().find(|(step, _)| step == id).map(|(_, of)| of.join(" ")).unwrap_or_default();
    assert_eq!(of("look.left"), "on.left again.left");
    assert_eq!(of("look.right"), "on.left again.left on.right again.right");
    assert_eq!(of("both"), "on.left again.left on.right again.right");
}

fn watched(value: &Value, found: &mut Vec<(String, Vec<String>)>) {
    match value {
        Value::Object(members) => {
            if let (Some(id), Some(of)) = (members.get("id"), members.get("another_person")) {
                let of = of["not_of"].as_array().into_iter().flatten().filter_map(Value::as_str);
                found.push((id.as_str().unwrap_or_default().to_owned(), of.map(str::to_owned).collect()));
            }
            members.values().for_each(|value| watched(value, found));
        }
        Value::Array(values) => values.iter().for_each(|value| watched(value, found)),
        _ => {}
    }
}
