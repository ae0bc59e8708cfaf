//! How often each value came: bars over a ruler for numbers, bars beside their labels for what is chosen.

use crate::labels::{fill, spoken};

use super::scale::steps;
use super::{Anchor, Canvas, Drawing, Face, n, width};

const WIDTH: f64 = 76.0;
const LEFT: f64 = 3.0;
const RIGHT: f64 = WIDTH - 3.0;
/// Where the bars stand, and how high the tallest is.
const TOP: f64 = 6.0;
const HEIGHT: f64 = 17.0;

/// Numbers and how often they came.
pub(in crate::emit) struct Spread<'a> {
    /// The only one of its name on the page.
    pub(in crate::emit) id: String,
    pub(in crate::emit) title: &'a str,
    pub(in crate::emit) symbol: &'a str,
    pub(in crate::emit) low: f64,
    pub(in crate::emit) high: f64,
    pub(in crate::emit) bars: Vec<Bar>,
    pub(in crate::emit) marks: Vec<Mark>,
}

/// From one number to another.
pub(in crate::emit) struct Bar {
    pub(in crate::emit) from: f64,
    pub(in crate::emit) to: f64,
    pub(in crate::emit) count: u64,
}

/// A limit, or an end of what is asked for.
pub(in crate::emit) struct Mark {
    pub(in crate::emit) at: f64,
    /// To where the strip reaches that readings crowd.
    pub(in crate::emit) crowded_to: Option<f64>,
}

/// The drawing of numbers; `None` where there is nothing to draw, or nothing that can be drawn to scale.
pub(in crate::emit) fn spread(of: &Spread<'_>) -> Option<Drawing> {
    let (low, high) = (of.low, of.high);
    let most = of.bars.iter().map(|bar| bar.count).max().filter(|most| *most > 0)?;
    let wide = high - low;
    if !wide.is_finite() || wide <= 0.0 {
        return None;
    }
    let place = |value: f64| LEFT + ((value - low) / wide).clamp(0.0, 1.0) * (RIGHT - LEFT);
    let foot = TOP + HEIGHT;
    let mut canvas = Canvas::new(of.id.clone(), WIDTH);
    for mark in &of.marks {
        if let Some(to) = mark.crowded_to {
            let (from, to) = (place(mark.at.min(to)), place(mark.at.max(to)));
            canvas.hatch((from, TOP - 1.5), (to - from, HEIGHT + 1.5), "thin");
        }
    }
    for bar in of.bars.iter().filter(|bar| bar.count > 0) {
        // A bar of one value among thousands is seen all the same.
        let high = (bar.count as f64 / most as f64 * HEIGHT).max(0.5);
        let (from, to) = (place(bar.from), place(bar.to));
        canvas.rect((from, foot - high), ((to - from).max(0.3), high), "grey ink");
    }
    let mut bold = String::new();
    for mark in &of.marks {
        bold.push_str(&format!("M{} {}V{}", n(place(mark.at)), n(TOP - 2.5), n(foot)));
    }
    canvas.path(&bold, "bold");
    let tallest = match most {
        1 => spoken().tallied.one_value.to_owned(),
        most => fill(spoken().tallied.values, &[("n", &most.to_string())]),
    };
    canvas.text((RIGHT, TOP - 3.0), Anchor::End, Face::Small, &tallest);
    canvas.path(&format!("M{} {}H{}", n(LEFT), n(TOP), n(RIGHT)), "thin dash");
    ruler(&mut canvas, (low, high), foot, of.symbol, &place);
    let says = [
        ("low", format!("{low:.3}")),
        ("high", format!("{high:.3}")),
        ("symbol", of.symbol.to_owned()),
        ("most", most.to_string()),
    ];
    let says: Vec<(&str, &str)> = says.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let title = fill(spoken().tallied.spread_title, &[("title", of.title)]);
    Some(canvas.finish(&title, &fill(spoken().tallied.spread_says, &says)))
}

/// The ruler below the bars.
fn ruler(canvas: &mut Canvas, (low, high): (f64, f64), foot: f64, symbol: &str, place: &dyn Fn(f64) -> f64) {
    canvas.line((LEFT, foot), (RIGHT, foot), "ink");
    // Half as many numbers as on a wide drawing.
    let Some((step, _, decimals)) = steps((high - low) * 1.6) else { return };
    let unit = width(Face::Small, symbol) + 1.5;
    let mut at = (low / step - 1e-9).ceil();
    while at * step <= high + step * 1e-6 {
        let value = at * step;
        let x = place(value);
        canvas.line((x, foot), (x, foot + 1.2), "ink");
        let words = format!("{:.decimals$}", if value.abs() < step / 2.0 { 0.0 } else { value });
        let half = width(Face::Small, &words) / 2.0;
        if x - half > LEFT - 3.0 && x + half < RIGHT - unit {
            canvas.text((x, foot + 4.2), Anchor::Middle, Face::Small, &words);
        }
        at += 1.0;
    }
    canvas.text((RIGHT + 2.0, foot + 4.2), Anchor::End, Face::Small, symbol);
}

/// A value that is chosen.
pub(in crate::emit) struct Share {
    pub(in crate::emit) label: String,
    pub(in crate::emit) count: u64,
}

/// The drawing of what is chosen; `None` where nothing was.
pub(in crate::emit) fn shares(id: String, title: &str, values: &[Share]) -> Option<Drawing> {
    const LABELS: f64 = 33.0;
    let all: u64 = values.iter().map(|value| value.count).sum();
    if all == 0 {
        return None;
    }
    let mut canvas = Canvas::new(id, WIDTH);
    let mut y = 0.5;
    for value in values {
        let numbers = value.count.to_string();
        let long = value.count as f64 / all as f64 * (RIGHT - LABELS - 12.0);
        let next = canvas.block((LABELS - 2.0, y + 3.0), Anchor::End, Face::Plain, &value.label, LABELS - 3.0);
        if value.count > 0 {
            canvas.rect((LABELS, y), (long.max(0.4), 4.0), "grey ink");
        }
        canvas.text((LABELS + long + 1.5, y + 3.0), Anchor::Start, Face::Bold, &numbers);
        y = (next + 0.4 - 1.2).max(y + 5.6);
    }
    canvas.line((LABELS, 0.0), (LABELS, y - 1.0), "ink");
    let says: Vec<String> = values.iter().map(|value| format!("{}: {}", value.label, value.count)).collect();
    let title = fill(spoken().tallied.spread_title, &[("title", title)]);
    Some(canvas.finish(&title, &fill(spoken().tallied.shares_say, &[("values", &says.join("; "))])))
}
