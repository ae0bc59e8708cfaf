//! FW0771, FW0772 and FW0773: glue, sealant and tape in the wrong order: on a face that is cleaned or primed after it, on one that was
//! oiled before, and under a load before it has cured.
//!
//! A sentence is held against another by the thing that both name (`things`). Common practice, from memory: clean, prime, glue,
//! join, wait, load.

use super::super::proof::Proof;
use super::classes::{GREASES, PAINT, PAINTS, SLIPPERY, SPREADS, says};
use super::said::Said;
use super::sentences::opening_verb;
use super::sequel::{self, Act, Does};
use super::text::{Sort, Text, stands_in};
use super::things::Thing;
use crate::diagnostics::{Code, Finding};
use crate::model::{LineKind, Procedure, StepId};
use crate::source::Span;

/// What sticks, in the singular.
const STICKY: &[&str] =
    &["adhesive", "glue", "sealant", "sealer", "mastic", "tape", "silicone", "epoxy", "putty", "butyl"];
/// A tape or paste that does not hold anything to a face.
const NO_GLUE: &[&str] = &[
    "masking",
    "insulating",
    "insulation",
    "electrical",
    "measuring",
    "friction",
    "spray",
    "mask",
    "gun",
    "primer",
    "remover",
];
/// Other verbs that put glue on a face.
const LAYS: &[&str] = &["run", "lay", "stick", "squeeze", "draw", "press", "inject", "work"];
const GLUES: &[&str] = &["glue", "bond", "stick"];
/// Before what glue goes on.
const ONTO: &[&str] =
    &["to", "on", "onto", "along", "around", "round", "in", "into", "over", "under", "across", "between"];
/// Verbs that prepare a face and nothing else.
const PREPARES: &[&str] = &["degrease", "prime", "sand", "abrade", "roughen", "scuff", "de-grease"];
/// Verbs that clean a face, or take off what was too much.
const CLEANS: &[&str] = &["clean", "wipe", "wash"];
const CLEANERS: &[&str] = &[
    "cleaner",
    "alcohol",
    "isopropanol",
    "ipa",
    "degreaser",
    "solvent",
    "acetone",
    "spirit",
    "spirits",
    "activator",
    "primer",
];
/// Words by which what oozes out is meant, another place, or another layer.
const NOT_THE_FACE: &[&str] = &[
    "excess", "surplus", "squeezed", "oozes", "off", "away", "residue", "tool", "tools", "hands", "around", "edges",
    "edge", "rest", "again", "over", "next", "other", "cured", "nozzle", "gun", "second", "bead", "joint", "seam",
    "visible",
];
/// Verbs by which two faces come together.
const JOINS: &[&str] =
    &["press", "fit", "place", "set", "put", "lay", "push", "stick", "hold", "lower", "offer", "glue", "bond", "mount"];
const CURES: &[&str] = &["cure", "cures", "cured", "curing", "harden", "hardens", "hardened", "hardening"];
/// Words of a sentence that waits for it.
const WAITS: &[&str] =
    &["cure", "cures", "cured", "harden", "hardens", "hardened", "dry", "dries", "set", "sets", "hard"];
/// Verbs that load what they hang on something.
const LOADS: &[&str] = &["hang", "hook", "load", "lean", "bolt", "screw", "pull", "stand", "sit"];
const OILY: &[&str] = &["oily", "oiled", "greasy"];

impl Said<'_, '_> {
    /// What the verb acts on at once, as long as it is no glue.
    fn acts_on(&self) -> Vec<Thing> {
        self.things().iter().filter(|thing| thing.by == self.verb && !thing.has(STICKY)).cloned().collect()
    }

    /// What something goes onto.
    fn targets(&self) -> Vec<Thing> {
        let is_one = |thing: &&Thing| ONTO.contains(&thing.by.as_str()) && !thing.has(STICKY);
        self.things().iter().filter(is_one).cloned().collect()
    }

    /// The faces on which it puts glue.
    fn glued(&self) -> Vec<Thing> {
        if GLUES.contains(&self.verb) && !self.things().iter().any(|thing| thing.has(STICKY)) {
            return [self.acts_on(), self.targets()].concat();
        }
        let puts = SPREADS.contains(&self.verb) || LAYS.contains(&self.verb);
        let is_it = self
            .things()
            .first()
            .is_some_and(|thing| thing.by == self.verb && thing.has(STICKY) && !thing.has(NO_GLUE));
        if puts && is_it { self.targets() } else { Vec::new() }
    }

