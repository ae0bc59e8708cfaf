//! FW0771, FW0772, FW0773 and FW0777: glue, sealant and tape in the wrong order: on a face that is cleaned or primed after it, on one that was
//! oiled before, and under a load before it has cured.
//!
//! A sentence is held against another by the thing that both name (`things`). Common practice, from memory: clean, prime, glue,
//! join, wait, load.

use super::super::proof::Proof;
use super::classes::{GREASES, HOSES, PAINT, PAINTS, SLIPPERY, SPREADS};
use super::cures::{self, Short, Wait};
use super::said::Said;
use super::sequel::{self, Act, Does};
use super::text::Text;
use super::things::Thing;
use crate::diagnostics::{Code, Finding};
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
    "thinner",
    "benzine",
    "detergent",
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
    pub fn glued(&self) -> Vec<Thing> {
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

    /// The faces that it touches with a hand.
    fn touched(&self) -> Vec<Thing> {
        const HANDS: &[&str] = &["finger", "fingertip", "hand", "thumb", "palm"];
        let gloved = ["glove", "gloves", "gloved", "cloth", "up"];
        let bare = |thing: &&Thing| thing.is_a(HANDS);
        let over = ["along", "over", "across", "on", "onto", "against"];
        let with =
            self.things().iter().any(|thing| matches!(thing.by.as_str(), "with" | "by" | "using") && bare(&thing));
        let strokes = matches!(self.verb, "run" | "slide" | "draw" | "put" | "lay" | "place")
            && self.object().filter(bare).is_some();
        let feels = matches!(self.verb, "touch" | "feel")
            || (with && matches!(self.verb, "rub" | "wipe" | "stroke" | "smooth" | "check" | "test"));
        match () {
            () if self.says(&gloved) => Vec::new(),
            () if strokes => self.by(&over),
            () if feels => {
                self.by(&[self.verb, "along", "over", "across"]).into_iter().filter(|thing| !bare(&thing)).collect()
            }
            () => Vec::new(),
        }
    }

    fn act(&self, things: Vec<Thing>, does: Does) -> Act {
        Act { step: self.step, place: self.place, things, does }
    }
}

pub(super) fn check<'p>(proof: &mut Proof<'p>, texts: &[Text<'p>], all: &[Said<'_, 'p>]) {
    let procedure = proof.procedure;
    let waits = cures::waits(procedure, texts);
    for strictly in [true, false] {
        sequel::check(proof, Code::FW0771, &prepared_late(all, &waits, strictly), late);
    }
    sequel::check(proof, Code::FW0771, &washed_off(all, &waits), late);
    sequel::check(proof, Code::FW0772, &oiled_before(all), oily);
    if all.iter().any(|one| !one.covered().is_empty()) {
        sequel::check(proof, Code::FW0777, &touched_late(all), touched);
    }
    if all.iter().any(|one| !one.glued().is_empty()) && cures::is_stated(procedure, texts) {
        let short = cures::short(procedure, texts, &waits);
        for loads in [loads(all), moves(all)] {
            let acts: Vec<Act> = ends(&waits).chain(loads.iter().cloned()).collect();
            sequel::check(proof, Code::FW0773, &acts, early);
            if let Some(short) = short.clone() {
                sequel::check(proof, Code::FW0773, &after_short(loads, &waits), move |wait, place| {
                    shortly(&short, wait, place)
                });
            }
        }
    }
}

fn ends(waits: &[Wait]) -> impl Iterator<Item = Act> + '_ {
    waits.iter().map(|wait| wait.act(Does::Ends))
}

