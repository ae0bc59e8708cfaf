//! The working of a circuit: conductor, resistance, drop, current, protection, terminals, as an auto-electrician would
//! write it down.
//!
//! Terms: the *ampacity* of a wire is the current that it carries for good without harm to its insulation; the *drop* is
//! the voltage lost between source and load, there and back; *practice* is what the trade does where no binding
//! publication says it. There is no public table of currents that covers road vehicles; what is used is United States
//! law for boats, and every line that rests on it says so.

mod conductor;
mod fits;
mod lines;
mod own_sizes;
mod print;
mod sources;

pub use fits::{AgainstLoad, AgainstWire, Distance, TerminalFit};
pub use own_sizes::ConductorsWorking;
pub use print::{amperes, inches, own, share, two_figures, volts};

use super::Working;
use crate::labels::spoken;
use crate::model::{Circuit, CircuitProtection, Procedure, Protector, Return, UnknownValue, WireSize, unknown};
use crate::quantity::{Kind, Measure};
use crate::trade::{base, wire};
use conductor::{Conductor, Given};

/// The working of a circuit, and the numbers from which verdicts are taken.
#[derive(Debug, Clone, PartialEq)]
pub struct CircuitWorking {
    /// Line by line.
    pub working: Working,
    /// What is not stated, so that something could not be judged or had to be taken for granted.
    pub missing: Vec<Missing>,
    /// What the wire carries here for good, in amperes, where the table has a value for it.
    pub ampacity_a: Option<f64>,
    /// The continuous load in amperes, where it is stated.
    pub load_a: Option<f64>,
    /// Whether the load is above the ampacity. Never of a starter cable, whose load lasts seconds.
    pub overloaded: bool,
    /// The voltage drop, where it can be worked out.
    pub drop: Option<Drop>,
    /// The breaker or fuse, where there is one.
    pub protection: Option<ProtectionVerdict>,
    /// Every terminal that the circuit names.
    pub terminals: Vec<TerminalFit>,
    /// What follows from the sizes of its conductors.
    pub conductors: ConductorsWorking,
    /// The thinnest listed wire of the same sort that passes drop, load and protection, where this one fails.
    pub suggested_wire: Option<String>,
    /// 125 % of the load, in amperes: the least rating by common practice.
    pub least_rating_a: Option<f64>,
    /// The least standard rating that bears the load and protects the wire.
    pub suggested_rating_a: Option<f64>,
}

/// What the writer does not state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// `what its insulation bears`
    pub what: &'static str,
    /// What to write: `insulation 105 degC`.
    pub write: String,
    /// Whether that nobody knows it may be said in its place: `insulation unknown "why"`.
    pub may_be_unknown: bool,
}

/// A voltage drop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    /// Volts, with wire of its nominal area.
    pub volts: f64,
    /// As a share of the source's voltage.
    pub share: f64,
    /// The same with wire of the least area that its size may have.
    pub least_volts: f64,
    /// As a share of the source's voltage.
    pub least_share: f64,
    /// The largest share allowed.
    pub allowed: f64,
    /// Whether the writer states it; else it is what practice allows feeders.
    pub allowed_is_stated: bool,
    /// Ohms that the chassis may have before the drop is too large, where the current flows back through it and the
    /// writer does not state its resistance. At least 0.
    pub left_for_chassis_ohm: Option<f64>,
}

impl Drop {
    /// Above what is allowed, with wire of its nominal area.
    pub fn is_above(&self) -> bool {
        self.share > self.allowed + SLACK
    }

    /// Above what is allowed only where the wire is as thin as its size may be.
    pub fn is_above_when_thin(&self) -> bool {
        !self.is_above() && self.least_share > self.allowed + SLACK
    }
}

/// What the last bit of a share may be off by.
const SLACK: f64 = 1e-12;

/// A breaker or fuse, judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProtectionVerdict {
    /// The rating in amperes.
    pub rating_a: f64,
    /// Against the load, where one is stated.
    pub load: Option<AgainstLoad>,
    /// Against the wire, where its ampacity is known.
    pub wire: Option<AgainstWire>,
    /// Against the rule of distance, where the distance is stated.
    pub distance: Option<Distance>,
    /// Whether it would stand farther along the wire than the wire is long.
    pub beyond_run: bool,
    /// Whether a row of a library lists the rating; `None` where no library lists any.
    pub standard: Option<bool>,
}

/// The listed ratings of the same sort next below and next above a rating, in amperes.
pub(crate) fn listed_near(procedure: &Procedure, protection: &CircuitProtection) -> Vec<f64> {
    let Some(rating) = base(&protection.rating, Kind::Current) else { return Vec::new() };
    let listed: Vec<f64> = fits::listed(&procedure.ratings, protection.sort).collect();
    let below = listed.iter().rev().find(|one| **one < rating);
    let above = listed.iter().find(|one| **one > rating);
    below.into_iter().chain(above).copied().collect()
}

