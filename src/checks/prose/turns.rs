//! FW0764 and FW0765: a thread that is turned the wrong way round, and bolts that the words tighten in another order than their joint states.
//!
//! Threads are right-handed where nothing of the procedure says otherwise: clockwise closes them, seen from the side on which one turns.

use std::ops::Range;

use super::Words;
use super::classes::{FASTENERS, LOOSENS, says};
use super::fastened::only_joint;
use super::sentences::opening_verb;
use super::text::{Sort, Text, titles};
use crate::diagnostics::{Code, Finding};
use crate::model::{JointId, MentionTarget, PatternOrder, Procedure};
use crate::source::Span;

const AGAINST: &[&str] = &["anticlockwise", "anti-clockwise", "counterclockwise", "counter-clockwise"];
const TURNS: &[&str] = &["turn", "screw", "run", "spin", "wind", "rotate", "thread"];
const TIGHT: &[&str] = &["hand-tight", "finger-tight", "tight", "tightened", "seats", "seated", "snug"];
/// Other threads, a view from the other side, or an order rather than a turn.
const OTHERWISE: &[&str] = &[
    "left-hand",
    "left-handed",
    "reverse",
    "reversed",
    "gas",
    "lpg",
    "propane",
    "valve",
    "tap",
    "knob",
    "adjuster",
    "turnbuckle",
    "jack",
    "seen",
    "viewed",
    "behind",
    "inside",
    "order",
    "pattern",
    "sequence",
    "round",
    "around",
    "not",
    "never",
    "union",
    "handle",
    "wheel",
    "crank",
    "cover",
    "jam",
    "until",
    "back",
    "then",
    "turnbuckles",
    "extractor",
];
const TIGHTENS: &[&str] = &["tighten", "torque", "retighten", "snug"];
/// Words of an order across, or of one that stands elsewhere.
const ACROSS: &[&str] = &["cross", "crosswise", "crossways", "criss-cross", "crisscross", "diagonal", "diagonally"];
const ANY_ORDER: &[&str] = &[
    "opposite",
    "star",
    "across",
    "alternate",
    "alternately",
    "pattern",
    "order",
    "sequence",
    "shown",
    "not",
    "never",
    "middle",
    "centre",
    "center",
    "outwards",
    "check",
    "again",
];
const SIDE_BY_SIDE: &[&[&str]] = &[
    &["one", "after", "the", "other"],
    &["one", "after", "another"],
    &["in", "turn"],
    &["in", "a", "row"],
    &["side", "by", "side"],
    &["from", "left", "to", "right"],
    &["from", "right", "to", "left"],
    &["in", "a", "circle"],
    &["round", "the", "circle"],
    &["around", "the", "circle"],
    &["round", "the", "ring"],
    &["around", "the", "ring"],
];

/// Whether a text or title of the procedure speaks of left-hand threads: then none is sure.
pub(super) fn speaks_of_left_hand(procedure: &Procedure, texts: &[Text<'_>]) -> bool {
    let left = |text: &Text<'_>| {
        (0..text.tokens.len()).any(|at| {
            let word = text.lower(at);
            word.starts_with("left-hand") || (word == "left" && matches!(text.lower(at + 1), "hand" | "handed"))
        })
    };
    texts.iter().any(left) || titles(procedure).iter().any(left)
}

/// FW0764.
pub(super) fn direction(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english {
        return;
    }
    let turned = |text: &Text<'_>| {
        let sentences = text.sentences().iter().filter(|_| text.sort == Sort::Instruction && text.step.is_some());
        sentences.filter_map(|sentence| is_wrong(words.procedure, text, sentence)).collect::<Vec<_>>()
    };
    let found: Vec<(Span, bool)> = texts.iter().flat_map(turned).collect();
    if found.is_empty() || speaks_of_left_hand(words.procedure, texts) {
        return;
    }
    for (place, tightens) in found {
        let (what, way) = if tightens { ("tight", "anticlockwise") } else { ("loose", "clockwise") };
        let other = if tightens { "clockwise" } else { "anticlockwise" };
        words.tell(
            Finding::new(
                Code::FW0764,
                format!("a thread is turned {way} until it is {what}"),
                place,
                "the wrong way round for a right-hand thread",
            )
            .because("A bolt or nut that is turned this way comes off, or is torn off.")
            .repair(format!("Write `{other}`. Where the thread is a left-hand one, say so: `left-hand thread`.")),
        );
    }
}

