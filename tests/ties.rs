//! Joints tied to circuits and parts, and circuits that are there already, protected before their source or made up: what is
//! wrong in the workshop by one edit is found, and what is right beside it is silent.

use fitwright::compile;
use fitwright::diagnostics::{Code, Finding};
use fitwright::world::Memory;

/// A lamp on a rail: a procedure in which everything is right. Practice, not a standard, says that the negative lead comes off
/// before a nut of the positive post is turned; every handbook of a vehicle has it.
const RIGHT: &str = r#"procedure kestrel-lamp "Kestrel rail lamp"
about { licence "Local codes and licensed practice go before this procedure." }
use std/fasteners
use std/hand-tools
use std/hazards
use std/wiring
option switch "Switch on the feed" { yes  no }
part rail      "Lamp rail"
part trim      "Sill trim"
part rail-bolt bolt M8 x 30 mm, class 8.8, hex head
part rail-nut  nut M8, class 8
part post-nut  nut M8
part switch-nut nut M6, class 8
part sill-screw screw 4.8 mm x 19 mm, cross recess PH2
part ring      terminal ring-8-m8
part small     terminal ring-8-m6
kit {
  bag A { 2 rail-bolt, 2 rail-nut, 2 ring }
  bag B when switch is yes { 2 small, 2 switch-nut }
  box { 1 rail }
}
vehicle { 1 trim }
state lead "Negative lead" { on "on the post"  off "off the post"  starts on  ends on }
joint rail-joint "Rail to roof" {
  each   rail-bolt, rail-nut
  count  2
  torque 22 N.m +- 2 N.m
  thread plated
  grip   16 mm
  joins  rail
}
joint sill "Trim to sill" {
  each  sill-screw
  count 4
  tight "heads flat on the trim"
  joins trim
  on vehicle
}
joint post-joint "Nuts of the battery post and the earth stud" {
  each   post-nut
  count  2
  torque 10 N.m +- 1 N.m
  onto   stud M8
  class  unknown "The stud is the vehicle's."
  thread unknown "Nobody knows what was on it."
  at     post, earth of feed
  on vehicle
}
joint switch-joint "Lugs on the switch" when switch is yes {
  each   switch-nut
  count  2
  torque 6 N.m +- 0.5 N.m
  thread plated
  onto   stud M6, class 5.8
  at     switch-in, switch-out of switched
}
circuit feed "Lamp feed" {
  source 12 V
  load   10 A
  run    3 m
  wire   8 AWG copper
  insulation 105 degC
  ambient    50 degC
  fuse   15 A at 150 mm
  drop   at most 5 %
  point post  "Battery positive post" with ring on M8
  point lamp  "Lamp" plug
  point earth "Earth stud" with ring on M8
  isolated by lead off
}
circuit switched "Feed of the switch" when switch is yes {
  source 12 V
  load   2 A
  run    2 m
  wire   8 AWG copper
  insulation 105 degC
  ambient    50 degC
  protected 15 A upstream
  drop   at most 5 %
  point socket     "Socket" plug
  point switch-in  "Switch, socket side" with small on M6
  point switch-out "Switch, lamp side" with small on M6
}
circuit tail "Tail lamp" {
  point lead "Lead of the tail lamp" plug
  point tail-lamp "Plug of the tail lamp" plug
  on vehicle
}
section work "Work" {
  step fit-rail "Fit the rail" {
    take    1 rail
    place   rail-joint
    tighten rail-joint with torque-wrench-3-8-drive, socket-13, hold with spanner-13
  }
  step open "Open" {
    warning live-circuit {
      hazard      "The feed becomes live when it meets the battery."
      consequence "A short circuit can burn a person or start a fire."
      avoid       "Take the negative lead off first. Work on batteries belongs to trained people."
    }
    disconnect tail
    make       lead off
    remove     sill with screwdriver-ph2
    remove     1 trim
    remove     post-joint with socket-13
  }
  step wire "Connect the lamp" {
    take    2 ring
    connect feed
    refit   post-joint
    tighten post-joint with torque-wrench-1-4-drive, socket-13
  }
  step switch-step "Connect the switch" when switch is yes {
    take    2 small
    connect switched at switch-out, switch-in
    place   switch-joint
    tighten switch-joint with torque-wrench-1-4-drive, socket-10
    connect switched at socket
  }
  step close "Close" {
    refit   1 trim
    refit   sill
    tighten sill with screwdriver-ph2
    make    lead on
    connect tail
  }
  handover { sign installer }
}
"#;

