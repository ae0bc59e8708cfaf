//! A text set anew in the one form that all files share: two blanks a level, columns where lines of a kind follow each other,
//! comments in a column of their own. Comments, prose and texts stay as they are, and so does which lines there are: a block that
//! stands on one line stays on it, and one blank line between two lines stays one.
//!
//! [`format()`] reads tokens (`parse::written`), so a new form of the grammar is set without a line here. What comes out is read
//! once more before it is given away: it has the same tokens in the same statements, the same prose and the same comments.

mod columns;
mod lines;

use crate::diagnostics::Finding;
use crate::parse::decode;
use crate::parse::written::{Entry, Statement, written};
use crate::source::FileId;
use lines::Text;

/// Why a text is left as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// It cannot be read. The findings of `parse`; places are those of the file with the number 0.
    Unread(Vec<Finding>),
    /// Set anew it would say something else. A fault of the formatter, which no text is known to show.
    WouldChange,
}

impl Refusal {
    /// What is wrong with the text, as far as that is known.
    pub fn findings(&self) -> &[Finding] {
        match self {
            Refusal::Unread(findings) => findings,
            Refusal::WouldChange => &[],
        }
    }
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Refusal::Unread(_) => "it cannot be read, and is left as it is",
            Refusal::WouldChange => {
                "set anew it would say something else; it is left as it is, and this is a fault of the program"
            }
        })
    }
}

impl std::error::Error for Refusal {}

/// The text of a procedure or library in its one form; the same text where it has that form.
///
/// A byte order mark is dropped. Lines end as the first one does, with LF or CRLF. The result ends with a line end, unless it
/// is empty.
///
/// # Errors
/// Where the text cannot be read; nothing of a text that is damaged is moved.
pub fn format(text: &str) -> Result<String, Refusal> {
    let entries = written(text).map_err(Refusal::Unread)?;
    let mut lines = lines::of(text, &entries);
    columns::align(&mut lines);
    let end = if text.split('\n').next().is_some_and(|line| line.ends_with('\r')) { "\r\n" } else { "\n" };
    let gap = |line: &lines::Line| if line.gap { end } else { "" };
    let set: String = lines.iter().map(|line| format!("{}{}{end}", gap(line), line.set())).collect();
    let again = written(&set).map_err(|_| Refusal::WouldChange)?;
    let same = said(text, &entries) == said(&set, &again) && comments(text, &entries) == comments(&set, &again);
    if same { Ok(set) } else { Err(Refusal::WouldChange) }
}

/// The same for the bytes of a file.
///
/// # Errors
/// Where they are not UTF-8, are too many, or cannot be read.
pub fn format_bytes(bytes: &[u8]) -> Result<String, Refusal> {
    let text = decode(FileId::new(0), bytes).map_err(|finding| Refusal::Unread(vec![*finding]))?;
    format(&text)
}

/// What a text says: its tokens, statement by statement, and its prose.
fn said(text: &str, entries: &[Entry]) -> Vec<String> {
    let text = Text::new(text);
    let mut said = Vec::new();
    walk(
        entries,
        &mut |at| match at {
            At::Statement(statement) => {
                for token in &statement.tokens {
                    said.push(format!("{} {}", token.form, text.token(token)));
                }
                said.push(";".to_string());
            }
            // Lines of prose that follow each other belong together.
            At::Prose { start, end, follows } => said.push(format!("{follows} {}", text.slice(start, end))),
            At::Close => said.push("}".to_string()),
            At::Comment(..) => {}
        },
        &text,
    );
    said
}

/// The comments of a text, in their order.
fn comments(text: &str, entries: &[Entry]) -> Vec<String> {
    let text = Text::new(text);
    let mut all = Vec::new();
    walk(
        entries,
        &mut |at| {
            if let At::Comment(start, end) = at {
                all.push((start, text.slice(start, end).to_string()));
            }
        },
        &text,
    );
    all.sort();
    all.into_iter().map(|(_, comment)| comment).collect()
}

enum At<'e> {
    Statement(&'e Statement),
    Prose { start: u32, end: u32, follows: bool },
    Comment(u32, u32),
    Close,
}

/// Goes through all entries; they are nested no deeper than a text may be.
fn walk<'e>(entries: &'e [Entry], visit: &mut impl FnMut(At<'e>), text: &Text<'_>) {
    let mut before = None;
    for entry in entries {
        match entry {
            Entry::Comment(comment) => visit(At::Comment(comment.start, comment.end)),
            Entry::Prose { start, end } => {
                let line = text.line(*start);
                visit(At::Prose { start: *start, end: *end, follows: before.is_some_and(|before| before + 1 == line) });
                before = Some(line);
            }
            Entry::Statement(statement) => {
                before = None;
                statement.comments.iter().for_each(|comment| visit(At::Comment(comment.start, comment.end)));
                visit(At::Statement(statement));
                if let Some(block) = &statement.block {
                    walk(&block.entries, visit, text);
                    visit(At::Close);
                }
            }
        }
    }
}
