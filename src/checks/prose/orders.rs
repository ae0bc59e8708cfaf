//! FW0774 to FW0776, FW0778, FW0781, FW0782, FW1238, FW1239 and FW1242: work of which the words have the second half first.
//!
//! What comes before in every workshop stands behind, and nowhere before as well: put between after bolting, sealing a thread that is
//! in, relieving a pressure that was opened, power off after the work on it, chocks after the jack. Common practice, from memory.

use super::classes::{FASTENERS, HOSES};
use super::perils::{self, PLASTIC};
use super::said::Said;
use super::sequel::{Act, Does, Role, Rule};
use super::things::{self, Thing};
use crate::diagnostics::{Code, Finding};
use crate::model::{Line, LineKind, Procedure, StepId};
use crate::source::Span;

pub(super) const RULES: &[Rule] = &[
    Rule {
        code: Code::FW0774,
        role: between,
        once: false,
        said: [
            "something is laid between two parts that are bolted together already",
            "no gap is left for it",
            "bolted together here",
            "It is pushed in at the edge at best: water stands in the gap, and bare metals corrode each other.",
            "Put it before the sentence that bolts the parts together, or have them taken apart first.",
        ],
    },
    Rule {
        code: Code::FW0775,
        role: sealed,
        once: false,
        said: [
            "a thread is sealed when it is in already",
            "nothing gets at the thread",
            "screwed in here",
            "The thread stays dry and leaks, or the fitting is turned back to put the seal on, and nobody knows how far.",
            "Put it before the sentence that screws the thing in.",
        ],
    },
    Rule {
        code: Code::FW0776,
        role: relieved,
        once: true,
        said: [
            "a pressure is let off when its line was opened already",
            "too late here",
            "opened here",
            "A line that is opened under pressure whips, and its jet goes through skin.",
            "Put this sentence before the one that opens the line. Work on brakes and hydraulics belongs to trained people.",
        ],
    },
    Rule {
        code: Code::FW1238,
        role: powered,
        once: true,
        said: [
            "the power is taken off after the work that needs it off",
            "too late here",
            "done with the power on",
            "Welding current and plugs that are pulled live destroy control units, and an airbag can go off.",
            "Put this sentence before the work, and say how long to wait after it where the maker of the vehicle does.",
        ],
    },
    Rule {
        code: Code::FW1239,
        role: chocked,
        once: true,
        said: [
            "the wheels are chocked when the vehicle is up already",
            "too late here",
            "raised here",
            "A vehicle that rolls while it is raised comes off its jack.",
            "Put this sentence before the one that raises the vehicle.",
        ],
    },
    Rule {
        code: Code::FW0778,
        role: locked,
        once: false,
        said: [PLASTIC[0], PLASTIC[1], "thread lock goes on here", PLASTIC[2], PLASTIC[3]],
    },
    Rule {
        code: Code::FW0781,
        role: clamped,
        once: true,
        said: [
            "a hose is pushed on when its clamp is tight already",
            "it does not go on under a tight clamp",
            "tightened here",
            "The clamp is opened again, or the hose goes on halfway and is held by nothing: it blows off under pressure.",
            "Put the clamp loosely on the hose, then the hose on its stub, then tighten: `Slide the clamp onto the hose.`, `Push the hose onto the stub.`, `Tighten the clamp.`",
        ],
    },
    Rule {
        code: Code::FW0782,
        role: pushed_on,
        once: true,
        said: [
            "a clamp is slid onto a hose that is on its stub already",
            "it does not get there any more",
            "the hose is pushed on here",
            "The end of the hose is closed by now: the hose comes off again, or the clamp is left out.",
            "Put this sentence before the one that pushes the hose on. A clamp that opens and goes around the hose is put on like that: `Lay the open clamp around the hose.`",
        ],
    },
];

/// Whether what comes late stands before as well.
pub(super) fn is_done_before(acts: &[Act]) -> bool {
    acts.iter().find(|act| act.does != Does::Ends).is_none_or(|first| first.does == Does::Late)
}

