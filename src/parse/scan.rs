//! The first look at a text: where statements, prose lines and braces lie.
//!
//! An *event* is a piece of a statement, a prose line, or a brace. Texts in quotes and comments are passed over here,
//! so a brace inside them is none. Characters that cannot be trusted are reported on the way. One pass, no lookback
//! beyond the word before a quote, so the time is linear.

use super::characters::{Place, Suspect, suspect};
use super::limits;
use super::report::Findings;
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::source::{FileId, Span};
use std::collections::BTreeSet;

/// What an event is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EventKind {
    /// Words of a statement, up to a brace, a comment or the end of the line.
    Words,
    /// A whole prose line, from its `>`.
    Prose,
    /// `{`
    Open,
    /// `}`
    Close,
}

/// One piece of the layout.
#[derive(Debug, Clone, Copy)]
pub struct Event {
    /// What it is.
    pub kind: EventKind,
    /// First byte.
    pub start: u32,
    /// One past the last byte, blanks at the end not counted.
    pub end: u32,
    /// Number of its line, from 0.
    pub line: u32,
    /// Columns of blank before the first word of its line.
    pub indent: u32,
    /// Whether it is the first on its line.
    pub leads: bool,
    /// Whether something in it has been reported already.
    pub faulty: bool,
}

/// A comment.
#[derive(Debug, Clone, Copy)]
pub struct Comment {
    /// Its `#`.
    pub start: u32,
    /// One past its last byte, blanks at the end not counted.
    pub end: u32,
    /// Whether it has its line for itself.
    pub leads: bool,
}

/// What the first look found.
#[derive(Debug, Default)]
pub(super) struct Scan {
    /// In the order of the text.
    pub events: Vec<Event>,
    /// From its `#` to the end of its line, blanks at the end not counted; and whether it has its line for itself.
    pub comments: Vec<Comment>,
    /// What is wrong with characters and quotes.
    pub findings: Findings,
    /// Whether reading on makes no sense (marks of a merge, nesting too deep).
    pub hopeless: bool,
}

/// Looks through a text once.
pub(super) fn scan(file: FileId, text: &str) -> Scan {
    let mut scanner = Scanner { file, text, out: Scan::default(), depth: 0, told: BTreeSet::new() };
    let mut start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let mut line = 0;
    while start < text.len() && !scanner.out.hopeless {
        let end = text[start..].find('\n').map_or(text.len(), |at| start + at);
        scanner.line(start, end, line);
        start = end + 1;
        line += 1;
    }
    scanner.out
}

/// What the end of a line stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stands {
    /// A prose line.
    Prose,
    /// A text in quotes.
    Text,
    /// A comment.
    Comment,
    /// A statement, with the byte of the line behind the brace before it.
    Statement(usize),
}

/// What the end of the beginning of a line stands in.
pub(super) fn stands(line: &str) -> Stands {
    let first = line.len() - line.trim_start_matches([' ', '\t']).len();
    let bytes = line.as_bytes();
    if bytes.get(first) == Some(&b'>') {
        return Stands::Prose;
    }
    let (mut at, mut from) = (first, first);
    while let Some(byte) = bytes.get(at) {
        match byte {
            b'{' | b'}' => from = at + 1,
            b'#' if !is_numbered_name(&bytes[at..]) => return Stands::Comment,
            b'"' if !is_inch_mark(&bytes[first..at]) => match closing_quote(&bytes[at + 1..]) {
                Some(length) => at += 1 + length,
                None => return Stands::Text,
            },
            _ => {}
        }
        at += 1;
    }
    Stands::Statement(from)
}

struct Scanner<'t> {
    file: FileId,
    text: &'t str,
    out: Scan,
    depth: usize,
    /// Words whose letters were reported: each is reported once.
    told: BTreeSet<String>,
}

