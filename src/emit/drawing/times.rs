//! How long steps took, one below the other over one ruler, beside what they take by the procedure.

use crate::labels::{fill, spoken};

use super::canvas::wrap_in;
use super::scale::steps;
use super::{Anchor, Canvas, Drawing, Face, n};

const WIDTH: f64 = 170.0;
const LEFT: f64 = 62.0;
const RIGHT: f64 = WIDTH - 4.0;
const ROW: f64 = 5.6;

/// The times of a step, in minutes.
pub(in crate::emit) struct Time {
    pub(in crate::emit) number: String,
    pub(in crate::emit) title: String,
    /// What it takes at most.
    pub(in crate::emit) takes: Option<f64>,
    pub(in crate::emit) quartiles: [f64; 3],
}

/// The drawing; `None` where nothing was timed.
pub(in crate::emit) fn times(id: String, rows: &[Time]) -> Option<Drawing> {
    let ends = rows.iter().map(|row| row.quartiles[2].max(row.takes.unwrap_or_default()));
    let most = ends.fold(0.0, f64::max) * 1.04;
    let (step, _, decimals) = steps(most)?;
    let place = |minutes: f64| LEFT + (minutes / most).clamp(0.0, 1.0) * (RIGHT - LEFT);
    let mut canvas = Canvas::new(id, WIDTH);
    let mut y = 1.0;
    for row in rows {
        let middle = y + ROW / 2.0;
        let words = format!("{} {}", row.number, row.title);
        let line = wrap_in(Face::Plain, &words, LEFT - 5.0, 1).into_iter().next().unwrap_or_default();
        canvas.text((LEFT - 3.0, middle + 1.0), Anchor::End, Face::Plain, &line);
        if let Some(most) = row.takes {
            canvas.rect((LEFT, middle - 2.3), ((place(most) - LEFT).max(0.4), 4.6), "grey");
        }
        let [lower, median, upper] = row.quartiles.map(place);
        canvas.rect((lower, middle - 1.2), ((upper - lower).max(0.3), 2.4), "paper ink");
        canvas.path(&format!("M{} {}V{}", n(median), n(middle - 1.9), n(middle + 1.9)), "bold");
        y += ROW;
    }
    canvas.line((LEFT, 0.5), (LEFT, y), "ink");
    canvas.line((LEFT, y), (RIGHT, y), "ink");
    let mut at = 0.0;
    while at * step <= most {
        let x = place(at * step);
        canvas.line((x, y), (x, y + 1.2), "ink");
        if x < RIGHT - 10.0 {
            canvas.text((x, y + 4.3), Anchor::Middle, Face::Small, &format!("{:.decimals$}", at * step));
        }
        at += 1.0;
    }
    canvas.text((RIGHT, y + 4.3), Anchor::End, Face::Bold, "min");
    let says = [("n", rows.len().to_string()), ("most", format!("{most:.0}"))];
    let says: Vec<(&str, &str)> = says.iter().map(|(name, value)| (*name, value.as_str())).collect();
    Some(canvas.finish(spoken().tallied.times, &fill(spoken().tallied.times_describe, &says)))
}
