//! What comes off and is kept for the owner: counted like what goes back or is thrown away, and told at the handover. What comes
//! off and serves again in another joint: it takes nothing out of the kit.

use fitwright::compile;
use fitwright::diagnostics::Code;
use fitwright::world::Memory;
use serde_json::Value;

const HEAD: &str = "procedure caps \"Caps\"\noption rail \"Roof rail\" { factory \"From the factory\"  none \"None\" }\n\
    part rail-cap \"Cap of the rail\"\npart grease \"Grease\" { consumable }\nkit { shop { grease } }\nvehicle when rail is factory { 4 rail-cap }\n";

fn compiled(off: &str, rest: &str) -> compile::Compiled {
    let text = format!(
        "{HEAD}section caps \"Caps\" {{\n  step caps-off \"Take the caps off\" when rail is factory {{\n{off}\n  }}\n{rest}\n  \
         step look \"Look\" {{\n    > Look at the rail.\n    take grease\n  }}\n  handover {{ sign installer }}\n}}\n"
    );
    compile::check("caps.fitw", &Memory::default().with("caps.fitw", text.as_str()))
}

fn codes(off: &str, rest: &str) -> Vec<Code> {
    compiled(off, rest).findings().iter().map(|finding| finding.code).collect()
}

const OFF: &str = "    remove 4 rail-cap by hand\n";

#[test]
fn what_is_kept_is_not_left_off() {
    assert_eq!(codes(&format!("{OFF}    keep 4 rail-cap for owner"), ""), []);
    // In two steps, some thrown away.
    let later = "step rest \"The rest\" when rail is factory { keep 1 rail-cap for owner }";
    assert_eq!(codes(&format!("{OFF}    keep 2 rail-cap for owner\n    discard 1 rail-cap"), later), []);
}

#[test]
fn what_is_neither_kept_nor_put_back_is_told() {
    assert_eq!(codes(&format!("{OFF}    keep 3 rail-cap for owner"), ""), [Code::FW0605]);
    // On one path only.
    let asked = "step rest \"The rest\" when rail is none { keep 4 rail-cap for owner }";
    assert!(codes(OFF, asked).contains(&Code::FW0605));
}

#[test]
fn what_is_not_in_hand_cannot_be_kept() {
    assert_eq!(codes(&format!("{OFF}    keep 5 rail-cap for owner"), ""), [Code::FW0606]);
    assert!(codes("    keep 1 rail-cap for owner", "").contains(&Code::FW0606));
    // Nor be thrown away or put back once it is the owner's.
    let off = format!("{OFF}    keep 4 rail-cap for owner");
    for line in ["refit 1 rail-cap", "discard 4 rail-cap", "keep 1 rail-cap for owner"] {
        let later = format!("step later \"Later\" when rail is factory {{ {line} }}");
        assert_eq!(codes(&off, &later), [Code::FW0606], "{line}");
    }
    // It is there still, to be spoken of.
    let later = "step later \"Later\" when rail is factory { note \"Put the [rail-cap] into the glove box.\" }";
    assert_eq!(codes(&off, later), []);
}

/// A seat whose bolts serve again: the joint that gets them is the one that follows.
fn seat(again: &str, rest: &str) -> Vec<Code> {
    let text = format!(
        "procedure seat \"Seat\"\nuse std/fasteners\nuse std/hand-tools\noption stay \"Stay\" {{ long \"Long\"  short \"Short\" }}\n\
         part seat-bolt bolt M8 x 40 mm, class 8.8, hex head\nvehicle {{ 2 seat-bolt }}\n\
         joint seat-stay \"Stay and seat\" {{ each seat-bolt count 2 torque 22 N.m +- 2 N.m into steel 20 mm through grip 14 mm thread plated }}\n\
         section work \"Work\" {{\n step off \"Take the bolts out\" {{\n remove 2 seat-bolt with socket-13\n {again}\n }}\n{rest}\n \
         handover {{ sign installer }}\n}}\n"
    )
    .replace("each seat-bolt count", "each seat-bolt\n count")
    .replace("2 torque", "2\n torque")
    .replace(" into", "\n into")
    .replace(" grip", "\n grip")
    .replace(" thread plated", "\n thread plated\n");
    let compiled = compile::check("seat.fitw", &Memory::default().with("seat.fitw", text.as_str()));
    let findings = compiled.findings().iter().map(|finding| finding.code);
    findings.filter(|code| !matches!(code, Code::FW0407 | Code::FW0203)).collect()
}

