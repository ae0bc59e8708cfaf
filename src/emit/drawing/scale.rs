//! The scale on which a reading falls among the arms of a branch.
//!
//! A bar from the lowest to the highest reading, to scale, between two rulers: the procedure's first system of units above,
//! the second below. Each arm is a *band*, named by the letter of its row in the branch's table. Neighbours meet half-way between
//! two readings, so that no reading lies in a gap. Where no arm is, there is no reading to expect, because the way to the branch or the
//! fitting rules it out: that stretch is hatched.

use crate::emit::words::{Words, listed};
use crate::labels::{fill, spoken};
use crate::model::{Arm, ArmPattern, Choose, ChooseSubject, Node, NumberInput};
use crate::quantity::{Unit, display};

use super::{Anchor, Canvas, Drawing, Face, float, n, stop_word, width};

const WIDTH: f64 = 128.0;
/// Where the bar begins and ends.
const LEFT: f64 = 11.0;
const RIGHT: f64 = WIDTH - 6.0;
const TOP: f64 = 6.4;
const BAR: f64 = 9.0;
/// Marks of a ruler: at most so many with a number.
const MOST_NUMBERS: f64 = 9.0;

/// What an arm covers of the bar, in base units.
struct Band {
    arm: usize,
    low: f64,
    high: f64,
}

/// The letter of an arm: `A` for the first; none where the alphabet is used up.
pub(in super::super) fn letter(arm: usize) -> Option<char> {
    u8::try_from(arm).ok().filter(|at| *at < 26).map(|at| char::from(b'A' + at))
}

/// The drawing; `None` where the branch is not on a number, or where its numbers are too large to draw. `number` is that of its table.
pub(in super::super) fn scale(words: Words<'_>, choose: &Choose, number: u32) -> Option<Drawing> {
    let ChooseSubject::Number(id) = choose.subject else { return None };
    let input = &words.procedure.numbers[id];
    let (low, high) = (float(input.low.base()?), float(input.high.base()?));
    let bands = bands(input, choose, low, high)?;
    let place = |base: f64| LEFT + (base - low) / (high - low) * (RIGHT - LEFT);
    let mut canvas = Canvas::new(format!("scale-{number}"), WIDTH);
    for (from, to) in gaps(&bands, low, high) {
        canvas.hatch((place(from), TOP), (place(to) - place(from), BAR), "thin");
    }
    for band in &bands {
        draw_band(&mut canvas, choose.arms.get(band.arm)?, band, (place(band.low), place(band.high)));
    }
    canvas.rect((LEFT, TOP), (RIGHT - LEFT, BAR), "ink");
    let second = words.procedure.units.second;
    let units =
        [Some(words.procedure.units.first), second].map(|system| system.and_then(|system| unit_in(input, system)));
    let own = [units[0].or(units[1].is_none().then_some(input.high.unit)), units[1]];
    for (unit, below) in own.into_iter().zip([false, true]) {
        if let Some(unit) = unit {
            ruler(&mut canvas, unit, (low, high), &place, below);
        }
    }
    let mut says = says(words, choose, input);
    if !gaps(&bands, low, high).is_empty() {
        says = format!("{says} {}", spoken().scale.hatched);
    }
    let title = fill(spoken().scale.title, &[("number", &number.to_string()), ("reading", &input.name.title)]);
    Some(canvas.finish(&title, &says))
}

/// The unit of the input in a system: its own where it belongs to it.
fn unit_in(input: &NumberInput, system: crate::quantity::System) -> Option<Unit> {
    let own = input.high.unit;
    if own.system() == Some(system) { Some(own) } else { display::counterpart(&input.high, system) }
}

fn says(words: Words<'_>, choose: &Choose, input: &NumberInput) -> String {
    let arm = |(at, arm): (usize, &Arm)| {
        let letter = letter(at).map_or_else(String::new, |letter| format!("{letter}: "));
        let covers = format!("{letter}{}", words.arm(choose, arm));
        if ends(arm) { fill(spoken().scale.ends, &[("arm", &covers)]) } else { covers }
    };
    let arms = listed(choose.arms.iter().enumerate().map(arm), spoken().word.and);
    fill(spoken().scale.says, &[("range", &words.range(&input.low, &input.high)), ("arms", &arms)])
}

/// Whether an arm does nothing but stop the job.
fn ends(arm: &Arm) -> bool {
    matches!(arm.body.last(), Some(Node::Stop(_)))
}

/// The arms on the bar in ascending order, without a gap between two.
fn bands(input: &NumberInput, choose: &Choose, low: f64, high: f64) -> Option<Vec<Band>> {
    let half = input.reads.as_ref().and_then(|reads| reads.step_base()).map_or(0.0, |step| float(step) / 2.0);
    let mut bands: Vec<Band> = Vec::new();
    for (arm, row) in choose.arms.iter().enumerate() {
        if let ArmPattern::In(interval, _) = &row.pattern {
            // A bound that does not belong to the arm lies beyond its last reading.
            let end = |end: &crate::model::End, outwards: f64| {
                float(end.base) + if end.included { outwards * half } else { -outwards * half }
            };
            let from = interval.low.as_ref().map_or(low, |at| end(at, -1.0)).clamp(low, high);
            let to = interval.high.as_ref().map_or(high, |at| end(at, 1.0)).clamp(low, high);
            if from < to {
                bands.push(Band { arm, low: from, high: to });
            }
        }
    }
    bands.sort_by(|a, b| a.low.total_cmp(&b.low));
    if let Some(arm) = choose.arms.iter().position(|arm| arm.pattern == ArmPattern::Otherwise) {
        let mut rest = Vec::new();
        let mut from = low;
        for band in &bands {
            if band.low - from > half {
                rest.push(Band { arm, low: from, high: band.low });
            }
            from = from.max(band.high);
        }
        if high - from > half {
            rest.push(Band { arm, low: from, high });
        }
        bands.extend(rest);
        bands.sort_by(|a, b| a.low.total_cmp(&b.low));
    }
    (high > low && !bands.is_empty()).then_some(bands)
}

