//! Letters of the actions of a step.

use std::fmt;

/// The letter of an action within its step: `a`, `b`, … `z`, `aa`, `ab`, …
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Letter(u32);

impl Letter {
    /// The letter of the action with this place in its step, from 0.
    pub fn at(place: usize) -> Letter {
        Letter(u32::try_from(place).unwrap_or(u32::MAX))
    }

    /// The letter that a text spells, in small letters; `None` where it spells none.
    pub fn read(text: &str) -> Option<Letter> {
        // Four letters are more actions than a file can hold lines.
        if text.is_empty() || text.len() > 4 || !text.bytes().all(|letter| letter.is_ascii_lowercase()) {
            return None;
        }
        let number = text.bytes().fold(0, |number, letter| number * 26 + u32::from(letter - b'a') + 1);
        Some(Letter(number - 1))
    }
}

impl fmt::Display for Letter {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut number = u64::from(self.0) + 1;
        let mut letters = Vec::new();
        while number > 0 {
            number -= 1;
            letters.push(char::from(b'a' + u8::try_from(number % 26).unwrap_or_default()));
            number /= 26;
        }
        letters.iter().rev().try_for_each(|letter| write!(out, "{letter}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_are_read_as_they_are_written() {
        for (place, letters) in [(0, "a"), (1, "b"), (25, "z"), (26, "aa"), (27, "ab"), (701, "zz"), (702, "aaa")] {
            assert_eq!(Letter::at(place).to_string(), letters);
            assert_eq!(Letter::read(letters), Some(Letter::at(place)));
        }
        for wrong in ["", "A", "1", "a1", "ä", "abcde"] {
            assert_eq!(Letter::read(wrong), None, "{wrong}");
        }
        assert!(!Letter::at(usize::MAX).to_string().is_empty());
    }
}
