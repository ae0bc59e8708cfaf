//! FW06, what is supplied against what is taken: never supplied, never used, too few, left over. Also FW0503.

use super::proof::{Proof, Proved, Steps, Subject, not_decided};
use std::collections::BTreeMap;

use crate::diagnostics::{Code, Finding};
use crate::model::{IdMap, Line, LineKind, MentionTarget, Naming, Part, PartId, Procedure};
use crate::source::Span;
use crate::space::{Answer, Effect, Event, EventId, Extreme, Formula, Role, Weighted};

/// What is supplied and taken of a part: how many, in which runs.
#[derive(Clone, Default)]
struct Account {
    supplied: Vec<(Formula, u32)>,
    taken: Vec<(Formula, u32)>,
    /// The same, where a spare counts as taken in every run that looks whether it is needed.
    spoken_for: Vec<(Formula, u32)>,
    /// Lines that take it, with what they take.
    lines: Vec<(EventId, Span, Formula)>,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut accounts = procedure.parts.each(Account::default());
    // What is placed where there is no such joint was told, and takes nothing.
    let mut exists = procedure.joints.each(Formula::ALWAYS);
    let mut handover = Formula::NEVER;
    let mut handed_over = None;
    let events = proof.events.clone();
    // The runs in which something is looked at, by the name of the step that looks.
    let mut looked: BTreeMap<Span, Formula> = BTreeMap::new();
    for event in events.iter() {
        match event.effect {
            Effect::Step(step) => {
                let runs = looked.entry(procedure.steps[step].name.span).or_insert(Formula::NEVER);
                *runs = proof.space.either(*runs, event.guard);
            }
            Effect::Supplied { part, count, .. } => {
                accounts[part].supplied.push((event.guard, count));
            }
            Effect::Judged { role: Role::Joint(joint), holds, .. } => exists[joint] = holds,
            Effect::Take { part, count } => {
                let spares_for = event.place.step.and_then(|step| procedure.steps[step].spares_for);
                let looked = spares_for.and_then(|step| looked.get(&step)).copied();
                take(proof, event, part, (count, Formula::ALWAYS, looked), &mut accounts);
            }
            Effect::Place(joint) => {
                let row = &procedure.joints[joint];
                for entry in &row.each {
                    let count = entry.count.saturating_mul(row.count);
                    take(proof, event, entry.what, (count, exists[joint], None), &mut accounts);
                }
            }
            Effect::Handover(_) => {
                let sure = proof.sure(event);
                handover = proof.space.either(handover, sure);
                handed_over = Some(event.id);
            }
            _ => {}
        }
    }
    for (part, account) in accounts.iter() {
        if account.taken.is_empty() && account.lines.is_empty() {
            never_used(proof, part);
        } else if !is_supplied(procedure, part) {
            never_supplied(proof, part, account);
        } else if procedure.parts[part].consumable {
            lacking(proof, part, account);
        } else {
            too_few(proof, part, account);
            left_over(proof, part, account, handover, handed_over);
        }
    }
    tools_without_use(proof);
}

fn take(
    proof: &mut Proof<'_>,
    event: &Event<'_>,
    part: PartId,
    (count, exists, looked): (u32, Formula, Option<Formula>),
    accounts: &mut IdMap<PartId, Account>,
) {
    let sure = proof.sure(event);
    let sure = proof.space.both(sure, exists);
    let account = &mut accounts[part];
    account.lines.push((event.id, event.place.span, sure));
    account.taken.push((sure, count));
    account.spoken_for.push((looked.unwrap_or(sure), count));
}

fn is_supplied(procedure: &Procedure, part: PartId) -> bool {
    procedure.kit.iter().flat_map(|group| &group.entries).any(|entry| entry.what == part)
}

