//! FW06, what is supplied against what is taken: never supplied, never used, too few, left over.

mod left;

use self::left::left_over;
use super::from_kit::{FromKit, Partly};
use super::grains::{Grain, grains};
use super::proof::{Proof, Proved, Steps, Subject, not_decided};
use std::collections::BTreeMap;

use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::walk::{Guard, walk};
use crate::model::{Counted, HowMuch, IdMap, JointId, Line, LineKind, MentionTarget, Part, PartId, Procedure, StepId};
use crate::source::Span;
use crate::space::{Effect, Event, EventId, Extreme, Formula, Role, Weighted};

/// What is supplied and taken of a part: how many grains, in which runs.
#[derive(Clone)]
struct Account {
    grain: Grain,
    /// Where others may be there in its place, which of them is.
    chosen: Chosen,
    /// By the kit, then by lines that make it.
    supplied: Vec<(Formula, i64)>,
    /// The runs in which a group holds nobody knows how many.
    unlimited: Vec<Formula>,
    /// The runs in which a joint or a line takes of it, and nobody knows how many.
    uncounted: Formula,
    taken: Vec<(Formula, i64)>,
    /// The same, where a spare counts as taken in every run that looks whether it is needed.
    spoken_for: Vec<(Formula, i64)>,
    /// Lines that take it, with what they take.
    lines: Vec<(EventId, Span, Formula)>,
    /// Lines that make it, with how many of `supplied` and `taken` come before.
    makes: Vec<Made>,
    /// Some line's amount can't be held.
    too_fine: bool,
    /// A line takes it by name, rather than a joint that it belongs to.
    by_name: bool,
}

/// Of parts that stand for one another (`clip-a or clip-b`), the one that is there and is taken all through a job.
#[derive(Clone, PartialEq)]
enum Chosen {
    /// Nothing stands for it.
    Only,
    /// It is the one; these are the others.
    This(Vec<PartId>),
    /// One of these is; only what is supplied and taken under its own name alone counts.
    Other(Vec<PartId>),
}

/// A line that makes a part.
#[derive(Clone, Copy)]
struct Made {
    span: Span,
    supplied: usize,
    taken: usize,
}

impl Account {
    fn of(grain: Grain) -> Account {
        Account {
            grain,
            chosen: Chosen::Only,
            supplied: Vec::new(),
            unlimited: Vec::new(),
            uncounted: Formula::NEVER,
            taken: Vec::new(),
            spoken_for: Vec::new(),
            lines: Vec::new(),
            makes: Vec::new(),
            too_fine: false,
            by_name: false,
        }
    }

    fn supply(&mut self, guard: Formula, count: u32, much: &HowMuch) {
        if matches!(much, HowMuch::Unknown(_)) {
            self.unlimited.push(guard);
        } else {
            let number = self.number(count, much);
            self.supplied.push((guard, number));
        }
    }

    /// How many grains; says that the sum is not known where one of them can't be held.
    fn number(&mut self, count: u32, much: &HowMuch) -> i64 {
        let number = self.grain.number(count, much);
        self.too_fine |= number.is_none();
        number.unwrap_or(0)
    }
}

