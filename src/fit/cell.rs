//! What a cell says of an option or a given.

use super::numbers::Domain;
use crate::model::{Choice, NumberInput};
use crate::quantity::{Exact, Measure, Quantity, Unit};
use crate::tailor;

/// What a given is in a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Given {
    /// Nobody says: anything that the procedure takes.
    Missing,
    /// One amount.
    Amount(Quantity),
    /// Somewhere between two, in base units, both of them included.
    Between(Exact, Exact),
}

/// Reads the cell of a given: `150 kg`, `150` where the head has the unit, `100 kg to 120 kg`, `100 to 120`,
/// `150 kg +- 5 kg`, `150 +- 3 %`, `at least 150 kg`, `at most 2000 lb`.
///
/// # Errors
/// Says what is wrong with it.
pub fn given(number: &NumberInput, text: &str, unit: Option<Unit>) -> Result<Given, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(Given::Missing);
    }
    let ends = |low: &str, high: &str| -> Result<(Quantity, Quantity), String> {
        let (low, high) =
            if has_unit(low) || !has_unit(high) { (low.to_owned(), high) } else { (with_unit_of(low, high), high) };
        Ok((tailor::amount(number, &low, unit)?, tailor::amount(number, high, unit)?))
    };
    if let Some((value, half)) = text.split_once("+-").or_else(|| text.split_once('±')) {
        let value = tailor::amount(number, value, unit)?;
        let half = tolerance(half.trim(), value.unit)?;
        let measure = Measure::with_tolerance(value, half)
            .ok_or_else(|| "this tolerance does not go with this amount".to_owned())?;
        tailor::within(number, &value)?;
        return between(number, measure.low(), measure.high());
    }
    if let Some((low, high)) = text.split_once(" to ") {
        let (low, high) = ends(low.trim(), high.trim())?;
        return between(number, Some(low), Some(high));
    }
    if let Some(low) = text.strip_prefix("at least ") {
        return between(number, Some(tailor::amount(number, low, unit)?), Some(number.high));
    }
    if let Some(high) = text.strip_prefix("at most ") {
        return between(number, Some(number.low), Some(tailor::amount(number, high, unit)?));
    }
    let amount = tailor::amount(number, text, unit)?;
    tailor::within(number, &amount)?;
    Ok(Given::Amount(amount))
}

fn has_unit(text: &str) -> bool {
    text.contains(|c: char| c.is_alphabetic() || c == '%')
}

/// `100` as `100 kg`, for `100 to 120 kg`.
fn with_unit_of(low: &str, high: &str) -> String {
    let unit = high.find(|c: char| c.is_alphabetic() || c == '%').and_then(|at| high.get(at..)).unwrap_or_default();
    format!("{low} {unit}")
}

fn tolerance(text: &str, unit: Unit) -> Result<Quantity, String> {
    let split = text.find(|c: char| c.is_alphabetic() || c == '%').unwrap_or(text.len());
    let (digits, own) = text.split_at(split);
    let unit = match own.trim() {
        "" => unit,
        own => Unit::lookup(own).ok_or_else(|| format!("{own} is not a unit that is known here"))?,
    };
    let digits = digits.trim();
    let (value, written) = crate::quantity::number::parse(digits)
        .map_err(|_| format!("\"{digits}\" is not a number that is read in one way only"))?;
    Ok(Quantity::new(value, unit, written))
}

/// Both ends have to be such as the given can have.
fn between(number: &NumberInput, low: Option<Quantity>, high: Option<Quantity>) -> Result<Given, String> {
    let too_large = || "the number is too large to be held exactly".to_owned();
    let (low, high) = (low.ok_or_else(too_large)?, high.ok_or_else(too_large)?);
    let plain = NumberInput { reads: None, ..number.clone() };
    tailor::within(&plain, &low)?;
    tailor::within(&plain, &high)?;
    let (low, high) = (low.base().ok_or_else(too_large)?, high.base().ok_or_else(too_large)?);
    if low > high {
        return Err("the first end is above the second".to_owned());
    }
    Ok(Given::Between(low, high))
}

