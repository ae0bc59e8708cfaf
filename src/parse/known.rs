//! Texts that are known to be without fault: those of the standard library, which a test reads in full and finds the same.
//!
//! Only where each statement stands, its name and its title are read at once; what stands in it, when somebody looks
//! ([`tree::Later`]).

use super::blocks::{self, Statement};
use super::forms::Block;
use super::read::{Reader, TopLine};
use super::report::Findings;
use super::scan;
use super::tree::{self, Decl, Declared, Head, HeadKind, Item, Later, Name, Part, Row, Text};
use crate::source::{FileId, Span};

/// Reads a library without fault, each statement of which begins at the margin and says nothing before its braces but its name
/// and title. `None` where something else stands in it.
pub fn library(file: FileId, text: &'static str) -> Option<tree::File> {
    let mut tree = tree::File::default();
    let mut at = 0;
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        let line = rest.lines().next().unwrap_or_default();
        if line.is_empty() || line.starts_with('#') {
            at += line.len() + 1;
            continue;
        }
        let (words, whole) = extent(rest, line)?;
        let span = |from: usize, to: usize| Span::new(file, at + from, at + to);
        let mut head = Words { file, base: at, text: rest.get(..words)?, at: 0 };
        let word = head.word()?;
        let node = match word {
            "library" => {
                let (name, title) = (head.name()?, head.quoted());
                tree.head = Some(Head { kind: HeadKind::Library, name, title, span: span(0, words) });
                None
            }
            _ => Some(declaration(word, &mut head, text, span(0, whole))?),
        };
        tree.items.extend(node.map(|node| Item { node, accepts: Vec::new(), span: span(0, whole) }));
        at += whole;
        at += text.get(at..)?.find('\n').map_or(0, |end| end + 1);
    }
    tree.head.is_some().then_some(tree)
}

/// Where the words of a statement end, and where the statement does.
fn extent(rest: &str, line: &str) -> Option<(usize, usize)> {
    let mut quoted = false;
    let brace = line.bytes().position(|byte| {
        quoted ^= byte == b'"';
        byte == b'{' && !quoted
    });
    let Some(brace) = brace else {
        let words = line.trim_end().len();
        return Some((words, words));
    };
    let words = line.get(..brace)?.trim_end().len();
    match line.trim_end().strip_suffix('}') {
        Some(before) => Some((words, before.len() + 1)),
        None => Some((words, rest.find("\n}")? + 2)),
    }
}

fn declaration(word: &str, head: &mut Words<'_>, text: &'static str, span: Span) -> Option<Decl> {
    let row = |head: &mut Words<'_>| {
        let (name, title) = (head.name()?, head.quoted());
        Some(Row { name, title, attributes: Later::of(text, span, attributes), span })
    };
    Some(match word {
        "use" => Decl::Use(head.name()?),
        "reference" => {
            let (name, title) = (head.name()?, head.quoted());
            let confirmed = if head.is_at_end() { None } else { Some(head.after("confirmed")?) };
            Decl::Reference { name, title, confirmed }
        }
        "protection" => Decl::Protection { name: head.name()?, title: head.quoted() },
        "thread" => Decl::Thread(row(head)?),
        "grade" => Decl::Grade(row(head)?),
        "screw" => Decl::Screw(row(head)?),
        "wire" => Decl::Wire(row(head)?),
        "washer" => Decl::Washer(row(head)?),
        "insert-nut" => Decl::InsertNut(row(head)?),
        "terminal" => Decl::Terminal(row(head)?),
        "fuse" => Decl::Fuse(row(head)?),
        "breaker" => Decl::Breaker(row(head)?),
        "tool" => Decl::Tool(declared(head, Later::of(text, span, tool_lines))?),
        "hazard" => Decl::Hazard(declared(head, Later::of(text, span, hazard_lines))?),
        "action" => Decl::Action(declared(head, Later::of(text, span, action_lines))?),
        "part" => {
            let (name, title) = (head.name()?, head.quoted());
            let lines = Later::of(text, span, part_lines);
            head.is_at_end().then_some(Decl::Part(Part { name, title, spec: None, lines }))?
        }
        _ => return None,
    })
}

fn declared<L>(head: &mut Words<'_>, lines: Later<Item<L>>) -> Option<Declared<L>> {
    let (name, title) = (head.name()?, head.quoted());
    head.is_at_end().then_some(Declared { name, title, for_each: None, when: None, lines })
}

