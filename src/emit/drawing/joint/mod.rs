//! A fastening in section, to scale: what is clamped is cut, bolt, washers and nuts are not (ISO 128-3).
//!
//! The axis runs down the sheet. *Along* is measured in millimetres of the real thing from the face under the head; a
//! stud that is there already comes out of its part at the top. Every length is the one of the joint's working, so
//! that the drawing can't disagree with what was judged. What the procedure does not state (where the clamped parts
//! meet, how thick the part with the tapped hole is, where a stud ends) is left open by a break line, or not drawn.

mod stack;
mod words;

use super::dimension::{Bar, Dimension, Lean, broken, hatched, vertical, words as dimension_words};
use super::fasteners::Place;
use super::{Anchor, Canvas, Drawing, Face};
use crate::emit::words::Words;
use crate::labels::{fill, sentence_case, spoken};
use crate::model::Joint;
use crate::working::joint::{self as working, JointWorking};
use stack::{Form, Held, Stack};

/// The scales of ISO 5455 that are used, largest first, with their words.
const SCALES: [(f64, &str); 5] = [(2.0, "2 : 1"), (1.0, "1 : 1"), (0.5, "1 : 2"), (0.2, "1 : 5"), (0.1, "1 : 10")];
/// The stack may be so wide and so high on paper, by itself and beside the lines of a step.
const MOST: (f64, f64) = (27.0, 62.0);
const MOST_BESIDE: (f64, f64) = (20.0, 37.0);
/// What is clamped reaches so far beyond the widest piece.
const BEYOND: f64 = 4.2;
/// Where the dimension of the bolt's length stands.
const LENGTH_AT: f64 = 2.2;
/// From the left to what is clamped.
const LEFT: f64 = 5.0;
/// A part whose thickness nobody states is drawn so thick on paper.
const OPEN_PART: f64 = 5.0;
/// A hole that a bolt goes through, in diameters of the bolt: about the medium row of ISO 273 (M8 9 mm, M10 11 mm).
const HOLE: f64 = 1.12;

/// The drawing; `None` where a size that it needs is not known. `number` tells the drawings of a page apart.
pub(in super::super) fn joint(words: Words<'_>, number: usize, joint: &Joint, made: &JointWorking) -> Option<Drawing> {
    drawn(words, number, (joint, made), MOST)
}

/// The same, small enough to stand beside the lines of a step.
pub(in super::super) fn joint_beside(
    words: Words<'_>,
    number: usize,
    joint: &Joint,
    made: &JointWorking,
) -> Option<Drawing> {
    drawn(words, number, (joint, made), MOST_BESIDE)
}

fn drawn(words: Words<'_>, number: usize, (joint, made): (&Joint, &JointWorking), most: (f64, f64)) -> Option<Drawing> {
    let stack = Stack::of(words, joint, made)?;
    let (scale, scale_words) = SCALES.iter().find(|(scale, _)| stack.fits(*scale, most)).copied()?;
    let sheet = Sheet::of(&stack, scale);
    let mut canvas = Canvas::new(format!("fastening-{number}"), sheet.width());
    sheet.clamped(&mut canvas, &stack);
    sheet.pieces(&mut canvas, &stack);
    let dimensions = dimensions(words, joint, &stack, &sheet);
    for dimension in &dimensions {
        vertical(&mut canvas, sheet.column(), dimension);
    }
    let below = dimension_words(&mut canvas, sheet.column(), sheet.text_at(), &dimensions, 0.6);
    sheet.foot(&mut canvas, words, joint, &stack, below);
    let mut drawing = canvas.finish(
        &fill(spoken().fastening.title, &[("joint", &joint.name.title)]),
        &stack.says(words, joint, scale_words),
    );
    drawing.caption = stack.caption(scale_words);
    Some(drawing)
}

/// The stack at its scale, and where it stands on paper.
struct Sheet {
    place: Place,
    /// Half the width of what is clamped.
    half: f64,
    /// Half the width of the hole through it.
    hole: f64,
}

impl Sheet {
    fn of(stack: &Stack<'_>, scale: f64) -> Sheet {
        let half = stack.width() / 2.0 * scale + BEYOND;
        let above = if stack.bolt.is_some() { stack.above() * scale } else { OPEN_PART };
        let place = Place { at: (LEFT + half, 3.0 + above), down: true, scale };
        Sheet { place, half, hole: stack.diameter * HOLE / 2.0 * scale }
    }

