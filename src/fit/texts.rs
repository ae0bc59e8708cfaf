//! What the answers of a pattern have in common, written once: the parts of a line that no amount changes.

use super::Words;
use crate::emit;
use crate::labels::{fill, spoken};
use crate::tailor;

/// Parts of lines.
#[derive(Debug)]
pub struct Texts {
    /// `{"arm":"strut"}`
    pub choice: String,
    /// The arms, the kit and what is read on the job, from comma to comma.
    pub rest: String,
    /// What a build takes, as list of JSON without its brackets.
    pub with: String,
    /// The cells of the choice, each behind its comma.
    pub choice_cells: String,
    /// The cells of arms, kit, and what is read on the job, each behind its comma.
    pub rest_cells: String,
    /// What a build takes, in one cell.
    pub with_cell: String,
    /// What the choice adds to the name of the folder.
    pub folder: String,
}

impl Texts {
    /// Of the named values of options; arms and groups of the kit by their places.
    pub fn of(words: &Words, named: &[(&str, &str)], arms: &[usize], kit: &[(usize, bool)], read: &[String]) -> Texts {
        let arms: Vec<&String> = arms.iter().filter_map(|at| words.arms.get(*at)).collect();
        let kit: Vec<(&String, bool)> =
            kit.iter().filter_map(|(at, sure)| Some((words.kit.get(*at)?, *sure))).collect();
        let groups = kit.iter().map(|(group, sure)| format!("{{\"group\":{},\"sure\":{sure}}}", json(*group)));
        let rest = [
            format!(",\"arms\":{}", json_list(arms.iter().map(|arm| json(*arm)))),
            format!(",\"kit\":{}", json_list(groups)),
            format!(",\"on_the_job\":{}", json_list(read.iter().map(json))),
        ];
        let with: Vec<String> = named.iter().map(|(name, value)| format!("{name}={value}")).collect();
        let mut with_json = String::new();
        joined(&mut with_json, with.iter().map(json).collect::<Vec<_>>().iter().map(String::as_str));
        let group_words = |(group, sure): &(&String, bool)| match sure {
            true => (*group).clone(),
            false => fill(spoken().fit.unsure, &[("group", group)]),
        };
        let cell = |parts: Vec<String>| format!(",{}", emit::csv_cell(&parts.join("; ")));
        let rest_cells = [
            cell(arms.into_iter().cloned().collect()),
            cell(kit.iter().map(group_words).collect()),
            cell(read.to_vec()),
        ];
        Texts {
            choice: pairs(named.iter().copied()),
            rest: rest.concat(),
            with: with_json,
            choice_cells: named.iter().map(|(_, value)| format!(",{}", emit::csv_cell(value))).collect(),
            rest_cells: rest_cells.concat(),
            with_cell: with.join("; "),
            folder: named.iter().map(|(name, value)| tailor::folder_part(name, value)).collect(),
        }
    }
}

/// Text as JSON: strings and plain data, in which there is nothing to refuse.
pub fn json<T: serde::Serialize + ?Sized>(value: &T) -> String {
    serde_json::to_string(value).unwrap_or_default()
}

/// Parts with commas between them.
pub fn joined<'a>(out: &mut String, parts: impl Iterator<Item = &'a str>) {
    for (at, part) in parts.enumerate() {
        if at > 0 {
            out.push(',');
        }
        out.push_str(part);
    }
}

/// A list of what is JSON already.
pub fn json_list(parts: impl Iterator<Item = String>) -> String {
    let mut out = String::from("[");
    for (at, part) in parts.enumerate() {
        if at > 0 {
            out.push(',');
        }
        out.push_str(&part);
    }
    out.push(']');
    out
}

/// An object of texts.
pub fn pairs<'a>(pairs: impl Iterator<Item = (&'a str, &'a str)>) -> String {
    let mut out = String::from("{");
    for (at, (name, value)) in pairs.enumerate() {
        if at > 0 {
            out.push(',');
        }
        out.push_str(&json(name));
        out.push(':');
        out.push_str(&json(value));
    }
    out.push('}');
    out
}