#[test]
fn what_is_to_serve_again_gets_into_a_joint() {
    let placed = "step on \"Bolt the stay\" WHEN {\n place seat-stay\n tighten seat-stay with torque-wrench-1-4-drive, socket-13\n }";
    let (always, sometimes) = (placed.replace("WHEN ", ""), placed.replace("WHEN", "when stay is long"));
    assert_eq!(seat("reuse 2 seat-bolt", &always), []);
    assert_eq!(seat("reuse 2 seat-bolt", ""), [Code::FW0605]);
    assert_eq!(seat("reuse 2 seat-bolt", &sometimes), [Code::FW0605]);
    assert!(seat("reuse 2 seat-bolt", "stop \"Call the maker.\"").contains(&Code::FW0805));
}

/// Where no run gets to the joint without them, nothing is wanted of the kit, though nobody took them in the other runs.
#[test]
fn what_serves_again_in_some_runs_is_wanted_of_no_kit_in_the_others() {
    let all = STAY.replace("part seat-bolt", "option fit \"Fit\" { yes \"Yes\"  no \"No\" }\npart seat-bolt");
    let all = all.replace("under the foot\" {", "under the foot\" when fit is yes {");
    let all = all.replace("kit { box { 1 stay } }", "kit { box when fit is yes { 1 stay } }");
    assert_eq!(checked(&all), []);
    // The rules leave no run that gets to the joint without them.
    let ruled_out = all.replace("part seat-bolt", "require fit is no \"It is made so.\"\npart seat-bolt");
    assert!(!checked(&ruled_out.replace("    reuse   2 seat-bolt\n", "")).contains(&Code::FW0601));
    let codes = checked(&all.replace("    reuse   2 seat-bolt\n", ""));
    assert!(codes.contains(&Code::FW0601) && codes.contains(&Code::FW0605), "{codes:?}");
}

#[test]
fn damaged_lines_are_told_at_their_place() {
    for line in [
        "keep 4 rail-cap",
        "keep for owner",
        "keep 4 rail-cap for customer",
        "keep \"the caps\"",
        "keep 4 for owner",
        "keep 0 rail-cap for owner",
        "keep 4294967296 rail-cap for owner",
        "keep 4 rail-cup for owner",
        "keep 1 m rail-cap for owner",
        "keep 4 grease for owner",
        "keep 4 rail-cap, for owner",
        "keep 4 rail-cap from bag for owner",
        "keep 4 rail-cap from for owner",
        "keep 2 to 4 rail-cap for owner",
        "keep 4 rail-cap or grease for owner",
    ] {
        let compiled = compiled(&format!("{OFF}    discard 4 rail-cap\n    {line}"), "");
        assert!(!compiled.findings().is_empty(), "{line}");
    }
}

#[test]
fn the_handover_gives_it_to_the_owner_on_paper_and_on_the_page() {
    let off = format!("{OFF}    keep 3 rail-cap for owner");
    let rest = "step rest \"The rest\" when rail is factory { keep 1 rail-cap for owner }";
    let compiled = compiled(&off, rest);
    assert_eq!(compiled.findings().len(), 0);
    let outputs = compile::build(&compiled).expect("no error").expect("outputs");
    let file = |wanted: &str| {
        let (_, bytes) = outputs.files.iter().find(|(name, _)| name == wanted).expect("the file");
        String::from_utf8(bytes.clone()).expect("UTF-8").replace('\u{a0}', " ")
    };
    let list: Value = serde_json::from_str(&file("checklist.json")).expect("JSON");
    let step = &list["flow"][0]["body"][0];
    let line = step["lines"].as_array().into_iter().flatten().find(|line| line["does"]["keep"].is_array());
    let line = line.unwrap_or_else(|| panic!("a line that keeps: {step:#}"));
    assert_eq!(line["does"]["kind"], "text", "an older reader shows the words");
    assert_eq!(line["does"]["keep"][0]["part"], "rail-cap");
    assert_eq!(line["does"]["keep"][0]["count"], 3);
    assert_eq!(line["does"]["prose"]["text"], "Keep 3 × Cap of the rail for the owner.");
    let all = list.to_string();
    let numbers = ["3 × Cap of the rail, kept in step 1.1", "1 × Cap of the rail, kept in step 1.2"];
    for told in numbers {
        assert!(all.contains(&format!("Give the owner: {told}.")), "{told}: {all}");
        assert!(file("manual.html").contains(told), "{told}");
    }
    assert!(file("manual.html").contains("Keep for the owner"));
}