    /// The faces that it cleans or primes for something; whether nothing else can be meant.
    fn prepared(&self) -> (Vec<Thing>, bool) {
        let verb = self.verb;
        if self.says(NOT_THE_FACE) || self.says(OILY) {
            return (Vec::new(), false);
        }
        let puts = SPREADS.contains(&verb)
            && self.things().first().is_some_and(|thing| thing.has(&["primer", "cleaner", "degreaser", "activator"]));
        match () {
            () if PREPARES.contains(&verb) => (self.acts_on(), true),
            () if puts => (self.targets(), true),
            () if CLEANS.contains(&verb) && self.says(CLEANERS) => (self.acts_on(), false),
            () => (Vec::new(), false),
        }
    }

    /// The faces that it leaves oily.
    fn oiled(&self) -> Vec<Thing> {
        let verb = self.verb;
        let with = |list: &[&str]| self.things().iter().any(|thing| thing.by == "with" && thing.has(list));
        if self.says(&["clean-up", "off", "away", "bit", "drill"]) {
            return Vec::new();
        }
        let rubs = CLEANS.contains(&verb) || matches!(verb, "rub" | "dry" | "polish");
        match () {
            () if rubs && (with(OILY) || with(SLIPPERY)) => self.acts_on(),
            () if GREASES.contains(&verb) || (SPREADS.contains(&verb) && with(SLIPPERY)) => self.acts_on(),
            () if SPREADS.contains(&verb) && self.things().first().is_some_and(|thing| thing.has(SLIPPERY)) => {
                self.targets()
            }
            () => Vec::new(),
        }
    }

    /// The faces that it glues, seals or paints.
    fn covered(&self) -> Vec<Thing> {
        let glued = self.glued();
        let verb = self.verb;
        if !glued.is_empty() {
            return glued;
        }
        let paint = SPREADS.contains(&verb) && self.things().first().is_some_and(|thing| thing.has(PAINT));
        match () {
            () if PAINTS.contains(&verb) || verb == "seal" => self.acts_on(),
            () if paint => self.targets(),
            () => Vec::new(),
        }
    }

    fn act(&self, things: Vec<Thing>, does: Does) -> Act {
        Act { step: self.step, place: self.place, things, does }
    }
}

pub(super) fn check<'p>(proof: &mut Proof<'p>, texts: &[Text<'p>], all: &[Said<'_, 'p>]) {
    let procedure = proof.procedure;
    let waits = waits(procedure, texts);
    for strictly in [true, false] {
        sequel::check(proof, Code::FW0771, &prepared_late(all, &waits, strictly), late);
    }
    sequel::check(proof, Code::FW0772, &oiled_before(all), oily);
    let is_stated = texts.iter().any(|text| says(text, 0..text.tokens.len(), CURES));
    if is_stated {
        sequel::check(proof, Code::FW0773, &loaded_early(all, waits), early);
    }
}

/// Where something is left to cure: a line that waits, or a sentence that says so. A note leaves nothing.
fn waits(procedure: &Procedure, texts: &[Text<'_>]) -> Vec<(StepId, Span)> {
    let is_note = |step: StepId, place: Span| {
        let mut notes = procedure.steps[step].lines.iter().filter(|line| matches!(line.kind, LineKind::Note(_)));
        notes.any(|line| stands_in(place, line.span))
    };
    let mut found = Vec::new();
    for text in texts.iter().filter(|text| matches!(text.sort, Sort::Instruction | Sort::Told)) {
        for sentence in text.sentences() {
            let (Some(step), Some(place)) = (text.step, text.place(sentence)) else { continue };
            let verb = opening_verb(text, sentence.start, sentence.end).map(|verb| text.lower(verb));
            let is_told = verb.is_some_and(|verb| matches!(verb, "wait" | "let" | "leave" | "allow"));
            let waits = (text.sort == Sort::Told && !is_note(step, place)) || is_told;
            if waits && says(text, sentence.clone(), WAITS) {
                found.push((step, place));
            }
        }
    }
    found
}

fn ends(waits: &[(StepId, Span)]) -> impl Iterator<Item = Act> + '_ {
    waits.iter().map(|(step, place)| Act { step: *step, place: *place, things: Vec::new(), does: Does::Ends })
}

