//! One form for equal data: JSON as RFC 8785 writes it (JSON Canonicalization Scheme), and digests of that form.
//!
//! Members stand in the order of their names' UTF-16 code units, nothing stands between tokens, text has the shortest
//! escapes, numbers are written as ECMAScript writes the double nearest to them.

use std::fmt::Write as _;

use serde_json::Value;
use sha2::{Digest, Sha256};

/// The canonical form of a value.
pub fn canonical(value: &Value) -> String {
    let mut out = String::new();
    write_value(value, &mut out);
    out
}

/// SHA-256 of the canonical form, as 64 lower-case hex digits.
pub fn digest(value: &Value) -> String {
    sha256(canonical(value).as_bytes())
}

/// SHA-256 of bytes, as 64 lower-case hex digits.
pub fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut hex, byte| {
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

/// Depth is bounded by whoever read the value: the JSON reader goes 128 levels down.
fn write_value(value: &Value, out: &mut String) {
    match value {
        Value::Null => out.push_str("null"),
        Value::Bool(true) => out.push_str("true"),
        Value::Bool(false) => out.push_str("false"),
        Value::Number(number) => write_number(number, out),
        Value::String(text) => write_text(text, out),
        Value::Array(values) => {
            out.push('[');
            for (at, value) in values.iter().enumerate() {
                if at > 0 {
                    out.push(',');
                }
                write_value(value, out);
            }
            out.push(']');
        }
        Value::Object(members) => {
            let mut sorted: Vec<(&String, &Value)> = members.iter().collect();
            // Not the order of UTF-8: a letter outside the basic plane begins with a surrogate, below U+E000.
            sorted.sort_by(|(a, _), (b, _)| a.encode_utf16().cmp(b.encode_utf16()));
            out.push('{');
            for (at, (name, value)) in sorted.into_iter().enumerate() {
                if at > 0 {
                    out.push(',');
                }
                write_text(name, out);
                out.push(':');
                write_value(value, out);
            }
            out.push('}');
        }
    }
}

fn write_text(text: &str, out: &mut String) {
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\u{8}' => out.push_str("\\b"),
            '\t' => out.push_str("\\t"),
            '\n' => out.push_str("\\n"),
            '\u{c}' => out.push_str("\\f"),
            '\r' => out.push_str("\\r"),
            c if c < ' ' => {
                let _ = write!(out, "\\u{:04x}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
}

fn write_number(number: &serde_json::Number, out: &mut String) {
    // A whole number beyond 2^53 is the nearest double too, as in every reader that follows ECMAScript.
    let Some(double) = number.as_f64() else { return };
    if double == 0.0 {
        out.push('0');
        return;
    }
    if double < 0.0 {
        out.push('-');
    }
    // The fewest digits that name this double, and its power of ten: `1.5e-7`.
    let mut shortest = format!("{:e}", double.abs());
    // Of several with so few digits ECMAScript takes the nearest, and of two equally near the even one.
    let digits = shortest.bytes().take_while(|byte| *byte != b'e').filter(u8::is_ascii_digit).count();
    let nearest = format!("{:.*e}", digits.saturating_sub(1), double.abs());
    if nearest.parse() == Ok(double.abs()) {
        shortest = nearest;
    }
    let (mantissa, exponent) = shortest.split_once('e').unwrap_or((&shortest, "0"));
    let digits = mantissa.replace('.', "");
    let exponent: i32 = exponent.parse().unwrap_or_default();
    write_digits(&digits, exponent + 1, out);
}

/// `Number::toString` of ECMA-262: digits with the decimal point behind the first `point` of them.
fn write_digits(digits: &str, point: i32, out: &mut String) {
    let count = i32::try_from(digits.len()).unwrap_or(i32::MAX);
    let zeros = |count: i32| "0".repeat(usize::try_from(count).unwrap_or_default());
    let (first, rest) = digits.split_at(1.min(digits.len()));
    if count <= point && point <= 21 {
        let _ = write!(out, "{digits}{}", zeros(point - count));
    } else if 0 < point && point <= 21 {
        let (whole, decimals) = digits.split_at(usize::try_from(point).unwrap_or_default());
        let _ = write!(out, "{whole}.{decimals}");
    } else if -6 < point && point <= 0 {
        let _ = write!(out, "0.{}{digits}", zeros(-point));
    } else {
        let dot = if rest.is_empty() { "" } else { "." };
        let sign = if point > 0 { "+" } else { "" };
        let _ = write!(out, "{first}{dot}{rest}e{sign}{}", point - 1);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(json: &str) -> String {
        canonical(&serde_json::from_str(json).expect("JSON"))
    }

    /// FIPS 180-4, the example of one block (from memory).
    #[test]
    fn the_digest_of_the_standard() {
        assert_eq!(sha256(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    /// RFC 8785, sections 3.2.2 and 3.2.3 (from memory; `tests/oracles/canonical_*` compare with other programs).
    #[test]
    fn the_examples_of_the_rfc() {
        let example = r#"{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
            "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}"#;
        assert_eq!(
            of(example),
            "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],\
             \"string\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}"
        );
        let sorting = r#"{"\u20ac": 1, "\r": 2, "\ufb33": 3, "1": 4, "\ud83d\ude00": 5, "\u0080": 6, "\u00f6": 7}"#;
        assert_eq!(of(sorting), "{\"\\r\":2,\"1\":4,\"\u{80}\":6,\"ö\":7,\"€\":1,\"😀\":5,\"\u{fb33}\":3}");
    }

    /// RFC 8785, appendix B (from memory).
    #[test]
    fn numbers_as_ecmascript_writes_them() {
        let numbers = [
            ("0", "0"),
            ("-0.0", "0"),
            ("5e-324", "5e-324"),
            ("1.7976931348623157e308", "1.7976931348623157e+308"),
            ("9007199254740992", "9007199254740992"),
            ("-9007199254740992", "-9007199254740992"),
            ("9007199254740993", "9007199254740992"),
            ("295147905179352830000", "295147905179352830000"),
            ("9.999999999999997e22", "9.999999999999997e+22"),
            ("1e23", "1e+23"),
            ("1.0000000000000001e23", "1.0000000000000001e+23"),
            ("999999999999999700000", "999999999999999700000"),
            ("1e21", "1e+21"),
            ("0.000001", "0.000001"),
            ("0.0000001", "1e-7"),
            ("333333333.33333343", "333333333.33333343"),
            ("-0.0000033333333333333333", "-0.0000033333333333333333"),
            ("1424953923781206.25", "1424953923781206.2"),
        ];
        for (written, wanted) in numbers {
            assert_eq!(of(written), wanted, "{written}");
        }
    }
}
