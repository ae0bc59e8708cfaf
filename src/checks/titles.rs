//! FW0514: two tools, or two parts, under one title, and nothing on a list tells them apart.
//!
//! Lists and steps add what differs where titles are the same: a size, a range, a maker's number. Only where nothing
//! differs does a reader not know which is meant. Two names of one article (the same standard form, the same maker's
//! number) are no fault: either will do.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::names::spoken;
use crate::model::{Naming, Part, Protection, Tool};
use std::collections::HashMap;

/// One finding for each thing that looks like one before it.
pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let tools = first_taken_for(procedure.tools.rows(), |tool| &tool.name, Tool::looks_like, |_, _| false);
    let parts = first_taken_for(procedure.parts.rows(), |part| &part.name, Part::looks_like, Part::same_article);
    // A procedure's own may hide a library's of the same name; then they are one.
    let worn = procedure.protections.rows();
    let same_title = |other: &Protection, one: &Protection| other.name.title == one.name.title;
    let worn = first_taken_for(worn, |one| &one.name, same_title, |other, one| other.called == one.called);
    proof.findings.extend(tools.into_iter().map(|(one, other)| alike(&one.name, &other.name, "tool", "size, range")));
    proof
        .findings
        .extend(parts.into_iter().map(|(one, other)| alike(&one.name, &other.name, "part", "number, standard form")));
    proof.findings.extend(worn.into_iter().map(|(one, other)| alike(&one.name, &other.name, "thing to wear", "title")));
    short(proof);
}

/// Each row with the first before it that people take it for, where there is one: one that looks like it and is not the same, or
/// one under a title that differs only in what nobody sees (capitals, blanks, commas): lists take these for two titles, and then
/// say nothing of what else differs. `looks_like` tells an equivalence.
fn first_taken_for<T>(
    rows: &[T],
    name: impl Fn(&T) -> &Naming,
    looks_like: impl Fn(&T, &T) -> bool,
    is_same: impl Fn(&T, &T) -> bool,
) -> Vec<(&T, &T)> {
    // Of those that look like each other the first stands for all: two thousand bolts of one form are told apart from one.
    let mut spoken_alike: HashMap<String, Vec<&T>> = HashMap::new();
    let mut found = Vec::new();
    for row in rows {
        let before = spoken_alike.entry(spoken(&name(row).title)).or_default();
        let alike = before.iter().find(|other| looks_like(other, row)).copied();
        let taken = before.iter().find(|other| match looks_like(other, row) {
            true => !is_same(other, row),
            false => name(other).title != name(row).title,
        });
        found.extend(taken.map(|other| (row, *other)));
        if alike.is_none_or(|other| !is_same(other, row)) {
            before.push(row);
        }
    }
    found
}

/// What sentences call a tool or part must mean that one alone.
fn short(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let tools = procedure.tools.rows().iter().map(|tool| (&tool.name, tool.short.as_deref()));
    let parts = procedure.parts.rows().iter().map(|part| (&part.name, part.short.as_deref()));
    let all: Vec<(&Naming, Option<&str>)> = tools.chain(parts).collect();
    if all.iter().all(|(_, short)| short.is_none()) {
        return;
    }
    for (at, (own, short)) in all.iter().enumerate() {
        let Some(short) = short else { continue };
        let same = |words: &str| spoken(words) == spoken(short);
        // Of two that share a short title the later is told.
        let other = all.iter().enumerate().find(|(other, (name, others))| {
            *other != at && same(&name.title) || *other < at && others.is_some_and(same)
        });
        let Some((_, (other, _))) = other else { continue };
        proof.findings.push(
            Finding::new(
                Code::FW0514,
                format!("sentences call `{}` \"{short}\", and that may be `{}` as well", own.id, other.id),
                own.span,
                "its short title is not its alone",
            )
            .also(other.span, "the other")
            .because("On the lists, in the steps and on the tablet they read the same: people pick up either.")
            .repair("Write a short title that nothing else has, or leave it out."),
        );
    }
}

fn alike(own: &Naming, other: &Naming, what: &str, differs: &str) -> Finding {
    // The one that the writer can change, where the other is a library's.
    let (own, other) = if own.from_library && !other.from_library { (other, own) } else { (own, other) };
    Finding::new(
        Code::FW0514,
        if own.title == other.title {
            format!("`{}` and `{}` are both called \"{}\", and nothing tells them apart", own.id, other.id, own.title)
        } else {
            format!("nobody tells `{}`, \"{}\", from `{}`, \"{}\"", own.id, own.title, other.id, other.title)
        },
        own.span,
        format!("a {what} of the same title"),
    )
    .also(other.span, "and so is this one")
    .because("On the lists, in the steps and on the tablet they read the same: people pick up either.")
    .repair(format!(
        "Give them titles that differ, or say what differs ({differs}); if they are one {what}, declare one."
    ))
}
