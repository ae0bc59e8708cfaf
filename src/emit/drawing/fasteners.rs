//! What bolts, nuts and washers look like: their sizes, and the views that drawings put together.
//!
//! Sizes are millimetres of the real thing. *Along* is measured on the axis from the face that bears, towards the
//! end; *across* from the axis. What the model knows is drawn as it is; the rest goes by the usual *proportions*, from
//! memory: a socket head is as high as the thread is thick (ISO 4762), a pan head is twice (ISO 14583) and a
//! countersunk head 1.85 times as wide (ISO 7046-1), and a thread is as long as ISO 888 and ASME B18.2.1 make it, two
//! diameters and about a quarter of an inch.

use super::canvas::{Canvas, n};
use super::drives::{CORNERS, drive_plan, hexagon};
use super::float;
use crate::model::{Drive, Fastener, FastenerKind, Thread};
use crate::quantity::{Kind, Quantity};

/// Depth of a thread, in pitches.
const DEPTH: f64 = 0.6134;
/// Smallest and largest size that is drawn.
const SIZES: (f64, f64) = (0.3, 2000.0);

/// A length in millimetres, where it can be drawn.
pub(super) fn millimetres(length: &Quantity) -> Option<f64> {
    let base = length.base().filter(|_| length.kind() == Kind::Length)?;
    let millimetres = float(base) * 1000.0;
    (SIZES.0..=SIZES.1).contains(&millimetres).then_some(millimetres)
}

/// Where a fastener lies on the sheet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    /// The point of its axis where its head, or its face, bears.
    pub(super) at: (f64, f64),
    /// Whether its end points down; else to the right.
    pub(super) down: bool,
    /// Millimetres of paper for one of the real thing.
    pub(super) scale: f64,
}

impl Place {
    /// A point on the sheet.
    pub(super) fn point(self, along: f64, across: f64) -> (f64, f64) {
        let (along, across) = (along * self.scale, across * self.scale);
        if self.down { (self.at.0 + across, self.at.1 + along) } else { (self.at.0 + along, self.at.1 + across) }
    }

    /// The same place, moved along the axis.
    pub(super) fn moved(self, along: f64) -> Place {
        Place { at: self.point(along, 0.0), ..self }
    }

    /// A line from point to point.
    pub(super) fn line(self, canvas: &mut Canvas, from: (f64, f64), to: (f64, f64), class: &str) {
        canvas.line(self.point(from.0, from.1), self.point(to.0, to.1), class);
    }

    fn begin(self, along: f64, across: f64) -> Outline {
        let (x, y) = self.point(along, across);
        Outline { place: self, d: format!("M{} {}", n(x), n(y)) }
    }
}

/// The text of a path that is being made.
struct Outline {
    place: Place,
    d: String,
}

impl Outline {
    fn to(mut self, along: f64, across: f64) -> Self {
        let (x, y) = self.place.point(along, across);
        self.d.push_str(&format!("L{} {}", n(x), n(y)));
        self
    }

    /// A curve to a point that touches `top` in its middle.
    fn arch(self, top: f64, to: (f64, f64)) -> Self {
        let middle = |from: f64| 2.0 * top - from;
        let (control, across) = (middle(to.0), to.1);
        self.bend((control, 0.0), (to.0, across))
    }

    fn bend(mut self, control: (f64, f64), to: (f64, f64)) -> Self {
        let (cx, cy) = self.place.point(control.0, control.1);
        let (x, y) = self.place.point(to.0, to.1);
        self.d.push_str(&format!("Q{} {} {} {}", n(cx), n(cy), n(x), n(y)));
        self
    }

    fn closed(self) -> String {
        self.d + "Z"
    }
}

/// The form of a head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum HeadForm {
    /// A hexagon, as wide as this across flats.
    Hexagon(f64),
    /// A cylinder with a hexagon socket of that width.
    Cylinder(Option<f64>),
    /// Flat below and round above.
    Dome,
    /// Let into the part that it clamps.
    Sunk,
}

/// A bolt or screw.
#[derive(Debug, Clone)]
pub(super) struct Bolt {
    pub(super) diameter: f64,
    pub(super) pitch: f64,
    pub(super) length: f64,
    pub(super) head: HeadForm,
    /// How high the head stands above the face that bears; nought where it is let in.
    pub(super) height: f64,
    /// Across the widest place of the head.
    pub(super) width: f64,
    /// Whether it cuts its own thread: it has a point.
    pub(super) tapping: bool,
    /// What a tool grips in the head, where that is a recess.
    recess: Option<Recess>,
}

