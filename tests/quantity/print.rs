//! What a reader sees.

use fitwright::quantity::display::{measure, printed, quantity};
use fitwright::quantity::{Measure, System, UnitPreference};

use super::{inch_then_metric, metric_then_inch, q, range, tolerance, value_of};

/// With plain blanks, so that the expectations can be typed.
fn both(stated: &Measure) -> String {
    measure(stated, metric_then_inch()).replace('\u{a0}', " ")
}

fn one(text: &str) -> String {
    quantity(&q(text), metric_then_inch()).replace('\u{a0}', " ")
}

#[test]
fn tolerances_ranges_and_bounds_round_inwards() {
    assert_eq!(both(&tolerance("22 N.m", "2 N.m")), "22 N·m ± 2 N·m (16.2 lbf·ft ± 1.4 lbf·ft)");
    assert_eq!(both(&tolerance("22 N.m", "10 %")), "22 N·m ± 2.2 N·m (16.2 lbf·ft ± 1.5 lbf·ft)");
    assert_eq!(both(&range("20 N.m", "24 N.m")), "20 to 24 N·m (14.8 to 17.7 lbf·ft)");
    assert_eq!(both(&range("20 mm", "45 mm")), "20 to 45 mm (0.79 to 1.77 in)");
    assert_eq!(both(&Measure::AtLeast(q("150 mm"))), "at least 150 mm (5.91 in)");
    assert_eq!(both(&Measure::AtMost(q("150 mm"))), "at most 150 mm (5.90 in)");
    assert_eq!(both(&Measure::Over(q("70 mm"))), "over 70 mm (2.76 in)");
    assert_eq!(both(&Measure::Below(q("20 mm"))), "below 20 mm (0.78 in)");
    assert_eq!(both(&Measure::AtMost(q("5 %"))), "at most 5 %");
    // A tolerance on a scale is a difference: 5 °C are 9 °F wide, not 41.
    assert_eq!(both(&tolerance("20 degC", "5 degC")), "20 °C ± 5 °C (68 °F ± 9 °F)");
    assert_eq!(both(&tolerance("20 degC", "5 K")), "20 °C ± 5 °C (68 °F ± 9 °F)");
}

/// Published roundings. NIST SP 811, B.7.2: 36 ft is 11.0 m. NIST LC 1137: 40.1 in is 101.9 cm. Hitch classes as state
/// regulation COMAR 11.13.08.10 prints them: 2000, 3500, 5000, 10000 lb are 907, 1588, 2268, 4536 kg.
#[test]
fn published_roundings_are_met() {
    assert_eq!(one("36 ft"), "11.0 m (36 ft)");
    assert_eq!(one("40.1 in"), "1019 mm (40.1 in)");
    for (pounds, kilograms) in [(2000, 907), (3500, 1588), (5000, 2268), (10000, 4536)] {
        assert_eq!(one(&format!("{pounds} lb")), format!("{kilograms} kg ({pounds} lb)"));
    }
}

/// Sizes as socket and drill charts print them (common practice).
#[test]
fn single_values_follow_the_trade() {
    for (inch, mm) in [("9/16", "14.3"), ("1/2", "12.7"), ("3/4", "19.1"), ("3 1/2", "88.9"), ("1/16", "1.6")] {
        let expected = format!("{mm} mm ({inch} in)");
        assert_eq!(one(&format!("{inch} in")), expected);
    }
    assert_eq!(one("12 in"), "305 mm (12 in)");
    assert_eq!(one("46 mm"), "46 mm (1.81 in)");
    assert_eq!(one("6.5 m"), "6.5 m (21.3 ft)");
    assert_eq!(one("22 N.m"), "22 N·m (16.2 lbf·ft)");
    assert_eq!(one("6 N.m"), "6 N·m (53 lbf·in)");
    assert_eq!(one("38 kg"), "38 kg (84 lb)");
    assert_eq!(one("2.2 bar"), "2.2 bar (32 psi)");
    assert_eq!(one("1 bar"), "1 bar (14.5 psi)");
    assert_eq!(one("105 degC"), "105 °C (221 °F)");
    assert_eq!(one("0 degF"), "−17.8 °C (0 °F)");
    assert_eq!(one("6 mm2"), "6 mm² (0.0093 in²)");
    assert_eq!(one("2 gal"), "7.6 L (2 gal)");
}

