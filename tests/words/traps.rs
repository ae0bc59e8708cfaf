//! For each rule of FW12 traps that are found, and right neighbours of them that are silent.

use super::told;
use fitwright::diagnostics::Code;

/// A procedure around declarations and the lines of one step.
fn around(declarations: &str, lines: &str) -> String {
    format!(
        "procedure trap \"Trap\"\nunits metric, inch\n{declarations}\nsection work \"Work\" {{\nstep first \"First\" {{\n{lines}\n}}\nhandover \
         {{ sign installer }}\n}}\n"
    )
}

fn expect(cases: &[(&str, &str, &[Code])]) {
    let mut wrong = String::new();
    for (declarations, lines, wanted) in cases {
        let (mut codes, said) = told(&around(declarations, lines));
        // Which tools the words ask for is asked elsewhere (`tests/silence/tools.txt` and `bits.txt`).
        codes.retain(|code| !matches!(*code, Code::FW1212 | Code::FW1213));
        if codes != *wanted {
            wrong.push_str(&format!("{declarations}\n{lines}\nwanted {wanted:?}, told {codes:?}\n{said}\n"));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn numbers_outside_brackets() {
    expect(&[
        ("", "> Set the plate 150 mm from the seam.", &[Code::FW1201]),
        ("", "> Drill a 9/16 in hole.", &[Code::FW1201]),
        ("", "> Cut the edge back by 3 to 4 mm.", &[Code::FW1201]),
        ("", "note \"The plate weighs 12kg.\"", &[Code::FW1201]),
        ("", "> Inflate the tyre to 32 psi.", &[Code::FW1201]),
        ("", "> Heat the ring to 60 °C.", &[Code::FW1201]),
        ("", "> Pull the strap with 20 lbf.", &[Code::FW1201]),
        ("", "> Leave a gap of 4\".", &[Code::FW1201]),
        // Right.
        ("", "> Set the plate [150 mm] from the seam.", &[]),
        ("", "> Go back to step 2 in this section.", &[]),
        ("", "> Put 4 in each bag.", &[]),
        ("", "> Put bolts 1 and 2 in bag A.", &[]),
        ("", "> Cut a block of 4 x 4.", &[]),
        ("", "> Take the M8 x 30 mm bolts.", &[]),
        ("", "> Turn the nut with the 13 mm spanner.", &[]),
        ("", "> Take the 1/2 in drive ratchet.", &[]),
        ("", "> Wait 10 min for 12 V.", &[]),
        ("", "> Read the plate KR-10 m of 2026-11-02.", &[]),
        ("", "> Turn the lever to \"Position 4\" again.", &[]),
        ("", "> Set the 4 feet over the marks.", &[]),
        ("", "> Use the 1/2-13 tap.", &[]),
        (
            "part tie \"Cable tie, 200 mm\" { consumable }\nkit { shop { tie } }",
            "> Lay the 200 mm ones out.\ntake tie",
            &[],
        ),
    ]);
}

/// A joint of 45 N.m, and what lays it out.
const JOINT: &str = "use std/fasteners\nuse std/hand-tools\npart base-bolt bolt M10 x 40 mm, class 8.8, hex head\nkit { bag A { 1 base-bolt \
                     } }\njoint base \"Base to plate\" {\neach base-bolt\ntorque 45 N.m +- 5 N.m\nthread plated\ngrip 20 mm\ninto steel 20 \
                     mm\n}\ntool wrench-60 \"Torque wrench\" { torque 20 N.m to 60 N.m }";
const TIGHTEN: &str = "\nplace base\ntighten base with wrench-60, socket-16";

#[test]
fn torques_in_words() {
    let lines = |words: &str| format!("{words}{TIGHTEN}");
    let cases = [
        ("> Tighten the bolt to [54 N.m].", true),
        ("> Tighten the bolt to 54 N.m.", true),
        ("note \"The maker asks for [40 lbf.ft].\"", true),
        ("> Tighten the bolt to [22 N.m] first.", true),
        ("> Never go above [35 N.m].", true),
        ("> Tighten the bolt within the range of [52 to 60 N.m].", true),
        ("note \"The nylon insert takes [6 N.m].\"", false),
        ("> Tighten the bolt to [45 N.m].", false),
        ("> Tighten the bolt to [33.2 lbf.ft].", false),
        ("> Tighten the bolt to [40 to 50 N.m].", false),
        ("> Never go above [60 N.m].", false),
        ("note \"The prevailing torque of the nut is [6 N.m].\"", false),
    ];
    for (words, is_told) in cases {
        let lines = lines(words);
        expect(&[(JOINT, &lines, if is_told { &[Code::FW1202] } else { &[] })]);
    }
    // Where nothing is tightened, whatever is in brackets.
    expect(&[
        ("", "> Tighten the clamp to [8 N.m].", &[Code::FW1202]),
        ("", "> Tighten the clamp to 8 Nm.", &[Code::FW1202]),
        ("", "note \"The clamp holds at [70 lbf.in].\"", &[Code::FW1202]),
        ("", "> Pull the clamp with [8 N].", &[]),
    ]);
    // An earlier stage is lower.
    let staged = JOINT
        .replace("1 base-bolt } }", "4 base-bolt } }")
        .replace("each base-bolt", "each base-bolt\ncount 4\npattern cross in 2 stages");
    expect(&[
        (&staged, &lines("> Tighten the bolts to [22 N.m] first."), &[]),
        (&staged, &lines("> Tighten the bolts to [70 N.m] first."), &[Code::FW1202]),
        (&staged, &lines("> Tighten the bolts to [22 N.m]."), &[Code::FW1202]),
        (&staged, &lines("note \"[70 N.m] at most.\""), &[]),
    ]);
}

#[test]
fn sizes_in_titles() {
    let tool = |title: &str, block: &str| format!("tool thing \"{title}\" {{ {block} }}");
    let cases: Vec<(String, bool)> = vec![
        (tool("Spanner, 10 mm", "turns hex 13 mm"), true),
        (tool("Socket 1/2 in", "turns hex 9/16 in"), true),
        (tool("Screwdriver PH1", "turns cross-recess PH2"), true),
        (tool("Torque wrench, 5 to 25 N.m", "torque 8 N.m to 40 N.m"), true),
        (tool("Steel rule, 150 mm", "measures 0 mm to 300 mm  reads 1 mm"), true),
        (tool("Spanner, 13 mm", "turns hex 13 mm"), false),
        (tool("Socket, 13 mm, 1/2 in drive", "turns hex 13 mm"), false),
        (tool("Spanner, 10 and 13 mm", "turns hex 13 mm"), false),
        (tool("Socket, long", "turns hex 13 mm"), false),
        (tool("Hex key, 5 mm, 200 mm long", "turns hex-socket 5 mm"), false),
        (tool("Torque wrench, 40 N.m", "torque 8 N.m to 40 N.m"), false),
        (tool("Steel rule, 300 mm", "measures 0 mm to 300 mm  reads 1 mm"), false),
    ];
    for (tool, is_told) in &cases {
        expect(&[(tool, "> Lay the tool on the bench.\nuse thing", if *is_told { &[Code::FW1203] } else { &[] })]);
    }
    let part = |title: &str| {
        format!(
            "use std/fasteners\npart thing \"{title}\" bolt M8 x 30 mm, class 8.8, hex head\nkit {{ bag A {{ 1 thing }} }}"
        )
    };
    let titles = [
        ("M6 bolt", true),
        ("Bolt M8 x 35 mm", true),
        ("Bracket bolt, 10.9", true),
        ("Bolt M8 x 30 mm, 8.8", false),
        ("Bracket bolt", false),
        ("Bolt M8x1.25", false),
    ];
    for (title, is_told) in titles {
        expect(&[(
            &part(title),
            "> Lay the bolt on the bench.\ntake 1 thing",
            if is_told { &[Code::FW1203] } else { &[] },
        )]);
    }
}

#[test]
fn sizes_in_words() {
    let lines = |words: &str| format!("{words}{TIGHTEN}");
    let cases = [
        ("> Push the M8 bolt through.", true),
        ("> Push the M12 hex bolt through.", true),
        ("> Turn the bolt with the 17 mm socket.", true),
        ("> Push the M10 bolt through.", false),
        ("> Hang the plate on the M8 studs.", false),
        ("> Push the bolt through the M12 hole.", false),
        ("> Turn the bolt with the 16 mm socket.", false),
    ];
    for (words, is_told) in cases {
        expect(&[(JOINT, &lines(words), if is_told { &[Code::FW1203] } else { &[] })]);
    }
    let renamed = JOINT.replace("Base to plate", "M12 bolt of the base");
    expect(&[(&renamed, &lines("> Push the bolt through."), &[Code::FW1203])]);
    let renamed = JOINT.replace("Base to plate", "M10 bolt of the base");
    expect(&[(&renamed, &lines("> Push the bolt through."), &[])]);
}

#[test]
fn masses_in_words() {
    let vise = "part vise \"Finch vise\" { mass 12 kg }\nkit { box { 1 vise } }";
    let cases = [
        ("note \"The vise weighs [14 kg].\"", true),
        ("note \"The [vise] weighs [32 lb].\"", true),
        ("> Lift it by the base: the vise weighs [10 kg].", true),
        ("note \"The vise weighs [12 kg].\"", false),
        ("note \"The vise weighs [26 lb].\"", false),
        ("note \"The bench weighs [40 kg].\"", false),
        ("note \"The vise weighs more than [10 kg].\"", false),
    ];
    for (words, is_told) in cases {
        let lines = format!("{words}\ntake 1 vise");
        expect(&[(vise, &lines, if is_told { &[Code::FW1203] } else { &[] })]);
    }
}

#[test]
fn hyphens() {
    let titled = |title: &str| format!("tool thing \"{title}\"");
    let titles = [
        ("Drill, 7-16 in", true),
        ("Socket, 9-16\\\"", true),
        ("9-16 spanner", true),
        ("Ratchet, 3-8 drive", true),
        ("Drill, 7/16 in", false),
        ("Drill, 1-1/2 in", false),
        ("Tap 1/2-13", false),
        ("Gauge KR-7-16 in", false),
        ("Drill set, 4 to 8 mm", false),
        ("Clamp for 3-4 screws", false),
        ("Manual of 2026-11-02", false),
    ];
    for (title, is_told) in titles {
        expect(&[(
            &titled(title),
            "> Lay the tool on the bench.\nuse thing",
            if is_told { &[Code::FW1204] } else { &[] },
        )]);
    }
    expect(&[
        ("", "> Drill a 7-16 in hole.", &[Code::FW1204]),
        ("", "note \"The step is 3-4 in high.\"", &[Code::FW1204]),
        ("", "> Look at pages 3-4 in the handbook.", &[Code::FW1204]),
        ("", "> Look at pages 3 to 4.", &[]),
    ]);
}

#[test]
fn words_that_nobody_can_check() {
    let joint = |tight: &str| {
        format!(
            "use std/fasteners\nuse std/hand-tools\npart foot-screw screw 4.8 mm x 19 mm, cross recess PH2\nkit {{ bag A {{ 2 foot-screw }} \
             }}\njoint foot \"Foot to sill\" {{\neach foot-screw\ncount 2\ninto hole 3.5 mm\ntight \"{tight}\"\n}}"
        )
    };
    let fixed = "> Set the foot over the holes.\nplace foot\ntighten foot with screwdriver-ph2";
    for tight in ["snug", "tight", "securely seated", "firmly", "properly tightened", "as required"] {
        expect(&[(&joint(tight), fixed, &[Code::FW1205])]);
    }
    for tight in ["head flat on the foot", "a quarter turn after contact", "finger-tight, head on the foot"] {
        expect(&[(&joint(tight), fixed, &[])]);
    }
    expect(&[
        ("", "> Tighten the clamp firmly.", &[Code::FW1205]),
        ("", "> Turn the knob until it is tight.", &[Code::FW1205]),
        ("", "> Screw the cap on securely.", &[Code::FW1205]),
        ("", "> Seat the plug properly.", &[Code::FW1206]),
        ("", "> Add oil as needed.", &[Code::FW1206]),
        ("", "note \"Use adequate light.\"", &[Code::FW1206]),
        ("observe good \"Is it correctly seated?\" { yes  no }", "read good\nrecord good", &[Code::FW1206]),
        // Right.
        ("", "> Tighten the clamp until it no longer turns by hand.", &[]),
        ("", "> Run the nut on finger-tight.", &[]),
        ("", "> Reach into the tight corner behind the lamp.", &[]),
        ("", "> Wire the lamp as required by local codes.", &[]),
        ("", "> Make the joint watertight.", &[]),
    ]);
}

#[test]
fn one_instruction_a_sentence() {
    expect(&[
        ("", "> Remove the cover and drill the hole.", &[Code::FW1207]),
        ("", "> Route the hose as shown and add a tie.", &[Code::FW1207]),
        ("", "> Set the plate as marked on the frame, and turn it over.", &[Code::FW1207]),
        ("", "> Clean the seat if necessary and remove the cover.", &[Code::FW1206, Code::FW1207]),
        ("", "> Route the hose as shown and as straight as it goes.", &[]),
        ("", "> Set the plate as shown in the drawing and the photo.", &[]),
        ("", "> Loosen the nut, then remove the bolt.", &[Code::FW1207]),
        ("", "> Take the lead off; tie it back.", &[Code::FW1207]),
        ("", "> Clean, dry and inspect the seat.", &[Code::FW1207]),
        ("", "> If the lamp is dark, open the box and pull the fuse.", &[Code::FW1207]),
        // Right.
        ("", "> Remove the cover and its four screws.", &[]),
        ("", "> Look between the seal and the clamp.", &[]),
        ("", "> Press and hold the button.", &[]),
        ("", "> Turn the nut until it stops and the washer no longer turns.", &[]),
        ("", "> Use a spanner to hold the bolt and turn the nut.", &[]),
        ("", "> Hook one stud, washer and nut into each side.", &[]),
        ("", "> Do not smoke, drink or eat.", &[]),
        ("", "> Check that the doors open and close.", &[]),
    ]);
}

#[test]
fn long_sentences_and_those_without_an_instruction() {
    let twenty = "> Set the one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen plates down.";
    let more = twenty.replace("plates", "plates flat");
    let note = |words: usize| format!("note \"It {}.\"", vec!["is"; words - 1].join(" "));
    expect(&[
        ("", twenty, &[]),
        ("", &more, &[Code::FW1208]),
        ("", &note(25), &[]),
        ("", &note(26), &[Code::FW1208]),
        (
            "",
            "> Set the plate [150 mm] from the seam (the seam is the one that runs along the roof) and [at least 20 mm] above the four marks of the rail.",
            &[],
        ),
        ("", "> The bolts must be dry.", &[Code::FW1209]),
        ("", "> Bolts with rust are replaced.", &[Code::FW1209]),
        ("", "> It locks with a click.", &[Code::FW1209]),
        ("", "> To lift the arm, pull the lever.", &[]),
        ("", "> With both hands, lift the arm.", &[]),
        ("", "> Degauss the probe.", &[]),
        ("", "> Slowly lower the arm.", &[]),
        ("", "note \"The hose leads hydrogen out.\"", &[]),
    ]);
}

/// One edit in a demo, and what is told of it.
fn edited(demo: &str, from: &str, to: &str) -> Vec<Code> {
    assert!(demo.contains(from), "{from}");
    told(&demo.replacen(from, to, 1)).0
}

const BATTERY: &str = include_str!("../../procedures/wren-battery.fitw");
const RACK: &str = include_str!("../../procedures/kestrel-rack.fitw");
const BOX: &str = include_str!("../../procedures/heron-box.fitw");
const VISE: &str = include_str!("../../procedures/finch-vise.fitw");

#[test]
fn ratings_and_wires_in_demos() {
    let traps = [
        (RACK, "\"Breaker, 30 A\"", "\"Breaker, 50 A\""),
        (BOX, "\"Blade fuse, 10 A\"", "\"Blade fuse, 15 A\""),
        (BATTERY, "\"Fuse, 80 A\"", "\"Fuse, 60 A\""),
        (BATTERY, "\"Fuse block, 50 A stud\"", "\"Fuse block, 80 A stud\""),
        (BATTERY, "pulling the 80 A fuse", "pulling the 90 A fuse"),
        (RACK, "\"Breaker, arm side\"", "\"Breaker of 20 A, arm side\""),
        (VISE, "weighs [48 lb]", "weighs [58 lb]"),
        (BATTERY, "\"Fuse, 80 A\"", "\"Fuse of 50 A\""),
    ];
    for (demo, from, to) in traps {
        assert_eq!(edited(demo, from, to), [Code::FW1203], "{from} → {to}");
    }
    let right = [
        (RACK, "\"Breaker, 30 A\"", "\"Breaker of 30 A\""),
        (BATTERY, "\"Fuse, 80 A\"", "\"Fuse at the feed stud\""),
        (BATTERY, "pulling the 80 A fuse", "pulling the fuse of the vehicle's 100 A main lead, not the 80 A fuse"),
        (VISE, "weighs [48 lb]", "weighs [21.8 kg]"),
    ];
    for (demo, from, to) in right {
        assert_eq!(edited(demo, from, to), [], "{from} → {to}");
    }
}

#[test]
fn people_masses_and_tools_in_demos() {
    let traps = [
        (VISE, "takes 3 min, two people", "takes 3 min", Code::FW1125),
        (BATTERY, "takes  5 min, two people", "takes  5 min, one person", Code::FW1125),
        (RACK, "sign    installer", "sign    instaler", Code::FW0441),
        (VISE, "    sign installer\n", "", Code::FW0440),
        (BOX, "box-mass  = 62 lb +- 2 lb", "box-mass  = 50 lb +- 2 lb", Code::FW0630),
        (VISE, "> Slide the vise aside.", "> Slide the vise aside and drill four holes.", Code::FW1207),
        (VISE, "Set the [vise] within [4 in] of", "Set the [vise] within 4 in of", Code::FW1201),
        (VISE, "> Slide the vise aside.", "> Slide the vise aside. It must not tip.", Code::FW1209),
        (VISE, "> Slide the vise aside.", "> Slide the vise aside as needed.", Code::FW1206),
        (VISE, "\"Finch vise, 5 in jaws\"", "\"Finch vise, 5-16 in jaws\"", Code::FW1204),
        (BATTERY, "no longer turns by hand", "is snug", Code::FW1205),
    ];
    for (demo, from, to, code) in traps {
        assert_eq!(edited(demo, from, to), [code], "{from} → {to}");
    }
}
