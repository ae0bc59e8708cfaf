//! From events to statements in blocks, whatever braces are lost or left over.
//!
//! A *plan* says how the braces are read: which blocks are closed although their `}` is missing, which `}` belong to
//! nothing, where a `{` is missing. Where the braces match, the plan is empty. Where they do not, two more readings are
//! tried, one that trusts the indentation and one that trusts the words which begin a section or a step, and the
//! reading with the fewest faults wins: one lost brace then gives one message, at the block that lost it.

use super::forms::{self, Block};
use super::limits;
use super::report::Findings;
use super::scan::{Event, EventKind};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::source::{FileId, Span};

/// A statement: its words, and its block if it has one.
#[derive(Debug, Default)]
pub struct Statement {
    /// First byte of the words; the brace's where there are none.
    pub start: u32,
    /// One past the last byte of the words.
    pub end: u32,
    /// Whether it is a prose line.
    pub prose: bool,
    /// Line of its first word, from 0.
    pub line: u32,
    /// Whether something in its words has been reported already, so that nothing more is said when they cannot be read.
    pub faulty: bool,
    /// What stands in its braces.
    pub block: Option<Braces>,
}

/// A block.
#[derive(Debug, Default)]
pub struct Braces {
    /// The `{`.
    pub open: u32,
    /// One past the `}`, or past the last statement where it is missing.
    pub close: u32,
    /// What stands in it.
    pub statements: Vec<Statement>,
}

impl Statement {
    /// One past its last byte, block included.
    pub fn whole_end(&self) -> u32 {
        self.block.as_ref().map_or(self.end, |block| block.close.max(self.end))
    }
}

/// How the braces are read.
#[derive(Debug, Default)]
struct Plan {
    /// Blocks whose `}` is missing: before which event they end, and the event that opened them.
    lost: Vec<(usize, usize)>,
    /// `}` that belong to nothing.
    extra: Vec<usize>,
    /// Of these, the ones that end lines which are indented as if in a block: the first of the lines, and the `}`.
    headless: Vec<(usize, usize)>,
    /// Words after which a `{` is missing.
    unopened: Vec<usize>,
    /// Statements that this reading leaves in a place where they cannot stand.
    misplaced: usize,
}

impl Plan {
    fn cost(&self) -> usize {
        // Where the `{` is missing too, the `}` is no fault of its own.
        let lost = self.lost.iter().filter(|(_, opener)| self.unopened.binary_search(opener).is_err()).count();
        lost + self.extra.len() + self.unopened.len() + self.misplaced
    }
}

/// What a reading trusts where braces do not match.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Trust {
    Braces,
    Indentation,
    Words,
}

/// Builds the statements of a file and reports the braces that do not match.
pub(super) fn build(file: FileId, text: &str, events: &[Event], findings: &mut Findings) -> Vec<Statement> {
    let strict = Reading::new(text, events, Trust::Braces).run();
    let matched = strict.lost.is_empty() && strict.extra.is_empty();
    let mut plan = strict;
    if plan.cost() > 0 {
        for trust in [Trust::Indentation, Trust::Words] {
            // Where every brace has its partner, a word out of place is no sign of a lost one.
            if matched && trust == Trust::Words {
                continue;
            }
            let other = Reading::new(text, events, trust).run();
            let better = other.cost() < plan.cost();
            if better || (trust == Trust::Indentation && !matched && other.cost() == plan.cost()) {
                plan = other;
            }
        }
    }
    report(file, text, events, &plan, findings);
    Builder { text, events, plan: &plan }.run()
}

/// One way through the events.
struct Reading<'t> {
    text: &'t str,
    events: &'t [Event],
    trust: Trust,
    plan: Plan,
    open: Vec<Frame>,
    /// The section whose list the words before end with a comma of.
    expecting: Option<usize>,
    /// The section that the words before belong to, where they go on with its list.
    goes_on: Option<usize>,
}

struct Frame {
    event: usize,
    indent: u32,
    line: u32,
    holds: Block,
}

impl<'t> Reading<'t> {
    fn new(text: &'t str, events: &'t [Event], trust: Trust) -> Self {
        Reading { text, events, trust, plan: Plan::default(), open: Vec::new(), expecting: None, goes_on: None }
    }

