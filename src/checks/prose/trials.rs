//! FW0961: something is tried while nothing feeds it yet: a point of its circuit is open, its fuse is not in, or it is isolated.
//!
//! Told where a sentence or a question is a trial, and what it tries is called as a circuit of the job, its points or its title
//! are. Where the words may mean several circuits, none of them may be fed. Which words are trials is from memory; one that is
//! missing makes the rule silent.

use std::collections::BTreeMap;
use std::ops::Range;

use super::super::proof::{Proof, Subject};
use super::text::{Sort, Text, plain, stands_in};
use crate::diagnostics::{Code, Finding};
use crate::model::{
    ChoiceId, Circuit, CircuitId, Cond, CondKind, IdMap, MentionTarget, Node, PartId, PointId, Procedure, Reading,
    StepId, walk,
};
use crate::source::Span;
use crate::space::{Effect, Event, Formula, Role};

/// What uses current and shows that it does.
const DEVICES: &[&str] = &[
    "lamp",
    "light",
    "horn",
    "pump",
    "fan",
    "motor",
    "compressor",
    "fridge",
    "heater",
    "winch",
    "camera",
    "radio",
    "beacon",
    "siren",
    "buzzer",
    "actuator",
    "blower",
    "wiper",
    "indicator",
    "charger",
    "display",
    "fridge-freezer",
];
/// What it does then.
const WORKS: &[&str] = &[
    "light", "lights", "work", "works", "run", "runs", "glow", "glows", "shine", "shines", "sound", "sounds", "start",
    "starts", "blow", "blows", "flash", "flashes",
];
const SMALL: &[&str] = &["the", "a", "an", "both", "all", "each", "every", "two", "three", "four", "new"];
/// Words with which it is another trial, or one of what must not work.
const OTHERWISE: &[&str] = &[
    "not",
    "no",
    "never",
    "off",
    "dark",
    "without",
    "before",
    "until",
    "if",
    "continuity",
    "resistance",
    "short",
    "shorts",
    "meter",
    "multimeter",
    "ohmmeter",
    "bench",
    "fit",
    "fits",
    "supply",
    "loose",
    "hand",
    "unplugged",
    "later",
    "simulator",
];

/// What is true of a circuit, in which runs.
struct Course {
    exists: Formula,
    connected: IdMap<PointId, Formula>,
    /// The fuse that is a part of it is in.
    fuse: Option<(PartId, Formula)>,
    /// It was told of a trial that nothing feeds it.
    told: Formula,
}

/// Why nothing flows.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Missing {
    Point(PointId),
    Fuse(PartId),
    Isolated,
}

/// A sentence that tries something.
struct Tries {
    place: Span,
    meant: Vec<CircuitId>,
}