/// A stay under the feet of a seat, with the bolts that held it.
const STAY: &str = r#"procedure stay "Stay"
use std/fasteners
use std/hand-tools
part seat-bolt bolt M8 x 40 mm, class 8.8, hex head
part stay "Stay"
kit { box { 1 stay } }
joint seat-foot "Foot of the seat" {
  each   seat-bolt
  count  2
  torque 22 N.m +- 2 N.m
  into   steel 20 mm through
  grip   10 mm
  thread plated
  on vehicle
}
joint seat-stay "Stay and foot of the seat" {
  each   seat-bolt
  count  2
  torque 22 N.m +- 2 N.m
  into   steel 20 mm through
  grip   14 mm
  thread plated
}
section work "Work" {
  step stay-on "Put the stay under the foot" {
    remove  seat-foot with socket-13
    > Push the [stay] under the foot.
    take    1 stay
    reuse   2 seat-bolt
    place   seat-stay
    tighten seat-stay with torque-wrench-1-4-drive, socket-13
  }
  handover { sign installer }
}
"#;

fn edited(from: &str, to: &str) -> Vec<Code> {
    assert!(STAY.contains(from), "{from}");
    checked(&STAY.replace(from, to))
}

fn checked(text: &str) -> Vec<Code> {
    let compiled = compile::check("stay.fitw", &Memory::default().with("stay.fitw", text));
    compiled.findings().iter().map(|finding| finding.code).collect()
}

#[test]
fn old_bolts_serve_in_a_new_joint() {
    assert_eq!(edited("", ""), []);
    // Without the line they come from nowhere, and the old ones lie on the bench.
    let codes = edited("    reuse   2 seat-bolt\n", "");
    assert!(codes.contains(&Code::FW0601) && codes.contains(&Code::FW0605), "{codes:?}");
    // One more than came off; one of them new.
    assert_eq!(edited("reuse   2", "reuse   3"), [Code::FW0606]);
    let one_new = "reuse   1 seat-bolt\n    take    1 seat-bolt\n    discard 1 seat-bolt";
    assert_eq!(edited("reuse   2 seat-bolt", one_new), [Code::FW0601]);
    // Before they came off.
    let codes = edited("    remove  seat-foot with socket-13\n", "");
    assert!(codes.contains(&Code::FW0606), "{codes:?}");
}

#[test]
fn what_serves_once_serves_in_no_other_joint() {
    let once = "class 8.8, hex head { single use }\npart stay";
    assert!(edited("class 8.8, hex head\npart stay", once).contains(&Code::FW0607));
}

#[test]
fn lines_of_reuse_that_are_damaged_are_told() {
    for line in [
        "reuse",
        "reuse 2",
        "reuse 0 seat-bolt",
        "reuse seat-foot",
        "reuse 2 seat-bolt with socket-13",
        "reuse 2 to 3 seat-bolt",
        "reuse 2 seat-bolts",
        "reuse \"the bolts\"",
        "reuse 2 seat-bolt for owner",
    ] {
        assert!(!edited("reuse   2 seat-bolt", line).is_empty(), "{line}");
    }
}

/// How many people a step needs is said, and asked for, where nobody knows how long it takes.
#[test]
fn people_without_a_time_are_told_and_asked_for() {
    let text = "procedure lift \"Lift\"\nsection work \"Work\" {\n  step up \"Lift the beam\" {\n    > Lift the beam.\n    \
                takes two people\n  }\n  step down \"Look\" {\n    > Look.\n    takes 2 min\n  }\n  handover { sign installer }\n}\n";
    let compiled = compile::check("lift.fitw", &Memory::default().with("lift.fitw", text));
    assert_eq!(compiled.findings().iter().map(|finding| finding.code).collect::<Vec<_>>(), []);
    let outputs = compile::build(&compiled).expect("no error").expect("outputs");
    let (_, bytes) = outputs.files.iter().find(|(name, _)| name == "checklist.json").expect("a checklist");
    let list: Value = serde_json::from_slice(bytes).expect("JSON");
    let step = &list["flow"][0]["body"][0];
    assert_eq!((&step["team"]["people"], &step["takes"]), (&Value::from(2), &Value::Null), "{step:#}");
    assert!(list["flow"][0]["body"][1]["team"].is_null());
    let (_, manual) = outputs.files.iter().find(|(name, _)| name == "manual.html").expect("a manual");
    assert!(String::from_utf8_lossy(manual).contains(">2 people<"), "the manual says how many");
}

