//! FW0966, FW0967 and FW0969: heat-shrink, grommets and boots that come when the wire's end is closed already, and a wire or hose through a bare hole.
//!
//! Both are silent where any other word of the procedure may have it otherwise. Common practice, from memory.

use std::ops::Range;

use super::Words;
use super::classes::{ANOTHER_TIME, FORBIDS, HOLES, HOSES, MAKES_HOLES, SHEETS, TERMINALS, WIRES, says_of};
use super::said::Said;
use super::sentences::opening_verb;
use super::text::{Sort, Text, titles};
use super::things::{self, Thing};
use crate::diagnostics::{Code, Finding};
use crate::model::Procedure;
use crate::source::Span;

const CLOSES: &[&str] = &["crimp", "solder", "splice", "join", "press", "squeeze"];
const PUTS: &[&str] = &["slide", "push", "slip", "put", "thread", "pull", "fit", "place", "cut"];
/// A tube that goes on otherwise, or another wire.
const OTHER_WAY: &[&str] =
    &["split", "wrap", "wrap-around", "other", "next", "second", "back", "waiting", "already", "from"];
const GOES: &[&str] =
    &["pull", "push", "feed", "route", "run", "lead", "pass", "thread", "lay", "poke", "bring", "draw", "guide"];
/// What keeps the edge off, by the beginning of its word; or no metal.
const LINED: &[&str] = &[
    "grommet",
    "sleev",
    "edge",
    "bush",
    "gland",
    "conduit",
    "trim",
    "seal",
    "tube",
    "tubing",
    "fitting",
    "plastic",
    "wood",
    "ply",
    "foam",
    "corrugated",
    "loom",
    "liner",
    "lined",
    "boot",
    "membrane",
    "protector",
    "connector",
    "plug",
    "existing",
    "bulkhead-fitting",
    "union",
];

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>], all: &[Said<'_, '_>]) {
    let procedure = words.procedure;
    let of_shrink = |text: &Text<'_>| text.words.to_lowercase().contains("shrink");
    let is_named =
        texts.iter().any(of_shrink) || procedure.parts.rows().iter().any(|part| part.name.title.contains("hrink"));
    let shrunk = if is_named { shrunk(procedure, texts) } else { None };
    let found: Vec<Finding> = shrunk.into_iter().chain(threaded(all)).chain(bare(procedure, texts, all)).collect();
    found.into_iter().for_each(|finding| words.tell(finding));
}

