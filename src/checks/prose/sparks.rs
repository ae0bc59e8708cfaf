//! FW1226, FW1227 and FW1228: metal across a battery, sparks beside one, and heat at fuel and brake lines.
//!
//! Each is wrong wherever it stands, by the words of one sentence (common practice, from memory). A sentence that forbids it, or that
//! keeps a distance or puts something between, is not meant.

use super::Words;
use super::classes::says;
use super::said::Said;
use super::things::Thing;
use crate::diagnostics::{Code, Finding};
use crate::source::Span;

const METAL: &[&str] = &[
    "spanner",
    "wrench",
    "ratchet",
    "screwdriver",
    "plier",
    "bar",
    "tool",
    "socket",
    "hammer",
    "file",
    "extension",
    "rod",
    "key",
];
const LAYS: &[&str] = &["lay", "put", "place", "rest", "set", "leave", "drop", "keep", "store"];
const BRIDGES: &[&str] = &["bridge", "short", "connect", "span", "touch"];
const POSTS: &[&str] = &["post", "terminal", "pole", "stud"];
/// What keeps metal from touching.
const BETWEEN: &[&str] =
    &["insulated", "insulating", "cover", "covered", "wrapped", "rubber", "plastic", "away", "fuse", "wooden"];
/// Work that makes sparks or flames by itself.
const SPARKS: &[&str] = &["grind", "weld", "braze", "smoke", "burn", "torch"];
/// What makes them.
pub(super) const FLAMES: &[&str] =
    &["grinder", "flame", "lighter", "match", "candle", "cigarette", "welder", "blowtorch", "blowlamp", "burner"];
const NEAR: &[&str] = &[
    "near", "beside", "by", "at", "above", "over", "on", "next", "against", "around", "under", "below", "behind", "to",
    "from",
];
const HEATS: &[&str] = &[
    "heat", "warm", "weld", "braze", "solder", "burn", "torch", "grind", "cut", "shrink", "thaw", "dry", "use", "hold",
    "point", "aim", "direct", "free", "soften", "loosen",
];
/// Verbs that are heat or sparks without a tool that says so.
const HOT_WORK: &[&str] = &["heat", "weld", "braze", "torch", "burn"];
const HOT_TOOLS: &[&str] =
    &["torch", "blowtorch", "blowlamp", "flame", "burner", "lighter", "grinder", "gun", "welder"];
const LINES: &[&str] = &["line", "hose", "pipe", "tank", "tube", "filler"];
const FLUIDS: &[&str] = &["fuel", "brake", "petrol", "diesel", "gas", "lpg", "hydraulic", "gasoline"];
const APART: &[&str] = &[
    "away",
    "clear",
    "shield",
    "shielded",
    "blanket",
    "water",
    "distance",
    "least",
    "clearance",
    "removed",
    "bench",
    "cold",
    "cover",
    "covered",
];

type Rule = fn(&Said<'_, '_>) -> Option<Code>;

/// Without one of these, and no mention, a sentence is not meant.
const PLACES: &[&str] =
    &["battery", "posts", "poles", "fuel", "brake", "petrol", "diesel", "gas", "lpg", "hydraulic", "gasoline"];

pub(super) fn check(words: &mut Words<'_>, all: &[Said<'_, '_>]) {
    let (mut battery_is_out, mut line_is_off) = (false, false);
    for said in all {
        if said.does(&["remove", "take", "lift", "drain", "empty", "disconnect", "detach"]) {
            let first = said.things().first();
            battery_is_out |= said.verb != "disconnect" && first.is_some_and(is_battery);
            line_is_off |= first.is_some_and(is_line);
        }
        let near = said.is_now && (said.says(PLACES) || said.mentions());
        let found = [(true, across as Rule), (!battery_is_out, sparks), (!line_is_off, heat)];
        let found = found.into_iter().filter(|(asked, _)| *asked && near).find_map(|(_, rule)| rule(said));
        if let Some(code) = found {
            words.tell(finding(code, said.place));
        }
    }
}

fn is_battery(thing: &Thing) -> bool {
    thing.words.last().is_some_and(|word| word == "battery")
}

/// A post of a battery; that of a starter is another matter.
fn is_post(thing: &Thing) -> bool {
    let is_one = thing.words.last().is_some_and(|word| POSTS.contains(&word.as_str()));
    is_one && (thing.words.len() == 1 || thing.has(&["battery"]))
}

fn is_line(thing: &Thing) -> bool {
    thing.has(FLUIDS) && thing.words.last().is_some_and(|word| LINES.contains(&word.as_str()))
}

fn is_metal(thing: &Thing) -> bool {
    thing.words.last().is_some_and(|word| METAL.contains(&word.as_str()))
}

