//! The oracle held against examples that were worked by hand.
//!
//! The oracle is the reference for the compiler; these are the reference for the oracle. Each expectation follows from
//! reading the example, as its comment says.

use std::collections::BTreeSet;

use fitwright::diagnostics::{Case, CaseInput, Code};
use fitwright::model::Procedure;
use fitwright::source::Sources;
use fitwright::world::Memory;

use super::oracle::answers::{Answers, brute_force};
use super::oracle::claims::claims;
use super::oracle::replay::{Replay, replay};
use super::oracle::trace::{Subject, Walk};

fn resolved(body: &str) -> Procedure {
    let text = format!("procedure trial \"Trial\"\nunits metric\n{body}\n");
    let mut sources = Sources::default();
    let world = Memory::default().with("trial.fitw", text.as_bytes());
    let resolved = fitwright::resolve::resolve("trial.fitw", &world, &mut sources);
    let errors: Vec<_> = resolved.findings.iter().filter(|f| f.code < Code::FW0401 && f.code != Code::FW0203).collect();
    assert!(errors.is_empty(), "{errors:?}");
    resolved.procedure.expect("a procedure")
}

fn tried(body: &str) -> (Procedure, Answers) {
    let procedure = resolved(body);
    let answers = brute_force(&procedure, 100_000).expect("small enough");
    (procedure, answers)
}

fn name(procedure: &Procedure, subject: Subject) -> &str {
    match subject {
        Subject::Part(part) => &procedure.parts[part].name.id,
        Subject::Joint(joint) => &procedure.joints[joint].name.id,
        Subject::State(state) => &procedure.states[state].name.id,
        Subject::Circuit(circuit) => &procedure.circuits[circuit].name.id,
        Subject::Limit(limit) => &procedure.limits[limit].name.id,
        Subject::Hazard(hazard) => &procedure.hazards[hazard].name.id,
        Subject::Result(choice) => &procedure.choices[choice].name.id,
        _ => "",
    }
}

/// The certain claims, as `FW0603 bolt`.
fn certain(body: &str) -> BTreeSet<String> {
    let (procedure, answers) = tried(body);
    let claims = claims(&procedure, &answers);
    let certain = claims.iter().filter(|claim| claim.certain);
    certain.map(|claim| format!("{} {}", claim.codes[0], name(&procedure, claim.subject)).trim().to_owned()).collect()
}

fn set(of: &[&str]) -> BTreeSet<String> {
    of.iter().map(|text| (*text).to_owned()).collect()
}

const CLOSE: &str = "section close \"Close\" { handover { sign installer } }";

/// Of 2 x 3 x 2 configurations exactly one takes four bolts; three are supplied.
#[test]
fn a_bolt_short_in_one_configuration_of_many() {
    let (procedure, answers) = tried(&format!(
        "option arm \"Arm\" {{ strut powered }}
        option roof \"Roof\" {{ flat high raised }}
        option side \"Side\" {{ kerb road }}
        part bolt \"Bolt\"
        kit {{ bag A {{ 3 bolt }} }}
        section main \"Main\" {{
          step one \"One\" {{ take 2 bolt }}
          when arm is powered and roof is raised {{
            step two \"Two\" {{ take 1 bolt }}
            when side is road {{ step three \"Three\" {{ take 1 bolt }} }}
          }}
        }} {CLOSE}"
    ));
    assert_eq!(answers.walks, 12);
    let bolt = procedure.parts.ids().next().expect("a part");
    assert_eq!(answers.part(bolt).worst_certain, 1);
    assert_eq!(answers.part(bolt).left, Some((-1, 1)));
    let short: Vec<_> = answers.faults.values().filter(|seen| seen.fault.code == Code::FW0603).collect();
    assert_eq!(short.iter().map(|seen| seen.walks).collect::<Vec<_>>(), [1]);
}

