//! The table of units: one row a unit.
//!
//! Every factor is built from definitions that are exact: the inch (0.0254 m), the pound (0.45359237 kg), standard
//! gravity (9.80665 m/s²), the US gallon (231 in³), the minute, the hour and the day. Source: NIST SP 811, appendix
//! B.8 and B.9. Gallon, quart and fluid ounce are the US ones. The horsepower is 550 ft·lbf/s.
//!
//! Left out on purpose: `ton` (three of them), the circular mil (its factor holds π), `C` and `F` without a degree.

use super::Exact;
use super::kind::{Kind, System};

/// A unit's row.
pub(super) struct Row {
    /// How the formatter writes it.
    pub(super) spelling: &'static str,
    /// How a document prints it.
    pub(super) symbol: &'static str,
    /// Its code in the Unified Code for Units of Measure.
    pub(super) ucum: &'static str,
    pub(super) kind: Kind,
    /// `None` where both systems use it.
    pub(super) system: Option<System>,
    /// Base units in one of this unit.
    pub(super) factor: Exact,
    /// What is added after the factor to reach the base unit; not zero only on temperature scales.
    pub(super) offset: Exact,
    /// Further spellings, each as `Unit::lookup` folds it (a dot between the parts).
    pub(super) aliases: &'static [&'static str],
}

const M: Option<System> = Some(System::Metric);
const I: Option<System> = Some(System::Inch);
const BOTH: Option<System> = None;

const ONE: Exact = exact(1, 1);
const INCH: Exact = exact(254, 10_000);
const FOOT: Exact = times(INCH, exact(12, 1));
const POUND: Exact = exact(45_359_237, 100_000_000);
const GRAVITY: Exact = exact(980_665, 100_000);
const POUND_FORCE: Exact = times(POUND, GRAVITY);
const OUNCE_FORCE: Exact = times(POUND_FORCE, exact(1, 16));
const SQUARE_INCH: Exact = times(INCH, INCH);
const CUBIC_INCH: Exact = times(SQUARE_INCH, INCH);
const GALLON: Exact = times(CUBIC_INCH, exact(231, 1));
const PSI: Exact = times(POUND_FORCE, inverse(SQUARE_INCH));
const MILLI: Exact = exact(1, 1_000);
const KILO: Exact = exact(1_000, 1);
const MEGA: Exact = exact(1_000_000, 1);
const HOUR: Exact = exact(3_600, 1);

