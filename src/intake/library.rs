//! What the standard library has for the words of a text: proposed, never put in their place.

use crate::parse::written::{Entry, Kind, written};
use crate::resolve::standard_libraries;
use std::collections::BTreeSet;
use std::sync::LazyLock;

struct Row {
    library: &'static str,
    statement: String,
    name: String,
    words: BTreeSet<String>,
    /// With which of them the title begins: what the thing is.
    first: Option<String>,
}

/// Everything in the library that has a title, as its tokens say.
static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    let mut rows = Vec::new();
    for (library, text) in standard_libraries() {
        for entry in written(text).unwrap_or_default() {
            let Entry::Statement(statement) = entry else { continue };
            let [head, name, title, ..] = statement.tokens.as_slice() else { continue };
            if name.kind != Kind::NewName || title.kind != Kind::Text {
                continue;
            }
            let slice = |start: u32, end: u32| text.get(start as usize..end as usize).unwrap_or("").to_string();
            let title = slice(title.start, title.end);
            rows.push(Row {
                library,
                statement: slice(head.start, head.end),
                name: slice(name.start, name.end),
                words: words(&title),
                first: title.split_whitespace().next().and_then(|first| words(first).pop_first()),
            });
        }
    }
    rows
});

fn words(text: &str) -> BTreeSet<String> {
    const FILLER: &[&str] = &["a", "an", "the", "of", "for", "with", "and", "or", "that", "to", "in", "x"];
    let lower = text.to_lowercase();
    let words = lower
        .split(|c: char| !c.is_alphanumeric() && !matches!(c, '/' | '.'))
        .map(|word| word.trim_matches('.'))
        .filter(|word| !word.is_empty() && !FILLER.contains(word));
    words.map(|word| word.strip_suffix('s').filter(|stem| stem.len() > 3).unwrap_or(word).to_string()).collect()
}

/// What the library has for the words of a text.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Proposal {
    /// The libraries and the names in them.
    pub things: Vec<(&'static str, &'static str)>,
    /// So many others would do as well.
    pub others: usize,
}

/// So many are named where the words leave it open which one is meant.
const MOST_NAMED: usize = 3;

/// The library's things whose titles are in these words, without those that say less than another of them: `10 mm and 13 mm
/// spanners` are two. Where there is none, those whose titles begin so and say more: `torque wrench`.
pub fn things(text: &str, statements: &[&str]) -> Proposal {
    let wanted = words(text);
    let of_the_sort = || ROWS.iter().filter(|row| statements.contains(&row.statement.as_str()));
    let fits = |row: &&Row| row.words == wanted || (row.words.len() > 1 && row.words.is_subset(&wanted));
    let fitting: Vec<&Row> = of_the_sort().filter(fits).collect();
    let says_less = |row: &Row| {
        fitting.iter().any(|other| other.words.len() > row.words.len() && row.words.is_subset(&other.words))
    };
    let mut found: Vec<&Row> = fitting.iter().copied().filter(|row| !says_less(row)).collect();
    let is_telling = wanted.len() > 1 || wanted.iter().any(|word| word.len() > 6);
    if found.is_empty() && is_telling {
        let begins = |row: &&Row| row.first.as_ref().is_some_and(|first| wanted.contains(first));
        found = of_the_sort().filter(|row| wanted.is_subset(&row.words)).filter(begins).collect();
    }
    Proposal {
        things: found.iter().take(MOST_NAMED).map(|row| (row.library, row.name.as_str())).collect(),
        others: found.len().saturating_sub(MOST_NAMED),
    }
}

/// The library's hazard whose title's words are all said.
pub fn hazard(text: &str) -> Option<&'static str> {
    let said = words(text);
    let fits = |row: &&Row| {
        row.statement == "hazard" && row.words.is_subset(&said) && (row.words.len() > 1 || row.words == said)
    };
    ROWS.iter()
        .filter(fits)
        .max_by_key(|row| (row.words.len(), std::cmp::Reverse(&row.name)))
        .map(|row| row.name.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn titles_are_found_in_other_words() {
        let named =
            |text: &str, sort: &str| things(text, &[sort]).things.iter().map(|(_, name)| *name).collect::<Vec<_>>();
        assert_eq!(things("13 mm socket", &["tool"]).things, [("std/hand-tools", "socket-13")]);
        assert_eq!(things("Safety glasses", &["protection"]).things, [("std/protection", "safety-glasses")]);
        assert_eq!(things("A thing of ours", &["tool"]), Proposal::default());
        assert_eq!(named("10 mm and 13 mm spanners", "tool"), ["spanner-10", "spanner-13"]);
        assert_eq!(named("drill with 6.5 mm bit", "tool"), ["drill-bit-6-5"]);
        assert_eq!(named("multimeter", "tool"), ["multimeter", "multimeter-resistance"]);
        let wrenches = things("Torque wrench", &["tool"]);
        assert_eq!((wrenches.things.len(), wrenches.others > 0), (MOST_NAMED, true));
        assert_eq!(named("Ratchet", "tool").first().copied(), Some("ratchet-1-4-drive"));
        assert_eq!(things("Wrench", &["tool"]), Proposal::default());
        assert_eq!(hazard("The edge is sharp."), Some("sharp-edge"));
        assert_eq!(hazard("Nothing in particular."), None);
    }
}
