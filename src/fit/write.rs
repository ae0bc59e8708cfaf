//! Answers as lines: JSON, CSV, and words for a terminal. Each gives text for all choices of one row.

use std::fmt::Write as _;

use num_traits::{CheckedMul, Zero};

use super::Fit;
use super::data::{self, By, Message};
use super::judge::{Answer, Judge, Line, Margin, Verdict};
use super::open::{Depends, Input};
use super::sets::{Range, Set};
use super::texts::{joined, json, json_list, pairs};
use crate::emit;
use crate::labels::{fill, spoken};
use crate::quantity::{Exact, Quantity, Unit, Written};
use crate::tailor;

/// Decimals of a margin, and of its share.
const MARGIN_DECIMALS: u32 = 3;
const SHARE_DECIMALS: u32 = 1;

/// The JSON lines of a row.
pub fn json_lines(judge: &Judge<'_, '_>, answer: &Answer, out: &mut String) {
    let fit = judge.fit;
    let row =
        pairs(fit.head.columns.iter().map(|column| column.title.as_str()).zip(answer.cells.iter().map(String::as_str)));
    let messages = json_list(answer.messages.iter().map(json));
    let margins: Vec<Option<String>> =
        answer.margins.iter().map(|margin| margin.as_ref().map(|margin| json_margin(fit, margin))).collect();
    let amounts = Amounts::of(fit, answer);
    let begin = |out: &mut String, verdict: Verdict| {
        let _ = write!(
            out,
            "{{\"fit\":\"{}\",\"line\":{},\"verdict\":\"{}\",\"row\":{row}",
            data::VERSION,
            answer.line,
            word(verdict)
        );
    };
    if answer.lines.is_empty() {
        begin(out, Verdict::Unread);
        let _ = writeln!(
            out,
            ",\"choice\":{{}},\"margins\":[],\"by\":[],\"depends\":[],\"arms\":[],\"kit\":[],\"on_the_job\":[],\"messages\":{messages}}}"
        );
        return;
    }
    for line in &answer.lines {
        begin(out, line.verdict);
        let texts = &line.fixed.texts;
        out.push_str(",\"choice\":");
        out.push_str(&texts.choice);
        out.push_str(",\"margins\":[");
        joined(out, line.fixed.limits.iter().filter_map(|at| margins.get(*at)?.as_deref()));
        out.push_str("],\"by\":[");
        joined(out, by(fit, line).map(json).collect::<Vec<_>>().iter().map(String::as_str));
        out.push_str("],\"depends\":");
        out.push_str(&json_list(line.depends.iter().map(|one| json(&depends_on(fit, one)))));
        out.push_str(&texts.rest);
        if let Some(folder) = build(fit, line, &amounts) {
            let with = if texts.with.is_empty() { amounts.with.strip_prefix(',').unwrap_or("") } else { &amounts.with };
            let _ = write!(out, ",\"build\":{{\"folder\":\"{folder}\",\"with\":[{}{with}]}}", texts.with);
        }
        out.push_str(",\"messages\":[]}\n");
    }
}

/// The word of a verdict for machines.
pub(super) fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "fits",
        Verdict::Depends => "depends",
        Verdict::No => "no",
        Verdict::Unread => "unread",
    }
}

/// The words of a verdict for people.
pub(super) fn said(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => spoken().fit.fits,
        Verdict::Depends => spoken().fit.depends,
        Verdict::No => spoken().fit.no,
        Verdict::Unread => spoken().fit.unread,
    }
}

fn json_margin(fit: &Fit<'_>, margin: &Margin) -> String {
    json_margin_of(&fit.procedure.limits[margin.limit].name.id, margin)
}

fn json_margin_of(name: &str, margin: &Margin) -> String {
    let share = margin.percent.and_then(|share| floored(share, SHARE_DECIMALS));
    let percent = share.map_or_else(String::new, |share| format!(",\"percent\":{share}"));
    let number = |value: Exact| floored(value, MARGIN_DECIMALS).unwrap_or_else(|| "0".to_owned());
    format!(
        "{{\"limit\":{},\"unit\":{},\"least\":{},\"most\":{},\"exact\":{}{percent}}}",
        json(name),
        json(margin.unit.spelling()),
        number(margin.least),
        number(margin.most),
        json(&exact(margin.least, margin.unit)),
    )
}

fn exact(value: Exact, unit: Unit) -> String {
    Quantity::new(value, unit, Written::Decimals(0)).decimal()
}

/// A decimal of so many places at most, rounded down, so that nothing looks larger than it is; `None` where it is too large.
pub(super) fn floored(value: Exact, places: u32) -> Option<String> {
    let scale = 10_i128.checked_pow(places)?;
    let shown = value.checked_mul(&Exact::from_integer(scale))?.floor();
    let shown = Exact::new(*shown.numer(), scale);
    Some(Quantity::new(shown, Unit::lookup("m")?, Written::Decimals(0)).decimal())
}

