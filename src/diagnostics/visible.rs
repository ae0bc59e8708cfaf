//! What cannot be seen in a text, written out. Nothing of a source reaches a terminal otherwise.

/// Whether a character is invisible, or moves its neighbours about: these never reach a terminal.
pub(super) fn unseen(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e0fff}')
}

/// Adds a character, written out where it cannot be seen.
pub(super) fn push_visible(text: &mut String, c: char) {
    if unseen(c) {
        text.push_str(&format!("<U+{:04X}>", u32::from(c)));
    } else {
        text.push(c);
    }
}

/// A text in which what cannot be seen is written out: `<U+001B>`. Safe to print to a terminal.
pub fn visible(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    text.chars().for_each(|c| push_visible(&mut out, c));
    out
}
