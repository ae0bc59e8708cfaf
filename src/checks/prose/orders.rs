//! FW0774, FW0775, FW0776, FW1238 and FW1239: work of which the words have the second half first.
//!
//! What comes before in every workshop stands behind, and nowhere before as well: put between after bolting, sealing a thread that is
//! in, relieving a pressure that was opened, power off after the work on it, chocks after the jack. Common practice, from memory.

use super::super::proof::Proof;
use super::said::Said;
use super::sequel::{self, Act, Does};
use super::things::Thing;
use crate::diagnostics::{Code, Finding};
use crate::source::Span;

/// What a sentence does for a rule, and the things that must be the same.
type Role = Option<(Does, Vec<Thing>)>;

/// A rule: what its sentences do, whether the late one may stand before as well, and its words.
struct Rule {
    code: Code,
    role: fn(&Said<'_, '_>) -> Role,
    /// Where what comes late stands before as well, nothing is told.
    once: bool,
    finding: fn(Span, Span) -> Finding,
}

const RULES: &[Rule] = &[
    Rule { code: Code::FW0774, role: between, once: false, finding: between_late },
    Rule { code: Code::FW0775, role: sealed, once: false, finding: sealed_late },
    Rule { code: Code::FW0776, role: relieved, once: true, finding: relieved_late },
    Rule { code: Code::FW1238, role: powered, once: true, finding: powered_late },
    Rule { code: Code::FW1239, role: chocked, once: true, finding: chocked_late },
];

pub(super) fn check(proof: &mut Proof<'_>, all: &[Said<'_, '_>]) {
    for rule in RULES {
        let mut acts = Vec::new();
        for one in all.iter().filter(|one| one.is_now) {
            let Some((does, things)) = (rule.role)(one) else { continue };
            let is_first = !acts.iter().any(|act: &Act| act.does == Does::Begins);
            if rule.once && does == Does::Late && is_first {
                acts.clear();
                break;
            }
            acts.push(Act { step: one.step, place: one.place, things, does });
        }
        sequel::check(proof, rule.code, &acts, rule.finding);
    }
}

const TAKES_OFF: &[&str] =
    &["remove", "take", "lift", "loosen", "undo", "unscrew", "unbolt", "slacken", "withdraw", "back"];

/// `Bolt the plate to the frame.`, `Lay isolating tape between the plate and the frame.`
fn between(one: &Said<'_, '_>) -> Role {
    const LAYERS: &[&str] = &[
        "tape", "sealant", "gasket", "seal", "shim", "pad", "film", "adhesive", "mastic", "compound", "sheet", "foil",
        "primer",
    ];
    if one.does(&["bolt", "screw", "rivet"]) {
        let things: Vec<Thing> =
            one.by(&[one.verb, "to", "onto", "on"]).into_iter().filter(|thing| !thing.words.is_empty()).collect();
        return (!things.is_empty()).then_some((Does::Begins, things));
    }
    if one.does(TAKES_OFF) {
        return Some((Does::Ends, Vec::new()));
    }
    let layer = one.object().is_some_and(|thing| thing.is_a(LAYERS));
    let things: Vec<Thing> = one
        .by(&["between", "under", "beneath", "behind", "below"])
        .into_iter()
        .filter(|thing| !thing.words.is_empty())
        .collect();
    let lays = one.does(&["lay", "put", "apply", "stick", "place", "run", "spread", "brush", "slide", "push", "fit"]);
    (lays && layer && !things.is_empty()).then_some((Does::Late, things))
}

/// `Screw the fitting into the port.`, `Wind sealing tape onto its thread.`
fn sealed(one: &Said<'_, '_>) -> Role {
    const SEALS: &[&str] = &["tape", "sealant", "hemp", "paste", "compound", "threadlock", "sealer"];
    const SCREWED: &[&str] =
        &["fitting", "union", "plug", "adapter", "nipple", "sensor", "elbow", "valve", "switch", "connector"];
    if one.does(TAKES_OFF) {
        return Some((Does::Ends, Vec::new()));
    }
    let goes_in = one.things().iter().any(|thing| thing.by == "into");
    if one.does(&["screw", "turn", "thread", "run"]) && goes_in {
        let object = one.object().filter(|thing| thing.is_a(SCREWED))?;
        return Some((Does::Begins, vec![object.clone()]));
    }
    let layer = one.object().is_some_and(|thing| thing.is_a(SEALS));
    let puts = one.does(&["wind", "wrap", "put", "apply", "brush", "smear"]);
    let thread = one.things().iter().find(|thing| {
        matches!(thing.by.as_str(), "on" | "onto" | "to" | "around" | "round") && thing.is_a(&["thread"])
    });
    let thread = thread.filter(|_| puts && layer)?;
    // `the thread of the fitting` is of the fitting.
    let words: Vec<String> = thread.words.iter().filter(|word| *word != "thread").cloned().collect();
    Some((Does::Late, vec![Thing { words, ..thread.clone() }]))
}