    fn run(mut self) -> Plan {
        for (at, event) in self.events.iter().enumerate() {
            match event.kind {
                EventKind::Words => self.words(at, event),
                EventKind::Prose => {
                    (self.expecting, self.goes_on) = (None, None);
                    self.dedent(at, event);
                }
                EventKind::Open => {
                    let holds = self.block_opened_at(at);
                    (self.expecting, self.goes_on) = (None, None);
                    self.open.push(Frame { event: at, indent: event.indent, line: event.line, holds });
                }
                EventKind::Close => {
                    (self.expecting, self.goes_on) = (None, None);
                    self.close(at, event);
                }
            }
        }
        while !self.open.is_empty() {
            self.lose(self.events.len());
        }
        self.plan
    }

    fn holds(&self) -> Block {
        self.open.last().map_or(Block::File, |frame| frame.holds)
    }

    fn lose(&mut self, before: usize) {
        if let Some(frame) = self.open.pop() {
            self.plan.lost.push((before, frame.event));
        }
    }

    /// Notes whether words go on with what the section before them expects; their first word is no statement's then.
    fn follow_section(&mut self, at: usize, event: &Event) {
        let goes_on = self.expecting.filter(|_| event.leads);
        let begins = || (event.leads && first_word(self.text, event) == "section").then_some(at);
        let head = goes_on.or_else(begins);
        self.expecting = head.filter(|_| ends_with_comma(self.text, event.end));
        self.goes_on = goes_on;
    }

    fn words(&mut self, at: usize, event: &Event) {
        self.follow_section(at, event);
        if self.goes_on.is_some() {
            return;
        }
        let word = first_word(self.text, event);
        self.dedent(at, event);
        if event.leads && self.trust == Trust::Words {
            match forms::anchor(word) {
                Some(Block::File) => {
                    while !self.open.is_empty() {
                        self.lose(at);
                    }
                }
                Some(Block::Flow) => {
                    while !self.open.is_empty() && self.holds() != Block::Flow {
                        self.lose(at);
                    }
                }
                _ => {}
            }
        }
        if event.leads && forms::anchor(word).is_some_and(|home| home != self.holds()) {
            self.plan.misplaced += 2;
        }
        if !self.brace_is_missing_after(at, event, word) {
            return;
        }
        if self.trust == Trust::Indentation {
            self.plan.unopened.push(at);
            let holds = forms::body_of(self.holds(), word);
            self.open.push(Frame { event: at, indent: event.indent, line: event.line, holds });
        } else {
            // Every line of the block would be out of place.
            self.plan.misplaced += 2;
        }
    }

    /// Ends blocks whose lines are indented deeper than this one.
    fn dedent(&mut self, at: usize, event: &Event) {
        if self.trust != Trust::Indentation || !event.leads {
            return;
        }
        while self.open.last().is_some_and(|frame| frame.line < event.line && event.indent <= frame.indent) {
            self.lose(at);
        }
    }

    /// `step place "Place"` without a brace, and then lines that are indented deeper.
    fn brace_is_missing_after(&self, at: usize, event: &Event, word: &str) -> bool {
        event.leads
            && self.open.len() < limits::DEPTH
            && forms::needs_block(self.holds(), word)
            // `section wiring from lib/wiring.feed` ends with its line, and what a section expects may go on in the next.
            && !(word == "section" && (self.says_from(event) || ends_with_comma(self.text, event.end)))
            && self.events.get(at + 1).is_some_and(|next| {
                next.leads
                    && next.kind != EventKind::Open
                    && next.kind != EventKind::Close
                    && next.indent > event.indent
            })
    }

    fn says_from(&self, event: &Event) -> bool {
        let text = self.text.get(event.start as usize..event.end as usize).unwrap_or("");
        text.split('"').step_by(2).flat_map(str::split_whitespace).any(|word| word == "from")
    }

