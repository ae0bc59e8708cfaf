//! A step on paper: its panels, its rows, and what no page may part.
//!
//! A *group* is a run of rows that stays on one page, with the panels that belong to it. A short step is one group. A longer
//! one is parted between its rows, but never between a panel and the line that the panel is about, nor between the heading and
//! the first row.

use serde::Serialize;

use super::rows::Row;
use crate::emit::drawing::Drawing;
use crate::labels::{fill, spoken};
use crate::model::{Line, LineKind, Message, Procedure, SignalWord, Step};

/// Steps of fewer lines than this are never parted by a page; longer ones may be, between two groups.
const KEPT_WHOLE: usize = 12;
/// More lines than this don't fit on a page whatever else is on it.
const LINES_A_PAGE: usize = 46;
/// About how many lines a panel takes.
const PANEL: usize = 3;
/// And a drawing, beside which the rows stand.
const DRAWING: usize = 9;

/// A step or check.
#[derive(Serialize)]
pub(super) struct StepBlock {
    pub(super) anchor: String,
    pub(super) number: String,
    pub(super) title: String,
    pub(super) is_check: bool,
    pub(super) when: Option<String>,
    pub(super) time: Option<String>,
    /// At least one; the first stands with the heading.
    pub(super) groups: Vec<Group>,
    pub(super) expects: Vec<String>,
    /// One box for each time that it can be done.
    pub(super) ticks: Vec<u32>,
    /// The places at which it is done, where it stands once for several: a box for each.
    pub(super) places: Vec<String>,
    /// By what links lead to it too: the same step at the other places.
    pub(super) also: Vec<String>,
    /// Whether no page parts it.
    pub(super) whole: bool,
}

impl StepBlock {
    /// The step with a box and a field for each place.
    pub(super) fn at_places(&mut self, labels: &[String]) {
        self.places = labels.to_vec();
        self.time = self.time.take().map(|time| fill(spoken().flow.each_time, &[("time", &time)]));
        for group in &mut self.groups {
            group.rows = std::mem::take(&mut group.rows).into_iter().map(|row| row.at_places(labels)).collect();
        }
    }

    /// More rows at its end.
    pub(super) fn add_rows(&mut self, rows: Vec<Row>) {
        self.groups.extend(rows.into_iter().map(|row| Group { rows: vec![row], ..Group::default() }));
    }
}

/// Rows that stay together.
#[derive(Serialize, Default)]
pub(super) struct Group {
    /// What warns of these rows, the gravest first.
    pub(super) panels: Vec<Panel>,
    /// The fastenings that these rows put together for the first time.
    pub(super) drawings: Vec<Drawing>,
    pub(super) rows: Vec<Row>,
}

/// A signal panel.
#[derive(Serialize, Clone)]
pub(super) struct Panel {
    class: &'static str,
    word: &'static str,
    /// Whether the safety alert symbol stands before the word: not where nobody can be hurt.
    alert: bool,
    nature: String,
    consequence: String,
    avoid: String,
    #[serde(skip)]
    gravity: SignalWord,
}

impl Panel {
    /// The words, and whether somebody can be hurt, as ANSI Z535.6 has them.
    pub(super) fn of(message: &Message, said: impl Fn(&crate::model::Said) -> String) -> Panel {
        let (class, word) = signal(message.signal);
        Panel {
            class,
            word,
            alert: message.signal != SignalWord::Notice,
            nature: said(&message.nature),
            consequence: said(&message.consequence),
            avoid: said(&message.avoid),
            gravity: message.signal,
        }
    }
}

/// A panel and the lines that it is about, by their places in the step.
pub(super) struct Warning {
    pub(super) panel: Panel,
    /// The first line that follows it.
    pub(super) from: usize,
    /// The line that brings the hazard.
    pub(super) to: usize,
}

/// What a message is about: from the line that follows it to the one that brings its hazard. A writer may tell of the work
/// in prose before the line that names its tool, so that all lines between belong to it.
pub(super) fn reach(procedure: &Procedure, step: &Step, at: usize, message: &Message) -> (usize, usize) {
    let later = || step.lines.iter().enumerate().skip(at + 1);
    let from = later().find(|(_, line)| !is_message(line)).map_or(at, |(at, _)| at);
    let brings =
        |line: &Line| procedure.brought_by(line).into_iter().any(|brought| procedure.answers(message.hazard, brought));
    let to = later().find(|(_, line)| brings(line)).map_or(from, |(at, _)| at);
    (from, to.max(from))
}

fn is_message(line: &Line) -> bool {
    matches!(line.kind, LineKind::Message(_))
}