/// FW0602
fn never_used(proof: &mut Proof<'_>, part: PartId) {
    let row = &proof.procedure.parts[part];
    // Prose that mentions it says where it was meant to be taken; that is the message.
    if is_mentioned(proof.procedure, part) || is_of_a_joint_never_placed(proof.procedure, part) {
        return;
    }
    let mut entries = proof.procedure.kit.iter().flat_map(|group| &group.entries);
    let Some(entry) = entries.find(|entry| entry.what == part) else { return };
    proof.findings.push(
        Finding::new(
            Code::FW0602,
            format!("`{}` is supplied and no step takes it", row.name.id),
            entry.span,
            "supplied here",
        )
        .also(row.name.span, "the part")
        .because("The technician is left with a part in hand and the question what was forgotten.")
        .repair(format!("Write `take {}` where it is fitted, or remove it from the kit.", counted(entry.count, row))),
    );
}

fn is_mentioned(procedure: &Procedure, part: PartId) -> bool {
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    lines.into_iter().any(|line| match &line.kind {
        LineKind::Prose(prose) => prose.mentions.iter().any(|mention| mention.target == MentionTarget::Part(part)),
        _ => false,
    })
}

/// FW0601
fn never_supplied(proof: &mut Proof<'_>, part: PartId, account: &Account) {
    let Some((_, span, _)) = account.lines.first() else { return };
    let most = match proof.space.most(&weighted(&account.taken, 1).collect::<Vec<_>>(), Formula::ALWAYS) {
        Extreme::Exact { value, .. } => u32::try_from(value).unwrap_or(1).max(1),
        _ => 1,
    };
    let row = &proof.procedure.parts[part];
    let group = if row.consumable { "shop" } else { "box" };
    proof.findings.push(
        Finding::new(Code::FW0601, format!("nothing supplies `{}`", row.name.id), *span, "taken here")
            .also(row.name.span, "no group of the kit has it")
            .because("The pick-list would not name it, and the job stands still when it is missed.")
            .repair(format!("Add it to the kit: `{group} {{ {} }}`.", counted(most, row))),
    );
}

/// FW0601 for a consumable, which has no count: taken in a run in which no group of the kit supplies it.
fn lacking(proof: &mut Proof<'_>, part: PartId, account: &Account) {
    let supplied = proof.space.any(account.supplied.iter().map(|(when, _)| *when));
    let mut told = Formula::NEVER;
    for (at, span, taken) in account.lines.iter().copied() {
        let broken = proof.space.all([taken, !supplied, !told]);
        told = proof.space.either(told, broken);
        proof.oblige((Code::FW0601, span, Subject::Part(part)), at, broken, move |proof| {
            let row = &proof.procedure.parts[part];
            let message = format!("nothing supplies `{}` in a fitting that takes it", row.name.id);
            let finding = Finding::new(Code::FW0601, message, span, "taken here");
            let groups = proof.procedure.kit.iter().flat_map(|group| &group.entries);
            groups
                .filter(|entry| entry.what == part)
                .fold(finding, |finding, entry| finding.also(entry.span, "supplied in other fittings"))
                .because("The pick-list of this fitting does not name it, and the job stands still when it is missed.")
                .repair(format!(
                    "Supply it without a condition, or under the one of this step: `shop {{ {} }}`.",
                    row.name.id
                ))
        });
    }
}

/// A part with its count, as a list has it; a consumable has none.
fn counted(count: u32, row: &Part) -> String {
    if row.consumable { row.name.id.clone() } else { format!("{count} {}", row.name.id) }
}

