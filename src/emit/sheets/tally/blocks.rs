//! The drawings of a tally, each with the line below it.

use serde::Serialize;

use super::tables::places;
use crate::emit::drawing::{Bar, Drawing, Mark, Share, Spread, Time, shares, spread, times as draw_times};
use crate::emit::phrase::tally::decimals;
use crate::labels::{fill, spoken};
use crate::tally::{Counted, Line, Reading, Side, Torque};

/// So many bars can be told apart on a narrow drawing.
const MOST_BARS: f64 = 40.0;
/// So many steps stand in one drawing, so that it fits on a page.
const MOST_STEPS: usize = 36;

/// A drawing with its title and a line below it.
#[derive(Serialize)]
pub(super) struct Block {
    title: String,
    revision: Option<String>,
    svg: Option<String>,
    says: String,
}

pub(super) fn readings(lines: &[Line], several: bool) -> Vec<Block> {
    let all = lines.iter().filter_map(|line| if let Line::Reading(reading) = line { Some(reading) } else { None });
    all.enumerate().map(|(at, reading)| of_reading(reading, at, several)).collect()
}

fn of_reading(reading: &Reading, at: usize, several: bool) -> Block {
    let labels = &spoken().tallied;
    let id = format!("reading-{at}");
    let drawing = if reading.unit.is_none() {
        let share = |value: &Counted| Share {
            label: value.label.clone().unwrap_or_else(|| value.value.clone()),
            count: value.count,
        };
        shares(id, &reading.title, &reading.values.iter().map(share).collect::<Vec<_>>())
    } else if reading.values.len() > 1 {
        numbers(reading, id)
    } else {
        None
    };
    let symbol = reading.symbol.as_deref().unwrap_or_default();
    let says = match (reading.count, reading.mean, reading.lower_quartile.zip(reading.upper_quartile)) {
        (0, ..) => labels.never.to_owned(),
        _ if reading.unit.is_some() && reading.values.len() == 1 => {
            alike(reading.count, reading.values.first(), symbol)
        }
        (_, Some(mean), Some((lower, upper))) => {
            let places = places(reading.deviation);
            of_values(reading.count, mean, reading.deviation, (symbol, places), (lower, upper))
        }
        (1, ..) => labels.one_value.to_owned(),
        _ => fill(labels.values, &[("n", &reading.count.to_string())]),
    };
    block(&reading.title, &reading.revision, several, drawing, says)
}

/// Where all values are one, it says all.
fn alike(count: u64, value: Option<&Counted>, symbol: &str) -> String {
    let value = value.map_or("", |value| value.value.as_str());
    fill(spoken().tallied.all_alike, &[("n", &count.to_string()), ("value", value), ("symbol", symbol)])
}

fn of_values(
    count: u64,
    mean: f64,
    deviation: Option<f64>,
    (symbol, places): (&str, usize),
    quartiles: (f64, f64),
) -> String {
    fill(
        spoken().tallied.of_values,
        &[
            ("n", &count.to_string()),
            ("mean", &decimals(mean, places)),
            ("symbol", symbol),
            ("deviation", &deviation.map_or("–".to_owned(), |deviation| decimals(deviation, places))),
            ("lower", &decimals(quartiles.0, places)),
            ("upper", &decimals(quartiles.1, places)),
        ],
    )
}

fn block(title: &str, revision: &str, several: bool, drawing: Option<Drawing>, says: String) -> Block {
    Block {
        title: title.to_owned(),
        revision: several.then(|| fill(spoken().word.revision, &[("mark", revision)])),
        svg: drawing.map(|drawing| drawing.svg),
        says,
    }
}

fn numbers(reading: &Reading, id: String) -> Option<Drawing> {
    let values: Vec<(f64, u64)> = reading.values.iter().filter_map(|one| Some((one.number?, one.count))).collect();
    let edges = reading.edges.iter().map(|edge| edge.at);
    let (first, last) = (values.first()?.0, values.last()?.0);
    let (first, last) = edges.fold((first, last), |(low, high), at| (low.min(at), high.max(at)));
    let step = reading.reads.unwrap_or((reading.high? - reading.low?) / 200.0);
    // Some of the smallest readings in one bar, where there are too many for a bar each; a reading is the middle of its place.
    let each = ((last - first) / step / MOST_BARS).floor().max(0.0) + 1.0;
    let (low, wide) = (first - step / 2.0 - step, step * each);
    let count = (((last + step * 1.5 - low) / wide).ceil() as usize).clamp(1, 200);
    let high = low + wide * count as f64;
    let mark = |edge: &crate::tally::Edge| {
        // Between the last reading that belongs to the interval and the next.
        let out = match (edge.side, edge.included) {
            (Side::Lower, true) | (Side::Upper, false) => -step / 2.0,
            (Side::Upper, true) | (Side::Lower, false) => step / 2.0,
        };
        let at = if reading.reads.is_some() { edge.at + out } else { edge.at };
        let strip = if edge.side == Side::Lower { edge.strip } else { -edge.strip };
        Mark { at, crowded_to: edge.crowded.then_some(at + strip) }
    };
    let of = Spread {
        id,
        title: &reading.title,
        symbol: reading.symbol.as_deref().unwrap_or_default(),
        low,
        high,
        bars: bars(&values, low, wide, count),
        marks: reading.edges.iter().map(mark).collect(),
    };
    spread(&of)
}

