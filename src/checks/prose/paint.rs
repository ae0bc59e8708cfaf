//! FW0962: paint on what was made bright for an electrical contact, before the contact is made.
//!
//! A sentence brushes or scrapes something bright where a lug will lie; the next one that speaks of the bright metal paints it. After
//! the contact is made that is right, and it is silent there. Which words are meant is from memory.

use std::collections::BTreeMap;
use std::ops::Range;

use super::super::proof::{Proof, Subject};
use super::classes::{PAINT, PAINTS, SPREADS, TERMINALS};
use super::text::{Sort, Text, stands_in};
use crate::diagnostics::{Code, Finding};
use crate::model::{LineKind, MentionTarget, Procedure, StepId};
use crate::source::Span;
use crate::space::{Effect, Formula};

const BRIGHT: &[&str] = &["bright", "bare"];
const MAKES_BRIGHT: &[&str] =
    &["brush", "scrape", "sand", "file", "grind", "clean", "polish", "rub", "remove", "take", "abrade"];
/// What lies on it then, beside a terminal.
const CONTACTS: &[&str] = &[
    "ring",
    "rings",
    "earth",
    "ground",
    "return",
    "strap",
    "contact",
    "bond",
    "bonding",
    "negative",
    "earthing",
    "grounding",
];
/// Other verbs that put paint on.
const COVERS: &[&str] = &["cover", "seal", "treat", "touch"];
/// Words by which another place is meant, or another time.
const ELSEWHERE: &[&str] = &[
    "around",
    "beside",
    "edge",
    "edges",
    "hole",
    "holes",
    "except",
    "not",
    "never",
    "rest",
    "other",
    "after",
    "until",
    "outside",
    "over",
    "conductive",
    "tape",
    "mask",
    "masking",
    "conducting",
    "when",
    "once",
];

/// A sentence, and where it stands.
struct Told {
    step: StepId,
    place: Span,
    paints: bool,
}

pub(super) fn check<'p>(proof: &mut Proof<'p>, texts: &[Text<'p>]) {
    let procedure = proof.procedure;
    if !procedure.is_english() || procedure.circuits.rows().is_empty() {
        return;
    }
    let all = told(procedure, texts);
    if !all.iter().any(|one| one.paints) || all.iter().all(|one| one.paints) {
        return;
    }
    let mut by_step: BTreeMap<StepId, Vec<&Told>> = BTreeMap::new();
    for one in &all {
        by_step.entry(one.step).or_default().push(one);
    }
    let mut bright: (Formula, Option<Span>) = (Formula::NEVER, None);
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Prose(_) => {
                let own = event.place.step.and_then(|step| by_step.get(&step));
                for one in own.into_iter().flatten().filter(|one| stands_in(one.place, event.place.span)) {
                    if !one.paints {
                        bright = (proof.space.either(bright.0, event.guard), Some(one.place));
                    } else if !makes_contact(procedure, one.step) {
                        let sure = proof.sure(event);
                        let broken = proof.space.both(sure, bright.0);
                        let (place, before) = (one.place, bright.1);
                        proof.oblige((Code::FW0962, place, Subject::Place), event.id, broken, move |_| {
                            finding(place, before)
                        });
                    }
                }
            }
            Effect::Connect { .. } => bright.0 = proof.space.both(bright.0, !event.guard),
            Effect::Place(joint) | Effect::Tighten(joint) | Effect::RefitJoint(joint)
                if !procedure.joints[joint].at.is_empty() =>
            {
                bright.0 = proof.space.both(bright.0, !event.guard);
            }
            _ => {}
        }
    }
}

/// Whether a step makes a contact itself: then its words say in which order.
fn makes_contact(procedure: &Procedure, step: StepId) -> bool {
    procedure.steps[step].lines.iter().any(|line| {
        matches!(line.kind, LineKind::Connect(..))
            || line.kind.joint().is_some_and(|joint| !procedure.joints[joint].at.is_empty())
    })
}

fn told(procedure: &Procedure, texts: &[Text<'_>]) -> Vec<Told> {
    let mut found = Vec::new();
    for text in texts.iter().filter(|text| text.sort == Sort::Instruction) {
        let Some(step) = text.step else { continue };
        for sentence in text.sentences() {
            let says = |list: &[&str]| sentence.clone().any(|at| list.contains(&text.lower(at)));
            let verb = text.lower(sentence.start);
            let paints = PAINTS.contains(&verb)
                || ((SPREADS.contains(&verb) || COVERS.contains(&verb))
                    && (says(PAINT) || names_paint(procedure, text, sentence)));
            let is_bright = says(BRIGHT);
            let is_told = match paints {
                true => (is_bright || says(&["scraped", "brushed", "sanded", "cleaned"])) && !says(ELSEWHERE),
                false => {
                    is_bright
                        && MAKES_BRIGHT.contains(&verb)
                        && (says(CONTACTS) || says(TERMINALS))
                        && !says(&["not", "never"])
                }
            };
            if let Some(place) = text.place(sentence).filter(|_| is_told) {
                found.push(Told { step, place, paints });
            }
        }
    }
    found
}

/// Whether a sentence names a part that is a paint.
fn names_paint(procedure: &Procedure, text: &Text<'_>, sentence: &Range<usize>) -> bool {
    sentence.clone().filter_map(|at| text.mention(at)).any(|mention| match mention.target {
        MentionTarget::Part(part) => {
            let title = procedure.parts[part].name.title.to_lowercase();
            let mut words = title.split(|c: char| !c.is_alphanumeric());
            words.any(|word| PAINT.contains(&word)) && !title.contains("conduct") && !title.contains("contact")
        }
        _ => false,
    })
}

fn finding(place: Span, before: Option<Span>) -> Finding {
    let finding = Finding::new(
        Code::FW0962,
        "paint goes on what was made bright for a contact, before the contact is made",
        place,
        "painted here",
    );
    let finding = match before {
        Some(before) => finding.also(before, "made bright here"),
        None => finding,
    };
    finding
        .because("Paint does not conduct: what is fed through this place is dim or dead, or the place gets hot.")
        .repair("Put the sentence after the line that makes the contact. Where another place is painted, say which.")
}