/// By what it does not fit.
pub(super) fn by<'a>(fit: &'a Fit<'_>, line: &'a Line) -> impl Iterator<Item = &'a By> {
    let requirements = line.by.iter().filter_map(|at| fit.words.requirements.get(*at));
    requirements.chain(if line.verdict == Verdict::No { line.fixed.faults.as_slice() } else { &[] })
}

fn depends_on(fit: &Fit<'_>, one: &Depends) -> data::DependsOn {
    match one.on {
        Input::Number(id) => {
            let number = &fit.procedure.numbers[id];
            let unit = number.low.unit;
            let ranges = |set: &Set| set.ranges().iter().filter_map(|range| within(range, unit)).collect();
            data::DependsOn {
                on: number.name.id.clone(),
                unit: Some(unit.spelling().to_owned()),
                fits: ranges(&one.fits),
                may: ranges(&one.may),
            }
        }
        Input::Choice(id) => data::DependsOn {
            on: fit.procedure.choices[id].name.id.clone(),
            unit: None,
            fits: Vec::new(),
            may: Vec::new(),
        },
    }
}

fn within(range: &Range, unit: Unit) -> Option<data::Within> {
    let end = |end: Option<(Exact, bool)>, included: bool| {
        let (base, _) = end.filter(|(_, own)| *own == included)?;
        Some(Quantity::from_base(base, unit, Written::Decimals(0))?.decimal())
    };
    Some(data::Within {
        at_least: end(range.low, true),
        over: end(range.low, false),
        at_most: end(range.high, true),
        below: end(range.high, false),
    })
}

/// What the amounts of a row add to every line.
struct Amounts {
    /// To the name of a build's folder.
    folder: String,
    /// To what it takes, as JSON, each behind its comma.
    with: String,
    /// To what it takes, in one cell.
    with_cell: String,
}

impl Amounts {
    fn of(fit: &Fit<'_>, answer: &Answer) -> Amounts {
        let mut amounts = Amounts { folder: String::new(), with: String::new(), with_cell: String::new() };
        for (id, amount) in &answer.amounts {
            let (name, value) = (&fit.procedure.numbers[*id].name.id, amount.to_string());
            let with = format!("{name}={value}");
            amounts.folder.push_str(&tailor::folder_part(name, &value));
            let _ = write!(amounts.with, ",{}", json(&with));
            let _ = write!(amounts.with_cell, "{}{with}", if amounts.with_cell.is_empty() { "" } else { "; " });
        }
        amounts
    }
}

/// The folder of the build, unless it does not fit. Its signs are plain ones.
fn build(fit: &Fit<'_>, line: &Line, amounts: &Amounts) -> Option<String> {
    if line.verdict == Verdict::No {
        return None;
    }
    let parts = [fit.procedure.name.id.as_str(), &line.fixed.texts.folder, &amounts.folder];
    Some(tailor::short_folder(parts.concat()))
}

/// The folder of the build of one line.
pub(super) fn build_of(fit: &Fit<'_>, answer: &Answer, line: &Line) -> Option<String> {
    build(fit, line, &Amounts::of(fit, answer))
}

/// The head of the CSV: the columns of the table, then those of the answer.
///
/// `fit_line`, `fit_verdict` (as in JSON), `fit_option NAME` for each option, `fit_margin NAME [UNIT]` and `fit_margin NAME
/// [%]` for each limit (the least; decimals, rounded down; empty where it does not apply), `fit_by`, `fit_depends`, `fit_arms`,
/// `fit_kit`, `fit_on_the_job`, `fit_build`, `fit_with`, `fit_messages`: several things parted by `; `.
pub fn csv_head(judge: &Judge<'_, '_>) -> String {
    let fit = judge.fit;
    let mut cells: Vec<String> = fit.head.columns.iter().map(|column| column.title.clone()).collect();
    cells.extend(["fit_line".to_owned(), "fit_verdict".to_owned()]);
    cells.extend(fit.options.iter().map(|id| format!("fit_option {}", fit.procedure.choices[*id].name.id)));
    for (id, _, _) in &fit.asked.limits {
        let name = &fit.procedure.limits[*id].name.id;
        let unit = super::judge::unit_of_limit(fit, *id).map_or("", Unit::spelling);
        cells.extend([format!("fit_margin {name} [{unit}]"), format!("fit_margin {name} [%]")]);
    }
    let last = ["by", "depends", "arms", "kit", "on_the_job", "build", "with", "messages"];
    cells.extend(last.iter().map(|name| format!("fit_{name}")));
    let mut head = String::new();
    csv_row(&mut head, cells.iter().map(String::as_str));
    head
}

