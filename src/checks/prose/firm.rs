//! FW0792 and FW1256: sentences against the lines that tighten: what is measured before and after it, and what holds a load until then.
//!
//! Common practice, from memory.

use std::collections::BTreeSet;

use super::super::proof::{Proof, Subject};
use super::super::tight;
use super::classes::{FORBIDS, says};
use super::said::Said;
use super::sentences::opening_verb;
use super::text::{Sort, Text, stands_in};
use crate::diagnostics::{Code, Finding};
use crate::model::{JointId, NumberId, Procedure, Reading};
use crate::source::Span;
use crate::space::{Effect, EventId, Formula};

pub(super) fn check<'p>(proof: &mut Proof<'p>, texts: &[Text<'p>], all: &[Said<'_, 'p>]) {
    if !proof.procedure.is_english() || proof.procedure.joints.rows().is_empty() {
        return;
    }
    measured(proof, texts);
    let lets_go: Vec<&Said<'_, 'p>> = all.iter().filter(|one| one.is_now && lets_go(one)).collect();
    if !lets_go.is_empty() {
        let_go(proof, &lets_go);
    }
}

/// On which side of the tightening something is meant.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Before,
    After,
}

/// `before tightening`, `after the bolts are torqued`
fn side(text: &Text<'_>, start: usize, end: usize) -> Option<Side> {
    const TIGHTENS: &[&str] = &["tighten", "tightening", "tightened", "torque", "torquing", "torqued"];
    let at = (start..end).find(|at| matches!(text.lower(*at), "before" | "after"))?;
    let until = end.min(at + 6);
    let is_it = says(text, at + 1..until, TIGHTENS) && !says(text, start..end, FORBIDS);
    let side = if text.lower(at) == "before" { Side::Before } else { Side::After };
    is_it.then_some(side)
}

/// FW0792: what is meant for before the tightening comes when nothing is tightened any more, or the other way round.
fn measured(proof: &mut Proof<'_>, texts: &[Text<'_>]) {
    const MEASURES: &[&str] = &["measure", "read", "write", "note", "record", "mark", "gauge"];
    let procedure = proof.procedure;
    let mut said: Vec<(Span, Side)> = Vec::new();
    for text in texts.iter().filter(|text| text.sort == Sort::Instruction) {
        for sentence in text.sentences() {
            let Some(verb) = opening_verb(text, sentence.start, sentence.end) else { continue };
            let side = side(text, sentence.start, sentence.end).filter(|_| MEASURES.contains(&text.lower(verb)));
            said.extend(text.place(sentence).zip(side));
        }
    }
    let read: Vec<(NumberId, Side)> = procedure
        .numbers
        .iter()
        .filter_map(|(id, row)| {
            let title = super::text::plain(&row.name.title, Sort::Title, None, row.name.span);
            Some((id, side(&title, 0, title.tokens.len())?))
        })
        .collect();
    if said.is_empty() && read.is_empty() {
        return;
    }
    let events = proof.events.clone();
    let tightens: Vec<(EventId, Span)> = events
        .iter()
        .filter(|event| matches!(event.effect, Effect::Tighten(_)))
        .map(|event| (event.id, event.place.span))
        .collect();
    let mut told = BTreeSet::new();
    for event in events.iter() {
        let here = match event.effect {
            Effect::Prose(_) => said.iter().find(|(place, _)| stands_in(*place, event.place.span)).copied(),
            Effect::Read(Reading::Number(number)) => {
                read.iter().find(|(id, _)| *id == number).map(|(_, side)| (event.place.span, *side))
            }
            _ => None,
        };
        let Some((place, side)) = here else { continue };
        let (before, after): (Vec<_>, Vec<_>) = tightens.iter().partition(|(id, _)| *id < event.id);
        let other = match side {
            Side::Before if after.is_empty() => before.last(),
            Side::After if before.is_empty() => after.first(),
            _ => None,
        };
        if let Some((_, tightened)) = other.filter(|_| told.insert((place.file, place.start))) {
            proof.findings.push(on_the_other_side(place, *tightened, side));
        }
    }
}

fn on_the_other_side(place: Span, tightened: Span, side: Side) -> Finding {
    let (message, label, also, repair) = match side {
        Side::Before => (
            "what is meant for before the tightening comes when nothing is tightened any more",
            "too late here",
            "tightened last here",
            "Put it before the line that tightens, or let the words say what is really compared.",
        ),
        Side::After => (
            "what is meant for after the tightening comes when nothing is tightened yet",
            "too early here",
            "tightened first here",
            "Put it after the line that tightens, or let the words say what is really compared.",
        ),
    };
    Finding::new(Code::FW0792, message, place, label)
        .also(tightened, also)
        .because(
            "The number goes into the record as one that it is not, and whoever compares the two finds no difference.",
        )
        .repair(repair)
}

/// `Take the slings off.`, `Remove the prop.`
fn lets_go(one: &Said<'_, '_>) -> bool {
    const HOLDS: &[&str] = &["sling", "strap", "prop", "support", "hoist", "crane", "chain", "jack", "trestle"];
    one.does(&["remove", "take", "release", "unhook", "undo", "detach", "lower", "slacken", "loosen"])
        && one.object().is_some_and(|thing| thing.is_a(HOLDS))
        && !one.says(&[
            "transport",
            "packing",
            "pallet",
            "old",
            "under",
            "onto",
            "vehicle",
            "van",
            "load",
            "jack-stand",
        ])
}

/// FW1256: what holds a load is taken away while bolts are in and none of them is snug or tight.
fn let_go(proof: &mut Proof<'_>, all: &[&Said<'_, '_>]) {
    let mut held = tight::at_first(proof.procedure);
    let mut snug = proof.procedure.joints.each(Formula::NEVER);
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Snug(joint) => snug[joint] = proof.space.either(snug[joint], event.guard),
            Effect::Place(joint) | Effect::Loosen(joint) => snug[joint] = proof.space.both(snug[joint], !event.guard),
            Effect::Prose(_) => {
                let here =
                    |one: &&&Said<'_, '_>| event.place.step == Some(one.step) && stands_in(one.place, event.place.span);
                if let Some(one) = all.iter().find(here) {
                    let joints: Vec<JointId> = proof
                        .procedure
                        .joints
                        .ids()
                        .filter(|joint| !proof.procedure.joints[*joint].on_vehicle)
                        .collect();
                    for joint in joints {
                        let sure = proof.sure(event);
                        let loose = [sure, held[joint].exists, held[joint].in_place, !held[joint].tight, !snug[joint]];
                        let broken = proof.space.all(loose);
                        let place = one.place;
                        proof.oblige((Code::FW1256, place, Subject::Place), event.id, broken, move |proof| {
                            hangs_loose(proof.procedure, joint, place)
                        });
                    }
                }
            }
            _ => {}
        }
        tight::after(proof, event, &mut held);
    }
}

fn hangs_loose(procedure: &Procedure, joint: JointId, place: Span) -> Finding {
    let name = &procedure.joints[joint].name;
    Finding::new(
        Code::FW1256,
        format!("what holds the load is taken away while the bolts of `{}` are loose", name.id),
        place,
        "it hangs on loose bolts here",
    )
    .also(name.span, "the joint, which nothing has tightened yet")
    .because("The load drops by the play of its bolts or tips off them, onto whoever stands below.")
    .repair(format!("Put this sentence after the line that tightens `{0}`, or write `snug {0}` before it.", name.id))
}
