//! Numbers with a unit that stand in a text without brackets.

use std::ops::Range;

use super::text::{Text, TokenKind};
use super::verbs::BEFORE_THINGS;
use crate::model::{FactId, MentionTarget, Procedure};
use crate::quantity::{Exact, Kind, Measure, Quantity, Unit, Written, number};
use num_traits::ToPrimitive;

/// A quantity as it was written in a text.
pub(super) struct Amount {
    /// From its first number to its unit.
    pub run: Range<usize>,
    /// Its value; the lower end of a range.
    pub low: Quantity,
    /// The same, or the upper end of a range.
    pub high: Quantity,
}

impl Amount {
    pub fn kind(&self) -> Kind {
        self.high.kind()
    }
}

/// All quantities of a text that stand outside brackets, in order.
pub(super) fn of(text: &Text<'_>, english: bool) -> Vec<Amount> {
    let mut found: Vec<Amount> = Vec::new();
    let mut at = 0;
    while at < text.tokens.len() {
        match amount(text, at, english) {
            Some(amount) => {
                at = amount.run.end;
                found.push(amount);
            }
            None => at += 1,
        }
    }
    found
}

fn amount(text: &Text<'_>, at: usize, english: bool) -> Option<Amount> {
    if text.kind(at) != Some(TokenKind::Number) || is_part_of_a_name(text, at) {
        return None;
    }
    let (last, unit_at) = match second_end(text, at) {
        Some(second) => (second, second + 1),
        None => (at, at + 1),
    };
    let (unit, end) = unit(text, last, unit_at, english)?;
    let value = |at: usize| {
        let (value, written) = number::parse(&without_groups(text.word(at)).replacen('-', " ", 1)).ok()?;
        Some(Quantity::new(value, unit, written))
    };
    Some(Amount { run: at..end, low: value(at)?, high: value(last)? })
}

/// `16,500` as people write it in English: a thousand with a comma, which a quantity in brackets may not have.
fn without_groups(number: &str) -> String {
    let mut groups = number.split(',');
    let first = groups.next().is_some_and(|first| (1..=3).contains(&first.len()));
    let rest = groups.all(|group| group.split('.').next().is_some_and(|group| group.len() == 3));
    if first && rest { number.replace(',', "") } else { number.to_owned() }
}

/// Whether a number belongs to a mark or designation: `1/2-13`, `KR-10`, `#10`, `4.2.1`.
fn is_part_of_a_name(text: &Text<'_>, at: usize) -> bool {
    let Some(before) = at.checked_sub(1) else { return false };
    let sign = text.is_joined(at) && text.kind(before) == Some(TokenKind::Sign);
    sign && !matches!(text.word(before), "(" | "\"" | "~" | "±" | "\u{2013}" | "\u{2014}" | "'" | "“" | "‘")
}

/// The second number of a range: `10 to 12 mm`, `10–12 mm`, `10-12 mm`.
fn second_end(text: &Text<'_>, at: usize) -> Option<usize> {
    let between = text.lower(at + 1);
    let dash = matches!(between, "-" | "–" | "—");
    let range = between == "to" || dash || (between == "and" && at > 0 && text.lower(at - 1) == "between");
    (range && text.kind(at + 2) == Some(TokenKind::Number) && is_range(text, at, dash)).then_some(at + 2)
}

/// `1/2-13` is a thread, no range.
fn is_range(text: &Text<'_>, at: usize, dash: bool) -> bool {
    !(dash && text.word(at).contains('/') && !text.word(at + 2).contains('/'))
}