pub(super) fn check(proof: &mut Proof<'_>, from_kit: &FromKit) {
    let procedure = proof.procedure;
    let grains = grains(procedure);
    let mut accounts = procedure.parts.map(|part, _| Account::of(grains[part]));
    // The same, where another is taken in its place.
    let mut alone = procedure.parts.map(|part, _| Account::of(grains[part]));
    let mut others = procedure.in_place_of_each();
    for part in procedure.parts.ids() {
        let others = std::mem::take(&mut others[part]);
        if !others.is_empty() {
            accounts[part].chosen = Chosen::This(others.clone());
            alone[part].chosen = Chosen::Other(others);
        }
    }
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
            Effect::Supplied { part, count, much, alternative, .. } => {
                accounts[part].supply(event.guard, count, much);
                if !alternative {
                    alone[part].supply(event.guard, count, much);
                }
            }
            Effect::MakeParts { part, count, much } => {
                for account in [&mut accounts[part], &mut alone[part]] {
                    let (supplied, taken) = (account.supplied.len(), account.taken.len());
                    account.makes.push(Made { span: event.place.span, supplied, taken });
                    let number = account.number(count, much);
                    account.supplied.push((event.guard, number));
                }
            }
            Effect::Judged { role: Role::Joint(joint), holds, .. } => exists[joint] = holds,
            Effect::Take { part, count, much, alternative, .. } => {
                accounts[part].by_name = true;
                if matches!(much, HowMuch::Unknown(_)) {
                    accounts[part].uncounted = proof.space.either(accounts[part].uncounted, event.guard);
                }
                let count = accounts[part].number(count, much);
                let step = event.place.step;
                let spares_for = step
                    .and_then(|step| procedure.steps[step].spares_for.or(spares_of_a_repair(procedure, step, much)));
                let looked = spares_for.and_then(|step| looked.get(&step)).copied();
                take(proof, event, (count, Formula::ALWAYS, looked), &mut accounts[part]);
                if !alternative {
                    take(proof, event, (count, Formula::ALWAYS, looked), &mut alone[part]);
                }
            }
            Effect::KeepParts { part, count, of_the_kit: true } => {
                for account in [&mut accounts[part], &mut alone[part]] {
                    take(proof, event, (i64::from(count), Formula::ALWAYS, None), account);
                }
            }
            Effect::Place(joint) => {
                if procedure.joints[joint].count.is_none() {
                    uncounted(proof, event, joint, exists[joint], &mut accounts);
                }
                for (part, runs, count) in from_kit.at(event.id).iter().copied() {
                    let here = proof.space.both(runs, exists[joint]);
                    let runs = proof.space.both(event.guard, here);
                    // What came off serves again in every run that gets here: nothing is wanted of the kit.
                    if runs == Formula::NEVER {
                        continue;
                    }
                    for account in [&mut accounts[part], &mut alone[part]] {
                        take(proof, event, (i64::from(count), runs, None), account);
                    }
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
            never_used(proof, part, account);
        } else if !is_supplied(procedure, part) && account.makes.is_empty() {
            never_supplied(proof, part, account);
        } else if procedure.parts[part].consumable {
            lacking(proof, part, account);
            lacking(proof, part, &alone[part]);
        } else if !from_kit.is_known(part) {
            not_followed(proof, part);
        } else {
            if !too_few_of_either(proof, part, account, &alone[part]) {
                from_kit.partly(part).for_each(|partly| partly_taken(proof, partly));
            }
            // Nobody counts what is left of a reel or a bottle. Of a bag that was filled by weight it is what the others hold beyond
            // what is taken, and more.
            if account.grain.is_piece() {
                left_over(proof, part, account, handover, handed_over);
            }
        }
    }
}

fn take(
    proof: &mut Proof<'_>,
    event: &Event<'_>,
    (count, exists, looked): (i64, Formula, Option<Formula>),
    account: &mut Account,
) {
    let sure = proof.sure(event);
    let sure = proof.space.both(sure, exists);
    account.lines.push((event.id, event.place.span, sure));
    account.taken.push((sure, count));
    account.spoken_for.push((looked.unwrap_or(sure), count));
}

/// The name of the check whose repair takes some or none: what the kit has of them is for this repair, needed or not.
fn spares_of_a_repair(procedure: &Procedure, step: StepId, much: &HowMuch) -> Option<Span> {
    let HowMuch::Between(0, _) = much else { return None };
    procedure.sections.iter().find_map(|section| {
        let mut nodes = walk(&section.body);
        nodes.by_ref().find(|node| node.step() == Some(step))?;
        let check = nodes.way().iter().find_map(|guard| match guard {
            Guard::Repairs(check) => Some(check.step),
            _ => None,
        });
        check.map(|check| procedure.steps[check].name.span)
    })
}

