//! What there is to know of the thing at a place.

use super::{Desk, ROOT, Thing};
use crate::compile::Compiled;
use crate::parse::{fitting, forms};
use crate::quantity::display;
use crate::source::Span;

/// What to show of a place, in CommonMark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hover {
    /// What it is about.
    pub at: Span,
    /// The words.
    pub text: String,
}

/// So many lines of a declaration are shown.
const MOST_LINES: usize = 12;

impl Desk {
    /// What there is to know of the thing at this byte of the file: what a name is, with its calculation where `proved` has
    /// one; a quantity in other units; the form of a line.
    pub fn hover(&self, offset: usize, proved: Option<&Compiled>) -> Option<Hover> {
        if let Some((at, thing)) = self.thing_at(offset) {
            return Some(Hover { at, text: self.about(thing, proved) });
        }
        self.quantity_at(offset).or_else(|| self.word_at(offset))
    }

    fn about(&self, thing: Thing<'_>, proved: Option<&Compiled>) -> String {
        let mut text = match thing.title() {
            Some(title) => format!("**{}** · {} `{}`", escaped(title), thing.kind(), thing.name()),
            None => format!("{} `{}`", thing.kind(), thing.name()),
        };
        if let Some(library) = &thing.declared.library {
            text += &format!(", of `{library}`");
        }
        if thing.member.is_none() {
            text += &format!("\n\n```fitwright\n{}\n```", self.shown(thing.declared.statement));
        }
        let uses = self.places_of(thing).len().saturating_sub(1);
        text += &match uses {
            0 => "\n\nNothing here names it.".to_owned(),
            1 => "\n\nNamed once.".to_owned(),
            more => format!("\n\nNamed {more} times."),
        };
        let working = proved.filter(|_| thing.member.is_none()).and_then(|proved| proved.working(thing.name()));
        if let Some(working) = working {
            // The numbers; the formulas and their sources are told by `explain`.
            for line in working.lines.iter().filter(|line| !line.result.is_empty()) {
                text += &format!("\n- {}: **{}**", escaped(&line.what), escaped(&line.result));
            }
            text += &format!("\n\n`fitwright explain FILE {}` shows every line with its source.", thing.name());
        }
        text
    }

    /// The first lines of a statement.
    fn shown(&self, statement: Span) -> String {
        let text = self.sources.text(statement.whole());
        let mut lines: Vec<&str> = text.lines().take(MOST_LINES).collect();
        if text.lines().nth(MOST_LINES).is_some() {
            lines.push("  …");
        }
        fenced(&lines.join("\n"))
    }

    fn quantity_at(&self, offset: usize) -> Option<Hover> {
        let at = u32::try_from(offset).ok()?;
        let holds = |span: Span| span.file.whole() == ROOT && span.start <= at && at <= span.end;
        let measured = self.index.measured.iter().filter(|measured| holds(measured.at));
        let measured = measured.min_by_key(|measured| measured.at.end - measured.at.start)?;
        let kind = measured.measure.kind().name();
        let text = match self.otherwise(&measured.measure) {
            Some(other) => {
                format!("{kind}: {} = **{other}**", display::measure(&measured.measure, self.units().alone()))
            }
            None => format!("{kind}: {}", display::measure(&measured.measure, self.units().alone())),
        };
        Some(Hover { at: measured.at.whole(), text })
    }

    /// The form that a line's first word begins.
    fn word_at(&self, offset: usize) -> Option<Hover> {
        let text = &self.file()?.text;
        let is_letter = |c: char| c.is_alphanumeric() || c == '-';
        let start = text.get(..offset)?.rfind(|c| !is_letter(c)).map_or(0, |at| at + 1);
        let start = (start..=offset).find(|at| text.is_char_boundary(*at))?;
        let rest = text.get(start..)?;
        let word = rest.split(|c| !is_letter(c)).next().filter(|word| !word.is_empty())?;
        let place = fitting::at(text, start).filter(|place| place.before.trim().is_empty())?;
        let form = forms::find(place.block, word)?;
        let text = format!("`{}`\n\nFor example:\n\n```fitwright\n{}\n```", form.shape, form.example);
        Some(Hover { at: Span::new(ROOT, start, start + word.len()), text })
    }
}

/// A title within CommonMark.
fn escaped(title: &str) -> String {
    title.chars().fold(String::new(), |mut text, c| {
        if c.is_ascii_punctuation() {
            text.push('\\');
        }
        text.push(c);
        text
    })
}

/// A text between fences, which it must not end.
fn fenced(text: &str) -> String {
    text.replace("```", "'''")
}
