//! Tables of tools and parts, as people write them: a row a thing, one column for how many, one for what it is.

use crate::prose::outline::BETWEEN_CELLS;

/// What is listed: how many and what, and what a table says of it besides.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Item {
    pub words: String,
    pub aside: String,
    /// Whether the words begin with a number that a column of the table gave.
    pub is_counted: bool,
    /// How much of it, where that is no number of pieces: `1.2 m`, `as needed`.
    pub much: Option<String>,
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
    /// What it is called; where a row has a bare number there, the number of that row.
    Name(String),
    /// What is said of it beside its name.
    Beside(String),
}

/// The columns of a table, by their heads.
pub fn columns(heads: &str) -> Vec<Column> {
    const COUNTS: &[&str] = &["count", "qty", "quantity", "pcs", "pieces", "amount", "how many", "number of", "units"];
    const NUMBERS: &[&str] = &[
        "no",
        "nr",
        "#",
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
    const NAMES: &[&str] = &[
        "item",
        "name",
        "part",
        "part name",
        "component",
        "tool",
        "material",
        "article",
        "description",
        "designation",
        "hardware",
        "fastener",
    ];
    let column = |head: &str| {
        let plain = head.trim_matches(['*', '_', '.', ' ']).to_lowercase();
        let plain = plain.replace('.', "");
        match plain.as_str() {
            plain if COUNTS.contains(&plain) => Column::Count(head.to_owned()),
            plain if NUMBERS.contains(&plain) => Column::Number(head.to_owned()),
            plain if NAMES.contains(&plain) => Column::Name(head.to_owned()),
            _ => Column::Words,
        }
    };
    let mut columns: Vec<Column> = cells(heads).map(column).collect();
    // Where a column has the names, the others say something of the things; one with *Item* beside another name numbers them.
    let names = columns.iter().filter(|column| matches!(column, Column::Name(_))).count();
    for (column, head) in columns.iter_mut().zip(cells(heads)).filter(|_| names > 0) {
        match column {
            Column::Words => *column = Column::Beside(head.to_owned()),
            Column::Name(name) if names > 1 && name.eq_ignore_ascii_case("item") => {
                *column = Column::Number(head.to_owned());
            }
            _ => {}
        }
    }
    // A table of numbers alone calls its things so.
    if names == 0
        && !columns.contains(&Column::Words)
        && let Some(first) = columns.iter_mut().find(|column| matches!(column, Column::Number(_)))
    {
        *first = Column::Words;
    }
    columns
}

/// Whether a table lists things: it counts them and names them. One that says of each how it is worked on says what to do.
pub fn lists(columns: &[Column]) -> bool {
    const WORK: &[&str] = &["torque", "step", "tighten", "value", "setting", "action"];
    let works = |head: &str| WORK.iter().any(|word| head.to_lowercase().contains(word));
    columns.iter().any(|column| matches!(column, Column::Count(_)))
        && columns.iter().any(|column| matches!(column, Column::Name(_)))
        && !columns.iter().any(|column| matches!(column, Column::Beside(head) | Column::Number(head) if works(head)))
}

/// A row as what is listed: its count first, then its words; what else it says stands aside.
pub fn item(columns: &[Column], row: &str) -> Item {
    let (mut count, mut much, mut words, mut aside) = (None, None, Vec::new(), Vec::new());
    for (at, cell) in cells(row).enumerate().filter(|(_, cell)| !cell.is_empty()) {
        match columns.get(at) {
            Some(Column::Count(head)) if count.is_none() && much.is_none() => match pieces(cell) {
                Some(number) => {
                    count = Some(number);
                    // Its word for a piece stays.
                    aside.extend((number != cell).then(|| format!("{head} {cell}")));
                }
                None => much = Some(cell.to_owned()),
            },
            Some(Column::Name(head)) if is_number(cell) => aside.push(format!("{head} {cell}")),
            Some(Column::Count(head) | Column::Number(head) | Column::Beside(head)) => {
                aside.push(format!("{head} {cell}"))
            }
            Some(Column::Name(_) | Column::Words) | None => words.push(cell),
        }
    }
    if words.is_empty() {
        return Item { words: in_line(row), ..Item::default() };
    }
    let is_counted = count.is_some();
    let words = count.into_iter().map(|count| format!("{count} ")).chain([words.join(", ")]).collect();
    Item { words, aside: aside.join(", "), is_counted, much }
}

fn is_number(cell: &str) -> bool {
    !cell.is_empty() && cell.bytes().all(|b| b.is_ascii_digit())
}

/// The number of pieces that a cell says: `4`, `4 pcs`, `4 sheets`; `None` for an amount (`1.2 m`) and for words.
fn pieces(cell: &str) -> Option<&str> {
    let digits = cell.bytes().take_while(u8::is_ascii_digit).count();
    let (number, word) = (cell.get(..digits)?, cell.get(digits..)?.trim());
    let is_a_piece =
        word.is_empty() || word.len() > 2 && word.chars().all(char::is_alphabetic) || word == "x" || word == "pc";
    let is_a_unit = crate::quantity::Unit::lookup(word).is_some();
    (is_number(number) && is_a_piece && !is_a_unit).then_some(number)
}

/// The cells of a row in one line.
pub fn in_line(row: &str) -> String {
    cells(row).filter(|cell| !cell.is_empty()).collect::<Vec<_>>().join(", ")
}

/// The cells of a row.
pub fn cells(row: &str) -> impl Iterator<Item = &str> {
    row.trim_end_matches(BETWEEN_CELLS).split(BETWEEN_CELLS).map(str::trim)
}
