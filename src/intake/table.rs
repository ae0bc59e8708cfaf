//! Tables of tools and parts, as people write them: a row a thing, one column for how many, one for what it is.

use crate::prose::outline::BETWEEN_CELLS;

/// What is listed: how many and what, and what a table says of it besides.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Item {
    pub words: String,
    pub aside: String,
}

/// What stands in a column, by its head.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Column {
    /// How many.
    Count(String),
    /// A number of the row, of an order or of a drawing: nothing that a person calls the thing by.
    Number(String),
    /// What it is.
    Words,
}

/// The columns of a table, by their heads.
pub fn columns(heads: &str) -> Vec<Column> {
    const COUNTS: &[&str] = &["count", "qty", "quantity", "pcs", "pieces", "amount", "how many", "number of", "units"];
    const NUMBERS: &[&str] = &[
        "no",
        "nr",
        "#",
        "item",
        "pos",
        "position",
        "ref",
        "reference",
        "number",
        "part no",
        "part number",
        "item no",
        "code",
    ];
    let column = |head: &str| {
        let plain = head.trim_matches(['*', '_', '.', ' ']).to_lowercase();
        let plain = plain.replace('.', "");
        match plain.as_str() {
            plain if COUNTS.contains(&plain) => Column::Count(head.to_owned()),
            plain if NUMBERS.contains(&plain) => Column::Number(head.to_owned()),
            _ => Column::Words,
        }
    };
    let mut columns: Vec<Column> = cells(heads).map(column).collect();
    // A table of items alone calls its things so.
    if !columns.contains(&Column::Words)
        && let Some(first) = columns.iter_mut().find(|column| matches!(column, Column::Number(_)))
    {
        *first = Column::Words;
    }
    columns
}

/// A row as what is listed: its count first, then its words; what else it says stands aside.
pub fn item(columns: &[Column], row: &str) -> Item {
    let (mut count, mut words, mut aside) = (None, Vec::new(), Vec::new());
    for (at, cell) in cells(row).enumerate().filter(|(_, cell)| !cell.is_empty()) {
        match columns.get(at) {
            Some(Column::Count(_)) if count.is_none() && cell.bytes().all(|b| b.is_ascii_digit()) => count = Some(cell),
            Some(Column::Count(head) | Column::Number(head)) => aside.push(format!("{head} {cell}")),
            Some(Column::Words) | None => words.push(cell),
        }
    }
    if words.is_empty() {
        return Item { words: in_line(row), aside: String::new() };
    }
    let words = count.into_iter().map(|count| format!("{count} ")).chain([words.join(", ")]).collect();
    Item { words, aside: aside.join(", ") }
}

/// The cells of a row in one line.
pub fn in_line(row: &str) -> String {
    cells(row).filter(|cell| !cell.is_empty()).collect::<Vec<_>>().join(", ")
}

fn cells(row: &str) -> impl Iterator<Item = &str> {
    row.trim_end_matches(BETWEEN_CELLS).split(BETWEEN_CELLS).map(str::trim)
}
