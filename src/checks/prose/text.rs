//! What people read of a procedure, each text in tokens with their places.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use crate::model::{
    CheckElse, Choice, ChoiceKind, HandoverLine, Line, LineKind, Mention, Naming, Node, Procedure, Prose, Said,
};
use crate::model::{StepId, Tightness, walk};
use crate::prose::{self, MENTION, Passage};
use crate::source::Span;

/// What sort of text it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sort {
    /// Prose of a step: what is done.
    Instruction,
    /// Other prose.
    Prose,
    /// A note, a stop, what is shown, kept or thrown away.
    Told,
    /// The part of a safety message that says how not to be hurt.
    Avoid,
    /// The parts of a safety message that say what can hurt, and how badly.
    Danger,
    /// The title of a step, check or section.
    Heading,
    /// The question of an observation.
    Question,
    /// What can be seen of a joint that is tight.
    Tight,
    /// The title of a thing.
    Title,
}

/// A text in tokens.
pub(super) struct Text<'p> {
    pub sort: Sort,
    /// The step that it belongs to.
    pub step: Option<StepId>,
    pub words: Arc<str>,
    pub tokens: Vec<Token>,
    pub mentions: &'p [Mention],
    /// Where each token stands.
    places: Vec<Span>,
    sentences: OnceCell<Vec<Range<usize>>>,
}

/// What each step says is done, in the order of the text.
pub(super) fn instructions<'t, 'p>(texts: &'t [Text<'p>]) -> BTreeMap<StepId, Vec<&'t Text<'p>>> {
    let mut by_step = BTreeMap::<StepId, Vec<&Text<'_>>>::new();
    for text in texts.iter().filter(|text| text.sort == Sort::Instruction) {
        if let Some(step) = text.step {
            by_step.entry(step).or_default().push(text);
        }
    }
    by_step
}

/// Whether a sentence stands in a line.
pub(super) fn stands_in(sentence: Span, line: Span) -> bool {
    line.file == sentence.file && line.range().contains(&sentence.range().start)
}

/// A piece of a text that is not parted further.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Token {
    pub kind: TokenKind,
    /// In the words of the text.
    pub range: Range<usize>,
    /// What it says in small letters, where that is something else. Each rule asks for it, of each token.
    small: Option<Box<str>>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TokenKind {
    /// Begins with a letter; may hold digits, hyphens and what joins parts of a unit.
    Word,
    /// `22`, `6.4`, `9/16`, `3 1/2`, `1-1/2`
    Number,
    /// A mention, by its number among those of the text.
    Mention(usize),
    /// Anything else.
    Sign,
}

impl Text<'_> {
    /// What a token says.
    pub fn word(&self, at: usize) -> &str {
        self.tokens.get(at).and_then(|token| self.words.get(token.range.clone())).unwrap_or_default()
    }

    /// The same in small letters.
    pub fn lower(&self, at: usize) -> &str {
        self.tokens.get(at).and_then(|token| token.small.as_deref()).unwrap_or_else(|| self.word(at))
    }

    pub fn kind(&self, at: usize) -> Option<TokenKind> {
        self.tokens.get(at).map(|token| token.kind)
    }

    pub fn is_sign(&self, at: usize, sign: &str) -> bool {
        self.kind(at) == Some(TokenKind::Sign) && self.word(at) == sign
    }

    /// The mention that a token is.
    pub fn mention(&self, at: usize) -> Option<&Mention> {
        match self.kind(at)? {
            TokenKind::Mention(number) => self.mentions.get(number),
            _ => None,
        }
    }

    /// Whether nothing stands between a token and the one before it.
    pub fn is_joined(&self, at: usize) -> bool {
        let before = at.checked_sub(1).and_then(|before| self.tokens.get(before));
        before.zip(self.tokens.get(at)).is_some_and(|(before, token)| before.range.end == token.range.start)
    }

    /// The words of a run of tokens, as written.
    pub fn slice(&self, run: &Range<usize>) -> &str {
        let last = run.end.checked_sub(1).and_then(|last| self.tokens.get(last));
        let both = self.tokens.get(run.start).zip(last);
        both.and_then(|(first, last)| self.words.get(first.range.start..last.range.end)).unwrap_or_default()
    }

    /// Where a run of tokens stands.
    pub fn place(&self, run: &Range<usize>) -> Option<Span> {
        let first = *self.places.get(run.start)?;
        let last = run.end.checked_sub(1).and_then(|last| self.places.get(last)).copied().unwrap_or(first);
        Some(first.to(last))
    }

    /// The sentences, as runs of tokens.
    pub fn sentences(&self) -> &[Range<usize>] {
        self.sentences.get_or_init(|| self.cut())
    }

    fn cut(&self) -> Vec<Range<usize>> {
        let mut all = Vec::new();
        let mut start = 0;
        for at in 0..self.tokens.len() {
            if self.ends_a_sentence(at) {
                all.push(start..at + 1);
                start = at + 1;
            }
        }
        all.push(start..self.tokens.len());
        all.retain(|run| run.clone().any(|at| self.kind(at) != Some(TokenKind::Sign)));
        all
    }

    /// The sentence that a token belongs to.
    pub fn sentence_of(&self, at: usize) -> Option<Range<usize>> {
        self.sentences().iter().find(|sentence| sentence.contains(&at)).cloned()
    }

    fn ends_a_sentence(&self, at: usize) -> bool {
        if self.is_sign(at, "!") || self.is_sign(at, "?") {
            return true;
        }
        if !self.is_sign(at, ".") {
            return false;
        }
        let before = at.checked_sub(1).map(|before| self.lower(before)).unwrap_or_default();
        let next = self.word(at + 1).chars().next();
        // `No. 3`, `Fig. 2`, `approx. 4`, `ft. of`: a short form, unless a sentence clearly begins after it.
        let short = SHORT_FORMS.contains(&before);
        match next {
            None => true,
            Some(next) if next.is_lowercase() => false,
            Some(next) if next.is_ascii_digit() => !short && !self.is_joined(at + 1),
            Some('(' | ',' | ';' | '-' | '/') => false,
            Some(_) => !short || UNIT_SHORT_FORMS.contains(&before),
        }
    }
}

