//! From entries to lines: what stands on each, how deep, and in which cells.

use crate::parse::forms::Block;
use crate::parse::written::{Braces, Entry, Kind, Statement, Token};
use crate::source::LineIndex;

/// Blanks a level.
const INDENT: usize = 2;

/// One line of the result.
#[derive(Debug, Default)]
pub struct Line {
    /// Blanks before it.
    pub indent: usize,
    /// Whether a blank line stands before it.
    pub gap: bool,
    /// What stands on it, parted where columns may be.
    pub cells: Vec<String>,
    /// Its comment, where something stands before that.
    pub comment: Option<String>,
    /// The block that it stands in.
    pub block: usize,
    /// What it shares columns with.
    pub role: Role,
    /// Blanks between what stands on it and its comment.
    pub before_comment: usize,
}

/// With which lines a line shares columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Role {
    /// With none.
    #[default]
    Plain,
    /// Its first word, with the other lines of its block.
    Keyword,
    /// Its cells, with the lines of the same form right above and below.
    Table(usize),
    /// It goes on with the line above, below what follows that one's first cell.
    GoesOn,
}

impl Line {
    /// How many characters stand on it before its comment.
    pub fn width(&self) -> usize {
        let cells: usize = self.cells.iter().map(|cell| cell.chars().count()).sum();
        self.indent + cells + self.cells.len().saturating_sub(1)
    }

    /// The line as it is written.
    pub fn set(&self) -> String {
        let mut out = " ".repeat(self.indent);
        out.push_str(&self.cells.join(" "));
        if let Some(comment) = &self.comment {
            out.push_str(&" ".repeat(self.before_comment));
            out.push_str(comment);
        }
        out
    }
}

/// The lines of a file.
pub fn of(text: &str, entries: &[Entry]) -> Vec<Line> {
    let mut setter = Setter { text: Text::new(text), lines: Vec::new(), last_line: 0, blocks: 0 };
    setter.entries(entries, 0, 0, true);
    setter.lines
}

/// A text with its lines.
pub struct Text<'t> {
    text: &'t str,
    index: LineIndex,
}

impl<'t> Text<'t> {
    pub fn new(text: &'t str) -> Self {
        Text { text, index: LineIndex::new(text) }
    }

    /// What stands from one byte to another.
    pub fn slice(&self, start: u32, end: u32) -> &'t str {
        self.text.get(start as usize..end as usize).unwrap_or("")
    }

    /// The number of the line of a byte, from 0.
    pub fn line(&self, at: u32) -> usize {
        self.index.line_of(at)
    }

    /// A token as it is written: in quotes as it stands, else with one blank wherever some stand in it (`hex  head`).
    pub fn token(&self, token: &Token) -> String {
        let slice = self.slice(token.start, token.end);
        match token.kind {
            Kind::Text => slice.to_string(),
            _ => slice.split_whitespace().collect::<Vec<_>>().join(" "),
        }
    }

    /// Tokens of one line.
    fn joined(&self, tokens: &[Token]) -> String {
        let mut out = String::new();
        for (at, token) in tokens.iter().enumerate() {
            if let Some(before) = at.checked_sub(1).and_then(|before| tokens.get(before)) {
                out.push_str(self.between(before, token));
            }
            out.push_str(&self.token(token));
        }
        out
    }

    fn between(&self, before: &Token, token: &Token) -> &'static str {
        let (left, right) = (self.slice(before.start, before.end), self.slice(token.start, token.end));
        // `9"`, `90°`: what is no letter stands close, and must where it would begin a text.
        let close = token.kind == Kind::Unit && before.end == token.start && !right.starts_with(char::is_alphabetic);
        if right == "," || right == ")" || left == "(" || close && !right.starts_with('%') {
            ""
        } else if before.form != token.form && left != "," {
            "  "
        } else {
            " "
        }
    }
}

/// What stands on one line of a statement.
#[derive(Default)]
struct Row {
    tokens: Vec<Token>,
    comment: Option<String>,
}

struct Setter<'t> {
    text: Text<'t>,
    lines: Vec<Line>,
    /// The line of the text on which the last thing that was set ends.
    last_line: usize,
    /// How many blocks there were.
    blocks: usize,
}