/// A joint takes more of its parts than one, and nobody knows how many.
fn uncounted(
    proof: &mut Proof<'_>,
    event: &Event<'_>,
    joint: JointId,
    exists: Formula,
    accounts: &mut IdMap<PartId, Account>,
) {
    let runs = proof.space.both(event.guard, exists);
    for (part, _) in proof.procedure.joints[joint].parts() {
        let account = &mut accounts[part];
        account.uncounted = proof.space.either(account.uncounted, runs);
    }
}

fn is_supplied(procedure: &Procedure, part: PartId) -> bool {
    procedure.kit.iter().flat_map(|group| &group.entries).any(|entry| entry.what == part)
}

/// FW0602
fn never_used(proof: &mut Proof<'_>, part: PartId, account: &Account) {
    let row = &proof.procedure.parts[part];
    // Prose that mentions it says where it was meant to be taken; that is the message. What is made is there, and needs no other;
    // of what the vehicle has too, the words mean that one.
    let there = proof.procedure.on_vehicle().any(|entry| entry.what == part);
    if (account.makes.is_empty() && !there && is_mentioned(proof.procedure, part))
        || is_of_a_joint_never_placed(proof.procedure, part)
    {
        return;
    }
    let mut entries = proof.procedure.kit.iter().flat_map(|group| &group.entries);
    let Some(entry) = entries.find(|entry| entry.what == part) else {
        made_for_nothing(proof, part, account);
        return;
    };
    proof.findings.push(
        Finding::new(
            Code::FW0602,
            format!("`{}` is supplied and no step takes it", row.name.id),
            entry.span,
            "supplied here",
        )
        .also(row.name.span, "the part")
        .because("The technician is left with a part in hand and the question what was forgotten.")
        .repair(format!("Write `take {}` where it is fitted, or remove it from the kit.", entry_words(entry, row)))
        .mend(Mend::look("Remove it from the kit", Change::DropEntry(entry.span))),
    );
}

/// A group more in the kit, which stands in the file of the line that takes it.
fn kit_line(procedure: &Procedure, taken: Span, group: &str) -> Mend {
    match procedure.kit.first() {
        Some(first) => Mend::look(format!("Add `{group}` to the kit"), Change::After(first.span, group.to_owned())),
        None => {
            let line = format!("kit {{ {group} }}");
            Mend::look(format!("Write `{line}`"), Change::Declare(taken.file, line))
        }
    }
}

/// FW0602 of what is made.
fn made_for_nothing(proof: &mut Proof<'_>, part: PartId, account: &Account) {
    let row = &proof.procedure.parts[part];
    let Some(made) = account.makes.first() else { return };
    proof.findings.push(
        Finding::new(Code::FW0602, format!("`{}` is made and no step takes it", row.name.id), made.span, "made here")
            .also(row.name.span, "the part")
            .because("The technician is left with a part in hand and the question what was forgotten.")
            .repair(format!("Write `take {}` where it is fitted, or remove the line that makes it.", row.name.id))
            .mend(Mend::drop(made.span)),
    );
}

