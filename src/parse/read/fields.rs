//! Lines of blocks that become fields of one node, and the rules that such fields follow: said once, said at all.

use super::parts::Parts;
use super::{Form, Line, Lines, Reader};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::parse::forms;
use crate::parse::tree::{Comparison, CountedName, Item, Measure, Name, Text, Value};
use crate::source::Span;
use fitwright_grammar::Rule;

/// A line of `given` or `measure`.
pub(super) enum NumberLine {
    Range(Measure),
    Reads(Measure),
    With(Name),
}

/// A line of `limit`.
pub(super) enum LimitLine {
    Holds(Option<Comparison>),
    Otherwise(Text),
}

/// A line of `option`, `observe`, `result` or `state`.
pub(super) enum ValueLine {
    Value(Value),
    Starts(Name),
    Ends(Name),
}

/// A line of a safety message.
pub(super) enum MessageLine {
    Nature(Text),
    Consequence(Text),
    Avoid(Text),
}

/// One line of a list of parts.
pub(super) struct Entries(pub Vec<CountedName>);

impl Line for NumberLine {
    fn read(_reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        let mut parts = Parts::of(form.origin, form.pair);
        Some(match rule {
            Rule::range => NumberLine::Range(parts.measure()?),
            Rule::reads => NumberLine::Reads(parts.measure()?),
            _ => NumberLine::With(parts.name()?),
        })
    }
}

impl Line for LimitLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        if form.pair.as_rule() == Rule::comparison {
            let mut findings = Vec::new();
            let comparison = super::condition::comparison(form.origin, form.pair, &mut findings);
            findings.into_iter().for_each(|finding| reader.report(finding));
            return Some(LimitLine::Holds(comparison));
        }
        Some(LimitLine::Otherwise(Parts::of(form.origin, form.pair).text()?))
    }
}

impl Line for ValueLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        let mut parts = Parts::of(form.origin, form.pair);
        let name = parts.name()?;
        Some(match rule {
            Rule::starts => ValueLine::Starts(name),
            Rule::ends => ValueLine::Ends(name),
            _ => {
                reader.new_name(&name);
                ValueLine::Value(Value { name, label: parts.text() })
            }
        })
    }
}

impl Line for MessageLine {
    fn read(_reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        let text = Parts::of(form.origin, form.pair).text()?;
        Some(match rule {
            Rule::message_hazard => MessageLine::Nature(text),
            Rule::message_consequence => MessageLine::Consequence(text),
            _ => MessageLine::Avoid(text),
        })
    }
}

impl Line for Entries {
    fn read(_reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let counted = super::parts::counted(form.origin, form.pair)?;
        Some(Entries(vec![counted]))
    }
}

impl Reader<'_> {
    /// Keeps the first line of each kind and reports the others. `kind` gives the words of a line that is said once.
    pub fn once<T>(&mut self, items: &mut Vec<Item<T>>, kind: impl Fn(&T) -> Option<&'static str>) {
        let mut seen: Vec<(&'static str, Span)> = Vec::new();
        let mut kept = Vec::with_capacity(items.len());
        for item in items.drain(..) {
            let Some(word) = kind(&item.node) else {
                kept.push(item);
                continue;
            };
            match seen.iter().find(|(known, _)| *known == word) {
                Some((_, first)) => {
                    let finding = Finding::new(
                        Code::FW0113,
                        format!("`{word}` is said twice in this block"),
                        item.span,
                        "said again here",
                    )
                    .also(*first, "said first here")
                    .because("Nobody could tell which of the two is meant.")
                    .repair("Keep the line that is right and delete the other.")
                    .mend([
                        Mend::look("Keep the first", Change::Drop(item.span)),
                        Mend::look("Keep the second", Change::Drop(*first)),
                    ]);
                    self.report(finding);
                }
                None => {
                    seen.push((word, item.span));
                    kept.push(item);
                }
            }
        }
        *items = kept;
    }

    /// Reports what a block must say and does not.
    pub fn missing(&mut self, owner: &str, name: &Name, lacks: [&str; 2], reason: &str, repair: &str) {
        let [lacks, label] = lacks;
        let finding =
            Finding::new(Code::FW0114, format!("the {owner} `{}` does not say {lacks}", name.text), name.span, label)
                .because(reason)
                .repair(repair);
        self.report(finding);
    }

    /// Judges a name where it is declared.
    pub fn new_name(&mut self, name: &Name) {
        let text = &name.text;
        if self.is_hushed(name.span) {
            return;
        }
        let plain = text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
        if !plain || text.contains("--") {
            let better = text.to_lowercase().replace('_', "-");
            let better = better.split('-').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-");
            self.report(
                Finding::new(
                    Code::FW0101,
                    format!("a name is written with small letters, digits and single hyphens; `{text}` is not"),
                    name.span,
                    "not in the form of a name",
                )
                .because("Names that differ only in such signs are easily mistaken for each other.")
                .repair(format!("Write `{better}`, here and wherever the name is used.")),
            );
        }
    }

    /// The lines of a block, or none where it is missing.
    pub fn body_lines<T: Line>(&mut self, block: forms::Block, form: &Form<'_>) -> Lines<T> {
        match form.body {
            Some(braces) => {
                let mut lines = self.lines(block, &braces.statements);
                lines.whole &= !form.torn;
                lines
            }
            // A block that must be there and is not has been reported.
            None => Lines { items: Vec::new(), whole: !form.torn && !form.must_have_body },
        }
    }
}
