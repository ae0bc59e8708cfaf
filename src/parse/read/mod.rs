//! From statements to the tree, one statement at a time.
//!
//! A *form* is one statement that the grammar could read. What cannot be read is explained (`faults`), and as much of
//! it as makes sense goes into the tree all the same, so that one fault is not followed by complaints about names that
//! seem to be missing. The names in the rest are kept in [`tree::File::unread`].

mod atoms;
mod condition;
mod conductors;
mod declare;
mod faults;
mod fields;
mod flow;
mod parts;
mod things;

use super::blocks::{Braces, Statement, word_at};
use super::characters::{is_dash, plain_word};
use super::forms::{self, Block, Body};
use super::limits;
use super::report::Findings;
use super::tree;
use crate::diagnostics::{Code, Finding};
use crate::source::{FileId, Span};
pub(super) use atoms::{Origin, measure};
pub(super) use declare::TopLine;
use fitwright_grammar::{Grammar, Rule};
use pest::Parser;
use pest::iterators::Pair;

/// Reads the statements of one file.
pub(super) struct Reader<'t> {
    pub file: FileId,
    pub text: &'t str,
    pub findings: Findings,
    pub unread: Vec<tree::Name>,
    /// The words being read of which something was reported already, with those of the blocks around them: their names are
    /// not judged.
    hushed: Vec<(u32, u32)>,
}

/// One statement that the grammar could read.
pub(super) struct Form<'a> {
    pub pair: Pair<'a, Rule>,
    pub origin: Origin,
    /// Its block; an empty one stands for one that is missing and was reported.
    pub body: Option<&'a Braces>,
    /// Whether only its beginning could be read, so that nothing is said about what it lacks.
    pub torn: bool,
    /// Whether it must have a block.
    pub must_have_body: bool,
    /// The whole statement.
    pub span: Span,
}

/// What a block holds.
pub(super) struct Lines<T> {
    pub items: Vec<tree::Item<T>>,
    /// Whether every statement in it could be read. Where not, nothing is said about what seems to be missing.
    pub whole: bool,
}

/// A kind of statement: how it comes from a form, or from prose.
pub(super) trait Line: Sized {
    /// Builds the node. `None` where it was reported that it cannot be built.
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self>;

    /// The node for prose lines, in blocks that have them.
    fn prose(_prose: tree::Prose) -> Option<Self> {
        None
    }
}

/// Where and why a statement could not be read.
pub(super) struct Failed {
    /// The byte of the file at which nothing fits any more.
    pub at: usize,
    /// What would have fitted there.
    pub expected: Vec<Rule>,
}

impl<'t> Reader<'t> {
    pub fn new(file: FileId, text: &'t str) -> Self {
        Reader { file, text, findings: Findings::default(), unread: Vec::new(), hushed: Vec::new() }
    }

    pub fn span(&self, start: u32, end: u32) -> Span {
        Span { file: self.file, start, end: end.max(start) }
    }