/// The unit that stands after a number, and the token after it.
fn unit(text: &Text<'_>, number: usize, at: usize, english: bool) -> Option<(Unit, usize)> {
    if text.is_sign(at, "\"") && text.is_joined(at) && !closes_a_quote(text, at) {
        return Some((Unit::lookup("in")?, at + 1));
    }
    // `4-inch`
    let at = if text.is_sign(at, "-") && text.is_joined(at) && text.is_joined(at + 1) { at + 1 } else { at };
    if text.kind(at) != Some(TokenKind::Word) {
        return None;
    }
    let two = format!("{} {}", text.word(at), text.word(at + 1));
    if text.kind(at + 1) == Some(TokenKind::Word) {
        let scale = match two.to_lowercase().as_str() {
            "degrees c" | "degrees celsius" | "deg c" => Some("degC"),
            "degrees f" | "degrees fahrenheit" | "deg f" => Some("degF"),
            _ => None,
        };
        if let Some(unit) = Unit::lookup(scale.unwrap_or(&two)) {
            return Some((unit, at + 2));
        }
    }
    let word = text.word(at);
    let unit = Unit::lookup(word).or_else(|| Unit::lookup(&word.to_lowercase()).filter(|_| word.len() > 3))?;
    let is_one = match word {
        "in" => inches(text, number, at, english),
        // Bars of steel, feet of a rack, and the smallest words of other languages.
        "bars" => false,
        "feet" => at.checked_sub(2).is_none_or(|before| !BEFORE_THINGS.contains(&text.lower(before))),
        _ => true,
    };
    is_one.then_some((unit, at + 1))
}

/// Whether a quote mark closes what an earlier one opened.
fn closes_a_quote(text: &Text<'_>, at: usize) -> bool {
    (0..at).filter(|before| text.is_sign(*before, "\"") && !follows_a_number(text, *before)).count() % 2 == 1
}

fn follows_a_number(text: &Text<'_>, at: usize) -> bool {
    text.is_joined(at) && at.checked_sub(1).and_then(|before| text.kind(before)) == Some(TokenKind::Number)
}

/// Words after which `in` is a unit, and not where something is: `4 in from the edge`.
const AFTER_INCHES: &[&str] = &[
    "from",
    "above",
    "below",
    "long",
    "wide",
    "deep",
    "high",
    "thick",
    "apart",
    "of",
    "away",
    "past",
    "beyond",
    "behind",
    "beside",
    "over",
    "under",
    "off",
    "out",
    "inside",
    "outside",
    "between",
    "diameter",
    "clear",
    "x",
    "to",
    "or",
    "and",
    "hole",
    "holes",
    "gap",
    "at",
    "on",
    "with",
    "for",
    "forward",
    "back",
    "up",
    "down",
    "left",
    "right",
    "toward",
    "towards",
    "by",
    "along",
    "around",
    "per",
    "in",
    "into",
    "onto",
    "beneath",
    "across",
    "square",
    "drive",
    "clearance",
    "overlap",
    "play",
    "slack",
    "radius",
    "bend",
];

/// Whether `in` after a number is the inch.
fn inches(text: &Text<'_>, number: usize, at: usize, english: bool) -> bool {
    let parted = text.word(number).contains(['/', '.']);
    let next = text.lower(at + 1);
    if !english {
        return parted;
    }
    match text.kind(at + 1) {
        None | Some(TokenKind::Sign) => true,
        Some(TokenKind::Number) => parted,
        Some(TokenKind::Mention(_)) => false,
        Some(TokenKind::Word) => {
            !BEFORE_THINGS.contains(&next) && (parted || AFTER_INCHES.contains(&next) || is_sized(next))
        }
    }
}

/// Things whose size is part of what they are called: a 10 mm spanner stays one, whatever the reader's units.
const SIZED: &str = "spanner wrench socket key bit drill driver screwdriver ratchet drive bolt screw capscrew nut locknut stud washer
 lockwasher rod pin rivet tube tubing pipe hose cable wire tie strap tape plate bar channel angle beam board plank rope chain
 sling ladder jack hammer vise vice jaw rule ruler gauge gage wheel tyre tire disc disk blade saw tap die punch chisel file brush
 clamp ring lug terminal sleeve grommet bracket spacer shim block tank bottle can tin cartridge jar bucket filter bearing seal o-ring
 fitting connector trailer truck crane hoist extension hex allen torx thread pipe-thread nipple coupling adapter adaptor plug stock
 steel lumber timber tread mesh screen grit bulb lamp monitor crowbar pry-bar feeler micrometer caliper conduit duct
 duct-tape cord line lead harness standoff dowel anchor eyebolt hook shackle carabiner pulley belt chuck collet reamer countersink";

