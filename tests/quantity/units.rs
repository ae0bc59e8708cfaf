//! The table of units against published values.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use fitwright::quantity::{Dimension, Exact, Kind, Quantity, System, Unit, Written};
use num_traits::Signed;
use proptest::prelude::*;

use super::{q, value_of};

fn unit(spelling: &str) -> Unit {
    Unit::lookup(spelling).unwrap_or_else(|| panic!("not in the table: {spelling}"))
}

/// Exact factors. Source: NIST SP 811, appendix B.8 and B.9, with the definitions that stand behind it (inch 25.4 mm,
/// pound 0.45359237 kg, standard gravity 9.80665 m/s², US gallon 231 in³), worked out as fractions outside this
/// project; `tests/oracles/quantity_pint.py` holds them against a second source.
const EXACT_FACTORS: &[(&str, &str)] = &[
    ("N", "1"),
    ("lbf", "8896443230521/2000000000000"),
    ("kgf", "196133/20000"),
    ("m", "1"),
    ("mm", "1/1000"),
    ("in", "127/5000"),
    ("ft", "381/1250"),
    ("mil", "127/5000000"),
    ("kg", "1"),
    ("lb", "45359237/100000000"),
    ("N.m", "1"),
    ("lbf.ft", "3389544870828501/2500000000000000"),
    ("lbf.in", "1129848290276167/10000000000000000"),
    ("ozf.in", "1129848290276167/160000000000000000"),
    ("kgf.m", "196133/20000"),
    ("kgf.cm", "196133/2000000"),
    ("Pa", "1"),
    ("kPa", "1000"),
    ("MPa", "1000000"),
    ("bar", "100000"),
    ("psi", "8896443230521/1290320000"),
    ("mm2", "1/1000000"),
    ("V", "1"),
    ("A", "1"),
    ("Ohm", "1"),
    ("W", "1"),
    ("A.h", "3600"),
    ("s", "1"),
    ("min", "60"),
    ("h", "3600"),
    ("L", "1/1000"),
    ("gal", "473176473/125000000000"),
    ("degC", "1"),
    ("degF", "5/9"),
    ("K", "1"),
    ("degF-rise", "5/9"),
];

/// Factors as NIST SP 811, appendix B.8 prints them, with its seven figures (from memory, each confirmed by the pint
/// comparison): value, and a unit of its last figure.
const SEVEN_FIGURES: &[(&str, &str, &str)] = &[
    ("yd", "0.9144", "0"),
    ("mi", "1609.344", "0"),
    ("in2", "0.00064516", "0"),
    ("ft2", "0.09290304", "0"),
    ("in3", "0.00001638706", "0.00000000001"),
    ("qt", "0.0009463529", "0.0000000001"),
    ("fl-oz", "0.00002957353", "0.00000000001"),
    ("oz", "0.02834952", "0.00000001"),
    ("ozf", "0.2780139", "0.0000001"),
    ("lbf", "4.448222", "0.000001"),
    ("lbf.ft", "1.355818", "0.000001"),
    ("lbf.in", "0.1129848", "0.0000001"),
    ("psi", "6894.757", "0.001"),
    ("ksi", "6894757", "1"),
    ("hp", "745.6999", "0.0001"),
    ("mph", "0.44704", "0"),
    ("ft/s", "0.3048", "0"),
    ("km/h", "0.2777778", "0.0000001"),
    ("W.h", "3600", "0"),
    ("kW.h", "3600000", "0"),
    ("d", "86400", "0"),
    ("t", "1000", "0"),
    ("mbar", "100", "0"),
];

#[test]
fn factors_equal_nist_sp_811() {
    for (spelling, factor) in EXACT_FACTORS {
        assert_eq!(unit(spelling).factor(), value_of(factor), "{spelling}");
    }
    for (spelling, factor, last) in SEVEN_FIGURES {
        let off = (unit(spelling).factor() - value_of(factor)).abs();
        assert!(off * 2 <= value_of(last), "{spelling}: off by {off}");
    }
}

/// A hexagon has six sides, which meet under equal angles (Euclid, IV.15): from one flat to the next it is a sixth of a turn.
#[test]
fn six_flats_are_one_turn() {
    assert_eq!(q("6 flats").compare(&q("1 turn")), Some(Ordering::Equal));
    assert_eq!(q("1 1/2 flats").in_unit(unit("deg")), Some(value_of("90")));
    assert_eq!(q("3/4 turn").in_unit(unit("flat")), Some(value_of("4.5")));
}