/// FW0771: what prepares a face strictly is too late even when it is covered; what cleans it may then be for what oozed out.
fn prepared_late(all: &[Said<'_, '_>], waits: &[(StepId, Span)], strictly: bool) -> Vec<Act> {
    let mut acts: Vec<Act> = ends(waits).collect();
    for one in all.iter().filter(|one| one.is_now) {
        let glued = one.glued();
        let (prepared, is_strict) = one.prepared();
        let takes_off = matches!(one.verb, "remove" | "peel" | "scrape" | "pull" | "take");
        if !glued.is_empty() {
            acts.push(one.act(glued, Does::Begins));
        } else if !prepared.is_empty() && is_strict == strictly {
            acts.push(one.act(prepared, Does::Late));
        } else if takes_off || (!strictly && JOINS.contains(&one.verb)) {
            acts.push(one.act(Vec::new(), Does::Ends));
        }
    }
    acts
}

/// FW0772.
fn oiled_before(all: &[Said<'_, '_>]) -> Vec<Act> {
    let mut acts = Vec::new();
    for one in all.iter().filter(|one| one.is_now) {
        let (oiled, covered) = (one.oiled(), one.covered());
        let cleans = PREPARES.contains(&one.verb) && one.verb != "prime" || CLEANS.contains(&one.verb);
        if !oiled.is_empty() {
            acts.push(one.act(oiled, Does::Begins));
        } else if cleans {
            acts.push(one.act(one.acts_on(), Does::Ends));
        } else if !covered.is_empty() {
            acts.push(one.act(covered, Does::Late));
        }
    }
    acts
}

/// FW0773.
fn loaded_early(all: &[Said<'_, '_>], waits: Vec<(StepId, Span)>) -> Vec<Act> {
    let mut acts: Vec<Act> = ends(&waits).collect();
    let mut glued: Vec<Thing> = Vec::new();
    for one in all.iter().filter(|one| one.is_now) {
        let (own, object, targets) = (one.glued(), one.acts_on(), one.targets());
        let is_glued = |thing: &Thing| glued.iter().any(|face| !face.words.is_empty() && face.is(thing, false));
        let joins =
            JOINS.contains(&one.verb) && (object.iter().chain(&targets).any(is_glued) || GLUES.contains(&one.verb));
        let moves = match one.verb {
            "drive" | "wash" => one.says(VEHICLE),
            "spray" | "pour" => one.says(&["water"]),
            "slam" => one.says(&["door", "doors"]),
            _ => false,
        };
        if joins && !object.is_empty() {
            acts.push(one.act(object, Does::Begins));
        } else if moves && !one.says(FASTENER) {
            acts.push(one.act(Vec::new(), Does::Late));
        } else if LOADS.contains(&one.verb) && !targets.is_empty() {
            let from = one.things().iter().filter(|thing| matches!(thing.by.as_str(), "from" | "against" | "at"));
            let things: Vec<Thing> = from.chain(&targets).filter(|thing| !thing.words.is_empty()).cloned().collect();
            acts.extend((!things.is_empty()).then(|| one.act(things, Does::Late)));
        } else if one.verb == "load" && !object.is_empty() {
            acts.push(one.act(object, Does::Late));
        }
        glued.extend(own);
    }
    acts
}

const VEHICLE: &[&str] = &["vehicle", "van", "truck", "car", "trailer", "out"];
/// What is driven in rather than off.
const FASTENER: &[&str] = &["screw", "screws", "rivet", "rivets", "nail", "nails", "pin", "pins", "wedge"];

fn late(glued: Span, place: Span) -> Finding {
    Finding::new(Code::FW0771, "a face is prepared after glue, sealant or tape was put on it", place, "too late here")
        .also(glued, "put on here")
        .because("What is on the face already sticks to dirt, or to no primer; cleaner and primer on top spoil it. It holds at first, and comes off later.")
        .repair("Put the cleaning, sanding or priming before what goes on the face. Where what oozed out is cleaned away, say so: `Wipe off the excess`.")
}

fn oily(oiled: Span, place: Span) -> Finding {
    Finding::new(Code::FW0772, "glue, sealant or paint goes on a face that was made oily", place, "it does not hold on oil")
        .also(oiled, "made oily here")
        .because("Glue, sealant and paint do not hold on a film of oil or grease: they come off later, where nobody looks.")
        .repair("Degrease the face between the two, with a clean cloth and what the maker of the glue or paint names; or leave the oil out.")
}

fn early(glued: Span, place: Span) -> Finding {
    Finding::new(Code::FW0773, "something glued is loaded, or driven with, before the words have it cured", place, "loaded here")
        .also(glued, "glued here, and nothing waits after it")
        .because("Glue that is loaded before it has cured creeps, and holds less for good.")
        .repair("Write `wait … \"until the adhesive has cured\"` before it, with the time that the maker states, or put this after the wait.")
}