/// A recess by its mark.
#[derive(Debug, Clone)]
struct Recess {
    drive: Drive,
    mark: String,
}

impl Bolt {
    /// `None` where its size is not known, or too odd to be drawn.
    pub(super) fn of(fastener: &Fastener) -> Option<Bolt> {
        if !matches!(fastener.kind, FastenerKind::Bolt | FastenerKind::Screw) {
            return None;
        }
        let length = millimetres(fastener.length.as_ref()?)?;
        let (diameter, pitch) = size_of(fastener)?;
        let (head, width, height) = head_of(fastener, diameter);
        let recess = fastener.head.as_ref().filter(|head| !matches!(head.drive, Drive::Hex | Drive::HexSocket));
        Some(Bolt {
            diameter,
            pitch,
            length,
            head,
            height,
            width,
            tapping: fastener.thread.is_none() && fastener.kind == FastenerKind::Screw,
            recess: recess.map(|head| Recess { drive: head.drive, mark: head.mark.clone().unwrap_or_default() }),
        })
    }

    /// Where its thread begins, along the axis.
    fn thread_begins(&self) -> f64 {
        let below = if self.head == HeadForm::Sunk { self.diameter * 0.5 } else { 0.0 };
        let begins = match self.head {
            _ if self.tapping => below,
            HeadForm::Cylinder(_) => self.length - 2.0 * self.diameter - 12.0,
            _ => self.length - 2.0 * self.diameter - 6.35,
        };
        if begins < below + 2.0 * self.pitch { below } else { begins }
    }

    /// From the side: shank, thread and head.
    pub(super) fn side(&self, canvas: &mut Canvas, place: Place) {
        let radius = self.diameter / 2.0;
        if self.tapping {
            self.pointed(canvas, place);
        } else {
            let bevel = (self.pitch * DEPTH).min(self.length / 3.0);
            let end = place.begin(0.0, -radius).to(self.length - bevel, -radius).to(self.length, bevel - radius);
            let shape = end.to(self.length, radius - bevel).to(self.length - bevel, radius).to(0.0, radius).closed();
            canvas.path(&shape, "paper part");
            let begins = self.thread_begins();
            for core in [radius - DEPTH * self.pitch, DEPTH * self.pitch - radius] {
                place.line(canvas, (begins, core), (self.length - bevel / 2.0, core), "thin");
            }
            place.line(canvas, (self.length - bevel, -radius), (self.length - bevel, radius), "hair");
            if begins > self.pitch {
                place.line(canvas, (begins, -radius), (begins, radius), "hair");
            }
        }
        self.head_side(canvas, place);
        let end = place.point(self.length, radius.max(self.width / 2.0));
        canvas.reach(end.1);
    }

    /// The shank of a screw that cuts its own thread.
    fn pointed(&self, canvas: &mut Canvas, place: Place) {
        let core = self.diameter * 0.36;
        let radius = self.diameter / 2.0;
        let tip = self.length - self.diameter.min(self.length / 2.0);
        let shape = place.begin(0.0, -core).to(tip, -core).to(self.length, 0.0).to(tip, core).to(0.0, core).closed();
        canvas.path(&shape, "paper part");
        // Of a very long screw not every turn.
        let step = self.pitch.max(self.length / 150.0);
        let mut along = self.thread_begins() + step;
        while along < self.length - step {
            let left = (self.length - along) / (self.length - tip);
            let reach = if along > tip { radius * left } else { radius };
            place.line(canvas, (along - step * 0.25, -reach), (along + step * 0.25, reach), "hair");
            along += step;
        }
    }

