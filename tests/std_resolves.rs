//! The standard library as the compiler reads it: no row is refused, and what reaches the model gives the published
//! areas and currents.

use fitwright::diagnostics::Severity;
use fitwright::model::Procedure;
use fitwright::parse::{known_library, parse};
use fitwright::resolve::{resolve, standard_libraries};
use fitwright::source::{FileId, Sources};
use fitwright::trade::{fasteners, wire};
use fitwright::world::Memory;

const FASTENERS: &str = include_str!("../shared/std/fasteners.fitw");
const WIRING: &str = include_str!("../shared/std/wiring.fitw");
const HAND_TOOLS: &str = include_str!("../shared/std/hand-tools.fitw");
const PROTECTION: &str = include_str!("../shared/std/protection.fitw");
const HAZARDS: &str = include_str!("../shared/std/hazards.fitw");

fn names<'a>(text: &'a str, kind: &str) -> Vec<&'a str> {
    let words = text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>());
    words.filter(|words| words.first() == Some(&kind)).map(|words| words[1]).collect()
}

/// Resolves a procedure of these statements; every error is a failure.
fn procedure(statements: &str) -> Procedure {
    let text = format!(
        "procedure all \"All of it\"\nuse std/fasteners\nuse std/wiring\nuse std/hand-tools\nuse std/protection\n{statements}\n\
         section final \"Final\" {{\n handover {{\n  sign installer\n }}\n}}\n"
    );
    let mut sources = Sources::default();
    let resolved = resolve("all.fitw", &Memory::default().with("all.fitw", text.clone()), &mut sources);
    let errors: Vec<_> =
        resolved.findings.iter().filter(|finding| finding.severity() == Severity::Error).take(3).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    resolved.procedure.expect("a procedure")
}

#[test]
fn each_library_is_accepted_by_itself() {
    // std/hazards is in force in every file, so its copy would declare everything twice; the next tests use it whole.
    let (materials, work) = (include_str!("../shared/std/materials.fitw"), include_str!("../shared/std/work.fitw"));
    for text in [FASTENERS, WIRING, HAND_TOOLS, PROTECTION, materials, work] {
        let mut sources = Sources::default();
        let resolved = resolve("ours.fitw", &Memory::default().with("ours.fitw", text), &mut sources);
        assert!(resolved.is_library);
        assert!(resolved.findings.is_empty(), "{:#?}", resolved.findings.first());
    }
}

#[test]
fn every_thread_reaches_the_model_and_gives_the_published_stress_area() {
    let threads = names(FASTENERS, "thread");
    let parts: String = (threads.iter().enumerate())
        .map(|(place, thread)| {
            let long = if thread.starts_with('M') { "60 mm" } else { "2 in" };
            format!("part bolt-{place} bolt {thread} x {long}, hex head\npart nut-{place} nut {thread}\n")
        })
        .collect();
    let kit: Vec<_> = (0..threads.len()).map(|place| format!("1 bolt-{place}, 1 nut-{place}")).collect();
    let model = procedure(&format!("{parts}kit {{\n bag A {{ {} }}\n}}\n", kit.join(", ")));
    let tables = [include_str!("data/threads_metric.csv"), include_str!("data/threads_inch.csv")];
    let (mut seen, mut compared) = (0, 0);
    for (_, part) in model.parts.iter() {
        let fastener = part.fastener.as_ref().expect("a fastener");
        let thread = fastener.thread.as_ref().expect("a thread");
        assert!(!thread.sources.is_empty() && thread.hex_bolt.is_some() && thread.hex_nut.is_some(), "{thread:?}");
        assert!(!fastener.head.as_ref().expect("a head").sizes.is_empty(), "{fastener:?}");
        seen += 1;
        let ours = fasteners::stress_area_mm2(&thread.diameter, thread.pitch_mm).expect("an area");
        // Fine metric threads are in no table that we hold.
        let row =
            tables.iter().flat_map(|table| table.lines()).find(|line| line.starts_with(&format!("{},", thread.id)));
        let Some(row) = row else { continue };
        let published: f64 = row.split(',').nth(3).expect("a column").parse().expect("a number");
        let published = if thread.id.starts_with('M') { published } else { published * 645.16 };
        assert!((ours / published - 1.0).abs() < 0.005, "{}: {ours} against {published}", thread.id);
        compared += 1;
    }
    assert_eq!((seen, compared), (2 * threads.len(), 2 * 31));
}

