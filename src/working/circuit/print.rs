//! Numbers of a circuit as they are printed: three or four figures, in the writer's unit systems.

use crate::labels::language;
use crate::quantity::{Exact, Kind, Measure, Quantity, System, Unit, UnitPreference, Written, display};

/// Square millimetres in a circular mil: pi/4 times the square of 0.0254 mm.
const MM2_PER_CMIL: f64 = std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254;

/// Feet in a metre.
const FEET_PER_METRE: f64 = 1.0 / 0.3048;

/// Prints in the systems of a procedure.
#[derive(Clone, Copy)]
pub(super) struct Print {
    pub units: UnitPreference,
}

impl Print {
    /// `74.4 A`, `43.8 °C (111 °F)`
    pub fn value(self, value: f64, unit: &str, figures: i32) -> String {
        match quantity(value, unit, figures) {
            Some(quantity) => plain(display::quantity(&quantity, self.units)),
            None => format!("{} {unit}", digits(value, figures)),
        }
    }

    /// As written, with the other system in brackets: `6.5 m (21.3 ft)`.
    pub fn stated(self, quantity: &Quantity) -> String {
        plain(display::quantity(quantity, self.units))
    }

    /// `at most 5 %`
    pub fn measure(self, measure: &Measure) -> String {
        plain(display::measure(measure, self.units))
    }

    /// One value in the text's system only, for a formula.
    pub fn short(self, quantity: &Quantity) -> String {
        plain(display::printed(&Measure::Exact(*quantity), self.units).text)
    }

    /// The same for a computed value.
    pub fn short_value(self, value: f64, unit: &str, figures: i32) -> String {
        match quantity(value, unit, figures) {
            Some(quantity) => self.short(&quantity),
            None => format!("{} {unit}", digits(value, figures)),
        }
    }

    /// Area of a conductor: `8.37 mm²`, in inch procedures `16500 cmil (8.37 mm²)`.
    pub fn area(self, mm2: f64) -> String {
        let metric = format!("{} mm²", digits(mm2, 3));
        self.pair(metric, format!("{} cmil", digits(mm2 / MM2_PER_CMIL, 4)))
    }

    /// Resistance for a length: `2.06 mΩ/m (0.628 Ω per 1000 ft)`.
    pub fn per_length(self, ohm_per_m: f64) -> String {
        let inch = format!("{} Ω per 1000 ft", digits(ohm_per_m * 1000.0 / FEET_PER_METRE, 4));
        self.pair(format!("{} mΩ/m", digits(ohm_per_m * 1000.0, 4)), inch)
    }

    /// The same in the text's system only.
    pub fn short_per_length(self, ohm_per_m: f64) -> String {
        match self.units.first {
            System::Metric => format!("{} mΩ/m", digits(ohm_per_m * 1000.0, 4)),
            System::Inch => format!("{} Ω/1000 ft", digits(ohm_per_m * 1000.0 / FEET_PER_METRE, 4)),
        }
    }

    /// A length in metres, or feet in an inch procedure.
    pub fn length(self, metres: f64) -> String {
        self.pair(format!("{} m", digits(metres, 3)), format!("{} ft", digits(metres * FEET_PER_METRE, 3)))
    }

    /// The same in the text's system only.
    pub fn short_length(self, metres: f64) -> String {
        match self.units.first {
            System::Metric => format!("{} m", digits(metres, 3)),
            System::Inch => format!("{} ft", digits(metres * FEET_PER_METRE, 3)),
        }
    }

    /// A short length that a publication states in inches.
    pub fn inches(self, inches: i128) -> String {
        let unit = Unit::lookup("in");
        let written = unit.map(|unit| Quantity::new(Exact::from_integer(inches), unit, Written::Decimals(0)));
        written.map_or_else(|| format!("{inches} in"), |written| self.stated(&written))
    }

    /// `43.8 °C (111 °F)`
    pub fn temperature(self, celsius: f64) -> String {
        self.value(celsius, "degC", 3)
    }

    /// In the text's system only.
    pub fn short_temperature(self, celsius: f64) -> String {
        self.short_value(celsius, "degC", 3)
    }

