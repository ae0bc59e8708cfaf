//! Conductors, connectors and fuses that are put in later: wrong by one edit, each with its code, and right ones beside them.

use fitwright::compile;
use fitwright::diagnostics::{Code, Finding};
use fitwright::world::Memory;

const RIGHT: &str = r#"procedure lamp "Lamp"
about { licence "Local codes and licensed practice go before this procedure." }
use std/hazards
use std/wiring
colours red positive, black negative, blue negative
option plate "Plate" { plain  lit }
state switch "Battery switch" { on "on"  off "off"  starts on  ends on }
part lamp-fuse "Blade fuse, 10 A"
kit { bag A { 1 lamp-fuse } }
circuit feed "Feed" {
  source 12 V
  load   4 A
  run    4 m
  wire   2.5 mm2 copper
  insulation 105 degC
  ambient    50 degC
  fuse   10 A at 150 mm is lamp-fuse
  drop   at most 5 %
  ready made
  point box  "Box" plug, 2 pins
  point join "Joint" plug, 2 pins, female
  point lamp "Lamp" plug, 2 pins
  conductor red   positive from box pin 1 to join pin 1, 1.5 m
  conductor red   positive from join pin 1 to lamp pin 1, 2.5 m
  conductor black negative from box pin 2 to join pin 2, 1.5 m
  conductor blue           from join pin 2 to lamp pin 2, 2.5 m
}
section work "Work" {
  step wire-up "Wire" {
    warning live-circuit {
      hazard      "It is live."
      consequence "It burns."
      avoid       "Take off rings."
    }
    connect feed
    take 1 lamp-fuse
  }
  handover { sign installer }
}
"#;

fn findings(text: &str) -> Vec<Finding> {
    let world = Memory::default().with("lamp.fitw", text.as_bytes());
    compile::check("lamp.fitw", &world).findings().to_vec()
}

fn codes(text: &str) -> Vec<Code> {
    findings(text).iter().map(|finding| finding.code).collect()
}

#[track_caller]
fn says(edits: &[(&str, &str)], wanted: &[Code]) {
    let mut text = RIGHT
        .replace("state switch \"Battery switch\" { on \"on\"  off \"off\"  starts on  ends on }\n", "")
        .replace("option plate \"Plate\" { plain  lit }\n", "");
    for (from, to) in edits {
        assert!(text.contains(from), "{from} is not in the text");
        text = text.replacen(from, to, 1);
    }
    assert_eq!(codes(&text), wanted, "{text}");
}

#[test]
fn what_is_right_is_silent() {
    says(&[], &[]);
    // A bridge from pin to pin, a second colour of the list, a conductor that names no pin.
    says(&[("lamp pin 2, 2.5 m\n", "lamp pin 2, 2.5 m\n  conductor blue from lamp pin 1 to lamp pin 2\n")], &[]);
    says(&[("conductor black negative", "conductor blue negative")], &[]);
    // Without a list any colour carries anything.
    says(
        &[
            ("colours red positive, black negative, blue negative\n", ""),
            ("conductor black negative", "conductor pink negative"),
        ],
        &[],
    );
}

#[test]
fn colours_are_held_to_the_list_and_to_nothing_else() {
    says(&[("conductor black negative", "conductor red negative")], &[Code::FW0930, Code::FW0932]);
    says(&[("conductor black negative", "conductor black negatve")], &[Code::FW0930, Code::FW0931]);
    says(&[("conductor blue  ", "conductor pink  ")], &[Code::FW0930]);
    // Of what colour nobody says, none is wrong, and two are not told to be alike.
    let unknown = "conductor unknown \"Bought in.\" ";
    says(&[("conductor blue  ", unknown)], &[]);
    says(&[("conductor blue  ", unknown), ("conductor black negative", &format!("{unknown} negative"))], &[]);
    says(&[("conductor blue  ", "conductor unknown \"\" ")], &[Code::FW0114]);
    says(&[("conductor black negative", "conductor black/white negative")], &[Code::FW0930]);
}

#[test]
fn pins_are_there_are_one_wire_s_and_carry_the_same_on_both_sides() {
    says(&[("to lamp pin 2", "to lamp pin 3")], &[Code::FW0928]);
    says(&[("\"Lamp\" plug, 2 pins", "\"Lamp\" plug"), ("to lamp pin 2", "to lamp pin 3")], &[]);
    says(&[("to lamp pin 2", "to lamp pin 1")], &[Code::FW0929]);
    says(
        &[("from join pin 2", "from join pin 3"), ("\"Joint\" plug, 2 pins", "\"Joint\" plug, 3 pins")],
        &[Code::FW0931],
    );
    says(
        &[
            ("from join pin 1", "from join pin 9"),
            ("from join pin 2", "from join pin 1"),
            ("from join pin 9", "from join pin 2"),
        ],
        &[Code::FW0931],
    );
    says(&[("to lamp pin 2, 2.5 m", "to join pin 2, 2.5 m")], &[Code::FW0927]);
}

