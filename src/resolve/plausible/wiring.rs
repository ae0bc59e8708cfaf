//! Wires, terminals, and the ratings of fuses and breakers.

use super::super::Resolver;
use super::{Bounds, Held, float, ratio};
use crate::model::{ProtectorRatings, Terminal, WireSize};
use crate::parse::tree::Row;
use crate::quantity::{Exact, Kind, Measure, Quantity};
use crate::trade::wire;
use num_traits::ToPrimitive;

impl Resolver<'_> {
    /// `gauge` is the size in the row's name and whether it is an AWG number; `diameter` that of the conductor.
    pub(in crate::resolve) fn hold_wire(
        &mut self,
        row: &Row,
        size: &WireSize,
        gauge: (Exact, bool),
        diameter: Option<&Quantity>,
    ) -> Option<()> {
        let mut held = Held::new(row);
        let Some(named) = named_area(gauge) else {
            let message = format!("`{}` is not a size in which wire is made", row.name.text);
            held.refuse(row.name.span, message, "no such size", "American wire gauge goes from 4/0 to 40 (ASTM B258).");
            return self.hold(held);
        };
        let area = Bounds {
            low: named * 0.9,
            below: "less than the size in its name",
            high: named * 1.1,
            above: "more than the size in its name",
            why: "A metric size is its area; an American gauge is that of solid wire (ASTM B258).",
        };
        held.attribute("area", size.area.as_ref(), &area);
        // SAE wire may be 11 % thinner than its gauge; IEC and ISO hold metric wire by its resistance alone.
        let least = Bounds {
            low: named * 0.7,
            below: "less than 70 % of the size in its name",
            high: size.area.as_ref().map_or(named * 1.1, float),
            above: "more than the area itself",
            why: "The least area that a size may have is a little below the nominal one (SAE: 3 to 11 %).",
        };
        held.attribute("least-area", size.least_area.as_ref(), &least);
        let solid = 2.0 * (named / std::f64::consts::PI).sqrt();
        let across = Bounds {
            low: solid * 0.9,
            below: "too thin for the size in its name",
            high: solid * 2.0,
            above: "more than twice as thick as solid wire of its size",
            why: "A conductor is as thick as a solid one of its area, or a little thicker where it has strands.",
        };
        held.attribute("diameter", diameter, &across);
        resistance(&mut held, size, named);
        currents(&mut held, size, named);
        self.hold(held)
    }

    pub(in crate::resolve) fn hold_terminal(&mut self, row: &Row, terminal: &Terminal) -> Option<()> {
        let mut held = Held::new(row);
        let sizes = terminal.wires.iter().flat_map(|measure| match measure {
            Measure::Range { low, high } => vec![*low, *high],
            other => vec![*other.stated()],
        });
        for size in sizes.filter(|size| !is_made(size)) {
            let message = format!("`{}` can't take wire of {size}", row.name.text);
            let why =
                "Wire is made from 40 AWG to 4/0 (ASTM B258), and up to some hundred square millimetres (IEC 60228).";
            held.refuse(held.place("wire", 0), message, "no such wire", why);
        }
        self.hold(held)
    }

    pub(in crate::resolve) fn hold_ratings(&mut self, row: &Row, ratings: &ProtectorRatings) -> Option<()> {
        let mut held = Held::new(row);
        let current = Bounds {
            low: 1e-3,
            below: "less than any fuse",
            high: 1e5,
            above: "more than any fuse",
            why: "Fuses and breakers of vehicles are made from some milliamperes to some thousand amperes.",
        };
        for rating in &ratings.ratings {
            held.within(held.place("rated", 0), "rated current", &rating.to_string(), float(rating), &current);
        }
        self.hold(held)
    }
}

/// The area in square metres that the name of a wire says.
fn named_area((size, is_awg): (Exact, bool)) -> Option<f64> {
    if is_awg {
        let gauge = size.is_integer().then(|| size.to_integer().to_i32()).flatten()?;
        return wire::awg_area_mm2(gauge).map(|area| area / 1e6);
    }
    Some(ratio(size) / 1e6).filter(|area| (1e-9..=1e-2).contains(area))
}

/// Whether there is wire of this size.
fn is_made(size: &Quantity) -> bool {
    match size.unit.kind() {
        Kind::WireGauge => named_area((size.value, true)).is_some(),
        _ => (1e-9..=1e-2).contains(&float(size)),
    }
}

/// Resistance times area is the metal's own resistivity, and some more for the lay of strands.
fn resistance(held: &mut Held<'_>, size: &WireSize, named: f64) {
    let Some(ohm_per_metre) = size.ohm_per_metre.map(ratio) else { return };
    // Aluminium: 2.83e-8 (IEC 60889, from memory). Of no metal it is less than of silver, 1.59e-8.
    let (metal, most) = match size.metal.as_str() {
        "copper" => (wire::COPPER_RESISTIVITY, 1.4),
        "aluminium" => (2.8264e-8, 1.4),
        _ => (1.59e-8, f64::INFINITY),
    };
    let bounds = Bounds {
        low: metal / named * 0.9,
        below: "less than the metal itself has",
        high: metal / named * most,
        above: "far more than the metal has",
        why: "Resistance is resistivity over area (copper 1.7241e-8 Ohm m, IEC 60028; IEC 60228 allows some 13 % more).",
    };
    let shown = format!("{:.3} Ohm per 1000 m", ohm_per_metre * 1000.0);
    held.within(held.place("resistance", 0), "resistance", &shown, ohm_per_metre, &bounds);
}

/// Currents above zero that rise with what the insulation bears.
fn currents(held: &mut Held<'_>, size: &WireSize, named: f64) {
    let current = Bounds {
        low: named * 1e5,
        below: "less than a tenth of an ampere for each square millimetre",
        high: named * 1e8,
        above: "more than a hundred amperes for each square millimetre",
        why: "Tables give 3 to 25 A for each square millimetre (33 CFR 183.425).",
    };
    let insulation = Bounds {
        low: 273.15 + 30.0,
        below: "colder than the air that the currents are for",
        high: 273.15 + 600.0,
        above: "hotter than any insulation bears",
        why: "The current is that at which the insulation gets as hot as it bears, in air of 30 degC.",
    };
    for (nth, (temperature, amperes)) in size.ampacity.iter().enumerate() {
        let at = held.place("ampacity", nth);
        held.within(at, "current", &amperes.to_string(), float(amperes), &current);
        held.within(at, "insulation temperature", &temperature.to_string(), float(temperature), &insulation);
    }
    held.rising(
        "ampacity",
        &size.ampacity,
        "Columns go from the insulation that bears least to the one that bears most.",
    );
    for (nth, pair) in size.ampacity.windows(2).enumerate() {
        let [(_, cooler), (_, hotter)] = pair else { continue };
        if float(hotter) < float(cooler) {
            let message = format!("`{}` carries less with insulation that bears more", held.row.name.text);
            let why = "The hotter a wire may get, the more it carries.";
            held.refuse(held.place("ampacity", nth + 1), message, format!("{hotter} after {cooler}"), why);
        }
    }
}