/// Lines taken out, put in, or changed.
type Edits = &'static [(&'static str, &'static str)];

fn edited(edits: Edits) -> String {
    edits.iter().fold(RIGHT.to_owned(), |text, (from, to)| {
        assert_eq!(text.matches(from).count(), 1, "`{from}` stands once in the text");
        text.replace(from, to)
    })
}

fn findings(text: &str) -> Vec<Finding> {
    let rail: &[u8] = include_bytes!("emit/rail.svg");
    let world = Memory::default().with("lamp.fitw", text.as_bytes()).with("figures/kestrel-rail.svg", rail);
    compile::check("lamp.fitw", &world).findings().to_vec()
}

#[track_caller]
fn says(edits: Edits, wanted: &[Code]) {
    let found = findings(&edited(edits));
    let codes: Vec<Code> = found.iter().map(|finding| finding.code).collect();
    let said: Vec<&str> = found.iter().map(|finding| finding.message.as_str()).collect();
    assert_eq!(codes, wanted, "{edits:?}\n{said:#?}");
}

#[test]
fn what_is_right_is_silent() {
    let right: &[Edits] = &[
        &[],
        // Loosened rather than taken apart, while the lead is off.
        &[
            ("    remove     post-joint with socket-13\n", "    loosen     post-joint with socket-13\n"),
            ("    refit   post-joint\n", ""),
        ],
        // The lead goes on again between two pieces of work.
        &[("    take    2 ring\n", "    make    lead on\n    take    2 ring\n    make    lead off\n")],
        // A nut far from the source is turned before the source is on: nothing isolates that circuit.
        &[("connect switched at switch-out, switch-in", "connect switched at switch-in, switch-out")],
        // Two lugs on one stud: two points, two terminals, one nut.
        &[
            ("  count  2\n  torque 10 N.m", "  count  1\n  torque 10 N.m"),
            (
                "point earth \"Earth stud\" with ring on M8",
                "point earth \"Battery post, lamp's own lead\" with ring on M8",
            ),
        ],
        // More rings than points in the kit, for an earth bar that takes two.
        &[("2 ring }", "3 ring }"), ("take    2 ring", "take    3 ring")],
        // The cable comes with its lugs, and the rings of the kit are for something else.
        &[
            ("  point post  ", "  ready made\n  point post  "),
            ("2 ring }", "1 ring }"),
            ("take    2 ring", "take    1 ring"),
        ],
        // The trim slides out from under loose screws.
        &[
            ("    remove     sill with screwdriver-ph2\n", "    loosen     sill with screwdriver-ph2\n"),
            ("    refit   sill\n", ""),
        ],
        // The part is taken in the same step, below.
        &[("    take    1 rail\n    place   rail-joint\n", "    place   rail-joint\n    take    1 rail\n")],
        // A point of a plug that is on the vehicle, parted alone while its source is off.
        &[("    disconnect tail\n", "    disconnect tail at lead\n    disconnect tail at tail-lamp\n")],
        // The fuse stands at the end of a short wire.
        &[("  run    3 m\n", "  run    150 mm\n")],
    ];
    for edits in right {
        says(edits, &[]);
    }
}

