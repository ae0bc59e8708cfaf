//! Where something waits for what sticks to cure, how long, and which time of cure the words state.

use super::amounts;
use super::classes::says;
use super::sentences::opening_verb;
use super::sequel::{Act, Does};
use super::text::{Sort, Text, stands_in, titles};
use crate::model::{Line, LineKind, Procedure, StepId};
use crate::quantity::{Exact, Kind, Quantity};
use crate::source::Span;
use num_traits::CheckedAdd;

const CURES: &[&str] = &["cure", "cures", "cured", "curing", "harden", "hardens", "hardened", "hardening"];
/// Words of a sentence that waits for it.
const WAITS: &[&str] =
    &["cure", "cures", "cured", "harden", "hardens", "hardened", "dry", "dries", "set", "sets", "hard"];
/// Words of a time after which it bears something, or all of it.
const BEARS: &[&str] = &["handle", "handled", "handling", "load", "loaded", "drive", "driven", "strength", "bears"];
/// Words of what nobody waits for.
const FULLY: &[&str] = &["full", "fully", "final", "complete", "completely"];

/// A place where something is left to cure.
pub(super) struct Wait {
    pub step: StepId,
    pub place: Span,
    time: Option<Quantity>,
}

impl Wait {
    /// What it does for a rule, to whatever was glued.
    pub fn act(&self, does: Does) -> Act {
        Act { step: self.step, place: self.place, things: Vec::new(), does }
    }
}

/// Whether any text, or the title of a part, speaks of curing.
pub(super) fn is_stated(procedure: &Procedure, texts: &[Text<'_>]) -> bool {
    let speaks = |text: &Text<'_>| says(text, 0..text.tokens.len(), CURES);
    let is_one = |word: &str| CURES.contains(&word.to_lowercase().as_str());
    let by_title = |title: &str| title.split(|c: char| !c.is_alphabetic()).any(is_one);
    texts.iter().any(speaks) || procedure.parts.rows().iter().any(|part| by_title(&part.name.title))
}

/// Where something is left to cure: a line that waits, or a sentence that says so. A note leaves nothing.
pub(super) fn waits(procedure: &Procedure, texts: &[Text<'_>]) -> Vec<Wait> {
    let mut found = Vec::new();
    for text in texts.iter().filter(|text| matches!(text.sort, Sort::Instruction | Sort::Told)) {
        let Some(step) = text.step else { continue };
        for sentence in text.sentences() {
            let Some(place) = text.place(sentence).filter(|_| says(text, sentence.clone(), WAITS)) else { continue };
            let line = procedure.steps[step].lines.iter().find(|line| stands_in(place, line.span));
            let is_note = matches!(line.map(|line| &line.kind), Some(LineKind::Note(_)));
            let verb = opening_verb(text, sentence.start, sentence.end).map(|verb| text.lower(verb));
            let is_told = verb.is_some_and(|verb| matches!(verb, "wait" | "let" | "leave" | "allow"));
            if is_told || (text.sort == Sort::Told && !is_note) {
                let time = line.and_then(of_line).or_else(|| time(procedure, text, &place));
                found.push(Wait { step, place, time });
            }
        }
    }
    // `wait 24 h` says nothing of what it waits for.
    for (step, row) in procedure.steps.iter() {
        let silent = |line: &&Line| matches!(&line.kind, LineKind::Wait(wait) if wait.until.text.is_empty());
        let lines = row.lines.iter().filter(silent);
        found.extend(lines.map(|line| Wait { step, place: line.span, time: of_line(line) }));
    }
    found
}

fn of_line(line: &Line) -> Option<Quantity> {
    match &line.kind {
        LineKind::Wait(wait) => wait.least(),
        _ => None,
    }
}

/// The shortest time that stands within a place of a text.
fn time(procedure: &Procedure, text: &Text<'_>, place: &Span) -> Option<Quantity> {
    let said = amounts::of(text, true).into_iter().map(|amount| (text.place(&amount.run), amount.low));
    let mentioned = text.mentions.iter().filter_map(|mention| {
        let measure = amounts::mentioned(procedure, &mention.target)?;
        Some((Some(mention.span), measure.low().unwrap_or(*measure.stated())))
    });
    let here = said.chain(mentioned).filter(|(at, time)| {
        time.kind() == Kind::Time
            && at.is_some_and(|at| at.file == place.file && place.range().contains(&at.range().start))
    });
    here.map(|(_, time)| time).min_by_key(Quantity::base)
}

/// A wait that is shorter than the time of cure that the words state, with both.
#[derive(Clone)]
pub(super) struct Short {
    pub wait: Quantity,
    pub cure: Quantity,
    pub stated: Span,
}

/// Told where all waits together are shorter than the shortest time that any words state.
pub(super) fn short(procedure: &Procedure, texts: &[Text<'_>], waits: &[Wait]) -> Option<Short> {
    let mut together = Exact::from_integer(0);
    let mut longest: Option<Quantity> = None;
    for wait in waits {
        let time = wait.time?;
        together = together.checked_add(&time.base()?)?;
        longest = longest.filter(|before| before.base() >= time.base()).or(Some(time));
    }
    let titles = titles(procedure);
    let (mut stated, mut speaks): (Option<(Quantity, Span)>, bool) = (None, false);
    for text in texts.iter().chain(&titles).filter(|text| text.sort != Sort::Question) {
        for sentence in text.sentences() {
            let is_of_it = |list| says(text, sentence.clone(), list);
            let Some(place) = text.place(sentence) else { continue };
            let is_wait = waits.iter().any(|wait| wait.place == place);
            if is_wait || is_of_it(FULLY) || !(is_of_it(WAITS) || is_of_it(CURES) || is_of_it(BEARS)) {
                continue;
            }
            let Some(time) = time(procedure, text, &place) else { continue };
            speaks |= is_of_it(CURES);
            if stated.is_none_or(|(before, _)| time.base() < before.base()) {
                stated = Some((time, place));
            }
        }
    }
    let (cure, stated) = stated.filter(|(cure, _)| speaks && cure.base().is_some_and(|cure| together < cure))?;
    Some(Short { wait: longest?, cure, stated })
}
