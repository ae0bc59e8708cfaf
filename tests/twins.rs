//! A joint may have the name of its part: each line means what it means where the joint has a name of its own.

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::Code;
use fitwright::world::Memory;
use serde_json::Value;

/// `@` stands for the joint's name, `~` for how prose says that the part is meant.
const TEXT: &str = r#"procedure rack-feet "Feet of the ladder rack"
use std/fasteners
use std/hand-tools
each corner { front "front"  rear "rear" }
part cap "Cap"
part foot "Foot of rubber"
kit { bag A { 9 foot } }
vehicle { 2 cap }
joint @ "Feet to the rail" { each foot  count 4  tight "the rubber begins to bulge" }
joint pad "Pad" for each corner { each foot  count 2  tight "the rubber begins to bulge" }
section work "Work" {
  step feet "Fit the feet" {
    > Press each [~foot] home.
    place   @
    snug    @ by hand
    tighten @ by hand
  }
  step loose "Set the feet" {
    loosen  @ by hand
    tighten @ by hand
    take 1 foot
  }
  for each corner {
    step pads "Fit the pads" {
      place   pad
      tighten pad by hand
    }
  }
  handover { sign installer }
}
"#;

fn compiled(text: &str) -> Compiled {
    compile::check("rack-feet.fitw", &Memory::default().with("rack-feet.fitw", text))
}

fn codes(text: &str) -> Vec<Code> {
    compiled(text).findings().iter().map(|finding| finding.code).collect()
}

fn joint_called(name: &str, part: &str) -> String {
    TEXT.replace('@', name).replace('~', part)
}

fn without_digests(value: &mut Value) {
    match value {
        Value::Object(members) => {
            members.retain(|name, _| !name.ends_with("digest"));
            members.values_mut().for_each(without_digests);
        }
        Value::Array(all) => all.iter_mut().for_each(without_digests),
        _ => {}
    }
}

fn checklist(text: &str) -> Value {
    let compiled = compiled(text);
    let told: Vec<_> = compiled.findings().iter().map(|finding| &finding.message).collect();
    assert!(!compiled.has_errors(), "{told:?}");
    let outputs = compile::build(&compiled).expect("no errors").expect("built");
    let (_, bytes) = outputs.files.iter().find(|(name, _)| name == "checklist.json").expect("a checklist");
    let mut list = serde_json::from_slice(bytes).expect("JSON");
    without_digests(&mut list);
    list
}

#[test]
fn each_line_means_the_one_of_the_kind_that_it_wants() {
    let own = checklist(&joint_called("feet-joint", "")).to_string();
    assert!(own.contains("\"feet-joint\"") && own.contains("place.feet-joint"), "{own}");
    let same = checklist(&joint_called("foot", "part ")).to_string();
    assert_eq!(
        own.replace("feet-joint", "foot")
            .replace("[foot]", "[part foot]")
            .replace("\"text\":\"foot\"", "\"text\":\"part foot\""),
        same
    );
    // Whichever is declared first.
    let text = joint_called("foot", "part ");
    let joint = text.lines().find(|line| line.starts_with("joint foot")).expect("the joint");
    let first = text.replace(joint, "").replace("part cap", &format!("{joint}\npart cap"));
    let mut turned = checklist(&first).to_string();
    turned = turned.replace("Feet to the rail", "");
    assert_eq!(turned.matches("\"foot\"").count(), same.matches("\"foot\"").count());
}

#[test]
fn the_joints_of_several_places_may_be_called_as_a_part_too() {
    let text =
        joint_called("feet-joint", "").replace("pad", "foot").replace("Press each [foot] home", "Press them home");
    let list = checklist(&text);
    let joints: Vec<&str> =
        list["joints"].as_array().expect("joints").iter().filter_map(|one| one["id"].as_str()).collect();
    assert_eq!(joints, ["feet-joint", "foot.front", "foot.rear"]);
    let inside = text.replace("tighten foot by hand\n", "tighten foot by hand\n take 1 foot\n");
    assert_eq!(codes(&inside.replace("9 foot", "11 foot")), codes(&text));
    let asked = text.replace("place   foot", "> Look at the [foot].\n place foot");
    assert_eq!(codes(&asked), [Code::FW0213]);
}

#[test]
fn what_could_be_either_is_asked_about() {
    let text = joint_called("foot", "part ");
    for (from, to) in [
        ("[part foot]", "[foot]"),
        ("  handover {", "  step off \"Off\" {\n remove foot by hand\n refit foot\n }\n handover {"),
        (
            "use std/hand-tools\n",
            "use std/hand-tools\nfigure rail \"rail.svg\" \"The rail\" { 1 foot at 20 %, 30 % }\n",
        ),
    ] {
        assert!(text.contains(from), "{from}");
        let found = codes(&text.replacen(from, to, 1));
        assert!(found.contains(&Code::FW0213), "{to}: {found:?}");
    }
    assert!(!codes(&text.replace("[part foot]", "[joint foot]")).contains(&Code::FW0213));
    // A count says that parts are meant.
    let off = "  step off \"Off\" {\n remove 1 foot by hand\n refit 1 foot\n }\n handover {";
    let found = codes(&text.replacen("  handover {", off, 1));
    assert!(!found.contains(&Code::FW0213), "{found:?}");
}

#[test]
fn nothing_else_may_be_called_alike() {
    let text = joint_called("foot", "part ");
    for other in [
        "part foot \"Another\"",
        "joint foot \"Another\" { each foot  count 1  tight \"it sits\" }",
        "measure foot \"Height\" { range 0 mm to 9 mm }",
        "tool foot \"Foot pump\"",
    ] {
        let found = codes(&text.replacen("section work", &format!("{other}\nsection work"), 1));
        assert!(found.contains(&Code::FW0202), "{other}: {found:?}");
    }
    // A name that only looks like a kind and a name.
    assert_eq!(codes(&text.replace("[part foot]", "[part cap]")), codes(&text));
    assert!(codes(&text.replace("[part foot]", "[joint cap]")).contains(&Code::FW0201));
    assert!(codes(&text.replace("[part foot]", "[part ]")).contains(&Code::FW0201));
}
