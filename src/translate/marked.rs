//! A text as a translator gets it: what must not be touched stands in braces, and what a translation makes of it.

use crate::labels::Language;
use crate::model::Mention;
use crate::prose;
use crate::quantity::Unit;

/// What stands in braces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Held {
    /// The name in the braces.
    pub(super) name: String,
    /// What stands for it in the source: a mention with its brackets, or a number with its unit.
    pub(super) text: String,
    /// Whether it is a mention.
    pub(super) is_mention: bool,
}

/// A text with what is held in braces.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Marked {
    pub(super) text: String,
    /// Each name once, in the order of the text.
    pub(super) held: Vec<Held>,
    /// The names as often as they stand there, sorted.
    names: Vec<String>,
}

/// How a text is marked up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Markup {
    Plain,
    Said,
    Prose,
}

impl Marked {
    /// Marks a text. Mentions and numbers go into braces, a brace of the text is doubled, as Python's `str.format` wants it.
    pub(super) fn of(text: &str, markup: Markup, mentions: &[Mention]) -> Marked {
        let mut marked = Marked::default();
        let mut at = 0;
        for range in mentioned(text, markup, mentions) {
            marked.plain(text.get(at..range.start).unwrap_or_default());
            let whole = text.get(range.clone()).unwrap_or_default();
            let inside = whole.trim_start_matches('[').trim_end_matches(']');
            let wanted =
                if inside.contains(|c: char| c.is_ascii_digit()) && inside.contains(' ') { None } else { Some(inside) };
            marked.hold(wanted, whole, true);
            at = range.end;
        }
        marked.plain(text.get(at..).unwrap_or_default());
        marked.names.sort();
        marked
    }

    /// Whether there is something to translate in it.
    pub(super) fn has_words(&self) -> bool {
        pieces(&self.text).is_ok_and(|pieces| {
            pieces.iter().any(|piece| matches!(piece, Piece::Text(text) if text.chars().any(char::is_alphabetic)))
        })
    }

    fn plain(&mut self, text: &str) {
        let mut rest = text;
        while let Some((start, end)) = number_in(rest) {
            self.literal(rest.get(..start).unwrap_or_default());
            self.hold(None, rest.get(start..end).unwrap_or_default(), false);
            rest = rest.get(end..).unwrap_or_default();
        }
        self.literal(rest);
    }

    fn literal(&mut self, text: &str) {
        self.text.push_str(&text.replace('{', "{{").replace('}', "}}"));
    }

    /// Holds a piece under the name that it has or wants, or the next of `q1`, `q2` ….
    fn hold(&mut self, wanted: Option<&str>, text: &str, is_mention: bool) {
        let known = self.held.iter().find(|held| held.text == text && held.is_mention == is_mention);
        let name = match known {
            Some(held) => held.name.clone(),
            None => {
                let name = self.free_name(wanted);
                self.held.push(Held { name: name.clone(), text: text.to_owned(), is_mention });
                name
            }
        };
        self.text.push_str(&format!("{{{name}}}"));
        self.names.push(name);
    }

