//! The lines of a procedure as they can be compared: statements, prose and the entries of lists, each with its tokens.
//!
//! They come from the tokens as they lie (`parse::written`), not from the tree, so that a new form of the language is
//! compared from the day on which the grammar knows it.

use std::collections::BTreeMap;

use crate::parse::forms::Block;
use crate::parse::written::{self, Entry, Kind, Statement, Token};
use crate::quantity::Measure;
use crate::resolve::index::Index;
use crate::source::{FileId, Sources, Span};

/// A statement, a form of one, a line of prose, or an entry of a list.
#[derive(Debug, Clone)]
pub(super) struct Line {
    /// The block that it stands in.
    pub home: Block,
    /// Its first word; `>` of prose; `value`, `arm` and `entry` of what begins with a name.
    pub word: String,
    /// What tells it from the lines of its kind beside it: the name that it declares, the part that an entry counts.
    pub key: Option<String>,
    /// Its words, without those of its block.
    pub tokens: Vec<Tok>,
    /// All of it in one line, its block left out.
    pub text: String,
    /// Where, its block included.
    pub at: Span,
    /// What stands in its block, and the entries of its list.
    pub inner: Vec<Line>,
}

/// A word of a line.
#[derive(Debug, Clone)]
pub(super) struct Tok {
    /// What it is.
    pub kind: Kind,
    /// As it is written; a quantity with its unit.
    pub text: String,
    /// What it comes to, of a quantity.
    pub value: Option<Measure>,
}

/// Words whose entries stand in no order: whoever takes two things in hand takes both.
const LISTS: &[&str] = &["take", "use", "wear", "record", "brings"];

/// The lines of all files that a procedure is made of, those of libraries as far as something of it names them.
pub(super) fn of(sources: &Sources, index: &Index) -> Vec<Line> {
    let measures = measures(index);
    let mut used: Vec<Span> = Vec::new();
    let mut lines = Vec::new();
    let mut libraries: Vec<Line> = Vec::new();
    for (at, (file, source)) in sources.iter().enumerate() {
        if source.name.starts_with("std/") {
            continue;
        }
        let reader = Reader { text: &source.text, file: file.whole(), measures: &measures };
        let read = reader.lines(&written::as_laid(&source.text));
        if at == 0 {
            used.push(Span::new(file.whole(), 0, source.text.len()));
            lines = read;
        } else {
            libraries.extend(read.into_iter().filter(|line| line.key.is_some() && line.word != "library"));
        }
    }
    // What is used by something that is used.
    loop {
        let named = |line: &Line| {
            let is_used = |at: Span| used.iter().any(|used| used.contains(at.whole()));
            index.named.iter().any(|one| line.at.contains(one.means.whole()) && is_used(one.at))
        };
        let (more, rest): (Vec<Line>, Vec<Line>) = libraries.into_iter().partition(named);
        libraries = rest;
        if more.is_empty() {
            return lines;
        }
        used.extend(more.iter().map(|line| line.at));
        lines.extend(more);
    }
}

/// Every quantity by its place.
fn measures(index: &Index) -> BTreeMap<Span, Measure> {
    index.measured.iter().map(|one| (one.at.whole(), one.measure)).collect()
}

struct Reader<'t> {
    text: &'t str,
    file: FileId,
    measures: &'t BTreeMap<Span, Measure>,
}

