//! FW11, the part of the paths: every hazard is answered before its step on every path.
//!
//! A safety message *answers* its hazard from its line to the end of its section. A hazard is *brought* by a tool or part
//! in use, by a named action, or by a kind of line. Protective equipment that a hazard names answers it too, where it is
//! worn: throughout, or from its `wear` line to the end of its step.

use std::collections::BTreeMap;

use super::proof::{Proof, Subject};
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{HazardId, Line, LineKind, Procedure, ProtectionId, SignalWord, StepId, Tool};
use crate::source::Span;
use crate::space::{Effect, Formula};

/// FW1103 and FW1104: what each message must say, whatever the path.
pub(super) fn messages(proof: &mut Proof<'_>) {
    for line in proof.procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Message(message) = &line.kind else { continue };
        let hazard = &proof.procedure.hazards[message.hazard];
        let parts = [(&message.nature, "hazard"), (&message.consequence, "consequence"), (&message.avoid, "avoid")];
        let missing: Vec<&str> = parts.iter().filter(|(text, _)| text.text.is_empty()).map(|(_, word)| *word).collect();
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
                .repair(format!("Add {}.", lines.join(" and ")))
                .mend(Mend::blanks("Say it", Change::Inside(line.span, lines.join("\n").replace('`', "")))),
            );
        }
        let least = least_word(proof.procedure, message.hazard);
        if message.signal < least {
            let (said, least) = (word(message.signal), word(least));
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

/// The least word for a hazard and for those that it hides: one message answers them all.
fn least_word(procedure: &Procedure, hazard: HazardId) -> SignalWord {
    let alike = procedure.hazards.iter().filter(|(other, _)| procedure.answers(hazard, *other));
    alike.map(|(_, row)| row.signal).max().unwrap_or(SignalWord::Notice)
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
    let mut answered = procedure.hazards.each(Formula::NEVER);
    let mut poisoned = answered.clone();
    let events = proof.events.clone();
    let brought = brought_by_line(procedure);
    for event in events.iter() {
        match &event.effect {
            Effect::Section(_) => {
                answered.fill(Formula::NEVER);
                poisoned.fill(Formula::NEVER);
            }
            Effect::Message(message) => {
                for hazard in procedure.hazards.ids().filter(|hazard| procedure.answers(message.hazard, *hazard)) {
                    answered[hazard] = proof.space.either(answered[hazard], event.guard);
                }
            }
            _ => {}
        }
        // Several events can come from one line; what the line brings is met at the first of them, and again costs nothing.
        let (Some(step), Some(hazards)) = (event.place.step, brought.get(&event.place.span)) else { continue };
        let span = event.place.span;
        for hazard in hazards.iter().copied().filter(|hazard| !protected(procedure, step, span, *hazard)) {
            let sure = proof.sure(event);
            let broken = proof.space.all([sure, !answered[hazard], !poisoned[hazard]]);
            poisoned[hazard] = proof.space.either(poisoned[hazard], broken);
            let late = late_message(procedure, step, span, hazard);
            let code = if late.is_some() { Code::FW1102 } else { Code::FW1101 };
            proof.oblige((code, late.unwrap_or(span), Subject::Hazard(hazard)), event.id, broken, move |proof| {
                match late {
                    Some(message) => after_the_action(proof.procedure, hazard, message, span),
                    None => not_answered(proof.procedure, hazard, span),
                }
            });
        }
    }
}

/// A message for the hazard further down in the same step.
fn late_message(procedure: &Procedure, step: StepId, line: Span, hazard: HazardId) -> Option<Span> {
    let later = procedure.steps[step].lines.iter().filter(|other| other.span.start > line.start);
    later
        .filter(|other| matches!(&other.kind, LineKind::Message(message) if procedure.answers(message.hazard, hazard)))
        .map(|other| other.span)
        .next()
}

/// Whether protective equipment worn at this line answers the hazard.
fn protected(procedure: &Procedure, step: StepId, line: Span, hazard: HazardId) -> bool {
    let before = procedure.steps[step].lines.iter().filter(|other| other.span.start < line.start);
    let worn = before.flat_map(|other| match &other.kind {
        LineKind::Wear(worn) => worn.as_slice(),
        _ => &[],
    });
    let worn: Vec<ProtectionId> = worn.chain(&procedure.about.wear).copied().collect();
    procedure.protects(&worn, hazard)
}

/// FW1105: licensed work without a line that defers to those who may do it. One finding for each sort of work.
pub(super) fn licences(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    if procedure.about.licence.iter().any(|line| !line.trim().is_empty()) {
        return;
    }
    let mut told: Vec<&str> = Vec::new();
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        for hazard in procedure.brought_by(line).into_iter().map(|hazard| &procedure.hazards[hazard]) {
            let Some(work) = hazard.licensed.as_deref().filter(|work| !told.contains(work)) else { continue };
            told.push(work);
            proof.findings.push(not_deferred(work, line.span, hazard.name.span));
        }
    }
}

