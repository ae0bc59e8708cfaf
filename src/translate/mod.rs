//! A procedure in another language: its texts out to a PO file, and their translations back into the model, before anything is made of it.
//!
//! Numbers with their units and mentions stand in braces, and a translation can neither change nor lose them (`marked`). What a
//! safety message says, and who may do the work, has to be translated from the very text that stands in the source; of any other
//! text the source's own stands on paper where a translation is missing or of an older text, with a mark.

mod marked;
mod merge;
mod texts;
mod units;

use std::collections::{BTreeMap, BTreeSet};

use crate::labels::Language;
use crate::model::{Language as Stated, Procedure};
use crate::po;
use marked::{Markup, as_it_is};
use texts::Text;
use units::taken;

pub use merge::{Merged, words};
pub use units::{Unit, units};

/// What a translation lacks of a procedure, by the names of the texts.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Lacks {
    /// How many texts there are.
    pub all: usize,
    /// Those without a translation.
    pub missing: Vec<String>,
    /// Those whose translation is of an older text.
    pub outdated: Vec<String>,
}

/// A procedure in another language.
///
/// # Errors
/// With every fault of the translation and its line: of a text that loses, doubles or brings what is held, or a digit; of a safety
/// message without a translation of the text as it is; of two things that would be called alike.
pub fn translated(
    procedure: &Procedure,
    file: &po::File,
    language: &'static Language,
) -> Result<(Procedure, Lacks), Vec<po::Fault>> {
    let units = units(procedure);
    let mut lacks = Lacks { all: units.len(), ..Lacks::default() };
    let entries: BTreeMap<&str, &po::Entry> = file
        .entries
        .iter()
        .filter(|entry| !entry.obsolete)
        .filter_map(|entry| Some((entry.context.as_deref()?, entry)))
        .collect();
    let mut faults = Vec::new();
    let mut found: BTreeMap<String, String> = BTreeMap::new();
    for unit in &units {
        let entry = entries.get(unit.key.as_str());
        let line = entry.map_or(1, |entry| entry.line);
        let mut fault = |what: String| faults.push(po::Fault { line, what });
        match entry.filter(|entry| !entry.text.trim().is_empty()) {
            Some(entry) if entry.source == unit.text && !entry.fuzzy => match unit.read(&entry.text, language) {
                Ok(text) => drop(found.insert(unit.key.clone(), text)),
                Err(why) => fault(format!("`{}`: {why}", unit.key)),
            },
            Some(_) if unit.safety => {
                fault(format!(
                    "`{}`: the translation is of another text, and this one must be read to work safely",
                    unit.key
                ));
            }
            None if unit.safety => fault(format!("`{}` is not translated, and must be read to work safely", unit.key)),
            Some(_) => lacks.outdated.push(unit.key.clone()),
            None => lacks.missing.push(unit.key.clone()),
        }
    }
    faults.extend(alike(&units, &found, &entries));
    if !faults.is_empty() {
        faults.sort_by_key(|fault| fault.line);
        return Err(faults);
    }
    Ok((put(procedure, &found, &units, language), lacks))
}

/// A procedure in a pseudo-language, which needs no translation.
pub fn in_pseudo(procedure: &Procedure, language: &'static Language) -> Procedure {
    let units = units(procedure);
    let found =
        units.iter().filter_map(|unit| Some((unit.key.clone(), unit.read(&unit.pseudo(language), language).ok()?)));
    put(procedure, &found.collect(), &units, language)
}

/// Things of one sort that differ in the source, and not in the translation.
fn alike(units: &[Unit], found: &BTreeMap<String, String>, entries: &BTreeMap<&str, &po::Entry>) -> Vec<po::Fault> {
    let mut seen: BTreeMap<(&str, &str), &Unit> = BTreeMap::new();
    let mut faults = Vec::new();
    for unit in units {
        let (Some(family), Some(text)) = (unit.family.as_deref(), found.get(&unit.key)) else { continue };
        match seen.insert((family, text), unit) {
            Some(other) if other.text != unit.text => faults.push(po::Fault {
                line: entries.get(unit.key.as_str()).map_or(1, |entry| entry.line),
                what: format!(
                    "`{}` and `{}` are two things, and would both be called “{}”",
                    other.key,
                    unit.key,
                    po::shown(text)
                ),
            }),
            _ => {}
        }
    }
    faults
}

/// The procedure with these texts; what is not among them keeps its own, with a mark that says which language it is in.
fn put(
    procedure: &Procedure,
    found: &BTreeMap<String, String>,
    units: &[Unit],
    language: &'static Language,
) -> Procedure {
    let known: BTreeSet<&str> = units.iter().map(|unit| unit.key.as_str()).collect();
    let from = procedure.language.as_ref().map_or("en", |stated| stated.tag.as_str()).to_owned();
    let mut changed = procedure.clone();
    texts::each(&mut changed, &mut |place, mut text| {
        let (marked, markup, _) = taken(&text);
        let new = match found.get(&place.key) {
            Some(new) => new.clone(),
            None => {
                let own = as_it_is(&marked, markup, language);
                let is_text = known.contains(place.key.as_str()) && marked.has_words();
                match (own, is_text) {
                    (Some(own), false) => own,
                    (own, _) => with_mark(&own.unwrap_or_default(), markup, &from),
                }
            }
        };
        match &mut text {
            Text::Plain(text) => **text = new,
            Text::Said(said) => said.text = new,
            Text::Prose(prose) => prose.markdown = new,
        }
    });
    let span = procedure.language.as_ref().map_or(procedure.head_span, |stated| stated.span);
    changed.language = Some(Stated { tag: language.tag.to_owned(), span });
    changed.names = changed.names_in_text();
    changed
}

/// A text that is in the language of the source, as it says itself: `Park the van [en]`.
fn with_mark(text: &str, markup: Markup, from: &str) -> String {
    match markup {
        Markup::Plain => format!("{text} [{from}]"),
        Markup::Said | Markup::Prose => format!("{text} \\[{from}\\]"),
    }
}