/// Four bolts that were laid out are the four of the foot, on the path that lays them out; the other has them from the kit.
#[test]
fn what_is_taken_and_then_placed_is_counted_once() {
    let body = |kit: &str, lay_out: &str| {
        format!(
            "option arm \"Arm\" {{ strut powered }}
            part bolt \"Bolt\"
            kit {{ bag A {{ {kit} bolt }} }}
            tool wrench \"Wrench\" {{ torque 5 N.m to 25 N.m }}
            joint foot \"Foot\" {{ each bolt  count 4  torque 10 N.m +- 1 N.m }}
            section main \"Main\" {{
              step one \"One\" when arm is powered {{ {lay_out} }}
              step two \"Two\" {{ place foot
                tighten foot with wrench }}
            }} {CLOSE}"
        )
    };
    assert_eq!(certain(&body("4", "take 4 bolt")), set(&[]));
    assert_eq!(certain(&body("3", "take 4 bolt")), set(&["FW0603 bolt"]));
    assert_eq!(certain(&body("5", "take 5 bolt")), set(&[]));
    assert_eq!(certain(&body("4", "take 5 bolt")), set(&["FW0603 bolt"]));
    // What has come off again was fitted.
    let off = "take 4 bolt\n remove 4 bolt\n discard 4 bolt";
    assert_eq!(certain(&body("4", off)), set(&["FW0603 bolt"]));
    assert_eq!(certain(&body("8", off)), set(&[]));
}

/// A limit that no step decides, one that one way does not decide, and one that applies only where it is decided.
#[test]
fn limits_that_nothing_decides() {
    let body = |when: &str, read: &str| {
        format!(
            "option arm \"Arm\" {{ strut powered }}
            tool rule \"Rule\" {{ measures 0 mm to 300 mm  reads 1 mm }}
            measure gap \"Gap\" {{ range 0 mm to 4 mm  reads 1 mm  with rule }}
            limit door \"Door\"{when} {{ gap >= 2 mm  else stop \"Call.\" }}
            section main \"Main\" {{
              step one \"One\"{read} {{ read gap }}
              step two \"Two\" {{ note \"Go on.\" }}
            }} {CLOSE}"
        )
    };
    assert_eq!(certain(&body("", "")), set(&[]));
    assert_eq!(certain(&body("", " when arm is powered")), set(&["FW1004 door"]));
    assert_eq!(certain(&body(" when arm is powered", " when arm is powered")), set(&[]));
    assert_eq!(certain(&body(" when arm is powered", " when arm is strut")), set(&["FW1004 door"]));
}

/// The repair loosens and does not tighten: a fault where the lamp was dark once and is lit then. Where it stays dark the
/// job stops, and the joint is left loose there.
#[test]
fn a_joint_that_only_the_repair_loosens() {
    let body = |repair: &str| {
        format!(
            "observe lamp \"Lamp lit?\" {{ lit dark }}
            part bolt \"Bolt\"
            kit {{ bag A {{ 2 bolt }} }}
            tool wrench \"Wrench\" {{ torque 5 N.m to 25 N.m }}
            joint foot \"Foot\" {{ each bolt  count 2  torque 10 N.m +- 1 N.m }}
            section main \"Main\" {{
              step one \"One\" {{ place foot
                tighten foot with wrench }}
              check two \"Two\" {{
                read lamp
                expect lamp is lit
                repair at most 2 times {{ step three \"Three\" {{ {repair} }} }}
                else stop \"Call.\"
              }}
            }} {CLOSE}"
        )
    };
    assert_eq!(certain(&body("loosen foot with wrench")), set(&["FW0703 foot", "FW0805 foot"]));
    assert_eq!(certain(&body("loosen foot with wrench\ntighten foot with wrench")), set(&[]));
    // lit; dark lit; dark dark lit; dark dark dark.
    let (_, answers) = tried(&body("loosen foot with wrench"));
    assert_eq!(answers.walks, 4);
}

