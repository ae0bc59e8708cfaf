//! The rows of a library, as cells.

use super::marks::{self, Mark};
use crate::parse::tree::{self, ActionLine, Decl, HazardLine, Name, PartLine, ToolLine};
use crate::source::Span;

/// One library.
pub(super) struct Library<'t> {
    /// `std/fasteners`
    pub(super) name: &'t str,
    pub(super) title: String,
    pub(super) publications: Vec<Publication<'t>>,
    /// In the order of the file.
    pub(super) rows: Vec<Row<'t>>,
}

/// A `reference`.
pub(super) struct Publication<'t> {
    pub(super) name: &'t str,
    pub(super) title: &'t str,
    pub(super) confirmed: &'t str,
    pub(super) marks: Vec<Mark>,
}

/// A row: what it is called and what it says.
pub(super) struct Row<'t> {
    /// The table that it stands in.
    heading: &'static str,
    /// In the order of the row; a column may come again.
    pub(super) cells: Vec<Cell<'t>>,
    /// The publications of the values that have none of their own.
    pub(super) sources: Vec<&'t str>,
}

/// One value.
pub(super) struct Cell<'t> {
    pub(super) column: String,
    pub(super) text: String,
    /// Its own publications, where the row names others for other values.
    pub(super) own: Vec<&'t str>,
}

fn cell<'t>(column: impl Into<String>, text: impl Into<String>) -> Cell<'t> {
    Cell { column: column.into(), text: text.into(), own: Vec::new() }
}

impl<'t> Library<'t> {
    /// Reads a library's tree; `text` is what it was read from.
    pub(super) fn read(name: &'t str, text: &'t str, tree: &'t tree::File) -> Self {
        let title = tree.head.as_ref().and_then(|head| head.title.as_ref()).map(|title| title.value.clone());
        let mut library = Library {
            name,
            title: title.unwrap_or_else(|| name.to_owned()),
            publications: Vec::new(),
            rows: Vec::new(),
        };
        for item in &tree.items {
            if let Decl::Reference { name, title, confirmed } = &item.node {
                let words = |text: &'t Option<tree::Text>| text.as_ref().map_or("", |text| text.value.as_str());
                let confirmed = words(confirmed);
                let marks = marks::of(confirmed);
                library.publications.push(Publication { name: &name.text, title: words(title), confirmed, marks });
            }
            library.rows.extend(row(&item.node, text));
        }
        library
    }

    /// The rows by table, in the order in which the tables begin.
    pub(super) fn tables(&self) -> Vec<(&'static str, Vec<&Row<'t>>)> {
        let mut tables: Vec<(&'static str, Vec<&Row<'t>>)> = Vec::new();
        for row in &self.rows {
            match tables.iter_mut().find(|(heading, _)| *heading == row.heading) {
                Some((_, rows)) => rows.push(row),
                None => tables.push((row.heading, vec![row])),
            }
        }
        tables
    }

    /// The weakest mark of the publications that a row names at its end; `None` where it names none.
    pub(super) fn weakest(&self, row: &Row<'_>) -> Option<Mark> {
        row.sources.iter().flat_map(|source| self.marks(source)).max()
    }

    /// The weakest mark of the publications of one value.
    pub(super) fn mark_of(&self, row: &Row<'_>, cell: &Cell<'_>) -> Option<Mark> {
        if cell.own.is_empty() { self.weakest(row) } else { cell.own.iter().flat_map(|own| self.marks(own)).max() }
    }

    /// Whether a row names a publication.
    pub(super) fn names(row: &Row<'_>, publication: &str) -> bool {
        row.sources.contains(&publication) || row.cells.iter().any(|cell| cell.own.contains(&publication))
    }

    /// The marks of a publication. One that the library does not declare can't be checked: memory.
    pub(super) fn marks(&self, source: &str) -> Vec<Mark> {
        let known = self.publications.iter().find(|publication| publication.name == source);
        known.map_or_else(|| vec![Mark::Memory], |publication| publication.marks.clone())
    }
}