/// `Lay the spanner across the posts.`, `Put the ratchet on the battery.`, `Bridge the posts with a screwdriver.`
fn across(said: &Said<'_, '_>) -> Option<Code> {
    let (verb, things) = (said.verb, said.things());
    if said.says(BETWEEN) {
        return None;
    }
    let object = things.first().filter(|thing| thing.by == verb)?;
    let lies = (LAYS.contains(&verb) || verb == "hold") && is_metal(object);
    // A bar over a battery may be what holds it down.
    let holds_down = object.words.last().is_some_and(|word| matches!(word.as_str(), "bar" | "rod"));
    let is_across = |thing: &Thing| {
        let on = matches!(thing.by.as_str(), "across" | "over" | "between");
        let lies = matches!(thing.by.as_str(), "on" | "onto") && verb != "hold";
        (on && is_post(thing)) || (!holds_down && is_battery(thing) && (on || lies))
    };
    let speaks = said.says(&["battery", "posts", "poles"]) || things.iter().any(is_battery);
    let bridges = BRIDGES.contains(&verb)
        && is_post(object)
        && says(said.text, object.at..object.at + 3, &["posts", "terminals", "poles", "both", "two"])
        && things.iter().any(|thing| thing.by == "with" && is_metal(thing));
    let is_one = (lies && things.iter().any(is_across)) || bridges;
    (is_one && speaks).then_some(Code::FW1226)
}

/// `Grind the bracket beside the battery.`
fn sparks(said: &Said<'_, '_>) -> Option<Code> {
    let (verb, things) = (said.verb, said.things());
    let says_tool =
        |list: &[&str]| things.iter().any(|thing| thing.words.last().is_some_and(|word| list.contains(&word.as_str())));
    let uses = matches!(verb, "light" | "hold" | "use" | "cut" | "look" | "check" | "heat" | "strike" | "shrink");
    // A torch may be a lamp.
    let burns = matches!(verb, "cut" | "heat" | "shrink") && says_tool(&["torch"]);
    let makes = SPARKS.contains(&verb) || (uses && says_tool(FLAMES)) || burns;
    let near = things.iter().any(|thing| is_battery(thing) && NEAR.contains(&thing.by.as_str()));
    let is_one = makes && near && !said.says(APART);
    (is_one).then_some(Code::FW1227)
}

/// `Warm the fuel line with a heat gun.`
fn heat(said: &Said<'_, '_>) -> Option<Code> {
    let (verb, things) = (said.verb, said.things());
    if !HEATS.contains(&verb) || said.says(APART) {
        return None;
    }
    let is_gun =
        |thing: &Thing| thing.words.last().is_some_and(|word| word == "gun") && !thing.has(&["heat", "hot", "air"]);
    let is_tool =
        |thing: &&Thing| thing.words.last().is_some_and(|word| HOT_TOOLS.contains(&word.as_str())) && !is_gun(thing);
    let lamp = |thing: &Thing| thing.words.len() == 1 && thing.has(&["torch"]);
    let tool = |at_hand: bool| things.iter().any(|thing| is_tool(&thing) && !(at_hand && lamp(thing)));
    // A torch that is held at something may be a lamp.
    let holds = matches!(verb, "use" | "hold" | "point" | "aim" | "direct");
    let hot = HOT_WORK.contains(&verb) || tool(holds) || verb == "grind";
    let at = things.iter().any(|thing| is_line(thing) && (thing.by == verb || NEAR.contains(&thing.by.as_str())));
    (hot && at).then_some(Code::FW1228)
}

fn finding(code: Code, place: Span) -> Finding {
    let (message, label, why, repair) = match code {
        Code::FW1226 => (
            "the words put metal across the posts of a battery",
            "a short circuit lies here",
            "The whole current of the battery goes through it: it glows and welds itself on, and the battery can burst and throw acid.",
            "Have tools laid beside the battery, and the posts covered. What is tried between posts is tried with a meter.",
        ),
        Code::FW1227 => (
            "the words make sparks or a flame beside a battery",
            "sparks or a flame here",
            "A battery gives off hydrogen. A spark beside it can burst it, and throw acid into eyes.",
            "Have the battery taken out, or the work done away from it, and say so. Where a shield or blanket covers it, say that.",
        ),
        _ => (
            "the words bring heat or sparks to what holds fuel or brake fluid",
            "heat or sparks here",
            "Fuel and its vapour take fire, and a brake hose that was hot bursts later under pressure.",
            "Have the line drained and taken off first, and say so; or warm a hose in hot water. What is done beside it needs a shield: say which.",
        ),
    };
    Finding::new(code, message, place, label).because(why).repair(repair)
}
