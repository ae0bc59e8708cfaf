//! The index: every tool and part with the steps that use it.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::emit::words::Words;
use crate::model::{Counted, LineKind, MentionTarget, PartId, Procedure, Step, StepId};

/// Both lists.
#[derive(Serialize)]
pub(super) struct Index {
    tools: Vec<Entry>,
    parts: Vec<Entry>,
}

#[derive(Serialize)]
struct Entry {
    title: String,
    steps: Vec<Place>,
}

#[derive(Serialize)]
struct Place {
    number: String,
    anchor: String,
}

type Steps = BTreeSet<StepId>;

/// Collects it, in the order of the alphabet. Things of one title are one thing to whoever looks for it, unless something tells
/// them apart.
pub(super) fn index(words: Words<'_>) -> Index {
    let procedure = words.procedure;
    let mut tools: BTreeMap<String, Steps> = BTreeMap::new();
    for need in procedure.tool_needs() {
        for tool in need.places.iter().flat_map(|place| &place.any_of) {
            tools.entry(words.tool(*tool)).or_default().insert(need.step);
        }
    }
    let mut parts: BTreeMap<String, Steps> = BTreeMap::new();
    for (id, step) in procedure.steps.iter() {
        for part in parts_of(procedure, step) {
            parts.entry(words.part(part)).or_default().insert(id);
        }
    }
    Index { tools: sorted(procedure, tools), parts: sorted(procedure, parts) }
}

fn sorted(procedure: &Procedure, entries: BTreeMap<String, Steps>) -> Vec<Entry> {
    let mut entries: Vec<Entry> = entries.iter().map(|(title, steps)| entry(procedure, title, steps)).collect();
    entries.sort_by_key(|entry| (entry.title.to_lowercase(), entry.title.clone()));
    entries
}

fn entry(procedure: &Procedure, title: &str, steps: &Steps) -> Entry {
    let place = |id: StepId| {
        let step = &procedure.steps[id];
        Place { number: step.number.clone(), anchor: format!("step-{}", step.name.id) }
    };
    // The copies of a step for several places have one number.
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let firsts = steps.iter().copied().filter(|id| seen.insert(procedure.steps[*id].number.as_str()));
    let steps = firsts.map(place).collect();
    Entry { title: title.to_owned(), steps }
}

/// The parts that a step takes, moves, fastens, or speaks of.
fn parts_of(procedure: &Procedure, step: &Step) -> Vec<PartId> {
    let listed = |counted: &[Counted<PartId>]| counted.iter().map(|one| one.what).collect::<Vec<_>>();
    let of_line = |kind: &LineKind| match kind {
        LineKind::Take(all)
        | LineKind::Remove(all, _)
        | LineKind::Refit(all)
        | LineKind::Discard(all)
        | LineKind::Reuse(all)
        | LineKind::KeepParts { parts: all, .. } => listed(all),
        LineKind::Connect(circuit, points, _) | LineKind::Disconnect(circuit, points, _) => {
            let circuit = &procedure.circuits[*circuit];
            points.iter().filter_map(|point| circuit.points[*point].terminal).collect()
        }
        LineKind::Prose(prose) => {
            let part = |target: &MentionTarget| if let MentionTarget::Part(part) = target { Some(*part) } else { None };
            prose.mentions.iter().filter_map(|mention| part(&mention.target)).collect()
        }
        other => other.joint().map_or_else(Vec::new, |joint| listed(&procedure.joints[joint].each)),
    };
    step.lines.iter().flat_map(|line| of_line(&line.kind)).collect()
}
