//! Wire: size, resistance, voltage drop, and the current that it carries.
//!
//! Sources stand beside each formula. The current table itself is in the standard library (`std/wiring`); it is
//! United States law for boats, and whoever prints a value from it must say so.

use super::{base, celsius, float, positive};
use crate::quantity::{Exact, Kind, Quantity};

/// Resistance of one metre of copper wire in ohms at 20 degC: the published value where the wire's row has one, else
/// computed from its area.
pub fn resistance_per_m(published: Option<Exact>, area: Option<&Quantity>) -> Option<f64> {
    match published {
        Some(ohm_per_metre) => positive(float(ohm_per_metre)),
        None => copper_resistance_per_m(base(area?, Kind::Area)? * 1e6),
    }
}

/// Voltage lost along a conductor of a length in metres, there only or there and back, in volts: `I R l` (Ohm's law).
/// `load_a` in amperes, `resistance_per_m` in ohms. `None` where one of them is not above zero.
pub fn drop_along(load_a: f64, resistance_per_m: f64, length_m: f64) -> Option<f64> {
    positive(positive(load_a)? * positive(resistance_per_m)? * positive(length_m)?)
}

/// The columns of a wire's row, for [`ampacity`]: pairs of what the insulation bears and the current. Pairs
/// that are no temperature and no current are left out.
pub fn table_currents(row: &[(Quantity, Quantity)]) -> Vec<TableCurrent> {
    row.iter()
        .filter_map(|(insulation, current)| {
            Some(TableCurrent { insulation_c: celsius(insulation)?, amperes: base(current, Kind::Current)? })
        })
        .collect()
}

/// Resistivity of annealed copper at 20 degC in ohm metres: 100 % of the International Annealed Copper Standard.
pub const COPPER_RESISTIVITY: f64 = 1.7241e-8;

/// Most that a fuse or breaker may be rated at, as a share of what the wire carries, below 50 V (33 CFR 183.455(c)).
pub const MOST_PROTECTION_SHARE: f64 = 1.5;

/// From this voltage on the rating may not exceed the wire's current, but for the next standard size (33 CFR
/// 183.455(c)).
pub const HIGHER_VOLTAGE: f64 = 50.0;

/// Least rating of a fuse or breaker, as a share of a load that flows for three hours or more: 125 %. Common practice.
pub const LEAST_RATING_SHARE: f64 = 1.25;

/// Farthest that a breaker or fuse may be from the source along a wire without sheath, in millimetres: 7 in (33 CFR
/// 183.455(b)), to the next whole millimetre, as these distances are printed and measured.
pub const FARTHEST_BARE_MM: f64 = 178.0;

/// Farthest along a wire in a sheath or enclosure: 40 in (33 CFR 183.455(b)).
pub const FARTHEST_SHEATHED_MM: f64 = 1016.0;

/// Farthest along a sheathed wire that starts at the battery's own post: 72 in (ABYC E-11, as quoted).
pub const FARTHEST_FROM_BATTERY_MM: f64 = 1829.0;

/// Drop that practice allows feeders, electronics and navigation lights (ABYC E-11, as quoted).
pub const USUAL_DROP_SHARE: f64 = 0.03;

/// The most that the same standard allows anything: 10 % (ABYC E-11, as quoted).
pub const LARGEST_DROP_SHARE: f64 = 0.10;

/// Rise of copper's resistance per kelvin, related to 20 degC (the same standard).
pub const COPPER_RISE_PER_KELVIN: f64 = 0.003_93;

/// The temperature of air for which the current table holds, in degrees Celsius (33 CFR 183.425, Table 5).
pub const TABLE_AMBIENT_C: f64 = 30.0;

/// Thinnest and thickest gauge of [`awg_diameter_mm`]: 40 AWG and 4/0.
pub const AWG_RANGE: std::ops::RangeInclusive<i32> = -3..=40;

/// Diameter of a solid conductor of American wire gauge, in millimetres.
///
/// `0.005 in * 92^((36 - n)/39)`, ASTM B258. The aught sizes are 0 (1/0), -1 (2/0), -2 (3/0), -3 (4/0). `None`
/// outside [`AWG_RANGE`].
pub fn awg_diameter_mm(gauge: i32) -> Option<f64> {
    if !AWG_RANGE.contains(&gauge) {
        return None;
    }
    Some(0.005 * 25.4 * 92f64.powf(f64::from(36 - gauge) / 39.0))
}

/// Area of a solid conductor of American wire gauge, in square millimetres. Vehicle wire of the same gauge may be 5
/// to 11 % thinner (`least-area` in `std/wiring`).
pub fn awg_area_mm2(gauge: i32) -> Option<f64> {
    let diameter = awg_diameter_mm(gauge)?;
    Some(std::f64::consts::FRAC_PI_4 * diameter * diameter)
}

/// Resistance of copper wire in ohms per metre of conductor at 20 degC, from its area. Strands lie askew and add some
/// 2 % that this leaves out; a published resistance, where there is one, is better.
pub fn copper_resistance_per_m(area_mm2: f64) -> Option<f64> {
    positive(COPPER_RESISTIVITY / (positive(area_mm2)? * 1e-6))
}

