//! What a careful writer would make of a sketch: no event is forgotten, nothing is out of order, conditions stand one
//! level deep, and every input is used. Most of these procedures are clean, which is where a false alarm would show.

use super::sketch::{CondSketch, NodeSketch, Sketch, Story};

/// The sketch without its slips.
pub fn careful(mut sketch: Sketch) -> Sketch {
    sketch.tells_all = true;
    sketch.hands_over = true;
    sketch.rules.clear();
    sketch.reads.iter_mut().for_each(|at| *at = 0);
    for limit in &mut sketch.limits {
        limit.stops = true;
        limit.when = None;
    }
    for supply in &mut sketch.kit {
        supply.quarters = 4;
        supply.when = None;
    }
    if let Some(decides) = &mut sketch.result {
        decides.forgets = u8::MAX;
        decides.cuts.slip = 0;
    }
    for section in &mut sketch.sections {
        section.when = section.when.take().map(plain);
        let conditional = section.when.is_some();
        section.body.iter_mut().for_each(|node| calm(node, conditional));
    }
    sketch.stories.iter_mut().for_each(tidy);
    sketch
}

/// One comparison of a condition.
fn plain(cond: CondSketch) -> CondSketch {
    match cond {
        CondSketch::One(atom) => CondSketch::One(atom),
        CondSketch::Not(inner) => plain(*inner),
        CondSketch::All(parts) | CondSketch::Any(parts) => match parts.into_iter().next() {
            Some(first) => plain(first),
            None => CondSketch::Any(Vec::new()),
        },
    }
}

/// A statement without slips; where a condition stands around it already, without one of its own.
fn calm(node: &mut NodeSketch, inside: bool) {
    match node {
        NodeSketch::Step { when } if inside => *when = None,
        NodeSketch::Step { when } => *when = when.take().map(plain),
        NodeSketch::When { .. } | NodeSketch::Choose { .. } if inside => *node = NodeSketch::Step { when: None },
        NodeSketch::When { cond, then, otherwise } => {
            *cond = plain(cond.clone());
            then.iter_mut().chain(otherwise).for_each(|node| calm(node, true));
        }
        NodeSketch::Choose { cuts, arms, .. } => {
            cuts.slip = 0;
            arms.iter_mut().flatten().for_each(|node| calm(node, true));
        }
        NodeSketch::Check { rereads, repair, .. } => {
            *rereads = true;
            repair.iter_mut().flat_map(|(_, body)| body).for_each(|node| calm(node, true));
        }
        NodeSketch::Set { .. } => {}
        NodeSketch::Stop => *node = NodeSketch::Step { when: None },
    }
}

fn tidy(story: &mut Story) {
    let course = match story {
        Story::Joint { when, single_use, course, .. } => {
            *when = None;
            *single_use = false;
            course
        }
        Story::Circuit { when, course, plot, .. } => {
            *when = None;
            // A plot in which the source is connected last.
            *plot %= 4;
            course
        }
        Story::Loose { single_use, course, .. } => {
            *single_use = false;
            course
        }
        Story::Hazard { answered, course, .. } => {
            *answered = 0;
            course
        }
        Story::Take { course, .. }
        | Story::State { course, .. }
        | Story::Reading { course, .. }
        | Story::Said { course, .. } => course,
        Story::Loads { whens, .. } => {
            *whens = [None; 3];
            return;
        }
    };
    course.order = 0;
    course.forgets = u8::MAX;
}
