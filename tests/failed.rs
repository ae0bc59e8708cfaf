//! What is seen in a check, and what is done where it fails: it means what the statements mean that say the same at length.

use fitwright::compile;
use fitwright::diagnostics::Code;
use fitwright::diagnostics::render::{Style, human};
use fitwright::world::Memory;
use serde_json::Value;

const HEAD: &str = r#"procedure brakes "Brakes"
use std/hand-tools
part liner "Brake liner"
part rivet "Rivet"
kit     { box when drum is large { 2 liner, 8 rivet } }
vehicle { 2 liner, 8 rivet }
option drum "Drum" { small  large }
measure left "Thickness of the thinnest liner" { range 0.5 mm to 12 mm  reads 0.5 mm  with vernier-caliper }
"#;

/// Codes of a text, notes too, and what a person reads.
fn told(text: &str) -> (Vec<Code>, String) {
    let compiled = compile::check("brakes.fitw", &Memory::default().with("brakes.fitw", text));
    let codes = compiled.findings().iter().map(|finding| finding.code).collect();
    (codes, human(compiled.findings(), compiled.sources(), Style::default()))
}

/// The checklist of a text, without what depends on its bytes.
fn checklist(text: &str) -> Value {
    let compiled = compile::check("brakes.fitw", &Memory::default().with("brakes.fitw", text));
    let said = human(compiled.findings(), compiled.sources(), Style::default());
    let outputs = compile::build(&compiled).unwrap_or_else(|| panic!("{said}")).expect("outputs");
    let mut json = serde_json::from_slice(outputs.file("checklist.json").expect("a checklist")).expect("JSON");
    without_digests(&mut json);
    json
}

fn without_digests(value: &mut Value) {
    match value {
        Value::Object(members) => {
            members.retain(|name, _| !name.contains("digest"));
            members.values_mut().for_each(without_digests);
        }
        Value::Array(items) => items.iter_mut().for_each(without_digests),
        _ => {}
    }
}

fn section(body: &str) -> String {
    format!("{HEAD}section look \"Look\" {{\n{body}\n  handover {{ sign installer }}\n}}\n")
}

#[test]
fn what_is_replaced_means_a_look_and_a_branch() {
    let short = section(
        r#"check liners "Brake liners" when drum is large {
    > Look at the liners.
    read left
    expect left is at least 3 mm
    expect "No liner is cracked."
    expect "No liner is oily"
    else replace 2 liner, 8 rivet "Fit new liners" with hammer {
      > Rivet the new liners on.
      takes 9 min
    }
  }"#,
    );
    let long = section(
        r#"step liners "Brake liners" when drum is large {
    > Look at the liners.
    read left
    read liners-seen, liners-seen-2
  }
  when drum is large and not (left is at least 3 mm and liners-seen is yes and liners-seen-2 is yes) {
    step replace-liners "Fit new liners" {
      remove 2 liner, 8 rivet with hammer
      discard 2 liner, 8 rivet
      take 2 liner, 8 rivet
      > Rivet the new liners on.
      takes 9 min
    }
  }"#,
    );
    let observed = "observe liners-seen \"No liner is cracked\" { yes  no }\nobserve liners-seen-2 \"No liner is oily\" { yes  no }\n";
    let long = long.replace("section look", &format!("{observed}section look"));
    assert_eq!(checklist(&short), checklist(&long));
    // Written at length, the spares are parts left over; that some are is what spares are for.
    assert_eq!(told(&short).0, [], "{}", told(&short).1);
    assert_eq!(told(&long).0, [Code::FW0604; 2]);
}

