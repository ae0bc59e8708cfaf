//! The differences of two texts, line by line, from the outside in.

use std::collections::BTreeMap;

use super::lines::{Line, Names, Tok, say_same};
use super::matching::{self, Matched};
use super::topic::{self, Topic};
use crate::parse::forms::Block;
use crate::parse::written::Kind;

/// What became of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// It is new.
    Added,
    /// It is gone.
    Removed,
    /// It says something else.
    Changed,
    /// It stands in another place.
    Moved,
    /// It has another name.
    Renamed,
}

impl What {
    /// As a word, also for programs.
    pub fn word(self) -> &'static str {
        match self {
            What::Added => "added",
            What::Removed => "removed",
            What::Changed => "changed",
            What::Moved => "moved",
            What::Renamed => "renamed",
        }
    }
}

/// A line that differs, with the lines around it from the outside in.
#[derive(Debug, Clone)]
pub(super) struct Difference<'t> {
    pub topic: Topic,
    pub what: What,
    pub old: Option<Standing<'t>>,
    pub new: Option<Standing<'t>>,
}

/// A line where it stands.
#[derive(Debug, Clone)]
pub(super) struct Standing<'t> {
    pub line: &'t Line,
    pub around: Vec<&'t Line>,
}

/// All differences, in the order of the new text; what is gone comes at the end of what it was in.
pub(super) fn differences<'t>(old: &'t [Line], new: &'t [Line]) -> Vec<Difference<'t>> {
    let first = matching::matched(old, new, &Names::default());
    let mut differ = Differ { names: Names(renamed(old, new, &first)), found: Vec::new() };
    differ.lists((old, &[]), (new, &[]));
    moves(differ.found, &differ.names)
}

/// Declarations, steps and values that were renamed, by the likeness of all else.
fn renamed(old: &[Line], new: &[Line], matched: &Matched) -> BTreeMap<String, String> {
    let mut names = BTreeMap::new();
    let mut open: Vec<(&[Line], &[Line])> = Vec::new();
    let mut note = |old: &Line, new: &Line| {
        if let (Some(from), Some(to)) = (&old.key, &new.key)
            && from != to
        {
            names.insert(from.clone(), to.clone());
        }
    };
    for (from, to) in &matched.pairs {
        let (Some(old), Some(new)) = (old.get(*from), new.get(*to)) else { continue };
        // Entries count parts: another name is another part there, and no new name of the same.
        if old.home == Block::File && topic::of(old.home, &old.word) != Some(Topic::Part) {
            note(old, new);
            open.push((&old.inner, &new.inner));
        }
    }
    while let Some((old, new)) = open.pop() {
        let matched = matching::matched(old, new, &Names::default());
        for (from, to) in matched.pairs {
            let (Some(old), Some(new)) = (old.get(from), new.get(to)) else { continue };
            if matches!(old.home, Block::Flow | Block::Values | Block::State | Block::Choose) {
                if matches!(old.word.as_str(), "value" | "step" | "check") {
                    note(old, new);
                }
                open.push((&old.inner, &new.inner));
            }
        }
    }
    names
}