    pub fn slice(&self, start: u32, end: u32) -> &'t str {
        self.text.get(start as usize..end as usize).unwrap_or("")
    }

    /// Whether something has been reported of the words that this place belongs to.
    pub fn is_hushed(&self, at: Span) -> bool {
        self.hushed.iter().any(|(start, end)| (*start..*end).contains(&at.start))
    }

    pub fn report(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// Reads the statements of a block.
    pub fn lines<T: Line>(&mut self, block: Block, statements: &[Statement]) -> Lines<T> {
        let mut lines = Lines { items: Vec::new(), whole: true };
        let mut accepts = Vec::new();
        let mut at = 0;
        while let Some(statement) = statements.get(at) {
            at += 1;
            if statement.prose {
                let prose = statements[at..].iter().scan(statement.line, |line, next| {
                    let follows = next.prose && next.line == *line + 1;
                    *line = next.line;
                    follows.then_some(())
                });
                let run = 1 + prose.count();
                self.prose(block, &statements[at - 1..at - 1 + run], &mut accepts, &mut lines);
                at += run - 1;
            } else {
                self.statement(block, statement, &mut accepts, &mut lines);
            }
        }
        for accept in accepts {
            self.report(faults::accept_before_nothing(&accept));
        }
        // Most blocks have a line or two, and room for four is taken with the first.
        lines.items.shrink_to_fit();
        lines
    }

    fn prose<T: Line>(
        &mut self,
        block: Block,
        run: &[Statement],
        accepts: &mut Vec<tree::Accept>,
        lines: &mut Lines<T>,
    ) {
        let prose = self.prose_of(run);
        let span = prose.span;
        match T::prose(prose) {
            Some(node) => lines.items.push(tree::Item { node, accepts: std::mem::take(accepts), span }),
            None => {
                lines.whole = false;
                self.report(faults::prose_out_of_place(block, span));
            }
        }
    }

    fn prose_of(&self, run: &[Statement]) -> tree::Prose {
        let lines: Vec<tree::Text> = run
            .iter()
            .map(|line| {
                let text = self.slice(line.start, line.end);
                let value = text.strip_prefix('>').unwrap_or(text);
                let value = value.strip_prefix(' ').unwrap_or(value);
                let start = line.end - u32::try_from(value.len()).unwrap_or(0);
                tree::Text { value: value.to_string(), span: self.span(start, line.end) }
            })
            .collect();
        let start = run.first().map_or(0, |line| line.start);
        let end = run.last().map_or(start, |line| line.end);
        tree::Prose { lines, span: self.span(start, end) }
    }

    fn statement<T: Line>(
        &mut self,
        block: Block,
        statement: &Statement,
        accepts: &mut Vec<tree::Accept>,
        lines: &mut Lines<T>,
    ) {
        let head = self.slice(statement.start, statement.end);
        let base = i64::from(statement.start);
        let origin = Origin { file: self.file, base };
        let hushed = self.hushed.len();
        let done = match forms_of(block, head, base) {
            Ok(forms) => {
                if statement.faulty {
                    lines.whole = false;
                    self.hushed.push((statement.start, statement.end));
                }
                self.build(block, statement, forms, origin, statement.faulty, accepts, lines);
                true
            }
            Err(failed) => {
                self.hushed.push((statement.start, statement.end));
                lines.whole = false;
                self.recover(block, statement, head, &failed, accepts, lines)
            }
        };
        self.hushed.truncate(hushed);
        if !done {
            self.set_aside(block, statement, head);
        }
        if !done || !lines.whole {
            // An acceptance for a statement that cannot be read has done no wrong.
            accepts.clear();
        }
    }

    /// Explains a statement that cannot be read, and builds what of it makes sense. Says whether it built something.
    fn recover<T: Line>(
        &mut self,
        block: Block,
        statement: &Statement,
        head: &str,
        failed: &Failed,
        accepts: &mut Vec<tree::Accept>,
        lines: &mut Lines<T>,
    ) -> bool {
        let base = i64::from(statement.start);
        let word = word_at(head);
        let meant = if forms::find(block, word).is_some() || block.begins_with_names() {
            None
        } else {
            forms::nearest(block, word).filter(|_| faults::looks_like_a_statement(head))
        };
        if let Some(meant) = meant {
            if !statement.faulty {
                self.report(faults::misspelt(
                    block,
                    word,
                    meant,
                    self.span(statement.start, statement.start + len(word)),
                ));
            }
            let corrected = format!("{}{}", meant.word, &head[word.len()..]);
            let base = base + word.len() as i64 - meant.word.len() as i64;
            let origin = Origin { file: self.file, base };
            return match forms_of(block, &corrected, base) {
                Ok(forms) => {
                    self.build(block, statement, forms, origin, true, accepts, lines);
                    true
                }
                Err(_) => false,
            };
        }
        if !statement.faulty {
            self.explain(block, statement, failed);
        }
        self.beginning(block, statement, head, failed, accepts, lines)
    }

    fn explain(&mut self, block: Block, statement: &Statement, failed: &Failed) {
        let mut findings = std::mem::take(&mut self.findings);
        findings.push_with(|| faults::explain(self, block, statement, failed));
        self.findings = findings;
    }

    /// Builds a statement from the part before the fault, where that part is a statement by itself.
    fn beginning<T: Line>(
        &mut self,
        block: Block,
        statement: &Statement,
        head: &str,
        failed: &Failed,
        accepts: &mut Vec<tree::Accept>,
        lines: &mut Lines<T>,
    ) -> bool {
        let base = i64::from(statement.start);
        let until = failed.at.saturating_sub(statement.start as usize);
        let Some(part) = head.get(..until).map(|part| part.trim_end().trim_end_matches(',').trim_end()) else {
            return false;
        };
        if part.is_empty() || part.len() == head.len() || ends_within_a_word(head, until) {
            return false;
        }
        let Ok(forms) = forms_of(block, part, base) else { return false };
        self.put_aside_names(failed.at as u32, statement.end);
        self.build(block, statement, forms, Origin { file: self.file, base }, true, accepts, lines);
        true
    }

    #[expect(clippy::too_many_arguments, reason = "the one place where a form meets its block and its accepts")]
    fn build<T: Line>(
        &mut self,
        block: Block,
        statement: &Statement,
        forms: Vec<Pair<'_, Rule>>,
        origin: Origin,
        torn: bool,
        accepts: &mut Vec<tree::Accept>,
        lines: &mut Lines<T>,
    ) {
        let count = forms.len();
        for (at, pair) in forms.into_iter().enumerate() {
            let last = at + 1 == count;
            if pair.as_rule() == Rule::accept {
                accepts.extend(parts::accept(origin, pair));
                continue;
            }
            let kind = body_kind(block, &pair);
            let body = if last { self.body(block, kind, statement, &pair, origin, torn) } else { None };
            let must_have_body = matches!(kind, Body::Must(_));
            let own = origin.span(&pair);
            let span = if last { own.to(self.span(statement.start, statement.whole_end())) } else { own };
            let span = if count > 1 { Span { start: own.start, ..span } } else { span };
            if let Some(node) = T::read(self, Form { pair, origin, body, torn, must_have_body, span }) {
                lines.items.push(tree::Item { node, accepts: std::mem::take(accepts), span });
            } else {
                lines.whole = false;
            }
        }
    }

    /// The block of a form, if it may have one. Reports a block too many and a block too few.
    fn body<'a>(
        &mut self,
        block: Block,
        kind: Body,
        statement: &'a Statement,
        pair: &Pair<'_, Rule>,
        origin: Origin,
        torn: bool,
    ) -> Option<&'a Braces> {
        let word = word_at(pair.as_str());
        match (kind, &statement.block) {
            (Body::None, Some(braces)) => {
                let finding = faults::block_too_many(word, self.span(braces.open, braces.open + 1));
                self.report(finding);
                self.put_aside_names(braces.open, braces.close);
                None
            }
            (Body::Must(_), None) => {
                if !torn {
                    let end = origin.span(pair).end;
                    self.report(faults::block_too_few(block, word, pair.as_str(), self.span(end, end)));
                }
                None
            }
            (_, braces) => braces.as_ref(),
        }
    }

    /// Takes note of a statement that stays out of the tree: its block is read for its own faults.
    fn set_aside(&mut self, block: Block, statement: &Statement, head: &str) {
        self.put_aside_names(statement.start, statement.whole_end());
        if let Some(braces) = &statement.block {
            let holds = forms::body_of(block, word_at(head));
            self.read_for_faults(holds, &braces.statements);
        }
    }

    /// Reads a block only for what is wrong in it.
    fn read_for_faults(&mut self, holds: Block, statements: &[Statement]) {
        let kept = self.unread.len();
        self.dispatch(holds, statements);
        // The names were put aside with the whole statement.
        self.unread.truncate(kept);
    }

    fn dispatch(&mut self, holds: Block, statements: &[Statement]) {
        match holds {
            Block::File => drop(self.lines::<TopLine>(holds, statements)),
            Block::About => drop(self.lines::<tree::AboutLine>(holds, statements)),
            Block::Values | Block::State => drop(self.lines::<fields::ValueLine>(holds, statements)),
            Block::Number => drop(self.lines::<fields::NumberLine>(holds, statements)),
            Block::Limit => drop(self.lines::<fields::LimitLine>(holds, statements)),
            Block::Part => drop(self.lines::<tree::PartLine>(holds, statements)),
            Block::Kit => drop(self.lines::<tree::KitGroup>(holds, statements)),
            Block::List => drop(self.lines::<fields::Entries>(holds, statements)),
            Block::Tool => drop(self.lines::<tree::ToolLine>(holds, statements)),
            Block::Hazard => drop(self.lines::<tree::HazardLine>(holds, statements)),
            Block::Action => drop(self.lines::<tree::ActionLine>(holds, statements)),
            Block::Joint => drop(self.lines::<tree::JointLine>(holds, statements)),
            Block::Circuit => drop(self.lines::<tree::CircuitLine>(holds, statements)),
            Block::Figure => drop(self.lines::<tree::Callout>(holds, statements)),
            Block::Flow => drop(self.flow(statements)),
            Block::Choose => drop(self.lines::<tree::Arm>(holds, statements)),
            Block::Step => drop(self.lines::<tree::StepLine>(holds, statements)),
            Block::Check => drop(self.lines::<flow::CheckLine>(holds, statements)),
            Block::Message => drop(self.lines::<fields::MessageLine>(holds, statements)),
            Block::Handover => drop(self.lines::<tree::HandoverLine>(holds, statements)),
            Block::Unknown => {}
        }
    }

    /// Keeps every word of a place that could not be read: it may be a name. Letters that look like others are taken for
    /// those, as the writer did.
    fn put_aside_names(&mut self, start: u32, end: u32) {
        const MOST: usize = 10_000;
        let piece = self.slice(start, end);
        let mut from = None;
        for (at, c) in piece.char_indices().chain([(piece.len(), ' ')]) {
            match (c.is_alphanumeric() || c == '-' || is_dash(c), from) {
                (true, None) => from = Some(at),
                (false, Some(first)) => {
                    if self.unread.len() < MOST {
                        let span = self.span(start + first as u32, start + at as u32);
                        self.unread.push(tree::Name { text: plain_word(&piece[first..at]), span });
                    }
                    from = None;
                }
                _ => {}
            }
        }
    }
}

