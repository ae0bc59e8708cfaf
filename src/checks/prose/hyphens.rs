//! FW1204: a hyphen that may stand for a fraction or for a range.

use super::Words;
use super::text::{Sort, Text, TokenKind};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::quantity::Unit;

/// Every place of a text where a hyphen stands in what may be a fraction: `7-16 in`, `a 9-16 spanner`.
pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    for at in 0..text.tokens.len() {
        let Some((top, below)) = parted(text, at) else { continue };
        if !is_fraction(top, below) || !(is_length(text, at + 3) || is_sized(text, at + 3, below)) {
            continue;
        }
        let run = at..at + 3;
        let Some(place) = text.place(&run) else { continue };
        let said = text.slice(&run);
        let title = if text.sort == Sort::Title { format!(" in \"{}\"", text.words) } else { String::new() };
        words.tell(
            Finding::new(
                Code::FW1204,
                format!("`{said}`{title} can be read as {top}/{below} or as {top} to {below}"),
                place,
                "a hyphen between two numbers",
            )
            .because("Whoever reads the other one lays out a wrong tool, or drills a wrong hole.")
            .mend(
                [format!("{top}/{below}"), format!("{top} to {below}")]
                    .map(|form| Mend::look(format!("Write `{form}`"), Change::Word(place, said.to_owned(), form))),
            )
            .repair(format!(
                "Write the fraction with a stroke, `{top}/{below}`, or the range in words, `{top} to {below}`."
            )),
        );
    }
}

/// Two whole numbers with a hyphen between, no part of anything longer.
fn parted(text: &Text<'_>, at: usize) -> Option<(u32, u32)> {
    let whole =
        |at: usize| (text.kind(at) == Some(TokenKind::Number)).then(|| text.word(at).parse::<u32>().ok()).flatten();
    let hyphen = text.is_sign(at + 1, "-") || text.is_sign(at + 1, "\u{2011}") || text.is_sign(at + 1, "\u{2010}");
    let joined = text.is_joined(at + 1) && text.is_joined(at + 2);
    let begins = !text.is_joined(at) || matches!(text.word(at.wrapping_sub(1)), "(" | "\"");
    let ends = !(text.is_joined(at + 3) && text.is_sign(at + 3, "-") && text.kind(at + 4) == Some(TokenKind::Number));
    (hyphen && joined && begins && ends).then_some(())?;
    Some((whole(at)?, whole(at + 2)?))
}

/// A proper fraction of a rule that is marked in halves, quarters, and so on.
fn is_fraction(top: u32, below: u32) -> bool {
    top < below && top % 2 == 1 && matches!(below, 2 | 4 | 8 | 16 | 32 | 64)
}

fn is_length(text: &Text<'_>, at: usize) -> bool {
    if text.is_sign(at, "\"") {
        return text.is_joined(at);
    }
    let at = if text.is_sign(at, "-") && text.is_joined(at) && text.is_joined(at + 1) { at + 1 } else { at };
    let inch = Unit::lookup("in");
    text.kind(at) == Some(TokenKind::Word) && inch.is_some() && Unit::lookup(text.lower(at)) == inch
}

/// Things that are called by a fraction of an inch.
fn is_sized(text: &Text<'_>, at: usize, below: u32) -> bool {
    const TOOLS: &[&str] = &["drive", "socket", "spanner", "wrench", "drill", "bit", "key", "ratchet"];
    const FASTENERS: &[&str] = &[
        "bolt",
        "bolts",
        "nut",
        "nuts",
        "washer",
        "washers",
        "screw",
        "screws",
        "capscrew",
        "capscrews",
        "stud",
        "studs",
    ];
    // `3-4 screws` are three or four.
    let things = if below >= 8 { [TOOLS, FASTENERS].concat() } else { TOOLS.to_vec() };
    (at..at + 2).take_while(|at| text.kind(*at) == Some(TokenKind::Word)).any(|at| things.contains(&text.lower(at)))
}
