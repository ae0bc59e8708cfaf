//! FW1212: a tool that only the words ask for: *drill*, and no line of the step lays out a drill; *with a hammer*, and none is used.
//!
//! The lists are ours, from memory, of what a hand can't do without; a word that is missing makes the rule silent, never loud.

use std::ops::Range;

use super::Words;
use super::sentences::{clauses, opening_verb};
use super::text::{Sort, Text, TokenKind};
use crate::diagnostics::{Code, Finding};
use crate::model::{Line, LineKind, MentionTarget, Procedure, StepId, ToolId};
use crate::source::Span;

/// A verb that no hand does alone, and what the names of tools hold that do it.
const NEED: &[(&str, &[&str])] = &[
    ("drill", &["drill"]),
    ("deburr", &["deburr", "file", "scrape", "countersink", "ream"]),
    ("crimp", &["crimp", "plier"]),
    ("solder", &["solder"]),
    ("shrink", &["heat gun", "heat-gun", "hot air", "hot-air", "torch", "lighter", "burner", "blower", "dryer"]),
    ("weld", &["weld"]),
    ("grind", &["grind"]),
    ("ream", &["ream"]),
    ("punch", &["punch"]),
    ("chock", &["chock", "wedge"]),
    ("cut", &["cut", "knife", "saw", "scissors", "shear", "snip", "blade", "chisel", "plier", "grind"]),
    ("hammer", &["hammer", "mallet"]),
    ("tap", &["hammer", "mallet", "tap", "drift", "punch", "bar"]),
    ("brush", &["brush"]),
];
/// What is cut, and drilled, without a tool.
const NO_TOOL: &[&str] = &[
    "engine", "power", "ignition", "current", "motor", "supply", "gas", "off", "in", "out", "back", "crew", "team",
    "people",
];
/// Words by which a brush cleans, rather than puts something on.
const CLEANED: &[&str] = &["clean", "bright", "off"];
/// What is tapped with a finger.
const LIGHT: &[&str] = &["screen", "display", "icon", "button", "key", "finger", "fingers", "hand", "glass", "gauge"];
/// Tools by the noun that ends their name, and what the names of tools hold that are the same.
const TOOLS: &[(&str, &[&str])] = &[
    ("hammer", &["hammer", "mallet"]),
    ("mallet", &["mallet", "hammer"]),
    ("hacksaw", &["saw"]),
    ("saw", &["saw"]),
    ("drill", &["drill"]),
    ("brush", &["brush"]),
    ("knife", &["knife"]),
    ("screwdriver", &["screwdriver", "bit"]),
    ("spanner", &["spanner", "wrench", "socket", "ratchet"]),
    ("wrench", &["wrench", "spanner", "socket", "ratchet"]),
    ("ratchet", &["ratchet", "wrench", "socket"]),
    ("pliers", &["plier"]),
    ("punch", &["punch"]),
    ("chisel", &["chisel"]),
    ("scraper", &["scrape"]),
    ("reamer", &["ream"]),
    ("crowbar", &["bar"]),
    ("bar", &["bar", "lever"]),
    ("crimper", &["crimp"]),
];
/// What may stand behind a tool.
const AFTER_TOOLS: &[&str] = &[
    "to", "from", "in", "on", "onto", "into", "at", "and", "or", "until", "with", "without", "for", "while", "through",
    "so", "before", "after", "between", "under", "over", "only", "as", "if", "when", "against", "of",
];
/// Bars that are tools.
const BARS: &[&str] = &["pry", "breaker", "wrecking"];

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>, told: &mut Vec<(StepId, &'static str)>) {
    let Some(step) = text.step.filter(|_| words.english && text.sort == Sort::Instruction) else { return };
    for sentence in text.sentences().to_vec() {
        let Some((run, tool, names)) = asks_for(text, &sentence) else { continue };
        if told.contains(&(step, tool)) || is_laid_out(words.procedure, step, names) {
            continue;
        }
        if let Some(place) = text.place(&run) {
            told.push((step, tool));
            let said = text.slice(&run).to_owned();
            words.tell(finding(words.procedure, step, &said, place));
        }
    }
}