type Within<'a, 't> = (&'t [Line], &'a [&'t Line]);

struct Differ<'t> {
    names: Names,
    found: Vec<Difference<'t>>,
}

impl<'t> Differ<'t> {
    fn lists(&mut self, (old, around_old): Within<'_, 't>, (new, around_new): Within<'_, 't>) {
        let Matched { pairs, gone, came } = matching::matched(old, new, &self.names);
        let ordered: Vec<(usize, usize)> = pairs
            .iter()
            .copied()
            .filter(|(_, to)| new.get(*to).is_some_and(|line| topic::is_in_order(line.home, &line.word)))
            .collect();
        let kept = matching::kept_in_order(&ordered);
        let moved = |pair: &(usize, usize)| ordered.iter().zip(&kept).any(|(one, kept)| one == pair && !kept);
        let standing = |line: &'t Line, around: &[&'t Line]| Standing { line, around: around.to_vec() };
        let mut to_tell: Vec<(usize, Option<usize>)> = pairs.iter().map(|(from, to)| (*to, Some(*from))).collect();
        to_tell.extend(came.iter().map(|to| (*to, None)));
        to_tell.sort_unstable();
        for (to, from) in to_tell {
            let Some(line) = new.get(to) else { continue };
            match from.and_then(|from| Some((from, old.get(from)?))) {
                Some((from, was)) => {
                    if moved(&(from, to)) {
                        let (old, new) = (standing(was, around_old), standing(line, around_new));
                        self.put(Topic::Order, What::Moved, Some(old), Some(new));
                    }
                    self.pair(was, around_old, line, around_new);
                }
                None => {
                    let topic = topic_of(line, around_new);
                    self.put(topic, What::Added, None, Some(standing(line, around_new)));
                }
            }
        }
        for line in gone.iter().filter_map(|from| old.get(*from)) {
            self.put(topic_of(line, around_old), What::Removed, Some(standing(line, around_old)), None);
        }
    }

    fn pair(&mut self, old: &'t Line, around_old: &[&'t Line], new: &'t Line, around_new: &[&'t Line]) {
        let sides = || {
            let of = |line: &'t Line, around: &[&'t Line]| Some(Standing { line, around: around.to_vec() });
            (of(old, around_old), of(new, around_new))
        };
        let is_renamed = old.key != new.key && old.key.is_some() && old.home != Block::List;
        if is_renamed && declares(new) {
            let (was, is) = sides();
            self.put(Topic::Name, What::Renamed, was, is);
        }
        let (was, is) = (self.without_key(old), self.without_key(new));
        let differs = old.word != new.word || !say_same(&was, &is, &self.names);
        if differs {
            let (was, is) = sides();
            let topic = self.changed(old, new, around_new);
            self.put(topic, What::Changed, was, is);
        } else if old.tokens.iter().zip(&new.tokens).any(|(old, new)| old.text != new.text && old.value.is_some()) {
            // The same amount in another unit: other words for the same.
            let (was, is) = sides();
            self.put(Topic::Wording, What::Changed, was, is);
        }
        if !old.inner.is_empty() || !new.inner.is_empty() {
            let around = |around: &[&'t Line], line| around.iter().copied().chain([line]).collect::<Vec<_>>();
            let (around_old, around_new) = (around(around_old, old), around(around_new, new));
            self.lists((&old.inner, &around_old), (&new.inner, &around_new));
        }
    }

    /// The words of a line but for the name that it declares.
    fn without_key<'l>(&self, line: &'l Line) -> Vec<&'l Tok> {
        let key = line.key.as_deref().filter(|_| declares(line));
        let mut key_left = key.is_some();
        let is_key = |tok: &&Tok| {
            let is = key_left && Some(tok.text.as_str()) == key;
            key_left &= !is;
            !is
        };
        line.tokens.iter().filter(is_key).collect()
    }

    /// What a change of words is about.
    fn changed(&self, old: &Line, new: &Line, around: &[&Line]) -> Topic {
        let topic = topic_of(new, around);
        let (was, is) = different(&self.without_key(old), &self.without_key(new), &self.names);
        let (was_all, is_all) = (&old.tokens, &new.tokens);
        let is_text = |toks: &[&Tok]| toks.iter().all(|tok| tok.kind == Kind::Text);
        if old.word != new.word {
            return topic;
        }
        if is_text(&was) && is_text(&is) {
            return match topic {
                // Whatever warns is read anew, and so is what somebody judges by: a question, a criterion, how tight is seen.
                Topic::Message
                | Topic::Torque
                | Topic::Reading
                | Topic::Check
                | Topic::State
                | Topic::Acceptance
                | Topic::Figure
                | Topic::Document => topic,
                _ if tells_the_same(&was, &is, &self.names) => Topic::Wording,
                _ => Topic::Told,
            };
        }
        let after_when = |all: &[Tok], some: &[&Tok]| {
            let when = all.iter().position(|tok| tok.kind == Kind::Keyword && tok.text == "when");
            let behind = when.map(|at| all.get(at..).unwrap_or_default()).unwrap_or_default();
            some.iter().all(|tok| behind.iter().any(|one| std::ptr::eq(one, *tok)))
        };
        if after_when(was_all, &was) && after_when(is_all, &is) { Topic::Condition } else { topic }
    }

    fn put(&mut self, topic: Topic, what: What, old: Option<Standing<'t>>, new: Option<Standing<'t>>) {
        self.found.push(Difference { topic, what, old, new });
    }
}

/// Whether the line's key is a name that it gives, rather than one that it counts, or the colour of a conductor.
fn declares(line: &Line) -> bool {
    !matches!(line.word.as_str(), "entry" | "conductor") && !matches!(line.home, Block::List) && line.key.is_some()
}

