//! The head of a table: which of its columns say something that the procedure asks.

use std::collections::BTreeSet;

use crate::diagnostics::suggest;
use crate::model::{ChoiceId, ChoiceKind, NumberId, NumberKind, Procedure};
use crate::quantity::Unit;
use crate::tailor::Wish;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// A value of an option.
    Option(ChoiceId),
    /// An amount of a given; in this unit where the cell names none.
    Given(NumberId, Option<Unit>),
    /// Something of the table's own, which comes through as it is.
    Other,
}

/// A column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Its head, as it stands there; made different from the others where it stands twice.
    pub title: String,
    /// What it holds.
    pub holds: Holds,
}

/// The columns of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// In order.
    pub columns: Vec<Column>,
    /// What the reader should know of columns that come through though somebody may have meant otherwise.
    pub remarks: Vec<String>,
}

/// What every column of an answer begins with.
pub const OURS: &str = "fit_";

impl Head {
    /// Reads a head. What `wishes` settle may have no column.
    ///
    /// # Errors
    /// Why the table can't be read by it.
    pub fn read(procedure: &Procedure, cells: &[String], wishes: &[Wish]) -> Result<Head, String> {
        let (mut columns, mut remarks) = (Vec::new(), Vec::new());
        let mut titles: BTreeSet<String> = BTreeSet::new();
        let mut taken: Vec<&str> = Vec::new();
        if let [only] = cells
            && only.contains(';')
        {
            return Err(
                "the head has one column, with semicolons in it; columns are parted by commas (RFC 4180)".to_owned()
            );
        }
        for (at, cell) in cells.iter().enumerate() {
            let number = at + 1;
            let cell = cell.trim();
            if cell.starts_with(OURS) {
                return Err(format!(
                    "column {number} is called `{cell}`; names that begin with `{OURS}` are those of the answer"
                ));
            }
            let (name, unit) = parted(cell);
            let holds = match meant(procedure, name) {
                Some(holds) => {
                    if taken.contains(&name) {
                        return Err(format!("column {number} is `{name}` a second time"));
                    }
                    if let Some(wish) = wishes.iter().find(|wish| wish.name == name) {
                        return Err(format!("column {number} is `{name}`, which --with settles: {}", wish.shown()));
                    }
                    taken.push(name);
                    with_unit(procedure, holds, unit).map_err(|why| format!("column {number}, `{cell}`: {why}"))?
                }
                None => {
                    remarks.extend(remark(procedure, number, cell, name));
                    Holds::Other
                }
            };
            let plain = if cell.is_empty() { format!("column {number}") } else { cell.to_owned() };
            let title = if titles.contains(&plain) { format!("{plain} ({number})") } else { plain };
            titles.insert(title.clone());
            columns.push(Column { title, holds });
        }
        Ok(Head { columns, remarks })
    }
}

/// `roof-rating [kg]`
fn parted(cell: &str) -> (&str, Option<&str>) {
    match cell.strip_suffix(']').and_then(|rest| rest.rsplit_once('[')) {
        Some((name, unit)) => (name.trim(), Some(unit.trim())),
        None => (cell, None),
    }
}

fn meant(procedure: &Procedure, name: &str) -> Option<Holds> {
    let mut options = procedure.choices.iter().filter(|(_, choice)| choice.kind == ChoiceKind::Option);
    let mut givens = procedure.numbers.iter().filter(|(_, number)| number.kind == NumberKind::Given);
    let option = options.find(|(_, choice)| choice.name.id == name).map(|(id, _)| Holds::Option(id));
    option.or_else(|| givens.find(|(_, number)| number.name.id == name).map(|(id, _)| Holds::Given(id, None)))
}

fn with_unit(procedure: &Procedure, holds: Holds, unit: Option<&str>) -> Result<Holds, String> {
    let Some(unit) = unit else { return Ok(holds) };
    let Holds::Given(id, _) = holds else { return Err("an option has no unit".to_owned()) };
    let Some(known) = Unit::lookup(unit) else {
        let near = suggest::nearest(unit, Unit::known());
        let hint = near.map_or_else(String::new, |near| format!("; did you mean {near}?"));
        return Err(format!("{unit} is not a unit that is known here{hint}"));
    };
    let kind = procedure.numbers[id].low.kind();
    if known.kind() != kind {
        return Err(format!("{unit} is a unit of {}, and {} is meant", known.kind().name(), kind.name()));
    }
    Ok(Holds::Given(id, Some(known)))
}

/// What somebody may have meant by a column that comes through.
fn remark(procedure: &Procedure, number: usize, cell: &str, name: &str) -> Option<String> {
    let comes_through = |why: String| Some(format!("column {number}, `{cell}`, comes through as it is: {why}"));
    let is = |other: &str| other == name;
    if procedure.numbers.rows().iter().any(|row| is(&row.name.id))
        || procedure.choices.rows().iter().any(|row| row.kind == ChoiceKind::Observe && is(&row.name.id))
    {
        return comes_through(format!("{name} is read on the job"));
    }
    if procedure.facts.rows().iter().any(|row| is(&row.name.id)) {
        return comes_through(format!("{name} is a fact of the procedure"));
    }
    if procedure.choices.rows().iter().any(|row| is(&row.name.id)) {
        return comes_through(format!("{name} is decided by the procedure"));
    }
    let known = crate::tailor::names(procedure);
    let spelt: String = name.to_lowercase().replace([' ', '_'], "-");
    let same = known.iter().copied().find(|known| *known == spelt);
    let near = same.or_else(|| suggest::nearest(&spelt, known.iter().copied()))?;
    comes_through(format!("did you mean `{near}`?"))
}