fn row<'t>(decl: &'t Decl, text: &str) -> Option<Row<'t>> {
    let table = match decl {
        Decl::Thread(row) => ("Threads and their heads", row),
        Decl::Grade(row) => ("Property classes and grades", row),
        Decl::Washer(row) => ("Washers", row),
        Decl::Screw(row) => ("Self-tapping screws", row),
        Decl::InsertNut(row) => ("Nuts with an insert", row),
        Decl::Fuse(row) => ("Fuses", row),
        Decl::Breaker(row) => ("Breakers", row),
        Decl::Wire(row) => ("Wire", row),
        Decl::Terminal(row) => ("Terminals", row),
        Decl::Tool(tool) => return Some(tool_row(tool, text)),
        Decl::Hazard(hazard) => return Some(hazard_row(hazard)),
        Decl::Action(action) => return Some(action_row(action)),
        Decl::Part(part) => return Some(part_row(part, text)),
        Decl::Protection { name, title } => {
            return Some(Row {
                heading: "Protective equipment",
                cells: named(name, title.as_ref()),
                sources: Vec::new(),
            });
        }
        _ => return None,
    };
    let (heading, row) = table;
    let mut made = Row { heading, cells: named(&row.name, row.title.as_ref()), sources: Vec::new() };
    let mut since_source = 0;
    for attribute in &row.attributes {
        match &attribute.word {
            Some(word) if word.text == "source" => {
                let sources: Vec<&str> = attribute.words.iter().map(|name| name.text.as_str()).collect();
                // A `source` is that of the values before it, up to the `source` before.
                for cell in made.cells.iter_mut().skip(since_source.max(1)) {
                    cell.own.clone_from(&sources);
                }
                since_source = made.cells.len();
                made.sources = sources;
            }
            Some(word) => {
                let rest = slice(text, Span { start: word.span.end, ..attribute.span });
                // `wire 8-AWG copper`: the word is the value.
                let (column, value) =
                    if rest.is_empty() { ("metal", word.text.as_str()) } else { (word.text.as_str(), rest) };
                made.cells.push(cell(heading_of(column), shorter(value)));
            }
            None => made.cells.push(cell("Size", shorter(slice(text, attribute.span)))),
        }
    }
    // One publication list for the whole row stands at its end; of several, the first does, and the others at their values.
    let first = made.cells.get(1).map(|cell| cell.own.clone()).unwrap_or_default();
    for cell in made.cells.iter_mut().filter(|cell| cell.own == first) {
        cell.own.clear();
    }
    if !first.is_empty() {
        made.sources = first;
    }
    Some(made)
}

fn named<'t>(name: &Name, title: Option<&tree::Text>) -> Vec<Cell<'t>> {
    let title = title.map(|title| cell("Title", title.value.clone()));
    std::iter::once(cell("Name", format!("`{}`", name.text))).chain(title).collect()
}

fn tool_row<'t>(tool: &'t tree::Declared<ToolLine>, text: &str) -> Row<'t> {
    let mut made = Row { heading: "Other tools", cells: named(&tool.name, tool.title.as_ref()), sources: Vec::new() };
    for line in &tool.lines {
        let rest = || shorter(slice(text, line.span).split_once(char::is_whitespace).map_or("", |(_, rest)| rest));
        let (heading, column) = match &line.node {
            ToolLine::Source(names) => {
                made.sources.extend(names.iter().map(|name| name.text.as_str()));
                continue;
            }
            ToolLine::Turns { .. } => (Some("Tools that turn or hold"), "Turns"),
            ToolLine::Drives(_) => (None, "Drives"),
            ToolLine::Driven(_) => (None, "Driven by"),
            ToolLine::Torque(_) => (Some("Torque wrenches"), "Range"),
            ToolLine::Lever(_) | ToolLine::LeverUnknown(_) => (None, "Lever"),
            ToolLine::Extends(_) => (None, "Extends"),
            ToolLine::Measures(_) => (Some("Instruments"), "Range"),
            ToolLine::Reads(_) => (None, "Reads"),
            ToolLine::Count(_) => (None, "Count"),
            ToolLine::Short(_) => (None, "In sentences"),
            ToolLine::Brings(_) => (None, "Brings"),
        };
        made.heading = heading.unwrap_or(made.heading);
        made.cells.push(cell(column, rest()));
    }
    made
}

