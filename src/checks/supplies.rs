//! FW06, what is supplied against what is taken: never supplied, never used, too few, left over. Also FW0503.

use super::proof::{Proof, not_decided};
use crate::diagnostics::{Case, Code, Finding};
use crate::model::{Id, PartId, Procedure};
use crate::source::Span;
use crate::space::{Effect, Event, EventId, Formula, Worst};

/// What is supplied and taken of a part: how many, in which runs.
#[derive(Clone, Default)]
struct Account {
    supplied: Vec<(Formula, u32)>,
    taken: Vec<(Formula, u32)>,
    /// Lines that take it, with what they take.
    lines: Vec<(EventId, Span, Formula)>,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut accounts = vec![Account::default(); procedure.parts.len()];
    let mut handover = Formula::NEVER;
    let mut handed_over = None;
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Supplied { part, count, .. } => {
                if let Some(account) = accounts.get_mut(part.index()) {
                    account.supplied.push((event.guard, count));
                }
            }
            Effect::Take { part, count } => take(proof, event, part, count, &mut accounts),
            Effect::Place(joint) => {
                let row = &procedure.joints[joint];
                for entry in &row.each {
                    take(proof, event, entry.what, entry.count.saturating_mul(row.count), &mut accounts);
                }
            }
            Effect::Handover(_) => {
                handover = proof.space.either(handover, event.guard);
                handed_over = Some(event.id);
            }
            _ => {}
        }
    }
    for (part, account) in procedure.parts.ids().zip(&accounts) {
        if account.taken.is_empty() && account.lines.is_empty() {
            never_used(proof, part);
        } else if !is_supplied(procedure, part) {
            never_supplied(proof, part, account);
        } else if !procedure.parts[part].consumable {
            too_few(proof, part, account);
            left_over(proof, part, account, handover, handed_over);
        }
    }
    tools_without_use(proof);
}

fn take(proof: &mut Proof<'_>, event: &Event<'_>, part: PartId, count: u32, accounts: &mut [Account]) {
    let sure = proof.sure(event);
    let Some(account) = accounts.get_mut(part.index()) else { return };
    account.lines.push((event.id, event.place.span, sure));
    if count > 0 {
        account.taken.push((sure, count));
    }
}

fn is_supplied(procedure: &Procedure, part: PartId) -> bool {
    procedure.kit.iter().flat_map(|group| &group.entries).any(|entry| entry.what == part)
}

/// FW0602
fn never_used(proof: &mut Proof<'_>, part: PartId) {
    let row = &proof.procedure.parts[part];
    let mut entries = proof.procedure.kit.iter().flat_map(|group| &group.entries);
    let Some(entry) = entries.find(|entry| entry.what == part) else { return };
    proof.findings.push(
        Finding::new(Code::FW0602, format!("`{}` is supplied and no step takes it", row.name.id), entry.span, "supplied here")
            .also(row.name.span, "the part")
            .because("The technician is left with a part in hand and the question what was forgotten.")
            .repair(format!("Write `take {}` where it is fitted, or remove it from the kit.", row.name.id)),
    );
}

/// FW0601
fn never_supplied(proof: &mut Proof<'_>, part: PartId, account: &Account) {
    let Some((_, span, _)) = account.lines.first() else { return };
    let row = &proof.procedure.parts[part];
    let group = if row.consumable { "shop" } else { "box" };
    let count = if row.consumable { "" } else { "1 " };
    proof.findings.push(
        Finding::new(Code::FW0601, format!("nothing supplies `{}`", row.name.id), *span, "taken here")
            .also(row.name.span, "no group of the kit has it")
            .because("The pick-list would not name it, and the job stands still when it is missed.")
            .repair(format!("Add it to the kit: `{group} {{ {count}{} }}`.", row.name.id)),
    );
}

