//! Computed values as a person would write them down: few figures, in the procedure's own unit system first.

use crate::quantity::{Exact, Kind, Measure, Quantity, System, Unit, UnitPreference, Written, display};

/// Prints quantities in the unit systems of a procedure.
#[derive(Debug, Clone, Copy)]
pub(super) struct Printer {
    units: UnitPreference,
    /// Whether anybody reads it. Who only judges needs the numbers, and printing them takes longer than working them out.
    is_read: bool,
}

impl Printer {
    /// Prints in these units.
    pub fn of(units: UnitPreference) -> Printer {
        Printer { units, is_read: true }
    }

    /// Prints nothing, and rounds as the one that does.
    pub fn for_judging(units: UnitPreference) -> Printer {
        Printer { units, is_read: false }
    }

    fn written(self, text: impl FnOnce(UnitPreference) -> String) -> String {
        if self.is_read { text(self.units) } else { String::new() }
    }

    /// In all systems that the procedure asks for: `13.8 kN (3100 lbf)`.
    pub fn whole(self, quantity: &Quantity) -> String {
        self.written(|units| display::quantity(quantity, units))
    }

    /// A measure in all systems that the procedure asks for.
    pub fn measure(self, measure: &Measure) -> String {
        self.written(|units| display::measure(measure, units))
    }

    /// In the procedure's first system only, as it stands in a formula.
    pub fn short(self, quantity: &Quantity) -> String {
        self.written(|units| display::printed(&Measure::Exact(*quantity), units).text)
    }

    /// In its own unit only, as it stands in the formula of its own system.
    pub fn own(self, quantity: &Quantity) -> String {
        let first = quantity.unit.system().unwrap_or(System::Metric);
        self.written(|_| display::printed(&Measure::Exact(*quantity), UnitPreference { first, second: None }).text)
    }

    /// A computed force in newtons, with three figures in kilonewtons or four in pounds.
    pub fn force(self, newtons: f64) -> Option<Quantity> {
        match self.units.first {
            System::Inch => computed(newtons, "lbf", 4),
            System::Metric if newtons < 1000.0 => computed(newtons, "N", 3),
            System::Metric => computed(newtons, "kN", 3),
        }
    }

    /// A computed torque in newton metres; small ones in pound inches where inches come first.
    pub fn torque(self, newton_metres: f64) -> Option<Quantity> {
        match self.units.first {
            System::Inch if newton_metres < 13.6 => computed(newton_metres, "lbf.in", 3),
            System::Inch => computed(newton_metres, "lbf.ft", 3),
            System::Metric => computed(newton_metres, "N.m", 3),
        }
    }

    /// A torque for a formula in which lengths are millimetres or inches: newton metres, or pound inches, so that the
    /// figures can be put into a calculator as they stand.
    pub fn torque_in_formula(self, newton_metres: f64) -> String {
        let quantity = match self.units.first {
            System::Inch => computed(newton_metres, "lbf.in", 4),
            System::Metric => computed(newton_metres, "N.m", 4),
        };
        quantity.map(|quantity| self.short(&without_zeros(quantity))).unwrap_or_default()
    }

    /// A computed length in millimetres: to a tenth of a millimetre, or a thousandth of an inch.
    pub fn length(self, millimetres: f64) -> Option<Quantity> {
        match self.units.first {
            System::Inch => fixed(millimetres / 1000.0, "in", 3),
            System::Metric => fixed(millimetres / 1000.0, "mm", 1),
        }
    }

    /// A computed quantity, whole; a dash where it cannot be printed.
    pub fn or_dash(self, quantity: Option<Quantity>) -> String {
        quantity.map_or_else(|| "–".to_owned(), |quantity| self.whole(&quantity))
    }

    /// The same in the first system only.
    pub fn short_or_dash(self, quantity: Option<Quantity>) -> String {
        quantity.map_or_else(|| "–".to_owned(), |quantity| self.short(&quantity))
    }
}

