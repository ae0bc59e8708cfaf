//! A table as it comes, line by line (RFC 4180), in records whose fields know their place.
//!
//! A field in quotes may go over several lines. Where a quote is never closed, or something stands behind one that was, only
//! the line where the record began is lost: the lines after it are read anew. Lines may end with LF too.

/// No record goes over more lines than this, or over more bytes.
const MOST_LINES: usize = 100;
/// The longest record, in bytes.
pub const MOST_BYTES: usize = 1 << 20;
/// The most fields of a record.
const MOST_FIELDS: usize = 1_000;

/// A row of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    /// The line on which it begins, from 1.
    pub line: u64,
    /// Its fields, or what is wrong with it: the column, from 1, and why.
    pub fields: Result<Vec<Field>, (usize, String)>,
}

/// A cell of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Field {
    /// The line on which it begins, from 1.
    pub line: u64,
    /// What stands in it, without its quotes.
    pub text: String,
    /// Whether it is text (UTF-8); what is not was replaced.
    pub is_text: bool,
}

/// Lines go in, records come out.
#[derive(Debug, Default)]
pub struct Records {
    /// The lines of a record that is not closed yet.
    open: Vec<Vec<u8>>,
    /// How many lines went in.
    lines: u64,
}

/// What lines come to so far.
enum Read {
    Whole(Vec<Field>),
    Open { column: usize },
    Fault { column: usize, why: String },
}

impl Records {
    /// Takes the next line with its end, and gives what is whole with it.
    pub fn line(&mut self, line: &[u8]) -> Vec<Record> {
        self.lines += 1;
        let line = if self.lines == 1 { line.strip_prefix(b"\xef\xbb\xbf").unwrap_or(line) } else { line };
        if self.open.is_empty() && line.iter().all(|byte| matches!(byte, b'\r' | b'\n')) {
            return Vec::new();
        }
        self.open.push(line.to_vec());
        self.whole(false)
    }

    /// A line that was too long to be kept.
    pub fn too_long(&mut self) -> Vec<Record> {
        let mut found = self.end();
        self.lines += 1;
        found.push(Record { line: self.lines, fields: Err((1, format!("the line has more than {MOST_BYTES} bytes"))) });
        found
    }

    /// No line comes any more: what is open is given up, line by line.
    pub fn end(&mut self) -> Vec<Record> {
        self.whole(true)
    }

    fn whole(&mut self, ended: bool) -> Vec<Record> {
        let mut found = Vec::new();
        // Lines that are read anew after a fault; each turn takes one off or ends.
        let mut waiting: Vec<Vec<u8>> = std::mem::take(&mut self.open);
        while !waiting.is_empty() {
            let first = self.lines + 1 - u64::try_from(waiting.len()).unwrap_or(0);
            let mut taken = 0;
            let mut bytes: Vec<u8> = Vec::new();
            let mut read = Read::Open { column: 1 };
            while let Some(line) = waiting.get(taken) {
                bytes.extend_from_slice(line);
                taken += 1;
                read = fields(&bytes, first);
                if !matches!(read, Read::Open { .. }) {
                    break;
                }
            }
            match read {
                Read::Whole(fields) => {
                    found.push(Record { line: first, fields: Ok(fields) });
                    waiting.drain(..taken);
                }
                Read::Open { .. } if !ended && taken <= MOST_LINES && bytes.len() <= MOST_BYTES => break,
                Read::Open { column } => {
                    let why = "the quote at its start is never closed".to_owned();
                    found.push(Record { line: first, fields: Err((column, why)) });
                    waiting.remove(0);
                }
                Read::Fault { column, why } => {
                    found.push(Record { line: first, fields: Err((column, why)) });
                    waiting.remove(0);
                }
            }
            while waiting.first().is_some_and(|line| line.iter().all(|byte| matches!(byte, b'\r' | b'\n'))) {
                waiting.remove(0);
            }
        }
        self.open = waiting;
        found
    }
}

