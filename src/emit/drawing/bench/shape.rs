//! What lies in a tray, as it looks at true size.

use super::super::canvas::Canvas;
use super::super::drives::{CORNERS, drive_plan, recess_width};
use super::super::fasteners::{Bolt, Nut, Place, Ring};
use crate::model::Drive;

/// Between two views of one thing.
const BETWEEN: f64 = 3.0;
/// Between the sizes that one tool fits.
const CLOSE: f64 = 1.2;
/// How long the scale of a torque wrench is.
const RANGE: f64 = 62.0;

/// What is drawn of a thing.
pub(super) enum Shape {
    Bolt(Bolt),
    Nut(Nut),
    Ring(Ring),
    /// What a tool turns.
    Tips(Vec<Tip>),
    /// The range of a torque wrench, as shares of the highest torque on the bench.
    Range {
        low: f64,
        high: f64,
    },
}

/// What a tool turns, with its size.
#[derive(PartialEq)]
pub(super) struct Tip {
    drive: Drive,
    size: f64,
    mark: Option<String>,
}

impl Tip {
    /// `None` where nobody knows how large it is.
    pub(super) fn of(drive: Drive, size: Option<f64>, mark: Option<String>) -> Option<Tip> {
        let size = size.or_else(|| recess_width(drive, mark.as_deref().unwrap_or_default()))?;
        Some(Tip { drive, size, mark })
    }

    fn reach(&self) -> (f64, f64) {
        match self.drive {
            Drive::Hex => (self.size + 3.2, (self.size + 3.2) * CORNERS),
            Drive::HexSocket => (self.size, self.size * CORNERS),
            _ => (self.size, self.size),
        }
    }
}

impl Shape {
    /// Whether it shows a thing as large as it is.
    pub(super) fn is_true_size(&self) -> bool {
        !matches!(self, Shape::Range { .. })
    }

    /// The least width that it needs, and its height.
    pub(super) fn least(&self) -> (f64, f64) {
        match self {
            Shape::Bolt(bolt) => (bolt.height + bolt.length, bolt.width),
            Shape::Nut(nut) => (nut.flats, nut.width()),
            Shape::Ring(ring) => (ring.outside, ring.outside),
            Shape::Tips(tips) => {
                let wide: f64 = tips.iter().map(|tip| tip.reach().0 + CLOSE).sum();
                (wide - CLOSE, tips.iter().map(|tip| tip.reach().1).fold(0.0, f64::max))
            }
            Shape::Range { .. } => (RANGE, 4.0),
        }
    }

    /// How wide it is where so much room is: a bolt shows its head from above too, where that fits.
    pub(super) fn width(&self, room: f64) -> f64 {
        let least = self.least().0;
        match self {
            Shape::Bolt(bolt) if least + bolt.width + BETWEEN <= room => least + bolt.width + BETWEEN,
            _ => least,
        }
    }

    /// Draws it with its left edge at `x` and its middle at `y`.
    pub(super) fn draw(&self, canvas: &mut Canvas, (x, y): (f64, f64), room: f64) {
        match self {
            Shape::Bolt(bolt) => {
                let both = self.width(room) > self.least().0;
                let begins = if both { x + bolt.width + BETWEEN } else { x };
                if both {
                    bolt.head_plan(canvas, (x + bolt.width / 2.0, y), 1.0);
                }
                bolt.side(canvas, Place { at: (begins + bolt.height, y), down: false, scale: 1.0 });
            }
            Shape::Nut(nut) => nut.plan(canvas, (x + nut.flats / 2.0, y), 1.0),
            Shape::Ring(ring) => ring.plan(canvas, (x + ring.outside / 2.0, y), 1.0),
            Shape::Tips(tips) => {
                let mut at = x;
                for tip in tips {
                    let wide = tip.reach().0;
                    let middle = (at + wide / 2.0, y);
                    drive_plan(canvas, middle, tip.drive, Some(tip.size), tip.mark.as_deref(), (1.0, f64::MAX));
                    at += wide + CLOSE;
                }
            }
            Shape::Range { low, high } => {
                canvas.line((x, y), (x + RANGE, y), "hair");
                for tick in [0.0, 0.25, 0.5, 0.75, 1.0] {
                    let here = x + RANGE * tick;
                    canvas.line((here, y - 1.2), (here, y + 1.2), "hair");
                }
                canvas.rect((x + RANGE * low, y - 1.7), (RANGE * (high - low), 3.4), "grey part");
            }
        }
    }
}