/// Resistance of copper at a temperature, from that at 20 degC: `R (1 + 0.00393 (t - 20))`. Good from -50 to 200
/// degC; `None` outside.
pub fn copper_at_temperature(at_20_c: f64, temperature_c: f64) -> Option<f64> {
    if !(-50.0..=200.0).contains(&temperature_c) {
        return None;
    }
    positive(positive(at_20_c)? * (1.0 + COPPER_RISE_PER_KELVIN * (temperature_c - 20.0)))
}

/// Voltage lost in a run and its return, in volts: `2 I R l`, with the length of one way in metres.
pub fn voltage_drop(load_a: f64, resistance_per_m: f64, one_way_m: f64) -> Option<f64> {
    positive(2.0 * positive(load_a)? * positive(resistance_per_m)? * positive(one_way_m)?)
}

/// Factors for engine spaces, 50 degC, by what the insulation bears in degrees Celsius (33 CFR 183.425, Table 5, note 1).
/// That of 105 degC by public pages, the others from memory.
const ENGINE_SPACE: [(f64, f64); 6] =
    [(60.0, 0.58), (75.0, 0.75), (80.0, 0.78), (90.0, 0.82), (105.0, 0.85), (125.0, 0.89)];

/// The factor that the table itself gives, for engine spaces; `None` for any other air or insulation.
pub fn engine_space_factor(insulation_c: f64, ambient_c: f64) -> Option<f64> {
    let same = |left: f64, right: f64| (left - right).abs() < 1e-6;
    let row = ENGINE_SPACE.iter().find(|(bears, _)| same(*bears, insulation_c) && same(ambient_c, 50.0));
    row.map(|(_, factor)| *factor)
}

/// By how much a wire's current falls when the air is warmer than 30 degC, as a share of 1.
///
/// Heat given off grows with the temperature between conductor and air, heat made with the square of the current:
/// `sqrt((insulation - ambient) / (insulation - 30))`. At 50 degC this is within 0.01 of the six factors for engine
/// spaces of 33 CFR 183.425, Table 5, note 1, and those stand there ([`engine_space_factor`]). Elsewhere it is rounded
/// down to hundredths. Colder air earns nothing: 1. `None` where the insulation bears no more than the air or than 30 degC.
pub fn ambient_factor(insulation_c: f64, ambient_c: f64) -> Option<f64> {
    positive(insulation_c - TABLE_AMBIENT_C)?;
    let room = positive(insulation_c - ambient_c)?;
    if ambient_c <= TABLE_AMBIENT_C {
        return Some(1.0);
    }
    if let Some(published) = engine_space_factor(insulation_c, ambient_c) {
        return Some(published);
    }
    positive((100.0 * (room / (insulation_c - TABLE_AMBIENT_C)).sqrt()).floor() / 100.0)
}

/// By how much a wire's current falls in a bundle, as a share of 1, by the number of wires that carry current at
/// once.
///
/// 33 CFR 183.425, Table 5, note 2, by a public copy. The law asks for it at 50 V and over; a boat standard as quoted
/// now asks for it below too, and a bundle in a vehicle heats the same.
pub fn bundle_factor(current_carrying: u32) -> f64 {
    match current_carrying {
        0..=2 => 1.0,
        3 => 0.70,
        4..=6 => 0.60,
        7..=24 => 0.50,
        _ => 0.40,
    }
}

/// A column of the current table: what the insulation bears in degrees Celsius, and the amperes at 30 degC.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TableCurrent {
    /// Temperature of the insulation.
    pub insulation_c: f64,
    /// Amperes of one wire alone in air of 30 degC.
    pub amperes: f64,
}

/// The column of a row that holds for an insulation: the highest that it bears.
pub fn column(row: &[TableCurrent], insulation_c: f64) -> Option<TableCurrent> {
    row.iter()
        .filter(|column| column.insulation_c <= insulation_c)
        .max_by(|left, right| left.insulation_c.total_cmp(&right.insulation_c))
        .copied()
}

/// The current in amperes that a wire carries, from its row of the table, derated for warm air and bundles.
///
/// Between two columns the lower counts, for the current and for its derating. `None` where the insulation bears less
/// than the first column, or no more than the air.
pub fn ampacity(row: &[TableCurrent], insulation_c: f64, ambient_c: f64, current_carrying: u32) -> Option<f64> {
    let column = column(row, insulation_c)?;
    let factor = ambient_factor(column.insulation_c, ambient_c)?;
    positive(column.amperes * factor * bundle_factor(current_carrying))
}

