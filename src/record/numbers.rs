//! Exact numbers as they stand in the files, and amounts in units.

use std::collections::BTreeMap;

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::quantity::Exact;

/// Most characters of a number in a record.
pub const MOST_CHARACTERS: usize = 20;

/// A value in a unit, as it is written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[schemars(rename = "Amount")]
pub struct AmountText {
    /// A decimal, or a fraction.
    #[schemars(extend("pattern" = r"^-?[0-9]+(\.[0-9]+|/[1-9][0-9]*)?$", "maxLength" = 20))]
    pub value: String,
    /// UCUM code of one of the checklist's units.
    pub unit: String,
}

/// The number of a text: `-?digits`, with decimals or a denominator. `None` for any other text, and for a number that 128
/// bits can't hold.
pub fn parse(text: &str) -> Option<Exact> {
    let (negative, rest) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let whole = |digits: &str| {
        let plain = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
        plain.then(|| digits.parse::<i128>().ok()).flatten()
    };
    let number = if let Some((numerator, denominator)) = rest.split_once('/') {
        let below = whole(denominator).filter(|_| !denominator.starts_with('0'))?;
        Exact::new(whole(numerator)?, below)
    } else if let Some((before, decimals)) = rest.split_once('.') {
        whole(before)?;
        whole(decimals)?;
        let scale = 10_i128.checked_pow(u32::try_from(decimals.len()).ok()?)?;
        Exact::new(whole(&format!("{before}{decimals}"))?, scale)
    } else {
        Exact::from_integer(whole(rest)?)
    };
    Some(if negative { -number } else { number })
}

/// A unit as the checklist writes it.
#[derive(Debug, Deserialize)]
pub struct UnitText {
    pub code: String,
    pub symbol: String,
    pub quantity: String,
    pub factor: String,
    pub offset: String,
}

/// A unit of the checklist.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    /// As a document prints it.
    pub symbol: String,
    /// What it measures.
    pub quantity: String,
    factor: Exact,
    offset: Exact,
}

impl Unit {
    pub(super) fn read(text: &UnitText) -> Option<Unit> {
        let (factor, offset) = (parse(&text.factor)?, parse(&text.offset)?);
        (factor > Exact::from_integer(0)).then(|| Unit {
            symbol: text.symbol.clone(),
            quantity: text.quantity.clone(),
            factor,
            offset,
        })
    }

    /// A number in this unit, in base units.
    pub fn to_base(&self, number: Exact) -> Option<Exact> {
        number.checked_mul(&self.factor)?.checked_add(&self.offset)
    }

    /// A difference of two numbers in this unit, in base units.
    pub fn span(&self, number: Exact) -> Option<Exact> {
        number.checked_mul(&self.factor)
    }

    /// A number in base units, in this unit.
    pub fn of_base(&self, base: Exact) -> Option<Exact> {
        base.checked_add(&-self.offset)?.checked_div(&self.factor)
    }
}

/// Units by code.
pub type Units = BTreeMap<String, Unit>;

/// An amount in base units; `None` where its unit is not listed or the number can't be read.
pub fn base(value: &str, unit: &str, units: &Units) -> Option<Exact> {
    units.get(unit)?.to_base(parse(value)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_forms_of_the_page_are_numbers() {
        let exact = |n, d| Some(Exact::new(n, d));
        assert_eq!(parse("22"), exact(22, 1));
        assert_eq!(parse("24.95"), exact(2495, 100));
        assert_eq!(parse("-0.5"), exact(-1, 2));
        assert_eq!(parse("9/16"), exact(9, 16));
        for text in ["", "-", "+1", "1e3", ".5", "5.", "1/0", "1/-2", " 1", "1 ", "½", "٣", "1.2/3", "0x1", "1_0"] {
            assert_eq!(parse(text), None, "{text:?}");
        }
        assert_eq!(parse(&"9".repeat(60)), None);
        assert_eq!(parse(&format!("0.{}", "1".repeat(60))), None);
    }
}