    fn head_side(&self, canvas: &mut Canvas, place: Place) {
        let (half, high) = (self.width / 2.0, self.height);
        match self.head {
            HeadForm::Hexagon(flats) => hexagon_side(canvas, place.moved(-high), flats, high, (true, false)),
            HeadForm::Cylinder(key) => {
                let bevel = (half * 0.14).min(high / 3.0);
                let shape = place.begin(0.0, -half).to(bevel - high, -half).to(-high, bevel - half);
                canvas.path(&shape.to(-high, half - bevel).to(bevel - high, half).to(0.0, half).closed(), "paper part");
                if let Some(key) = key {
                    let corner = key * CORNERS / 2.0;
                    let floor = -high * 0.5;
                    for across in [-corner, corner] {
                        place.line(canvas, (-high, across), (floor, across), "thin dash");
                    }
                    place.line(canvas, (floor, -corner), (floor, corner), "thin dash");
                }
            }
            HeadForm::Dome => {
                let shape = place.begin(0.0, -half).to(-high * 0.35, -half).arch(-high, (-high * 0.35, half));
                canvas.path(&shape.to(0.0, half).closed(), "paper part");
            }
            HeadForm::Sunk => {
                let (radius, rim) = (self.diameter / 2.0, self.diameter * 0.08);
                let cone = rim + half - radius;
                let shape = place.begin(0.0, -half).to(rim, -half).to(cone, -radius).to(cone, radius);
                canvas.path(&shape.to(rim, half).to(0.0, half).closed(), "paper part");
            }
        }
    }

    /// From above, as the tool meets it. `centre` is on the sheet.
    pub(super) fn head_plan(&self, canvas: &mut Canvas, centre: (f64, f64), scale: f64) {
        let width = self.width * scale;
        match self.head {
            HeadForm::Hexagon(flats) => {
                hexagon(canvas, centre, flats * scale, "paper part");
                canvas.circle(centre, flats * scale * 0.475, "hair");
            }
            HeadForm::Cylinder(key) => {
                canvas.circle(centre, width / 2.0, "paper part");
                if let Some(key) = key {
                    hexagon(canvas, centre, key * scale, "full");
                }
            }
            HeadForm::Dome | HeadForm::Sunk => {
                canvas.circle(centre, width / 2.0, "paper part");
                if let Some(recess) = &self.recess {
                    let most = width * 0.62;
                    drive_plan(canvas, centre, recess.drive, None, Some(&recess.mark), (scale, most));
                }
            }
        }
    }
}

/// Diameter and pitch of a fastener's thread.
fn size_of(fastener: &Fastener) -> Option<(f64, f64)> {
    if let Some(thread) = &fastener.thread {
        return Some((millimetres(&thread.diameter)?, pitch_of(thread)?));
    }
    let diameter = millimetres(fastener.diameter.as_ref()?)?;
    let row = fastener.tapping.as_ref().map(|row| float(row.pitch_mm));
    Some((diameter, row.unwrap_or(diameter * 0.33).clamp(0.1, diameter)))
}

/// The pitch of a thread, where it can be drawn.
pub(super) fn pitch_of(thread: &Thread) -> Option<f64> {
    let pitch = float(thread.pitch_mm);
    let diameter = millimetres(&thread.diameter)?;
    (pitch >= 0.1 && pitch * 2.0 * DEPTH < diameter).then_some(pitch)
}

/// Form, width and height of a head.
fn head_of(fastener: &Fastener, diameter: f64) -> (HeadForm, f64, f64) {
    let says = |word: &str| fastener.words.iter().any(|words| words.split(' ').any(|one| one == word));
    let head = fastener.head.as_ref();
    let size = head.and_then(|head| head.sizes.first()).and_then(millimetres);
    let thread = fastener.thread.as_ref();
    let is_round = ["pan", "button", "round", "dome", "mushroom", "truss"].iter().any(|word| says(word));
    match head.map(|head| head.drive) {
        _ if says("countersunk") || says("flat") => (HeadForm::Sunk, diameter * 1.85, 0.0),
        Some(Drive::Hex) => {
            let flats = size.unwrap_or(diameter * 1.6);
            let known = thread.and_then(|thread| thread.head_height.as_ref()).and_then(millimetres);
            (HeadForm::Hexagon(flats), flats * CORNERS, known.unwrap_or(diameter * 0.65))
        }
        Some(Drive::HexSocket) if !is_round => {
            let hexagon = thread.and_then(|thread| thread.hex_bolt.as_ref()).and_then(millimetres);
            let inch = thread.is_some_and(|thread| !thread.id.starts_with('M'));
            let width = hexagon.filter(|_| !inch).unwrap_or(diameter * 1.5);
            (HeadForm::Cylinder(size), width, diameter)
        }
        _ => (HeadForm::Dome, diameter * 2.0, diameter * 0.72),
    }
}

/// A nut.
#[derive(Debug, Clone, Copy)]
pub(super) struct Nut {
    pub(super) flats: f64,
    pub(super) diameter: f64,
    /// Whether a ring of nylon closes it.
    pub(super) insert: bool,
}