fn csv_row<'a>(out: &mut String, cells: impl Iterator<Item = &'a str>) {
    for (at, cell) in cells.enumerate() {
        if at > 0 {
            out.push(',');
        }
        out.push_str(&emit::csv_cell(cell));
    }
    out.push_str("\r\n");
}

/// The rows of CSV of a row (RFC 4180), one a choice.
pub fn csv_lines(judge: &Judge<'_, '_>, answer: &Answer, out: &mut String) {
    let fit = judge.fit;
    let mut row = String::new();
    for cell in answer.cells.iter().take(fit.head.columns.len()) {
        row.push_str(&emit::csv_cell(cell));
        row.push(',');
    }
    // A row that could not be parted has no cells, and keeps its columns.
    (answer.cells.len()..fit.head.columns.len()).for_each(|_| row.push(','));
    let margins: Vec<(String, String)> = answer
        .margins
        .iter()
        .map(|margin| match margin {
            Some(margin) => (
                floored(margin.least, MARGIN_DECIMALS).unwrap_or_default(),
                margin.percent.and_then(|share| floored(share, SHARE_DECIMALS)).unwrap_or_default(),
            ),
            None => (String::new(), String::new()),
        })
        .collect();
    let amounts = Amounts::of(fit, answer);
    let messages: Vec<String> = answer.messages.iter().map(message_words).collect();
    if answer.lines.is_empty() {
        out.push_str(&row);
        let empty = fit.options.len() + 2 * fit.asked.limits.len() + 7;
        let _ = write!(out, "{},{}", answer.line, word(Verdict::Unread));
        (0..empty).for_each(|_| out.push(','));
        out.push(',');
        out.push_str(&emit::csv_cell(&messages.join("; ")));
        out.push_str("\r\n");
        return;
    }
    for line in &answer.lines {
        out.push_str(&row);
        let _ = write!(out, "{},{}", answer.line, word(line.verdict));
        out.push_str(&line.fixed.texts.choice_cells);
        for at in 0..fit.asked.limits.len() {
            let own = margins.get(at).filter(|_| line.fixed.limits.contains(&at));
            let (amount, share) = own.map_or(("", ""), |(amount, share)| (amount, share));
            let _ = write!(out, ",{amount},{share}");
        }
        let mut cell = |parts: &mut dyn Iterator<Item = String>| {
            let parts: Vec<String> = parts.collect();
            out.push(',');
            if !parts.is_empty() {
                out.push_str(&emit::csv_cell(&parts.join("; ")));
            }
        };
        cell(&mut by(fit, line).map(by_words));
        cell(&mut line.depends.iter().map(|one| depends_words(fit, one)));
        out.push_str(&line.fixed.texts.rest_cells);
        match build(fit, line, &amounts) {
            Some(folder) => {
                let parts = [line.fixed.texts.with_cell.as_str(), amounts.with_cell.as_str()];
                let with: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
                let _ = write!(out, ",{folder},{}", emit::csv_cell(&with.join("; ")));
            }
            None => out.push_str(",,"),
        }
        out.push_str(",\r\n");
    }
}

/// By what it does not fit, in words.
pub(super) fn by_words(by: &By) -> String {
    let labels = &spoken().fit;
    let name = by.name.as_deref().unwrap_or_default();
    match by.what.as_str() {
        "rule" => fill(labels.rule, &[("says", &by.says)]),
        "limit" => fill(labels.limit, &[("name", name), ("says", &by.says)]),
        "stop" => fill(labels.stop, &[("says", &by.says)]),
        _ => fill(labels.finding, &[("name", name), ("says", &by.says)]),
    }
}

/// On what it depends, in words: `roof-rating: fits at 48 to 300 kg`.
pub(super) fn depends_words(fit: &Fit<'_>, one: &Depends) -> String {
    let labels = &spoken().fit;
    let Input::Number(id) = one.on else {
        let Input::Choice(id) = one.on else { return String::new() };
        return fill(labels.seen, &[("on", &fit.procedure.choices[id].name.id)]);
    };
    let number = &fit.procedure.numbers[id];
    let ranges = |set: &Set| {
        let ranges = set.ranges().iter().map(|range| range_words(range, number.low.unit));
        ranges.collect::<Vec<_>>().join(&format!(" {} ", spoken().word.or))
    };
    let on = number.name.id.as_str();
    match (one.fits.is_empty(), one.fits == one.may) {
        (_, true) => fill(labels.at, &[("on", on), ("ranges", &ranges(&one.fits))]),
        (true, false) => fill(labels.may, &[("on", on), ("ranges", &ranges(&one.may))]),
        (false, false) => {
            fill(labels.at_and_may, &[("on", on), ("ranges", &ranges(&one.fits)), ("others", &ranges(&one.may))])
        }
    }
}

