//! Joints: a table of what each must be tightened to, and a card for each with all that is known of it.

use serde::Serialize;

use super::each;
use crate::emit::drawing::{self, Drawing};
use crate::emit::phrase::again::due;
use crate::emit::phrase::joint::{clamping, hole_words, loosened, no_torque, order, stages, thread_words, times};
use crate::emit::words::Words;
use crate::labels::{fill, spoken};
use crate::model::{AtPoint, Joint, JointId, LineKind, Step, Tightness, ToolUse};
use crate::plan::Plan;
use crate::quantity::Measure;
use crate::working::joint::JointWorking;

/// A joint.
#[derive(Serialize)]
pub(super) struct JointView {
    /// Its place among the joints.
    number: usize,
    title: String,
    when: Option<String>,
    /// `8`, or that nobody knows.
    count: String,
    /// `8 ×`, before the torque.
    times: String,
    torque: Option<Parts>,
    /// What is seen when it is tight, or stages that are written out.
    seen: Option<String>,
    /// The torque wrenches that its steps name.
    wrench: Option<String>,
    steps: Vec<Place>,
    facts: Vec<Fact>,
    drawing: Option<Drawing>,
}

/// A step that tightens it.
#[derive(Serialize)]
struct Place {
    number: String,
    anchor: String,
}

/// Something known of it.
#[derive(Serialize)]
struct Fact {
    what: &'static str,
    value: String,
}

/// A measure whose bracketed part is printed apart: `22 N·m ± 2 N·m` and `(16.2 lbf·ft ± 1.4 lbf·ft)`.
#[derive(Serialize)]
pub(super) struct Parts {
    pub(super) text: String,
    pub(super) brackets: Option<String>,
}

/// A torque in its two parts.
pub(super) fn parts(words: Words<'_>, joint: &Joint, measure: &Measure) -> Parts {
    let printed = words.torque(joint, measure);
    Parts { text: printed.text, brackets: printed.brackets.map(|text| format!("({text})")) }
}

/// Every joint with what it must come to.
pub(super) fn joints(plan: &Plan) -> Vec<JointView> {
    let words = Words::new(plan.procedure());
    let there = words.procedure.joints.iter().filter(|(_, joint)| !joint.when.as_ref().is_some_and(Words::is_never));
    let there: Vec<(JointId, &Joint)> = there.collect();
    let mut views = Vec::new();
    for copies in each::together(&there, |(_, joint)| &joint.name) {
        views.extend(joint_views(plan, copies, views.len() + 1));
    }
    views
}

/// One joint, or the joints of several places as one where they are alike.
fn joint_views(plan: &Plan, copies: &[(JointId, &Joint)], number: usize) -> Vec<JointView> {
    let words = Words::new(plan.procedure());
    let places: Vec<usize> = copies.iter().filter_map(|(_, joint)| Some(joint.name.at.as_ref()?.place)).collect();
    if copies.len() > 1 {
        let (mut printed, mut first) = (Vec::new(), None);
        for ((id, _), place) in copies.iter().zip(&places) {
            let plain = each::without_place(words.procedure, *place);
            let view = joint_view(Words::new(&plain), number, *id, plan.joint(*id));
            printed.push(each::compared(&view, words.procedure, *place));
            first = first.or(Some(view));
        }
        if let Some(mut view) = first.filter(|_| each::alike(&printed)) {
            let places = each::places_words(words.procedure, &places);
            view.title = fill(spoken().flow.at_each, &[("title", &view.title), ("places", &places)]);
            return vec![view];
        }
    }
    let all = copies.iter().enumerate();
    all.map(|(at, (id, _))| joint_view(words, number + at, *id, plan.joint(*id))).collect()
}

