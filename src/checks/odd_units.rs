//! FW0315: the one amount of its sort that is written in units of the other system.
//!
//! A unit that was taken for another, feet for metres or pounds for kilograms, gives a number that nothing else contradicts. All
//! that shows it is that every other amount of that sort keeps to the first of the file's `units`.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::{Counted, HowMuch, LineKind, PartId, Procedure};
use crate::quantity::{Exact, Kind, Measure, Quantity, System, Unit};
use crate::source::Span;
use num_traits::{CheckedMul, Zero};

/// An amount, and where it stands.
type Stated = (Quantity, Span);

/// So many others show what a file means to write.
const FEWEST_OTHERS: usize = 2;

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let first = procedure.units.first;
    let mut odd = Vec::new();
    let sorts = [(masses(procedure), "mass"), (torques(procedure), "torque"), (runs(procedure), "run")];
    for (stated, sort) in sorts {
        let all = format!("all other {sort}{}", if sort == "mass" { "es" } else { "s" });
        odd.extend(one_of(&stated, first, FEWEST_OTHERS).map(|at| finding(at, sort, &all, first)));
    }
    for part in procedure.parts.ids().filter(|part| procedure.parts[*part].comes_by.is_some()) {
        // What is packed and what is taken of one thing: two are enough.
        let of = format!("amount of `{}`", procedure.parts[part].name.id);
        let odd_one = one_of(&amounts(procedure, part), first, 1);
        odd.extend(odd_one.map(|at| finding(at, &of, "all others", first)));
    }
    proof.findings.extend(odd);
}

/// The only one that is of the other system, where enough are of the first.
fn one_of(stated: &[Stated], first: System, fewest: usize) -> Option<Stated> {
    let of = |one: &Stated| one.0.unit.system();
    let mut others = stated.iter().filter(|one| of(one).is_some_and(|system| system != first));
    let only = others.next().filter(|_| others.next().is_none())?;
    let alike = stated.iter().filter(|one| of(one) == Some(first)).count();
    (alike >= fewest && !is_converted(&only.0, first)).then_some(*only)
}

/// Whether an amount was round in units of the other system, and was converted with all its digits: nobody takes the one unit
/// for the other and writes such a number.
fn is_converted(amount: &Quantity, first: System) -> bool {
    let units = match first {
        System::Metric => ["kg", "g", "N.m", "m", "mm", "l", "ml"],
        System::Inch => ["lb", "oz", "lbf.ft", "lbf.in", "ft", "in", "yd"],
    };
    let others = units.iter().filter_map(|unit| amount.in_unit(Unit::lookup(unit)?));
    let least = others.filter_map(|value| digits(&value)).min();
    least.is_some_and(|least| least <= ROUND && digits(&amount.value).is_none_or(|own| own > ROUND))
}

/// A number of no more digits than this is round.
const ROUND: usize = 3;

/// How many digits a number has between its zeros, where it ends.
fn digits(value: &Exact) -> Option<usize> {
    let ten = Exact::from_integer(10);
    let mut whole = *value;
    for _ in 0..12 {
        if whole.is_integer() {
            let said = whole.to_integer().to_string();
            return Some(said.trim_matches(['0', '-']).len());
        }
        whole = whole.checked_mul(&ten)?;
    }
    None
}

fn masses(procedure: &Procedure) -> Vec<Stated> {
    let own = |from_library: bool| !from_library;
    let parts = procedure.parts.rows().iter().filter(|part| own(part.name.from_library));
    let parts = parts.filter_map(|part| Some((part.mass?, part.name.span)));
    let facts = procedure.facts.rows().iter().filter(|fact| own(fact.name.from_library));
    let facts = facts.filter_map(|fact| Some((any(&fact.value)?, fact.value_span)));
    let numbers = procedure.numbers.rows().iter().filter(|row| own(row.name.from_library));
    // Nothing is as much in every unit.
    let numbers = numbers.map(|row| (if row.low.value.is_zero() { row.high } else { row.low }, row.range_span));
    parts.chain(facts).chain(numbers).filter(|(mass, _)| mass.kind() == Kind::Mass).collect()
}

fn torques(procedure: &Procedure) -> Vec<Stated> {
    let joints = procedure.joints.rows().iter().filter(|joint| !joint.name.from_library);
    let last = joints.filter_map(|joint| joint.greatest_torque());
    last.filter_map(|(torque, span)| Some((any(torque)?, span))).collect()
}

fn runs(procedure: &Procedure) -> Vec<Stated> {
    let circuits = procedure.circuits.rows().iter().filter(|circuit| !circuit.name.from_library);
    let runs = circuits.filter_map(|circuit| Some((circuit.run?, circuit.places.run.unwrap_or(circuit.name.span))));
    runs.collect()
}

/// What the kit holds and what steps take of a part that comes by length, volume or mass.
fn amounts(procedure: &Procedure, part: PartId) -> Vec<Stated> {
    let kit = procedure.kit.iter().flat_map(|group| &group.entries);
    let lines = procedure.steps.rows().iter().flat_map(|step| &step.lines);
    let taken = lines.flat_map(|line| match &line.kind {
        LineKind::Take(entries) | LineKind::MakeParts { from: entries, .. } => entries.as_slice(),
        _ => &[],
    });
    let amount = |entry: &Counted<PartId>| match &entry.much {
        HowMuch::Amount(amount) if entry.what == part => Some((*amount, entry.span)),
        _ => None,
    };
    kit.chain(taken).filter_map(amount).collect()
}

fn any(measure: &Measure) -> Option<Quantity> {
    measure.nominal().or_else(|| measure.low()).or_else(|| measure.high())
}

fn finding((amount, span): Stated, one: &str, all: &str, first: System) -> Finding {
    let system = match first {
        System::Metric => "metric",
        System::Inch => "inch",
    };
    Finding::new(
        Code::FW0315,
        format!("the {one} is in `{}`, and {all} are in {system} units", amount.unit.spelling()),
        span,
        "the only one in units of the other system",
    )
    .because("A unit that was taken for another changes the number, and nothing else in the text contradicts it.")
    .repair("Check the unit. Where this one comes from a plate or a sheet in other units, leave it so.")
}
