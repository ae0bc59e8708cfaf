//! Names made of titles: each once in a file.

use crate::parse::forms::FORMS;
use crate::resolve::RESERVED;
use std::collections::BTreeSet;

/// Letters of one name.
const MOST: usize = 40;

/// The names of a file so far.
#[derive(Debug, Default)]
pub struct Names {
    taken: BTreeSet<String>,
    /// How many were asked for by each stem, so that a thousand alike take no longer than a thousand apart.
    next: std::collections::BTreeMap<String, usize>,
}

impl Names {
    /// A name that nothing has yet. `sort` is what the thing is, for where its title gives none.
    pub fn of(&mut self, title: &str, sort: &str) -> String {
        let stem = stem(title, sort);
        let count = self.next.entry(stem.clone()).or_insert(1);
        loop {
            let name = if *count == 1 { stem.clone() } else { format!("{stem}-{count}") };
            *count += 1;
            if self.taken.insert(name.clone()) {
                return name;
            }
        }
    }
}

fn stem(title: &str, sort: &str) -> String {
    let lower: String = title.to_lowercase().chars().map(plain).collect();
    let words = lower.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
    let mut name = String::new();
    for word in words.take(5) {
        if name.len() + word.len() >= MOST {
            break;
        }
        if !name.is_empty() {
            name.push('-');
        }
        name.push_str(word);
    }
    // `optional` would be read as the head of a line's end.
    let is_word = RESERVED.contains(&name.as_str()) || name == "optional" || FORMS.iter().any(|form| form.word == name);
    if name.is_empty() || is_word || !name.starts_with(|c: char| c.is_ascii_lowercase()) {
        let gap = if name.is_empty() { "" } else { "-" };
        return format!("{sort}{gap}{name}");
    }
    name
}

/// A letter as names have it, where it is one of Latin with a mark.
fn plain(letter: char) -> String {
    const MARKED: &[(&str, &str)] = &[
        ("ä", "ae"),
        ("ö", "oe"),
        ("ü", "ue"),
        ("ß", "ss"),
        ("æ", "ae"),
        ("œ", "oe"),
        ("ø", "o"),
        ("ł", "l"),
        ("áàâãåā", "a"),
        ("éèêëēę", "e"),
        ("íìîïī", "i"),
        ("óòôõō", "o"),
        ("úùûū", "u"),
        ("çć", "c"),
        ("ñń", "n"),
        ("ýÿ", "y"),
        ("šś", "s"),
        ("žźż", "z"),
    ];
    let found = MARKED.iter().find(|(letters, _)| letters.contains(letter));
    found.map_or_else(|| letter.to_string(), |(_, plain)| (*plain).to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_come_from_titles_and_differ() {
        let mut names = Names::default();
        assert_eq!(names.of("Mount the Bracket!", "step"), "mount-the-bracket");
        assert_eq!(names.of("Mount the bracket", "step"), "mount-the-bracket-2");
        assert_eq!(names.of("Mount the bracket 2", "step"), "mount-the-bracket-2-2");
        assert_eq!(names.of("Часть", "section"), "section");
        assert_eq!(names.of("Löcher bohren", "step"), "loecher-bohren");
        assert_eq!(names.of("When", "step"), "step-when");
        assert_eq!(names.of("13 mm socket", "tool"), "tool-13-mm-socket");
    }
}
