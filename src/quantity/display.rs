//! Quantities as documents print them, in one system or in both.
//!
//! `22 N·m ± 2 N·m (16.2 lbf·ft ± 1.4 lbf·ft)`, `20 to 24 N·m (14.8 to 17.7 lbf·ft)`,
//! `at least 150 mm (5.91 in)`, `9/16 in (14.3 mm)`.
//!
//! The writer's own value is always printed, and exactly as written; the other system's value is converted from it.
//! Which of the two stands in the text and which in brackets follows the procedure's `units`. A document that asks
//! for one system only still shows a value that was written in the other, in brackets: a conversion never replaces
//! what was stated. Units that both systems use (V, A, min, %, AWG) are printed once.
//!
//! A unit stands with each value of a tolerance, and a no-break space between a number and its unit (NIST SP 811,
//! 7.2 and 7.7).

use std::fmt;

use super::rounding::{self, Direction};
use super::{Exact, Kind, Measure, Quantity, System, Unit, UnitPreference};
use crate::labels::{fill, language, spoken};

/// Stands between a number and its unit.
pub const NO_BREAK_SPACE: char = '\u{a0}';

/// Torques below this many newton metres are printed in lbf·in, from it on in lbf·ft (common practice).
const SMALL_TORQUE: i128 = 10;

/// A quantity in print, its two parts apart for tables.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Printed {
    /// In the text.
    pub text: String,
    /// In brackets, if the document shows the second system and the quantity has one. Without `at least` and its
    /// like: those words stand in the text and rule both.
    pub brackets: Option<String>,
}

/// `text (brackets)`
impl fmt::Display for Printed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.brackets {
            None => f.write_str(&self.text),
            Some(brackets) => write!(f, "{} ({brackets})", self.text),
        }
    }
}

/// A single value: `46 mm (1.81 in)`.
pub fn quantity(quantity: &Quantity, preference: UnitPreference) -> String {
    measure(&Measure::Exact(*quantity), preference)
}

/// Any way to state a quantity: `22 N·m ± 2 N·m (16.2 lbf·ft ± 1.4 lbf·ft)`.
pub fn measure(measure: &Measure, preference: UnitPreference) -> String {
    printed(measure, preference).to_string()
}

/// The same of what one of several arms takes: its bound is where another arm begins, so that it is rounded to the nearest in both
/// and is one number in the other unit too: `below 1.9 m (6.2 ft)` and `at least 1.9 m (6.2 ft)`. Whoever is nearer to it than the
/// rounding reads the writer's own unit.
pub(crate) fn boundary(measure: &Measure, preference: UnitPreference) -> String {
    printed_with(measure, preference, Bounds::Nearest).to_string()
}

/// Which way a bound is rounded.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Bounds {
    /// Whoever keeps to the printed one keeps to the stated one.
    Inwards,
    /// Where two meet.
    Nearest,
}

/// As [`measure`], with the two parts apart.
pub fn printed(measure: &Measure, preference: UnitPreference) -> Printed {
    printed_with(measure, preference, Bounds::Inwards)
}

fn printed_with(measure: &Measure, preference: UnitPreference, bounds: Bounds) -> Printed {
    let own = in_print(measure);
    let alone = |text| Printed { text, brackets: None };
    let Some(system) = measure.stated().unit.system() else { return alone(own) };
    if preference.first == system {
        let wanted = preference.second.filter(|second| *second != system);
        let brackets = wanted.and_then(|second| in_system(measure, second, bounds)).map(|other| values(&other));
        return Printed { text: own, brackets };
    }
    match in_system(measure, preference.first, bounds) {
        Some(first) => Printed { text: in_print(&first), brackets: Some(values(measure)) },
        None => alone(own),
    }
}

