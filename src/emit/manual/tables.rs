//! The tables after the steps: torques and circuits.

use serde::Serialize;

use super::super::words::{Words, own_unit};
use crate::model::{Circuit, Joint, JointId, LineKind, Point, Return, TappedMetal, ThreadCondition, Tightness};
use crate::quantity::{Measure, display};
use crate::working::circuit::{CircuitWorking, amperes, share, working};
use crate::working::joint;

/// A joint.
#[derive(Serialize)]
pub(super) struct JointRow {
    title: String,
    remark: Option<String>,
    when: Option<String>,
    count: u32,
    each: String,
    torque: Option<Parts>,
    seen: Option<String>,
    steps: String,
}

/// A measure whose bracketed part is printed apart: `22 N·m ± 2 N·m` and `(16.2 lbf·ft ± 1.4 lbf·ft)`.
#[derive(Serialize)]
pub(super) struct Parts {
    pub(super) text: String,
    pub(super) brackets: Option<String>,
}

/// A circuit.
#[derive(Serialize)]
pub(super) struct CircuitView {
    title: String,
    when: Option<String>,
    rows: Vec<CircuitRow>,
}

#[derive(Serialize)]
struct CircuitRow {
    title: &'static str,
    value: String,
}

/// A torque in its two parts.
pub(super) fn parts(words: Words<'_>, measure: &Measure) -> Parts {
    let printed = display::printed(measure, words.procedure.units);
    Parts { text: printed.text, brackets: printed.brackets.map(|text| format!("({text})")) }
}

/// Every joint with what it must come to.
pub(super) fn joints(words: Words<'_>) -> Vec<JointRow> {
    words.procedure.joints.iter().map(|(id, joint)| joint_row(words, id, joint)).collect()
}

fn joint_row(words: Words<'_>, id: JointId, joint: &Joint) -> JointRow {
    let (torque, seen) = match &joint.tightness {
        Tightness::Torque(measure, _) => (Some(parts(words, measure)), None),
        Tightness::Seen(criterion, _) => (None, Some(criterion.clone())),
    };
    let mut remarks: Vec<String> = Vec::new();
    remarks.extend(joint.thread.map(|thread| format!("thread {}", thread_words(thread))));
    remarks.extend(joint.grip.as_ref().map(|grip| format!("grip {}", words.quantity(grip))));
    remarks.extend(
        joint
            .into
            .as_ref()
            .map(|hole| format!("into {}, {} of thread", metal_words(hole.metal), words.quantity(&hole.depth))),
    );
    remarks.extend(joint.onto.as_ref().map(|stud| format!("onto stud {}", stud.thread.id)));
    remarks.extend(order(words, joint));
    remarks.extend(clamping(words, joint));
    if joint.on_vehicle {
        remarks.push("on the vehicle, tight, before the job".to_owned());
    }
    JointRow {
        title: joint.name.title.clone(),
        remark: (!remarks.is_empty()).then(|| remarks.join("; ")),
        when: joint.when.as_ref().map(|when| words.cond(when)),
        count: joint.count,
        each: words.each(&joint.each),
        torque,
        seen,
        steps: tightened_in(words, id),
    }
}

/// `crosswise in 2 stages, first to 11 N·m (8 lbf·ft)`: how several fastenings are tightened.
pub(in super::super) fn order(words: Words<'_>, joint: &Joint) -> Option<String> {
    let pattern = joint.pattern.as_ref()?;
    let order = joint::order_words(pattern.order);
    let early: Vec<String> = joint::stage_torques(joint).iter().map(|torque| words.quantity(torque)).collect();
    Some(match (pattern.stages, early.as_slice()) {
        (1, _) => order.to_owned(),
        (stages, []) => format!("{order} in {stages} stages"),
        (stages, early) => format!("{order} in {stages} stages, first to {}", early.join(", then to ")),
    })
}

/// What the torque comes to, for whoever judges the joint.
fn clamping(words: Words<'_>, joint: &Joint) -> Option<String> {
    let figures = joint::working(words.procedure, joint).figures?;
    let share = (figures.usual() * 100.0).round();
    Some(format!("clamps with about {}, {share} % of what the bolt bears", words.quantity(&figures.clamps?)))
}

/// A metal in words.
pub(in super::super) fn metal_words(metal: TappedMetal) -> &'static str {
    match metal {
        TappedMetal::Steel => "steel",
        TappedMetal::CastIron => "cast iron",
        TappedMetal::Aluminium => "aluminium",
    }
}