/// FW0603: the most that any run takes beyond what it is supplied.
fn too_few(proof: &mut Proof<'_>, part: PartId, account: &Account) {
    let terms: Vec<(Formula, i64)> = account
        .taken
        .iter()
        .map(|(formula, count)| (*formula, i64::from(*count)))
        .chain(account.supplied.iter().map(|(formula, count)| (*formula, -i64::from(*count))))
        .collect();
    let procedure = proof.procedure;
    let name = &procedure.parts[part].name;
    let Some((at, span, _)) = account.lines.last() else { return };
    let short = |most: i64| {
        Finding::new(Code::FW0603, format!("`{}`: {most} more taken than supplied in the worst configuration", name.id), *span, "not enough left for this line")
            .because("The last one is missing when the technician reaches for it.")
            .repair("Supply more in the group of that configuration, or take fewer.")
    };
    match proof.space.worst(&terms, Formula::ALWAYS) {
        Worst::Undecided => proof.findings.push(not_decided(Code::FW0603, &short(1))),
        Worst::Nothing => {}
        Worst::Most { total, .. } if total <= 0 => {}
        Worst::Most { total, run } => {
            let taken: i64 = in_run(proof, &account.taken, &run);
            let supplied: i64 = in_run(proof, &account.supplied, &run);
            // The line at which the count runs out on that run.
            let mut count = 0;
            let mut place = (*at, *span);
            for ((formula, amount), (event, line, _)) in account.taken.iter().zip(&account.lines) {
                if proof.space.holds(&run, *formula) {
                    count += i64::from(*amount);
                    if count > supplied {
                        place = (*event, *line);
                        break;
                    }
                }
            }
            let formula = proof.space.exactly(&terms, total);
            let mut case: Case = proof.space.case(&run, formula, place.0);
            case.outcome = Some(format!("{taken} `{}` taken, {supplied} supplied", name.id));
            let mut finding = short(total);
            if let Some(label) = finding.labels.first_mut() {
                label.span = place.1;
            }
            let entries = procedure.kit.iter().flat_map(|group| &group.entries).filter(|entry| entry.what == part);
            let finding = entries.fold(finding, |finding, entry| finding.also(entry.span, "supplied here"));
            proof.findings.push(finding.case(case));
        }
    }
}

fn in_run(proof: &Proof<'_>, terms: &[(Formula, u32)], run: &crate::space::Run) -> i64 {
    terms.iter().filter(|(formula, _)| proof.space.holds(run, *formula)).map(|(_, count)| i64::from(*count)).sum()
}

/// FW0604: what can be left over at the handover.
fn left_over(proof: &mut Proof<'_>, part: PartId, account: &Account, handover: Formula, at: Option<EventId>) {
    let Some(at) = at else { return };
    let terms: Vec<(Formula, i64)> = account
        .supplied
        .iter()
        .map(|(formula, count)| (*formula, i64::from(*count)))
        .chain(account.taken.iter().map(|(formula, count)| (*formula, -i64::from(*count))))
        .collect();
    let row = &proof.procedure.parts[part];
    let entry = proof.procedure.kit.iter().flat_map(|group| &group.entries).find(|entry| entry.what == part);
    let span = entry.map_or(row.name.span, |entry| entry.span);
    let note = |most: i64| {
        Finding::new(Code::FW0604, format!("up to {most} `{}` can be left over", row.name.id), span, "supplied here")
            .because("A technician who is left with a part asks what was forgotten; the manual should say that it is spare.")
            .repair("Supply it only in the configuration that needs it, or accept the note with the reason why there are spares.")
    };
    match proof.space.worst(&terms, handover) {
        Worst::Undecided => proof.findings.push(not_decided(Code::FW0604, &note(1))),
        Worst::Most { total, run } if total > 0 => {
            let formula = proof.space.exactly(&terms, total);
            let formula = proof.space.both(formula, handover);
            let mut case = proof.space.case(&run, formula, at);
            let (taken, supplied) = (in_run(proof, &account.taken, &run), in_run(proof, &account.supplied, &run));
            case.outcome = Some(format!("{supplied} `{}` supplied, {taken} taken", row.name.id));
            // What is left over does not come from the steps one by one: the inputs say it all.
            case.steps.clear();
            proof.findings.push(note(total).case(case));
        }
        _ => {}
    }
}

/// FW0503: tools that only steps name which no configuration reaches.
fn tools_without_use(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut used = vec![None; procedure.tools.len()];
    let events = proof.events.clone();
    for event in events.iter() {
        let Effect::Tools { tools, .. } = event.effect else { continue };
        for place in tools {
            for tool in &place.any_of {
                let Some(slot) = used.get_mut(tool.index()) else { continue };
                let (formula, span) = slot.unwrap_or((Formula::NEVER, place.span));
                *slot = Some((proof.space.either(formula, event.guard), span));
            }
        }
    }
    for (tool, used) in procedure.tools.rows().iter().zip(used) {
        let Some((formula, span)) = used else { continue };
        if matches!(proof.space.ask(formula), crate::space::Answer::Never(_)) {
            proof.findings.push(
                Finding::new(Code::FW0503, format!("`{}` is used in no configuration", tool.name.id), span, "never reached")
                    .because("It would be laid out and never picked up.")
                    .repair("Mend the condition of the step, or remove the tool."),
            );
        }
    }
}