/// As [`printed`], for something that is set on, or read off, scales in these units. The writer's own value stands as
/// ever; where a scale is in another unit, the value in that unit stands beside it, and where it is of the other system
/// it stands in the place of the unit that the trade would commonly take.
pub(crate) fn printed_for(measure: &Measure, preference: UnitPreference, scales: &[Unit]) -> Printed {
    let own = measure.stated().unit;
    let others = scales.iter().filter(|unit| **unit != own && unit.kind() == own.kind());
    let (same, other): (Vec<Unit>, Vec<Unit>) = others.partition(|unit| unit.system() == own.system());
    let in_unit = |unit: &Unit| converted_to(measure, &|_| Some(*unit), Bounds::Inwards);
    let mut printed = match other.first().and_then(in_unit) {
        None => printed(measure, preference),
        Some(converted) if own.system() == Some(preference.first) => {
            Printed { text: in_print(measure), brackets: Some(values(&converted)) }
        }
        Some(converted) => Printed { text: in_print(&converted), brackets: Some(values(measure)) },
    };
    if let Some(also) = same.first().and_then(in_unit) {
        let also = values(&also);
        printed.brackets = Some(match printed.brackets {
            Some(brackets) => format!("{also}; {brackets}"),
            None => also,
        });
    }
    printed
}

/// The measure in the other system, rounded for print: bounds and tolerances inwards, a single value to the
/// precision of its source. `None` where the unit has no counterpart there, or where no number of decimals that can
/// be printed stays within what is stated.
pub fn converted(measure: &Measure, system: System) -> Option<Measure> {
    in_system(measure, system, Bounds::Inwards)
}

fn in_system(measure: &Measure, system: System, bounds: Bounds) -> Option<Measure> {
    let target = |q: &Quantity| match measure {
        // An end that is already in the wanted system says which unit the writer would use.
        Measure::Range { .. } if q.unit.system() == Some(system) => Some(q.unit),
        _ => counterpart(q, system),
    };
    converted_to(measure, &target, bounds)
}

/// The same in the unit that `target` names.
fn converted_to(measure: &Measure, target: &dyn Fn(&Quantity) -> Option<Unit>, bounds: Bounds) -> Option<Measure> {
    let bound = |q: &Quantity, inwards| {
        rounding::single(q, target(q)?, if bounds == Bounds::Nearest { Direction::Nearest } else { inwards })
    };
    Some(match measure {
        Measure::Exact(q) => Measure::Exact(bound(q, Direction::Nearest)?),
        Measure::Tolerance { value, plus_minus } => {
            let (value, plus_minus) = rounding::tolerance(value, plus_minus, target(value)?)?;
            Measure::Tolerance { value, plus_minus }
        }
        Measure::Range { low, high } => {
            let (low, high) = rounding::range(low, high, target(high)?)?;
            Measure::Range { low, high }
        }
        Measure::AtLeast(q) => Measure::AtLeast(bound(q, Direction::Up)?),
        Measure::AtMost(q) => Measure::AtMost(bound(q, Direction::Down)?),
        Measure::Over(q) => Measure::Over(bound(q, Direction::Up)?),
        Measure::Below(q) => Measure::Below(bound(q, Direction::Down)?),
    })
}

