//! One wire size in a circuit: how hot it gets, what it resists, what it carries and loses. Numbers only.

use crate::model::{Circuit, Return, WireSize};
use crate::quantity::Kind;
use crate::trade::{base, celsius, wire};

/// The temperature taken where the writer does not say what the insulation bears: the lowest column of the table.
pub(super) const LOWEST_INSULATION_C: f64 = 75.0;

/// The temperature at which wire is sold by its resistance.
const COLD_C: f64 = 20.0;

/// What the writer states, in the units of the formulas.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Given {
    /// Source.
    pub volts: Option<f64>,
    /// Continuous load.
    pub load_a: Option<f64>,
    /// Wire through which the current flows: there and back, or there only.
    pub length_m: Option<f64>,
    /// What the insulation bears; [`LOWEST_INSULATION_C`] where nothing is stated.
    pub insulation_c: f64,
    /// The warmest place; that of the table where nothing is stated.
    pub ambient_c: f64,
    /// Wires in the bundle; 2, which the table's value allows for, where nothing is stated.
    pub bundle: u32,
    /// Resistance of the chassis, where the current flows back through it and the writer states it.
    pub chassis_ohm: Option<f64>,
    /// Whether nobody knows how warm the wire gets: then what it carries is not judged, and it is taken cold, so that the drop
    /// is the least that it can be.
    pub warmth_is_unknown: bool,
    /// Whether the load flows for seconds only.
    pub cranks: bool,
}

impl Given {
    pub fn of(circuit: &Circuit) -> Given {
        let run_m = circuit.run.as_ref().and_then(|run| base(run, Kind::Length));
        let (ways, chassis) = match &circuit.returns {
            Return::Wire => (2.0, None),
            Return::Chassis(stated) => (1.0, stated.as_ref()),
        };
        Given {
            volts: circuit.source.as_ref().and_then(|source| base(source, Kind::Voltage)).filter(|volts| *volts > 0.0),
            load_a: circuit.load.as_ref().and_then(|load| base(load, Kind::Current)).filter(|load| *load > 0.0),
            length_m: run_m.map(|run| ways * run),
            insulation_c: circuit.insulation.as_ref().and_then(celsius).unwrap_or(LOWEST_INSULATION_C),
            ambient_c: circuit.ambient.as_ref().and_then(celsius).unwrap_or(wire::TABLE_AMBIENT_C),
            bundle: circuit.bundle.unwrap_or(2),
            chassis_ohm: chassis.and_then(|stated| base(stated, Kind::Resistance)),
            warmth_is_unknown: circuit.is_warmth_unknown(),
            cranks: circuit.starter_cable,
        }
    }
}

/// A wire size in a circuit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Conductor {
    /// Nominal area in square millimetres.
    pub area_mm2: Option<f64>,
    /// Least area that vehicle wire of this size may have.
    pub least_area_mm2: Option<f64>,
    /// Ohms of one metre at 20 degC.
    pub cold_ohm_per_m: f64,
    /// Whether a publication gives that resistance; else it follows from the area.
    pub resistance_is_published: bool,
    /// Column of the current table.
    pub column: Option<wire::TableCurrent>,
    /// By how much warm air lowers it.
    pub air_factor: Option<f64>,
    /// By how much the bundle lowers it.
    pub bundle_factor: f64,
    /// What the wire carries here for good.
    pub ampacity_a: Option<f64>,
    /// Temperature of the conductor under load; where it can't be worked out, what the insulation bears.
    pub conductor_c: f64,
    /// Whether the temperature was worked out.
    pub temperature_is_computed: bool,
    /// Ohms of one metre at that temperature.
    pub hot_ohm_per_m: f64,
    /// Volts lost in the wire.
    pub wire_drop_v: Option<f64>,
    /// Volts lost in the chassis.
    pub chassis_drop_v: f64,
    /// By how much more a wire of the least area resists: 1 where it may not be thinner.
    pub thinner: f64,
}

impl Conductor {
    /// `None` where nothing is known of the wire's resistance, or the metal is none that the formulas are for.
    pub fn of(given: &Given, size: &WireSize) -> Option<Conductor> {
        if size.metal != "copper" {
            return None;
        }
        let area = |area: &crate::quantity::Quantity| base(area, Kind::Area).map(|square| square * 1e6);
        let area_mm2 = size.area.as_ref().and_then(area);
        let least_area_mm2 = size.least_area.as_ref().and_then(area);
        let cold_ohm_per_m = wire::resistance_per_m(size.ohm_per_metre, size.area.as_ref())?;
        let column = wire::column(&wire::table_currents(&size.ampacity), given.insulation_c);
        let air_factor = column.and_then(|column| wire::ambient_factor(column.insulation_c, given.ambient_c));
        let bundle_factor = wire::bundle_factor(given.bundle);
        let known = column.filter(|_| !given.warmth_is_unknown);
        let ampacity_a = known.zip(air_factor).map(|(column, air)| column.amperes * air * bundle_factor);
        let computed = temperature(given, column, ampacity_a);
        let conductor_c = computed.unwrap_or(column.map_or(given.insulation_c, |column| column.insulation_c));
        let hot_ohm_per_m = wire::copper_at_temperature(cold_ohm_per_m, conductor_c)?;
        let wire_drop_v =
            given.load_a.zip(given.length_m).and_then(|(load, length)| wire::drop_along(load, hot_ohm_per_m, length));
        let chassis_drop_v = given.load_a.zip(given.chassis_ohm).map_or(0.0, |(load, ohm)| load * ohm);
        let thinner = area_mm2.zip(least_area_mm2).map_or(1.0, |(area, least)| (area / least).max(1.0));
        Some(Conductor {
            area_mm2,
            least_area_mm2,
            cold_ohm_per_m,
            resistance_is_published: size.ohm_per_metre.is_some(),
            column,
            air_factor,
            bundle_factor,
            ampacity_a,
            conductor_c,
            temperature_is_computed: computed.is_some(),
            hot_ohm_per_m,
            wire_drop_v,
            chassis_drop_v,
            thinner,
        })
    }

    /// Volts lost from the source to the load and back, with wire of the nominal area.
    pub fn drop_v(&self) -> Option<f64> {
        Some(self.wire_drop_v? + self.chassis_drop_v)
    }

    /// The same with wire of the least area.
    pub fn least_drop_v(&self) -> Option<f64> {
        Some(self.wire_drop_v? * self.thinner + self.chassis_drop_v)
    }
}

/// How hot the conductor gets. A starter cable has no time to warm up.
fn temperature(given: &Given, column: Option<wire::TableCurrent>, ampacity_a: Option<f64>) -> Option<f64> {
    if given.warmth_is_unknown {
        return Some(COLD_C);
    }
    if given.cranks {
        return Some(given.ambient_c);
    }
    wire::conductor_temperature_c(column?.insulation_c, given.ambient_c, given.load_a?, ampacity_a?)
}
