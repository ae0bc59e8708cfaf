//! FW0769 and FW0770: holes that are deburred, painted or sealed when what covers them is on already, and marked when they are drilled.
//!
//! Which holes a sentence works on goes by the sentence before it that drills: that joint, where it is sure (`bolts`), else what the words
//! bolt on after it. Common practice, from memory.

use std::collections::BTreeMap;
use std::ops::Range;

use super::super::proof::{Proof, Subject};
use super::super::tight;
use super::bolts::{self, Drills};
use super::classes::{ANOTHER_TIME, FASTENERS, FORBIDS, HOLES, MAKES_HOLES, PAINT, SPREADS, says, says_each, says_of};
use super::said::Said;
use super::sentences::opening_verb;
use super::sequel::{self, Act, Does};
use super::text::{Sort, Text, stands_in};
use crate::diagnostics::{Code, Finding};
use crate::model::{JointId, Procedure, StepId};
use crate::source::Span;
use crate::space::{Effect, Formula};

/// Verbs that finish a hole.
const FINISHES: &[&str] = &["deburr", "paint", "prime", "lacquer", "seal", "treat", "coat"];
/// Other holes, or what is done around the bolts that are in them.
const OTHERS: &[&str] = &[
    "around", "heads", "head", "bolts", "screws", "other", "others", "drain", "grommet", "grommets", "cable", "plug",
    "plugs", "old", "existing", "unused", "open", "spare", "rest", "inside", "gap",
];
/// Verbs that bolt something on.
const FASTENS: &[&str] = &["bolt", "screw", "rivet", "fasten", "tighten"];
/// Verbs that put a bolt or screw in.
const DRIVES: &[&str] = &["drive", "run", "turn", "put", "fit", "set", "push", "thread", "insert"];
const MARKS: &[&str] = &["mark", "scribe", "centre-punch", "center-punch", "dot-punch"];
/// A mark for something else than drilling, or on other holes.
const OTHER_MARKS: &[&str] = &[
    "drilled",
    "finished",
    "tag",
    "tags",
    "label",
    "labels",
    "number",
    "numbers",
    "drawing",
    "sheet",
    "remaining",
    "other",
    "next",
    "second",
    "existing",
    "paint",
    "tape",
    "used",
    "wrong",
    "card",
];

/// A sentence that finishes holes.
struct Finishes {
    step: StepId,
    place: Span,
}

pub(super) fn check<'p>(proof: &mut Proof<'p>, texts: &[Text<'p>], all: &[Said<'_, 'p>]) {
    let procedure = proof.procedure;
    let works = |one: &Said<'_, '_>| one.says(HOLES) && !one.does(MAKES_HOLES);
    if !all.iter().any(|one| one.does(MAKES_HOLES)) || !all.iter().any(works) {
        return;
    }
    let drills = bolts::drills(procedure, texts);
    let drills: Vec<Drills> = drills.into_iter().filter(|one| !one.widens).collect();
    if drills.is_empty() {
        return;
    }
    let finishes = finishes(texts);
    covered(proof, &drills, &finishes);
    sequel::check(proof, Code::FW0769, &bolted(proof.procedure, &drills, &finishes, texts), |bolted, place| {
        late(place).also(bolted, "bolted on here")
    });
    sequel::check(proof, Code::FW0770, &marked(texts), |drilled, place| {
        Finding::new(Code::FW0770, "holes are marked after they were drilled", place, "nothing is drilled after this mark")
            .also(drilled, "drilled here")
            .because("They were drilled by eye, and the mark comes too late to help.")
            .repair("Put the mark before the sentence that drills. Where other holes are marked, or for another reason, say which.")
    });
}

fn finishes(texts: &[Text<'_>]) -> Vec<Finishes> {
    let mut found = Vec::new();
    each(texts, |step, text, sentence, verb| {
        let puts = SPREADS.contains(&verb) && says(text, sentence.clone(), PAINT);
        let is_one = (FINISHES.contains(&verb) || puts) && says(text, sentence.clone(), HOLES);
        if is_one && !says_of(text, sentence, &[FORBIDS, ANOTHER_TIME, OTHERS]) {
            found.extend(text.place(sentence).map(|place| Finishes { step, place }));
        }
    });
    found
}

/// Each sentence of a step with its verb.
fn each<'t>(texts: &'t [Text<'_>], mut look: impl FnMut(StepId, &'t Text<'_>, &'t Range<usize>, &str)) {
    for text in texts.iter().filter(|text| text.sort == Sort::Instruction) {
        let Some(step) = text.step else { continue };
        for sentence in text.sentences() {
            let verb = opening_verb(text, sentence.start, sentence.end).unwrap_or(sentence.start);
            look(step, text, sentence, text.lower(verb));
        }
    }
}

