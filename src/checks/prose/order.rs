//! FW1210: words that tell another order than the lines of their step: *negative first*, where the lines connect the positive first.
//!
//! Only what is sure is told: the words name both a verb's object and its place (*first*, *last*, *before*, *then*), and a point or
//! lead is what they name by the whole of its title, or by the pole that its title says.

use std::collections::BTreeMap;
use std::ops::Range;

use super::Words;
use super::classes::{JOINS, NEGATIVE, PARTS, POSITIVE, Pole, pole, words_of};
use super::sentences::opening_verb;
use super::text::{Sort, Text, TokenKind};
use super::verbs::is_verb;
use crate::diagnostics::{Code, Finding};
use crate::model::{CircuitId, LineKind, MentionTarget, Naming, PointId, StepId};
use crate::source::Span;

/// What a line does with a lead.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Act {
    Join,
    Part,
}

/// One thing that a line of the step connects or takes off.
struct Done {
    act: Act,
    /// The words by which a sentence means it, in small letters: those of its title, and those of its name.
    called: [Vec<String>; 2],
    pole: Option<Pole>,
    title: String,
    at: Span,
}

/// What a sentence means.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Meant {
    Pole(Pole),
    /// One thing of the step, by its number.
    One(usize),
}

const NEVER: &[&str] = &["not", "never", "don't", "avoid", "unless", "if", "or"];
/// Words by which a sentence tells an order itself.
const ORDER: &[&str] =
    &["first", "last", "lastly", "before", "after", "then", "until", "once", "while", "when", "again"];
/// Verbs that mean no other thing beside the one that they name.
const PLAIN: &[&str] = &["connect", "reconnect", "plug", "disconnect", "unplug", "detach"];
/// Words of titles that tell nothing apart.
const SMALL: &[&str] = &["the", "of", "at", "to", "on", "in", "a", "an", "and", "for", "side"];

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    if !words.english || !matches!(text.sort, Sort::Instruction | Sort::Told | Sort::Heading) {
        return;
    }
    let Some(step) = text.step else { return };
    // Each circuit has its own order; a lead that is taken off for the work goes on after all else.
    for done in done_in(words, step) {
        if done.len() > 1 && against(words, text, &done) {
            return;
        }
    }
}

/// Sentences that each say of one thing of a step that it is joined or parted: in which order, where they say no word of order.
pub(super) fn in_turn(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english {
        return;
    }
    let mut of_steps: BTreeMap<StepId, Vec<&Text<'_>>> = BTreeMap::new();
    for text in texts.iter().filter(|text| text.sort == Sort::Instruction) {
        if let Some(step) = text.step {
            of_steps.entry(step).or_default().push(text);
        }
    }
    for (step, texts) in of_steps {
        for done in done_in(words, step).into_iter().filter(|done| done.len() > 1) {
            let told: Vec<(usize, Act, Span)> = texts.iter().flat_map(|text| told_alone(text, &done)).collect();
            let wrong = told.windows(2).find_map(|pair| match pair {
                [(first, act, _), (second, other, place)] if act == other && second < first => {
                    Some((*second, *first, *place))
                }
                _ => None,
            });
            if let Some((early, late, place)) = wrong.filter(|(.., place)| !words.has_told_order(*place)) {
                words.tell(finding(&done, early, late, place));
                break;
            }
        }
    }
}

/// What each sentence of a text says of one thing alone: that it is connected, or taken off.
fn told_alone(text: &Text<'_>, done: &[Done]) -> Vec<(usize, Act, Span)> {
    let alone = |sentence: &Range<usize>| {
        let says = |list: &[&str]| sentence.clone().any(|at| list.contains(&text.lower(at)));
        if says(NEVER) || says(ORDER) {
            return None;
        }
        let verb = text.lower(opening_verb(text, sentence.start, sentence.end)?);
        let of_act = acts(text, sentence, done)?;
        let one = match meant(text, sentence, done, &of_act)? {
            Meant::One(one) => one,
            Meant::Pole(pole) => {
                let mut of_pole = of_act.iter().filter(|at| done.get(**at).is_some_and(|one| one.pole == Some(pole)));
                *of_pole.next().filter(|_| of_pole.next().is_none())?
            }
        };
        let row = done.get(one)?;
        // *Fit the grommet behind the lamp* connects no lamp; a title of several words is meant by nothing else.
        let by_title = row.called[0].len() > 1 && row.called[0].iter().all(|word| says(&[word.as_str()]));
        let is_plain = PLAIN.contains(&verb) || by_title;
        is_plain.then(|| text.place(sentence)).flatten().map(|place| (one, row.act, place))
    };
    text.sentences().iter().filter_map(alone).collect()
}