impl Scanner<'_> {
    fn line(&mut self, start: usize, end: usize, number: u32) {
        let whole = &self.text[start..end];
        let line = whole.strip_suffix('\r').unwrap_or(whole);
        let end = start + line.len();
        if is_merge_mark(line) {
            self.merge_mark(start, end);
            return;
        }
        let blank = line.len() - line.trim_start_matches([' ', '\t']).len();
        let indent = line[..blank].bytes().map(|b| if b == b'\t' { 4 } else { 1 }).sum();
        let first = start + blank;
        if line[blank..].starts_with('>') {
            let faulty = self.characters(first, end, Place::Prose);
            let end = first + line[blank..].trim_end().len();
            self.push(EventKind::Prose, first, end, number, indent, true, faulty);
        } else {
            self.statement_line(first, end, number, indent);
        }
    }

    fn statement_line(&mut self, first: usize, end: usize, number: u32, indent: u32) {
        let bytes = self.text.as_bytes();
        let mut line = Line { number, indent, leads: true, from: first, faulty: false };
        let mut at = first;
        let mut opened_here = 0_i32;
        while at < end {
            match bytes[at] {
                b'{' | b'}' => {
                    self.words(&mut line, at);
                    let kind = if bytes[at] == b'{' { EventKind::Open } else { EventKind::Close };
                    opened_here += if kind == EventKind::Open { 1 } else { -1 };
                    self.brace(&mut line, kind, at);
                    at += 1;
                }
                b'#' if !is_numbered_name(&bytes[at..end]) => {
                    self.number_after_hash(&mut line, at, end);
                    self.words(&mut line, at);
                    self.characters(at, end, Place::Comment);
                    let last = at + self.text[at..end].trim_end().len();
                    self.out.comments.push(Comment { start: at as u32, end: last as u32, leads: line.leads });
                    return;
                }
                b'"' if !is_inch_mark(&bytes[first..at]) => match closing_quote(&bytes[at + 1..end]) {
                    Some(length) => {
                        let close = at + 1 + length;
                        line.faulty |= self.characters(at + 1, close, Place::Quoted);
                        self.empty_text(at, close);
                        at = close + 1;
                    }
                    None => {
                        self.open_quote(&mut line, at, end, opened_here > 0);
                        return;
                    }
                },
                byte if byte.is_ascii_graphic() || byte == b' ' || byte == b'\t' => at += 1,
                _ => at = self.foreign(&mut line, at, end),
            }
        }
        self.words(&mut line, end);
    }

    /// `#10` in a statement would be lost as a comment, and with it the size of a screw.
    fn number_after_hash(&mut self, line: &mut Line, at: usize, end: usize) {
        let digits = self.text[at + 1..end].bytes().take_while(u8::is_ascii_digit).count();
        if digits == 0 || self.text[line.from..at].trim().is_empty() {
            return;
        }
        line.faulty = true;
        let number = &self.text[at..=at + digits];
        self.out.findings.push(
            Finding::new(
                Code::FW0101,
                format!("`{number}` in a statement is a size that lacks its threads per inch, or a comment"),
                self.span(at, at + 1 + digits),
                "all from here on would be read as a comment",
            )
            .because("A `#` begins a comment; the size of the screw would be lost with it.")
            .repair(format!("Write the whole thread, such as `{number}-24`; a comment has a blank after its `#`.")),
        );
    }

    /// Ends the words that began at `line.from`.
    fn words(&mut self, line: &mut Line, end: usize) {
        let piece = &self.text[line.from..end];
        let start = line.from + (piece.len() - piece.trim_start().len());
        let stop = line.from + piece.trim_end().len();
        if start < stop {
            self.push(EventKind::Words, start, stop, line.number, line.indent, line.leads, line.faulty);
            line.leads = false;
        }
        line.faulty = false;
        line.from = end;
    }

    fn brace(&mut self, line: &mut Line, kind: EventKind, at: usize) {
        self.push(kind, at, at + 1, line.number, line.indent, line.leads, false);
        line.leads = false;
        line.from = at + 1;
        if kind == EventKind::Close {
            self.depth = self.depth.saturating_sub(1);
            return;
        }
        self.depth += 1;
        if self.depth > limits::DEPTH {
            let message = format!("the blocks here are nested more than {} deep", limits::DEPTH);
            self.out.findings.push(
                Finding::new(Code::FW0108, message, self.span(at, at + 1), "one block too deep")
                    .because("No procedure that people can follow needs so many levels.")
                    .repair("Close the blocks that are done, or move the work into sections of its own."),
            );
            self.out.hopeless = true;
        }
    }

    /// FW0114: quotes with nothing between them that could be read. Selectors and joiners alone show nothing.
    fn empty_text(&mut self, at: usize, close: usize) {
        let shows = |c: char| !c.is_whitespace() && !matches!(c, '\u{fe00}'..='\u{fe0f}' | '\u{200c}' | '\u{200d}');
        if !self.text[at + 1..close].chars().any(shows) {
            let span = self.span(at, close + 1);
            self.out.findings.push(
                Finding::new(Code::FW0114, "this text is empty", span, "nothing here")
                    .because("Where it is printed, a person would look at a blank.")
                    .repair("Write what is meant between the quotes, or take the line out."),
            );
        }
    }

    /// A quote that its line does not close. A brace at the end of the line is taken as one of the layout's, or the rest
    /// of the file would be read one level wrong.
    fn open_quote(&mut self, line: &mut Line, at: usize, end: usize, inside_one_line_block: bool) {
        let rest = self.text[at..end].trim_end();
        let last = at + rest.len() - 1;
        let brace = match rest.as_bytes().last() {
            Some(b'{') if rest.len() > 1 => Some(EventKind::Open),
            Some(b'}') if inside_one_line_block && !rest.contains('{') => Some(EventKind::Close),
            _ => None,
        };
        self.characters(at + 1, end, Place::Quoted);
        line.faulty = true;
        let text = if brace.is_some() { rest[..rest.len() - 1].trim_end() } else { rest };
        let quote = self.span(at + text.len(), at + text.len());
        let closing = (text.len() > 1).then(|| Mend::look("Close the quotes", Change::Write(quote, "\"".to_string())));
        self.out.findings.push(
            Finding::new(
                Code::FW0104,
                "a text in quotes ends on the line on which it begins, and this one does not",
                self.span(at, at + 1),
                "this quote has no partner on its line",
            )
            .repair("Write `\"` at both ends of the text. A quote mark inside a text is written `\\\"`.")
            .mend(closing),
        );
        match brace {
            Some(kind) => {
                self.words(line, last);
                self.brace(line, kind, last);
            }
            None => self.words(line, at + rest.len()),
        }
    }

    /// A character in a statement that is not printable ASCII. Gives the place after it.
    fn foreign(&mut self, line: &mut Line, at: usize, end: usize) -> usize {
        let Some(character) = self.text.get(at..end).and_then(|rest| rest.chars().next()) else { return end };
        let after = at + character.len_utf8();
        if matches!(character, '“' | '”' | '„' | '«' | '»') {
            line.faulty = true;
            return self.curly_quote(at, after, end);
        }
        if let Some(kind) = suspect(character, Place::Statement) {
            line.faulty = true;
            self.report(kind, character, at, end);
        }
        after
    }

    /// A typographic quote where a text should begin: passes over the text, so that its words are not judged.
    fn curly_quote(&mut self, at: usize, after: usize, end: usize) -> usize {
        self.out.findings.push(
            Finding::new(
                Code::FW0106,
                "this is a typographic quote mark; a text in the language stands in straight ones",
                self.span(at, after),
                "not the quote mark `\"`",
            )
            .because("Word processors replace `\"` by it while one types.")
            .repair("Write `\"` at both ends of the text."),
        );
        let rest = &self.text[after..end];
        let close = rest.char_indices().find(|(_, c)| matches!(c, '“' | '”' | '»' | '«' | '"'));
        close.map_or(after, |(offset, c)| after + offset + c.len_utf8())
    }

    /// Looks through a text, a prose line or a comment. Says whether something was reported.
    fn characters(&mut self, start: usize, end: usize, place: Place) -> bool {
        let piece = &self.text[start..end];
        if piece.bytes().all(|b| b.is_ascii_graphic() || b == b' ' || b == b'\t') {
            return false;
        }
        let found: Vec<(usize, char, Suspect)> = piece
            .char_indices()
            .filter_map(|(offset, c)| suspect(c, place).map(|kind| (start + offset, c, kind)))
            .collect();
        let mut last_end = usize::MAX;
        for (at, character, kind) in &found {
            if *at != last_end {
                self.report(*kind, *character, *at, end);
            }
            last_end = at + character.len_utf8();
        }
        !found.is_empty()
    }

    fn report(&mut self, kind: Suspect, character: char, at: usize, end: usize) {
        let (from, to) = if kind.in_a_word() { self.word_around(at, end) } else { (at, at + character.len_utf8()) };
        let word = &self.text[from..to];
        if kind.in_a_word() && !self.told.insert(word.to_string()) {
            return;
        }
        let here = self.span(at, at + character.len_utf8());
        self.out.findings.push(kind.finding(character, word, here));
    }

    /// The word that a letter stands in.
    fn word_around(&self, at: usize, end: usize) -> (usize, usize) {
        let part = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '–' | '—' | '‐' | '‑');
        let before =
            self.text[..at].chars().rev().take(100).take_while(|c| part(*c)).map(char::len_utf8).sum::<usize>();
        let after = self.text[at..end].chars().take(100).take_while(|c| part(*c)).map(char::len_utf8).sum::<usize>();
        (at - before, at + after)
    }

    fn merge_mark(&mut self, start: usize, end: usize) {
        let finding = Finding::new(
            Code::FW0111,
            "two versions of this file were merged, and the marks of the merge are still in it",
            self.span(start, end),
            "a mark of the merge",
        )
        .because("Both versions stand in the file, so no one can say which of the two is meant.")
        .repair("Keep the lines that are right, delete the others and all marks, then run again.");
        self.out.findings = Findings::default();
        self.out.findings.push(finding);
        self.out.hopeless = true;
    }

    #[expect(clippy::too_many_arguments, reason = "one plain record, built in one place")]
    fn push(&mut self, kind: EventKind, start: usize, end: usize, line: u32, indent: u32, leads: bool, faulty: bool) {
        // Files are bounded far below 4 GiB.
        self.out.events.push(Event { kind, start: start as u32, end: end as u32, line, indent, leads, faulty });
    }

    fn span(&self, start: usize, end: usize) -> Span {
        Span::new(self.file, start, end)
    }
}