/// Works out a circuit.
pub fn working(procedure: &Procedure, circuit: &Circuit) -> CircuitWorking {
    let mut made = of_wire(procedure, circuit);
    // Each conductor with a size of its own as if the wire were of that size: the same again.
    let sized = circuit.conductors.iter().map(|conductor| own_sizes::with_own_size(circuit, conductor));
    let own = sized.map(|sized| Some(of_wire(procedure, &sized?))).collect();
    made.conductors = own_sizes::conductors(circuit, &made, own);
    made.working.lines.extend(own_sizes::lines(circuit, &made));
    made
}

/// All but what conductors with sizes of their own come to.
fn of_wire(procedure: &Procedure, circuit: &Circuit) -> CircuitWorking {
    let given = Given::of(circuit);
    let conductor = circuit.wire_size.as_ref().and_then(|size| Conductor::of(&given, size));
    let ampacity_a = conductor.and_then(|conductor| conductor.ampacity_a);
    let overloaded =
        !given.cranks && given.load_a.zip(ampacity_a).is_some_and(|(load, ampacity)| load > ampacity * (1.0 + SLACK));
    let drop = conductor.and_then(|conductor| drop_of(circuit, &given, &conductor));
    let protection = protection(procedure, circuit, &given, ampacity_a);
    let fails = overloaded
        || drop.is_some_and(|drop| drop.is_above() || drop.is_above_when_thin())
        || protection.is_some_and(|p| matches!(p.wire, Some(AgainstWire::Above | AgainstWire::Beyond)));
    let suggested_rating_a = given.load_a.zip(ampacity_a).and_then(|(load, ampacity)| {
        let sort = circuit.protection.as_ref().map_or(Protector::Fuse, |protection| protection.sort);
        fits::next_rating(&procedure.ratings, sort, load, ampacity)
    });
    let mut made = CircuitWorking {
        working: Working { title: format!("{} ({})", circuit.name.title, circuit.name.id), lines: Vec::new() },
        missing: missing(circuit, &given, conductor.as_ref()),
        ampacity_a,
        load_a: given.load_a,
        overloaded,
        drop,
        protection,
        terminals: fits::terminals(procedure, circuit),
        conductors: ConductorsWorking::default(),
        suggested_wire: if fails { thinnest_that_passes(procedure, circuit, &given) } else { None },
        least_rating_a: given.load_a.map(|load| wire::LEAST_RATING_SHARE * load),
        suggested_rating_a,
    };
    made.working.lines = lines::lines(procedure, circuit, &given, conductor.as_ref(), &made);
    made
}

fn drop_of(circuit: &Circuit, given: &Given, conductor: &Conductor) -> Option<Drop> {
    let volts = given.volts?;
    let (drop, least) = (conductor.drop_v()?, conductor.least_drop_v()?);
    let stated = circuit.drop.as_ref().and_then(|limit| allowed_share(limit, volts));
    let allowed = stated.unwrap_or(wire::USUAL_DROP_SHARE);
    let unstated = matches!(circuit.returns, Return::Chassis(None));
    let left = given.load_a.filter(|_| unstated).map(|load| ((allowed * volts - least) / load).max(0.0));
    Some(Drop {
        volts: drop,
        share: drop / volts,
        least_volts: least,
        least_share: least / volts,
        allowed,
        allowed_is_stated: stated.is_some(),
        left_for_chassis_ohm: left,
    })
}

/// A limit in per cent, or in volts as a share of the source's.
fn allowed_share(limit: &Measure, volts: f64) -> Option<f64> {
    let high = limit.high()?;
    match high.kind() {
        Kind::Voltage => base(&high, Kind::Voltage).map(|allowed| allowed / volts),
        kind => base(&high, kind),
    }
}

fn protection(
    procedure: &Procedure,
    circuit: &Circuit,
    given: &Given,
    ampacity_a: Option<f64>,
) -> Option<ProtectionVerdict> {
    let stated = circuit.protection.as_ref()?;
    let rating_a = base(&stated.rating, Kind::Current)?;
    // What is upstream is not ours to buy, and need not be a fuse or breaker at all.
    let upstream = stated.sort == Protector::Upstream;
    let listed: Vec<f64> = fits::listed(&procedure.ratings, stated.sort).filter(|_| !upstream).collect();
    let near = |one: &f64| (one - rating_a).abs() < 1e-6;
    Some(ProtectionVerdict {
        rating_a,
        load: circuit.load.as_ref().and_then(|load| fits::against_load(&stated.rating, load)),
        wire: ampacity_a.map(|ampacity| fits::against_wire(rating_a, ampacity, given, circuit, &procedure.ratings)),
        distance: stated.at.as_ref().and_then(|at| fits::distance(at, circuit.sheathed)),
        beyond_run: stated.at.zip(circuit.run).is_some_and(|(at, run)| at.base() > run.base()),
        standard: (!listed.is_empty()).then(|| listed.iter().any(near)),
    })
}

