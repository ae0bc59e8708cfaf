//! How wide text becomes, so that a drawing can break its lines: SVG breaks none.
//!
//! The widths are those of Helvetica, in thousandths of the size of the type, as its font metrics state them (from memory; a
//! check in a browser holds that no text leaves its drawing). The type that a machine shows in its place is as wide or
//! narrower: Arial and Liberation Sans have the same widths.

/// Widths of the characters from U+0020 to U+007E.
const PLAIN: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, // blank to /
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, // 0 to ?
    1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778, // @ to O
    667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, // P to _
    333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, // ` to o
    556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584, // p to ~
];
/// Bold letters are wider by less than this.
const BOLD: f64 = 1.09;

/// The width of a text set in a size, both in millimetres.
pub(super) fn width(text: &str, size: f64, bold: bool) -> f64 {
    let units: u32 = text.chars().map(|c| u32::from(letter(c))).sum();
    f64::from(units) / 1000.0 * size * if bold { BOLD } else { 1.0 }
}

fn letter(c: char) -> u16 {
    match c {
        ' '..='~' => PLAIN.get(c as usize - 0x20).copied().unwrap_or(1000),
        '\u{a0}' | '·' | '\u{2009}' | '\u{202f}' => 278,
        '°' => 400,
        '±' | '×' | '≤' | '≥' | '−' => 584,
        '–' => 556,
        'Ω' => 768,
        '\u{c0}'..='\u{24f}' => 780,
        '\u{370}'..='\u{5ff}' => 760,
        _ => 1000,
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
    fn lines_keep_to_their_width_and_lose_nothing() {
        let text = "Width of the roof rail, averylongwordthatdoesnotfitintooneline by itself";
        let lines = wrapped(text, 2.8, false, 20.0);
        assert!(lines.iter().all(|line| width(line, 2.8, false) <= 20.0));
        let kept: String = lines.concat().split_whitespace().collect();
        assert_eq!(kept, text.split_whitespace().collect::<String>());
        assert_eq!(wrapped("", 2.8, false, 20.0), [""]);
    }
}