/// What a step holds, line by line.
pub(super) struct Body {
    /// Rows that belong to no line and stand before them.
    pub(super) before: Vec<Row>,
    /// The rows of each line, in their order.
    pub(super) lines: Vec<Vec<Row>>,
    /// Rows that belong to no line and stand after them.
    pub(super) after: Vec<Row>,
    pub(super) warnings: Vec<Warning>,
    /// Drawings with the line that each is about.
    pub(super) drawings: Vec<(usize, Drawing)>,
    /// How many lines follow that are no rows.
    pub(super) more: usize,
}

/// The groups of a step, and whether it is kept whole.
pub(super) fn grouped(body: Body) -> (Vec<Group>, bool) {
    let rows = || body.before.iter().chain(body.lines.iter().flatten()).chain(&body.after);
    let text = Row::heights(rows());
    let whole = text.max(body.drawings.len() * DRAWING) + body.warnings.len() * PANEL + body.more + 2 < KEPT_WHOLE;
    let mut groups = if whole { vec![one_group(body)] } else { several(body) };
    for group in &mut groups {
        group.panels.sort_by_key(|panel| std::cmp::Reverse(panel.gravity));
    }
    (groups, whole)
}

fn one_group(body: Body) -> Group {
    Group {
        panels: body.warnings.into_iter().map(|warning| warning.panel).collect(),
        drawings: body.drawings.into_iter().map(|(_, drawing)| drawing).collect(),
        rows: body.before.into_iter().chain(body.lines.into_iter().flatten()).chain(body.after).collect(),
    }
}

/// A group for each stretch of lines that panels hold together, one for each run of actions, and one for each other row.
fn several(body: Body) -> Vec<Group> {
    let Body { before, lines, after, warnings, drawings, .. } = body;
    let first = lines.iter().position(|rows| !rows.is_empty()).unwrap_or(0);
    let spans = joined(&lines, &warnings);
    let held = |warning: &Warning| spans.iter().any(|(from, to)| *from <= warning.from && warning.to <= *to);
    let (mut waiting, mut drawings) = (warnings, drawings);
    let mut group = Group { rows: before, ..Group::default() };
    let mut groups = Vec::new();
    for (at, rows) in lines.into_iter().enumerate().filter(|(_, rows)| !rows.is_empty()) {
        // The heading stands with the first row, and with the stretch that begins there.
        let goes_on = spans.iter().any(|(from, to)| *from < at && at <= *to);
        let more = rows.first().is_some_and(Row::is_lettered)
            && group.rows.last().is_some_and(Row::is_lettered)
            && Row::heights(group.rows.iter()) < KEPT_WHOLE;
        if at != first && !goes_on && !more {
            groups.push(std::mem::take(&mut group));
        }
        let (now, later): (Vec<_>, Vec<_>) = waiting.into_iter().partition(|warning| warning.from <= at);
        waiting = later;
        for warning in now {
            // A stretch too long for a page: the panel stands again right before the line that it is about.
            if !held(&warning) && warning.to > at {
                waiting.push(Warning { panel: warning.panel.clone(), from: warning.to, to: warning.to });
            }
            group.panels.push(warning.panel);
        }
        let (now, later): (Vec<_>, Vec<_>) = drawings.into_iter().partition(|(line, _)| *line <= at);
        drawings = later;
        group.drawings.extend(now.into_iter().map(|(_, drawing)| drawing));
        group.rows.extend(rows);
    }
    // A message after all lines is about the step as a whole.
    group.panels.extend(waiting.into_iter().map(|warning| warning.panel));
    groups.push(group);
    groups.extend(after.into_iter().map(|row| Group { rows: vec![row], ..Group::default() }));
    groups
}

/// The stretches that panels hold together; those that overlap are one. One that is too long for a page holds nothing together.
fn joined(lines: &[Vec<Row>], warnings: &[Warning]) -> Vec<(usize, usize)> {
    let mut spans: Vec<(usize, usize)> = warnings.iter().map(|warning| (warning.from, warning.to)).collect();
    spans.sort_unstable();
    let mut joined: Vec<(usize, usize)> = Vec::new();
    for (from, to) in spans {
        match joined.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined.retain(|(from, to)| {
        let rows = lines.iter().take(to + 1).skip(*from).flatten();
        let panels = warnings.iter().filter(|warning| *from <= warning.from && warning.to <= *to).count();
        Row::heights(rows) + panels * PANEL < LINES_A_PAGE
    });
    joined
}

fn signal(word: SignalWord) -> (&'static str, &'static str) {
    match word {
        SignalWord::Notice => ("notice", spoken().signal.notice),
        SignalWord::Caution => ("caution", spoken().signal.caution),
        SignalWord::Warning => ("warning", spoken().signal.warning),
        SignalWord::Danger => ("danger", spoken().signal.danger),
    }
}