/// The words that only one side has: what remains when the same words are taken away at both ends.
fn different<'l>(old: &[&'l Tok], new: &[&'l Tok], names: &Names) -> (Vec<&'l Tok>, Vec<&'l Tok>) {
    let (mut old, mut new) = (old, new);
    while let (Some((first, rest)), Some((other, others))) = (old.split_first(), new.split_first()) {
        if !first.is_same(other, names) {
            break;
        }
        (old, new) = (rest, others);
    }
    while let (Some((last, rest)), Some((other, others))) = (old.split_last(), new.split_last()) {
        if !last.is_same(other, names) {
            break;
        }
        (old, new) = (rest, others);
    }
    // What stands in between on both sides, as a title before a condition.
    let left_over = |some: &[&'l Tok], others: &[&'l Tok], old_side: bool| -> Vec<&'l Tok> {
        let same =
            |one: &Tok, other: &Tok| if old_side { one.is_same(other, names) } else { other.is_same(one, names) };
        some.iter().copied().filter(|one| !others.iter().any(|other| same(one, other))).collect()
    };
    let (was, is) = (left_over(old, new, true), left_over(new, old, false));
    if was.is_empty() && is.is_empty() { (old.to_vec(), new.to_vec()) } else { (was, is) }
}

/// Words that turn a sentence round, or say when something is done.
const TURNING: &[&str] = &[
    "not", "never", "no", "none", "don't", "doesn't", "cannot", "can't", "without", "only", "before", "after", "until",
    "unless", "except", "both", "all", "each", "every", "left", "right", "loose", "tight", "on", "off", "open",
    "closed",
];

/// Whether two texts have the same numbers, mentions and turning words, so that only their wording differs.
fn tells_the_same(old: &[&Tok], new: &[&Tok], names: &Names) -> bool {
    let told = |toks: &[&Tok], old: bool| {
        let mut told: Vec<String> = Vec::new();
        for tok in toks {
            let text = if old { names.told(&tok.text) } else { tok.text.clone() };
            told.extend(telling(&text));
        }
        told.sort();
        told
    };
    told(old, true) == told(new, false)
}

/// The numbers, mentions and turning words of a text.
fn telling(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut rest = text;
    let mut plain = String::new();
    while let Some((before, after)) = rest.split_once('[') {
        plain.push_str(before);
        plain.push(' ');
        let (mention, after) = after.split_once(']').unwrap_or((after, ""));
        found.push(format!("[{}]", mention.trim()));
        rest = after;
    }
    plain.push_str(rest);
    let words = plain.split(|c: char| !(c.is_alphanumeric() || matches!(c, '.' | ',' | '\'' | '/' | '-')));
    for word in words.map(|word| word.trim_matches(['.', ',', '\'', '-'])) {
        let lower = word.to_lowercase();
        if word.contains(|c: char| c.is_ascii_digit()) || TURNING.contains(&lower.as_str()) {
            found.push(lower);
        }
    }
    found
}

/// What a line is about: by itself, or by what it stands in.
fn topic_of(line: &Line, around: &[&Line]) -> Topic {
    if line.word == ">" {
        let within = around.last().and_then(|line| topic::of(line.home, &line.word));
        return match within {
            Some(Topic::Message) => Topic::Message,
            Some(Topic::Document) => Topic::Wording,
            _ => Topic::Told,
        };
    }
    // What is made of parts is a part, and no state.
    if line.word == "make" && line.tokens.iter().any(|tok| tok.kind == Kind::Keyword && tok.text == "from") {
        return Topic::Part;
    }
    let own = topic::of(line.home, &line.word).filter(|_| line.word != "entry");
    let around = || around.iter().rev().find_map(|line| topic::of(line.home, &line.word));
    own.or_else(around).unwrap_or(Topic::Document)
}

/// What is gone in one place and came in another is moved.
fn moves<'t>(found: Vec<Difference<'t>>, names: &Names) -> Vec<Difference<'t>> {
    let mut taken: Vec<bool> = vec![false; found.len()];
    let mut moved: BTreeMap<usize, Standing<'t>> = BTreeMap::new();
    for (at, one) in found.iter().enumerate().filter(|(_, one)| one.what == What::Added) {
        let Some(new) = &one.new else { continue };
        let is_it = |other: &(usize, &Difference<'t>)| {
            let old = other.1.old.as_ref().filter(|_| other.1.what == What::Removed && !taken[other.0]);
            old.is_some_and(|old| old.line.word == new.line.word && old.line.is_same(new.line, names))
        };
        let from = found.iter().enumerate().find(is_it);
        if let Some((from, old)) = from.and_then(|(from, other)| Some((from, other.old.clone()?))) {
            taken[from] = true;
            moved.insert(at, old);
        }
    }
    let kept = found.into_iter().enumerate().filter(|(at, _)| !taken[*at]);
    kept.map(|(at, one)| match moved.remove(&at) {
        Some(old) => {
            let topic = match &one.new {
                Some(new) if topic::is_in_order(new.line.home, &new.line.word) => Topic::Order,
                // Of declarations, where they stand means nothing.
                Some(new) if new.around.is_empty() => Topic::Wording,
                _ => one.topic,
            };
            Difference { topic, what: What::Moved, old: Some(old), new: one.new }
        }
        None => one,
    })
    .collect()
}