    fn close(&mut self, at: usize, event: &Event) {
        if self.trust == Trust::Indentation && event.leads {
            while self.open.last().is_some_and(|frame| frame.line < event.line && frame.indent > event.indent) {
                self.lose(at);
            }
            let early = self.events.get(at + 1).is_some_and(|next| self.goes_on_with(next, event));
            if early || self.open.last().is_none_or(|frame| frame.indent < event.indent) {
                let first = self.first_indented_line(at, event).filter(|_| !early);
                self.plan.headless.extend(first.map(|first| (first, at)));
                self.plan.extra.push(at);
                return;
            }
        }
        let other_line = self.open.last().is_some_and(|frame| frame.line != event.line);
        if self.trust == Trust::Indentation && !event.leads && other_line {
            self.plan.extra.push(at);
            return;
        }
        if self.open.pop().is_none() {
            self.plan.extra.push(at);
        }
    }

    /// Whether the block that a `}` closes goes on after it all the same: with a line that is indented as the block's own
    /// and belongs into it.
    fn goes_on_with(&self, next: &Event, brace: &Event) -> bool {
        let holds = self.holds();
        let fits = match next.kind {
            EventKind::Prose => holds.has_prose(),
            EventKind::Words => {
                let word = first_word(self.text, next);
                // `on` is the commonest name of a value too.
                let named = word == "on" && !word_after(self.text, next, word).starts_with("vehicle");
                forms::find(holds, word).is_some() && !named
                    || holds.begins_with_names() && forms::homes(word).next().is_none()
            }
            EventKind::Open | EventKind::Close => false,
        };
        fits && next.leads && next.indent > brace.indent
    }

    /// The first of the lines right before a `}` that are indented deeper than it and stand in no block of their own.
    fn first_indented_line(&self, close: usize, brace: &Event) -> Option<usize> {
        let inside = self.open.last().map_or(0, |frame| frame.event + 1);
        let lines = self.events.get(inside..close)?;
        let run = lines.iter().rev().take_while(|event| event.indent > brace.indent).count();
        (run > 0).then_some(close - run)
    }

    fn block_opened_at(&self, at: usize) -> Block {
        let head = self.goes_on.or_else(|| at.checked_sub(1)).and_then(|before| self.events.get(before));
        match head {
            Some(words) if words.kind == EventKind::Words => forms::body_of(self.holds(), first_word(self.text, words)),
            _ => Block::Unknown,
        }
    }
}

fn ends_with_comma(text: &str, end: u32) -> bool {
    text.as_bytes().get((end as usize).wrapping_sub(1)) == Some(&b',')
}

/// The first word of some words: letters, digits and hyphens.
pub fn first_word<'t>(text: &'t str, event: &Event) -> &'t str {
    word_at(text.get(event.start as usize..event.end as usize).unwrap_or(""))
}

/// What follows the first word of some words.
fn word_after<'t>(text: &'t str, event: &Event, word: &str) -> &'t str {
    let words = text.get(event.start as usize..event.end as usize).unwrap_or("");
    words.get(word.len()..).unwrap_or("").trim_start()
}

/// The word that a text begins with.
pub fn word_at(text: &str) -> &str {
    let end = text.find(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).unwrap_or(text.len());
    &text[..end]
}

/// Says what is wrong with the braces.
fn report(file: FileId, text: &str, events: &[Event], plan: &Plan, findings: &mut Findings) {
    let span = |event: &Event| Span::new(file, event.start as usize, event.end as usize);
    let end = Span::new(file, text.trim_end().len(), text.trim_end().len());
    for (before, opener) in &plan.lost {
        if plan.unopened.binary_search(opener).is_ok() {
            continue;
        }
        let Some(open) = events.get(*opener) else { continue };
        let name = head_of(text, events, *opener);
        let seen = events.get(*before).map_or(end, &span);
        let noticed =
            if events.get(*before).is_some() { "the block should end before this" } else { "the file ends here" };
        findings.push(
            Finding::new(
                Code::FW0102,
                format!("the block of {name} has no closing brace"),
                span(open),
                "opened here, and never closed",
            )
            .also(seen, noticed)
            .repair("Write `}` on a line of its own after the last line of the block.")
            .mend(Mend::look(
                "Close the block",
                match events.get(*before) {
                    Some(_) => Change::Before(seen, "}".to_string()),
                    None => Change::Write(seen, format!("\n{}}}", " ".repeat(open.indent as usize))),
                },
            )),
        );
    }
    for words in &plan.unopened {
        let Some(head) = events.get(*words) else { continue };
        let name = quoted_head(text, head);
        let at = Span::new(file, head.end as usize, head.end as usize);
        findings.push(
            Finding::new(Code::FW0103, format!("the block of {name} has no opening brace"), at, "`{` is missing here")
                .repair("Write `{` at the end of this line.")
                .mend(Mend::look("Write `{`", Change::Write(at, " {".to_string()))),
        );
    }
    for close in &plan.extra {
        let Some(brace) = events.get(*close) else { continue };
        findings.push_with(|| extra_brace(events, plan, *close, span(brace), &span));
    }
}

