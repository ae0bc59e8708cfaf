//! FW11, the part of the paths: every hazard is answered before its step on every path.
//!
//! A safety message *answers* its hazard from its line to the end of its section. A hazard is *brought* by a tool or part
//! in use, by a named action, or by a kind of line.

use std::collections::BTreeMap;

use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::{ActionKind, HazardId, Id, Line, LineKind, PartId, Procedure, SignalWord, StepId, ToolUse};
use crate::source::Span;
use crate::space::{Effect, Formula};

/// FW1103 and FW1104: what each message must say, whatever the path.
pub(super) fn messages(proof: &mut Proof<'_>) {
    for line in proof.procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Message(message) = &line.kind else { continue };
        let hazard = &proof.procedure.hazards[message.hazard];
        let parts = [(&message.nature, "hazard"), (&message.consequence, "consequence"), (&message.avoid, "avoid")];
        let missing: Vec<&str> = parts.iter().filter(|(text, _)| text.is_empty()).map(|(_, word)| *word).collect();
        if !missing.is_empty() {
            let lines: Vec<String> = missing.iter().map(|word| format!("`{word} \"…\"`")).collect();
            proof.findings.push(
                Finding::new(
                    Code::FW1103,
                    format!("this safety message does not say its {}", missing.join(" and ")),
                    line.span,
                    "not the whole message",
                )
                .because("A reader must learn what can hurt, how badly, and how not to be hurt.")
                .repair(format!("Add {}.", lines.join(" and "))),
            );
        }
        if message.signal < hazard.signal {
            let (said, least) = (word(message.signal), word(hazard.signal));
            proof.findings.push(
                Finding::new(
                    Code::FW1104,
                    format!("`{said}` is too weak a word for `{}`", hazard.name.id),
                    line.span,
                    format!("at least `{least}`"),
                )
                .also(hazard.name.span, format!("this hazard asks for `{least}`"))
                .because("The signal word tells how badly one can be hurt (ANSI Z535.6); a weaker one is read past.")
                .repair(format!("Write `{least} {} {{ … }}`.", hazard.name.id)),
            );
        }
    }
}

fn word(signal: SignalWord) -> &'static str {
    match signal {
        SignalWord::Danger => "danger",
        SignalWord::Warning => "warning",
        SignalWord::Caution => "caution",
        SignalWord::Notice => "notice",
    }
}

/// FW1101 and FW1102 on every path.
pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let hazards = procedure.hazards.len();
    let (mut answered, mut spoiled) = (vec![Formula::NEVER; hazards], vec![Formula::NEVER; hazards]);
    let events = proof.events.clone();
    let brought = brought_by_line(procedure);
    for event in events.iter() {
        match &event.effect {
            Effect::Section(_) => {
                answered.fill(Formula::NEVER);
                spoiled.fill(Formula::NEVER);
            }
            Effect::Message(message) => {
                if let Some(slot) = answered.get_mut(message.hazard.index()) {
                    *slot = proof.space.either(*slot, event.guard);
                }
            }
            _ => {}
        }
        // Several events can come from one line; what the line brings is met at the first of them, and again costs nothing.
        let (Some(step), Some(hazards)) = (event.place.step, brought.get(&event.place.span)) else { continue };
        for hazard in hazards {
            let (Some(answer), Some(spoilt)) = (answered.get(hazard.index()).copied(), spoiled.get_mut(hazard.index()))
            else {
                continue;
            };
            let sure = proof.sure(event);
            let broken = proof.space.all([sure, !answer, !*spoilt]);
            *spoilt = proof.space.either(*spoilt, broken);
            let (span, hazard) = (event.place.span, *hazard);
            let late = late_message(procedure, step, span, hazard);
            let code = if late.is_some() { Code::FW1102 } else { Code::FW1101 };
            proof.suspect((code, late.unwrap_or(span), hazard.index()), event.id, broken, move |proof| match late {
                Some(message) => after_the_action(proof.procedure, hazard, message, span),
                None => not_answered(proof.procedure, hazard, span),
            });
        }
    }
}

/// A message for the hazard further down in the same step.
fn late_message(procedure: &Procedure, step: StepId, line: Span, hazard: HazardId) -> Option<Span> {
    let later = procedure.steps[step].lines.iter().filter(|other| other.span.start > line.start);
    later
        .filter(|other| matches!(&other.kind, LineKind::Message(message) if message.hazard == hazard))
        .map(|other| other.span)
        .next()
}

