//! Gettext PO files: reading with the line of every fault, and writing. What an entry means is not known here.
//!
//! The form is that of the GNU gettext manual, chapter "The Format of PO Files": UTF-8, one entry a text with its context. Plural
//! forms are not read, because no text of ours has any: where one thing and several are said otherwise, these are two texts.

use std::fmt::Write as _;

/// No file is larger, in bytes.
pub const MOST_BYTES: usize = 8 * 1024 * 1024;
/// No text of a file is longer, in bytes.
pub const MOST_TEXT: usize = 20_000;
/// At most so many faults are told.
const MOST_FAULTS: usize = 50;

/// One text with its translation.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Entry {
    /// `msgctxt`: which text it is.
    pub context: Option<String>,
    /// `msgid`: the text.
    pub source: String,
    /// `msgstr`: its translation; empty where there is none.
    pub text: String,
    /// `#, fuzzy`: the translation is of an older text.
    pub fuzzy: bool,
    /// The other flags.
    pub flags: Vec<String>,
    /// `# …`: what a translator wrote.
    pub comments: Vec<String>,
    /// `#. …`: what the program says of it.
    pub notes: Vec<String>,
    /// `#: …`: where it stands.
    pub places: Vec<String>,
    /// `#| msgid`: the text that the translation was made of.
    pub previous: Option<String>,
    /// `#~`: no text has this context any more.
    pub obsolete: bool,
    /// The line of its `msgid`, counted from one.
    pub line: usize,
}

/// A PO file. Its header is the entry without context and text.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct File {
    /// What stands before the header as comments.
    pub comments: Vec<String>,
    /// The fields of the header, in their order.
    pub header: Vec<(String, String)>,
    /// The entries, in their order; obsolete ones too.
    pub entries: Vec<Entry>,
}

/// What is wrong with a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The line, counted from one.
    pub line: usize,
    /// What is wrong there, and what to do.
    pub what: String,
}

impl File {
    /// A field of the header.
    pub fn field(&self, name: &str) -> Option<&str> {
        self.header.iter().find(|(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, value)| value.as_str())
    }
}

/// Which text the quoted lines that follow belong to.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
    None,
    Context,
    Source,
    Text,
    Previous,
    PreviousContext,
}

struct Reader {
    file: File,
    faults: Vec<Fault>,
    entry: Entry,
    part: Part,
    /// Whether the entry has its `msgid`, and its `msgstr`.
    has: (bool, bool),
    had_header: bool,
}

/// The text of a file with translations, in whichever form. A byte order mark is dropped.
///
/// # Errors
/// Where it is too large, or not UTF-8.
pub fn text_of(bytes: &[u8]) -> Result<&str, Vec<Fault>> {
    let one = |line: usize, what: &str| Err(vec![Fault { line, what: what.to_owned() }]);
    if bytes.len() > MOST_BYTES {
        return one(1, "the file is larger than 8 MB; no procedure has so many texts");
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        return one(1, "the file is UTF-16; save it as UTF-8");
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text),
        Err(error) => {
            let line = bytes.iter().take(error.valid_up_to()).filter(|byte| **byte == b'\n').count() + 1;
            one(line, "these bytes are not UTF-8; save the file as UTF-8")
        }
    }
}

/// Reads a file.
///
/// # Errors
/// With every fault and its line: what is no PO file, is not UTF-8, states another character set, is too large, or says a
/// context twice.
pub fn read(bytes: &[u8]) -> Result<File, Vec<Fault>> {
    let text = text_of(bytes)?;
    let mut reader = Reader {
        file: File::default(),
        faults: Vec::new(),
        entry: Entry::default(),
        part: Part::None,
        has: (false, false),
        had_header: false,
    };
    let mut last = 0;
    for (at, line) in text.lines().enumerate() {
        last = at + 1;
        reader.line(at + 1, line.trim_end_matches('\r').trim());
        if reader.faults.len() >= MOST_FAULTS {
            return Err(reader.faults);
        }
    }
    reader.end(last);
    reader.twice();
    if reader.faults.is_empty() { Ok(reader.file) } else { Err(reader.faults) }
}

impl Reader {
    fn fault(&mut self, line: usize, what: impl Into<String>) {
        self.faults.push(Fault { line, what: what.into() });
    }

    fn line(&mut self, at: usize, line: &str) {
        if line.is_empty() {
            return self.end(at);
        }
        if let Some(rest) = line.strip_prefix("#~") {
            let rest = rest.trim_start();
            let begins = rest.starts_with("msgctxt") || (rest.starts_with("msgid") && self.part != Part::Context);
            if begins && self.has.1 {
                self.end(at);
            }
            self.entry.obsolete = true;
            let rest = rest.strip_prefix('|').map_or(rest, |_| "");
            if !rest.is_empty() {
                self.statement(at, rest);
            }
            return;
        }
        if let Some(comment) = line.strip_prefix('#') {
            if self.has.1 {
                self.end(at);
            }
            return self.comment(at, comment);
        }
        self.statement(at, line);
    }

