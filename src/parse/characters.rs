//! Characters that cannot be trusted: invisible ones, ones that reorder text, and letters that look like others.

use crate::diagnostics::{Change, Code, Confidence, Finding, Mend};
use crate::source::Span;

/// Where a character stands. People write every language in texts, prose and comments; names are ASCII.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// In a statement, outside quotes.
    Statement,
    /// In a text in quotes.
    Quoted,
    /// In a prose line.
    Prose,
    /// In a comment.
    Comment,
}

/// Why a character is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Suspect {
    /// NUL and other control characters, and what is no character at all.
    Control,
    /// Changes the order in which the text after it is shown.
    Reorders,
    /// Takes no room.
    Invisible,
    /// Looks like a blank and is none.
    OddBlank,
    /// A line end that only some programs see as one.
    OddLineEnd,
    /// A letter that looks like this one of the Latin alphabet.
    LooksLike(char),
    /// A letter that names do not use.
    ForeignLetter,
    /// A dash instead of a hyphen.
    Dash,
    /// A digit of another script, or a fraction in one character.
    OddDigit,
    /// Anything else that has no meaning outside quotes.
    Other,
}

/// Signs beyond ASCII that statements may hold.
const SIGNS: &str = "±·⋅°µμΩΩ²³×÷−≤≥";

/// Judges one character; `None` where it is in order.
pub fn suspect(character: char, place: Place) -> Option<Suspect> {
    match character {
        '\t' => return None,
        '\r' | '\u{85}' | '\u{2028}' | '\u{2029}' => return Some(Suspect::OddLineEnd),
        c if c.is_control() || is_no_character(c) => return Some(Suspect::Control),
        // Fillers of Hangul, and the pattern of Braille without a dot: a title of them would be blank.
        '\u{115f}' | '\u{1160}' | '\u{2800}' | '\u{3164}' | '\u{ffa0}' => return Some(Suspect::OddBlank),
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}' | '\u{61c}' => {
            return Some(Suspect::Reorders);
        }
        // Joiners belong to the writing of some languages, and to emoji.
        '\u{200c}' | '\u{200d}' if place != Place::Statement => return None,
        '\u{200b}'..='\u{200d}'
        | '\u{2060}'..='\u{2064}'
        | '\u{feff}'
        | '\u{ad}'
        | '\u{180e}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{e0000}'..='\u{e007f}' => return Some(Suspect::Invisible),
        _ => {}
    }
    if character.is_ascii() || place != Place::Statement || SIGNS.contains(character) {
        return None;
    }
    Some(match character {
        c if c.is_whitespace() => Suspect::OddBlank,
        '\u{2010}'..='\u{2015}' | '\u{fe58}' | '\u{fe63}' | '\u{ff0d}' => Suspect::Dash,
        c if look_alike(c).is_some() => Suspect::LooksLike(look_alike(c).unwrap_or(c)),
        c if c.is_numeric() => Suspect::OddDigit,
        c if c.is_alphabetic() || ('\u{300}'..='\u{36f}').contains(&c) => Suspect::ForeignLetter,
        _ => Suspect::Other,
    })
}

/// The noncharacters of Unicode (section 23.7 of its standard): never a sign, in no text.
fn is_no_character(c: char) -> bool {
    matches!(c, '\u{fdd0}'..='\u{fdef}') || u32::from(c) & 0xfffe == 0xfffe
}

/// The Latin letter that a letter of another script is easily taken for. After the idea of UTS 39 (confusables), with
/// only the letters that look the same in common typefaces.
fn look_alike(character: char) -> Option<char> {
    const PAIRS: &[(&str, &str)] = &[
        ("аеорсухіјѕһԁԛԝ", "aeopcyxijshdqw"),
        ("АВЕКМНОРСТУХІЈЅԚԜ", "ABEKMHOPCTYXIJSQW"),
        ("αορτυνικγχ", "aoptuvikyx"),
        ("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧ", "ABEZHIKMNOPTYX"),
    ];
    if ('\u{ff01}'..='\u{ff5e}').contains(&character) {
        return char::from_u32(u32::from(character) - 0xfee0).filter(char::is_ascii_graphic);
    }
    PAIRS.iter().find_map(|(odd, plain)| odd.chars().zip(plain.chars()).find(|(o, _)| *o == character).map(|(_, p)| p))
}

