//! Numbers as written, to exact values.
//!
//! A number is a whole number (`22`), a decimal with a dot (`6.4`), a fraction (`9/16`) or a mixed number (`3 1/2`).
//! Whatever two readers could read in two ways is refused with the forms that it may have meant: a value that is a
//! thousand times too large looks just as tidy on paper.

use super::{Exact, Written};

/// Most digits in a number, before and after the dot together. Far beyond what a workshop reads, and small enough
/// that conversions stay exact in 128 bits.
pub const MOST_DIGITS: usize = 12;

/// Largest denominator of a fraction: finer than any rule or drill is marked.
pub const LARGEST_DENOMINATOR: u16 = 1024;

/// What is wrong with a number as written. Every `write` is a form that [`parse`] takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NumberFault {
    /// `25,5`, `1,000`, `1.000`, `12.500`, `1.000.000`, `1 000`: a thousand or a decimal, depending on the reader.
    Ambiguous {
        /// As a decimal: `25.5`; none where it can't be one.
        decimal: Option<String>,
        /// As a whole number: `1000`; none where it can't be one.
        whole: Option<String>,
    },
    /// `3-4`, `3-1/2`: a fraction, a mixed number, a range or a subtraction.
    Hyphen {
        /// As a fraction or mixed number: `3/4`, `3 1/2`; none where no rule is marked so, as in 24ths.
        fraction: Option<String>,
        /// As the two ends of a range: `3` and `4`.
        range: Option<(String, String)>,
    },
    /// `3/0`
    ZeroDenominator,
    /// `9/4`, `4/2`, `3 5/2`, `0/4`, `0 1/2`: a fraction that isn't between nothing and one.
    Improper {
        /// `2 1/4`
        write: Option<String>,
    },
    /// More than [`MOST_DIGITS`] digits.
    TooManyDigits {
        /// How many stand there.
        digits: usize,
    },
    /// A denominator above [`LARGEST_DENOMINATOR`].
    FractionTooFine {
        /// As written.
        denominator: String,
    },
    /// `+25`, `-3`
    Sign {
        /// The sign as written.
        sign: char,
        /// The number without it.
        write: Option<String>,
    },
    /// `1e3`
    Exponent {
        /// Written out: `1000`.
        write: Option<String>,
    },
    /// `.5`
    MissingLeadingDigit {
        /// `0.5`
        write: Option<String>,
    },
    /// `5.`
    MissingDecimals {
        /// `5`
        write: Option<String>,
    },
    /// `007`, `08.5`
    LeadingZero {
        /// `7`
        write: Option<String>,
    },
    /// A digit or fraction of another script or a single sign: `½`, `٣`.
    OtherDigit {
        /// The first one.
        found: char,
        /// For `½` and its like: `1/2`.
        write: Option<String>,
    },
    /// Not a number at all.
    NotANumber,
}

impl NumberFault {
    /// What the writer may have meant, likeliest first; each is a number that [`parse`] takes. A range is left out.
    pub fn suggestions(&self) -> Vec<&str> {
        let both: [&Option<String>; 2] = match self {
            NumberFault::Ambiguous { decimal, whole } => [decimal, whole],
            NumberFault::Hyphen { fraction, .. } => [fraction, &None],
            NumberFault::Improper { write }
            | NumberFault::Sign { write, .. }
            | NumberFault::Exponent { write }
            | NumberFault::MissingLeadingDigit { write }
            | NumberFault::MissingDecimals { write }
            | NumberFault::LeadingZero { write }
            | NumberFault::OtherDigit { write, .. } => [write, &None],
            NumberFault::ZeroDenominator
            | NumberFault::TooManyDigits { .. }
            | NumberFault::FractionTooFine { .. }
            | NumberFault::NotANumber => [&None, &None],
        };
        both.into_iter().flatten().map(String::as_str).collect()
    }
}

/// Reads a number as written.
///
/// A dot is the decimal sign. `1.000` and `12.500` are refused all the same: one to three digits that don't begin
/// with a zero, a dot, and three digits of which the last is a zero are what many countries write for a thousand,
/// and a person who writes a decimal has no need of that zero. `0.125`, `6.4`, `1.375` and `12.50` are decimals.
///
/// # Errors
/// Says what is wrong and, where it can, what to write instead.
pub fn parse(text: &str) -> Result<(Exact, Written), NumberFault> {
    let text = text.trim();
    refuse_marks(text)?;
    if text.contains('/') {
        return fraction(text);
    }
    if text.contains(',') || text.contains(char::is_whitespace) || text.matches('.').count() > 1 {
        return Err(grouped(text));
    }
    decimal(text)
}

