//! Figures: one number for each in every output and every fitting, callouts that follow their names, conditions.

use fitwright::compile;
use fitwright::tailor::Wish;
use fitwright::world::Memory;
use serde_json::Value;

use super::{RAIL, small};

const DECLARED: &str = r#"
option arm "Arm" { strut  powered }
measure gap "Gap" { range 0 mm to 60 mm  reads 1 mm  with steel-rule }
part hinge "Hinge"
part motor "Motor"
kit { box { 1 hinge }  box powered when arm is powered { 1 motor } }
figure inside "rail.svg" "The motor from inside" when arm is powered { 1 motor at 30 %, 50 % }
figure post "rail.svg" "The post" {
  2 motor at 70 %, 50 %
  1 hinge at 31 %, 40.5 %   1 hinge at 12.25 %, 80 %
}
"#;

const STEPS: &str = r#"
step look "Look" {
  > Before [post] is needed, measure.
  read gap
  figure "rail.svg" "The rail"
}
choose gap {
  at most 20 mm { step near "Near" { note "It is near." } }
  otherwise     { step far "Far" { note "It is far." } }
}
step inside-it "Motor" when arm is powered {
  figure inside
  take 1 motor
  > See [inside].
}
step hang "Hang" {
  accept FW1305 for motor "Only some fittings have it, and it stands in the picture."
  figure post
  take 1 hinge
  > Hang it as [post] shows.
}
step again "Again" {
  > Look at the [hinge] again.
  accept FW1305 for motor "Only some fittings have it, and it stands in the picture."
  figure post when arm is powered
}
"#;

struct Made {
    manual: String,
    checklist: Value,
}

fn made(declared: &str, steps: &str, wishes: &[(&str, &str)]) -> Made {
    let text = small(declared, steps);
    let compiled =
        compile::check("small.fitw", &Memory::default().with("small.fitw", text.as_str()).with("rail.svg", RAIL));
    let wishes: Vec<Wish> =
        wishes.iter().map(|(name, value)| Wish { name: (*name).into(), value: (*value).into() }).collect();
    let outputs = match wishes.as_slice() {
        [] => compile::build(&compiled).expect("no errors").expect("outputs"),
        _ => compile::build_tailored(&compiled, &wishes)
            .expect("no errors")
            .expect("a fitting")
            .outputs
            .expect("outputs"),
    };
    Made {
        manual: super::file(&outputs, "manual.html").to_owned(),
        checklist: serde_json::from_str(super::file(&outputs, "checklist.json")).expect("JSON"),
    }
}

/// Every object of a checklist with such a member.
fn all_with<'v>(value: &'v Value, member: &str) -> Vec<&'v Value> {
    match value {
        Value::Array(all) => all.iter().flat_map(|one| all_with(one, member)).collect(),
        Value::Object(all) => {
            let own = all.contains_key(member).then_some(value);
            own.into_iter().chain(all.values().flat_map(|one| all_with(one, member))).collect()
        }
        _ => Vec::new(),
    }
}

/// The captions of the writer's pictures, in the order of the page.
fn captions(manual: &str) -> Vec<String> {
    let of = |piece: &str| piece.split("</b>").next().unwrap_or_default().to_owned();
    manual.split("<figcaption><b>").skip(1).map(of).collect()
}

fn numbers(checklist: &Value) -> Vec<u64> {
    all_with(checklist, "asset").into_iter().filter_map(|line| line["number"].as_u64()).collect()
}

#[test]
fn a_figure_has_one_number_in_all_outputs_and_in_all_fittings() {
    let full = made(DECLARED, STEPS, &[]);
    assert_eq!(captions(&full.manual), ["Figure 1.", "Figure 2.", "Figure 3.", "Figure 3."]);
    assert_eq!(numbers(&full.checklist), [1, 2, 3, 3]);
    assert!(
        full.manual.contains("Before <a href=\"#step-hang\">figure 3</a> is needed"),
        "a mention before it is shown"
    );
    let words: Vec<&str> =
        all_with(&full.checklist, "figure").into_iter().filter_map(|mention| mention["words"].as_str()).collect();
    assert_eq!(words, ["figure 3", "figure 2", "figure 3"]);
    // No counter of a style sheet counts again.
    assert!(!full.manual.contains("counter(figure)"));

    let strut = made(DECLARED, STEPS, &[("arm", "strut")]);
    assert_eq!(captions(&strut.manual), ["Figure 1.", "Figure 3."], "numbers stay, as those of steps do");
    assert_eq!(numbers(&strut.checklist), [1, 3]);
    let powered = made(DECLARED, STEPS, &[("arm", "powered")]);
    assert_eq!(numbers(&powered.checklist), [1, 2, 3, 3]);
    let asked =
        |made: &Made| all_with(&made.checklist, "asset").iter().filter(|line| line.get("when").is_some()).count();
    assert_eq!((asked(&full), asked(&powered)), (2, 0), "what is settled is asked no more");
}