/// Fixed points: NIST SP 811, B.8 (temperature) and the definitions of the scales.
#[test]
fn temperatures_are_points_and_rises_are_not() {
    assert_eq!(q("32 degF").in_unit(unit("degC")), Some(value_of("0")));
    assert_eq!(q("212 degF").in_unit(unit("degC")), Some(value_of("100")));
    assert_eq!(q("0 degC").base(), Some(value_of("273.15")));
    assert_eq!(q("0 degF").base(), Some(value_of("45967/180")));
    assert_eq!(q("180 degF-rise").in_unit(unit("K")), Some(value_of("100")));
    assert_eq!(q("32 degF").compare(&q("0 degC")), Some(Ordering::Equal));
    assert_eq!(q("32 degF").in_unit(unit("K")), None);
}

#[test]
fn trade_spellings_are_read() {
    let cases: &[(&str, &[&str])] = &[
        ("N.m", &["N.m", "Nm", "N·m", "N*m", "N-m", "N m", "N⋅m"]),
        ("lbf.ft", &["ft-lb", "ft.lb", "lbf.ft", "lb-ft", "ft-lbs", "ft lb", "ftlb", "ft·lbf", "lb.ft", "ft.-lb."]),
        ("lbf.in", &["in-lb", "lbf.in", "in-lbs", "lb-in", "in.lbf", "lb in"]),
        ("in", &["in", "inch", "inches", "\"", "″", "in."]),
        ("ft", &["ft", "'", "foot", "feet", "′"]),
        ("mm2", &["mm2", "mm²", "sq mm", "mm^2"]),
        ("in2", &["in2", "in²", "sq in"]),
        ("Ohm", &["Ohm", "ohm", "Ω", "\u{2126}"]),
        ("mOhm", &["mOhm", "mΩ"]),
        ("MOhm", &["MOhm", "MΩ"]),
        ("degC", &["degC", "°C", "ºC", "℃"]),
        ("degF", &["degF", "°F"]),
        ("deg", &["deg", "°", "degrees"]),
        ("flat", &["flat", "flats"]),
        ("A.h", &["A.h", "Ah", "A·h"]),
        ("W.h", &["W.h", "Wh"]),
        ("fl-oz", &["fl-oz", "fl oz", "fl.oz", "floz"]),
        ("um", &["um", "µm", "μm"]),
        ("MPa", &["MPa", "N/mm2", "N/mm²"]),
        ("per in", &["per in", "per-in", "per inch", "tpi", "1/in", "per  in"]),
        ("km/h", &["km/h", "kmh", "kph"]),
        ("lb", &["lb", "lbs"]),
        ("%", &["%", "percent"]),
    ];
    for (spelling, ways) in cases {
        for way in *ways {
            assert_eq!(Unit::lookup(way).map(Unit::spelling), Some(*spelling), "{way}");
        }
    }
    for unknown in ["", ".", "C", "F", "ton", "nm", "NM", "mpa", "Bar", "cmil", "stone", "lookup"] {
        assert_eq!(Unit::lookup(unknown), None, "{unknown}");
    }
}

/// Nothing that a workshop confuses is one kind.
#[test]
fn kinds_keep_apart_what_shares_a_name_or_a_dimension() {
    assert_eq!((unit("lb").kind(), unit("lbf").kind()), (Kind::Mass, Kind::Force));
    assert_eq!((unit("N.m").kind(), unit("J").kind()), (Kind::Torque, Kind::Energy));
    assert_eq!(Kind::Torque.dimension(), Kind::Energy.dimension());
    assert_eq!(q("1 N.m").compare(&q("1 J")), None);
    assert_eq!(q("1 lb").in_unit(unit("lbf")), None);
    assert_eq!((unit("oz").kind(), unit("fl-oz").kind()), (Kind::Mass, Kind::Volume));
}