fn not_answered(procedure: &Procedure, hazard: HazardId, span: Span) -> Finding {
    let row = &procedure.hazards[hazard];
    let least = word(row.signal);
    Finding::new(Code::FW1101, format!("no safety message answers `{}` before this line", row.name.id), span, format!("brings: {}", row.name.title.to_lowercase()))
        .also(row.name.span, "the hazard")
        .because("Whoever reads the steps in order must read the warning before the work. A message holds for its section.")
        .repair(format!("Put `{least} {} {{ … }}` at the head of this step, or of an earlier step of the section that every path takes.", row.name.id))
}

fn after_the_action(procedure: &Procedure, hazard: HazardId, message: Span, line: Span) -> Finding {
    let row = &procedure.hazards[hazard];
    Finding::new(
        Code::FW1102,
        format!("this message comes after the work that brings `{}`", row.name.id),
        message,
        "read too late",
    )
    .also(line, "the work")
    .because("Whoever reads the lines in order has done the work before reading the warning.")
    .repair("Move the message to the head of the step.")
}

/// The hazards that each line brings, by the place of the line.
fn brought_by_line(procedure: &Procedure) -> BTreeMap<Span, Vec<HazardId>> {
    let mut all = BTreeMap::new();
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let hazards = brought(procedure, line);
        for span in std::iter::once(line.span).chain(entries(line)) {
            if !hazards.is_empty() {
                all.insert(span, hazards.clone());
            }
        }
    }
    all
}

/// The places of the entries of a line; events of a list stand at its entries.
fn entries(line: &Line) -> Vec<Span> {
    match &line.kind {
        LineKind::Take(counted)
        | LineKind::Remove(counted, _)
        | LineKind::Refit(counted)
        | LineKind::Discard(counted) => counted.iter().map(|entry| entry.span).collect(),
        _ => Vec::new(),
    }
}

fn brought(procedure: &Procedure, line: &Line) -> Vec<HazardId> {
    let of_joint = |joint| procedure.joints[joint].each.iter().map(|entry| entry.what).collect::<Vec<PartId>>();
    let of_list = |list: &[crate::model::Counted<PartId>]| list.iter().map(|entry| entry.what).collect::<Vec<PartId>>();
    let (kind, tools, parts): (_, &[ToolUse], Vec<PartId>) = match &line.kind {
        LineKind::Use { tools, .. } => (ActionKind::Use, tools, Vec::new()),
        LineKind::Take(list) => (ActionKind::Take, &[], of_list(list)),
        LineKind::Refit(list) => (ActionKind::Refit, &[], of_list(list)),
        LineKind::Discard(list) => (ActionKind::Discard, &[], of_list(list)),
        LineKind::Remove(list, tools) => (ActionKind::Remove, tools, of_list(list)),
        LineKind::Place(joint) => (ActionKind::Place, &[], of_joint(*joint)),
        LineKind::RefitJoint(joint) => (ActionKind::Refit, &[], of_joint(*joint)),
        LineKind::RemoveJoint(joint, tools) => (ActionKind::Remove, tools, of_joint(*joint)),
        LineKind::Snug(_, tools) => (ActionKind::Snug, tools, Vec::new()),
        LineKind::Tighten(_, tools) => (ActionKind::Tighten, tools, Vec::new()),
        LineKind::Loosen(_, tools) => (ActionKind::Loosen, tools, Vec::new()),
        LineKind::Connect(_, _, tools) => (ActionKind::Connect, tools, Vec::new()),
        LineKind::Disconnect(_, _, tools) => (ActionKind::Disconnect, tools, Vec::new()),
        LineKind::Do(action) => return procedure.actions[*action].brings.iter().map(|(hazard, _)| *hazard).collect(),
        _ => return Vec::new(),
    };
    let from_tools = tools.iter().flat_map(|place| &place.any_of).flat_map(|tool| &procedure.tools[*tool].brings);
    let from_parts = parts.iter().flat_map(|part| &procedure.parts[*part].brings);
    let from_kind = procedure.hazards.iter().filter(|(_, row)| row.from.contains(&kind)).map(|(id, _)| id);
    let mut found: Vec<HazardId> = from_tools.chain(from_parts).map(|(hazard, _)| *hazard).chain(from_kind).collect();
    found.sort_unstable();
    found.dedup();
    found
}