    fn column(&self) -> f64 {
        self.place.at.0 + self.half + 3.4
    }

    fn text_at(&self) -> f64 {
        self.column() + 3.6
    }

    fn width(&self) -> f64 {
        (self.text_at() + 27.0).max(62.0)
    }

    /// `y` on the sheet.
    fn y(&self, along: f64) -> f64 {
        self.place.point(along, 0.0).1
    }

    /// The parts that are cut: what is clamped, what it is bolted to.
    fn clamped(&self, canvas: &mut Canvas, stack: &Stack<'_>) {
        let (from, grip) = stack.clamped;
        let top = self.y(from);
        match (grip, stack.bolt.is_some()) {
            (Some(grip), true) => self.part(canvas, (top, self.y(from + grip)), self.hole, Lean::Right, (true, true)),
            (Some(grip), false) => {
                self.part(canvas, (top - OPEN_PART, top), self.stud(stack), Lean::Left, (false, true));
                self.part(canvas, (top, self.y(from + grip)), self.hole, Lean::Right, (true, true));
            }
            (None, _) => self.part(canvas, (top - OPEN_PART, top), self.hole, Lean::Right, (false, true)),
        }
        if let (Held::Hole { depth, .. }, Some(bolt)) = (&stack.held, &stack.bolt) {
            let core = (stack.diameter / 2.0 - 0.6134 * stack.pitch) * self.place.scale;
            let thread = stack.diameter / 2.0 * self.place.scale;
            // Where the bolt comes out beyond the thread, the hole goes through; else what lies beyond it is open.
            let through = bolt.length > stack.needed + depth;
            let (top, end) = (self.y(stack.needed), self.y(stack.needed + depth));
            self.part(canvas, (top, end), core, Lean::Left, (true, through));
            for side in [-1.0, 1.0] {
                let x = self.place.at.0 + side * thread;
                canvas.line((x, top), (x, end), "hair");
            }
        }
    }

    /// Half the width of a stud.
    fn stud(&self, stack: &Stack<'_>) -> f64 {
        stack.diameter / 2.0 * self.place.scale
    }

    /// A part that is cut, with a hole; `closed` says whether its upper and its lower face are its own.
    fn part(&self, canvas: &mut Canvas, (from, to): (f64, f64), hole: f64, lean: Lean, closed: (bool, bool)) {
        let middle = self.place.at.0;
        for side in [-1.0, 1.0] {
            let (inner, outer) = (middle + side * hole, middle + side * self.half);
            hatched(canvas, (inner.min(outer), from), ((outer - inner).abs(), to - from), lean);
            canvas.line((inner, from), (inner, to), "part");
            for (y, own) in [(from, closed.0), (to, closed.1)] {
                if own {
                    canvas.line((inner, y), (outer, y), "part");
                } else {
                    broken(canvas, (inner, y), (outer, y));
                }
            }
            broken(canvas, (outer, from), (outer, to));
        }
    }

    /// The bolt, or what is to be seen of a stud; washers, nuts and the axis.
    fn pieces(&self, canvas: &mut Canvas, stack: &Stack<'_>) {
        let begins = match &stack.bolt {
            Some(bolt) => {
                bolt.side(canvas, self.place);
                self.y(-bolt.height)
            }
            None => {
                self.stub(canvas, stack);
                self.y(0.0) - OPEN_PART
            }
        };
        for layer in &stack.layers {
            let (place, thick) = (self.place.moved(layer.from), layer.to - layer.from);
            match &layer.form {
                Form::Washer(ring) => ring.side(canvas, place, thick),
                Form::Nut(nut) => nut.side(canvas, place, thick),
            }
        }
        let middle = self.place.at.0;
        canvas.line((middle, begins - 2.2), (middle, self.y(stack.ends()) + 2.2), "axis");
    }

    /// A stud from the break in its part to the break beyond the nut.
    fn stub(&self, canvas: &mut Canvas, stack: &Stack<'_>) {
        let (middle, half) = (self.place.at.0, self.stud(stack));
        let core = half - 0.6134 * stack.pitch * self.place.scale;
        let (from, to) = (self.y(0.0) - OPEN_PART, self.y(stack.ends()));
        canvas.rect((middle - half, from), (2.0 * half, to - from), "paper");
        for side in [-1.0, 1.0] {
            canvas.line((middle + side * half, from), (middle + side * half, to), "part");
            canvas.line((middle + side * core, from), (middle + side * core, to), "hair");
        }
        for y in [from, to] {
            broken(canvas, (middle - half, y), (middle + half, y));
        }
    }

