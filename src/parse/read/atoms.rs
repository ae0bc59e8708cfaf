//! The smallest things that are read: places, names, texts, amounts and measures.

use crate::parse::tree;
use crate::source::{FileId, Span};
use fitwright_grammar::Rule;
use pest::iterators::Pair;

/// Where the text that was read stands in its file.
#[derive(Debug, Clone, Copy)]
pub(in crate::parse) struct Origin {
    pub file: FileId,
    /// What to add to a place in the text; negative where a misspelt first word was shorter than the right one.
    pub base: i64,
}

impl Origin {
    /// Where a pair stands, blanks at its end not counted.
    pub fn span(self, pair: &Pair<'_, Rule>) -> Span {
        let start = pair.as_span().start();
        let end = start + pair.as_str().trim_end().len();
        let place = |at: usize| usize::try_from(self.base + at as i64).unwrap_or(0);
        Span::new(self.file, place(start), place(end))
    }

    pub fn name(self, pair: &Pair<'_, Rule>) -> tree::Name {
        // `foot  of front-left` is one name, however many blanks stand in it.
        let text = pair.as_str().split_whitespace().collect::<Vec<_>>().join(" ");
        tree::Name { text, span: self.span(pair) }
    }

    pub fn number(self, pair: &Pair<'_, Rule>) -> tree::Number {
        tree::Number { text: pair.as_str().trim_end().to_string(), span: self.span(pair) }
    }

    pub fn text(self, pair: &Pair<'_, Rule>) -> tree::Text {
        let inside = pair.as_str().strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or("");
        let value = if inside.contains('\\') { unescape(inside) } else { inside.to_string() };
        tree::Text { value, span: self.span(pair) }
    }
}

/// Undoes `\"` and `\\`; any other backslash stays.
fn unescape(inside: &str) -> String {
    let mut value = String::with_capacity(inside.len());
    let mut rest = inside.chars().peekable();
    while let Some(c) = rest.next() {
        if c == '\\' && matches!(rest.peek(), Some('"' | '\\')) {
            value.extend(rest.next());
        } else {
            value.push(c);
        }
    }
    value
}

/// A quantity, from the rule `measure`.
pub(in crate::parse) fn measure(origin: Origin, pair: Pair<'_, Rule>) -> Option<tree::Measure> {
    let span = origin.span(&pair);
    let inner = pair.into_inner().next()?;
    let rule = inner.as_rule();
    let mut amounts = Vec::new();
    let mut range = false;
    for part in inner.into_inner() {
        match part.as_rule() {
            Rule::amount => amounts.extend(amount(origin, part)),
            Rule::tolerance | Rule::up_to => {
                range = part.as_rule() == Rule::up_to;
                let second = part.into_inner().find(|p| p.as_rule() == Rule::amount);
                amounts.extend(second.and_then(|p| amount(origin, p)));
            }
            _ => {}
        }
    }
    let mut amounts = amounts.into_iter();
    let first = amounts.next()?;
    let form = match (rule, amounts.next()) {
        (Rule::at_least, _) => tree::MeasureForm::AtLeast(first),
        (Rule::at_most, _) => tree::MeasureForm::AtMost(first),
        (Rule::over, _) => tree::MeasureForm::Over(first),
        (Rule::below, _) => tree::MeasureForm::Below(first),
        (_, Some(second)) if range => tree::MeasureForm::Range(first, second),
        (_, Some(second)) => tree::MeasureForm::Tolerance(first, second),
        (_, None) => tree::MeasureForm::Exact(first),
    };
    Some(tree::Measure { form, span })
}

/// A number with its unit.
pub(super) fn amount(origin: Origin, pair: Pair<'_, Rule>) -> Option<tree::Amount> {
    let span = origin.span(&pair);
    let mut number = None;
    let mut unit = None;
    for part in pair.into_inner() {
        match part.as_rule() {
            Rule::number => number = Some(origin.number(&part)),
            Rule::unit => unit = Some(origin.name(&part)),
            _ => {}
        }
    }
    Some(tree::Amount { number: number?, unit, span })
}
