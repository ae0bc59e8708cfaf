//! Numbers, units and their print, held against published values and by properties.

mod dump;
mod numbers;
mod print;
mod print_properties;
mod units;

use fitwright::quantity::{Exact, Measure, Quantity, System, Unit, UnitPreference, number};

/// `22 N.m`, `9/16 in`: the number up to the last blank that a unit follows.
pub fn q(text: &str) -> Quantity {
    let unit_at = text.char_indices().filter(|(_, c)| *c == ' ').map(|(at, _)| at);
    for at in unit_at {
        let (digits, spelling) = text.split_at(at);
        if let (Some(unit), Ok((value, written))) = (Unit::lookup(spelling), number::parse(digits)) {
            return Quantity::new(value, unit, written);
        }
    }
    panic!("not a quantity: {text}");
}

pub fn tolerance(value: &str, plus_minus: &str) -> Measure {
    Measure::with_tolerance(q(value), q(plus_minus)).expect("they go together")
}

pub fn range(low: &str, high: &str) -> Measure {
    Measure::Range { low: q(low), high: q(high) }
}

pub fn metric_then_inch() -> UnitPreference {
    UnitPreference { first: System::Metric, second: Some(System::Inch) }
}

pub fn inch_then_metric() -> UnitPreference {
    UnitPreference { first: System::Inch, second: Some(System::Metric) }
}

/// `-12.5`, `12`, `127/5000` to its value, by arithmetic of the test's own.
pub fn value_of(text: &str) -> Exact {
    let text = text.replace('−', "-");
    if let Some((top, bottom)) = text.split_once('/') {
        return Exact::new(top.parse().expect("digits"), bottom.parse().expect("digits"));
    }
    let (whole, decimals) = text.split_once('.').unwrap_or((&text, ""));
    let scale = 10_i128.pow(u32::try_from(decimals.len()).expect("short"));
    Exact::new(format!("{whole}{decimals}").parse().expect("digits"), scale)
}