#[test]
fn a_mention_of_what_a_fitting_does_not_show_says_so() {
    let declared = format!("{DECLARED}\ngiven load \"Load\" {{ range 10 kg to 90 kg }}");
    let steps = STEPS.replace(
        "step look",
        "step lay-it \"Plate\" when load is over 50 kg {\n  figure plate\n  > Lay it.\n}\nstep look",
    );
    let steps = steps.replace("Before [post] is needed, measure.", "Measure, with the plate of [plate] or without.");
    let declared = format!("{declared}\nfigure plate \"rail.svg\" \"The plate\"");
    let heavy = made(&declared, &steps, &[("load", "60 kg")]);
    assert!(heavy.manual.contains(">figure 1</a>"), "it is shown, and led to");
    let light = made(&declared, &steps, &[("load", "20 kg")]);
    assert!(light.manual.contains("figure 1 (left out here)"));
    assert_eq!(captions(&light.manual), ["Figure 2.", "Figure 3.", "Figure 4.", "Figure 4."]);
}

#[test]
fn callouts_follow_their_names_and_leave_with_what_a_fitting_lacks() {
    let legend = |made: &Made| -> Vec<String> {
        let lists = made.manual.split("<ul class=\"called\">").skip(1).filter_map(|list| list.split("</ul>").next());
        let entries = lists.flat_map(|list| list.split("<li><b>").skip(1));
        let title = |entry: &str| entry.split("</span>").next().unwrap_or_default().replace("</b> <span>", " ");
        entries.map(title).collect()
    };
    let full = made(DECLARED, STEPS, &[]);
    assert_eq!(legend(&full), ["1 Motor", "1 Hinge", "2 Motor", "1 Hinge", "2 Motor"]);
    let renamed = made(&DECLARED.replace("\"Hinge\"", "\"Upper hinge, the one with the long pin\""), STEPS, &[]);
    assert_eq!(legend(&renamed)[1], "1 Upper hinge, the one with the long pin");
    assert_eq!(full.manual.matches("<circle class=\"dot\"").count(), 7);

    let callouts = |made: &Made, at: usize| all_with(&made.checklist, "callouts")[at]["callouts"].clone();
    let post = callouts(&full, 1);
    assert_eq!(post[1]["across"], "31");
    assert_eq!((&post[1]["down"], &post[2]["across"]), (&Value::from("40.5"), &Value::from("12.25")));
    assert_eq!((&post[0]["means"], &post[0]["of"]), (&Value::from("part"), &serde_json::json!(["motor"])));
    // Without the arm nothing else speaks of the motor: its callout is gone, and the rest stays.
    let strut = made(DECLARED, STEPS, &[("arm", "strut")]);
    let post = callouts(&strut, 0);
    assert_eq!(post.as_array().map(Vec::len), Some(2));
    assert_eq!(legend(&strut), ["1 Hinge"]);
}

#[test]
fn what_a_step_means_does_not_change_with_the_number_of_a_figure() {
    let digests = |made: &Made| -> Vec<(String, String)> {
        let steps = all_with(&made.checklist, "content_digest").into_iter();
        let of = |step: &Value| (step["id"].as_str().unwrap_or_default().into(), step["content_digest"].to_string());
        steps.map(of).collect()
    };
    let before = digests(&made(DECLARED, STEPS, &[]));
    let more = STEPS.replacen(
        "step look",
        "step first \"First\" {\n  figure \"rail.svg\" \"The rail\"\n  note \"See it.\"\n}\nstep look",
        1,
    );
    let after = digests(&made(DECLARED, &more, &[]));
    assert!(before.iter().all(|step| after.contains(step)), "{before:#?}\n{after:#?}");
    let moved = digests(&made(&DECLARED.replace("31 %", "32 %"), STEPS, &[]));
    assert!(!before.iter().all(|step| moved.contains(step)), "a callout elsewhere is another picture");
}
