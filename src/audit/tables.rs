//! Tables in Markdown that can also be read as plain text: the cells of a column are as wide as the widest.

use std::fmt::Write;

use super::rows::{Cell, Library, Row};

/// A table of rows under its heading.
pub(super) fn table(heading: &str, rows: &[&Row<'_>], library: &Library<'_>, page: &mut String) {
    let _ = write!(page, "\n### {heading}\n\n");
    let mut columns: Vec<String> = Vec::new();
    for cell in rows.iter().flat_map(|row| &row.cells) {
        if !columns.contains(&cell.column) {
            columns.push(cell.column.clone());
        }
    }
    let marked = rows.iter().any(|row| !row.sources.is_empty());
    let lines: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            let cell = |column: &String| {
                let own = row.cells.iter().filter(|cell| cell.column == *column);
                own.map(|cell| value(cell, library)).collect::<Vec<_>>().join("; ")
            };
            let mut cells: Vec<String> = columns.iter().map(cell).collect();
            if marked {
                cells.push(sources(row, library));
                cells.push(library.weakest(row).map_or("", |mark| mark.letter()).to_owned());
            }
            cells
        })
        .collect();
    if marked {
        columns.extend(["Publications".to_owned(), "Weakest".to_owned()]);
    }
    write(&columns, &lines, page);
}

/// A value, with its own publications where it has them: `6 mm (iso-4762 D C)`.
fn value(cell: &Cell<'_>, library: &Library<'_>) -> String {
    if cell.own.is_empty() {
        return cell.text.clone();
    }
    let own: Vec<String> = cell.own.iter().map(|own| named(own, library)).collect();
    format!("{} ({})", cell.text, own.join(", "))
}

/// `iso-4762 D C`
fn named(source: &str, library: &Library<'_>) -> String {
    let marks = library.marks(source).iter().map(|mark| mark.letter()).collect::<Vec<_>>().join(" ");
    format!("{source} {marks}")
}

/// `iso-261 D C, iso-4014 D`
fn sources(row: &Row<'_>, library: &Library<'_>) -> String {
    row.sources.iter().map(|source| named(source, library)).collect::<Vec<_>>().join(", ")
}

/// Writes a table; an upright stroke in a cell is written so that it does not end it.
pub(super) fn write(header: &[String], lines: &[Vec<String>], page: &mut String) {
    let safe = |cell: &String| cell.replace('|', "\\|").replace('\n', " ");
    let rows: Vec<Vec<String>> = std::iter::once(header)
        .chain(lines.iter().map(Vec::as_slice))
        .map(|row| row.iter().map(safe).collect())
        .collect();
    let widths: Vec<usize> = (0..header.len())
        .map(|at| rows.iter().filter_map(|row| row.get(at)).map(|cell| cell.chars().count()).max().unwrap_or(0).max(3))
        .collect();
    for (number, row) in rows.iter().enumerate() {
        for (cell, width) in row.iter().zip(&widths) {
            let _ = write!(page, "| {cell:<width$} ");
        }
        page.push_str("|\n");
        if number == 0 {
            widths.iter().for_each(|width| page.push_str(&format!("|{}", "-".repeat(width + 2))));
            page.push_str("|\n");
        }
    }
}