type Asked = (Range<usize>, &'static str, &'static [&'static str]);

/// The words with which a sentence asks for a tool.
fn asks_for(text: &Text<'_>, sentence: &Range<usize>) -> Option<Asked> {
    let forbids = |from: usize, to: usize| (from..to).any(|at| matches!(text.lower(at), "not" | "never"));
    if let Some(found) = named(text, sentence) {
        return Some(found);
    }
    let mut starts = clauses(text, sentence);
    starts.extend(sentence.clone().filter(|at| text.lower(*at) == "and").map(|at| at + 1));
    starts.into_iter().find_map(|start| {
        let verb = opening_verb(text, start, sentence.end).filter(|verb| !forbids(sentence.start, *verb))?;
        let (word, names) = NEED.iter().find(|(word, _)| *word == text.lower(verb)).copied()?;
        let next = verb + 1;
        let object = (next..sentence.end).take_while(|at| !matches!(text.kind(*at), Some(TokenKind::Sign)));
        let object: Vec<usize> = object.take(4).collect();
        let no_tool = object.iter().any(|at| NO_TOOL.contains(&text.lower(*at))) && word == "cut";
        // `Brush primer into the holes`: what is brushed on may have its brush in the lid, and a screen is tapped by a finger.
        let is_light = match word {
            "brush" => !sentence.clone().any(|at| CLEANED.contains(&text.lower(at))),
            "tap" => sentence.clone().any(|at| LIGHT.contains(&text.lower(at))),
            _ => false,
        };
        // `Solder alone is not enough`: a thing. After *and* a word that is a thing too is a verb only where it acts on something.
        let acts = object.first().filter(|at| text.lower(**at) != "alone").is_some_and(|at| {
            start == sentence.start
                || text.kind(*at) != Some(TokenKind::Word)
                || super::verbs::BEFORE_THINGS.contains(&text.lower(*at))
                || !super::verbs::is_also_a_thing(word)
        });
        (acts && !no_tool && !is_light).then_some((verb..verb + 1, word, names))
    })
}

/// `with a wire brush`, `using a pair of pliers`, `Use a torque wrench`
fn named(text: &Text<'_>, sentence: &Range<usize>) -> Option<Asked> {
    let first = sentence.clone().find(|at| text.kind(*at) != Some(TokenKind::Sign))?;
    sentence.clone().find_map(|at| {
        let leads = match text.lower(at) {
            "with" | "using" => true,
            "use" => at == first,
            _ => false,
        };
        // `so that the hand is in contact with the wrench`
        let tells = !(first..at).any(|before| {
            let word = text.lower(before);
            matches!(word, "contact" | "not" | "never") || (word == "so" && text.lower(before + 1) == "that")
        });
        if !leads || !tells {
            return None;
        }
        let mut end = at + 1;
        while end < sentence.end && end < at + 6 && text.kind(end) == Some(TokenKind::Word) {
            let word = text.lower(end);
            let next = text.lower(end + 1);
            if matches!(word, "to" | "from" | "in" | "on" | "at" | "and" | "or" | "until" | "with") {
                return None;
            }
            let found = TOOLS.iter().find(|(tool, _)| *tool == word && !TOOLS.iter().any(|(other, _)| *other == next));
            if let Some((tool, names)) = found.copied() {
                let is_bar = tool != "bar" || BARS.contains(&text.lower(end - 1));
                // `with enough wrench torque`
                let ends = text.kind(end + 1) != Some(TokenKind::Word) || AFTER_TOOLS.contains(&next);
                return (is_bar && ends).then_some((at..end + 1, tool, names));
            }
            end += 1;
        }
        None
    })
}

/// Whether a line of the step, or a mention in it, lays out a tool of such a name, or takes a part that is one.
fn is_laid_out(procedure: &Procedure, step: StepId, names: &[&str]) -> bool {
    let is = |id: &str, title: &str| {
        let (id, title) = (id.to_lowercase(), title.to_lowercase());
        // A stop for a drill drills nothing, and a step drill turns in one.
        let needs_one = ["drill stop", "stop for", "step drill", "drill bit"].iter().any(|part| title.contains(part));
        let does = |name: &&str| !(*name == "drill" && needs_one);
        names.iter().filter(|name| does(name)).any(|name| id.contains(name) || title.contains(name))
    };
    let tool = |id| {
        let name = &procedure.tools[id].name;
        is(&name.id, &name.title)
    };
    let part = |id| {
        let name = &procedure.parts[id].name;
        is(&name.id, &name.title)
    };
    let takes = |line: &Line| match &line.kind {
        LineKind::Take(parts) => parts.iter().any(|counted| part(counted.what)),
        LineKind::Prose(prose) => {
            prose.mentions.iter().any(|mention| matches!(mention.target, MentionTarget::Part(id) if part(id)))
        }
        _ => false,
    };
    procedure.steps[step].lines.iter().any(|line| of_line(line).into_iter().any(tool) || takes(line))
}

/// The tools that a line lays out, or that its sentences mention.
pub(super) fn of_line(line: &Line) -> Vec<ToolId> {
    match &line.kind {
        LineKind::Use { tools, .. } => tools.iter().flat_map(|place| place.any_of.clone()).collect(),
        LineKind::Prose(prose) => {
            let mentioned = prose.mentions.iter().filter_map(|mention| match mention.target {
                MentionTarget::Tool(id) => Some(id),
                _ => None,
            });
            mentioned.collect()
        }
        other => other.worked_with().iter().flat_map(|place| place.any_of.clone()).collect(),
    }
}

fn finding(procedure: &Procedure, step: StepId, said: &str, place: Span) -> Finding {
    let row = &procedure.steps[step];
    Finding::new(
        Code::FW1212,
        format!("the words say `{said}`, and step {} uses no such tool", row.number),
        place,
        "a tool that only the words ask for",
    )
    .also(row.name.span, "the step")
    .because("The pick-list goes by the lines: the tool is not laid out, and no warning is asked for what it brings.")
    .repair("Write `use TOOL` in this step; a tool that the library lacks is declared with `tool`.")
}
