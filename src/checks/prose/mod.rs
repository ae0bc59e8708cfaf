//! FW12: what the words say, against what is stated, and as somebody reads them who has a tool in hand.
//!
//! A rule a file; `text` cuts what people read into tokens with their places, `amounts` finds numbers with units, `verbs` has what
//! makes an instruction, `classes` the words that several rules look for. What depends on English words is asked of English texts only.

mod amounts;
mod apart;
mod asked;
mod battery;
mod bits;
mod bolts;
mod brackets;
mod classes;
mod crimps;
mod crossed;
mod cures;
mod elsewhere;
mod fastened;
mod finished;
mod firm;
mod grommets;
mod harms;
mod holes;
mod hyphens;
mod jacks;
mod left_out;
mod locks;
mod not_fuses;
mod order;
mod orders;
mod outside;
mod paint;
mod pairs;
mod patterns;
mod pedals;
mod perils;
mod poles;
mod ratings;
mod said;
mod sentences;
mod sequel;
mod shifted;
mod sizes;
mod sleeves;
mod sparks;
mod surfaces;
mod swapped;
mod text;
mod things;
mod threads;
mod tools;
mod torques;
mod trials;
mod turns;
mod undone;
mod undrilled;
mod unsaid;
mod vague;
mod verbs;
mod volts;
mod wheels;
mod wired;
mod worn;

use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::{Naming, Procedure};
use crate::source::{FileId, Span};
use std::collections::BTreeMap;

/// What the rules share.
struct Words<'p> {
    procedure: &'p Procedure,
    /// Whether rules on English words are asked.
    english: bool,
    findings: Vec<Finding>,
    /// Places of which was told that they contradict something, by where they begin: where they end.
    told: BTreeMap<(FileId, u32), u32>,
}

impl Words<'_> {
    fn tell(&mut self, finding: Finding) {
        if let (Code::FW1202 | Code::FW1203 | Code::FW1204, Some(place)) = (finding.code, finding.span()) {
            self.told.insert((place.file, place.start), place.end);
        }
        self.findings.push(finding);
    }

    /// Whether a place, or part of it, was told to have another order than the lines.
    fn has_told_order(&self, place: Span) -> bool {
        let of_order = self.findings.iter().filter(|finding| finding.code == Code::FW1210);
        of_order
            .filter_map(Finding::span)
            .any(|span| span.file == place.file && span.start < place.end && place.start < span.end)
    }

    /// Whether something else was told of a place or part of it: one fault, one message.
    fn is_told(&self, place: Span) -> bool {
        let before = self.told.range(..(place.file, place.end)).next_back();
        before.is_some_and(|((file, _), end)| *file == place.file && *end > place.start)
    }
}

/// Checks all texts of a procedure. In one that was tailored, the words of what is settled stand where a mention was; only what they
/// say against the statements is asked of it again.
pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let tailored = procedure.tailored.is_some();
    let mut words = Words { procedure, english: procedure.is_english(), findings: Vec::new(), told: BTreeMap::new() };
    sizes::titles(&mut words);
    ratings::titles(&mut words);
    for title in &text::titles(procedure) {
        hyphens::check(&mut words, title);
        brackets::check(&mut words, title);
    }
    let is_unstated = wired::is_unstated(procedure);
    not_fuses::check(&mut words);
    let (mut told, mut asked) = (Vec::new(), Vec::new());
    let texts = text::all(procedure);
    for text in &texts {
        torques::check(&mut words, text);
        order::check(&mut words, text);
        sizes::check(&mut words, text);
        ratings::check(&mut words, text);
        hyphens::check(&mut words, text);
        brackets::check(&mut words, text);
        elsewhere::check(&mut words, text);
        apart::check(&mut words, text);
        threads::check(&mut words, text);
        fastened::check(&mut words, text);
        turns::order(&mut words, text);
        harms::check(&mut words, text);
        poles::check(&mut words, text);
        if !tailored {
            outside::check(&mut words, text);
            vague::check(&mut words, text);
            sentences::check(&mut words, text);
            tools::check(&mut words, text, &mut asked);
            worn::check(&mut words, text);
            if is_unstated {
                wired::check(&mut words, text, &mut told);
            }
        }
    }
    order::in_turn(&mut words, &texts);
    volts::check(&mut words, &texts);
    holes::check(&mut words, &texts);
    battery::check(&mut words, &texts);
    bits::check(&mut words, &texts);
    grommets::check(&mut words, &texts);
    undrilled::check(&mut words, &texts);
    bolts::counts(&mut words, &texts);
    turns::direction(&mut words, &texts);
    shifted::check(&mut words, &texts);
    jacks::check(&mut words, &texts);
    crimps::check(&mut words, &texts);
    pedals::check(&mut words, &texts);
    undone::check(&mut words, &texts);
    let said = if words.english { said::all(procedure, &texts) } else { Vec::new() };
    sparks::check(&mut words, &said);
    perils::check(&mut words, &said);
    if !tailored {
        sleeves::check(&mut words, &texts, &said);
        unsaid::check(&mut words, &texts, &said);
        asked::check(&mut words, &texts);
        crossed::check(&mut words, &texts);
    }
    proof.findings.extend(words.findings);
    bolts::late(proof, &texts);
    paint::check(proof, &texts);
    finished::check(proof, &texts, &said);
    surfaces::check(proof, &texts, &said);
    pairs::check(proof, &texts, &said);
    firm::check(proof, &texts, &said);
    wheels::check(proof, &said);
    trials::check(proof, &texts);
    locks::check(proof, &texts);
    left_out::check(proof, &texts);
}

/// FW1203 of a title.
fn contradicts(name: &Naming, said: &str, own: &str, stated: Span) -> Finding {
    Finding::new(
        Code::FW1203,
        format!("`{}` is called \"{}\", and {own}", name.id, name.title),
        name.span,
        format!("its title says {said}"),
    )
    .also(stated, own)
    .because("The title is all that a technician reads of it: what is picked and fitted goes by it.")
    .repair("Let the title say what is stated, or correct the statement if the title is right.")
}