/// `Disconnect the air line.`, `Drain the air reservoir.`
fn relieved(one: &Said<'_, '_>) -> Role {
    let relieves =
        one.does(&["relieve", "release", "depressurize", "depressurise", "drain", "vent", "discharge", "empty"])
            && one.says(&["pressure", "reservoir", "reservoirs", "accumulator", "system"]);
    if relieves {
        return Some((Does::Late, Vec::new()));
    }
    let line = |thing: &Thing| {
        thing.has(&["air", "hydraulic", "pressure"])
            && thing.is_a(&["line", "hose", "pipe", "union", "fitting", "coupling", "tube"])
    };
    let opens = one.does(&["disconnect", "loosen", "undo", "open", "remove", "unscrew", "cut", "detach"])
        && one.object().is_some_and(line);
    opens.then(|| (Does::Begins, Vec::new()))
}

/// `Weld the bracket to the frame.`, `Disconnect the battery.`
fn powered(one: &Said<'_, '_>) -> Role {
    let of_battery = |thing: &Thing| {
        thing.has(&["battery"]) || (thing.has(&["negative", "earth"]) && thing.is_a(&["lead", "cable", "clamp"]))
    };
    let off = one.does(&["disconnect", "remove", "take", "unclamp"]) && one.object().is_some_and(of_battery);
    let switched = one.does(&["turn", "switch"]) && one.says(&["ignition"]) && one.says(&["off"]);
    if off || switched {
        return Some((Does::Late, Vec::new()));
    }
    let body = |thing: &Thing| {
        matches!(thing.by.as_str(), "to" | "onto" | "on")
            && thing.is_a(&["frame", "chassis", "body", "vehicle", "floor", "sill", "cab", "pillar"])
    };
    let welds = one.verb == "weld" && one.things().iter().any(body);
    let unit = |thing: &Thing| {
        let is_one = thing.has(&["airbag", "ecu"]) || (thing.has(&["control"]) && thing.has(&["unit", "module"]));
        is_one && thing.is_a(&["airbag", "ecu", "unit", "module", "connector", "plug"])
    };
    let unplugs = one.does(&["unplug", "disconnect"]) && one.object().is_some_and(unit);
    (welds || unplugs).then(|| (Does::Begins, Vec::new()))
}

/// `Jack up the vehicle.`, `Chock the wheels.`
fn chocked(one: &Said<'_, '_>) -> Role {
    let chocks = one.verb == "chock"
        || (one.does(&["put", "place", "set", "push", "lay", "wedge"]) && one.says(&["chock", "chocks"]));
    if chocks {
        return Some((Does::Late, Vec::new()));
    }
    let raises = one.verb == "jack" || (one.does(&["raise", "lift"]) && one.says(&["jack", "jacks"]));
    let vehicle = one.says(&["vehicle", "van", "truck", "car", "trailer", "axle", "side", "wheel", "corner"]);
    (raises && vehicle).then(|| (Does::Begins, Vec::new()))
}

fn between_late(bolted: Span, place: Span) -> Finding {
    Finding::new(
        Code::FW0774,
        "something is laid between two parts that are bolted together already",
        place,
        "no gap is left for it",
    )
    .also(bolted, "bolted together here")
    .because("It is pushed in at the edge at best: water stands in the gap, and bare metals corrode each other.")
    .repair("Put it before the sentence that bolts the parts together, or have them taken apart first.")
}

fn sealed_late(screwed: Span, place: Span) -> Finding {
    Finding::new(Code::FW0775, "a thread is sealed when it is in already", place, "nothing gets at the thread")
        .also(screwed, "screwed in here")
        .because("The thread stays dry and leaks, or the fitting is turned back to put the seal on, and nobody knows how far.")
        .repair("Put it before the sentence that screws the thing in.")
}

fn relieved_late(opened: Span, place: Span) -> Finding {
    Finding::new(Code::FW0776, "a pressure is let off when its line was opened already", place, "too late here")
        .also(opened, "opened here")
        .because("A line that is opened under pressure whips, and its jet goes through skin.")
        .repair("Put this sentence before the one that opens the line. Work on brakes and hydraulics belongs to trained people.")
}

fn powered_late(worked: Span, place: Span) -> Finding {
    Finding::new(Code::FW1238, "the power is taken off after the work that needs it off", place, "too late here")
        .also(worked, "done with the power on")
        .because("Welding current and plugs that are pulled live destroy control units, and an airbag can go off.")
        .repair(
            "Put this sentence before the work, and say how long to wait after it where the maker of the vehicle does.",
        )
}

fn chocked_late(raised: Span, place: Span) -> Finding {
    Finding::new(Code::FW1239, "the wheels are chocked when the vehicle is up already", place, "too late here")
        .also(raised, "raised here")
        .because("A vehicle that rolls while it is raised comes off its jack.")
        .repair("Put this sentence before the one that raises the vehicle.")
}
