//! FW0960: circuits behind one fuse or breaker whose loads together are above its rating.
//!
//! Two circuits are behind one where a joint of one fastening holds a lug of each, so that they meet on one stud, or where both
//! give a point the same title. A circuit that begins at a point of another is behind what protects that one; circuits that are
//! *protected upstream* and begin at one point are behind the same.

use std::collections::BTreeMap;

use num_traits::{CheckedAdd, Zero};

use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding};
use crate::model::{Circuit, CircuitId, CircuitProtection, IdMap, Point, PointId, Procedure, Protector};
use crate::quantity::{Exact, Quantity};
use crate::source::Span;
use crate::space::{Answer, Effect, EventId, Formula, Role};

/// More circuits than that are never laid behind one fuse, and their sums would be too many.
const MOST: usize = 12;

/// How a circuit hangs on what protects several.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
    /// It is the one whose fuse that is, and others begin at points of it.
    Owner,
    /// It begins on the way, before the owner's load.
    Between,
    /// It begins where the owner ends, or has no owner.
    AtTheEnd,
}

/// Circuits behind one fuse or breaker.
struct Behind<'p> {
    rating: &'p Quantity,
    /// Where the rating stands.
    at: Span,
    /// The point at which they meet.
    point: &'p Point,
    members: Vec<(CircuitId, Way, Exact)>,
    /// A circuit with which they are told of together, where a job has it.
    unless: Option<CircuitId>,
}

/// What flows: the owner's load, what branches off on the way, and what begins at the end.
type Flows = (Exact, Exact, Exact);

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let groups = groups(procedure);
    if groups.is_empty() {
        return;
    }
    let mut exists = procedure.circuits.map(|_, row| row.when.is_none().then_some(Formula::ALWAYS));
    let events = proof.events.clone();
    let mut open: Vec<Behind<'_>> = groups;
    for event in events.iter() {
        match event.effect {
            Effect::Judged { role: Role::Circuit(circuit), holds, .. } => {
                exists[circuit] = Some(holds);
                continue;
            }
            // What turns a vehicle away has done so by now.
            Effect::Section(_) | Effect::Step(_) | Effect::Handover(_) | Effect::RunsOut => {}
            _ => continue,
        }
        let known = |group: &Behind<'_>| {
            let mut all = group.members.iter().map(|(circuit, ..)| *circuit).chain(group.unless);
            all.all(|circuit| exists[circuit].is_some())
        };
        let (ready, rest): (Vec<_>, Vec<_>) = open.into_iter().partition(known);
        open = rest;
        let here = proof.sure(event);
        for group in ready {
            judge(proof, event.id, here, &exists, group);
        }
        if open.is_empty() {
            break;
        }
    }
}

fn judge<'p>(
    proof: &mut Proof<'p>,
    at: EventId,
    here: Formula,
    exists: &IdMap<CircuitId, Option<Formula>>,
    group: Behind<'p>,
) {
    let Some(rating) = group.rating.base() else { return };
    let told = group.unless.and_then(|owner| exists[owner]).unwrap_or(Formula::NEVER);
    let mut flows: BTreeMap<Flows, Formula> = BTreeMap::from([((Exact::zero(), Exact::zero(), Exact::zero()), !told)]);
    for (circuit, way, load) in &group.members {
        let is = exists[*circuit].unwrap_or(Formula::NEVER);
        let mut next: BTreeMap<Flows, Formula> = BTreeMap::new();
        for (flow, runs) in flows {
            let with = proof.space.both(runs, is);
            // What hangs on a circuit that is not there is not fed by it.
            let without = if *way == Way::Owner { Formula::NEVER } else { proof.space.both(runs, !is) };
            for (flow, runs) in added(flow, *way, load).map(|flow| (flow, with)).into_iter().chain([(flow, without)]) {
                if runs != Formula::NEVER {
                    let slot = next.entry(flow).or_insert(Formula::NEVER);
                    *slot = proof.space.either(*slot, runs);
                }
            }
        }
        flows = next;
    }
    // Several may come to the same.
    let mut sums: BTreeMap<Exact, Formula> = BTreeMap::new();
    for (flow, runs) in flows {
        if let Some(sum) = sum(flow).filter(|sum| *sum > rating) {
            let slot = sums.entry(sum).or_insert(Formula::NEVER);
            *slot = proof.space.either(*slot, runs);
        }
    }
    for (sum, runs) in sums.into_iter().rev() {
        let broken = proof.space.both(here, runs);
        if matches!(proof.space.ask(broken), Answer::Impossible) {
            continue;
        }
        let Some(first) = group.members.first().map(|(circuit, ..)| *circuit) else { return };
        proof.oblige((Code::FW0960, group.at, Subject::Circuit(first)), at, broken, move |proof| {
            finding(proof.procedure, &group, sum)
        });
        return;
    }
}

