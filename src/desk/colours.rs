//! What each piece of a text is, to be coloured.

use super::{Desk, ROOT};
use crate::parse::written::{Entry, Kind, as_laid};
use crate::source::Span;
use std::collections::BTreeMap;

/// A piece of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colour {
    /// Where: within one line.
    pub at: Span,
    /// What it is.
    pub is: Shade,
}

/// What a piece of a text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shade {
    /// A word of the language.
    Keyword,
    /// A name where it is declared.
    Declared,
    /// The name of a thing that is not one of those below.
    Name,
    /// The name of a tool.
    Tool,
    /// The name of a part.
    Part,
    /// The name of a joint or circuit.
    Connection,
    /// The name of a step or an action.
    Step,
    /// The name of what is chosen, given or read.
    Input,
    /// A value of a choice or state, a point, a place.
    Member,
    /// A text in quotes.
    Text,
    /// A number.
    Number,
    /// A unit.
    Unit,
    /// A sign between values.
    Sign,
    /// A comment.
    Comment,
}

impl Desk {
    /// The pieces of `text`, which may be newer than what was read, in order. What can't be read has none; names that are not
    /// known are names.
    pub fn colours(&self, text: &str) -> Vec<Colour> {
        let is_read = self.file().is_some_and(|file| *file.text == *text);
        let named = if is_read { self.shades() } else { BTreeMap::new() };
        let mut found = Vec::new();
        collect(&as_laid(text), &named, &mut found);
        // Names in prose and quoted texts stand among no tokens.
        let mentioned =
            named.iter().filter(|(at, _)| text.as_bytes().get((at.start as usize).wrapping_sub(1)) == Some(&b'['));
        let mentioned: Vec<Colour> = mentioned.map(|(at, is)| Colour { at: *at, is: *is }).collect();
        found.retain(|one| mentioned.iter().all(|inner| !one.at.contains(inner.at)));
        found.extend(mentioned);
        found.sort_by_key(|one| (one.at.start, one.at.end));
        found
    }

    /// What each name in the file means.
    fn shades(&self) -> BTreeMap<Span, Shade> {
        let things: BTreeMap<Span, Shade> = self
            .things()
            .flat_map(|thing| {
                let members = thing.declared.members.iter().map(|member| (member.at.whole(), Shade::Member));
                std::iter::once((thing.at(), shade_of(thing.declared.kind))).chain(members)
            })
            .collect();
        let mut shades = BTreeMap::new();
        for named in self.named().filter(|named| named.at.file.whole() == ROOT) {
            let means = named.means.whole();
            let Some(is) = things.get(&means) else { continue };
            let name = super::names::bare(self.sources.text(means));
            shades.extend(self.letters(named.at, name).map(|at| (at, *is)));
        }
        shades
    }
}

fn shade_of(kind: &str) -> Shade {
    match kind {
        "a tool" => Shade::Tool,
        "a part" => Shade::Part,
        "a joint" | "a circuit" => Shade::Connection,
        "a step" | "an action" | "a section" => Shade::Step,
        "an option" | "an observation" | "a result" | "a given" | "a measure" | "a fact" | "a limit" => Shade::Input,
        _ => Shade::Name,
    }
}

fn collect(entries: &[Entry], named: &BTreeMap<Span, Shade>, found: &mut Vec<Colour>) {
    for entry in entries {
        match entry {
            Entry::Comment(comment) => found.push(comment_at(comment.start, comment.end)),
            Entry::Prose { .. } => {}
            Entry::Statement(statement) => {
                for token in &statement.tokens {
                    let at = Span { file: ROOT, start: token.start, end: token.end };
                    // `foot of front-left` is one token, and its name the first word.
                    let known = || named.range(at..).next().filter(|(name, _)| at.contains(**name));
                    let is = match token.kind {
                        Kind::Keyword => Shade::Keyword,
                        Kind::NewName => Shade::Declared,
                        Kind::Name | Kind::Value => match (known(), token.kind) {
                            (Some((_, is)), _) => *is,
                            (None, Kind::Value) => Shade::Member,
                            (None, _) => Shade::Name,
                        },
                        Kind::Text => Shade::Text,
                        Kind::Number => Shade::Number,
                        Kind::Unit => Shade::Unit,
                        Kind::Operator => Shade::Sign,
                        Kind::Mark => continue,
                    };
                    found.push(Colour { at, is });
                }
                found.extend(statement.comments.iter().map(|comment| comment_at(comment.start, comment.end)));
                statement.block.iter().for_each(|block| collect(&block.entries, named, found));
            }
        }
    }
}

fn comment_at(start: u32, end: u32) -> Colour {
    Colour { at: Span { file: ROOT, start, end }, is: Shade::Comment }
}
