//! The languages of our words, and which of them is spoken.
//!
//! A catalogue beside English is a PO file in `site/labels`, so that whoever reviews it needs no Rust. Its entries are named as the
//! labels are, `row.tighten`; each says by a comment whether somebody of the trade has reviewed it. A label that a file
//! lacks, or has of an older English text, is said in English.

use std::cell::Cell;
use std::sync::OnceLock;

use super::{ENGLISH, Labels, pieces};
use crate::po;

/// A language that outputs can be made in.
#[derive(Debug, Clone, Copy)]
pub struct Language {
    /// Its tag (RFC 5646).
    pub tag: &'static str,
    /// Its name in English.
    pub name: &'static str,
    /// Our words.
    pub labels: &'static Labels,
    /// What stands between whole number and decimals in print. Files of data have a point in every language.
    pub decimal: char,
    /// Whether nouns have a capital wherever they stand.
    pub capital_nouns: bool,
    /// Whether it is written from right to left.
    pub right_to_left: bool,
    /// Whether it is English made strange, to see whether a layout holds.
    pub pseudo: bool,
    /// How many labels of the catalogue somebody of the trade has reviewed, and how many are from memory.
    pub reviewed: (usize, usize),
}

static IN_ENGLISH: Language = Language {
    tag: "en",
    name: "English",
    labels: &ENGLISH,
    decimal: '.',
    capital_nouns: false,
    right_to_left: false,
    pseudo: false,
    reviewed: (0, 0),
};

/// What is known of a language before its catalogue is read.
struct Known {
    tag: &'static str,
    name: &'static str,
    catalogue: Catalogue,
    decimal: char,
    capital_nouns: bool,
    right_to_left: bool,
}

enum Catalogue {
    File(&'static str),
    /// English, made longer and accented.
    Pseudo,
}

const KNOWN: [Known; LANGUAGES] = [
    Known {
        tag: "de",
        name: "German",
        catalogue: Catalogue::File(include_str!("../../site/labels/de.po")),
        decimal: ',',
        capital_nouns: true,
        right_to_left: false,
    },
    Known {
        tag: "fr",
        name: "French",
        catalogue: Catalogue::File(include_str!("../../site/labels/fr.po")),
        decimal: ',',
        capital_nouns: false,
        right_to_left: false,
    },
    Known {
        tag: "es",
        name: "Spanish",
        catalogue: Catalogue::File(include_str!("../../site/labels/es.po")),
        decimal: ',',
        capital_nouns: false,
        right_to_left: false,
    },
    // The two pseudo-locales of the Unicode CLDR: longer and accented, and right to left.
    Known {
        tag: "en-XA",
        name: "English, longer and accented",
        catalogue: Catalogue::Pseudo,
        decimal: ',',
        capital_nouns: false,
        right_to_left: false,
    },
    Known {
        tag: "ar-XB",
        name: "English, mirrored",
        catalogue: Catalogue::Pseudo,
        decimal: '.',
        capital_nouns: false,
        right_to_left: true,
    },
];

const LANGUAGES: usize = 5;

/// Groups of labels that stand on pages for the maker of a procedure alone, about a market or about last year's jobs. No option
/// makes these in another language, and no catalogue has them.
pub const FOR_THE_MAKER: [&str; 3] = ["fit", "tally", "tallied"];

static READ: [OnceLock<Language>; LANGUAGES] = [const { OnceLock::new() }; LANGUAGES];

thread_local! {
    static SPOKEN: Cell<&'static Language> = const { Cell::new(&IN_ENGLISH) };
}

/// The labels of the language that is spoken: English, unless [`speaking`] says another.
pub fn spoken() -> &'static Labels {
    language().labels
}

/// A word of the language of sources, such as that of a colour or of the form of a head, as it is said; one that no label has stays.
pub fn term(word: &str) -> &str {
    if language().tag == IN_ENGLISH.tag {
        return word;
    }
    let mut at = None;
    let mut found = word;
    let mut known = ENGLISH;
    known.each(&mut |group, label, text| {
        if matches!(group, "term" | "metal" | "tool" | "unjudged") && *text == word {
            at = Some((group, label));
        }
    });
    let mut said = *spoken();
    said.each(&mut |group, label, text| {
        if at == Some((group, label)) {
            found = *text;
        }
    });
    found
}

/// The language that is spoken.
pub fn language() -> &'static Language {
    SPOKEN.with(Cell::get)
}