/// An entry of the kit as a line takes it.
fn entry_words(entry: &Counted<PartId>, row: &Part) -> String {
    let name = &row.name.id;
    match &entry.much {
        HowMuch::Amount(amount) => format!("{amount} {name}"),
        HowMuch::Between(least, most) => format!("{least} to {most} {name}"),
        HowMuch::Unknown(_) => name.clone(),
        HowMuch::Count => counted(&entry.count.to_string(), row),
    }
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
        // No run gets to a joint that lacks it.
        Extreme::Exact { value: 0, .. } if !account.by_name => return,
        Extreme::Exact { value, .. } => value.max(1),
        _ => 1,
    };
    let row = &proof.procedure.parts[part];
    if let Some(there) = proof.procedure.on_vehicle().find(|entry| entry.what == part) {
        proof.findings.push(on_the_vehicle(&row.name.id, *span, there.span));
        return;
    }
    let group = if row.consumable { "shop" } else { "box" };
    proof.findings.push(
        Finding::new(Code::FW0601, format!("nothing supplies `{}`", row.name.id), *span, "taken here")
            .also(row.name.span, "no group of the kit has it")
            .because("The pick-list would not name it, and the job stands still when it is missed.")
            .repair(format!("Add it to the kit: `{group} {{ {} }}`.", counted(&account.grain.words(most), row)))
            .mend(kit_line(
                proof.procedure,
                *span,
                &format!("{group} {{ {} }}", counted(&account.grain.words(most), row)),
            )),
    );
}