impl Given {
    /// What the number can be with it.
    ///
    /// # Errors
    /// Where it is never stated so: no step of it lies between the ends.
    pub fn domain(&self, declared: Domain) -> Result<Domain, String> {
        match self {
            Given::Missing => Ok(declared),
            Given::Amount(amount) => {
                let base = amount.base().ok_or_else(|| "the number is too large to be held exactly".to_owned())?;
                Ok(Domain { low: base, high: base, grid: declared.grid })
            }
            Given::Between(low, high) => {
                let ends = Domain { low: *low, high: *high, ..declared }.set().hull();
                let ((low, _), (high, _)) =
                    ends.ok_or_else(|| "between these ends there is no amount in which it is stated".to_owned())?;
                Ok(Domain { low, high, ..declared })
            }
        }
    }
}

/// Reads the cell of an option; `None` where nothing stands in it.
///
/// # Errors
/// Says what is wrong with it.
pub fn option(choice: &Choice, text: &str) -> Result<Option<usize>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    tailor::value(choice, text).map(Some).map_err(|near| {
        let meant = near.map_or_else(String::new, |near| format!(" Did you mean {near}?"));
        let known: Vec<&str> = choice.values.iter().map(|value| value.id.as_str()).collect();
        format!("\"{text}\" is none of its values.{meant} (They are: {}.)", known.join(", "))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Naming, NumberKind};
    use crate::quantity::Written;
    use crate::source::{FileId, Span};

    fn number() -> NumberInput {
        let kg = Unit::lookup("kg").expect("in the table");
        let quantity = |n: i128| Quantity::new(Exact::from_integer(n), kg, Written::Decimals(0));
        let span = Span::new(FileId::new(0), 0, 0);
        NumberInput {
            when: None,
            name: Naming { id: "roof".into(), title: "Roof".into(), span, from_library: false, at: None },
            kind: NumberKind::Given,
            low: quantity(50),
            high: quantity(300),
            range_span: span,
            reads: None,
            with: None,
        }
    }

    fn ends(text: &str, unit: Option<&str>) -> Result<(Exact, Exact), String> {
        let number = number();
        let declared = Domain::declared(&number).expect("small");
        let unit = unit.and_then(Unit::lookup);
        given(&number, text, unit)?.domain(declared).map(|domain| (domain.low, domain.high))
    }

    /// An international pound is 0.45359237 kg (NIST Handbook 44, appendix C).
    #[test]
    fn every_form_of_a_cell_is_read() {
        let whole = |low: i128, high: i128| Ok((Exact::from_integer(low), Exact::from_integer(high)));
        let pound = Exact::new(45_359_237, 100_000_000);
        assert_eq!(ends("", Some("kg")), whole(50, 300));
        assert_eq!(ends("150 kg", None), whole(150, 150));
        assert_eq!(ends("150", Some("kg")), whole(150, 150));
        assert_eq!(ends("200 lb", Some("kg")), Ok((pound * 200, pound * 200)));
        assert_eq!(ends("100 to 120 kg", None), whole(100, 120));
        assert_eq!(ends("100 kg to 120 kg", None), whole(100, 120));
        assert_eq!(ends("100 to 120", Some("kg")), whole(100, 120));
        assert_eq!(ends("150 kg +- 5 kg", None), whole(145, 155));
        assert_eq!(ends("150 ± 5", Some("kg")), whole(145, 155));
        assert_eq!(ends("150 kg +- 10 %", None), whole(135, 165));
        assert_eq!(ends("at least 150 kg", None), whole(150, 300));
        assert_eq!(ends("at most 150", Some("kg")), whole(50, 150));
    }

    #[test]
    fn what_cannot_be_is_said() {
        for (text, unit, why) in [
            ("150", None, "no unit"),
            ("1,500", Some("kg"), "read in one way only"),
            ("about 150", Some("kg"), "not a unit"),
            ("150 mm", None, "a length"),
            ("301 kg", None, "outside"),
            ("290 kg +- 20 kg", None, "outside"),
            ("120 to 100", Some("kg"), "above the second"),
            ("150 kg +- 5 mm", None, "does not go with"),
            ("-5", Some("kg"), "read in one way only"),
        ] {
            let said = ends(text, unit).expect_err(text);
            assert!(said.contains(why), "{text}: {said}");
        }
    }
}
