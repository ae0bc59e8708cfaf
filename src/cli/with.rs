//! `--with NAME=VALUE`: which fittings to work for, which of several procedures that concerns, and the folder's name.

use super::CannotRun;
use crate::compile::Compiled;
use crate::model::{ChosenValue, Procedure};
use crate::tailor::{self, Wish};

/// Reads what the user wrote.
///
/// # Errors
/// Where one of them is not `NAME=VALUE`.
pub fn wishes(written: &[String]) -> Result<Vec<Wish>, CannotRun> {
    let none = crate::source::Sources::default();
    written.iter().map(|text| Wish::parse(text).map_err(|refusal| CannotRun(refusal.words(&none)))).collect()
}

/// Of several procedures those that know every name, and what to say of the others. One alone stays, so that its own
/// refusal says what it does know; so does a file that could not be resolved, for its findings.
///
/// # Errors
/// Where none knows all the names.
pub fn concerned<T>(
    all: Vec<T>,
    compiled: impl Fn(&T) -> Option<&Compiled>,
    wishes: &[Wish],
) -> Result<(Vec<T>, Vec<String>), CannotRun> {
    if wishes.is_empty() || all.len() < 2 {
        return Ok((all, Vec::new()));
    }
    let (mut kept, mut left_out) = (Vec::new(), Vec::new());
    for one in all {
        match compiled(&one).and_then(|compiled| lacking(compiled, wishes)) {
            Some(line) => left_out.push(line),
            None => kept.push(one),
        }
    }
    if kept.is_empty() { Err(none_knows(wishes)) } else { Ok((kept, left_out)) }
}

/// What to say of a procedure that does not know one of the names; `None` where it knows them all, or could not be resolved.
pub fn lacking(compiled: &Compiled, wishes: &[Wish]) -> Option<String> {
    let procedure = compiled.procedure()?;
    let wish = wishes.iter().find(|wish| !tailor::knows(procedure, &wish.name))?;
    Some(format!("{} has no option and no given called {}, and is left out.", procedure.name.id, wish.name))
}

/// What to say where no procedure knows all the names.
pub fn none_knows(wishes: &[Wish]) -> CannotRun {
    let names: Vec<&str> = wishes.iter().map(|wish| wish.name.as_str()).collect();
    let what = if names.len() == 1 { "an option or given called" } else { "options or givens called" };
    let names = names.join(" and ");
    CannotRun(format!("none of these procedures has {what} {names}; name one procedure to be told what it has"))
}

/// The name of the folder of a tailored procedure: its own, then what somebody chose, in order of declaration.
pub fn folder_name(procedure: &Procedure) -> String {
    let chosen = procedure.tailored.iter().flat_map(|tailored| &tailored.chosen).filter(|one| !one.follows);
    let value = |value: &ChosenValue| match value {
        ChosenValue::Value(value) => value.id.clone(),
        ChosenValue::Amount(amount) => amount.to_string(),
    };
    let parts: Vec<(&str, String)> = chosen.map(|one| (one.name.id.as_str(), value(&one.value))).collect();
    tailor::folder_name(&procedure.name.id, parts.iter().map(|(name, value)| (*name, value.as_str())))
}