fn hazard_row(hazard: &tree::Declared<HazardLine>) -> Row<'_> {
    let mut made = Row { heading: "Hazards", cells: named(&hazard.name, hazard.title.as_ref()), sources: Vec::new() };
    for line in &hazard.lines {
        let (column, value) = match &line.node {
            HazardLine::Signal(word) => ("Signal word", word.text.clone()),
            HazardLine::LeastPeople { people, unless } if unless.is_empty() => ("People", people.text.clone()),
            HazardLine::LeastPeople { people, unless } => {
                ("People", format!("{}, unless {}", people.text, listed(unless)))
            }
            HazardLine::From(words) => ("Comes from", listed(words)),
            HazardLine::AnsweredBy(names) => ("Answered by", listed(names)),
            HazardLine::Licensed(work) => ("Licensed", work.value.clone()),
            HazardLine::Source(names) => {
                made.sources.extend(names.iter().map(|name| name.text.as_str()));
                continue;
            }
        };
        made.cells.push(cell(column, value));
    }
    made
}

fn action_row(action: &tree::Declared<ActionLine>) -> Row<'_> {
    let mut made =
        Row { heading: "Kinds of work", cells: named(&action.name, action.title.as_ref()), sources: Vec::new() };
    for line in &action.lines {
        match &line.node {
            ActionLine::Need { state, value } => {
                made.cells.push(cell("Needs", format!("{} {}", state.text, value.text)));
            }
            ActionLine::Brings(names) => made.cells.push(cell("Brings", listed(names))),
            ActionLine::Source(names) => made.sources.extend(names.iter().map(|name| name.text.as_str())),
        }
    }
    made
}

fn part_row<'t>(part: &'t tree::Part, text: &str) -> Row<'t> {
    let mut made =
        Row { heading: "Materials and parts", cells: named(&part.name, part.title.as_ref()), sources: Vec::new() };
    made.cells.extend(part.spec.as_ref().map(|spec| cell("Form", slice(text, spec.span))));
    for line in &part.lines {
        let (column, value) = match &line.node {
            PartLine::Brings(names) => ("Brings", listed(names)),
            PartLine::Source(names) => {
                made.sources.extend(names.iter().map(|name| name.text.as_str()));
                continue;
            }
            PartLine::Consumable => ("Used up", "without a count".to_owned()),
            PartLine::SingleUse => ("Used up", "after one use".to_owned()),
            PartLine::PartNumber(number) => ("Number", number.value.clone()),
            PartLine::Short(short) => ("In sentences", short.value.clone()),
            PartLine::Unknown { what, why } => ("Unknown", format!("{what}: {}", why.value)),
            PartLine::Mass(mass) => ("Mass", slice(text, mass.span).to_owned()),
        };
        made.cells.push(cell(column, value));
    }
    made
}

fn listed(names: &[Name]) -> String {
    names.iter().map(|name| name.text.as_str()).collect::<Vec<_>>().join(", ")
}

fn slice(text: &str, span: Span) -> &str {
    text.get(span.range()).unwrap_or("").trim()
}

/// `hex-bolt` as `Hex bolt`.
fn heading_of(word: &str) -> String {
    let words = word.replace('-', " ");
    let mut letters = words.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// What a reader of a table needs of a value: single blanks, `≤` for `at most`, `×` for `x`.
fn shorter(value: &str) -> String {
    let words = value.split_whitespace().collect::<Vec<_>>().join(" ");
    words.replace("at most ", "≤ ").replace(" x ", " × ")
}
