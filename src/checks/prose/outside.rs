//! FW1201: a number with a unit that stands outside brackets.
//!
//! Only brackets make a quantity of it, which is then printed in both unit systems. Told of where that changes what is
//! printed: units that both systems use are not, and neither is what belongs to the name of a thing.

use super::Words;
use super::amounts::{self, Amount};
use super::text::{Sort, Text, TokenKind};
use crate::diagnostics::{Code, Confidence, Finding, Mend};
use crate::model::{DriveSize, Procedure};
use crate::quantity::{Measure, Quantity, display};

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    if !matches!(text.sort, Sort::Instruction | Sort::Prose | Sort::Told | Sort::Avoid | Sort::Danger | Sort::Heading) {
        return;
    }
    let amounts = amounts::of(text, words.english);
    for (at, amount) in amounts.iter().enumerate() {
        let by_hand = at > 0 && amounts.get(at - 1).is_some_and(|before| converts(text, before, amount));
        let Some(place) = text.place(&amount.run).filter(|place| !words.is_told(*place)) else { continue };
        if by_hand || !is_converted(words.procedure, amount) || amounts::names_a_thing(text, amount) {
            continue;
        }
        if is_size(words.procedure, amount) || (!words.english && before_a_word(text, amount)) {
            continue;
        }
        let written = text.slice(&amount.run).to_owned();
        words.tell(finding(words.procedure, text.sort, amount, &written, place));
    }
}

fn finding(procedure: &Procedure, sort: Sort, amount: &Amount, written: &str, place: crate::source::Span) -> Finding {
    let measure = match amounts::same(&amount.low, &amount.high) {
        true => Measure::Exact(amount.high),
        false => Measure::Range { low: amount.low, high: amount.high },
    };
    let finding = Finding::new(
        Code::FW1201,
        format!("`{written}` is written without brackets, so it is printed in one unit system only"),
        place,
        format!("in brackets it is printed as {}", display::measure(&measure, procedure.units)),
    )
    .because("Whoever measures in the other system has no number here, or works it out in his head.");
    if sort == Sort::Heading {
        return finding.repair(format!(
            "A title holds no brackets: take it out of the title, and write `[{}]` in the prose of the step.",
            measure.source_form()
        ));
    }
    let bracketed = format!("[{}]", measure.source_form());
    finding.repair(format!("Write `{bracketed}`.")).mend(Mend::write(Confidence::Look, place, bracketed))
}

/// Whether brackets would print it otherwise than it stands there.
fn is_converted(procedure: &Procedure, amount: &Amount) -> bool {
    let units = procedure.units;
    amount.high.unit.system().is_some_and(|own| units.second.is_some() || units.first != own)
}

/// `20 ft-lb (27 N·m)`: what stands in parentheses after a quantity is the same in other units.
fn converts(text: &Text<'_>, before: &Amount, amount: &Amount) -> bool {
    let between = before.run.end..amount.run.start;
    amount.kind() == before.kind()
        && between.clone().all(|at| text.kind(at) == Some(TokenKind::Sign))
        && !between.is_empty()
}

/// Whether a tool or part of the procedure has this size, or is called by it.
fn is_size(procedure: &Procedure, amount: &Amount) -> bool {
    let is = |size: &Quantity| amounts::same(size, &amount.high) && size.unit == amount.high.unit;
    let turned = procedure.tools.rows().iter().flat_map(|tool| &tool.turns).filter_map(DriveSize::only_size);
    let long = procedure.parts.rows().iter().filter_map(|part| part.fastener.as_ref()?.length.as_ref());
    if turned.chain(long).any(is) {
        return true;
    }
    let tools = procedure.tools.rows().iter().map(|tool| &tool.name);
    let mut titles = tools.chain(procedure.parts.rows().iter().map(|part| &part.name));
    titles.any(|name| {
        let title = super::text::plain(&name.title, Sort::Title, None, name.span);
        amounts::of(&title, true).iter().any(|own| is(&own.high))
    })
}

/// In a language that we don't know, what follows may be the thing that has this size.
fn before_a_word(text: &Text<'_>, amount: &Amount) -> bool {
    matches!(text.kind(amount.run.end), Some(TokenKind::Word | TokenKind::Mention(_)))
}
