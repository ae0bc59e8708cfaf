//! How wide text becomes, so that a drawing can break its lines: SVG breaks none.
//!
//! The widths are the advances of the very face that the page brings along. A letter that the face lacks comes from a face of the
//! machine, which nobody knows here: its width is assumed, and the canvas holds the text to it.

use crate::emit::face::advance;

/// The width of a text set in a size, both in millimetres.
pub(super) fn width(text: &str, size: f64, bold: bool) -> f64 {
    text.chars().map(|c| advance(c, bold).unwrap_or_else(|| assumed(c))).sum::<f64>() * size
}

/// Whether the face has every letter of a text.
pub(super) fn known(text: &str) -> bool {
    text.chars().all(|c| advance(c, false).is_some())
}

/// Parts of its size for a letter of another face: marks stand on the letter before them, ideographs are as wide as high.
fn assumed(c: char) -> f64 {
    match u32::from(c) {
        0x300..=0x36f | 0x591..=0x5bd | 0x64b..=0x65f | 0x200c..=0x200f | 0x2066..=0x2069 => 0.0,
        0..=0x10ff | 0x1200..=0x2e7f => 0.6,
        _ => 1.0,
    }
}

/// The lines of a text that is at most so wide. A word that is too long by itself is broken; a percent sign stays with its number.
pub(super) fn wrapped(text: &str, size: f64, bold: bool, most: f64) -> Vec<String> {
    let text = text.replace(" %", "\u{a0}%");
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split([' ', '\n', '\t']).filter(|word| !word.is_empty()) {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if width(&longer, size, bold) <= most {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            line.push(c);
            if width(&line, size, bold) > most && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::replace(&mut line, c.to_string()));
            }
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_as_wide_as_its_letters() {
        // Noto Sans 1.04 as fontTools reads it: M 1858, a blank 532, 8 1171 of 2048; bold M 1931.
        assert!((width("M 8", 2.0, false) - 2.0 * (1858.0 + 532.0 + 1171.0) / 2048.0).abs() < 1e-9);
        assert!((width("M", 2048.0, true) - 1931.0).abs() < 1e-9);
        assert!(known("Ω ≤ 0.5 ✓") && !known("中"));
        assert!((width("中文", 3.0, false) - 6.0).abs() < 1e-9);
    }

    #[test]
    fn lines_keep_to_their_width_and_lose_nothing() {
        let text = "Width of the roof rail, averylongwordthatdoesnotfitintooneline by itself";
        let lines = wrapped(text, 2.8, false, 20.0);
        assert!(lines.iter().all(|line| width(line, 2.8, false) <= 20.0));
        let kept: String = lines.concat().split_whitespace().collect();
        assert_eq!(kept, text.split_whitespace().collect::<String>());
        assert_eq!(wrapped("", 2.8, false, 20.0), [""]);
    }
}