/// FW0603: the most that any run takes beyond what it is supplied.
fn too_few(proof: &mut Proof<'_>, part: PartId, account: &Account) {
    let counts: Vec<Weighted> = weighted(&account.taken, 1).chain(weighted(&account.supplied, -1)).collect();
    let name = proof.procedure.parts[part].name.clone();
    let Some((at, span, _)) = account.lines.last().copied() else { return };
    if proof.space.bound(&counts, Formula::ALWAYS).is_none_or(|bound| bound <= 0) {
        return;
    }
    let (most, model) = match proof.space.most(&counts, Formula::ALWAYS) {
        Extreme::Impossible => return,
        Extreme::Exact { value, .. } if value <= 0 => return,
        Extreme::Exact { value, model } => (value, proof.space.most_with_few_repairs(&counts, Formula::ALWAYS, model)),
        Extreme::Undecided { at_most, .. } if at_most <= 0 => return,
        Extreme::Undecided { at_most, .. } => {
            proof.findings.push(not_decided(Code::FW0603, &short(&name, at_most, span)));
            return;
        }
    };
    let truths = proof.space.truths(&model);
    let in_run = |terms: &[(Formula, u32)]| -> i64 {
        terms.iter().filter(|(formula, _)| truths.holds(*formula)).map(|(_, count)| i64::from(*count)).sum()
    };
    let (taken, supplied) = (in_run(&account.taken), in_run(&account.supplied));
    let place = runs_out_at(account, supplied, |formula| truths.holds(formula)).unwrap_or((at, span));
    let fault = proof.space.at_least_as_in(&counts, &model);
    let mut finding = short(&name, most, place.1);
    for entry in proof.procedure.kit.iter().flat_map(|group| &group.entries).filter(|entry| entry.what == part) {
        finding = finding.also(entry.span, "supplied here");
    }
    let outcome = Some((format!("{taken} `{}` taken, {supplied} supplied", name.id), Steps::Told));
    proof.prove(Proved { finding, fault, at: place.0, model, outcome });
}

fn weighted(terms: &[(Formula, u32)], sign: i64) -> impl Iterator<Item = Weighted> + '_ {
    terms.iter().map(move |(when, count)| Weighted { when: *when, count: sign * i64::from(*count) })
}

/// The line at which the supply runs out on a run.
fn runs_out_at(account: &Account, supplied: i64, holds: impl Fn(Formula) -> bool) -> Option<(EventId, Span)> {
    let mut count = 0;
    for ((formula, amount), (event, line, _)) in account.taken.iter().zip(&account.lines) {
        if holds(*formula) {
            count += i64::from(*amount);
            if count > supplied {
                return Some((*event, *line));
            }
        }
    }
    None
}

fn short(name: &Naming, most: i64, span: Span) -> Finding {
    Finding::new(
        Code::FW0603,
        format!("`{}` is short by {most} in the worst configuration", name.id),
        span,
        "here the supply runs out",
    )
    .because("The last one is missing when the technician reaches for it.")
    .repair("Supply more in the group that this configuration gets, or take fewer.")
}

/// FW0604: what can be left over at the handover.
fn left_over(proof: &mut Proof<'_>, part: PartId, account: &Account, handover: Formula, at: Option<EventId>) {
    let Some(at) = at else { return };
    let counts: Vec<Weighted> = weighted(&account.supplied, 1).chain(weighted(&account.spoken_for, -1)).collect();
    if proof.space.bound(&counts, handover).is_none_or(|bound| bound <= 0) {
        return;
    }
    let name = proof.procedure.parts[part].name.clone();
    let mut entries = proof.procedure.kit.iter().flat_map(|group| &group.entries);
    let span = entries.find(|entry| entry.what == part).map_or(name.span, |entry| entry.span);
    let note = |most: i64| {
        Finding::new(Code::FW0604, format!("up to {most} `{}` can be left over", name.id), span, "supplied here")
            .because("A technician who is left with a part asks what was forgotten.")
            .repair("Supply it only in the configuration that needs it, or accept the note with the reason why there are spares.")
    };
    match proof.space.most(&counts, handover) {
        Extreme::Exact { value, model } if value > 0 => {
            if let Some(least) = least_left(proof, account, handover) {
                proof.findings.push(always_left(&name, least, span));
                return;
            }
            let model = proof.space.most_with_few_repairs(&counts, handover, model);
            let left = proof.space.at_least_as_in(&counts, &model);
            let fault = proof.space.both(left, handover);
            let truths = proof.space.truths(&model);
            let in_run = |terms: &[(Formula, u32)]| -> u32 {
                terms.iter().filter(|(formula, _)| truths.holds(*formula)).map(|(_, count)| *count).sum()
            };
            let (taken, supplied) = (in_run(&account.taken), in_run(&account.supplied));
            // What is left over does not come from one step: the inputs say it all.
            let outcome = Some((format!("{supplied} `{}` supplied, {taken} taken", name.id), Steps::Untold));
            proof.prove(Proved { finding: note(value), fault, at, model, outcome });
        }
        Extreme::Undecided { at_most, .. } if at_most > 0 => {
            proof.findings.push(not_decided(Code::FW0604, &note(at_most)));
        }
        _ => {}
    }
}

