//! FW1205 and FW1206: words that nobody can check.
//!
//! The words are those that guides to plain technical English and to the writing of requirements commonly warn of (from memory;
//! common practice). *Finger-tight* and *hand-tight* say what the hand does, and *watertight* what is tried; they are no such words.

use std::ops::Range;

use super::Words;
use super::text::{Sort, Text, TokenKind};
use crate::diagnostics::{Change, Code, Finding, Mend};

/// One word alone.
const WORDS: &[&str] = &[
    "snug",
    "snugly",
    "snugged",
    "securely",
    "properly",
    "firmly",
    "tightly",
    "correctly",
    "adequate",
    "adequately",
    "sufficient",
    "sufficiently",
    "appropriate",
    "appropriately",
    "suitable",
    "suitably",
    "satisfactory",
    "satisfactorily",
    "reasonable",
    "reasonably",
];

/// Several words, as they follow each other.
const PHRASES: &[&[&str]] = &[
    &["as", "needed"],
    &["as", "required"],
    &["as", "necessary"],
    &["as", "appropriate"],
    &["if", "necessary"],
    &["if", "needed"],
    &["if", "required"],
    &["when", "necessary"],
    &["when", "needed"],
    &["when", "required"],
    &["where", "necessary"],
    &["where", "needed"],
    &["where", "required"],
    &["if", "appropriate"],
    &["where", "appropriate"],
    &["when", "appropriate"],
];

/// Words after which *tight* says how far something is tightened, and not where or what it is: a tight corner, a tight fit.
const AFTER_TIGHT: &[&str] = &[
    "and", "or", "with", "by", "against", "to", "on", "but", "before", "after", "again", "until", "when", "in", "at",
    "enough",
];

/// What a hand tries.
const TRIED: &[&str] = &["play", "wiggle", "wobble", "movement", "gap"];

/// Verbs that tighten.
const TIGHTENS: &[&str] = &[
    "tighten",
    "retighten",
    "fasten",
    "screw",
    "turn",
    "torque",
    "snug",
    "do",
    "draw",
    "pull",
    "clamp",
    "bolt",
    "nip",
    "run",
];

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    if !words.english || matches!(text.sort, Sort::Danger | Sort::Heading | Sort::Title | Sort::Prose) {
        return;
    }
    for sentence in text.sentences().to_vec() {
        if is_told_by_play(text, &sentence) {
            continue;
        }
        for run in found(text, &sentence) {
            let Some(place) = text.place(&run) else { continue };
            let said = text.slice(&run).to_lowercase();
            words.tell(finding(text, &sentence, &said, place));
        }
    }
}

/// The words of a sentence that nobody can check.
fn found(text: &Text<'_>, sentence: &Range<usize>) -> Vec<Range<usize>> {
    let mut all = Vec::new();
    for at in sentence.clone() {
        if text.kind(at) != Some(TokenKind::Word) {
            continue;
        }
        let word = text.lower(at);
        let phrase = PHRASES.iter().find(|phrase| {
            let mut behind = phrase.iter().enumerate().skip(1);
            let begins = phrase.first() == Some(&word);
            begins
                && behind.all(|(n, wanted)| text.lower(at + n) == *wanted)
                && at + phrase.len() <= sentence.end
                && stands_alone(text, at, phrase, sentence)
        });
        if let Some(phrase) = phrase {
            all.push(at..at + phrase.len());
        } else if (WORDS.contains(&word) && !is_excused(text, at)) || (word == "tight" && is_how_tight(text, at)) {
            all.push(at..at + 1);
        }
    }
    all
}

/// `as required by local law`, `when required for the work`, `if needed by …` say by whom or what for.
fn stands_alone(text: &Text<'_>, at: usize, phrase: &[&str], sentence: &Range<usize>) -> bool {
    let after = at + phrase.len();
    let next = text.lower(after);
    after >= sentence.end || !(next == "by" || (next == "in" && phrase.first() == Some(&"as")))
}

/// `sufficient to …` and the like are told by what follows; `snug-tight` stands with its hyphen in one word and is none of these.
fn is_excused(text: &Text<'_>, at: usize) -> bool {
    // `not properly`, `correctly torqued to [22 N.m]`: what follows can be checked.
    let next = text.lower(at + 1);
    let torqued = matches!(next, "torqued" | "tightened") && text.lower(at + 2) == "to";
    torqued || (text.lower(at) == "sufficient" && next == "to")
}

/// `snug, without play`: of a joint that is tight, what can be tried is said beside it.
fn is_told_by_play(text: &Text<'_>, sentence: &Range<usize>) -> bool {
    let free = |at: usize| matches!(text.lower(at), "no" | "without");
    text.sort == Sort::Tight && sentence.clone().any(|at| free(at) && TRIED.contains(&text.lower(at + 1)))
}

/// Whether *tight* stands where it says how far: at the end, or before a word that goes on with something else.
fn is_how_tight(text: &Text<'_>, at: usize) -> bool {
    match text.kind(at + 1) {
        None | Some(TokenKind::Sign) => true,
        Some(TokenKind::Word) => AFTER_TIGHT.contains(&text.lower(at + 1)),
        _ => false,
    }
}

fn finding(text: &Text<'_>, sentence: &Range<usize>, said: &str, place: crate::source::Span) -> Finding {
    if text.sort == Sort::Tight {
        return Finding::new(
            Code::FW1205,
            format!("`{said}` is nothing that a person can see of a tight joint"),
            place,
            "each hand finds another end",
        )
        .because("One stops too early, and the joint comes loose; another turns on, and it breaks.")
        .repair(
            "Say what can be seen or felt when it is done, such as `tight \"head flat on the foot\"` or `tight \"spring washer \
             flat\"`; or state a torque.",
        );
    }
    let first = sentence.clone().find(|at| text.kind(*at) == Some(TokenKind::Word));
    let tightens = first.is_some_and(|at| TIGHTENS.contains(&text.lower(at)));
    if tightens && text.sort == Sort::Instruction && !said.contains(' ') {
        return Finding::new(
            Code::FW1205,
            format!("`{said}` does not say when to stop tightening"),
            place,
            "each hand finds another end",
        )
        .because("One stops too early, and the joint comes loose; another turns on, and it breaks.")
        .repair("Say what can be seen or felt when it is done (`until it no longer turns by hand`), or declare a joint with its torque.");
    }
    let repair = match said {
        said if said.starts_with("if")
            || said.starts_with("when")
            || said.starts_with("where")
            || said.starts_with("as") =>
        {
            "Say when it is needed, by something that can be seen or measured; or make it a branch with `when`."
        }
        _ => "Say what can be seen, felt or measured when it is done; where the word adds nothing, leave it out.",
    };
    let left_out = repair.contains("leave it out") && said.starts_with(char::is_lowercase);
    Finding::new(Code::FW1206, format!("nobody can check `{said}`"), place, "means something else to each reader")
        .mend(left_out.then(|| Mend::look("Leave it out", Change::Cut(place))))
        .because("What one takes for done, another does not; and whoever inspects the work can't tell either.")
        .repair(repair)
}
