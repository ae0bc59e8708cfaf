//! Exact values as digits.

use num_integer::Integer;
use num_traits::{CheckedMul, Signed};

use super::{Exact, Written};

/// All decimals of a value, at least `least` of them; `None` where they never end (a third).
pub(super) fn decimal(value: Exact, least: u8) -> Option<String> {
    let mut rest = *value.denom();
    for prime in [2, 5] {
        while rest % prime == 0 {
            rest /= prime;
        }
    }
    if rest != 1 {
        return None;
    }
    let (whole, mut over) = value.numer().checked_abs()?.div_rem(value.denom());
    let mut decimals = String::new();
    while over != 0 {
        let (digit, next) = over.checked_mul(10)?.div_rem(value.denom());
        decimals.push_str(&digit.to_string());
        over = next;
    }
    while decimals.len() < usize::from(least) {
        decimals.push('0');
    }
    let sign = if value.is_negative() { "-" } else { "" };
    Some(if decimals.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{decimals}") })
}

/// The value as it was written, with more digits where the way it was written can't hold it. Always exact.
pub(super) fn written(value: Exact, written: Written) -> String {
    let as_decimal = |least| decimal(value, least);
    let text = match written {
        // `1.250` might be a thousand to someone (see `number::parse`); nothing of ours writes it.
        Written::Decimals(places) => as_decimal(places).map(|text| {
            let (whole, decimals) = text.trim_start_matches('-').split_once('.').unwrap_or((&text, ""));
            let like_a_thousand = looks_like_thousands(whole, decimals);
            if like_a_thousand { as_decimal(0).unwrap_or(text) } else { text }
        }),
        Written::Fraction(denominator) => mixed(value, i128::from(denominator)).or_else(|| as_decimal(0)),
    };
    text.or_else(|| mixed(value, *value.denom())).unwrap_or_else(|| format!("{value}"))
}

/// Whether digits before and after a dot are how many countries write a thousand: `1.000`, `12.500`.
pub(super) fn looks_like_thousands(whole: &str, decimals: &str) -> bool {
    whole != "0" && whole.len() <= 3 && decimals.len() == 3 && decimals.ends_with('0')
}

/// `3 1/2`, with this denominator; `None` if the value isn't a whole number of such parts.
fn mixed(value: Exact, denominator: i128) -> Option<String> {
    let parts = value.checked_mul(&Exact::from_integer(denominator)).filter(Exact::is_integer)?;
    let (whole, top) = parts.numer().checked_abs()?.div_rem(&denominator);
    let sign = if value.is_negative() { "-" } else { "" };
    Some(match (whole, top) {
        (whole, 0) => format!("{sign}{whole}"),
        (0, top) => format!("{sign}{top}/{denominator}"),
        (whole, top) => format!("{sign}{whole} {top}/{denominator}"),
    })
}

/// A wire gauge: `8`, and `1/0` for 0, `2/0` for -1 (ASTM B258).
pub(super) fn gauge(value: Exact) -> Option<String> {
    let number = value.is_integer().then(|| *value.numer())?;
    match number {
        1.. => Some(number.to_string()),
        -3..=0 => Some(format!("{}/0", 1 - number)),
        _ => None,
    }
}