/// Lines that make a state, with its title in words and whether it is off from there.
pub(super) fn made<'p>(procedure: &'p Procedure) -> impl Iterator<Item = (StepId, &'p Line, Vec<String>, bool)> + 'p {
    const OFF: &[&str] = &["off", "shut", "closed", "stopped", "none", "released", "out", "disconnected", "unplugged"];
    let lines = procedure.steps.iter().flat_map(|(step, row)| row.lines.iter().map(move |line| (step, line)));
    lines.filter_map(|(step, line)| {
        let LineKind::Make { state, value } = line.kind else { return None };
        let state = &procedure.states[state];
        let is_off = state.values.get(value).is_some_and(|value| OFF.contains(&value.id.as_str()));
        Some((step, line, things::of_title(&state.name.title), is_off))
    })
}

/// Whether a line or a sentence takes the power off.
pub(super) fn is_taken_off(procedure: &Procedure, all: &[Said<'_, '_>]) -> bool {
    made(procedure).any(|(.., words, is_off)| is_off && has(&words, &["battery", "negative", "ignition"]))
        || all.iter().any(|one| powered(one).is_some_and(|(does, _)| does == Does::Late))
}

fn has(words: &[String], list: &[&str]) -> bool {
    words.iter().any(|word| list.contains(&word.as_str()))
}

/// FW0776: where a state follows the pressure, hoses that are coupled before it is off.
pub(super) fn let_off(procedure: &Procedure, all: &[Said<'_, '_>]) -> Vec<Act> {
    let lines = made(procedure).filter(|(_, _, words, is_off)| *is_off && has(words, &["pressure"]));
    let act = |step, place, does| Act { step, place, things: Vec::new(), does };
    let mut found: Vec<Act> = lines.map(|(step, line, ..)| act(step, line.span, Does::Late)).collect();
    if !found.is_empty() {
        let couples = |one: &&Said<'_, '_>| {
            one.is_now
                && one.does(&["push", "couple", "connect", "plug"])
                && one.object().is_some_and(|thing| thing.is_a(HOSES))
                && one.things().iter().any(|thing| thing.is_a(&["coupling", "coupler", "socket"]))
        };
        found.extend(all.iter().filter(couples).map(|one| act(one.step, one.place, Does::Begins)));
    }
    found
}

/// FW1238: a state that takes the battery off, and one of a plug that changes where the step warns of an airbag.
pub(super) fn made_off(procedure: &Procedure) -> Vec<Act> {
    let warns = |step: StepId| {
        let mut lines = procedure.steps[step].lines.iter();
        lines.any(|line| matches!(&line.kind, LineKind::Message(message) if procedure.hazards[message.hazard].called == "airbag"))
    };
    let act = |(step, line, words, is_off): (StepId, &Line, Vec<String>, bool)| {
        let does = match () {
            () if is_off && has(&words, &["battery", "negative"]) => Does::Late,
            () if has(&words, &["plug", "connector"]) && warns(step) => Does::Begins,
            () => return None,
        };
        Some(Act { step, place: line.span, things: Vec::new(), does })
    };
    made(procedure).filter_map(act).collect()
}

/// What lines bolt together: the parts that the joint joins.
pub(super) fn bolted(procedure: &Procedure) -> Vec<Act> {
    let mut found = Vec::new();
    for (step, row) in procedure.steps.iter() {
        for line in &row.lines {
            let (joint, does) = match line.kind {
                LineKind::Tighten(joint, _) => (joint, Does::Begins),
                LineKind::Loosen(joint, _) | LineKind::RemoveJoint(joint, _) => (joint, Does::Ends),
                _ => continue,
            };
            let parts = procedure.joints[joint].joins.iter().map(|(part, _)| *part);
            let things: Vec<Thing> = parts.filter_map(|part| things::of_part(procedure, part)).collect();
            if !things.is_empty() {
                found.push(Act { step, place: line.span, things, does });
            }
        }
    }
    found
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
        (thing.has(&["air", "hydraulic", "pressure", "auxiliary"]) || (thing.words.len() == 1 && thing.is_a(&["line"])))
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

/// `Put thread lock on the screws.`, `Drive the screws into the plastic housing.`
fn locked(one: &Said<'_, '_>) -> Role {
    if perils::locks(one) {
        let things = one.by(&["on", "onto", "to", "into", "in"]);
        return (!things.is_empty() && !things.iter().any(perils::is_plastic)).then_some((Does::Begins, things));
    }
    if one.does(&["clean", "wipe", "wash"]) {
        return Some((Does::Ends, Vec::new()));
    }
    let into = one.things().iter().any(|thing| matches!(thing.by.as_str(), "into" | "in") && perils::is_plastic(thing));
    let object = one.object().filter(|thing| thing.words.iter().any(|word| FASTENERS.contains(&word.as_str())))?;
    let drives = one.does(&["drive", "screw", "turn", "run", "fit", "put", "tighten", "thread"]);
    (drives && into).then(|| (Does::Late, vec![object.clone()]))
}

/// The clamp that a sentence works on.
fn clamp<'a>(one: &'a Said<'_, '_>) -> Option<&'a Thing> {
    one.object().filter(|thing| thing.is_a(CLAMPS))
}

/// The hose that a sentence has its clamp on.
fn under_clamp(one: &Said<'_, '_>) -> Option<Thing> {
    let on = |thing: &&Thing| ["on", "onto", "over", "around", "round"].contains(&thing.by.as_str()) && is_hose(thing);
    one.things().iter().find(on).map(whole)
}

/// A hose, or an end of one.
fn is_hose(thing: &Thing) -> bool {
    thing.is_a(HOSES) || (thing.is_a(&["end"]) && thing.has(HOSES))
}

/// A thing of which the end may be named.
fn whole(thing: &Thing) -> Thing {
    Thing { words: thing.words.iter().filter(|word| *word != "end").cloned().collect(), ..thing.clone() }
}

pub(super) const CLAMPS: &[&str] = &["clamp", "clip", "band"];