fn joint_view(words: Words<'_>, number: usize, id: JointId, made: &JointWorking) -> JointView {
    let joint = &words.procedure.joints[id];
    let (torque, seen) = match (stages(words, joint), &joint.tightness) {
        (None, Tightness::Torque(measure, _)) => (Some(parts(words, joint, measure)), None),
        (None, Tightness::Seen(criterion, _)) => (None, Some(criterion.clone())),
        (None, Tightness::Unknown(why, _)) => (None, Some(no_torque(why))),
        (told, _) => (None, told),
    };
    let steps: Vec<&Step> =
        words.procedure.steps.rows().iter().filter(|step| tightening(step, id).next().is_some()).collect();
    let place = |step: &&Step| Place { number: step.number.clone(), anchor: format!("step-{}", step.name.id) };
    JointView {
        number,
        title: joint.name.title.clone(),
        when: joint.when.as_ref().map(|when| words.cond(when)),
        count: joint.count.map_or_else(|| spoken().kit.number_unknown.to_owned(), |count| count.to_string()),
        times: times(joint),
        torque,
        seen,
        wrench: wrench(words, &steps, id),
        steps: steps.iter().map(place).collect(),
        facts: facts(words, joint, made),
        drawing: drawing::joint(words, number, joint, made),
    }
}

/// What stands in the table of a card.
fn facts(words: Words<'_>, joint: &Joint, made: &JointWorking) -> Vec<Fact> {
    let labels = &spoken().joint;
    let mut facts = Vec::new();
    let mut add = |what, value: Option<String>| facts.extend(value.map(|value| Fact { what, value }));
    // A count stays with what it counts.
    add(labels.each_of, Some(words.each(&joint.each).replace(" × ", "\u{a0}×\u{a0}")));
    add(labels.thread, joint.thread.map(|thread| thread_words(thread).to_owned()));
    add(labels.grip, joint.grip.as_ref().map(|grip| words.quantity(grip)));
    add(labels.into, joint.into.as_ref().map(|hole| hole_words(words, hole)));
    add(labels.onto, joint.onto.as_ref().map(|stud| fill(spoken().kit.stud, &[("size", &stud.thread.id)])));
    add(labels.joins, some(joint.joins.iter().map(|(part, _)| words.part(*part))));
    add(labels.at, some(joint.at.iter().map(|at| point_title(words, at))));
    add(labels.order, order(words, joint));
    add(labels.order_loosened, loosened(words, joint));
    add(labels.clamps, clamping(words, joint, made));
    add(labels.in_the_end, joint.backed_off.then(|| labels.backed_off.to_owned()));
    add(labels.again, due(words, joint));
    add(labels.before, joint.on_vehicle.then(|| labels.tight.to_owned()));
    facts
}

/// A list, or nothing where nothing is in it. What stands in it twice is said once.
fn some(titles: impl Iterator<Item = String>) -> Option<String> {
    let mut all: Vec<String> = Vec::new();
    for title in titles {
        if !all.contains(&title) {
            all.push(title);
        }
    }
    (!all.is_empty()).then(|| all.join("; "))
}

fn point_title(words: Words<'_>, at: &AtPoint) -> String {
    words.procedure.circuits[at.circuit].points[at.point].title.clone()
}

/// The tools of each line of a step that tightens a joint.
fn tightening(step: &Step, joint: JointId) -> impl Iterator<Item = &Vec<ToolUse>> {
    step.lines.iter().filter_map(move |line| match &line.kind {
        LineKind::Tighten(id, tools) if *id == joint => Some(tools),
        _ => None,
    })
}

/// The torque wrenches with which a joint is tightened, each once.
fn wrench(words: Words<'_>, steps: &[&Step], joint: JointId) -> Option<String> {
    let mut titles: Vec<String> = Vec::new();
    let tools = steps.iter().flat_map(|step| tightening(step, joint)).flatten().flat_map(|tool| &tool.any_of);
    for title in tools.filter(|id| words.procedure.tools[**id].torque.is_some()).map(|id| words.tool(*id)) {
        if !titles.contains(&title) {
            titles.push(title);
        }
    }
    (!titles.is_empty()).then(|| titles.join("; "))
}