#[test]
fn the_table_is_sound() {
    let mut spelled = BTreeSet::new();
    for one in Unit::all() {
        let name = one.spelling();
        let ways = one.aliases().iter().copied().chain([name, one.symbol()]);
        for way in ways.filter(|way| !["°C rise", "°F rise"].contains(way)) {
            assert_eq!(Unit::lookup(way), Some(one), "{way} is read as another unit than {name}");
        }
        assert!(spelled.insert(name), "{name} twice");
        assert!(one.factor().is_positive() && !one.ucum().is_empty(), "{name}");
        assert_eq!(Exact::new(*one.factor().numer(), *one.factor().denom()).numer(), one.factor().numer(), "{name}");
        assert!(name.is_ascii() && one.ucum().is_ascii(), "{name} can't be typed everywhere");
    }
    assert_eq!(Unit::known().count(), Unit::all().count());
    for kind in Kind::ALL {
        assert_eq!(kind.example_unit().kind(), kind);
        assert!(kind.name().starts_with("a ") || kind.name().starts_with("an "));
        assert!(Unit::all().any(|one| one.kind() == kind));
    }
    for both in ["V", "A", "min", "%", "AWG", "Ohm", "W"] {
        assert_eq!(unit(both).system(), None, "{both}");
    }
    assert_eq!((unit("bar").system(), unit("psi").system()), (Some(System::Metric), Some(System::Inch)));
}

#[test]
fn dimensions_multiply_and_divide() {
    let of = Kind::dimension;
    assert_eq!(of(Kind::Force).times(of(Kind::Length)), Some(of(Kind::Torque)));
    assert_eq!(of(Kind::Voltage).over(of(Kind::Current)).and_then(Dimension::kind), Some(Kind::Resistance));
    assert_eq!(of(Kind::Voltage).times(of(Kind::Current)).and_then(Dimension::kind), Some(Kind::Power));
    assert_eq!(of(Kind::Force).over(of(Kind::Area)).and_then(Dimension::kind), Some(Kind::Pressure));
    assert_eq!(of(Kind::Current).times(of(Kind::Time)).and_then(Dimension::kind), Some(Kind::Charge));
    assert_eq!(of(Kind::Torque).kind(), None);
    assert_eq!(of(Kind::Torque).words(), "a torque or an energy");
    assert!(of(Kind::Mass).over(of(Kind::Mass)).is_some_and(Dimension::is_number));
    assert_eq!(Dimension::NUMBER.words(), "a bare number");
    assert_eq!(Dimension::NUMBER.kind(), None);
    assert_eq!(of(Kind::Mass).times(of(Kind::Speed)).map(Dimension::words).as_deref(), Some("kg·m/s"));
    assert_eq!(of(Kind::Area).times(of(Kind::Area)).map(Dimension::words).as_deref(), Some("m^4"));
    assert_eq!(Dimension([100, 0, 0, 0, 0]).times(Dimension([100, 0, 0, 0, 0])), None);
}

fn any_unit() -> impl Strategy<Value = Unit> {
    proptest::sample::select(Unit::all().collect::<Vec<_>>())
}

/// A reading of -20 degC is twenty steps below the scale's zero; in kelvin, 253.15 K, it would be no whole number of steps.
#[test]
fn steps_of_a_scale_begin_at_its_zero() {
    let celsius = |value: i128, tenths: i128| {
        Quantity::new(Exact::new(value * 10 + tenths, 10), unit("degC"), Written::Decimals(1))
    };
    assert_eq!(celsius(-20, 0).is_on_steps(&celsius(1, 0)), Some(true));
    assert_eq!(celsius(20, 5).is_on_steps(&celsius(1, 0)), Some(false));
    assert_eq!(celsius(20, 5).is_on_steps(&celsius(0, 5)), Some(true));
    assert_eq!(celsius(20, 0).is_on_steps(&celsius(0, 0)), None);
    let fahrenheit = Quantity::new(Exact::from_integer(50), unit("degF"), Written::Decimals(0));
    assert_eq!(fahrenheit.is_on_steps(&celsius(5, 0)), Some(true), "50 degF is 10 degC");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn conversion_there_and_back_is_exact(
        from in any_unit(), to in any_unit(), numer in -999_999_999_999_i128..=999_999_999_999, places in 0_u8..=6,
    ) {
        let value = Exact::new(numer, 10_i128.pow(u32::from(places)));
        let stated = Quantity::new(value, from, Written::Decimals(places));
        match stated.in_unit(to) {
            None => prop_assert_ne!(from.kind(), to.kind()),
            Some(converted) => {
                let there = Quantity::new(converted, to, Written::Decimals(0));
                prop_assert_eq!(there.in_unit(from), Some(value));
                prop_assert_eq!(stated.compare(&there), Some(Ordering::Equal));
            }
        }
        let base = stated.base().expect("twelve digits fit");
        prop_assert_eq!(Quantity::from_base(base, from, stated.written), Some(stated));
    }

    /// Values that no source can hold are refused, not miscounted, and nothing panics.
    #[test]
    fn huge_values_do_not_panic(
        from in any_unit(), to in any_unit(), numer in -i128::MAX..=i128::MAX, denom in 1_i128..=i128::MAX,
    ) {
        let stated = Quantity::new(Exact::new(numer, denom), from, Written::Decimals(3));
        let _ = (stated.in_unit(to), stated.base(), stated.compare(&stated), stated.to_string(), stated.decimal());
        let measure = fitwright::quantity::Measure::Tolerance { value: stated, plus_minus: stated };
        let _ = fitwright::quantity::display::measure(&measure, crate::quantity::metric_then_inch());
        let _ = (measure.low(), measure.high(), measure.contains(Exact::new(numer, denom)));
    }
}