/// One statement of a text, read as any other.
fn read(text: &'static str, at: Span) -> Option<Decl> {
    let piece = text.get(at.range())?;
    let scan = scan::scan(at.file, piece);
    let mut statements = blocks::build(at.file, piece, &scan.events, &mut Findings::default());
    statements.iter_mut().for_each(|statement| statement.move_by(at.start));
    let lines = Reader::new(at.file, text).lines::<TopLine>(Block::File, &statements);
    lines.items.into_iter().find_map(|item| match item.node {
        TopLine::Decl(decl) => Some(decl),
        TopLine::Head(_) => None,
    })
}

fn attributes(text: &'static str, at: Span) -> Vec<tree::Attribute> {
    if let Some(plain) = plain_attributes(text, at) {
        return plain;
    }
    match read(text, at) {
        Some(
            Decl::Thread(row)
            | Decl::Grade(row)
            | Decl::Screw(row)
            | Decl::Wire(row)
            | Decl::Washer(row)
            | Decl::InsertNut(row)
            | Decl::Terminal(row)
            | Decl::Fuse(row)
            | Decl::Breaker(row),
        ) => row.attributes.into_items(),
        _ => Vec::new(),
    }
}

/// The attributes of a row that has nothing but words and plain quantities; most have. The grammar would try many forms at each.
fn plain_attributes(text: &str, at: Span) -> Option<Vec<tree::Attribute>> {
    let mut head = Words { file: at.file, base: at.start as usize, text: text.get(at.range())?, at: 0 };
    head.word()?;
    head.name()?;
    head.quoted();
    let rest = head.rest();
    let start = head.base + head.at;
    let mut attributes = Vec::new();
    let mut from = 0;
    for piece in rest.split(',') {
        let plain = Words { file: at.file, base: start + from, text: piece, at: 0 };
        attributes.push(plain_attribute(plain)?);
        from += piece.len() + 1;
    }
    Some(attributes)
}

/// Words that follow a number in rows and are no unit.
const NO_UNITS: &[&str] = &["to", "x", "at", "per", "through"];

fn plain_attribute(mut words: Words<'_>) -> Option<tree::Attribute> {
    words.rest();
    let mut made =
        tree::Attribute { word: None, measures: Vec::new(), words: Vec::new(), text: None, span: words.span(0) };
    let is_number = |word: &str| word.starts_with(|c: char| c.is_ascii_digit());
    while !words.is_at_end() {
        let is_first = made.measures.is_empty() && made.words.is_empty() && made.word.is_none();
        let before = words.at;
        let next = words.word()?;
        if is_number(next) {
            words.at = before;
            made.measures.push(plain_measure(&mut words)?);
        } else if next == "at" && matches!(words.peek(), Some("most")) {
            let start = words.span(next.len()).start;
            words.word()?;
            let amount = plain_amount(&mut words)?;
            let span = Span { start, ..amount.span };
            made.measures.push(tree::Measure { form: tree::MeasureForm::AtMost(amount), span });
        } else {
            let is_plain = next.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-_/.".contains(&byte));
            let starts_as_word = next.starts_with(|c: char| c.is_ascii_alphabetic());
            let is_bound = matches!(next, "over" | "below") || (next == "at" && words.peek() == Some("least"));
            let is_size = is_first && next.bytes().any(|byte| byte.is_ascii_digit()) && next.starts_with(['M', 'S']);
            if !is_plain || !starts_as_word || is_bound || is_size {
                return None;
            }
            let name = Name { text: next.to_owned(), span: words.span(next.len()) };
            if is_first { made.word = Some(name) } else { made.words.push(name) }
        }
        made.span.end = words.span(0).end;
    }
    (made.span.end > made.span.start).then_some(made)
}

/// `13 mm`, `22 AWG to 16 AWG`
fn plain_measure(words: &mut Words<'_>) -> Option<tree::Measure> {
    let first = plain_amount(words)?;
    if words.peek() != Some("to") {
        let span = first.span;
        return Some(tree::Measure { form: tree::MeasureForm::Exact(first), span });
    }
    words.word()?;
    let second = plain_amount(words)?;
    let span = first.span.to(second.span);
    Some(tree::Measure { form: tree::MeasureForm::Range(first, second), span })
}