    fn comment(&mut self, at: usize, comment: &str) {
        let rest = |mark: char| comment.strip_prefix(mark).map(str::trim);
        if let Some(flags) = rest(',') {
            for flag in flags.split(',').map(str::trim).filter(|flag| !flag.is_empty()) {
                if flag == "fuzzy" { self.entry.fuzzy = true } else { self.entry.flags.push(flag.to_owned()) }
            }
        } else if let Some(note) = rest('.') {
            self.entry.notes.push(note.to_owned());
        } else if let Some(place) = rest(':') {
            self.entry.places.push(place.to_owned());
        } else if let Some(previous) = rest('|') {
            self.previous(at, previous);
        } else {
            self.entry.comments.push(comment.trim().to_owned());
        }
    }

    fn previous(&mut self, at: usize, rest: &str) {
        let (part, quoted) = if let Some(quoted) = rest.strip_prefix("msgid") {
            (Part::Previous, quoted.trim())
        } else if let Some(quoted) = rest.strip_prefix("msgctxt") {
            (Part::PreviousContext, quoted.trim())
        } else {
            (self.part, rest)
        };
        self.part = part;
        if let Some(text) = self.quoted(at, quoted)
            && part == Part::Previous
        {
            self.entry.previous.get_or_insert_default().push_str(&text);
        }
    }

    fn statement(&mut self, at: usize, line: &str) {
        if line.starts_with('"') {
            let Some(text) = self.quoted(at, line) else { return };
            let into = match self.part {
                Part::Context => self.entry.context.get_or_insert_default(),
                Part::Source => &mut self.entry.source,
                Part::Text => &mut self.entry.text,
                Part::Previous | Part::PreviousContext | Part::None => {
                    return self.fault(at, "this text belongs to nothing; `msgid` or `msgstr` is missing before it");
                }
            };
            into.push_str(&text);
            if into.len() > MOST_TEXT {
                self.fault(at, format!("this text is longer than {MOST_TEXT} bytes"));
                self.part = Part::None;
            }
            return;
        }
        let (word, rest) =
            line.split_once([' ', '\t', '"']).map_or((line, ""), |(word, _)| (word, &line[word.len()..]));
        let part = match word {
            "msgctxt" => Part::Context,
            "msgid" => Part::Source,
            "msgstr" => Part::Text,
            "msgid_plural" => {
                return self.fault(at, "texts here have no plural forms; write one `msgid` and one `msgstr`");
            }
            _ if word.starts_with("msgstr[") => {
                return self.fault(at, "texts here have no plural forms; write one `msgstr` without a number");
            }
            _ => {
                return self.fault(
                    at,
                    "this line is none of a PO file; texts stand in quotes after `msgctxt`, `msgid` or `msgstr`",
                );
            }
        };
        // An entry may follow without a blank line between.
        if self.has.1 && part != Part::Text {
            let obsolete = self.entry.obsolete && line.is_empty();
            self.end(at);
            self.entry.obsolete = obsolete;
        }
        match (part, self.has) {
            (Part::Source, (true, _)) => {
                return self.fault(at, "a second `msgid` stands here; `msgstr` is missing between");
            }
            (Part::Text, (false, _)) => return self.fault(at, "`msgstr` stands here without a `msgid` before it"),
            (Part::Text, (_, true)) => return self.fault(at, "a second `msgstr` stands here"),
            _ => {}
        }
        self.part = part;
        match part {
            Part::Source => {
                self.has.0 = true;
                self.entry.line = at;
            }
            Part::Text => self.has.1 = true,
            _ => {}
        }
        let rest = rest.trim();
        if rest.is_empty() {
            return self.fault(at, format!("a text in quotes is missing after `{word}`"));
        }
        self.statement(at, rest);
    }

    /// The text of a quoted piece.
    fn quoted(&mut self, at: usize, piece: &str) -> Option<String> {
        let inner = piece.strip_prefix('"').and_then(|rest| rest.strip_suffix('"'));
        let Some(inner) = inner else {
            self.fault(at, "the quotes around this text are not closed on this line");
            return None;
        };
        let mut text = String::with_capacity(inner.len());
        let mut letters = inner.chars();
        while let Some(c) = letters.next() {
            match c {
                '"' => {
                    self.fault(at, "a quote inside a text needs a backslash before it: `\\\"`");
                    return None;
                }
                '\\' => match letters.next() {
                    Some('n') => text.push('\n'),
                    Some('t') => text.push('\t'),
                    Some(c @ ('"' | '\\')) => text.push(c),
                    _ => {
                        self.fault(at, "a backslash stands here before something else than `n`, `t`, `\"` or `\\`");
                        return None;
                    }
                },
                c => text.push(c),
            }
        }
        Some(text)
    }

