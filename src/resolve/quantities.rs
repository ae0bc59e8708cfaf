//! Amounts as written to exact quantities, with what can be wrong about them.

use std::cmp::Ordering;

use super::Resolver;
use crate::diagnostics::{Code, Confidence, Finding, Mend, suggest};
use crate::model::{End, Interval};
use crate::parse::tree::{self, Amount, MeasureForm, Name};
use crate::quantity::number::{self, NumberFault};
use crate::quantity::{Exact, Kind, Measure, Quantity, System, Unit, Written};
use crate::source::Span;
use num_traits::Signed;

impl Resolver<'_> {
    /// A bare count of things, at least one.
    pub(super) fn count(&mut self, number: Option<&tree::Number>) -> Option<u32> {
        let Some(written) = number else { return Some(1) };
        let count = written.text.parse::<u32>().ok().filter(|count| (1..=1_000_000).contains(count));
        if count.is_none() {
            let message = format!("`{}` can't be a count", written.text);
            self.report(
                Finding::new(Code::FW0309, message, written.span, "not a whole number from 1")
                    .repair("Write a whole number, such as `8`."),
            );
        }
        count
    }

    /// An amount of one of the wanted kinds. `inherited` is the unit of the other end of a range.
    pub(super) fn quantity(&mut self, amount: &Amount, wanted: &[Kind], inherited: Option<Unit>) -> Option<Quantity> {
        let unit = match &amount.unit {
            Some(word) => Some(self.unit(word, wanted)?),
            None => inherited,
        };
        let (value, written) = self.number(&amount.number, unit)?;
        let Some(unit) = unit else {
            let kinds: Vec<&str> = wanted.iter().map(|kind| kind.name()).collect();
            let inch = self.procedure.units.first == System::Inch || amount.number.text.contains('/');
            let example = wanted.first().map_or("mm", |kind| example_unit(*kind, inch));
            let meant = if kinds.len() > 3 { "a quantity".to_owned() } else { kinds.join(" or ") };
            let message = format!("`{}` has no unit; {meant} is meant here", amount.number.text);
            self.report(
                Finding::new(Code::FW0303, message, amount.span, "a number alone")
                    .because("Two people will read a bare number in two units.")
                    .repair(format!("Add the unit, for example `{} {example}`.", amount.number.text)),
            );
            return None;
        };
        let quantity = Quantity { value, unit, written };
        if quantity.base().is_none() {
            self.too_large(amount.span);
            return None;
        }
        if !wanted.contains(&unit.kind()) {
            self.wrong_kind_of_quantity(&quantity, amount.span, wanted);
            return None;
        }
        // -273.15 °C, by the definition of the degree Celsius (SI Brochure, 9th edition, 2.3.1).
        if unit.kind() == Kind::Temperature && quantity.base().is_some_and(|kelvin| kelvin.is_negative()) {
            let message = format!("`{quantity}` is colder than anything can be");
            self.report(
                Finding::new(Code::FW0309, message, amount.span, "below absolute zero")
                    .repair("Write the temperature that is meant."),
            );
            return None;
        }
        Some(quantity)
    }

    fn wrong_kind_of_quantity(&mut self, quantity: &Quantity, span: Span, wanted: &[Kind]) {
        let kinds: Vec<&str> = wanted.iter().map(|kind| kind.name()).collect();
        let kinds = kinds.join(" or ");
        let is = quantity.unit.kind();
        let inch = self.procedure.units.first == System::Inch;
        let example = wanted.first().map_or("mm", |kind| example_unit(*kind, inch));
        let message = format!("`{quantity}` is {}; {kinds} is meant here", is.name());
        let finding = Finding::new(Code::FW0302, message, span, format!("this is {}", is.name()));
        let finding = match (is, wanted.first()) {
            (Kind::Energy, Some(Kind::Torque)) => finding
                .because("A joule is a newton metre of work, not of torque; no torque wrench shows it.")
                .repair("Write the torque in `N.m` or `lbf.ft`."),
            (Kind::Force, Some(Kind::Mass)) => finding
                .because("A mass is what a scale shows; a force is what pulls. Both are called pounds.")
                .repair("Write the mass in `kg` or `lb`."),
            (Kind::Mass, Some(Kind::Force)) => finding
                .because("A mass is what a scale shows; a force is what pulls. Both are called pounds.")
                .repair("Write the force in `N` or `lbf`."),
            _ => finding.repair(format!("Write it in `{example}` or another unit of the same kind.")),
        };
        self.report(finding);
    }

    fn too_large(&mut self, span: Span) {
        self.report(
            Finding::new(Code::FW0309, "this number is too large or too long", span, "can't be held exactly")
                .repair("Write fewer digits, or a larger unit."),
        );
    }

    /// A unit word.
    fn unit(&mut self, word: &Name, wanted: &[Kind]) -> Option<Unit> {
        if let Some(unit) = Unit::lookup(&word.text) {
            return Some(unit);
        }
        let message = format!("`{}` is not a unit that is known here", word.text);
        let finding = Finding::new(Code::FW0301, message, word.span, "unknown unit");
        let finding = finding.because("A value that can't be converted can't be checked against any other.");
        let finding = match (suggest::nearest(&word.text, Unit::known()), wanted) {
            (Some(near), _) => finding.repair(format!("Write `{near}`.")),
            (None, [kind] | [kind, _]) => finding.repair(format!(
                "Write {} in `{}` or another unit of that kind.",
                kind.name(),
                example_unit(*kind, self.procedure.units.first == System::Inch)
            )),
            _ => finding
                .repair("Write one of the units of the language reference, such as `mm`, `in`, `N.m`, `kg`, `V`."),
        };
        self.report(finding);
        None
    }

    /// The digits.
    pub(super) fn number(&mut self, written: &tree::Number, unit: Option<Unit>) -> Option<(Exact, Written)> {
        let is_gauge = unit.is_some_and(|unit| unit.kind() == Kind::WireGauge);
        let below_zero = unit.filter(|unit| unit.kind().can_be_below_zero()).and_then(|_| unsigned(&written.text));
        let parsed = match below_zero {
            Some(digits) => number::parse(digits).map(|(value, written)| (-value, written)),
            None if is_gauge => number::parse_gauge(&written.text),
            None => number::parse(&written.text),
        };
        match parsed {
            Ok(number) => Some(number),
            Err(fault) => {
                self.report(number_fault(written, &fault));
                None
            }
        }
    }

    /// Any form of a measure, of one of the wanted kinds.
    pub(super) fn measure(&mut self, written: &tree::Measure, wanted: &[Kind]) -> Option<Measure> {
        let lowered = self.measure_of(written, wanted)?;
        self.note_measure(written.span, lowered);
        Some(lowered)
    }

    fn measure_of(&mut self, written: &tree::Measure, wanted: &[Kind]) -> Option<Measure> {
        Some(match &written.form {
            MeasureForm::Exact(amount) => Measure::Exact(self.quantity(amount, wanted, None)?),
            MeasureForm::AtLeast(amount) => Measure::AtLeast(self.quantity(amount, wanted, None)?),
            MeasureForm::AtMost(amount) => Measure::AtMost(self.quantity(amount, wanted, None)?),
            MeasureForm::Over(amount) => Measure::Over(self.quantity(amount, wanted, None)?),
            MeasureForm::Below(amount) => Measure::Below(self.quantity(amount, wanted, None)?),
            MeasureForm::Range(low, high) => self.range(low, high, wanted)?,
            MeasureForm::Tolerance(value, by) => self.tolerance(value, by, wanted)?,
        })
    }

    fn range(&mut self, low: &Amount, high: &Amount, wanted: &[Kind]) -> Option<Measure> {
        let high_quantity = self.quantity(high, wanted, None)?;
        let low_quantity = self.quantity(low, &[high_quantity.unit.kind()], Some(high_quantity.unit))?;
        if low_quantity.compare(&high_quantity) == Some(Ordering::Greater) {
            let message = format!("this range runs backwards: {low_quantity} is more than {high_quantity}");
            self.report(
                Finding::new(Code::FW0305, message, low.span.to(high.span), "no value lies in it")
                    .repair(format!("Write `{high_quantity} to {low_quantity}`."))
                    .mend(Mend::write(
                        Confidence::Look,
                        low.span.to(high.span),
                        format!("{high_quantity} to {low_quantity}"),
                    )),
            );
            return None;
        }
        self.hold_to_one_system((&low_quantity, low.span), (&high_quantity, high.span));
        Some(Measure::Range { low: low_quantity, high: high_quantity })
    }

    fn tolerance(&mut self, value: &Amount, by: &Amount, wanted: &[Kind]) -> Option<Measure> {
        let middle = self.quantity(value, wanted, None)?;
        let kinds = [middle.unit.kind(), Kind::Share, Kind::TemperatureDifference];
        let kinds = if middle.unit.kind() == Kind::Temperature { &kinds[..] } else { kinds.get(..2).unwrap_or(&kinds) };
        let by_quantity = self.quantity(by, kinds, Some(middle.unit))?;
        let Some(measure) = Measure::with_tolerance(middle, by_quantity) else {
            self.too_large(by.span);
            return None;
        };
        let wider = measure.low().is_some_and(|low| low.value < Exact::from_integer(0))
            && middle.value >= Exact::from_integer(0);
        if wider && !middle.unit.kind().can_be_below_zero() {
            let message = format!("the tolerance {by_quantity} is wider than the value {middle} itself");
            self.report(
                Finding::new(Code::FW0306, message, by.span, "wider than its value")
                    .also(value.span, "the value")
                    .because("The lowest value allowed would be below zero.")
                    .repair("Check both numbers and their units."),
            );
            return None;
        }
        self.hold_to_one_system((&middle, value.span), (&by_quantity, by.span));
        Some(measure)
    }

    /// FW0313: both numbers of an amount are in units of one system.
    fn hold_to_one_system(&mut self, (one, at): (&Quantity, Span), (other, there): (&Quantity, Span)) {
        let systems = one.unit.system().zip(other.unit.system());
        if systems.is_none_or(|(one, other)| one == other) {
            return;
        }
        let message = format!("`{one}` and `{other}` are one amount, in the units of two systems");
        let unit = one.unit.spelling();
        self.report(
            Finding::new(Code::FW0313, message, at.to(there), format!("`{unit}` and `{}`", other.unit.spelling()))
                .because(
                    "No drawing and no handbook has it so: one of the two units is a slip, and the amount is another.",
                )
                .repair("Write both numbers in the unit of the drawing or handbook that they come from."),
        );
    }

    /// A single quantity, where no range or bound makes sense.
    pub(super) fn single_quantity(&mut self, written: &tree::Measure, wanted: &[Kind]) -> Option<Quantity> {
        match &written.form {
            MeasureForm::Exact(amount) => self.quantity(amount, wanted, None),
            _ => {
                let kind = wanted.first().map_or("value", |kind| kind.name());
                self.report(
                    Finding::new(
                        Code::FW0302,
                        format!("one value is meant here, {kind}"),
                        written.span,
                        "not a single value",
                    )
                    .repair("Write one number with its unit."),
                );
                None
            }
        }
    }

    /// Both ends of a range.
    pub(super) fn range_of(&mut self, written: &tree::Measure, wanted: &[Kind]) -> Option<(Quantity, Quantity)> {
        match self.measure(written, wanted)? {
            Measure::Range { low, high } => Some((low, high)),
            other => {
                let ends = match (other, wanted.first()) {
                    (Measure::Exact(one), _) => {
                        format!("`{one} to …`. Where only one value is known, write it twice: `{one} to {one}`")
                    }
                    (_, Some(kind)) => format!("`LOW to HIGH`, each {} with its unit", kind.name()),
                    (_, None) => "`LOW to HIGH`".to_owned(),
                };
                self.report(
                    Finding::new(Code::FW0302, "a range is meant here", written.span, "not a range")
                        .repair(format!("Write both ends: {ends}.")),
                );
                None
            }
        }
    }
}