/// Temperature of the conductor under a steady load, in degrees Celsius: `ambient + (insulation - ambient) (I /
/// Iz)^2`, where `Iz` is its ampacity in that air ([`ampacity`]). The same law of heat as [`ambient_factor`]; it is
/// meant for loads up to `Iz`, and `None` above.
pub fn conductor_temperature_c(insulation_c: f64, ambient_c: f64, load_a: f64, ampacity_a: f64) -> Option<f64> {
    let share = positive(load_a)? / positive(ampacity_a)?;
    if share > 1.0 {
        return None;
    }
    Some(ambient_c + positive(insulation_c - ambient_c)? * share * share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Unit, Written};

    fn quantity(numer: i128, denom: i128, unit: &str) -> Quantity {
        Quantity::new(Exact::new(numer, denom), Unit::lookup(unit).unwrap(), Written::Decimals(0))
    }

    #[test]
    fn the_sample_circuit_stays_within_its_drop() {
        // 12 V, 18 A, 6.5 m one way, 8 AWG: 0.6282 ohm per 1000 ft (handbook table) gives 0.482 V or 4.02 % at 20 degC.
        let per_m = resistance_per_m(Some(Exact::new(6_282, 3_048_000)), None).unwrap();
        let share = |per_m| voltage_drop(18.0, per_m, 6.5).unwrap() / 12.0;
        let cold = share(per_m);
        assert!((cold - 0.040_19).abs() < 0.000_02, "{cold}");
        let warm = share(copper_at_temperature(per_m, 75.0).unwrap());
        assert!((warm / cold - 1.216_15).abs() < 1e-9, "{warm}");
    }

    #[test]
    fn area_stands_in_where_no_resistance_is_published() {
        let by_area = resistance_per_m(None, Some(&quantity(6, 1, "mm2"))).unwrap();
        assert!((by_area - 1.7241e-8 / 6e-6).abs() < 1e-12);
        assert_eq!(resistance_per_m(None, None), None);
    }

    #[test]
    fn temperatures_may_be_in_either_scale() {
        let row = [(quantity(105, 1, "degC"), quantity(80, 1, "A"))];
        let carried = |insulation: Quantity, ambient: Quantity| {
            ampacity(&table_currents(&row), celsius(&insulation).unwrap(), celsius(&ambient).unwrap(), 1).unwrap()
        };
        let metric = carried(quantity(105, 1, "degC"), quantity(50, 1, "degC"));
        let inch = carried(quantity(221, 1, "degF"), quantity(122, 1, "degF"));
        assert!((metric - 68.0).abs() < 1e-9 && (inch - 68.0).abs() < 1e-9, "{metric} {inch}");
    }

    const EIGHT_AWG: [TableCurrent; 3] = [
        TableCurrent { insulation_c: 75.0, amperes: 65.0 },
        TableCurrent { insulation_c: 90.0, amperes: 70.0 },
        TableCurrent { insulation_c: 105.0, amperes: 80.0 },
    ];

    #[test]
    fn nonsense_gives_nothing() {
        assert_eq!(awg_diameter_mm(-4), None);
        assert_eq!(awg_diameter_mm(41), None);
        assert_eq!(copper_resistance_per_m(0.0), None);
        assert_eq!(copper_at_temperature(0.002, 500.0), None);
        assert_eq!(voltage_drop(18.0, 0.002, f64::INFINITY), None);
        assert_eq!(ambient_factor(60.0, 60.0), None);
        assert_eq!(ambient_factor(30.0, 20.0), None);
        assert_eq!(ampacity(&EIGHT_AWG, 60.0, 30.0, 1), None, "below the first column nothing is known");
        assert_eq!(ampacity(&[], 105.0, 30.0, 1), None);
        assert_eq!(conductor_temperature_c(105.0, 30.0, 90.0, 80.0), None);
    }

    #[test]
    fn engine_space_factors_of_the_law_are_met_and_not_exceeded() {
        // 33 CFR 183.425, Table 5, note 1, for 50 degC; 105 degC by public pages, the other five from memory.
        for (insulation, law) in [(60.0, 0.58), (75.0, 0.75), (80.0, 0.78), (90.0, 0.82), (105.0, 0.85), (125.0, 0.89)]
        {
            assert_eq!(ambient_factor(insulation, 50.0), Some(law), "{insulation} degC");
            // A little warmer and the formula stands in: it comes within a hundredth, and never above.
            let ours = ambient_factor(insulation, 50.001).unwrap();
            assert!(ours <= law && law - ours < 0.0101, "{insulation} degC: {ours} against {law}");
        }
        assert_eq!(ambient_factor(105.0, 0.0), Some(1.0));
    }

    #[test]
    fn the_lower_column_counts() {
        assert_eq!(ampacity(&EIGHT_AWG, 104.0, 30.0, 1), Some(70.0));
        assert_eq!(ampacity(&EIGHT_AWG, 125.0, 30.0, 2), Some(80.0));
        let bundled = ampacity(&EIGHT_AWG, 105.0, 50.0, 3).unwrap();
        assert!((bundled - 80.0 * 0.85 * 0.70).abs() < 1e-9);
    }

    #[test]
    fn a_wire_at_its_ampacity_is_as_hot_as_its_insulation_bears() {
        let at_limit = conductor_temperature_c(105.0, 50.0, 68.0, 68.0).unwrap();
        assert!((at_limit - 105.0).abs() < 1e-9);
        let at_half = conductor_temperature_c(105.0, 50.0, 34.0, 68.0).unwrap();
        assert!((at_half - 63.75).abs() < 1e-9);
    }
}