/// The word of the direction, where it is the wrong one, and whether something is tightened.
fn is_wrong(procedure: &Procedure, text: &Text<'_>, sentence: &Range<usize>) -> Option<(Span, bool)> {
    let at = sentence.clone().find(|at| {
        let word = text.lower(*at);
        word == "clockwise" || AGAINST.contains(&word)
    })?;
    let against = text.lower(at) != "clockwise";
    let verb = text.lower(opening_verb(text, sentence.start, sentence.end)?);
    let is_turned = TURNS.contains(&verb);
    let tightens = TIGHTENS.contains(&verb) || (is_turned && says(text, sentence.clone(), TIGHT));
    let loosens = LOOSENS.contains(&verb) || (is_turned && says(text, sentence.clone(), &["loose", "loosen"]));
    // `Tighten the bolts clockwise`: round the flange.
    let is_order = !is_turned && says(text, sentence.clone(), &["bolts", "nuts", "screws", "studs"]);
    let others = sentence.clone().filter(|at| !matches!(text.lower(*at), "until"));
    let otherwise = others.into_iter().any(|at| OTHERWISE.contains(&text.lower(at)));
    let is_fastener = says(text, sentence.clone(), FASTENERS)
        || sentence.clone().filter_map(|at| text.mention(at)).any(|mention| match mention.target {
            MentionTarget::Joint(_) => true,
            MentionTarget::Part(part) => procedure.parts[part].fastener.is_some(),
            _ => false,
        });
    let is_wrong = (against && tightens && !loosens) || (!against && loosens && !tightens);
    (is_wrong && is_fastener && !is_order && !otherwise).then(|| text.place(&(at..at + 1)))?.map(|at| (at, tightens))
}

/// FW0765.
pub(super) fn order(words: &mut Words<'_>, text: &Text<'_>) {
    let (Some(step), true) = (text.step.filter(|_| text.sort == Sort::Instruction), words.english) else { return };
    let Some(joint) = only_joint(words.procedure, step) else { return };
    let row = &words.procedure.joints[joint];
    let Some(pattern) = row.pattern.as_ref().filter(|_| row.count.is_none_or(|count| count > 2)) else { return };
    for sentence in text.sentences().to_vec() {
        let Some(verb) = opening_verb(text, sentence.start, sentence.end) else { continue };
        if !TIGHTENS.contains(&text.lower(verb)) || says(text, sentence.clone(), ANY_ORDER) {
            continue;
        }
        let across = sentence.clone().find(|at| ACROSS.contains(&text.lower(*at))).map(|at| at..at + 1);
        let beside = side_by_side(text, &sentence);
        let run = match (pattern.order, across, beside) {
            (PatternOrder::Cross | PatternOrder::CentreOut, None, Some(run)) => run,
            (PatternOrder::InTurn | PatternOrder::CentreOut, Some(run), None) => run,
            _ => continue,
        };
        if let Some(place) = text.place(&run) {
            words.tell(against_pattern(words.procedure, joint, pattern.span, place));
        }
    }
}

fn side_by_side(text: &Text<'_>, sentence: &Range<usize>) -> Option<Range<usize>> {
    sentence.clone().find_map(|at| {
        let is = |words: &&&[&str]| {
            at + words.len() <= sentence.end
                && words.iter().enumerate().all(|(more, word)| text.lower(at + more) == *word)
        };
        SIDE_BY_SIDE.iter().find(is).map(|words| at..at + words.len())
    })
}

fn against_pattern(procedure: &Procedure, joint: JointId, pattern: Span, place: Span) -> Finding {
    Finding::new(
        Code::FW0765,
        format!("the words tighten `{}` in another order than its pattern", procedure.joints[joint].name.id),
        place,
        "another order",
    )
    .also(pattern, "the order that is stated")
    .because("One who reads the words and one who reads the joint tighten in a different order; in the wrong one a part lies skew, or a seal leaks.")
    .repair("Take the order out of the words, since the manual prints that of the joint; or correct the joint's `pattern`.")
}
