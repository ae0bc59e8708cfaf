//! FW1207, FW1208 and FW1209: one instruction a sentence, short sentences, and an instruction in each sentence of a step.
//!
//! The bounds are those that guides to plain technical English commonly give (from memory; common practice): 20 words in an
//! instruction, 25 elsewhere.

use std::ops::Range;

use super::super::words::capital;
use super::Words;
use super::text::{Sort, Text, TokenKind};
use super::verbs::{
    BEFORE_THINGS, FINITE, LEADING, PRONOUNS, SEEKS, STATEMENT_OPENERS, SUBORDINATORS, SURELY_FINITE, follows_a_verb,
    is_also_a_thing, is_verb,
};
use crate::diagnostics::{Change, Code, Finding, Mend};

/// Most words in a sentence of a step.
pub(super) const MOST_IN_A_STEP: usize = 20;
/// Most words in any other sentence.
pub(super) const MOST_ELSEWHERE: usize = 25;

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    if !words.english || matches!(text.sort, Sort::Heading | Sort::Title | Sort::Question | Sort::Tight) {
        return;
    }
    for sentence in text.sentences().to_vec() {
        length(words, text, &sentence);
        if text.sort != Sort::Instruction {
            continue;
        }
        match second_instruction(text, &sentence) {
            Some(second) => several(words, text, &sentence, second),
            None if has_no_instruction(text, &sentence) => without(words, text, &sentence),
            None => {}
        }
    }
}

/// How many words a sentence has: a number with its unit, a mention and a word with hyphens are one each; what stands in
/// parentheses is a sentence of its own.
fn count(text: &Text<'_>, sentence: &Range<usize>) -> usize {
    let (mut outside, mut inside, mut most_inside, mut depth) = (0, 0, 0, 0_usize);
    for at in sentence.clone() {
        let counts = match text.kind(at) {
            Some(TokenKind::Sign) => false,
            // A unit after its number.
            Some(TokenKind::Word) if at > sentence.start && text.kind(at - 1) == Some(TokenKind::Number) => {
                crate::quantity::Unit::lookup(text.word(at)).is_none()
            }
            // The second part of `7-16`.
            Some(TokenKind::Number) => !(at >= 2 && text.is_joined(at) && text.is_sign(at - 1, "-")),
            Some(_) => true,
            None => false,
        };
        if text.is_sign(at, "(") {
            depth += 1;
            inside = 0;
        } else if text.is_sign(at, ")") {
            depth = depth.saturating_sub(1);
            most_inside = most_inside.max(inside);
        } else if counts && depth > 0 {
            inside += 1;
        } else if counts {
            outside += 1;
        }
    }
    outside.max(most_inside).max(inside)
}

fn length(words: &mut Words<'_>, text: &Text<'_>, sentence: &Range<usize>) {
    let most = if text.sort == Sort::Instruction { MOST_IN_A_STEP } else { MOST_ELSEWHERE };
    let long = count(text, sentence);
    let Some(place) = text.place(sentence).filter(|_| long > most) else { return };
    let what = if text.sort == Sort::Instruction { "an instruction" } else { "a sentence" };
    words.tell(
        Finding::new(Code::FW1208, format!("{what} of {long} words"), place, format!("{most} at most"))
            .because("Whoever reads it with a tool in hand has lost its beginning when he comes to its end.")
            .repair("Make two sentences of it, or a list."),
    );
}

/// The verb of the instruction with which a sentence, or a clause of it, begins: at or after `from`.
pub(super) fn opening_verb(text: &Text<'_>, from: usize, end: usize) -> Option<usize> {
    let mut at = from;
    let mut skipped = 0;
    while at < end && skipped < 4 {
        let word = text.lower(at);
        match text.kind(at) {
            Some(TokenKind::Word) if is_verb(word) && !(word == "do" && is_not(text, at + 1)) => return Some(at),
            Some(TokenKind::Word) if LEADING.contains(&word) => skipped += 1,
            Some(TokenKind::Sign) if matches!(text.word(at), "\"" | "(" | "*" | ",") => {}
            _ => return None,
        }
        at += 1;
    }
    None
}

fn is_not(text: &Text<'_>, at: usize) -> bool {
    matches!(text.lower(at), "not" | "never")
}

/// A place where a clause may begin: after a comma, semicolon, colon or dash, or after *then*.
pub(super) fn clauses(text: &Text<'_>, sentence: &Range<usize>) -> Vec<usize> {
    let mut starts = vec![sentence.start];
    for at in sentence.clone() {
        if matches!(text.word(at), "," | ";" | ":" | "–" | "—" | ")") || text.lower(at) == "then" {
            starts.push(at + 1);
        }
    }
    starts
}