/// Reads a wire gauge: `8`, and `1/0` to `4/0`, which count 0, -1, -2, -3 (ASTM B258).
///
/// # Errors
/// As [`parse`].
pub fn parse_gauge(text: &str) -> Result<(Exact, Written), NumberFault> {
    let noughts = match text.trim() {
        "1/0" => 0,
        "2/0" => -1,
        "3/0" => -2,
        "4/0" => -3,
        other => return parse(other),
    };
    Ok((Exact::from_integer(noughts), Written::Decimals(0)))
}

/// Signs that make the text something else than a number, each with its own repair.
fn refuse_marks(text: &str) -> Result<(), NumberFault> {
    if let Some(found) = text.chars().find(|c| c.is_numeric() && !c.is_ascii_digit()) {
        return Err(NumberFault::OtherDigit { found, write: spell_out(text, found) });
    }
    if let Some(sign) = text.chars().next().filter(|c| "+-−–".contains(*c)) {
        return Err(NumberFault::Sign { sign, write: accepted(text.get(sign.len_utf8()..).unwrap_or("").trim()) });
    }
    if let Some((mantissa, power)) = text.split_once(['e', 'E']) {
        return match power.trim_start_matches('+').trim_start_matches('-') {
            digits if is_digits(digits) => Err(NumberFault::Exponent { write: write_out(mantissa, power) }),
            _ => Err(NumberFault::NotANumber),
        };
    }
    if let Some((left, right)) = text.split_once(['-', '−', '–', '\u{2010}', '\u{2011}']) {
        return Err(hyphen(left.trim(), right.trim()));
    }
    let odd = |c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '/') || c.is_whitespace());
    if !text.contains(|c: char| c.is_ascii_digit()) || text.contains(odd) {
        return Err(NumberFault::NotANumber);
    }
    Ok(())
}

/// `22`, `6.4`
fn decimal(text: &str) -> Result<(Exact, Written), NumberFault> {
    let (whole, decimals) = match text.split_once('.') {
        None => (text, ""),
        Some(("", digits)) => {
            return Err(NumberFault::MissingLeadingDigit { write: accepted(&format!("0.{digits}")) });
        }
        Some((whole, "")) => return Err(NumberFault::MissingDecimals { write: accepted(whole) }),
        Some(parts) => parts,
    };
    let digits = whole.len() + decimals.len();
    if digits > MOST_DIGITS {
        return Err(NumberFault::TooManyDigits { digits });
    }
    if whole.len() > 1 && whole.starts_with('0') {
        let rest = text.trim_start_matches('0');
        let rest = if rest.is_empty() || rest.starts_with('.') { format!("0{rest}") } else { rest.to_owned() };
        return Err(NumberFault::LeadingZero { write: accepted(&rest) });
    }
    if super::text::looks_like_thousands(whole, decimals) {
        return Err(grouped(text));
    }
    let value = digits_value(&format!("{whole}{decimals}")).ok_or(NumberFault::NotANumber)?;
    let places = u8::try_from(decimals.len()).map_err(|_| NumberFault::TooManyDigits { digits })?;
    let scale = 10_i128.checked_pow(u32::from(places)).ok_or(NumberFault::TooManyDigits { digits })?;
    Ok((Exact::new(value, scale), Written::Decimals(places)))
}

/// `9/16`, `3 1/2`
fn fraction(text: &str) -> Result<(Exact, Written), NumberFault> {
    let (left, denominator) = text.split_once('/').ok_or(NumberFault::NotANumber)?;
    let mut words = left.split_whitespace();
    let (whole, numerator) = match (words.next(), words.next(), words.next()) {
        (Some(numerator), None, None) => (None, numerator),
        (Some(whole), Some(numerator), None) => (Some(whole), numerator),
        _ => return Err(NumberFault::NotANumber),
    };
    let denominator = denominator.trim();
    let count = |digits: &str| -> Result<i128, NumberFault> {
        if digits.len() > MOST_DIGITS {
            return Err(NumberFault::TooManyDigits { digits: digits.len() });
        }
        digits_value(digits).ok_or(NumberFault::NotANumber)
    };
    let (whole_value, top, bottom) = (count(whole.unwrap_or("0"))?, count(numerator)?, count(denominator)?);
    if bottom == 0 {
        return Err(NumberFault::ZeroDenominator);
    }
    let fine = u16::try_from(bottom).ok().filter(|bottom| *bottom <= LARGEST_DENOMINATOR);
    let Some(fine) = fine else {
        return Err(NumberFault::FractionTooFine { denominator: denominator.to_owned() });
    };
    if top == 0 || top >= bottom || (whole.is_some() && whole_value == 0) {
        let total = whole_value.saturating_mul(bottom).saturating_add(top);
        let (units, rest) = (total / bottom, total % bottom);
        let write = match (units, rest) {
            (units, 0) => units.to_string(),
            (0, rest) => format!("{rest}/{bottom}"),
            (units, rest) => format!("{units} {rest}/{bottom}"),
        };
        return Err(NumberFault::Improper { write: accepted(&write) });
    }
    let zero_padded = |digits: &str| digits.len() > 1 && digits.starts_with('0');
    if whole.is_some_and(zero_padded) || zero_padded(numerator) || zero_padded(denominator) {
        let front = if whole.is_some() { format!("{whole_value} ") } else { String::new() };
        return Err(NumberFault::LeadingZero { write: accepted(&format!("{front}{top}/{bottom}")) });
    }
    // Twelve digits times 1024 stay far below what 128 bits hold.
    Ok((Exact::new(whole_value * bottom + top, bottom), Written::Fraction(fine)))
}

