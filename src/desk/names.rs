//! What a name means, and where it stands.

use super::{Desk, ROOT};
use crate::resolve::index::{DeclaredName, LeftBeside, Member, NamedAt};
use crate::source::Span;
use std::collections::BTreeSet;

/// Something that has a name.
#[derive(Debug, Clone, Copy)]
pub struct Thing<'d> {
    /// What was declared.
    pub declared: &'d DeclaredName,
    /// The value, point or place of it that is meant, if one is.
    pub member: Option<&'d Member>,
}

impl<'d> Thing<'d> {
    /// Its name as it is written: `feed`, also for what is there at each of several places.
    pub fn name(self) -> &'d str {
        self.member.map_or_else(|| bare(&self.declared.name), |member| &member.name)
    }

    /// What people call it.
    pub fn title(self) -> Option<&'d str> {
        match self.member {
            Some(member) => member.title.as_deref(),
            None => self.declared.title.as_deref(),
        }
    }

    /// Where its name is declared.
    pub fn at(self) -> Span {
        self.member.map_or(self.declared.at, |member| member.at).whole()
    }

    /// What it is, in plain words: `joint`, `value of the state engine`.
    pub fn kind(self) -> String {
        let kind = without_article(self.declared.kind);
        let of = format!("{kind} {}", bare(&self.declared.name));
        match (self.member, kind) {
            (None, _) => kind.to_owned(),
            (Some(_), "circuit") => format!("point of the {of}"),
            (Some(_), "group of places") => format!("place of {}", self.declared.name),
            (Some(_), _) => format!("value of the {of}"),
        }
    }
}

/// `foot` for `foot of front-left`.
pub(super) fn bare(name: &str) -> &str {
    name.split(" of ").next().unwrap_or(name)
}

/// `joint` for `a joint`.
pub(super) fn without_article(kind: &str) -> &str {
    kind.split_once(' ').filter(|(article, _)| matches!(*article, "a" | "an")).map_or(kind, |(_, kind)| kind)
}

impl Desk {
    /// Everything that has a name, each once. A step that `else replace` stands for has none that somebody wrote.
    pub fn things(&self) -> impl Iterator<Item = Thing<'_>> {
        let mut told: BTreeSet<Span> = BTreeSet::new();
        let declared = self.index.declared.iter().chain(&self.index.steps);
        let written = declared.filter(|one| self.sources.text(one.at.whole()).starts_with(bare(&one.name)));
        written.filter(move |one| told.insert(one.at.whole())).map(|declared| Thing { declared, member: None })
    }

    /// What the file leaves to circuits of other procedures.
    pub fn left(&self) -> &[LeftBeside] {
        &self.index.left
    }

    /// Where a line of the file names the circuit of another procedure that feeds one of its own, at this byte.
    pub fn left_at(&self, offset: usize) -> Option<(Span, &LeftBeside)> {
        let at = u32::try_from(offset).ok()?;
        self.index.left.iter().find_map(|left| {
            let said = left.said?.whole();
            (said.file == ROOT && said.start <= at && at <= said.end).then_some((said, left))
        })
    }

    /// The circuit of this name, or the point of it that is named.
    pub fn circuit(&self, name: &str, point: Option<&str>) -> Option<Thing<'_>> {
        let is_it = |thing: &Thing<'_>| {
            without_article(thing.declared.kind) == "circuit" && bare(&thing.declared.name) == bare(name)
        };
        let circuit = self.things().find(is_it)?;
        let Some(point) = point else { return Some(circuit) };
        let member = circuit.declared.members.iter().find(|member| member.name == point)?;
        Some(Thing { member: Some(member), ..circuit })
    }

    /// What is declared where a name stands.
    pub fn declared_at(&self, at: Span) -> Option<Thing<'_>> {
        let at = at.whole();
        self.things().find_map(|thing| {
            if thing.at() == at {
                return Some(thing);
            }
            let member = thing.declared.members.iter().find(|member| member.at.whole() == at)?;
            Some(Thing { member: Some(member), ..thing })
        })
    }

    /// What the name at this byte of the file means, and where that name stands: its letters alone.
    pub fn thing_at(&self, offset: usize) -> Option<(Span, Thing<'_>)> {
        let at = u32::try_from(offset).ok()?;
        let holds = |span: Span| span.file.whole() == ROOT && span.start <= at && at <= span.end;
        let mut named: Vec<&NamedAt> = self.named().filter(|named| holds(named.at)).collect();
        named.sort_by_key(|named| named.at.end - named.at.start);
        let told = named.into_iter().find_map(|named| {
            let thing = self.declared_at(named.means)?;
            let letters = self.letters(named.at, thing.name()).filter(|letters| holds(*letters))?;
            Some((letters, thing))
        });
        if told.is_some() {
            return told;
        }
        let members = self.things().flat_map(|thing| {
            let members = thing.declared.members.iter();
            std::iter::once(thing).chain(members.map(move |member| Thing { member: Some(member), ..thing }))
        });
        members.into_iter().find(|thing| holds(thing.at())).map(|thing| (thing.at(), thing))
    }

    /// Every place of the files that were read that names a thing, its declaration included, in order.
    pub fn places_of(&self, thing: Thing<'_>) -> Vec<Span> {
        let at = thing.at();
        let named = self.named().filter(|named| named.means.whole() == at);
        let mut places: Vec<Span> = named.filter_map(|named| self.letters(named.at, thing.name())).collect();
        places.extend(self.letters(at, thing.name()));
        places.sort();
        places.dedup();
        places
    }

    /// Every place that names something.
    pub(super) fn named(&self) -> impl Iterator<Item = &NamedAt> {
        self.index.named.iter().chain(&self.index.in_passing)
    }

    /// The letters of a name in a place that names something: `foot` in `foot of front-left`, `[foot]`, `[joint foot]`. `None`
    /// where the place says it by other words, as the name of a terminal says the wire.
    pub(super) fn letters(&self, at: Span, name: &str) -> Option<Span> {
        let at = at.whole();
        let text = self.sources.text(at);
        let is_word = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '/');
        let alone = |offset: &usize| {
            let before = text.get(..*offset).and_then(|text| text.chars().next_back());
            let after = text.get(offset + name.len()..).and_then(|text| text.chars().next());
            !before.is_some_and(is_word) && !after.is_some_and(is_word)
        };
        let offset = text.match_indices(name).map(|(offset, _)| offset).find(alone)?;
        let start = at.start as usize + offset;
        Some(Span::new(at.file, start, start + name.len()))
    }
}