/// With the lead off the order is free; with it on, the source comes last.
#[test]
fn a_source_connected_first_is_right_only_while_isolated() {
    let body = |first: &str, last: &str| {
        format!(
            "use std/hazards
            state lead \"Lead\" {{ on \"on\"  off \"off\"
              starts on
              ends on }}
            circuit feed \"Feed\" {{ point post \"Post\"
              point load \"Load\"
              isolated by lead off }}
            section main \"Main\" {{
              step one \"One\" {{
                warning live-circuit {{ hazard \"It is live.\" consequence \"It burns.\" avoid \"Take the lead off.\" }}
                {first}
                connect feed at post
                {last}
                connect feed at load
                make lead on
              }}
            }} {CLOSE}"
        )
    };
    assert_eq!(certain(&body("make lead off", "")), set(&[]));
    assert_eq!(certain(&body("", "make lead off")), set(&["FW0901 feed"]));
    // The lead goes back on too early, while the load is loose; and then once more.
    assert_eq!(certain(&body("make lead off", "make lead on")), set(&["FW0901 feed", "FW0807"]));
}

/// What nothing feeds may be connected in any order; a point that is left is not this job's, and connecting it is a fault.
#[test]
fn what_is_left_for_later_is_not_asked_for_now() {
    let body = |says: &str, lines: &str| {
        format!(
            "use std/hazards
            circuit feed \"Feed\" {{ point post \"Post\"
              point load \"Load\"
              {says} }}
            section main \"Main\" {{
              step one \"One\" {{
                warning live-circuit {{ hazard \"It is live.\" consequence \"It burns.\" avoid \"Take care.\" }}
                {lines}
              }}
            }} {CLOSE}"
        )
    };
    let first = "connect feed at post\n connect feed at load";
    assert_eq!(certain(&body("", first)), set(&["FW0901 feed"]));
    assert_eq!(certain(&body("fed later \"The owner.\"", first)), set(&[]));
    assert_eq!(certain(&body("leaves post to \"The owner.\"", "connect feed")), set(&[]));
    assert_eq!(certain(&body("leaves post to \"The owner.\"", "connect feed at load, post")), set(&["FW0944 feed"]));
    assert_eq!(certain(&body("leaves load to \"The owner.\"", "connect feed at post")), set(&["FW0901 feed"]));
    assert_eq!(certain(&body("on vehicle but load", "disconnect feed at post\n connect feed at load, post")), set(&[]));
    assert_eq!(certain(&body("on vehicle but load", "note \"Done.\"")), set(&["FW0903 feed"]));
}

/// On a half-millimetre gauge "to 21 mm, then from 22 mm" leaves 21.5 mm out; on a millimetre rule it does not.
#[test]
fn gaps_depend_on_the_instrument() {
    let body = |reads: &str, second: &str| {
        format!(
            "measure height \"Height\" {{ range 20 mm to 23 mm
              reads {reads} }}
            section main \"Main\" {{
              step one \"One\" {{ read height }}
              choose height {{
                20 mm to 21 mm {{ step two \"Two\" {{ note \"Low.\" }} }}
                {second} to 23 mm {{ step three \"Three\" {{ note \"High.\" }} }}
              }}
            }} {CLOSE}"
        )
    };
    assert_eq!(certain(&body("1 mm", "22 mm")), set(&[]));
    assert_eq!(certain(&body("0.5 mm", "22 mm")), set(&["FW0401"]));
    assert_eq!(certain(&body("0.5 mm", "21 mm")), set(&["FW0402"]));
}

