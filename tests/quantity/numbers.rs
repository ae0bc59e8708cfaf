//! Numbers as written.

use fitwright::quantity::number::{NumberFault, parse, parse_gauge};
use fitwright::quantity::{Exact, Quantity, Unit, Written};
use proptest::prelude::*;

use super::value_of;

#[test]
fn the_four_forms_are_read() {
    let cases = [
        ("22", "22", Written::Decimals(0)),
        ("6.4", "64/10", Written::Decimals(1)),
        ("0.125", "1/8", Written::Decimals(3)),
        ("1.375", "11/8", Written::Decimals(3)),
        ("12.50", "25/2", Written::Decimals(2)),
        ("1000.500", "2001/2", Written::Decimals(3)),
        ("0.500", "1/2", Written::Decimals(3)),
        ("0", "0", Written::Decimals(0)),
        ("9/16", "9/16", Written::Fraction(16)),
        ("8/16", "1/2", Written::Fraction(16)),
        ("3 1/2", "7/2", Written::Fraction(2)),
        ("  3   1/2 ", "7/2", Written::Fraction(2)),
        ("999999999999", "999999999999", Written::Decimals(0)),
    ];
    for (text, value, written) in cases {
        assert_eq!(parse(text), Ok((value_of(value), written)), "{text}");
    }
}

#[test]
fn what_reads_two_ways_is_refused_with_both() {
    let cases = [
        ("25,5", Some("25.5"), None),
        ("1,000", Some("1"), Some("1000")),
        ("1,375", Some("1.375"), Some("1375")),
        ("1.000", Some("1"), Some("1000")),
        ("12.500", Some("12.5"), Some("12500")),
        ("100.010", Some("100.01"), Some("100010")),
        ("0,125", Some("0.125"), None),
        ("1.000.000", None, Some("1000000")),
        ("1,000,000", None, Some("1000000")),
        ("1 000", None, Some("1000")),
        ("1.234,5", Some("1234.5"), None),
        ("1,234.5", Some("1234.5"), None),
    ];
    for (text, decimal, whole) in cases {
        let own = |s: Option<&str>| s.map(str::to_owned);
        let expected = NumberFault::Ambiguous { decimal: own(decimal), whole: own(whole) };
        assert_eq!(parse(text), Err(expected), "{text}");
    }
}

#[test]
fn each_other_fault_has_its_repair() {
    let write = |s: &str| Some(s.to_owned());
    let range = |a: &str, b: &str| Some((a.to_owned(), b.to_owned()));
    let cases = [
        ("3-4", NumberFault::Hyphen { fraction: write("3/4"), range: range("3", "4") }),
        ("3-1/2", NumberFault::Hyphen { fraction: write("3 1/2"), range: range("3", "1/2") }),
        // In 24ths no rule is marked.
        ("20-24", NumberFault::Hyphen { fraction: None, range: range("20", "24") }),
        ("24–20", NumberFault::Hyphen { fraction: None, range: range("24", "20") }),
        ("3/0", NumberFault::ZeroDenominator),
        ("9/4", NumberFault::Improper { write: write("2 1/4") }),
        ("4/2", NumberFault::Improper { write: write("2") }),
        ("0 1/2", NumberFault::Improper { write: write("1/2") }),
        ("3 5/2", NumberFault::Improper { write: write("5 1/2") }),
        ("0/4", NumberFault::Improper { write: write("0") }),
        ("1234567890123", NumberFault::TooManyDigits { digits: 13 }),
        ("0.123456789012", NumberFault::TooManyDigits { digits: 13 }),
        ("1/2000", NumberFault::FractionTooFine { denominator: "2000".to_owned() }),
        ("+25", NumberFault::Sign { sign: '+', write: write("25") }),
        ("-3", NumberFault::Sign { sign: '-', write: write("3") }),
        ("−3 1/2", NumberFault::Sign { sign: '−', write: write("3 1/2") }),
        ("1e3", NumberFault::Exponent { write: write("1000") }),
        ("2.5E-2", NumberFault::Exponent { write: write("0.025") }),
        ("1e30", NumberFault::Exponent { write: None }),
        (".5", NumberFault::MissingLeadingDigit { write: write("0.5") }),
        ("5.", NumberFault::MissingDecimals { write: write("5") }),
        ("007", NumberFault::LeadingZero { write: write("7") }),
        ("00.5", NumberFault::LeadingZero { write: write("0.5") }),
        ("3 01/2", NumberFault::LeadingZero { write: write("3 1/2") }),
        ("½", NumberFault::OtherDigit { found: '½', write: write("1/2") }),
        ("3½", NumberFault::OtherDigit { found: '½', write: write("3 1/2") }),
        ("٣", NumberFault::OtherDigit { found: '٣', write: None }),
        ("", NumberFault::NotANumber),
        ("many", NumberFault::NotANumber),
        ("3 4", NumberFault::NotANumber),
        ("1/2/3", NumberFault::NotANumber),
        ("1.5/2", NumberFault::NotANumber),
        ("1,,5", NumberFault::NotANumber),
    ];
    for (text, fault) in cases {
        assert_eq!(parse(text), Err(fault), "{text}");
    }
}