fn added((own, way, end): Flows, how: Way, load: &Exact) -> Option<Flows> {
    Some(match how {
        Way::Owner => (own.checked_add(load)?, way, end),
        Way::Between => (own, way.checked_add(load)?, end),
        Way::AtTheEnd => (own, way, end.checked_add(load)?),
    })
}

/// What flows through the fuse for certain. The owner's load may be stated as all that it feeds; where the others come to as much
/// or more, and some branch off before its load, it can't be.
fn sum((own, way, end): Flows) -> Option<Exact> {
    let others = way.checked_add(&end)?;
    if !way.is_zero() && others >= own {
        return if end.is_zero() { own.checked_add(&way) } else { own.max(end).checked_add(&way) };
    }
    Some(own.max(others))
}

fn groups(procedure: &Procedure) -> Vec<Behind<'_>> {
    let mut groups: Vec<Behind<'_>> = procedure.circuits.iter().flat_map(|(id, _)| behind(procedure, id)).collect();
    let owned = groups.len();
    for (id, circuit) in procedure.circuits.iter() {
        let is_in = |group: &&Behind<'_>| group.members.iter().any(|(other, ..)| *other == id);
        // The fuse upstream that they speak of is that one, where a job has it.
        let unless = groups.iter().take(owned).find(is_in).and_then(|group| Some(group.members.first()?.0));
        groups.extend(upstream(procedure, id, circuit).map(|group| Behind { unless, ..group }));
    }
    groups.retain(|group| (2..=MOST).contains(&group.members.len()));
    groups
}

/// A circuit's load, where it is stated and flows for good.
fn load(circuit: &Circuit) -> Option<Exact> {
    circuit.load.as_ref().filter(|_| !circuit.starter_cable && !circuit.is_harmless())?.base()
}

fn source(circuit: &Circuit) -> Option<(PointId, &Point)> {
    circuit.points.iter().next().filter(|(_, point)| !point.implied)
}

/// What begins at a point of a circuit, and is protected by what protects that one.
fn behind(procedure: &Procedure, id: CircuitId) -> Option<Behind<'_>> {
    let owner = &procedure.circuits[id];
    let protection = owner.protection.as_ref()?;
    let last = owner.points.ids().last()?;
    let mut members = vec![(id, Way::Owner, load(owner)?)];
    let mut met = None;
    for (other, circuit) in procedure.circuits.iter().filter(|(other, _)| *other != id) {
        let (Some((first, begins)), Some(load)) = (source(circuit), load(circuit)) else { continue };
        let points = owner.points.iter().filter(|(at, point)| !owner.is_source(*at) && !point.implied);
        let meets = |at: PointId, point: &Point| {
            is_one_stud(procedure, (id, at), (other, first))
                || (is_alike(owner, point, circuit, begins) && is_upstream_of(circuit, protection))
        };
        let Some((at, point)) = points.into_iter().find(|(at, point)| meets(*at, point)) else { continue };
        met.get_or_insert(point);
        members.push((other, if at == last { Way::AtTheEnd } else { Way::Between }, load));
    }
    Some(Behind {
        rating: &protection.rating,
        at: owner.places.protection.unwrap_or(owner.name.span),
        point: met?,
        members,
        unless: None,
    })
}