fn plain_amount(words: &mut Words<'_>) -> Option<tree::Amount> {
    let number = words.word()?;
    let is_fraction = |number: &str| number.bytes().filter(|byte| *byte == b'/').count() == 1 && !number.contains('.');
    let is_plain = number.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.' || byte == b'/')
        && number.starts_with(|c: char| c.is_ascii_digit())
        && number.ends_with(|c: char| c.is_ascii_digit())
        && (!number.contains('/') || is_fraction(number));
    // `1 1/8 in` is one number.
    let goes_on = words.peek().is_some_and(|next| next.starts_with(|c: char| c.is_ascii_digit()) && next.contains('/'));
    if !is_plain || goes_on {
        return None;
    }
    let number = tree::Number { text: number.to_owned(), span: words.span(number.len()) };
    let mut amount = tree::Amount { span: number.span, number, unit: None };
    if let Some(unit) = words.peek().filter(|unit| !NO_UNITS.contains(unit)) {
        if !unit.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'.')
            || unit.starts_with(|c: char| c.is_ascii_digit())
        {
            return None;
        }
        words.word()?;
        let span = words.span(unit.len());
        amount.unit = Some(Name { text: unit.to_owned(), span });
        amount.span = amount.span.to(span);
    }
    Some(amount)
}

fn tool_lines(text: &'static str, at: Span) -> Vec<Item<tree::ToolLine>> {
    if let Some(Decl::Tool(tool)) = read(text, at) { tool.lines.into_items() } else { Vec::new() }
}

fn hazard_lines(text: &'static str, at: Span) -> Vec<Item<tree::HazardLine>> {
    if let Some(Decl::Hazard(hazard)) = read(text, at) { hazard.lines.into_items() } else { Vec::new() }
}

fn action_lines(text: &'static str, at: Span) -> Vec<Item<tree::ActionLine>> {
    if let Some(Decl::Action(action)) = read(text, at) { action.lines.into_items() } else { Vec::new() }
}

fn part_lines(text: &'static str, at: Span) -> Vec<Item<tree::PartLine>> {
    if let Some(Decl::Part(part)) = read(text, at) { part.lines.into_items() } else { Vec::new() }
}

impl Statement {
    /// The same statement where its text stands in a larger one.
    fn move_by(&mut self, base: u32) {
        self.start += base;
        self.end += base;
        if let Some(block) = &mut self.block {
            block.open += base;
            block.close += base;
            block.statements.iter_mut().for_each(|statement| statement.move_by(base));
        }
    }
}

/// The words before the braces of a statement.
struct Words<'t> {
    file: FileId,
    /// Where they stand in the file.
    base: usize,
    text: &'t str,
    at: usize,
}

impl<'t> Words<'t> {
    fn rest(&mut self) -> &'t str {
        let rest = self.text.get(self.at..).unwrap_or_default();
        let trimmed = rest.trim_start();
        self.at += rest.len() - trimmed.len();
        trimmed
    }

    fn is_at_end(&mut self) -> bool {
        self.rest().is_empty()
    }

    fn word(&mut self) -> Option<&'t str> {
        let word = self.rest().split(' ').next().filter(|word| !word.is_empty() && !word.starts_with('"'))?;
        self.at += word.len();
        Some(word)
    }

    /// The word that comes next, not taken.
    fn peek(&self) -> Option<&'t str> {
        self.text.get(self.at..)?.split_whitespace().next()
    }

    fn span(&self, length: usize) -> Span {
        let end = self.base + self.at;
        Span::new(self.file, end - length, end)
    }

    fn name(&mut self) -> Option<Name> {
        let word = self.word()?;
        Some(Name { text: word.to_owned(), span: self.span(word.len()) })
    }

    /// A text in quotes, if one comes next.
    fn quoted(&mut self) -> Option<Text> {
        let inner = self.rest().strip_prefix('"')?;
        let value = inner.get(..inner.find('"')?)?;
        self.at += value.len() + 2;
        Some(Text { value: value.to_owned(), span: self.span(value.len() + 2) })
    }

    /// The text in quotes after a word.
    fn after(&mut self, word: &str) -> Option<Text> {
        if self.word()? == word { self.quoted() } else { None }
    }
}