/// Which values a measure covers, in base units.
pub(super) fn interval(measure: &Measure) -> Option<Interval> {
    let end = |quantity: &Quantity, included| Some(End { base: quantity.base()?, included, written: *quantity });
    Some(match measure {
        Measure::Exact(at) => Interval { low: Some(end(at, true)?), high: Some(end(at, true)?) },
        Measure::Tolerance { .. } => {
            Interval { low: Some(end(&measure.low()?, true)?), high: Some(end(&measure.high()?, true)?) }
        }
        Measure::Range { low, high } => Interval { low: Some(end(low, true)?), high: Some(end(high, true)?) },
        Measure::AtLeast(at) => Interval { low: Some(end(at, true)?), high: None },
        Measure::Over(at) => Interval { low: Some(end(at, false)?), high: None },
        Measure::AtMost(at) => Interval { low: None, high: Some(end(at, true)?) },
        Measure::Below(at) => Interval { low: None, high: Some(end(at, false)?) },
    })
}

/// What stands after a minus sign.
fn unsigned(text: &str) -> Option<&str> {
    text.strip_prefix('-').or_else(|| text.strip_prefix('−')).map(str::trim_start)
}

/// What is wrong with a number, and what the writer may have meant.
fn number_fault(written: &tree::Number, fault: &NumberFault) -> Finding {
    let text = &written.text;
    let forms: Vec<String> = fault.suggestions().iter().map(|form| format!("`{form}`")).collect();
    let write = |otherwise: &str| {
        if forms.is_empty() { otherwise.to_owned() } else { format!("Write {}.", forms.join(" or ")) }
    };
    let suggestions = fault.suggestions();
    let offered = || suggestions.iter().map(|form| Mend::write(Confidence::Look, written.span, form.to_string()));
    let plain = "Write digits with at most one point, or a fraction: `22`, `6.4`, `9/16`, `3 1/2`.";
    let (code, message, label) = match fault {
        NumberFault::Ambiguous { .. } => {
            return Finding::new(
                Code::FW0308,
                format!("`{text}` can be read in two ways"),
                written.span,
                "a thousand, or a decimal?",
            )
            .because("A comma or a point means thousands in one country and decimals in another.")
            .repair(write("Write decimals with a point, and whole numbers without grouping."))
            .mend(offered());
        }
        NumberFault::Hyphen { range, .. } => {
            let meant = range
                .as_ref()
                .map(|(low, high)| Mend::write(Confidence::Look, written.span, format!("{low} to {high}")));
            let repair = match range {
                Some((low, high)) if forms.is_empty() => format!("For a range, write `{low} to {high}`."),
                Some((low, high)) => format!("{} For a range, write `{low} to {high}`.", write("")),
                None => write("Write a fraction as `3/4`, a mixed number as `3 1/2`."),
            };
            return Finding::new(
                Code::FW0304,
                format!("`{text}` has a hyphen, which can mean two things"),
                written.span,
                "a fraction, or a range?",
            )
            .because("One person reads a fraction in it, and another a range from the first number to the second.")
            .repair(repair)
            .mend(offered())
            .mend(meant);
        }
        NumberFault::ZeroDenominator => (Code::FW0309, format!("`{text}` divides by zero"), "no such number"),
        NumberFault::Improper { .. } => {
            (Code::FW0309, format!("`{text}` is not a proper fraction"), "the fraction is one or more, or nothing")
        }
        NumberFault::TooManyDigits { .. } => {
            (Code::FW0309, format!("`{text}` has too many digits"), "at most twelve digits")
        }
        NumberFault::FractionTooFine { .. } => {
            (Code::FW0309, format!("`{text}` is finer than any rule is marked"), "the denominator is too large")
        }
        NumberFault::Sign { .. } => {
            (Code::FW0309, format!("`{text}` begins with a sign"), "only a temperature or an angle can be below zero")
        }
        NumberFault::Exponent { .. } => (Code::FW0309, format!("`{text}` is not written out"), "write all digits"),
        NumberFault::MissingLeadingDigit { .. } => {
            (Code::FW0309, format!("`{text}` begins with a point"), "the point is easily missed")
        }
        NumberFault::MissingDecimals { .. } => {
            (Code::FW0309, format!("`{text}` ends with a point"), "nothing after the point")
        }
        NumberFault::LeadingZero { .. } => (Code::FW0309, format!("`{text}` begins with a zero"), "one zero too many"),
        NumberFault::OtherDigit { .. } => {
            (Code::FW0309, format!("`{text}` has a sign that is not a plain digit"), "not one of 0 to 9")
        }
        NumberFault::NotANumber => (Code::FW0309, format!("`{text}` is not a number"), "a number is meant here"),
    };
    // The same number, written as it should be.
    let same = matches!(fault, NumberFault::MissingLeadingDigit { .. } | NumberFault::LeadingZero { .. });
    let mends: Vec<Mend> = match offered().collect::<Vec<_>>() {
        one if one.len() == 1 && same => {
            one.into_iter().map(|mend| Mend { confidence: Confidence::Safe, ..mend }).collect()
        }
        all => all,
    };
    Finding::new(code, message, written.span, label).repair(write(plain)).mend(mends)
}

/// The unit that a repair proposes: that of the procedure's first system.
fn example_unit(kind: Kind, inch: bool) -> &'static str {
    match kind {
        Kind::Length if inch => "in",
        Kind::Mass if inch => "lb",
        Kind::Force if inch => "lbf",
        Kind::Torque if inch => "lbf.ft",
        Kind::Pressure if inch => "psi",
        Kind::Area if inch => "in2",
        Kind::Volume if inch => "gal",
        Kind::Temperature if inch => "degF",
        _ => kind.example_unit().spelling(),
    }
}