    fn pair(self, metric: String, inch: String) -> String {
        let (first, other) = match self.units.first {
            System::Metric => (metric, inch),
            System::Inch => (inch, metric),
        };
        if self.units.second.is_some() { format!("{first} ({other})") } else { first }
    }
}

/// `4.39 %`
pub fn share(share: f64) -> String {
    format!("{} %", digits(share * 100.0, 3))
}

/// `0.527 V`
pub fn volts(volts: f64) -> String {
    format!("{} V", digits(volts, 3))
}

/// A number to two figures.
pub fn two_figures(value: f64) -> String {
    digits(value, 2)
}

/// A length that a publication states in whole inches: `178 mm (7 in)`.
pub fn inches(units: UnitPreference, inches: i128) -> String {
    Print { units }.inches(inches)
}

/// `74.4 A`
pub fn amperes(amperes: f64) -> String {
    format!("{} A", digits(amperes, 3))
}

/// With plain blanks: these texts stand on lines of their own, which nothing breaks.
fn plain(text: String) -> String {
    text.replace(display::NO_BREAK_SPACE, " ")
}

/// A size of wire as a person says it: `8 AWG`, `6 mm²`.
pub(super) fn size(id: &str) -> String {
    match id.rsplit_once('-') {
        Some((size, "mm2")) => format!("{size} mm²"),
        Some((size, unit)) => format!("{size} {unit}"),
        None => id.to_owned(),
    }
}

/// An amount as written: `30 A`.
pub fn own(quantity: &Quantity) -> String {
    if quantity.kind() == Kind::WireGauge || quantity.kind() == Kind::Area {
        return format!("{} {}", quantity.number(), quantity.unit.symbol());
    }
    let alone = UnitPreference { first: quantity.unit.system().unwrap_or(System::Metric), second: None };
    plain(display::quantity(quantity, alone))
}

/// A value with at most so many figures, as a decimal. Zeros at its end say nothing and are left out.
pub(super) fn digits(value: f64, figures: i32) -> String {
    let decimals = decimals(value, figures);
    if decimals == 0 && value.abs() >= 1000.0 {
        let unit = 10f64.powi(value.abs().log10().floor() as i32 + 1 - figures);
        return format!("{:.0}", (value / unit).round() * unit);
    }
    let text = format!("{value:.decimals$}");
    if decimals == 0 { text } else { language().number(text.trim_end_matches('0').trim_end_matches('.')) }
}

fn decimals(value: f64, figures: i32) -> usize {
    if value == 0.0 || !value.is_finite() {
        return 0;
    }
    let leading = value.abs().log10().floor() as i32;
    usize::try_from((figures - 1 - leading).clamp(0, 6)).unwrap_or(0)
}

fn quantity(value: f64, unit: &str, figures: i32) -> Option<Quantity> {
    let unit = Unit::lookup(unit)?;
    // With the zeros at its end: they say how far a conversion may go.
    let places = decimals(value, figures);
    let scale = 10f64.powi(i32::try_from(places).ok()?);
    let whole = (value * scale).round();
    (whole.abs() < 1e15).then_some(())?;
    let exact = Exact::new(whole as i128, scale as i128);
    Some(Quantity::new(exact, unit, Written::Decimals(u8::try_from(places).ok()?)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_kept_and_no_more() {
        assert_eq!(digits(8.3656, 3), "8.37");
        assert_eq!(digits(16_509.7, 4), "16510");
        assert_eq!(digits(0.052_96, 4), "0.05296");
        assert_eq!(digits(74.4, 3), "74.4");
        assert_eq!(digits(0.0, 3), "0");
    }

    #[test]
    fn inch_procedures_get_their_own_units_first() {
        let inch = Print { units: UnitPreference { first: System::Inch, second: Some(System::Metric) } };
        assert_eq!(inch.area(8.3656), "16510 cmil (8.37 mm²)");
        assert_eq!(inch.per_length(0.002_061), "0.6282 Ω per 1000 ft (2.061 mΩ/m)");
        assert_eq!(inch.length(13.0), "42.7 ft (13 m)");
    }
}