/// Circuits that begin at the same point, behind the same protection upstream of it.
fn upstream<'p>(procedure: &'p Procedure, id: CircuitId, circuit: &'p Circuit) -> Option<Behind<'p>> {
    let protection = circuit.protection.as_ref().filter(|one| one.sort == Protector::Upstream)?;
    let (first, point) = source(circuit)?;
    let mut members = Vec::new();
    for (other, row) in procedure.circuits.iter() {
        let (Some((begins, at)), Some(load)) = (source(row), load(row)) else { continue };
        let meets = other == id
            || is_one_stud(procedure, (id, first), (other, begins))
            || (is_alike(circuit, point, row, at) && names_one(point));
        if meets && is_upstream_of(row, protection) {
            members.push((other, Way::AtTheEnd, load));
        }
    }
    Some(Behind {
        rating: &protection.rating,
        at: circuit.places.protection.unwrap_or(circuit.name.span),
        point,
        members,
        unless: None,
    })
    .filter(|group| group.members.first().is_some_and(|(first, ..)| *first == id))
}

/// Whether a circuit says that what protects it is there before its source, with that rating.
fn is_upstream_of(circuit: &Circuit, protection: &CircuitProtection) -> bool {
    let own = circuit.protection.as_ref().filter(|own| own.sort == Protector::Upstream);
    own.is_some_and(|own| own.rating.base().is_some() && own.rating.base() == protection.rating.base())
}

/// Whether one fastening holds a lug of both.
fn is_one_stud(procedure: &Procedure, one: (CircuitId, PointId), other: (CircuitId, PointId)) -> bool {
    procedure.joints.rows().iter().filter(|joint| joint.count == Some(1)).any(|joint| {
        let holds = |point: (CircuitId, PointId)| joint.at.iter().any(|at| (at.circuit, at.point) == point);
        holds(one) && holds(other)
    })
}

/// Whether two points are called the same. Copies for several places are called by their place.
fn is_alike(circuit: &Circuit, point: &Point, other: &Circuit, begins: &Point) -> bool {
    let is_copy = circuit.name.at.is_some() || other.name.at.is_some();
    !is_copy && point.id == begins.id && point.plug == begins.plug && point.title == begins.title
}

/// Whether a title names a point of which there is one, rather than a box with many.
fn names_one(point: &Point) -> bool {
    const MANY: &[&str] = &[
        "box",
        "panel",
        "block",
        "board",
        "bar",
        "bus",
        "busbar",
        "battery",
        "distributor",
        "distribution",
        "module",
        "pack",
    ];
    let title = point.title.to_lowercase();
    let mut words = title.split(|c: char| !c.is_alphanumeric());
    words.all(|word| !MANY.contains(&word))
}

fn finding(procedure: &Procedure, group: &Behind<'_>, sum: Exact) -> Finding {
    let total = Quantity::from_base(sum, group.rating.unit, group.rating.written);
    let total = total.map_or_else(String::new, |total| total.to_string());
    let names: Vec<String> =
        group.members.iter().map(|(circuit, ..)| format!("`{}`", procedure.circuits[*circuit].name.id)).collect();
    let (last, before) =
        names.split_last().map_or((String::new(), String::new()), |(last, before)| (last.clone(), before.join(", ")));
    let message = format!("{before} and {last} draw {total} together, behind one fuse or breaker of {}", group.rating);
    let finding = Finding::new(Code::FW0960, message, group.at, "before all of them").holding(total);
    let loads = group.members.iter().filter_map(|(circuit, ..)| {
        let row = &procedure.circuits[*circuit];
        Some((row.places.load?, row.load.as_ref()?))
    });
    let finding = loads.fold(finding, |finding, (at, load)| finding.also(at, load.to_string()));
    finding
        .also(group.point.span, "where they meet")
        .because("Each load alone is below the rating. With all of them on it opens, and somebody puts in a larger one than the wire bears.")
        .repair("Give one of them a fuse of its own at the source, or take a rating from their sum and wire that bears it. Where they don't meet there, give the points titles of their own.")
}
