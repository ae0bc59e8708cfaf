//! A PO file for a procedure, with all that an older file has.

use std::collections::BTreeMap;

use super::units::{Unit, units};
use crate::canonical::sha256;
use crate::labels::Language;
use crate::model::Procedure;
use crate::po::{Entry, File};

/// What a file became.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Merged {
    /// The file.
    pub file: File,
    /// How many texts there are.
    pub all: usize,
    /// How many of them have a translation of the text as it is.
    pub done: usize,
    /// How many have one of an older text.
    pub outdated: usize,
    /// How many translations belong to no text any more.
    pub kept: usize,
}

/// The texts of a procedure as a PO file, with the translations of an older one. A translation whose text changed is marked `fuzzy` and says
/// what it was made of; one whose text is gone stays at the end, as obsolete. `pseudo` fills the file of a pseudo-language.
pub fn words(procedure: &Procedure, language: &'static Language, old: Option<&File>) -> Merged {
    let units = units(procedure);
    let mut before = Before::of(old);
    let taken: Vec<Option<Entry>> = before.by_units(&units);
    let mut entries = Vec::new();
    let (mut done, mut outdated) = (0, 0);
    for (unit, old) in units.iter().zip(taken) {
        let entry = entry(unit, old, language);
        match (entry.text.is_empty(), entry.fuzzy) {
            (true, _) => {}
            (false, true) => outdated += 1,
            (false, false) => done += 1,
        }
        entries.push(entry);
    }
    let left = before.left();
    let kept = left.len();
    entries.extend(left);
    let header = header(procedure, language, &units, old);
    let comments = old
        .map(|old| old.comments.clone())
        .filter(|comments| !comments.is_empty())
        .unwrap_or_else(|| about(procedure, language));
    Merged { file: File { comments, header, entries }, all: units.len(), done, outdated, kept }
}

fn about(procedure: &Procedure, language: &Language) -> Vec<String> {
    vec![
        format!("{} in {}.", procedure.name.title, language.name),
        "What stands in braces is put there by the program: move it, and keep it as often as it stands in the text."
            .to_owned(),
        "Write no digits: every number of a text is in braces.".to_owned(),
    ]
}

/// Fields of ours; those of the translator stay as they are.
fn header(procedure: &Procedure, language: &Language, units: &[Unit], old: Option<&File>) -> Vec<(String, String)> {
    let own = [
        ("Project-Id-Version", procedure.name.id.clone()),
        ("Language", language.tag.replace('-', "_")),
        ("MIME-Version", "1.0".to_owned()),
        ("Content-Type", "text/plain; charset=UTF-8".to_owned()),
        ("Content-Transfer-Encoding", "8bit".to_owned()),
        ("X-Source-Digest", digest(units)),
    ];
    let is_own = |name: &str| own.iter().any(|(known, _)| known.eq_ignore_ascii_case(name));
    let theirs = old.map(|old| old.header.clone()).unwrap_or_default().into_iter().filter(|(name, _)| !is_own(name));
    let own_fields = own.iter().map(|(name, value)| ((*name).to_owned(), value.clone()));
    own_fields.chain(theirs).collect()
}

/// One digest for all texts: that of their names and what they say.
pub(super) fn digest(units: &[Unit]) -> String {
    let mut list = String::new();
    for unit in units {
        list.push_str(&format!("{}\0{}\0", unit.key, unit.text));
    }
    sha256(list.as_bytes())
}

fn entry(unit: &Unit, old: Option<Entry>, language: &'static Language) -> Entry {
    let old = old.unwrap_or_default();
    let same = old.source == unit.text;
    let mut notes = unit.notes.clone();
    if unit.safety {
        notes.insert(0, "Safety: without this translation nothing is built.".to_owned());
    }
    let mut flags = vec!["python-brace-format".to_owned()];
    flags.extend(old.flags.into_iter().filter(|flag| flag != "python-brace-format"));
    let has_old = !old.text.is_empty();
    let text = if language.pseudo && !has_old { unit.pseudo(language) } else { old.text };
    let fuzzy = has_old && (old.fuzzy || !same);
    let previous = match (fuzzy, same) {
        (true, false) => Some(old.previous.filter(|_| old.fuzzy).unwrap_or(old.source)),
        (true, true) => old.previous,
        (false, _) => None,
    };
    Entry {
        context: Some(unit.key.clone()),
        source: unit.text.clone(),
        text,
        fuzzy,
        flags,
        comments: old.comments,
        notes,
        places: Vec::new(),
        previous,
        obsolete: false,
        line: 0,
    }
}

/// The entries of an older file, until each has found its text.
struct Before {
    entries: Vec<Option<Entry>>,
}

impl Before {
    fn of(old: Option<&File>) -> Before {
        Before { entries: old.map(|old| old.entries.iter().cloned().map(Some).collect()).unwrap_or_default() }
    }

    /// For each text the entry that is of it: of its name and its words; else of its words alone, where it has moved; else of its name
    /// alone, where it was reworded.
    fn by_units(&mut self, units: &[Unit]) -> Vec<Option<Entry>> {
        let mut taken: Vec<Option<Entry>> = vec![None; units.len()];
        let mut exact: BTreeMap<(String, String), usize> = BTreeMap::new();
        let mut by_text: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        let mut by_key: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (at, entry) in self.entries.iter().enumerate() {
            let Some(entry) = entry else { continue };
            let key = entry.context.clone().unwrap_or_default();
            exact.entry((key.clone(), entry.source.clone())).or_insert(at);
            by_text.entry(entry.source.clone()).or_default().push(at);
            by_key.entry(key).or_default().push(at);
        }
        for (unit, place) in units.iter().zip(&mut taken) {
            if let Some(at) = exact.get(&(unit.key.clone(), unit.text.clone())) {
                *place = self.take(*at);
            }
        }
        for (unit, place) in units.iter().zip(&mut taken).filter(|(_, place)| place.is_none()) {
            let moved = by_text.get(&unit.text).into_iter().flatten().copied();
            let moved = moved.filter(|at| {
                self.entries
                    .get(*at)
                    .and_then(Option::as_ref)
                    .is_some_and(|entry| sort(entry.context.as_deref().unwrap_or_default()) == sort(&unit.key))
            });
            if let Some(at) = moved.collect::<Vec<_>>().first() {
                *place = self.take(*at);
            }
        }
        for (unit, place) in units.iter().zip(&mut taken).filter(|(_, place)| place.is_none()) {
            let named = by_key.get(&unit.key).into_iter().flatten().copied();
            let free: Vec<usize> = named.filter(|at| self.entries.get(*at).is_some_and(Option::is_some)).collect();
            if let Some(at) = free.first() {
                *place = self.take(*at);
            }
        }
        taken
    }

    fn take(&mut self, at: usize) -> Option<Entry> {
        self.entries.get_mut(at).and_then(Option::take)
    }

    /// What is left and holds a translation.
    fn left(self) -> Vec<Entry> {
        let left = self.entries.into_iter().flatten().filter(|entry| !entry.text.is_empty());
        left.map(|entry| Entry { obsolete: true, notes: Vec::new(), ..entry }).collect()
    }
}

/// The name without what is counted: texts of one step that say a thing of one kind.
fn sort(key: &str) -> &str {
    key.trim_end_matches(|c: char| c.is_ascii_digit())
}
