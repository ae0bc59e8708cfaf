//! The page by which an engineer audits a library: every value, its source, and how far it was confirmed.
//!
//! The page is made from the library's text as it is written, so a number on it is the number that the compiler reads.
//!
//! Terms: a *mark* says how a publication's values were confirmed, in one letter; a value is as good as the *weakest* of
//! its publications.

mod marks;
mod rows;
mod tables;

use std::fmt::Write;

use crate::diagnostics::Severity;
use crate::parse::{self, tree};
use crate::resolve::standard_libraries;
use crate::source::FileId;
use rows::{Library, Row};

/// The page of the standard library, as Markdown. Ends with a line end.
pub fn standard_page() -> String {
    page("The standard library: values, sources, marks", standard_libraries())
}

/// How many faults stand in the way of reading a library's text: what can't be read would be missing from its page.
pub fn faults(text: &str) -> usize {
    let findings = parse::parse(FileId::new(0), text).1;
    findings.iter().filter(|finding| finding.severity() == Severity::Error).count()
}

/// The page of some libraries, as Markdown: names and texts. Lines that can't be read are left out; checking the library
/// tells of them.
pub fn page<'t>(title: &str, libraries: impl Iterator<Item = (&'t str, &'t str)>) -> String {
    let mut trees: Vec<(&str, &str, tree::File)> = Vec::new();
    for (number, (name, text)) in libraries.enumerate() {
        let file = FileId::new(u32::try_from(number).unwrap_or(u32::MAX));
        trees.push((name, text, parse::parse(file, text).0));
    }
    let libraries: Vec<Library<'_>> = trees.iter().map(|(name, text, tree)| Library::read(name, text, tree)).collect();
    let mut page = format!("# {title}\n\n{HOW_TO_READ}\n");
    counts(&libraries, &mut page);
    for library in &libraries {
        let _ = write!(page, "\n## {} (`{}`)\n", library.title, library.name);
        publications(library, &mut page);
        for (heading, rows) in library.tables() {
            tables::table(heading, &rows, library, &mut page);
        }
    }
    page
}

const HOW_TO_READ: &str = "\
This page is generated from the library itself by `fitwright library`; a test fails where it is out of date. It lists every row, what
the row says, and the publications that it names. No standard was read in the original. Before a life depends on a number, look it up
in the standard.

| Mark | The values of the publication |
|---|---|
| D | equal the data of a package from a public registry; `tests/oracles` compares them |
| C | agree with public copies or tables; which, stands beside the publication |
| R | are computed by a rule that the publication gives; a test does the same |
| M | were written down from memory, all or some of them: look these up first |
| P | are common practice or our own judgement; no publication binds |

A value with a publication of its own has it in brackets; the other values of its row rest on the publications at the end of the row.
Each counts as the weakest of its publications, in the order D, C, R, M, P. A row without a publication is plain workshop stock: a name,
and at most a size that stands in the rows of the heads.
";

/// How many rows of each sort there are, and how many of their values bear which mark.
fn counts(libraries: &[Library<'_>], page: &mut String) {
    let header = ["Table", "rows", "values D", "C", "R", "M", "P", "without"].map(str::to_owned).to_vec();
    let mut lines = Vec::new();
    let mut sums = [0; 7];
    for library in libraries {
        for (heading, rows) in library.tables() {
            let line = count(library, &rows);
            sums.iter_mut().zip(line).for_each(|(sum, own)| *sum += own);
            lines.push(count_line(heading, &line));
        }
    }
    lines.push(count_line("All", &sums));
    page.push('\n');
    tables::write(&header, &lines, page);
}

/// Rows, then values by the weakest mark of their publications, last those without a publication. Names and titles are
/// no values.
fn count(library: &Library<'_>, rows: &[&Row<'_>]) -> [usize; 7] {
    let mut counts = [0; 7];
    if let Some(slot) = counts.first_mut() {
        *slot = rows.len();
    }
    for row in rows {
        for cell in row.cells.iter().filter(|cell| !matches!(cell.column.as_str(), "Name" | "Title")) {
            let place = 1 + library.mark_of(row, cell).map_or(5, |mark| mark as usize);
            if let Some(slot) = counts.get_mut(place) {
                *slot += 1;
            }
        }
    }
    counts
}

fn count_line(heading: &str, counts: &[usize]) -> Vec<String> {
    let shown = counts.iter().map(|count| if *count == 0 { "–".to_owned() } else { count.to_string() });
    std::iter::once(heading.to_owned()).chain(shown).collect()
}

fn publications(library: &Library<'_>, page: &mut String) {
    if library.publications.is_empty() {
        return;
    }
    page.push_str("\n### Publications\n\n");
    let header = ["Name", "Publication", "How far confirmed", "Mark", "Rows"].map(str::to_owned);
    let lines: Vec<Vec<String>> = library
        .publications
        .iter()
        .map(|publication| {
            let uses = |row: &&Row<'_>| Library::names(row, publication.name);
            let rows = library.rows.iter().filter(uses).count();
            let mark = publication.marks.iter().map(|mark| mark.letter()).collect::<Vec<_>>().join(", ");
            vec![
                format!("`{}`", publication.name),
                publication.title.to_owned(),
                publication.confirmed.to_owned(),
                mark,
                rows.to_string(),
            ]
        })
        .collect();
    tables::write(&header, &lines, page);
}
