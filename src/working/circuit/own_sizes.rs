//! The conductors of a circuit that have a size of their own: what each carries, and the drop with them.
//!
//! Each is worked out as the circuit's wire is, with its own size in its place; nothing is calculated in another way.

use super::print::{own, share};
use super::{CircuitWorking, Drop, SLACK};
use crate::labels::{fill, spoken};
use crate::model::{Circuit, Conductor, Return};
use crate::quantity::Kind;
use crate::trade::base;
use crate::working::{Line, Standing};

/// What is worked out of a circuit's conductors.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ConductorsWorking {
    /// For each conductor, the circuit's working as if its wire were of that conductor's own size; `None` where it has none.
    pub own: Vec<Option<CircuitWorking>>,
    /// The share of the source's voltage that is lost where the conductors with sizes of their own carry the whole load;
    /// `None` where none has one, or the drop can't be worked out.
    pub lost: Option<f64>,
}

impl ConductorsWorking {
    /// Whether the drop is above what is allowed because of the conductors' own sizes alone.
    pub fn is_above(&self, drop: &Drop) -> bool {
        !drop.is_above() && !drop.is_above_when_thin() && self.lost.is_some_and(|lost| lost > drop.allowed + SLACK)
    }
}

/// What the conductors of a circuit come to, with the working of each that has a size of its own.
pub(super) fn conductors(
    circuit: &Circuit,
    made: &CircuitWorking,
    own: Vec<Option<CircuitWorking>>,
) -> ConductorsWorking {
    ConductorsWorking { lost: lost(circuit, made, &own), own }
}

/// The circuit as it would be if a conductor with a size of its own were its wire.
pub(super) fn with_own_size(circuit: &Circuit, conductor: &Conductor) -> Option<Circuit> {
    let size = conductor.size?;
    let is_same = circuit.wire.is_some_and(|wire| wire.kind() == size.kind() && wire.base() == size.base());
    (!is_same).then(|| Circuit {
        wire: Some(size),
        wire_size: conductor.size_row.clone(),
        conductors: Vec::new(),
        ..circuit.clone()
    })
}

/// The drop grows with the length, so each conductor adds its part of what the whole way would lose at its size. One whose
/// length is not stated is taken to go the whole way, unless it is thicker than the wire.
fn lost(circuit: &Circuit, made: &CircuitWorking, own: &[Option<CircuitWorking>]) -> Option<f64> {
    let drop = made.drop?;
    let run = base(circuit.run.as_ref()?, Kind::Length).filter(|run| *run > 0.0)?;
    let ways = if circuit.returns == Return::Wire { 2.0 } else { 1.0 };
    let volts = drop.volts / drop.share;
    let mut added = None;
    for (conductor, own) in circuit.conductors.iter().zip(own) {
        let Some(whole) = own.as_ref().and_then(|own| own.drop) else { continue };
        let more = whole.volts - drop.volts;
        let part = match conductor.length.as_ref().and_then(|length| base(length, Kind::Length)) {
            Some(length) => (length / (ways * run)).min(1.0),
            None if more > 0.0 => 1.0,
            None => 0.0,
        };
        added = Some(added.unwrap_or(0.0) + more * part);
    }
    added.map(|added| (drop.volts + added) / volts).filter(|lost| lost.is_finite())
}

/// The lines that differ from those of the circuit's wire; and what is not stated of conductors.
pub(super) fn lines(circuit: &Circuit, made: &CircuitWorking) -> Vec<Line> {
    let labels = &spoken().unjudged;
    let mut lines = Vec::new();
    let worked = &made.conductors;
    for ((number, conductor), own_size) in (1..).zip(&circuit.conductors).zip(&worked.own) {
        let (Some(own_size), Some(size)) = (own_size, &conductor.size) else { continue };
        let named = |what: &str| format!("Conductor {number}, {}: {what}", own(size));
        if own_size.ampacity_a.is_none() {
            let values = [("n", &*number.to_string()), ("size", &own(size)), ("what", labels.ampacity)];
            lines.push(Line::open(&fill(labels.conductor_of, &values), labels.no_ampacity));
        }
        let kept =
            |what: &str| what == "Current in the table" || what.starts_with("Ampacity") || what.ends_with(AGAINST_WIRE);
        let its = own_size.working.lines.iter().filter(|line| kept(&line.what));
        lines.extend(its.map(|line| Line { what: named(&line.what), ..line.clone() }));
    }
    if let (Some(drop), Some(lost)) = (&made.drop, worked.lost) {
        lines.push(Line {
            what: "Drop with the conductors' own sizes".to_owned(),
            formula: "Each by its share of the length, as if the whole load flowed through it".to_owned(),
            result: format!("{}: {}", share(lost), if worked.is_above(drop) { "too much" } else { "passes" }),
            standing: Standing::Practice,
            sources: Vec::new(),
        });
    }
    let mut lacks = |what: &str, stated: &dyn Fn(&Conductor) -> bool| {
        let without = (1..).zip(&circuit.conductors).filter(|(_, conductor)| !stated(conductor));
        let numbers: Vec<String> = without.map(|(number, _): (u32, _)| number.to_string()).collect();
        if !numbers.is_empty() {
            let each = if numbers.len() == 1 { labels.conductor } else { labels.conductors };
            lines.push(Line::open(&fill(each, &[("n", &numbers.join(", ")), ("what", what)]), labels.blank));
        }
    };
    lacks(labels.size, &|conductor| circuit.size_of(conductor).is_some());
    lacks(labels.length, &|conductor| circuit.length_of(conductor).is_some());
    lines
}

/// What a line ends with that holds a rating against its wire.
pub(super) const AGAINST_WIRE: &str = " against the wire";
