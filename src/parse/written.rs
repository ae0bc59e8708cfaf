//! A text as it lies: statements with every token in its place, prose lines and comments. Who sets a text anew or colours it
//! reads this and not the tree, which keeps neither comments nor words.
//!
//! What a token is comes from the name of the rule that read it, so that a new form of the grammar needs no line here.

use super::blocks::{self, Statement as Laid};
use super::forms::{self, Block};
use super::read::{body_kind, forms_of};
use super::report::Findings;
use super::scan::{self, Comment};
use super::{Finding, limits, parse};
use crate::diagnostics::Severity;
use crate::source::FileId;
use fitwright_grammar::Rule;
use pest::iterators::Pair;
use std::sync::LazyLock;

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A word of the language.
    Keyword,
    /// A name where it is declared.
    NewName,
    /// A name where it is used.
    Name,
    /// A text in quotes.
    Text,
    /// A number.
    Number,
    /// A unit.
    Unit,
    /// A sign between values: `=`, `<=`, `+`, `+-`.
    Operator,
    /// A comma or a bracket.
    Mark,
    /// Any other word with a meaning of its own: a thread, a grade, a date, a path.
    Value,
}

/// One token.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Token {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
    /// What it is.
    pub kind: Kind,
    /// The form that it belongs to, counted within its statement from 0: a short block may have several in a line.
    pub form: u16,
    /// The part of its form, counted from 0.
    pub part: u16,
    /// Whether it is that part, rather than a piece of it.
    pub whole: bool,
    /// Whether it tells its line from the lines of its kind beside it: the name of a part, the letter of a bag.
    pub names_line: bool,
}

/// A statement.
#[derive(Debug, Clone)]
pub struct Statement {
    /// First byte of its words.
    pub start: u32,
    /// One past the last byte of its words.
    pub end: u32,
    /// Where it stands.
    pub home: Block,
    /// The rule of its first form, as a number: statements of one form have the same.
    pub rule: usize,
    /// Its tokens, in the order of the text.
    pub tokens: Vec<Token>,
    /// The comments in its words, and between them and its brace.
    pub comments: Vec<Comment>,
    /// Its block.
    pub block: Option<Braces>,
}

/// A block.
#[derive(Debug, Clone)]
pub struct Braces {
    /// The `{`.
    pub open: u32,
    /// One past the `}`.
    pub close: u32,
    /// What stands in it.
    pub entries: Vec<Entry>,
}

/// What stands in a file or block.
#[derive(Debug, Clone)]
pub enum Entry {
    /// A comment, alone on its line or behind what stands before.
    Comment(Comment),
    /// A prose line from its `>`, with the blanks at its end.
    Prose {
        /// The `>`.
        start: u32,
        /// The end of its line.
        end: u32,
    },
    /// A statement.
    Statement(Statement),
}

/// Reads a text for its tokens.
///
/// # Errors
/// What [`parse`] finds, where an error is among it. Places are those of the file with the number 0.
pub fn written(text: &str) -> Result<Vec<Entry>, Vec<Finding>> {
    let (_, findings) = parse(FileId::new(0), text);
    if findings.iter().any(|finding| finding.severity() == Severity::Error) {
        return Err(findings);
    }
    Ok(as_laid(text))
}

/// The same of a text that may be damaged: a statement that can't be read has no tokens, and nothing is told.
pub fn as_laid(text: &str) -> Vec<Entry> {
    if text.len() > limits::FILE_BYTES {
        return Vec::new();
    }
    let file = FileId::new(0);
    let scan = scan::scan(file, text);
    if scan.hopeless {
        return Vec::new();
    }
    let statements = blocks::build(file, text, &scan.events, &mut Findings::default());
    let mut writer = Writer { text, comments: scan.comments.into_iter().peekable() };
    writer.entries(Block::File, &statements, u32::MAX)
}

/// Every word of the language, as the rules of the grammar name them: each is one rule, and so is each closed list of words.
pub fn keyword_rules() -> impl Iterator<Item = String> {
    Rule::all_rules().iter().map(|rule| format!("{rule:?}")).filter(|name| kind_of(name) == Kind::Keyword)
}

/// By the number of the rule: what its tokens are, and whether they tell a line from its neighbours.
static KINDS: LazyLock<Vec<(Kind, bool)>> = LazyLock::new(|| {
    let rules = Rule::all_rules();
    let most = rules.iter().map(|rule| *rule as usize).max().unwrap_or(0);
    let mut kinds = vec![(Kind::Value, false); most + 1];
    for rule in rules {
        let name = format!("{rule:?}");
        let names_line = matches!(name.as_str(), "new_name" | "group_name" | "called_name" | "colour");
        if let Some(kind) = kinds.get_mut(*rule as usize) {
            *kind = (kind_of(&name), names_line);
        }
    }
    kinds
});

/// What the tokens of a rule are, by its name.
fn kind_of(rule: &str) -> Kind {
    match rule {
        // `onto stud M8`: the thing, and not the head of the line.
        "w_stud" => Kind::Value,
        "by_hand" | "hole_end" | "gender" | "signal" | "protector" => Kind::Keyword,
        _ if rule.starts_with("w_") || rule.ends_with("_kind") => Kind::Keyword,
        "new_name" | "row_name" | "group_name" => Kind::NewName,
        "grade_name" => Kind::Value,
        "text" => Kind::Text,
        "number" | "how_many" => Kind::Number,
        "unit" => Kind::Unit,
        "comma" | "open" | "close" => Kind::Mark,
        "compare" | "plus_or_minus" | "times_or_divided" | "equals" | "plus_minus" => Kind::Operator,
        _ if rule.ends_with("_name") => Kind::Name,
        _ => Kind::Value,
    }
}