/// Whether a sentence tells nobody to do anything; `false` where that is not sure.
fn has_no_instruction(text: &Text<'_>, sentence: &Range<usize>) -> bool {
    let end = sentence.end;
    if clauses(text, sentence).into_iter().any(|start| start < end && opening_verb(text, start, end).is_some()) {
        return false;
    }
    let word_from = |from: usize| (from..end).find(|at| text.kind(*at) != Some(TokenKind::Sign));
    let Some(first) = word_from(sentence.start) else { return false };
    let opener = text.lower(first);
    if SUBORDINATORS.contains(&opener) || IN_FRONT.contains(&opener) {
        // What is told comes after the comma.
        let comma = (first..end).find(|at| text.is_sign(*at, ","));
        return comma.and_then(|comma| word_from(comma + 1)).is_some_and(|main| is_statement(text, main, end));
    }
    is_statement(text, first, end)
}

/// Words with which something begins that stands before what is told.
const IN_FRONT: &[&str] = &["to", "for", "with", "without", "in", "on", "at", "during", "by", "under", "from", "using"];

/// Whether a clause that begins with no instruction states something.
fn is_statement(text: &Text<'_>, first: usize, end: usize) -> bool {
    let opener = text.lower(first);
    if PRONOUNS.contains(&opener) {
        return true;
    }
    let states = |words: &[&str]| {
        let main = (first + 1..end).take_while(|at| !SUBORDINATORS.contains(&text.lower(*at)));
        main.into_iter().any(|at| words.contains(&text.lower(at)))
    };
    let begins = STATEMENT_OPENERS.contains(&opener) || text.mention(first).is_some();
    if begins {
        return states(FINITE) || has_verb_after(text, first, end);
    }
    // A first word that we don't know may be a verb that we don't know: it is one where a thing follows it.
    let may_be_verb = is_verb(opener) || BEFORE_THINGS.contains(&text.lower(first + 1));
    let is_word = text.kind(first) == Some(TokenKind::Word);
    is_word && !may_be_verb && !LEADING.contains(&opener) && states(SURELY_FINITE)
        || (opener == "all" && states(SURELY_FINITE))
}

/// Whether a statement has a verb in the third person after its beginning: `The hose leads hydrogen out.`
fn has_verb_after(text: &Text<'_>, first: usize, end: usize) -> bool {
    (first + 2..end).any(|at| {
        let word = text.lower(at);
        let base = |cut: &str| word.strip_suffix(cut).is_some_and(is_verb);
        base("s") || base("es")
    })
}

/// The verb of a second instruction in a sentence that begins with one.
fn second_instruction(text: &Text<'_>, sentence: &Range<usize>) -> Option<usize> {
    let end = sentence.end;
    let mut first = None;
    for start in clauses(text, sentence) {
        first = opening_verb(text, start, end);
        if first.is_some() {
            break;
        }
        // `The bolts are tight; check them`: only what begins with an instruction has two of them.
    }
    let first = first?;
    let mut open = true;
    let mut depth = 0_usize;
    for at in first + 1..end {
        let word = text.lower(at);
        match text.word(at) {
            "(" => depth += 1,
            ")" => depth = depth.saturating_sub(1),
            "," | ";" => open = depth == 0 && (open || text.word(at) == ";" || !list_goes_on(text, at, end)),
            _ => {}
        }
        if is_short_aside(text, at, end) {
            continue;
        }
        if SUBORDINATORS.contains(&word) || FINITE.contains(&word) || word == "not" || word == "to" {
            open = open && word == "to" && !is_infinitive(text, at + 1);
        }
        if word == "then" {
            open = true;
        }
        let joins = matches!(word, "and" | "then")
            || text.is_sign(at, ";")
            || (text.is_sign(at, ",") && !is_joined_later(text, at, end));
        if !open || depth > 0 || !joins {
            continue;
        }
        // `Connect and secure the cable`: after the first verb nothing else than a verb can stand.
        let at_once = (at == first + 1 && word == "and" && is_verb(text.lower(at + 1))).then_some(at + 1);
        if let Some(second) =
            at_once.or_else(|| instruction_at(text, at + 1, end)).filter(|second| !is_one_act(text, first, at, *second))
        {
            return Some(second);
        }
    }
    None
}

/// Whether two words say on what something depends and are over: `as shown`, `if necessary`.
fn is_short_aside(text: &Text<'_>, at: usize, end: usize) -> bool {
    let over =
        at + 2 >= end || text.kind(at + 2) == Some(TokenKind::Sign) || AFTER_ASIDES.contains(&text.lower(at + 2));
    matches!(text.lower(at), "as" | "if" | "where" | "when") && ASIDES.contains(&text.lower(at + 1)) && over
}

/// What an aside says.
const ASIDES: &[&str] = &[
    "shown",
    "marked",
    "described",
    "needed",
    "required",
    "necessary",
    "possible",
    "before",
    "above",
    "below",
    "illustrated",
    "directed",
    "specified",
    "indicated",
    "applicable",
    "received",
    "follows",
    "instructed",
];
/// What may stand after it.
const AFTER_ASIDES: &[&str] = &["and", "then", "in", "on", "at", "by", "here", "above", "below"];

/// Whether a verb follows *to*, and not a thing: *to hold it*, but *to ground*.
fn is_infinitive(text: &Text<'_>, at: usize) -> bool {
    let word = text.lower(at);
    is_verb(word) && (!is_also_a_thing(word) || BEFORE_THINGS.contains(&text.lower(at + 1)))
}