#[test]
fn no_nut_is_turned_on_a_live_stud() {
    // The lead comes off too late, comes back too early, or not off at all.
    says(
        &[
            ("    make       lead off\n", ""),
            ("with socket-13\n  }\n  step wire", "with socket-13\n    make       lead off\n  }\n  step wire"),
        ],
        &[Code::FW0920],
    );
    says(
        &[
            ("    tighten post-joint with", "    make    lead on\n    tighten post-joint with"),
            ("    make    lead on\n    connect tail", "    connect tail"),
        ],
        &[Code::FW0920],
    );
    // What became live out of turn has its message there, and none at the nut.
    says(
        &[
            ("    connect switched at socket\n", ""),
            ("    take    2 small\n", "    take    2 small\n    connect switched at socket\n"),
        ],
        &[Code::FW0901],
    );
    // The lug's nut is tightened after the source is on, and nothing isolates the circuit.
    says(
        &[(
            "    tighten switch-joint with torque-wrench-1-4-drive, socket-10\n    connect switched at socket\n",
            "    connect switched at socket\n    tighten switch-joint with torque-wrench-1-4-drive, socket-10\n",
        )],
        &[Code::FW0920],
    );
    // Only in one configuration: the lead is on again where there is a switch.
    let found = findings(&edited(&[(
        "    take    2 ring\n",
        "    take    2 ring\n  }\n  step lead-on \"Lead on\" when switch is yes {\n    make lead on\n  }\n  step wire-2 \"Go on\" {\n",
    )]));
    let live: Vec<&Finding> = found.iter().filter(|finding| finding.code == Code::FW0920).collect();
    assert_eq!(live.len(), 1, "{found:#?}");
    let case = live[0].case.as_ref().expect("a case");
    assert!(case.inputs.iter().any(|input| format!("{input:?}").contains("switch")), "{case:?}");
}

#[test]
fn a_lug_goes_under_a_nut_that_is_tightened_after_it() {
    // The post's nut is put back before the lugs go on.
    says(
        &[
            ("    connect feed\n", ""),
            ("socket-13\n  }\n  step switch-step", "socket-13\n    connect feed\n  }\n  step switch-step"),
        ],
        &[Code::FW0921],
    );
    // Nobody opens the post.
    says(
        &[
            ("    remove     post-joint with socket-13\n", ""),
            ("    refit   post-joint\n    tighten post-joint with torque-wrench-1-4-drive, socket-13\n", ""),
        ],
        &[Code::FW0203, Code::FW0921],
    );
    // The lug comes off once more and goes on again under a tight nut.
    says(
        &[(
            "socket-13\n  }\n  step switch-step",
            "socket-13\n    disconnect feed at earth\n    connect    feed at earth\n  }\n  step switch-step",
        )],
        &[Code::FW0921],
    );
    // In place and loose has a message of its own.
    says(&[("    tighten post-joint with torque-wrench-1-4-drive, socket-13\n", "")], &[Code::FW0702]);
}

#[test]
fn a_nut_says_whose_lug_it_holds_and_fits_the_stud() {
    says(&[("  at     post, earth of feed\n", "")], &[Code::FW0925]);
    says(&[("  at     post, earth of feed\n", "  at     lamp of feed\n")], &[Code::FW0925]);
    says(&[("  at     switch-in, switch-out of switched\n", "")], &[Code::FW0925]);
    says(
        &[
            ("  at     post, earth of feed\n", ""),
            (
                "    remove     post-joint with socket-13\n",
                "    remove     post-joint with socket-13\n    make       lead on\n    make       lead off\n",
            ),
        ],
        &[Code::FW0925],
    );
    says(&[("\"Earth stud\" with ring on M8", "\"Earth stud\" with small on M6")], &[Code::FW0926, Code::FW0922]);
    says(&[("  at     switch-in, switch-out of switched\n", "  at     post of feed\n")], &[Code::FW0926]);
}

/// A joint that names fewer points than it has nuts may hold the lug of which nobody says what holds it.
#[test]
fn a_nut_that_is_left_says_whose_lug_it_holds() {
    says(&[("at     post, earth of feed", "at     post of feed")], &[Code::FW0925]);
    says(&[("at     post, earth of feed", "at     earth of feed")], &[Code::FW0925]);
    // Only where there is a switch.
    says(&[("at     switch-in, switch-out of switched", "at     switch-out of switched")], &[Code::FW0925]);
    let found = findings(&edited(&[("at     switch-in, switch-out of switched", "at     switch-out of switched")]));
    let left = found.iter().find(|finding| finding.code == Code::FW0925).expect("it is told");
    let case = left.case.as_ref().expect("a case");
    assert!(case.inputs.iter().any(|input| input.name == "switch" && input.value == "yes"), "{case:?}");
    // Both lugs under the one nut; and one nut more, with no lug that it could hold.
    says(&[("  count  2\n  torque 10 N.m +- 1 N.m\n", "  count  1\n  torque 10 N.m +- 1 N.m\n")], &[]);
    says(&[("  count  2\n  torque 10 N.m +- 1 N.m\n", "  count  3\n  torque 10 N.m +- 1 N.m\n")], &[]);
    // The free stud is of another size.
    says(
        &[
            ("at     post, earth of feed", "at     post of feed"),
            ("\"Earth stud\" with ring on M8", "\"Earth stud\" plug"),
            ("2 ring }", "1 ring }"),
            ("take    2 ring", "take    1 ring"),
        ],
        &[],
    );
}