/// A kit with a fuse more than is fitted.
fn spare(kit: &str, lines: &str) -> Vec<Code> {
    let text = format!(
        "procedure lamp \"Lamp\"\noption lamp \"Lamp\" {{ none \"None\"  lit \"Lamp\" }}\npart fuse \"Blade fuse\"\n\
         kit {{ {kit} }}\nsection lamp-work \"Lamp\" {{\n  step put-in \"Put the fuse in\" when lamp is lit {{\n    \
         > Push the fuse into its holder.\n    take 1 fuse\n  }}\n{lines}\n  handover {{ sign installer }}\n}}\n"
    );
    let compiled = compile::check("lamp.fitw", &Memory::default().with("lamp.fitw", text.as_str()));
    compiled.findings().iter().map(|finding| finding.code).collect()
}

#[test]
fn spares_of_the_kit_go_to_the_owner() {
    let kept = |when: &str| format!("  step spares \"Spares\"{when} {{ keep 2 fuse for owner }}");
    let lit = " when lamp is lit";
    assert_eq!(spare("bag A when lamp is lit { 3 fuse }", &kept(lit)), []);
    // One more than is there, one less, and in a fitting that has none.
    assert_eq!(spare("bag A when lamp is lit { 2 fuse }", &kept(lit)), [Code::FW0603]);
    assert_eq!(spare("bag A when lamp is lit { 4 fuse }", &kept(lit)), [Code::FW0604]);
    assert_eq!(spare("bag A when lamp is lit { 3 fuse }", &kept("")), [Code::FW0603]);
    assert_eq!(spare("bag A when lamp is lit { 3 fuse }", ""), [Code::FW0604]);
    // What nothing supplies is no spare.
    assert!(
        spare("bag A when lamp is lit { 1 fuse }", "  step spares \"Spares\" { keep 1 nut for owner }")
            .contains(&Code::FW0201)
    );
    // What comes off is what is kept, though the kit has more of it.
    let off = "  step off \"Off\" when lamp is lit { remove 1 fuse by hand\n keep 2 fuse for owner }";
    assert!(spare("bag A when lamp is lit { 3 fuse }", off).contains(&Code::FW0606));
}

/// The fuse of a circuit stays in its holder while its spare goes into the owner's bag.
#[test]
fn a_spare_fuse_is_not_the_one_in_the_holder() {
    let text = |keep: &str| {
        format!(
            "procedure lamp \"Lamp\"\nuse std/wiring\npart fuse \"Blade fuse, 10 A\"\nkit {{ box {{ 2 fuse }} }}\n\
             circuit feed \"Feed\" {{\n  source 12 V\n  load 5 A\n  run 2 m\n  wire 2.5 mm2 copper\n  insulation 105 degC\n  \
             ambient 40 degC\n  fuse 10 A at 100 mm is fuse\n  drop at most 10 %\n}}\nsection work \"Work\" {{\n  \
             step wire \"Wire\" {{\n    > Wire it.\n    connect feed\n  }}\n  step put-in \"Put in\" {{\n    > Push it in.\n    \
             take 1 fuse\n    {keep}\n  }}\n  handover {{ sign installer }}\n}}\n"
        )
    };
    let codes = |keep: &str| -> Vec<Code> {
        let compiled = compile::check("lamp.fitw", &Memory::default().with("lamp.fitw", text(keep).as_str()));
        compiled.findings().iter().map(|finding| finding.code).collect()
    };
    let (with, without) = (codes("keep 1 fuse for owner"), codes(""));
    let left_over = |code: &Code| matches!(code, Code::FW0604 | Code::FW0610);
    assert!(without.iter().any(left_over) && !with.iter().any(left_over), "{with:?} {without:?}");
    let others = |codes: &[Code]| codes.iter().filter(|code| !left_over(code)).copied().collect::<Vec<_>>();
    assert_eq!(others(&with), others(&without));
}

