//! Writes what `tests/oracles/quantity_pint.py` compares with two libraries of units.

use fitwright::quantity::display::{converted, printed};
use fitwright::quantity::{Exact, Measure, Quantity, System, Unit, Written};
use serde_json::{Value, json};

use super::{inch_then_metric, metric_then_inch};

/// `127/5000`
fn fraction(value: Exact) -> String {
    format!("{}/{}", value.numer(), value.denom())
}

/// The same numbers on every run (the multiplier and addend of Knuth's MMIX generator).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self, below: u64) -> i128 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        i128::from((self.0 >> 33) % below)
    }

    fn value(&mut self) -> (Exact, Written) {
        let places = u8::try_from(self.next(4)).unwrap_or(0);
        (Exact::new(1 + self.next(1_000_000), 10_i128.pow(u32::from(places))), Written::Decimals(places))
    }
}

fn units() -> Vec<Value> {
    let one = |unit: Unit| {
        json!({
            "unit": unit.spelling(), "ucum": unit.ucum(), "kind": unit.kind().name(),
            "base_ucum": unit.kind().base_ucum(),
            "factor": fraction(unit.factor()), "offset": fraction(unit.offset()),
        })
    };
    Unit::all().map(one).collect()
}

fn conversions(numbers: &mut Numbers) -> Vec<Value> {
    let mut all = Vec::new();
    for from in Unit::all() {
        for to in Unit::all().filter(|to| to.kind() == from.kind()) {
            let (value, written) = numbers.value();
            let result = Quantity::new(value, from, written).in_unit(to).expect("one kind, few digits");
            all.push(json!({
                "from": from.spelling(), "to": to.spelling(), "value": fraction(value), "result": fraction(result),
            }));
        }
    }
    all
}

/// Tolerances as printed, for the comparison to find them within the stated ones.
fn prints(numbers: &mut Numbers) -> Vec<Value> {
    let mut all = Vec::new();
    for (unit, system) in Unit::all().filter_map(|unit| Some((unit, unit.system()?))) {
        let (other, preference) = match system {
            System::Metric => (System::Inch, metric_then_inch()),
            System::Inch => (System::Metric, inch_then_metric()),
        };
        for _ in 0..20 {
            let ((value, written), (half, half_written)) = (numbers.value(), numbers.value());
            let quantity = Quantity::new(value, unit, written);
            let measure = Measure::Tolerance { value: quantity, plus_minus: Quantity::new(half, unit, half_written) };
            let Some(target) = converted(&measure, other) else { continue };
            all.push(json!({
                "unit": unit.spelling(), "value": fraction(value), "plus_minus": fraction(half),
                "printed_unit": target.stated().unit.spelling(),
                "printed": printed(&measure, preference).brackets,
            }));
        }
    }
    all
}

#[test]
#[allow(clippy::disallowed_methods)] // a test's output file, outside the core
fn the_dump_for_the_oracle_is_written() {
    let mut numbers = Numbers(811);
    let dump = json!({
        "units": units(), "conversions": conversions(&mut numbers), "prints": prints(&mut numbers),
    });
    assert!(dump["conversions"].as_array().is_some_and(|all| all.len() > 300));
    assert!(dump["prints"].as_array().is_some_and(|all| all.len() > 500));
    let path = concat!(env!("CARGO_TARGET_TMPDIR"), "/quantity.json");
    std::fs::write(path, format!("{dump:#}\n")).expect("the target folder can be written");
}