/// ASTM B258 counts the gauges above 1 as 0, -1, -2, -3.
#[test]
fn large_wire_gauges_are_read_and_shown() {
    let awg = Unit::lookup("AWG").expect("in the table");
    for (text, number) in [("8", 8), ("1", 1), ("1/0", 0), ("2/0", -1), ("3/0", -2), ("4/0", -3)] {
        let (value, written) = parse_gauge(text).expect("a gauge");
        assert_eq!(value, Exact::from_integer(number), "{text}");
        assert_eq!(Quantity::new(value, awg, written).to_string(), format!("{text} AWG"));
    }
    assert_eq!(parse_gauge("5/0"), Err(NumberFault::ZeroDenominator));
}

fn number_like() -> impl Strategy<Value = String> {
    prop_oneof![
        "[0-9.,/ eE+−½-]{0,14}",
        "(0|[1-9][0-9]{0,5})([.][0-9]{1,6})?",
        "([1-9][0-9]{0,2} )?[0-9]{1,2}/[0-9]{1,3}",
        "\\PC{0,20}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4000, failure_persistence: None, ..ProptestConfig::default() })]

    /// What is read is shown again just as it was written (blanks aside).
    #[test]
    fn a_number_survives_being_shown(text in number_like()) {
        let mm = Unit::lookup("mm").expect("in the table");
        if let Ok((value, written)) = parse(&text) {
            let shown = Quantity::new(value, mm, written).number();
            let said = text.split_whitespace().collect::<Vec<_>>().join(" ").replace("/ ", "/").replace(" /", "/");
            prop_assert_eq!(&shown, &said);
        }
    }

    /// A repair that the message offers needs no further repair.
    #[test]
    fn every_suggestion_can_be_written(text in number_like()) {
        if let Err(fault) = parse(&text) {
            for suggestion in fault.suggestions() {
                prop_assert!(parse(suggestion).is_ok(), "{} -> {}", text, suggestion);
            }
            if let NumberFault::Hyphen { range: Some((low, high)), .. } = &fault {
                prop_assert!(parse(low).is_ok() && parse(high).is_ok());
            }
        }
    }

    /// The decimal of the data form is the value itself.
    #[test]
    fn the_data_form_is_exact(numer in -1_000_000_000_i128..1_000_000_000, denom in 1_i128..5000) {
        let value = Exact::new(numer, denom);
        let mm = Unit::lookup("mm").expect("in the table");
        let shown = Quantity::new(value, mm, Written::Decimals(0)).decimal();
        let magnitude = value_of(shown.trim_start_matches('-'));
        let back = if shown.starts_with('-') { -magnitude } else { magnitude };
        prop_assert_eq!(back, value);
    }
}