/// Two givens of any value: only one corner of their square breaks the limit, and only there is the bag short.
#[test]
fn limits_over_two_real_numbers_find_the_corner() {
    let body = |limit: &str, other: &str| {
        format!(
            "given rack \"Rack\" {{ range 10 kg to 60 kg }}
            given ladder \"Ladder\" {{ range 0 kg to 40 kg }}
            limit roof \"Roof\" {{ rack + ladder {limit}{other} }}
            section main \"Main\" {{ step one \"One\" {{ note \"Work.\" }} }} {CLOSE}"
        )
    };
    assert_eq!(certain(&body("< 100 kg", "")), set(&["FW1002 roof"]));
    assert_eq!(certain(&body("<= 100 kg", "")), set(&["FW1005 roof"]));
    assert_eq!(certain(&body("< 100 kg", "\nelse stop \"No.\"")), set(&[]));
    let broken = certain(&body("< 10 kg", "\nelse stop \"No.\""));
    // That nothing gets to the handover then has the same cause, and is not claimed beside it.
    assert!(broken.contains("FW1001 roof"), "{broken:?}");
}

/// What comes off goes back or away on every path; a part that serves once does not go back.
#[test]
fn parts_taken_off() {
    let body = |lines: &str, single: &str| {
        format!(
            "option arm \"Arm\" {{ strut powered }}
            part clip \"Clip\" {single}
            vehicle {{ 2 clip }}
            section main \"Main\" {{
              step one \"One\" {{ remove 2 clip }}
              {lines}
            }} {CLOSE}"
        )
    };
    assert_eq!(certain(&body("step two \"Two\" { refit 2 clip }", "")), set(&[]));
    assert_eq!(certain(&body("step two \"Two\" when arm is strut { refit 2 clip }", "")), set(&["FW0605 clip"]));
    assert_eq!(certain(&body("step two \"Two\" { refit 3 clip }", "")), set(&["FW0606 clip"]));
    assert_eq!(certain(&body("step two \"Two\" { refit 2 clip }", "{ single use }")), set(&["FW0607 clip"]));
    assert_eq!(certain(&body("step two \"Two\" { discard 2 clip }", "{ single use }")), set(&[]));
    let three = "step two \"Two\" { remove 1 clip }\nstep three \"Three\" { discard 3 clip }";
    assert_eq!(certain(&body(three, "")), set(&["FW0609 clip"]));
}

/// A message holds for its section, on the paths that pass it.
#[test]
fn messages_hold_for_their_section() {
    let message = "caution burr { hazard \"Sharp.\" consequence \"It cuts.\" avoid \"Wear gloves.\" }";
    let body = |one: &str, two: &str, between: &str| {
        format!(
            "option arm \"Arm\" {{ strut powered }}
            hazard burr \"Burr\" {{ signal caution }}
            tool saw \"Saw\" {{ brings burr }}
            section main \"Main\" {{
              step one \"One\" {one}
              {between}
              step two \"Two\" {{ {two} }}
            }} {CLOSE}"
        )
    };
    assert_eq!(certain(&body(&format!("{{ {message} }}"), "use saw", "")), set(&[]));
    let elsewhere = "} section other \"Other\" {";
    assert_eq!(certain(&body(&format!("{{ {message} }}"), "use saw", elsewhere)), set(&["FW1101 burr"]));
    let sometimes = format!("when arm is powered {{ {message} }}");
    assert_eq!(certain(&body(&sometimes, "use saw", "")), set(&["FW1101 burr"]));
    assert_eq!(certain(&body("{ note \"N.\" }", &format!("use saw\n{message}"), "")), set(&["FW1102 burr"]));
}

/// A stop leaves the lead off; a later need of the lead is not met where the branch took it off.
#[test]
fn states_at_needs_stops_and_the_end() {
    let body = |inside: &str, after: &str| {
        format!(
            "option arm \"Arm\" {{ strut powered }}
            state lead \"Lead\" {{ on \"on\"  off \"off\"
              starts on
              ends on }}
            section main \"Main\" {{
              step zero \"Zero\" {{ need lead on }}
              when arm is powered {{
                step one \"One\" {{ make lead off }}
                {inside}
              }}
              step two \"Two\" {{ {after} }}
            }} {CLOSE}"
        )
    };
    assert_eq!(certain(&body("stop \"No.\"", "note \"N.\"")), set(&["FW0803 lead"]));
    assert_eq!(certain(&body("", "note \"N.\"")), set(&["FW0802 lead"]));
    assert_eq!(certain(&body("", "need lead on\nmake lead on")), set(&["FW0801 lead"]));
    assert_eq!(certain(&body("step b \"B\" { make lead on }", "need lead on")), set(&[]));
}