#[test]
fn every_grade_of_bolt_and_nut_reaches_the_model() {
    let mut parts = String::new();
    let mut kit = Vec::new();
    for (place, grade) in names(FASTENERS, "grade").into_iter().enumerate() {
        let inch = ["2", "5", "8"].contains(&grade) || grade.starts_with("nut-grade");
        let thread = if inch { "1/2-13" } else { "M12" };
        let form = match grade.strip_prefix("nut-") {
            Some(nut) => format!("nut {thread}, {}", nut.replacen('-', " ", 1)),
            None if inch => format!("bolt {thread} x 2 in, grade {grade}, hex head"),
            None => format!("bolt {thread} x 50 mm, class {grade}, hex head"),
        };
        parts += &format!("part part-{place} {form}\n");
        kit.push(format!("1 part-{place}"));
    }
    let model = procedure(&format!("{parts}kit {{\n bag A {{ {} }}\n}}\n", kit.join(", ")));
    let mut bolts = Vec::new();
    for (_, part) in model.parts.iter() {
        let fastener = part.fastener.as_ref().expect("a fastener");
        let grade = fastener.grade.as_ref().expect("a grade");
        let diameter = &fastener.thread.as_ref().expect("a thread").diameter;
        match &grade.carries {
            Some(carried) => assert!(bolts.contains(&carried.id), "{} carries {}, no bolt", grade.id, carried.id),
            None => {
                let yields = fasteners::stress_at_mpa(&grade.yields, diameter).expect("a yield");
                let tensile = fasteners::stress_at_mpa(&grade.tensile, diameter).expect("a tensile strength");
                let proof = fasteners::stress_at_mpa(&grade.proof, diameter).unwrap_or(0.9 * yields);
                assert!(proof < yields && yields < tensile, "{}: {proof}, {yields}, {tensile}", grade.id);
                bolts.push(grade.id.clone());
            }
        }
    }
    assert_eq!(bolts.len(), 17);
}

#[test]
fn every_wire_reaches_the_model_and_carries_what_the_law_says() {
    let wires = names(WIRING, "wire");
    let circuits: String = (wires.iter().enumerate())
        .map(|(place, wire)| {
            let (size, unit) = wire.rsplit_once('-').expect("a size and a unit");
            format!("circuit feed-{place} {{\n source 12 V\n load 1 A\n run 1 m\n wire {size} {unit} copper\n}}\n")
        })
        .collect();
    let model = procedure(&circuits);
    let mut compared = 0;
    for ((_, circuit), name) in model.circuits.iter().zip(&wires) {
        let row = circuit.wire_size.as_ref().unwrap_or_else(|| panic!("{name} has no row"));
        assert_eq!(row.id, **name);
        let per_m = wire::resistance_per_m(row.ohm_per_metre, row.area.as_ref()).expect("a resistance");
        let by_area = wire::resistance_per_m(None, row.area.as_ref()).expect("an area");
        assert!((0.999..1.16).contains(&(per_m / by_area)), "{name}: {per_m} against {by_area}");
        let Some(gauge) = name.strip_suffix("-AWG") else { continue };
        let law = include_str!("data/wire.csv").lines().find(|line| line.starts_with(&format!("{gauge},")));
        let law: Vec<_> = law.expect("a row of the law").split(',').collect();
        let currents = wire::table_currents(&row.ampacity);
        for (insulation, cell) in [(75.0, law[5]), (90.0, law[6]), (105.0, law[7])] {
            let ours = wire::ampacity(&currents, insulation, 30.0, 1);
            assert_eq!(ours, cell.parse().ok(), "{name} at {insulation} degC");
            compared += 1;
        }
    }
    assert_eq!(compared, 48);
}

