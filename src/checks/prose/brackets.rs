//! FW0112 of titles: they hold no mentions, so that square brackets are printed as they stand.

use super::Words;
use super::text::{Sort, Text, TokenKind};
use crate::diagnostics::{Code, Finding};
use crate::model::{Naming, Procedure};
use crate::quantity::Unit;

/// The most tokens between two brackets that are taken for one mention.
const MOST: usize = 8;

/// Brackets around the name of something declared, or around an amount. A mark such as `[F]` is only a mark.
pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    // The question of an observation is a title too.
    if !matches!(text.sort, Sort::Title | Sort::Heading | Sort::Tight) {
        return;
    }
    for open in (0..text.tokens.len()).filter(|at| text.is_sign(*at, "[")) {
        let Some(close) = (open + 1..text.tokens.len().min(open + MOST)).find(|at| text.is_sign(*at, "]")) else {
            continue;
        };
        let (within, run) = (text.slice(&(open + 1..close)), open..close + 1);
        let title = title_of(words.procedure, within);
        let ends_with_unit = Unit::lookup(text.word(close - 1)).is_some();
        let amount = ends_with_unit && (open + 1..close).any(|at| text.kind(at) == Some(TokenKind::Number));
        let Some(place) = text.place(&run).filter(|_| title.is_some() || amount) else { continue };
        let said = text.slice(&run);
        words.tell(
            Finding::new(
                Code::FW0112,
                format!("a title holds no mentions: `{said}` is printed as it stands"),
                place,
                "square brackets in a title",
            )
            .because("Mentions are read in prose and in what people are told; on the tablet a title is its words.")
            .repair(match title {
                Some(title) => format!("Write the words, `{title}`, or mention it in a sentence of the step."),
                None => format!("Write `{within}`, or mention it in a sentence of the step."),
            }),
        );
    }
}

/// The title of what has this name.
fn title_of<'p>(procedure: &'p Procedure, name: &str) -> Option<&'p str> {
    let parts = procedure.parts.rows().iter().map(|row| &row.name);
    let tools = procedure.tools.rows().iter().map(|row| &row.name);
    let joints = procedure.joints.rows().iter().map(|row| &row.name);
    let circuits = procedure.circuits.rows().iter().map(|row| &row.name);
    let choices = procedure.choices.rows().iter().map(|row| &row.name);
    let numbers = procedure.numbers.rows().iter().map(|row| &row.name);
    let worn = procedure.protections.rows().iter().map(|row| &row.name);
    let steps = procedure.steps.rows().iter().map(|row| &row.name);
    let mut all =
        parts.chain(tools).chain(joints).chain(circuits).chain(choices).chain(numbers).chain(worn).chain(steps);
    all.find(|own: &&Naming| own.id == name).map(|own| own.title.as_str())
}