/// Whether a comma belongs to a list of things: `nuts, washers, and bolts`.
fn list_goes_on(text: &Text<'_>, at: usize, end: usize) -> bool {
    (at + 1..(at + 4).min(end)).any(|next| text.is_sign(next, ","))
}

/// A comma before *and* or *then* is counted there.
fn is_joined_later(text: &Text<'_>, at: usize, end: usize) -> bool {
    at + 1 < end && matches!(text.lower(at + 1), "and" | "then" | "or" | "but")
}

/// The verb of an instruction that surely begins here.
fn instruction_at(text: &Text<'_>, from: usize, end: usize) -> Option<usize> {
    let mut at = from;
    while at < end && (LEADING.contains(&text.lower(at)) || text.lower(at).ends_with("ly")) && !is_verb(text.lower(at))
    {
        if matches!(text.lower(at), "not" | "never" | "do") {
            return None;
        }
        at += 1;
    }
    let word = text.lower(at);
    if at >= end || text.kind(at) != Some(TokenKind::Word) || !is_verb(word) {
        return None;
    }
    let next = text.lower(at + 1);
    if SEEKS.contains(&word) && matches!(next, "for" | "that" | "whether" | "if") {
        return Some(at);
    }
    let thing = BEFORE_THINGS.contains(&next)
        || matches!(text.kind(at + 1), Some(TokenKind::Mention(_)))
        || (text.kind(at + 1) == Some(TokenKind::Number) && at + 1 < end);
    let after_then = from > 0 && text.lower(from - 1) == "then" && !FINITE.contains(&next);
    let sure = if after_then {
        true
    } else if is_also_a_thing(word) {
        thing
    } else {
        thing || follows_a_verb(next) || is_plain_object(text, at + 1, end)
    };
    (at + 1 < end && sure).then_some(at)
}

/// Whether a word stands after a plain verb as what it acts on: `remove cover`, `tighten bolts`.
fn is_plain_object(text: &Text<'_>, at: usize, end: usize) -> bool {
    let word = text.lower(at);
    text.kind(at) == Some(TokenKind::Word) && at < end && !FINITE.contains(&word) && !matches!(word, "and" | "or")
}

/// Two verbs that are one act of the hand: *press and hold the button*, *push and turn the knob*.
fn is_one_act(text: &Text<'_>, first: usize, and: usize, second: usize) -> bool {
    const ACTS: &[&str] = &[
        "press", "push", "pull", "grip", "lift", "squeeze", "hold", "turn", "twist", "rotate", "release", "depress",
        "grasp",
    ];
    first + 1 == and && ACTS.contains(&text.lower(first)) && ACTS.contains(&text.lower(second))
}

/// Words with which what follows depends on something.
const CONDITIONS: &[&str] =
    &["if", "when", "where", "unless", "once", "should", "until", "whenever", "wherever", "while"];

fn several(words: &mut Words<'_>, text: &Text<'_>, sentence: &Range<usize>, second: usize) {
    let Some(place) = text.place(&(second..second + 1)) else { return };
    // Where a comma parts them, more than one word may lead over to the second.
    let leads_over = second.checked_sub(1).filter(|before| matches!(text.lower(*before), "and" | "then"));
    let leads_over = leads_over.and_then(|before| text.place(&(before..second + 1)));
    let parted = leads_over
        .map(|run| Mend::look("Make it a sentence of its own", Change::Sentence(run, capital(text.word(second)))));
    // Parted from its condition the second instruction would be done always.
    let condition = text.lower(sentence.start);
    let depends = CONDITIONS.contains(&condition);
    let repair = if depends {
        format!(
            "It is done only `{condition} …`: write a branch for it (`when` what was read, with each instruction in a sentence of its \
             own), or say the condition again in each sentence."
        )
    } else {
        "Write each instruction as a sentence of its own, on a line of its own.".to_owned()
    };
    words.tell(
        Finding::new(
            Code::FW1207,
            format!("a second instruction begins in this sentence, with `{}`", text.word(second)),
            place,
            "one more thing to do",
        )
        .because("Who does the first and looks back finds the sentence read, and the second is left out.")
        .repair(repair)
        .mend(parted.filter(|_| !depends)),
    );
}

fn without(words: &mut Words<'_>, text: &Text<'_>, sentence: &Range<usize>) {
    let Some(place) = text.place(sentence) else { return };
    // What must be so is no remark.
    let is_demand =
        sentence.clone().any(|at| matches!(text.word(at).to_lowercase().as_str(), "must" | "shall" | "may"));
    words.tell(
        Finding::new(Code::FW1209, "this sentence of a step tells nobody to do anything", place, "a statement")
            .because("In a step people look for what to do; what is merely so is read past, or taken for done.")
            .repair(
                "Begin it with what to do (`Turn the knob to ON.`), say what must be so in an `expect \"…\"`, or what is worth knowing \
                 in a `note \"…\"`.",
            )
            .mend([(!is_demand).then_some(("Make it a note", "note")), Some(("Say that it must be so", "expect"))].into_iter().flatten().map(
                |(title, word)| Mend::look(title, Change::Note(place, word)),
            )),
    );
}
