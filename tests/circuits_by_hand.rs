//! circuits
use fitwright::model::Procedure;
use fitwright::source::Sources;
use fitwright::working::circuit::{CircuitWorking, working};
use fitwright::world::Memory;

fn resolve(text: &str) -> Procedure {
    let mut sources = Sources::default();
    let world = Memory::default().with("trial.fitw", text.as_bytes());
    fitwright::resolve::resolve("trial.fitw", &world, &mut sources).procedure.expect("a procedure")
}

#[test]
fn show() {
    for text in [
        std::fs::read_to_string("procedures/kestrel-rack.fitw").unwrap(),
        std::fs::read_to_string("procedures/wren-battery.fitw").unwrap(),
        std::fs::read_to_string("/tmp/t.fitw").unwrap(),
    ] {
        let p = resolve(&text);
        for c in p.circuits.rows().iter().take(1) {
            let w: CircuitWorking = working(&p, c);
            println!("\n== {}", w.working.title);
            for l in &w.working.lines {
                println!(
                    "{:<45} | {} | {} | {} | {}",
                    l.what,
                    l.formula,
                    l.result,
                    l.standing.words(),
                    l.sources
                        .iter()
                        .map(|s| s.publication.chars().take(30).collect::<String>())
                        .collect::<Vec<_>>()
                        .join(" / ")
                );
            }
        }
    }
}