/// Whether a word, in small letters and in either number, is such a thing.
fn is_sized(word: &str) -> bool {
    let one = word.strip_suffix('s').unwrap_or(word);
    let two = word.strip_suffix("es").unwrap_or(word);
    // `flatwasher`, `capscrew`, `locknut`
    let compound = ["washer", "nut", "screw", "bolt", "wrench"].iter().any(|end| one.ends_with(end));
    compound || SIZED.split_ascii_whitespace().any(|known| known == word || known == one || known == two)
}

/// Whether a quantity belongs to what a thing is called: `the 10 mm spanner`, `an M8 x 30 mm bolt`, `size 12 mm`.
pub(super) fn names_a_thing(text: &Text<'_>, amount: &Amount) -> bool {
    let start = amount.run.start;
    let before = start.checked_sub(1).map(|before| text.lower(before)).unwrap_or_default();
    if matches!(
        before,
        "x" | "×" | "*" | "model" | "type" | "size" | "no" | "part" | "item" | "step" | "number" | "wire"
    ) {
        return true;
    }
    for at in amount.run.end..(amount.run.end + 4).min(text.tokens.len()) {
        match text.kind(at) {
            Some(TokenKind::Word) if is_sized(text.lower(at)) => return true,
            Some(TokenKind::Word) if BREAKS.contains(&text.lower(at)) => return false,
            Some(TokenKind::Word) => {}
            // `4-inch`, `M8 x 30 mm (hex) bolt`, `1/2 in x 2 in bolt`
            Some(TokenKind::Number) => {}
            Some(TokenKind::Sign) if matches!(text.word(at), "-" | "\"" | "×") => {}
            Some(TokenKind::Mention(number)) => {
                return text.mentions.get(number).is_some_and(|mention| is_thing(&mention.target));
            }
            _ => return false,
        }
    }
    false
}

/// Words that end what a thing is called.
const BREAKS: &[&str] = &[
    "of", "from", "in", "on", "at", "to", "with", "and", "or", "for", "by", "into", "onto", "above", "below", "behind",
    "before", "after", "until", "when", "while", "if", "between", "is", "are", "through", "over", "under", "past",
    "away", "apart", "long", "deep", "per", "hole", "holes", "gap", "gaps", "the", "a", "an", "each", "along",
    "towards", "toward", "off", "out", "up", "down", "back",
];

fn is_thing(target: &MentionTarget) -> bool {
    matches!(target, MentionTarget::Part(_) | MentionTarget::Tool(_) | MentionTarget::Protection(_))
}

/// The quantity that a mention states, or the fact that it names.
pub(super) fn mentioned(procedure: &Procedure, target: &MentionTarget) -> Option<Measure> {
    match target {
        MentionTarget::Quantity(measure) => Some(*measure),
        MentionTarget::Fact(id) => Some(fact(procedure, *id)),
        _ => None,
    }
}

fn fact(procedure: &Procedure, id: FactId) -> Measure {
    procedure.facts[id].value
}

/// Whether two quantities are the same amount, in whatever units.
pub(super) fn same(one: &Quantity, other: &Quantity) -> bool {
    one.compare(other) == Some(std::cmp::Ordering::Equal)
}

/// Whether two quantities are one amount that was rounded: less than half of the last digit written apart, either way.
pub(super) fn about_the_same(one: &Quantity, other: &Quantity) -> bool {
    let base = |quantity: &Quantity| quantity.base().and_then(|base| Exact::to_f64(&base));
    let (Some(left), Some(right)) = (base(one), base(other)) else { return false };
    let step = |quantity: &Quantity| quantity.unit.factor().to_f64().unwrap_or(1.0) * last_digit(quantity);
    one.kind() == other.kind() && (left - right).abs() <= 0.51 * step(one).max(step(other))
}

fn last_digit(quantity: &Quantity) -> f64 {
    match quantity.written {
        Written::Decimals(places) => 10_f64.powi(-i32::from(places)),
        Written::Fraction(denominator) => 1.0 / f64::from(denominator.max(1)),
    }
}