/// A line while its statements are found.
struct Line {
    number: u32,
    indent: u32,
    leads: bool,
    from: usize,
    faulty: bool,
}

/// `<<<<<<< ours`, `=======`, `>>>>>>> theirs`, `||||||| base`, all at the start of their line.
fn is_merge_mark(line: &str) -> bool {
    ["<<<<<<<", ">>>>>>>", "|||||||"]
        .iter()
        .any(|mark| line.strip_prefix(mark).is_some_and(|rest| rest.is_empty() || rest.starts_with(' ')))
        || line.trim_end() == "======="
}

/// `#10-24` is a thread, `#10-sae` a washer; any other `#` begins a comment.
fn is_numbered_name(rest: &[u8]) -> bool {
    let digits = rest.iter().skip(1).take_while(|b| b.is_ascii_digit()).count();
    digits > 0 && rest.get(1 + digits) == Some(&b'-') && rest.get(2 + digits).is_some_and(u8::is_ascii_alphanumeric)
}

/// Whether a `"` after these bytes stands for inch: `9/16"`, `3 1/2"`.
fn is_inch_mark(before: &[u8]) -> bool {
    let word = before.iter().rev().take_while(|b| b.is_ascii_alphanumeric() || matches!(b, b'.' | b'/' | b'-')).count();
    let first = before.len().checked_sub(word).and_then(|at| before.get(at));
    word > 0 && word <= 40 && first.is_some_and(u8::is_ascii_digit)
}

/// How many bytes stand before the quote that closes a text.
fn closing_quote(rest: &[u8]) -> Option<usize> {
    let mut at = 0;
    while let Some(byte) = rest.get(at) {
        match byte {
            b'"' => return Some(at),
            b'\\' => at += 2,
            _ => at += 1,
        }
    }
    None
}
