//! The schematic of a circuit, with the numbers that follow from what is stated of it.
//!
//! The loop is the electrical one: source, protection, wire, load, return. The model does not say between which terminals the
//! breaker or fuse sits, so the loop shows no terminals; they stand below it, on a wire of their own, in the order from the source.
//! The signs are those of IEC 60617: cell, fuse, circuit-breaker, a box for a load, frame.

use crate::emit::words::{Words, own_unit};
use crate::model::{Circuit, Point, Return};
use crate::working::circuit::{CircuitWorking, amperes, share, volts, working};

use super::{Anchor, Canvas, Drawing, Face, n};

const WIDTH: f64 = 150.0;
/// The corners of the loop.
const LEFT: f64 = 26.0;
const RIGHT: f64 = 122.0;
const TOP: f64 = 15.0;
/// The least height of the loop.
const LOOP: f64 = 30.0;
/// Between two terminals on their wire.
const PITCH: f64 = 6.6;

/// The drawing of a circuit; `None` where too little is stated for a loop or for a row of terminals.
pub(in super::super) fn circuit(words: Words<'_>, circuit: &Circuit) -> Option<Drawing> {
    let made = working(words.procedure, circuit);
    let mut canvas = Canvas::new(format!("circuit-{}", circuit.name.id), WIDTH);
    let has_loop = circuit.source.is_some() && circuit.load.is_some();
    let named =
        circuit.points.iter().any(|point| point.terminal.is_some() || point.stud.is_some()) || circuit.points.len() > 2;
    if !has_loop && !named {
        return None;
    }
    let inside = computed(words, circuit, &made);
    let mut y = 3.0;
    if has_loop {
        y = draw_loop(&mut canvas, words, circuit, &inside) + 9.0;
    }
    if named {
        terminals(&mut canvas, words, circuit, y);
    }
    Some(canvas.finish(&format!("Schematic: {}", circuit.name.title), &says(words, circuit, &inside, has_loop)))
}

/// What is worked out, a line each.
fn computed(words: Words<'_>, circuit: &Circuit, made: &CircuitWorking) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(drop) = &made.drop {
        let allowed = circuit.drop.as_ref().map(|allowed| format!(", {} allowed", words.measure(allowed)));
        lines.push(format!("Voltage drop {}, {}{}", volts(drop.volts), share(drop.share), allowed.unwrap_or_default()));
        let source = circuit.source.as_ref().and_then(crate::quantity::Quantity::base);
        if let Some(source) = source {
            let left = *source.numer() as f64 / *source.denom() as f64 - drop.volts;
            lines.push(format!("Left at the load: {}", volts(left)));
        }
    }
    if let Some(carries) = made.ampacity_a {
        lines.push(format!("The wire carries {} here, by a table for boats", amperes(carries)));
    }
    let dead: Vec<String> = circuit.isolated_by.iter().map(|need| words.state(need.state, need.value)).collect();
    if !dead.is_empty() {
        lines.push(format!("Dead while: {}", dead.join(" or ")));
    }
    lines
}

