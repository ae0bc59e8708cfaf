//! Dimension lines, hatching and break lines, by the habits of ISO 128 and ISO 129-1.

use super::canvas::{Anchor, Canvas, Face, n, width, wrap_in};
use crate::quantity::System;

/// Length and half the width of an arrow.
const ARROW: (f64, f64) = (1.9, 0.45);
/// Between the blocks of text beside a column of dimensions.
const GAP: f64 = 1.4;

/// What a dimension is called has at most so many lines.
const MOST_LINES: usize = 4;

/// One dimension of a column: from where to where on the sheet, and its words, the first line of which says what it is.
pub(super) struct Dimension {
    pub(super) from: f64,
    pub(super) to: f64,
    /// From where on the part the extension lines begin.
    pub(super) edges: (f64, f64),
    pub(super) what: String,
    pub(super) value: String,
}

/// A vertical dimension line at `x` with its arrows and extension lines.
pub(super) fn vertical(canvas: &mut Canvas, x: f64, dimension: &Dimension) {
    let (from, to) = (dimension.from, dimension.to);
    for (y, edge) in [(from, dimension.edges.0), (to, dimension.edges.1)] {
        let outwards = if edge < x { 1.0 } else { -1.0 };
        canvas.line((edge + outwards * 0.6, y), (x + outwards, y), "hair");
    }
    canvas.line((x, from), (x, to), "dim hair");
    let inside = to - from > 3.0 * ARROW.0;
    let (up, down) = if inside { (1.0, -1.0) } else { (-1.0, 1.0) };
    for (y, points) in [(from, up), (to, down)] {
        let back = y + points * ARROW.0;
        let d = format!("M{} {}L{} {}L{} {}Z", n(x), n(y), n(x - ARROW.1), n(back), n(x + ARROW.1), n(back));
        canvas.path(&d, "full");
        if !inside {
            canvas.line((x, back), (x, back + points * 1.2), "hair");
        }
    }
}

/// The words of a column, each as near to the middle of its dimension as the others allow, with a thin line from the
/// one to the other. Gives the `y` below the last.
pub(super) fn words(canvas: &mut Canvas, column: f64, x: f64, dimensions: &[Dimension], top: f64) -> f64 {
    // A browser rounds the size of the type on a screen, and so a line may come out a little longer.
    let most = canvas.width() - x - 1.0;
    let mut free = top;
    for dimension in dimensions {
        let lines = [(Face::Small, &dimension.what), (Face::Plain, &dimension.value)]
            .map(|(face, text)| (face, wrap_in(face, text, most, MOST_LINES)));
        let high: f64 = lines.iter().map(|(face, lines)| lines.len() as f64 * face.leading()).sum();
        let middle = (dimension.from + dimension.to) / 2.0;
        let begin = (middle - high / 2.0).max(free);
        let mut y = begin;
        for (face, line) in lines.iter().flat_map(|(face, lines)| lines.iter().map(|line| (*face, line))) {
            canvas.text((x, y + face.size() * 0.9), Anchor::Start, face, line);
            y += face.leading();
        }
        let aim = begin + high / 2.0;
        let (from, to) = ((column, middle), (x - 0.8, aim));
        if (aim - middle).abs() < 0.5 {
            canvas.line(from, (to.0, middle), "hair");
        } else {
            let bend = (column + 1.2, middle);
            canvas.path(
                &format!("M{} {}L{} {}L{} {}", n(from.0), n(from.1), n(bend.0), n(bend.1), n(to.0), n(to.1)),
                "hair",
            );
        }
        free = begin + high + GAP;
    }
    free
}

/// Which way the lines of a hatching lean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lean {
    /// Up to the right.
    Right,
    /// Up to the left.
    Left,
}

/// Fills a rectangle with thin lines at 45°: what is cut. `at` is its upper left corner.
pub(super) fn hatched(canvas: &mut Canvas, at: (f64, f64), size: (f64, f64), lean: Lean) {
    const STEP: f64 = 2.3;
    let (x, y, w, h) = (at.0, at.1, size.0, size.1);
    if w <= 0.2 || h <= 0.2 {
        return;
    }
    let mut d = String::new();
    let mut sum = STEP * 0.7;
    while sum < w + h {
        // Points whose distances from the left and from the top add up to `sum`.
        let (low, high) = ((sum.min(w), sum - sum.min(w)), (sum - sum.min(h), sum.min(h)));
        let place = |(right, down): (f64, f64)| {
            let across = if lean == Lean::Right { x + right } else { x + w - right };
            format!("{} {}", n(across), n(y + down))
        };
        d.push_str(&format!("M{}L{}", place(low), place(high)));
        sum += STEP;
    }
    canvas.path(&d, "hatching");
}

/// A break line: what is drawn ends here, the part does not. From point to point, straight across or straight down.
pub(super) fn broken(canvas: &mut Canvas, from: (f64, f64), to: (f64, f64)) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let long = (dx * dx + dy * dy).sqrt();
    if long < 0.1 {
        return;
    }
    let (ux, uy) = (dx / long, dy / long);
    let point = |along: f64, aside: f64| {
        let (x, y) = (from.0 + ux * along - uy * aside, from.1 + uy * along + ux * aside);
        format!("{} {}", n(x), n(y))
    };
    let tooth = (long / 6.0).min(1.1);
    let middle = long / 2.0;
    let d = format!(
        "M{}L{}L{}L{}L{}",
        point(0.0, 0.0),
        point(middle - tooth, 0.0),
        point(middle - tooth * 0.4, -tooth),
        point(middle + tooth * 0.4, tooth),
        point(middle + tooth, 0.0)
    );
    canvas.path(&format!("{d}L{}", point(long, 0.0)), "hair");
}

/// Between a bar and its name.
const BESIDE: f64 = 1.6;

/// A bar to measure by.
pub(super) struct Bar {
    /// How long it is in reality, in millimetres.
    real: f64,
    /// Into how many parts it is divided.
    parts: u32,
    /// Its length in words.
    pub(super) words: &'static str,
}

impl Bar {
    /// One of about 10 mm, in the unit system that comes first.
    pub(super) fn short(system: System) -> Bar {
        match system {
            System::Metric => Bar { real: 10.0, parts: 10, words: "10\u{a0}mm" },
            System::Inch => Bar { real: 12.7, parts: 8, words: "1/2\u{a0}in" },
        }
    }

    /// One of about 50 mm.
    pub(super) fn long(system: System) -> Bar {
        match system {
            System::Metric => Bar { real: 50.0, parts: 10, words: "50\u{a0}mm" },
            System::Inch => Bar { real: 50.8, parts: 8, words: "2\u{a0}in" },
        }
    }

    /// How wide it becomes with its name.
    pub(super) fn width(&self, scale: f64) -> f64 {
        self.real * scale + BESIDE + width(Face::Small, self.words)
    }

    /// Draws it from its left end; `named` writes its length beside it.
    pub(super) fn draw(&self, canvas: &mut Canvas, at: (f64, f64), scale: f64, named: bool) {
        let (x, y) = at;
        let end = x + self.real * scale;
        canvas.line((x, y), (end, y), "part");
        for part in 0..=self.parts {
            let here = x + (end - x) * f64::from(part) / f64::from(self.parts);
            let ends = part == 0 || part == self.parts;
            let half = part * 2 == self.parts;
            let tall = if ends {
                1.5
            } else if half {
                1.1
            } else {
                0.7
            };
            canvas.line((here, y - tall), (here, y), if ends || half { "part" } else { "hair" });
        }
        if named {
            canvas.text((end + BESIDE, y), Anchor::Start, Face::Small, self.words);
        }
    }
}