/// The hose that a sentence pushes onto something.
fn hose_on(one: &Said<'_, '_>) -> Option<Thing> {
    let onto = one.things().iter().any(|thing| matches!(thing.by.as_str(), "onto" | "over" | "on") && !is_hose(thing));
    let pushes = one.does(&["push", "slide", "fit", "pull", "slip", "press", "work", "ease", "put"]);
    one.object().filter(|thing| is_hose(thing) && pushes && onto).map(whole)
}

fn takes_hose_off(one: &Said<'_, '_>) -> bool {
    one.does(TAKES_OFF)
        || (one.does(&["pull", "slide"]) && one.says(&["off"]))
        || (one.does(&["open", "release"]) && clamp(one).is_some())
}

/// `Tighten the hose clamp.`, `Push the hose onto the stub.`
fn clamped(one: &Said<'_, '_>) -> Role {
    if let Some(clamp) = clamp(one).filter(|_| one.does(&["tighten", "screw", "close", "crimp", "squeeze"])) {
        // `Tighten the clamp.` means the hose of its step.
        if clamp.words.len() == 1 && one.things().len() == 1 {
            return Some((Does::Begins, vec![Thing { words: Vec::new(), ..clamp.clone() }]));
        }
        let words = clamp.words.iter().filter(|word| !CLAMPS.contains(&word.as_str())).cloned().collect();
        let own = Some(Thing { words, ..clamp.clone() }).filter(|hose| hose.is_a(HOSES));
        return own.or_else(|| under_clamp(one)).map(|hose| (Does::Begins, vec![hose]));
    }
    if let Some(hose) = hose_on(one) {
        return Some((Does::Late, vec![hose]));
    }
    takes_hose_off(one).then(|| (Does::Ends, Vec::new()))
}

/// `Push the hose onto the stub.`, `Slide the clamp over the hose.`
fn pushed_on(one: &Said<'_, '_>) -> Role {
    if let Some(hose) = hose_on(one) {
        return Some((Does::Begins, vec![hose]));
    }
    if takes_hose_off(one) {
        return Some((Does::Ends, Vec::new()));
    }
    let other = &["open", "around", "back", "up", "second", "other", "next", "stub", "bead"];
    let slides = one.does(&["slide", "slip", "thread", "push", "pull"]) && clamp(one).is_some() && !one.says(other);
    under_clamp(one).filter(|_| slides).map(|hose| (Does::Late, vec![hose]))
}

/// `Switch the ignition on.`, `Unplug the connector.`
pub(super) fn switched(one: &Said<'_, '_>) -> Option<Act> {
    let act = |does| Some(Act { step: one.step, place: one.place, things: Vec::new(), does });
    let ignition = one.says(&["ignition"]) || (one.does(&["turn", "set"]) && one.says(&["key"]));
    let is_off = one.says(&["off", "out", "remove"]) || powered(one).is_some_and(|(does, _)| does == Does::Late);
    if is_off && (ignition || one.says(&["battery", "engine", "negative"])) {
        return act(Does::Ends);
    }
    if ignition && one.does(&["turn", "switch", "set"]) && one.says(&["on"]) {
        return act(Does::Begins);
    }
    let other = &[
        "diagnostic",
        "scan",
        "obd",
        "tester",
        "meter",
        "charger",
        "glow",
        "spark",
        "drain",
        "lamp",
        "trailer",
        "test",
    ];
    let live = |thing: &Thing| {
        let unit = thing.is_a(&["ecu"]) || (thing.has(&["control"]) && thing.is_a(&["unit", "module"]));
        (thing.is_a(&["connector", "plug"]) || unit) && !thing.has(other)
    };
    let plugs = one.does(&["unplug", "plug", "disconnect", "connect", "reconnect", "pull", "push", "put"]);
    if plugs && one.object().is_some_and(live) && !one.says(other) { act(Does::Late) } else { None }
}

/// `Jack up the vehicle.`, `Chock the wheels.`
fn chocked(one: &Said<'_, '_>) -> Role {
    let chocks = one.verb == "chock"
        || (one.does(&["put", "place", "set", "push", "lay", "wedge"]) && one.says(&["chock", "chocks"]));
    if chocks {
        return Some((Does::Late, Vec::new()));
    }
    raises(one).then(|| (Does::Begins, Vec::new()))
}

/// Whether it raises the vehicle with a jack.
pub(super) fn raises(one: &Said<'_, '_>) -> bool {
    let jack = || one.says(&["jack", "jacks"]) || one.lays_out(&["jack"]);
    let vehicle = one.says(&["vehicle", "van", "truck", "car", "trailer", "axle", "side", "wheel", "corner"]);
    vehicle && (one.verb == "jack" || (one.does(&["raise", "lift"]) && jack()))
}

pub(super) fn switched_late(on: Span, place: Span) -> Finding {
    Finding::new(Code::FW1242, "a connector is parted or joined while the ignition is on", place, "live here")
        .also(on, "switched on here, and not off again")
        .because("Contacts that part under current burn, control units keep faults or are destroyed, and an airbag can go off.")
        .repair("Put `> Switch the ignition off.` before it, and say how long to wait where the maker of the vehicle does.")
}
