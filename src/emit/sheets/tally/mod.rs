//! The page of a tally of records, and its figures as a table for a spreadsheet.

mod blocks;
mod tables;

use std::collections::BTreeMap;

use serde::Serialize;

use crate::emit::phrase::tally::{decimals, looked_at};
use crate::emit::templates::{DRAWING_STYLE, SHEET_STYLE, TALLY_STYLE, sheet};
use crate::emit::text::csv_text;
use crate::emit::{COMPILER_VERSION, EmitError};
use crate::labels::{fill, spoken};
use crate::tally::{self, BINS, ENOUGH, Line, Look, MOST_VALUES, SMALLEST_SAMPLE, Topic};

use blocks::Block;
use tables::Table;

/// What the template prints.
#[derive(Serialize)]
struct View {
    title: String,
    id: String,
    facts: Vec<(&'static str, String)>,
    first: Vec<Group>,
    what_first: String,
    revisions: Table,
    readings: Vec<Block>,
    branches: Option<Table>,
    torques: Vec<Block>,
    joints: Option<Table>,
    joints_say: String,
    times: Vec<Block>,
    time_table: Option<Table>,
    others: Vec<Table>,
    last: Vec<Table>,
    method: Vec<String>,
    style: String,
    compiler: &'static str,
}

/// Things of one kind to look at first.
#[derive(Serialize)]
struct Group {
    title: String,
    said: Vec<String>,
}

/// The page, as HTML.
///
/// # Errors
/// Where the template and the data do not fit.
pub fn tally(lines: &[Line]) -> Result<Vec<u8>, EmitError> {
    sheet("tally.html", &view(lines))
}

/// The figures as CSV (RFC 4180), one a row. No cell can be taken for a formula.
pub fn tally_csv(lines: &[Line]) -> String {
    let mut csv = String::new();
    for row in tally::csv(lines) {
        // The last but one is a number, or a word of ours.
        let cells: Vec<String> =
            row.iter().enumerate().map(|(at, cell)| if at == 6 { cell.clone() } else { csv_text(cell) }).collect();
        csv.push_str(&cells.join(","));
        csv.push_str("\r\n");
    }
    csv
}

fn view(lines: &[Line]) -> View {
    let labels = &spoken().tallied;
    let several = lines.iter().filter(|line| matches!(line, Line::Revision(_))).count() > 1;
    let lines = &side_by_side(lines);
    let style = [SHEET_STYLE, DRAWING_STYLE, TALLY_STYLE].join("\n");
    let (mut title, mut id, mut facts) = (String::new(), String::new(), Vec::new());
    if let Some(Line::Tally(head)) = lines.first() {
        (title, id) = (head.title.clone(), head.procedure.clone());
        facts.push((labels.records, head.records.to_string()));
        facts.push((labels.counted, head.counted.to_string()));
        facts.push((labels.left_out, (head.records - head.counted).to_string()));
    }
    facts.extend(days(lines).map(|days| (labels.days, days)));
    View {
        title,
        id,
        facts,
        first: groups(lines, several),
        what_first: fill(labels.what_first, &[("least", &decimals(ENOUGH, 2))]),
        revisions: tables::revisions(lines),
        readings: blocks::readings(lines, several),
        branches: tables::branches(lines, several),
        torques: blocks::torques(lines, several),
        joints: tables::joints(lines, several),
        joints_say: fill(labels.joints_say, &[("n", &SMALLEST_SAMPLE.to_string())]),
        times: blocks::times(lines, several),
        time_table: tables::times(lines, several),
        others: [tables::steps(lines, several), tables::stops(lines, several)].into_iter().flatten().collect(),
        last: [tables::made_up(lines, several), tables::people(lines), tables::left_out(lines)]
            .into_iter()
            .flatten()
            .collect(),
        method: method(),
        style,
        compiler: COMPILER_VERSION,
    }
}

/// The same thing of several checklists one after the other.
fn side_by_side(lines: &[Line]) -> Vec<Line> {
    let key = |line: &Line| match line {
        Line::Reading(reading) => Some((0, reading.id.clone())),
        Line::Arm(arm) => Some((1, arm.branch.clone())),
        Line::Torque(torque) => Some((2, torque.joint.clone())),
        Line::Step(step) => Some((3, step.step.clone())),
        _ => None,
    };
    let mut first = BTreeMap::new();
    let mut sorted: Vec<(usize, &Line)> = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let place = key(line).map_or(at, |key| *first.entry(key).or_insert(at));
        sorted.push((place, line));
    }
    sorted.sort_by_key(|(place, _)| *place);
    sorted.into_iter().map(|(_, line)| line.clone()).collect()
}

/// From the day of the first record to that of the last.
fn days(lines: &[Line]) -> Option<String> {
    let revisions = || lines.iter().filter_map(|line| if let Line::Revision(one) = line { Some(one) } else { None });
    let first = revisions().filter_map(|one| one.first.as_deref()).min()?;
    let last = revisions().filter_map(|one| one.last.as_deref()).max()?;
    Some(if first == last { first.to_owned() } else { format!("{first} – {last}") })
}

fn groups(lines: &[Line], several: bool) -> Vec<Group> {
    let labels = &spoken().tallied;
    let looks: Vec<&Look> =
        lines.iter().filter_map(|line| if let Line::LookFirst(look) = line { Some(look) } else { None }).collect();
    let group = |title: String, topic| Group {
        title,
        said: looks.iter().filter(|look| look.topic == topic).map(|look| looked_at(look, several)).collect(),
    };
    vec![
        group(labels.edges.to_owned(), Topic::CrowdedEdge),
        group(labels.arms.to_owned(), Topic::ArmNeverTaken),
        group(fill(labels.torques, &[("least", &decimals(ENOUGH, 2))]), Topic::LowCapability),
        group(labels.most_repairs.to_owned(), Topic::Repairs),
        group(labels.most_corrections.to_owned(), Topic::Corrections),
        group(labels.most_over.to_owned(), Topic::OverTime),
        group(labels.runs.to_owned(), Topic::MadeUp),
    ]
}

fn method() -> Vec<String> {
    let labels = &spoken().tallied;
    let counts = fill(labels.of_counts, &[("most", &MOST_VALUES.to_string()), ("bins", &BINS.to_string())]);
    let texts = [labels.of_records, labels.of_capability, labels.of_edges, labels.of_runs];
    texts.into_iter().map(str::to_owned).chain([counts]).collect()
}
