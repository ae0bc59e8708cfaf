//! FW0742: a grommet that does not suit the hole that is drilled for it, or what is pushed through it.
//!
//! A grommet is called by the hole that it sits in, or by that and its bore: `Grommet, 25 mm`, `Grommet for a 25 mm hole, 8 mm
//! inside`. It is held against the one hole that its step drills, and against what is pushed through it in that step.

use std::cmp::Ordering;

use super::Words;
use super::amounts;
use super::classes::HOLES;
use super::holes::{drilled, is_not_done};
use super::text::{Sort, Text, instructions, plain};
use crate::diagnostics::{Code, Finding};
use crate::model::{MentionTarget, Part, Procedure};
use crate::quantity::{Exact, Kind, Quantity};
use crate::source::Span;

/// What is pushed through a grommet is no thicker than this, in metres: a longer measure is its length.
const MOST_THICK: (i128, i128) = (6, 100);
/// Words of a bore.
const INSIDE: &[&str] = &["inside", "bore", "inner", "internal", "cable", "cables", "wire", "hose"];

/// What the title of a grommet says.
struct Sizes {
    /// Of the hole that it sits in.
    hole: Option<Quantity>,
    /// The widest that goes through it: its bore, or the hole where no bore is said.
    through: Option<Quantity>,
}

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english {
        return;
    }
    let procedure = words.procedure;
    for own in instructions(texts).into_values() {
        for (text, at) in own.iter().flat_map(|text| (0..text.tokens.len()).map(move |at| (*text, at))) {
            let Some((part, mention)) = part(procedure, text, at).filter(|(part, _)| is_grommet(part)) else {
                continue;
            };
            let sizes = sizes(part);
            if let Some(finding) = hole(procedure, part, &sizes, mention, &own) {
                words.tell(finding);
            } else if let Some(finding) = thick(procedure, part, &sizes, mention, &own) {
                words.tell(finding);
            }
        }
    }
}

pub(super) fn part<'p>(procedure: &'p Procedure, text: &Text<'p>, at: usize) -> Option<(&'p Part, Span)> {
    let mention = text.mention(at)?;
    match mention.target {
        MentionTarget::Part(part) => Some((&procedure.parts[part], mention.span)),
        _ => None,
    }
}

pub(super) fn is_grommet(part: &Part) -> bool {
    part.name.title.split(|c: char| !c.is_alphabetic()).any(|word| word.eq_ignore_ascii_case("grommet"))
}

fn lengths(part: &Part) -> Vec<(Quantity, String, String)> {
    let title = plain(&part.name.title, Sort::Title, None, part.name.span);
    let all = amounts::of(&title, true).into_iter().filter(|amount| amount.kind() == Kind::Length);
    let alone = all.filter(|amount| amounts::same(&amount.low, &amount.high));
    let words = |run: &std::ops::Range<usize>| {
        let before = run.start.checked_sub(1).map(|at| title.lower(at)).unwrap_or_default();
        (before, title.lower(run.end))
    };
    alone
        .map(|amount| {
            let (before, after) = words(&amount.run);
            (amount.high, before.to_owned(), after.to_owned())
        })
        .collect()
}

fn sizes(part: &Part) -> Sizes {
    let all = lengths(part);
    let of = |words: &[&str]| {
        let said = |(size, before, after): &(Quantity, String, String)| {
            (words.contains(&before.as_str()) || words.contains(&after.as_str())).then_some(*size)
        };
        all.iter().find_map(said)
    };
    let (hole, bore) = (of(HOLES), of(INSIDE));
    let only = match all.as_slice() {
        [(size, ..)] if bore.is_none() => Some(*size),
        _ => None,
    };
    let hole = hole.or(only);
    Sizes { hole, through: bore.or(hole) }
}

/// A hole of another size, where the step drills one alone and presses the grommet in.
fn hole(procedure: &Procedure, part: &Part, sizes: &Sizes, mention: Span, own: &[&Text<'_>]) -> Option<Finding> {
    let wanted = sizes.hole?;
    if own.iter().any(|text| is_not_done(text)) {
        return None;
    }
    // What is drilled after it is another hole.
    let mut all =
        own.iter().flat_map(|text| drilled(procedure, text)).filter(|(.., place)| place.start < mention.start);
    let (_, size, place) = all.next().filter(|_| all.next().is_none())?;
    (!amounts::about_the_same(&size, &wanted)).then(|| {
        let name = &part.name;
        Finding::new(
            Code::FW0742,
            format!("the words drill a hole of {size}, and `{}` is called \"{}\"", name.id, name.title),
            place,
            "drilled like this",
        )
        .also(mention, "pressed in here")
        .also(name.span, "its title says another size")
        .because("In a hole that is too wide it falls out, in one too narrow it does not seat, and the edge cuts what runs through.")
        .repair(format!(
            "Drill the hole that its maker states. Where its title gives another measure, let it say both: `{}` for a hole of so much, so much inside.",
            name.id
        ))
    })
}

/// Something that is thicker than the grommet is wide, where a sentence of the step pushes it through.
fn thick(procedure: &Procedure, part: &Part, sizes: &Sizes, mention: Span, own: &[&Text<'_>]) -> Option<Finding> {
    let wide = sizes.through?;
    for text in own {
        for sentence in text.sentences() {
            let through = sentence.clone().find(|at| text.lower(*at) == "through");
            let Some(through) = through else { continue };
            let named = |at: usize| self::part(procedure, text, at).filter(|(other, _)| !is_grommet(other));
            let pushed = (sentence.start..through).find_map(named);
            // What stands after it is what it goes through: the grommet, or `it`.
            let other = (through..sentence.end)
                .any(|at| named(at).is_some() || matches!(text.lower(at), "conduit" | "bulkhead"));
            let Some((pushed, place)) = pushed.filter(|_| !other) else { continue };
            let Some(thick) = thickness(pushed) else { continue };
            if thick.compare(&wide) == Some(Ordering::Greater) {
                let (name, own) = (&part.name, &pushed.name);
                return Some(
                    Finding::new(
                        Code::FW0742,
                        format!("`{}` is {thick} thick, and `{}` lets {wide} through", own.id, name.id),
                        place,
                        "pushed through it",
                    )
                    .also(mention, "the grommet")
                    .also(name.span, "its title")
                    .because("It does not go through, or is forced through and tears the grommet; then the edge of the hole cuts it.")
                    .repair("Name a grommet with a larger bore, and drill for it. Where the title of the one or the other gives another measure, let it say which."),
                );
            }
        }
    }
    None
}

/// How thick a cable or hose is, where its title says one measure that is no length.
fn thickness(part: &Part) -> Option<Quantity> {
    let all = lengths(part);
    let [(size, _, after)] = all.as_slice() else { return None };
    let most = Exact::new(MOST_THICK.0, MOST_THICK.1);
    let is_thickness = size.base().is_some_and(|base| base <= most) && after != "long" && part.fastener.is_none();
    is_thickness.then_some(*size)
}