#[test]
fn connectors_mate_or_do_not() {
    let mated =
        [("\"Lamp\" plug, 2 pins\n", "\"Lamp\" plug, 2 pins\n  point lead \"Lead\" plug, 2 pins, male, mates lamp\n")];
    says(&mated, &[]);
    let with = |edit: (&'static str, &'static str)| [mated[0], edit];
    says(&with(("\"Lamp\" plug, 2 pins", "\"Lamp\" plug, 3 pins")), &[Code::FW0935]);
    says(&with(("\"Lamp\" plug, 2 pins", "\"Lamp\" plug, 2 pins, male")), &[Code::FW0935]);
    says(&with(("\"Lamp\" plug, 2 pins", "\"Lamp\" plug, 2 pins, female")), &[]);
    says(&with(("mates lamp", "mates lead")), &[Code::FW0935]);
    says(&with(("\"Lamp\" plug, 2 pins", "\"Lamp\" plug, 2 pins, mates join")), &[Code::FW0935]);
    says(&with(("mates lamp", "mates nothing")), &[Code::FW0208]);
    says(&[("2 pins, female", "2 pins, female, 3 pins")], &[Code::FW0113]);
    says(&[("2 pins, female", "0 pins")], &[Code::FW0309]);
    says(&[("2 pins, female", "1001 pins")], &[Code::FW0309]);
}

#[test]
fn conductors_are_told_apart_and_reach_every_point() {
    says(
        &[
            ("conductor blue           from join", "conductor red negative from join"),
            ("colours red positive,", "colours red positive, red negative,"),
        ],
        &[Code::FW0932],
    );
    let labelled = ("to lamp pin 2, 2.5 m", "to lamp pin 2, 2.5 m, label \"N\"");
    says(
        &[
            ("conductor blue           from join", "conductor red negative from join"),
            ("colours red positive,", "colours red positive, red negative,"),
            labelled,
        ],
        &[],
    );
    says(&[("\"Lamp\" plug, 2 pins\n", "\"Lamp\" plug, 2 pins\n  point bare \"Bare\" plug\n")], &[Code::FW0933]);
}

/// The longest way over what carries one thing, added up by hand: 1.5 m and 2.5 m are the run of 4 m.
#[test]
fn lengths_add_up_to_the_run() {
    says(&[("1.5 m", "1500 mm")], &[]);
    says(&[("1.5 m", "1501 mm")], &[Code::FW0934]);
    says(&[("2.5 m\n", "4.1 m\n")], &[Code::FW0934]);
    // Nobody says what they carry: there and back are twice the run.
    let bare = [
        ("colours red positive, black negative, blue negative\n", ""),
        ("red   positive", "red"),
        ("red   positive", "red"),
        ("black negative", "black"),
    ];
    says(&bare, &[]);
    let more = |from: &'static str, to: &'static str| [bare.as_slice(), &[(from, to)]].concat();
    says(&more("pin 2, 2.5 m\n", "pin 2, 4 m\n"), &[]);
}

#[test]
fn sizes_of_their_own_are_judged_as_the_wire_is() {
    says(&[("pin 2, 2.5 m\n", "pin 2, 2.5 m, 4 mm2\n")], &[]);
    // 20 AWG at 105 °C and 50 °C carries less than 10 A in no table that we know; 24 AWG is in none of them.
    says(
        &[
            ("pin 2, 2.5 m\n", "pin 2, 2.5 m, 18 AWG\n"),
            ("10 A at 150 mm is", "40 A at 150 mm is"),
            ("Blade fuse, 10 A", "Blade fuse, 40 A"),
            ("  wire   2.5 mm2", "  wire   10 mm2"),
        ],
        &[Code::FW0909],
    );
    says(
        &[
            ("drop   at most 5 %", "drop   at most 3 %"),
            ("pin 2, 2.5 m\n", "pin 2, 2.5 m, 0.75 mm2\n"),
            ("10 A at", "7.5 A at"),
            ("fuse, 10 A", "fuse, 7.5 A"),
            ("load   4 A", "load   5 A"),
        ],
        &[Code::FW0936],
    );
}

#[test]
fn a_fuse_goes_in_last_and_goes_in() {
    says(&[("    connect feed\n    take 1 lamp-fuse\n", "    take 1 lamp-fuse\n    connect feed\n")], &[Code::FW0937]);
    says(
        &[
            ("    connect feed\n", "    connect feed at lamp, join\n"),
            ("    take 1 lamp-fuse\n", "    take 1 lamp-fuse\n    connect feed at box\n"),
        ],
        &[Code::FW0937],
    );
    says(&[("kit { bag A { 1 lamp-fuse } }\n", ""), ("    take 1 lamp-fuse\n", "")], &[Code::FW0938]);
    says(&[("is lamp-fuse", "is nothing")], &[Code::FW0201]);
    says(&[("\"Blade fuse, 10 A\"", "\"Blade fuse, 15 A\"")], &[Code::FW1203]);
}

