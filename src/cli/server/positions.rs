//! Places as an editor counts them: lines from 0, and units of an encoding within a line. Within the program a place is a byte.

use lsp_types::{Position, PositionEncodingKind, Range};

/// In what an editor counts within a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// Bytes of UTF-8.
    Utf8,
    /// Units of UTF-16: what every editor can do, and what holds where nothing is agreed.
    Utf16,
    /// Characters.
    Utf32,
}

impl Encoding {
    /// The first of those that the editor offers.
    pub fn agreed(offered: Option<&[PositionEncodingKind]>) -> Encoding {
        let known = |kind: &PositionEncodingKind| match kind.as_str() {
            "utf-8" => Some(Encoding::Utf8),
            "utf-16" => Some(Encoding::Utf16),
            "utf-32" => Some(Encoding::Utf32),
            _ => None,
        };
        offered.into_iter().flatten().find_map(known).unwrap_or(Encoding::Utf16)
    }

    /// Its name in the protocol.
    pub fn kind(self) -> PositionEncodingKind {
        match self {
            Encoding::Utf8 => PositionEncodingKind::UTF8,
            Encoding::Utf16 => PositionEncodingKind::UTF16,
            Encoding::Utf32 => PositionEncodingKind::UTF32,
        }
    }

    fn units(self, c: char) -> usize {
        match self {
            Encoding::Utf8 => c.len_utf8(),
            Encoding::Utf16 => c.len_utf16(),
            Encoding::Utf32 => 1,
        }
    }
}

/// A text with its lines as an editor sees them: LF, CRLF and CR end one.
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
    encoding: Encoding,
}

impl<'t> Lines<'t> {
    pub fn of(text: &'t str, encoding: Encoding) -> Lines<'t> {
        let bytes = text.as_bytes();
        let ends = |at: &usize| match bytes[*at] {
            b'\n' => true,
            b'\r' => bytes.get(at + 1) != Some(&b'\n'),
            _ => false,
        };
        let mut starts = vec![0];
        starts.extend((0..bytes.len()).filter(ends).map(|at| at + 1));
        Lines { text, starts, encoding }
    }

    /// The place of a byte; the end of the text for one beyond it.
    pub fn position(&self, offset: usize) -> Position {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let line = self.starts.partition_point(|start| *start <= offset).saturating_sub(1);
        let start = self.starts.get(line).copied().unwrap_or(0);
        let before = self.text.get(start..offset).unwrap_or_default();
        let units: usize = before.chars().map(|c| self.encoding.units(c)).sum();
        Position { line: number(line), character: number(units) }
    }

    /// The place of some bytes.
    pub fn range(&self, span: std::ops::Range<usize>) -> Range {
        Range { start: self.position(span.start), end: self.position(span.end) }
    }

    /// The byte at a place: the end of the line for a place beyond it, the end of the text for a line beyond the last.
    pub fn offset(&self, position: Position) -> usize {
        let line = position.line as usize;
        let Some(start) = self.starts.get(line).copied() else { return self.text.len() };
        let end = self.starts.get(line + 1).copied().unwrap_or(self.text.len());
        let text = self.text.get(start..end).unwrap_or_default().trim_end_matches(['\n', '\r']);
        let (mut at, mut units) = (start, 0);
        for c in text.chars() {
            units += self.encoding.units(c);
            // A place within a character is where it begins.
            if units > position.character as usize {
                break;
            }
            at += c.len_utf8();
        }
        at
    }
}

fn number(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// UTF-16 units by the standard library's own encoder, bytes and characters by its strings.
    #[test]
    fn every_character_has_its_place_in_every_encoding() {
        let text = "Ø12 ±0,5 µm 🔩 x\r\nzwei\rdrei\n\nlast 🔩";
        for encoding in [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32] {
            let lines = Lines::of(text, encoding);
            for (offset, c) in text.char_indices().filter(|(_, c)| !matches!(c, '\r' | '\n')) {
                let start = text[..offset].rfind(['\n', '\r']).map_or(0, |at| at + 1);
                let before = &text[start..offset];
                let column = match encoding {
                    Encoding::Utf8 => before.len(),
                    Encoding::Utf16 => before.encode_utf16().count(),
                    Encoding::Utf32 => before.chars().count(),
                };
                let at = lines.position(offset);
                assert_eq!(at.character as usize, column, "{c:?}");
                assert_eq!(lines.offset(at), offset, "{c:?}");
            }
        }
        let lines = Lines::of(text, Encoding::Utf16);
        assert_eq!(lines.offset(Position { line: 0, character: 900 }), text.find("\r\n").expect("a line end"));
        assert_eq!(lines.offset(Position { line: 99, character: 0 }), text.len());
        // Between the two halves of one character.
        let nut = text.find('🔩').expect("in the text");
        let half = Position { character: lines.position(nut).character + 1, ..lines.position(nut) };
        assert_eq!(lines.offset(half), nut);
    }
}
