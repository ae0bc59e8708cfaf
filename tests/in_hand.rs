//! What is taken and then put into a joint is counted once, on each path for itself. The sums are worked by hand beside each.

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::{Code, Finding};
use fitwright::world::Memory;

fn compiled(kit: &str, steps: &str) -> Compiled {
    let text = format!(
        "procedure small \"Small\"\noption arm \"Arm\" {{ strut  powered }}\npart bolt \"Bolt\"\npart stud \"Stud\"\n\
         tool wrench \"Wrench\" {{ torque 5 N.m to 25 N.m }}\n\
         joint foot \"Foot\" {{ each bolt  count 4  torque 10 N.m +- 1 N.m }}\n\
         joint lid \"Lid\" {{ each bolt  count 2  torque 10 N.m +- 1 N.m }}\n\
         kit {{ bag A {{ {kit} }} }}\nsection work \"Work\" {{\n{steps}\nstep end \"End\" {{\n > Look it over.\n take 1 stud }}\n\
         handover {{ sign installer }}\n}}\n"
    );
    compile::check("small.fitw", &Memory::default().with("small.fitw", text))
}

/// The codes on parts, each with what its case comes to.
fn told(kit: &str, steps: &str) -> Vec<(Code, String)> {
    let compiled = compiled(&format!("{kit}, 1 stud"), steps);
    assert!(
        compiled.findings().iter().all(|finding| finding.code == Code::FW0203
            || !["FW01", "FW02"].iter().any(|family| finding.code.text().starts_with(family))),
        "{:?}",
        compiled.findings()
    );
    let of_parts = compiled.findings().iter().filter(|finding| finding.code.text().starts_with("FW06"));
    let outcome = |finding: &Finding| finding.case.as_ref().and_then(|case| case.outcome.clone()).unwrap_or_default();
    of_parts.map(|finding| (finding.code, outcome(finding))).collect()
}

const LAY_OUT: &str = "step lay-out \"Lay out\" {\n > Lay the bolts out.\n take 4 bolt }\n";
const FOOT: &str = "step set-foot \"Set the foot\" {\n > Set the foot.\n place foot\n tighten foot with wrench }\n";
const LID: &str = "step set-lid \"Set the lid\" {\n > Set the lid.\n place lid\n tighten lid with wrench }\n";

#[test]
fn what_is_taken_and_then_placed_counts_once() {
    // 4 taken, all of which go into the foot.
    assert_eq!(told("4 bolt", &format!("{LAY_OUT}{FOOT}")), []);
    // In one step as well, where the line stands above.
    let one =
        "step set-foot \"Set the foot\" {\n > Set the foot.\n take 4 bolt\n place foot\n tighten foot with wrench }\n";
    assert_eq!(told("4 bolt", one), []);
    // 4 in hand serve two of the lid and two of the foot, which takes two more: 6.
    assert_eq!(told("6 bolt", &format!("{LAY_OUT}{LID}{FOOT}")), []);
}

#[test]
fn too_many_are_still_found() {
    let short = |outcome: &str| vec![(Code::FW0603, outcome.to_owned())];
    assert_eq!(told("3 bolt", &format!("{LAY_OUT}{FOOT}")), short("4 `bolt` taken, 3 supplied"));
    // Placed first: the four that are taken afterwards are four more.
    assert_eq!(told("4 bolt", &format!("{FOOT}{LAY_OUT}")), short("8 `bolt` taken, 4 supplied"));
    // 4 + (2 - 2): the lid leaves two in hand, and the foot takes two of the kit.
    assert_eq!(told("5 bolt", &format!("{LAY_OUT}{LID}{FOOT}")), short("6 `bolt` taken, 5 supplied"));
}

#[test]
fn each_path_is_counted_for_itself() {
    let lay_out = LAY_OUT.replace("\"Lay out\"", "\"Lay out\" when arm is powered");
    // With the take 4, without it 4 out of the kit.
    assert_eq!(told("4 bolt", &format!("{lay_out}{FOOT}")), []);
    assert_eq!(told("3 bolt", &format!("{lay_out}{FOOT}")), [(Code::FW0603, "4 `bolt` taken, 3 supplied".to_owned())]);
    // The take on one way and the joint on the other: nothing is in hand there. 4 each.
    let foot = FOOT.replace("the foot\"", "the foot\" when arm is strut");
    assert_eq!(told("4 bolt", &format!("{lay_out}{foot}")), []);
    // 4 in hand with the arm powered only; the lid takes 2 on both ways: 4 and 2, so that 2 can be left.
    let left = told("4 bolt", &format!("{lay_out}{LID}"));
    assert_eq!(left, [(Code::FW0604, "4 `bolt` supplied, 2 taken".to_owned())]);
}

#[test]
fn what_was_fitted_or_used_up_is_not_in_hand() {
    // The four are fitted and come off again; the foot takes four more: 8.
    let off = "step off \"Off\" {\n > Take them off.\n remove 4 bolt\n discard 4 bolt }\n";
    let outcome = "8 `bolt` taken, 4 supplied".to_owned();
    assert_eq!(told("4 bolt", &format!("{LAY_OUT}{off}{FOOT}")), [(Code::FW0603, outcome)]);
    assert_eq!(told("8 bolt", &format!("{LAY_OUT}{off}{FOOT}")), []);
    // Four go into studs: 4 + 4.
    let make = "step make \"Make\" {\n > Cut them.\n make 1 stud from 4 bolt\n take 1 stud }\n";
    let outcome = "8 `bolt` taken, 4 supplied".to_owned();
    assert_eq!(told("4 bolt", &format!("{make}{FOOT}")), [(Code::FW0603, outcome)]);
    // What the foot has got comes off only with it.
    let codes: Vec<Code> = told("4 bolt", &format!("{LAY_OUT}{FOOT}{off}")).into_iter().map(|(code, _)| code).collect();
    assert_eq!(codes, [Code::FW0609]);
}

#[test]
fn a_mention_hides_neither_the_next_nor_what_becomes_of_the_part() {
    let speak = |name: &str| format!("step {name} \"Step {name}\" {{\n > Look at each [bolt].\n }}\n");
    let two = told("4 bolt", &format!("{}{}{FOOT}", speak("one"), speak("two")));
    assert_eq!(two.iter().map(|(code, _)| *code).collect::<Vec<_>>(), [Code::FW0608, Code::FW0608]);
    let off = "step off \"Off\" {\n > Take it off.\n remove foot with wrench }\n";
    let codes = told("4 bolt", &format!("{}{FOOT}{off}", speak("one")));
    assert_eq!(codes.into_iter().map(|(code, _)| code).collect::<Vec<_>>(), [Code::FW0608, Code::FW0605]);
}