struct Writer<'t> {
    text: &'t str,
    comments: std::iter::Peekable<std::vec::IntoIter<Comment>>,
}

impl Writer<'_> {
    fn entries(&mut self, home: Block, statements: &[Laid], end: u32) -> Vec<Entry> {
        let mut entries = Vec::new();
        for laid in statements {
            self.comments_before(laid.start, &mut entries);
            if laid.prose {
                let rest = self.text.get(laid.start as usize..).unwrap_or("");
                let line = rest.split('\n').next().unwrap_or("");
                let line = line.strip_suffix('\r').unwrap_or(line);
                entries.push(Entry::Prose { start: laid.start, end: laid.start + line.len() as u32 });
            } else {
                entries.push(Entry::Statement(self.statement(home, laid)));
            }
        }
        self.comments_before(end, &mut entries);
        entries
    }

    fn comments_before(&mut self, at: u32, entries: &mut Vec<Entry>) {
        while let Some(comment) = self.comments.next_if(|comment| comment.start < at) {
            entries.push(Entry::Comment(comment));
        }
    }

    fn statement(&mut self, home: Block, laid: &Laid) -> Statement {
        let head = self.text.get(laid.start as usize..laid.end as usize).unwrap_or("");
        let forms = forms_of(home, head, i64::from(laid.start)).unwrap_or_default();
        let until = laid.block.as_ref().map_or(laid.end, |braces| braces.open);
        let mut comments = Vec::new();
        while let Some(comment) = self.comments.next_if(|comment| comment.start < until) {
            comments.push(comment);
        }
        let holds = match forms.last().map(|pair| body_kind(home, pair)) {
            Some(forms::Body::May(holds) | forms::Body::Must(holds)) => holds,
            Some(forms::Body::None) => Block::Unknown,
            None => forms::body_of(home, blocks::word_at(head)),
        };
        let rule = forms.first().map_or(usize::MAX, |pair| pair.as_rule() as usize);
        let tokens = tokens(laid, head, &forms, &comments);
        let block = laid.block.as_ref().map(|braces| {
            let entries = self.entries(holds, &braces.statements, braces.close);
            Braces { open: braces.open, close: braces.close, entries }
        });
        Statement { start: laid.start, end: laid.end, home, rule, tokens, comments, block }
    }
}

/// The tokens of a statement. What the grammar passes over in silence is a token too, so that nothing is lost.
fn tokens(laid: &Laid, head: &str, forms: &[Pair<'_, Rule>], comments: &[Comment]) -> Vec<Token> {
    let mut read = Vec::new();
    for (form, pair) in forms.iter().enumerate() {
        let parts: Vec<Pair<'_, Rule>> = pair.clone().into_inner().collect();
        if parts.is_empty() {
            push(&mut read, pair, laid.start, form, 0, true);
        }
        for (at, part) in parts.into_iter().enumerate() {
            leaves(&mut read, part, laid.start, form, at);
        }
    }
    let mut all = Vec::with_capacity(read.len());
    let mut from = laid.start;
    let last = Token { start: laid.end, end: laid.end, ..BETWEEN };
    for token in read.into_iter().chain([last]) {
        let (form, part) = all.last().map_or((0, 0), |before: &Token| (before.form, before.part));
        let mut start = None;
        for at in from..token.start {
            let byte = head.as_bytes().get((at - laid.start) as usize).copied().unwrap_or(b' ');
            let blank = byte.is_ascii_whitespace() || comments.iter().any(|c| (c.start..c.end).contains(&at));
            match (blank || byte == b',', start) {
                (false, None) => start = Some(at),
                (true, Some(start_of)) => {
                    all.push(Token { start: start_of, end: at, form, part, ..BETWEEN });
                    start = None;
                }
                _ => {}
            }
            if byte == b',' && !blank {
                all.push(Token { start: at, end: at + 1, kind: Kind::Mark, form, part, ..BETWEEN });
            }
        }
        if let Some(start) = start {
            all.push(Token { start, end: token.start, form, part, ..BETWEEN });
        }
        from = token.end.max(from);
        if token.start < token.end {
            all.push(token);
        }
    }
    all
}

/// A token between those that the grammar names.
const BETWEEN: Token = Token { start: 0, end: 0, kind: Kind::Value, form: 0, part: 0, whole: true, names_line: false };

/// The leaves of a part, from left to right. A part is nested no deeper than the text was read.
fn leaves(read: &mut Vec<Token>, part: Pair<'_, Rule>, base: u32, form: usize, at: usize) {
    let mut open = vec![(part, true)];
    while let Some((pair, whole)) = open.pop() {
        let mut inner: Vec<_> = pair.clone().into_inner().map(|pair| (pair, false)).collect();
        if inner.is_empty() {
            push(read, &pair, base, form, at, whole);
        }
        inner.reverse();
        open.append(&mut inner);
    }
}

fn push(read: &mut Vec<Token>, pair: &Pair<'_, Rule>, base: u32, form: usize, part: usize, whole: bool) {
    let (kind, names_line) = KINDS.get(pair.as_rule() as usize).copied().unwrap_or((Kind::Value, false));
    let span = pair.as_span();
    let (start, end) = (base + span.start() as u32, base + span.end() as u32);
    let count = |n: usize| u16::try_from(n).unwrap_or(u16::MAX);
    read.push(Token { start, end, kind, form: count(form), part: count(part), whole, names_line });
}
