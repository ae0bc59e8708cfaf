//! What must hold for every quantity that is printed in the other system. The printed text itself is read back, with
//! the test's own arithmetic and the factors that `units.rs` holds against NIST SP 811.

use fitwright::quantity::display::{counterpart, printed};
use fitwright::quantity::{Exact, Kind, Measure, Quantity, System, Unit, Written};
use num_traits::{Signed, Zero};
use proptest::prelude::*;

use super::{inch_then_metric, metric_then_inch, value_of};

/// A value as a writer may state it, in a unit that has a counterpart.
fn stated() -> impl Strategy<Value = Quantity> {
    let one = |text: &str| Unit::lookup(text).expect("in the table");
    let has_counterpart = |unit: &Unit| {
        let sample = Quantity::new(Exact::from_integer(1), *unit, Written::Decimals(0));
        [System::Metric, System::Inch].into_iter().any(|system| counterpart(&sample, system).is_some())
    };
    let mut units: Vec<Unit> = Unit::all().filter(has_counterpart).collect();
    // What a procedure states most gets more of the cases.
    units.extend(["N.m", "N.m", "lbf.ft", "lbf.in", "mm", "mm", "in", "in", "kg", "lb", "degC"].map(one));
    let decimals = (0_i128..100_000, 0_u8..=3)
        .prop_map(|(digits, places)| (Exact::new(digits, 10_i128.pow(u32::from(places))), Written::Decimals(places)));
    let fractions = (0_i128..2000, 1_u32..=6).prop_map(|(parts, power)| {
        let denominator = 2_u16.pow(power);
        (Exact::new(parts, i128::from(denominator)), Written::Fraction(denominator))
    });
    (prop_oneof![3 => decimals, 1 => fractions], proptest::sample::select(units))
        .prop_map(|((value, written), unit)| Quantity::new(value, unit, written))
}

/// A value and a width in the same unit, the width not nothing.
fn stated_with_width() -> impl Strategy<Value = (Quantity, Quantity)> {
    (stated(), 1_i128..5000, 0_u8..=3).prop_map(|(value, digits, places)| {
        let width = Exact::new(digits, 10_i128.pow(u32::from(places)));
        (value, Quantity::new(width, value.unit, Written::Decimals(places)))
    })
}

/// The converted part of the print, its numbers, and how many decimals each shows.
struct Converted {
    numbers: Vec<(Exact, u32)>,
    unit: Unit,
}

fn converted(measure: &Measure) -> Option<Converted> {
    let own = measure.stated().unit.system()?;
    let preference = if own == System::Metric { metric_then_inch() } else { inch_then_metric() };
    let brackets = printed(measure, preference).brackets?;
    let mut words = brackets.split([' ', '\u{a0}']).filter(|word| !["to", "±"].contains(word)).peekable();
    let (mut numbers, mut unit_words) = (Vec::new(), Vec::new());
    for word in words.by_ref() {
        if word.starts_with(|c: char| c.is_ascii_digit() || c == '−') {
            let decimals = word.split_once('.').map_or(0, |(_, decimals)| decimals.len());
            numbers.push((value_of(word), u32::try_from(decimals).expect("short")));
            unit_words.clear();
        } else {
            unit_words.push(word);
        }
    }
    let unit = Unit::all().find(|unit| unit.symbol() == unit_words.join(" ")).expect("a printed unit is in the table");
    Some(Converted { numbers, unit })
}

/// A printed number, back in base units.
fn base(number: Exact, unit: Unit) -> Exact {
    number * unit.factor() + unit.offset()
}