/// Tells the first sentence that has what is done the other way round; whether there is one.
fn against(words: &mut Words<'_>, text: &Text<'_>, done: &[Done]) -> bool {
    for sentence in text.sentences().to_vec() {
        if sentence.clone().any(|at| NEVER.contains(&text.lower(at))) {
            continue;
        }
        let Some(of_act) = acts(text, &sentence, done) else { continue };
        let told = told_order(text, &sentence, done, &of_act);
        let wrong = told.into_iter().find_map(|(said, before, after)| {
            let (early, late) = reversed(done, &of_act, &before, &after)?;
            Some((said, early, late))
        });
        if let Some((said, early, late)) = wrong
            && let Some(place) = text.place(&said)
        {
            words.tell(finding(done, early, late, place));
            return true;
        }
    }
    false
}

/// What the lines of a step connect and take off, in their order: the points of each circuit, and leads that are states.
fn done_in(words: &Words<'_>, step: StepId) -> Vec<Vec<Done>> {
    let procedure = words.procedure;
    let mut circuits: BTreeMap<CircuitId, Vec<Done>> = BTreeMap::new();
    let mut leads = Vec::new();
    for line in &procedure.steps[step].lines {
        let mut join = |act, circuit: CircuitId, points: &[PointId]| {
            let rows = points.iter().map(|at| &procedure.circuits[circuit].points[*at]).filter(|point| !point.implied);
            let done = rows.map(|point| Done::new(act, &point.title, &point.id, line.span));
            circuits.entry(circuit).or_default().extend(done);
        };
        match &line.kind {
            LineKind::Connect(circuit, points, _) => join(Act::Join, *circuit, points),
            LineKind::Disconnect(circuit, points, _) => join(Act::Part, *circuit, points),
            LineKind::Make { state, value } => {
                let state = &procedure.states[*state];
                let act = if *value == state.starts { Act::Join } else { Act::Part };
                let Naming { id, title, .. } = &state.name;
                // Of states only those that are leads have a pole; an engine is not meant.
                if pole_of(&telling_words(title)).or_else(|| pole_of(&telling_words(id))).is_some() {
                    leads.push(Done::new(act, title, id, line.span));
                }
            }
            _ => {}
        }
    }
    circuits.into_values().chain([leads]).collect()
}

impl Done {
    fn new(act: Act, title: &str, id: &str, at: Span) -> Done {
        let called = [telling_words(title), telling_words(id)];
        let pole = pole_of(&called[0]).or_else(|| pole_of(&called[1]));
        Done { act, called, pole, title: title.to_owned(), at }
    }
}

/// The words that tell one thing from another.
fn telling_words(title: &str) -> Vec<String> {
    words_of(title).into_iter().filter(|word| !SMALL.contains(&word.as_str())).collect()
}

/// The pole that words say, where they say one alone.
fn pole_of(words: &[String]) -> Option<Pole> {
    pole(|list| words.iter().any(|word| list.contains(&word.as_str())))
}

/// The lines that a sentence speaks of, by what its verb does; without a verb, those of the step where all do the same.
fn acts(text: &Text<'_>, sentence: &Range<usize>, done: &[Done]) -> Option<Vec<usize>> {
    let says = |list: &[&str]| sentence.clone().any(|at| list.contains(&text.lower(at)));
    let act = match (says(JOINS), says(PARTS)) {
        (true, false) => Act::Join,
        (false, true) => Act::Part,
        (true, true) => return None,
        (false, false) => {
            let is_told = opening_verb(text, sentence.start, sentence.end).is_some();
            let first = done.first()?.act;
            if is_told || done.iter().any(|one| one.act != first) {
                return None;
            }
            first
        }
    };
    let found: Vec<usize> = (0..done.len()).filter(|at| done.get(*at).is_some_and(|one| one.act == act)).collect();
    (found.len() > 1).then_some(found)
}

/// Something that comes before all else, after all else, or one before the other: `None` stands for all else.
type Order = (Range<usize>, Option<Meant>, Option<Meant>);

fn told_order(text: &Text<'_>, sentence: &Range<usize>, done: &[Done], acts: &[usize]) -> Vec<Order> {
    let mut found = Vec::new();
    let mut parts: Vec<Range<usize>> = Vec::new();
    let mut start = sentence.start;
    // Where a part ends: what joins it to the next.
    let mut joined: Vec<Option<&str>> = Vec::new();
    for at in sentence.clone() {
        let word = text.lower(at);
        let joins = matches!(word, "and" | "then" | "before" | "after")
            || (text.kind(at) == Some(TokenKind::Sign) && matches!(text.word(at), "," | ";" | ":" | "." | "!"));
        if joins {
            parts.push(start..at);
            joined.push(Some(word));
            start = at + 1;
        }
    }
    parts.push(start..sentence.end);
    joined.push(None);
    let meant: Vec<Option<Meant>> = parts.iter().map(|part| meant(text, part, done, acts)).collect();
    let mut last: Option<(usize, Meant)> = None;
    let mut by = "";
    for (at, part) in parts.iter().enumerate() {
        if let Some(this) = meant.get(at).cloned().flatten() {
            if let Some((before, other)) = last.clone().filter(|(_, other)| *other != this) {
                let run = parts.get(before).map_or(part.start, |part| part.start)..part.end;
                match by {
                    "then" | "before" => found.push((run, Some(other), Some(this.clone()))),
                    "after" => found.push((run, Some(this.clone()), Some(other))),
                    _ => {}
                }
            }
            match place_in(text, part) {
                Some(true) => found.push((part.clone(), Some(this.clone()), None)),
                Some(false) => found.push((part.clone(), None, Some(this.clone()))),
                None => {}
            }
            last = Some((at, this));
            by = "";
        }
        match joined.get(at).copied().flatten() {
            Some(word @ ("then" | "before" | "after")) => by = word,
            // `, then` and `and then` are one word each.
            Some("," | "and") => {}
            _ => last = None,
        }
    }
    found
}