fn not_deferred(work: &str, line: Span, hazard: Span) -> Finding {
    Finding::new(
        Code::FW1105,
        format!("{} is done here, and nothing says who may do it", lower_first(work)),
        line,
        lower_first(work),
    )
    .also(hazard, "the hazard that it brings")
    .mend(Mend::look(
        "Say who may do it",
        Change::Declare(
            line.file,
            "about { licence \"Local codes and licensed practice decide who may do this work. They go before this procedure.\" }"
                .to_owned(),
        ),
    ))
    .because("Local codes decide who may do such work, and they go before every procedure. Whoever reads this one must learn it before starting.")
    .repair(
        "Add a line to `about`: `licence \"Local codes and licensed practice decide who may do this work. They go before \
         this procedure.\"`",
    )
}

fn lower_first(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map(|first| first.to_lowercase().chain(letters).collect()).unwrap_or_default()
}

fn not_answered(procedure: &Procedure, hazard: HazardId, span: Span) -> Finding {
    let row = &procedure.hazards[hazard];
    let least = word(least_word(procedure, hazard));
    let message = format!("{least} {} {{\n  hazard \"…\"\n  consequence \"…\"\n  avoid \"…\"\n}}", row.called);
    let equipment: Vec<String> =
        row.answered_by.iter().map(|worn| format!("`wear {}`", procedure.protections[*worn].called)).collect();
    let or_wear = match equipment.as_slice() {
        [] => String::new(),
        all => format!(" Or write {} before this line.", all.join(" or ")),
    };
    Finding::new(Code::FW1101, format!("no safety message answers `{}` before this line", row.called), span, format!("brings: {}", row.name.title.to_lowercase()))
        .also(row.name.span, "the hazard")
        .because("Whoever reads the steps in order must read the warning before the work. A message holds for its section.")
        .mend(Mend::blanks(format!("Write a message for `{}`", row.called), Change::Before(span, message)))
        .mend(row.answered_by.iter().map(|worn| {
            Mend::before(span, format!("wear {}", procedure.protections[*worn].called))
        }))
        .repair(format!("Put `{least} {} {{ … }}` at the head of this step, or of an earlier step of the section that every path takes.{or_wear}{}", row.called, or_own_tool(procedure, hazard, span)))
}

/// What to write where a tool brings it by its kind, and this work is free of it: drilling on a bench, where nothing lies behind.
fn or_own_tool(procedure: &Procedure, hazard: HazardId, span: Span) -> String {
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    let uses = lines.filter(|line| line.span == span).find_map(|line| match &line.kind {
        LineKind::Use { tools, .. } => Some(tools),
        _ => None,
    });
    let mut tools = uses.into_iter().flatten().flat_map(|place| &place.any_of).map(|tool| &procedure.tools[*tool]);
    let brings = |tool: &&Tool| tool.brings.iter().any(|(brought, _)| *brought == hazard);
    let Some(tool) = tools.find(brings) else { return String::new() };
    let others = tool.brings.iter().filter(|(brought, _)| *brought != hazard);
    let others: Vec<&str> = others.map(|(brought, _)| procedure.hazards[*brought].called.as_str()).collect();
    let brings = if others.is_empty() { String::new() } else { format!(" {{ brings {} }}", others.join(", ")) };
    let id = &tool.name.id;
    format!(
        " Where `{id}` does not bring it in this work, as on a bench where nothing lies behind, use a tool of your own: \
         `tool bench-{id} \"{}, at the bench\"{brings}`.",
        tool.name.title
    )
}

fn after_the_action(procedure: &Procedure, hazard: HazardId, message: Span, line: Span) -> Finding {
    let row = &procedure.hazards[hazard];
    Finding::new(
        Code::FW1102,
        format!("this message comes after the work that brings `{}`", row.called),
        message,
        "read too late",
    )
    .also(line, "the work")
    .because("Whoever reads the lines in order has done the work before reading the warning.")
    .repair("Move the message to the head of the step.")
    .mend(Mend::look("Move the message before it", Change::Move(message, line)))
}

/// The hazards that each line brings, by the place of the line.
fn brought_by_line(procedure: &Procedure) -> BTreeMap<Span, Vec<HazardId>> {
    let mut all = BTreeMap::new();
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let hazards = procedure.brought_by(line);
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
        | LineKind::Discard(counted)
        | LineKind::Reuse(counted)
        | LineKind::KeepParts { parts: counted, .. } => counted.iter().map(|entry| entry.span).collect(),
        _ => Vec::new(),
    }
}