/// All units. A kind's units stand together, small before large, metric before inch.
#[rustfmt::skip]
pub(super) static ROWS: &[Row] = &[
    row("um",    "µm",    "um",      Kind::Length, M, exact(1, 1_000_000), &["μm"]),
    row("mm",    "mm",    "mm",      Kind::Length, M, MILLI, &["millimetre", "millimetres", "millimeter", "millimeters"]),
    row("cm",    "cm",    "cm",      Kind::Length, M, exact(1, 100), &["centimetre", "centimetres", "centimeter", "centimeters"]),
    row("m",     "m",     "m",       Kind::Length, M, ONE, &["metre", "metres", "meter", "meters"]),
    row("km",    "km",    "km",      Kind::Length, M, KILO, &["kilometre", "kilometres", "kilometer", "kilometers"]),
    row("mil",   "mil",   "[mil_i]", Kind::Length, I, times(INCH, MILLI), &["mils", "thou"]),
    row("in",    "in",    "[in_i]",  Kind::Length, I, INCH, &["\"", "inch", "inches", "ins"]),
    row("ft",    "ft",    "[ft_i]",  Kind::Length, I, FOOT, &["'", "foot", "feet"]),
    row("yd",    "yd",    "[yd_i]",  Kind::Length, I, times(FOOT, exact(3, 1)), &["yard", "yards"]),
    row("mi",    "mi",    "[mi_i]",  Kind::Length, I, times(FOOT, exact(5_280, 1)), &["mile", "miles"]),

    row("mm2",   "mm²",   "mm2",      Kind::Area, M, exact(1, 1_000_000), &["sq.mm", "mm^2"]),
    row("cm2",   "cm²",   "cm2",      Kind::Area, M, exact(1, 10_000), &["sq.cm", "cm^2"]),
    row("m2",    "m²",    "m2",       Kind::Area, M, ONE, &["sq.m", "m^2"]),
    row("in2",   "in²",   "[in_i]2",  Kind::Area, I, SQUARE_INCH, &["sq.in", "in^2"]),
    row("ft2",   "ft²",   "[ft_i]2",  Kind::Area, I, times(FOOT, FOOT), &["sq.ft", "ft^2"]),

    row("mL",    "mL",    "mL",       Kind::Volume, M, exact(1, 1_000_000), &["ml"]),
    row("cm3",   "cm³",   "cm3",      Kind::Volume, M, exact(1, 1_000_000), &["cc", "cm^3"]),
    row("L",     "L",     "L",        Kind::Volume, M, MILLI, &["l", "litre", "litres", "liter", "liters"]),
    row("m3",    "m³",    "m3",       Kind::Volume, M, ONE, &["m^3"]),
    row("in3",   "in³",   "[in_i]3",  Kind::Volume, I, CUBIC_INCH, &["cu.in", "in^3"]),
    row("fl-oz", "fl oz", "[foz_us]", Kind::Volume, I, times(GALLON, exact(1, 128)), &["floz"]),
    row("qt",    "qt",    "[qt_us]",  Kind::Volume, I, times(GALLON, exact(1, 4)), &["quart", "quarts"]),
    row("gal",   "gal",   "[gal_us]", Kind::Volume, I, GALLON, &["gallon", "gallons"]),

    row("g",     "g",     "g",        Kind::Mass, M, MILLI, &["gram", "grams"]),
    row("kg",    "kg",    "kg",       Kind::Mass, M, ONE, &["kgs", "kilogram", "kilograms"]),
    row("t",     "t",     "t",        Kind::Mass, M, KILO, &["tonne", "tonnes"]),
    row("oz",    "oz",    "[oz_av]",  Kind::Mass, I, times(POUND, exact(1, 16)), &["ounce", "ounces"]),
    row("lb",    "lb",    "[lb_av]",  Kind::Mass, I, POUND, &["lbs", "lbm", "pound", "pounds"]),

    row("N",     "N",     "N",          Kind::Force, M, ONE, &["newton", "newtons"]),
    row("kN",    "kN",    "kN",         Kind::Force, M, KILO, &[]),
    row("kgf",   "kgf",   "kgf",        Kind::Force, M, GRAVITY, &[]),
    row("ozf",   "ozf",   "[lbf_av]/16", Kind::Force, I, OUNCE_FORCE, &[]),
    row("lbf",   "lbf",   "[lbf_av]",   Kind::Force, I, POUND_FORCE, &[]),

    row("N.cm",   "N·cm",   "N.cm",   Kind::Torque, M, exact(1, 100), &["Ncm"]),
    row("N.m",    "N·m",    "N.m",    Kind::Torque, M, ONE, &["Nm", "newton.metre", "newton.metres", "newton.meter", "newton.meters"]),
    row("kgf.cm", "kgf·cm", "kgf.cm", Kind::Torque, M, times(GRAVITY, exact(1, 100)), &["kg.cm"]),
    row("kgf.m",  "kgf·m",  "kgf.m",  Kind::Torque, M, GRAVITY, &["kg.m"]),
    row("ozf.in", "ozf·in", "[lbf_av].[in_i]/16", Kind::Torque, I, times(OUNCE_FORCE, INCH), &["oz.in", "in.oz", "in.ozf"]),
    row("lbf.in", "lbf·in", "[lbf_av].[in_i]", Kind::Torque, I, times(POUND_FORCE, INCH),
        &["in.lb", "in.lbs", "in.lbf", "lb.in", "lbs.in", "inlb", "inlbs", "lbin", "inch.pound", "inch.pounds", "pound.inch", "pound.inches"]),
    row("lbf.ft", "lbf·ft", "[lbf_av].[ft_i]", Kind::Torque, I, times(POUND_FORCE, FOOT),
        &["ft.lb", "ft.lbs", "ft.lbf", "lb.ft", "lbs.ft", "ftlb", "ftlbs", "lbft", "foot.pound", "foot.pounds", "pound.foot", "pound.feet"]),

    row("J",    "J",    "J",    Kind::Energy, BOTH, ONE, &["joule", "joules"]),
    row("kJ",   "kJ",   "kJ",   Kind::Energy, BOTH, KILO, &[]),
    row("W.h",  "W·h",  "W.h",  Kind::Energy, BOTH, HOUR, &["Wh"]),
    row("kW.h", "kW·h", "kW.h", Kind::Energy, BOTH, times(HOUR, KILO), &["kWh"]),

    row("Pa",   "Pa",   "Pa",        Kind::Pressure, M, ONE, &[]),
    row("mbar", "mbar", "mbar",      Kind::Pressure, M, exact(100, 1), &["hPa"]),
    row("kPa",  "kPa",  "kPa",       Kind::Pressure, M, KILO, &["KPa", "kpa"]),
    row("bar",  "bar",  "bar",       Kind::Pressure, M, exact(100_000, 1), &["bars"]),
    row("MPa",  "MPa",  "MPa",       Kind::Pressure, M, MEGA, &["N/mm2"]),
    row("psi",  "psi",  "[psi]",     Kind::Pressure, I, PSI, &["PSI", "lbf/in2"]),
    row("ksi",  "ksi",  "10*3.[psi]", Kind::Pressure, I, times(PSI, KILO), &["KSI"]),

    row("mV",   "mV",   "mV",   Kind::Voltage, BOTH, MILLI, &[]),
    row("V",    "V",    "V",    Kind::Voltage, BOTH, ONE, &["volt", "volts"]),
    row("kV",   "kV",   "kV",   Kind::Voltage, BOTH, KILO, &[]),
    row("mA",   "mA",   "mA",   Kind::Current, BOTH, MILLI, &[]),
    row("A",    "A",    "A",    Kind::Current, BOTH, ONE, &["amp", "amps", "ampere", "amperes"]),
    row("mOhm", "mΩ",   "mOhm", Kind::Resistance, BOTH, MILLI, &["mΩ", "mohm"]),
    row("Ohm",  "Ω",    "Ohm",  Kind::Resistance, BOTH, ONE, &["Ω", "ohm", "ohms", "Ohms"]),
    row("kOhm", "kΩ",   "kOhm", Kind::Resistance, BOTH, KILO, &["kΩ", "kohm"]),
    row("MOhm", "MΩ",   "MOhm", Kind::Resistance, BOTH, MEGA, &["MΩ", "Mohm"]),
    row("W",    "W",    "W",    Kind::Power, BOTH, ONE, &["watt", "watts"]),
    row("kW",   "kW",   "kW",   Kind::Power, BOTH, KILO, &[]),
    row("hp",   "hp",   "[HP]", Kind::Power, I, times(times(POUND_FORCE, FOOT), exact(550, 1)), &["HP"]),
    row("A.s",  "A·s",  "A.s",  Kind::Charge, BOTH, ONE, &["As"]),
    row("mA.h", "mA·h", "mA.h", Kind::Charge, BOTH, exact(36, 10), &["mAh"]),
    row("A.h",  "A·h",  "A.h",  Kind::Charge, BOTH, HOUR, &["Ah"]),

    row("ms",   "ms",   "ms",   Kind::Time, BOTH, MILLI, &[]),
    row("s",    "s",    "s",    Kind::Time, BOTH, ONE, &["sec", "secs", "second", "seconds"]),
    row("min",  "min",  "min",  Kind::Time, BOTH, exact(60, 1), &["mins", "minute", "minutes"]),
    row("h",    "h",    "h",    Kind::Time, BOTH, HOUR, &["hr", "hrs", "hour", "hours"]),
    row("d",    "d",    "d",    Kind::Time, BOTH, times(HOUR, exact(24, 1)), &["day", "days"]),

    scale("degC", "°C", "Cel",    M, ONE, exact(27_315, 100), &["°C", "℃"]),
    scale("degF", "°F", "[degF]", I, exact(5, 9), times(exact(45_967, 100), exact(5, 9)), &["°F", "℉"]),
    row("K",         "K",       "K",     Kind::TemperatureDifference, M, ONE, &["kelvin"]),
    row("degC-rise", "°C rise", "K",     Kind::TemperatureDifference, M, ONE, &["°C.rise"]),
    row("degF-rise", "°F rise", "K.5/9", Kind::TemperatureDifference, I, exact(5, 9), &["°F.rise"]),

    row("deg",  "°",    "deg",  Kind::Angle, BOTH, ONE, &["°", "degree", "degrees"]),
    row("turn", "turn", "circ", Kind::Angle, BOTH, exact(360, 1), &["turns"]),
    // From one flat of a hexagon to the next, as fittings are turned on.
    row("flat", "flat", "deg.60", Kind::Angle, BOTH, exact(60, 1), &["flats"]),

    row("m/s",  "m/s",  "m/s",      Kind::Speed, M, ONE, &[]),
    row("km/h", "km/h", "km/h",     Kind::Speed, M, exact(1_000, 3_600), &["kmh", "kph"]),
    row("ft/s", "ft/s", "[ft_i]/s", Kind::Speed, I, FOOT, &[]),
    row("mph",  "mph",  "[mi_i]/h", Kind::Speed, I, times(times(FOOT, exact(5_280, 1)), inverse(HOUR)), &["mi/h"]),

    row("%",      "%",      "%",       Kind::Share, BOTH, exact(1, 100), &["percent"]),
    row("AWG",    "AWG",    "{AWG}",   Kind::WireGauge, BOTH, ONE, &["awg"]),
    row("per mm", "per mm", "/mm",     Kind::PerLength, M, KILO, &["1/mm"]),
    row("per m",  "per m",  "/m",      Kind::PerLength, M, ONE, &["1/m"]),
    row("per in", "per in", "/[in_i]", Kind::PerLength, I, inverse(INCH), &["1/in", "per.inch", "tpi", "TPI"]),
    row("per ft", "per ft", "/[ft_i]", Kind::PerLength, I, inverse(FOOT), &["1/ft", "per.foot"]),
];

const fn row(
    spelling: &'static str,
    symbol: &'static str,
    ucum: &'static str,
    kind: Kind,
    system: Option<System>,
    factor: Exact,
    aliases: &'static [&'static str],
) -> Row {
    Row { spelling, symbol, ucum, kind, system, factor, offset: exact(0, 1), aliases }
}

/// A temperature scale, whose zero is not the base unit's zero.
const fn scale(
    spelling: &'static str,
    symbol: &'static str,
    ucum: &'static str,
    system: Option<System>,
    factor: Exact,
    offset: Exact,
    aliases: &'static [&'static str],
) -> Row {
    Row { spelling, symbol, ucum, kind: Kind::Temperature, system, factor, offset, aliases }
}

/// A fraction in its lowest terms. Evaluated by the compiler: an overflow would stop the build.
const fn exact(numer: i128, denom: i128) -> Exact {
    let (mut a, mut b) = (numer, denom);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    Exact::new_raw(numer / a, denom / a)
}

const fn times(left: Exact, right: Exact) -> Exact {
    exact(*left.numer() * *right.numer(), *left.denom() * *right.denom())
}

const fn inverse(value: Exact) -> Exact {
    exact(*value.denom(), *value.numer())
}