/// The loop with its words. Gives where it ends below.
fn draw_loop(canvas: &mut Canvas, words: Words<'_>, circuit: &Circuit, inside: &[String]) -> f64 {
    let middle = (LEFT + RIGHT) / 2.0;
    let room = RIGHT - LEFT - 24.0;
    let lines: f64 = inside.iter().map(|line| super::wrap(Face::Plain, line, room).len() as f64).sum();
    let bottom = TOP + LOOP.max(lines * Face::Plain.leading() + 14.0);
    let centre = (TOP + bottom) / 2.0;
    top_wire(canvas, words, circuit);
    // Source: the long stroke is plus.
    canvas.line((LEFT, TOP), (LEFT, centre - 1.0), "ink");
    canvas.line((LEFT - 4.0, centre - 1.0), (LEFT + 4.0, centre - 1.0), "ink");
    canvas.line((LEFT - 2.0, centre + 1.0), (LEFT + 2.0, centre + 1.0), "bold");
    canvas.line((LEFT, centre + 1.0), (LEFT, bottom), "ink");
    canvas.text((LEFT + 2.2, centre - 2.4), Anchor::Start, Face::Bold, "+");
    if let Some(source) = &circuit.source {
        canvas.text((LEFT - 6.0, centre - 0.6), Anchor::End, Face::Bold, &words.quantity(source));
        let below =
            canvas.block((LEFT - 6.0, centre + 3.0), Anchor::End, Face::Small, &first_title(circuit), LEFT - 7.0);
        canvas.reach(below);
    }
    // Load.
    canvas.line((RIGHT, TOP), (RIGHT, centre - 5.0), "ink");
    canvas.rect((RIGHT - 2.2, centre - 5.0), (4.4, 10.0), "paper ink");
    canvas.line((RIGHT, centre + 5.0), (RIGHT, bottom), "ink");
    canvas.text((RIGHT + 4.4, centre - 0.6), Anchor::Start, Face::Small, "Load");
    if let Some(load) = &circuit.load {
        canvas.block(
            (RIGHT + 4.4, centre + 3.2),
            Anchor::Start,
            Face::Bold,
            &words.quantity(load),
            WIDTH - RIGHT - 5.0,
        );
    }
    // Return.
    let back = match &circuit.returns {
        Return::Wire => "Back by a wire of the same length".to_owned(),
        Return::Chassis(None) => "Back through the chassis".to_owned(),
        Return::Chassis(Some(ohm)) => format!("Back through the chassis, {}", words.quantity(ohm)),
    };
    if circuit.returns == Return::Wire {
        canvas.line((LEFT, bottom), (RIGHT, bottom), "ink");
    } else {
        frame(canvas, LEFT, bottom);
        frame(canvas, RIGHT, bottom);
        canvas.line((LEFT + 5.0, bottom + 1.6), (RIGHT - 5.0, bottom + 1.6), "thin dash");
    }
    let mut end = canvas.block((middle, bottom + 5.0), Anchor::Middle, Face::Plain, &back, room);
    let high = lines * Face::Plain.leading();
    let mut y = centre - high / 2.0 + Face::Plain.size();
    for (at, line) in inside.iter().enumerate() {
        let face = if at == 0 { Face::Bold } else { Face::Plain };
        y = canvas.block((middle, y), Anchor::Middle, face, line, room);
    }
    end = end.max(bottom);
    end
}

/// The wire from the source to the load, with its protection.
fn top_wire(canvas: &mut Canvas, words: Words<'_>, circuit: &Circuit) {
    let wire: Vec<String> = [
        circuit.wire.as_ref().map(|wire| format!("{} {}", own_unit(wire), circuit.metal)),
        circuit.run.as_ref().map(|run| format!("{} one way", words.quantity(run))),
    ]
    .into_iter()
    .flatten()
    .collect();
    let Some(protection) = &circuit.protection else {
        canvas.line((LEFT, TOP), (RIGHT, TOP), "ink");
        canvas.text(((LEFT + RIGHT) / 2.0, TOP - 2.0), Anchor::Middle, Face::Plain, &wire.join(", "));
        return;
    };
    let (from, to) = (LEFT + 14.0, LEFT + 24.0);
    canvas.line((LEFT, TOP), (from, TOP), "ink");
    canvas.line((to, TOP), (RIGHT, TOP), "ink");
    if protection.fuse {
        canvas.rect((from, TOP - 1.8), (to - from, 3.6), "paper ink");
        canvas.line((from, TOP), (to, TOP), "ink");
    } else {
        // An open contact, and the cross of a circuit-breaker on its fixed side.
        let cross = format!("M{} {}l2 2M{} {}l2 -2", n(to - 1.0), n(TOP - 1.0), n(to - 1.0), n(TOP + 1.0));
        canvas.path(&cross, "ink");
        canvas.line((from, TOP), (to - 0.6, TOP - 4.2), "ink");
    }
    let kind = if protection.fuse { "Fuse" } else { "Breaker" };
    let middle = (from + to) / 2.0;
    canvas.text(
        (middle, TOP - 10.2),
        Anchor::Middle,
        Face::Bold,
        &format!("{kind} {}", words.quantity(&protection.rating)),
    );
    if let Some(at) = &protection.at {
        let along = format!("{} from the source", words.quantity(at));
        canvas.text((middle, TOP - 6.6), Anchor::Middle, Face::Small, &along);
    }
    canvas.text(((to + RIGHT) / 2.0 + 4.0, TOP - 2.0), Anchor::Middle, Face::Plain, &wire.join(", "));
}

