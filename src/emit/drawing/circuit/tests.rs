//! The numbers in a schematic are those of the working, and what nobody stated is not in it.

use super::*;
use crate::model::Procedure;
use crate::source::Sources;
use crate::world::Memory;

const DEMOS: [&str; 4] = [
    include_str!("../../../../procedures/kestrel-rack.fitw"),
    include_str!("../../../../procedures/wren-battery.fitw"),
    include_str!("../../../../procedures/finch-vise.fitw"),
    include_str!("../../../../procedures/heron-carrier.fitw"),
];

fn resolved(text: &str) -> Procedure {
    let mut sources = Sources::default();
    let world = Memory::default().with("trial.fitw", text.as_bytes());
    crate::resolve::resolve("trial.fitw", &world, &mut sources).procedure.expect("a procedure")
}

fn one(units: &str, lines: &str) -> Procedure {
    resolved(&format!(
        "procedure by-hand \"By hand\"\nunits {units}\nuse std/wiring\ncircuit feed \"Feed\" {{\n{lines}\n}}\n\
         section work \"Work\" {{\n handover {{ sign installer }}\n}}\n"
    ))
}

/// The texts of a drawing without what breaks them into lines.
fn texts(drawing: &Drawing) -> String {
    let texts = drawing.svg.split("<text ").skip(1);
    let inner = texts.filter_map(|text| text.split_once('>')?.1.split_once("</text>")).map(|(text, _)| text);
    inner.flat_map(str::split_whitespace).collect()
}

fn squeezed(text: &str) -> String {
    crate::emit::text::html(text).split_whitespace().collect()
}

/// Whether each number stands there if the working has it, and each stated value if it is stated.
fn compare(procedure: &Procedure) -> usize {
    let words = Words::new(procedure);
    let mut seen = 0;
    for row in procedure.circuits.rows() {
        let drawing = circuit(words, row).expect("a schematic");
        let (texts, made) = (texts(&drawing), working(procedure, row));
        let mut wanted: Vec<String> = row.points.iter().map(|point| point.title.clone()).collect();
        wanted.extend([&row.source, &row.load, &row.run].into_iter().flatten().map(|q| words.quantity(q)));
        wanted.extend(row.wire.iter().map(|wire| format!("{} {}", own_unit(wire), row.metal)));
        wanted.extend(made.ampacity_a.map(amperes));
        wanted.extend(made.drop.iter().map(|drop| format!("{}, {}", volts(drop.volts), share(drop.share))));
        wanted.extend(row.drop.iter().map(|drop| words.measure(drop)));
        wanted.extend(row.protection.iter().map(|guard| words.quantity(&guard.rating)));
        wanted.extend(row.isolated_by.iter().map(|need| words.state(need.state, need.value)));
        for text in &wanted {
            assert!(texts.contains(&squeezed(text)), "{text} is missing in {texts}");
        }
        // What is left at the load and what is lost make the source.
        if let (Some(left), Some(drop)) = (texts.split_once("Leftattheload:"), made.drop) {
            let left: f64 = left.1.split('V').next().and_then(|text| text.parse().ok()).expect("volts");
            let source = row.source.as_ref().and_then(float).expect("a source");
            assert!((left + drop.volts - source).abs() < 0.06, "{left} + {} is not {source}", drop.volts);
        }
        seen += wanted.len();
    }
    seen
}

#[test]
fn the_demos_circuits_are_drawn_with_the_numbers_of_their_workings() {
    let mut seen = 0;
    for demo in DEMOS {
        seen += compare(&resolved(demo));
    }
    assert!(seen > 40, "only {seen} values");
}

/// Two of the circuits that are worked by hand in `tests/circuits_by_hand.rs`, with the hand's numbers.
#[test]
fn circuits_worked_by_hand_show_the_hands_numbers() {
    let first = one(
        "metric, inch",
        "source 12 V\nload 18 A\nrun 6.5 m\nwire 8 AWG copper\ninsulation 105 degC\nambient 40 degC\nbreaker 30 A at 150 mm\n\
         drop at most 5 %\npoint post \"Post\"\npoint motor \"Motor\"",
    );
    compare(&first);
    let drawing = circuit(Words::new(&first), &first.circuits.rows()[0]).expect("a schematic");
    for number in ["74.4A", "0.527V,4.39%", "0.588V,4.9%", "atmost5%", "Leftattheload:11.5V", "Breaker,30A"] {
        assert!(texts(&drawing).contains(number), "{number}: {}", texts(&drawing));
    }
    let second = one(
        "metric",
        "source 24 V\nload 25 A\nrun 12 m\nwire 6 mm2 copper\ninsulation 90 degC\nambient 50 degC\nbundle of 4\nfuse 35 A at 100 mm",
    );
    compare(&second);
    let drawing = circuit(Words::new(&second), &second.circuits.rows()[0]).expect("a schematic");
    for number in ["27.1A", "2.48V,10.3%", "practiceallowsafeeder3%", "Leftattheload:21.5V"] {
        assert!(texts(&drawing).contains(number), "{number}: {}", texts(&drawing));
    }
}

#[test]
fn what_is_not_stated_is_not_drawn() {
    let none = one("metric", "source 12 V");
    assert!(circuit(Words::new(&none), &none.circuits.rows()[0]).is_none());
    let little = one("metric", "source 12 V\nwire 8 AWG copper\nfuse 30 A");
    let drawing = circuit(Words::new(&little), &little.circuits.rows()[0]).expect("a schematic");
    let says = texts(&drawing);
    assert!(
        !says.contains("Drop") && !says.contains("Left") && !says.contains("toscale") && !says.contains("Dead"),
        "{says}"
    );
    // Without the resistance of the chassis nobody knows what is left at the load.
    let chassis =
        "source 12 V\nload 18 A\nrun 6.5 m\nwire 8 AWG copper\ninsulation 105 degC\nambient 40 degC\nchassis return";
    let open = one("metric", chassis);
    let drawing = circuit(Words::new(&open), &open.circuits.rows()[0]).expect("a schematic");
    let says = texts(&drawing);
    assert!(says.contains("Dropinthewirealone") && !says.contains("Leftattheload"), "{says}");
}