/// A number with a comma, a blank, or dots where some countries group thousands.
fn grouped(text: &str) -> NumberFault {
    let marks: Vec<char> = text.chars().filter(|c| !c.is_ascii_digit()).collect();
    let groups: Vec<&str> = text.split(|c: char| !c.is_ascii_digit()).collect();
    if groups.iter().any(|group| group.is_empty()) {
        return NumberFault::NotANumber;
    }
    let (first, later) = groups.split_first().map_or(("", &[][..]), |(first, later)| (*first, later));
    let in_threes = later.iter().all(|group| group.len() == 3) && first.len() <= 3 && first != "0";
    let same_mark = marks.windows(2).all(|pair| pair.first() == pair.last());
    let whole = (in_threes && same_mark).then(|| groups.concat()).and_then(|whole| accepted(&whole));
    let last_mark = marks.last().copied().unwrap_or('.');
    let decimal = match (later.split_last(), last_mark) {
        (Some((decimals, between)), ',' | '.')
            // One mark, or thousands in one mark and decimals in another: `1.234,5`.
            if between.is_empty() || (!same_mark && between.iter().all(|group| group.len() == 3)) =>
        {
            let front: String = std::iter::once(first).chain(between.iter().copied()).collect();
            accepted(&short_decimal(&front, decimals))
        }
        _ => None,
    };
    if decimal.is_none() && whole.is_none() {
        return NumberFault::NotANumber;
    }
    NumberFault::Ambiguous { decimal, whole }
}

/// A decimal that nobody takes for a thousand: without zeros at its end.
fn short_decimal(whole: &str, decimals: &str) -> String {
    match decimals.trim_end_matches('0') {
        "" => whole.to_owned(),
        decimals => format!("{whole}.{decimals}"),
    }
}

/// `3-4`, `3-1/2`
fn hyphen(left: &str, right: &str) -> NumberFault {
    let fraction = if right.contains('/') { format!("{left} {right}") } else { format!("{left}/{right}") };
    let range = accepted(left).zip(accepted(right));
    // No rule is marked in 24ths: `20-24` is a range.
    let is_one = right.contains('/') || matches!(right, "2" | "4" | "8" | "16" | "32" | "64");
    NumberFault::Hyphen { fraction: accepted(&fraction).filter(|_| is_one), range }
}

/// `1e3` as `1000`, `2.5e-2` as `0.025`.
fn write_out(mantissa: &str, power: &str) -> Option<String> {
    let power: i32 = power.parse().ok().filter(|power: &i32| power.unsigned_abs() <= 12)?;
    let (value, _) = decimal(mantissa).ok()?;
    let scale = Exact::from_integer(10).pow(power);
    let written_out = super::text::decimal(num_traits::CheckedMul::checked_mul(&value, &scale)?, 0)?;
    accepted(&written_out)
}

/// `½` as `1/2`, `3½` as `3 1/2`.
fn spell_out(text: &str, found: char) -> Option<String> {
    let plain = match found {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅓' => "1/3",
        '⅔' => "2/3",
        _ => return None,
    };
    accepted(text.replacen(found, &format!(" {plain}"), 1).split_whitespace().collect::<Vec<_>>().join(" ").as_str())
}

/// The text, if it is a number that needs no further repair.
fn accepted(text: &str) -> Option<String> {
    // A hyphen or sign would lead back here; such a text is no repair.
    let plain = text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '/' | ' '));
    let read = if text.contains('/') { fraction(text) } else { decimal(text) };
    (plain && !text.is_empty() && read.is_ok()).then(|| text.to_owned())
}

fn is_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

fn digits_value(text: &str) -> Option<i128> {
    is_digits(text).then(|| text.parse().ok()).flatten()
}