/// The sign of a frame or chassis.
fn frame(canvas: &mut Canvas, x: f64, y: f64) {
    canvas.line((x - 3.6, y), (x + 3.6, y), "bold");
    let strokes: String =
        [-3.0, -0.6, 1.8].iter().map(|at| format!("M{} {}l-1.4 2.4", n(x + at + 1.0), n(y))).collect();
    canvas.path(&strokes, "ink");
}

fn first_title(circuit: &Circuit) -> String {
    circuit.points.first().map(|point| point.title.clone()).unwrap_or_default()
}

/// The terminals on their wire, numbered from the source.
fn terminals(canvas: &mut Canvas, words: Words<'_>, circuit: &Circuit, top: f64) {
    let x = LEFT;
    canvas.text((x - 6.0, top), Anchor::End, Face::Small, "From the source");
    let mut y = top;
    let mut circles = Vec::new();
    for (at, point) in circuit.points.iter().enumerate() {
        circles.push((y - 1.0, (at + 1).to_string()));
        let detail = detail(words, point);
        let below = canvas.block((x + 5.0, y), Anchor::Start, Face::Bold, &point.title, WIDTH - x - 6.0);
        let below = match detail {
            Some(detail) => canvas.block((x + 5.0, below), Anchor::Start, Face::Small, &detail, WIDTH - x - 6.0) + 1.0,
            None => below,
        };
        y = below.max(y + PITCH);
    }
    if let (Some((first, _)), Some((last, _))) = (circles.first(), circles.last()) {
        canvas.line((x, *first), (x, *last), "ink");
    }
    for (y, number) in &circles {
        canvas.circle((x, *y), 2.2, "paper ink");
        canvas.text((x, y + 0.95), Anchor::Middle, Face::Bold, number);
    }
}

/// `Lug, 8 AWG, M8, on stud M8`
fn detail(words: Words<'_>, point: &Point) -> Option<String> {
    let terminal = point.terminal.map(|part| words.procedure.parts[part].name.title.clone());
    let stud = point.stud.as_ref().map(|stud| format!("stud {stud}"));
    let parts: Vec<String> = terminal.into_iter().chain(stud).collect();
    (!parts.is_empty()).then(|| parts.join("; "))
}

fn says(words: Words<'_>, circuit: &Circuit, inside: &[String], has_loop: bool) -> String {
    let mut sentences: Vec<String> = Vec::new();
    if has_loop {
        let quantity = |quantity: &Option<crate::quantity::Quantity>| {
            quantity.as_ref().map(|one| words.quantity(one)).unwrap_or_default()
        };
        sentences.push(format!(
            "A loop from a source of {} to a load of {} and back",
            quantity(&circuit.source),
            quantity(&circuit.load)
        ));
        sentences.extend(inside.iter().cloned());
    }
    let points: Vec<&str> = circuit.points.iter().map(|point| point.title.as_str()).collect();
    sentences.push(format!("Terminals from the source: {}", points.join(", ")));
    sentences.join(". ") + "."
}