fn tightened_in(words: Words<'_>, joint: JointId) -> String {
    let tightens = |line: &crate::model::Line| matches!(&line.kind, LineKind::Tighten(id, _) if *id == joint);
    let steps = words.procedure.steps.rows().iter().filter(|step| step.lines.iter().any(tightens));
    let numbers: Vec<&str> = steps.map(|step| step.number.as_str()).collect();
    if numbers.is_empty() { "–".to_owned() } else { numbers.join(", ") }
}

/// The condition of a thread in words.
pub(in super::super) fn thread_words(thread: ThreadCondition) -> &'static str {
    match thread {
        ThreadCondition::Dry => "dry",
        ThreadCondition::Plated => "zinc plated",
        ThreadCondition::Oiled => "oiled",
        ThreadCondition::Waxed => "waxed",
        ThreadCondition::AntiSeize => "with anti-seize paste",
        ThreadCondition::ThreadLocker => "with thread locker",
    }
}

/// Every circuit with all that is stated of it, and the drop and the current that follow.
pub(super) fn circuits(words: Words<'_>) -> Vec<CircuitView> {
    words.procedure.circuits.rows().iter().map(|circuit| circuit_view(words, circuit)).collect()
}

fn circuit_view(words: Words<'_>, circuit: &Circuit) -> CircuitView {
    let mut rows = Vec::new();
    let mut add = |title, value: Option<String>| rows.extend(value.map(|value| CircuitRow { title, value }));
    let quantity = |quantity: &Option<crate::quantity::Quantity>| quantity.as_ref().map(|q| words.quantity(q));
    add("Source", quantity(&circuit.source));
    add("Load", quantity(&circuit.load));
    add("Run, one way", quantity(&circuit.run));
    let returns = match &circuit.returns {
        Return::Wire => None,
        Return::Chassis(None) => Some("Through the chassis".to_owned()),
        Return::Chassis(Some(stated)) => Some(format!("Through the chassis, {}", words.quantity(stated))),
    };
    add("Return", returns);
    add("Wire", circuit.wire.as_ref().map(|wire| format!("{} {}", own_unit(wire), circuit.metal)));
    add("Insulation bears", quantity(&circuit.insulation));
    add("Warmest place", quantity(&circuit.ambient));
    add("Bundle", circuit.bundle.map(|count| format!("{count} wires that carry current")));
    if let Some(protection) = &circuit.protection {
        let rating = words.quantity(&protection.rating);
        let at = protection.at.as_ref().map(|at| format!(", {} along the wire from the source", words.quantity(at)));
        add(if protection.fuse { "Fuse" } else { "Breaker" }, Some(rating + &at.unwrap_or_default()));
    }
    let made = working(words.procedure, circuit);
    add("Voltage drop", drop_words(words, circuit, &made));
    add("Wire carries here", made.ampacity_a.map(|carries| format!("{}, by a table for boats", amperes(carries))));
    let points: Vec<String> = circuit.points.iter().map(|point| point_words(words, point)).collect();
    add("Points from the source", Some(points.join(" → ")));
    let isolated: Vec<String> = circuit.isolated_by.iter().map(|need| words.state(need.state, need.value)).collect();
    add("Dead while", (!isolated.is_empty()).then(|| isolated.join(" or ")));
    CircuitView { title: circuit.name.title.clone(), when: circuit.when.as_ref().map(|when| words.cond(when)), rows }
}

/// `4.39 %, at most 5 %`
fn drop_words(words: Words<'_>, circuit: &Circuit, made: &CircuitWorking) -> Option<String> {
    let worked_out = made.drop.as_ref().map(|drop| share(drop.share));
    let allowed = circuit.drop.as_ref().map(|allowed| words.measure(allowed));
    let both: Vec<String> = worked_out.into_iter().chain(allowed).collect();
    (!both.is_empty()).then(|| both.join(", "))
}

/// `Battery positive post (Ring, red, M8; stud M8)`
pub(in super::super) fn point_words(words: Words<'_>, point: &Point) -> String {
    let terminal = point.terminal.map(|part| words.procedure.parts[part].name.title.clone());
    let stud = point.stud.as_ref().map(|stud| format!("stud {stud}"));
    let detail: Vec<String> = terminal.into_iter().chain(stud).collect();
    if detail.is_empty() { point.title.clone() } else { format!("{} ({})", point.title, detail.join("; ")) }
}