/// Does some work in a language: whatever this thread words meanwhile is worded in it. Afterwards the language is the one
/// before, whatever happens.
pub fn speaking<T>(language: &'static Language, work: impl FnOnce() -> T) -> T {
    struct Before(&'static Language);
    impl Drop for Before {
        fn drop(&mut self) {
            SPOKEN.with(|spoken| spoken.set(self.0));
        }
    }
    let _before = Before(SPOKEN.with(|spoken| spoken.replace(language)));
    work()
}

impl Language {
    /// What begins as a sentence does, as it stands inside one.
    pub fn inside(&self, text: &str) -> String {
        let mut letters = text.chars();
        match letters.next() {
            Some(first) if !self.capital_nouns => first.to_lowercase().chain(letters).collect(),
            _ => text.to_owned(),
        }
    }

    /// A number as this language prints it: with its decimal sign.
    pub fn number(&self, number: &str) -> String {
        if self.decimal == '.' { number.to_owned() } else { number.replace('.', self.decimal.encode_utf8(&mut [0; 4])) }
    }

    /// A value as it stands in a line of this language: where that runs from right to left, the value keeps its own order
    /// (Unicode Bidirectional Algorithm, UAX 9: LEFT-TO-RIGHT ISOLATE and POP DIRECTIONAL ISOLATE).
    pub fn isolated(&self, value: String) -> String {
        if self.right_to_left { format!("\u{2066}{value}\u{2069}") } else { value }
    }

    /// `rtl` or `ltr`.
    pub fn direction(&self) -> &'static str {
        if self.right_to_left { "rtl" } else { "ltr" }
    }
}

/// English.
pub fn english() -> &'static Language {
    &IN_ENGLISH
}

/// The language of a tag; a region that is not known is passed over, `de-AT` is `de`. `None` where there is no catalogue.
pub fn language_of(tag: &str) -> Option<&'static Language> {
    let exact = KNOWN.iter().position(|known| known.tag.eq_ignore_ascii_case(tag));
    let primary = tag.split('-').next().unwrap_or_default();
    let at = exact.or_else(|| KNOWN.iter().position(|known| known.tag.eq_ignore_ascii_case(primary)));
    match at.and_then(|at| Some((KNOWN.get(at)?, READ.get(at)?))) {
        Some((known, read)) => Some(read.get_or_init(|| known.read())),
        None => primary.eq_ignore_ascii_case("en").then_some(&IN_ENGLISH),
    }
}

/// The tags of all languages but English.
pub fn tags() -> impl Iterator<Item = &'static str> {
    KNOWN.iter().map(|known| known.tag)
}

impl Known {
    fn read(&self) -> Language {
        let mut labels = ENGLISH;
        let mut reviewed = (0, 0);
        match self.catalogue {
            Catalogue::Pseudo => labels.each(&mut |_, _, text| *text = String::leak(pseudo(text))),
            Catalogue::File(text) => {
                // A file of ours that could not be read would be English; a test reads each.
                let file = po::read(text.as_bytes()).unwrap_or_default();
                let of: std::collections::BTreeMap<&str, &po::Entry> = file
                    .entries
                    .iter()
                    .filter(|entry| !entry.obsolete && !entry.fuzzy && !entry.text.is_empty())
                    .filter_map(|entry| Some((entry.context.as_deref()?, entry)))
                    .collect();
                labels.each(&mut |group, label, text| {
                    if let Some(entry) =
                        of.get(format!("{group}.{label}").as_str()).filter(|entry| entry.source == *text)
                    {
                        *text = String::leak(entry.text.clone());
                        let by_somebody = entry.comments.iter().any(|comment| comment.starts_with("reviewed"));
                        if by_somebody { reviewed.0 += 1 } else { reviewed.1 += 1 }
                    }
                });
            }
        }
        Language {
            tag: self.tag,
            name: self.name,
            labels: Box::leak(Box::new(labels)),
            decimal: self.decimal,
            capital_nouns: self.capital_nouns,
            right_to_left: self.right_to_left,
            pseudo: matches!(self.catalogue, Catalogue::Pseudo),
            reviewed,
        }
    }
}

/// A text as the pseudo-languages say it: every vowel with an accent, and a third longer; its places stay.
pub fn pseudo(text: &str) -> String {
    let mut longer = String::from("«");
    let mut letters = 0_usize;
    for piece in pieces(text) {
        match piece {
            super::Piece::Place(name) => longer.extend(["{", name, "}"]),
            super::Piece::Text(text) => {
                for c in text.chars() {
                    letters += usize::from(c.is_alphabetic());
                    longer.push(accented(c));
                }
            }
        }
    }
    longer.push_str(&"~".repeat(letters.div_ceil(3)));
    longer.push('»');
    longer
}

fn accented(c: char) -> char {
    let from = "aeiouyncAEIOUNC";
    let to = "áéíóúýñçÁÉÍÓÚÑÇ";
    from.chars().zip(to.chars()).find(|(plain, _)| *plain == c).map_or(c, |(_, accented)| accented)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_language_is_spoken_for_as_long_as_its_work_lasts() {
        let german = language_of("de-AT").expect("German");
        assert_eq!(language().tag, "en");
        assert_eq!(speaking(german, || (spoken().row.tighten, language().tag)).1, "de");
        assert_eq!(language().tag, "en");
        assert_eq!(std::thread::scope(|scope| scope.spawn(|| language().tag).join().ok()), Some("en"));
        assert!(language_of("tlh").is_none() && language_of("en-GB").is_some_and(|one| one.tag == "en"));
    }

    #[test]
    fn the_pseudo_language_keeps_places_and_is_longer() {
        assert_eq!(pseudo("Repair {n}"), "«Répáír {n}~~»");
    }
}
