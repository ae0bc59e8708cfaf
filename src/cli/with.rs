//! `--with NAME=VALUE`: which fittings to work for, which of several procedures that concerns, and the folder's name.

use super::CannotRun;
use crate::compile::Compiled;
use crate::model::{Chosen, ChosenValue, Procedure};
use crate::tailor::{self, Wish};

/// The longest name that a folder gets; file systems allow 255 bytes, and paths below it need room.
const LONGEST_NAME: usize = 100;

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
        let procedure = compiled(&one).and_then(Compiled::procedure);
        let lacks = procedure.and_then(|procedure| {
            let wish = wishes.iter().find(|wish| !tailor::knows(procedure, &wish.name))?;
            Some(format!("{} has no option and no given called {}, and is left out.", procedure.name.id, wish.name))
        });
        match lacks {
            Some(line) => left_out.push(line),
            None => kept.push(one),
        }
    }
    if kept.is_empty() {
        let names: Vec<&str> = wishes.iter().map(|wish| wish.name.as_str()).collect();
        let what = if names.len() == 1 { "an option or given called" } else { "options or givens called" };
        let names = names.join(" and ");
        return Err(CannotRun(format!(
            "none of these procedures has {what} {names}; name one procedure to be told what it has"
        )));
    }
    Ok((kept, left_out))
}

/// The name of the folder of a tailored procedure: its own, then what somebody chose, in order of declaration. Only lower
/// case letters, digits, dots between digits, and hyphens; where it would be too long, a digest stands for the rest.
pub fn folder_name(procedure: &Procedure) -> String {
    let chosen = procedure.tailored.iter().flat_map(|tailored| &tailored.chosen).filter(|one| !one.follows);
    let parts: Vec<String> = chosen.map(part).collect();
    let name = std::iter::once(procedure.name.id.clone()).chain(parts).collect::<Vec<_>>().join("--");
    if name.len() <= LONGEST_NAME {
        return name;
    }
    let digest = crate::canonical::sha256(name.as_bytes());
    let digest: String = digest.chars().take(12).collect();
    let room = LONGEST_NAME - digest.len() - 2;
    let start: String = name.chars().take(room).collect();
    format!("{}--{digest}", start.trim_end_matches(['-', '.']))
}

fn part(one: &Chosen) -> String {
    let value = match &one.value {
        ChosenValue::Value(value) => value.id.clone(),
        ChosenValue::Amount(amount) => amount.to_string(),
    };
    format!("{}-{}", one.name.id, plain(&value))
}

/// A value as part of a file name. `3/4` and `34` must not become the same.
fn plain(value: &str) -> String {
    let mut plain = String::new();
    for c in value.trim().to_lowercase().chars() {
        match c {
            'a'..='z' | '0'..='9' => plain.push(c),
            '.' if plain.ends_with(|c: char| c.is_ascii_digit()) => plain.push('.'),
            '/' => plain.push_str("-over-"),
            '%' => plain.push_str("percent"),
            _ if plain.ends_with('-') => {}
            _ => plain.push('-'),
        }
    }
    plain.trim_end_matches(['-', '.']).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_become_parts_of_a_name() {
        for (value, wanted) in [
            ("powered", "powered"),
            ("150 kg", "150-kg"),
            ("12.5 N.m", "12.5-n-m"),
            ("3 1/2 in", "3-1-over-2-in"),
            ("5 %", "5-percent"),
            ("../..", "over"),
        ] {
            assert_eq!(plain(value).trim_start_matches('-'), wanted, "{value}");
        }
    }
}
