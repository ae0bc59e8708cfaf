//! The wire list, in all its forms: the file, the manual, the checklist.

use super::packing::cells;
use super::{build, file};
use fitwright::model::Colour;

/// A harness with everything stated once, and everything left out once.
fn harness(lines: &str) -> String {
    format!(
        "procedure harness \"Harness\"\nabout {{ licence \"Local codes and licensed practice go before this procedure.\" }}\nuse std/hazards\n\
         use std/wiring\ncolours red/white positive, black negative\noption lamp \"Lamp\" {{ one  two }}\ncircuit feed \"Feed\" when lamp is two \
         {{\n source 12 V\n load 2 A\n run 4 m\n wire 2.5 mm2 copper\n insulation 105 degC\n ambient 50 degC\n fuse 5 A at 150 mm\n \
         drop at most 5 %\n ready made\n point box \"=Box\" plug, 2 pins\n point join \"Joint, drawbar\" plug, 2 pins, female\n \
         point lamp \"Lamp\" plug, 2 pins\n{lines}}}\nsection work \"Work\" {{\n step wire-up \"Wire\" when lamp is two {{\n \
         warning live-circuit {{\n hazard \"It is live.\"\n consequence \"It burns.\"\n avoid \"Take off rings.\"\n }}\n \
         connect feed\n }}\n handover {{ sign installer }}\n}}\n"
    )
}

const LINES: &str = " conductor red/white positive \"Feed\" from box pin 1 to join pin 1, 1.5 m, 4 mm2, label \"=F1\"\n \
    conductor red/white from join pin 1 to lamp pin 1\n conductor black negative from box pin 2 to join pin 2\n \
    conductor black negative from join pin 2 to lamp pin 2\n";

#[test]
fn a_row_a_conductor_and_blank_what_is_not_stated() {
    let (outputs, _) = build("harness.fitw", &harness(LINES));
    let csv = file(&outputs, "wire-list.csv");
    assert!(csv.starts_with('\u{feff}') && csv.ends_with("\r\n"));
    let rows: Vec<Vec<String>> = csv.trim_start_matches('\u{feff}').lines().map(cells).collect();
    assert_eq!(rows.len(), 5);
    let row = |at: usize| rows[at][..17].iter().map(String::as_str).collect::<Vec<_>>();
    assert_eq!(
        row(1),
        [
            "feed",
            "Feed",
            "1",
            "Feed",
            "red/white",
            "RDWH",
            "positive",
            "'=Box",
            "1",
            "2 pins",
            "Joint, drawbar",
            "1",
            "2 pins, female",
            "4 mm²",
            "1.5 m",
            "'=F1",
            "Lamp: two",
        ]
    );
    // What the second carries follows from the file's colours; its size is the wire's; a length nobody states.
    assert_eq!(row(2)[4..9], ["red/white", "RDWH", "positive", "Joint, drawbar", "1"]);
    assert_eq!(row(2)[13..16], ["2.5 mm²", "", ""]);
    let manual = file(&outputs, "manual.html").replace("&#x2f;", "/").replace("&#x27;", "'");
    assert!(manual.contains("red/white (RDWH), positive, Feed"), "the table of the manual");
    assert!(manual.contains("wire 1 red/white, pin 1, marked =F1; wire 2 red/white, pin 1"), "the step");
    let account = file(&outputs, "build.json");
    assert!(account.contains("Conductors 2, 3, 4: length"), "{account}");
}

/// A circuit without a fuse on paper would look as if it needed none, with a schematic and without.
#[test]
fn a_protection_that_nobody_states_is_told_on_paper() {
    let without = harness(LINES).replace("fuse 5 A at 150 mm", "protected unknown \"The supply's sheet says.\"");
    for text in [without.clone(), without.replace(" run 4 m\n", " run unknown \"It is cut on the job.\"\n")] {
        let (outputs, _) = build("harness.fitw", &text);
        let manual = file(&outputs, "manual.html").replace("&#x27;", "'");
        let page =
            manual.split("id=\"circuits\"").nth(1).and_then(|rest| rest.split("</section>").next()).expect("circuits");
        assert!(page.contains("not stated: The supply's sheet says"), "{page}");
    }
    let (outputs, _) = build("harness.fitw", &harness(LINES));
    assert!(!file(&outputs, "manual.html").contains("not stated: The supply"));
}

#[test]
fn without_conductors_there_is_no_wire_list() {
    let (outputs, _) = build("harness.fitw", &harness(""));
    assert!(outputs.files.iter().all(|(name, _)| name != "wire-list.csv"));
    let json: serde_json::Value = serde_json::from_str(file(&outputs, "checklist.json")).expect("JSON");
    assert!(json["circuits"][0].get("conductors").is_none());
}

#[test]
fn the_checklist_has_every_conductor_with_its_ends() {
    let (outputs, _) = build("harness.fitw", &harness(LINES));
    let json: serde_json::Value = serde_json::from_str(file(&outputs, "checklist.json")).expect("JSON");
    let circuit = &json["circuits"][0];
    let wires = circuit["conductors"].as_array().expect("conductors");
    assert_eq!(wires.len(), 4);
    assert_eq!(wires[0]["code"], "RDWH");
    assert_eq!(wires[0]["length"]["shown"], "1.5\u{a0}m");
    assert!(wires[1].get("length").is_none() && wires[1].get("label").is_none());
    // Each end stands at its point, once.
    let told: usize = circuit["points"]
        .as_array()
        .expect("points")
        .iter()
        .map(|point| point["ends"].as_str().unwrap_or_default().split("; ").filter(|end| !end.is_empty()).count())
        .sum();
    assert_eq!(told, 2 * wires.len());
}

/// IEC 60757:2021, table 1, from memory: the letters of each colour; those of two colours follow one another.
#[test]
fn colours_have_the_letters_of_the_standard() {
    let codes = "BK BN RD OG YE GN BU VT GY WH PK GD TQ SR GNYE";
    let words = "black brown red orange yellow green blue violet grey white pink gold turquoise silver green-yellow";
    let ours: Vec<(&str, &str)> = Colour::ALL.iter().map(|(word, _, code)| (*word, *code)).collect();
    assert_eq!(ours, words.split(' ').zip(codes.split(' ')).collect::<Vec<_>>());
}
