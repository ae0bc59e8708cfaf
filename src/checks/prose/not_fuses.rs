//! FW0968: the fuse of a circuit is a part that is plainly none: a bolt, a washer, a cable tie.

use super::Words;
use crate::diagnostics::{Code, Finding};
use crate::model::Part;

/// What a title ends in that is no fuse.
const NO_FUSE: &[&str] = &[
    "bolt", "screw", "nut", "washer", "rivet", "tie", "bracket", "clip", "clamp", "plate", "cable", "wire", "hose",
    "grommet", "nail", "pin", "tape", "lamp", "bulb", "lug", "foil", "strap",
];
/// Words by which it is one all the same.
const FUSE: &[&str] = &["fuse", "fuses", "fusible", "breaker", "mega", "midi", "link", "strip"];

pub(super) fn check(words: &mut Words<'_>) {
    let procedure = words.procedure;
    for circuit in procedure.circuits.rows() {
        let Some((part, said)) = circuit.protection.as_ref().and_then(|one| one.part) else { continue };
        let part = &procedure.parts[part];
        if !is_none(part, words.english) {
            continue;
        }
        let name = &part.name;
        words.tell(
            Finding::new(
                Code::FW0968,
                format!("the fuse of `{}` is `{}`, which is called \"{}\"", circuit.name.id, name.id, name.title),
                said,
                "no fuse",
            )
            .also(name.span, "the part")
            .because("What is put in for a fuse and is none never melts: the wire burns in its place.")
            .repair("Declare the fuse as a part, with its rating in its title, and name it here."),
        );
    }
}

fn is_none(part: &Part, english: bool) -> bool {
    let title = part.name.title.to_lowercase();
    let words =
        |title: &str| -> Vec<String> { title.split(|c: char| !c.is_alphanumeric()).map(str::to_owned).collect() };
    if part.fastener.is_some() {
        return true;
    }
    // What stands behind a comma says more of it.
    let head = words(title.split(',').next().unwrap_or_default());
    let last = head.iter().rev().find(|word| word.chars().any(char::is_alphabetic));
    let is_other = last.is_some_and(|word| {
        NO_FUSE.contains(&word.as_str()) || word.strip_suffix('s').is_some_and(|one| NO_FUSE.contains(&one))
    });
    english && is_other && !words(&title).iter().any(|word| FUSE.contains(&word.as_str()))
}
