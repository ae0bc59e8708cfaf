//! The same quantity in another unit, exactly: an inch is 25.4 mm and a pound 0.45359237 kg (international yard and pound
//! agreement, 1959); a pound-force is that of standard gravity, 9.80665 m/s² (3rd CGPM, 1901).

use num_integer::gcd;

use super::Variants;
use crate::bred::text::Word;

/// A unit, another, and how many of the other are one, as a fraction.
const SAME: &[(&str, &str, i128, i128)] = &[
    ("mm", "in", 5, 127),
    ("in", "mm", 127, 5),
    ("m", "ft", 1250, 381),
    ("ft", "m", 381, 1250),
    ("kg", "g", 1000, 1),
    ("lb", "kg", 45_359_237, 100_000_000),
    ("lbf.in", "lbf.ft", 1, 12),
    ("lbf.ft", "lbf.in", 12, 1),
    ("min", "s", 60, 1),
    ("mOhm", "Ohm", 1, 1000),
];

pub fn put(variants: &mut Variants) {
    let text = variants.text;
    for statement in &text.statements {
        let is_read = match statement.home {
            "joint" | "circuit" | "part" | "tool" => true,
            "file" => matches!(statement.word.as_str(), "given" | "measure" | "fact"),
            "check" => statement.word == "expect",
            "step" => statement.word == "takes",
            _ => false,
        };
        if !is_read || matches!(statement.word.as_str(), "point" | "onto" | "wire") {
            continue;
        }
        let words = text.words(statement);
        for (unit, other, up, down) in SAME {
            let mut changes = Vec::new();
            for (at, word) in words.iter().enumerate().filter(|(_, word)| word.text == *unit) {
                let Some((from, (n, d))) = number_before(&words, at) else { continue };
                let (n, d) = (n * up, d * down);
                let common = gcd(n, d).max(1);
                changes
                    .push((words[from].at.start..word.at.end, format!("{} {other}", written(n / common, d / common))));
            }
            if !changes.is_empty() {
                variants.statement("another unit", statement, changes);
            }
        }
    }
}

/// The number that stands before a unit, with the word at which it begins: `22`, `0.6`, `9/16`, `3 1/2`.
fn number_before(words: &[Word], unit: usize) -> Option<(usize, (i128, i128))> {
    let last = unit.checked_sub(1)?;
    let (n, d) = number(&words[last].text)?;
    let whole = last.checked_sub(1).and_then(|at| words[at].text.parse::<i128>().ok());
    match whole.filter(|_| words[last].text.contains('/')) {
        Some(whole) => Some((last - 1, (whole * d + n, d))),
        None => Some((last, (n, d))),
    }
}

fn number(text: &str) -> Option<(i128, i128)> {
    if let Some((n, d)) = text.split_once('/') {
        return Some((n.parse().ok()?, d.parse().ok()?));
    }
    let (whole, rest) = text.split_once('.').unwrap_or((text, ""));
    let scale = 10_i128.checked_pow(u32::try_from(rest.len()).ok()?)?;
    Some((format!("{whole}{rest}").parse().ok()?, scale))
}

/// As a decimal where it ends, else as a fraction.
fn written(n: i128, d: i128) -> String {
    let mut scale: i128 = 1;
    let mut digits = 0;
    while digits < 12 && (n * scale) % d != 0 {
        scale *= 10;
        digits += 1;
    }
    if (n * scale) % d != 0 {
        return if n > d { format!("{} {}/{d}", n / d, n % d) } else { format!("{n}/{d}") };
    }
    let value = n * scale / d;
    if digits == 0 { value.to_string() } else { format!("{}.{:0digits$}", value / scale, value % scale) }
}
