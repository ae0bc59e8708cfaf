//! FW09, the part of the arithmetic: what a wire carries and loses, what protects it, what is crimped to it, and what is not said.
//!
//! Every number is taken from the circuit's working, so that `explain` and the manual show what was judged. A circuit
//! with a condition is judged where it exists, and its findings say in which case that is.

mod across;
mod conductors;
mod connectors;
mod words;

use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding};
use crate::model::unknown::unknown;
use crate::model::{Circuit, CircuitId, IdMap, PartId, Point, PointId, Procedure, UnknownValue};
use crate::source::Span;
use crate::space::{Effect, EventId, Formula, Role};
use crate::trade::wire;
use crate::working::circuit::{AgainstLoad, AgainstWire, CircuitWorking, Distance};

/// Less of a share than anybody states.
const NOTHING: f64 = 1e-12;

/// A circuit and what was worked out for it.
struct Judged<'p> {
    procedure: &'p Procedure,
    circuit: &'p Circuit,
    made: &'p CircuitWorking,
}

impl Judged<'_> {
    /// Where a line stands, or else the circuit's name.
    fn at(&self, place: Option<Span>) -> Span {
        place.unwrap_or(self.circuit.name.span)
    }
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let exists = existence(proof);
    for (id, circuit) in procedure.circuits.iter() {
        let judged = Judged { procedure, circuit, made: proof.plan.circuit(id) };
        let mut findings = Vec::new();
        load(&judged, &mut findings);
        drop_of(&judged, &mut findings);
        protection(&judged, &mut findings);
        terminals(&judged, &mut findings);
        bare_points(&judged, id, &mut findings);
        conductors::check(&judged, &mut findings);
        connectors::check(&judged, &mut findings);
        across::check(&judged, &mut findings);
        conductors::red(&judged, &mut findings);
        // What is on the vehicle already, its maker has judged; what is stated of it is judged here all the same.
        if !judged.made.missing.is_empty() && !circuit.on_vehicle {
            findings.push(words::not_stated(&judged));
        }
        match circuit.when {
            None => proof.findings.append(&mut findings),
            Some(_) => file(proof, id, &exists[id], findings),
        }
    }
}

/// When each circuit with a condition exists: the moments at which that is told, each with its runs.
fn existence(proof: &mut Proof<'_>) -> IdMap<CircuitId, Vec<(EventId, Formula)>> {
    let mut moments = proof.procedure.circuits.each(Vec::new());
    let events = proof.events.clone();
    for event in events.iter() {
        let Effect::Judged { role: Role::Circuit(circuit), holds, .. } = event.effect else { continue };
        let sure = proof.sure(event);
        let here = proof.space.both(sure, holds);
        moments[circuit].push((event.id, here));
    }
    moments
}

/// Files findings of a circuit that exists under a condition, so that each says in which case.
fn file(proof: &mut Proof<'_>, id: CircuitId, moments: &[(EventId, Formula)], findings: Vec<Finding>) {
    for (number, finding) in findings.into_iter().enumerate() {
        let Some(span) = finding.span() else { continue };
        let key = (finding.code, span, Subject::Working(id, number));
        for (at, here) in moments {
            let told = finding.clone();
            proof.oblige(key, *at, *here, move |_| told);
        }
    }
}

/// FW0914.
fn load(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    if judged.made.overloaded {
        findings.push(words::overloaded(judged));
    }
}

/// FW0905, FW0906, FW0919, FW0945.
fn drop_of(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let Some(drop) = &judged.made.drop else { return };
    match (drop.allowed_is_stated, drop.is_above(), drop.is_above_when_thin()) {
        (true, true, _) => findings.push(words::drop_above(judged, drop)),
        (true, false, true) => findings.push(words::drop_above_when_thin(judged, drop)),
        (false, true, _) | (false, _, true) if !judged.circuit.on_vehicle => {
            findings.push(words::drop_unlimited(judged, drop));
        }
        (true, ..) if drop.allowed > wire::LARGEST_DROP_SHARE + NOTHING && !judged.circuit.on_vehicle => {
            findings.push(words::drop_allowed(judged, drop));
        }
        _ => {}
    }
}

/// FW0907 to FW0913, FW0917.
fn protection(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let (Some(stated), Some(verdict)) = (&judged.circuit.protection, &judged.made.protection) else {
        let is_unknown = unknown(&judged.circuit.unknown, UnknownValue::Protection).is_some();
        if !judged.circuit.starter_cable && !judged.circuit.on_vehicle && !is_unknown {
            findings.push(words::unprotected(judged));
        }
        return;
    };
    match verdict.load {
        Some(AgainstLoad::Below) => findings.push(words::rating_and_load(judged, stated, Code::FW0907)),
        Some(AgainstLoad::Close) => findings.push(words::rating_and_load(judged, stated, Code::FW0908)),
        _ => {}
    }
    // Where the load alone is too much for the wire, so is all that bears it: one cause, one message.
    match verdict.wire.filter(|_| !judged.made.overloaded) {
        Some(AgainstWire::Beyond) => findings.push(words::rating_and_wire(judged, stated, Code::FW0909)),
        Some(AgainstWire::Above) => findings.push(words::rating_and_wire(judged, stated, Code::FW0910)),
        _ => {}
    }
    match verdict.distance {
        _ if verdict.beyond_run => findings.push(words::beyond_run(judged, stated)),
        Some(Distance::BeyondAll) if !judged.circuit.starter_cable => {
            findings.push(words::too_far(judged, stated, Code::FW0912));
        }
        Some(Distance::Far) if !judged.circuit.starter_cable => {
            findings.push(words::too_far(judged, stated, Code::FW0913));
        }
        _ => {}
    }
    if verdict.standard == Some(false) {
        findings.push(words::no_standard_rating(judged, stated));
    }
}

/// FW0924. A circuit that lists no points says nothing of its ends; one that is there already has been made. What comes with
/// its terminals on may go on a stud without a word of them, unless a joint says that it holds a lug there.
fn bare_points(judged: &Judged<'_>, id: CircuitId, findings: &mut Vec<Finding>) {
    if judged.circuit.on_vehicle {
        return;
    }
    let is_ring = |part: PartId| {
        judged.procedure.parts[part].terminal.as_ref().is_some_and(|terminal| !terminal.studs.is_empty())
    };
    let holds = |at: PointId| {
        let mut lugs = judged.procedure.joints.rows().iter().flat_map(|joint| &joint.at);
        lugs.any(|lug| (lug.circuit, lug.point) == (id, at))
    };
    let points = judged.circuit.points.iter().filter(|(_, point)| !point.plug && !point.implied);
    let is_bare = |(at, point): &(PointId, &Point)| match (&point.stud, point.terminal) {
        (None, terminal) => terminal.is_none_or(is_ring),
        (Some(_), None) => !judged.circuit.ready_made || holds(*at),
        (Some(_), Some(_)) => false,
    };
    let bare: Vec<&Point> = points.filter(is_bare).map(|(_, point)| point).collect();
    if !bare.is_empty() {
        findings.push(words::bare_points(judged, &bare));
    }
}

/// FW0915 and FW0916.
fn terminals(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let fits = &judged.made.terminals;
    for (at, fit) in fits.iter().enumerate() {
        let is_first = !fits[..at].iter().any(|earlier| earlier.point == fit.point);
        if fit.wire == Some(false) {
            findings.extend(words::terminal_and_wire(judged, fit));
        } else if fit.stud == Some(false) && is_first {
            findings.extend(words::terminal_and_stud(judged, fit));
        }
    }
}