    /// Ends the entry that is being read.
    fn end(&mut self, at: usize) {
        let entry = std::mem::take(&mut self.entry);
        let has = std::mem::take(&mut self.has);
        self.part = Part::None;
        match has {
            (false, _) if entry.context.is_some() => self.fault(at, "`msgid` is missing after `msgctxt`"),
            // Comments alone.
            (false, _) => {}
            (true, false) => self.fault(entry.line, "`msgstr` is missing after this `msgid`"),
            (true, true) if entry.source.is_empty() && entry.context.is_none() && !entry.obsolete => self.header(entry),
            (true, true) => self.file.entries.push(entry),
        }
    }

    fn header(&mut self, entry: Entry) {
        if self.had_header {
            return self.fault(entry.line, "a second header stands here");
        }
        self.had_header = true;
        self.file.comments = entry.comments;
        for line in entry.text.lines() {
            if let Some((name, value)) = line.split_once(':') {
                self.file.header.push((name.trim().to_owned(), value.trim().to_owned()));
            }
        }
        let charset = self.file.field("Content-Type").and_then(|value| value.split("charset=").nth(1)).map(str::trim);
        if let Some(charset) = charset
            && !charset.eq_ignore_ascii_case("utf-8")
            && charset != "CHARSET"
        {
            let what =
                format!("the header says the character set `{}`; save the file as UTF-8, and say so", shown(charset));
            self.fault(entry.line, what);
        }
    }

    /// Each context has one text.
    fn twice(&mut self) {
        let mut seen = std::collections::BTreeMap::new();
        let mut faults = Vec::new();
        for entry in self.file.entries.iter().filter(|entry| !entry.obsolete) {
            let key = (entry.context.as_deref(), if entry.context.is_none() { entry.source.as_str() } else { "" });
            if let Some(first) = seen.insert(key, entry.line) {
                let name = shown(entry.context.as_deref().unwrap_or(&entry.source));
                faults.push(Fault {
                    line: entry.line,
                    what: format!("`{name}` stands a second time, first in line {first}"),
                });
            }
        }
        faults.truncate(MOST_FAULTS);
        self.faults.extend(faults);
    }
}

/// A piece of a file as a message may show it: short, and without what would not be seen.
pub fn shown(text: &str) -> String {
    let mut short: String = text.chars().take(60).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
    if text.chars().count() > 60 {
        short.push('…');
    }
    short
}

/// The file as text. The same file gives the same bytes.
pub fn write(file: &File) -> String {
    let mut text = String::new();
    file.comments.iter().for_each(|comment| line(&mut text, "#", comment));
    text.push_str("msgid \"\"\nmsgstr \"\"\n");
    for (name, value) in &file.header {
        let _ = writeln!(text, "{}", quote(&format!("{name}: {value}\n")));
    }
    for entry in &file.entries {
        text.push('\n');
        put(&mut text, entry);
    }
    text
}

fn line(text: &mut String, mark: &str, comment: &str) {
    for one in comment.split('\n') {
        let _ = writeln!(text, "{}", format!("{mark} {one}").trim_end());
    }
}

fn put(text: &mut String, entry: &Entry) {
    entry.comments.iter().for_each(|comment| line(text, "#", comment));
    entry.notes.iter().for_each(|note| line(text, "#.", note));
    entry.places.iter().for_each(|place| line(text, "#:", place));
    let fuzzy = entry.fuzzy.then(|| "fuzzy".to_owned());
    let flags: Vec<String> = fuzzy.into_iter().chain(entry.flags.iter().cloned()).collect();
    if !flags.is_empty() {
        line(text, "#,", &flags.join(", "));
    }
    let mark = if entry.obsolete { "#~ " } else { "" };
    if let Some(previous) = &entry.previous {
        let before = if entry.obsolete { "#~| " } else { "#| " };
        statement(text, before, "msgid", previous);
    }
    if let Some(context) = &entry.context {
        statement(text, mark, "msgctxt", context);
    }
    statement(text, mark, "msgid", &entry.source);
    statement(text, mark, "msgstr", &entry.text);
}

/// A text that ends a line within is written a line each.
fn statement(text: &mut String, mark: &str, word: &str, value: &str) {
    let inside = value.trim_end_matches('\n').contains('\n');
    if !inside {
        let _ = writeln!(text, "{mark}{word} {}", quote(value));
        return;
    }
    let _ = writeln!(text, "{mark}{word} \"\"");
    for piece in value.split_inclusive('\n') {
        let _ = writeln!(text, "{mark}{}", quote(piece));
    }
}

fn quote(text: &str) -> String {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '\n' => quoted.push_str("\\n"),
            '\t' => quoted.push_str("\\t"),
            '"' | '\\' => quoted.extend(['\\', c]),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}