/// FW0966: the first that is said of heat-shrink puts it on, and comes after the last end was closed.
fn shrunk(procedure: &Procedure, texts: &[Text<'_>]) -> Option<Finding> {
    let mut closed: Option<Span> = None;
    let mut tube: Option<(Span, Span)> = None;
    for text in texts {
        for sentence in text.sentences() {
            let verb = opening_verb(text, sentence.start, sentence.end).unwrap_or(sentence.start);
            let said = text.lower(verb);
            let things = things::after(procedure, text, verb, sentence.end);
            let is_tube = |thing: &Thing| thing.words.iter().any(|word| word.contains("shrink")) && !is_terminal(thing);
            let speaks = says_shrink(text, sentence) || things.iter().any(is_tube);
            if text.sort != Sort::Instruction || says_of(text, sentence, &[FORBIDS]) {
                if speaks && tube.is_none() {
                    return None;
                }
                continue;
            }
            let closes = CLOSES.contains(&said)
                && (says_of(text, sentence, &[TERMINALS, WIRES]) || things.iter().any(is_terminal));
            if speaks && tube.is_none() {
                let puts = PUTS.contains(&said) && said != "cut" && things.first().is_some_and(is_tube);
                let over = things.iter().any(|thing| matches!(thing.by.as_str(), "over" | "onto" | "on"));
                let is_sure = puts && over && !says_of(text, sentence, &[ANOTHER_TIME, OTHER_WAY]);
                tube = Some((closed.filter(|_| is_sure)?, text.place(sentence)?));
            } else if closes {
                // What is closed after it is what the tube is for.
                if tube.is_some() {
                    return None;
                }
                closed = text.place(sentence);
            }
        }
    }
    tube.map(|(closed, place)| {
        Finding::new(Code::FW0966, "heat-shrink goes on when the end of the wire is closed already", place, "it does not go over it any more")
            .also(closed, "closed here")
            .because("The tube does not pass a terminal or splice: it is left out, or tape takes its place, and the joint corrodes or shorts.")
            .repair("Have it slid onto the wire first, before the end is crimped or spliced, and shrunk over it afterwards.")
    })
}

/// FW0969: what is threaded on a wire the first time, when its last end was closed.
fn threaded(all: &[Said<'_, '_>]) -> Option<Finding> {
    let closes = |one: &&Said<'_, '_>| {
        let end = one.things().iter().any(is_terminal);
        one.is_now && (end && one.does(CLOSES) || end && one.does(&["fit", "push", "put"]) && one.says(WIRES))
    };
    let goes_on = |thing: &Thing| thing.is_a(THREADED) && !thing.words.iter().any(|word| word.contains("shrink"));
    let threads = |one: &&Said<'_, '_>| {
        let onto = |thing: &Thing| ["onto", "over", "on"].contains(&thing.by.as_str()) && thing.is_a(WIRES);
        one.does(PUTS) && one.object().is_some_and(goes_on) && one.things().iter().any(onto)
    };
    let first = all.iter().position(|one| threads(&one))?;
    let (before, late, after) = (all.get(..first)?, all.get(first)?, all.get(first + 1..)?);
    let is_sure = late.is_now && !late.says(OTHER_WAY) && !late.says(&["slit", "open", "slotted", "free"]);
    let closed = before.iter().rev().find(closes).filter(|_| is_sure && !after.iter().any(|one| closes(&one)))?;
    Some(
        Finding::new(Code::FW0969, "something is threaded on a wire whose end is closed already", late.place, "it does not go over the end any more")
            .also(closed.place, "closed here")
            .because("A grommet, boot or gland does not pass a terminal or connector: it is cut open, or left out, and water follows the wire.")
            .repair("Have it slid onto the wire before its end is closed: `Slide the grommet onto the cable.`, then `Crimp the lug.` One with a slit is called so."),
    )
}

/// What a wire is threaded through.
const THREADED: &[&str] = &["grommet", "gland", "boot", "conduit", "bellows", "bushing"];

fn is_terminal(thing: &Thing) -> bool {
    thing.words.last().is_some_and(|word| TERMINALS.contains(&word.as_str()) || word == "connector")
}

fn says_shrink(text: &Text<'_>, sentence: &Range<usize>) -> bool {
    let is_one = |at: usize| {
        let word = text.lower(at);
        word.starts_with("heat-shrink") || (word == "heat" && text.lower(at + 1).starts_with("shrink"))
    };
    sentence.clone().any(is_one)
}

/// FW0967: told where no word of the procedure lines a hole.
fn bare(procedure: &Procedure, texts: &[Text<'_>], all: &[Said<'_, '_>]) -> Option<Finding> {
    let lines =
        |text: &Text<'_>| (0..text.tokens.len()).any(|at| LINED.iter().any(|word| text.lower(at).starts_with(word)));
    let (mut place, mut drilled) = (None, false);
    for said in all.iter().filter(|said| said.says(HOLES)) {
        let in_sheet = || said.things().iter().any(|thing| thing.has(SHEETS));
        let hole = |by: &str| said.things().iter().any(|thing| (by.is_empty() || thing.by == by) && thing.is_a(HOLES));
        drilled |= said.does(MAKES_HOLES) && in_sheet() && hole("");
        let is_line = || said.object().is_some_and(|thing| thing.is_a(WIRES) || thing.is_a(HOSES));
        if place.is_none() && said.is_now && said.does(GOES) && is_line() && hole("through") && (drilled || in_sheet())
        {
            place = Some(said.place);
        }
    }
    let place = place?;
    if texts.iter().any(lines) || titles(procedure).iter().any(lines) {
        return None;
    }
    Some(
        Finding::new(Code::FW0967, "a wire or hose goes through a bare hole", place, "nothing keeps the edge off it")
            .because("The edge of sheet metal works through insulation and rubber: a wire shorts to the body and can start a fire, a hose leaks.")
            .repair("Declare a grommet that suits the hole, and have it pressed in first; or have the edge covered, or the line sleeved, and say so."),
    )
}