#[test]
fn a_lug_serves_one_point() {
    says(&[("2 ring }", "1 ring }"), ("take    2 ring", "take    1 ring")], &[Code::FW0922]);
    says(&[("    take    2 small\n", "    take    1 small\n"), ("2 small,", "1 small,")], &[Code::FW0922]);
    // The ring is taken after the lug went on.
    says(
        &[("    take    2 ring\n    connect feed\n", "    take    1 ring\n    connect feed\n    take    1 ring\n")],
        &[Code::FW0922],
    );
    // Two circuits share too few, and the nut is of the other size.
    says(
        &[
            (
                "point switch-in  \"Switch, socket side\" with small on M6",
                "point switch-in  \"Switch, socket side\" with ring on M8",
            ),
            ("    take    2 small\n", "    take    1 small\n"),
            ("2 small,", "1 small,"),
        ],
        &[Code::FW0926, Code::FW0922],
    );
}

#[test]
fn lengths_and_ends_are_looked_at() {
    says(&[("  run    3 m\n", "  run    140 mm\n")], &[Code::FW0923]);
    says(&[("  fuse   15 A at 150 mm\n", "  fuse   15 A at 150 in\n")], &[Code::FW0923]);
    says(&[("  run    3 m\n", "  run    5 in\n")], &[Code::FW0923]);
    says(&[("\"Lamp\" plug", "\"Lamp\"")], &[Code::FW0924]);
    says(&[("point earth \"Earth stud\" with ring on M8", "point earth \"Earth stud\" with ring")], &[Code::FW0924]);
    says(&[("point socket     \"Socket\" plug", "point socket     \"Socket\"")], &[Code::FW0924]);
}

#[test]
fn what_protects_upstream_is_judged_against_wire_and_load() {
    says(&[("protected 15 A upstream", "protected 1 A upstream")], &[Code::FW0907]);
    says(&[("protected 15 A upstream", "protected 2.2 A upstream")], &[Code::FW0908]);
    says(&[("protected 15 A upstream", "protected 150 A upstream")], &[Code::FW0909]);
    says(&[("  protected 15 A upstream\n", "")], &[Code::FW0911]);
    // A pack's own limit need not be a size that fuses are made in.
    says(&[("protected 15 A upstream", "protected 17 A upstream")], &[]);
}

#[test]
fn what_is_on_the_vehicle_is_whole_again() {
    says(&[("    connect tail\n", "")], &[Code::FW0903]);
    says(
        &[
            ("    disconnect tail\n", "    disconnect tail at tail-lamp\n"),
            ("    connect tail\n", "    connect tail at tail-lamp\n"),
        ],
        &[Code::FW0902],
    );
    says(&[("    disconnect tail\n", "")], &[Code::FW0904]);
    // What is stated of it is judged all the same.
    says(&[("  point lead \"Lead", "  load 10 A\n  fuse 5 A\n  point lead \"Lead")], &[Code::FW0907]);
}

