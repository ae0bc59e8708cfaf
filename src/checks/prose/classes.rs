//! Classes of words that several rules look for, each once with its forms. What one rule alone means stands with that rule.
//!
//! The lists are ours, from memory; a word that is missing makes a rule silent, never loud.

use std::ops::Range;

use super::text::Text;

/// The pole of a battery that words say. The body of a vehicle is at the negative one; who has it otherwise says so in words by
/// which rules are silent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pole {
    Positive,
    Negative,
}

pub(super) const POSITIVE: &[&str] = &["positive", "plus"];
pub(super) const NEGATIVE: &[&str] = &["negative", "minus", "earth", "ground"];

/// Words that forbid what is said with them.
pub(super) const FORBIDS: &[&str] = &["not", "never", "don't", "don’t", "avoid", "cannot"];
/// Words by which something is done at another time, or on a condition.
pub(super) const ANOTHER_TIME: &[&str] = &["if", "unless", "after", "before", "until", "once", "or", "when"];

/// The same without what may only say how long.
pub(super) const NOT_NOW: &[&str] = &["if", "unless", "after", "before", "once", "when"];

/// Verbs that put a lead or plug on its place.
pub(super) const JOINS: &[&str] = &[
    "connect",
    "reconnect",
    "attach",
    "fit",
    "refit",
    "install",
    "reinstall",
    "put",
    "push",
    "plug",
    "place",
    "bolt",
    "join",
];
/// Verbs that take it off.
pub(super) const PARTS: &[&str] = &[
    "disconnect",
    "remove",
    "take",
    "lift",
    "unplug",
    "detach",
    "pull",
    "undo",
    "loosen",
    "unclamp",
    "unbolt",
    "free",
];

/// What carries current.
pub(super) const WIRES: &[&str] =
    &["wire", "wires", "wiring", "cable", "cables", "lead", "leads", "harness", "harnesses", "loom", "looms"];
/// What carries air or a fluid and bends.
pub(super) const HOSES: &[&str] = &["hose", "hoses"];
/// What is crimped or soldered on a wire.
pub(super) const TERMINALS: &[&str] = &[
    "terminal",
    "terminals",
    "lug",
    "lugs",
    "eyelet",
    "eyelets",
    "ferrule",
    "ferrules",
    "splice",
    "splices",
    "spade",
    "spades",
];

/// Verbs that put on a face what flows or is thick.
pub(super) const SPREADS: &[&str] =
    &["put", "apply", "brush", "dab", "smear", "spread", "coat", "spray", "roll", "wet", "drip", "drop", "add"];
/// Verbs that make slippery.
pub(super) const GREASES: &[&str] = &["grease", "oil", "lubricate", "wax"];
/// What makes slippery.
pub(super) const SLIPPERY: &[&str] =
    &["grease", "oil", "lubricate", "wax", "lubricant", "paste", "anti-seize", "antiseize"];
/// Verbs that paint.
pub(super) const PAINTS: &[&str] = &["prime", "paint", "lacquer", "varnish", "repaint", "underseal"];
/// What is painted on.
pub(super) const PAINT: &[&str] = &["primer", "paint", "lacquer", "varnish", "undercoat", "underseal", "wax"];
/// What holds a thread against turning, in one word.
pub(super) const LOCKING: &[&str] =
    &["threadlock", "threadlocker", "thread-lock", "thread-locker", "thread-locking", "locker"];

pub(super) const FASTENERS: &[&str] = &["bolt", "bolts", "nut", "nuts", "screw", "screws", "stud", "studs"];
pub(super) const LOOSENS: &[&str] = &["loosen", "undo", "unscrew", "slacken", "unbolt"];

pub(super) const HOLES: &[&str] = &["hole", "holes"];
pub(super) const MAKES_HOLES: &[&str] = &["drill", "punch", "cut", "bore", "saw"];
/// Verbs that make a hole larger.
pub(super) const WIDENS: &[&str] = &["enlarge", "widen", "ream", "redrill", "open"];

/// Where the edge of a hole is thin metal.
pub(super) const SHEETS: &[&str] = &[
    "floor", "bulkhead", "panel", "wall", "roof", "body", "firewall", "door", "sill", "pillar", "metal", "sheet",
    "bonnet", "wing", "plate", "skin",
];

/// The words of a text, in small letters.
pub(super) fn words_of(text: &str) -> Vec<String> {
    let all = text.to_lowercase();
    all.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// Whether a run of tokens has a word of a list, in small letters.
pub(super) fn says(text: &Text<'_>, mut run: Range<usize>, list: &[&str]) -> bool {
    run.any(|at| list.contains(&text.lower(at)))
}

/// Whether it has one of several lists.
pub(super) fn says_of(text: &Text<'_>, run: &Range<usize>, lists: &[&[&str]]) -> bool {
    lists.iter().any(|list| says(text, run.clone(), list))
}

/// Whether it has one of each of several lists.
pub(super) fn says_each(text: &Text<'_>, run: &Range<usize>, lists: &[&[&str]]) -> bool {
    lists.iter().all(|list| says(text, run.clone(), list))
}

/// The one pole that words say, by what is asked of them.
pub(super) fn pole(said: impl Fn(&[&str]) -> bool) -> Option<Pole> {
    match (said(POSITIVE), said(NEGATIVE)) {
        (true, false) => Some(Pole::Positive),
        (false, true) => Some(Pole::Negative),
        _ => None,
    }
}
