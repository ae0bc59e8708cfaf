//! What the words of a sentence name: each thing with the words that tell it apart, so that two sentences can be held together.

use super::text::{Text, TokenKind};
use crate::model::{MentionTarget, PartId, Procedure};
use crate::quantity::Unit;

/// A thing that a sentence names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Thing {
    /// In small letters and the singular, without articles and numbers; the last one says what it is. Empty where only a face
    /// is named, and not of what.
    pub words: Vec<String>,
    /// The word that leads over to it: a preposition, or the verb.
    pub by: String,
    pub at: usize,
}

/// Words that tell no thing apart from another.
const SMALL: &[&str] = &[
    "the", "a", "an", "this", "that", "these", "those", "each", "every", "both", "all", "any", "its", "their", "one",
    "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "new", "clean", "dry", "bare", "whole",
    "entire", "same", "own", "fresh", "thin", "square", "flush", "straight",
];
/// Words that end one thing and may lead to the next.
const LEADS: &[&str] = &[
    "to", "onto", "on", "into", "in", "at", "from", "with", "by", "for", "over", "under", "through", "along", "around",
    "round", "across", "against", "between", "behind", "above", "below", "beneath", "beside", "until", "before",
    "after", "and", "or", "so", "while", "when", "if", "as", "using", "near", "inside", "outside", "off", "out", "up",
    "down", "back", "away", "that", "where", "is", "are", "then", "again", "first",
];
/// A part of a thing that is meant wherever work on its surface is.
const FACES: &[&str] = &["face", "surface", "area", "place", "spot", "zone", "contact", "side", "underside"];

impl Thing {
    /// Whether two sentences mean the same: one has no word against the other. A face alone is any, in the same step.
    pub fn is(&self, other: &Thing, near: bool) -> bool {
        let (Some(own), Some(others)) = (self.words.last(), other.words.last()) else { return near };
        let within = |one: &Thing, other: &Thing| one.words.iter().all(|word| other.words.contains(word));
        own == others && (within(self, other) || within(other, self))
    }

    /// Whether it is one of these, by its last word.
    pub fn is_a(&self, list: &[&str]) -> bool {
        self.words.last().is_some_and(|word| list.contains(&word.as_str()))
    }

    pub fn has(&self, list: &[&str]) -> bool {
        self.words.iter().any(|word| list.contains(&word.as_str()))
    }
}

/// All things after the verb of a sentence.
pub(super) fn after(procedure: &Procedure, text: &Text<'_>, verb: usize, end: usize) -> Vec<Thing> {
    let mut found: Vec<Thing> = Vec::new();
    let (mut by, mut of) = (text.lower(verb), false);
    let mut words: Vec<String> = Vec::new();
    let mut start = verb + 1;
    let mut is_named = false;
    for at in verb + 1..=end {
        let word = text.lower(at);
        let is_break = at == end
            || (text.kind(at) == Some(TokenKind::Sign) && !text.is_sign(at, "\""))
            || LEADS.contains(&word)
            || word == "of";
        if !is_break {
            is_named |= name(procedure, text, at, &mut words);
            continue;
        }
        let joins = word == "of" && is_named;
        if is_named {
            add(&mut found, std::mem::take(&mut words), by, of, start);
        }
        (is_named, start) = (false, at + 1);
        // `out of the brake` leads to another thing.
        of = joins;
        if word != "of" {
            by = word;
        }
    }
    found
}

/// A part, by its title.
pub(super) fn of_part(procedure: &Procedure, part: PartId) -> Option<Thing> {
    let words = of_title(&procedure.parts[part].name.title);
    (!words.is_empty()).then(|| Thing { words, by: String::new(), at: 0 })
}

/// The words of a title, up to what only describes it; `Cap of the rail` is a cap.
pub(super) fn of_title(title: &str) -> Vec<String> {
    let title = title.split([',', '(']).next().unwrap_or_default().to_lowercase();
    let words = |part: &str| -> Vec<String> {
        let all = part.split(|c: char| !(c.is_alphanumeric() || c == '-')).filter(|word| !word.is_empty());
        all.filter(|word| !SMALL.contains(word)).map(singular).collect()
    };
    match title.split_once(" of ") {
        Some((thing, of)) => [words(of), words(thing)].concat(),
        None => words(&title),
    }
}

/// The title of what a mention names, where it is a thing.
pub(super) fn title<'p>(procedure: &'p Procedure, target: &MentionTarget) -> Option<&'p str> {
    match target {
        MentionTarget::Part(part) => Some(&procedure.parts[*part].name.title),
        MentionTarget::Tool(tool) => Some(&procedure.tools[*tool].name.title),
        MentionTarget::Joint(joint) => Some(&procedure.joints[*joint].name.title),
        _ => None,
    }
}

/// Adds what a token says of a thing; whether it says anything of one.
fn name(procedure: &Procedure, text: &Text<'_>, at: usize, words: &mut Vec<String>) -> bool {
    match (text.kind(at), text.mention(at).map(|mention| &mention.target)) {
        (Some(TokenKind::Mention(_)), Some(target)) => {
            let Some(title) = title(procedure, target) else { return false };
            words.extend(of_title(title));
            true
        }
        (Some(TokenKind::Word), _) => {
            let word = text.lower(at);
            let is_unit =
                at > 0 && text.kind(at - 1) == Some(TokenKind::Number) && Unit::lookup(text.word(at)).is_some();
            if !is_unit && !SMALL.contains(&word) {
                words.push(singular(word));
            }
            true
        }
        _ => false,
    }
}

fn add(found: &mut Vec<Thing>, mut words: Vec<String>, by: &str, of: bool, at: usize) {
    let is_face = words.last().is_some_and(|word| FACES.contains(&word.as_str()));
    if is_face {
        words.clear();
    }
    match found.last_mut().filter(|_| of) {
        // `the edge of the plate` is an edge.
        Some(thing) => words.into_iter().rev().for_each(|word| thing.words.insert(0, word)),
        None => found.push(Thing { words, by: by.to_owned(), at }),
    }
}

/// The singular of a plain plural.
pub(super) fn singular(word: &str) -> String {
    let plural = word.strip_suffix('s').filter(|rest| rest.len() > 2 && !rest.ends_with('s'));
    plural.filter(|_| !matches!(word, "lens" | "chassis" | "canvas")).unwrap_or(word).to_owned()
}