/// Whether the place is inside a word that goes on with a letter which names do not use. What stands before it is then no
/// name, but half of one.
fn ends_within_a_word(text: &str, at: usize) -> bool {
    let before = text.get(..at).and_then(|before| before.chars().next_back());
    let next = text.get(at..).and_then(|rest| rest.chars().next());
    before.is_some_and(|c| c.is_alphanumeric() || c == '-') && next.is_some_and(|c| !c.is_ascii())
}

/// Whether a form has a block.
pub(super) fn body_kind(block: Block, pair: &Pair<'_, Rule>) -> Body {
    match (block, pair.as_rule()) {
        (Block::Choose, _) => Body::Must(Block::Flow),
        (_, Rule::value) | (Block::Check, Rule::else_stop) => Body::None,
        (Block::Check, Rule::else_go_on) => Body::May(Block::Flow),
        // What happens in it stands in a library.
        (_, Rule::section) if pair.clone().into_inner().any(|part| part.as_rule() == Rule::brought) => Body::None,
        _ => forms::find(block, word_at(pair.as_str())).map_or(Body::None, |form| form.body),
    }
}

/// The forms of some words: usually one, several in a one-line block.
pub(super) fn forms_of<'a>(block: Block, head: &'a str, base: i64) -> Result<Vec<Pair<'a, Rule>>, Failed> {
    if let Some(at) = limits::bracket_too_deep(head) {
        return Err(Failed { at: at_base(base, at), expected: Vec::new() });
    }
    // The rule of the first word alone is the fast way; the block's rule knows all others, and what would have fitted.
    if let Some(form) = forms::find(block, word_at(head))
        && let Some(pair) = Grammar::parse(form.rule, head).ok().and_then(|mut pairs| pairs.next())
        && pair.as_str().trim_end().len() == head.len()
    {
        return Ok(vec![pair]);
    }
    let Some(rule) = block.rule() else { return Err(Failed { at: at_base(base, 0), expected: Vec::new() }) };
    match Grammar::parse(rule, head) {
        Ok(mut pairs) => Ok(pairs
            .next()
            .map(|whole| whole.into_inner().filter(|pair| !matches!(pair.as_rule(), Rule::EOI | Rule::comma)).collect())
            .unwrap_or_default()),
        Err(error) => {
            let at = match error.location {
                pest::error::InputLocation::Pos(at) | pest::error::InputLocation::Span((at, _)) => at,
            };
            let expected = match error.variant {
                pest::error::ErrorVariant::ParsingError { positives, .. } => positives,
                pest::error::ErrorVariant::CustomError { .. } => Vec::new(),
            };
            Err(Failed { at: at_base(base, at), expected })
        }
    }
}

fn at_base(base: i64, at: usize) -> usize {
    usize::try_from(base + at as i64).unwrap_or(0)
}

fn len(word: &str) -> u32 {
    u32::try_from(word.len()).unwrap_or(u32::MAX)
}

/// Reports a code at a place with a repair: the usual shape of a finding in this module.
pub(super) fn fault(code: Code, message: String, at: Span, label: &str, repair: String) -> Finding {
    Finding::new(code, message, at, label).repair(repair)
}
