//! The face that every page is set in: a part of Noto Sans, which the page brings along, so that it has the same lines and as
//! many pages on every machine. Here, and nowhere else, stand its files, its name, and how wide its letters are.
//!
//! The files and the widths are cut from Noto Sans by `tests/oracles/face_files.py`. They hold nothing that moves letters (no
//! kerning, no ligatures), and the style switches both off for the faces that stand in for it: the width of a text is the sum
//! of its advances. Text that the face lacks (it holds Latin and Greek letters) is set in a face of the machine.

mod advances;

use std::fmt::Write as _;

use super::text::base64;
use advances::{EM, RUNS};

/// The faces that a page names: ours first, then what stands in for letters that ours lacks.
pub(super) const FAMILY: &str = "\"Fitwright Sans\", \"Noto Sans\", \"Segoe UI\", \"Helvetica Neue\", Helvetica, \"Liberation Sans\", Arial, sans-serif";

/// Whose work it is. Its licence wants this to travel with it.
const NOTICE: &str = "/* The face \"Fitwright Sans\" is cut from Noto Sans, Copyright 2012 Google Inc., and used under the SIL Open Font \
                      License, Version 1.1: https://openfontlicense.org */";

/// A weight or slant of it, as a file and as CSS names it.
struct Cut {
    style: &'static str,
    weight: u16,
    /// WOFF2.
    file: &'static [u8],
}

const REGULAR: Cut = Cut { style: "normal", weight: 400, file: include_bytes!("../../../site/fonts/regular.woff2") };
const BOLD: Cut = Cut { style: "normal", weight: 700, file: include_bytes!("../../../site/fonts/bold.woff2") };
const ITALIC: Cut = Cut { style: "italic", weight: 400, file: include_bytes!("../../../site/fonts/italic.woff2") };
const BOLD_ITALIC: Cut =
    Cut { style: "italic", weight: 700, file: include_bytes!("../../../site/fonts/bold-italic.woff2") };

/// The style that brings the face: upright always, slanted where there is text that needs it.
pub(super) fn style(italic: bool, bold_italic: bool) -> String {
    let mut css = format!("{NOTICE}\n");
    let slanted =
        [(italic, ITALIC), (bold_italic, BOLD_ITALIC)].into_iter().filter_map(|(wanted, cut)| wanted.then_some(cut));
    for Cut { style, weight, file } in [REGULAR, BOLD].into_iter().chain(slanted) {
        let _ = writeln!(
            css,
            "@font-face {{ font-family: \"Fitwright Sans\"; font-style: {style}; font-weight: {weight}; font-display: block; \
             src: url(data:font/woff2;base64,{}) format(\"woff2\"); }}",
            base64(file)
        );
    }
    // Advances are added up as they are, without rounding each to whole pixels of a screen.
    let _ = writeln!(
        css,
        ":root {{ --face: {FAMILY}; font-kerning: none; font-variant-ligatures: none; text-rendering: geometricPrecision; }}\n\
         code, kbd, samp, pre {{ font-family: var(--face); }}"
    );
    css
}

/// A finished page with the face in its first style element.
pub(super) fn embedded(page: &str) -> String {
    // Text of the writer cannot hold these: it is escaped.
    let (emphasis, strong, notice) = (page.contains("<em>"), page.contains("<strong>"), page.contains("panel notice"));
    let css = style(emphasis, notice || emphasis && strong);
    page.replacen("<style>\n", &format!("<style>\n{css}"), 1)
}

/// The advance of a character in parts of its size, or `None` where the face lacks it.
pub(super) fn advance(c: char, bold: bool) -> Option<f64> {
    let code = u32::from(c);
    let at = RUNS.partition_point(|(first, ..)| *first <= code).checked_sub(1)?;
    let (first, plain, heavy) = RUNS.get(at)?;
    let advances = if bold { heavy } else { plain };
    let units = advances.get(usize::try_from(code - first).ok()?)?;
    Some(f64::from(*units) / f64::from(EM))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn advances_are_found_at_the_ends_of_their_runs() {
        // Noto Sans 1.04, as fontTools reads it: blank 532, `~` 1171, `Ω` 1622 of 2048.
        assert_eq!(advance(' ', false), Some(532.0 / 2048.0));
        assert_eq!(advance('~', true), Some(1171.0 / 2048.0));
        assert_eq!(
            [advance('\u{1f}', false), advance('\u{7f}', false), advance('中', true), advance(char::MAX, true)],
            [None; 4]
        );
        assert!(RUNS.is_sorted_by_key(|(first, ..)| *first));
        for (first, plain, bold) in RUNS {
            assert_eq!(plain.len(), bold.len(), "at {first:x}");
        }
    }

    #[test]
    fn slanted_letters_come_only_where_they_are_needed() {
        let faces = |page: &str| embedded(page).matches("@font-face").count();
        assert_eq!(faces("<style>\n</style><p>&lt;em&gt;"), 2);
        assert_eq!(faces("<style>\n</style><em>a</em>"), 3);
        assert_eq!(faces("<style>\n</style><div class=\"panel notice\">"), 3);
        assert_eq!(faces("<style>\n</style><em><strong>a</strong></em>"), 4);
    }

    #[test]
    fn styles_use_no_other_face_and_no_other_weight() {
        use crate::emit::templates::{
            DRAWING_STYLE, MANUAL_STYLE, PACKING_LIST_STYLE, PICK_LIST_STYLE, SHEET_STYLE, SUMMARY_STYLE,
        };
        let job = include_str!("../../../site/styles/job.css");
        let mut seen = 0;
        for style in [DRAWING_STYLE, MANUAL_STYLE, PACKING_LIST_STYLE, PICK_LIST_STYLE, SHEET_STYLE, SUMMARY_STYLE, job]
        {
            for declaration in style.split(['{', '}', ';']).map(str::trim) {
                let Some((name, value)) = declaration.split_once(':') else { continue };
                let good = match name.trim() {
                    "font-weight" => matches!(value.trim(), "400" | "700"),
                    "font-family" => value.trim() == "var(--face)",
                    "font" => {
                        let weights = ["100", "200", "300", "500", "600", "800", "900", "bold", "italic"];
                        value.trim() == "inherit"
                            || value.ends_with("var(--face)") && !value.split(' ').any(|word| weights.contains(&word))
                    }
                    _ => continue,
                };
                assert!(good, "`{declaration}`: the pages bring the weights 400 and 700 of one face");
                seen += 1;
            }
        }
        assert!(seen > 20, "the styles were not read");
    }
}
