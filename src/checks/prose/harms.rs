//! FW1222, FW1223 and FW1224: what hangs on its hose, grease on what brakes, wires and hoses on what is hot.
//!
//! Each is wrong wherever it stands, by the words of one sentence (common practice, from memory). A sentence that forbids it, or that
//! keeps a distance or puts something between, is not meant.

use std::ops::Range;

use super::Words;
use super::classes::{FORBIDS, GREASES, HOSES, SLIPPERY, SPREADS, WIRES, says, says_of};
use super::sentences::opening_verb;
use super::text::{Sort, Text};
use crate::diagnostics::{Code, Finding};
use crate::source::Span;

/// Words that leave nothing of it, beside those that forbid it.
const NOTHING: &[&str] = &["no", "without", "nothing", "free"];
const HANGS: &[&str] = &["hang", "hangs", "hanging", "dangle", "dangles", "swing"];
const ITS: &[&str] = &["its", "the", "their"];
/// Wires on which something can hang, beside hoses; on a piece of wire it hangs well.
const FINE: &[&str] = &["wires", "wiring", "harness"];
/// What must stay dry, where no word says that another side of it is meant.
const FRICTION: &[&str] =
    &["disc", "discs", "rotor", "rotors", "lining", "linings", "shoes", "drum", "drums", "pad", "pads"];
const OTHER_SIDE: &[&str] = &[
    "back",
    "backs",
    "edge",
    "edges",
    "ear",
    "ears",
    "pin",
    "pins",
    "hub",
    "guide",
    "guides",
    "rear",
    "behind",
    "slide",
    "slides",
    "bolt",
    "bolts",
    "rubber",
    "carrier",
    "off",
    "from",
    "clean",
    "spring",
    "anchor",
    "contact",
    "thrust",
    "ends",
    "polishing",
    "sanding",
    "foam",
];
const LAYS: &[&str] =
    &["run", "route", "lay", "lead", "pull", "tie", "fasten", "clip", "tape", "strap", "rest", "push", "feed", "fix"];
const ON: &[&str] = &["along", "on", "onto", "over", "against", "to", "across", "around", "round", "beside"];
const HOT: &[&str] = &["exhaust", "manifold", "turbocharger", "silencer", "muffler", "catalyst"];
const APART: &[&str] = &[
    "away",
    "clear",
    "from",
    "shield",
    "shielded",
    "sleeve",
    "distance",
    "least",
    "apart",
    "clearance",
    "cold",
    "gap",
    "hanger",
    "hangers",
    "bracket",
    "clamp",
    "side",
    "opposite",
    "sensor",
    "brake",
];

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    if !words.english || text.sort != Sort::Instruction {
        return;
    }
    for sentence in text.sentences().to_vec() {
        let verb = text.lower(opening_verb(text, sentence.start, sentence.end).unwrap_or(sentence.start));
        let found =
            hung(text, &sentence).or_else(|| greased(text, &sentence, verb)).or_else(|| hot(text, &sentence, verb));
        if let Some((code, place)) = found.filter(|_| !says_of(text, &sentence, &[FORBIDS, NOTHING])) {
            words.tell(finding(code, place));
        }
    }
}

/// `Let the caliper hang on its hose.`; a hook or a steel wire is right.
fn hung(text: &Text<'_>, sentence: &Range<usize>) -> Option<(Code, Span)> {
    let at = sentence.clone().find(|at| HANGS.contains(&text.lower(*at)))?;
    let on = (at + 1..sentence.end.min(at + 4)).find(|at| matches!(text.lower(*at), "on" | "by" | "from" | "at"))?;
    let is_its = ITS.contains(&text.lower(on + 1));
    let hose = (on + 2..sentence.end.min(on + 4))
        .find(|at| HOSES.contains(&text.lower(*at)) || FINE.contains(&text.lower(*at)))?;
    let place = text.place(&(at..hose + 1))?;
    // `Hang the hose from the hooks`, `hang the lamp from the wiring hook`.
    let ends = hose + 1 >= sentence.end || !text.lower(hose + 1).chars().next().is_some_and(char::is_alphabetic);
    (is_its && ends).then_some((Code::FW1222, place))
}

fn greased(text: &Text<'_>, sentence: &Range<usize>, verb: &str) -> Option<(Code, Span)> {
    if ![SPREADS, GREASES, &["wipe"]].iter().any(|list| list.contains(&verb)) {
        return None;
    }
    let is_told = says(text, sentence.clone(), SLIPPERY)
        && says(
            text,
            sentence.clone(),
            &["brake", "faces", "face", "friction", "lining", "linings", "disc", "discs", "rotor"],
        )
        && !says(text, sentence.clone(), OTHER_SIDE);
    let at = sentence.clone().skip(1).find(|at| FRICTION.contains(&text.lower(*at)));
    // A brush or a pad with which it is put on is none.
    let tool = at
        .is_some_and(|at| (at.saturating_sub(3)..at).any(|at| matches!(text.lower(at), "with" | "using" | "a" | "an")));
    text.place(&(at?..at? + 1)).filter(|_| is_told && !tool).map(|place| (Code::FW1223, place))
}

fn hot(text: &Text<'_>, sentence: &Range<usize>, verb: &str) -> Option<(Code, Span)> {
    // A line to what is hot may belong there; one along it does not.
    let bends = says_of(text, sentence, &[WIRES, HOSES]);
    let is_line = LAYS.contains(&verb) && (bends || says(text, sentence.clone(), &["line", "lines"]));
    if !is_line || says(text, sentence.clone(), APART) {
        return None;
    }
    let hot = sentence.clone().find(|at| HOT.contains(&text.lower(*at)))?;
    let is_small = |at: &usize| matches!(text.lower(*at), "the" | "hot");
    let on = (sentence.start..hot).rev().find(|at| !is_small(at))?;
    let is_on = ON.contains(&text.lower(on)) && (bends || !matches!(text.lower(on), "on" | "onto" | "to"));
    let place = text.place(&(on..hot + 1))?;
    is_on.then_some((Code::FW1224, place))
}

fn finding(code: Code, place: Span) -> Finding {
    let (message, label, why, repair) = match code {
        Code::FW1222 => (
            "something is left to hang on its hose or wires",
            "they carry it here",
            "A hose that carries a caliper tears inside, where nobody sees it, and fails when the brake is needed; wires break at their ends.",
            "Have it hung on a hook or a piece of steel wire, so that hose and wires stay slack.",
        ),
        Code::FW1223 => (
            "the words put grease or oil on what brakes",
            "must stay dry",
            "A greased brake does not hold.",
            "Say which side is meant, such as the back of the pads or the guide pins; clean friction faces with brake cleaner only.",
        ),
        _ => (
            "the words lay a wire or hose on what gets hot",
            "gets hot",
            "Insulation melts there: a wire shorts to the body, a hose leaks onto hot metal, and both can burn the vehicle.",
            "Lay it elsewhere, and say how far it stays away: `[100 mm] away from the exhaust`. Where it has to pass, say what shields it.",
        ),
    };
    Finding::new(code, message, place, label).because(why).repair(repair)
}