/// A `}` that belongs to nothing.
fn extra_brace(events: &[Event], plan: &Plan, close: usize, at: Span, span: &dyn Fn(&Event) -> Span) -> Finding {
    let message = "this brace closes nothing";
    let first = plan.headless.binary_search_by_key(&close, |(_, close)| *close).ok();
    let first = first.and_then(|at| plan.headless.get(at)).and_then(|(first, _)| events.get(*first));
    if let Some(first) = first {
        return Finding::new(Code::FW0103, message, at, "the first line of its block is missing")
            .also(span(first), "the block should begin before this")
            .repair("Write the first line of the block, such as `step NAME \"Title\" {`, above these lines.");
    }
    if events.get(close).is_some_and(|brace| !brace.leads) {
        return Finding::new(Code::FW0103, message, at, "its `{` is missing on this line")
            .repair("Write `{` where the block begins, or delete this brace.")
            .mend(Mend::look("Delete it", Change::Cut(at)));
    }
    Finding::new(Code::FW0103, message, at, "no block is open here that it could close")
        .repair("Delete it, or look above for a block that was closed too early.")
        .mend(Mend::look("Delete it", Change::Cut(at)))
}

fn head_of(text: &str, events: &[Event], opener: usize) -> String {
    match opener.checked_sub(1).and_then(|before| events.get(before)) {
        Some(words) if words.kind == EventKind::Words => quoted_head(text, words),
        _ => "this brace".to_string(),
    }
}

/// `step place-brackets`, without its title, in backquotes.
fn quoted_head(text: &str, words: &Event) -> String {
    let all = text.get(words.start as usize..words.end as usize).unwrap_or("");
    let short = all.split('"').next().unwrap_or(all).split(" when ").next().unwrap_or(all).trim_end();
    let cut: String = short.chars().take(60).collect();
    format!("`{cut}`")
}

/// Builds the statements by a plan.
struct Builder<'t> {
    text: &'t str,
    events: &'t [Event],
    plan: &'t Plan,
}

