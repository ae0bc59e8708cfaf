//! Text to tree as written.
//!
//! [`parse`] never fails: it gives the tree of what could be read, and findings for the rest. Reading happens in three
//! stages. `scan` finds statements, prose lines and braces; `blocks` puts them into each other whatever braces are lost;
//! `read` gives each statement to the grammar (pest, `grammar/fitwright.pest`) and builds the tree. A *form* is the shape
//! of one statement; `forms` lists all of them. Only this module names pest; what pest makes of the grammar is a package of its
//! own in `grammar`, which is compiled when the grammar changes.

mod blocks;
mod characters;
pub mod fitting;
pub mod forms;
mod known;
pub mod limits;
mod phrases;
mod read;
mod report;
mod scan;
pub mod tree;
mod wanted;
pub mod written;

use crate::diagnostics::{Code, Finding};
use crate::source::{FileId, Span};
pub use blocks::{Braces, Statement};
use fitwright_grammar::{Grammar, Rule};
use forms::Block;
pub use known::library as known_library;
use pest::Parser;
use read::{Origin, Reader};
use report::Findings;

/// Reads one file. The findings are in the order of the text, at most [`limits::FINDINGS`] and one that counts the rest.
pub fn parse(file: FileId, text: &str) -> (tree::File, Vec<Finding>) {
    if text.len() > limits::FILE_BYTES {
        return (tree::File::default(), vec![too_large(file)]);
    }
    let mut scan = scan::scan(file, text);
    if scan.hopeless {
        return (tree::File::default(), Findings::merge(vec![scan.findings]));
    }
    let mut layout = Findings::default();
    let statements = blocks::build(file, text, &scan.events, &mut layout);
    scan.events = Vec::new();
    let mut reader = Reader::new(file, text);
    let tree = reader.file(&statements);
    (tree, Findings::merge(vec![scan.findings, layout, reader.findings]))
}

/// The statements of a text in each other, whatever is wrong with them; none of a text that is too large or damaged.
pub fn layout(file: FileId, text: &str) -> Vec<Statement> {
    if text.len() > limits::FILE_BYTES {
        return Vec::new();
    }
    let scan = scan::scan(file, text);
    if scan.hopeless {
        return Vec::new();
    }
    blocks::build(file, text, &scan.events, &mut Findings::default())
}

/// Reads a quantity by itself, such as the `at least 150 mm` of a mention in prose. `text` is what stands at `at`.
/// `None` where it is not a quantity, or not only one.
pub fn measure(text: &str, at: Span) -> Option<tree::Measure> {
    let whole = Grammar::parse(Rule::measure_alone, text).ok()?.next()?;
    let pair = whole.into_inner().find(|pair| pair.as_rule() == Rule::measure)?;
    read::measure(Origin { file: at.file, base: i64::from(at.start) }, pair)
}

/// Whether a character is in order in prose: those that can't be seen, and those that turn text round, are not.
pub fn may_stand_in_prose(character: char) -> bool {
    characters::suspect(character, characters::Place::Prose).is_none()
}

/// The text of a file. A byte order mark is dropped.
///
/// # Errors
/// FW0107 where the bytes are not UTF-8, FW0108 where there are too many.
///
/// Both point into the text in which every byte that can't be read is replaced, which is what callers show of the file.
pub fn decode(file: FileId, bytes: &[u8]) -> Result<String, Box<Finding>> {
    if bytes.len() > limits::FILE_BYTES {
        return Err(Box::new(too_large(file)));
    }
    let other = |message: String, from: usize, length: usize| {
        let at = Span::new(file, from, from + length);
        let finding = Finding::new(Code::FW0107, message, at, "saved in another encoding")
            .because("Signs such as `°` or `·` would come out as others.")
            .repair("Open it in an editor and save it as UTF-8.");
        Box::new(finding)
    };
    let unreadable = char::REPLACEMENT_CHARACTER.len_utf8();
    if is_utf16(bytes) {
        let first = if bytes.starts_with(&[0]) || bytes.get(1) == Some(&0) { 1 } else { unreadable };
        return Err(other("the file is saved as UTF-16, and a procedure is saved as UTF-8".to_owned(), 0, first));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.strip_prefix('\u{feff}').unwrap_or(text).to_owned()),
        Err(error) => {
            let from = error.valid_up_to();
            Err(other(format!("the file is not UTF-8: byte {} cannot be read", from + 1), from, unreadable))
        }
    }
}

/// Whether a text is saved as UTF-16, by its mark; without one, by every other byte of its beginning being nought, and no
/// other, as it is where a file begins with `procedure` or a comment in English.
fn is_utf16(bytes: &[u8]) -> bool {
    const LOOKED_AT: usize = 16;
    let zeros = |from: usize| {
        let mut every_other = bytes.iter().take(LOOKED_AT).skip(from).step_by(2);
        (every_other.clone().all(|byte| *byte == 0), every_other.any(|byte| *byte == 0))
    };
    let ((even, some_even), (odd, some_odd)) = (zeros(0), zeros(1));
    bytes.starts_with(&[0xff, 0xfe])
        || bytes.starts_with(&[0xfe, 0xff])
        || (bytes.len() >= 2 && ((even && !some_odd) || (odd && !some_even)))
}

/// FW0108 of a whole file.
pub fn too_large(file: FileId) -> Finding {
    let message = format!("the file is larger than {} MiB", limits::FILE_BYTES / (1024 * 1024));
    Finding::new(Code::FW0108, message, Span::new(file, 0, 0), "too much for one file")
        .because("No procedure that people can follow is so long; most likely the file is damaged.")
        .repair("Split it: a file is one procedure, or one library.")
}

impl Reader<'_> {
    /// The whole file: its first line, then what follows.
    fn file(&mut self, statements: &[Statement]) -> tree::File {
        let lines = self.lines::<read::TopLine>(Block::File, statements);
        self.assemble(lines)
    }
}
