//! The tables of a tally.

use serde::Serialize;

use crate::emit::phrase::tally::{decimals, duration};
use crate::labels::{fill, spoken};
use crate::tally::{Line, Step, Torque};

/// So many rows of what is listed one by one stand on the page.
const MOST_ROWS: usize = 100;

/// A table.
#[derive(Serialize)]
pub(super) struct Table {
    id: &'static str,
    title: &'static str,
    heads: Vec<Head>,
    rows: Vec<Vec<String>>,
    /// How many rows are left off, in words.
    more: Option<String>,
}

#[derive(Serialize)]
struct Head {
    text: &'static str,
    number: bool,
}

impl Table {
    /// With columns of text and then columns of numbers; one for the revision before them, where there are several.
    fn new(
        id: &'static str,
        title: &'static str,
        several: bool,
        texts: &[&'static str],
        numbers: &[&'static str],
    ) -> Table {
        let revision = several.then_some(spoken().sheet.revision);
        let head = |number| move |text: &&'static str| Head { text, number };
        let heads = revision.iter().chain(texts).map(head(false)).chain(numbers.iter().map(head(true)));
        Table { id, title, heads: heads.collect(), rows: Vec::new(), more: None }
    }

    fn row(&mut self, several: Option<&str>, cells: impl IntoIterator<Item = String>) {
        self.rows.push(several.into_iter().map(str::to_owned).chain(cells).collect());
    }

    fn unless_empty(mut self) -> Option<Table> {
        if self.rows.len() > MOST_ROWS && self.id != "torques" {
            self.more = Some(fill(spoken().tallied.more, &[("n", &(self.rows.len() - MOST_ROWS).to_string())]));
            self.rows.truncate(MOST_ROWS);
        }
        (!self.rows.is_empty()).then_some(self)
    }
}

/// Nothing where there is none, so that what is there is seen.
fn or_dash(count: u64) -> String {
    if count == 0 { "–".to_owned() } else { count.to_string() }
}

fn percent(count: u64, of: u64) -> String {
    if of == 0 { "–".to_owned() } else { format!("{:.0}\u{a0}%", count as f64 / of as f64 * 100.0) }
}

/// So many decimals that the spread has two figures.
pub(super) fn places(spread: Option<f64>) -> usize {
    let spread = spread.filter(|spread| *spread > 0.0).unwrap_or(0.01);
    let magnitude = spread.log10().floor();
    (1.0 - magnitude).clamp(0.0, 6.0) as usize
}

pub(super) fn revisions(lines: &[Line]) -> Table {
    let (labels, outcomes) = (&spoken().tallied, &spoken().outcomes);
    let numbers = [
        labels.counted,
        outcomes.handed_over,
        outcomes.stopped,
        outcomes.broken_off,
        labels.open,
        labels.complete,
        labels.missing,
        labels.out_of_order,
        labels.out_of_tolerance,
    ];
    let mut table = Table::new("revisions", labels.revisions, false, &[spoken().sheet.revision], &numbers);
    for line in lines {
        let Line::Revision(one) = line else { continue };
        let fitting = one.fitting.as_ref().map_or_else(String::new, |fitting| format!(" ({fitting})"));
        let counts = [
            one.counted,
            one.handed_over,
            one.stopped,
            one.broken_off,
            one.open,
            one.complete,
            one.missing,
            one.out_of_order,
            one.out_of_tolerance,
        ];
        table.row(None, std::iter::once(format!("{}{fitting}", one.revision)).chain(counts.map(or_dash)));
    }
    table
}

pub(super) fn branches(lines: &[Line], several: bool) -> Option<Table> {
    let labels = &spoken().tallied;
    let mut table = Table::new("arms", labels.branches, several, &[labels.branch, labels.arm], &[labels.taken, "%"]);
    for line in lines {
        let Line::Arm(arm) = line else { continue };
        let words = arm.words.as_deref().unwrap_or(spoken().tally.rest);
        let cells = [arm.title.clone(), words.to_owned(), or_dash(arm.count), percent(arm.count, arm.of)];
        table.row(several.then_some(&arm.revision), cells);
    }
    table.unless_empty()
}

pub(super) fn joints(lines: &[Line], several: bool) -> Option<Table> {
    let labels = &spoken().tallied;
    let numbers = [
        labels.count_read,
        labels.clicked,
        labels.outside,
        labels.remedied,
        labels.mean,
        labels.deviation,
        labels.cp,
        labels.cpk,
    ];
    let mut table = Table::new("torques", labels.joints, several, &[spoken().joint.joint, labels.wrench], &numbers);
    for line in lines {
        let Line::Torque(torque) = line else { continue };
        let what = format!("{} ({}): {}", torque.title, torque.steps.join(", "), torque.shown);
        let places = places(torque.deviation);
        let figure = |figure: Option<f64>, places| figure.map_or("–".to_owned(), |figure| decimals(figure, places));
        let index = |index: Option<f64>| match index {
            Some(index) if torque.few => format!("({})", decimals(index, 2)),
            index => figure(index, 2),
        };
        let cells = [
            if torque.wrench.is_none() { what } else { String::new() },
            wrench(torque),
            torque.count.to_string(),
            or_dash(torque.clicked),
            or_dash(torque.outside),
            or_dash(torque.remedied),
            figure(torque.mean, places),
            figure(torque.deviation, places),
            index(torque.cp),
            index(torque.cpk),
        ];
        table.row(several.then_some(&torque.revision), cells);
    }
    table.unless_empty()
}

fn wrench(torque: &Torque) -> String {
    let labels = &spoken().tallied;
    match &torque.wrench {
        None => labels.all_wrenches.to_owned(),
        Some(wrench) if wrench.others => labels.other_wrenches.to_owned(),
        Some(wrench) => {
            let known = wrench.instrument.as_ref().or(wrench.tool.as_ref());
            known.cloned().unwrap_or_else(|| labels.no_wrench.to_owned())
        }
    }
}

fn of_step(step: &Step) -> String {
    format!("{} {}", step.number, step.title)
}

fn all_steps(lines: &[Line]) -> impl Iterator<Item = &Step> {
    lines.iter().filter_map(|line| if let Line::Step(step) = line { Some(step) } else { None })
}

pub(super) fn steps(lines: &[Line], several: bool) -> Option<Table> {
    let labels = &spoken().tallied;
    let numbers = [
        spoken().word.done,
        labels.repaired,
        labels.went_on,
        labels.stops,
        labels.corrected,
        labels.withdrawn,
        labels.doubtful,
    ];
    let mut table = Table::new("steps", labels.steps, several, &[spoken().page.step], &numbers);
    for step in all_steps(lines) {
        let counts =
            [step.done, step.repairs, step.went_on, step.stops, step.corrections, step.withdrawals, step.made_up];
        table.row(several.then_some(&step.revision), std::iter::once(of_step(step)).chain(counts.map(or_dash)));
    }
    table.unless_empty()
}

pub(super) fn times(lines: &[Line], several: bool) -> Option<Table> {
    let labels = &spoken().tallied;
    let numbers = [
        labels.takes,
        labels.quartile,
        labels.median,
        labels.upper,
        labels.longer,
        labels.by,
        labels.quick,
        labels.uncounted,
    ];
    let mut table = Table::new("times", labels.times, several, &[spoken().page.step], &numbers);
    for step in all_steps(lines).filter(|step| step.timed + step.untimed > 0) {
        let time = |seconds: Option<f64>| seconds.map_or("–".to_owned(), duration);
        let takes = match (step.takes_low, step.takes_high) {
            (Some(low), Some(high)) if low < high => format!("{} – {}", duration(low), duration(high)),
            (low, high) => time(high.or(low)),
        };
        let longer = if step.takes_high.is_some() { percent(step.over, step.timed) } else { "–".to_owned() };
        let by = if step.over > 0 { duration(step.over_seconds) } else { "–".to_owned() };
        let cells = [
            of_step(step),
            takes,
            time(step.lower_quartile),
            time(step.median),
            time(step.upper_quartile),
            longer,
            by,
            or_dash(step.quick),
            or_dash(step.untimed),
        ];
        table.row(several.then_some(&step.revision), cells);
    }
    table.unless_empty()
}

pub(super) fn stops(lines: &[Line], several: bool) -> Option<Table> {
    let labels = &spoken().tallied;
    let mut table = Table::new("stops", labels.ends, several, &[spoken().page.step, labels.told], &[labels.jobs]);
    for line in lines {
        let Line::Stop(stop) = line else { continue };
        let step = stop.step.clone().unwrap_or_else(|| "–".to_owned());
        table.row(several.then_some(&stop.revision), [step, stop.text.clone(), stop.count.to_string()]);
    }
    table.unless_empty()
}

pub(super) fn made_up(lines: &[Line], several: bool) -> Option<Table> {
    let (labels, word) = (&spoken().tallied, &spoken().page);
    let texts = [labels.record, labels.lines, word.step, spoken().report.what, spoken().report.value, labels.within];
    let by = lines.iter().any(|line| matches!(line, Line::MadeUp(run) if run.by.is_some()));
    let texts: Vec<&'static str> = texts.into_iter().chain(by.then_some(spoken().report.done_by)).collect();
    let mut table = Table::new("made-up", labels.runs, several, &texts, &[]);
    for line in lines {
        let Line::MadeUp(run) = line else { continue };
        let value = format!("{}\u{a0}{}", run.value, run.symbol);
        let cells = [
            run.record.clone(),
            format!("{}–{}", run.line, run.last_line),
            run.step.clone(),
            run.title.clone(),
            fill(labels.run, &[("n", &run.entries.to_string()), ("value", &value)]),
            format!("{}\u{a0}s", decimals(run.seconds, 1)),
        ];
        table.row(several.then_some(&run.revision), cells.into_iter().chain(run.by.clone()));
    }
    table.unless_empty()
}

pub(super) fn people(lines: &[Line]) -> Option<Table> {
    let labels = &spoken().tallied;
    let numbers = [labels.records, spoken().page.steps, labels.entries, labels.changes, labels.doubtful];
    let mut table = Table::new("people", labels.people, false, &[spoken().record.signed_name], &numbers);
    for line in lines {
        let Line::Person(person) = line else { continue };
        let name = person.name.clone().unwrap_or_else(|| labels.others.to_owned());
        let counts = [person.records, person.steps, person.entries, person.changes, person.made_up];
        table.row(None, std::iter::once(name).chain(counts.map(or_dash)));
    }
    table.unless_empty()
}

pub(super) fn left_out(lines: &[Line]) -> Option<Table> {
    let labels = &spoken().tallied;
    let mut table = Table::new("left-out", labels.left_out, false, &[labels.record, labels.why], &[]);
    for line in lines {
        let Line::LeftOut(one) = line else { continue };
        let why = match one.line.zip(one.column) {
            None => one.message.clone(),
            Some((line, column)) => fill(
                labels.at_place,
                &[("line", &line.to_string()), ("column", &column.to_string()), ("message", &one.message)],
            ),
        };
        table.row(None, [one.record.clone(), why]);
    }
    table.unless_empty()
}