/// What the writer would have to say for everything to be judged.
fn missing(circuit: &Circuit, given: &Given, conductor: Option<&Conductor>) -> Vec<Missing> {
    let labels = &spoken().unjudged;
    let mut missing = Vec::new();
    let mut lacks = |lacks: bool, value: Option<UnknownValue>, what: &'static str, write: &str| {
        let is_unknown = value.is_some_and(|value| unknown(&circuit.unknown, value).is_some());
        if lacks && !is_unknown {
            missing.push(Missing { what, write: write.to_owned(), may_be_unknown: value.is_some() });
        }
    };
    let wire_is_known = conductor.is_some();
    lacks(circuit.source.is_none(), Some(UnknownValue::Source), labels.its_source, "source 12 V");
    lacks(circuit.load.is_none(), Some(UnknownValue::Load), labels.its_load, "load 18 A");
    lacks(circuit.run.is_none(), Some(UnknownValue::Run), labels.its_run, "run 6.5 m");
    lacks(circuit.wire.is_none(), Some(UnknownValue::Wire), labels.its_wire, "wire 8 AWG copper");
    lacks(
        circuit.wire.is_some() && !wire_is_known && circuit.metal != "copper",
        None,
        labels.other_metal,
        "wire 8 AWG copper",
    );
    lacks(
        circuit.wire.is_some() && !wire_is_known && circuit.metal == "copper",
        None,
        labels.unlisted_size,
        "use std/wiring",
    );
    lacks(circuit.insulation.is_none(), Some(UnknownValue::Insulation), labels.its_insulation, "insulation 105 degC");
    lacks(circuit.ambient.is_none(), Some(UnknownValue::Ambient), labels.its_ambient, "ambient 50 degC");
    let no_current = !given.warmth_is_unknown && conductor.is_some_and(|conductor| conductor.ampacity_a.is_none());
    lacks(no_current && given.insulation_c <= given.ambient_c, None, labels.too_warm, "insulation 105 degC");
    // A table that begins with better insulation asks for no other wire.
    let has_currents = circuit.wire_size.as_ref().is_some_and(|size| !size.ampacity.is_empty());
    lacks(
        no_current && given.insulation_c > given.ambient_c && has_currents,
        None,
        labels.better_insulation,
        "insulation unknown \"It bears 70 degC; the table of the wire's maker decides.\"",
    );
    lacks(
        no_current && given.insulation_c > given.ambient_c && !has_currents,
        None,
        labels.no_current,
        "wire 18 AWG copper",
    );
    lacks(
        circuit.returns == Return::Chassis(None),
        Some(UnknownValue::Chassis),
        labels.its_chassis,
        "chassis return 4 mOhm",
    );
    if let Some(protection) = &circuit.protection {
        let upstream = protection.sort == Protector::Upstream;
        let sort = if protection.sort == Protector::Fuse { "fuse" } else { "breaker" };
        let write = format!("{sort} {} at 150 mm", protection.rating);
        let lacks_distance = protection.at.is_none() && !circuit.starter_cable && !upstream;
        lacks(lacks_distance, Some(UnknownValue::Distance), labels.its_distance, &write);
    }
    missing
}

/// The thinnest listed wire of the same metal and system that passes.
fn thinnest_that_passes(procedure: &Procedure, circuit: &Circuit, given: &Given) -> Option<String> {
    let awg = circuit.wire.as_ref()?.kind() == Kind::WireGauge;
    let rating_a = circuit.protection.as_ref().and_then(|protection| base(&protection.rating, Kind::Current));
    let passes = |size: &&WireSize| {
        let Some(conductor) = Conductor::of(given, size) else { return false };
        let drop = drop_of(circuit, given, &conductor);
        if drop.is_some_and(|drop| drop.is_above() || drop.is_above_when_thin()) {
            return false;
        }
        // Where nobody knows how warm the wire gets, the drop alone is judged.
        let Some(ampacity) = conductor.ampacity_a else { return given.warmth_is_unknown };
        (given.cranks || given.load_a.is_none_or(|load| load <= ampacity))
            && rating_a.is_none_or(|rating| rating <= ampacity)
    };
    let same_sort = procedure.wires.iter().filter(|size| size.awg == awg && size.metal == circuit.metal);
    same_sort.filter(|size| size.area.is_some()).find(passes).map(|size| print::size(&size.id))
}