/// Whether a part of a sentence says *first* or *last*, and not of a nut.
fn place_in(text: &Text<'_>, part: &Range<usize>) -> Option<bool> {
    part.clone().find_map(|at| {
        let is_first = match text.lower(at) {
            "first" => true,
            "last" | "lastly" => false,
            _ => return None,
        };
        let next = text.lower(at + 1);
        let ends = at + 1 >= part.end || text.kind(at + 1) == Some(TokenKind::Sign);
        (ends || is_verb(next) || next == "the").then_some(is_first)
    })
}

/// What a part of a sentence means of what the lines do.
fn meant(text: &Text<'_>, part: &Range<usize>, done: &[Done], acts: &[usize]) -> Option<Meant> {
    let said: Vec<String> = part
        .clone()
        .flat_map(|at| match text.mention(at).map(|mention| &mention.target) {
            Some(MentionTarget::State(_) | MentionTarget::Part(_)) | None => telling_words(text.word(at)),
            Some(_) => Vec::new(),
        })
        .collect();
    // A name that says no more than the pole means whatever has that pole.
    let is_pole = |word: &String| POSITIVE.contains(&word.as_str()) || NEGATIVE.contains(&word.as_str());
    let has = |words: &[String]| !words.iter().all(is_pole) && words.iter().all(|word| said.contains(word));
    let named: Vec<usize> = acts
        .iter()
        .copied()
        .filter(|at| done.get(*at).is_some_and(|one| one.called.iter().any(|words| has(words))))
        .collect();
    match named.as_slice() {
        [one] => Some(Meant::One(*one)),
        [] => pole_of(&said).map(Meant::Pole),
        _ => None,
    }
}

/// Where the lines do it the other way round: what they do first, and what the words want before it.
fn reversed(done: &[Done], acts: &[usize], before: &Option<Meant>, after: &Option<Meant>) -> Option<(usize, usize)> {
    let of = |meant: &Meant| -> Vec<usize> {
        let is = |at: &usize| match meant {
            Meant::One(one) => at == one,
            Meant::Pole(pole) => done.get(*at).is_some_and(|one| one.pole == Some(*pole)),
        };
        acts.iter().copied().filter(is).collect()
    };
    // All else: of a pole, what is of the other; of one thing, every other.
    let others = |meant: &Meant| -> Vec<usize> {
        let is = |at: &usize| match meant {
            Meant::One(one) => at != one,
            Meant::Pole(pole) => done.get(*at).is_some_and(|one| one.pole.is_some_and(|other| other != *pole)),
        };
        acts.iter().copied().filter(is).collect()
    };
    match (before, after) {
        (Some(first), None) => {
            let (wanted, early) = (*of(first).first()?, *others(first).first()?);
            (early < wanted).then_some((early, wanted))
        }
        (None, Some(last)) => {
            let (wanted, late) = (*of(last).last()?, *others(last).last()?);
            (late > wanted).then_some((wanted, late))
        }
        (Some(first), Some(second)) => {
            let (first, second) = (*of(first).first()?, *of(second).last()?);
            (second < first).then_some((second, first))
        }
        (None, None) => None,
    }
}

fn finding(done: &[Done], early: usize, late: usize, place: Span) -> Finding {
    let title = |at: usize| done.get(at).map_or("", |one| one.title.as_str());
    let finding = Finding::new(
        Code::FW1210,
        format!(
            "the words tell another order than the lines: \"{}\" comes before \"{}\" there",
            title(early),
            title(late)
        ),
        place,
        "the other way round",
    );
    let places = [early, late].into_iter().filter_map(|at| done.get(at)).map(|one| one.at);
    let mut told: Vec<Span> = Vec::new();
    places
        .fold(finding, |finding, at| {
            if told.contains(&at) {
                return finding;
            }
            told.push(at);
            finding.also(at, "as the lines have it")
        })
        .because(
            "One who reads the words and one who reads the lines connect in a different order; the order that is judged, and \
             that the record asks for, is that of the lines.",
        )
        .repair("Put the lines in the order that is meant, or take the order out of the words.")
}