/// Reads the fields of a record; `first` is the number of its first line.
fn fields(bytes: &[u8], first: u64) -> Read {
    let mut fields: Vec<Field> = Vec::new();
    let (mut at, mut line) = (0, first);
    loop {
        let column = fields.len() + 1;
        if column > MOST_FIELDS {
            return Read::Fault { column, why: format!("there are more than {MOST_FIELDS} columns") };
        }
        let begun = line;
        let mut text: Vec<u8> = Vec::new();
        if bytes.get(at) == Some(&b'"') {
            at += 1;
            loop {
                match (bytes.get(at), bytes.get(at + 1)) {
                    (None, _) => return Read::Open { column },
                    (Some(b'"'), Some(b'"')) => {
                        text.push(b'"');
                        at += 2;
                    }
                    (Some(b'"'), _) => {
                        at += 1;
                        break;
                    }
                    (Some(byte), _) => {
                        line += u64::from(*byte == b'\n');
                        text.push(*byte);
                        at += 1;
                    }
                }
            }
            if !matches!(bytes.get(at), None | Some(b',' | b'\r' | b'\n')) {
                let why = "something stands behind a closing quote; a quote in a cell is written twice".to_owned();
                return Read::Fault { column, why };
            }
        } else {
            let rest = bytes.get(at..).unwrap_or_default();
            let length = rest.iter().position(|byte| matches!(byte, b',' | b'\n')).unwrap_or(rest.len());
            let cell = rest.get(..length).unwrap_or_default();
            at += length;
            let ends_line = bytes.get(at) != Some(&b',');
            text.extend_from_slice(if ends_line { cell.strip_suffix(b"\r").unwrap_or(cell) } else { cell });
        }
        let (text, is_text) = match String::from_utf8(text) {
            Ok(text) => (text, true),
            Err(error) => (String::from_utf8_lossy(error.as_bytes()).into_owned(), false),
        };
        fields.push(Field { line: begun, text, is_text });
        match bytes.get(at) {
            Some(b',') => at += 1,
            _ => return Read::Whole(fields),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Vec<(u64, Result<Vec<String>, usize>)> {
        let mut records = Records::default();
        let mut found: Vec<Record> = Vec::new();
        for line in text.split_inclusive('\n') {
            found.extend(records.line(line.as_bytes()));
        }
        found.extend(records.end());
        let texts = |fields: Vec<Field>| fields.into_iter().map(|field| field.text).collect();
        found.into_iter().map(|one| (one.line, one.fields.map(texts).map_err(|(column, _)| column))).collect()
    }

    fn cells(cells: &[&str]) -> Result<Vec<String>, usize> {
        Ok(cells.iter().map(|cell| (*cell).to_owned()).collect())
    }

    /// RFC 4180, section 2, rule by rule.
    #[test]
    fn what_the_standard_allows_is_read() {
        assert_eq!(read("aaa,bbb\r\nzzz,yyy"), [(1, cells(&["aaa", "bbb"])), (2, cells(&["zzz", "yyy"]))]);
        assert_eq!(
            read("\"aaa\",\"b\r\nb\",ccc\r\nx,,\r\n"),
            [(1, cells(&["aaa", "b\r\nb", "ccc"])), (3, cells(&["x", "", ""]))]
        );
        assert_eq!(read("\"a\"\"b\",\",\"\n"), [(1, cells(&["a\"b", ","]))]);
        assert_eq!(read("\u{feff}a\n\n\r\nb\n"), [(1, cells(&["a"])), (4, cells(&["b"]))]);
    }

    #[test]
    fn a_bad_quote_loses_its_line_and_no_other() {
        let text = "a,b\n\"open,2\nc,\"d\"\ne,f\n\"x\"y,1\ng,h\n";
        let wanted = [
            (1, cells(&["a", "b"])),
            (2, Err(1)),
            (3, cells(&["c", "d"])),
            (4, cells(&["e", "f"])),
            (5, Err(1)),
            (6, cells(&["g", "h"])),
        ];
        assert_eq!(read(text), wanted);
        assert_eq!(
            read("a\nb,\"never\nc\nd\n"),
            [(1, cells(&["a"])), (2, Err(2)), (3, cells(&["c"])), (4, cells(&["d"]))]
        );
    }

    #[test]
    fn an_open_quote_is_given_up_long_before_the_end() {
        let mut text = "\"open\n".to_owned();
        text.push_str(&"a,b\n".repeat(1_000));
        let found = read(&text);
        assert_eq!(found.len(), 1_001);
        assert_eq!(found[0], (1, Err(1)));
        assert_eq!(found[1_000], (1_001, cells(&["a", "b"])));
    }
}
