//! FW1211: wiring that only the words tell, where nothing of the procedure states a circuit or what a lead is left as.
//!
//! A sentence is told where its verb acts on something that is surely electrical. The lists are ours, from memory; a word that is
//! missing makes the rule silent, never loud.

use std::ops::Range;

use super::Words;
use super::sentences::{clauses, opening_verb};
use super::text::{Sort, Text, TokenKind};
use crate::diagnostics::{Code, Finding};
use crate::model::{MentionTarget, Procedure, StepId};
use crate::source::Span;

/// Verbs that are wiring where they act on a wire.
const WIRES: &[&str] = &[
    "connect",
    "reconnect",
    "disconnect",
    "splice",
    "solder",
    "crimp",
    "wire",
    "rewire",
    "join",
    "attach",
    "detach",
    "fit",
    "refit",
    "install",
    "reinstall",
    "route",
    "run",
    "lay",
    "remove",
    "insert",
    "position",
    "put",
    "strip",
    "plug",
    "unplug",
    "replace",
    "feed",
    "pull",
    "bolt",
    "take",
    "lift",
    "secure",
    "tape",
];
/// Verbs that part or join what they act on.
const CONNECTS: &[&str] = &["connect", "reconnect", "disconnect", "plug", "unplug"];
/// What is electrical by its name alone.
const ELECTRICAL: &[&str] =
    &["wire", "wires", "wiring", "splice", "splices", "conductor", "conductors", "pigtail", "pigtails"];
/// What is electrical where the words before it say so.
const WITH_A_WORD: &[&str] = &[
    "cable",
    "cables",
    "lead",
    "leads",
    "harness",
    "harnesses",
    "connector",
    "connectors",
    "lug",
    "lugs",
    "terminal",
    "terminals",
];
/// The words that say so.
const SAYS_SO: &[&str] = &[
    "battery",
    "batteries",
    "positive",
    "negative",
    "ground",
    "earth",
    "electrical",
    "electric",
    "wiring",
    "wire",
    "starter",
    "alternator",
    "generator",
    "lamp",
    "light",
    "headlight",
    "terminal",
    "feed",
    "intervehicular",
    "ring",
    "spade",
    "butt",
    "lug",
    "lugs",
    "solenoid",
    "ignition",
    "horn",
    "charger",
];
/// What a wire is not when it stands before or after these.
const NOT_BEFORE: &[&str] = &[
    "brush",
    "brushes",
    "rope",
    "ropes",
    "braid",
    "mesh",
    "stripper",
    "strippers",
    "cutter",
    "cutters",
    "tie",
    "ties",
    "wheel",
    "loom",
    "screen",
    "nut",
    "nuts",
    "bolt",
    "bolts",
    "clamp",
    "clamps",
    "cover",
    "covers",
    "gauge",
    "spring",
    "cap",
    "caps",
];
const NOT_AFTER: &[&str] = &[
    "safety",
    "locking",
    "lock",
    "lacing",
    "tie",
    "binding",
    "mechanic's",
    "test",
    "meter",
    "jumper",
    "hose",
    "fuel",
    "air",
    "hydraulic",
];
/// Where what a verb acts on ends.
const ENDS: &[&str] = &[
    "at", "to", "from", "in", "on", "over", "by", "through", "into", "onto", "under", "before", "after", "until", "so",
    "that", "where", "when", "if", "while", "because", "per", "between", "around", "along", "against", "behind",
    "using", "then", "without", "as", "for", "away",
];

/// Whether nothing of the procedure says anything of wiring or of what is on and off.
pub(super) fn is_unstated(procedure: &Procedure) -> bool {
    procedure.circuits.rows().is_empty() && procedure.states.rows().is_empty()
}

/// Tells the first such sentence of a step; `told` are the steps of which it was told.
pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>, told: &mut Vec<StepId>) {
    let Some(step) = text.step.filter(|_| words.english && text.sort == Sort::Instruction) else { return };
    if told.contains(&step) {
        return;
    }
    let found = text.sentences().iter().find_map(|sentence| wired(words.procedure, text, sentence));
    if let Some(place) = found.and_then(|run| text.place(&run)) {
        told.push(step);
        words.tell(finding(words.procedure, step, place));
    }
}

