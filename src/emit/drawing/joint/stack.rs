//! What lies on the axis of a fastening: its pieces in their order, each from where to where.

use super::super::fasteners::{Bolt, Nut, Ring, millimetres, pitch_of};
use crate::emit::words::Words;
use crate::model::{FastenerKind, Joint};
use crate::working::joint::{Assembly, JointWorking, Piece};

/// More pieces than this are not drawn.
const MOST_PIECES: usize = 12;

/// What lies on the axis.
#[derive(Debug, Clone, Copy)]
pub(super) enum Form {
    Washer(Ring),
    Nut(Nut),
}

/// A washer or nut with its place along the axis.
pub(super) struct Layer {
    pub(super) form: Form,
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) title: String,
}

impl Layer {
    /// Where its right edge is.
    pub(super) fn edge(&self, across: &dyn Fn(f64) -> f64) -> f64 {
        match &self.form {
            Form::Nut(nut) => across(nut.flats * 0.95),
            Form::Washer(ring) => across(ring.outside),
        }
    }
}

/// What the threads hold on to.
pub(super) enum Held {
    /// A nut, or several.
    Nuts,
    /// A tapped hole: the depth of its thread, and how much of it engages.
    Hole { depth: f64, engaged: f64 },
}

/// Everything that is drawn, along the axis.
pub(super) struct Stack<'p> {
    /// `None` where a stud is there already.
    pub(super) bolt: Option<Bolt>,
    pub(super) assembly: Assembly<'p>,
    pub(super) diameter: f64,
    pub(super) pitch: f64,
    /// From under the head to the nut.
    pub(super) layers: Vec<Layer>,
    /// How many of the layers lie before what is clamped.
    pub(super) before: usize,
    /// Where the clamped parts begin, and how thick they are together, where that is stated.
    pub(super) clamped: (f64, Option<f64>),
    pub(super) held: Held,
    /// Where nuts and clamped parts end.
    pub(super) needed: f64,
}

impl<'p> Stack<'p> {
    pub(super) fn of(words: Words<'p>, joint: &'p Joint, made: &JointWorking) -> Option<Stack<'p>> {
        let assembly = Assembly::of(words.procedure, joint);
        let carries = assembly.bolt.as_ref()?;
        let (diameter, pitch) = (millimetres(&carries.thread.diameter)?, pitch_of(carries.thread)?);
        let bolt = if carries.is_part { Some(bolt_of(words, joint)?) } else { None };
        if bolt.is_some() && made.length.is_none() || bolt.is_none() && assembly.nuts.is_empty() {
            return None;
        }
        let grip = match &joint.grip {
            Some(grip) => Some(millimetres(grip)?),
            None => None,
        };
        let held = match (&joint.into, &made.engagement) {
            (Some(hole), Some(engagement)) if bolt.is_some() && assembly.nuts.is_empty() => {
                Held::Hole { depth: millimetres(&hole.depth)?, engaged: engagement.engaged_mm }
            }
            _ if assembly.nuts.is_empty() => return None,
            _ => Held::Nuts,
        };
        let (washers, nuts) = (expanded(&assembly.washers)?, expanded(&assembly.nuts)?);
        let before = match (&bolt, &held) {
            (None, _) => 0,
            (_, Held::Hole { .. }) => washers.len(),
            _ => washers.len() / 2,
        };
        let mut stack = Stack {
            bolt,
            assembly,
            diameter,
            pitch,
            layers: Vec::new(),
            before,
            clamped: (0.0, grip),
            held,
            needed: 0.0,
        };
        stack.pile(&washers, &nuts)?;
        Some(stack)
    }

    /// Puts washers, clamped parts and nuts on one another.
    fn pile(&mut self, washers: &[(String, Form, f64)], nuts: &[(String, Form, f64)]) -> Option<()> {
        let mut along = 0.0;
        for (at, (title, form, thick)) in washers.iter().chain(nuts).enumerate() {
            if at == self.before {
                self.clamped.0 = along;
                along += self.clamped.1.unwrap_or_default();
            }
            self.layers.push(Layer { form: *form, from: along, to: along + thick, title: title.clone() });
            along += thick;
        }
        if self.layers.len() == self.before {
            self.clamped.0 = along;
            along += self.clamped.1?;
        }
        self.needed = along;
        Some(())
    }

    /// How high what stands above the face under the head is.
    pub(super) fn above(&self) -> f64 {
        self.bolt.as_ref().map_or(0.0, |bolt| bolt.height)
    }

    /// Where the lowest thing ends. A stud's end is not known; a stub of it is drawn.
    pub(super) fn ends(&self) -> f64 {
        let bolt = self.bolt.as_ref().map_or(self.needed + self.diameter * 0.6, |bolt| bolt.length);
        let hole = match self.held {
            Held::Hole { depth, .. } => self.needed + depth,
            Held::Nuts => self.needed,
        };
        bolt.max(hole)
    }

    /// The widest piece.
    pub(super) fn width(&self) -> f64 {
        let layers = self.layers.iter().map(|layer| match &layer.form {
            Form::Washer(ring) => ring.outside,
            Form::Nut(nut) => nut.width(),
        });
        let head = self.bolt.as_ref().map_or(0.0, |bolt| bolt.width);
        layers.fold(head.max(self.diameter), f64::max)
    }

    pub(super) fn fits(&self, scale: f64, most: (f64, f64)) -> bool {
        let high = (self.above() + self.ends()) * scale;
        self.width() * scale <= most.0 && high <= most.1
    }
}

/// The bolt of a joint, with its sizes: the first part that is one.
fn bolt_of(words: Words<'_>, joint: &Joint) -> Option<Bolt> {
    let fasteners = joint.each.iter().filter_map(|each| words.procedure.parts[each.what].fastener.as_ref());
    let mut bolts = fasteners.filter(|fastener| fastener.thread.is_some());
    Bolt::of(bolts.find(|fastener| !matches!(fastener.kind, FastenerKind::Nut | FastenerKind::Washer))?)
}

/// Every single piece with its title, form and thickness; `None` where one has no known size, or where there are too
/// many.
fn expanded(pieces: &[Piece<'_>]) -> Option<Vec<(String, Form, f64)>> {
    let mut all = Vec::new();
    for piece in pieces {
        for _ in 0..piece.count {
            let form = match Nut::of(piece.fastener) {
                Some(nut) => Form::Nut(nut),
                None => Form::Washer(Ring::of(piece.fastener)?),
            };
            all.push((piece.part.name.title.clone(), form, piece.takes_up_mm()?));
            if all.len() > MOST_PIECES {
                return None;
            }
        }
    }
    Some(all)
}