pub(super) fn check<'p>(proof: &mut Proof<'p>, texts: &[Text<'p>]) {
    let procedure = proof.procedure;
    if !procedure.is_english() || procedure.circuits.rows().is_empty() {
        return;
    }
    let names: IdMap<CircuitId, Vec<String>> = procedure.circuits.map(|_, circuit| names(circuit));
    let asked = procedure.choices.map(|_, choice| {
        let title = plain(&choice.name.title, Sort::Question, None, choice.name.span);
        question(&said(procedure, &title, &(0..title.tokens.len())), &names)
    });
    let by_step = instructions(procedure, texts, &names);
    let checks = procedure.sections.iter().flat_map(|section| walk(&section.body));
    let expects: BTreeMap<StepId, &[Cond]> = checks
        .filter_map(|node| match node {
            Node::Check(check) => Some((check.step, check.expects.as_slice())),
            _ => None,
        })
        .collect();
    let mut courses = procedure.circuits.map(|_, circuit| at_first(procedure, circuit));
    let events = proof.events.clone();
    // What words of a step try is tried when its lines are done: they stand above the lines that do it.
    let mut pending: Vec<(&Event<'_>, &Tries)> = Vec::new();
    let mut before: Option<&Event<'_>> = None;
    for event in events.iter() {
        if let Some(last) = before.replace(event).filter(|last| last.place.step != event.place.step) {
            for (said, tries) in std::mem::take(&mut pending) {
                tried(proof, (said, last, tries.place), &tries.meant, &mut courses);
            }
        }
        match event.effect {
            Effect::Judged { role: Role::Circuit(circuit), holds, .. } => courses[circuit].exists = holds,
            Effect::Connect { circuit, point } => {
                let here = &mut courses[circuit].connected[point];
                *here = proof.space.either(*here, event.guard);
            }
            Effect::Disconnect { circuit, point } => {
                let here = &mut courses[circuit].connected[point];
                *here = proof.space.both(*here, !event.guard);
            }
            Effect::Take { part, .. } | Effect::Refit { part, .. } => fuse(proof, event, part, true, &mut courses),
            Effect::Remove { part, .. } | Effect::Discard { part, .. } => fuse(proof, event, part, false, &mut courses),
            Effect::Prose(prose) if !prose.sure => {
                let own = event.place.step.and_then(|step| by_step.get(&step)).into_iter().flatten();
                pending.extend(own.filter(|one| stands_in(one.place, event.place.span)).map(|one| (event, one)));
            }
            Effect::Read(Reading::Choice(choice)) => {
                let expects = event.place.step.and_then(|step| expects.get(&step)).copied();
                if !wants_none(procedure, expects, choice) {
                    tried(proof, (event, event, event.place.span), &asked[choice], &mut courses);
                }
            }
            _ => {}
        }
    }
}

fn at_first(procedure: &Procedure, circuit: &Circuit) -> Course {
    let formula = |is: bool| if is { Formula::ALWAYS } else { Formula::NEVER };
    let part = circuit.protection.as_ref().and_then(|one| one.part).map(|(part, _)| part);
    let there = |part: PartId| circuit.on_vehicle || procedure.on_vehicle().any(|entry| entry.what == part);
    Course {
        exists: Formula::ALWAYS,
        connected: circuit.points.map(|point, _| formula(circuit.connected_before(point))),
        fuse: part.map(|part| (part, formula(there(part)))),
        told: Formula::NEVER,
    }
}

fn fuse(proof: &mut Proof<'_>, event: &Event<'_>, part: PartId, goes_in: bool, courses: &mut IdMap<CircuitId, Course>) {
    for (_, course) in courses.iter_mut() {
        if let Some((_, is_in)) = course.fuse.as_mut().filter(|(own, _)| *own == part) {
            *is_in = match goes_in {
                true => proof.space.either(*is_in, event.guard),
                false => proof.space.both(*is_in, !event.guard),
            };
        }
    }
}

/// The words by which a circuit and what it feeds are called.
fn names(circuit: &Circuit) -> Vec<String> {
    let points = circuit.points.rows().iter().map(|point| point.title.as_str());
    let all = points.chain([circuit.name.title.as_str()]).flat_map(words);
    all.map(|word| singular(&word)).collect()
}

fn words(text: &str) -> Vec<String> {
    let words = text.split(|c: char| !(c.is_alphanumeric() || c == '-'));
    words.filter(|word| !word.is_empty()).map(str::to_lowercase).collect()
}

fn singular(word: &str) -> String {
    word.strip_suffix('s').filter(|rest| rest.len() > 2).unwrap_or(word).to_owned()
}

fn says(words: &[String], list: &[&str]) -> bool {
    words.iter().any(|word| list.contains(&word.as_str()))
}

/// A thing at the head of words, `the work lamp`: the circuits that may be meant, and how many words it takes.
fn thing(words: &[String], names: &IdMap<CircuitId, Vec<String>>) -> Option<(Vec<CircuitId>, usize)> {
    let start = words.iter().take_while(|word| SMALL.contains(&word.as_str())).count();
    let length = words.iter().skip(start).take(3).position(|word| DEVICES.contains(&singular(word).as_str()))?;
    let own = words.get(start..=start + length)?;
    let meant =
        |(id, known): (CircuitId, &Vec<String>)| own.iter().all(|word| known.contains(&singular(word))).then_some(id);
    let meant: Vec<CircuitId> = names.iter().filter_map(meant).collect();
    (!meant.is_empty()).then_some((meant, start + length + 1))
}

/// `lights`, `comes on`
fn works(words: &[String]) -> bool {
    let on = words.get(1).is_some_and(|word| word == "on");
    words.first().is_some_and(|word| match word.as_str() {
        "turn" | "turns" | "come" | "comes" => on,
        word => WORKS.contains(&word),
    })
}

/// `Does the lamp light?`: the circuits that may be meant.
fn question(said: &[String], names: &IdMap<CircuitId, Vec<String>>) -> Vec<CircuitId> {
    let Some((first, rest)) = said.split_first().filter(|(_, rest)| !says(rest, OTHERWISE)) else { return Vec::new() };
    let Some((meant, length)) = thing(rest, names) else { return Vec::new() };
    let then = rest.get(length).map(String::as_str).unwrap_or_default();
    let works = match first.as_str() {
        "does" | "do" => works(rest.get(length..).unwrap_or_default()),
        "is" | "are" => matches!(then, "lit" | "on" | "alight" | "running") && rest.len() == length + 1,
        _ => false,
    };
    if works { meant } else { Vec::new() }
}

/// The sentences of each step that try something.
fn instructions(
    procedure: &Procedure,
    texts: &[Text<'_>],
    names: &IdMap<CircuitId, Vec<String>>,
) -> BTreeMap<StepId, Vec<Tries>> {
    let mut by_step: BTreeMap<StepId, Vec<Tries>> = BTreeMap::new();
    for text in texts.iter().filter(|text| text.sort == Sort::Instruction) {
        let Some(step) = text.step else { continue };
        for sentence in text.sentences() {
            let signs = sentence.clone().filter(|at| text.is_sign(*at, ";"));
            let mut start = sentence.start;
            for end in signs.chain([sentence.end]) {
                let meant = instruction(&said(procedure, text, &(start..end)), names);
                let place = text.place(&(start..end)).filter(|_| !meant.is_empty());
                by_step.entry(step).or_default().extend(place.map(|place| Tries { place, meant }));
                start = end + 1;
            }
        }
    }
    by_step
}

/// `Switch the lamp on.`, `Try the [feed].`, `Check that the pump runs.`: the circuits that may be meant.
fn instruction(said: &[String], names: &IdMap<CircuitId, Vec<String>>) -> Vec<CircuitId> {
    let Some((first, rest)) = said.split_first().filter(|(_, rest)| !says(rest, OTHERWISE)) else { return Vec::new() };
    let meant = match first.as_str() {
        "try" | "test" | "operate" => {
            let ends = |length: usize| {
                rest.get(length)
                    .is_none_or(|word| matches!(word.as_str(), "and" | "again" | "now" | "feed" | "circuit"))
            };
            thing(rest, names).filter(|(_, length)| ends(*length)).map(|(meant, _)| meant)
        }
        "switch" | "turn" | "power" => switched(rest, names),
        "check" | "see" | "verify" | "confirm" | "make" => {
            let that = rest.iter().position(|word| word == "that");
            let rest = that.and_then(|at| rest.get(at + 1..)).unwrap_or_default();
            let works = |length: usize| works(rest.get(length..).unwrap_or_default());
            thing(rest, names).filter(|(_, length)| works(*length)).map(|(meant, _)| meant)
        }
        _ => None,
    };
    meant.unwrap_or_default()
}

/// `on the lamp`, `the lamp on`
fn switched(rest: &[String], names: &IdMap<CircuitId, Vec<String>>) -> Option<Vec<CircuitId>> {
    let is_on = |word: Option<&String>| word.is_some_and(|word| word == "on" || word == "up");
    if is_on(rest.first()) {
        return thing(rest.get(1..)?, names).map(|(meant, _)| meant);
    }
    let ends = |after: Option<&String>| after.is_none_or(|word| matches!(word.as_str(), "and" | "for" | "with" | "at"));
    let (meant, length) = thing(rest, names)?;
    (is_on(rest.get(length)) && ends(rest.get(length + 1))).then_some(meant)
}

/// The words of a run of tokens in small letters, those of titles in the place of circuits and parts that are mentioned.
fn said(procedure: &Procedure, text: &Text<'_>, run: &Range<usize>) -> Vec<String> {
    let of_token = |at: usize| match text.mention(at) {
        Some(mention) => match &mention.target {
            MentionTarget::Circuit(circuit) => words(&procedure.circuits[*circuit].name.title),
            MentionTarget::Part(part) => words(&procedure.parts[*part].name.title),
            _ => words(&mention.text),
        },
        None => words(text.word(at)),
    };
    run.clone().flat_map(of_token).collect()
}

/// Whether a check is passed where what it reads is *no*: that nothing works is what it looks for.
fn wants_none(procedure: &Procedure, expects: Option<&[Cond]>, choice: ChoiceId) -> bool {
    let is_none = |value: usize| {
        let value = procedure.choices[choice].values.get(value);
        value.is_some_and(|value| says(&words(&value.label), &["no", "off", "dark", "dead", "none", "nothing"]))
    };
    expects.is_some_and(|expects| expects.iter().any(|cond| asks_for(cond, choice, &is_none)))
}

fn asks_for(cond: &Cond, choice: ChoiceId, is_none: &dyn Fn(usize) -> bool) -> bool {
    match &cond.kind {
        CondKind::Any(all) | CondKind::All(all) => all.iter().any(|one| asks_for(one, choice, is_none)),
        // `expect not lights is yes`
        CondKind::Not(one) => asks_for(one, choice, &|value| !is_none(value)),
        CondKind::Is(other, value) => *other == choice && is_none(*value),
        CondKind::In(..) | CondKind::Compares(_) => false,
    }
}

fn tried<'p>(
    proof: &mut Proof<'p>,
    (said, last, span): (&Event<'p>, &Event<'p>, Span),
    meant: &[CircuitId],
    courses: &mut IdMap<CircuitId, Course>,
) {
    let procedure = proof.procedure;
    // What somebody else feeds or connects later is his to try; whoever tries it here has his reason.
    let is_left =
        |circuit: &Circuit| circuit.is_harmless() || circuit.points.rows().iter().any(|point| point.left.is_some());
    if meant.is_empty() || meant.iter().any(|circuit| is_left(&procedure.circuits[*circuit])) {
        return;
    }
    let mut all: Vec<(CircuitId, Vec<(Missing, Formula)>)> = Vec::new();
    // The runs in which it is told, and those in which it is so, told before or not.
    let mut broken = proof.sure(said);
    let mut shown = broken;
    for id in meant {
        let things = things(proof, last, *id, &courses[*id]);
        let works = proof.space.all(things.iter().map(|(_, so)| *so));
        let works = proof.space.both(works, courses[*id].exists);
        let told = courses[*id].told;
        broken = proof.space.all([broken, !works, !told]);
        shown = proof.space.both(shown, !works);
        all.push((*id, things));
    }
    for (circuit, things) in all {
        let exists = courses[circuit].exists;
        let (here, shown_here) = (proof.space.both(broken, exists), proof.space.both(shown, exists));
        (broken, shown) = (proof.space.both(broken, !exists), proof.space.both(shown, !exists));
        courses[circuit].told = proof.space.either(courses[circuit].told, here);
        let all_shown = proof.first_not(&things, shown_here);
        for (missing, runs) in proof.first_not(&things, here) {
            let subject = match missing {
                Missing::Point(point) => Subject::Point(circuit, point),
                Missing::Fuse(part) => Subject::Part(part),
                Missing::Isolated => Subject::Circuit(circuit),
            };
            let shown = all_shown.iter().find(|(other, _)| *other == missing).map_or(runs, |(_, shown)| *shown);
            proof.oblige_shown((Code::FW0961, span, subject), last.id, (runs, shown), move |proof| {
                finding(proof.procedure, circuit, missing, span)
            });
        }
    }
}

/// What must be so that a circuit is fed.
fn things(proof: &mut Proof<'_>, event: &Event<'_>, circuit: CircuitId, course: &Course) -> Vec<(Missing, Formula)> {
    let mut things: Vec<(Missing, Formula)> =
        course.connected.iter().map(|(point, here)| (Missing::Point(point), *here)).collect();
    things.extend(course.fuse.map(|(part, is_in)| (Missing::Fuse(part), is_in)));
    let isolated = proof.isolated(event.id, circuit);
    things.push((Missing::Isolated, !isolated));
    things
}

fn finding(procedure: &Procedure, circuit: CircuitId, missing: Missing, span: Span) -> Finding {
    let row = &procedure.circuits[circuit];
    let name = &row.name.id;
    let (why, repair) = match missing {
        Missing::Point(point) => {
            let point = &row.points[point].id;
            (
                format!("`{point}` need not be connected"),
                format!("Write `connect {name}` or `connect {name} at {point}` before it."),
            )
        }
        Missing::Fuse(part) => {
            let part = &procedure.parts[part].name.id;
            (format!("`{part}` need not be in"), format!("Write `take 1 {part}` before it."))
        }
        Missing::Isolated => {
            let need =
                row.isolated_by.first().map(|need| procedure.states[need.state].name.id.clone()).unwrap_or_default();
            (format!("`{need}` can still isolate it"), format!("End the isolation with `make {need} …` before it."))
        }
    };
    Finding::new(Code::FW0961, format!("`{name}` is tried here, and {why}"), span, "nothing feeds it here")
        .also(row.name.span, "the circuit")
        .because("What is tried without current is found dead: a fault is looked for that is none, or the trial is ticked unseen.")
        .repair(format!("{repair} Or put the trial after what feeds it."))
}