/// FW0601 of what is on the vehicle, and in no bag.
fn on_the_vehicle(name: &str, taken: Span, there: Span) -> Finding {
    Finding::new(Code::FW0601, format!("nothing supplies `{name}`: it is on the vehicle"), taken, "taken out of the kit here")
        .also(there, "on the vehicle before the job")
        .because("`take` is out of the kit. The technician looks for one in the bags, and there is none.")
        .repair(format!(
            "Leave `take` out where the one on the vehicle stays, or write `remove {name} with …` (or `by hand`) before the work and `refit {name}` after it. Where a new one comes with the kit, add it there."
        ))
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
fn counted(count: &str, row: &Part) -> String {
    if row.consumable { row.name.id.clone() } else { format!("{count} {}", row.name.id) }
}

/// FW0603, where others may be there in its place: the worse way first, and the other where that one does.
fn too_few_of_either(proof: &mut Proof<'_>, part: PartId, account: &Account, alone: &Account) -> bool {
    if account.chosen == Chosen::Only {
        return too_few(proof, part, account);
    }
    let ways = if worst(proof, alone) >= worst(proof, account) { [alone, account] } else { [account, alone] };
    too_few(proof, part, ways[0]) || too_few(proof, part, ways[1])
}

/// FW0612
fn partly_taken(proof: &mut Proof<'_>, partly: Partly) {
    let Partly { at, place, taken, joint, part, runs, in_hand, count } = partly;
    proof.oblige((Code::FW0612, place, Subject::Part(part)), at, runs, move |proof| {
        let (joint, name) = (&proof.procedure.joints[joint].name.id, &proof.procedure.parts[part].name.id);
        let lacks = count - in_hand;
        Finding::new(
            Code::FW0612,
            format!("`{joint}` has {count} `{name}`, and {in_hand} of them are in hand"),
            place,
            format!("{lacks} more here, which no line takes"),
        )
        .also(taken, "taken here")
        .because("The technician has laid out what the steps say, and stands before the joint with too few; or one place stays empty.")
        .repair(format!("Take as many as the joint has: `take {lacks} {name}` more before it. Or take none of them: `place` has them out of the kit by itself."))
        .mend(Mend::before(place, format!("take {lacks} {name}")))
    });
}

/// How many are in hand at a joint takes more cases than are kept apart.
fn not_followed(proof: &mut Proof<'_>, part: PartId) {
    let name = &proof.procedure.parts[part].name;
    let message = format!("what joints take of `{}` beyond what is in hand can't be followed", name.id);
    let finding = Finding::new(Code::FW0603, message, name.span, "too many different counts");
    proof.findings.push(not_decided(Code::FW0603, &finding));
}

/// The most that is taken beyond what is supplied; the least number where that is not known.
fn worst(proof: &mut Proof<'_>, account: &Account) -> i64 {
    let counts: Vec<Weighted> = weighted(&account.taken, 1).chain(weighted(&account.supplied, -1)).collect();
    match proof.space.most(&counts, Formula::ALWAYS) {
        Extreme::Exact { value, .. } => value,
        _ => i64::MIN,
    }
}

/// FW0603: the most that any run takes beyond what it is supplied. What is made can be taken from then on, so before each
/// line that makes it the sum is judged as well. Tells whether it said something.
fn too_few(proof: &mut Proof<'_>, part: PartId, account: &Account) -> bool {
    if account.too_fine {
        let name = proof.procedure.parts[part].name.clone();
        let message = format!("the amounts of `{}` can't be added up exactly", name.id);
        let finding = Finding::new(Code::FW0603, message, name.span, "its amounts have too many digits");
        proof.findings.push(not_decided(Code::FW0603, &finding));
        return true;
    }
    let mut judged = 0;
    for made in &account.makes {
        // With nothing taken since, what held there holds here.
        if made.taken > judged && falls_short(proof, part, account, Some(*made)) {
            return true;
        }
        judged = judged.max(made.taken);
    }
    falls_short(proof, part, account, None)
}

/// Judges the sum before a line that makes the part, or at the end; tells whether it said something.
fn falls_short(proof: &mut Proof<'_>, part: PartId, account: &Account, before: Option<Made>) -> bool {
    let taken = before.and_then(|made| account.taken.get(..made.taken)).unwrap_or(&account.taken);
    let supplied = before.and_then(|made| account.supplied.get(..made.supplied)).unwrap_or(&account.supplied);
    let all = taken.iter().fold(0, |sum: i64, (_, number)| sum.saturating_add(*number));
    let unlimited = account.unlimited.iter().map(|when| Weighted { when: *when, count: -all });
    let counts: Vec<Weighted> = weighted(taken, 1).chain(weighted(supplied, -1)).chain(unlimited).collect();
    let name = proof.procedure.parts[part].name.clone();
    // The last line that takes it of those that count here.
    let Some((at, span, _)) = account.lines.iter().take(taken.len()).next_back().copied() else { return false };
    if proof.space.bound(&counts, Formula::ALWAYS).is_none_or(|bound| bound <= 0) {
        return false;
    }
    let procedure = proof.procedure;
    let short = |most: i64, span: Span| {
        let finding = short(&name.id, &account.grain.words(most), span, before);
        either(procedure, &name.id, account, finding)
    };
    let (most, model) = match proof.space.most(&counts, Formula::ALWAYS) {
        Extreme::Impossible => return false,
        Extreme::Exact { value, .. } if value <= 0 => return false,
        Extreme::Exact { value, model } => (value, proof.space.most_with_few_repairs(&counts, Formula::ALWAYS, model)),
        Extreme::Undecided { at_most, .. } if at_most <= 0 => return false,
        Extreme::Undecided { at_most, .. } => {
            proof.findings.push(not_decided(Code::FW0603, &short(at_most, span)));
            return true;
        }
    };
    let truths = proof.space.truths(&model);
    let in_run = |terms: &[(Formula, i64)]| -> i64 {
        terms.iter().filter(|(formula, _)| truths.holds(*formula)).map(|(_, count)| *count).sum()
    };
    let (taken_there, supplied_there) = (in_run(taken), in_run(supplied));
    let place = runs_out_at(account, supplied_there, |formula| truths.holds(formula)).unwrap_or((at, span));
    let fault = proof.space.at_least_as_in(&counts, &model);
    // Other lines and groups may come to the same numbers.
    let shown = proof.space.at_least(&counts, most);
    let shown = same_sum(proof, taken, taken_there).zip(shown).map(|(same, short)| proof.space.both(same, short));
    let shown = shown.unwrap_or(fault);
    let mut finding = short(most, place.1);
    for entry in proof.procedure.kit.iter().flat_map(|group| &group.entries).filter(|entry| entry.what == part) {
        let may_be = entry.is_alternative() && matches!(account.chosen, Chosen::Other(_));
        finding = finding.also(entry.span, if may_be { "another may be here" } else { "supplied here" });
    }
    if before.is_none() && account.makes.is_empty() {
        finding = finding.mend(other_count(proof.procedure, part, most));
    }
    for made in &account.makes {
        let later = before.is_some_and(|before| before.taken <= made.taken);
        finding = finding.also(made.span, if later { "made here, and not before" } else { "made here" });
    }
    let grain = account.grain;
    let sum = format!("{} `{}` taken, {} supplied", grain.words(taken_there), name.id, grain.words(supplied_there));
    let sum = if before.is_some() { format!("{sum} so far") } else { sum };
    proof.prove(Proved {
        finding,
        fault,
        at: place.0,
        later: Vec::new(),
        shown,
        model,
        outcome: Some((sum, Steps::Told)),
    });
    true
}

/// Another count in the kit, where one entry alone supplies the part, by pieces.
fn other_count(procedure: &Procedure, part: PartId, more: i64) -> Option<Mend> {
    let mut entries = procedure.kit.iter().flat_map(|group| &group.entries).filter(|entry| entry.what == part);
    let entry = entries.next().filter(|_| entries.next().is_none())?;
    let count = i64::from(entry.count).checked_add(more).filter(|count| *count > 0)?;
    let change = Change::Word(entry.span, entry.count.to_string(), count.to_string());
    matches!(entry.much, HowMuch::Count).then(|| Mend::look(format!("Supply {count}"), change))
}

/// The runs in which a sum comes to exactly this.
fn same_sum(proof: &mut Proof<'_>, terms: &[(Formula, i64)], sum: i64) -> Option<Formula> {
    let up: Vec<Weighted> = weighted(terms, 1).collect();
    let (least, more) = (proof.space.at_least(&up, sum)?, proof.space.at_least(&up, sum.checked_add(1)?)?);
    Some(proof.space.both(least, !more))
}

fn weighted(terms: &[(Formula, i64)], sign: i64) -> impl Iterator<Item = Weighted> + '_ {
    terms.iter().map(move |(when, count)| Weighted { when: *when, count: sign * count })
}