    /// The bolt's length with its words, and the bar of the scale.
    fn foot(&self, canvas: &mut Canvas, words: Words<'_>, joint: &Joint, stack: &Stack<'_>, below: f64) {
        let y = below.max(self.y(stack.ends()) + 3.0) + 2.6;
        let system = words.procedure.units.first;
        let bar = if self.place.scale < 1.0 { Bar::long(system) } else { Bar::short(system) };
        let bar_at = self.column().min(self.width() - 0.5 - bar.width(self.place.scale));
        let most = bar_at - 2.0;
        if let Some(stud) = stack.bolt_title(joint).filter(|_| stack.bolt.is_none()) {
            canvas.block((0.4, y), Anchor::Start, Face::Small, &sentence_case(&stud), most);
        }
        if let (Some(bolt), Some(carries)) = (&stack.bolt, &stack.assembly.bolt) {
            let (middle, scale) = (self.place.at.0, self.place.scale);
            let edges = (middle - bolt.width / 2.0 * scale, middle - bolt.diameter / 2.0 * scale);
            let (from, to) = (self.y(0.0), self.y(bolt.length));
            let length = Dimension { from, to, edges, what: String::new(), value: String::new() };
            vertical(canvas, LENGTH_AT, &length);
            let of_screw = carries.word == "screw";
            let labels = &spoken().fastening;
            let what = if of_screw { labels.length_of_screw } else { labels.length_of_bolt };
            let next = canvas.block((0.4, y), Anchor::Start, Face::Small, what, most) + 0.4;
            let value = carries.length.as_ref().map(|length| words.quantity(length)).unwrap_or_default();
            canvas.block((0.4, next), Anchor::Start, Face::Plain, &value, most);
        }
        bar.draw(canvas, (bar_at, y + 2.4), self.place.scale, true);
        canvas.reach(y + 4.0);
    }
}

/// What is dimensioned beside the stack, from above.
fn dimensions(words: Words<'_>, joint: &Joint, stack: &Stack<'_>, sheet: &Sheet) -> Vec<Dimension> {
    let procedure = words.procedure;
    let computed = |mm: f64| {
        working::computed_length(procedure, mm).map_or_else(|| "–".to_owned(), |length| words.quantity(&length))
    };
    let labels = &spoken().fastening;
    let middle = sheet.place.at.0;
    let part = middle + sheet.half;
    let across = |real: f64| middle + real / 2.0 * sheet.place.scale;
    let mut all = Vec::new();
    let mut add = |from: f64, to: f64, edges: (f64, f64), what: &str, value: String| {
        all.push(Dimension { from: sheet.y(from), to: sheet.y(to), edges, what: what.to_owned(), value });
    };
    if let (Some(grip), (from, Some(thick))) = (&joint.grip, stack.clamped) {
        add(from, from + thick, (part, part), spoken().joint.grip, words.quantity(grip));
    }
    let Some(bolt) = &stack.bolt else {
        for layer in &stack.layers {
            let edge = layer.edge(&across);
            add(layer.from, layer.to, (edge, edge), &layer.title, computed(layer.to - layer.from));
        }
        return all;
    };
    let (needed, end) = (stack.needed, across(bolt.diameter));
    match stack.held {
        Held::Nuts => {
            let nut = stack.layers.last().map_or(end, |layer| layer.edge(&across));
            let left = bolt.length - needed;
            if left >= 0.0 {
                add(needed, bolt.length, (nut, end), labels.protrusion, computed(left));
            } else {
                add(bolt.length, needed, (nut, nut), labels.too_short, computed(-left));
            }
        }
        Held::Hole { depth, engaged } => {
            let beyond = bolt.length - needed - depth;
            let whole = joint.into.as_ref().filter(|_| engaged >= depth).map(|hole| words.quantity(&hole.depth));
            let value = whole.unwrap_or_else(|| computed(engaged));
            add(needed, needed + engaged, (part, part), labels.engaged, value);
            if beyond > 0.0 {
                add(needed + depth, bolt.length, (part, end), labels.protrusion, computed(beyond));
            } else if engaged < depth {
                add(needed + engaged, needed + depth, (part, part), labels.left_below, computed(depth - engaged));
            }
        }
    }
    all
}