/// The stress area of a thread, in the system in which its formula counts: three figures in mm2, four in in2, as the
/// published tables print them.
pub(super) fn area(square_millimetres: f64, system: Option<System>) -> Option<Quantity> {
    let square_metres = square_millimetres / 1e6;
    if system == Some(System::Inch) { computed(square_metres, "in2", 4) } else { computed(square_metres, "mm2", 3) }
}

/// A share as a whole per cent: `65 %`.
pub(super) fn percent(share: f64) -> String {
    format!("{:.0}{}%", share * 100.0, display::NO_BREAK_SPACE)
}

/// A pure number with two decimals, as nut factors are written.
pub(super) fn factor(value: f64) -> String {
    format!("{value:.2}")
}

/// Without the zeros at the end of its decimals: 20.00 as 20.
fn without_zeros(quantity: Quantity) -> Quantity {
    let mut fewest = quantity;
    while let Written::Decimals(places @ 1..) = fewest.written {
        let power = Exact::from_integer(10i128.pow(u32::from(places - 1)));
        if !(fewest.value * power).is_integer() {
            break;
        }
        fewest.written = Written::Decimals(places - 1);
    }
    fewest
}

/// A value in base units, rounded to so many significant figures in a unit.
fn computed(base: f64, unit: &str, figures: i32) -> Option<Quantity> {
    let (unit, value) = in_unit(base, unit)?;
    let places = if value == 0.0 { 0 } else { figures - 1 - value.abs().log10().floor() as i32 };
    rounded(value, places, unit)
}

/// A value in base units, rounded to so many decimals in a unit.
fn fixed(base: f64, unit: &str, decimals: i32) -> Option<Quantity> {
    let (unit, value) = in_unit(base, unit)?;
    rounded(value, decimals, unit)
}

fn in_unit(base: f64, unit: &str) -> Option<(Unit, f64)> {
    let unit = Unit::lookup(unit).filter(|unit| unit.kind() != Kind::Temperature)?;
    let factor = unit.factor();
    let value = base * *factor.denom() as f64 / *factor.numer() as f64;
    value.is_finite().then_some((unit, value))
}

/// `places` below zero round to tens and hundreds.
fn rounded(value: f64, places: i32, unit: Unit) -> Option<Quantity> {
    const MOST: f64 = 1e18;
    let places = places.clamp(-12, 12);
    let scaled = (value * 10f64.powi(places)).round();
    if scaled.abs() > MOST {
        return None;
    }
    let power = 10i128.pow(places.unsigned_abs());
    let value =
        if places < 0 { Exact::from_integer(scaled as i128 * power) } else { Exact::new(scaled as i128, power) };
    Some(Quantity::new(value, unit, Written::Decimals(u8::try_from(places.max(0)).unwrap_or(0))))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn printed(quantity: Option<Quantity>) -> String {
        quantity.unwrap().to_string()
    }

    #[test]
    fn few_figures_in_the_unit_of_the_trade() {
        let metric = Printer::of(UnitPreference { first: System::Metric, second: None });
        let inch = Printer::of(UnitPreference { first: System::Inch, second: None });
        assert_eq!(printed(metric.force(13_750.0)), "13.8 kN");
        assert_eq!(printed(metric.force(999.0)), "999 N");
        assert_eq!(printed(inch.force(40_239.0)), "9046 lbf");
        assert_eq!(printed(inch.force(53_650.0)), "12060 lbf");
        assert_eq!(printed(metric.torque(25.46)), "25.5 N.m");
        assert_eq!(printed(inch.torque(102.2)), "75.4 lbf.ft");
        assert_eq!(printed(inch.torque(5.0)), "44.3 lbf.in");
        assert_eq!(printed(metric.length(9.96)), "10.0 mm");
        assert_eq!(printed(area(36.609, Some(System::Metric))), "36.6 mm2");
        assert_eq!(printed(area(91.55, Some(System::Inch))), "0.1419 in2");
        assert_eq!(printed(metric.force(0.0)), "0 N");
    }

    #[test]
    fn what_cannot_be_printed_is_not() {
        assert_eq!(computed(f64::NAN, "N", 3), None);
        assert_eq!(computed(f64::INFINITY, "N", 3), None);
        assert_eq!(fixed(1e30, "mm", 3), None);
    }
}