/// The joints that the holes are for which a sentence finishes: those of the sentence before it that drills.
fn joints(
    procedure: &Procedure,
    drills: &[Drills],
    alike: &BTreeMap<Option<u32>, usize>,
    one: &Finishes,
) -> Vec<JointId> {
    let before = drills.iter().rfind(|drill| drill.place.file == one.place.file && drill.place.start < one.place.start);
    let Some(before) = before else { return Vec::new() };
    let meant = bolts::meant(procedure, alike, before);
    if !meant.is_empty() || before.says_for || before.is_sized {
        return meant;
    }
    // Of one joint alone all holes are, where nothing is said of them.
    let mut own = procedure.joints.ids().filter(|joint| !procedure.joints[*joint].on_vehicle);
    own.next().filter(|_| own.next().is_none() && drills.len() == 1).into_iter().collect()
}

/// FW0769 by the lines that put a joint in place.
fn covered(proof: &mut Proof<'_>, drills: &[Drills], finishes: &[Finishes]) {
    let procedure = proof.procedure;
    let alike = bolts::alike(drills);
    let all: Vec<(&Finishes, Vec<JointId>)> =
        finishes.iter().map(|one| (one, joints(procedure, drills, &alike, one))).collect();
    let mut held = tight::at_first(procedure);
    // Whether it was in place when its holes were drilled: that is told of the drilling.
    let mut drilled: BTreeMap<JointId, Formula> = BTreeMap::new();
    let events = proof.events.clone();
    for event in events.iter() {
        if let (Effect::Prose(_), Some(step)) = (&event.effect, event.place.step) {
            for one in drills.iter().filter(|one| one.step == step && stands_in(one.place, event.place.span)) {
                let joints = procedure.joints.ids();
                drilled.extend(joints.map(|joint| (joint, held[joint].in_place)).filter(|_| !one.widens));
            }
            let here = all.iter().filter(|(one, _)| one.step == step && stands_in(one.place, event.place.span));
            for (one, joints) in here {
                let Some(first) = joints.first().copied() else { continue };
                let mut on = vec![proof.sure(event)];
                for joint in joints {
                    on.extend([held[*joint].exists, held[*joint].in_place]);
                    on.extend(drilled.get(joint).map(|before| !*before));
                }
                let broken = proof.space.all(on);
                let place = one.place;
                proof.oblige((Code::FW0769, place, Subject::Joint(first)), event.id, broken, move |proof| {
                    late(place).also(proof.procedure.joints[first].name.span, "the joint, which can be in place by now")
                });
            }
        }
        tight::after(proof, event, &mut held);
    }
}

/// FW0769 by words alone, where no joint is meant.
fn bolted(procedure: &Procedure, drills: &[Drills], finishes: &[Finishes], texts: &[Text<'_>]) -> Vec<Act> {
    let alike = bolts::alike(drills);
    let mut acts: Vec<Act> = Vec::new();
    let act = |step, place, does| Act { step, place, things: Vec::new(), does };
    acts.extend(drills.iter().map(|one| act(one.step, one.place, Does::Ends)));
    let of_words = |one: &&Finishes| joints(procedure, drills, &alike, one).is_empty();
    acts.extend(finishes.iter().filter(of_words).map(|one| act(one.step, one.place, Does::Late)));
    each(texts, |step, text, sentence, verb| {
        let drives = || DRIVES.contains(&verb) && says_each(text, sentence, &[FASTENERS, &["into", "through", "in"]]);
        let place = text.place(sentence).filter(|_| FASTENS.contains(&verb) || drives());
        let drilled =
            |place: &Span| drills.iter().any(|one| one.place.file == place.file && one.place.start < place.start);
        if let Some(place) = place.filter(drilled)
            && !says_of(text, sentence, &[FORBIDS, ANOTHER_TIME, MAKES_HOLES])
        {
            acts.push(act(step, place, Does::Begins));
        }
    });
    acts.sort_by_key(|act| (act.place.file, act.place.start));
    acts
}

/// FW0770: a mark after which nothing is drilled any more.
fn marked(texts: &[Text<'_>]) -> Vec<Act> {
    let mut acts: Vec<Act> = Vec::new();
    each(texts, |step, text, sentence, verb| {
        let Some(place) = text.place(sentence) else { return };
        let act = |does| Act { step, place, things: Vec::new(), does };
        if MAKES_HOLES.contains(&verb) && !(verb == "punch" && says(text, sentence.clone(), &["centre", "center"])) {
            acts.retain(|act| act.does != Does::Late);
            if says(text, sentence.clone(), HOLES) && !says_of(text, sentence, &[FORBIDS, ANOTHER_TIME]) {
                acts.push(act(Does::Begins));
            }
            return;
        }
        let punches = matches!(verb, "centre" | "center") && says(text, sentence.clone(), &["punch"]);
        let marks = (MARKS.contains(&verb) || punches) && says(text, sentence.clone(), HOLES);
        if marks && !says_of(text, sentence, &[FORBIDS, ANOTHER_TIME, OTHER_MARKS]) {
            acts.push(act(Does::Late));
        }
    });
    acts
}

fn late(place: Span) -> Finding {
    Finding::new(Code::FW0769, "holes are finished when what covers them is on already", place, "covered by now")
        .because("Nobody gets at the edge any more: chips stay between the parts, and bare metal rusts where nobody sees it.")
        .repair("Put the sentence after the one that drills, before anything is bolted on. Where other holes are meant, say which.")
}
