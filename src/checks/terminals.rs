//! FW09, the count of terminals: each point is made with one of its own.
//!
//! Two lugs on one stud are right; one lug for two points is not. A circuit whose wire comes with its terminals on says
//! `ready made`; where the kit holds none of a terminal, all of them come so.

use super::from_kit::FromKit;
use super::proof::{Proof, Proved, Steps, not_decided};
use crate::diagnostics::{Code, Finding, Mend};
use crate::model::{CircuitId, Counted, LineKind, Part, PartId, PointId, Procedure};
use crate::space::{Effect, Event, Extreme, Formula, Weighted};

/// What is known of one sort of terminal.
struct Account {
    part: PartId,
    /// The points that are made with it, each with the runs in which it was connected so far.
    points: Vec<(CircuitId, PointId, Formula)>,
    /// How many terminals a point takes: a ring for each conductor that ends there, and one butt splice for all.
    ends: Vec<u32>,
    taken: Vec<(Formula, u32)>,
    /// Something was said of it.
    told: bool,
}

pub(super) fn check(proof: &mut Proof<'_>, from_kit: &FromKit) {
    let mut accounts = accounts(proof.procedure);
    if accounts.is_empty() {
        return;
    }
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            // What may be another part is not there for certain.
            Effect::Take { alternative: true, .. } => {}
            Effect::Take { part, count, much, .. } => take(&mut accounts, event.guard, part, much.least(count)),
            Effect::Place(_) => {
                for (part, runs, count) in from_kit.at(event.id).iter().copied() {
                    let taken = proof.space.both(event.guard, runs);
                    take(&mut accounts, taken, part, count);
                }
            }
            Effect::Connect { circuit, point } => {
                for account in &mut accounts {
                    connected(proof, event, (circuit, point), account);
                }
            }
            _ => {}
        }
    }
}

/// The terminals that the kit holds, those that no step takes left out: that they are never used is a message of its own.
fn accounts(procedure: &Procedure) -> Vec<Account> {
    let made_with = |part: PartId| {
        let crimped = procedure.circuits.iter().filter(|(_, circuit)| !circuit.ready_made && !circuit.on_vehicle);
        let points = crimped.flat_map(|(id, circuit)| circuit.points.iter().map(move |(at, point)| (id, at, point)));
        points.filter(move |(_, _, point)| point.terminal == Some(part)).map(|(id, at, _)| (id, at, Formula::NEVER))
    };
    let supplied = |part: PartId| procedure.kit.iter().flat_map(|group| &group.entries).any(|entry| entry.what == part);
    let there = |part: PartId| procedure.on_vehicle().any(|entry| entry.what == part);
    let judged = |row: &Part| row.terminal.is_some() && !row.consumable;
    let parts = procedure.parts.iter().filter(|(part, row)| judged(row) && supplied(*part) && !there(*part));
    let accounts = parts.map(|(part, _)| {
        let points: Vec<(CircuitId, PointId, Formula)> = made_with(part).collect();
        let is_ring = procedure.parts[part].terminal.as_ref().is_some_and(|terminal| !terminal.studs.is_empty());
        let at = |circuit: CircuitId, point| if is_ring { procedure.circuits[circuit].ends_at(point) } else { 1 };
        let ends = points.iter().map(|(circuit, point, _)| at(*circuit, *point)).collect();
        Account { part, points, ends, taken: Vec::new(), told: !is_taken(procedure, part) }
    });
    accounts.filter(|account| !account.points.is_empty()).collect()
}

fn is_taken(procedure: &Procedure, part: PartId) -> bool {
    let has = |entries: &[Counted<PartId>]| entries.iter().any(|entry| entry.what == part);
    procedure.steps.rows().iter().flat_map(|step| &step.lines).any(|line| match &line.kind {
        LineKind::Take(entries) => has(entries),
        LineKind::Place(joint) => has(&procedure.joints[*joint].each),
        _ => false,
    })
}

fn take(accounts: &mut [Account], guard: Formula, part: PartId, count: u32) {
    for account in accounts.iter_mut().filter(|account| account.part == part) {
        account.taken.push((guard, count));
    }
}

/// FW0922: a point is made that was not made before, and a terminal fewer was taken.
fn connected(proof: &mut Proof<'_>, event: &Event<'_>, at: (CircuitId, PointId), account: &mut Account) {
    let Some((.., made)) = account.points.iter_mut().find(|(circuit, point, _)| (*circuit, *point) == at) else {
        return;
    };
    let before = std::mem::replace(made, proof.space.either(*made, event.guard));
    if account.told || before == *made {
        return;
    }
    let ends = account.points.iter().zip(&account.ends);
    let made = ends.map(|((.., when), ends)| Weighted { when: *when, count: i64::from(*ends) });
    let taken = account.taken.iter().map(|(when, count)| Weighted { when: *when, count: -i64::from(*count) });
    let counts: Vec<Weighted> = made.chain(taken).collect();
    let sure = proof.sure(event);
    if proof.space.bound(&counts, sure).is_none_or(|bound| bound <= 0) {
        return;
    }
    match proof.space.most(&counts, sure) {
        Extreme::Exact { value, model } if value > 0 => {
            account.told = true;
            let truths = proof.space.truths(&model);
            let ends = account.points.iter().zip(&account.ends).filter(|((.., when), _)| truths.holds(*when));
            let made: i64 = ends.map(|(_, ends)| i64::from(*ends)).sum();
            let taken = account.taken.iter().filter(|(when, _)| truths.holds(*when));
            let taken: i64 = taken.map(|(_, count)| i64::from(*count)).sum();
            let short = proof.space.at_least_as_in(&counts, &model);
            let fault = proof.space.both(short, sure);
            let finding = too_few(proof.procedure, event, at, account.part);
            let name = &proof.procedure.parts[account.part].name.id;
            let outcome = Some((format!("{made} points made with `{name}`, {taken} taken"), Steps::Told));
            proof.prove(Proved { finding, fault, at: event.id, later: Vec::new(), shown: fault, model, outcome });
        }
        Extreme::Undecided { at_most, .. } if at_most > 0 => {
            account.told = true;
            let finding = too_few(proof.procedure, event, at, account.part);
            proof.findings.push(not_decided(Code::FW0922, &finding));
        }
        _ => {}
    }
}

fn too_few(procedure: &Procedure, event: &Event<'_>, at: (CircuitId, PointId), part: PartId) -> Finding {
    let circuit = &procedure.circuits[at.0];
    let (point, name) = (&circuit.points[at.1], &procedure.parts[part].name.id);
    let message = format!("no `{name}` is left for `{}` of `{}`", point.id, circuit.name.id);
    Finding::new(Code::FW0922, message, event.place.span, "all that were taken are on other points")
        .also(point.span, format!("made with `{name}`"))
        .because("Two wires in one crimp, or a bare end under a nut: either gets hot and comes loose.")
        .mend(Mend::inside(circuit.name.span, "ready made"))
        .repair(format!(
            "Take one for each point before it is connected: `take 1 {name}`. Where the wire of `{}` comes with its terminals on, write `ready made` in it.",
            circuit.name.id
        ))
}