/// The line at which the supply runs out on a run.
fn runs_out_at(account: &Account, supplied: i64, holds: impl Fn(Formula) -> bool) -> Option<(EventId, Span)> {
    let mut count = 0;
    for ((formula, amount), (event, line, _)) in account.taken.iter().zip(&account.lines) {
        if holds(*formula) {
            count += *amount;
            if count > supplied {
                return Some((*event, *line));
            }
        }
    }
    None
}

fn short(name: &str, most: &str, span: Span, before: Option<Made>) -> Finding {
    if before.is_none() {
        let message = format!("`{name}` is short by {most} in the worst configuration");
        return Finding::new(Code::FW0603, message, span, "here the supply runs out")
            .because("The last one is missing when the technician reaches for it.")
            .repair("Supply more in the group that this configuration gets, or take fewer.");
    }
    let message = format!("`{name}` is short by {most}: it is taken before it is made");
    Finding::new(Code::FW0603, message, span, "here there are too few")
        .because("The technician reaches for a part that does not exist yet.")
        .repair("Move the line that makes it before this one, on every path.")
}

/// Says of which part it is told where others may be there in its place.
fn either(procedure: &Procedure, name: &str, account: &Account, finding: Finding) -> Finding {
    let named = |others: &[PartId]| {
        let names = others.iter().map(|other| format!("`{}`", procedure.parts[*other].name.id));
        names.collect::<Vec<_>>().join(" or ")
    };
    match &account.chosen {
        Chosen::Only => finding,
        Chosen::This(others) => finding.because(format!(
            "Any of them may be the one that is taken, so `{name}` must be enough by itself, and {} as well.",
            named(others)
        )),
        Chosen::Other(others) => finding
            .because(format!("Where the kit has {} in its place, this line still asks for `{name}`.", named(others))),
    }
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