/// Words that are cut short by a dot.
const SHORT_FORMS: &[&str] = &[
    "no", "nos", "fig", "figs", "para", "approx", "vs", "e.g", "i.e", "ref", "min", "max", "dia", "app", "appx",
    "incl", "st", "dept", "in", "ft", "lb", "lbs", "oz", "qt", "gal", "yd", "pt", "sec", "hr", "mi",
];

/// Those of units, with which a sentence may well end.
const UNIT_SHORT_FORMS: &[&str] =
    &["in", "ft", "lb", "lbs", "oz", "qt", "gal", "yd", "pt", "sec", "hr", "mi", "min", "max"];

/// All texts of a procedure that people read, in the order of the text as far as it has one.
pub(super) fn all(procedure: &Procedure) -> Vec<Text<'_>> {
    let mut found = Vec::new();
    procedure.about.prose.iter().for_each(|prose| of_prose(prose, Sort::Prose, None, &mut found));
    for limit in procedure.limits.rows() {
        limit.otherwise.iter().for_each(|said| of_said(said, Sort::Told, None, &mut found));
    }
    for choice in procedure.choices.rows() {
        question(choice, &mut found);
    }
    for joint in procedure.joints.rows() {
        if let Tightness::Seen(words, span) = &joint.tightness {
            found.push(plain(words, Sort::Tight, None, *span));
        }
    }
    for section in &procedure.sections {
        found.push(plain(&section.name.title, Sort::Heading, None, section.name.span));
        for node in walk(&section.body) {
            of_node(procedure, node, &mut found);
        }
    }
    found
}

/// The titles of all that the file declares, and the words of values and points.
pub(super) fn titles(procedure: &Procedure) -> Vec<Text<'_>> {
    let mut names: Vec<&Naming> = vec![&procedure.name];
    names.extend(procedure.parts.rows().iter().map(|row| &row.name));
    names.extend(procedure.tools.rows().iter().map(|row| &row.name));
    names.extend(procedure.protections.rows().iter().map(|row| &row.name));
    names.extend(procedure.joints.rows().iter().map(|row| &row.name));
    names.extend(procedure.circuits.rows().iter().map(|row| &row.name));
    names.extend(procedure.choices.rows().iter().map(|row| &row.name));
    names.extend(procedure.numbers.rows().iter().map(|row| &row.name));
    names.extend(procedure.limits.rows().iter().map(|row| &row.name));
    let names = names.into_iter().filter(|name| !name.from_library).map(|name| (&name.title, name.span));
    let values = procedure.choices.rows().iter().flat_map(|choice| &choice.values);
    let values = values.chain(procedure.states.rows().iter().flat_map(|state| &state.values));
    let points = procedure.circuits.rows().iter().flat_map(|circuit| circuit.points.rows());
    let all = names.chain(values.map(|value| (&value.label, value.span)));
    let all = all.chain(points.map(|point| (&point.title, point.span)));
    all.map(|(words, span)| plain(words, Sort::Title, None, span)).collect()
}

fn question<'p>(choice: &'p Choice, found: &mut Vec<Text<'p>>) {
    if choice.kind == ChoiceKind::Observe && !choice.name.from_library {
        found.push(plain(&choice.name.title, Sort::Question, None, choice.name.span));
    }
}