/// How many are left at every handover, where that is at least one.
fn least_left(proof: &mut Proof<'_>, account: &Account, handover: Formula) -> Option<i64> {
    let counts: Vec<Weighted> = weighted(&account.spoken_for, 1).chain(weighted(&account.supplied, -1)).collect();
    match proof.space.most(&counts, handover) {
        Extreme::Exact { value, .. } if value < 0 => Some(-value),
        _ => None,
    }
}

/// FW0610
fn always_left(name: &Naming, least: i64, span: Span) -> Finding {
    let message =
        format!("at least {least} `{}` {} left over in every fitting", name.id, if least == 1 { "is" } else { "are" });
    Finding::new(Code::FW0610, message, span, "supplied here")
        .because("A technician who is left with a part asks what was forgotten; left over every time, either the count or a step is wrong.")
        .repair("Supply as many as the work takes, or write the line that takes the rest. Accept it where these are spares.")
}

/// FW0503: tools that only steps name which no configuration reaches. Where such a step was told itself, that is the
/// message; what is left are repairs of checks that can't fail.
fn tools_without_use(proof: &mut Proof<'_>) {
    let unreached = |finding: &Finding| matches!(finding.code, Code::FW0404 | Code::FW0405 | Code::FW0409);
    if proof.findings.iter().any(unreached) || !proof.broken_limits.is_empty() {
        return;
    }
    let procedure = proof.procedure;
    let mut used = procedure.tools.each(None);
    let events = proof.events.clone();
    for event in events.iter() {
        let Effect::Tools { tools, .. } = event.effect else { continue };
        for place in tools {
            for tool in &place.any_of {
                let slot = &mut used[*tool];
                let (formula, span) = slot.unwrap_or((Formula::NEVER, place.span));
                *slot = Some((proof.space.either(formula, event.guard), span));
            }
        }
    }
    for (tool, used) in used.iter() {
        let Some((formula, span)) = *used else { continue };
        let tool = &procedure.tools[tool];
        if matches!(proof.space.ask(formula), Answer::Impossible) {
            // The check that can't fail is why: one message.
            let checks = procedure.steps.rows().iter().filter(|step| step.is_check).map(|step| step.span);
            let checks = checks.filter(|check| within(span, *check));
            if let Some(check) = checks.min_by_key(|check| check.end - check.start) {
                let same = |finding: &Finding| {
                    finding.code == Code::FW0410 && finding.span().is_some_and(|at| within(at, check))
                };
                proof.findings.retain(|finding| !same(finding));
            }
            proof.findings.push(
                Finding::new(
                    Code::FW0503,
                    format!("`{}` is used in no configuration", tool.name.id),
                    span,
                    "never reached",
                )
                .because("It would be laid out and never picked up.")
                .repair("Mend the condition of the step, or remove the tool."),
            );
        }
    }
}

fn within(inner: Span, outer: Span) -> bool {
    inner.file == outer.file && outer.start <= inner.start && inner.end <= outer.end
}

/// Whether it belongs to a joint that lines work on and none puts in place: FW0701 says that, once for all its parts.
fn is_of_a_joint_never_placed(procedure: &Procedure, part: PartId) -> bool {
    let lines = || procedure.steps.rows().iter().flat_map(|step| &step.lines);
    procedure.joints.iter().any(|(id, joint)| {
        let puts =
            |line: &Line| matches!(line.kind, LineKind::Place(joint) | LineKind::RefitJoint(joint) if joint == id);
        joint.each.iter().any(|entry| entry.what == part)
            && !joint.on_vehicle
            && lines().any(|line| line.kind.joint() == Some(id))
            && !lines().any(puts)
    })
}