impl Reader<'_> {
    fn slice(&self, start: u32, end: u32) -> &str {
        self.text.get(start as usize..end as usize).unwrap_or("")
    }

    fn span(&self, start: u32, end: u32) -> Span {
        Span::new(self.file, start as usize, end as usize)
    }

    fn lines(&self, entries: &[Entry]) -> Vec<Line> {
        let mut lines = Vec::new();
        for entry in entries {
            match entry {
                Entry::Comment(_) => {}
                Entry::Prose { start, end } => lines.push(self.prose(*start, *end)),
                Entry::Statement(statement) => self.statement(statement, &mut lines),
            }
        }
        lines
    }

    fn prose(&self, start: u32, end: u32) -> Line {
        let text = one_line(self.slice(start, end));
        let said = text.trim_start_matches('>').trim().to_owned();
        let tokens = vec![Tok { kind: Kind::Text, text: said, value: None }];
        Line {
            home: Block::Step,
            word: ">".to_owned(),
            key: None,
            tokens,
            text,
            at: self.span(start, end),
            inner: Vec::new(),
        }
    }

    /// A line for each form: a short block may have several in a line.
    fn statement(&self, statement: &Statement, lines: &mut Vec<Line>) {
        let end = statement.block.as_ref().map_or(statement.end, |block| block.close);
        let mut forms: Vec<&[Token]> = statement.tokens.chunk_by(|one, next| one.form == next.form).collect();
        if forms.is_empty() {
            forms.push(&[]);
        }
        let last = forms.len() - 1;
        for (at, tokens) in forms.into_iter().enumerate() {
            let tokens = without_end_marks(tokens);
            let start = tokens.first().map_or(statement.start, |token| token.start);
            let until = tokens.last().map_or(statement.end, |token| token.end);
            let block = statement.block.as_ref().filter(|_| at == last);
            let mut line = self.form(statement.home, tokens, (start, until));
            line.at = self.span(start, if at == last { end } else { until });
            line.inner.extend(block.map(|block| self.lines(&block.entries)).unwrap_or_default());
            lines.push(line);
        }
    }

    fn form(&self, home: Block, tokens: &[Token], (start, until): (u32, u32)) -> Line {
        let first = tokens.first();
        let word = match first {
            Some(token) if token.kind == Kind::Keyword && home != Block::Choose => {
                self.slice(token.start, token.end).to_owned()
            }
            _ => match home {
                Block::Values | Block::State => "value".to_owned(),
                Block::Choose => "arm".to_owned(),
                Block::List => "entry".to_owned(),
                _ => first.map(|token| self.slice(token.start, token.end).to_owned()).unwrap_or_default(),
            },
        };
        let named = |token: &&Token| token.names_line || (home == Block::List && token.kind == Kind::Name);
        let key = tokens.iter().find(named).map(|token| self.slice(token.start, token.end).to_owned());
        let is_list = LISTS.contains(&word.as_str());
        let (own, entries) = if is_list { entries(tokens) } else { (tokens, Vec::new()) };
        let inner = entries.into_iter().filter_map(|entry| {
            let (first, last) = (entry.first()?, entry.last()?);
            let mut line = self.form(Block::List, entry, (first.start, last.end));
            line.home = home;
            Some(line)
        });
        let inner = inner.collect();
        let text = one_line(self.slice(start, until));
        Line { home, word, key, tokens: self.toks(own), text, at: self.span(start, until), inner }
    }

    /// The words, a quantity with its unit as one.
    fn toks(&self, tokens: &[Token]) -> Vec<Tok> {
        let mut toks: Vec<Tok> = Vec::new();
        let mut until = 0;
        for token in tokens {
            if token.start < until {
                continue;
            }
            let from = self.span(token.start, token.start);
            let measured =
                self.measures.range(from..).take_while(|(at, _)| at.file == self.file && at.start == token.start);
            match measured.last() {
                Some((at, measure)) => {
                    until = at.end;
                    let text = one_line(self.slice(at.start, at.end));
                    toks.push(Tok { kind: Kind::Number, text, value: Some(*measure) });
                }
                None => {
                    let text = one_line(self.slice(token.start, token.end));
                    toks.push(Tok { kind: token.kind, text, value: None });
                }
            }
        }
        toks
    }
}

/// A short block has commas or nothing between its forms; they say nothing.
fn without_end_marks(mut tokens: &[Token]) -> &[Token] {
    while let Some((last, before)) = tokens.split_last() {
        if last.kind != Kind::Mark || last.end - last.start != 1 || before.is_empty() {
            break;
        }
        tokens = before;
    }
    tokens
}

/// The words of a list and its entries. What follows the entries, as a condition does, belongs to the last one.
fn entries(tokens: &[Token]) -> (&[Token], Vec<&[Token]>) {
    let (head, rest) = tokens.split_at(tokens.len().min(1));
    let entries = rest.split(|token| token.kind == Kind::Mark && token.end - token.start == 1);
    (head, entries.filter(|entry| !entry.is_empty()).collect())
}

