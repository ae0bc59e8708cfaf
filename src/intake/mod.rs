//! A manual that exists, in CommonMark or plain text, taken in as the draft of a procedure.
//!
//! Headings become sections, entries of lists steps, paragraphs that begin with a signal word safety messages, quantities mentions, and what
//! is listed below *Tools* or *Parts*, in a list or a table, declarations, pictures that stand by themselves figures. What can't be told apart stays as prose: every word of the text is in the draft, in a
//! form that can be read. What the text does not say is not made up; the findings on the draft say what to write next.

mod draft;
mod library;
mod names;
mod run_in;
mod set;
mod table;
mod words;

use crate::format::format;
use crate::parse::limits::FILE_BYTES;
use crate::parse::may_stand_in_prose;
use crate::prose::outline::outline;
use draft::Draft;
use std::collections::BTreeSet;

/// No larger text is taken in: a draft is longer than its text, and a source has its own bound.
pub const MOST_BYTES: usize = 1024 * 1024;

/// A draft.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// The procedure's source.
    pub text: String,
    /// How many of what were made of the text.
    pub counts: Counts,
}

/// How many of what were made of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Counts {
    /// Sections.
    pub sections: usize,
    /// Steps.
    pub steps: usize,
    /// Safety messages.
    pub messages: usize,
    /// Tools and parts.
    pub things: usize,
    /// Signs that a source may not have (invisible ones, ones that turn text round), which were left out.
    pub dropped: usize,
}

/// Why a text is not taken in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refusal {
    /// There are no words in it.
    Empty,
    /// It is larger than [`MOST_BYTES`], or its draft than a source may be.
    TooLarge,
    /// The draft could not be read. A fault of the program, which no text is known to show; a fuzzer looks for one.
    Unreadable,
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Refusal::Empty => "there are no words in it",
            Refusal::TooLarge => "it is too large for one procedure (1 MiB at most); take it in chapter by chapter",
            Refusal::Unreadable => "no draft that can be read came out, which is a fault of the program",
        })
    }
}

impl std::error::Error for Refusal {}

/// Makes a draft of a text. `name` is the procedure's, `title` its title where the text begins with none, `day` the date of its
/// revision (ISO 8601).
///
/// # Errors
/// Where the text is empty or too large.
pub fn take_in(name: &str, title: &str, day: &str, text: &str) -> Result<Taken, Refusal> {
    if text.len() > MOST_BYTES {
        return Err(Refusal::TooLarge);
    }
    let mut dropped = 0;
    let text: String = text
        .replace("\r\n", "\n")
        .chars()
        .filter_map(|c| match c {
            '\n' | '\t' => Some(c),
            '\r' | '\u{85}' | '\u{2028}' | '\u{2029}' | '\u{b}' | '\u{c}' => Some('\n'),
            c if may_stand_in_prose(c) => Some(c),
            _ => {
                dropped += 1;
                None
            }
        })
        .collect();
    let (fields, text) = fields_before(&text);
    let blocks = outline(&prepared(text), &mut words::marked);
    if blocks.is_empty() {
        return Err(Refusal::Empty);
    }
    let said = fields.iter().find_map(|field| field.strip_prefix("title:")).map(|title| title.trim_matches(QUOTES));
    let title = said.filter(|said| !said.is_empty()).unwrap_or(title);
    let draft = Draft { fields: fields.into_iter().map(str::to_owned).collect(), ..draft::of(title, &blocks) };
    let (source, mut counts) = set::set(name, day, &draft);
    counts.dropped = dropped;
    if source.len() > FILE_BYTES {
        return Err(Refusal::TooLarge);
    }
    let text = format(&source).map_err(|_| Refusal::Unreadable)?;
    Ok(Taken { text, counts })
}

/// What may stand round the value of a field.
const QUOTES: [char; 3] = [' ', '"', '\''];

/// The fields that programs put before a text, between two lines of three hyphens or a closing one of three dots, and the text
/// behind them. A rule that is meant as one has words below it that are no fields.
fn fields_before(text: &str) -> (Vec<&str>, &str) {
    const MOST: usize = 60;
    let none = (Vec::new(), text);
    let Some(mut rest) = text.strip_prefix("---\n") else { return none };
    let mut fields = Vec::new();
    while fields.len() < MOST {
        let Some((line, after)) = rest.split_once('\n') else { return none };
        rest = after;
        match line.trim_end() {
            "---" | "..." if fields.is_empty() => return none,
            "---" | "..." => return (fields, rest),
            // A field, an entry of its list, or a line that goes on.
            line if is_field(line) || !fields.is_empty() && line.starts_with([' ', '-', '#']) => fields.push(line),
            _ => return none,
        }
    }
    none
}

fn is_field(line: &str) -> bool {
    let name = line.split_once(':').filter(|(_, value)| value.is_empty() || value.starts_with(' '));
    name.is_some_and(|(name, _)| {
        name.starts_with(char::is_alphabetic) && name.chars().all(|c| c.is_alphanumeric() || "_-".contains(c))
    })
}

/// A text with a blank line below each line of capitals that begins a paragraph, as people type headings in plain text, and
/// with each definition of a link that CommonMark would drop as words.
fn prepared(text: &str) -> String {
    let lines: Vec<&str> = text.split('\n').collect();
    let mut out = String::with_capacity(text.len() + 16);
    let mut apart = true;
    let mut defined = BTreeSet::new();
    for (at, line) in lines.iter().enumerate() {
        if at > 0 {
            out.push('\n');
        }
        let label = line.trim_start_matches(|c: char| c.is_ascii_digit() || " \t>-*+.)".contains(c));
        match label.strip_prefix('[').and_then(|label| label.split_once("]:")) {
            // CommonMark drops a second definition of a link; its words are to stay.
            Some((name, _)) if !defined.insert(name.trim().to_lowercase()) => {
                let before = line.len() - label.len();
                out.push_str(line.get(..before).unwrap_or(""));
                out.push('\\');
                out.push_str(line.get(before..).unwrap_or(""));
            }
            _ => out.push_str(line),
        }
        let next = lines.get(at + 1).map_or("", |next| next.trim());
        let underlined = next.bytes().all(|b| b == b'=') || next.bytes().all(|b| b == b'-');
        if apart && !underlined && line.starts_with(char::is_alphabetic) && draft::is_capitals(line.trim_end()) {
            out.push('\n');
        }
        apart = line.trim().is_empty();
    }
    out
}