/// Values by bars of equal width. What lies beyond an end is in the last bar there.
fn bars(values: &[(f64, u64)], low: f64, wide: f64, count: usize) -> Vec<Bar> {
    let edge = |at: usize| low + wide * at as f64;
    let mut bars: Vec<Bar> = (0..count).map(|at| Bar { from: edge(at), to: edge(at + 1), count: 0 }).collect();
    for (value, times) in values {
        let at = ((value - low) / wide).floor().clamp(0.0, count.saturating_sub(1) as f64) as usize;
        bars.get_mut(at).into_iter().for_each(|bar| bar.count += times);
    }
    bars
}

/// The torques of each joint by all wrenches.
pub(super) fn torques(lines: &[Line], several: bool) -> Vec<Block> {
    let all = lines.iter().filter_map(|line| match line {
        Line::Torque(torque) if torque.wrench.is_none() && torque.count > 0 => Some(torque),
        _ => None,
    });
    all.enumerate().map(|(at, torque)| of_torque(torque, at, several)).collect()
}

fn of_torque(torque: &Torque, at: usize, several: bool) -> Block {
    let drawing = of_joint(torque, format!("torque-{at}"));
    let values: Vec<f64> = torque.values.iter().filter_map(|one| one.number).collect();
    let ends = values.first().zip(values.last()).map_or((0.0, 0.0), |(low, high)| (*low, *high));
    let says = fill(
        spoken().tallied.torque_values,
        &[
            ("n", &torque.count.to_string()),
            ("low", &decimals(ends.0, places(torque.deviation))),
            ("high", &decimals(ends.1, places(torque.deviation))),
            ("symbol", &torque.symbol),
            ("shown", &torque.shown),
        ],
    );
    block(&torque.title, &torque.revision, several, drawing, says)
}

fn of_joint(torque: &Torque, id: String) -> Option<Drawing> {
    let values: Vec<(f64, u64)> = torque.values.iter().filter_map(|one| Some((one.number?, one.count))).collect();
    let ends = [torque.low, torque.high].into_iter().flatten();
    let (first, last) = (values.first()?.0, values.last()?.0);
    let (first, last) = ends.clone().fold((first, last), |(low, high), at| (low.min(at), high.max(at)));
    let count = 30_usize;
    let margin = (last - first).max(last.abs() * 0.01).max(1e-9) * 0.04;
    let (low, high) = (first - margin, last + margin);
    let of = Spread {
        id,
        title: &torque.title,
        symbol: &torque.symbol,
        low,
        high,
        bars: bars(&values, low, (high - low) / count as f64, count),
        marks: ends.map(|at| Mark { at, crowded_to: None }).collect(),
    };
    spread(&of)
}

/// The times of all steps of a checklist, in as many drawings as they need.
pub(super) fn times(lines: &[Line], several: bool) -> Vec<Block> {
    let revisions =
        lines.iter().filter_map(|line| if let Line::Revision(one) = line { Some(&one.revision) } else { None });
    let mut found = Vec::new();
    for revision in revisions {
        let steps = lines.iter().filter_map(|line| match line {
            Line::Step(step) if step.revision == *revision => Some(step),
            _ => None,
        });
        let rows: Vec<Time> = steps
            .filter_map(|step| {
                Some(Time {
                    number: step.number.clone(),
                    title: step.title.clone(),
                    takes: step.takes_high.or(step.takes_low).map(|seconds| seconds / 60.0),
                    quartiles: [step.lower_quartile?, step.median?, step.upper_quartile?].map(|seconds| seconds / 60.0),
                })
            })
            .collect();
        for rows in rows.chunks(MOST_STEPS) {
            let drawing = draw_times(format!("times-{}", found.len()), rows);
            let empty = String::new();
            found.push(block(&empty, revision, several, drawing, empty.clone()));
        }
    }
    found
}