/// Every order of three points and the fuse: it is too early exactly where it is not the last.
#[test]
fn every_order_of_points_and_fuse() {
    // The source is last of the points in every order that may be.
    for at in 0..=3 {
        let mut lines = vec!["connect feed at lamp", "connect feed at join", "connect feed at box"];
        lines.insert(at, "take 1 lamp-fuse");
        let text: String = lines.iter().map(|line| format!("    {line}\n")).collect();
        let wanted: &[Code] = if at < 3 { &[Code::FW0937] } else { &[] };
        says(&[("    connect feed\n    take 1 lamp-fuse\n", &text)], wanted);
    }
}

/// While the circuit is isolated it may go in at any time; put in for one fitting only, it is missing in the others.
#[test]
fn isolation_and_fittings_count_for_a_fuse() {
    let text = RIGHT
        .replace("  ready made\n", "  ready made\n  isolated by switch off\n")
        .replace(
            "    connect feed\n    take 1 lamp-fuse\n",
            "    take 1 lamp-fuse\n    connect feed\n    make switch on\n",
        )
        .replace("option plate \"Plate\" { plain  lit }\n", "")
        .replace("starts on", "starts off");
    assert_eq!(codes(&text), []);
    let one = RIGHT
        .replace("state switch \"Battery switch\" { on \"on\"  off \"off\"  starts on  ends on }\n", "")
        .replace(
            "    take 1 lamp-fuse\n  }\n",
            "  }\n  step fuse \"Fuse\" when plate is lit {\n    take 1 lamp-fuse\n  }\n",
        )
        .replace("bag A { 1", "bag A when plate is lit { 1");
    let found = findings(&one);
    assert_eq!(found.iter().map(|finding| finding.code).collect::<Vec<_>>(), [Code::FW0938]);
    assert!(found[0].case.is_some(), "the case without the fuse is shown");
}

/// Hostile sizes: many conductors, rings of them, huge numbers, and names that are not there.
#[test]
fn hostile_conductors_are_refused_or_passed_in_time() {
    let many: String = (0..2_000).map(|at| format!("  conductor red positive from box to join, {at} mm\n")).collect();
    let _ = codes(&RIGHT.replace("  conductor blue ", &format!("{many}  conductor blue ")));
    for line in [
        "conductor red from box pin 99999999999999999999 to join",
        "conductor red/ from box to join",
        "conductor red/white/blue from box to join",
        "conductor /red from box to join",
        "conductor red from to join",
        "conductor red from box to join pin",
        "conductor red from box to join, label",
        "conductor red from box to join, 1e400 m",
        "conductor red positive negative from box to join",
        "conductor red from box pin 1 pin 2 to join",
        "conductor red from box to join, 1 m 2 mm2",
        "conductor red from box to join, 5 kg",
    ] {
        let found = codes(&RIGHT.replace("  conductor blue ", &format!("  {line}\n  conductor blue ")));
        assert!(!found.is_empty(), "{line}");
    }
}

/// IEC 60445 (from memory) keeps green-and-yellow for the protective conductor.
#[test]
fn the_colours_of_protective_earth_carry_nothing_else() {
    let colours = "colours red positive, black negative, blue negative\n";
    let earth = |word: &str| {
        [
            (colours.to_owned(), format!("colours red positive, black negative, blue negative, green-yellow {word}\n")),
            (
                "lamp pin 2, 2.5 m\n".to_owned(),
                format!("lamp pin 2, 2.5 m\n  conductor green-yellow {word} from box to lamp\n"),
            ),
        ]
    };
    let told = |word: &str, wanted: &[Code]| {
        let edits = earth(word);
        says(&edits.each_ref().map(|(from, to)| (from.as_str(), to.as_str())), wanted);
    };
    told("earth", &[]);
    told("protective", &[]);
    told("live", &[Code::FW0939]);
    told("neutral", &[Code::FW0939]);
    // What it carries may follow from the list.
    says(
        &[
            (colours, "colours green-yellow positive, black negative, blue negative\n"),
            ("conductor red   positive", "conductor green-yellow"),
            ("conductor red   positive", "conductor green-yellow"),
        ],
        &[Code::FW0939, Code::FW0939],
    );
    // Green alone is another colour.
    says(
        &[
            (colours, "colours green positive, black negative, blue negative\n"),
            ("conductor red ", "conductor green "),
            ("conductor red ", "conductor green "),
        ],
        &[],
    );
}