#[test]
fn the_handover_lists_spares() {
    let text = "procedure lamp \"Lamp\"\npart fuse \"Blade fuse\"\nkit { bag A { 3 fuse } }\nsection lamp-work \"Lamp\" {\n  \
                step put-in \"Put the fuse in\" {\n    > Push the fuse into its holder.\n    take 1 fuse\n    \
                keep 2 fuse for owner\n  }\n  handover { sign installer }\n}\n";
    let compiled = compile::check("lamp.fitw", &Memory::default().with("lamp.fitw", text));
    assert_eq!(compiled.findings().len(), 0, "{:?}", compiled.findings());
    let outputs = compile::build(&compiled).expect("no error").expect("outputs");
    let file = |name: &str| {
        String::from_utf8(outputs.file(name).expect("the file").to_vec()).expect("text").replace('\u{a0}', " ")
    };
    let list: Value = serde_json::from_str(&file("checklist.json")).expect("JSON");
    let keep = list.to_string();
    assert!(keep.contains("\"keep\":[{\"count\":2,\"from\":\"bag A\""), "{keep}");
    let manual = file("manual.html");
    assert!(manual.contains("kept in step 1.1"), "the handover names the step");
}

/// A fuse on the vehicle, and others of it in the kit.
fn fuse(kit: u32, lines: &str) -> compile::Compiled {
    let text = format!(
        "procedure fuse \"Fuse\"\npart side-fuse \"Side fuse\"\nkit {{ bag fuses {{ {kit} side-fuse }} }}\nvehicle {{ 1 side-fuse }}\n\
         section fuses \"Fuses\" {{\n  step put-in \"Put a new fuse in\" {{\n    remove 1 side-fuse by hand\n    {lines}\n  }}\n  \
         handover {{ sign installer }}\n}}\n"
    );
    compile::check("fuse.fitw", &Memory::default().with("fuse.fitw", text.as_str()))
}

#[test]
fn spares_of_what_comes_off_too_are_said_to_be_of_the_kit() {
    let codes =
        |kit, lines: &str| -> Vec<Code> { fuse(kit, lines).findings().iter().map(|finding| finding.code).collect() };
    let new = "discard 1 side-fuse\n    take 1 side-fuse";
    assert_eq!(codes(3, &format!("{new}\n    keep 2 side-fuse from kit for owner")), []);
    // The old one for the owner, and a spare.
    assert_eq!(
        codes(2, "take 1 side-fuse\n    keep 1 side-fuse for owner\n    keep 1 side-fuse from kit for owner"),
        []
    );
    // Without the words it is what came off, of which there is none left; and the spares are left over.
    let plain = codes(3, &format!("{new}\n    keep 2 side-fuse for owner"));
    assert!(plain.contains(&Code::FW0606) && !plain.contains(&Code::FW0603), "{plain:?}");
    // More than the kit holds, and one that is forgotten.
    assert_eq!(codes(2, &format!("{new}\n    keep 2 side-fuse from kit for owner")), [Code::FW0603]);
    assert_eq!(codes(4, &format!("{new}\n    keep 2 side-fuse from kit for owner")), [Code::FW0610]);
    // What the kit has not.
    let none = codes_of_none();
    assert!(none.iter().any(|code| matches!(code, Code::FW0601 | Code::FW0603)), "{none:?}");
    // Where it is told, the bag is named.
    let made = compile::build(&fuse(3, &format!("{new}\n    keep 2 side-fuse from kit for owner")));
    let outputs = made.expect("clean").expect("outputs");
    let (_, bytes) = outputs.files.iter().find(|(name, _)| name == "checklist.json").expect("the checklist");
    let list: Value = serde_json::from_slice(bytes).expect("JSON");
    let text = list.to_string();
    assert!(text.contains("\"keep\":[{\"count\":2,\"from\":\"bag fuses\""), "{text}");
}

fn codes_of_none() -> Vec<Code> {
    let text = "procedure fuse \"Fuse\"\npart side-fuse \"Side fuse\"\nvehicle { 1 side-fuse }\nsection fuses \"Fuses\" {\n  step off \"Off\" {\n    \
        remove 1 side-fuse by hand\n    keep 1 side-fuse for owner\n    keep 1 side-fuse from kit for owner\n  }\n  handover { sign installer }\n}\n";
    let compiled = compile::check("fuse.fitw", &Memory::default().with("fuse.fitw", text));
    compiled.findings().iter().map(|finding| finding.code).collect()
}