    fn free_name(&self, wanted: Option<&str>) -> String {
        let is_free = |name: &String| self.held.iter().all(|held| held.name != *name);
        let name: String =
            wanted.unwrap_or("").chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '_' }).collect();
        let stem = if name.starts_with(|c: char| c.is_ascii_alphabetic()) { name } else { "q".to_owned() };
        let numbered = (1..=self.held.len() + 1).map(|n| format!("{stem}{}{n}", if stem == "q" { "" } else { "_" }));
        let first = (stem != "q").then(|| stem.clone());
        first.into_iter().chain(numbered).find(is_free).unwrap_or_else(|| format!("{stem}_x"))
    }

    /// The translation with what the braces hold put back.
    ///
    /// # Errors
    /// With what is wrong with the translation: what is held is lost, doubled or another, a digit that the text has not, or
    /// a character that is not to be seen or turns the order of others.
    pub(super) fn put_back(&self, translation: &str, markup: Markup, language: &Language) -> Result<String, String> {
        self.refuse_characters(translation)?;
        let pieces = pieces(translation)?;
        let mut names: Vec<String> = Vec::new();
        let mut text = String::new();
        for piece in pieces {
            match piece {
                Piece::Text(plain) => {
                    if let Some(digit) = plain.chars().find(|c| c.is_numeric()) {
                        return Err(format!(
                            "the digit `{digit}` stands in the translation; every number of the text is held in braces"
                        ));
                    }
                    for mark in ['[', ']', '\\'].into_iter().filter(|mark| plain.contains(*mark)) {
                        if markup != Markup::Plain && !self.text.contains(mark) {
                            return Err(format!("`{mark}` stands in the translation, and not in the text"));
                        }
                    }
                    text.push_str(&plain);
                }
                Piece::Name(name) => {
                    let Some(held) = self.held.iter().find(|held| held.name == name) else {
                        return Err(format!(
                            "`{{{}}}` is not held by the text{}",
                            crate::po::shown(&name),
                            self.holds()
                        ));
                    };
                    text.push_str(&if held.is_mention { held.text.clone() } else { localised(&held.text, language) });
                    names.push(name);
                }
            }
        }
        names.sort();
        for held in &self.held {
            let count = |names: &[String]| names.iter().filter(|name| **name == held.name).count();
            match (count(&self.names), count(&names)) {
                (wanted, found) if found < wanted => {
                    return Err(format!("`{{{}}}` is missing in the translation", held.name));
                }
                (wanted, found) if found > wanted => {
                    return Err(format!("`{{{}}}` stands in the translation more often than in the text", held.name));
                }
                _ => {}
            }
        }
        Ok(text)
    }

    fn holds(&self) -> String {
        let names: Vec<String> = self.held.iter().map(|held| format!("`{{{}}}`", held.name)).collect();
        if names.is_empty() {
            ", which holds nothing".to_owned()
        } else {
            format!(", which holds {}", names.join(", "))
        }
    }

    fn refuse_characters(&self, translation: &str) -> Result<(), String> {
        if translation.len() > self.text.len() * 4 + 200 {
            return Err("the translation is far longer than the text".to_owned());
        }
        let hidden = |c: char| match u32::from(c) {
            0x200b | 0x200e | 0x200f | 0x061c | 0x2028 | 0x2029 | 0x202a..=0x202e | 0x2060..=0x2069 | 0xfeff => true,
            _ => c.is_control() && !(c == '\n' && self.text.contains('\n')),
        };
        match translation.chars().find(|c| hidden(*c)) {
            Some(c) => {
                Err(format!("the character U+{:04X}, which is not seen, stands in the translation", u32::from(c)))
            }
            None => Ok(()),
        }
    }
}

/// A text as the source has it, with its numbers in the form of a language.
pub(super) fn as_it_is(marked: &Marked, markup: Markup, language: &Language) -> Option<String> {
    marked.put_back(&marked.text, markup, language).ok()
}

enum Piece {
    Text(String),
    Name(String),
}

/// The pieces of a text with braces.
fn pieces(text: &str) -> Result<Vec<Piece>, String> {
    let mut pieces = Vec::new();
    let mut plain = String::new();
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        match c {
            '{' | '}' if letters.peek() == Some(&c) => {
                letters.next();
                plain.push(c);
            }
            '{' => {
                let name: String = letters.by_ref().take_while(|c| *c != '}').collect();
                if name.is_empty() || !name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_') {
                    return Err("a brace stands in the translation that opens no name; a brace that is meant as such is doubled".to_owned());
                }
                pieces.extend([Piece::Text(std::mem::take(&mut plain)), Piece::Name(name)]);
            }
            '}' => return Err("a brace is closed in the translation that was not opened".to_owned()),
            c => plain.push(c),
        }
    }
    pieces.push(Piece::Text(plain));
    Ok(pieces)
}

/// Where the mentions of a text stand, brackets included, in their order.
fn mentioned(text: &str, markup: Markup, mentions: &[Mention]) -> Vec<std::ops::Range<usize>> {
    let known = |inside: &str| mentions.iter().any(|mention| mention.text == inside);
    match markup {
        Markup::Plain => Vec::new(),
        Markup::Prose => {
            let found = prose::mentions(text).0.into_iter();
            found.filter(|found| known(&found.text)).map(|found| found.range).collect()
        }
        Markup::Said => {
            let mut found = Vec::new();
            let mut at = 0;
            while let Some(start) = text.get(at..).and_then(|rest| rest.find('[')).map(|start| at + start) {
                let inside = text.get(start + 1..).and_then(|rest| rest.split_once(']')).map(|(inside, _)| inside);
                match inside.filter(|inside| known(inside)) {
                    Some(inside) => {
                        at = start + inside.len() + 2;
                        found.push(start..at);
                    }
                    None => at = start + 1,
                }
            }
            found
        }
    }
}

