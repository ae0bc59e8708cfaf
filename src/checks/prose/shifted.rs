//! FW0768: a sentence that moves what a line above it, in the same step, has tightened.
//!
//! Told where its verb moves a thing, and it names the joint, or a part that the joint joins, by a mention or by the whole title.

use std::collections::BTreeMap;
use std::ops::Range;

use super::Words;
use super::classes::says;
use super::sentences::opening_verb;
use super::text::{Text, TokenKind, instructions, stands_in};
use crate::diagnostics::{Code, Finding};
use crate::model::{JointId, LineKind, MentionTarget, Procedure};
use crate::source::Span;

const MOVES: &[&str] =
    &["slide", "shift", "move", "align", "centre", "center", "straighten", "level", "reposition", "square"];
/// Words that may follow a title at once, where it is all that is moved.
const AFTER: &[&str] = &[
    "to", "by", "into", "onto", "in", "on", "until", "back", "forward", "forwards", "up", "down", "along", "with",
    "so", "over", "against", "sideways", "left", "right", "inwards", "outwards", "again", "out", "towards", "a",
    "about",
];
const OTHERWISE: &[&str] = &["not", "never", "if", "no", "cannot", "unless", "before", "try"];

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english {
        return;
    }
    let procedure = words.procedure;
    for (step, own) in instructions(texts) {
        let mut tight: BTreeMap<JointId, Span> = BTreeMap::new();
        for line in &procedure.steps[step].lines {
            match line.kind {
                LineKind::Tighten(joint, _) => {
                    tight.insert(joint, line.span);
                }
                LineKind::Loosen(joint, _) | LineKind::RemoveJoint(joint, _) | LineKind::Place(joint) => {
                    tight.remove(&joint);
                }
                LineKind::Prose(_) if !tight.is_empty() => {
                    for text in &own {
                        let here = |run: &&Range<usize>| text.place(run).is_some_and(|at| stands_in(at, line.span));
                        for sentence in text.sentences().iter().filter(here) {
                            let moved = tight.iter().find(|(joint, _)| moves(procedure, text, sentence, **joint));
                            if let (Some((joint, at)), Some(place)) = (moved, text.place(sentence)) {
                                words.tell(finding(procedure, *joint, *at, place));
                            }
                        }
                    }
                }
                _ => {}
            }
        }
    }
}

fn moves(procedure: &Procedure, text: &Text<'_>, sentence: &Range<usize>, joint: JointId) -> bool {
    let Some(verb) = opening_verb(text, sentence.start, sentence.end) else { return false };
    if !MOVES.contains(&text.lower(verb)) || says(text, sentence.clone(), OTHERWISE) {
        return false;
    }
    let row = &procedure.joints[joint];
    // What is moved comes right after the verb.
    let at = verb + 1 + usize::from(matches!(text.lower(verb + 1), "the" | "each" | "both"));
    let is_title = |title: &str| {
        let words: Vec<String> = title.split_whitespace().map(str::to_lowercase).collect();
        let end = at + words.len();
        let ends = end >= sentence.end || text.kind(end) == Some(TokenKind::Sign) || AFTER.contains(&text.lower(end));
        !words.is_empty() && ends && words.iter().enumerate().all(|(more, word)| text.lower(at + more) == *word)
    };
    match text.mention(at).map(|mention| &mention.target) {
        Some(MentionTarget::Joint(other)) => *other == joint,
        Some(MentionTarget::Part(part)) => row.joins.iter().any(|(joined, _)| joined == part),
        Some(_) => false,
        None => row.joins.iter().any(|(part, _)| is_title(&procedure.parts[*part].name.title)),
    }
}

fn finding(procedure: &Procedure, joint: JointId, tightened: Span, place: Span) -> Finding {
    let name = &procedure.joints[joint].name;
    Finding::new(
        Code::FW0768,
        format!("the words move what `{}` holds, after the line that tightens it", name.id),
        place,
        "tight by now",
    )
    .also(tightened, "tightened here")
    .because("What a tight joint holds does not move: it is forced, or the joint is loosened by eye and its torque is lost.")
    .repair("Put the sentence before the line that tightens. Where it is moved once more, loosen the joint before it and tighten it after it.")
}