fn of_node<'p>(procedure: &'p Procedure, node: &'p Node, found: &mut Vec<Text<'p>>) {
    if let Some(step) = node.step() {
        let row = &procedure.steps[step];
        found.push(plain(&row.name.title, Sort::Heading, Some(step), row.name.span));
        row.lines.iter().for_each(|line| of_line(line, step, found));
    }
    match node {
        Node::Check(check) => match &check.otherwise {
            CheckElse::Stop(stop) => of_said(&stop.text, Sort::Told, None, found),
            CheckElse::GoOn(said, _) => of_said(said, Sort::Told, None, found),
        },
        Node::Stop(stop) => of_said(&stop.text, Sort::Told, None, found),
        Node::Handover(handover) => handover.lines.iter().for_each(|line| match line {
            HandoverLine::Prose(prose) => of_prose(prose, Sort::Prose, None, found),
            HandoverLine::Show(said)
            | HandoverLine::Keep(said)
            | HandoverLine::Dispose(said)
            | HandoverLine::Note(said) => of_said(said, Sort::Told, None, found),
            HandoverLine::Sign(_) => {}
        }),
        _ => {}
    }
}

fn of_line<'p>(line: &'p Line, step: StepId, found: &mut Vec<Text<'p>>) {
    match &line.kind {
        // What must be so is no instruction.
        LineKind::Prose(prose) if prose.sure => of_prose(prose, Sort::Told, Some(step), found),
        LineKind::Prose(prose) => of_prose(prose, Sort::Instruction, Some(step), found),
        LineKind::Note(said) => of_said(said, Sort::Told, Some(step), found),
        LineKind::Wait(wait) => of_said(&wait.until, Sort::Told, Some(step), found),
        LineKind::Message(message) => {
            of_said(&message.nature, Sort::Danger, Some(step), found);
            of_said(&message.consequence, Sort::Danger, Some(step), found);
            of_said(&message.avoid, Sort::Avoid, Some(step), found);
        }
        _ => {}
    }
}

fn of_prose<'p>(prose: &'p Prose, sort: Sort, step: Option<StepId>, found: &mut Vec<Text<'p>>) {
    let mut starts = Vec::new();
    let mut before = 0;
    for line in prose.markdown.split('\n') {
        starts.push(before);
        before += line.len() + 1;
    }
    let place = |range: Range<usize>| {
        let line = starts.partition_point(|start| *start <= range.start).checked_sub(1)?;
        // In a tailored procedure a line may be longer than it was written.
        let (from, written) = (starts.get(line)?, prose.lines.get(line)?);
        let at = |byte: usize| (written.start as usize + byte.saturating_sub(*from)).min(written.end as usize);
        Some(Span::new(written.file, at(range.start), at(range.end)))
    };
    passages(&prose.markdown, &prose.mentions, sort, step, place, found);
}

fn of_said<'p>(said: &'p Said, sort: Sort, step: Option<StepId>, found: &mut Vec<Text<'p>>) {
    passages(&said.text, &said.mentions, sort, step, |range| said.place_of(range), found);
}

/// A paragraph is looked at in pieces of so many tokens: nobody writes a longer one, and what is asked of a sentence looks through its
/// paragraph.
const MOST_TOKENS: usize = 1_000;

fn passages<'p>(
    markdown: &str,
    mut mentions: &'p [Mention],
    sort: Sort,
    step: Option<StepId>,
    place: impl Fn(Range<usize>) -> Option<Span>,
    found: &mut Vec<Text<'p>>,
) {
    for passage in prose::passages(markdown) {
        let here = passage.text.matches(MENTION).count().min(mentions.len());
        let (own, rest) = mentions.split_at(here);
        mentions = rest;
        let words: Arc<str> = passage.text.as_str().into();
        for tokens in tokens(&passage.text).chunks(MOST_TOKENS) {
            let places =
                tokens.iter().filter_map(|token| place_of(token, &passage, own, &place)).collect::<Vec<Span>>();
            // A text whose places are not known can't be shown.
            if places.len() == tokens.len() {
                let (words, tokens) = (Arc::clone(&words), tokens.to_vec());
                found.push(Text { sort, step, words, tokens, mentions: own, places, sentences: OnceCell::new() });
            }
        }
    }
}

fn place_of(
    token: &Token,
    passage: &Passage,
    mentions: &[Mention],
    place: impl Fn(Range<usize>) -> Option<Span>,
) -> Option<Span> {
    if let TokenKind::Mention(number) = token.kind
        && let Some(mention) = mentions.get(number)
    {
        return Some(mention.span);
    }
    let from = passage.origin(token.range.start);
    place(from..from + token.range.len())
}