/// The unit of the other system that the trade reads this quantity in; `None` where there is none, or where the unit
/// belongs to the wanted system already.
pub fn counterpart(quantity: &Quantity, system: System) -> Option<Unit> {
    quantity.unit.system().filter(|own| *own != system)?;
    let over = |limit: i128| quantity.base().is_some_and(|base| base >= Exact::from_integer(limit));
    let spelling = match (quantity.kind(), quantity.unit.spelling()) {
        (Kind::Torque, "lbf.ft" | "lbf.in") => "N.m",
        (Kind::Torque, "ozf.in") => "N.cm",
        (Kind::Torque, _) if over(SMALL_TORQUE) => "lbf.ft",
        (Kind::Torque, _) => "lbf.in",
        (Kind::Length, "um") => "mil",
        (Kind::Length, "mm" | "cm") => "in",
        (Kind::Length, "m") => "ft",
        (Kind::Length, "km") => "mi",
        (Kind::Length, "mil" | "in") => "mm",
        (Kind::Length, "ft" | "yd") => "m",
        (Kind::Length, "mi") => "km",
        (Kind::Mass, "g") => "oz",
        (Kind::Mass, "kg" | "t") => "lb",
        (Kind::Mass, "oz") => "g",
        (Kind::Mass, _) => "kg",
        (Kind::Force, "N" | "kN" | "kgf") => "lbf",
        // Clamp loads are printed in kilonewtons (common practice).
        (Kind::Force, _) if over(10_000) => "kN",
        (Kind::Force, _) => "N",
        (Kind::Pressure, "Pa" | "mbar" | "kPa" | "bar" | "MPa") => "psi",
        // From 1000 psi (6.9 MPa) on it is a strength, below it a tyre or a line (common practice).
        (Kind::Pressure, _) if over(6_890_000) => "MPa",
        (Kind::Pressure, _) => "bar",
        (Kind::Area, "mm2" | "cm2") => "in2",
        (Kind::Area, "m2") => "ft2",
        (Kind::Area, "in2") => "mm2",
        (Kind::Area, _) => "m2",
        (Kind::Volume, "mL") => "fl-oz",
        (Kind::Volume, "cm3") => "in3",
        (Kind::Volume, "L" | "m3") => "gal",
        (Kind::Volume, "fl-oz") => "mL",
        (Kind::Volume, "in3") => "cm3",
        (Kind::Volume, _) => "L",
        (Kind::Temperature, "degC") => "degF",
        (Kind::Temperature, _) => "degC",
        (Kind::TemperatureDifference, "degF-rise") => "degC-rise",
        (Kind::TemperatureDifference, _) => "degF-rise",
        (Kind::Speed, "km/h") => "mph",
        (Kind::Speed, "m/s") => "ft/s",
        (Kind::Speed, "mph") => "km/h",
        (Kind::Speed, _) => "m/s",
        (Kind::Power, "hp") => "kW",
        // A thread per inch is a name of the thread; a count per millimetre would name none.
        _ => return None,
    };
    Unit::lookup(spelling)
}

/// In its own unit, exactly as it stands.
fn in_print(measure: &Measure) -> String {
    let values = values(measure);
    let labels = &spoken().measure;
    let bound = match measure {
        Measure::AtLeast(_) => labels.at_least,
        Measure::AtMost(_) => labels.at_most,
        Measure::Over(_) => labels.over,
        Measure::Below(_) => labels.below,
        Measure::Exact(_) | Measure::Tolerance { .. } | Measure::Range { .. } => return values,
    };
    fill(bound, &[("value", &values)])
}

/// The same without the words of a bound.
fn values(measure: &Measure) -> String {
    let range = |low: &str, high: &str| fill(spoken().measure.range, &[("low", low), ("high", high)]);
    match measure {
        Measure::Tolerance { value: middle, plus_minus } => {
            format!("{}{NO_BREAK_SPACE}±{NO_BREAK_SPACE}{}", value(middle), value(plus_minus))
        }
        Measure::Range { low, high } if low.unit == high.unit => range(&number(low), &value(high)),
        Measure::Range { low, high } => range(&value(low), &value(high)),
        Measure::Exact(q) | Measure::AtLeast(q) | Measure::AtMost(q) | Measure::Over(q) | Measure::Below(q) => value(q),
    }
}

/// `22 N·m`, `45°`
fn value(quantity: &Quantity) -> String {
    let symbol = quantity.unit.symbol().replace(' ', "\u{a0}");
    let more_than_one = quantity.value > Exact::from_integer(1);
    match (symbol.as_str(), more_than_one) {
        // The sign of an angle is the one unit that follows its number without a space (NIST SP 811, 7.2).
        ("°", _) => format!("{}°", number(quantity)),
        ("turn", true) => format!("{}{NO_BREAK_SPACE}{}", number(quantity), spoken().measure.turns),
        ("turn", false) => format!("{}{NO_BREAK_SPACE}{}", number(quantity), spoken().measure.turn),
        ("flat", true) => format!("{}{NO_BREAK_SPACE}{}", number(quantity), spoken().measure.flats),
        ("flat", false) => format!("{}{NO_BREAK_SPACE}{}", number(quantity), spoken().measure.flat),
        (symbol, _) => language().isolated(format!("{}{NO_BREAK_SPACE}{symbol}", number(quantity))),
    }
}

/// `6.4`, `3 1/2`, `−17.8`, none of which breaks over a line.
fn number(quantity: &Quantity) -> String {
    language().number(&quantity.number().replace(' ', "\u{a0}").replace('-', "−"))
}