impl Nut {
    /// `None` where its size is not known.
    pub(super) fn of(fastener: &Fastener) -> Option<Nut> {
        if fastener.kind != FastenerKind::Nut {
            return None;
        }
        let (diameter, _) = size_of(fastener)?;
        let flats = fastener.head.as_ref().and_then(|head| head.sizes.first()).and_then(millimetres)?;
        (flats > diameter).then_some(Nut { flats, diameter, insert: fastener.has_insert() })
    }

    /// Across its corners.
    pub(super) fn width(self) -> f64 {
        self.flats * CORNERS
    }

    /// From the side, `high` along the axis.
    pub(super) fn side(self, canvas: &mut Canvas, place: Place, high: f64) {
        let hexagon = if self.insert { high * 0.68 } else { high };
        if self.insert {
            let (half, round) = (self.flats * 0.46, (high - hexagon) * 0.7);
            let shape = place.begin(hexagon, -half).to(high - round, -half);
            let shape = shape.bend((high, -half), (high, round - half)).to(high, half - round);
            canvas.path(&shape.bend((high, half), (high - round, half)).to(hexagon, half).closed(), "grey part");
        }
        hexagon_side(canvas, place, self.flats, hexagon, (true, true));
    }

    /// From above.
    pub(super) fn plan(self, canvas: &mut Canvas, centre: (f64, f64), scale: f64) {
        hexagon(canvas, centre, self.flats * scale, "paper part");
        canvas.circle(centre, self.flats * scale * 0.475, "hair");
        let hole = self.diameter / 2.0 * scale;
        if self.insert {
            canvas.circle(centre, (self.flats * 0.4 * scale).max(hole * 1.12), "grey part");
        }
        canvas.circle(centre, hole, "paper part");
    }
}

/// A plain washer.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ring {
    pub(super) outside: f64,
    pub(super) inside: f64,
}

impl Ring {
    /// `None` where no library has its size.
    pub(super) fn of(fastener: &Fastener) -> Option<Ring> {
        let washer = fastener.washer.as_ref()?;
        let (outside, inside) = (millimetres(washer.outside.as_ref()?)?, millimetres(washer.inside.as_ref()?)?);
        (outside > inside).then_some(Ring { outside, inside })
    }

    /// From the side.
    pub(super) fn side(self, canvas: &mut Canvas, place: Place, thick: f64) {
        let half = self.outside / 2.0;
        let shape = place.begin(0.0, -half).to(thick, -half).to(thick, half).to(0.0, half).closed();
        canvas.path(&shape, "paper part");
    }

    /// From above.
    pub(super) fn plan(self, canvas: &mut Canvas, centre: (f64, f64), scale: f64) {
        canvas.circle(centre, self.outside / 2.0 * scale, "paper part");
        canvas.circle(centre, self.inside / 2.0 * scale, "paper part");
    }
}

/// A hexagon from the side, three of its faces to be seen; `bevelled` at its near and its far end.
fn hexagon_side(canvas: &mut Canvas, place: Place, flats: f64, high: f64, bevelled: (bool, bool)) {
    let half = flats * CORNERS / 2.0;
    let flat = flats * 0.475;
    let bevel = ((half - flat) * 0.58).min(high / 4.0);
    let (near, far) = (if bevelled.0 { bevel } else { 0.0 }, if bevelled.1 { bevel } else { 0.0 });
    let end = |at: f64| if at > 0.0 { flat } else { half };
    let shape = place.begin(near, -half).to(high - far, -half).to(high, -end(far)).to(high, end(far));
    let shape = shape.to(high - far, half).to(near, half).to(0.0, end(near)).to(0.0, -end(near));
    canvas.path(&shape.closed(), "paper part");
    for side in [-1.0, 1.0] {
        place.line(canvas, (near, side * half / 2.0), (high - far, side * half / 2.0), "part");
    }
    for (at, top, is_bevelled) in [(near, 0.0, bevelled.0), (high - far, high, bevelled.1)] {
        if is_bevelled {
            canvas.path(&place.begin(at, -half / 2.0).arch(top, (at, half / 2.0)).d, "hair");
            let shoulder = at + (top - at) * 0.5;
            for side in [-1.0, 1.0] {
                let curve = place.begin(at, side * half / 2.0);
                let control = (2.0 * shoulder - at, side * half * 0.75);
                canvas.path(&curve.bend(control, (at, side * half)).d, "hair");
            }
        }
    }
}