#[test]
fn what_a_joint_joins_is_there_and_stays() {
    // Taken a step later; never taken out of the kit; not of the kit at all.
    says(
        &[
            ("    take    1 rail\n    place", "    place"),
            ("    disconnect tail\n", "    disconnect tail\n    take       1 rail\n"),
        ],
        &[Code::FW0730],
    );
    says(
        &[("    take    1 rail\n", ""), ("  box { 1 rail }\n", ""), ("  joins  rail\n", "  joins  trim, rail\n")],
        &[Code::FW0730],
    );
    says(&[("    refit   1 trim\n    refit   sill\n", "    refit   sill\n    refit   1 trim\n")], &[Code::FW0730]);
    // Pulled before the screws are out, between placing and tightening, and after all is tight.
    says(
        &[(
            "    remove     sill with screwdriver-ph2\n    remove     1 trim\n",
            "    remove     1 trim\n    remove     sill with screwdriver-ph2\n",
        )],
        &[Code::FW0731],
    );
    says(
        &[("    place   rail-joint\n", "    place   rail-joint\n    remove  1 rail\n    refit   1 rail\n")],
        &[Code::FW0731],
    );
    says(&[("    connect tail\n", "    connect tail\n    remove  1 trim\n    refit   1 trim\n")], &[Code::FW0731]);
}

/// So many points and so many terminals, counted on the fingers.
#[test]
fn terminals_are_counted() {
    for points in 2..=4_usize {
        for taken in 1..=5_usize {
            let list: String =
                (1..=points).map(|at| format!("  point p{at} \"Point {at}\" with ring on M8\n")).collect();
            let text = format!(
                "procedure bar \"Earth bar\"\nabout {{ licence \"Local codes go before this procedure.\" }}\nuse std/fasteners\nuse \
                 std/hazards\nuse std/wiring\npart ring terminal ring-8-m8\nkit {{ bag A {{ {taken} ring }} }}\ncircuit bar \"Bar\" \
                 {{\n  source 12 V\n  load 10 A\n  run 3 m\n  wire 8 AWG copper\n  insulation 105 degC\n  ambient 50 degC\n  fuse 15 A \
                 at 150 mm\n  drop at most 5 %\n{list}}}\nsection work \"Work\" {{\n  step wire-up \"Wire\" {{\n    warning live-circuit \
                 {{\n      hazard \"The bar is live.\"\n      consequence \"A short circuit burns.\"\n      avoid \"Take off \
                 rings.\"\n    }}\n    take {taken} ring\n    connect bar\n  }}\n  handover {{ sign installer }}\n}}\n"
            );
            let codes: Vec<Code> = findings(&text).iter().map(|finding| finding.code).collect();
            let wanted: &[Code] = if taken < points { &[Code::FW0922] } else { &[] };
            assert_eq!(codes, wanted, "{points} points, {taken} taken");
        }
    }
}

/// The demos say whose lugs their joints hold: a lead that goes on too early is found in them, and so is a lug that nobody
/// tightens.
#[test]
fn the_demos_are_held_to_their_lugs() {
    let kestrel = include_str!("../procedures/kestrel-rack.fitw");
    let wren = include_str!("../procedures/wren-battery.fitw");
    let traps: &[(&str, &str, &str, Code)] = &[
        (
            kestrel,
            "  step torque-lugs \"Torque the lugs\" {\n",
            "  step torque-lugs \"Torque the lugs\" {\n    make negative-lead on\n",
            Code::FW0920,
        ),
        (
            kestrel,
            "    remove  stud-joint with",
            "    make negative-lead on\n    remove  stud-joint with",
            Code::FW0920,
        ),
        (
            kestrel,
            "    record  stud-joint torque\n",
            "    record  stud-joint torque\n    disconnect arm-feed at earth-stud\n    connect arm-feed at earth-stud\n",
            Code::FW0921,
        ),
        (wren, "    tighten block-studs with", "    make wren-lead on\n    tighten block-studs with", Code::FW0920),
        (wren, "    remove  start-studs with", "    make starter-lead on\n    remove  start-studs with", Code::FW0920),
        (wren, "  at     feed-stud of battery-feed\n  at     output-fuse of charger-output\n", "", Code::FW0925),
    ];
    for (text, from, to, code) in traps {
        assert_eq!(text.matches(from).count(), 1, "`{from}` stands once in the text");
        let found = findings(&text.replace(from, to));
        let codes: Vec<Code> = found.iter().map(|finding| finding.code).collect();
        let said: Vec<&str> = found.iter().map(|finding| finding.message.as_str()).collect();
        assert!(codes.contains(code), "{to}: {said:#?}");
    }
}