impl Builder<'_> {
    fn run(self) -> Vec<Statement> {
        let mut levels = vec![Level::new(Block::File, 0)];
        let mut lost = self.plan.lost.iter().peekable();
        let mut extra = self.plan.extra.iter().peekable();
        let mut headless = self.plan.headless.iter().peekable();
        let mut unopened = self.plan.unopened.iter().peekable();
        for (at, event) in self.events.iter().enumerate() {
            while lost.next_if(|(before, _)| *before == at).is_some() {
                close_level(&mut levels, None);
            }
            match event.kind {
                EventKind::Words => {
                    self.words(&mut levels, event);
                    if unopened.next_if_eq(&&at).is_some() {
                        self.open(&mut levels, event.end);
                    }
                }
                EventKind::Prose => {
                    let statement = Statement { prose: true, ..statement_of(event) };
                    last(&mut levels, |level| level.add(statement));
                }
                EventKind::Open => {
                    self.attach(&mut levels, event);
                    self.open(&mut levels, event.start);
                }
                EventKind::Close if extra.next_if_eq(&&at).is_some() => {
                    if let Some((first, _)) = headless.next_if(|(_, close)| *close == at) {
                        self.wrap_headless(&mut levels, *first, event.end);
                    } else {
                        hush_line(&mut levels, event);
                    }
                }
                EventKind::Close => close_level(&mut levels, Some(event.end)),
            }
        }
        while levels.len() > 1 {
            close_level(&mut levels, None);
        }
        levels.pop().map(|level| level.statements).unwrap_or_default()
    }

    /// Puts the lines of a block whose own first line is lost into a block of nothing: they were reported with its `}`.
    fn wrap_headless(&self, levels: &mut [Level], first: usize, close: u32) {
        let Some(open) = self.events.get(first).map(|event| event.start) else { return };
        last(levels, |level| {
            let at = level.statements.partition_point(|statement| statement.start < open);
            let statements = level.statements.split_off(at);
            let block = Some(Braces { open, close, statements });
            level.add(Statement { start: open, end: open, faulty: true, block, ..Statement::default() });
        });
    }

    /// New words: a statement of their own, or the rest of one that ends with a comma.
    fn words(&self, levels: &mut [Level], event: &Event) {
        last(levels, |level| {
            let holds = level.holds;
            if let Some(before) = level.statements.last_mut()
                && event.leads
                && before.block.is_none()
                && !before.prose
                && ends_with_comma(self.text, before.end)
                && (forms::find(holds, first_word(self.text, event)).is_none() || self.is_section(before))
            {
                before.end = event.end;
                before.faulty |= event.faulty;
                return;
            }
            level.add(statement_of(event));
        });
    }

    /// What a section expects begins with the words of other statements: `part harness`.
    fn is_section(&self, statement: &Statement) -> bool {
        word_at(self.text.get(statement.start as usize..statement.end as usize).unwrap_or("")) == "section"
    }

    /// A brace belongs to the words before it, on its line or on the line above, if they may have a block; alone it makes
    /// a statement without words.
    fn attach(&self, levels: &mut [Level], brace: &Event) {
        last(levels, |level| {
            let fits = level.statements.last().is_some_and(|before| {
                let head = self.text.get(before.start as usize..before.end as usize).unwrap_or("");
                let takes_one = !brace.leads || forms::may_have_block(level.holds, word_at(head));
                before.block.is_none() && !before.prose && takes_one
            });
            if !fits {
                level.add(Statement { end: brace.start, ..statement_of(brace) });
            }
        });
    }

    fn open(&self, levels: &mut Vec<Level>, open: u32) {
        let Some(level) = levels.last() else { return };
        let head =
            level.statements.last().map_or("", |s| self.text.get(s.start as usize..s.end as usize).unwrap_or(""));
        let holds = forms::body_of(level.holds, word_at(head));
        levels.push(Level::new(holds, open));
    }
}

/// One open block while it is built.
struct Level {
    holds: Block,
    open: u32,
    statements: Vec<Statement>,
}

impl Level {
    fn new(holds: Block, open: u32) -> Self {
        Level { holds, open, statements: Vec::new() }
    }

    fn add(&mut self, statement: Statement) {
        self.statements.push(statement);
    }
}

fn statement_of(event: &Event) -> Statement {
    Statement { start: event.start, end: event.end, prose: false, line: event.line, faulty: event.faulty, block: None }
}

/// A `}` too many within a line tells of a `{` that is lost there: the words before it are not judged.
fn hush_line(levels: &mut [Level], brace: &Event) {
    last(levels, |level| {
        if let Some(before) = level.statements.last_mut().filter(|before| !brace.leads && before.line == brace.line) {
            before.faulty = true;
        }
    });
}

fn last(levels: &mut [Level], work: impl FnOnce(&mut Level)) {
    if let Some(level) = levels.last_mut() {
        work(level);
    }
}

fn close_level(levels: &mut Vec<Level>, end: Option<u32>) {
    if levels.len() < 2 {
        return;
    }
    let Some(done) = levels.pop() else { return };
    let close = end.unwrap_or_else(|| done.statements.last().map_or(done.open + 1, Statement::whole_end));
    let braces = Braces { open: done.open, close, statements: done.statements };
    if let Some(owner) = levels.last_mut().and_then(|level| level.statements.last_mut()) {
        owner.block = Some(braces);
    }
}