/// The first piece of a text that has a digit, with the unit that follows it.
fn number_in(text: &str) -> Option<(usize, usize)> {
    let digit = text.char_indices().find(|(_, c)| c.is_numeric())?.0;
    let in_word =
        |c: char| c.is_alphanumeric() || matches!(c, '.' | ',' | '/' | '-' | '−' | '×' | '+' | '±' | '%' | '°' | '·');
    let before = text.get(..digit)?;
    let start = before.char_indices().rev().take_while(|(_, c)| in_word(*c)).last().map_or(digit, |(at, _)| at);
    let rest = text.get(digit..)?;
    let word = rest.find(|c| !in_word(c)).unwrap_or(rest.len());
    let trimmed = rest.get(..word)?.trim_end_matches(['.', ',', '-', '/', '+']).len();
    let end = digit + trimmed;
    Some((start, end + if trimmed == word { unit_behind(text, start, end) } else { 0 }))
}

/// How long the unit behind a number is, with the blank before it.
fn unit_behind(text: &str, start: usize, end: usize) -> usize {
    let Some(rest) = text.get(end..) else { return 0 };
    let Some(after) = rest.strip_prefix([' ', '\u{a0}']) else { return 0 };
    let blank = rest.len() - after.len();
    let stops = |c: char| !(c.is_alphanumeric() || matches!(c, '·' | '.' | '/' | '°' | '%' | '²' | '³' | 'µ' | 'Ω'));
    let word = after.get(..after.find(stops).unwrap_or(after.len())).unwrap_or_default().trim_end_matches('.');
    let number = text.get(start..end).unwrap_or_default();
    // `in` is a word too: it is the unit behind a fraction, and where nothing follows that it could lead in.
    let follows = after.get(word.len()..).unwrap_or_default();
    let leads_in = word == "in" && !number.contains('/') && follows.starts_with(' ');
    if word.is_empty() || leads_in || Unit::lookup(word).is_none() { 0 } else { blank + word.len() }
}

/// A number with its unit as a language prints it: decimal sign, and a blank at which no line breaks. What is a name, such as that of a
/// thread or the strength of a bolt, stays.
fn localised(held: &str, language: &Language) -> String {
    let (number, unit) = match held.split_once([' ', '\u{a0}']) {
        Some((number, unit)) => (number, Some(unit)),
        None => (held, None),
    };
    let is_decimal = unit.is_some()
        && number.split('.').count() == 2
        && number.split('.').all(|part| !part.is_empty() && part.chars().all(|c| c.is_ascii_digit()));
    let number = if is_decimal { language.number(number) } else { number.to_owned() };
    language.isolated(match unit {
        Some(unit) => format!("{number}\u{a0}{unit}"),
        None => number,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::labels::{english, language_of};

    fn plain(text: &str) -> Marked {
        Marked::of(text, Markup::Plain, &[])
    }

    #[test]
    fn numbers_are_held_with_their_units() {
        for (text, wanted) in [
            ("Rubber pad, 8 mm", "Rubber pad, {q1}"),
            ("Torque wrench, 3/8 in drive", "Torque wrench, {q1} drive"),
            ("Bolt M8 × 30 mm, class 8.8, hex head", "Bolt {q1} × {q2}, class {q3}, hex head"),
            ("Put 4 in each bag.", "Put {q1} in each bag."),
            ("Wait 5.", "Wait {q1}."),
            ("5.5 m, then 5.5 m", "{q1}, then {q1}"),
            ("{x}", "{{x}}"),
            ("Bit T20, ½ full", "Bit {q1}, {q2} full"),
        ] {
            assert_eq!(plain(text).text, wanted, "{text}");
            assert_eq!(
                as_it_is(&plain(text), Markup::Plain, english()).map(|back| back.replace('\u{a0}', " ")).as_deref(),
                Some(text)
            );
        }
    }

    #[test]
    fn a_translation_keeps_what_is_held_and_brings_no_digit() {
        let german = language_of("de").expect("German");
        let marked = plain("Pad of 5.5 mm and M8×1.25");
        let of = |text: &str| marked.put_back(text, Markup::Plain, german);
        assert_eq!(of("Polster {q2} und {q1}").as_deref(), Ok("Polster M8×1.25 und 5,5\u{a0}mm"));
        for (wrong, says) in [
            ("Polster {q1}", "`{q2}` is missing"),
            ("{q1} {q1} {q2}", "more often"),
            ("{q1} {q2} {q3}", "not held"),
            ("{q1} {q2} 52", "digit `5`"),
            ("{q1} {q2} ٣", "digit"),
            ("{q1} {q2} {", "brace"),
            ("{q1} {q2} }", "brace"),
            ("{q1} {q2} \u{202e}", "U+202E"),
            ("{q1} {q2}\n", "U+000A"),
            ("{q1} {q2} \u{7}", "U+0007"),
        ] {
            assert!(of(wrong).is_err_and(|why| why.contains(says)), "{wrong}");
        }
        assert!(of(&format!("{{q1}} {{q2}} {}", "x".repeat(2000))).is_err_and(|why| why.contains("longer")));
    }
}