/// A range in words. An end whose decimals don't end is moved inwards, to a thousandth.
fn range_words(range: &Range, unit: Unit) -> String {
    let labels = &spoken().measure;
    let end = |base: Exact, up: bool| {
        let value = Quantity::from_base(base, unit, Written::Decimals(0)).map_or_else(Exact::zero, |q| q.value);
        let down = floored(value, MARGIN_DECIMALS);
        let shown = if up { floored(-value, MARGIN_DECIMALS).map(|text| negated(&text)) } else { down };
        shown.unwrap_or_default()
    };
    let with_unit = |number: String| format!("{number} {}", unit.symbol());
    let low = range.low.map(|(base, included)| (end(base, true), included));
    let high = range.high.map(|(base, included)| (with_unit(end(base, false)), included));
    match (low, high) {
        (Some((low, true)), Some((high, true))) => fill(labels.range, &[("low", &low), ("high", &high)]),
        (low, high) => {
            let label = |included: bool, closed, open| if included { closed } else { open };
            let low =
                low.map(|(low, own)| fill(label(own, labels.at_least, labels.over), &[("value", &with_unit(low))]));
            let high = high.map(|(high, own)| fill(label(own, labels.at_most, labels.below), &[("value", &high)]));
            match (low, high) {
                (Some(low), Some(high)) => fill(spoken().condition.both, &[("low", &low), ("high", &high)]),
                (low, high) => low.or(high).unwrap_or_default(),
            }
        }
    }
}

fn negated(number: &str) -> String {
    match number.strip_prefix('-') {
        Some(positive) => positive.to_owned(),
        None if number == "0" => number.to_owned(),
        None => format!("-{number}"),
    }
}

/// A margin in words: `roof-load 32 kg (21.3 %)`.
pub(super) fn margin_words(fit: &Fit<'_>, margin: &Margin) -> String {
    let labels = &spoken().fit;
    let limit = fit.procedure.limits[margin.limit].name.id.as_str();
    let least = floored(margin.least, MARGIN_DECIMALS).unwrap_or_default();
    let most = floored(margin.most, MARGIN_DECIMALS).unwrap_or_default();
    let number = if least == most { least } else { fill(spoken().measure.range, &[("low", &least), ("high", &most)]) };
    let amount = format!("{number} {}", margin.unit.symbol());
    match margin.percent.and_then(|share| floored(share, SHARE_DECIMALS)) {
        Some(share) => fill(labels.margin_share, &[("limit", limit), ("amount", &amount), ("share", &share)]),
        None => fill(labels.margin, &[("limit", limit), ("amount", &amount)]),
    }
}

/// A message with its place in the table.
pub fn message_words(message: &Message) -> String {
    let (line, column) = (message.line.to_string(), message.column.to_string());
    let says = message.says.as_str();
    match &message.name {
        Some(name) => {
            fill(spoken().fit.message_named, &[("line", &line), ("column", &column), ("name", name), ("says", says)])
        }
        None => fill(spoken().fit.message, &[("line", &line), ("column", &column), ("says", says)]),
    }
}

/// The lines of a row for people.
pub fn text_lines(judge: &Judge<'_, '_>, answer: &Answer, out: &mut String) {
    let fit = judge.fit;
    let own = fit.head.columns.iter().zip(&answer.cells).filter(|(column, _)| column.holds == super::Holds::Other);
    let own: Vec<&str> = own.map(|(_, cell)| cell.as_str()).filter(|cell| !cell.is_empty()).collect();
    let at = fill(spoken().fit.row_at, &[("line", &answer.line.to_string())]);
    let _ = writeln!(out, "{at}  {}", own.join(" "));
    for message in &answer.messages {
        let _ = writeln!(out, "  {}  {}", spoken().fit.unread, message_words(message));
    }
    for line in &answer.lines {
        let choice: Vec<String> =
            fit.named(&line.fixed.values).map(|(name, value)| format!("{name}={value}")).collect();
        let why: Vec<String> = match line.verdict {
            Verdict::No => by(fit, line).map(by_words).collect(),
            _ => line.depends.iter().map(|one| depends_words(fit, one)).collect(),
        };
        let margins = line.fixed.limits.iter().filter_map(|at| answer.margins.get(*at)?.as_ref());
        let margins: Vec<String> = margins.map(|margin| margin_words(fit, margin)).collect();
        let parts = [choice.join(" "), margins.join(", "), why.join("; ")];
        let parts: Vec<&str> = parts.iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
        let _ = writeln!(out, "  {:<12}  {}", said(line.verdict), parts.join("  "));
    }
}