/// The crate `uom` holds factors of seven figures, so it agrees to a millionth and no closer; torque is apart from energy
/// there too.
#[test]
fn conversions_agree_with_the_crate_uom_to_a_millionth() {
    use uom::si::f64::{
        Area, ElectricCurrent, Force, Length, Mass, Power, Pressure, ThermodynamicTemperature, Time, Torque, Volume,
    };
    use uom::si::{
        area, electric_current, force, length, mass, power, pressure, thermodynamic_temperature, time, torque, volume,
    };
    let theirs = [
        ("mm", Length::new::<length::millimeter>(1.0).value),
        ("cm", Length::new::<length::centimeter>(1.0).value),
        ("km", Length::new::<length::kilometer>(1.0).value),
        ("mil", Length::new::<length::mil>(1.0).value),
        ("in", Length::new::<length::inch>(1.0).value),
        ("ft", Length::new::<length::foot>(1.0).value),
        ("yd", Length::new::<length::yard>(1.0).value),
        ("mi", Length::new::<length::mile>(1.0).value),
        ("mm2", Area::new::<area::square_millimeter>(1.0).value),
        ("in2", Area::new::<area::square_inch>(1.0).value),
        ("ft2", Area::new::<area::square_foot>(1.0).value),
        ("L", Volume::new::<volume::liter>(1.0).value),
        ("in3", Volume::new::<volume::cubic_inch>(1.0).value),
        ("gal", Volume::new::<volume::gallon>(1.0).value),
        ("g", Mass::new::<mass::gram>(1.0).value),
        ("oz", Mass::new::<mass::ounce>(1.0).value),
        ("lb", Mass::new::<mass::pound>(1.0).value),
        ("kN", Force::new::<force::kilonewton>(1.0).value),
        ("lbf", Force::new::<force::pound_force>(1.0).value),
        ("kgf", Force::new::<force::kilogram_force>(1.0).value),
        ("N.m", Torque::new::<torque::newton_meter>(1.0).value),
        ("lbf.ft", Torque::new::<torque::pound_force_foot>(1.0).value),
        ("lbf.in", Torque::new::<torque::pound_force_inch>(1.0).value),
        ("kPa", Pressure::new::<pressure::kilopascal>(1.0).value),
        ("bar", Pressure::new::<pressure::bar>(1.0).value),
        ("psi", Pressure::new::<pressure::psi>(1.0).value),
        ("mA", ElectricCurrent::new::<electric_current::milliampere>(1.0).value),
        ("kW", Power::new::<power::kilowatt>(1.0).value),
        ("min", Time::new::<time::minute>(1.0).value),
        ("h", Time::new::<time::hour>(1.0).value),
    ];
    for (spelling, factor) in theirs {
        let ours = q(&format!("1 {spelling}")).base().expect("a value");
        let ours = *ours.numer() as f64 / *ours.denom() as f64;
        assert!((ours / factor - 1.0).abs() < 1e-6, "{spelling}: {ours} against {factor}");
    }
    for (text, kelvin) in [
        ("32 degF", ThermodynamicTemperature::new::<thermodynamic_temperature::degree_fahrenheit>(32.0).value),
        ("221 degF", ThermodynamicTemperature::new::<thermodynamic_temperature::degree_fahrenheit>(221.0).value),
        ("105 degC", ThermodynamicTemperature::new::<thermodynamic_temperature::degree_celsius>(105.0).value),
    ] {
        let ours = q(text).base().expect("a value");
        let ours = *ours.numer() as f64 / *ours.denom() as f64;
        assert!((ours / kelvin - 1.0).abs() < 1e-6, "{text}: {ours} K against {kelvin} K");
    }
}