/// Unknown readings, results, rules, places that nobody reaches.
#[test]
fn flow() {
    let body = |head: &str, flow: &str| {
        format!(
            "option arm \"Arm\" {{ strut powered }}
            observe lamp \"Lamp?\" {{ lit dark }}
            result hole \"Hole\" {{ low high }}
            {head}
            section main \"Main\" {{ {flow} }} {CLOSE}"
        )
    };
    let step = |name: &str, when: &str| format!("step {name} \"{name}\" {when} {{ note \"N.\" }}\n");
    let read = "step r \"R\" { read lamp }\n";
    let sometimes = "step r \"R\" when arm is powered { read lamp }\n";
    let found = certain(&body("", &format!("{read}{}", step("s", "when lamp is lit"))));
    assert_eq!(found, set(&[]));
    let found = certain(&body("", &format!("{sometimes}{}", step("s", "when lamp is lit"))));
    assert_eq!(found, set(&["FW0406"]));
    // Not used where the option already settles it.
    let found = certain(&body("", &format!("{sometimes}{}", step("s", "when arm is powered and lamp is lit"))));
    assert_eq!(found, set(&[]));
    let set_one = "when arm is powered { set hole low }\n";
    assert_eq!(certain(&body("", &format!("{set_one}{}", step("s", "when hole is low")))), set(&["FW0411 hole"]));
    let found = certain(&body("require arm is strut \"R.\"\nrequire arm is powered \"R.\"", &step("s", "")));
    assert_eq!(found, set(&["FW0408"]));
    let found = certain(&body("require arm is strut \"R.\"", &step("s", "when arm is powered")));
    assert_eq!(found, set(&["FW0404"]));
    let found = certain(&body("require arm is strut \"R.\"", &step("s", "when arm is not powered")));
    assert_eq!(found, set(&["FW0410"]));
    assert_eq!(certain(&body("", "when arm is powered { stop \"No.\" } else { stop \"No.\" }")), set(&["FW0409"]));
    assert_eq!(certain(&body("", read)), set(&["FW0407"]));
}

/// A case that leaves out an input that matters is found out.
#[test]
fn replaying_needs_all_that_matters() {
    let procedure = resolved(&format!(
        "option arm \"Arm\" {{ strut powered }}
        option side \"Side\" {{ kerb road }}
        observe lamp \"Lamp?\" {{ lit dark }}
        part bolt \"Bolt\"
        kit {{ bag A {{ 1 bolt }} }}
        section main \"Main\" {{
          step one \"One\" {{ read lamp
            take 1 bolt }}
          when arm is powered and lamp is dark {{ step two \"Two\" {{ take 1 bolt }} }}
          when side is kerb {{ step three \"Three\" {{ note \"N.\" }} }}
        }} {CLOSE}"
    ));
    let input =
        |name: &str, value: &str| CaseInput { name: name.to_owned(), says: None, value: value.to_owned(), occasion: 1 };
    let shown = |inputs: Vec<CaseInput>| {
        let case = Case { inputs, ..Case::default() };
        let Replay::Walked(walks) = replay(&procedure, &case) else { panic!("not replayed") };
        assert!(walks.len() > 1, "several completions");
        walks.iter().all(|walk: &Walk| walk.faults_of(Code::FW0603).next().is_some())
    };
    assert!(shown(vec![input("arm", "powered"), input("lamp", "dark")]));
    assert!(!shown(vec![input("arm", "powered")]));
    assert!(!shown(vec![input("lamp", "dark"), input("side", "kerb")]));
}
