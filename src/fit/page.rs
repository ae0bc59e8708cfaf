//! The page: counts, how far limits are kept, and the rows by group; the first of them where they are many. The counts and the
//! drawings are of all rows.

use serde::Serialize;

use num_traits::ToPrimitive;

use super::judge::{Answer, Counts, Judge, Line, Verdict};
use super::write::{by, by_words, depends_words, margin_words, said, word};
use super::{Fit, Holds};
use crate::emit::{self, EmitError, MarginStrip};
use crate::labels::{fill, spoken};
use crate::source::Sources;

/// So many rows stand on the page, and so many lines.
const MOST_ROWS: u64 = 1_000;
const MOST_LINES: usize = 4_000;

/// What some rows give for the page, in their order.
#[derive(Debug)]
pub struct PagePart {
    first_row: u64,
    rows: Vec<RowView>,
    strips: Vec<MarginStrip>,
}

impl PagePart {
    /// For rows of which so many came before.
    pub fn from_row(first_row: u64) -> PagePart {
        PagePart { first_row, rows: Vec::new(), strips: Vec::new() }
    }

    /// Adds a row.
    pub fn add(&mut self, judge: &Judge<'_, '_>, answer: &Answer) {
        let fit = judge.fit;
        self.strips.resize_with(fit.asked.limits.len(), MarginStrip::default);
        for line in &answer.lines {
            for at in &line.fixed.limits {
                let Some(margin) = answer.margins.get(*at).and_then(Option::as_ref) else { continue };
                let share = margin.percent.and_then(|share| share.to_f64());
                if let (Some(share), Some(strip)) = (share, self.strips.get_mut(*at)) {
                    strip.add(share);
                }
            }
        }
        let number = self.first_row + u64::try_from(self.rows.len()).unwrap_or(MOST_ROWS);
        if number < MOST_ROWS {
            self.rows.push(row(fit, answer));
        }
    }
}

/// What a row says.
#[derive(Debug, Serialize)]
struct RowView {
    line: u64,
    /// What stands in each column that comes through, in one text.
    own: String,
    /// Its cell in each column, to be grouped by.
    #[serde(skip)]
    cells: Vec<String>,
    lines: Vec<LineView>,
}

#[derive(Debug, Serialize)]
struct LineView {
    /// `fits`, for style and filter.
    verdict: &'static str,
    words: &'static str,
    choice: Vec<String>,
    margins: Vec<MarginView>,
    /// By what it does not fit, or on what it depends.
    why: Vec<String>,
    build: Option<String>,
}

#[derive(Debug, Serialize)]
struct MarginView {
    words: String,
    /// A bar, as an `svg` element; `None` without a share.
    bar: Option<String>,
}

fn row(fit: &Fit<'_>, answer: &Answer) -> RowView {
    let own = fit.head.columns.iter().zip(&answer.cells).filter(|(column, _)| column.holds == Holds::Other);
    let own: Vec<&str> = own.map(|(_, cell)| cell.trim()).filter(|cell| !cell.is_empty()).collect();
    let mut lines: Vec<LineView> = answer.lines.iter().map(|line| line_view(fit, answer, line)).collect();
    if lines.is_empty() {
        lines.push(LineView {
            verdict: word(Verdict::Unread),
            words: said(Verdict::Unread),
            choice: Vec::new(),
            margins: Vec::new(),
            why: answer.messages.iter().map(super::message_words).collect(),
            build: None,
        });
    }
    RowView { line: answer.line, own: own.join(" "), cells: answer.cells.clone(), lines }
}

fn line_view(fit: &Fit<'_>, answer: &Answer, line: &Line) -> LineView {
    let choice = fit
        .options
        .iter()
        .zip(&line.fixed.values)
        .filter_map(|(option, value)| Some(fit.procedure.choices[*option].values.get(*value)?.label.clone()));
    let margins = line.fixed.limits.iter().filter_map(|at| answer.margins.get(*at)?.as_ref());
    let margin = |margin: &super::judge::Margin| MarginView {
        words: margin_words(fit, margin),
        bar: margin.percent.and_then(|share| share.to_f64()).map(emit::margin_bar),
    };
    LineView {
        verdict: word(line.verdict),
        words: said(line.verdict),
        choice: choice.collect(),
        margins: margins.map(margin).collect(),
        why: match line.verdict {
            Verdict::No => by(fit, line).map(by_words).collect(),
            _ => line.depends.iter().map(|one| depends_words(fit, one)).collect(),
        },
        build: super::write::build_of(fit, answer, line),
    }
}

