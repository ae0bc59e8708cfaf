//! A line is an action: its letter and box on paper, its letter in the checklist, and mentions that name it.

use fitwright::compile;
use fitwright::diagnostics::Code;
use fitwright::tailor::Wish;
use fitwright::world::Memory;
use serde_json::{Value, json};

use super::truth::read;
use super::{build, file, small};

const ARM: &str = "option arm \"Arm\" { strut  powered }\nobserve fits \"Does it fit?\" { yes  no }";
const STEPS: &str = r#"
step look "Look" {
  > Look at the rail, with the [arm].
  use socket-13
  > Wipe it
  >   clean.
  note "Its face is painted."
  > Look again:
  >
  > - no cracks,
  > - no paint.
}
step lone "One thing" {
  > Do [look.b] until
  >   the cloth stays clean.
}
step wire "Wire" when arm is powered {
  > Lay the wire.
  > Tie it down.
}
check fit "Fit" {
  > Push it.
  read fits
  expect fits is yes
  repair at most 2 times {
    step again "Again" {
      > Pull it off.
      > Do [wire.b] and [look.c] again.
    }
  }
  else stop "Stop at [look.a]."
}
"#;

/// The lines of a step of the checklist that are text: id, letter, text.
fn texts(checklist: &Value, step: &str) -> Vec<(String, Option<String>, String)> {
    let mut found = Vec::new();
    let mut open = vec![checklist];
    while let Some(value) = open.pop() {
        match value {
            Value::Array(all) => open.extend(all.iter().rev()),
            Value::Object(all) => {
                if all.get("does").is_some_and(|does| does["kind"] == "text") {
                    let text = |of: &Value| of.as_str().map(str::to_owned);
                    let id = text(&all["id"]).unwrap_or_default();
                    let letter = all.get("letter").and_then(text);
                    found.push((id, letter, text(&all["does"]["prose"]["text"]).unwrap_or_default()));
                }
                open.extend(all.values());
            }
            _ => {}
        }
    }
    found.retain(|(id, ..)| id.starts_with(&format!("{step}.")));
    found.sort();
    found
}

fn line(id: &str, letter: Option<&str>, text: &str) -> (String, Option<String>, String) {
    (id.to_owned(), letter.map(str::to_owned), text.to_owned())
}

#[test]
fn actions_have_letters_and_boxes_and_are_mentioned_by_them() {
    let (outputs, _) = build("small.fitw", &small(ARM, STEPS));
    let manual = file(&outputs, "manual.html").replace('\u{a0}', " ");
    for told in [
        r#"aria-label="step 1.1 a done"></span></span><span class="letter">a</span> <div class="say"><p>Look at the rail"#,
        r#"aria-label="step 1.1 b done"></span></span><span class="letter">b</span> <div class="say"><p>Wipe it"#,
        r#"aria-label="step 1.1 c done"></span></span><span class="letter">c</span> <div class="say"><p>Look again:"#,
        r##"<div class="say"><p>Do <a href="#step-look">step 1.1 b</a> until"##,
        // A step of a repair is done twice at most: a box for each time.
        r#"aria-label="step 1.4.1 a done, repair 1"></span><span class="tick" role="img" aria-label="step 1.4.1 a done, repair 2"></span></span>"#,
    ] {
        assert!(manual.contains(told), "{told}\n{manual}");
    }
    assert!(!manual.contains("step 1.2 a"), "a step of one action has no letter");
    assert!(read(&outputs, "manual.html").contains("Stop at step 1.1 a."));
    let checklist: Value = serde_json::from_str(file(&outputs, "checklist.json")).expect("JSON");
    assert_eq!(checklist["format"]["version"], "1.5.0");
    assert_eq!(
        texts(&checklist, "look"),
        [
            line("look.text", Some("a"), "Look at the rail, with the Arm."),
            line("look.text.2", Some("b"), "Wipe it clean."),
            line("look.text.3", Some("c"), "Look again:\n\n- no cracks,\n- no paint."),
        ]
    );
    assert_eq!(texts(&checklist, "lone"), [line("lone.text", None, "Do step 1.1\u{a0}b until the cloth stays clean.")]);
    let mention = &checklist["flow"][0]["body"][1]["lines"][0]["does"]["prose"]["mentions"][0];
    assert_eq!(
        *mention,
        json!({ "text": "look.b", "words": "step 1.1\u{a0}b", "means": "step", "id": "look", "letter": "b" })
    );
}

#[test]
fn a_fitting_keeps_the_letters_of_what_is_left() {
    let world = Memory::default().with("small.fitw", small(ARM, STEPS));
    let compiled = compile::check("small.fitw", &world);
    let wish = |value: &str| [Wish { name: "arm".to_owned(), value: value.to_owned() }];
    let built = |value: &str| {
        let built = compile::build_tailored(&compiled, &wish(value)).expect("no errors").expect("an allowed fitting");
        built.outputs.expect("outputs")
    };
    let strut = read(&built("strut"), "manual.html");
    assert!(strut.contains("Do step 1.3 b (left out here) and step 1.1 c again."), "{strut}");
    let powered = read(&built("powered"), "manual.html");
    assert!(powered.contains("Do step 1.3 b and step 1.1 c again."), "{powered}");
}

/// The codes and messages that a text gets.
fn told(steps: &str) -> Vec<(Code, String)> {
    let world = Memory::default().with("small.fitw", small("", steps));
    let compiled = compile::check("small.fitw", &world);
    // The libraries of the head are for all of these texts.
    let told = compiled.findings().iter().filter(|finding| finding.code != Code::FW0214);
    told.map(|finding| (finding.code, finding.repair.clone().unwrap_or_default())).collect()
}

#[test]
fn text_that_was_wrapped_at_the_margin_is_no_two_actions() {
    let wrapped = told("step one \"One\" {\n > Set the rail on the\n > beam, and\n > look at it.\n > Turn it.\n}");
    assert_eq!(wrapped.iter().map(|(code, _)| *code).collect::<Vec<_>>(), [Code::FW0117], "{wrapped:?}");
    assert!(wrapped[0].1.contains("`>   beam, and`"), "what to write instead: {wrapped:?}");
    let right = told("step one \"One\" {\n > Set the rail on the\n >   beam.\n > Look at it.\n > Turn it.\n}");
    assert_eq!(right, []);
    let (outputs, _) =
        build("small.fitw", &small("", "step one \"One\" {\n > Set the rail on the\n > beam.\n > Turn it.\n}"));
    assert!(read(&outputs, "manual.html").contains("a Set the rail on the beam. b Turn it."));
}

#[test]
fn a_letter_that_is_not_there_is_refused() {
    let two = "step one \"One\" {\n > Set it.\n > Turn it.\n}\n";
    for (mention, code, repair) in [
        ("one.c", Code::FW0201, "`[one.a]` to `[one.b]`"),
        ("one.B", Code::FW0201, "`[one.a]`"),
        ("two.a", Code::FW0201, "`[two]`"),
        ("socket-13.a", Code::FW0207, "`[socket-13]`"),
        ("none.a", Code::FW0201, "Declare it"),
    ] {
        let found = told(&format!("{two}step two \"Two\" {{\n > Do [{mention}] again.\n}}"));
        let first = found.iter().find(|(found, _)| *found == code);
        assert!(first.is_some_and(|(_, told)| told.contains(repair)), "{mention}: {found:?}");
    }
    assert_eq!(told(&format!("{two}step two \"Two\" {{\n > Do [one.b] again.\n}}")), []);
}