/// FW0771: what prepares a face strictly is too late even when it is covered; what cleans it may then be for what oozed out.
fn prepared_late(all: &[Said<'_, '_>], waits: &[Wait], strictly: bool) -> Vec<Act> {
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

/// FW0771: a primer that is cleaned off before anything went on it. Paint is rubbed down and wiped between its coats.
fn washed_off(all: &[Said<'_, '_>], waits: &[Wait]) -> Vec<Act> {
    let mut acts: Vec<Act> = ends(waits).collect();
    for one in all.iter().filter(|one| one.is_now) {
        let prepared = one.prepared().0;
        let primes = one.verb == "prime" || one.says(&["primer"]);
        let washes = CLEANS.contains(&one.verb) || matches!(one.verb, "degrease" | "de-grease");
        if primes && !prepared.is_empty() {
            acts.push(one.act(prepared, Does::Begins));
        } else if washes && !prepared.is_empty() && !one.says(&["activator"]) {
            acts.push(one.act(prepared, Does::Late));
        } else if !one.covered().is_empty() || JOINS.contains(&one.verb) || one.does(&["sand", "rub", "let", "wait"]) {
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

/// FW0777: a face that was prepared is touched before anything covers it.
fn touched_late(all: &[Said<'_, '_>]) -> Vec<Act> {
    let mut acts = Vec::new();
    // Of each face that was touched, where: what is cleaned again may be touched before.
    let mut late: Vec<Act> = Vec::new();
    for one in all.iter().filter(|one| one.is_now) {
        let (prepared, touched) = (one.prepared().0, one.touched());
        if !touched.is_empty() {
            late.push(one.act(touched, Does::Late));
        } else if !prepared.is_empty() {
            let again = one.act(prepared, Does::Begins);
            let primes = one.verb == "prime" || one.says(&["primer"]);
            late.retain(|touched| primes || !touched.meets(&again));
            acts.push(again);
        } else if !one.covered().is_empty() || JOINS.contains(&one.verb) {
            acts.push(one.act(Vec::new(), Does::Ends));
            acts.append(&mut late);
        }
    }
    acts.append(&mut late);
    acts
}

/// FW0773: what joins glued faces, and what loads them.
fn loads(all: &[Said<'_, '_>]) -> Vec<Act> {
    let mut acts = Vec::new();
    let mut glued: Vec<Thing> = Vec::new();
    for one in all.iter().filter(|one| one.is_now) {
        let (own, object, targets) = (one.glued(), one.acts_on(), one.targets());
        let is_glued = |thing: &Thing| glued.iter().any(|face| !face.words.is_empty() && face.is(thing, false));
        let joins =
            JOINS.contains(&one.verb) && (object.iter().chain(&targets).any(is_glued) || GLUES.contains(&one.verb));
        if joins && !object.is_empty() {
            acts.push(one.act(object, Does::Begins));
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

/// FW0773: what glues anything, and what moves all of it.
fn moves(all: &[Said<'_, '_>]) -> Vec<Act> {
    let does = |one: &Said<'_, '_>| {
        let moves = match one.verb {
            "drive" | "wash" => one.says(VEHICLE),
            "spray" | "pour" => one.says(&["water"]),
            "slam" => one.says(&["door", "doors"]),
            // What holds it until then.
            "take" | "remove" | "open" => {
                one.object().is_some_and(|thing| thing.is_a(&["clamp", "weight"]) && !thing.has(HOSES))
            }
            _ => false,
        };
        match () {
            () if !one.glued().is_empty() => Some(Does::Begins),
            () if moves && !one.says(FASTENER) => Some(Does::Late),
            () => None,
        }
    };
    all.iter().filter(|one| one.is_now).filter_map(|one| does(one).map(|does| one.act(Vec::new(), does))).collect()
}

/// FW0773, where waits are too short: what is glued anywhere is loaded after one of them.
fn after_short(loads: Vec<Act>, waits: &[Wait]) -> Vec<Act> {
    let begun = || loads.iter().filter(|act| act.does == Does::Begins);
    let glued: Vec<Thing> = begun().flat_map(|act| act.things.clone()).collect();
    let is_glued = begun().next().is_some();
    let late = loads.into_iter().filter(|act| act.does == Does::Late);
    let begins = waits.iter().map(|wait| Act { things: glued.clone(), ..wait.act(Does::Begins) });
    late.chain(begins.filter(|_| is_glued)).collect()
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

fn touched(prepared: Span, place: Span) -> Finding {
    Finding::new(Code::FW0777, "a face is touched after it was cleaned or primed for what sticks to it", place, "fat of the skin goes on it here")
        .also(prepared, "prepared here")
        .because("Skin leaves fat and salt on the face: glue, tape and paint come off there first.")
        .repair("Look at it instead, or touch it before it is cleaned: `Feel the edge for burrs.`, then `Wipe the face with cleaner.`")
}

fn early(glued: Span, place: Span) -> Finding {
    Finding::new(Code::FW0773, "something glued is loaded, or driven with, before the words have it cured", place, "loaded here")
        .also(glued, "glued here, and nothing waits after it")
        .because("Glue that is loaded before it has cured creeps, and holds less for good.")
        .repair("Write `wait … \"until the adhesive has cured\"` before it, with the time that the maker states, or put this after the wait.")
}

fn shortly(short: &Short, wait: Span, place: Span) -> Finding {
    let Short { wait: waits, cure, stated } = short;
    Finding::new(Code::FW0773, "something glued is loaded, or driven with, before its stated time of cure is over", place, "loaded here")
        .also(wait, format!("{waits} at most until then"))
        .also(*stated, format!("{cure} is stated here"))
        .because("Glue that is loaded before it has cured creeps, and holds less for good.")
        .repair("Wait as long as the maker states, or correct the time that is stated. Where the glue bears a load sooner, state that time too.")
}