#[test]
fn units_of_both_systems_are_printed_once() {
    for text in ["12 V", "18 A", "10 min", "5 %", "8 AWG", "80 A·h", "20 per in"] {
        assert_eq!(one(&text.replace('·', ".")), text);
    }
    assert_eq!(one("45 deg"), "45°");
    assert_eq!(one("1/4 turn"), "1/4 turn");
    assert_eq!(one("2 turn"), "2 turns");
}

#[test]
fn the_writers_value_is_always_there_as_written() {
    let stated = Measure::Exact(q("8/16 in"));
    let only = |first| UnitPreference { first, second: None };
    assert_eq!(measure(&stated, only(System::Metric)), "12.7\u{a0}mm (8/16\u{a0}in)");
    assert_eq!(measure(&stated, only(System::Inch)), "8/16\u{a0}in");
    assert_eq!(measure(&stated, inch_then_metric()), "8/16\u{a0}in (12.7\u{a0}mm)");
    let torque = tolerance("22.0 N.m", "2.0 N.m");
    let apart = printed(&torque, inch_then_metric());
    assert_eq!(apart.brackets.as_deref(), Some("22.0\u{a0}N·m\u{a0}±\u{a0}2.0\u{a0}N·m"));
    // A tolerance of nothing can't be met in a unit that only comes near.
    assert_eq!(both(&tolerance("22 N.m", "0 N.m")), "22 N·m ± 0 N·m");
    assert_eq!(both(&range("1 in", "1 in")), "25.4 to 25.4 mm (1 to 1 in)");
}

#[test]
fn the_source_form_reads_as_written() {
    assert_eq!(tolerance("22 N.m", "2 N.m").source_form(), "22 N.m +- 2 N.m");
    assert_eq!(range("20 N.m", "24 N.m").source_form(), "20 to 24 N.m");
    assert_eq!(range("20 mm", "2 in").source_form(), "20 mm to 2 in");
    assert_eq!(Measure::AtLeast(q("3 1/2 in")).source_form(), "at least 3 1/2 in");
    assert_eq!(Measure::Exact(q("46 mm")).source_form(), "46 mm");
    // Bounds that were worked out are written so that the language reads them.
    assert_eq!(tolerance("1.375 mm", "0.125 mm").low().map(|low| low.to_string()).as_deref(), Some("1.25 mm"));
    assert_eq!(tolerance("3/4 in", "1/8 in").high().map(|high| high.to_string()).as_deref(), Some("7/8 in"));
}

#[test]
fn bounds_decide_what_is_allowed() {
    let torque = tolerance("22 N.m", "2 N.m");
    for (base, allowed) in [("19.999", false), ("20", true), ("22", true), ("24", true), ("24.001", false)] {
        assert_eq!(torque.contains(value_of(base)), allowed, "{base}");
    }
    assert!(!Measure::Over(q("70 mm")).contains(value_of("0.07")));
    assert!(Measure::Over(q("70 mm")).contains(value_of("0.0701")));
    assert!(Measure::AtMost(q("5 %")).contains(value_of("0.05")));
    assert!(!Measure::Below(q("5 %")).contains(value_of("0.05")));
    assert_eq!(Measure::AtLeast(q("1 mm")).high(), None);
    assert_eq!(torque.nominal(), Some(q("22 N.m")));
    assert_eq!(Measure::with_tolerance(q("22 N.m"), q("2 mm")), None);
    assert_eq!(Measure::with_tolerance(q("20 degC"), q("5 %")), None);
    let mixed_units = Measure::with_tolerance(q("1 lbf.ft"), q("6 lbf.in")).expect("both are torques");
    assert_eq!(mixed_units.source_form(), "1 lbf.ft +- 0.5 lbf.ft");
}