/// The stretches that no arm covers.
fn gaps(bands: &[Band], low: f64, high: f64) -> Vec<(f64, f64)> {
    let mut from = low;
    let mut gaps = Vec::new();
    for (begins, ends) in bands.iter().map(|band| (band.low, band.high)).chain([(high, high)]) {
        if begins - from > (high - low) * 1e-6 {
            gaps.push((from, begins));
        }
        from = from.max(ends);
    }
    gaps
}

fn draw_band(canvas: &mut Canvas, arm: &Arm, band: &Band, (from, to): (f64, f64)) {
    let stop = ends(arm);
    let class = match (stop, band.arm % 2) {
        (true, _) => "full ink",
        (false, 0) => "paper ink",
        (false, _) => "grey ink",
    };
    canvas.rect((from, TOP), (to - from, BAR), class);
    let face = if stop { Face::Reversed } else { Face::Bold };
    let letter = letter(band.arm).map(String::from).unwrap_or_default();
    let words = [format!("{letter} {}", stop_word()), letter.clone()];
    let fits = words.iter().skip(usize::from(!stop)).find(|words| width(face, words) + 1.2 < to - from);
    if let Some(words) = fits {
        canvas.text(((from + to) / 2.0, TOP + BAR / 2.0 + 1.0), Anchor::Middle, face, words);
    }
}

/// A ruler along an edge of the bar.
fn ruler(canvas: &mut Canvas, unit: Unit, (low, high): (f64, f64), place: &dyn Fn(f64) -> f64, below: bool) {
    let (factor, offset) = (float(unit.factor()), float(unit.offset()));
    let (first, last) = ((low - offset) / factor, (high - offset) / factor);
    let Some((step, small, decimals)) = steps(last - first) else { return };
    let (edge, out) = if below { (TOP + BAR, 1.0) } else { (TOP, -1.0) };
    let mut marks = String::new();
    let mut at = (first / small - 1e-9).ceil();
    let mut last_number = f64::NEG_INFINITY;
    while at * small <= last + small * 1e-6 {
        let value = at * small;
        let x = place(value * factor + offset).clamp(LEFT, RIGHT);
        // Of the small marks, each that falls on a large one carries its number.
        let times = value / step;
        let long = (times - times.round()).abs() < 1e-6;
        let length = if long { 1.8 } else { 0.9 };
        marks.push_str(&format!("M{} {}V{}", n(x), n(edge), n(edge + out * length)));
        if long {
            let words = format!("{value:.decimals$}");
            let words = if value.abs() < small / 2.0 { "0".to_owned() } else { words };
            let half = width(Face::Small, &words) / 2.0;
            if x - half > last_number + 0.8 {
                canvas.text((x, if below { edge + 4.2 } else { edge - 2.5 }), Anchor::Middle, Face::Small, &words);
                last_number = x + half;
            }
        }
        at += 1.0;
    }
    canvas.path(&marks, "ink");
    let symbol = unit.symbol();
    let half = if below { edge + 4.2 } else { edge - 2.5 };
    canvas.text((LEFT - 4.0, half), Anchor::End, Face::Bold, symbol);
}

/// From number to number, from mark to mark, and the decimals of the numbers, for a ruler of such a length.
pub(super) fn steps(length: f64) -> Option<(f64, f64, usize)> {
    if !length.is_finite() || length <= 0.0 {
        return None;
    }
    let (mut power, mut decimals) = (1.0_f64, 0_usize);
    while length / power > MOST_NUMBERS && power < 1e12 {
        power *= 10.0;
    }
    while length / (power / 10.0) <= MOST_NUMBERS && decimals < 6 {
        power /= 10.0;
        decimals += 1;
    }
    // `power` is now the smallest power of ten with few enough numbers; a half or a fifth of it may do as well.
    for (part, small, more) in [(5.0, 2.0, 1), (2.0, 5.0, 1), (1.0, 10.0, 0)] {
        let step = power / part;
        if length / step <= MOST_NUMBERS {
            let decimals = if power > 1.0 { 0 } else { decimals + more };
            return Some((step, step / small, decimals));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rulers_have_few_round_numbers() {
        assert_eq!(steps(75.0), Some((10.0, 1.0, 0)));
        assert_eq!(steps(2.95), Some((0.5, 0.1, 1)));
        assert_eq!(steps(0.9), Some((0.1, 0.01, 1)));
        assert_eq!(steps(1.5), Some((0.2, 0.1, 1)));
        assert_eq!(steps(300.0), Some((50.0, 10.0, 0)));
        assert_eq!(steps(0.0), None);
        for tenths in 1..5000 {
            let length = f64::from(tenths) / 10.0;
            let (step, small, decimals) = steps(length).unwrap();
            assert!(length / step <= MOST_NUMBERS && length / small <= 100.0, "{length}: {step}, {small}");
            let shown = format!("{step:.decimals$}");
            assert_eq!(shown.parse::<f64>().unwrap(), step, "{length}");
        }
    }
}
