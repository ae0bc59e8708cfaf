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
            rows.push(Row {
                library,
                statement: slice(head.start, head.end),
                name: slice(name.start, name.end),
                words: words(&slice(title.start, title.end)),
            });
        }
    }
    rows
});

fn words(text: &str) -> BTreeSet<String> {
    const FILLER: &[&str] = &["a", "an", "the", "of", "for", "with", "and", "or", "that", "to", "in", "x"];
    let lower = text.to_lowercase();
    let words = lower
        .split(|c: char| !c.is_alphanumeric() && c != '/')
        .filter(|word| !word.is_empty() && !FILLER.contains(word));
    words.map(|word| word.strip_suffix('s').filter(|stem| stem.len() > 3).unwrap_or(word).to_string()).collect()
}

/// The library's thing whose title is in these words: the library and the name.
pub fn thing(text: &str, statements: &[&str]) -> Option<(&'static str, &'static str)> {
    let wanted = words(text);
    let fits = |row: &&Row| {
        statements.contains(&row.statement.as_str()) && row.words.len() > 1 && row.words.is_subset(&wanted)
            || row.words == wanted && statements.contains(&row.statement.as_str())
    };
    let best = ROWS.iter().filter(fits).max_by_key(|row| (row.words.len(), std::cmp::Reverse(&row.name)))?;
    Some((best.library, best.name.as_str()))
}

/// The library's hazard whose title's words are all said.
pub fn hazard(text: &str) -> Option<&'static str> {
    thing(text, &["hazard"]).map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn titles_are_found_in_other_words() {
        assert_eq!(thing("13 mm socket", &["tool"]), Some(("std/hand-tools", "socket-13")));
        assert_eq!(thing("Safety glasses", &["protection"]), Some(("std/protection", "safety-glasses")));
        assert_eq!(thing("A thing of ours", &["tool"]), None);
        assert_eq!(hazard("The edge is sharp."), Some("sharp-edge"));
        assert_eq!(hazard("Nothing in particular."), None);
    }
}