/// Every run of blanks as one.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Line {
    /// Whether it says the same as another, with all that stands in it. `names` are the new names of what was renamed.
    pub(super) fn is_same(&self, new: &Line, names: &Names) -> bool {
        let mut open = vec![(self, new)];
        while let Some((old, new)) = open.pop() {
            let inner = old.inner.len() == new.inner.len();
            if !inner || old.word != new.word || !old.says_same(new, names) {
                return false;
            }
            open.extend(old.inner.iter().zip(&new.inner));
        }
        true
    }

    /// Whether its own words say the same as those of another.
    pub(super) fn says_same(&self, new: &Line, names: &Names) -> bool {
        if let ([old], [new]) = (&self.tokens[..], &new.tokens[..]) {
            return old.is_same(new, names);
        }
        say_same(&self.tokens.iter().collect::<Vec<_>>(), &new.tokens.iter().collect::<Vec<_>>(), names)
    }

    /// How much of two lines is alike, with all that stands in them, from 0 to 1 (the index of Dice, 1945, of their words).
    pub(super) fn likeness(&self, new: &Line, names: &Names) -> f64 {
        let mut counts: BTreeMap<String, [usize; 2]> = BTreeMap::new();
        self.count(&mut |word| counts.entry(names.of(word)).or_default()[0] += 1);
        new.count(&mut |word| counts.entry(word.to_owned()).or_default()[1] += 1);
        let sum: [usize; 2] = counts.values().fold([0; 2], |sum, one| [sum[0] + one[0], sum[1] + one[1]]);
        let both: usize = counts.values().map(|[old, new]| old.min(new)).sum();
        if sum == [0; 2] { 1.0 } else { 2.0 * both as f64 / (sum[0] + sum[1]) as f64 }
    }

    /// Tells each word, those of prose and texts one by one.
    fn count(&self, tell: &mut dyn FnMut(&str)) {
        let mut open = vec![self];
        while let Some(line) = open.pop() {
            tell(&line.word);
            line.tokens.iter().flat_map(|tok| tok.text.split_whitespace()).for_each(&mut *tell);
            open.extend(&line.inner);
        }
    }
}

/// Whether two runs of words say the same. Letter by letter is enough: where a name is not known, its quantities are not read.
pub(super) fn say_same(old: &[&Tok], new: &[&Tok], names: &Names) -> bool {
    if old.len() == new.len() {
        return old.iter().zip(new).all(|(old, new)| old.is_same(new, names));
    }
    let text = |toks: &[&Tok]| toks.iter().map(|tok| tok.text.as_str()).collect::<Vec<_>>().join(" ");
    let reads = |toks: &[&Tok]| toks.iter().any(|tok| tok.value.is_some());
    reads(old) != reads(new) && text(old) == text(new)
}

impl Tok {
    /// Whether both say the same: a quantity in whatever unit, a name by its new name.
    pub(super) fn is_same(&self, new: &Tok, names: &Names) -> bool {
        match (self.value, new.value) {
            (Some(old), Some(new)) => same_amount(&old, &new),
            _ => self.kind == new.kind && (self.text == new.text || names.told(&self.text) == new.text),
        }
    }
}

/// Whether two measures are the same, whatever their units.
fn same_amount(old: &Measure, new: &Measure) -> bool {
    use Measure::{AtLeast, AtMost, Below, Exact, Over, Range, Tolerance};
    let same = |old: &crate::quantity::Quantity, new: &crate::quantity::Quantity| {
        old.kind() == new.kind() && old.compare(new) == Some(std::cmp::Ordering::Equal)
    };
    match (old, new) {
        (Exact(old), Exact(new))
        | (AtLeast(old), AtLeast(new))
        | (AtMost(old), AtMost(new))
        | (Over(old), Over(new))
        | (Below(old), Below(new)) => same(old, new),
        (Tolerance { .. } | Range { .. }, Tolerance { .. } | Range { .. }) => {
            let ends = |one: &Measure| Some((one.low()?, one.high()?));
            ends(old).zip(ends(new)).is_some_and(|((a, b), (c, d))| same(&a, &c) && same(&b, &d))
        }
        _ => false,
    }
}

/// The new names of what was renamed, by the old ones.
#[derive(Debug, Default)]
pub(super) struct Names(pub BTreeMap<String, String>);

impl Names {
    /// The new name of a name.
    fn of(&self, word: &str) -> String {
        self.0.get(word).cloned().unwrap_or_else(|| word.to_owned())
    }

    /// The same text with new names: a name by itself, as a part of a longer one, or mentioned in a sentence.
    pub(super) fn told(&self, text: &str) -> String {
        if self.0.is_empty() {
            return text.to_owned();
        }
        let is_of_name = |c: char| c.is_alphanumeric() || c == '-' || c == '_';
        let mut told = String::with_capacity(text.len());
        let mut rest = text;
        let is_sentence = text.contains(char::is_whitespace);
        while let Some(start) = rest.find(is_of_name) {
            let (before, from) = rest.split_at(start);
            let end = from.find(|c| !is_of_name(c)).unwrap_or(from.len());
            let (word, after) = from.split_at(end);
            told.push_str(before);
            let is_name =
                !is_sentence || (before.ends_with('[') || before.ends_with(' ')) && told.rfind('[') > told.rfind(']');
            told.push_str(&if is_name { self.of(word) } else { word.to_owned() });
            rest = after;
        }
        told.push_str(rest);
        told
    }
}
