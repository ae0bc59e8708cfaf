//! What to look at first: read from the figures, in the order in which a writer asks.

use super::capability::ENOUGH;
use super::lines::{Arm, Edge, Line, Look, Reading, Side, Step, Topic, Torque};

/// So many steps are named of each kind, and so many wrenches.
const MOST: usize = 5;

/// What to look at first.
pub(super) fn look(figures: &[Line]) -> Vec<Look> {
    let mut found = Vec::new();
    let mut edges: Vec<Look> = figures.iter().flat_map(crowded).collect();
    edges.sort_by(|a, b| share(b).total_cmp(&share(a)));
    found.extend(edges);
    found.extend(figures.iter().filter_map(never_taken));
    let mut torques: Vec<Look> = figures.iter().filter_map(low).collect();
    torques.sort_by(|a, b| a.figure.unwrap_or_default().total_cmp(&b.figure.unwrap_or_default()));
    found.extend(torques);
    found.extend(steps(figures, Topic::Repairs, |step| (step.repairs, step.done, None)));
    found.extend(steps(figures, Topic::Corrections, |step| (step.corrections + step.withdrawals, step.done, None)));
    found.extend(steps(figures, Topic::OverTime, |step| (step.over, step.timed, Some(step.over_seconds))));
    found.extend(steps(figures, Topic::MadeUp, |step| (step.made_up, step.done, None)));
    found
}

fn share(look: &Look) -> f64 {
    look.count as f64 / (look.of as f64).max(1.0)
}

fn crowded(line: &Line) -> Vec<Look> {
    let Line::Reading(reading) = line else { return Vec::new() };
    reading.edges.iter().filter(|edge| edge.crowded).map(|edge| of_edge(reading, edge)).collect()
}

fn of_edge(reading: &Reading, edge: &Edge) -> Look {
    Look {
        topic: Topic::CrowdedEdge,
        revision: reading.revision.clone(),
        id: reading.id.clone(),
        title: reading.title.clone(),
        step: None,
        side: Some(edge.side),
        words: Some(edge.words.clone()),
        count: edge.near,
        of: edge.inside,
        figure: Some(edge.at),
    }
}

fn never_taken(line: &Line) -> Option<Look> {
    let Line::Arm(arm) = line else { return None };
    let Arm { revision, branch, title, words, count, of, .. } = arm;
    (*count == 0 && *of > 0).then(|| Look {
        topic: Topic::ArmNeverTaken,
        revision: revision.clone(),
        id: branch.clone(),
        title: title.clone(),
        step: None,
        side: None,
        words: words.clone(),
        count: 0,
        of: *of,
        figure: None,
    })
}

/// A joint by all wrenches, or one of its wrenches, with enough torques to tell.
fn low(line: &Line) -> Option<Look> {
    let Line::Torque(torque) = line else { return None };
    let Torque { revision, joint, title, steps, wrench, count, cpk, few, .. } = torque;
    cpk.filter(|cpk| !few && *cpk < ENOUGH).map(|cpk| Look {
        topic: Topic::LowCapability,
        revision: revision.clone(),
        id: joint.clone(),
        title: title.clone(),
        step: steps.first().cloned(),
        side: None,
        words: wrench.as_ref().and_then(|wrench| wrench.instrument.clone().or_else(|| wrench.tool.clone())),
        count: *count,
        of: *count,
        figure: Some(cpk),
    })
}

/// The steps with most of something, of all checklists.
fn steps(figures: &[Line], topic: Topic, what: impl Fn(&Step) -> (u64, u64, Option<f64>)) -> Vec<Look> {
    let mut found: Vec<Look> = figures
        .iter()
        .filter_map(|line| {
            let Line::Step(step) = line else { return None };
            let (count, of, figure) = what(step);
            (count > 0).then(|| Look {
                topic,
                revision: step.revision.clone(),
                id: step.step.clone(),
                title: step.title.clone(),
                step: Some(step.number.clone()),
                side: None,
                words: None,
                count,
                of,
                figure,
            })
        })
        .collect();
    // By what it comes to: time where there is one, else how often. The order of the procedure where two are alike.
    found.sort_by(|a, b| {
        let weight = |look: &Look| look.figure.unwrap_or(look.count as f64);
        weight(b).total_cmp(&weight(a))
    });
    found.truncate(MOST);
    found
}

impl Side {
    /// The word of the format.
    pub fn word(self) -> &'static str {
        match self {
            Side::Lower => "lower",
            Side::Upper => "upper",
        }
    }
}