impl Setter<'_> {
    fn entries(&mut self, entries: &[Entry], indent: usize, block: usize, top: bool) {
        for (at, entry) in entries.iter().enumerate() {
            let first = top && at == 0;
            match entry {
                Entry::Comment(comment) => {
                    let text = self.text.slice(comment.start, comment.end).to_string();
                    self.comment(text, comment.start, comment.leads, indent, block, first);
                }
                Entry::Prose { start, end } => {
                    let cells = vec![self.text.slice(*start, *end).to_string()];
                    let gap = self.gap(*start) && !first;
                    self.lines.push(Line { indent, gap, cells, block, ..Line::default() });
                    self.last_line = self.text.line(*start);
                }
                Entry::Statement(statement) => self.statement(statement, indent, block, first),
            }
        }
    }

    /// Whether a blank line stands before what begins here.
    fn gap(&self, at: u32) -> bool {
        self.text.line(at) > self.last_line + 1
    }

    fn comment(&mut self, text: String, at: u32, leads: bool, indent: usize, block: usize, first: bool) {
        let gap = self.gap(at) && !first;
        self.last_line = self.text.line(at);
        match self.lines.last_mut() {
            Some(line) if !leads && line.comment.is_none() && !line.cells.is_empty() => line.comment = Some(text),
            _ => self.lines.push(Line { indent, gap, cells: vec![text], block, ..Line::default() }),
        }
    }

    fn statement(&mut self, statement: &Statement, indent: usize, block: usize, first: bool) {
        let gap = self.gap(statement.start) && !first;
        let rows = self.rows(statement);
        let on_one_line = statement.block.as_ref().filter(|braces| self.is_on_one_line(braces));
        let behind = match (&statement.block, on_one_line) {
            (None, _) => None,
            (Some(_), Some(braces)) => Some(self.inline(braces)),
            (Some(_), None) => Some("{".to_string()),
        };
        let many = statement.block.is_some() && on_one_line.is_none();
        let last = rows.iter().rposition(|row| !row.tokens.is_empty()).unwrap_or(0);
        let joins = self.joins(statement, gap);
        for (at, row) in rows.into_iter().enumerate() {
            let behind = if at == last { behind.clone() } else { None };
            let mut line = Line { indent, gap: gap && at == 0, comment: row.comment, block, ..Line::default() };
            if row.tokens.is_empty() && behind.is_none() {
                line.cells.extend(line.comment.take());
                line.indent += INDENT;
            } else if at == 0 && joins {
                let words = self.text.joined(&row.tokens);
                if let Some(before) = self.lines.last_mut() {
                    before.cells.push(words);
                    before.cells.extend(behind);
                    before.comment = line.comment;
                }
                continue;
            } else if at == 0 {
                (line.role, line.cells) = self.cells(statement, &row.tokens, behind, many);
            } else {
                line.role = Role::GoesOn;
                line.cells.extend(Some(self.text.joined(&row.tokens)).filter(|words| !words.is_empty()));
                line.cells.extend(behind);
                line.indent += if head(statement, &self.text) == 0 { 0 } else { INDENT * (1 + usize::from(many)) };
            }
            self.lines.push(line);
        }
        self.last_line = self.text.line(statement.end.saturating_sub(1));
        let Some(braces) = &statement.block else { return };
        self.last_line = self.text.line(braces.open);
        if many {
            self.blocks += 1;
            self.entries(&braces.entries, indent + INDENT, self.blocks, false);
            self.lines.push(Line { indent, cells: vec!["}".to_string()], block, ..Line::default() });
        }
        self.last_line = self.text.line(braces.close.saturating_sub(1));
    }

    /// Whether a statement goes on behind the brace of the one before: `} else {`.
    fn joins(&self, statement: &Statement, gap: bool) -> bool {
        let is_else = statement.tokens.first().is_some_and(|token| self.text.token(token) == "else");
        let fits = |line: &Line| {
            let closes = line.cells.last().is_some_and(|cell| cell == "}" || cell.ends_with(" }"));
            let alone = line.cells.first().is_some_and(|cell| cell == "}");
            closes && line.comment.is_none() && (alone || self.text.line(statement.start) == self.last_line)
        };
        is_else && statement.home == Block::Flow && !gap && self.lines.last().is_some_and(fits)
    }

    /// A statement's tokens and comments, as they lie on lines.
    fn rows(&self, statement: &Statement) -> Vec<Row> {
        let mut rows = vec![Row::default()];
        let mut comments = statement.comments.iter().peekable();
        let mut end = statement.start;
        for token in statement.tokens.iter().map(Some).chain([None]) {
            let until = token.map_or(u32::MAX, |token| token.start);
            while let Some(comment) = comments.next_if(|comment| comment.start < until) {
                let text = Some(self.text.slice(comment.start, comment.end).to_string());
                match rows.last_mut().filter(|row| !comment.leads && row.comment.is_none()) {
                    Some(row) => row.comment = text,
                    None => rows.push(Row { comment: text, ..Row::default() }),
                }
                end = comment.end;
            }
            let Some(token) = token else { break };
            if self.text.slice(end, token.start).contains('\n') {
                rows.push(Row::default());
            }
            if let Some(row) = rows.last_mut() {
                row.tokens.push(*token);
            }
            end = token.end;
        }
        rows
    }

    /// Whether a block stands on one line: nothing at all does too.
    fn is_on_one_line(&self, braces: &Braces) -> bool {
        braces.entries.is_empty() || self.text.line(braces.open) == self.text.line(braces.close.saturating_sub(1))
    }

    /// A block on one line.
    fn inline(&self, braces: &Braces) -> String {
        let mut out = "{".to_string();
        for (at, entry) in braces.entries.iter().enumerate() {
            let Entry::Statement(statement) = entry else { continue };
            out.push_str(if at == 0 { " " } else { "  " });
            out.push_str(&self.text.joined(&statement.tokens));
            if let Some(inner) = &statement.block {
                out.push(' ');
                out.push_str(&self.inline(inner));
            }
        }
        out + " }"
    }

    /// How the first line of a statement is parted, and with what it shares columns.
    fn cells(
        &self,
        statement: &Statement,
        tokens: &[Token],
        behind: Option<String>,
        many: bool,
    ) -> (Role, Vec<String>) {
        let head = head(statement, &self.text);
        let named = tokens.iter().take(2).position(|token| token.names_line).filter(|at| *at == head || head == 0);
        let one_form = tokens.iter().all(|token| token.form == 0);
        let is_accept = tokens.first().is_some_and(|token| self.text.token(token) == "accept");
        let with_blocks = matches!(statement.home, Block::File | Block::Flow | Block::Kit | Block::Choose);
        let role = match (named, head) {
            _ if many || !one_form || is_accept => Role::Plain,
            (Some(_), _) | (None, 0) => Role::Table(statement.rule),
            (None, 1) if statement.home == Block::Kit => Role::Table(statement.rule),
            (None, 1) if !with_blocks && (tokens.len() > 1 || behind.is_some()) => Role::Keyword,
            _ => Role::Plain,
        };
        let first = match (role, named) {
            (Role::Plain, _) => tokens.len(),
            (Role::Keyword, _) => 1,
            (_, Some(at)) => at + 1,
            (_, None) if head == 0 => tokens.len(),
            (_, None) => head,
        };
        let mut cells = vec![self.text.joined(tokens.get(..first).unwrap_or(tokens))];
        let mut rest = tokens.get(first..).unwrap_or(&[]);
        if matches!(role, Role::Table(_)) {
            if let Some((title, after)) =
                rest.split_first().filter(|(title, _)| title.kind == Kind::Text && title.whole)
            {
                cells.push(self.text.joined(&[*title]));
                rest = after;
            }
            let when = |token: &&Token| token.kind == Kind::Keyword && self.text.token(token) == "when";
            let at = rest.iter().position(|token| when(&token)).filter(|at| *at > 0);
            if let Some((before, from)) = at.and_then(|at| rest.split_at_checked(at)) {
                cells.push(self.text.joined(before));
                rest = from;
            }
        }
        cells.extend(Some(self.text.joined(rest)).filter(|words| !words.is_empty()));
        match (role, behind) {
            (Role::Plain, Some(behind)) => {
                if let Some(cell) = cells.last_mut() {
                    let gap = if cell.is_empty() { "" } else { " " };
                    cell.push_str(gap);
                    cell.push_str(&behind);
                }
            }
            (_, behind) => cells.extend(behind),
        }
        (role, cells)
    }
}

/// How many words of the language begin a statement before it says anything: two in `else stop "…"`.
fn head(statement: &Statement, text: &Text<'_>) -> usize {
    let leading = statement.tokens.iter().enumerate();
    let count = leading.take_while(|(at, token)| {
        token.kind == Kind::Keyword && token.whole && usize::from(token.part) == *at && token.form == 0
    });
    // `bag when …`, `take … with`: a word that joins parts begins a new one.
    count.take_while(|(at, token)| *at == 0 || !matches!(text.token(token).as_str(), "when" | "with")).count()
}