/// A page that is being filled.
#[derive(Debug)]
pub struct Page {
    by: Option<usize>,
    rows: Vec<RowView>,
    lines: usize,
    strips: Vec<MarginStrip>,
}

#[derive(Serialize)]
struct PageView<'a> {
    counts: Vec<CountView>,
    rows: u64,
    rows_that_fit: u64,
    /// How many rows don't stand on the page.
    left_off: u64,
    by: Option<&'a str>,
    groups: Vec<GroupView<'a>>,
}

#[derive(Serialize)]
struct CountView {
    verdict: &'static str,
    words: &'static str,
    lines: u64,
}

#[derive(Serialize)]
struct GroupView<'a> {
    /// What the rows have in common; `None` where nothing groups them, and where the cell is empty.
    title: Option<&'a str>,
    fits: usize,
    all: usize,
    rows: Vec<&'a RowView>,
}

impl Page {
    /// A page whose rows are grouped by a column, by its place; without one by the first that comes through.
    pub fn of(fit: &Fit<'_>, by: Option<usize>) -> Page {
        let first = fit.head.columns.iter().position(|column| column.holds == Holds::Other);
        Page { by: by.or(first), rows: Vec::new(), lines: 0, strips: Vec::new() }
    }

    /// Adds the next rows.
    pub fn join(&mut self, part: PagePart) {
        self.strips.resize_with(self.strips.len().max(part.strips.len()), MarginStrip::default);
        for (own, other) in self.strips.iter_mut().zip(&part.strips) {
            own.join(other);
        }
        for row in part.rows {
            if self.lines + row.lines.len() <= MOST_LINES {
                self.lines += row.lines.len();
                self.rows.push(row);
            } else {
                // The first ones, without a gap.
                self.lines = MOST_LINES;
            }
        }
    }

    /// The page, as HTML.
    ///
    /// # Errors
    /// Where the template and the data do not fit.
    pub fn html(&self, fit: &Fit<'_>, sources: &Sources, counts: Counts) -> Result<Vec<u8>, EmitError> {
        let count = |verdict, lines| CountView { verdict: word(verdict), words: said(verdict), lines };
        let view = PageView {
            counts: vec![
                count(Verdict::Fits, counts.fits),
                count(Verdict::Depends, counts.depends),
                count(Verdict::No, counts.no),
                count(Verdict::Unread, counts.unread),
            ],
            rows: counts.rows,
            rows_that_fit: counts.rows_that_fit,
            left_off: counts.rows.saturating_sub(u64::try_from(self.rows.len()).unwrap_or(0)),
            by: self.by.and_then(|by| fit.head.columns.get(by)).map(|column| column.title.as_str()),
            groups: self.groups(),
        };
        let titled = fit.asked.limits.iter().zip(&self.strips).map(|((id, _, _), strip)| {
            let limit = &fit.procedure.limits[*id];
            (fill(spoken().fit.strip, &[("name", &limit.name.id), ("title", &limit.name.title)]), strip)
        });
        emit::fit_page(fit.procedure, sources, &view, titled)
    }

    fn groups(&self) -> Vec<GroupView<'_>> {
        let mut groups: Vec<GroupView<'_>> = Vec::new();
        let mut places: std::collections::BTreeMap<Option<&str>, usize> = std::collections::BTreeMap::new();
        for row in &self.rows {
            let cell = self.by.and_then(|by| row.cells.get(by)).map(|cell| cell.trim());
            let title = cell.filter(|cell| !cell.is_empty());
            let at = *places.entry(title).or_insert_with(|| {
                groups.push(GroupView { title, fits: 0, all: 0, rows: Vec::new() });
                groups.len() - 1
            });
            if let Some(group) = groups.get_mut(at) {
                group.all += row.lines.len();
                group.fits += row.lines.iter().filter(|line| line.verdict == word(Verdict::Fits)).count();
                group.rows.push(row);
            }
        }
        groups
    }
}
