//! FW0440 and FW0441: a handover that nobody signs, and a signer who looks misspelt.
//!
//! Who signs is free text, since every workshop has its own roles; so only a slip of one that is common is told.

use super::proof::Proof;
use crate::diagnostics::{Change, Code, Finding, Mend, suggest};
use crate::model::{Handover, HandoverLine, Node, Procedure, walk};
use crate::source::Span;

/// Roles that commonly sign for work on a vehicle (common practice; from memory).
const ROLES: &[&str] = &[
    "installer",
    "fitter",
    "technician",
    "mechanic",
    "electrician",
    "welder",
    "plumber",
    "apprentice",
    "trainee",
    "assistant",
    "helper",
    "inspector",
    "examiner",
    "tester",
    "supervisor",
    "foreman",
    "manager",
    "engineer",
    "owner",
    "customer",
    "client",
    "buyer",
    "seller",
    "dealer",
    "driver",
    "operator",
    "user",
    "keeper",
    "renter",
    "tenant",
    "witness",
    "workshop",
    "maker",
    "planner",
    "painter",
    "checker",
    "storekeeper",
    "receiver",
    "trainer",
    "controller",
    "officer",
    "surveyor",
    "assessor",
];

/// A slip of two letters counts in words of at least so many.
const LONG: usize = 8;

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    for node in procedure.sections.iter().flat_map(|section| walk(&section.body)) {
        let Node::Handover(handover) = node else { continue };
        let names: Vec<&String> = handover.lines.iter().flat_map(signers).collect();
        if names.is_empty() {
            proof.findings.push(unsigned(handover));
        }
        for (name, place) in names.iter().zip(&handover.signed) {
            proof.findings.extend(misspelt(procedure, name, *place));
        }
    }
}

fn signers(line: &HandoverLine) -> &[String] {
    match line {
        HandoverLine::Sign(names) => names,
        _ => &[],
    }
}

fn unsigned(handover: &Handover) -> Finding {
    Finding::new(Code::FW0440, "nobody signs this handover", handover.span, "no `sign` here")
        .because("A record that nobody signs tells neither who did the work nor who took it over.")
        .repair("Say who signs: `sign installer`, `sign installer, customer`.")
        .mend(["sign installer", "sign installer, customer"].map(|line| Mend::inside(handover.span, line)))
}

fn misspelt(procedure: &Procedure, name: &str, place: Span) -> Option<Finding> {
    let word = name.to_lowercase();
    let is_one = word.chars().all(char::is_alphabetic) && procedure.is_english();
    if !is_one || ROLES.contains(&word.as_str()) {
        return None;
    }
    let near = suggest::nearest(&word, ROLES.iter().copied())?;
    let slips = suggest::letters_apart(&word, near);
    (slips == 1 || (slips == 2 && near.len() >= LONG)).then(|| {
        Finding::new(
            Code::FW0441,
            format!("`{word}` signs here; is `{near}` meant?"),
            place,
            "not a role that is known",
        )
        .because("The word stands under the line on which somebody signs, and in the record.")
        .repair(format!("Write `sign {near}`; if it is right as it stands, accept this with a reason."))
        .mend(Mend::look(format!("Write `{near}`"), Change::Write(place, near.to_owned())))
    })
}