#[test]
fn every_tool_terminal_and_protection_reaches_the_model() {
    let tools: String = names(HAND_TOOLS, "tool").iter().map(|tool| format!("  use {tool}\n")).collect();
    let wear: String = names(PROTECTION, "protection").iter().map(|name| format!("  wear {name}\n")).collect();
    let hazards: String = names(HAZARDS, "hazard")
        .iter()
        .map(|name| format!("  danger {name} {{\n hazard \"A\"\n consequence \"B\"\n avoid \"C\"\n }}\n"))
        .collect();
    let points: String =
        names(WIRING, "terminal").iter().map(|name| format!(" point at-{name} \"Point\" with {name}\n")).collect();
    let model = procedure(&format!(
        "circuit feed {{\n source 12 V\n load 1 A\n run 1 m\n wire 8 AWG copper\n{points}}}\n\
         section work \"Work\" {{\n step all-tools \"All tools\" {{\n{hazards}{tools}{wear} }}\n}}\n"
    ));
    assert_eq!(model.tools.iter().count(), names(HAND_TOOLS, "tool").len());
    assert_eq!(model.protections.iter().count(), names(PROTECTION, "protection").len());
    assert_eq!(model.hazards.iter().count(), names(HAZARDS, "hazard").len());
    let terminals: Vec<_> = model.parts.iter().filter_map(|(_, part)| part.terminal.as_ref()).collect();
    assert_eq!(terminals.len(), names(WIRING, "terminal").len());
    assert!(terminals.iter().all(|terminal| !terminal.wires.is_empty()));
}

#[test]
fn every_wire_and_rating_is_offered_to_circuits() {
    let model = procedure(
        "circuit feed \"Feed\" {\n source 12 V\n load 1 A\n run 1 m\n wire 14 AWG copper\n insulation 105 degC\n ambient 30 degC\n fuse 2 A at 50 mm\n}\n",
    );
    assert_eq!(model.wires.len(), names(WIRING, "wire").len());
    for (kind, fuse) in [("fuse", true), ("breaker", false)] {
        let rows: Vec<_> = model.ratings.iter().filter(|row| row.fuse == fuse).collect();
        assert_eq!(rows.len(), names(WIRING, kind).len(), "{kind}");
        for row in rows {
            let amperes: Vec<_> = row.ratings.iter().map(|rating| rating.value).collect();
            assert!(amperes.len() >= 4 && amperes.is_sorted(), "{}: not ascending", row.id);
            assert!(row.sources.iter().all(|source| !source.confirmed.is_empty()), "{}: no source", row.id);
        }
    }
    // Every value of a wire says where it comes from.
    for wire in &model.wires {
        assert!(!wire.area_sources.is_empty() && !wire.resistance_sources.is_empty(), "{}", wire.id);
        assert_eq!(wire.least_area.is_some(), !wire.least_area_sources.is_empty(), "{}", wire.id);
        assert_eq!(wire.ampacity.is_empty(), wire.ampacity_sources.is_empty(), "{}", wire.id);
    }
    let areas: Vec<_> = model.wires.iter().map(|wire| wire.area.and_then(|area| area.base())).collect();
    assert!(areas.is_sorted(), "the thinnest first");
}

/// The compiler reads a row of the standard library when a procedure names it; here every row is looked at.
#[test]
fn what_is_read_at_the_first_look_is_what_the_whole_text_says() {
    for (name, text) in standard_libraries() {
        let file = FileId::new(3);
        let (whole, findings) = parse(file, text);
        assert!(findings.is_empty(), "{name}: {findings:?}");
        let known = known_library(file, text).unwrap_or_else(|| panic!("{name} has a statement of another form"));
        assert_eq!(known.head, whole.head, "{name}");
        assert_eq!(known.items.len(), whole.items.len(), "{name}");
        for (known, whole) in known.items.iter().zip(&whole.items) {
            assert_eq!(known, whole, "{name}");
        }
    }
}

#[test]
fn a_library_of_another_form_is_read_whole() {
    for text in ["library a \"A\"\nsection b \"B\" { }\n", "tool c \"C\" { count 2 }\n", "library a \"A\"\ntool c {\n"]
    {
        assert!(known_library(FileId::new(0), text).is_none(), "{text}");
    }
}