/// A verb and what it acts on, where that is wiring.
fn wired(procedure: &Procedure, text: &Text<'_>, sentence: &Range<usize>) -> Option<Range<usize>> {
    let mut starts = clauses(text, sentence);
    starts.extend(sentence.clone().filter(|at| text.lower(*at) == "and").map(|at| at + 1));
    starts.into_iter().find_map(|start| {
        let verb = opening_verb(text, start, sentence.end)?;
        let is_forbidden = (start..verb).any(|at| matches!(text.lower(at), "not" | "never"));
        let acts = WIRES.contains(&text.lower(verb)) && !is_forbidden;
        acts.then(|| object(text, verb, sentence.end))
            .filter(|object| is_electrical(procedure, text, verb, object))
            .map(|object| verb..object.end.max(verb + 1))
    })
}

/// What a verb acts on, up to where and how it does.
fn object(text: &Text<'_>, verb: usize, end: usize) -> Range<usize> {
    let ends = |at: &usize| {
        let is_sign =
            text.kind(*at) == Some(TokenKind::Sign) && !matches!(text.word(*at), "(" | ")" | "\"" | "-" | "/");
        is_sign || ENDS.contains(&text.lower(*at))
    };
    let from = verb + 1;
    from..(from..end).find(ends).unwrap_or(end)
}

/// The words of what a verb acts on, those of titles among them, in small letters.
fn said(procedure: &Procedure, text: &Text<'_>, object: &Range<usize>) -> Vec<String> {
    let title = |target: &MentionTarget| match target {
        MentionTarget::Part(part) => procedure.parts[*part].name.title.clone(),
        _ => String::new(),
    };
    let words = object.clone().filter(|at| text.kind(*at) != Some(TokenKind::Sign));
    words
        .flat_map(|at| match text.mention(at) {
            Some(mention) => title(&mention.target).split_whitespace().map(plain).collect(),
            None => vec![plain(text.word(at))],
        })
        .collect()
}

fn plain(word: &str) -> String {
    word.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase()
}

fn is_electrical(procedure: &Procedure, text: &Text<'_>, verb: usize, object: &Range<usize>) -> bool {
    let words = said(procedure, text, object);
    let is = |at: Option<usize>, list: &[&str]| {
        at.and_then(|at| words.get(at)).is_some_and(|word| list.contains(&word.as_str()))
    };
    let connects = CONNECTS.contains(&text.lower(verb));
    (0..words.len()).any(|at| {
        let before = at.checked_sub(1);
        // `terminal lug covers` are covers.
        let ends = (at + 1..words.len()).find(|next| !is(Some(*next), WITH_A_WORD));
        if is(before, NOT_AFTER) || is(ends, NOT_BEFORE) {
            return false;
        }
        let says_so = words.iter().any(|word| SAYS_SO.contains(&word.as_str()) && words.get(at) != Some(word));
        is(Some(at), ELECTRICAL)
            || (is(Some(at), WITH_A_WORD) && says_so)
            || (connects && is(Some(at), &["battery", "batteries"]) && at + 1 == words.len())
    })
}

fn finding(procedure: &Procedure, step: StepId, place: Span) -> Finding {
    let row = &procedure.steps[step];
    Finding::new(
        Code::FW1211,
        format!("step {} wires something, and no line states it", row.number),
        place,
        "wiring that only the words tell",
    )
    .also(row.name.span, "the step")
    .because(
        "Wire, fuse, drop, the order of connection and work on what is live are judged of circuits and states; of words nothing is, \
         and no record asks for them.",
    )
    .repair(
        "Declare the circuit, each line with your own value or `unknown \"why\"`: `circuit lamp-feed \"Lamp\" { source 12 V  load 5 A  \
         run 2 m  wire 2.5 mm2 copper  insulation 105 degC  ambient 50 degC  fuse 7.5 A at 100 mm  point lamp plug  point post plug }`. \
         Then write `connect lamp-feed at lamp, post` in this step. Of a lead that only comes off and goes on again, declare a `state` \
         and write `make STATE …`. Or accept it with the reason why it needs neither.",
    )
}
