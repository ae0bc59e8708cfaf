//! Circuits behind one fuse, whose loads come to more than it bears.
//!
//! **Decisions.** A circuit hangs on another where one fastening holds a lug of both, or where both call the point the same and
//! it says that what protects it stands upstream, with that rating. What hangs on a circuit that a job has not is not fed by it. The
//! load that is stated of the circuit with the fuse may be its own, or that with all that begins at its end, or with all that it
//! feeds: what flows for certain is the least of what is possible. Only the largest sum of all jobs is told.

use fitwright::diagnostics::Code;
use fitwright::model::{Circuit, CircuitId, PointId, Protector};
use fitwright::quantity::Exact;
use fitwright::source::Span;
use num_traits::Zero;

use super::interpreter::Job;
use super::trace::Subject;

impl Job<'_, '_> {
    /// What flows through each fuse with all on, before the first section.
    pub(super) fn load_fuses(&mut self) {
        let circuits: Vec<CircuitId> = self.procedure.circuits.ids().collect();
        for owner in &circuits {
            let row = &self.procedure.circuits[*owner];
            let Some(protection) = row.protection.as_ref() else { continue };
            let is_first = || circuits.iter().find(|other| self.is_beside(**other, *owner)) == Some(owner);
            let flow = match protection.sort {
                Protector::Upstream if !is_first() || self.hangs_on_another(*owner, &circuits) => None,
                Protector::Upstream => {
                    let beside = circuits.iter().filter(|other| self.is_beside(**other, *owner) && self.has(**other));
                    Some(beside.filter_map(|other| self.load(*other)).sum())
                }
                _ => self.through(*owner, &circuits),
            };
            let rating = protection.rating.base();
            if let (Some(flow), Some(rating), Some(at)) = (flow, rating, row.places.protection) {
                self.blows(*owner, flow, rating, at);
            }
        }
    }

    fn blows(&mut self, owner: CircuitId, flow: Exact, rating: Exact, at: Span) {
        if flow > rating {
            self.fault(Code::FW0960, at, Subject::Load(owner, flow), Vec::new());
        }
    }

    fn has(&self, circuit: CircuitId) -> bool {
        let when = self.procedure.circuits[circuit].when.as_ref();
        when.is_none_or(|when| self.known.truth(when) == Some(true))
    }

    fn load(&self, circuit: CircuitId) -> Option<Exact> {
        self.procedure.circuits[circuit].load.as_ref()?.base()
    }

    /// Whether two circuits begin at one point behind one fuse upstream.
    fn is_beside(&self, one: CircuitId, other: CircuitId) -> bool {
        let (one, other) = (&self.procedure.circuits[one], &self.procedure.circuits[other]);
        let first = |row: &Circuit| row.points.rows().first().map(|point| (point.id.clone(), point.title.clone()));
        let rating = |row: &Circuit| {
            row.protection.as_ref().filter(|one| one.sort == Protector::Upstream).map(|one| one.rating.base())
        };
        rating(one).is_some() && rating(one) == rating(other) && first(one) == first(other)
    }

    /// Whether the fuse upstream that a circuit speaks of is that of another circuit of the job.
    fn hangs_on_another(&self, circuit: CircuitId, circuits: &[CircuitId]) -> bool {
        let fused = |owner: &&CircuitId| {
            let protection = self.procedure.circuits[**owner].protection.as_ref();
            self.has(**owner) && protection.is_some_and(|one| one.sort != Protector::Upstream)
        };
        circuits.iter().filter(fused).any(|owner| {
            let points = self.procedure.circuits[*owner].points.ids().skip(1);
            points.into_iter().any(|point| self.meets((*owner, point), circuit))
        })
    }

    /// What flows through a fuse for certain, where anything hangs on its circuit at all.
    fn through(&self, owner: CircuitId, circuits: &[CircuitId]) -> Option<Exact> {
        let row = &self.procedure.circuits[owner];
        let own = self.load(owner).filter(|_| self.has(owner))?;
        let last = row.points.ids().last()?;
        let (mut way, mut end) = (Exact::zero(), Exact::zero());
        let mut hangs_any = false;
        for other in circuits.iter().filter(|other| **other != owner) {
            let Some(point) = row.points.ids().skip(1).find(|point| self.meets((owner, *point), *other)) else {
                continue;
            };
            hangs_any = true;
            let Some(load) = self.load(*other).filter(|_| self.has(*other)) else { continue };
            *(if point == last { &mut end } else { &mut way }) += load;
        }
        // Its load with nothing else, with what begins at its end, with all: those that the numbers allow.
        let mut possible = vec![own + way + end];
        possible.extend((own >= end).then(|| own + way));
        let leaves_some = own > way + end || way.is_zero() && own >= end;
        possible.extend(leaves_some.then_some(own));
        // A load that is stated after all is what the others come to.
        possible.extend((way.is_zero() && own < end).then_some(end));
        possible.extend((own < end).then(|| end + way));
        possible.into_iter().min().filter(|_| hangs_any)
    }

    fn meets(&self, (owner, at): (CircuitId, PointId), other: CircuitId) -> bool {
        let (own, row) = (&self.procedure.circuits[owner], &self.procedure.circuits[other]);
        let (Some(first), Some(begins)) = (row.points.ids().next(), row.points.rows().first()) else { return false };
        let one_stud = self.procedure.joints.rows().iter().filter(|joint| joint.count == Some(1)).any(|joint| {
            let holds = |circuit, point| joint.at.iter().any(|tie| tie.circuit == circuit && tie.point == point);
            holds(owner, at) && holds(other, first)
        });
        let point = &own.points[at];
        let alike = point.id == begins.id && point.title == begins.title;
        let rating = |row: &Circuit| row.protection.as_ref().map(|one| one.rating.base());
        let upstream = row.protection.as_ref().is_some_and(|one| one.sort == Protector::Upstream);
        one_stud || alike && upstream && rating(row) == rating(own)
    }
}