/// A text without marks or mentions, all of which stands at one place.
pub(super) fn plain<'p>(words: &str, sort: Sort, step: Option<StepId>, at: Span) -> Text<'p> {
    let tokens = tokens(words);
    let places = vec![at; tokens.len()];
    Text { sort, step, words: words.into(), tokens, mentions: &[], places, sentences: OnceCell::new() }
}

/// What joins the parts of a word or unit, where a letter or digit follows at once.
fn joins(c: char) -> bool {
    matches!(c, '-' | '\u{2011}' | '\'' | '’' | '·' | '⋅' | '•' | '.' | '/' | '_' | '&' | '²' | '³' | '^')
}

/// Cuts a text into tokens.
fn tokens(words: &str) -> Vec<Token> {
    let mut found = Vec::new();
    let mut mentions = 0;
    let mut at = 0;
    while let Some(first) = words.get(at..).and_then(|rest| rest.chars().next()) {
        let rest = words.get(at..).unwrap_or_default();
        let (kind, length) = if first == MENTION {
            mentions += 1;
            (Some(TokenKind::Mention(mentions - 1)), first.len_utf8())
        } else if first.is_ascii_digit() {
            (Some(TokenKind::Number), number(rest))
        } else if first.is_alphabetic() || matches!(first, '°' | 'µ' | 'μ' | 'Ω' | '%') {
            (Some(TokenKind::Word), word(rest))
        } else if first.is_whitespace() {
            (None, first.len_utf8())
        } else {
            (Some(TokenKind::Sign), first.len_utf8())
        };
        let small = rest.get(..length).and_then(small);
        found.extend(kind.map(|kind| Token { kind, range: at..at + length, small }));
        at += length.max(1);
    }
    found
}

/// A word in small letters, where it has others.
fn small(word: &str) -> Option<Box<str>> {
    // Most words have none, and nothing is written for them.
    if word.bytes().all(|byte| byte.is_ascii() && !byte.is_ascii_uppercase()) {
        return None;
    }
    let small = word.to_lowercase();
    (small != word).then(|| small.into())
}

/// How long the word is with which a text begins.
fn word(text: &str) -> usize {
    let mut letters = text.char_indices().peekable();
    let mut end = 0;
    while let Some((at, c)) = letters.next() {
        let next = letters.peek().map(|(_, next)| *next);
        let goes_on = at == 0
            || c.is_alphanumeric()
            || matches!(c, '²' | '³' | '°')
            || (joins(c) && next.is_some_and(char::is_alphanumeric));
        if !goes_on {
            break;
        }
        end = at + c.len_utf8();
    }
    end
}

/// How long the number is with which a text begins: digits, then a fraction, alone or after a blank or hyphen.
fn number(text: &str) -> usize {
    let digits = |from: usize| text.get(from..).unwrap_or_default().bytes().take_while(u8::is_ascii_digit).count();
    let is = |at: usize, wanted: &[u8]| text.as_bytes().get(at).is_some_and(|byte| wanted.contains(byte));
    let mut end = digits(0);
    while is(end, b".,") && digits(end + 1) > 0 {
        end += 1 + digits(end + 1);
    }
    if is(end, b"/") && digits(end + 1) > 0 {
        return end + 1 + digits(end + 1);
    }
    let top = digits(end + 1);
    if is(end, b" -") && top > 0 && is(end + 1 + top, b"/") && digits(end + 2 + top) > 0 {
        let below = digits(end + 2 + top);
        // `6 1/2` is a mixed number, `1/2-13` and `24 30/31` are not.
        let value = |from: usize, length: usize| text.get(from..from + length).and_then(|it| it.parse::<u64>().ok());
        if value(end + 1, top) < value(end + 2 + top, below) {
            return end + 2 + top + below;
        }
    }
    end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::FileId;

    fn cut(words: &str) -> Vec<String> {
        tokens(words).into_iter().map(|token| words[token.range].to_owned()).collect()
    }

    #[test]
    fn texts_are_cut_where_a_reader_would() {
        assert_eq!(
            cut("Set M8x1.25 to 1-1/2 in., 3 1/2\" and 20-24 N·m."),
            ["Set", "M8x1.25", "to", "1-1/2", "in", ".", ",", "3 1/2", "\"", "and", "20", "-", "24", "N·m", "."]
        );
        assert_eq!(cut("7-16 in at 60°C, 5%"), ["7", "-", "16", "in", "at", "60", "°C", ",", "5", "%"]);
    }

    #[test]
    fn sentences_end_where_a_reader_stops() {
        let text =
            plain("Lay 3 ft. of hose. See No. 4. It is 2 in. Stop!", Sort::Told, None, Span::new(FileId::new(0), 0, 1));
        let found: Vec<&str> = text.sentences().iter().map(|run| text.slice(run)).collect();
        assert_eq!(found, ["Lay 3 ft. of hose.", "See No. 4.", "It is 2 in.", "Stop!"]);
    }
}