fn stated_base(quantity: &Quantity) -> Exact {
    quantity.value * quantity.unit.factor() + quantity.unit.offset()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_printed_tolerance_lies_within_the_stated_one((value, half) in stated_with_width()) {
        let measure = Measure::Tolerance { value, plus_minus: half };
        let shown = converted(&measure).expect("a tolerance with a width has a converted form");
        let [(middle, _), (plus_minus, _)] = shown.numbers[..] else { panic!("two numbers") };
        let (low, high) = (base(middle - plus_minus, shown.unit), base(middle + plus_minus, shown.unit));
        let half_base = half.value * half.unit.factor();
        prop_assert!(low >= stated_base(&value) - half_base && high <= stated_base(&value) + half_base);
        prop_assert!(high > low);
        prop_assert!((high - low) * 10 >= half_base * 18, "more than a tenth is lost");
        // Whoever meets the printed one is within what the record checks.
        prop_assert!(measure.contains(low) && measure.contains(high));
    }

    #[test]
    fn a_printed_range_lies_within_the_stated_one((low, width) in stated_with_width()) {
        let high = Quantity { value: low.value + width.value, ..low };
        let measure = Measure::Range { low, high };
        let shown = converted(&measure).expect("a range with a width has a converted form");
        let [(shown_low, _), (shown_high, _)] = shown.numbers[..] else { panic!("two numbers") };
        let (bottom, top) = (base(shown_low, shown.unit), base(shown_high, shown.unit));
        prop_assert!(bottom >= stated_base(&low) && top <= stated_base(&high) && top > bottom);
        prop_assert!((top - bottom) * 10 >= (stated_base(&high) - stated_base(&low)) * 9);
    }

    #[test]
    fn a_printed_bound_never_allows_more(value in stated()) {
        for measure in [Measure::AtLeast(value), Measure::AtMost(value), Measure::Over(value), Measure::Below(value)] {
            let shown = converted(&measure).expect("a bound has a converted form");
            let [(number, _)] = shown.numbers[..] else { panic!("one number") };
            let printed = base(number, shown.unit);
            match measure {
                Measure::AtLeast(_) | Measure::Over(_) => prop_assert!(printed >= stated_base(&value)),
                _ => prop_assert!(printed <= stated_base(&value)),
            }
            if value.kind() != Kind::Temperature {
                prop_assert!((printed - stated_base(&value)).abs() * 100 <= stated_base(&value).abs());
            }
        }
    }

    /// Close to the source, and never a digit more than the source or the one per cent call for.
    #[test]
    fn a_printed_value_is_close_and_claims_no_more_than_its_source(value in stated()) {
        let shown = converted(&Measure::Exact(value)).expect("a value has a converted form");
        let [(number, decimals)] = shown.numbers[..] else { panic!("one number") };
        let exact = (stated_base(&value) - shown.unit.offset()) / shown.unit.factor();
        let ten = Exact::from_integer(10);
        let shift = (number - exact).abs();
        if value.kind() != Kind::Temperature {
            prop_assert!(shift * 100 <= exact.abs());
        }
        let last_digit = match value.written {
            Written::Decimals(places) => ten.pow(-i32::from(places)),
            Written::Fraction(denominator) => Exact::new(1, i128::from(denominator)) / ten,
        };
        // At most half a unit of the source's last digit; a whole number that ends in zeros was rounded itself.
        let rounded_itself = value.written == Written::Decimals(0) && value.value >= Exact::from_integer(1000);
        let source_step = last_digit * value.unit.factor() / shown.unit.factor();
        let may_shift = if rounded_itself { source_step * 10 } else { source_step };
        let to_mm = value.kind() == Kind::Length && shown.unit.spelling() == "mm";
        prop_assert!(shift * 2 <= may_shift || to_mm, "{} off by {}", number, shift);
        if decimals > 0 {
            let coarser = ten.pow(1 - i32::try_from(decimals).expect("short"));
            let nearest = (exact / coarser).round() * coarser;
            let coarser_is_far = (nearest - exact).abs() * 100 > exact.abs();
            let tenth_of_mm = to_mm && decimals == 1;
            prop_assert!(coarser > source_step || coarser_is_far || tenth_of_mm, "{} has a digit too many", number);
        }
    }

    #[test]
    fn the_writers_own_value_is_always_printed((value, half) in stated_with_width()) {
        let measure = Measure::Tolerance { value, plus_minus: half };
        let plain = measure.source_form().replace(value.unit.spelling(), value.unit.symbol()).replace("+-", "±");
        for preference in [metric_then_inch(), inch_then_metric()] {
            let shown = printed(&measure, preference);
            let parts = [Some(shown.text), shown.brackets].map(|part| part.unwrap_or_default().replace('\u{a0}', " "));
            prop_assert!(parts.contains(&plain), "{:?} lacks {}", parts, plain);
        }
        prop_assert!(!value.unit.factor().is_zero());
    }
}
