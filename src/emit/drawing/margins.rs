//! How far limits are kept: a strip for each, and a bar for each line of an answer. Shares of the right side of a limit, in per
//! cent; what is beyond the ends of the scale stands in the last class.

use super::{Anchor, Canvas, Drawing, Face, n};
use crate::labels::{fill, spoken};

/// The scale goes from here to there, in classes of ten per cent.
const LOWEST: i32 = -50;
const HIGHEST: i32 = 100;
const CLASS: i32 = 10;
const CLASSES: usize = 15;

/// How many lines keep a limit by how much.
#[derive(Debug, Clone, Default)]
pub(crate) struct MarginStrip {
    classes: [u64; CLASSES],
}

impl MarginStrip {
    /// Adds a line.
    pub(crate) fn add(&mut self, share: f64) {
        let at = ((share - f64::from(LOWEST)) / f64::from(CLASS)).floor().clamp(0.0, CLASSES as f64 - 1.0);
        let at = (0..CLASSES).rev().find(|class| *class as f64 <= at).unwrap_or(0);
        if let Some(count) = self.classes.get_mut(at) {
            *count += 1;
        }
    }

    /// Adds the lines of another one.
    pub(crate) fn join(&mut self, other: &MarginStrip) {
        self.classes.iter_mut().zip(other.classes).for_each(|(own, other)| *own += other);
    }
}

const WIDTH: f64 = 128.0;
const LEFT: f64 = 4.0;
const RIGHT: f64 = WIDTH - 4.0;
const TOP: f64 = 4.6;
const HEIGHT: f64 = 20.0;

/// The strip of a limit; `None` where no line has a margin.
pub(in super::super) fn strip(id: usize, title: &str, strip: &MarginStrip) -> Option<Drawing> {
    let most = *strip.classes.iter().max().filter(|most| **most > 0)?;
    let wide = (RIGHT - LEFT) / CLASSES as f64;
    let place = |class: usize| LEFT + class as f64 * wide;
    let foot = TOP + HEIGHT;
    let mut canvas = Canvas::new(format!("margin-{id}"), WIDTH);
    let zero = (-LOWEST / CLASS).unsigned_abs() as usize;
    for (class, count) in strip.classes.iter().enumerate().filter(|(_, count)| **count > 0) {
        // One line is seen among many.
        let high = (*count as f64 / most as f64 * (HEIGHT - 4.0)).max(0.6);
        let (at, size) = ((place(class) + 0.5, foot - high), (wide - 1.0, high));
        if class < zero {
            canvas.hatch(at, size, "thin");
            canvas.rect(at, size, "thin");
        } else {
            canvas.rect(at, size, "grey");
        }
        canvas.text((place(class) + wide / 2.0, foot - high - 0.9), Anchor::Middle, Face::Small, &count.to_string());
    }
    canvas.line((LEFT, foot), (RIGHT, foot), "ink");
    canvas.line((place(zero), TOP - 2.0), (place(zero), foot + 1.2), "bold");
    for (class, share) in (LOWEST..=HIGHEST).step_by(CLASS as usize).enumerate() {
        canvas.line((place(class), foot), (place(class), foot + 0.8), "thin");
        if share % 50 == 0 || share == 0 {
            let text = fill(spoken().fit.share, &[("n", &share.to_string().replace('-', "−"))]);
            canvas.text((place(class), foot + 4.0), Anchor::Middle, Face::Small, &text);
        }
    }
    canvas.reach(foot + 5.0);
    Some(canvas.finish(title, title))
}

/// A bar from nothing to a share, on the same scale.
pub(crate) fn margin_bar(share: f64) -> String {
    const WIDE: f64 = 30.0;
    let place = |share: f64| {
        let share = share.clamp(f64::from(LOWEST), f64::from(HIGHEST));
        (share - f64::from(LOWEST)) / f64::from(HIGHEST - LOWEST) * WIDE
    };
    let (zero, end) = (place(0.0), place(share));
    let (from, wide) = (zero.min(end), (zero - end).abs());
    let class = if share < 0.0 { "short" } else { "left" };
    format!(
        "<svg class=\"bar\" viewBox=\"0 0 30 4\" aria-hidden=\"true\"><path class=\"axis\" d=\"M0 3.5H30M{z} 0V4\"/>\
         <rect class=\"{class}\" x=\"{x}\" y=\"0.8\" width=\"{w}\" height=\"2\"/></svg>",
        z = n(zero),
        x = n(from),
        w = n(wide.max(0.3)),
    )
}