impl Suspect {
    /// Whether the fault is one of the whole word, which is then reported once.
    pub fn in_a_word(self) -> bool {
        matches!(self, Suspect::LooksLike(_) | Suspect::ForeignLetter | Suspect::Dash)
    }

    /// What is said.
    pub fn finding(self, character: char, word: &str, at: Span) -> Finding {
        let number = format!("U+{:04X}", u32::from(character));
        match self {
            Suspect::Control => Finding::new(
                Code::FW0105,
                format!("there is a control character ({number}) in the text"),
                at,
                "a character that cannot be seen",
            )
            .because("It can hide text or upset the screen of the person who reads it.")
            .repair("Delete it.")
            .mend(Mend::look("Delete it", Change::Write(at, String::new()))),
            Suspect::Reorders => Finding::new(
                Code::FW0105,
                format!("the character {number} changes the order in which the text after it is shown"),
                at,
                "a character that reorders text",
            )
            .because("With it, a person reads something else than what is compiled.")
            .repair("Delete it.")
            .mend(Mend::look("Delete it", Change::Write(at, String::new()))),
            Suspect::Invisible => Finding::new(
                Code::FW0105,
                format!("there is a character here that takes no room ({number})"),
                at,
                "a character that cannot be seen",
            )
            .because("Two names that look the same could differ by it.")
            .repair("Delete it.")
            .mend(Mend::safe("Delete it", Change::Write(at, String::new()))),
            Suspect::OddBlank => Finding::new(
                Code::FW0105,
                format!("this blank is not the one of the space bar ({number})"),
                at,
                "an unusual blank",
            )
            .because("It often comes along when text is copied from a document or a web page.")
            .repair("Delete it and press the space bar.")
            .mend(Mend::safe("Write a usual blank", Change::Write(at, " ".to_string()))),
            Suspect::OddLineEnd => Finding::new(
                Code::FW0105,
                format!("there is a line end here that only some programs see as one ({number})"),
                at,
                "an unusual line end",
            )
            .because("The line numbers in messages would differ from those in an editor.")
            .repair("Delete it and press Enter, or save the file with usual line ends (LF or CRLF)."),
            Suspect::LooksLike(plain) => Finding::new(
                Code::FW0106,
                format!("the letter `{character}` ({number}) in `{word}` is not the `{plain}` that it looks like"),
                at,
                format!("looks like `{plain}`"),
            )
            .because("Two names that nobody can tell apart would be two different names.")
            .repair(format!("Write `{}`.", plain_word(word)))
            .mend(Mend::write(Confidence::Safe, at, plain)),
            Suspect::ForeignLetter => Finding::new(
                Code::FW0106,
                format!("a name is written with the letters a to z, and `{word}` has the letter `{character}` in it"),
                at,
                "not a letter from a to z",
            )
            .repair("Spell the name without it. Titles in quotes may be written in any language."),
            Suspect::Dash => Finding::new(
                Code::FW0106,
                format!("`{character}` is a dash, which the language does not use"),
                at,
                "a dash, longer than a hyphen",
            )
            .repair(if word.starts_with(char::is_alphabetic) {
                format!("Write `{}`, with a hyphen.", plain_word(word))
            } else {
                "Write a range with `to`: `20 mm to 45 mm`.".to_string()
            })
            .mend(word.starts_with(char::is_alphabetic).then(|| Mend::write(Confidence::Safe, at, "-"))),
            Suspect::OddDigit => Finding::new(
                Code::FW0309,
                format!("`{character}` is not a number that can be read here"),
                at,
                "not one of the digits 0 to 9",
            )
            .repair("Write numbers with the digits 0 to 9, and fractions as `3 1/2`."),
            Suspect::Other => Finding::new(
                Code::FW0101,
                format!("`{character}` has no meaning outside quotes and prose"),
                at,
                "not a sign of the language",
            )
            .repair("Delete it, or put the text that it belongs to in quotes."),
        }
    }
}

/// The word with each look-alike replaced, and each dash by a hyphen.
pub(super) fn plain_word(word: &str) -> String {
    let plain = |c: char| match c {
        c if c.is_ascii() => c,
        c if is_dash(c) => '-',
        c => look_alike(c).unwrap_or(c),
    };
    word.chars().map(plain).collect()
}

/// Whether a character is a dash that stands where a hyphen was meant.
pub(super) fn is_dash(character: char) -> bool {
    suspect(character, Place::Statement) == Some(Suspect::Dash)
}
