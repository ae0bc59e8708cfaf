//! The places where text of an author or of a file changes its language: CSS strings, CSV cells, script elements,
//! data addresses. HTML itself is escaped by the templates.

use std::fmt::Write as _;

pub(super) use crate::canonical::sha256;

/// A CSS string with its quotes, for `content` in page margins. Everything but plain letters, digits and blanks is
/// written as a CSS escape, so that neither a quote nor `</style>` can end the string or the element.
pub(super) fn css_string(text: &str) -> String {
    let mut css = String::from("\"");
    for c in text.chars() {
        match c {
            ' ' => css.push(' '),
            c if c.is_alphanumeric() || matches!(c, '-' | '.' | ',' | ':') => css.push(c),
            c if c.is_control() => css.push(' '),
            // CSS Syntax 3, 4.3.7: hexadecimal digits and one blank, which ends the escape.
            c => {
                let _ = write!(css, "\\{:x} ", u32::from(c));
            }
        }
    }
    css.push('"');
    css
}

/// Text of HTML, and of an attribute in double quotes, for the few places that no template fills.
pub(super) fn html(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            c => safe.push(c),
        }
    }
    safe
}

/// JSON that may stand in a script element: nothing in it can end the element or start a comment, and no line
/// separator of JavaScript stays bare.
pub(super) fn json_in_html(json: &str) -> String {
    let mut safe = String::with_capacity(json.len());
    for c in json.chars() {
        match c {
            '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => {
                let _ = write!(safe, "\\u{:04x}", u32::from(c));
            }
            c => safe.push(c),
        }
    }
    safe
}

/// A text cell of a CSV file: RFC 4180 quoting, and an apostrophe before anything that a spreadsheet could take for a
/// formula (OWASP ASVS 5.0, 1.2.10), also after blanks or a quote and for the full-width signs.
pub(super) fn csv_text(text: &str) -> String {
    // A store searches for "13 mm" with an ordinary blank.
    let plain = |c| match c {
        '\0' => '\u{fffd}',
        '\u{a0}' => ' ',
        c => c,
    };
    let clean: String = text.chars().map(plain).collect();
    let first = clean.trim_start_matches([' ', '"', '\'']).chars().next();
    let starts_blank = clean.starts_with(['\t', '\r', '\n', '\0']);
    let formula = matches!(first, Some('=' | '+' | '-' | '@' | '|' | '\t' | '\r' | '\n' | '＝' | '＋' | '－' | '＠'));
    let cell = if formula || starts_blank { format!("'{clean}") } else { clean };
    if cell.contains([',', ';', '"', '\n', '\r']) || cell.starts_with([' ', '\t']) || cell.ends_with(' ') {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell
    }
}

/// The media type of a picture by its first bytes, or `None` for what a manual may not embed. A name says nothing.
pub(super) fn media_type(bytes: &[u8]) -> Option<&'static str> {
    let text = || {
        let head = bytes.get(..bytes.len().min(4096)).unwrap_or_default();
        String::from_utf8_lossy(head).into_owned()
    };
    match bytes {
        [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a, ..] => Some("image/png"),
        [0xff, 0xd8, 0xff, ..] => Some("image/jpeg"),
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Some("image/webp"),
        [b'G', b'I', b'F', b'8', ..] => Some("image/gif"),
        _ if text().contains("<svg") => Some("image/svg+xml"),
        _ => None,
    }
}

/// A `data:` address.
pub(super) fn data_address(media_type: &str, bytes: &[u8]) -> String {
    format!("data:{media_type};base64,{}", base64(bytes))
}

/// SHA-256 in base64, as a content security policy names what may run (CSP level 3, 2.3.1).
pub(super) fn policy_digest(text: &str) -> String {
    let hex = sha256(text.as_bytes());
    let byte = |at: usize| hex.get(at..at + 2).and_then(|pair| u8::from_str_radix(pair, 16).ok());
    base64(&(0..hex.len()).step_by(2).filter_map(byte).collect::<Vec<u8>>())
}

/// Base64 (RFC 4648, section 4).
pub(super) fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let letter = |six: u32| LETTERS.get((six & 63) as usize).map_or('=', |byte| char::from(*byte));
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for group in bytes.chunks(3) {
        let at = |index: usize| group.get(index).map_or(0, |byte| u32::from(*byte));
        let bits = at(0) << 16 | at(1) << 8 | at(2);
        text.push(letter(bits >> 18));
        text.push(letter(bits >> 12));
        text.push(if group.len() > 1 { letter(bits >> 6) } else { '=' });
        text.push(if group.len() > 2 { letter(bits) } else { '=' });
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_gives_the_vectors_of_rfc_4648() {
        let vectors = ["", "f", "fo", "foo", "foob", "fooba", "foobar"];
        let wanted = ["", "Zg==", "Zm8=", "Zm9v", "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy"];
        assert_eq!(vectors.map(|text| base64(text.as_bytes())), wanted);
    }

    #[test]
    fn sha256_gives_the_vector_of_fips_180_4() {
        assert_eq!(sha256(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn css_strings_cannot_be_left() {
        assert_eq!(css_string("Rack, 2nd"), "\"Rack, 2nd\"");
        let hostile = css_string("a\"} b\\ </style>\n*/");
        assert!(!hostile.contains("</") && !hostile.contains("*/") && !hostile.contains('\n'));
        assert_eq!(hostile.matches('"').count(), 2);
    }

    #[test]
    fn json_in_html_is_the_same_json() {
        let json = "{\"a\":\"</script><!--&\u{2028}\"}";
        let safe = json_in_html(json);
        assert!(!safe.contains('<') && !safe.contains('\u{2028}'));
        let read = |text: &str| serde_json::from_str::<serde_json::Value>(text).ok();
        assert_eq!(read(&safe), read(json));
    }

    #[test]
    fn cells_that_a_spreadsheet_would_compute_become_text() {
        for cell in ["=1+1", "+1", "-1", "@x", "\t=1", "\r=1", "  =1", "\"=1", "'=1", "＝1", "＋1", "－1", "＠1"] {
            let written = csv_text(cell);
            assert!(written.trim_start_matches('"').starts_with('\''), "{cell:?} became {written:?}");
        }
        assert_eq!(csv_text("Bolt M8"), "Bolt M8");
        assert_eq!(csv_text("a \"b\", c"), "\"a \"\"b\"\", c\"");
    }

    #[test]
    fn a_picture_is_known_by_its_bytes() {
        assert_eq!(media_type(b"\x89PNG\r\n\x1a\n...."), Some("image/png"));
        assert_eq!(media_type(b"<?xml version='1.0'?><svg xmlns='x'/>"), Some("image/svg+xml"));
        assert_eq!(media_type(b"<html><script>"), None);
        assert_eq!(media_type(b""), None);
    }
}