#[test]
fn spares_are_supplied_for_all_that_is_looked_at_and_no_more() {
    let head = HEAD.lines().filter(|line| !line.starts_with("option") && !line.starts_with("measure"));
    let head = head.collect::<Vec<_>>().join("\n");
    let text = |kit: &str, when: &str, block: &str| {
        let head = head
            .replace("box when drum is large { 2 liner, 8 rivet } }\nvehicle", &format!("box {{ {kit} }} }}\nvehicle"));
        format!(
            "{head}\noption drum \"Drum\" {{ small  large }}\nsection look \"Look\" {{\n  check liners \"Liners\" {when} {{\n    \
             > Look at the liners.\n    expect \"No liner is cracked\"\n    else replace 2 liner, 8 rivet {block}\n  }}\n  \
             step drums \"Drums\" when drum is small {{ note \"They are small.\" }}\n  handover {{ sign installer }}\n}}\n"
        )
    };
    let codes = |kit: &str, when: &str, block: &str| told(&text(kit, when, block)).0;
    assert_eq!(codes("2 liner, 8 rivet", "", "with hammer"), []);
    assert_eq!(codes("2 liner, 7 rivet", "", "with hammer"), [Code::FW0603]);
    // More than is ever needed, and spares in a fitting that looks at none, are left over all the same.
    assert_eq!(codes("3 liner, 8 rivet", "", "with hammer"), [Code::FW0610]);
    assert_eq!(codes("2 liner, 8 rivet", "when drum is large", "with hammer"), [Code::FW0604; 2]);

    // Where its block takes the old ones off, they come off there.
    let own =
        "{\n      > Open the drum.\n      remove 2 liner, 8 rivet with hammer\n      > Rivet the new liners on.\n    }";
    assert_eq!(codes("2 liner, 8 rivet", "", own), []);
    let kinds = |block: &str| {
        let list = checklist(&text("2 liner, 8 rivet", "", block));
        let lines = list.pointer("/flow/0/body/1/then/0/lines").and_then(Value::as_array).expect("lines");
        lines.iter().map(|line| line["does"]["kind"].as_str().expect("a kind").to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(kinds(own), ["text", "remove", "discard", "take", "text"]);
    assert_eq!(kinds("with hammer {\n      > Rivet the new liners on.\n    }"), ["remove", "discard", "take", "text"]);
    assert_eq!(codes("2 liner, 8 rivet", "", &format!("with hammer {own}")), [Code::FW0113]);
}

#[test]
fn a_vehicle_is_left_safe_before_a_stop() {
    let text = |end: &str| {
        section(&format!(
            "step measure \"Measure\" when drum is large {{\n    read left\n    note \"It is [left].\"\n  }}\n  check lamp \"Lamp\" {{\n    > Switch it on.\n    expect \"The lamp shines\"\n    \
             repair at most 1 times {{\n      step shake \"Shake the plug\" {{ note \"Once.\" }}\n    }}\n    {end}\n  }}"
        ))
    };
    let short = text(
        "else go on \"Put it out of use.\" {\n      step tag \"Hang a tag on\" { note \"Red.\" }\n      stop \"Call the maker.\"\n    }",
    );
    let long = text("else go on \"Put it out of use.\"").replace(
        "  handover",
        "  when not lamp-seen is yes {\n    step tag \"Hang a tag on\" { note \"Red.\" }\n    stop \"Call the maker.\"\n  }\n  handover",
    );
    assert_eq!(checklist(&short), checklist(&long));
}

#[test]
fn an_empty_text_says_nothing_and_a_check_named_twice_is_told_once() {
    let check = |name: &str, seen: &str| {
        format!(
            "check {name} \"Lamp {name}\" {{\n    > Switch it on.\n    expect \"{seen}\"\n    else stop \"Call the maker.\"\n  }}\n  "
        )
    };
    let codes = |body: &str| {
        let mut codes = told(&section(body)).0;
        codes.retain(|code| !matches!(code, Code::FW0203 | Code::FW0407 | Code::FW0602));
        codes
    };
    assert_eq!(codes(&check("lamp", "The lamp shines.")), []);
    for empty in ["", " ", "."] {
        assert_eq!(codes(&check("lamp", empty)), [Code::FW0114], "\"{empty}\"");
    }
    let twice = check("lamp", "The lamp shines") + &check("lamp", "The lamp is dark");
    assert_eq!(codes(&twice), [Code::FW0202]);
    let [short, meanwhile] = [("\"Lamp\" { short \"\" }", ""), ("\"Lamp\"", " while \" \"")];
    for (part, during) in [short, meanwhile] {
        let things = format!(
            "part lamp {part}\njoint base \"Base\" {{ each lamp  torque 5 N.m +- 0.5 N.m{during}  thread dry  on vehicle }}\n"
        );
        let text = section(&check("look", "It shines")).replace("section look", &format!("{things}section works"));
        assert!(told(&text).0.contains(&Code::FW0114), "{}", told(&text).1);
    }
}
